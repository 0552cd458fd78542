"""Balances of the loaded machine at given winds: all are found, and both ends are followed."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Any, TypeAlias, cast

import numpy as np

from calc.physics.arrays import Array, Index
from calc.physics.balance.circuit import Circuit
from calc.physics.balance.converted import Converted
from calc.physics.balance.machine import Flat, Machine, few_together, flat_numbers, positive_winds
from calc.physics.balance.results import Operation, Points
from calc.physics.balance.sides import Drive, circuit_behind, look_up
from calc.physics.balance.tracking import track
from calc.physics.roots import bracketed_root

#: Torque coefficient to which the two sides are brought together.
_BALANCED = 1e-11
#: Where a node is moved, the parts into which the way between its neighbours is cut, and how often.
_PARTS, _CLOSER = np.linspace(0.0, 1.0, 17), 3


#: Which end, variant and wind each of some balances belongs to.
_Place: TypeAlias = "tuple[Index, ...]"


@dataclass(frozen=True, slots=True)
class _Excess:
    """Torque that the rotor has to spare at a current; one entry for each balance that is looked for.

    ``start`` is where the row of ``table`` begins, ``to_place`` turns a speed into a place in it, and ``push`` a
    torque coefficient into a torque.
    """

    table: Array
    circuit: Circuit
    start: Index
    to_place: Array
    push: Array

    @classmethod
    def at(cls, drive: Drive, circuit: Circuit, v: Index, w: Index) -> _Excess:
        """For some variants, whose circuits are given, and winds."""
        return cls(drive.cq, circuit, drive.start[v, w], 1.0 / drive.per_node[v, w], drive.push[v, w])

    def __call__(self, I: Array) -> Array:
        omega, T = self.circuit.turn(I)
        return np.asarray(self.push * look_up(self.table, self.start, omega * self.to_place) - T)

    def only(self, which: Index) -> _Excess:
        """Some of them."""
        return _Excess(self.table, self.circuit.only(which), self.start[which], self.to_place[which], self.push[which])


def straight_zero(high: Array, low: Array) -> Array:
    """Where a straight line from ``high`` > 0 at 0 to ``low`` <= 0 at 1 is zero."""
    # Rounding can put the zero at an end; the bounds keep it inside.
    return np.clip(high / np.maximum(high - low, 1e-300), 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class _Found:
    """A balance at each wind: speed, and what the circuit follows, shape (n, winds); zero at rest."""

    omega: Array
    x: Array


def _balance(x: Flat, circuit: Circuit, drive: Drive) -> tuple[_Found, _Found, Index]:
    """Lowest balance from rest, highest balance, and how many stable ones there are.

    Below the charging speed only drag holds the rotor back and the balance is a straight line between tip-speed
    ratios; above it the current is looked for. Cells of both parts are numbered through: first those between
    ratios, then those between currents.
    """
    nodes = drive.cq.shape[-1]
    free = drive.free(x)
    currents, speeds, torques, turned = drive.loaded(circuit)
    turned -= torques[:, None, :]
    at_wind = _moved_to_touch(circuit, drive, currents, turned)
    above = turned > 0
    wins = np.empty((*drive.push.shape, nodes + currents.shape[1] - 1), dtype=bool)
    slow = np.arange(nodes) * drive.per_node[..., None] < speeds[:, None, :1]
    wins[..., :nodes] = np.where(slow, free > 0, above[..., :1])
    wins[..., nodes:] = above[..., 1:]
    stable = wins[..., :-1] & ~wins[..., 1:]
    count = np.count_nonzero(stable, axis=-1)
    cells = np.stack([np.argmax(stable, axis=-1), stable.shape[-1] - 1 - np.argmax(stable[..., ::-1], axis=-1)])
    starts = drive.push * drive.cq[..., 0] > (x["T_0"] + x["T_cog"])[:, None]
    turns = np.stack([starts & (count > 0), count > 0])
    # Where both ends are the same balance it is solved once.
    both = turns[0] & turns[1] & (cells[0] == cells[1])
    turns[1] &= ~both
    omega, current = np.zeros(cells.shape), np.zeros(cells.shape)
    place = np.nonzero(turns & (cells < nodes - 1))
    omega[place] = _free_speed(drive, free, speeds, place, cells[place])
    place = np.nonzero(turns & (cells >= nodes - 1))
    current[place], omega[place] = _loaded_current(circuit, drive, at_wind, place, cells[place] - (nodes - 1))
    omega[1], current[1] = np.where(both, omega[0], omega[1]), np.where(both, current[0], current[1])
    return _Found(omega[0], current[0]), _Found(omega[1], current[1]), count


def _moved_to_touch(circuit: Circuit, drive: Drive, currents: Array, left: Array) -> Array:
    """Move nodes to where the torques come nearest, so that no two balances hide between the nodes.

    Where what is ``left`` to the rotor comes near to nothing at a node, from above or from below, and leaves it again,
    it may have crossed twice on the way. There the nearest point between the neighbours of the node takes its place if
    the other side wins at it.

    Parameters
    ----------
    currents : array, shape (n, currents)
        Nodes.
    left : array, shape (n, winds, currents)
        Torque left to the rotor there; changed where a node is moved.

    Returns
    -------
    currents : array, shape (n, winds, currents)
        Nodes at each wind.
    """
    nodes = np.broadcast_to(currents[:, None, :], left.shape)
    v, w, node, first, last = _near_misses(left)
    if not len(v):
        return nodes
    excess = _Excess.at(drive, circuit.only(v[:, None]), v[:, None], w[:, None])
    above = left[v, w, node] > 0
    side = np.where(above, 1.0, -1.0)[:, None]
    low, high = currents[v, first][:, None], currents[v, last][:, None]
    for _ in range(_CLOSER):
        tried = low + (high - low) * _PARTS
        spare = excess(tried)
        at = np.clip(np.argmin(side * spare, axis=1), 1, len(_PARTS) - 2)[:, None]
        low, high = np.take_along_axis(tried, at - 1, axis=1), np.take_along_axis(tried, at + 1, axis=1)
    best, rest = (np.take_along_axis(x, at, axis=1)[:, 0] for x in (tried, spare))
    hidden = (rest > 0) != above
    place = v[hidden], w[hidden], node[hidden]
    nodes = nodes.copy()
    nodes[place], left[place] = best[hidden], rest[hidden]
    return nodes


def _near_misses(left: Array) -> tuple[Index, Index, Index, Index, Index]:
    """Where what is left comes near to nothing without changing sides: by a fifth, or beside a balance by nine tenths.

    Returns
    -------
    v, w, node, low, high : array of int
        Variant, wind, the node to be moved, and the nodes between which to look. Moving it takes no balance away.
    """
    above, size = left > 0, np.abs(left)
    same = above[..., 1:] == above[..., :-1]
    here, before, after = size[..., 1:-1], size[..., :-2], size[..., 2:]
    dips = same[..., :-1] & same[..., 1:] & (here <= before) & (here <= after)
    dips &= 1.25 * here < np.maximum(before, after)
    rises = ~same[..., :-2] & same[..., 1:-1] & same[..., 2:] & (10.0 * here[..., :-1] < after[..., :-1])
    falls = same[..., :-2] & same[..., 1:-1] & ~same[..., 2:] & (10.0 * here[..., 1:] < before[..., 1:])
    found = [(v, w, i + 1, i, i + 2) for v, w, i in [np.nonzero(dips)]]
    found += [(v, w, i + 2, i + 1, i + 2) for v, w, i in [np.nonzero(rises)]]
    found += [(v, w, i + 1, i + 1, i + 2) for v, w, i in [np.nonzero(falls)]]
    v, w, node, low, high = (np.concatenate(x) for x in zip(*found, strict=True))
    return v, w, node, low, high


def _free_speed(drive: Drive, free: Array, speeds: Array, place: _Place, node: Index) -> Array:
    """Speed at which drag alone holds the rotor, between two tip-speed ratios; no faster than charging begins."""
    _, v, w = place
    at_zero = straight_zero(free[v, w, node], free[v, w, node + 1])
    return np.asarray(np.minimum((node + at_zero) * drive.per_node[v, w], speeds[v, 0]))


def _loaded_current(circuit: Circuit, drive: Drive, currents: Array, place: _Place, cell: Index) -> tuple[Array, Array]:
    """Current at which the torques balance, between two of ``currents`` in a wind, and its speed."""
    _, v, w = place
    some = circuit.only(v)
    excess = _Excess.at(drive, some, v, w)
    low, high = currents[v, w, cell], currents[v, w, cell + 1]
    # The rotor wins at the first and not at the second, but for rounding.
    I = bracketed_root(
        excess,
        low,
        high,
        f_low=np.maximum(excess(low), 0.0),
        f_high=np.minimum(excess(high), 0.0),
        only=excess.only,
        ftol=_BALANCED * excess.push,
    )
    return np.asarray(I), some.turn(np.asarray(I))[0]


def _points(x: Flat, circuit: Circuit, machine: Machine, drive: Drive, found: _Found) -> Points:
    """Powers and temperatures of balances that were found."""
    V = drive.V
    c = circuit.only((slice(None), None))
    omega = found.omega
    R = x["R"][:, None]
    tip = omega * R
    q = look_up(drive.cq, drive.start, omega / drive.per_node)
    wind = (0.5 * math.pi * x["rho"] * x["R"] ** 2)[:, None] * V**3
    rotor = wind * q * tip / V
    tracked = c if machine.converter == "tracks" and isinstance(c, Converted) else None
    at = c.flow(found.x) if tracked is None else tracked.converted(found.x, omega)
    return Points(
        omega=omega,
        tip_speed=tip,
        tsr=tip / V,
        cp=q * tip / V,
        wind=wind,
        rotor=rotor,
        drive=rotor * (1.0 - x["eta"])[:, None],
        drag=c.drag(omega) * omega,
        winding=x["T_air"][:, None] + x["R_th"][:, None] * at.copper,
        **{f.name: getattr(at, f.name) for f in fields(at)},
        best_tsr=machine.tsr[np.argmax(drive.cq * machine.tsr, axis=-1)],
    )


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
    Steady wind square to the rotor, which furls nowhere. Where only drag holds the rotor the torques are straight
    lines and every balance is found. Else each change of sign between nodes a few percent of speed apart is closed in
    on, and where the torques come near between them the nearest point is looked for. Two balances that all but
    touch can still be missed together. Of 168,000 random machines and winds that did not serve to set this, none
    was missed.

    The winding is as warm as it gets if the wind lasts, an hour or so. Where :attr:`Points.winding` is above what its
    insulation withstands it fails before that, and the numbers say no more than this; without ``R_th`` they show the
    same wind as a short gust.

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
    winds, full = positive_winds(V, machine.variants)
    parts = [_operate(x, machine, winds[few]) for few, x in few_together(flat_numbers(machine))]
    return cast(Operation, _joined(parts, full))


def _joined(parts: list[Any], full: tuple[int, ...]) -> Any:
    """Put results of several parts together, field by field."""
    first = parts[0]
    if isinstance(first, np.ndarray):
        return np.concatenate(parts).reshape(full)
    return type(first)(**{f.name: _joined([getattr(p, f.name) for p in parts], full) for f in fields(first)})


def _operate(x: Flat, machine: Machine, V: Array) -> Operation:
    circuit, drive = circuit_behind(machine, x), Drive.in_winds(machine, x, V)
    if machine.converter == "tracks":
        low, high, count = _tracked(x, cast(Converted, circuit), drive)
    else:
        low, high, count = _balance(x, circuit, drive)
    return Operation(
        running=_points(x, circuit, machine, drive, high),
        standstill=_points(x, circuit, machine, drive, low),
        forked=high.omega - low.omega > 1e-6 * high.omega,
        balances=count,
    )


def _tracked(x: Flat, circuit: Converted, drive: Drive) -> tuple[_Found, _Found, Index]:
    """What a tracker makes of a rotor that starts from rest, and of a running one; one stable balance where it runs.

    Where it can hold no speed the rotor turns freely. From rest it begins once the rotor, turning freely, has brought
    its input to the lowest voltage at which it works.
    """
    free = drive.free(x)
    wins = free > 0
    stable = wins[..., :-1] & ~wins[..., 1:]
    nodes = np.stack([np.argmax(stable, axis=-1), stable.shape[-1] - 1 - np.argmax(stable[..., ::-1], axis=-1)])
    high, low = (np.take_along_axis(np.stack([free, free]), (nodes + i)[..., None], axis=-1)[..., 0] for i in (0, 1))
    speeds = np.where(stable.any(axis=-1), (nodes + straight_zero(high, low)) * drive.per_node, 0.0)
    starts = drive.push * drive.cq[..., 0] > (x["T_0"] + x["T_cog"])[:, None]
    best, wakes = track(circuit, drive), circuit.begin[:, None]
    reaches = starts & best.holds & (speeds[0] >= wakes)
    found = (
        _Found(np.where(on, best.omega, idle), np.where(on, best.current, 0.0))
        for on, idle in ((reaches, np.where(starts, speeds[0], 0.0)), (best.holds, speeds[1]))
    )
    return *found, np.asarray(stable.any(axis=-1), dtype=int)  # type: ignore[return-value]
