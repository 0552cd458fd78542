"""From the inputs of the sheet to a machine whose balances can be solved.

What the sheet leaves out is assumed here where there is a ground for it; each assumption is named in the findings
that use it. A blade whose shape is on the sheet is computed strip by strip. Where it is not, the rotor is taken
as a simple curve through its working and its free tip-speed ratio.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, fields
from typing import Any, TypeAlias, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from calc import air, blade, energy, generator, machine, polar, rotor, storage, wind, wiring
from calc.finding import Source
from calc.machine import Machine, Operation, Points
from calc.rules.engine import Inputs, Judgement, Unknown
from calc.storage import cell, cells_in_series
from calc.units import Num

Array: TypeAlias = NDArray[np.float64]
T = TypeVar("T")

#: Winds at which the rotor is computed, once for the sheet and once for samples of its doubts; between them its
#: curves change little, by far less than the doubts. [m/s]
LEVELS, FEW_LEVELS = np.array([4.0, 10.0, 25.0]), np.array([5.0, 16.0])
#: Tip-speed ratios and stations of the rotor's curves: enough for power within 1 %.
RATIOS = np.concatenate([[0.5], np.arange(1.0, 10.1, 0.5), [11.0, 12.0, 14.0, 17.0]])
STATIONS = 12
#: Winds of the power curve, for the sheet and for samples. [m/s]
WINDS, FEW_WINDS = np.arange(1.0, 25.5, 0.5), np.arange(1.0, 25.5, 1.0)
#: Power coefficient below which a rotor is said to drive nothing.
LEAST_POWER = 0.02
#: Share of the rotor's radius at which blades usually begin. Common practice, no source.
ROOT_SHARE = 0.12
#: Blades carved or moulded to a proper section, where their shape is not on the sheet: from memory.
CARVED = ("wood", "glass-fibre")
CARVED_RATIO, CARVED_FREE, CARVED_POWER = (6.0, 1.2), (9.6, 1.25), (0.35, 1.15)
#: Wind from which rotors that can be held back are usually set to be. Common practice, no source. [m/s]
USUAL_LIMIT = 12.0
#: Inductance of a winding in seconds, L / R: a fifth of a millisecond to two, by size. From memory. [s]
INDUCTANCE_TIME = 6e-4

BALANCE = Source(
    "Torque and voltage in balance at each wind", "blade-element momentum after Ning, 2014, and Buhl, 2005"
)
SECTION_TABLE = Source(
    "Arc-plate sections", "estimate by a neural surrogate; no measured table was to be had", "own estimate"
)

AIR = ("site.air_temperature", "site.altitude")
ARC = ("blade.pipe_diameter", "blade.pipe_wall", "blade.chord_root", "blade.chord_tip")
NEEDS = (
    *AIR,
    "rotor.diameter",
    "rotor.blades",
    "generator.emf_constant",
    "generator.emf_form",
    "generator.phases",
    "generator.winding_resistance",
    "generator.diode_drop",
    "generator.insulation",
    "storage.chemistry",
    "storage.voltage",
    "storage.capacity",
    "site.storm_wind",
)


@dataclass(frozen=True, slots=True)
class Rotor:
    """A rotor's curves, and what its blades weigh where their shape is known.

    Parameters
    ----------
    winds : array, shape (levels,)
        Winds of the curves. [m/s]
    tsr : array, shape (ratios,)
        Even tip-speed ratios from zero.
    cq : array, shape (..., levels, ratios)
        Torque coefficient.
    cm : array, shape (..., levels, RATIOS), or None
        Bending moment of one blade at its root, on :data:`RATIOS`.
    masses, root : Masses, RootSection, or None
        Of one blade cut from pipe.
    starts : bool
        Whether the torque at rest is known.
    """

    winds: Array
    tsr: Array
    cq: Array
    cm: Array | None = None
    masses: blade.Masses | None = None
    root: blade.RootSection | None = None
    starts: bool = True

    def best(self) -> tuple[Array, Array]:
        """Tip-speed ratio and power coefficient of the best point at the middle wind, shape (...,)."""
        cp = self.cq[..., len(self.winds) // 2, :] * self.tsr
        at = np.argmax(cp, axis=-1)
        tsr = np.asarray(np.maximum(self.tsr[at], self.tsr[1]))
        return tsr, np.asarray(np.take_along_axis(cp, np.asarray(at)[..., None], axis=-1)[..., 0])

    def free(self, V: Num) -> Num:
        """Tip-speed ratio at which it drives nothing, bearings neglected, shape (...,)."""
        level = np.interp(np.log(V), np.log(self.winds), np.arange(len(self.winds)))
        low = np.clip(np.floor(level).astype(int), 0, max(len(self.winds) - 2, 0))
        shape = np.broadcast_shapes(np.shape(low), self.cq.shape[:-2])
        cq = np.broadcast_to(self.cq, (*shape, *self.cq.shape[-2:]))
        rows = np.indices(shape, sparse=True) if shape else ()
        up = np.asarray(level - low)[..., None]
        one = cq[(*rows, low)] * (1 - up) + cq[(*rows, np.minimum(low + 1, len(self.winds) - 1))] * up
        falls = (one[..., :-1] > 0) & (one[..., 1:] <= 0)
        last = (falls.shape[-1] - 1 - np.argmax(falls[..., ::-1], axis=-1))[..., None]
        a, b = (np.take_along_axis(one, last + i, axis=-1)[..., 0] for i in (0, 1))
        ratio = self.tsr[last[..., 0]] + self.tsr[1] * a / np.where(a > b, a - b, 1.0)
        return np.asarray(np.where(falls.any(axis=-1), ratio, self.tsr[1]))

    def bending(self, V: Num, tsr: Num) -> Num | None:
        """Bending coefficient of one blade's root at a wind and tip-speed ratio, shape (...,)."""
        if self.cm is None:
            return None
        level = np.interp(np.log(V), np.log(self.winds), np.arange(len(self.winds)))
        low = np.minimum(np.floor(level).astype(int), len(self.winds) - 2)
        place = np.interp(tsr, RATIOS, np.arange(len(RATIOS)))
        left = np.minimum(np.floor(place).astype(int), len(RATIOS) - 2)
        up, right = level - low, place - left
        shape = np.broadcast_shapes(np.shape(low), np.shape(left), self.cm.shape[:-2])
        cm = np.broadcast_to(self.cm, (*shape, *self.cm.shape[-2:]))
        rows = np.indices(shape, sparse=True) if shape else ()
        corner = {(i, j): cm[(*rows, low + i, left + j)] for i in (0, 1) for j in (0, 1)}
        below = corner[0, 0] * (1 - right) + corner[0, 1] * right
        above = corner[1, 0] * (1 - right) + corner[1, 1] * right
        return np.asarray(below * (1 - up) + above * up)


@dataclass(frozen=True, slots=True)
class Solved:
    """A machine and what it does over a range of winds.

    Parameters
    ----------
    machine, rotor : Machine, Rotor
        What was solved.
    operation : Operation
        Balances at each of ``winds``, held back above ``limit``; shape (..., winds).
    winds : array, shape (winds,)
        :data:`WINDS`, or fewer for samples. [m/s]
    limit : float or array, shape (...,)
        Wind from which the rotor is held back; infinite where nothing holds it. [m/s]
    storm : float or array, shape (...,)
        Strongest wind to be survived. [m/s]
    omega_free, V_free : float or array, shape (...,)
        Speed [rad/s] and rectified voltage [V] in that storm with nothing connected and nothing holding back.
    charging, starting : float or array, shape (...,)
        Wind in which charging begins, and in which a rotor at rest starts (not a number where that is not known).
        [m/s]
    """

    machine: Machine
    rotor: Rotor
    operation: Operation
    winds: Array
    limit: Num
    storm: Num
    omega_free: Num
    V_free: Num
    charging: Num
    starting: Num
    #: What was solved before: many readings are of the same few winds.
    _known: dict[tuple[str, tuple[int, ...], bytes], Any] = field(default_factory=dict, repr=False, compare=False)

    def _once(self, what: str, winds: Array, make: Callable[[Array], T]) -> T:
        key = (what, winds.shape, winds.tobytes())
        if key not in self._known:
            self._known[key] = make(winds)
        return cast(T, self._known[key])

    def running(self, winds: Array) -> Points:
        """What the running machine does in some winds, shape (..., winds), held back as in ``operation``."""
        held = np.asarray(np.minimum(winds, last(self.limit)), dtype=float)
        return self._once("running", held, lambda V: machine.operate(self.machine, V).running)

    def unloaded(self, winds: Array) -> tuple[Array, Array]:
        """Speed [rad/s] and rectified voltage [V] with nothing connected in some winds, shape (..., winds)."""
        return self._once("unloaded", np.asarray(winds, dtype=float), lambda V: machine.unloaded(self.machine, V))

    def at(self, V: Num) -> Points:
        """What the running machine does in one wind, shape (...,), held back as in ``operation``."""
        points = self.running(np.asarray(V)[..., None])
        return Points(**{f.name: getattr(points, f.name)[..., 0] for f in fields(Points)})

    def greatest(self) -> tuple[Array, Array]:
        """Greatest current behind the rectifier [A] over all winds let work on it, and that wind [m/s]; shape (...,).

        A rotor that stalls in strong wind brings its most before.
        """
        storm, along = self.at(self.storm).current, self.operation.running.current
        at = np.argmax(along, axis=-1)
        most = np.take_along_axis(along, np.asarray(at)[..., None], axis=-1)[..., 0]
        wind = np.where(storm > most, self.storm, self.winds[at])
        return np.asarray(np.maximum(storm, most)), np.asarray(np.minimum(wind, self.limit))

    @property
    def greatest_current(self) -> Array:
        """The first of :meth:`greatest`."""
        return self.greatest()[0]


def solve(x: Inputs) -> Solved | Unknown:
    """Assemble and solve the machine of a sheet; computed once for all rules."""
    return x.shared("machine", _solve)


def _solve(x: Inputs) -> Solved | Unknown:
    missing = tuple(path for path in NEEDS if x.get(path) is None)
    runs = _runs(x)
    missing += tuple(
        f"cable.{label}.{name}"
        for label in runs
        for name in ("length", "area")
        if x.get(f"cable.{label}.{name}") is None
    )
    if missing:
        return Unknown("", missing)
    if x.word("generator.phases") == "single-phase":
        return Unknown("A single-phase winding charges in pulses, which the machine's balance does not cover")
    try:
        turning = rotor_of(x)
        if isinstance(turning, Unknown):
            return turning
        if turning.best()[1].ndim == 0 and turning.best()[1] < LEAST_POWER:
            return Unknown("Blades of this shape, set at this angle, drive nothing at any speed")
        return _operate(x, turning, runs)
    except ValueError as e:
        return Unknown(f"The machine cannot be solved: {e}")


def _runs(x: Inputs) -> tuple[str, ...]:
    return tuple(label for label in x.labels("cable") if str(x.get(f"cable.{label}.carries")).startswith("generator"))


def _cable_resistance(x: Inputs, runs: tuple[str, ...]) -> Num:
    """Resistance there and back; three wires ahead of a six-pulse bridge lose the same as a pair behind it."""
    total: Num = 0.0
    for label in runs:
        total = total + run_resistance(x, label)
    return total


def run_resistance(x: Inputs, label: str) -> Num:
    """Resistance of a cable run there and back with its joints, in [ohm]; its length and size must be known."""
    words = (x.word(f"cable.{label}.material"), x.num(f"cable.{label}.temperature"), x.word(f"cable.{label}.strands"))
    r = wiring.resistance(x.num(f"cable.{label}.area"), *words)
    return 2.0 * x.num(f"cable.{label}.length") * r + x.num(f"cable.{label}.joints")


def rotor_of(x: Inputs) -> Rotor | Unknown:
    """The rotor of a sheet: from the shape of its blades, or as a simple curve; computed once for all rules."""
    return x.shared("rotor", _rotor)


def free_ratio(x: Inputs, V: Num) -> Num:
    """Tip-speed ratio in a wind with nothing connected: computed from the blades, or from the sheet."""
    turning = None if x.given("rotor.free_tip_speed_ratio") else shaped(x)
    return free_assumed(x) if turning is None else turning.free(V)


def shaped(x: Inputs) -> Rotor | None:
    """The rotor computed from the shape of its blades; None where the sheet does not give enough for that."""
    if any(x.maybe(path) is None for path in ("rotor.diameter", "rotor.blades", *AIR)):
        return None
    turning = rotor_of(x)
    return turning if isinstance(turning, Rotor) and turning.starts else None


def carved(x: Inputs) -> bool:
    """Whether the blades are said to be carved or moulded, so that what holds for pipe does not hold for them."""
    return x.get("blade.material") in CARVED


def _assumed(x: Inputs, path: str, usual: tuple[float, float], why: str) -> Num:
    return x.else_assume(path, usual[0], why, usual[1]) if carved(x) else x.num(path)


def working_ratio(x: Inputs) -> Num:
    """Tip-speed ratio at which the rotor works best: computed from the blades, else as stated or assumed."""
    turning = None if x.given("rotor.tip_speed_ratio") else shaped(x)
    return ratio_assumed(x) if turning is None else turning.best()[0]


def ratio_assumed(x: Inputs) -> Num:
    """Working tip-speed ratio as stated, else as usual for the kind of blade."""
    return _assumed(x, "rotor.tip_speed_ratio", CARVED_RATIO, "three carved blades; from memory")


def free_assumed(x: Inputs) -> Num:
    """Tip-speed ratio with nothing connected as stated, else as usual for the kind of blade."""
    return _assumed(x, "rotor.free_tip_speed_ratio", CARVED_FREE, "about 1.6 times the working value; common practice")


def power_assumed(x: Inputs) -> Num:
    """Share of the wind's power as stated, else as usual for the kind of blade."""
    return _assumed(
        x, "rotor.power_coefficient", CARVED_POWER, "carved blades of a proper section take 0.30 to 0.40; from memory"
    )


def power_share(x: Inputs) -> tuple[Num, str]:
    """Share of the wind's power that the rotor takes at its best, and in a word or two how that is known."""
    turning = None if x.given("rotor.power_coefficient") else shaped(x)
    if turning is not None:
        # A rotor that drives nothing would be divided by; a millionth is as little to whoever reads it.
        return np.maximum(turning.best()[1], 1e-6), "computed from its blades"
    return power_assumed(x), "as the sheet states" if x.given("rotor.power_coefficient") else "assumed"


def _rotor(x: Inputs) -> Rotor | Unknown:
    try:
        return _shape(x)
    except ValueError as e:
        return Unknown(f"The rotor cannot be computed: {e}")


def _shape(x: Inputs) -> Rotor | Unknown:
    if x.given("rotor.power_coefficient"):
        return _simple(x)
    if carved(x) and not x.given("blade.section"):
        return _simple(x)
    section = x.get("blade.section")
    if section == "arc of the pipe" and all(x.given(path) for path in ARC):
        return _from_pipe(x)
    if len(x.labels("station")) >= 2 and section in polar.NAMED:
        return _carved(x, str(section))
    return _simple(x)


def _curves(x: Inputs, shape: blade.Blade, section: polar.Section | None) -> Rotor:
    B, lift, drag = x.num("rotor.blades"), x.num("blade.lift_factor"), x.num("blade.drag_factor")
    levels = LEVELS if x.drawn is None else FEW_LEVELS
    each = [rotor.curve(shape, V, B, RATIOS, section, lift, drag) for V in levels]
    rest = [np.asarray(rotor.starting_cq(shape, B, section, lift, V)) for V in levels]
    variants = np.broadcast_shapes(*(c.cp.shape[:-1] for c in each), *(r.shape for r in rest))
    cp = np.stack([np.broadcast_to(c.cp, (*variants, len(RATIOS))) for c in each], axis=-2)
    cm = np.stack([np.broadcast_to(c.cm, (*variants, len(RATIOS))) for c in each], axis=-2)
    tsr, cq = machine.torque_curve(RATIOS, cp, np.stack([np.broadcast_to(r, variants) for r in rest], axis=-1))
    return Rotor(levels, tsr, cq, cm)


def _root_radius(x: Inputs) -> Num:
    R = x.num("rotor.diameter") / 2.0
    return x.else_assume("blade.root_radius", ROOT_SHARE * R, "an eighth of the radius; common practice, no source")


def _from_pipe(x: Inputs) -> Rotor:
    D, t, root, tip = (x.num(path) for path in ARC)
    R, r_root, angle = x.num("rotor.diameter") / 2.0, _root_radius(x), x.num("blade.mounting_angle")
    edge = x.word("blade.straight_edge")
    assert edge in ("trailing", "leading", "neither")
    shape = blade.cut_from_pipe(D, t, root, tip, R, r_root, angle, edge, STATIONS)  # type: ignore[arg-type]
    turning = _curves(x, shape, None)
    masses = blade.pipe_masses(D, t, root, tip, R, r_root)
    measured = x.maybe("blade.mass")
    if measured is not None:
        share = measured / masses.mass
        masses = blade.Masses(measured, masses.r_cog, masses.inertia * share)
    section = blade.root_section(D, t, root, tip, angle, edge)  # type: ignore[arg-type]
    return Rotor(turning.winds, turning.tsr, turning.cq, turning.cm, masses, section)


def _carved(x: Inputs, section: str) -> Rotor | Unknown:
    labels = x.labels("station")
    missing = tuple(
        f"station.{label}.{name}"
        for label in labels
        for name in ("radius", "chord", "twist")
        if x.get(f"station.{label}.{name}") is None
    )
    if missing:
        return Unknown("", missing)
    # A table is one shape: where its numbers are sampled, the middle of each is taken.
    table = sorted(
        tuple(float(np.mean(x.num(f"station.{label}.{name}"))) for name in ("radius", "chord", "twist"))
        for label in labels
    )
    r, chord, twist = (np.array(column) for column in zip(*table, strict=True))
    R = x.num("rotor.diameter") / 2.0
    if float(np.max(R)) > r[-1]:
        r, chord, twist = np.append(r, np.max(R)), np.append(chord, chord[-1]), np.append(twist, twist[-1])
    shape = blade.given(r, chord, twist, R, r[0], STATIONS)
    return _curves(x, shape, polar.named(section))


def _simple(x: Inputs) -> Rotor:
    """A curve with its top at the working tip-speed ratio, falling to nothing at the free one."""
    best, free, Cp = ratio_assumed(x), free_assumed(x), power_assumed(x)
    if np.any(np.asarray(free) <= best):
        raise ValueError("the free tip-speed ratio must be greater than the working one")
    tsr = np.arange(0.0, float(np.max(free)) * 1.02 + 0.2, 0.1)
    lo, lf, top = (np.asarray(v, dtype=float)[..., None] for v in (best, free, Cp))
    rising = np.maximum((lf - tsr) / (lf - lo), 0.0) ** ((lf - lo) / lo)
    cq = np.where(tsr < lf, top / lo * rising, -0.01 * (tsr - lf))
    return Rotor(np.array([8.0]), tsr, cq[..., None, :], starts=False)


def _battery(x: Inputs) -> tuple[Num, Num, Num]:
    """Open voltage, internal resistance, and the voltage at which the dump load comes in."""
    chemistry, V = x.word("storage.chemistry"), x.num("storage.voltage")
    V_oc = cells_in_series(V, chemistry) * cell(chemistry).resting
    usual = storage.usual_resistance(V, x.num("storage.capacity"), chemistry)
    R = x.else_assume("storage.internal_resistance", usual.likely, usual.how, 2.0)
    held = x.maybe("storage.charge_voltage")
    dumped = x.get("dump.kind") not in (None, "none")
    V_max = held if held is not None and dumped else math.inf
    # A dump load set below the resting voltage would take all: that is the charge-voltage rule's to say.
    return V_oc, R, np.where(np.asarray(V_max) > V_oc, V_max, math.inf)


def _heat(x: Inputs) -> Num:
    R = x.num("generator.winding_resistance")
    given, rated = x.maybe("generator.thermal_resistance"), x.maybe("generator.rated_current")
    if given is not None:
        return given
    if rated is None:
        return 0.0
    return generator.thermal_resistance(rated, R, x.word("generator.insulation"))


def _operate(x: Inputs, turning: Rotor, runs: tuple[str, ...]) -> Solved:
    form, phases = x.word("generator.emf_form"), x.word("generator.phases")
    k = generator.emf_rectified(x.num("generator.emf_constant"), form, phases)
    R_w, brushes = x.num("generator.winding_resistance"), phases == "DC with brushes"
    friction, eddy, cogging = generator.assumed_drag(k, R_w)
    size = "from the size of the generator; own estimate, no source"
    L = (
        0.0
        if brushes
        else x.else_assume("generator.inductance", INDUCTANCE_TIME * R_w, "from the winding; from memory", 3.0)
    )
    V_oc, R_b, V_max = _battery(x)
    built = Machine(
        tsr=turning.tsr,
        winds=turning.winds,
        cq=np.concatenate([turning.cq[..., :-1], np.minimum(turning.cq[..., -1:], 0.0)], axis=-1),
        R=x.num("rotor.diameter") / 2.0,
        rho=air.density(x.num("site.air_temperature"), air.pressure(x.num("site.altitude"))),
        k=k,
        R_w=R_w,
        V_d=(1.0 if brushes else 2.0) * x.num("generator.diode_drop"),
        V_oc=V_oc,
        L=L / 2.0,
        p=1.0
        if brushes
        else x.else_assume("generator.pole_pairs", 10.0, "between a servo motor's 4 and a hub motor's 23", 2.3),
        T_0=x.else_assume("generator.drag_torque", friction, size, 3.0),
        b=eddy,
        T_cog=x.else_assume("generator.cogging_torque", cogging, size, 3.0),
        R_c=_cable_resistance(x, runs),
        R_b=R_b,
        V_max=V_max,
        R_th=_heat(x),
        T_air=x.num("site.air_temperature"),
    )
    limit = limit_wind(x)
    storm = x.num("site.storm_wind")
    omega, V_free = (v[..., 0] for v in machine.unloaded(built, np.asarray(storm, dtype=float)[..., None]))
    winds = WINDS if x.drawn is None else FEW_WINDS
    held = np.minimum(winds, np.asarray(limit, dtype=float)[..., None])
    return Solved(
        machine=built,
        rotor=turning,
        operation=machine.operate(built, held),
        winds=winds,
        limit=limit,
        storm=storm,
        omega_free=omega,
        V_free=V_free,
        charging=machine.charging_wind(built),
        starting=machine.starting_wind(built) if turning.starts else np.full(built.variants, np.nan),
    )


def limit_wind(x: Inputs) -> Num:
    """Wind from which the rotor is held back, in [m/s]; infinite where nothing holds it."""
    stated = x.maybe("rotor.limit_wind")
    if x.get("rotor.overspeed") in (None, "none"):
        return math.inf
    if stated is not None:
        return stated
    return x.else_assume(
        "rotor.limit_wind", USUAL_LIMIT, "where tails are usually set to fold; common practice, no source", 1.25
    )


def with_machine(judge: Callable[[Inputs, Solved], Judgement | Unknown]) -> Callable[[Inputs], Judgement | Unknown]:
    """A judging function that is given the solved machine, or passes on why there is none."""

    def judged(x: Inputs) -> Judgement | Unknown:
        solved = solve(x)
        return solved if isinstance(solved, Unknown) else judge(x, solved)

    return judged


def greatest_current(x: Inputs) -> tuple[Array, Array] | Unknown:
    """What :meth:`Solved.greatest` gives, computed once for all rules."""
    return x.shared("greatest current", _greatest)


def _greatest(x: Inputs) -> tuple[Array, Array] | Unknown:
    if not has_battery(x):
        return Unknown("The machine is solved with a battery only")
    solved = solve(x)
    return solved if isinstance(solved, Unknown) else solved.greatest()


def has_battery(x: Inputs) -> bool:
    """Whether the sheet does not say that there is no battery."""
    return x.get("storage.chemistry") != "none"


def last(x: Num) -> Array:
    """A number per variant with a last axis for the winds."""
    return np.asarray(x, dtype=float)[..., None]


def how_often(x: Inputs, winds: Array, Vm: Num) -> Array:
    """Density with which each wind blows, shape (..., winds)."""
    k = x.num("site.wind_spread")
    return np.asarray(wind.weibull_pdf(winds, last(wind.weibull_scale(Vm, k)), last(k)))


def yearly(x: Inputs, winds: Array, power: Array, Vm: Num) -> Num:
    """Energy of a year from a power over winds, shape (..., winds), in [J]."""
    k = x.num("site.wind_spread")
    mean = energy.mean_power(winds, power, wind.weibull_scale(Vm, k), k + 0.0 * np.asarray(Vm))
    return energy.annual_energy(mean, 0.0, x.num("site.availability"))
