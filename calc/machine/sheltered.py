"""What the obstacles on a sheet take of the wind, and of a year's energy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.neighbours import BUILDING, DENSE, OPEN, WALL
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs
from calc.machine.site import energy_of_year
from calc.machine.solving import Solved
from calc.machine.year import likely
from calc.physics import shelter, wind
from calc.units import Num

#: Share that is open, by kind of obstacle, and the range in which it lies: European Wind Atlas, from memory.
POROSITY = {BUILDING: (0.0, 0.0, 0.0), WALL: (0.0, 0.0, 0.1), DENSE: (0.4, 0.3, 0.5), OPEN: (0.6, 0.5, 0.8)}


@dataclass(frozen=True, slots=True)
class Wake:
    """What an obstacle takes of the wind at the rotor's centre.

    Parameters
    ----------
    lost : float or array, shape (...,)
        Share of the wind's speed when it comes from there; all of it where the rotor stands so near and so low that
        no relation tells, which is our own assumption.
    near : array of bool, shape (...,)
        Whether that is so.
    share : float or array, shape (...,)
        Share of the year's wind that comes from there.
    """

    lost: Num
    near: Num
    share: Num


def wake(x: Inputs, H: Num, distance: Num, z: Num, porosity: Num, share: Num) -> Wake:
    """The wake of an obstacle of height ``H`` at a distance, at a height ``z`` [m].

    What is lower than ten roughness lengths is part of the ground's roughness and has none of its own.
    """
    z0 = wind.roughness_length(x.site.ground)
    part = np.less(H, wind.lowest_height(z0))
    near = np.asarray(shelter.too_near(distance, z, H)) & ~part
    # What is not told is asked of a place and a height where it is, and put aside.
    tall = np.where(part, wind.lowest_height(z0), H)
    away = np.where(np.asarray(shelter.too_near(distance, z, tall)), shelter.NEAREST * tall, distance)
    lost = np.where(part, 0.0, np.where(near, 1.0, shelter.wind_lost(away, z, tall, porosity, z0)))
    return Wake(cast(Num, lost), cast(Num, near), share)


def obstacle_lacks(x: Inputs, label: str) -> tuple[Entry[Num], ...]:
    """What the sheet does not say of an obstacle."""
    return x.lacks(Sheet.obstacle.height[label], Sheet.obstacle.distance[label])


def wake_of(x: Inputs, label: str) -> Wake:
    """The wake of an obstacle of the sheet at the rotor's centre; its height and distance must be known."""
    at, of = x.obstacle[label], Sheet.obstacle
    usual, low, high = POROSITY[at.kind]
    why = f"usual for: {at.kind}; European Wind Atlas, from memory"
    porosity = x.else_assume(of.porosity[label], usual, why, within=(low, high))
    return wake(x, at.height, at.distance, x.mast.height, porosity, at.share)


def energy_in(x: Inputs, solved: Solved, Vm: Num) -> Num:
    """Energy [J] of a year that comes out of the cable at a mean wind at the rotor [m/s]."""
    power = likely(x, solved, solved.winds, solved.operation, Vm, lambda p: p.charge)
    return energy_of_year(x, solved.winds, power, Vm)


def year_left(x: Inputs, solved: Solved, Vm: Num, wakes: Iterable[Wake]) -> Num:
    """Share of a year's energy that obstacles leave, for a mean wind [m/s] without them.

    Each takes its part of the wind that comes over it; together they have at most all directions.
    """
    wakes = list(wakes)
    whole = energy_in(x, solved, Vm)
    shares = [np.asarray(w.share) for w in wakes]
    total = np.maximum(sum(shares, np.asarray(0.0)), 1.0)
    left: Num = 1.0
    for w, share in zip(wakes, shares, strict=True):
        Vw = Vm * np.maximum(1.0 - np.asarray(w.lost), 0.01)
        behind = energy_in(x, solved, Vw)
        left = left - share / total * (1.0 - behind / np.maximum(whole, 1e-9))
    return left
