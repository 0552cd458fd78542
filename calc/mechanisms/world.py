"""The solved machine as it would be if something were wrong with it, and what a meter then shows.

A :class:`World` holds the samples of one machine in one wind each. A mechanism of failure alters it (magnets,
resistance, drag, blades, wind at the rotor, a phase, a set point, the meter); all that can be read of it then follows
from the same solver as everything else that is told of the machine.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from itertools import repeat
from statistics import NormalDist
from typing import Any, TypeAlias

import numpy as np

from calc.machine.battery import cells, has_lead, internal_resistance
from calc.machine.catalogue import Sheet
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import RotorCurves
from calc.machine.site import over_winds
from calc.machine.solving import Solved
from calc.mechanisms.base import Case
from calc.physics import balance
from calc.physics.arrays import Array, Flags
from calc.physics.balance import Machine, Points
from calc.units import Num

#: How far the computed rotor may be off in torque and in tip-speed ratio, one standard deviation. Own estimate.
ROTOR_DOUBT, RATIO_DOUBT = 0.12, 0.06
#: How far a judged wind may lie outside its limits, and how far the wind of a minute is off that of the hour.
WIND_DOUBT, GUST = 0.12, 0.10
#: How far the wind of a logger's cup is off that at the rotor, one standard deviation. Own estimate.
CUP_DOUBT = 0.04
#: Samples that are carried: more change no verdict. Own choice.
MOST = 64
#: Voltage of a charging bank climbs by its reaction as well as by its resistance: half of it at a current that would
#: charge it in so many hours. Common practice, no source.
SLOW_HOURS = 40.0

Meter: TypeAlias = "tuple[Num, Num, float]"


@dataclass(frozen=True)
class World:
    """Samples of one machine, each in a wind of its own.

    Parameters
    ----------
    case : Case
        The sampled sheet.
    machine : Machine
        The solved machine with whatever was altered.
    rotor : RotorCurves
        Its blades.
    wind : array, shape (n,)
        Wind at the rotor in the attempt. [m/s]
    held : float or array, shape (...,)
        Wind from which it is held back; infinite where nothing holds it. [m/s]
    facing : float or array, shape (...,)
        Share of the wind that it feels, 1 where it faces it.
    known : bool
        Whether the wind is on record; what moves with it tells next to nothing where it is not.
    freed : bool
        Whether nothing loads the generator, whatever is said to be connected.
    blocked : bool
        Whether the battery takes no current, the generator's load being elsewhere or none.
    stalled : bool
        Whether it is in the slower of two balances wherever there are two.
    passed : float or array, shape (...,)
        Share of the current behind the rectifier that reaches the battery.
    charged : tuple of float
        Between what shares of its charge the battery stands.
    taken : float or array, shape (...,)
        What draws from the battery besides the loads on the sheet. [W]
    meters : mapping of str to (factor, offset, share)
        By quantity: what the meter makes of a value, and how many of such readings it does that to.
    shown : mapping of str to array
        What is predicted by other means than the balance, by quantity.
    doubt : float
        Doubt of the model besides the usual one, as a share.
    logged : tuple of float
        Winds of a measured power curve that are held against it, as the cup told them. [m/s]
    cup : float or array, shape (...,)
        Wind at the rotor over that at the cup.
    """

    case: Case
    machine: Machine
    rotor: RotorCurves
    wind: Array
    held: Num
    facing: Num = 1.0
    known: bool = True
    freed: bool = False
    blocked: bool = False
    stalled: bool = False
    passed: Num = 1.0
    charged: tuple[float, float] = (0.15, 0.95)
    taken: Num = 0.0
    ohms: Num = 1.0
    inverter_ohms: Num = 1.0
    brake_ohms: Num = 0.0
    meters: Mapping[str, Meter] = field(default_factory=dict)
    shown: Mapping[str, Any] = field(default_factory=dict)
    doubt: float = 0.0
    logged: tuple[float, ...] = ()
    cup: Num = 1.0
    _solved: dict[Any, Any] = field(default_factory=dict, repr=False, compare=False)

    @property
    def n(self) -> int:
        """How many samples."""
        return len(self.wind)

    @property
    def x(self) -> Inputs:
        """The sampled sheet."""
        return self.case.x

    def value(self, entry: Entry[Num], usual: float) -> Num:
        """A number of the sheet, or what is usual where it does not say."""
        found = self.x.maybe(entry)
        return usual if found is None else found

    def but(self, **parts: Any) -> World:
        """The same world with something else about it; what was solved holds where no balance differs."""
        return replace(self, _solved={} if parts.keys() & _MOVES else self._solved, **parts)

    def of_machine(self, **parts: Any) -> World:
        """The same with other numbers of the machine."""
        return self.but(machine=replace(self.machine, **parts))

    def blades(self, torque: Num, ratio: Num) -> World:
        """The same with blades of another torque and of another tip-speed ratio, as shares of what they have.

        A rotor whose curve lies at other ratios is one of another radius in thinner air, as far as its torque goes.
        """
        m, s = self.machine, 1.0 / np.asarray(ratio, dtype=float)
        return self.of_machine(R=m.R * s, rho=m.rho * np.asarray(torque) * s**-2)

    def spread(self, name: str, low: float, high: float) -> Array:
        """Numbers drawn evenly in their logarithm between two positive ones, one for each sample."""
        return np.asarray(np.exp(np.log(low) + self._shares(name) * (np.log(high) - np.log(low))))

    def evenly(self, name: str, low: float, high: float) -> Array:
        """Numbers drawn evenly between two."""
        return low + self._shares(name) * (high - low)

    def _shares(self, name: str) -> Array:
        return shares_of(self.x, name, self.n)

    def feels(self, gust: str = "") -> Array:
        """Wind that the rotor feels, in [m/s]; a reading with something else connected has a gust of its own."""
        V = self.wind * np.exp(GUST * normal(self._shares(f"gust {gust}"))) if gust else self.wind
        felt = np.minimum(V * self.facing, np.broadcast_to(np.asarray(self.held, dtype=float), V.shape))
        return np.asarray(np.maximum(felt, 0.3))

    @property
    def points(self) -> Points:
        """What it does with its battery connected."""
        if "points" not in self._solved:
            self._solved["points"] = self._balanced(
                over_winds(self.feels()), self.stalled | (self._shares("which balance") < 0.5)
            )
        return self._solved["points"]  # type: ignore[no-any-return]

    def _balanced(self, winds: Array, from_rest: Flags) -> Points:
        """What it does in some winds each, shape (n, winds).

        A rotor that has two balances is in the slow one where it came from rest.
        """
        found = balance.operate(self.machine, winds)
        slow = found.forked & from_rest[:, None]
        both = zip(fields(Points), repeat(slow), strict=False)
        return Points(
            **{f.name: np.where(s, getattr(found.standstill, f.name), getattr(found.running, f.name)) for f, s in both}
        )

    @property
    def logged_power(self) -> Array:
        """Power out of the cable in the winds of the measured curve, shape (n, winds), in [W]."""
        if "logged" not in self._solved:
            turned = np.asarray(self.cup * np.exp(CUP_DOUBT * normal(self._shares("cup"))) * self.facing)
            held = np.broadcast_to(np.asarray(self.held, dtype=float), (self.n,))[:, None]
            felt = np.minimum(np.broadcast_to(turned, (self.n,))[:, None] * np.asarray(self.logged), held)
            # Over many minutes it mostly runs, unless it is the slow balance that is meant.
            slow = np.full(self.n, self.stalled)
            self._solved["logged"] = np.asarray(self._balanced(np.maximum(felt, 0.3), slow).charge)
        return self._solved["logged"]  # type: ignore[no-any-return]

    @property
    def free(self) -> tuple[Array, Array]:
        """Speed [rad/s] and rectified voltage [V] with nothing connected."""
        if "free" not in self._solved:
            omega, volts = balance.unloaded(self.machine, over_winds(self.feels("free")))
            self._solved["free"] = np.asarray(omega)[..., 0], np.asarray(volts)[..., 0]
        return self._solved["free"]  # type: ignore[no-any-return]

    @property
    def starts(self) -> Array:
        """Whether it starts from rest in that wind, a shape (n,) of true where that is not known."""
        if "starts" not in self._solved:
            m, V = self.machine, self.feels()
            if not self.rotor.starts:
                self._solved["starts"] = np.ones(self.n, bool)
            else:
                cq = np.asarray(m.cq)[..., :, 0]
                rest = np.broadcast_to(np.median(cq, axis=-1), (self.n,))
                torque = rest * np.asarray(m.rho) * math.pi * np.asarray(m.R) ** 3 * V**2 / 2.0
                self._solved["starts"] = np.asarray(np.broadcast_to(torque >= 0.7 * m.breakaway, (self.n,)))
        return self._solved["starts"]  # type: ignore[no-any-return]

    @property
    def speed(self) -> Array:
        """Speed with the battery connected, in [rad/s]."""
        omega = self.free[0] if self.freed else np.asarray(self.points.omega)[..., 0]
        return np.where(self.starts, omega, 0.0)

    @property
    def current(self) -> Array:
        """Current behind the rectifier with the battery connected, in [A]."""
        if self.freed:
            return np.zeros(self.n)
        return np.where(self.starts, np.asarray(self.points.current)[..., 0], 0.0)

    def drawn(self, load: str) -> Num:
        """Current that is taken from the battery, in [A]."""
        U = self.x.maybe(Sheet.storage.voltage)
        if U is None:
            return 0.0
        P: Num = self.taken
        if load == "battery and loads":
            for label in self.x.labels(Sheet.load):
                P = P + self.value(Sheet.load.power[label], 0.0)
        field = self.x.maybe(Sheet.generator.field_current)
        always = str(self.x.maybe(Sheet.generator.field_supply)) == "always on"
        return np.asarray(P) / U + (field if field is not None and always else 0.0)

    def into_battery(self, load: str) -> Array:
        """Current into the battery as a meter there shows it, in [A]."""
        if self.blocked:
            return np.zeros(self.n)
        return np.asarray(self.current * self.passed - self.drawn(load))

    def at_rest(self) -> Array:
        """Voltage of the bank at rest, in [V]."""
        n, one = cells(self.x)
        share = self.evenly("charge of the battery", *self.charged)
        empty = one.emptied - (0.08 if has_lead(self.x) else 0.10)
        return np.asarray(n * (empty + (one.resting - empty) * share))

    def battery_volts(self, I: Num) -> Array:
        """Voltage at the battery with a current into it, in [V]."""
        n, one = cells(self.x)
        capacity = np.asarray(self.x.storage.capacity) / 3600.0
        slow = capacity / SLOW_HOURS / np.asarray(self.ohms)
        # A bank far from full takes current at little more than its rest voltage; a full one climbs to its window.
        share = 0.3 + 0.7 * self.evenly("charge of the battery", *self.charged) ** 4
        bend = n * (one.charge_high - one.resting) * share * np.asarray(I) / (np.abs(I) + slow)
        bend = np.where(bend < 0, 0.5 * bend, bend)
        V = self.at_rest() + bend + np.asarray(I) * internal_resistance(self.x) * self.ohms
        top = self.machine.V_max
        return np.asarray(np.minimum(V, np.maximum(np.asarray(top) * 1.01, n * one.resting)))


#: Parts of a world on which its balances depend.
_MOVES = frozenset({"machine", "wind", "held", "facing", "stalled", "rotor", "case", "cup", "logged"})


@lru_cache(maxsize=512)
def _quantile(n: int, seed: str) -> Array:
    from calc.machine.spread import draw

    return draw(n, seed)


def shares_of(x: Inputs, name: str, n: int) -> Array:
    """Shares between 0 and 1 of a name, one for each of n samples; without samples, evenly placed ones."""
    return _quantile(n, name)


def normal(shares: Array) -> Array:
    """The same as standard normal numbers."""
    return np.asarray(_NORMAL[np.clip((shares * len(_NORMAL)).astype(int), 0, len(_NORMAL) - 1)])


_NORMAL = np.array([NormalDist().inv_cdf((i + 0.5) / 1000) for i in range(1000)])


def sampled_machine(case: Case, n: int) -> tuple[Solved, Machine] | Unknown:
    """The solved machine with its first n samples; the same one n times where nothing is doubtful."""
    solved = case.solved()
    if isinstance(solved, Unknown):
        return solved
    m = solved.machine
    parts: dict[str, Any] = {}
    shape = m.variants
    for name in vars_of(m):
        value = np.asarray(getattr(m, name))
        if value.dtype.kind != "f" or name in ("tsr", "winds"):
            continue
        tail = value.shape[-2:] if name == "cq" else ()
        lead = value.shape[: value.ndim - len(tail)]
        if lead:
            parts[name] = value[:n]
        elif name != "cq" and not shape:
            parts[name] = np.broadcast_to(value, (n,)).astype(float)
    return solved, replace(m, **parts)


def vars_of(m: Machine) -> tuple[str, ...]:
    """Names of a machine's numbers."""
    return tuple(m.__dataclass_fields__)


def world_of(case: Case) -> World | Unknown:
    """The machine of a sheet with nothing wrong about it, its wind and the doubts of the model drawn."""
    solved = case.solved()
    if isinstance(solved, Unknown):
        return solved
    n = min(solved.machine.variants[0], MOST) if solved.machine.variants else MOST
    x = first_samples(case.x, n)
    found = sampled_machine(case, n)
    if isinstance(found, Unknown):
        return found
    machine = found[1]
    low, high = case.c.wind_low, case.c.wind_high
    known = low is not None and high is not None
    a, b = (max(low, 0.5), max(high, 0.6)) if low is not None and high is not None else (2.5, 12.0)
    V = a + shares_of(x, "attempt.wind", n) * (b - a)
    V = V * np.exp(WIND_DOUBT * normal(shares_of(x, "judged wind", n)))
    held = solved.limit if np.ndim(solved.limit) == 0 else np.asarray(solved.limit)[:n]
    world = World(Case(x, case.c), machine, solved.rotor, np.maximum(V, 0.4), held, known=known)
    return world.blades(
        np.exp(ROTOR_DOUBT * normal(world._shares("torque of the rotor"))),
        np.exp(RATIO_DOUBT * normal(world._shares("ratio of the rotor"))),
    )


def first_samples(x: Inputs, n: int) -> Inputs:
    """The sampled sheet with its first n samples only."""
    values = {k: v[:n] if isinstance(v, np.ndarray) and v.ndim else v for k, v in x.design.values.items()}
    from calc.machine.design import Design

    return Inputs(Design(values, x.design.assumed), x.label, {}, None)
