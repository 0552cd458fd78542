"""What the machine puts on its parts: the simplified load cases of IEC 61400-2 for the machine of a sheet.

Design speed and torque are those of the solved machine in the design wind, or what its blades do at their best where
it cannot be solved; the greatest speed is that of the rotor with nothing connected in the strongest wind in which
nothing holds it back. What the sheet states of either goes before what is computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.hub import RIGID
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import NOT_VERTICAL, RotorCurves, free_ratio, is_vertical, overhang, rotor_of
from calc.machine.site import AIR_NEEDS, air_density, gust_wind
from calc.machine.solving import Solved, held_wind, nothing_limits, solve_machine
from calc.physics import blade, wind
from calc.physics.arrays import Array
from calc.physics.structure import simple_loads as simple
from calc.units import Num

#: From the rotor's centre to the first bearing, as a share of its radius: 0.027 on the same machine.
BEARING = 0.03
#: Area of all blades, and of generator, head and tail from the side, as shares of the swept area; common practice.
SOLIDITY, SIDE_SHARE = 0.10, 0.08
#: Mass on the mast by the square of the rotor's diameter: hub motors 6 to 8, axial-flux machines 10 to 14; from memory.
#: [kg/m2]
HEAD_MASS = 8.0
#: Mass of the rotor over that of its blades: 3.3 on the published machine, whose hub carries the magnets.
ROTOR_OVER_BLADES = 1.8


@dataclass(frozen=True, slots=True)
class TopLoads:
    """What the mast's top must take, load factors not counted. Shape (...,).

    Parameters
    ----------
    running : float or array
        Thrust of the rotor turning as fast as it can: the greater of cases D and H (still turning). [N]
    braked : float or array
        Rotor stopped and facing the strongest gust, generator, head and tail beside it; case H (parked). [N]
    parked : float or array
        The same from the worst direction in the storm's ten-minute mean; case I. [N]
    head_mass : float or array
        Mass of all that sits on the mast. [kg]
    greatest : float or array
        Greatest speed of the rotor. [rad/s]
    """

    running: Num
    braked: Num
    parked: Num
    head_mass: Num
    greatest: Num

    @property
    def worst(self) -> Num:
        """The greatest of the three horizontal forces, in [N]."""
        return cast(Num, np.maximum(np.maximum(self.running, self.braked), self.parked))


@dataclass(frozen=True, slots=True)
class Winds:
    """Winds of the design: storm of ten minutes, year's mean, gusts of 50 years and of one, design wind, in [m/s]."""

    V_ref: Num
    V_ave: Num
    V_e50: Num
    V_e1: Num
    V_design: Num


#: What :func:`top_loads` cannot do without.
TOP_NEEDS = (Sheet.rotor.diameter, Sheet.rotor.blades, Sheet.site.storm_wind, *AIR_NEEDS)


def design_winds(x: Inputs) -> Winds:
    """Winds of the class that is named, else of the storm and the gust on the sheet."""
    name = x.maybe(Sheet.site.wind_class)
    if name is not None:
        c = simple.CLASSES[name]
        return Winds(c.V_ref, c.V_ave, c.V_e50, c.V_e1, c.V_design)
    V_ref = x.site.storm_wind
    gust = gust_wind(x)
    return Winds(V_ref, 0.2 * V_ref, gust, simple.YEAR_SHARE * gust, blade.design_wind(V_ref))


def design_point(x: Inputs, curves: RotorCurves) -> tuple[Num, Num, Num]:
    """The design wind [m/s], and speed [rad/s] and torque [N m] of the rotor in it."""
    V, D = design_winds(x).V_design, x.rotor.diameter
    tsr, Cp = curves.best()
    omega, P = wind.rotor_speed(V, D, tsr), Cp * wind.power_in_wind(air_density(x), wind.swept_area(D), V)
    solved = solve_machine(x)
    if isinstance(solved, Solved):
        points = solved.operation.running
        # Its curve is close enough, and a balance of its own would cost as much as all beams together.
        speed, power = (_at_wind(solved.winds, row, V) for row in (points.omega, points.rotor))
        omega, P = np.where(speed > 0, speed, omega), np.where(speed > 0, power, P)
    if x.given(Sheet.rotor.design_speed):
        omega = x.need(Sheet.rotor.design_speed)
    return V, omega, x.need(Sheet.rotor.design_torque) if x.given(Sheet.rotor.design_torque) else P / omega


def _at_wind(winds: Array, row: Array, V: Num) -> Array:
    """A row over winds at one wind, straight between two of them; shape (...,)."""
    place = np.interp(V, winds, np.arange(len(winds)))
    low = np.minimum(np.floor(place).astype(int), len(winds) - 2)
    shape = np.broadcast_shapes(np.shape(low), row.shape[:-1])
    row, low = np.broadcast_to(row, (*shape, row.shape[-1])), np.broadcast_to(low, shape)[..., None]
    a, b = (np.take_along_axis(row, low + i, axis=-1)[..., 0] for i in (0, 1))
    return np.asarray(a + (b - a) * (place - low[..., 0]))


def greatest_speed(x: Inputs) -> Num:
    """Speed of the rotor with nothing connected, up to where something holds it back, in [rad/s]; or as stated."""
    stated = x.maybe(Sheet.rotor.greatest_speed)
    if stated is not None:
        return stated
    V = free_wind(x)
    return wind.rotor_speed(V, x.rotor.diameter, free_ratio(x, V))


def free_wind(x: Inputs) -> Num:
    """Strongest wind in which the rotor turns without being held back, in [m/s]."""
    gust = gust_wind(x)
    return gust if nothing_limits(x) else cast(Num, np.minimum(held_wind(x), gust))


def blade_area(x: Inputs, curves: RotorCurves | Unknown) -> Num:
    """Area of one blade as seen from the front, flat, in [m2]."""
    if isinstance(curves, RotorCurves) and curves.shape is not None:
        return np.asarray(np.sum(curves.shape.chord * curves.shape.dr, axis=-1))
    return SOLIDITY * wind.swept_area(x.rotor.diameter) / x.rotor.blades


def top_loads(x: Inputs) -> TopLoads | Unknown:
    """Forces on the mast's top, and what sits there; computed once for all rules."""
    return x.shared("top loads", _top_loads)


def _top_loads(x: Inputs) -> TopLoads | Unknown:
    if is_vertical(x):
        return Unknown(NOT_VERTICAL)
    if missing := x.lacks(*TOP_NEEDS):
        return Unknown("", missing)
    curves = rotor_of(x)
    if isinstance(curves, Unknown):
        return curves
    winds, R, rho = design_winds(x), x.rotor.diameter / 2.0, air_density(x)
    A_B, fast = blade_area(x, curves), greatest_speed(x)
    side = x.else_assume(
        Sheet.hub.side_area,
        SIDE_SHARE * math.pi * R**2,
        "a twelfth of the swept area, mostly tail; common practice, no source",
        1.5,
    )
    head = x.else_assume(
        Sheet.hub.head_mass,
        HEAD_MASS * (2.0 * R) ** 2,
        "by the rotor's size, 6 to 14 kg for each m2 of D2; from memory",
        1.6,
    )
    thrust = simple.greatest_thrust(rho, winds.V_ave, R)
    spins = simple.turning_thrust(x.rotor.blades, A_B, rho, fast, R)
    stopped = x.rotor.blades * A_B + side
    return TopLoads(
        running=cast(Num, np.maximum(thrust, spins)),
        braked=simple.pressure_force(simple.CD_PARKED, rho, winds.V_e50, stopped),
        parked=simple.pressure_force(simple.CD_PARKED, rho, winds.V_ref, stopped),
        head_mass=head,
        greatest=fast,
    )


def unfit_for_simple_loads(x: Inputs) -> Unknown | None:
    """Why the simplified equations do not hold for this rotor; None where they do."""
    if is_vertical(x):
        return Unknown(NOT_VERTICAL)
    if x.hub.kind != RIGID:
        return Unknown(
            "The simplified load cases of IEC 61400-2 are for rigid hubs; of blades that can flap they tell nothing"
        )
    try:
        simple.refuse_unfit(x.rotor.blades, x.rotor.diameter / 2.0)
    except ValueError as e:
        return Unknown.because(f"Loads cannot be computed: {e}", e)
    return None


def turbine_of(x: Inputs, curves: RotorCurves) -> simple.Turbine:
    """The machine as the simplified equations see it; its blades' masses must be known."""
    R, m, winds = x.rotor.diameter / 2.0, curves.masses, design_winds(x)
    assert m is not None, "who asks for loads has asked for the blades before"
    V, omega, Q = design_point(x, curves)
    return simple.Turbine(
        B=x.rotor.blades,
        R=R,
        m=m.mass,
        r_cog=m.r_cog,
        I=m.inertia,
        A_B=blade_area(x, curves),
        m_r=rotor_mass(x, m),
        e_r=simple.OFFSET_SHARE * R,
        L_rt=overhang(x),
        L_rb=bearing_arm(x),
        omega=omega,
        Q=Q,
        omega_max=cast(Num, np.maximum(greatest_speed(x), omega)),
        V_design=V,
        V_ave=winds.V_ave,
        V_ref=winds.V_ref,
        V_e50=winds.V_e50,
        rho=air_density(x),
    )


def rotor_mass(x: Inputs, m: blade.Masses) -> Num:
    """Mass of blades and hub, in [kg]."""
    usual = ROTOR_OVER_BLADES * x.rotor.blades * m.mass
    return x.else_assume(
        Sheet.hub.rotor_mass, usual, "hub and plates add four fifths to the blades; common practice, no source", 1.5
    )


def bearing_arm(x: Inputs) -> Num:
    """From the rotor's centre to the first bearing, in [m]."""
    usual = BEARING * x.rotor.diameter / 2.0
    return x.else_assume(
        Sheet.hub.bearing_distance, usual, "0.03 of the radius, as on a published machine of 500 W", 2.0
    )
