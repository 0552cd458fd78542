"""The folding tail of a sheet: how far it turns the rotor out of each wind, loaded and not.

It is computed where the sheet describes it and states no wind from which the rotor is held back: what was tried on the
machine itself is not put aside by a sum.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import FURLING
from calc.machine.catalogue.tail import DOWNWIND, FIXED
from calc.machine.entry import DEG, Entry
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import BEST_WIND, RotorCurves, curves_from_shape, overhang
from calc.machine.site import air_density, gust_wind
from calc.physics import balance, tail, wind
from calc.physics.arrays import Array, Flags
from calc.physics.balance import Machine
from calc.units import Num

#: What describes a folding tail; the rest has assumptions.
FIRST: tuple[Entry[Any], ...] = (
    Sheet.rotor.offset,
    Sheet.tail.area,
    Sheet.tail.arm,
    Sheet.tail.mass,
    Sheet.tail.inclination,
)
#: Fold that turns a rotor hardly out of the wind, and lean of a hinge on which no weight to speak of brings a tail
#: back. Own choice, no source. [rad]
LEAST_FOLD, LEAST_LEAN = 20 * DEG, 1 * DEG
#: Fold where the sheet names no stop. Common practice, no source. [rad]
USUAL_STOP = 80 * DEG
#: Thrust of a working rotor where its blades are not known, as a builder's rule has it, and its range.
USUAL_THRUST = (0.85, (0.6, 1.0))
#: Friction of a hinge as a share of the tail's weight and the arm of that. Own estimate.
RUBS = 0.02
#: Winds that a rotor feels for which its thrust is computed. [m/s]
FELT = np.array([2.5, 4.0, 5.5, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.5, 18.0, 21.0, 25.0])
FEW_FELT = FELT[[0, 1, 3, 5, 7, 9, 11, 13, 15]]
#: Winds of a course up to the strongest gust, for the sheet and for samples; and folds from stop to stop.
STEPS, FEW_STEPS = (100, 25), (50, 10)
#: Least wind that a rotor edge-on is taken to feel. [m/s]
EDGE_ON = 0.3


def stuck(x: Inputs) -> Flags:
    """Whether the tail cannot fold by what the sheet says: no hinge, a stop at once, or an upright hinge, shape (...,).

    On an upright hinge no weight holds the tail or brings it back; what it does is left to its friction.
    """
    wrong: Any = False
    if x.given(Sheet.tail.hinge):
        wrong = x.tail.hinge == FIXED
    for entry, least in ((Sheet.tail.stop_angle, LEAST_FOLD), (Sheet.tail.inclination, LEAST_LEAN)):
        if x.given(entry):
            wrong = wrong | np.less(x.need(entry), least)
    return np.asarray(wrong)


def cannot_fold(x: Inputs) -> bool:
    """Whether the sheet names a furling tail and says by its parts that it cannot fold."""
    return x.maybe(Sheet.rotor.overspeed) == FURLING and bool(np.all(stuck(x)))


def is_computed(x: Inputs) -> bool:
    """Whether what the tail does is computed: it is described, it can fold, and no wind is stated instead."""
    if x.maybe(Sheet.rotor.overspeed) != FURLING or x.given(Sheet.rotor.limit_wind):
        return False
    return is_described(x)


def furls_as_described(x: Inputs) -> bool:
    """Whether a folding tail is to hold the rotor back and is described, whatever wind is stated beside it."""
    return x.maybe(Sheet.rotor.overspeed) == FURLING and is_described(x)


def is_described(x: Inputs) -> bool:
    """Whether the sheet describes a tail that can fold, and a rotor ahead of the mast, for which it is computed."""
    if x.maybe(Sheet.yaw.rotor_side) == DOWNWIND:
        return False
    return all(x.given(entry) for entry in FIRST) and not cannot_fold(x)


def vane_height(x: Inputs) -> Num:
    """Height of the vane, in [m]."""
    return x.else_assume(Sheet.tail.vane_height, np.sqrt(x.tail.area), "a vane as high as it is long", 1.3)


def tail_mass_arm(x: Inputs) -> Num:
    """From the tail's hinge to the centre of its mass, in [m]."""
    return x.else_assume(Sheet.tail.mass_arm, 0.75 * x.tail.arm, "three quarters of the arm of the vane", 1.15)


def hinge_behind(x: Inputs) -> Num:
    """From the yaw axis back to the tail's hinge, in [m]."""
    usual = 0.05 * x.rotor.diameter
    return x.else_assume(Sheet.tail.hinge_behind, usual, "a twentieth of the diameter; own estimate", 2.0)


def head_of(x: Inputs) -> tail.Tail:
    """Rotor, yaw axis and vane of a sheet that states vane and arm; a tail that stays where it is.

    An offset that is not stated is taken as none.
    """
    D, A = x.rotor.diameter, x.tail.area
    height = vane_height(x)
    return tail.Tail(
        swept=wind.swept_area(D),
        offset=x.else_assume(Sheet.rotor.offset, 0.0, "none is stated"),
        overhang=overhang(x),
        area=A,
        aspect=np.square(height) / A,
        arm=x.tail.arm,
        mass=0.0,
        mass_arm=0.0,
        behind=hinge_behind(x),
        inclination=0.0,
        direction=0.0,
        stop=0.0,
        rest=x.tail.rest_angle,
        wake=x.tail.wake,
        side=x.tail.side_force,
        power=x.tail.yaw_power,
        lift=x.tail.lift_factor,
        rho=air_density(x),
    )


def tail_of(x: Inputs) -> tail.Tail:
    """The tail of a sheet that describes one that folds."""
    r = tail_mass_arm(x)
    stop = x.else_assume(Sheet.tail.stop_angle, USUAL_STOP, "as usual; common practice, no source", 1.1)
    rubs = x.else_assume(
        Sheet.tail.hinge_friction, RUBS * x.tail.mass * tail.GRAVITY * r, "a greased hinge; own estimate", 2.0
    )
    return replace(
        head_of(x),
        mass=x.tail.mass,
        mass_arm=r,
        inclination=x.tail.inclination,
        direction=x.tail.hinge_direction,
        stop=stop,
        rubbing=np.where(stuck(x), np.inf, rubs),
    )


@dataclass(frozen=True, slots=True)
class Furling:
    """What a folding tail does in each wind: with the load on the rotor, and with nothing connected."""

    of: tail.Tail
    loaded: tail.Course
    free: tail.Course
    thrust_coefficient: tail.Thrust

    def felt(self, winds: Array) -> Array:
        """Wind that the loaded rotor feels, in [m/s], shape (..., winds)."""
        return np.asarray(np.maximum(self.loaded.felt(winds), EDGE_ON))

    def felt_free(self, winds: Array) -> Array:
        """The same with nothing connected."""
        return np.asarray(np.maximum(self.free.felt(winds), EDGE_ON))

    def thrust(self, winds: Array) -> Array:
        """Thrust of the loaded rotor in some winds, in [N], shape (..., winds)."""
        V = self.loaded.felt(winds)
        over = self.of.over()
        return np.asarray(0.5 * over.rho * np.asarray(over.swept) * np.square(V) * self.thrust_coefficient(V))


def _interpolated(felt: Array, ct: Array) -> tail.Thrust:
    """Thrust coefficient between those, of shape (..., k), at some winds that the rotor feels."""

    def at(V: Array) -> Array:
        place = np.interp(V, felt, np.arange(len(felt)))
        low = np.minimum(place.astype(np.intp), len(felt) - 2)
        shape = np.broadcast_shapes(place.shape[:-1], ct.shape[:-1])
        rows = np.broadcast_to(ct, (*shape, len(felt)))
        low, up = (np.broadcast_to(a, (*shape, place.shape[-1])) for a in (low, place - low))
        left, right = (np.take_along_axis(rows, low + i, axis=-1) for i in (0, 1))
        return np.asarray(left + up * (right - left))

    return at


def _usual_thrust(x: Inputs) -> Num:
    """Thrust coefficient of a rotor whose blades are not known, or as stated."""
    usual, within = USUAL_THRUST
    return x.else_assume(Sheet.tail.thrust_coefficient, usual, "a builder's rule comes to it; weak", within=within)


def working_thrust(x: Inputs) -> Num:
    """Thrust coefficient of the rotor at its best, from its blades where they are known."""
    curves = curves_from_shape(x)
    if curves is None or curves.ct is None or x.given(Sheet.tail.thrust_coefficient):
        return _usual_thrust(x)
    return curves.thrust(np.full(curves.ct.shape[:-2], BEST_WIND), curves.best()[0])


def _thrusts(x: Inputs, machine: Machine, curves: RotorCurves) -> tuple[tail.Thrust, tail.Thrust]:
    """Thrust coefficients by the wind that the rotor feels, loaded and with nothing connected."""
    if curves.ct is None or x.given(Sheet.tail.thrust_coefficient):
        one = np.asarray(_usual_thrust(x), dtype=float)[..., None]
        same = _interpolated(FELT, one * np.ones(len(FELT)))
        return same, same
    felt = FELT if x.drawn is None else FEW_FELT
    winds = np.broadcast_to(felt, (*machine.variants, len(felt)))
    speeds = balance.operate(machine, winds).running.omega, balance.unloaded(machine, winds)[0]
    R = np.asarray(machine.R)[..., None]
    loaded, free = (_interpolated(felt, curves.thrust(winds, omega * R / winds)) for omega in speeds)
    return loaded, free


def furling_of(x: Inputs, machine: Machine, curves: RotorCurves) -> Furling:
    """What the tail of a sheet does; only where :func:`is_computed` or :func:`is_described`."""
    of = tail_of(x)
    loaded, free = _thrusts(x, machine, curves)
    steps, folds = STEPS if x.drawn is None else FEW_STEPS
    winds = np.linspace(1.0, max(45.0, 1.1 * float(np.max(gust_wind(x)))), steps)
    course = tail.course(of, loaded, winds, folds)
    return Furling(of, course, course if free is loaded else tail.course(of, free, winds, folds), loaded)
