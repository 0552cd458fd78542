"""Where the rules of blades and hub turn, worked out on a plank; see ``turning_points``, which takes these rows in.

Each row is the arguments of a ``Row``.
"""

from __future__ import annotations

import math
from typing import Any

from calc.finding import Status
from calc.machine.catalogue.hub import SMOOTH
from calc.physics.calendar import YEAR
from tests.calc.sheets import GOOD
from tests.outside.plank import (
    DENSITY,
    FRONT,
    I_FLAT,
    MASS,
    PLANK,
    R_COG,
    R_ROOT,
    RHO,
    SPAN,
    STRENGTH,
    TENSION,
    E,
    R,
    case_a,
    case_a_shaft,
    case_b_shaft,
    parked_moment,
    tip_of,
)

OK, MARGINAL, FAIL, DANGER, UNKNOWN = Status.OK, Status.MARGINAL, Status.FAIL, Status.DANGER, Status.UNKNOWN
STEADY = {"rotor.design_speed": 20.0, "rotor.design_torque": 8.0, "site.storm_wind": 30.0, "site.gust": 42.0}
#: Design wind 1.4 x 0.2 x 30 m/s; tip-speed ratio at 20 rad/s.
TSR = 20.0 * R / 8.4
#: From 10 m to the 15.5 m of the good machine over open farmland, 0.03 m (P. Jain, Table 3-5).
UP = math.log(15.5 / 0.03) / math.log(10.0 / 0.03)
#: A bar that turns: density w^2 (R^2 - r^2)/2 at its root, of which wood in tension counts more.
TEARS = math.sqrt(2 * STRENGTH * TENSION / (DENSITY * (R**2 - R_ROOT**2)))
#: A plain cantilever (textbook): 3.516/(2 pi) sqrt(E I/(m L^3)), and what its turning adds (Southwell), from memory.
AT_REST, STIFFENS = 3.516 / (2 * math.pi) * math.sqrt(E * I_FLAT / (MASS * SPAN**3)), 1.193 + 1.569 * R_ROOT / SPAN
#: Speeds at which two and three times the speed meet it. [rad/s]
MEETS = [2 * math.pi * AT_REST / math.sqrt(k**2 - STIFFENS) for k in (2, 3)]
#: Case H, turning: Cl rho V^2 A R/6 with Cl = 2; and stopped.
TIP, STOPPED = tip_of(2.0 * RHO * 42.0**2 * FRONT * R / 6), tip_of(parked_moment(42.0))


def _years() -> tuple[tuple[float, Status, Status], ...]:
    half, mean = case_a(20.0, 2.0, TSR)
    bare = half / (1 - mean / STRENGTH)
    # Two thirds of wood are left at bolt holes (common practice); 1.25 where the material is known (from memory).
    kept = 1.25 * 1.5 * half / (1 - 1.5 * mean / STRENGTH)
    lasts, holds = ((STRENGTH / S) ** 6.0 * 2 * math.pi / 20.0 / (YEAR * 0.9) for S in (bare, kept))
    return (holds, OK, MARGINAL), (lasts, MARGINAL, FAIL)


def _end() -> tuple[tuple[float, Status, Status], ...]:
    pull = MASS * R_COG * 150.0**2
    shear = STRENGTH * 4.0 / 24.0
    return ((0.003 + pull / 3 / (2 * 0.015 * shear), FAIL, MARGINAL),)


def _plate() -> tuple[tuple[float, Status, Status], ...]:
    t = math.sqrt(6 * parked_moment(42.0) / (0.1 * 235e6))
    return (t, FAIL, MARGINAL), (t * math.sqrt(3.3), MARGINAL, OK)


def _shaft() -> tuple[tuple[float, Status, Status], ...]:
    d = (32 * case_b_shaft(20.0, 8.0, TSR, 4.0, 0.05) / (math.pi * 355e6)) ** (1 / 3)
    return (d, FAIL, MARGINAL), (d * 3.3 ** (1 / 3), MARGINAL, OK)


def _shaft_years() -> tuple[tuple[float, Status, Status], ...]:
    half, mean = case_a_shaft(20.0, 8.0, 4.0, 0.05, WORN)
    hard = 1.3 * half / (1 - mean / 470e6)
    breaks, lasts = ((470e6 / S) ** 10 * 2 * math.pi / 20.0 / (YEAR * 0.9) for S in (hard, 1.25 * hard))
    return (lasts, OK, MARGINAL), (breaks, MARGINAL, FAIL)


#: Diameter of a shaft that wears out in some years. [m]
WORN = 0.0115
#: A stopped plank in 42 m/s with 0.3 m2 of head and tail (1.5 rho V^2 A/2), 100 mm over bearings 200 mm apart, and 4 kg
#: 0.2 m ahead of them: levers about the lower bearing.
PUSHED = 1.5 * 0.5 * RHO * 42.0**2 * (3 * FRONT + 0.3) * (0.1 + 0.2) / 0.2 + 4.0 * 9.81 * 0.2 / 0.2
#: Half a kilogram at 0.5 m, one blade 20 g heavier: what they leave. [kg m]
SET = {f"weighed.{n}.{k}": v for n in "abc" for k, v in (("mass", 0.5), ("balance_point", 0.5))}
OUT = 0.02 * 0.5
BLADE_ROWS: tuple[dict[str, Any], ...] = (
    {"rule": "loads.limits", "subject": "rotor", "path": "hub.kind",
     "turns": {"rigid": OK, "hinged, or on rubber, so that blades can flap": UNKNOWN},
     "why": "the simplified model is for rigid hubs (a thesis, p. 127, after IEC 61400-2)",
     "changes": {"rotor.blades": 3.0}, "base": GOOD},
    {"rule": "loads.limits", "subject": "rotor", "path": "site.mean_wind", "turns": ((7.5 / UP, OK, FAIL),),
     "why": "mean wind of class III, 7.5 m/s (Tong, Table 2), at the rotor",
     "changes": {"rotor.blades": 3.0, "site.wind_class": "III"}, "base": GOOD},
    {"rule": "loads.limits", "subject": "rotor", "path": "site.storm_wind", "turns": ((42.5, OK, FAIL),),
     "why": "reference wind of class II, 42.5 m/s (Tong, Table 2)",
     "changes": {"rotor.blades": 3.0, "site.wind_class": "II"}, "base": GOOD},
    {"rule": "blade.stress", "subject": "blade", "path": "rotor.greatest_speed",
     "turns": ((TEARS, MARGINAL, FAIL),), "why": "a bar that turns sees density w^2 (R^2 - r^2)/2 (textbook)",
     "base": PLANK, "hair": 0.01, "whole": False},
    {"rule": "blade.tip-clearance", "subject": "blade", "path": "rotor.overhang",
     "turns": ((0.03 + TIP, DANGER, FAIL), (0.03 + STOPPED, FAIL, MARGINAL), (0.03 + 2 * TIP, MARGINAL, OK)),
     "why": "case H, hardly turning in 42 m/s (a thesis, eq. A.18), and stopped (from memory), by the textbook's beam; "
     "mast of 60 mm, half the way is our own choice", "base": PLANK, "hair": 0.03,
     "changes": {**STEADY, "rotor.design_speed": 4.0, "rotor.greatest_speed": 5.0, "rotor.limit_wind": 3.0}},
    {"rule": "blade.resonance", "subject": "blade", "path": "rotor.design_speed",
     "turns": ((MEETS[1] / 1.15, OK, MARGINAL), (MEETS[1] / 0.85, MARGINAL, OK),
               (MEETS[0] / 1.15, OK, MARGINAL), (MEETS[0] / 0.85, MARGINAL, OK)),
     "why": "two and three times the speed, 15 % apart (from memory), a plain cantilever that turns (Southwell)",
     "base": PLANK, "hair": 0.02, "changes": {"rotor.greatest_speed": 100.0}},
    {"rule": "blade.fatigue", "subject": "blade", "path": "blade.years", "turns": _years,
     "why": "case A (a thesis, IEC 61400-2), edge and flap at once, a line of slope 6 through the strength, Goodman",
     "base": PLANK, "hair": 0.02,
     "changes": {**STEADY, "rotor.design_torque": 2.0, "blade.fatigue_slope": 6.0,
                 "site.availability": 0.9}},
    {"rule": "blade.condition", "subject": "blade", "path": "blade.knots",
     "turns": {"none": OK, "in the inner half": FAIL},
     "why": "wood with knots where it is pulled hardest is not used for blades; common practice, no source",
     "base": PLANK, "changes": {**STEADY, "rotor.design_speed": 8.0}},
    {"rule": "hub.bolts", "subject": "hub", "path": "hub.end_distance", "turns": _end,
     "why": "two planes of shear at the end of the blade, shear of C24 over its bending (EN 338)", "base": PLANK,
     "changes": {"rotor.greatest_speed": 150.0, "hub.root_thickness": 0.015, "hub.bolt_diameter": 0.006}, "hair": 0.01,
     "whole": False},
    {"rule": "hub.plate", "subject": "hub", "path": "hub.plate_thickness", "turns": _plate,
     "why": "a rectangle bent by case H, stopped (from memory); 235 MPa and 3 x 1.1 (D. Wood; a thesis, p. 202)",
     "base": PLANK, "changes": {**STEADY, "hub.plate_width": 0.1, "hub.plate_strength": 235e6}, "hair": 2e-3},
    {"rule": "hub.shaft", "subject": "hub", "path": "hub.shaft_diameter", "turns": _shaft,
     "why": "32 M/(pi d^3), M of case B (D. Wood, eq. 9.46); 355 MPa (EN 10025) and 3 x 1.1", "base": PLANK,
     "changes": {**STEADY, "hub.shaft_steel": "construction steel (S355)"}, "hair": 2e-3},
    {"rule": "hub.shaft-fatigue", "subject": "hub", "path": "hub.shaft_years", "turns": _shaft_years,
     "why": "case A (a thesis, IEC 61400-2), a line of slope 10 from the 470 MPa of S355 (EN 10025) at one turn, notch "
     "1.3 (Peterson), all from memory; 1.25 where the material is known", "base": PLANK, "hair": 0.02,
     "changes": {**STEADY, "hub.shaft_steel": "construction steel (S355)", "hub.shaft_diameter": WORN,
                 "hub.shaft_notch": SMOOTH, "hub.shaft_slope": 10.0, "site.availability": 0.9}},
    {"rule": "yaw.bearing", "subject": "yaw", "path": "yaw.bearing_rating",
     "turns": ((1.5 * PUSHED, FAIL, MARGINAL), (3.0 * PUSHED, MARGINAL, OK)),
     "why": "statics of two bearings under case H, stopped; 1.5 (ISO 76, from memory) and 3 (IEC 61400-2)",
     "base": PLANK, "changes": {**STEADY, "rotor.greatest_speed": 25.0, "hub.side_area": 0.3, "hub.rotor_mass": 4.0,
                 "rotor.overhang": 0.2, "yaw.bearing_distance": 0.2, "yaw.shaft_height": 0.1}, "hair": 2e-3},
    {"rule": "hub.balance", "subject": "hub", "path": "hub.rotor_mass",
     "turns": ((OUT / (0.005 * R), FAIL, MARGINAL), (OUT * 20.0 / 0.016, MARGINAL, OK)),
     "why": "three vectors of mass times radius, two alike; 0.005 R (IEC 61400-2, from memory), 16 mm/s (ISO 21940-11, "
     "from memory)", "base": PLANK, "changes": {**STEADY, **SET, "weighed.c.mass": 0.52}},
)  # fmt: skip
