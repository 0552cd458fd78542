r"""The whole machine: rotor, generator, rectifier, cable and battery in balance at every wind speed.

The rotor turns at the speed at which its torque equals that of the generator and its drag, while the rectified
voltage equals that of the battery and of everything on the way to it:

.. math:: \tfrac{1}{2} \rho A R V^2 C_Q(\lambda) = T_0 + b\omega + k f I, \qquad
          k f \omega = V_{bat}(I) + V_d + I (R_w + R_c), \qquad I \ge 0

where ``f`` is the share of the voltage that commutation leaves and ``R_w`` the resistance of the warm winding.
For a given current the second equation gives the speed without any search, warm winding included. So the
current, not the speed, is what is looked for.

There can be several balances. A rotor that the battery holds too slow stalls: it turns at a low balance, although
at a higher one it would give more. All balances are found, and both ends are followed: from standstill and from
running.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from typing import Any, TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

from calc.physics import generator
from calc.units import Num

Array: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]
Index: TypeAlias = NDArray[np.intp]

#: A loaded rotor below this share of its best tip-speed ratio is called stalled. Own choice, no source.
STALLED = 0.6
#: No winding of a small machine lasts above this: insulation class H, 180 degC. [K]
BURNT = 453.15
#: Currents at which the balance is looked at, between none and the most a wind can give.
_CURRENTS = 96
#: Variants worked on at once, so that what they need stays in the cache of one core.
_TOGETHER = 32
#: Nearest to a current that no speed reaches, as a share of it.
_ALMOST = 1.0 - 1e-9
#: Steps of the search inside a bracket: every third halves it, so this many always suffice.
_STEPS = 160
#: Winds at which the first wind that moves something is looked for. [m/s]
_WINDS: Array = np.geomspace(0.2, 60.0, 121)


@dataclass(frozen=True, slots=True)
class Machine:
    """A rotor, a generator and what it charges. Numbers may be arrays with a leading axis of variants.

    Parameters
    ----------
    tsr : array, shape (ratios,)
        Tip-speed ratios, evenly spaced from zero; see :func:`torque_curve`.
    winds : array, shape (levels,)
        Wind speeds at which the rotor was computed, rising. Between them the curves are joined in a straight line
        over the logarithm of the wind; beyond them the nearest holds, since there a rotor changes little. [m/s]
    cq : array, shape (..., levels, ratios)
        Torque coefficient, torque / (rho A V^2 R / 2); the first is that of the rotor at rest, the last must not
        be positive.
    R : float or array, shape (...,)
        Radius of the rotor. [m]
    rho : float or array, shape (...,)
        Air density. [kg/m3]
    k : float or array, shape (...,)
        Mean voltage behind the rectifier per speed, nothing connected. [V s/rad]
    R_w : float or array, shape (...,)
        Resistance of the winding between two leads at 20 degC. [ohm]
    V_d : float or array, shape (...,)
        Voltage lost in all diodes on the way. [V]
    V_oc : float or array, shape (...,)
        Voltage of the battery without current. [V]
    L, p : float or array, shape (...,)
        Inductance of one phase [H] and pole pairs; zero inductance for a machine with brushes.
    T_0, b : float or array, shape (...,)
        Drag of bearings and iron, ``T_0 + b omega``. [N m], [N m s/rad]
    T_cog : float or array, shape (...,)
        Cogging torque, which holds the rotor only at rest. [N m]
    R_c : float or array, shape (...,)
        Resistance of the cable there and back; three wires ahead of a six-pulse bridge count the same. [ohm]
    R_b : float or array, shape (...,)
        Internal resistance of the battery. [ohm]
    V_max : float or array, shape (...,)
        Voltage that the dump load holds: it takes the current that would drive the battery higher. Infinite
        without one. It counts only where the battery has an internal resistance. [V]
    R_th : float or array, shape (...,)
        Rise of the winding per watt lost in its copper; zero keeps it at the temperature of the air. [K/W]
    T_air : float or array, shape (...,)
        Air around the generator. [K]

    Raises
    ------
    ValueError
        If a number lies outside its range or the curve of the rotor cannot be used.

    Notes
    -----
    Steady wind, three-phase winding behind a six-pulse bridge or a machine with brushes behind a diode. A
    single-phase winding charges in pulses, see :func:`calc.physics.generator.pulse_charging`, and is not covered.
    """

    tsr: Array
    winds: Array
    cq: Array
    R: Num
    rho: Num
    k: Num
    R_w: Num
    V_d: Num
    V_oc: Num
    L: Num = 0.0
    p: Num = 1.0
    T_0: Num = 0.0
    b: Num = 0.0
    T_cog: Num = 0.0
    R_c: Num = 0.0
    R_b: Num = 0.0
    V_max: Num = math.inf
    R_th: Num = 0.0
    T_air: Num = generator.COLD

    def __post_init__(self) -> None:
        for name in ("R", "rho", "k", "R_w", "V_oc"):
            if not np.all(np.greater(getattr(self, name), 0)):
                raise ValueError(f"{name} must be positive")
        for name in ("V_d", "L", "p", "T_0", "b", "T_cog", "R_c", "R_b", "R_th"):
            if not np.all(np.greater_equal(getattr(self, name), 0)):
                raise ValueError(f"{name} must not be negative")
        if not np.all(np.greater(self.V_max, self.V_oc)):
            raise ValueError("the dump load must switch above the voltage of the battery")
        if not np.all(np.greater_equal(self.T_air, 173.15)):
            raise ValueError("the air around the generator must be warmer than -100 degC")
        self._check_rotor()

    def _check_rotor(self) -> None:
        tsr, winds, cq = self.tsr, self.winds, self.cq
        even = len(tsr) > 1 and np.allclose(tsr, np.linspace(0.0, tsr[-1], len(tsr)), rtol=1e-9, atol=1e-9)
        if not even or tsr[-1] <= 0:
            raise ValueError("the tip-speed ratios must be evenly spaced from zero")
        if winds.ndim != 1 or not np.all(winds > 0) or not np.all(np.diff(winds) > 0):
            raise ValueError("the winds of the rotor's curves must be positive and rise")
        if cq.shape[-2:] != (len(winds), len(tsr)) or not np.all(np.isfinite(cq)):
            raise ValueError("the torque coefficients must be finite, with axes for winds and tip-speed ratios")
        if np.any(cq[..., -1] > 0):
            raise ValueError("the curve must reach the tip-speed ratio at which the rotor gives no torque")

    @property
    def variants(self) -> tuple[int, ...]:
        """Shape of the leading axes."""
        return np.broadcast_shapes(self.cq.shape[:-2], *(np.shape(getattr(self, name)) for name in _NUMBERS))


_NUMBERS = tuple(f.name for f in fields(Machine) if f.name not in {"tsr", "winds", "cq"})


@dataclass(frozen=True, slots=True)
class Points:
    """What the machine does at each wind speed. Every array has shape (..., winds).

    Parameters
    ----------
    omega, tip_speed, tsr, cp : array
        Speed [rad/s], speed of the tips [m/s], tip-speed ratio, and share of the wind's power taken.
    current, voltage : array
        Direct current behind the rectifier [A] and voltage at the battery [V].
    wind, rotor : array
        Power of the wind through the swept area, and what the rotor takes of it. [W]
    drag, copper, diodes, cable, inside_battery, stored, dump : array
        Where the rotor's power goes: bearings and iron, winding, rectifier, cable, internal resistance of the
        battery, its chemistry, and the dump load. They add up to ``rotor``; commutation takes no power. [W]
    winding : array
        Temperature the winding settles at if it goes on long enough. [K]
    best_tsr : array
        Tip-speed ratio at which the rotor takes most at that wind.
    """

    omega: Array
    tip_speed: Array
    tsr: Array
    cp: Array
    current: Array
    voltage: Array
    wind: Array
    rotor: Array
    drag: Array
    copper: Array
    diodes: Array
    cable: Array
    inside_battery: Array
    stored: Array
    dump: Array
    winding: Array
    best_tsr: Array

    @property
    def stalled(self) -> Flags:
        """Whether the rotor charges at less than :data:`STALLED` of its best tip-speed ratio."""
        return (self.current > 0) & (self.tsr < STALLED * self.best_tsr)

    @property
    def burnt(self) -> Flags:
        """Whether the winding would get hotter than any insulation bears if the wind lasted."""
        return self.winding > BURNT

    @property
    def battery(self) -> Array:
        """Power into the battery as a meter at its terminals shows it, in [W]."""
        return self.stored + self.inside_battery

    @property
    def charge(self) -> Array:
        """Power at the end of the cable, into battery and dump load, in [W]."""
        return self.stored + self.inside_battery + self.dump


@dataclass(frozen=True, slots=True)
class Operation:
    """Both ways a machine can work at each wind speed.

    Parameters
    ----------
    running : Points
        The highest stable balance: where a rotor that was fast before stays.
    standstill : Points
        The lowest stable balance: where a rotor that starts from rest gets to. At rest where it does not start.
    forked : array of bool, shape (..., winds)
        Whether the two differ.
    balances : array of int, shape (..., winds)
        Number of stable balances of a turning rotor.
    """

    running: Points
    standstill: Points
    forked: Flags
    balances: Index


def torque_curve(tsr: Array, cp: Array, cq_rest: Num, step: float = 0.1) -> tuple[Array, Array]:
    """Torque coefficients on an even grid from a rotor's power coefficients.

    Parameters
    ----------
    tsr : array, shape (ratios,)
        Tip-speed ratios, positive and rising.
    cp : array, shape (..., ratios)
        Power coefficients.
    cq_rest : float or array, shape (...,)
        Torque coefficient at rest.
    step : float
        Widest spacing of the even grid.

    Returns
    -------
    even : array, shape (nodes,)
        Ratios from zero to the last of ``tsr``.
    cq : array, shape (..., nodes)
        Torque coefficients, in straight lines between those given and the one at rest.

    Raises
    ------
    ValueError
        If the ratios are not positive and rising.

    Examples
    --------
    >>> even, cq = torque_curve(np.array([1.0, 2.0]), np.array([0.1, 0.3]), 0.05, 0.5)
    >>> even, cq
    (array([0. , 0.5, 1. , 1.5, 2. ]), array([0.05 , 0.075, 0.1  , 0.125, 0.15 ]))
    """
    if not np.all(tsr > 0) or not np.all(np.diff(tsr) > 0):
        raise ValueError("the tip-speed ratios must be positive and rise")
    given = np.concatenate([[0.0], tsr])
    rest = np.broadcast_to(np.asarray(cq_rest, dtype=float)[..., None], (*cp.shape[:-1], 1))
    cq = np.concatenate([rest, cp / tsr], axis=-1)
    even = np.linspace(0.0, tsr[-1], math.ceil(tsr[-1] / step - 1e-9) + 1)
    right = np.clip(np.searchsorted(given, even, side="right"), 1, len(given) - 1)
    share = (even - given[right - 1]) / (given[right] - given[right - 1])
    left = cq[..., right - 1]
    return even, np.asarray(left + share * (cq[..., right] - left))


def _flat(machine: Machine) -> dict[str, Array]:
    """All numbers with shape (n,), and ``cq`` with shape (n, levels, ratios)."""
    shape = machine.variants
    n = math.prod(shape)
    flat = {name: np.broadcast_to(getattr(machine, name), shape).astype(float).reshape(n) for name in _NUMBERS}
    ends = machine.cq.shape[-2:]
    flat["cq"] = np.broadcast_to(machine.cq, (*shape, *ends)).reshape(n, *ends)
    return flat


def _groups(x: dict[str, Array]) -> Iterator[tuple[slice, dict[str, Array]]]:
    """Flat numbers, a few variants at a time, and which variants they are."""
    for first in range(0, len(x["R"]), _TOGETHER):
        few = slice(first, first + _TOGETHER)
        yield few, {name: value[few] for name, value in x.items()}


def _levels(winds: Array, V: Array) -> Array:
    """Weights of the rotor's curves at winds ``V``; one more axis, of levels."""
    place = np.interp(np.log(V), np.log(winds), np.arange(len(winds)))
    return np.maximum(0.0, 1.0 - np.abs(place[..., None] - np.arange(len(winds))))


@dataclass(frozen=True, slots=True)
class _Circuit:
    """Everything behind the rotor, as arrays of one shape; gives speed and torque for a current."""

    k: Array
    V_oc: Array
    V_d: Array
    V_max: Array
    R_b: Array
    R_c: Array
    R_air: Array
    R_th: Array
    T_air: Array
    T_0: Array
    b: Array
    per_short: Array
    heat: Array

    @classmethod
    def of(cls, x: dict[str, Array]) -> _Circuit:
        """Circuit of flat numbers."""
        return cls(
            R_air=cast(Array, generator.winding_resistance(x["R_w"], x["T_air"])),
            per_short=np.asarray(1.0 / generator.short_circuit_current(x["k"], x["L"], x["p"])),
            heat=np.asarray(x["R_w"] * x["R_th"] / (generator.COPPER + 20.0)),
            **{name: x[name] for name in ("k", "V_oc", "V_d", "V_max", "R_b", "R_c", "R_th", "T_air", "T_0", "b")},
        )

    def only(self, which: Any) -> _Circuit:
        """Some of it, or with another axis."""
        return _Circuit(**{name: getattr(self, name)[which] for name in self.__slots__})

    def most(self) -> Array:
        """Current that no speed exceeds, by inductance or by heat."""
        with np.errstate(divide="ignore"):
            return np.asarray(1.0 / np.maximum(self.per_short, np.sqrt(self.heat)))

    def winding(self, I: Array) -> Array:
        """Resistance of the warm winding."""
        return self.R_air / (1.0 - self.heat * I * I)

    def battery(self, I: Array) -> Array:
        """Voltage at the battery."""
        return np.minimum(self.V_oc + I * self.R_b, self.V_max)

    def turn(self, I: Array) -> tuple[Array, Array]:
        """Speed at which the current flows, and the torque with it, drag included."""
        kf = self.k * np.asarray(generator.commutation_share(I * self.per_short))
        omega = (self.battery(I) + self.V_d + I * (self.winding(I) + self.R_c)) / kf
        return omega, kf * I + self.T_0 + self.b * omega


def _look_up(table: Array, start: Index, place: Array) -> Array:
    """Interpolate rows of a flat table; ``start`` is where a row begins, ``place`` where in it, in nodes.

    Beyond the end of a row its last value holds.
    """
    last = table.shape[-1] - 1
    place = np.minimum(place, last)
    left = np.minimum(place.astype(np.intp), last - 1)
    share: Array = place - left
    left += start
    flat = table.reshape(-1)
    low = flat.take(left)
    left += 1
    share *= flat.take(left) - low
    share += low
    return share


def _currents(circuit: _Circuit, omega_max: Array) -> Array:
    """Currents from none to the most that speeds up to ``omega_max`` give, shape (n, currents).

    The speeds that belong to them rise by about the same share from one to the next. The last lies at or above
    ``omega_max`` where current flows at all.
    """
    begin = (circuit.V_oc + circuit.V_d) / circuit.k
    top = np.maximum(omega_max, begin)
    steps = np.linspace(0.0, 1.0, _CURRENTS)
    speed = begin[:, None] * (top / begin)[:, None] ** steps
    # A cold winding without commutation bounds the current from above; what limits it at any speed is joined
    # to that like a conductance in series.
    free = circuit.k[:, None] * (speed - begin[:, None]) / (circuit.R_air + circuit.R_c)[:, None]
    free = np.maximum(free, 0.0)
    most = circuit.most()
    currents = free / (1.0 + free / most[:, None])
    end = np.minimum(free[:, -1], most * _ALMOST)
    return np.concatenate([currents, np.maximum(end, currents[:, -1])[:, None]], axis=1)


def _search(
    circuit: _Circuit, table: Array, start: Index, to_place: Array, push: Array, low: Array, high: Array
) -> Array:
    """Current at which the torques balance, between ``low`` where the rotor wins and ``high`` where it does not.

    False position with the kept bound weakened (Illinois); every third step halves. All arrays but ``table`` have
    one entry for each search; ``to_place`` turns a speed into a place in the row of ``table``, and ``push`` turns
    a torque coefficient into a torque.
    """

    def excess(I: Array) -> Array:
        omega, T = circuit.turn(I)
        return push * _look_up(table, start, omega * to_place) - T

    found = low.copy()
    who = np.arange(len(low))
    side = np.zeros(len(low))
    f_low, f_high = excess(low), excess(high)
    for step in range(_STEPS):
        gap = f_low - f_high
        t = (low + high) / 2.0 if step % 3 == 2 else low + f_low * (high - low) / np.where(gap > 0, gap, 1.0)
        t = np.clip(t, low, high)
        f = excess(t)
        found[who] = t
        up = f > 0
        low, high = np.where(up, t, low), np.where(up, high, t)
        f_low, f_high = (
            np.where(up, f, np.where(side < 0, f_low / 2.0, f_low)),
            np.where(up, np.where(side > 0, f_high / 2.0, f_high), f),
        )
        side = np.where(up, 1.0, -1.0)
        left = np.flatnonzero((np.abs(f) > 1e-11 * push) & (high - low > 1e-15 * high))
        if not len(left):
            break
        if len(left) < len(who):
            circuit, start = circuit.only(left), start[left]
            who, side, to_place, push = who[left], side[left], to_place[left], push[left]
            low, high, f_low, f_high = low[left], high[left], f_low[left], f_high[left]
    return found


def _zero(high: Array, low: Array) -> Array:
    """Where a straight line from ``high`` > 0 at 0 to ``low`` <= 0 at 1 is zero."""
    # Rounding can put the zero at an end; the bounds keep it inside.
    return np.clip(high / np.maximum(high - low, 1e-300), 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class _Found:
    """A balance at each wind: speed and current, shape (n, winds); zero at rest."""

    omega: Array
    current: Array


@dataclass(frozen=True, slots=True)
class _Drive:
    """What the wind does to the rotor of each variant, shape (n, winds), and ``cq`` at each wind.

    ``push`` turns a torque coefficient into a torque, ``per_node`` is the speed of one step of tip-speed ratio,
    ``start`` where the row of ``cq`` begins in the flat table.
    """

    cq: Array
    V: Array
    push: Array
    per_node: Array
    start: Index

    @classmethod
    def of(cls, machine: Machine, x: dict[str, Array], V: Array) -> _Drive:
        """Drive of flat numbers."""
        return cls(
            cq=np.matmul(_levels(machine.winds, V), x["cq"]),
            V=V,
            push=(0.5 * math.pi * x["rho"] * x["R"] ** 3)[:, None] * V**2,
            per_node=V * machine.tsr[1] / x["R"][:, None],
            start=(np.arange(V.size) * len(machine.tsr)).reshape(V.shape),
        )

    def free(self, x: dict[str, Array]) -> Array:
        """Torque coefficient left over at each ratio when only drag holds the rotor back."""
        left = self.cq - (x["T_0"][:, None] / self.push)[..., None]
        left -= (x["b"][:, None] * self.per_node / self.push)[..., None] * np.arange(self.cq.shape[-1])
        return left

    def loaded(self, circuit: _Circuit) -> tuple[Array, Array, Flags]:
        """Currents and their speeds, shape (n, currents), and whether the rotor wins there at each wind."""
        currents = _currents(circuit, (self.cq.shape[-1] - 1) * self.per_node.max(axis=1))
        speeds, torques = circuit.only((slice(None), None)).turn(currents)
        cq = _look_up(self.cq, self.start[..., None], speeds[:, None, :] * (1.0 / self.per_node)[..., None])
        cq *= self.push[..., None]
        return currents, speeds, cq > torques[:, None, :]


def _balance(x: dict[str, Array], circuit: _Circuit, drive: _Drive) -> tuple[_Found, _Found, Index]:
    """Lowest balance from rest, highest balance, and how many stable ones there are.

    Below the charging speed only drag holds the rotor back and the balance is a straight line between tip-speed
    ratios; above it the current is looked for. Cells of both parts are numbered through: first those between
    ratios, then those between currents.
    """
    cq, push, per_node, start = drive.cq, drive.push, drive.per_node, drive.start
    nodes = cq.shape[-1]
    free = drive.free(x)
    currents, speeds, above = drive.loaded(circuit)
    wins = np.empty((*push.shape, nodes + currents.shape[1] - 1), dtype=bool)
    slow = np.arange(nodes) * per_node[..., None] < speeds[:, None, :1]
    wins[..., :nodes] = np.where(slow, free > 0, above[..., :1])
    wins[..., nodes:] = above[..., 1:]
    stable = wins[..., :-1] & ~wins[..., 1:]
    count = np.count_nonzero(stable, axis=-1)
    first = np.argmax(stable, axis=-1)
    last = stable.shape[-1] - 1 - np.argmax(stable[..., ::-1], axis=-1)
    starts = push * cq[..., 0] > (x["T_0"] + x["T_cog"])[:, None]
    turns = np.stack([starts & (count > 0), count > 0])
    cells = np.stack([first, last])
    # Where both ends are the same balance it is solved once.
    both = turns[0] & turns[1] & (first == last)
    todo = turns.copy()
    todo[1] &= ~both
    omega, current = np.zeros(cells.shape), np.zeros(cells.shape)
    side, v, w = np.nonzero(todo & (cells < nodes - 1))
    node = cells[side, v, w]
    at_zero = _zero(free[v, w, node], free[v, w, node + 1])
    omega[side, v, w] = np.minimum((node + at_zero) * per_node[v, w], speeds[v, 0])
    side, v, w = np.nonzero(todo & (cells >= nodes - 1))
    at = cells[side, v, w] - (nodes - 1)
    some = circuit.only(v)
    I = _search(some, cq, start[v, w], 1.0 / per_node[v, w], push[v, w], currents[v, at], currents[v, at + 1])
    current[side, v, w] = I
    omega[side, v, w] = some.turn(I)[0]
    omega[1], current[1] = np.where(both, omega[0], omega[1]), np.where(both, current[0], current[1])
    return _Found(omega[0], current[0]), _Found(omega[1], current[1]), count


def _points(x: dict[str, Array], circuit: _Circuit, tsr: Array, drive: _Drive, found: _Found) -> Points:
    """Powers and temperatures of balances that were found."""
    V = drive.V
    c = circuit.only((slice(None), None))
    omega, I = found.omega, found.current
    R = x["R"][:, None]
    tip = omega * R
    q = _look_up(drive.cq, drive.start, omega / drive.per_node)
    wind = (0.5 * math.pi * x["rho"] * x["R"] ** 2)[:, None] * V**3
    voltage = c.battery(I)
    with np.errstate(divide="ignore", over="ignore"):
        taken = np.minimum(I, (c.V_max - c.V_oc) / c.R_b)
    R_w = c.winding(I)
    copper = I * I * R_w
    return Points(
        omega=omega,
        tip_speed=tip,
        tsr=tip / V,
        cp=q * tip / V,
        current=I,
        voltage=voltage,
        wind=wind,
        rotor=wind * q * tip / V,
        drag=(c.T_0 + c.b * omega) * omega,
        copper=copper,
        diodes=c.V_d * I,
        cable=I * I * c.R_c,
        inside_battery=taken * taken * c.R_b,
        stored=taken * c.V_oc,
        dump=(I - taken) * voltage,
        winding=c.T_air + c.R_th * copper,
        best_tsr=tsr[np.argmax(drive.cq * tsr, axis=-1)],
    )


def _spread(a: Array, shape: tuple[int, ...]) -> tuple[Array, tuple[int, ...]]:
    """Winds or speeds with shape (n, winds), and the shape of what comes out."""
    if np.ndim(a) == 0:
        raise ValueError("winds and speeds must be arrays")
    if not shape:
        # One machine may stand in winds of any shape, such as those of variants that differ in the wind only.
        return np.asarray(a, dtype=float).reshape(1, -1), np.shape(a)
    full = np.broadcast_shapes((*shape, 1), np.shape(a))
    if full[:-1] != shape:
        raise ValueError("winds and speeds must fit the variants of the machine")
    return np.broadcast_to(a, full).astype(float).reshape(math.prod(shape), full[-1]), full


def _winds(V: Array, shape: tuple[int, ...]) -> tuple[Array, tuple[int, ...]]:
    if not np.all(np.greater(V, 0)):
        raise ValueError("the winds must be positive")
    return _spread(V, shape)


def operate(machine: Machine, V: Array) -> Operation:
    """What the machine does at given wind speeds.

    Parameters
    ----------
    machine : Machine
        The machine.
    V : array, shape (..., winds)
        Wind speeds. [m/s]

    Returns
    -------
    operation : Operation
        Arrays of shape (..., winds).

    Raises
    ------
    ValueError
        If a wind is not positive or the shapes do not fit.

    Notes
    -----
    Steady wind square to the rotor, which furls nowhere. Every change of sign between the nodes is found and
    closed in on; two balances nearer to each other than the nodes (a step of ``tsr`` where only drag holds the
    rotor, else a few percent in speed) can be missed together.

    The winding is as warm as it gets if the wind lasts, an hour or so. Where :attr:`Points.burnt` is true it fails
    before that, and the numbers say no more than this; without ``R_th`` they show the same wind as a short gust.

    Examples
    --------
    A rotor with a simple curve on a hub motor and a 24 V battery, at 4 and 9 m/s. At 9 m/s the battery holds it
    well below the tip-speed ratio it likes:

    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], R=1.1, rho=1.225, k=1.273, R_w=0.24, V_d=1.8, V_oc=26.4)
    >>> got = operate(m, np.array([4.0, 9.0])).running
    >>> got.omega * 30.0 / np.pi, got.current, got.stalled
    (array([213.1, 223.7]), array([0.893, 6.750]), array([False, True]))
    """
    winds, full = _winds(V, machine.variants)
    parts = [_operate(x, machine, winds[few]) for few, x in _groups(_flat(machine))]
    return cast(Operation, _joined(parts, full))


def _joined(parts: list[Any], full: tuple[int, ...]) -> Any:
    """Put results of several parts together, field by field."""
    first = parts[0]
    if isinstance(first, np.ndarray):
        return np.concatenate(parts).reshape(full)
    return type(first)(**{f.name: _joined([getattr(p, f.name) for p in parts], full) for f in fields(first)})


def _operate(x: dict[str, Array], machine: Machine, V: Array) -> Operation:
    circuit, drive = _Circuit.of(x), _Drive.of(machine, x, V)
    low, high, count = _balance(x, circuit, drive)
    return Operation(
        running=_points(x, circuit, machine.tsr, drive, high),
        standstill=_points(x, circuit, machine.tsr, drive, low),
        forked=high.omega - low.omega > 1e-6 * high.omega,
        balances=count,
    )


def unloaded(machine: Machine, V: Array) -> tuple[Array, Array]:
    """Speed and voltage with nothing connected, the rotor running as fast as it can.

    Parameters
    ----------
    machine : Machine
        The machine.
    V : array, shape (..., winds)
        Wind speeds. [m/s]

    Returns
    -------
    omega, voltage : array, shape (..., winds)
        Speed [rad/s] and mean voltage behind the rectifier [V]; a capacitor there charges to the peaks, which
        stand 4.7 % higher with three phases.

    Raises
    ------
    ValueError
        If a wind is not positive or the shapes do not fit.

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], R=1.1, rho=1.225, k=1.273, R_w=0.24, V_d=1.8, V_oc=26.4)
    >>> omega, voltage = unloaded(m, np.array([25.0]))
    >>> omega * 30.0 / np.pi, voltage
    (array([1736.]), array([231.5]))
    """
    winds, full = _winds(V, machine.variants)
    x = _flat(machine)
    omega = np.concatenate([_free(part, machine, winds[few]) for few, part in _groups(x)])
    return omega.reshape(full), (omega * x["k"][:, None]).reshape(full)


def _free(x: dict[str, Array], machine: Machine, V: Array) -> Array:
    """Highest speed at which the rotor's torque falls to that of the drag, shape (n, winds)."""
    drive = _Drive.of(machine, x, V)
    free = drive.free(x)
    wins = free > 0
    stable = wins[..., :-1] & ~wins[..., 1:]
    node = stable.shape[-1] - 1 - np.argmax(stable[..., ::-1], axis=-1)
    high, low = (np.take_along_axis(free, (node + i)[..., None], axis=-1)[..., 0] for i in (0, 1))
    return np.where(stable.any(axis=-1), (node + _zero(high, low)) * drive.per_node, 0.0)


def _rotor_torque(x: dict[str, Array], machine: Machine, V: Array, omega: Array) -> Array:
    """Torque of the rotor at winds and speeds of shape (n, m)."""
    V, omega = np.broadcast_arrays(V, omega)
    R = x["R"][:, None]
    place = omega * R / V / machine.tsr[1]
    weights = _levels(machine.winds, V)
    levels, nodes = x["cq"].shape[1:]
    rows = np.arange(len(V))[:, None] * levels
    cq = sum(
        weights[..., i] * _look_up(x["cq"], np.broadcast_to((rows + i) * nodes, V.shape), place) for i in range(levels)
    )
    return np.asarray(0.5 * math.pi * x["rho"][:, None] * R**3 * V**2 * cq)


def _first_wind(enough: Callable[[Array], Flags], n: int) -> Array:
    """Lowest wind that is enough for each of ``n`` variants."""
    ok = enough(np.broadcast_to(_WINDS, (n, len(_WINDS))))
    first = np.argmax(ok, axis=1)
    low, high = (_WINDS[np.maximum(first - i, 0)][:, None] for i in (1, 0))
    for _ in range(40):
        middle = (low + high) / 2.0
        up = enough(middle)
        low, high = np.where(up, low, middle), np.where(up, middle, high)
    found = np.where(first > 0, high[:, 0], 0.0)
    return np.where(ok.any(axis=1), found, math.inf)


def starting_wind(machine: Machine) -> Array:
    """Wind in which the rotor starts by itself: its torque at rest against bearings, iron and cogging.

    Parameters
    ----------
    machine : Machine
        The machine.

    Returns
    -------
    V : array, shape (...,)
        Wind speed; zero where it is below 0.2 m/s, infinite where it is above 60 m/s. [m/s]

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, T_0=0.26, T_cog=0.13)
    >>> float(starting_wind(m))
    3.02
    """
    x = _flat(machine)
    held = (x["T_0"] + x["T_cog"])[:, None]
    found = _first_wind(lambda V: _rotor_torque(x, machine, V, np.zeros((1, 1))) > held, len(held))
    return found.reshape(machine.variants)


def charging_wind(machine: Machine) -> Array:
    """Lowest wind in which a running rotor charges, all drag counted.

    Parameters
    ----------
    machine : Machine
        The machine.

    Returns
    -------
    V : array, shape (...,)
        Wind speed; zero where it is below 0.2 m/s, infinite where it is above 60 m/s. [m/s]

    Notes
    -----
    The rotor, running free, reaches the voltage of battery and diodes, and goes on turning as fast when the first
    current flows. Coming from standstill it may need more wind, see :func:`starting_wind`.
    Winds are tried in steps of 5 %; blades that stall may charge in a narrower band below, which is missed.

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, T_0=0.26, b=0.0068)
    >>> float(charging_wind(m))
    3.39
    """

    def of(x: dict[str, Array]) -> Array:
        circuit = _Circuit.of(x)
        return _first_wind(lambda V: np.asarray(_Drive.of(machine, x, V).loaded(circuit)[2].any(axis=-1)), len(x["R"]))

    return np.concatenate([of(x) for _, x in _groups(_flat(machine))]).reshape(machine.variants)


def spin(machine: Machine, omega: Array) -> tuple[Array, Array]:
    """Current and battery voltage at given speeds, as when the generator is spun on a bench.

    Parameters
    ----------
    machine : Machine
        The machine; its rotor does not matter here.
    omega : array, shape (..., speeds)
        Speeds. [rad/s]

    Returns
    -------
    I, voltage : array, shape (..., speeds)
        Direct current [A] and voltage at the battery [V].

    Raises
    ------
    ValueError
        If a speed is negative or the shapes do not fit.

    Examples
    --------
    30 V behind the rectifier against 26.4 V and diodes: 1.8 V drive the current through 0.24 ohm.

    >>> tsr = np.array([0.0, 8.0])
    >>> m = Machine(tsr, np.array([6.0]), np.array([[0.1, -0.1]]), 1.1, 1.225, 1.0, 0.24, 1.8, 26.4)
    >>> [x.tolist() for x in spin(m, np.array([20.0, 30.0]))]
    [[0.0, 7.5], [26.4, 26.4]]
    """
    if not np.all(np.greater_equal(omega, 0)):
        raise ValueError("the speeds must not be negative")
    speed, full = _spread(omega, machine.variants)
    circuit = _Circuit.of(_flat(machine)).only((slice(None), None))
    drive = np.maximum(circuit.k * speed - circuit.V_oc - circuit.V_d, 0.0)
    low = np.zeros(speed.shape)
    high = np.minimum(drive / (circuit.R_air + circuit.R_c), circuit.most() * _ALMOST)
    for _ in range(60):
        middle = (low + high) / 2.0
        more = circuit.turn(middle)[0] < speed
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return high.reshape(full), circuit.battery(high).reshape(full)


def braked(machine: Machine, V: Array, omega: Array | None = None) -> tuple[Array, Flags]:
    """Speed a rotor settles at after the three leads are shorted at the foot of the cable.

    Parameters
    ----------
    machine : Machine
        The machine; three-phase, its cable taken as three wires up to the short.
    V : array, shape (..., winds)
        Wind speeds. [m/s]
    omega : array, shape (..., winds), optional
        Speed at which the brake is thrown; with nothing connected if left out, which is the worst. [rad/s]

    Returns
    -------
    settled : array, shape (..., winds)
        Speed it comes to. [rad/s]
    holds : array of bool, shape (..., winds)
        Whether it is braked to a speed below that of the brake's greatest torque.

    Raises
    ------
    ValueError
        If a wind is not positive or the shapes do not fit.

    Notes
    -----
    Winding at the temperature of the air; a warm one has the same greatest torque, at a higher speed. The torques
    are compared at the steps of ``tsr``. Braking a fast rotor heats the winding and strains the blades.

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> for L in (0.2e-3, 2.0e-3):
    ...     m = Machine(tsr, np.array([6.0]), cq[None, :], 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, L=L, p=23)
    ...     settled, holds = braked(m, np.array([12.0]))
    ...     print(np.round(settled, 1), holds)
    [0.9] [ True]
    [86.3] [False]
    """
    winds, full = _winds(V, machine.variants)
    fast = unloaded(machine, V)[0] if omega is None else omega
    start, _ = _spread(np.broadcast_to(fast, full), machine.variants)
    x = _flat(machine)
    k_ll = x["k"] / generator.MEAN_OVER_RMS["three-phase"]
    R = (generator.winding_resistance(x["R_w"], x["T_air"]) + x["R_c"]) / 2.0
    brake = [np.asarray(a)[:, None] for a in (x["p"], generator.flux_linkage(k_ll, x["p"]), R, x["L"])]

    def wins(V: Array, omega: Array) -> Flags:
        held = generator.brake_torque(omega, *brake) + generator.drag(omega, x["T_0"][:, None], x["b"][:, None])
        return _rotor_torque(x, machine, V, omega) > held

    up = wins(winds, start)
    low, high = np.where(up, start, 0.0), np.where(up, np.inf, start)
    per_node = winds * machine.tsr[1] / x["R"][:, None]
    for node in range(len(machine.tsr)):
        speed = node * per_node
        turns = wins(winds, speed)
        # The nearest node below the start at which the rotor wins, or above it at which it does not.
        low = np.where(turns & np.where(up, (speed > start) & (speed < high), speed < start), speed, low)
        high = np.where(up & ~turns & (speed > start), np.minimum(high, speed), high)
    high = np.where(up, high, np.minimum(start, low + per_node))
    for _ in range(50):
        middle = (low + high) / 2.0
        more = wins(winds, middle)
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    with np.errstate(divide="ignore"):
        peak = brake[2] / (brake[0] * brake[3])
    return high.reshape(full), (~up & (high < peak)).reshape(full)
