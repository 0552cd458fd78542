"""Where every mechanism of failure turns, and why: a table of data for ``test_turning_points``.

As in ``turning_points``: worked out from what stands beside each row, on the machine whose balance is done by hand.
Where a mechanism goes by a reading it is the reading that is varied. Most limits between which the numbers are silent
are our own choice; what is outside is the value that they are shares of.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

import scipy

from calc.machine.entry import Value
from calc.mechanisms.base import Verdict
from tests.calc.test_mechanisms import PIPE
from tests.outside.turning_points import (
    AMPS,
    AREA,
    BETZ,
    CABLE,
    CHARGED,
    CP,
    DIODES,
    FEEDS,
    INSIDE,
    REST,
    RHO_20,
    SPEED,
    UP,
    WINDING,
    WORKED,
    WORKED_WIND,
    amps,
    rayleigh,
    year,
)

FOR, OPEN, AGAINST = Verdict.SUPPORTED, Verdict.CANNOT_TELL, Verdict.CONTRADICTED
Turns = tuple[tuple[float, Verdict, Verdict], ...]
Sheet: TypeAlias = "Mapping[str, Value | None]"
HARDLY, CUTS, FUSE, DAMAGED = "turns but hardly charges", "inverter cuts out", "fuse blown", "battery damaged"
BATTERY, NOTHING = "battery", "nothing connected"


@dataclass(frozen=True)
class Sign:
    """One input, or one reading, of one mechanism.

    Parameters
    ----------
    mechanism, path : str
        The mechanism, and what is varied: a name of the sheet, ``wind``, or ``read`` and a quantity.
    turns : tuple of (value, verdict before, verdict after), or mapping of word to verdict
        Where it turns, from small to great. A function where it takes long to work out.
    why : str
        The outside reason.
    changes, base : mapping
        What is changed on which sheet.
    seen, wind, load : str, pair of float, str
        Symptom, wind at the rotor [m/s], what was connected.
    hair : float
        How near the turn both sides are tried, as a share of the value.
    """

    mechanism: str
    path: str
    turns: Turns | Callable[[], Turns] | Mapping[str, Verdict]
    why: str
    changes: Sheet = field(default_factory=dict)
    base: Mapping[str, Value] = field(default_factory=lambda: WORKED)
    seen: str = HARDLY
    wind: tuple[float, float] = (WORKED_WIND, WORKED_WIND)
    load: str = BATTERY
    hair: float = 1e-3


def reading(
    label: str, quantity: str, value: float, load: str = BATTERY, wind: float = WORKED_WIND
) -> dict[str, Value]:
    """One exact reading as values of a sheet."""
    parts: dict[str, Value] = {"quantity": quantity, "value": value, "low": value, "high": value, "load": load}
    return {f"measured.{label}.{k}": v for k, v in (parts | {"wind_low": wind, "wind_high": wind}).items()}


BEGIN = REST + DIODES
WIND_POWER = 0.5 * RHO_20 * AREA * WORKED_WIND**3
#: A winding with which the machine stalls in strong wind.
THIN = 0.3
#: A pump started beside a lamp: 462 W through 0.8 of efficiency out of 24 V.
PUMP: dict[str, Value] = {
    "load.lamp.power": 12.0, "load.lamp.hours": 0.25, "load.pump.power": 150.0, "load.pump.hours": 0.01,
    "load.pump.surge": 450.0, "inverter.surge_power": 1000.0, "inverter.input_voltage_min": 21.0,
}  # fmt: skip
START = 462.0 / 0.8
#: Half full 8 cells of 3.2 V, behind 10 mohm and 2 m of 25 mm2 (IEC 60228, 0.727 ohm/km).
LEFT = (25.6 + math.sqrt(25.6**2 - 4.0 * (INSIDE + 2 * 0.727e-3) * START)) / 2.0
#: Drop over the cable [V] that makes a tenth of the power behind the rectifier.
TENTH = (REST + AMPS * INSIDE) / 9.0
LEAD: dict[str, Value] = {"storage.chemistry": "flooded lead-acid"}
#: 60.3 x 3.0 tube: 7.37 cm3 (cold-formed hollow sections table); S235; pushed at 10 m/s by a coefficient of 1.
MODULUS, YIELD, PUSH = 7.37e-6, 235e6, 0.5 * RHO_20 * AREA * 10.0**2
LOADED: dict[str, Value | None] = {
    "load.lamp.power": 10.0, "load.lamp.hours": 1.0, "inverter.power": None, "site.mean_wind": 5.0, "mast.height": 10.0,
    "site.availability": 0.9,
}  # fmt: skip


def ratio(V: float) -> float:
    """Tip-speed ratio of the machine with the thin winding."""
    return (BEGIN + amps(V, R=THIN) * (THIN + CABLE + INSIDE)) / V


def possible() -> float:
    """Power [W] that the rotor could take at its best in Rayleigh winds of 5 m/s, held from 12 m/s on."""
    share = scipy.integrate.quad(lambda V: min(V, 12.0) ** 3 * rayleigh(V, 5.0), 0.1, 40.0, limit=200, points=(12.0,))[
        0
    ]
    return CP * 0.5 * RHO_20 * AREA * float(share)


SIGNS: tuple[Sign, ...] = (
    Sign("charging.never-reached", "read rotor.speed",
         ((0.9 * BEGIN, FOR, OPEN), (1.1 * BEGIN, OPEN, AGAINST)),
         "8 cells of 3.3 V and two diodes of 0.9 V at 1 V s/rad: 28.2 rad/s; a tenth either way, own choice"),
    Sign("charging.never-reached", "site.mean_wind",
         ((BEGIN / 8.0 / 1.5 / UP, FOR, OPEN), (BEGIN / 8.0 / UP, OPEN, AGAINST)),
         "that speed at the free ratio of 8 is 3.53 m/s: one and a half times the mean is exceeded 17 % of the time",
         hair=5e-3),
    Sign("charging.stalled", "read rotor.speed",
         ((0.6 * SPEED, FOR, OPEN), (0.85 * SPEED, OPEN, AGAINST)),
         "40 rad/s is the working ratio of 5 in 8 m/s; shares own choice"),
    Sign("charging.stalled", "wind",
         lambda: ((scipy.optimize.brentq(lambda V: ratio(V) - 4.25, 5.0, 20.0), AGAINST, OPEN),
                  (scipy.optimize.brentq(lambda V: ratio(V) - 3.0, 5.0, 20.0), OPEN, FOR)),
         "the battery holds 28.2 V and what 0.35 ohm add: ratio by the balance of torques",
         {"generator.winding_resistance": THIN}, hair=0.01),
    Sign("charging.cable-loss", "read cable.drop",
         ((0.03 * 24.0, AGAINST, OPEN), (0.10 * 24.0, OPEN, FOR)),
         "shares of the bank's 24 V, own choice"),
    Sign("charging.cable-loss", "cable.main.length",
         ((TENTH / AMPS / (2 * 1.83e-3), OPEN, FOR),),
         "a tenth of the power; IEC 60228, 10 mm2: 1.83 ohm/km; the winding made for the worked point with that cable",
         {"generator.winding_resistance": WINDING + CABLE - TENTH / AMPS}, hair=0.01),
    Sign("charging.loose-connection", "read cable.drop",
         ((1.2 * 5.0 * CABLE, AGAINST, OPEN), (1.5 * 5.0 * CABLE, OPEN, FOR)),
         "5 A through the copper's 36.6 mohm (IEC 60228); shares own choice",
         reading("M2", "charge.current", 5.0)),
    Sign("site.wind-low", "site.mean_wind",
         ((3.0 / UP, FOR, OPEN), (4.5 / UP, OPEN, AGAINST)),
         "3 and 4.5 m/s at the rotor, common practice, no source"),
    Sign("site.wind-low", "load.lamp.power",
         lambda: ((possible() / 2.0, AGAINST, OPEN), (possible(), OPEN, FOR)),
         "0.3 of the mean of 0.5 rho A V^3 in Rayleigh winds of 5 m/s, by quadrature", LOADED, hair=0.01),
    Sign("site.turbulent", "mast.height",
         ((5.0 + 1.0, FOR, OPEN), (5.0 + 30 * 0.3048 + 1.0, OPEN, AGAINST)),
         "rotor's lowest point 30 ft above anything within 500 ft (AWEA); below the roof it stands in the wake"),
    Sign("bearing.drag", "read rotor.speed",
         ((0.8 * 64.0, FOR, OPEN), (0.95 * 64.0, OPEN, AGAINST)),
         "free ratio of 8 in 8 m/s: 64 rad/s; shares own choice", load=NOTHING, seen="noise or shaking", hair=0.01),
    Sign("generator.weak-magnets", "read generator.emf", ((0.95, FOR, AGAINST),),
         "0.95 of the 1 V s/rad on the sheet, own choice"),
    Sign("generator.winding-burnt", "read generator.resistance",
         ((WINDING / 1.15, FOR, OPEN), (WINDING / 1.05, OPEN, AGAINST), (1.05 * WINDING, AGAINST, OPEN),
          (1.15 * WINDING, OPEN, FOR)),
         "against the sheet's, more by a break, less by a short between turns; shares own choice"),
    Sign("generator.winding-burnt", "generator.thermal_resistance",
         (((403.15 - 293.15) / (AMPS**2 * WINDING), OPEN, FOR),),
         "IEC 60034-1, class B: 130 degC, at the worked point",
         {"generator.winding_resistance": WINDING * 254.5 / (234.5 + 130.0)}, hair=0.01),
    Sign("generator.winding-burnt", "generator.thermal_resistance",
         (((343.15 - 293.15) / (AMPS**2 * WINDING), AGAINST, OPEN),),
         "never above 70 degC, own choice; at the worked point",
         {"generator.winding_resistance": WINDING * 254.5 / (234.5 + 70.0)}, hair=0.01),
    Sign("generator.phase-open", "read generator.resistance",
         ((1.0 / 1.10, FOR, OPEN), (1.0 / 1.03, OPEN, AGAINST), (1.03, AGAINST, OPEN), (1.10, OPEN, FOR)),
         "a star's pairs of leads are alike; against another pair of 1 ohm, shares own choice",
         reading("M2", "generator.resistance", 1.0)),
    Sign("generator.rectifier-overvoltage", "generator.rectifier_voltage",
         ((64.0 * math.pi / 3.0, FOR, OPEN), (2.0 * 64.0 * math.pi / 3.0, OPEN, AGAINST)),
         "64 rad/s free: 64 V, peaks of pi/3 of that; twice the peak, from memory", load=NOTHING, hair=0.01),
    Sign("rotor.overspeed", "wind",
         ((50.0 / 8.0, AGAINST, OPEN), (1.5 * 50.0 / 8.0, OPEN, FOR)),
         "tips at 8 times the wind; pipe is kept below 50 m/s, from memory; half as much again, own choice",
         load=NOTHING, seen="blade lost or broken", hair=0.01),
    Sign("mast.overload", "mast.height",
         ((0.2 * YIELD * MODULUS / (PUSH * (8 / 9 + 0.8 * (1.2 - 8 / 9))), AGAINST, OPEN),
          (0.5 * YIELD * MODULUS / (PUSH * (8 / 9 + 0.2 * (1.2 - 8 / 9))), OPEN, FOR)),
         "0.5 rho A V^2 C_T h / W of 60.3 x 3.0 tube, S235; C_T from 8/9 (Betz) to 1.2, of which four fifths must "
         "agree",
         {"mast.kind": "free-standing pole", "mast.tube_diameter": 0.0603, "mast.tube_wall": 0.003},
         seen="mast or guy failed", wind=(10.0, 10.0), hair=0.03),
    Sign("vibration.imbalance", "read vibration.frequency",
         ((4.5, AGAINST, OPEN), (4.75, OPEN, FOR), (5.25, FOR, OPEN), (5.5, OPEN, AGAINST), (13.5, AGAINST, OPEN),
          (14.25, OPEN, FOR), (15.75, FOR, OPEN), (16.5, OPEN, AGAINST)),
         "300 rpm is 5 turns and 15 blades a second; a twentieth and a tenth apart, own choice",
         reading("M2", "rotor.speed", 10.0 * math.pi), seen="noise or shaking"),
    Sign("battery.overcharged", "read battery.voltage", ((8 * 3.65, OPEN, FOR),),
         "8 cells of 3.65 V (rackbattery.com)", seen=DAMAGED),
    Sign("battery.overcharged", "read battery.voltage", ((12 * 2.45, OPEN, FOR),),
         "12 cells of 2.45 V, from memory", LEAD, seen=DAMAGED),
    Sign("battery.starved", "storage.capacity_left", ((0.8, FOR, OPEN), (0.9, OPEN, AGAINST)),
         "a bank counts as worn out at 80 %, common practice, no source", {"storage.capacity_left": 1.0}, seen=DAMAGED),
    Sign("battery.starved", "load.lamp.power",
         lambda: ((year(5.0, 20.0) / (8760.0 * 3600.0) / 1.3, AGAINST, OPEN),
                  (year(5.0, 20.0) / (8760.0 * 3600.0), OPEN, FOR)),
         "the worked machine's year in Rayleigh winds of 5 m/s, by quadrature; 1.3 own choice", LOADED,
         seen="battery flat",
         hair=0.01),
    Sign("battery.too-small", "storage.capacity",
         ((10.0 * 86400.0 / (24.0 * 0.8), FOR, OPEN), (3.0 * 10.0 * 86400.0 / (24.0 * 0.8), OPEN, AGAINST)),
         "a lamp of 10 W that burns day and night, from the 80 % that lithium cells give day by day (from memory): one "
         "day without wind is short, three are ample; common practice, no source", LOADED, seen="battery flat"),
    Sign("battery.frozen", "read battery.density",
         ((1.150, FOR, OPEN), (1.150 + 0.050 * 5.0 / 12.0, OPEN, AGAINST)),
         "acid of 1.150 freezes at -15 degC, of 1.200 at -27 (Army TM 5-1185 Table III, Polaris manual); 5 K own "
         "choice",
         {**LEAD, "storage.coldest": 258.15}, seen=DAMAGED, hair=4e-3),
    Sign("battery.electronics-opened", "storage.discharge_current_limit",
         ((START / 24.0, FOR, OPEN), (START / 24.0 / 0.7, OPEN, AGAINST)),
         "P/V: 578 W out of 24 V; 0.7 own choice", PUMP, seen=CUTS),
    Sign("inverter.low-voltage", "read inverter.input_voltage",
         ((21.0, FOR, OPEN), (22.0, OPEN, AGAINST)),
         "the inverter's own limit; half a volt in 10.5 clear of it, own choice", PUMP, seen=CUTS),
    Sign("inverter.low-voltage", "inverter.input_voltage_min",
         ((LEFT * 10.5 / 11.5, AGAINST, OPEN), (LEFT, OPEN, FOR)),
         "V (V0 - V) / R = P from a half-full bank", PUMP, seen=CUTS),
    Sign("inverter.surge", "inverter.surge_power",
         ((462.0, FOR, OPEN), (462.0 / 0.8, OPEN, AGAINST)),
         "450 W beside 12 W; a fifth in reserve, own choice", PUMP, seen=CUTS),
    Sign("fuse.gust-current", "cable.main.fuse",
         ((AMPS / 1.35, FOR, OPEN), (AMPS / 0.8, OPEN, AGAINST)),
         "the worked 7.26 A in 8 m/s; shares own choice", seen=FUSE, hair=5e-3),
    Sign("fuse.inverter-start", "inverter.fuse",
         ((START / 24.0 / 2.0, FOR, OPEN), (START / 24.0, OPEN, AGAINST)),
         "P/V; twice the rating for a second or two, own choice", PUMP, seen=FUSE),
    Sign("dump.failed", "dump.power",
         ((CHARGED, FOR, OPEN), (1.25 * CHARGED, OPEN, AGAINST)),
         "the worked machine's power in 8 m/s; a quarter more, own choice",
         {"dump.kind": "switched by the charge controller", "storage.charge_voltage": None}, seen=DAMAGED, hair=5e-3),
    Sign("house.back-feed", "house.feed", dict(zip(FEEDS, (AGAINST,) * 4 + (FOR,) * 4, strict=True)),
         "CPSC warning of 15 September 2022, NEC 702.5: two sources on one wire",
         seen="shock or a line that should be dead"),
    Sign("reading.wrong", "read battery.voltage", ((1.35 * 24.0, OPEN, FOR),),
         "a connected battery holds the voltage near its own; 1.35 own choice", seen="reading makes no sense"),
    Sign("reading.wrong", "read charge.power",
         ((0.45 * WIND_POWER, AGAINST, OPEN), (BETZ * WIND_POWER, OPEN, FOR)),
         "16/27 of the wind's power (Kramm et al. 2016); 0.45 own choice", seen="reading makes no sense"),
    Sign("claim.too-high", "claim.C1.power",
         ((1.1 * CHARGED, AGAINST, OPEN), (1.5 * CHARGED, OPEN, FOR)),
         "the worked machine's power in 8 m/s; shares own choice",
         {"claim.C1.power": 100.0, "claim.C1.wind_speed": WORKED_WIND}, seen="less power than promised", hair=5e-3),
    Sign("blade.root-torn", "blade.material", {"PVC-U pipe": FOR, "other": OPEN},
         "30 kg at 0.5 m and 30 rad/s or more pull with 13 kN (WOOD-206 eq. 9.49) on 10 cm2 of pipe: at a bolt hole, "
         "three times, 40 MPa of 51", {"blade.mass": 30.0, "generator.emf_constant": 0.2}, PIPE, "blade lost or broken",
         (12.0, 12.0)),
)  # fmt: skip

#: Factors of the section table, and what is drawn from the usual, as if they were known.
SURE: dict[str, Value] = {
    "blade.lift_factor": 1.0, "blade.drag_factor": 1.0, "site.air_temperature": 293.15, "site.altitude": 0.0,
    "generator.inductance": 1e-5, "generator.pole_pairs": 20.0, "storage.internal_resistance": 0.01,
    "generator.diode_drop": 0.9, "blade.root_radius": 0.13, "cable.mast.temperature": 293.15,
}  # fmt: skip
#: Mechanisms that rest on blades of a known shape, for which no outside table was to be had: how two turns lie to each
#: other. The numbers are shares of the last.
RELATED_SIGNS = (
    Sign("rotor.too-stiff-to-start", "generator.cogging_torque",
         ((0.8**2, AGAINST, OPEN), (1.0, OPEN, FOR)),
         "torque at rest goes with the square of the wind: 0.8 of the wind, 0.64 of the torque",
         {"generator.drag_torque": 1e-4, **SURE}, PIPE, "does not start", (5.0, 5.0), hair=0.02),
)  # fmt: skip

#: No number on record tells of these; the eye does.
BY_EYE = ("yaw.fault", "generator.water", "blade.brittle", "blade.tip-strike", "fuse.short-circuit")
#: These are told by what they alter in the solved machine beside each other, by no one number: ``test_altering``.
BY_LIKELIHOOD = (
    "generator.phase-reversed", "rectifier.diode-open", "rectifier.diode-shorted", "generator.earthed",
    "generator.magnets-loose", "generator.demagnetised", "generator.leads-swapped", "generator.belt-slips",
    "generator.field-dead", "generator.field-drains", "generator.driven-by-battery", "sound.battery-full",
    "charging.slip-rings",
    "blade.wrong-angle", "blade.back-to-front",
    "blade.ice", "blade.worn", "furling.early", "furling.never", "furling.seized", "brake.does-not-hold",
    "vibration.resonance", "battery.worn", "battery.strings-uneven", "load.phantom", "controller.set-wrongly",
    "battery.cut-off-cold", "battery.cut-off-high", "battery.cut-off-low", "inverter.cable", "reading.not-true-rms",
    "reading.wrong-range", "reading.meter-battery", "site.wind-overestimated", "sound.too-much-expected",
)  # fmt: skip
