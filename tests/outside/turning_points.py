"""Where every rule turns, and why: a table of data for ``test_turning_points``.

Each row names a rule, the sheet it is tried on, one input, and the values of that input at which the finding turns. The
values are worked out here from what stands beside them (a standard, a handbook, arithmetic), never copied from the
program. ``GOOD`` is the invented machine of ``tests.calc.sheets``; ``WORKED`` is one whose balance is done by hand: in
8 m/s it runs at the working tip-speed ratio of 5, where the sheet says that it takes 0.3 of the wind's power.
Marks: "from memory" and "common practice, no source" as in the program.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import SimpleNamespace
from typing import TypeAlias

import numpy as np
import scipy

from calc.finding import Status
from calc.machine.catalogue import catalogue
from calc.machine.catalogue.guys import (
    AFTERWARDS,
    ANCHORS,
    AT_HAND,
    CRANE,
    HARNESS,
    LADDER,
    LYING,
    PLATFORM,
    SCAFFOLD,
    TREE,
    WHOLE,
    GinGroup,
)  # fmt: skip
from calc.machine.catalogue.mast import JOINTS, LATTICE
from calc.machine.catalogue.neighbours import HOUSE, LINE, NEIGHBOURS, OWN_HOUSE, ROAD
from calc.machine.catalogue.site import EDGE, FLAT, HOLLOW, RIDGE, SLOPE, VALLEY
from calc.machine.catalogue.tail import DOWNWIND, FIXED, HINGED, SLIP_RINGS, TWISTS, UNTWISTED, UPWIND
from calc.machine.entry import AH, MM2, Value
from tests.calc.masts import FREE_POLE, GUYED_MAST, LATTICE_MAST, TOP_FORCE
from tests.calc.sheets import GOOD, RPM
from tests.calc.test_rules_machine import PIPE
from tests.outside import masts_by_hand as by_hand
from tests.outside.heads import DEG, G, Head
from tests.outside.turning_blades import BLADE_ROWS

OK, MARGINAL, FAIL, DANGER, UNKNOWN = Status.OK, Status.MARGINAL, Status.FAIL, Status.DANGER, Status.UNKNOWN
STATED = Status.STATED
Changes: TypeAlias = "Mapping[str, Value | None]"
Turns = tuple[tuple[float, Status, Status], ...]


@dataclass(frozen=True)
class Row:
    """One input of one rule.

    Parameters
    ----------
    rule, subject, path : str
        Rule, its subject, and the input that is varied.
    turns : tuple of (value, status before, status after), or mapping of word to status
        Where it turns, from small to great; or what it says to each word. A function where it takes long to work out.
    why : str
        The outside reason.
    changes, base : mapping
        What is changed on which sheet.
    hair : float
        How near the turn both sides are tried, and how near the program's turn must lie, as a share of the value.
    whole : bool
        Whether these are all turns of that input.
    """

    rule: str
    subject: str
    path: str
    turns: Turns | Callable[[], Turns] | Mapping[str, Status]
    why: str
    changes: Changes = field(default_factory=dict)
    base: Mapping[str, Value] = field(default_factory=lambda: GOOD)
    hair: float = 1e-4
    whole: bool = True


# --- air, wind, rotor -------------------------------------------------------------------------------------------------

#: Dry air at 1013.25 hPa, R = 287.05 J/(kg K): ISA gives 1.2250 kg/m3 at 15 degC.
RHO_15, RHO_20 = 101325.0 / (287.05 * 288.15), 101325.0 / (287.05 * 293.15)
AREA = math.pi  # of a rotor 2 m across [m2]
BETZ = 16.0 / 27.0
#: Logarithmic profile over open farmland, 0.03 m (P. Jain, Table 3-5), from 10 m to the 15.5 m of the good machine.
UP = math.log(15.5 / 0.03) / math.log(10.0 / 0.03)
#: 30 m/s, 1 m, free tip-speed ratio 8: rad/s; 40 rpm/V: rectified volts.
STORM = 30.0 * 8.0 / 1.0
STORM_V = STORM * 60.0 / (2.0 * math.pi) / 40.0
#: The same in 12 m/s, from which tails usually fold; common practice, no source.
HELD_V = STORM_V * 12.0 / 30.0
#: Mean of a six-pulse bridge over the RMS line voltage (Modelica Standard Library, "Average-Value Rectifier").
SIX_PULSE = 3.0 * math.sqrt(2.0) / math.pi

# Charging: 4 cells of 3.3 V and two diodes of 0.9 V at 40 rpm/V.
CHARGE_SPEED = (13.2 + 1.8) * 40.0 * RPM
#: 200 rpm/V. [V s/rad]
SLOW = 1.0 / (200.0 * RPM)
FREE_WIND, WORKING_WIND = CHARGE_SPEED / 8.0, CHARGE_SPEED / 5.0

# --- the worked machine -----------------------------------------------------------------------------------------------

WORKED_WIND, CP = 8.0, 0.3
SHAFT = CP * 0.5 * RHO_20 * AREA * WORKED_WIND**3
#: Speed at the working ratio, and the voltage behind the rectifier at 1 V s/rad.
SPEED = 5.0 * WORKED_WIND / 1.0
AMPS = SHAFT / SPEED
#: Battery of 8 cells of 3.3 V, two diodes of 0.9 V; 10 m of 10 mm2 (IEC 60228, 1.83 ohm/km) there and back; 10 mohm.
REST, DIODES, CABLE, INSIDE = 26.4, 1.8, 2 * 10.0 * 1.83e-3, 0.010
WINDING = (SPEED - REST - DIODES) / AMPS - CABLE - INSIDE
CHARGED = AMPS * (REST + AMPS * INSIDE)

WORKED: dict[str, Value] = {
    k: v for k, v in GOOD.items() if not k.startswith(("claim.", "load.", "measured.")) and k != "dump.resistance"
} | {
    "rotor.blades": 3.0,
    "rotor.power_coefficient": CP,
    "rotor.limit_wind": 20.0,
    "site.air_temperature": 293.15,
    "generator.emf_constant": 1.0,
    "generator.winding_resistance": WINDING,
    "generator.inductance": 1e-6,
    "generator.pole_pairs": 10.0,
    "generator.drag_torque": 1e-4,
    "generator.cogging_torque": 1e-4,
    "storage.voltage": 24.0,
    "storage.voltage_charging": REST,
    "storage.internal_resistance": INSIDE,
    "dump.kind": "none",
}
del WORKED["generator.rated_current"]


# Around: a house 60 m from a hub 15.5 m up, tips of 40 m/s; half a sphere of that radius, and what the air swallows.
AWAY = math.hypot(60.0, 15.5)
HEARD = 50 * math.log10(SPEED) + 10 * math.log10(2.0) - 4 - 10 * math.log10(2 * math.pi * AWAY**2) - 0.005 * AWAY
#: A strip so many diameters wide covers a fifth of a disc: twice the segment's half, 2/pi (asin u + u sqrt(1 - u^2)).
FIFTH = float(
    scipy.optimize.brentq(
        lambda u: 2 / math.pi * (math.asin(u) + u * math.sqrt(1 - u * u)) - 0.2, 0.01, 0.9, xtol=1e-12
    )
)
LANE: Changes = {"neighbour.lane.kind": ROAD, "neighbour.lane.distance": 40.0}
FARM: Changes = {"neighbour.farm.kind": HOUSE, "neighbour.farm.distance": 60.0}
BARN: Changes = {"obstacle.barn.height": 5.0, "obstacle.barn.distance": 60.0, "mast.height": 8.0}


def cp(ratio: float) -> float:
    """Power coefficient of the simple curve: its top at 5, nothing at 0 and 8, and a parabola's likeness between."""
    return CP / 5.0 * ratio * (max(8.0 - ratio, 0.0) / 3.0) ** (3.0 / 5.0)


def amps(V: float, k: float = 1.0, R: float = WINDING) -> float:
    """Direct current in a wind: torque of the rotor against that of the generator, one root by Brent's method."""
    first = (REST + DIODES) / k

    def flows(omega: float) -> float:
        return (k * omega - REST - DIODES) / (R + CABLE + INSIDE)

    def left(omega: float) -> float:
        return cp(omega / V) * 0.5 * RHO_20 * AREA * V**3 - k * omega * flows(omega)

    if first >= 8.0 * V or left(first) <= 0.0:
        return 0.0
    return flows(scipy.optimize.brentq(left, first, 8.0 * V))


# --- the worked machine with a tail that folds ------------------------------------------------------------------------

TAILED: dict[str, Value] = WORKED | {
    "rotor.offset": 0.08, "rotor.overhang": 0.2, "tail.hinge": HINGED, "tail.area": 0.3, "tail.vane_height": 0.3**0.5,
    "tail.arm": 1.2, "tail.mass": 5.0, "tail.mass_arm": 0.9, "tail.hinge_behind": 0.1, "tail.inclination": 15.0 * DEG,
    "tail.hinge_direction": 45.0 * DEG, "tail.rest_angle": 10.0 * DEG, "tail.stop_angle": 85.0 * DEG,
    "tail.hinge_friction": 0.0, "tail.wake": 0.6, "tail.lift_factor": 1.0, "tail.side_force": 0.1,
    "tail.yaw_power": 2.5, "tail.thrust_coefficient": 0.8,
}  # fmt: skip
#: Where the far edge of the vane meets the plane of the rotor, from where the boom rests. [rad]
MEETS = math.pi - math.acos((0.1 + 0.2) / (1.2 + 0.3**0.5 / 2.0)) + 10.0 * DEG
#: Of the winding that a stop heats. [K/W]
BRAKE_RTH = 0.02


def head(**changes: float) -> Head:
    """The same head by vectors."""
    numbers = {
        "swept": AREA, "offset": 0.08, "overhang": 0.2, "area": 0.3, "aspect": 1.0, "arm": 1.2, "mass": 5.0,
        "mass_arm": 0.9, "behind": 0.1, "inclination": 15.0 * DEG, "direction": 45.0 * DEG, "stop": 85.0 * DEG,
        "rest": 10.0 * DEG, "wake": 0.6, "side": 0.1, "power": 2.5, "lift": 1.0, "rho": RHO_20,
    }  # fmt: skip
    return Head(SimpleNamespace(**{**numbers, **changes}), 0.8)


def folds_in() -> float:
    """Wind in which it begins to fold."""
    own = head()
    return scipy.optimize.brentq(lambda V: own.fold(own.stands(0.0, V), 0.0, V), 1.0, 100.0)


def least_weight() -> float:
    """Least moment with which the weight brings it back."""
    own, step = head(), 1e-5
    folds = np.linspace(0.0, 85.0 * DEG, 25)
    return min(5.0 * G * (own.height(a + step) - own.height(a - step)) / (2.0 * step) for a in folds)


def offset_for(degrees: float) -> float:
    """Offset with which a head whose boom rests straight behind stands so far out of the wind."""
    return scipy.optimize.brentq(lambda e: head(offset=e, rest=0.0).stands(0.0, 8.0) - degrees * DEG, 1e-3, 1.0)


#: Boom of 48.3 x 3.2 mm: plastic modulus 6.520 cm3 (table of scaffold tube), and what bends it in a gust of 30 m/s.
BOOM: Changes = {"tail.boom_diameter": 0.0483, "tail.boom_wall": 0.0032, "tail.boom_strength": 235e6,
                 "tail.cushioned": True, "site.storm_wind": 30.0}  # fmt: skip
BOOM_W = 6.520e-6
VANE_STRESS = 1.5 * 0.5 * RHO_20 * 30.0**2 * 0.2**2 / 2.0 / (0.006**2 / 6.0)


def boom_bends() -> float:
    """Wind on vane and tube, and the tail's weight square to it."""
    q = 0.5 * RHO_20 * 30.0**2
    return math.hypot(1.5 * q * 0.3 * 1.2 + 1.2 * q * 0.0483 * 1.2**2 / 2.0, 5.0 * G * 0.9)


def shaken_sheets() -> tuple[tuple[float, Status, Status], ...]:
    """Thicknesses at which the speeds that shake the vane pass the machine's working speeds."""
    low = REST + DIODES
    usual, high = (low + amps(V) * (WINDING + CABLE + INSIDE) for V in (5.5 * UP, 20.0))
    at = [
        w / (2.0 * math.pi) * 0.002 / (18.3 * (0.3 / 0.4) ** 2)
        for w in (0.85 * low, 0.9 * usual, 1.1 * usual, 3.0 * 1.15 * high)
    ]
    return tuple(zip(at, (OK, MARGINAL, FAIL, MARGINAL), (MARGINAL, FAIL, MARGINAL, OK), strict=True))


def holds_off(degrees: float, V: float = 4.0) -> float:
    """Moment that turns the head back from an angle off its balance."""
    own = head()
    return -own.yaw(own.stands(0.0, V) + degrees * DEG, 0.0, V)


def inertia_for(rate: float) -> float:
    """Inertia of the head with which it swings back from 45 degrees at a rate, at 10 m/s."""
    stiff = holds_off(45.0, 10.0) / (45.0 * DEG)

    def fastest(I: float) -> float:
        damping = stiff * (1.2 + 0.1) / 10.0
        times = np.linspace(0.0, 6.0 * math.sqrt(I / stiff), 4000)
        swing = scipy.integrate.solve_ivp(
            lambda _, y: (y[1], -(stiff * y[0] + damping * y[1]) / I), times[[0, -1]], (45.0 * DEG, 0.0), t_eval=times,
            rtol=1e-9,
        )  # fmt: skip
        return float(np.abs(swing.y[1]).max())

    return scipy.optimize.brentq(lambda I: fastest(I) - rate, 0.1, 1000.0)


def brake_mass() -> float:
    """Mass of each of three blades whose stop from 8 times the wind warms the winding by 110 K."""
    R, V = (WINDING + CABLE) / 2.0, WORKED_WIND

    def net(omega: float) -> float:
        return brake_torque(omega, 10.0, R, 5e-7) - cp(omega / V) * 0.5 * RHO_20 * AREA * V**3 / omega

    rest = scipy.optimize.brentq(net, 1e-3, 30.0)

    def heat(omega: float) -> float:
        return brake_torque(omega, 10.0, R, 5e-7) * omega / net(omega)

    inertia = 3.0 * 0.2 * 1.0
    stored = scipy.integrate.quad(heat, 1.05 * rest, 8.0 * V)[0]
    return 110.0 * 10.0 / BRAKE_RTH / (inertia * stored * WINDING / (WINDING + CABLE))


def dump_for(tip: float) -> float:
    """Resistance of a dump load that alone holds the tips of a rotor of 1 m at a speed."""
    I = cp(tip / WORKED_WIND) * 0.5 * RHO_20 * AREA * WORKED_WIND**3 / tip
    return (tip - DIODES) / I - WINDING - CABLE


def rayleigh(V: float, mean: float) -> float:
    """Density of the Rayleigh distribution (IEC 61400-12-1)."""
    return math.pi / 2.0 * V / mean**2 * math.exp(-math.pi / 4.0 * (V / mean) ** 2)


def year(mean: float, limit: float) -> float:
    """Energy of a year at the battery's end of the cable [J], held back from a wind on, 0.9 of the time available."""

    def power(V: float) -> float:
        I = amps(min(V, limit))
        return I * (REST + I * INSIDE) * rayleigh(V, mean)

    return (
        0.9
        * 8760.0
        * 3600.0
        * (
            scipy.integrate.quad(power, 0.1, limit, limit=200)[0]
            + scipy.integrate.quad(power, limit, 40.0, limit=200)[0]
        )
    )


def lost(L: float, mean: float, limit: float) -> float:
    """Share of a year's energy that a cable of 10 mm2 loses of what comes into it, held back from a wind on."""
    R = 2 * L * 1.83e-3

    def over_year(power: Callable[[float], float]) -> float:
        def weighted(V: float) -> float:
            return power(amps(min(V, limit), R=WINDING - CABLE + R)) * rayleigh(V, mean)

        return sum(scipy.integrate.quad(weighted, *ends, limit=200)[0] for ends in ((0.1, limit), (limit, 40.0)))

    wasted = over_year(lambda I: I**2 * R)
    return wasted / (wasted + over_year(lambda I: I * (REST + I * INSIDE)))


def match(k: float, mean: float) -> float:
    """Share of what the rotor could take that it takes, over the winds in which it charges."""
    winds = np.arange(0.5, 40.01, 0.05)
    flow = np.array([amps(float(V), k) for V in winds])
    kept = flow > 0
    omega = (REST + DIODES + flow * (WINDING + CABLE + INSIDE)) / k
    weight = np.array([rayleigh(float(V), mean) for V in winds]) * winds**3 * kept
    return float(sum(weight * [cp(w / V) for w, V in zip(omega, winds, strict=True)]) / (CP * sum(weight)))


#: Flux linkage of a phase from 1 V s/rad behind the bridge: peak between leads over sqrt(3) is that of a phase.
def brake_torque(omega: float, p: float, R: float, L: float) -> float:
    """Torque of three shorted leads: 3/2 p flux^2 w R / (R^2 + (w L)^2) of a star's phase; from memory."""
    flux, w = math.sqrt(2.0) / SIX_PULSE / math.sqrt(3.0) / p, p * omega
    return 1.5 * p * flux**2 * w * R / (R**2 + (w * L) ** 2)


def holds(V: float, p: float, R: float, L: float) -> bool:
    """Whether the shorted generator is stronger from the free speed down to that of its greatest torque, R/(p L)."""
    speeds = np.linspace(R / (p * L), 8.0 * V, 400)
    return all(brake_torque(w, p, R, L) * w > cp(w / V) * 0.5 * RHO_20 * AREA * V**3 for w in speeds)


@cache
def held(p: float = 10.0, R: float = (WINDING + CABLE) / 2.0, L: float = 4e-3 / 2.0) -> float:
    """Strongest wind, from 4 m/s in steps of half a metre per second, up to which it holds in every lesser one."""
    winds = np.arange(4.0, 25.1, 0.5)
    return float(next((V - 0.5 for V in winds if not holds(float(V), p, R, L)), winds[-1]))


def held_by_brushes(k: float = 0.4, R: float = 0.5 + CABLE, V_brush: float = 1.2) -> float:
    """The same of a shorted motor with brushes: it must come below 0.6 of the best ratio, 5; own choice."""
    ratios = np.linspace(0.05, 8.0, 4001)

    def holds_at(V: float) -> bool:
        rotor = np.array([cp(r) / r for r in ratios]) * 0.5 * RHO_20 * AREA * V**2
        left = rotor - k * np.maximum(k * ratios * V - V_brush, 0.0) / R
        # From the free speed down to the first balance.
        fast = [r for r, a, b in zip(ratios[1:], left[:-1], left[1:], strict=True) if a > 0 >= b]
        return not fast or fast[-1] < 0.6 * 5.0

    winds = np.arange(4.0, 25.1, 0.5)
    return float(next((V - 0.5 for V in winds if not holds_at(float(V))), winds[-1]))


# --- the table --------------------------------------------------------------------------------------------------------

DUMP_PLACES, SECOND_MEANS, GENERATOR_SWITCHES, MAST_EARTHS, NEUTRALS, FEEDS = (
    catalogue()[path].choices
    for path in ("dump.place", "dump.second_means", "protection.generator_switch", "protection.mast_earth",
                 "house.neutral", "house.feed")
)  # fmt: skip
PEAK_1PH = math.pi / 2.0  # peak over mean of a rectified sine
BEGIN_LIMIT = 1.5 * 5.5 * UP
NAMES = {"storage.chemistry": "flooded lead-acid"}
GEL = {"storage.chemistry": "gel lead-acid"}
NEC = {"site.wiring_practice": "NEC"}
#: No main fuse: the fuse of each run is the first behind the battery.
BY_RUN = {"protection.main_fuse": "none, each cable has its own at the battery"}
AWG_0, AWG_3, AWG_6, AWG_12 = (math.pi / 4.0 * (0.127e-3 * 92.0 ** ((36 - n) / 39.0)) ** 2 for n in (0, 3, 6, 12))
PUMP = {"load.pump.power": 250.0, "load.pump.hours": 0.01, "load.pump.surge": 750.0}
#: Start of the pump beside the lamp, through 0.8 of efficiency; 12.8 V half full; 5 mohm stated and 2 m of 25 mm2.
START, BEHIND = (750.0 + 12.0) / 0.8, 0.005 + 2 * 1.0 * 0.727e-3
SAGGED = (12.8 + math.sqrt(12.8**2 - 4.0 * BEHIND * START)) / 2.0
#: Short circuit at the fuse: 13.2 V at rest behind 5 mohm and 0.15 m of 25 mm2 there and back.
FAULT = 13.2 / (0.005 + 2 * 0.15 * 0.727e-3)
#: Three leads shorted with the tips at 50 m/s: line voltage over sqrt(3), over half of 0.4 ohm.
SHORTED = 50.0 / (40.0 * RPM) / SIX_PULSE / math.sqrt(3.0) / 0.2
PHASE = math.sqrt(2.0 / 3.0)
#: Wind's mean power through 2 m: 0.5 rho A 6/pi Vm^3 (Rayleigh), of which 0.2.
AVERAGE = 0.2 * 0.5 * RHO_15 * AREA * 6.0 / math.pi * (5.5 * UP) ** 3
ROOF = "on a roof or gable"

ROWS: tuple[Row, ...] = (
    Row("claim.betz", "claim.seller", "claim.seller.power",
        ((BETZ * 0.5 * RHO_15 * AREA * 7.0**3, OK, FAIL),),
        "16/27 of the wind's power (Kramm et al. 2016): 7 m/s through 2 m of air of 1.2250 kg/m3"),
    Row("site.power", "site", "site.mean_wind",
        ((3.5 / UP, FAIL, MARGINAL), (4.5 / UP, MARGINAL, OK)),
        "3.5 and 4.5 m/s at the rotor, common practice, no source; carried up by the logarithmic profile"),
    Row("site.power", "site", "mast.height",
        ((0.03 * math.exp(math.log(10.0 / 0.03) * 4.5 / 4.0), MARGINAL, OK),),
        "4.5 m/s from 4 m/s at 10 m: height by the logarithmic profile; 3.5 m/s holds at 4.8 m",
        {"site.mean_wind": 4.0}, whole=False),
    Row("rotor.overspeed", "rotor", "rotor.overspeed",
        {"none": DANGER, "furling tail": STATED},
        "NEC 694.7(C), IEC 61400-2: something must limit the speed without the load"),
    Row("rotor.brake", "rotor", "rotor.brake",
        {"none": DANGER, "mechanical brake": STATED, "switch that shorts the generator": STATED},
        "NEC 694.28: open circuit, short circuit or mechanical brake to disable it"),
    Row("generator.charging-begins", "generator", "site.mean_wind",
        ((FREE_WIND / 1.5 / UP, FAIL, MARGINAL), (WORKING_WIND / 1.5 / UP, MARGINAL, OK)),
        "15 V at 40 rpm/V is 600 rpm: 7.85 m/s at the free ratio of 8, 12.6 m/s at 5; one and a half times the mean is "
        "exceeded exp(-pi/4 x 2.25) = 17 % of the time, common practice, no source"),
    Row("generator.charging-begins", "generator", "generator.emf_constant",
        ((15.0 / (BEGIN_LIMIT * 8.0), FAIL, MARGINAL), (15.0 / (BEGIN_LIMIT * 5.0), MARGINAL, OK)),
        "15 V at the speed of 8.87 m/s and ratio 8, then 5"),
    Row("generator.charging-begins", "generator", "generator.emf_constant",
        ((15.0 / PEAK_1PH / (BEGIN_LIMIT * 8.0), FAIL, MARGINAL),
         (15.0 / PEAK_1PH / (BEGIN_LIMIT * 5.0), MARGINAL, OK)),
        "a bridge on one phase conducts at the peak, pi/2 times the mean of a rectified sine",
        {"generator.phases": "single-phase"}),
    Row("generator.charging-begins", "generator", "generator.emf_constant",
        (((13.2 + 2.5) / (BEGIN_LIMIT * 8.0), FAIL, MARGINAL), ((13.2 + 2.5) / (BEGIN_LIMIT * 5.0), MARGINAL, OK)),
        "brushes need one diode, a bridge two; carbon takes 1.6 V more (1.6 to 2.0 V, Hunter Brown, 1919)",
        {"generator.phases": "DC with brushes", "generator.brush_drop": 1.6}),
    Row("generator.charging-begins", "generator", "generator.ratio",
        ((15.0 / (SLOW * BEGIN_LIMIT * 8.0), FAIL, MARGINAL), (15.0 / (SLOW * BEGIN_LIMIT * 5.0), MARGINAL, OK)),
        "a generator of 200 rpm/V has to turn at 3000 rpm for 15 V; a belt makes up what the rotor lacks",
        {"generator.drive": "flat or V belt", "generator.emf_constant": SLOW}),
    Row("converter.input-voltage", "converter", "converter.input_highest",
        ((STORM_V * math.pi / 3.0, FAIL, MARGINAL), (1.25 * STORM_V * math.pi / 3.0, MARGINAL, OK)),
        "the tops of three phases stand pi/3 above their mean behind the bridge; a quarter more, common practice, no "
        "source", {"converter.kind": "a converter that looks for the best power"}),
    Row("converter.input-current", "converter", "converter.input_current",
        ((AMPS, MARGINAL, OK),),
        "the worked machine on an input held at what its battery has there gives as many amperes at 8 m/s, where the "
        "rotor is held back; a converter for less holds no more torque",
        {"converter.kind": "a converter that holds its input at a set voltage", "rotor.limit_wind": WORKED_WIND,
         "converter.input_held": REST + AMPS * INSIDE, "converter.input_highest": 500.0}, WORKED, hair=5e-3),
    Row("generator.field", "generator", "generator.field_resistance",
        ((13.2**2 * 4.0 / AVERAGE * 254.5 / 334.5, FAIL, MARGINAL),),
        "13.2 V over the coil at 100 degC, (234.5 + 100)/(234.5 + 20) of what it has cold, against a quarter of what "
        "the rotor takes on average, own choice; always on it is never plainly ok",
        {"generator.field": "a coil on slip rings, as in a car alternator", "generator.field_supply": "always on"}),
    Row("generator.field", "generator", "generator.field_resistance",
        ((13.2**2 * 4.0 / AVERAGE * 254.5 / 334.5, MARGINAL, OK),),
        "the same, cut off in light wind",
        {"generator.field": "a coil on slip rings, as in a car alternator",
         "generator.field_supply": "switched on only while the rotor turns fast enough"}),
    Row("generator.belt", "generator", "generator.belt_torque",
        ((0.95 * SHAFT / SPEED / 4.0, FAIL, MARGINAL), (1.5 * 0.95 * SHAFT / SPEED / 4.0, MARGINAL, OK)),
        "the worked machine behind 1 to 4: a quarter of the rotor's torque arrives, less the 5 % of the belt; half as "
        "much again, common practice, no source",
        {"generator.drive": "flat or V belt", "generator.ratio": 4.0, "generator.drive_efficiency": 0.95,
         "generator.emf_constant": 0.25, "rotor.overspeed": "furling tail", "rotor.limit_wind": WORKED_WIND,
         "rotor.brake": "mechanical brake"}, WORKED, hair=0.02),
    Row("rotor.brake-holds", "rotor", "rotor.limit_wind",
        lambda: ((held_by_brushes() / 1.25, OK, MARGINAL), (held_by_brushes(), MARGINAL, FAIL)),
        "shorted brushes hold with k (k w - V) / R, which rises without a peak",
        {"generator.phases": "DC with brushes", "generator.brush_drop": 1.2, "generator.emf_constant": 0.4,
         "generator.winding_resistance": 0.5, "site.storm_wind": 40.0}, WORKED, hair=2e-3),
    Row("generator.storm-voltage", "generator", "generator.rectifier_voltage",
        ((STORM_V * math.pi / 3.0, FAIL, MARGINAL), (2.0 * STORM_V * math.pi / 3.0, MARGINAL, OK)),
        "peak of the line voltage is pi/3 of the six-pulse mean: 60 V at 2292 rpm; twice that, from memory",
        {"rotor.overspeed": "none"}),
    Row("generator.storm-voltage", "generator", "generator.rectifier_voltage",
        ((2.0 * HELD_V * math.pi / 3.0, FAIL, MARGINAL), (2.0 * STORM_V * math.pi / 3.0, MARGINAL, OK)),
        "NEC 694.2: what it gives in operation, 24 V where a tail begins to fold at 12 m/s; twice that, own choice"),
    Row("generator.touch-voltage", "generator", "generator.emf_constant",
        ((25.0 * SIX_PULSE / STORM, OK, FAIL), (50.0 * SIX_PULSE / STORM, FAIL, DANGER)),
        "25 V AC may be touched in the dry (IEC 61140, EN 60204-1 6.4), extra-low voltage ends at 50 V AC (IEC 61558-1 "
        "3.7.16); 33.8 and 67.5 V behind the bridge, so the wires ahead of it decide"),
    Row("generator.touch-voltage", "generator", "generator.emf_constant",
        ((60.0 / STORM, OK, FAIL), (120.0 / STORM, FAIL, DANGER)),
        "60 V DC may be touched in the dry (IEC 61140), extra-low voltage ends at 120 V DC (IEC 61558-1 3.7.16)",
        {"generator.phases": "DC with brushes"}),
    Row("generator.touch-voltage", "generator", "generator.emf_constant",
        ((50.0 * SIX_PULSE / STORM, OK, MARGINAL),),
        "behind covers only what can kill is worth a word: above 50 V AC",
        {"generator.enclosed": True}),
    Row("claim.power", "claim.seller", "claim.seller.power",
        ((0.8 * 1.25 * CHARGED, OK, MARGINAL), (1.25 * CHARGED, MARGINAL, FAIL)),
        "5 V/s: 0.3 of the wind's power at 40 V, less diodes, winding and cable, by hand; a quarter more than "
        "computed is "
        "our own allowance",
        {"claim.seller.power": 60.0, "claim.seller.wind_speed": WORKED_WIND}, WORKED, hair=5e-3),
    Row("generator.match", "generator", "generator.emf_constant",
        lambda: ((scipy.optimize.brentq(lambda k: match(k, 5.0) - 0.5, 0.4, 0.8), FAIL, MARGINAL),
         (scipy.optimize.brentq(lambda k: match(k, 5.0) - 0.75, 0.5, 0.9), MARGINAL, OK)),
        "half and three quarters of what the rotor could take, own choice; the machine balanced wind by wind and "
        "weighted "
        "by Rayleigh winds of 5 m/s",
        {"site.mean_wind": 5.0, "mast.height": 10.0, "rotor.overspeed": "none"}, WORKED, hair=0.02, whole=False),
    Row("generator.heat", "generator", "generator.thermal_resistance",
        (((403.15 - 293.15) / (AMPS**2 * WINDING), MARGINAL, FAIL),),
        "IEC 60034-1, class B: 130 degC. The winding is made so that at 130 degC, (234.5 + 130)/(234.5 + 20) of its "
        "resistance when cold, the machine runs at the worked point",
        {"rotor.limit_wind": WORKED_WIND, "generator.winding_resistance": WINDING * 254.5 / 364.5}, WORKED, hair=0.01,
        whole=False),
    Row("generator.heat", "generator", "generator.thermal_resistance",
        ((0.85 * (403.15 - 293.15) / (AMPS**2 * WINDING), OK, MARGINAL),),
        "0.85 of the rise left, 113.5 degC, own choice; the winding made for that temperature",
        {"rotor.limit_wind": WORKED_WIND, "generator.winding_resistance": WINDING * 254.5 / (234.5 + 113.5)}, WORKED,
        hair=0.01, whole=False),
    Row("rotor.brake-holds", "rotor", "rotor.limit_wind",
        lambda: ((held() / 1.25, OK, MARGINAL), (held(), MARGINAL, FAIL)),
        "torque of shorted leads against that of the rotor at all speeds up to the free one; a quarter in reserve, own "
        "choice", {"generator.inductance": 4e-3, "site.storm_wind": 40.0}, WORKED, hair=2e-3),
    Row("energy.year", "energy", "load.lamp.power",
        lambda: ((year(5.0, 20.0) / (8760.0 * 3600.0) / 1.5, OK, MARGINAL),
         (year(5.0, 20.0) / (8760.0 * 3600.0), MARGINAL, FAIL)),
        "Rayleigh winds of 5 m/s over the worked machine, integrated by quadrature; half as much again, own choice",
        {"site.mean_wind": 5.0, "mast.height": 10.0, "load.lamp.power": 10.0, "load.lamp.hours": 1.0,
         "inverter.power": None, "site.availability": 0.9}, WORKED, hair=0.01),
    Row("measured.agrees", "measured.M1", "generator.emf_constant",
        ((1.0 / SIX_PULSE, MARGINAL, OK), (2.0 / SIX_PULSE, OK, MARGINAL)),
        "a reading of 1 to 2 V s/rad behind the bridge agrees where its limits hold 1.3505 times what is between leads",
        {"generator.emf_form": "between two leads, RMS", "measured.M1.quantity": "generator.emf",
         "measured.M1.value": 1.5, "measured.M1.low": 1.0, "measured.M1.high": 2.0}, WORKED),
    Row("measured.curve", "measured.curve", "curve.at0800.power",
        ((0.92 * CHARGED - 2.0 * 5.0, MARGINAL, OK), (1.08 * CHARGED + 2.0 * 5.0, OK, MARGINAL)),
        "a bin of 5 W doubt in 8 m/s: twice that, and 8 % for the model, own choices, about the charge worked by hand",
        {"curve.at0800.wind": WORKED_WIND, "curve.at0800.power": 60.0, "curve.at0800.doubt": 5.0,
         "curve.at0800.count": 60.0}, WORKED, hair=5e-3),
    Row("wiring.voltage-drop", "cable.main", "cable.main.length",
        ((0.03 * 12.0 / (2 * 10.0 * 1.83e-3), OK, MARGINAL), (0.08 * 12.0 / (2 * 10.0 * 1.83e-3), MARGINAL, FAIL)),
        "IEC 60228 class 2, 10 mm2: 1.83 ohm/km; 3 % Davey and Dankoff, 8 % IEC 60364-5-52 Table G.52.1 B, a supply of "
        "one's own"),
    Row("wiring.voltage-drop", "cable.main", "cable.main.length",
        ((0.03 * 12.0 / (2 * 10.0 * 1.83e-3), OK, MARGINAL), (0.06 * 12.0 / (2 * 10.0 * 1.83e-3), MARGINAL, FAIL)),
        "the same table to lights: 6 %", {"cable.main.carries": "battery to loads", "cable.main.current": 10.0}),
    Row("wiring.voltage-drop", "cable.main", "cable.main.length",
        ((0.03 * 12.0 / (2 * 2.0 * 1.83e-3), OK, MARGINAL),
         ((0.08 - 0.005) / (2 * 2.0 * 1.83e-3 / 12.0 - 5e-5), MARGINAL, FAIL)),
        "the same table: 0.005 % more for each metre beyond 100 m, half a percent at most",
        {"cable.main.current": 2.0}),
    Row("wiring.voltage-drop", "cable.main", "cable.main.length",
        ((0.085 * 12.0 / (2 * 0.5 * 1.83e-3), MARGINAL, FAIL),),
        "the same table beyond 200 m: half a percent more and no further", {"cable.main.current": 0.5}, whole=False),
    Row("wiring.voltage-drop", "cable.main", "cable.main.length",
        ((0.03 * 12.0 / (2 * 10.0 * 1.21e-3), OK, MARGINAL), (0.08 * 12.0 / (2 * 10.0 * 1.21e-3), MARGINAL, FAIL)),
        "IEC 60228 class 5, 16 mm2: 1.21 ohm/km",
        {"cable.main.strands": "fine strands", "cable.main.area": 16 * MM2}),
    Row("wiring.voltage-drop", "cable.main", "cable.main.length",
        lambda: ((scipy.optimize.brentq(lambda L: lost(L, 5.0, 20.0) - 0.05, 10.0, 200.0), OK, MARGINAL),
         (scipy.optimize.brentq(lambda L: lost(L, 5.0, 20.0) - 0.10, 10.0, 400.0), MARGINAL, FAIL)),
        "a twentieth and a tenth of the year's energy, own choice: I^2 R over Rayleigh winds of 5 m/s, by quadrature, "
        "R of 1.83 ohm/km there and back (IEC 60228); every current worked out anew for the longer cable",
        {"site.mean_wind": 5.0, "mast.height": 10.0}, WORKED, hair=0.01),
    Row("wiring.voltage-drop", "cable.main", "cable.main.length",
        ((0.03 * 24.0 / (2 * 10.0 * 1.83e-3), OK, MARGINAL), (0.06 * 24.0 / (2 * 10.0 * 1.83e-3), MARGINAL, FAIL)),
        "on the same machine a cable to lights, which has no year of its own: IEC 60364-5-52 Table G.52.1 B, 6 %",
        {"cable.main.carries": "battery to loads", "cable.main.current": 10.0}, WORKED),
    Row("wiring.ampacity", "cable.main", "cable.main.current",
        ((52.0 / 1.25, OK, MARGINAL), (52.0, MARGINAL, FAIL)),
        "IEC 60364-5-52 Table B.52.2, two wires of 10 mm2 in conduit on a wall: 52 A; a quarter in reserve"),
    Row("wiring.ampacity", "cable.main", "cable.main.current",
        ((46.0 / PHASE / 1.25, OK, MARGINAL), (46.0 / PHASE, MARGINAL, FAIL)),
        "Table B.52.4, three wires: 46 A; each carries sqrt(2/3) of the direct current",
        {"cable.main.carries": "generator before the rectifier"}),
    Row("wiring.ampacity", "cable.main", "cable.main.current",
        ((0.87 * 52.0 / 1.25, OK, MARGINAL), (0.87 * 52.0, MARGINAL, FAIL)),
        "PVC in air of 40 degC: 0.87 of the table (BS 7671 Appendix Table 1)",
        {"cable.main.ambient": 313.15}, hair=6e-3),
    Row("wiring.ampacity", "cable.main", "cable.main.current",
        ((55.0 / 1.25, OK, FAIL),),
        "NEC 310.16, 60 degC column, 6 AWG: 55 A, of which 125 % must be left for hours on end (694.12(B))",
        {**NEC, "cable.main.area": AWG_6}),
    Row("wiring.fuse", "cable.main", "cable.main.fuse",
        ((10.0, FAIL, MARGINAL), (12.5, MARGINAL, OK), (52.0, OK, DANGER)),
        "more than the current of 10 A, by a quarter (NEC 694.12(B)); no more than the cable's 52 A (IEC 60364-4-43, "
        "433.1): beyond it the cable burns first"),
    Row("wiring.fuse", "cable.main", "cable.main.fuse",
        ((12.5, FAIL, OK), (60.0, OK, DANGER)),
        "6 AWG, 55 A: the next standard rating up, 60 A, will do (NEC 240.4(B), 240.6)",
        {**NEC, "cable.main.area": AWG_6}),
    Row("wiring.fuse", "cable.main", "cable.main.fuse",
        ((12.5, FAIL, OK), (20.0, OK, DANGER)),
        "12 AWG copper: 20 A at most (NEC 240.4(D))",
        {**NEC, "cable.main.area": AWG_12, "cable.main.insulation": "XLPE or rubber, 90 degC"}),
    Row("wiring.ampacity", "cable.main", "cable.main.current",
        ((150.0 / 1.25, OK, FAIL),),
        "NEC 110.14(C)(1)(b): wire larger than 1 AWG counts at 75 degC terminals where nothing is marked; 310.16, 1/0: "
        "150 A in the 75 degC column, 125 A in that of 60 degC", {**NEC, "cable.main.area": AWG_0,
         "cable.main.insulation": "XLPE or rubber, 90 degC"}, hair=1e-3),
    Row("wiring.ampacity", "cable.main", "cable.main.current",
        ((85.0 / 1.25, OK, FAIL),),
        "NEC 110.14(C)(1)(a): up to 100 A and 1 AWG at 60 degC; 310.16, 3 AWG 85 A", {**NEC, "cable.main.area": AWG_3,
         "cable.main.insulation": "XLPE or rubber, 90 degC", "cable.main.fuse": 90.0}, hair=1e-3),
    Row("protection.main-fuse", "protection", "protection.main_fuse",
        {"none": DANGER, "none, each cable has its own at the battery": STATED, "breaker for AC": DANGER, "class T": OK,
         "MEGA": DANGER, "blade, ATC": DANGER},
        "13.2 V behind 5 mohm drive 2640 A: nothing, or what arcs on (Deringer-Ney 049), or 2 kA and 1 kA of MEGA and "
        "blade fuses (solar-wind.co.uk) do not break it; class T breaks 20 kA", {"storage.internal_resistance": 0.005}),
    Row("protection.main-fuse", "protection", "protection.main_fuse_breaking",
        ((13.2 / 0.005, DANGER, OK),),
        "V/R at the terminal", {"storage.internal_resistance": 0.005, "protection.main_fuse_breaking": 20000.0}),
    Row("protection.main-fuse", "protection", "protection.main_fuse_rating",
        ((50.0, FAIL, OK), (69.0, OK, DANGER)),
        "50 A of the inverter pass it; an inverter cable of 16 mm2 without a fuse of its own takes 69 A (Table B.52.2)",
        {"cable.inv.fused": False, "cable.inv.area": 16 * MM2}),
    Row("protection.main-fuse", "protection", "protection.main_fuse_distance",
        ((7 * 0.0254, OK, MARGINAL), (5 * 0.3048, MARGINAL, DANGER)),
        "7 in (ABYC E-11, Samlex manual), 5 ft (NEC 706.21(F), good practice below 60 V)"),
    Row("protection.fuse", "cable.inv", "cable.inv.fuse_kind",
        {"class T": OK, "breaker for AC": DANGER, "blade, ATC": DANGER, "terminal fuse, MRBF": DANGER},
        "2500 A behind 0.15 m of 25 mm2, see below: an AC breaker arcs on, 1 and 2 kA do not break it",
        {"storage.internal_resistance": 0.005, "cable.inv.fuse_kind": "class T", "cable.inv.fuse_voltage": None,
         "cable.inv.fuse_breaking": None, **BY_RUN}),
    Row("protection.fuse", "cable.inv", "cable.inv.fuse_kind",
        {"class T": OK, "breaker for AC": DANGER, "blade, ATC": MARGINAL, "terminal fuse, MRBF": MARGINAL},
        "behind a class T of 20 kA that breaks it for them (ABYC E-11, table V.A: branches break half as much)",
        {"storage.internal_resistance": 0.005, "cable.inv.fuse_kind": "class T", "cable.inv.fuse_voltage": None,
         "cable.inv.fuse_breaking": None}),
    Row("protection.fuse", "cable.inv", "cable.inv.fuse_distance",
        ((7 * 0.0254, OK, MARGINAL), (5 * 0.3048, MARGINAL, DANGER)),
        "7 in (ABYC E-11, Samlex manual), 5 ft (NEC 706.21(F))",
        {"storage.internal_resistance": 0.005, **BY_RUN}),
    Row("protection.fuse", "cable.inv", "cable.inv.fuse_distance",
        ((3.0, OK, DANGER),),
        "behind a main fuse of 125 A, more than 25 mm2 takes, 3 m of it (Electrician's Guide 3.7.4, IEC 60364-4-43)",
        {"storage.internal_resistance": 0.005, "protection.main_fuse_rating": 125.0}),
    Row("protection.fuse", "cable.inv", "protection.main_fuse_rating",
        ((90.0, OK, DANGER),),
        "25 mm2 in conduit takes 90 A (IEC 60364-5-52, B2): a main fuse of that protects 4 m of it, a greater one not",
        {"storage.internal_resistance": 0.005, "cable.inv.fuse_distance": 4.0}),
    Row("protection.fuse", "cable.inv", "cable.inv.fuse_voltage",
        ((12.0, DANGER, FAIL), (14.2, FAIL, OK)),
        "no less than the charge voltage (NEC 706.21(C), good practice below 60 V); below the nominal one it arcs on"),
    Row("protection.fuse", "cable.main", "cable.main.fuse_voltage",
        ((12.0, DANGER, FAIL), (14.2, FAIL, MARGINAL), (STORM_V * math.pi / 3.0, MARGINAL, OK)),
        "the same; in the generator's run also the 60 V of its open peak, from memory"),
    Row("protection.fuse", "cable.inv", "cable.inv.fuse_breaking",
        ((FAULT, DANGER, OK),),
        "13.2 V behind 5 mohm and 0.15 m of 25 mm2 there and back: V/R",
        {"storage.internal_resistance": 0.005, **BY_RUN}),
    Row("protection.fuse", "cable.inv", "protection.main_fuse_breaking",
        ((FAULT, DANGER, MARGINAL),),
        "1 kA in the run's own does not break it; from there on the main fuse does",
        {"storage.internal_resistance": 0.005, "cable.inv.fuse_breaking": 1000.0}),
    Row("protection.rectifier", "generator", "generator.rectifier_current",
        ((10.0, FAIL, MARGINAL), (15.0, MARGINAL, OK)),
        "the current of 10 A, and one and a half times it, common practice, no source"),
    Row("protection.brake-switch", "protection", "protection.brake_current",
        ((10.0 * PHASE, FAIL, MARGINAL), (SHORTED, MARGINAL, OK)),
        "sqrt(2/3) of 10 A in work; shorted with the tips at 50 m/s the phase voltage over the phase resistance"),
    Row("protection.brake-switch", "protection", "protection.brake_place",
        {"after the rectifier": DANGER, "ahead of the rectifier, all leads": OK},
        "NEC 694.28: behind the rectifier the battery is shorted as well"),
    Row("protection.brake-switch", "protection", "protection.brake_place",
        {"after the rectifier": FAIL, "ahead of the rectifier, all leads": OK},
        "without a battery only the rectifier can take the brake with it", {"storage.chemistry": "none"}),
    Row("protection.switches", "protection", "protection.generator_switch",
        {GENERATOR_SWITCHES[2]: FAIL, "shorts the generator as it opens the circuit": STATED, "none": STATED},
        "NEC 694.24: a shorting switch in place of a disconnect"),
    Row("protection.switches", "protection", "protection.battery_switch", {"yes": STATED, "no": FAIL},
        "NEC 706.7: a disconnect of the battery within sight"),
    Row("protection.surge", "protection", "protection.surge_voltage",
        ((STORM_V * math.pi / 3.0, FAIL, OK),),
        "an arrester must bear the open voltage of the generator, 60 V; from memory", {"rotor.overspeed": "none"}),
    Row("protection.surge", "protection", "protection.surge_voltage",
        ((HELD_V * math.pi / 3.0, FAIL, MARGINAL), (STORM_V * math.pi / 3.0, MARGINAL, OK)),
        "NEC 694.2: the open voltage in operation, 24 V where a tail begins to fold; above it while the tail works"),
    Row("protection.surge", "protection", "protection.surge",
        {"none": MARGINAL, "at both ends of the generator's cable": OK},
        "NEC 694.7(D): a surge protective device; a duty in NEC practice only"),
    Row("protection.surge", "protection", "protection.surge",
        {"none": FAIL, "at both ends of the generator's cable": OK},
        "NEC 694.7(D)", NEC),
    Row("protection.mast-earth", "protection", "protection.earth_area",
        ((6e-6, FAIL, MARGINAL), (16e-6, MARGINAL, OK)),
        "6 mm2 (IEC 60364-5-54) and 16 mm2 (IEC 62305-3), from memory; a thousandth of slack", hair=2e-3),
    Row("protection.mast-earth", "protection", "protection.earth_area",
        ((AWG_6, FAIL, OK),),
        "6 AWG to a rod (NEC 250.66(A), from memory); a thousandth of slack", NEC, hair=2e-3),
    Row("protection.mast-earth", "protection", "protection.mast_earth",
        {"none": FAIL, MAST_EARTHS[0]: OK, MAST_EARTHS[1]: FAIL},
        "NEC 694.40: tower bonded to the system's earth"),
    Row("protection.polarity", "protection", "protection.polarity",
        {"none": FAIL, "connectors that fit one way only": STATED,
         "a diode, contactor or fuse chosen to act on it": STATED},
        "common practice, no source"),
    Row("protection.battery-touch", "storage", "storage.charge_voltage",
        ((60.0, OK, FAIL), (120.0, FAIL, DANGER)),
        "60 V DC may be touched in the dry (IEC 61140), extra-low voltage ends at 120 V DC (IEC 61558-1 3.7.16)",
        hair=1e-6),
    Row("protection.battery-touch", "storage", "storage.charge_voltage",
        ((120.0, OK, MARGINAL),), "covered: a word only above extra-low voltage",
        {"protection.covered": True}, hair=1e-6),
    Row("loads.need", "load", "load.lamp.power",
        ((0.5 * AVERAGE * 0.8 / 0.25, OK, MARGINAL), (AVERAGE * 0.8 / 0.25, MARGINAL, FAIL)),
        "0.2 of 0.5 rho A 6/pi Vm^3, through 0.8 of the inverter, a quarter of the day; half of it, common practice"),
    Row("site.months", "site", "site.mean_wind",
        ((6.0 / 1.2, FAIL, MARGINAL), (6.0 / 1.1, MARGINAL, OK), (6.0 / 0.9, OK, MARGINAL),
         (6.0 / 0.8, MARGINAL, FAIL)),
        "twelve months of 6 m/s; a tenth and a fifth apart, own choice",
        {f"site.month_{i:02d}": 6.0 for i in range(1, 13)}),
    Row("storage.charge-current", "storage", "storage.charge_current_limit",
        ((10.0, FAIL, MARGINAL), (10.0 / 0.9, MARGINAL, OK)),
        "the maker's limit against 10 A; a tenth in reserve, own choice"),
    Row("storage.charge-current", "storage", "storage.capacity",
        ((10.0 / 0.4 * AH, FAIL, MARGINAL), (10.0 / 0.4 / 0.9 * AH, MARGINAL, OK)),
        "gel: 0.4 of the capacity (EnerSys OPzV instructions, p. 3)", GEL),
    Row("storage.charge-voltage", "storage", "storage.charge_voltage",
        ((13.2, FAIL, MARGINAL), (13.6, MARGINAL, OK), (14.6, OK, DANGER)),
        "4 cells: 3.3 V at rest and 3.4 V, from memory; 3.65 V (rackbattery.com); a thousandth of slack", hair=2e-3),
    Row("storage.charge-voltage", "storage", "storage.charge_voltage",
        ((12.6, FAIL, MARGINAL), (6 * (2.33 + 0.050), MARGINAL, OK), (6 * (2.40 + 0.025), OK, FAIL),
         (16.0, FAIL, DANGER)),
        "gel, 15 degC in winter, 20 in summer: 2.33 to 2.40 V (EnerSys, Trojan Table 6), 5 mV a cell and kelvin more "
        "below 25 degC (Trojan); controllers cut off at 16.0 V (BougeRV manual p. 28)",
        {**GEL, "storage.temperature": 288.15, "storage.summer_temperature": 293.15}, hair=2e-3),
    Row("storage.charge-voltage", "storage", "storage.charge_voltage",
        ((12.6, FAIL, MARGINAL), (6 * (2.40 - 0.050), MARGINAL, FAIL), (16.0, FAIL, DANGER)),
        "0 and 35 degC: 14.1 V at most in summer (28.2 V for 24 V, Trojan Table 6), 14.73 V at least in winter: "
        "no one voltage does", {**GEL, "storage.temperature": 273.15, "storage.summer_temperature": 308.15}, hair=2e-3),
    Row("storage.charge-voltage", "storage", "storage.summer_temperature",
        ((298.15 + (14.2 - 6 * 2.40) / (6 * -0.005), MARGINAL, FAIL),),
        "gel at 14.2 V: as much above 25 degC as 5 mV a cell and kelvin bring 14.4 V down", {**GEL,
         "storage.temperature": 273.15}, hair=2e-3),
    Row("storage.charge-voltage", "storage", "storage.charge_voltage",
        ((12.6, FAIL, MARGINAL), (6 * 2.33, MARGINAL, OK), (6 * 2.40, OK, FAIL), (16.0, FAIL, DANGER)),
        "where the charger corrects, the window of 25 degC holds all year",
        {**GEL, "storage.temperature": 273.15, "storage.compensated": True}, hair=2e-3),
    Row("storage.charge-voltage", "storage", "storage.cells",
        ((57.6 / 3.65, DANGER, OK),),
        "LiFePO4 takes 3.65 V a cell: 57.6 V suits 16, and puts 3.84 V on each of 15 (machine facts, 5.1)",
        {"storage.voltage": 48.0, "storage.charge_voltage": 57.6, "storage.cells": 16.0}, hair=2e-3, whole=False),
    Row("storage.autonomy", "storage", "storage.capacity",
        ((24.0 * 12.0 * 0.25 / 0.8 / 12.0 / 0.8 * AH, FAIL, MARGINAL),
         (3 * 24.0 * 12.0 * 0.25 / 0.8 / 12.0 / 0.8 * AH, MARGINAL, OK)),
        "90 Wh a day out of 0.8 of a 12 V bank (from memory): one day and three, common practice, no source",
        {"storage.temperature": 298.15}),
    Row("storage.autonomy", "storage", "storage.capacity",
        ((24.0 * 3.75 / 12.0 / (0.5 * 0.9) * AH, FAIL, MARGINAL),
         (3 * 24.0 * 3.75 / 12.0 / (0.5 * 0.9) * AH, MARGINAL, OK)),
        "gel: half to be used, 0.9 of it at 10 degC (Discover)", {**GEL, "storage.temperature": 283.15}),
    Row("storage.discharge-current", "storage", "storage.discharge_current_limit",
        ((50.0, FAIL, MARGINAL), (50.0 / 0.9, MARGINAL, OK)),
        "400 W at 10 V and 0.8: 50 A (NEC 694.12(A)(3), lowest input voltage); a tenth in reserve, own choice"),
    Row("storage.freezing", "storage", "storage.coldest",
        ((273.15 - 15.0 - 0.6 * 12.0, FAIL, MARGINAL), (273.15 - 7.5 - 0.2 * 7.5, MARGINAL, OK)),
        "acid of 1.18 (half full) and 1.11 (flat), Rolls 208145, freezes at -22 and -9 degC: between 1.100 (-7.5), "
        "1.150 "
        "(-15) and 1.200 (-27 degC), Army TM 5-1185 Table III and Polaris manual; 1 K",
        NAMES, hair=1.0 / 260.0),
    Row("storage.cold-charge", "storage", "storage.coldest",
        ((273.15, FAIL, MARGINAL), (276.15, MARGINAL, OK)),
        "no charging below 0 degC (LF280N cell sheet); 3 K for a thermometer and a night, own choice", hair=1e-5),
    Row("storage.cold-charge", "storage", "storage.cold_charge_block", {"yes": STATED, "no": DANGER},
        "metallic lithium below 0 degC can short a cell", {"storage.coldest": 268.15,
         "storage.cold_charge_block": True}),
    Row("storage.ventilation", "storage", "storage.vent_area",
        ((28e-4 * 0.05 * 6 * 20.0 * 100.0 * 1e-3, FAIL, OK),),
        "28 cm2 for each m3/h of 0.05 n I C/1000, 2 A per 100 Ah of vented cells (EN 50272-3, Exide Nordic)", NAMES,
        hair=5e-4, whole=False),
    Row("storage.ventilation", "storage", "storage.vent_area",
        ((28e-4 * 0.05 * 6 * 20.0 * 100.0 * 1e-3, DANGER, OK),),
        "the same where people live or sleep: gas collects among them",
        {**NAMES, "storage.place": "room where people live or sleep"}, hair=5e-4),
    Row("storage.ventilation", "storage", "storage.vent_area",
        ((28e-4 * 0.05 * 6 * 10.0, FAIL, OK),),
        "nothing holds the voltage: all 10 A make gas, 3.0 m3/h (Faraday, 0.42 l/Ah, as in EN 50272-2)",
        {**NAMES, "dump.kind": "none"}, hair=5e-4, whole=False),
    Row("storage.starter", "storage", "storage.starter", {"yes": FAIL, "no": STATED},
        "starter batteries wear out in a few tens of deep cycles; from memory",
        {**NAMES, "storage.starter": True}),
    Row("storage.ventilation", "storage", "storage.capacity",
        ((10e-4 / (28e-4 * 0.05 * 6 * 10.0 * 1e-3) * AH, OK, FAIL),),
        "the same for sealed cells, 1 A per 100 Ah, with two vents of 10 cm2", {**GEL, "storage.vent_area": 10e-4}),
    Row("storage.place", "storage", "storage.place",
        {"room where people live or sleep": FAIL, "stairs, hall or other way out": DANGER,
         "shed, cellar or utility room with vents": STATED, "closet, cellar or room without vents": MARGINAL,
         "box or cabinet outdoors with vents": STATED},
        "NFPA 855, IRC R328: none where people sleep, none in a way out; from memory"),
    Row("storage.place", "storage", "storage.place",
        {"room where people live or sleep": DANGER, "stairs, hall or other way out": FAIL,
         "shed, cellar or utility room with vents": STATED, "closet, cellar or room without vents": FAIL,
         "box or cabinet outdoors with vents": STATED},
        "EN IEC 62485-2: vented lead in aired rooms where nobody lives", NAMES),
    Row("storage.cells", "storage", "storage.strings",
        ((2.0, OK, MARGINAL), (4.0, MARGINAL, FAIL)),
        "two strings share the current, more than four nobody puts up with; common practice, no source", hair=1e-3),
    Row("storage.cells", "storage", "storage.alike", {"yes": STATED, "no": FAIL},
        "only new and identical batteries (Discover, Battery 101)"),
    Row("storage.cell-monitor", "storage", "storage.cell_monitor", {"yes": STATED, "no": DANGER},
        "IEC 62619: electronics must act on every cell"),
    Row("storage.reused", "storage", "storage.cell_monitor", {"yes": MARGINAL, "no": DANGER},
        "IEC 62619:2022, scope: second-life cells are excluded, so they are never simply fine",
        {"storage.reused": True, "storage.capacity_left": 0.75}),
    Row("storage.dump", "storage", "dump.power",
        ((10.0 * 12.0, FAIL, MARGINAL), (1.5 * 10.0 * 12.0, MARGINAL, OK)),
        "150 % of the source's power (NEC 706.23(B)(2)(3), good practice below 60 V DC); 10 A at 12 V"),
    Row("dump.open-charge", "dump", "dump.place", {DUMP_PLACES[0]: STATED, DUMP_PLACES[1]: FAIL},
        "a battery that disconnects itself unloads the rotor: engineering rule, from memory"),
    Row("dump.open-charge", "dump", "dump.place", {DUMP_PLACES[0]: STATED, DUMP_PLACES[1]: DANGER},
        "the same, with nothing to hold the speed (NEC 694.7(C))", {"rotor.overspeed": "none"}),
    Row("dump.second-means", "dump", "dump.second_means",
        {"none": FAIL, SECOND_MEANS[1]: MARGINAL, "a control that brakes the rotor": STATED},
        "NEC 706.23(B)(1): a second, independent means against overcharge"),
    Row("dump.element", "dump", "dump.resistance",
        ((14.2**2 / 200.0, FAIL, OK), (14.2**2 / (10.0 * 14.2), OK, FAIL)),
        "V^2/R: no more than the 200 W it bears, no less than the 142 W that come"),
    Row("dump.controller", "dump", "dump.controller_current",
        ((14.2 / 1.2, FAIL, OK),),
        "load current within the controller's rating (NEC 706.23(B)(2)(1)); 14.2 V over 1.2 ohm"),
    Row("dump.controller", "dump", "dump.voltage",
        ((14.2, FAIL, OK),),
        "the load's voltage above the battery's highest (NEC 706.23(B)(2)(2))"),
    Row("dump.circuit", "cable.dump", "cable.dump.fuse",
        ((20.0, FAIL, MARGINAL), (30.0, MARGINAL, OK), (52.0, OK, DANGER)),
        "circuit for 150 % of the controller's 20 A (NEC 706.23(B)(2)(4)); no more than the wire's 52 A (Table "
        "B.52.2)"),
    Row("dump.circuit", "cable.dump", "cable.dump.fuse",
        ((30.0, MARGINAL, OK),),
        "good practice in NEC practice too: Article 706 begins above 60 V DC (706.1)", NEC, whole=False),
    Row("dump.circuit", "cable.dump", "cable.dump.fuse",
        ((30.0, FAIL, OK),),
        "a duty in NEC practice above 60 V DC (706.1)",
        {**NEC, "storage.voltage": 72.0, "storage.charge_voltage": 80.0}, whole=False),
    Row("dump.mount", "dump", "dump.mounted",
        {"stone, concrete or metal, with air around it": STATED, "wood or another thing that can burn": DANGER,
         "a closed box or cupboard": FAIL},
        "elements glow for hours when nobody is there; common practice, no source"),
    Row("dump.controller-voltage", "dump", "dump.controller_voltage",
        ((14.2, FAIL, MARGINAL), (HELD_V * math.pi / 3.0, MARGINAL, OK)),
        "the full battery's 14.2 V; the open generator's peak in operation (NEC 694.2), so where the tail begins to "
        "hold it, 12 of the gust's 30 m/s; the dump load beside the rectifier holds that down while it works"),
    Row("storage.monitor-voltage", "storage", "storage.monitor_voltage",
        ((14.2, FAIL, MARGINAL), (STORM_V * math.pi / 3.0, MARGINAL, OK)),
        "the same: electronics that disconnect the battery have the generator's open voltage on their other side; "
        "where nothing holds the rotor that of the gust", {"rotor.overspeed": "none"}),
    Row("inverter.input-voltage", "inverter", "inverter.input_voltage_max",
        ((STORM_V * math.pi / 3.0, FAIL, OK),),
        "the same, and nothing beside the rectifier holds it down",
        {"dump.place": DUMP_PLACES[1], "rotor.overspeed": "none"}),
    Row("loads.over-voltage", "load.lamp", "load.lamp.voltage_max",
        ((STORM_V * math.pi / 3.0, FAIL, OK),),
        "the same", {"dump.place": DUMP_PLACES[1], "load.lamp.voltage_max": 30.0, "rotor.overspeed": "none"}),
    Row("loads.over-voltage", "load.lamp", "load.lamp.voltage",
        ((STORM_V * math.pi / 3.0 / 1.2, FAIL, OK),),
        "a filament lamp at 1.2 of its voltage lives a tenth as long (Lamp rerating, r^-12 to r^-13)",
        {"dump.place": DUMP_PLACES[1], "load.lamp.voltage": 12.0, "load.lamp.kind": "filament lamp",
         "rotor.overspeed": "none"}),
    Row("inverter.current", "inverter", "inverter.power",
        ((69.0 / 1.25 * 10.0 * 0.8, OK, MARGINAL), (69.0 * 10.0 * 0.8, MARGINAL, FAIL)),
        "power at the lowest input voltage (NEC 694.12(A)(3)): 10 V and 0.8 through 16 mm2, 69 A (IEC Table B.52.2)",
        {"cable.inv.area": 16 * MM2}),
    Row("inverter.fuse", "inverter", "inverter.fuse",
        ((50.0, FAIL, MARGINAL), (62.5, MARGINAL, OK), (69.0, OK, DANGER)),
        "50 A and a quarter more; no more than the 69 A of 16 mm2 (IEC Table B.52.2)",
        {"cable.inv.area": 16 * MM2}),
    Row("inverter.surge", "inverter", "load.pump.surge",
        ((0.8 * 800.0 - 12.0, OK, MARGINAL), (800.0, MARGINAL, FAIL)),
        "a start beside the 12 W lamp leaves a fifth of 800 W, common practice, no source; alone it is above 800 W",
        PUMP),
    Row("inverter.surge", "inverter", "inverter.power",
        ((250.0, FAIL, MARGINAL), (262.0, MARGINAL, OK)),
        "what runs for hours, alone and together, within the rated power",
        {**PUMP, "inverter.surge_power": 1000.0}),
    Row("inverter.sag", "inverter", "inverter.input_voltage_min",
        ((SAGGED / 1.05, OK, MARGINAL), (SAGGED, MARGINAL, FAIL)),
        "V (V0 - V) / R = P: 953 W behind 6.45 mohm (IEC 60228, 25 mm2: 0.727 ohm/km); 5 % in reserve, common practice",
        {**PUMP, "storage.internal_resistance": 0.005}),
    Row("house.feed", "house", "house.feed",
        dict(zip(FEEDS, (STATED, STATED, STATED, DANGER, DANGER, DANGER, DANGER, DANGER), strict=True)),
        "NEC 702.5, CPSC warning of 15 September 2022: never two sources on one wire"),
    Row("house.shock", "house", "house.rcd", {"yes": STATED, "no": FAIL},
        "IEC 60364-4-41, 411.3.3: 30 mA for sockets; from memory"),
    Row("house.shock", "house", "house.neutral",
        {NEUTRALS[0]: STATED, NEUTRALS[1]: FAIL, NEUTRALS[2]: MARGINAL},
        "NEC 702.11, 250.30: neutral earthed at one place; a floating output blinds the device, from memory"),
    Row("house.shock", "house", "inverter.outdoors", {"yes": DANGER, "no": FAIL},
        "IEC 60364-4-41, 411.3.3: 30 mA for tools used outdoors, where a shock passes through the whole body; from "
        "memory", {"house.rcd": False, "inverter.outdoors": True}),
    Row("house.shock", "house", "inverter.appliances",
        ((2.0, STATED, FAIL),),
        "IEC 60364-4-41, 413: electrical separation protects one appliance without a device, not two; from memory",
        {"house.rcd": False, "house.neutral": NEUTRALS[2], "inverter.appliances": 1.0}),
    Row("inverter.wave", "inverter", "inverter.wave", {"sine": STATED, "stepped (modified sine)": FAIL},
        "harmonics heat a motor; from memory", {**PUMP, "load.pump.kind": "motor, pump or compressor"}),
    Row("mast.over-ground", "mast", "mast.height", ((3.0 + 1.0, DANGER, OK),),
        "blades 1 m long, 3 m over the ground: ISO 13857, 2.7 m to what is dangerous above; from memory, rounded up"),
    Row("mast.overhead-lines", "mast", "mast.line_distance",
        ((1.1 * 16.5, DANGER, MARGINAL), (1.5 * 16.5, MARGINAL, OK)),
        "rotor's highest point 16.5 m up, a tenth to spare as for the fall radius; 1.5 heights from power lines "
        "(Colorado State University, mast safety)"),
    Row("mast.overhead-lines", "mast", "neighbour.lane.distance",
        ((1.1 * 16.5, DANGER, MARGINAL), (1.5 * 16.5, MARGINAL, OK)),
        "the same of a line that is named among the neighbours, whatever stands with the mast: the nearer kills",
        LANE | {"neighbour.lane.kind": LINE, "mast.line_distance": 200.0}),
    Row("neighbour.fall", "neighbour", "neighbour.lane.distance", ((1.1 * 16.5, DANGER, OK),),
        "rotor's highest point 16.5 m up, a tenth to spare as for the fall radius", LANE),
    Row("neighbour.fall", "neighbour", "neighbour.farm.distance",
        ((1.1 * 16.5, DANGER, MARGINAL), (1.5 * 16.5, MARGINAL, OK)),
        "the same; setbacks of 1.5 heights from houses, from memory", FARM | LANE),
    Row("neighbour.fall", "neighbour", "neighbour.lane.kind",
        {kind: FAIL if kind == OWN_HOUSE else DANGER for kind in NEIGHBOURS},
        "whoever is under a mast that falls; the builder's own house is his own risk",
        LANE | {"neighbour.lane.distance": 9.0}),
    Row("neighbour.throw", "neighbour", "neighbour.lane.distance", ((500.0, FAIL, OK),),
        "a piece lay 500 m away, which is further than it could fly by the sum: where one lay another may lie",
        LANE | {"measured.M9.quantity": "blade.thrown", "measured.M9.value": 500.0}, WORKED),
    Row("neighbour.noise", "neighbour.farm", "neighbour.farm.noise_limit",
        ((HEARD, FAIL, MARGINAL), (HEARD + 6.0, MARGINAL, OK)),
        "tips of 40 m/s: 50 lg 40 + 10 lg 2 - 4 (Hagg, from memory), over half a sphere and 0.005 dB/m (Swedish "
        "guideline); rough edges may add 6 dB, own estimate", FARM, WORKED, hair=2e-3),
    Row("neighbour.shadow", "neighbour.farm", "neighbour.farm.distance",
        ((0.04 / (FIFTH * 1.39 / 149.6), MARGINAL, OK),),
        "a blade 40 mm wide covers a fifth of the sun up to there; the rotor is then some 4 degrees wide, a quarter of "
        "an hour of the sun's way, half of the 30 minutes of the German guideline",
        FARM | {"blade.chord_root": 0.04, "site.latitude": math.radians(54.0), "neighbour.farm.direction": 0.0},
        whole=False),
    Row("site.setback", "site", "site.boundary",
        ((16.5, FAIL, MARGINAL), (1.1 * 16.5, MARGINAL, OK)),
        "one height, as a model ordinance has it (City of Ramsey), and a tenth more, as far as a falling mast reaches",
        {"site.setback": 1.0}),
    Row("site.setback", "site", "site.boundary", ((1.1 * 16.5, FAIL, OK),),
        "1.1 heights (Summerset, 154.066) where nothing else is stated"),
    Row("site.obstacle", "obstacle.barn", "mast.height", ((2 * 5.0 + 1.0, MARGINAL, OK),),
        "a wake reaches twice the height of a building, from memory; the rotor's lowest point is 1 m below its centre",
        BARN),
    Row("site.obstacle", "obstacle.barn", "obstacle.barn.distance",
        ((5 * 5.0, FAIL, MARGINAL), (20 * 5.0, MARGINAL, OK)),
        "nearer than five heights no relation holds (Perera, 1981); wakes end after 10 to 20 heights, from memory",
        BARN),
    Row("site.shelter", "site", "obstacle.barn.share", ((0.05, OK, MARGINAL), (0.2, MARGINAL, FAIL)),
        "so near and low all wind from there is lost, and so much of the year's energy as comes from there; own limits",
        BARN | {"obstacle.barn.distance": 10.0}, WORKED, hair=1e-3),
    Row("site.terrain", "site", "site.terrain",
        {FLAT: STATED, RIDGE: STATED, SLOPE: STATED, EDGE: MARGINAL, VALLEY: MARGINAL, HOLLOW: MARGINAL},
        "a map's mean is that of open land; speed-up on smooth hills (Taylor and Lee, 1984), the others from memory",
        {"site.terrain": FLAT}),
    Row("site.place", "place", "obstacle.barn.share", ((0.1, OK, MARGINAL),),
        "the same wind elsewhere, nothing in its way: what is lost here is won there; a tenth, own choice",
        BARN | {"obstacle.barn.distance": 10.0, "place.field.mean_wind": 5.5}, WORKED, hair=1e-3),
    Row("house.labels", "house", "house.labels", {"yes": STATED, "no": FAIL}, "NEC 694.54, 694.56, 702.7: plaques"),
    Row("mast.roof", "mast", "mast.kind", {ROOF: FAIL, "guyed tilt-up": STATED},
        "Warwick Wind Trials 2009; suppliers' siting advice", {"mast.kind": ROOF}),
    Row("tail.folds", "tail", "tail.hinge", {HINGED: OK, FIXED: DANGER},
        "a tail without a hinge cannot fold", {"rotor.limit_wind": None}, TAILED),
    Row("tail.folds", "tail", "tail.mass", lambda: ((5.0 * (30.0 / folds_in()) ** 2, MARGINAL, DANGER),),
        "moments of yaw axis and hinge by vectors: the wind in which it folds goes with the root of the weight, here "
        "to the gust", {}, TAILED, hair=1e-3, whole=False),
    Row("tail.folds", "tail", "tail.inclination", ((DEG, DANGER, FAIL),),
        "an upright hinge holds nothing; one degree, own choice, holds next to nothing", {}, TAILED, whole=False),
    Row("tail.keeps", "tail", "blade.material", {"PVC-U pipe": FAIL, "wood": MARGINAL},
        "pipe is kept below 50 m/s, wood below 70 m/s; from memory",
        {"rotor.limit_wind": None, "tail.mass": 10.0}, TAILED),
    Row("tail.returns", "tail", "tail.hinge_friction", lambda: ((least_weight(), MARGINAL, FAIL),),
        "the weight's moment about the leaning hinge, by turning its centre in space, against the friction",
        {}, TAILED, hair=1e-3, whole=False),
    Row("tail.stop", "tail", "tail.stop_angle", ((0.9 * MEETS, OK, MARGINAL), (MEETS, MARGINAL, DANGER)),
        "the far edge of the vane, half its length beyond its middle, comes to the plane of the rotor; a tenth spare, "
        "own choice", {}, TAILED, whole=False),
    Row("tail.boom", "tail", "tail.boom_strength",
        lambda: tuple((n * boom_bends() / BOOM_W, a, b) for n, a, b in
                      ((1.0, DANGER, FAIL), (1.65, FAIL, MARGINAL), (3.3, MARGINAL, OK))),
        "1.5 rho V^2 A/2 on the vane (thesis p. 135) and 1.2 on the tube, weight across, plastic modulus; 1.65 EN "
        "1990, 3.3 IEC 61400-2", BOOM, TAILED, hair=1e-3),
    Row("tail.vane", "tail", "tail.vane_strength",
        ((1.65 * VANE_STRESS, FAIL, MARGINAL), (3.3 * VANE_STRESS, MARGINAL, OK)),
        "a strip 200 mm wide held at one edge under 1.5 rho V^2/2 (thesis p. 135), 6 mm thick",
        {"tail.vane_thickness": 0.006, "tail.vane_free": 0.2, "tail.vane_material": "plywood"}, TAILED),
    Row("tail.resonance", "tail", "tail.vane_thickness", shaken_sheets,
        "2 mm of aluminium, 300 mm free, swings at 18.3 Hz (plain cantilever), here 400 mm; turns of the "
        "worked machine where it begins to charge and is held back, by its own balance; 15 % and 10 % from memory",
        {"tail.vane_thickness": 0.006, "tail.vane_free": 0.4, "tail.vane_material": "aluminium sheet"}, TAILED,
        hair=0.01),
    Row("yaw.tail-size", "yaw", "rotor.offset",
        lambda: ((offset_for(10.0), OK, MARGINAL), (offset_for(20.0), MARGINAL, FAIL)),
        "rotor and vane balanced by vectors at 10 and 20 degrees, own choice",
        {"tail.rest_angle": 0.0, "tail.wake": 0.6}, TAILED),
    Row("yaw.friction", "yaw", "yaw.friction",
        lambda: ((holds_off(15.0) / 2.0, OK, MARGINAL), (holds_off(15.0), MARGINAL, FAIL)),
        "what turns the head back from 15 degrees off its balance in 4 m/s, by vectors", {"yaw.friction": 1.0}, TAILED,
        hair=1e-3),
    Row("yaw.rate", "yaw", "yaw.inertia", lambda: ((inertia_for(3.0 - 0.01 * (math.pi - 2.0)), MARGINAL, OK),),
        "a damped spring let go at 45 degrees, integrated by scipy; the rate of load case B (thesis p. 133)",
        {"yaw.inertia": 1.0, "rotor.limit_wind": 10.0}, TAILED, hair=5e-3),
    Row("yaw.side", "yaw", "yaw.rotor_side", {UPWIND: STATED, DOWNWIND: FAIL},
        "a rotor behind the mast passes its wake, and has no tail that could fold it; common practice, no source",
        {"yaw.rotor_side": UPWIND}, TAILED),
    Row("yaw.cable", "yaw", "yaw.cable", {SLIP_RINGS: STATED, UNTWISTED: STATED, TWISTS: FAIL},
        "a cable that only twists tears off; common practice, no source", {"yaw.cable": SLIP_RINGS}),
    Row("rotor.second-means", "rotor", "rotor.brake",
        {"none": FAIL, "switch that shorts the generator": MARGINAL, "mechanical brake": MARGINAL},
        "a hinge that sticks leaves a hand, or nothing (NEC 694.7(C))", {"dump.place": DUMP_PLACES[1]}),
    Row("rotor.second-means", "rotor", "dump.place", {DUMP_PLACES[0]: STATED, DUMP_PLACES[1]: MARGINAL},
        "a dump load that stays on the rotor holds it without a hand"),
    Row("rotor.brake-heat", "rotor", "blade.mass",
        lambda: ((0.85 * brake_mass(), OK, MARGINAL), (brake_mass(), MARGINAL, FAIL)),
        "heat of the stop, torque of shorted leads against the wind's by quadrature, makes 110 K; 0.85 of it, own "
        "choice",
        {"rotor.limit_wind": WORKED_WIND, "generator.thermal_resistance": BRAKE_RTH, "generator.heat_time": 10.0,
         "blade.mass": 1.0}, WORKED, hair=0.02, whole=False),
    Row("rotor.dump-holds", "rotor", "dump.resistance", lambda: ((dump_for(50.0), OK, FAIL),),
        "torque in balance with tips at 50 m/s, the dump load alone behind the rectifier",
        {"rotor.limit_wind": WORKED_WIND, "dump.kind": "switched by the charge controller", "dump.resistance": 1.0},
        WORKED, hair=0.01, whole=False),
    Row("rotor.proven", "rotor", "measured.M1.wind_low", ((100.0 / (8.0 * 0.9), FAIL, MARGINAL), (30.0, MARGINAL, OK)),
        "a bare rotor turns at 8 times the wind; nine tenths of it, own choice, is not held; the storm is 30 m/s",
        {"measured.M1.quantity": "rotor.speed", "measured.M1.value": 100.0, "measured.M1.wind_low": 20.0,
         "measured.M1.wind_high": 40.0, "measured.M1.load": "battery", "rotor.limit_wind": None}, WORKED, hair=2e-3),
    Row("mast.height", "mast", "mast.height",
        ((2 * 5.0 + 1.0, FAIL, MARGINAL), (5.0 + 30 * 0.3048 + 1.0, MARGINAL, OK)),
        "rotor's lowest point 30 ft above anything within 500 ft (AWEA); wake to twice the height, from memory"),
    Row("mast.height", "mast", "mast.height",
        ((20.0 + 30 * 0.3048 + 1.0, FAIL, OK),),
        "the same below a building of 20 m, whose wake reaches higher than the rule", {"mast.building_height": 20.0}),
    Row("mast.height", "mast", "mast.height",
        ((1.0, FAIL, OK),),
        "with nothing around, the blades of 1 m must clear the ground", {"mast.building_height": 0.0}),
    Row("blade.root-strength", "blade", "rotor.overspeed", {"none": DANGER, "furling tail": MARGINAL},
        "a bar that turns with its tips at v sees density v^2/2: over 250 m/s in the gust 46 MPa, half of it in a "
        "blade half as wide at the tip, where a bolt hole leaves 51/3; at 77 m/s 4 MPa, but yawing takes over 51/9 "
        "(IEC 61400-2 factors 3 x 3, from memory)", {}, PIPE),
    Row("blade.root-strength", "blade", "blade.material", {"PVC-U pipe": MARGINAL, "wood": UNKNOWN, "other": UNKNOWN},
        "of other blades the sheet says neither shape nor strength", {}, PIPE),
    Row("mast.tube-strength", "mast", "mast.yield_strength",
        lambda: ((by_hand.pole_yield(1.0), DANGER, FAIL), (by_hand.pole_yield(1.65), FAIL, MARGINAL),
                 (by_hand.pole_yield(3.3), MARGINAL, OK)),
        "EN 1993-1-1 curve c and a strut that is bent; 1.5 x 1.1 (EN 1990), 3.0 x 1.1 (IEC 61400-2)", {}, FREE_POLE,
        whole=False),
    Row("mast.joints", "mast", "mast.joint",
        {JOINTS[0]: STATED, JOINTS[1]: STATED, JOINTS[2]: STATED, JOINTS[3]: STATED, JOINTS[4]: MARGINAL,
         JOINTS[5]: OK},
        "bent by 554 Nm at its guys; a coupler of EN 74-1 takes 1.4 kNm, from memory: 2.5 times; 1.48 mm of thread "
        "(ISO 7-1, from memory) leave 13 cm3 of 4.0 mm wall: 3 kNm, 5.5 times", {}, GUYED_MAST),
    Row("mast.rated-load", "mast", "mast.rated_load",
        ((TOP_FORCE, DANGER, FAIL), (1.65 * TOP_FORCE, FAIL, MARGINAL), (3.3 * TOP_FORCE, MARGINAL, OK)),
        "drag of blades and head in the gust, IEC 61400-2, case H", {"mast.kind": LATTICE}, FREE_POLE),
    Row("mast.legs", "mast", "mast.yield_strength",
        lambda: ((by_hand.leg_yield(1.65), FAIL, MARGINAL), (by_hand.leg_yield(3.3), MARGINAL, OK)),
        "wind on a lattice by its solidity (EN 1993-3-1), statics of three legs, EN 1993-1-1 curve c; 1.5 x 1.1 (EN "
        "1990), 3.0 x 1.1 (IEC 61400-2)", {}, LATTICE_MAST, whole=False),
    Row("mast.frequency", "mast", "hub.head_mass",
        lambda: ((by_hand.standing_mass(), OK, DANGER),),
        "Euler, with three tenths of its own weight at its head: it cannot stand, let alone swing",
        {"mast.tube_diameter": 0.0603, "mast.tube_wall": 0.003}, FREE_POLE, hair=0.01, whole=False),
    Row("mast.building", "mast", "mast.engineer", {"yes": STATED, "no": DANGER},
        "only a structural engineer can tell what a building carries", {"mast.kind": ROOF, "mast.engineer": True},
        FREE_POLE),
    Row("guy.layout", "guy", "guy.top.anchor_radius",
        ((0.35 * 8.0, FAIL, MARGINAL), (0.5 * 8.0, MARGINAL, OK)),
        "anchors at 50 to 75 % of the height (two suppliers); the least is our own choice", {}, GUYED_MAST),
    Row("guy.blades", "guy.top", "guy.top.height",
        ((7.9 / (1 - 0.2 / 8.0), OK, FAIL), (8.2 / (1 - 0.2 / 8.0), FAIL, DANGER)),
        "0.2 m before the mast the guy is 0.2 x z/8 lower; the blade's tip comes down to 8.2 m, 0.3 m to spare are our "
        "own choice", {}, GUYED_MAST),
    Row("guy.rope", "guy.top", "guy.top.rope_diameter",
        lambda: tuple((by_hand.rope_for(times), *sides)
                      for times, sides in ((2.0, (FAIL, MARGINAL)), (3.3, (MARGINAL, OK)))),
        "6x7 rope (ASTM A1023), clips leave 80 %; wind on the ropes themselves, coefficient 1.2, and what it lengthens "
        "them; 2.0 (EIA-222-E), 3.0 x 1.1 (IEC 61400-2)", {}, GUYED_MAST),
    Row("guy.clips", "guy.top", "guy.top.clips", ((2.0, DANGER, FAIL), (3.0, FAIL, OK)),
        "three of EN 13411-5 type A on 6 mm, from memory; one alone is no end", {}, GUYED_MAST),
    Row("guy.clips", "guy.top", "guy.top.clips", ((2.0, DANGER, MARGINAL), (3.0, MARGINAL, OK)),
        "two drop-forged ones on 8 mm by makers' tables; at least three in any loop (WorkSafeNB)",
        {"guy.top.clip_kind": "drop-forged", "guy.top.rope_diameter": 0.008}, GUYED_MAST),
    Row("guy.turnbuckle", "guy.top", "guy.top.pretension",
        lambda: tuple((by_hand.pretension_for(by_hand.TURNBUCKLE / times), *sides)
                      for times, sides in ((3.3, (OK, MARGINAL)), (2.0, (MARGINAL, FAIL)), (1.0, (FAIL, DANGER)))),
        "a stainless turnbuckle M12 deforms at 4400 kg (a rigging catalogue)", {}, GUYED_MAST),
    Row("guy.pretension", "guy.top", "guy.top.pretension",
        ((by_hand.tight_in(10.0), FAIL, MARGINAL), (0.03 * by_hand.ROPE * 0.006**2, MARGINAL, OK),
         (0.2 * by_hand.ROPE * 0.006**2, OK, MARGINAL)),
        "statics of four guys in a fresh breeze, thrust by Betz, which none may hang slack in (common practice); 8 to "
        "15 % of what breaks it is common practice; the ends are our own choice", {}, GUYED_MAST),
    Row("guy.anchor", "guy.top", "guy.top.anchor",
        {ANCHORS[0]: OK, ANCHORS[3]: STATED, TREE: DANGER, AT_HAND: DANGER},
        "a tree sways and falls; a vehicle slides", {}, GUYED_MAST),
    Row("guy.anchor", "guy.top", "guy.top.anchor_width",
        lambda: tuple((by_hand.lying_block(times), *sides)
                      for times, sides in ((1.0, (DANGER, FAIL)), (1.5, (FAIL, MARGINAL)), (3.0, (MARGINAL, OK)))),
        "weight and friction of a block on sand, 0.4, from memory; 1.5 against sliding, 3 usual, from memory",
        {"guy.top.anchor": LYING, "guy.top.anchor_height": 0.5}, GUYED_MAST),
    Row("base.hold", "base", "base.depth",
        lambda: tuple((by_hand.pole_depth(times), *sides)
                      for times, sides in ((1.0, (DANGER, FAIL)), (1.5, (FAIL, MARGINAL)), (3.0, (MARGINAL, OK)))),
        "IBC 1807.3.2.1 for a pole in sand, twice what it permits", {}, FREE_POLE),
    Row("base.hold", "base", "base.width",
        lambda: tuple((by_hand.lattice_block(times), *sides)
                      for times, sides in ((1.0, (DANGER, FAIL)), (1.5, (FAIL, MARGINAL)), (3.0, (MARGINAL, OK)))),
        "a block that tips about its edge under a lattice mast, wind on its members by EN 1993-3-1; 1.5 and 3, from "
        "memory", {"base.depth": 0.0}, LATTICE_MAST),
    Row("raising.way", "gin", "gin.way", {WHOLE: STATED, AFTERWARDS: DANGER, CRANE: STATED},
        "a ladder against a guyed tube: OSHA 1926.501(b)(1), 2009/104/EC", {"gin.access": LADDER}, GUYED_MAST),
    Row("raising.way", "gin", "gin.access",
        {PLATFORM: MARGINAL, SCAFFOLD: MARGINAL, HARNESS: MARGINAL, LADDER: DANGER},
        "the same", {"gin.way": AFTERWARDS, "gin.access": PLATFORM}, GUYED_MAST),
    Row("raising.rope", "gin", "gin.rope_breaking",
        tuple((times * by_hand.lift_pull(), *sides)
              for times, sides in ((1.0, (DANGER, FAIL)), (2.0, (FAIL, MARGINAL)), (5.0, (MARGINAL, OK)))),
        "pull as the mast leaves the ground; factor 5 for lifting, from memory", {}, GUYED_MAST),
    Row("raising.winch", "gin", "gin.winch",
        ((by_hand.lift_pull(), DANGER, MARGINAL), (2.0 * by_hand.lift_pull(), MARGINAL, OK)),
        "the same; twice the first pull, from memory", {}, GUYED_MAST),
    Row("raising.gin", "gin", "gin.length",
        lambda: tuple((by_hand.gin_length(times), *sides)
                      for times, sides in ((2.5, (OK, MARGINAL)), (1.65, (MARGINAL, FAIL)), (1.0, (FAIL, DANGER)))),
        "pressed by both ropes; EN 1993-1-1 curve c", {}, GUYED_MAST, whole=False),
    Row("raising.bending", "gin", "mast.yield_strength",
        tuple((by_hand.lying_yield(times), *sides)
              for times, sides in ((1.0, (DANGER, FAIL)), (1.65, (FAIL, MARGINAL)), (2.5, (MARGINAL, OK)))),
        "held at its hinge and 5 m up, its head hanging over", {"gin.attach_height": 5.0, "hub.head_mass": 80.0},
        GUYED_MAST),
    Row("raising.side-guys", "gin", "gin.side_guys",
        dict(zip(GinGroup.side_guys.choices, (STATED, DANGER, DANGER), strict=True)),
        "manuals of two tilt-up towers", {}, GUYED_MAST),
    Row("raising.side-guys", "gin", "guy.top.ropes", ((4.0, DANGER, STATED),),
        "two in the line of the hinge, one to the pull, one against it; common practice, no source", {}, GUYED_MAST),
    Row("raising.back-guy", "gin", "gin.back_guy",
        dict(zip(GinGroup.back_guy.choices, (STATED, DANGER), strict=True)),
        "the same: near the vertical the pull falls to nothing", {}, GUYED_MAST),
)  # fmt: skip

#: Blades and hub.
ROWS += tuple(Row(**row) for row in BLADE_ROWS)

#: Rules whose turn rests on the torque of blades of a known shape, for which no outside table was to be had: what is
#: held is how two turns of one input lie to each other.
RELATED = (
    Row("rotor.starting", "rotor", "generator.cogging_torque",
        ((0.65**2, OK, MARGINAL), (1.0, MARGINAL, FAIL)),
        "torque at rest goes with the square of the wind: 0.65 of the wind, 0.65^2 of the torque; the reserve is our "
        "own choice", {"generator.drag_torque": 1e-4}, PIPE, hair=0.02),
)  # fmt: skip
