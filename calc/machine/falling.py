"""What could fall from a machine, and what could fly from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.machine.blade_root import material_of
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.neighbours import LINE
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.machine.site import air_density
from calc.machine.solving import Solved, solve_machine
from calc.machine.storm import unloaded_held
from calc.physics import blade, flight
from calc.physics.arrays import Array
from calc.physics.blade.materials import PVC_U
from calc.quantities import WINDY
from calc.units import Num

#: How far beyond its highest point a falling mast is taken to reach. Common practice, no source.
FALL_RESERVE = 1.1
#: Mass of carved and moulded blades over the area of their face, where it does not follow. Own estimate. [kg/m2]
AREA_MASS = 8.0


def highest_point(x: Inputs) -> Num:
    """Height of the blades' highest point; needs the height of the mast and the diameter, in [m]."""
    return x.mast.height + x.rotor.diameter / 2.0


def fall_reach(tip: Num) -> Num:
    """How far mast and rotor reach on the ground if they fall, from the blades' highest point, in [m].

    Examples
    --------
    >>> round(fall_reach(10.0), 6)
    11.0
    """
    return FALL_RESERVE * tip


@dataclass(frozen=True, slots=True)
class NearestLine:
    """The overhead line that is nearest to the mast's foot.

    Parameters
    ----------
    away : float or array, shape (...,)
        How far away it is. [m]
    name : str
        What the sheet calls it among the neighbours; empty where only its distance is stated.
    places : tuple of Entry
        Where the sheet states how far lines are.
    """

    away: Num
    name: str
    places: tuple[Entry[Num], ...]


def nearest_line(x: Inputs) -> NearestLine | Unknown:
    """The nearest of all overhead lines on the sheet, whether stated with the mast or named among the neighbours."""
    at = Sheet.neighbour
    named = [label for label in x.labels(at) if x.maybe(at.kind[label]) == LINE]
    places = {"": Sheet.mast.line_distance, **{label: at.distance[label] for label in named}}
    known = {name: x.need(place) for name, place in places.items() if x.maybe(place) is not None}
    if not known:
        return Unknown("", tuple(places[label] for label in named) or (Sheet.mast.line_distance,))
    # A name is told where that line is nearer than what stands with the mast.
    first = min(known, key=lambda name: (float(np.mean(known[name])), bool(name)))
    away = cast(Num, np.min(np.stack(np.broadcast_arrays(*known.values())), axis=0))
    return NearestLine(away, first, tuple(places[name] for name in known))


@dataclass(frozen=True, slots=True)
class Flight:
    """How far pieces of a blade could fly. Every array has shape (...,).

    Parameters
    ----------
    speed : float or array
        Greatest speed of the tips: computed with the load lost, or read. [m/s]
    held : bool
        Whether anything holds the rotor back by itself; else the speed is that in the storm's gust.
    tumbling, edge_first : float or array
        How far a piece flies that tumbles, or that cuts through the air edge first, in the storm's wind. [m]
    no_air : float or array
        How far one would fly if nothing slowed it. [m]
    ordinary : float or array
        The same at the greatest speed of ordinary running, computed or read. [m]
    found : float
        How far away a piece was found, by the record; 0 where none was. [m]
    """

    speed: Num
    held: bool
    tumbling: Num
    edge_first: Num
    no_air: Num
    ordinary: Num
    found: float

    @property
    def likely(self) -> Num:
        """The greater of what a tumbling piece flies and of what one is on record to have flown, in [m]."""
        return cast(Num, np.maximum(self.tumbling, self.found))

    @property
    def far(self) -> Num:
        """The greater of what a piece flies edge first and of what one is on record to have flown, in [m]."""
        return cast(Num, np.maximum(self.edge_first, self.found))


def flying(x: Inputs) -> Flight | Unknown:
    """How far pieces of a blade could fly, computed once; needs the height of the mast."""
    return x.shared("flight", _flying)


def _flying(x: Inputs) -> Flight | Unknown:
    solved = solve_machine(x)
    if isinstance(solved, Unknown):
        return solved
    R, h, W = x.rotor.diameter / 2.0, x.mast.height, x.site.storm_wind
    running = ordinary_tips(solved, on_record(x, "rotor.speed") * R)
    speed, held = fastest_tips(x, solved)
    speed = np.maximum(speed, running)
    L = flight.drag_length(_area_mass(x), np.array([flight.TUMBLING, flight.EDGE_FIRST]), over(air_density(x)))
    flown = np.asarray(flight.throw_in_air(over(speed), over(h), L, over(W)))
    no_air, ordinary = blade.throw_distance(speed, h), blade.throw_distance(running, h)
    return Flight(speed, held, flown[..., 0], flown[..., 1], no_air, ordinary, on_record(x, "blade.thrown"))


def ordinary_tips(solved: Solved, read: Num) -> Num:
    """Greatest speed of the tips in ordinary running, computed, or read where that is more, in [m/s]."""
    along: Num = solved.operation.running.tip_speed.max(axis=-1)
    if solved.furling is not None:
        # Past its stop a folded tail lets the speed rise with the wind again.
        along = np.maximum(along, solved.at(solved.storm).tip_speed)
    return cast(Num, np.maximum(along, read))


def over(x: Num) -> Array:
    """A number per variant with a last axis for the ways of flying."""
    return np.asarray(x, dtype=float)[..., None]


def fastest_tips(x: Inputs, solved: Solved) -> tuple[Num, bool]:
    """Greatest speed of the tips [m/s] that the machine can reach, and whether anything holds it back.

    Held back, that is with nothing connected in the wind where the holding begins; with nothing to hold it, in the
    storm's gust.
    """
    R = x.rotor.diameter / 2.0
    held = unloaded_held(x)
    if held is None:
        return solved.omega_free * R, bool(np.all(np.isfinite(solved.limit)))
    return held.speed * R, True


def on_record(x: Inputs, quantity: str) -> float:
    """The greatest reading of a quantity on the record of the revision, in SI; 0 without one.

    What moves with the wind counts by its upper limit, and where a wind is said: a bench test tells of no rotor in the
    wind.
    """
    at, most = Sheet.measured, 0.0
    for n in x.labels(at):
        x.asked.add(at.quantity[n].full)
        if x.design.get(at.quantity[n]) != quantity or (quantity in WINDY and x.maybe(at.wind_high[n]) is None):
            continue
        read = [x.maybe(at.value[n]), x.maybe(at.most[n]), x.maybe(at.high[n]) if quantity in WINDY else None]
        most = max([most, *(float(np.max(v)) for v in read if v is not None)])
    return most


def _area_mass(x: Inputs) -> Array:
    """Mass of a piece of blade over the area of its face, with a last axis, in [kg/m2]."""
    wall = x.maybe(Sheet.blade.pipe_wall)
    if wall is None or material_of(x) is not PVC_U:
        return np.array([AREA_MASS])
    return over(wall * PVC_U.density)
