"""Every rule says each of its statuses, with a remedy whose numbers were worked out by hand.

What it says in each of the cases is looked at in ``test_rules_texts.py``, where it is worked out once.
"""

import pytest

from calc.finding import Status
from calc.machine.catalogue import split
from calc.machine.catalogue.house import MOTOR, NEUTRALS
from calc.machine.catalogue.storage import DUMP_PLACES, MOUNTS, SECOND_MEANS
from calc.machine.catalogue.wiring import AC_BREAKER, FUSED_BY_RUN, GENERATOR_SWITCHES, MAST_EARTHS
from calc.machine.design import build_design
from calc.machine.entry import AH, MM2
from calc.machine.system import System
from calc.physics import wiring
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc import test_rules_machine as machine
from tests.calc.sheets import RPM, findings
from tests.outside.turning_points import RELATED, ROWS

OK, MARGINAL, FAIL, DANGER, UNKNOWN, STATED = (
    Status.OK,
    Status.MARGINAL,
    Status.FAIL,
    Status.DANGER,
    Status.UNKNOWN,
    Status.STATED,
)
NO_CLAIM = {"claim.seller.power": None, "claim.seller.wind_speed": None}
SLOW = {"generator.emf_constant": 1 / (200 * RPM)}
BEFORE = {"cable.main.carries": "generator before the rectifier"}
TO_LOADS = {"cable.main.carries": "battery to loads"}
RUBBER = "XLPE or rubber, 90 degC"
NEC_6 = {"site.wiring_practice": "NEC", "cable.main.area": wiring.awg_area(6)}
LITHIUM_OHMS = {"storage.internal_resistance": 0.005}
#: No main fuse: the fuse of each run is the first behind the battery.
BY_RUN = {"protection.main_fuse": "none, each cable has its own at the battery"}
PUMP = {"load.pump.power": 250.0, "load.pump.hours": 0.01, "load.pump.surge": 750.0}
STAR = {"generator.phases": "single-phase", "generator.emf_form": "lead to star point, RMS"}
FLOODED, GEL = ({"storage.chemistry": f"{kind} lead-acid"} for kind in ("flooded", "gel"))
NMC = {"storage.chemistry": "NMC lithium"}
LIVING = {"storage.place": "room where people live or sleep"}
CLOSET = {"storage.place": "closet, cellar or room without vents"}
STAIRS = {"storage.place": "stairs, hall or other way out"}
NO_MAIN = {"protection.main_fuse": "none", "protection.main_fuse_rating": None}
BY_RUN = {"protection.main_fuse": FUSED_BY_RUN}
BARE = {"house.rcd": False}
STEPPED = {"inverter.wave": "stepped (modified sine)"}
OFF = {"dump.place": DUMP_PLACES[1]}
LAMP = {"load.lamp.kind": "filament lamp"}
REUSED = {"storage.reused": True, "storage.capacity_left": 0.75}


def frost(celsius):
    """The cold of the battery's place."""
    return {"storage.coldest": celsius + 273.15}


def months(*winds):
    """Monthly means, from January."""
    return {f"site.month_{i:02d}": wind for i, wind in enumerate(winds, start=1)}


FEEDS_OF_DANGER = (
    "transfer switch fitted by the builder",
    "inverter into a socket by a lead with two plugs",
    "inverter wired into the house panel, main switch turned off by hand",
    "inverter wired into one circuit of the house, its breaker turned off by hand",
    "inverter in parallel with the grid",
)

# rule, subject, changes to the good machine, status, phrases of what is said or of the remedy
CASES = [
    # 7 m/s through 2 m at 1.225 kg/m3 carries 660 W; Betz 391 W; 0.2 of it 132 W.
    ("claim.betz", "claim.seller", {}, OK, ["660 W", "390 W", "within what is possible"]),
    # 500 W at a share of 0.2 takes 2 m x sqrt(500/132) = 3.89 m.
    ("claim.betz", "claim.seller", {"claim.seller.power": 500.0}, FAIL, ["Expect 130 W at most", "3.9 m across"]),
    ("claim.betz", "claim.seller", {"claim.seller.wind_speed": None}, UNKNOWN, ["claim.seller.wind_speed"]),
    # 5.5 x ln(15.5/0.03)/ln(10/0.03) = 5.91 m/s; 1.91 x 0.6125 x 5.915^3 = 242 W/m2.
    ("site.power", "site", {}, OK, ["5.9 m/s", "240 W/m2", "1.9 times", "760 W", "150 W on average"]),
    ("site.power", "site", {"rotor.diameter": None}, OK, ["240 W/m2"]),
    # 0.03 x exp(5.809 x 4.5/4) = 20.7 m, taller than masts of one's own making; 4.3 m/s take 0.03 x exp(5.809 x
    # 4.5/4.3) = 13.1 m.
    ("site.power", "site", {"site.mean_wind": 4.0}, MARGINAL, ["No single change", "only at about 21 m"]),
    ("site.power", "site", {"site.mean_wind": 4.3, "mast.height": 10.5}, MARGINAL, ["Put the rotor 14 m up or higher"]),
    # 0.03 x exp(5.809 x 4.5/3) = 183 m
    ("site.power", "site", {"site.mean_wind": 3.0}, FAIL, ["a poor bargain", "only at about 180 m"]),
    ("site.power", "site", {"site.mean_wind": None}, UNKNOWN, ["site.mean_wind"]),
    ("site.power", "site", {"site.ground": "larger towns", "mast.height": 6.0}, UNKNOWN, ["below 8 m"]),
    ("rotor.overspeed", "rotor", {}, STATED, ["head for more than 200 m/s", "was not checked"]),
    # 50 m/s at 1 m radius is 477 rpm, reached freely in 50/8 = 6.25 m/s.
    ("rotor.overspeed", "rotor", {"rotor.overspeed": "none"}, DANGER, ["below 50 m/s", "6.2 m/s", "from 11 m/s"]),
    (
        "rotor.overspeed",
        "rotor",
        {"rotor.overspeed": "none", "blade.material": "wood"},
        DANGER,
        ["below 70 m/s", "8.7 m/s"],
    ),
    ("rotor.overspeed", "rotor", {"rotor.overspeed": None}, UNKNOWN, ["rotor.overspeed"]),
    ("rotor.brake", "rotor", {}, STATED, ["is judged under"]),
    ("rotor.brake", "rotor", {"rotor.brake": "none"}, DANGER, ["470 rpm"]),
    ("rotor.brake", "rotor", {"rotor.brake": None}, UNKNOWN, ["rotor.brake"]),
    # 4 cells x 3.3 V + 1.8 V = 15 V; at 40 rpm/V 600 rpm; 62.8 rad/s x 1 m / 8 = 7.85 m/s, / 5 = 12.6 m/s.
    ("generator.charging-begins", "generator", {"site.mean_wind": 8.0}, OK, ["600 rpm", "7.9 m/s"]),
    ("generator.charging-begins", "generator", {}, MARGINAL, ["600 rpm", "7.9 m/s", "13 m/s"]),
    # Limit 1.5 x 5.915 = 8.87 m/s: 200 rpm/V needs 62.8 m/s, so 28.2 rpm/V, or gearing by 7.1.
    # It is enough for a finding to be marginal that the free wind is early: 45 rpm/V, 4.4 to 1.
    (
        "generator.charging-begins",
        "generator",
        SLOW,
        FAIL,
        ["only in 39 m/s", "40 rpm/V", "5 to 1 with a toothed belt"],
    ),
    # 48 V at 20 rpm/V needs 10.2 m/s; at 12 V the same generator begins at 2.85 m/s of wind, freely.
    (
        "generator.charging-begins",
        "generator",
        {"storage.voltage": 48.0, "generator.emf_constant": 1 / (20 * RPM)},
        FAIL,
        ["1100 rpm", "11 rpm/V", "a bank of 24 V"],
    ),
    ("generator.charging-begins", "generator", {"mast.height": None}, UNKNOWN, ["mast.height"]),
    ("generator.charging-begins", "generator", STAR, UNKNOWN, ["star point"]),
    (
        "generator.charging-begins",
        "generator",
        {"site.ground": "larger towns", "mast.height": 6.0},
        UNKNOWN,
        [],
    ),
    # 30 x 8 / 1 m = 240 rad/s = 2292 rpm; / 40 = 57.3 V mean, x pi/3 = 60 V peak.
    ("generator.storm-voltage", "generator", {}, OK, ["2300 rpm", "60 V"]),
    (
        "generator.storm-voltage",
        "generator",
        {"generator.rectifier_voltage": 100.0, "rotor.overspeed": "none"},
        MARGINAL,
        ["200 V or more"],
    ),
    # Where it is held back, nobody buys what only a runaway would ask for.
    (
        "generator.storm-voltage",
        "generator",
        {"generator.rectifier_voltage": 100.0},
        MARGINAL,
        ["Held back in 12 m/s it gives 24 V", "moves freely"],
    ),
    (
        "generator.storm-voltage",
        "generator",
        {"generator.rectifier_voltage": 50.0, "rotor.overspeed": "none"},
        FAIL,
        ["200 V or more"],
    ),
    # Where a tail holds it back, from 12 m/s if nothing is said, it gives 24 V: twice that is less than 50 V.
    (
        "generator.storm-voltage",
        "generator",
        {"generator.rectifier_voltage": 50.0},
        MARGINAL,
        ["Held back in 12 m/s it gives 24 V", "moves freely"],
    ),
    (
        "generator.storm-voltage",
        "generator",
        {"generator.emf_constant": 10.0},
        FAIL,
        ["fewer turns"],
    ),
    ("generator.storm-voltage", "generator", {"generator.rectifier_voltage": None}, UNKNOWN, ["(PIV)"]),
    ("generator.storm-voltage", "generator", STAR, UNKNOWN, ["star point"]),
    # 80 rpm/V: 28.6 V, or 28.6/1.3505 = 21.2 V AC.
    (
        "generator.touch-voltage",
        "generator",
        {"generator.emf_constant": 1 / (80 * RPM)},
        OK,
        ["29 V", "22 V AC"],
    ),
    ("generator.touch-voltage", "generator", {"generator.phases": "DC with brushes"}, OK, ["58 V"]),
    # 40 rpm/V: 57.3 V or 42.4 V AC; 25 V AC is 33.8 V DC, at 1350 rpm. 25 to 50 V AC is as bad as 60 to 120 V DC.
    (
        "generator.touch-voltage",
        "generator",
        {},
        FAIL,
        ["58 V", "43 V AC", "Cover every bare part, with cable insulated for 58 V"],
    ),
    # 35 rpm/V: 65.5 V, 48.5 V AC. 20 rpm/V: 115 V, but 84.9 V AC, above extra-low voltage; 33.8 V at 675 rpm.
    # 15 rpm/V: 153 V; 506 rpm.
    ("generator.touch-voltage", "generator", {"generator.emf_constant": 1 / (35 * RPM)}, FAIL, ["66 V", "49 V AC"]),
    (
        "generator.touch-voltage",
        "generator",
        {"generator.emf_constant": 1 / (20 * RPM)},
        DANGER,
        ["120 V", "85 V AC", "up to 320 rpm", "cable insulated for 120 V"],
    ),
    (
        "generator.touch-voltage",
        "generator",
        {"generator.emf_constant": 1 / (15 * RPM)},
        DANGER,
        ["160 V", "up to 240 rpm", "Cover every bare part"],
    ),
    (
        "generator.touch-voltage",
        "generator",
        {"generator.emf_constant": 1 / (15 * RPM), "generator.enclosed": True},
        MARGINAL,
        ["160 V", "behind the covers a shock kills", "tie the rotor"],
    ),
    (
        "generator.touch-voltage",
        "generator",
        {"generator.emf_constant": 1 / (35 * RPM), "generator.enclosed": True},
        OK,
        ["66 V"],
    ),
    ("generator.touch-voltage", "generator", {"rotor.diameter": None}, UNKNOWN, ["rotor.diameter"]),
    ("generator.touch-voltage", "generator", STAR, UNKNOWN, ["star point"]),
    # 2 x 10 A x 10 m x 1.83 mohm/m = 0.366 V, 3.05 % of 12 V; 3 % at 9.84 m.
    ("wiring.voltage-drop", "cable.main", {"cable.main.length": 9.0}, OK, ["0.33 V", "3.3 W"]),
    (
        "wiring.voltage-drop",
        "cable.main",
        {},
        MARGINAL,
        ["3 %", "16 mm2 or more", "2.9 kg of metal in place of 1.8 kg", "bank of 24 V", "7.5 m of cable"],
    ),
    # 34 m: 1.244 V, 10.4 %; 8 % takes 1.412 mohm/m: 16 mm2; 3 % takes 0.529: 35 mm2; 24 V gives 2.6 %.
    (
        "wiring.voltage-drop",
        "cable.main",
        {"cable.main.length": 34.0},
        FAIL,
        ["10 %", "35 mm2 or more", "21 kg of metal in place of 6.1 kg", "bank of 48 V", "25.5 m of cable"],
    ),
    (
        "wiring.voltage-drop",
        "cable.main",
        {"cable.main.length": 600.0},
        FAIL,
        ["nothing that was tried is enough", "more is lost on the way than arrives"],
    ),
    # 12 milliohm of joints add 0.12 V: 0.486 V, 4.05 %; for 3 %, 24 milliohm are left for 20 m of wire: 16 mm2.
    (
        "wiring.voltage-drop",
        "cable.main",
        {"cable.main.joints": 0.012, "cable.main.price": 5.0},
        MARGINAL,
        [
            "12 mohm of joints",
            "4 %",
            "16 mm2 or more",
            "2.9 kg for about 80 of metal in place of 1.8 kg for about 50",
            "5 m of cable",
        ],
    ),
    (
        "wiring.voltage-drop",
        "cable.main",
        {"cable.main.joints": 0.1},
        FAIL,
        ["with 100 mohm of joints", "bank of 48 V"],
    ),
    # Class 5: 2 x 10 A x 10 m x 1.91 mohm/m = 0.382 V.
    ("wiring.voltage-drop", "cable.main", {"cable.main.strands": "fine strands"}, MARGINAL, ["0.38 V"]),
    # Three wires of 16 mm2, 10 m: 4.3 kg; two: 2.87 kg.
    ("wiring.voltage-drop", "cable.main", BEFORE, MARGINAL, ["16 mm2 or more", "4.3 kg of metal in place of 2.7 kg"]),
    # 6 AWG: 0.491 ohm/kft at 75 degC is 1.325 mohm/m at 20 degC: 0.265 V at 10 A and 10 m.
    ("wiring.voltage-drop", "cable.main", NEC_6, OK, ["6 AWG", "0.26 V"]),
    (
        "wiring.voltage-drop",
        "cable.main",
        {**NEC_6, "cable.main.length": 40.0},
        FAIL,
        ["4 AWG or more"],
    ),
    ("wiring.voltage-drop", "cable.main", {"cable.main.length": None}, UNKNOWN, ["cable.main.length"]),
    (
        "wiring.voltage-drop",
        "cable.main",
        {"generator.rated_current": None, **NO_CLAIM},
        UNKNOWN,
        ["cable.main.current", "generator.rated_current"],
    ),
    (
        "wiring.voltage-drop",
        "cable.main",
        {"generator.rated_current": None},
        OK,
        ["5 A (derived from the largest claim, 60 W at 12 V)"],
    ),
    # A claim beyond the limit is held to it: 391 W at 12 V is 32.6 A.
    (
        "wiring.voltage-drop",
        "cable.main",
        {"generator.rated_current": None, "claim.seller.power": 900.0},
        FAIL,
        ["33 A", "limited to the 391 W"],
    ),
    ("wiring.voltage-drop", "cable.main", {"cable.main.current": 4.0}, OK, ["4 A (as the sheet states)"]),
    (
        "wiring.voltage-drop",
        "cable.main",
        TO_LOADS,
        OK,
        ["1 A (derived from all loads together, 12 W at 12 V)"],
    ),
    (
        "wiring.voltage-drop",
        "cable.main",
        {**TO_LOADS, "load.lamp.power": None, "load.lamp.hours": None},
        UNKNOWN,
        ["cable.main.current"],
    ),
    # 400 W / (10 V x 0.8) = 50 A
    ("wiring.voltage-drop", "cable.inv", {}, OK, ["50 A (derived from 400 W"]),
    ("wiring.voltage-drop", "cable.inv", {"inverter.power": None}, UNKNOWN, ["inverter.power"]),
    (
        "wiring.voltage-drop",
        "cable.inv",
        {"inverter.input_voltage_min": None},
        OK,
        ["48 A", "taken as 10.5 V for each 12 V"],
    ),
    # 10 mm2, method B2, PVC, 30 degC: 52 A (two wires), 46 A (three).
    ("wiring.ampacity", "cable.main", {}, OK, ["12.5 A (by the table)", "52 A: enough"]),
    ("wiring.ampacity", "cable.main", BEFORE, OK, ["8.2 A in each of three wires", "46 A"]),
    ("wiring.ampacity", "cable.main", {"cable.main.current": 50.0}, MARGINAL, ["16 mm2 or more", "62.5 A"]),
    ("wiring.ampacity", "cable.main", {"cable.main.current": 60.0}, FAIL, ["25 mm2 or more", "75 A"]),
    ("wiring.ampacity", "cable.main", {"cable.main.current": 300.0}, FAIL, ["nothing that was tried is enough"]),
    (
        "wiring.ampacity",
        "cable.main",
        {"cable.main.area": 50 * MM2},
        OK,
        ["133 A", "by the table, from memory"],
    ),
    ("wiring.ampacity", "cable.main", {"cable.main.area": None}, UNKNOWN, ["cable.main.area"]),
    ("wiring.ampacity", "cable.main", {"cable.main.material": "aluminium"}, UNKNOWN, ["copper only"]),
    # 1.5 mm2 carries 16.5 A (Table B.52.2, B2); in proportion 1 mm2 carries 11 A; 200 mm2 is not tabled.
    (
        "wiring.ampacity",
        "cable.main",
        {"cable.main.area": 1 * MM2},
        MARGINAL,
        ["11 A", "in proportion below"],
    ),
    ("wiring.ampacity", "cable.main", {"cable.main.area": 200 * MM2}, UNKNOWN, ["ends at 120 mm2"]),
    # The inverter's own rules judge its run, unless nothing is known of the inverter.
    ("wiring.ampacity", "cable.inv", {"inverter.power": None}, UNKNOWN, ["inverter.power"]),
    (
        "wiring.ampacity",
        "cable.inv",
        {"inverter.power": None, "cable.inv.current": 80.0},
        MARGINAL,
        ["100 A", "35 mm2 or more"],
    ),
    # Two circuits in one conduit carry 0.8 each: 52 x 0.8 = 41.6 A, 33.3 A with a quarter in reserve.
    (
        "wiring.ampacity",
        "cable.main",
        {"cable.main.together": 1.0, "cable.main.current": 36.0},
        MARGINAL,
        ["41.6 A", "grouping, from memory", "45 A"],
    ),
    # Marked 60 degC: 52 x sqrt(30/40) = 45 A.
    ("wiring.ampacity", "cable.main", {"cable.main.insulation": "marked 60 degC"}, OK, ["45 A"]),
    # NEC: 6 AWG PVC counts as 60 degC, 55 A, and 44 A continuously on end; 4 AWG 70 A, so 56 A.
    ("wiring.ampacity", "cable.main", {**NEC_6, "cable.main.current": 44.0}, OK, ["44 A for hours: enough", "6 AWG"]),
    ("wiring.ampacity", "cable.main", {**NEC_6, "cable.main.current": 45.0}, FAIL, ["4 AWG or more", "44 A"]),
    # 90 degC wire on 75 degC terminals: 65 A / 1.25 = 52 A; six loaded wires at 50 degC: 75 x 0.816 x 0.8 = 49 A.
    (
        "wiring.ampacity",
        "cable.main",
        {**NEC_6, "cable.main.insulation": RUBBER, "cable.main.terminals": "75 degC"},
        OK,
        ["52 A for hours"],
    ),
    (
        "wiring.ampacity",
        "cable.main",
        {
            **NEC_6,
            "cable.main.insulation": RUBBER,
            "cable.main.terminals": "75 degC",
            "cable.main.ambient": 323.15,
            "cable.main.together": 2.0,
        },
        OK,
        ["49 A for hours"],
    ),
    (
        "wiring.ampacity",
        "cable.main",
        {**NEC_6, "cable.main.area": 0.5 * MM2},
        FAIL,
        ["in proportion below"],
    ),
    ("wiring.ampacity", "cable.main", {**NEC_6, "cable.main.material": "aluminium"}, OK, ["from memory"]),
    ("wiring.fuse", "cable.main", {}, OK, ["12.5 A", "52 A", "lies between the two"]),
    (
        "wiring.fuse",
        "cable.main",
        {"cable.main.fuse": 11.0},
        MARGINAL,
        ["10 A and a quarter more", "52 A at most", "a DC fuse of 50 A", "nothing loads the rotor"],
    ),
    ("wiring.fuse", "cable.main", {"cable.main.fuse": 8.0}, FAIL, ["opens in normal running"]),
    ("wiring.fuse", "cable.main", {"cable.main.fuse": 63.0}, DANGER, ["lets the cable burn"]),
    ("wiring.fuse", "cable.main", {"cable.main.fused": False, **NO_MAIN}, DANGER, ["no fuse protects it", "50 A"]),
    ("wiring.fuse", "cable.main", {"cable.main.fused": False}, DANGER, ["52 A", "63 A, and burns"]),
    (
        "wiring.fuse",
        "cable.main",
        {"cable.main.fused": False, "protection.main_fuse_rating": 50.0},
        OK,
        ["so that protects it"],
    ),
    (
        "wiring.fuse",
        "cable.main",
        {"cable.main.fused": False, "protection.main_fuse_rating": None},
        UNKNOWN,
        ["protection.main_fuse_rating"],
    ),
    (
        "wiring.fuse",
        "cable.main",
        {"cable.main.current": 50.0},
        FAIL,
        ["a DC fuse of 63 A", "cable of 16 mm2 or more behind it", "62.5 A"],
    ),
    (
        "wiring.fuse",
        "cable.main",
        {"cable.main.current": 300.0},
        FAIL,
        ["nothing that was tried is enough", "375 A"],
    ),
    ("wiring.fuse", "cable.main", {"cable.main.fuse": None}, UNKNOWN, ["cable.main.fuse"]),
    ("wiring.fuse", "cable.main", {"cable.main.area": 1 * MM2}, DANGER, ["lets the cable burn"]),
    ("wiring.fuse", "cable.main", {"cable.main.area": 200 * MM2}, UNKNOWN, ["ends at 120 mm2"]),
    ("wiring.fuse", "cable.inv", {"inverter.power": None, "cable.inv.fuse": 63.0}, UNKNOWN, ["inverter.power"]),
    # NEC: 55 A is no standard rating, so 60 A will do (240.4(B)); 12 AWG has 20 A at most (240.4(D)).
    ("wiring.fuse", "cable.main", {**NEC_6, "cable.main.fuse": 60.0}, OK, ["one of 60 A at most"]),
    (
        "wiring.fuse",
        "cable.main",
        {**NEC_6, "cable.main.fuse": 70.0},
        DANGER,
        ["one of 60 A at most", "a DC fuse of 60 A"],
    ),
    ("wiring.fuse", "cable.main", {**NEC_6, "cable.main.fuse": 12.0}, FAIL, ["leaves no quarter"]),
    (
        "wiring.fuse",
        "cable.main",
        {**NEC_6, "cable.main.area": wiring.awg_area(12), "cable.main.insulation": RUBBER, "cable.main.fuse": 25.0},
        DANGER,
        ["one of 20 A at most"],
    ),
    # 10 A at 12 V is 120 W; 150 % is 180 W (NEC 706.23(B)(2)).
    ("storage.dump", "storage", {}, OK, ["120 W", "180 W"]),
    ("storage.dump", "storage", {"dump.power": 150.0}, MARGINAL, ["of 200 W and 1.2 ohm"]),
    ("storage.dump", "storage", {"dump.power": 100.0}, FAIL, ["180 W", "of 200 W and 1.2 ohm"]),
    (
        "storage.dump",
        "storage",
        {"dump.kind": "always connected"},
        MARGINAL,
        ["in a calm too", "Have the charge controller switch"],
    ),
    ("storage.dump", "storage", {"dump.kind": "none"}, FAIL, ["of 200 W and 1.2 ohm", "electronics disconnect it"]),
    (
        "storage.dump",
        "storage",
        {"dump.kind": "none", "storage.voltage": None, "storage.chemistry": "gel lead-acid"},
        FAIL,
        ["1.5 times", "overcharged"],
    ),
    ("storage.dump", "storage", {"dump.kind": None}, UNKNOWN, ["dump.kind"]),
    ("storage.dump", "storage", {"dump.power": None}, UNKNOWN, ["dump.power"]),
    (
        "storage.dump",
        "storage",
        {"generator.rated_current": None, **NO_CLAIM},
        UNKNOWN,
        ["generator.rated_current"],
    ),
    # 0.5 of 100 Ah: 50 A.
    ("storage.charge-current", "storage", {}, OK, ["50 A"]),
    (
        "storage.charge-current",
        "storage",
        {"storage.charge_current_limit": 10.5},
        MARGINAL,
        ["10.5 A", "120 Ah"],
    ),
    (
        "storage.charge-current",
        "storage",
        {"storage.capacity": 10 * AH},
        FAIL,
        ["5 A", "40 Ah or more", "hold the charge current to 5 A"],
    ),
    ("storage.charge-current", "storage", {"storage.capacity": None}, UNKNOWN, ["storage.capacity"]),
    (
        "storage.charge-current",
        "storage",
        {"generator.rated_current": None, **NO_CLAIM},
        UNKNOWN,
        ["rated_current"],
    ),
    # 4 cells: 13.6 to 14.6 V.
    ("storage.charge-voltage", "storage", {}, OK, ["4 cells", "13.6 V", "14.6 V"]),
    ("storage.charge-voltage", "storage", {"storage.charge_voltage": 13.4}, MARGINAL, ["too low to fill the battery"]),
    ("storage.charge-voltage", "storage", {"storage.charge_voltage": 13.0}, FAIL, ["never charges"]),
    ("storage.charge-voltage", "storage", {"storage.charge_voltage": 14.8}, DANGER, ["14.6 V", "on fire"]),
    (
        "storage.charge-voltage",
        "storage",
        {"storage.charge_voltage": 14.8, "storage.chemistry": "gel lead-acid"},
        FAIL,
        [
            "6 cells",
            "between 13.98 V and 14.25 V",
            "14.25 V at most at 30 degC",
            "too high in summer",
            "Nothing on the sheet",
        ],
    ),
    ("storage.charge-voltage", "storage", {"storage.charge_voltage": None}, UNKNOWN, ["charge_voltage"]),
    # Gel, 6 cells, -5 mV/K: 14.28 V at 15 degC and 14.25 V at 30 degC, so no one voltage does for both.
    (
        "storage.charge-voltage",
        "storage",
        {**GEL, "storage.temperature": 288.15},
        MARGINAL,
        [
            "14.28 V or more",
            "15 degC",
            "too low to fill the battery in winter",
            "14.25 V at most in summer",
            "set to 14.4 V",
        ],
    ),
    # The winter's 15 V, called for by the cold end alone, boils the battery in summer: 15 > 14.1 V at 35 degC.
    (
        "storage.charge-voltage",
        "storage",
        {**GEL, "storage.temperature": 273.15, "storage.summer_temperature": 308.15, "storage.charge_voltage": 15.0},
        FAIL,
        ["14.73 V or more in winter", "14.1 V at most at 35 degC", "too high in summer", "correct for"],
    ),
    (
        "storage.charge-voltage",
        "storage",
        {**GEL, "storage.compensated": False, "storage.charge_voltage": 16.0},
        DANGER,
        ["boils", "Nothing corrects it"],
    ),
    # A 24 V bank at 32 V: 2.67 V a cell, where every controller has cut off.
    (
        "storage.charge-voltage",
        "storage",
        {**FLOODED, "storage.voltage": 24.0, "storage.charge_voltage": 32.0},
        DANGER,
        ["12 cells", "its gas explodes"],
    ),
    # 48 V of LiFePO4: 58.4 V is 3.65 V for 16 cells and 3.893 V for 15.
    (
        "storage.charge-voltage",
        "storage",
        {"storage.voltage": 48.0, "storage.charge_voltage": 58.4},
        UNKNOWN,
        ["15 and with 16 cells", "3.89 V for each of 15", "storage.cells"],
    ),
    (
        "storage.charge-voltage",
        "storage",
        {"storage.voltage": 48.0, "storage.charge_voltage": 58.4, "storage.cells": 15.0},
        DANGER,
        ["15 cells", "54.75 V"],
    ),
    (
        "storage.charge-voltage",
        "storage",
        {"storage.voltage": 48.0, "storage.charge_voltage": 58.4, "storage.cells": 16.0},
        OK,
        ["16 cells", "58.4 V"],
    ),
    (
        "storage.charge-voltage",
        "storage",
        {**GEL, "storage.temperature": 288.15, "storage.compensated": True},
        OK,
        ["13.98 V to 14.4 V", "The charger corrects it"],
    ),
    # 72 Wh a day / 0.8 = 90 Wh; 0.8 x 1200 Wh / 90 Wh = 10.7 days.
    ("storage.autonomy", "storage", {}, OK, ["90 Wh", "11 days"]),
    # 90 Wh a day for 3 days of 80 % at 12 V: 28.1 Ah, so 40 Ah of those sold. 20 Ah carry 192 Wh / 90 Wh = 2.13 days.
    (
        "storage.autonomy",
        "storage",
        {"storage.capacity": 20 * AH},
        MARGINAL,
        ["2.1 days", "40 Ah", "lamp for 4.2 h"],
    ),
    ("storage.autonomy", "storage", {"storage.capacity": 5 * AH}, FAIL, ["40 Ah"]),
    (
        "storage.autonomy",
        "storage",
        {"storage.usable_share": 0.5},
        OK,
        ["6.7 days", "50 % is usable", "as the sheet states"],
    ),
    # Gel at 10 degC gives 90 %, 80 % left by age: half of 72 % of 1200 Wh carries 90 Wh a day for 4.8 days.
    (
        "storage.autonomy",
        "storage",
        {**GEL, "storage.temperature": 283.15, "storage.capacity_left": 0.8},
        OK,
        [
            "The usable 36 %: 50 %, usual for its kind, times 90 % at 10 degC, times 80 % left by age.",
            "4.8 days",
        ],
    ),
    # 96 W day and night through 0.8 are 10 A out of 60 Ah, 3 A of which last 20 hours: (3/10)^0.15 = 0.835, half of it.
    (
        "storage.autonomy",
        "storage",
        {
            **GEL,
            "storage.temperature": 298.15,
            "storage.capacity": 60 * AH,
            "load.lamp.power": 96.0,
            "load.lamp.hours": 1.0,
        },
        FAIL,
        ["Of 60 Ah, 42 % is usable", "50 %, usual for its kind, times 83.5 % at such a current"],
    ),
    ("storage.autonomy", "storage", {"storage.temperature": 243.15}, UNKNOWN, ["-18 to 40 degC"]),
    ("storage.autonomy", "storage", {"load.lamp.hours": None}, UNKNOWN, ["load.lamp.hours"]),
    ("storage.autonomy", "storage", {"load.lamp.hours": 0.0}, UNKNOWN, ["never run"]),
    ("dump.open-charge", "dump", {}, STATED, ["electronics, which watch its cells"]),
    ("dump.open-charge", "dump", {"dump.place": DUMP_PLACES[1]}, FAIL, ["24 V before the furling tail acts"]),
    (
        "dump.open-charge",
        "dump",
        {"dump.place": DUMP_PLACES[1], "rotor.overspeed": "none", "storage.chemistry": "gel lead-acid"},
        DANGER,
        ["A fuse, a switch", "60 V in a gust of 30 m/s"],
    ),
    ("dump.open-charge", "dump", {"dump.place": None}, UNKNOWN, ["dump.place"]),
    ("dump.second-means", "dump", {}, STATED, ["was not checked"]),
    ("dump.second-means", "dump", {"dump.second_means": SECOND_MEANS[1]}, MARGINAL, ["14.2 V"]),
    ("dump.second-means", "dump", {"dump.second_means": "none"}, FAIL, ["14.2 V"]),
    ("dump.second-means", "dump", {"dump.second_means": None}, UNKNOWN, ["dump.second_means"]),
    # 14.2^2/1.2 = 168 W; 10 A x 14.2 V = 142 W takes 1.42 ohm at most; 200 W are 1.01 ohm.
    ("dump.element", "dump", {}, OK, ["12 A", "170 W", "140 W"]),
    ("dump.element", "dump", {"dump.resistance": 2.0}, FAIL, ["less than the 140 W", "a dump load of 1.2 ohm"]),
    ("dump.element", "dump", {"dump.resistance": 0.8}, FAIL, ["250 W", "too little", "a dump load of 1.2 ohm"]),
    ("dump.element", "dump", {"dump.power": 100.0}, FAIL, ["of 200 W and 1.2 ohm"]),
    ("dump.element", "dump", {"dump.resistance": None}, UNKNOWN, ["dump.resistance"]),
    ("dump.element", "dump", {"dump.power": None}, UNKNOWN, ["dump.power"]),
    ("dump.controller", "dump", {}, OK, ["12 A", "20 A", "24 V"]),
    ("dump.controller", "dump", {"dump.controller_current": 10.0}, FAIL, ["relay for 15 A DC", "1.5 ohm"]),
    ("dump.controller", "dump", {"dump.voltage": 12.0}, FAIL, ["made for 24 V", "below that voltage"]),
    ("dump.controller", "dump", {"dump.voltage": None}, UNKNOWN, ["dump.voltage"]),
    ("dump.circuit", "cable.dump", {}, OK, ["30 A", "52 A", "40 A"]),
    ("dump.circuit", "cable.dump", {"cable.dump.fuse": 25.0}, MARGINAL, ["take 30 A", "52 A at most", "fuse of 32 A"]),
    (
        "dump.circuit",
        "cable.dump",
        {"cable.dump.fuse": 25.0, "site.wiring_practice": "NEC"},
        MARGINAL,
        ["fuse of 30 A"],
    ),
    ("dump.circuit", "cable.dump", {"cable.dump.fuse": 63.0}, DANGER, ["fuse is 63 A", "52 A at most", "fuse of 32 A"]),
    (
        "dump.circuit",
        "cable.dump",
        {"cable.dump.area": 2.5 * MM2},
        DANGER,
        ["a DC fuse of 32 A", "cable of 6 mm2 or more behind it"],
    ),
    ("dump.circuit", "cable.dump", {"cable.dump.fused": False, **NO_MAIN}, DANGER, ["No fuse protects"]),
    ("dump.circuit", "cable.dump", {"cable.dump.fused": False}, DANGER, ["the fuse is 63 A"]),
    ("dump.mount", "dump", {}, STATED, ["was not checked"]),
    ("dump.mount", "dump", {"dump.mounted": MOUNTS[1]}, DANGER, ["it burns", "200 W", "1 m"]),
    ("dump.mount", "dump", {"dump.mounted": None}, UNKNOWN, ["dump.mounted"]),
    # 60 V of the open generator in a storm; the dump load stays on the rectifier.
    ("dump.controller-voltage", "dump", {}, OK, ["24 V", "100 V", "60 V"]),
    (
        "dump.controller-voltage",
        "dump",
        {"dump.controller_voltage": 50.0, "rotor.overspeed": "none"},
        MARGINAL,
        ["60 V", "holds it lower"],
    ),
    ("dump.controller-voltage", "dump", {"dump.controller_voltage": 14.0}, FAIL, ["less than even the 14.2 V"]),
    ("dump.controller-voltage", "dump", {"rotor.diameter": None}, UNKNOWN, ["rotor.diameter"]),
    (
        "inverter.input-voltage",
        "inverter",
        {"inverter.input_voltage_max": 16.0, **OFF},
        FAIL,
        ["60 V", "below 16 V", "rectifier's side"],
    ),
    ("loads.over-voltage", "load.lamp", {"load.lamp.voltage": 12.0, **OFF, **LAMP}, FAIL, ["14.4 V", "60 V"]),
    ("loads.over-voltage", "load.lamp", {"load.lamp.voltage": 12.0, **OFF}, UNKNOWN, ["load.lamp.voltage_max"]),
    ("dump.circuit", "cable.dump", {"cable.dump.fuse": None}, UNKNOWN, ["cable.dump.fuse"]),
    ("dump.circuit", "cable.dump", {"dump.controller_current": None}, UNKNOWN, ["dump.controller_current"]),
    # 13.2 V / 5 mohm = 2640 A, less a little for 0.15 m of 25 mm2.
    ("protection.fuse", "cable.inv", LITHIUM_OHMS, OK, ["2500 A (as stated)"]),
    # 100 Ah of lithium at 12 V: 2 to 8 mohm, so 6600 to 1650 A, less for 0.15 m of 25 mm2.
    (
        "protection.fuse",
        "cable.inv",
        {"cable.inv.fuse_breaking": 2000.0},
        MARGINAL,
        ["draws up to 6000 A", "class T, 125 V DC, breaks 20000 A"],
    ),
    (
        "protection.fuse",
        "cable.inv",
        {"cable.inv.fuse_breaking": 500.0, **BY_RUN},
        DANGER,
        ["draws up to 6000 A", "class T, 125 V DC, breaks 20000 A"],
    ),
    ("protection.fuse", "cable.inv", {"cable.inv.fuse_voltage": 12.0}, FAIL, ["reaches 14.2 V", "125 V DC"]),
    # The generator's run: the open fuse has up to 60 V across it in a storm.
    ("protection.fuse", "cable.main", {"cable.main.fuse_voltage": 32.0}, MARGINAL, ["60 V across it", "125 V DC"]),
    (
        "protection.fuse",
        "cable.inv",
        {"cable.inv.fuse_distance": 1.0, **BY_RUN},
        MARGINAL,
        ["177 mm is usual", "0.15 m of cable"],
    ),
    (
        "protection.fuse",
        "cable.inv",
        {"cable.inv.fuse_distance": 1.6, **BY_RUN},
        DANGER,
        ["1.5 m the most", "0.15 m of cable"],
    ),
    ("protection.fuse", "cable.inv", {"cable.inv.fuse_breaking": None}, UNKNOWN, ["cable.inv.fuse_breaking"]),
    (
        "protection.fuse",
        "cable.inv",
        {"cable.inv.fuse_breaking": None, "cable.inv.fuse_voltage": 12.0},
        FAIL,
        ["Not stated of the fuse: breaking capacity", "14.2 V"],
    ),
    # 10 A, two diodes of 0.9 V: 18 W.
    ("protection.rectifier", "generator", {}, OK, ["18 W", "15 A"]),
    ("protection.rectifier", "generator", {"generator.rectifier_current": 12.0}, MARGINAL, ["15 A", "of 15 A or more"]),
    (
        "protection.rectifier",
        "generator",
        {"generator.rectifier_current": 8.0},
        FAIL,
        ["15 A", "of 15 A or more", "18 W"],
    ),
    ("protection.rectifier", "generator", {"generator.rectifier_current": None}, UNKNOWN, ["rectifier_current"]),
    # 50 m/s at 1 m: 50 rad/s; / 40 rpm/V = 11.9 V, / 1.3505 / sqrt(3) = 5.1 V; / 0.2 ohm = 25.5 A.
    ("protection.brake-switch", "protection", {}, OK, ["480 rpm", "26 A", "8.2 A"]),
    (
        "protection.brake-switch",
        "protection",
        {"protection.brake_current": 20.0},
        MARGINAL,
        ["26 A", "32 A or more", "370 rpm"],
    ),
    # 8 mH and 10 pole pairs: 50 x 10 x 4 mH = 2 ohm a phase against 0.2: 5.1 / 2.01 = 2.54 A.
    (
        "protection.brake-switch",
        "protection",
        {"generator.inductance": 0.008, "generator.pole_pairs": 10.0},
        OK,
        ["2.6 A (by its resistance and inductance)"],
    ),
    ("protection.brake-switch", "protection", {"protection.brake_current": 6.0}, FAIL, ["26 A", "16 A or more"]),
    (
        "protection.brake-switch",
        "protection",
        {"protection.brake_place": "after the rectifier"},
        DANGER,
        ["shorts the battery"],
    ),
    ("protection.brake-switch", "protection", {"protection.brake_place": None}, UNKNOWN, ["brake_place"]),
    ("protection.brake-switch", "protection", {"protection.brake_current": None}, UNKNOWN, ["brake_current"]),
    ("protection.switches", "protection", {}, STATED, ["not checked"]),
    ("protection.switches", "protection", {"protection.generator_switch": "none"}, STATED, ["shorts the generator"]),
    (
        "protection.switches",
        "protection",
        {"protection.generator_switch": "none", "rotor.brake": "mechanical brake"},
        FAIL,
        ["nobody can work on it", "60 V", "13 A"],
    ),
    (
        "protection.switches",
        "protection",
        {"protection.generator_switch": GENERATOR_SWITCHES[2], "protection.battery_switch": False},
        FAIL,
        ["runs away", "No switch disconnects the battery", "60 V"],
    ),
    ("protection.switches", "protection", {"protection.battery_switch": None}, UNKNOWN, ["battery_switch"]),
    ("protection.surge", "protection", {}, OK, ["60 V", "100 V", "out of the way"]),
    (
        "protection.surge",
        "protection",
        {"protection.surge_voltage": 50.0},
        MARGINAL,
        ["rated for 60 V continuously", "burn only if nothing holds the rotor back"],
    ),
    # A tail set to 12 m/s: 96 rad/s in place of 240, 24 V.
    (
        "protection.surge",
        "protection",
        {"protection.surge_voltage": 20.0},
        FAIL,
        ["rated for 60 V continuously", "and burn"],
    ),
    ("protection.surge", "protection", {"protection.surge": "none"}, MARGINAL, ["rated for 60 V continuously"]),
    ("protection.surge", "protection", {"protection.surge": "none", "site.wiring_practice": "NEC"}, FAIL, ["60 V"]),
    ("protection.surge", "protection", {"protection.surge_voltage": None}, UNKNOWN, ["surge_voltage"]),
    ("protection.mast-earth", "protection", {}, OK, ["16 mm2", "6 mm2 is the least"]),
    ("protection.mast-earth", "protection", {"protection.earth_area": 10 * MM2}, MARGINAL, ["16 mm2 of copper"]),
    ("protection.mast-earth", "protection", {"protection.earth_area": 4 * MM2}, FAIL, ["16 mm2 of copper"]),
    (
        "protection.mast-earth",
        "protection",
        {"protection.earth_area": 10 * MM2, "site.wiring_practice": "NEC"},
        FAIL,
        ["6 AWG of copper"],
    ),
    ("protection.mast-earth", "protection", {"protection.mast_earth": "none"}, FAIL, ["no earth"]),
    ("protection.mast-earth", "protection", {"protection.mast_earth": MAST_EARTHS[1]}, FAIL, ["not joined"]),
    ("protection.mast-earth", "protection", {"protection.earth_area": None}, UNKNOWN, ["earth_area"]),
    ("protection.polarity", "protection", {}, STATED, ["6600 A"]),
    ("protection.polarity", "protection", {"protection.polarity": "none"}, FAIL, ["6600 A", "meter"]),
    # 13.2 V over the 0.4 ohm of the winding and 2 mohm of the bank: 33 A, and it turns.
    (
        "protection.polarity",
        "protection",
        {"protection.polarity": "none", "generator.phases": "DC with brushes"},
        MARGINAL,
        ["as a motor through its diode, with up to 33 A"],
    ),
    ("protection.polarity", "protection", {"protection.polarity": None}, UNKNOWN, ["polarity"]),
    ("protection.polarity", "protection", {"storage.capacity": None}, UNKNOWN, ["internal_resistance"]),
    # 4, 16, 20 and 36 cells of 3.65 V.
    ("protection.battery-touch", "storage", {}, OK, ["14.2 V"]),
    (
        "protection.battery-touch",
        "storage",
        {"storage.charge_voltage": None, "storage.voltage": 64.0},
        FAIL,
        ["73 V", "above the 60 V", "Cover every terminal"],
    ),
    (
        "protection.battery-touch",
        "storage",
        {"storage.charge_voltage": 130.0, "storage.voltage": 115.0},
        DANGER,
        ["130 V", "can kill"],
    ),
    (
        "protection.battery-touch",
        "storage",
        {"storage.charge_voltage": 130.0, "storage.voltage": 115.0, "protection.covered": True},
        MARGINAL,
        ["below 60 V"],
    ),
    ("protection.battery-touch", "storage", {"storage.voltage": None}, UNKNOWN, ["storage.voltage"]),
    ("inverter.surge", "inverter", {}, OK, ["12 W", "800 W"]),
    # 12 + 750 = 762 W for a moment, within 800 W; 762 W against 755 W only together.
    ("inverter.surge", "inverter", {**PUMP, "inverter.surge_power": 1000.0}, OK, ["760 W", "260 W"]),
    # 762 of 800 W leave less than a fifth.
    ("inverter.surge", "inverter", PUMP, MARGINAL, ["760 W", "800 W", "20 % to spare", "1000 W or more"]),
    (
        "inverter.surge",
        "inverter",
        {**PUMP, "inverter.surge_power": 755.0},
        MARGINAL,
        ["260 W", "760 W", "Start pump only"],
    ),
    (
        "inverter.surge",
        "inverter",
        {**PUMP, "inverter.surge_power": 700.0},
        FAIL,
        ["750 W", "700 W", "1000 W or more", "at 500 W"],
    ),
    ("inverter.surge", "inverter", {**PUMP, "inverter.surge_power": None}, UNKNOWN, ["surge_power"]),
    ("inverter.surge", "inverter", {"inverter.surge_power": None}, OK, ["no surge rating is stated"]),
    ("inverter.surge", "inverter", {"load.lamp.power": None}, UNKNOWN, ["load.lamp.power"]),
    ("inverter.sag", "inverter", {}, OK, ["12.8 V", "8 mohm", "1.5 mohm", "well above the 10 V"]),
    # 762 W / 0.8 = 953 W; 12.8 V behind 9.45 mohm: (12.8 + sqrt(163.84 - 36.02)) / 2 = 12.05 V.
    ("inverter.sag", "inverter", PUMP, OK, ["950 W", "12.1 V"]),
    # For 1.05 x 11.5 = 12.075 V: 12.075 x 0.725 / 953 = 9.19 mohm; 35 mm2 leaves 8 + 2 x 0.524 = 9.05 mohm.
    (
        "inverter.sag",
        "inverter",
        {**PUMP, "inverter.input_voltage_min": 11.5},
        MARGINAL,
        ["only just above", "10.5 V", "35 mm2 or more"],
    ),
    (
        "inverter.sag",
        "inverter",
        {**PUMP, "inverter.input_voltage_min": 12.1},
        FAIL,
        ["less than the 12.1 V", "10.5 V"],
    ),
    (
        "inverter.sag",
        "inverter",
        {**PUMP, "storage.capacity": 10 * AH},
        FAIL,
        ["collapses", "80 mohm", "950 W", "40 Ah"],
    ),
    ("inverter.sag", "inverter", {"inverter.input_voltage_min": 12.5}, MARGINAL, ["cut out at 10.5 V"]),
    ("inverter.sag", "inverter", {"cable.inv.length": None}, UNKNOWN, ["cable.inv.length"]),
    ("inverter.sag", "inverter", {"inverter.input_voltage_min": None}, OK, ["10.5 V, taken as"]),
    ("inverter.sag", "inverter", {"storage.voltage": None}, UNKNOWN, ["storage.voltage"]),
    ("house.shock", "house", {}, STATED, ["not checked"]),
    ("house.shock", "house", {"house.neutral": NEUTRALS[2]}, MARGINAL, ["cannot see a fault", "at one place only"]),
    ("house.shock", "house", {"house.neutral": NEUTRALS[1]}, FAIL, ["two places"]),
    ("house.shock", "house", {"house.rcd": False}, FAIL, ["No residual-current device"]),
    ("house.shock", "house", {"house.rcd": None}, UNKNOWN, ["house.rcd"]),
    ("house.shock", "house", {"house.neutral": None}, UNKNOWN, ["house.neutral"]),
    ("house.shock", "house", {"house.neutral": None, "house.rcd": False}, FAIL, ["No residual-current device"]),
    ("house.shock", "house", {"house.neutral": NEUTRALS[1], "house.rcd": None}, FAIL, ["two places"]),
    ("house.shock", "house", {"house.neutral": NEUTRALS[1], "house.rcd": False}, FAIL, ["two places", "No residual"]),
    # An inverter that feeds nothing in the house feeds something outside it.
    ("house.shock", "house", {"house.feed": "nothing in the house", **BARE}, FAIL, ["No residual-current device"]),
    ("house.shock", "house", {"inverter.outdoors": True, **BARE}, DANGER, ["outdoors or in the wet", "30 mA"]),
    ("house.shock", "house", {"house.neutral": NEUTRALS[2], **BARE}, UNKNOWN, ["inverter.appliances"]),
    (
        "house.shock",
        "house",
        {"house.neutral": NEUTRALS[2], **BARE, "inverter.appliances": 1.0},
        STATED,
        ["electrical separation", "second appliance"],
    ),
    (
        "house.shock",
        "house",
        {"house.neutral": NEUTRALS[2], **BARE, "inverter.appliances": 3.0},
        FAIL,
        ["No residual-current device", "1 appliance"],
    ),
    ("inverter.wave", "inverter", {}, STATED, ["sine"]),
    ("inverter.wave", "inverter", {**STEPPED, **PUMP, "load.pump.kind": MOTOR}, FAIL, ["pump has a motor", "400 W"]),
    ("inverter.wave", "inverter", {**STEPPED, "load.lamp.kind": "filament lamp"}, STATED, ["none of the loads"]),
    ("inverter.wave", "inverter", STEPPED, UNKNOWN, ["load.lamp.kind"]),
    # (15.5 + 1) m x 1.1 = 18.2 m; x 1.5 = 24.8 m.
    ("mast.overhead-lines", "mast", {}, OK, ["19 m", "60 m"]),
    ("mast.overhead-lines", "mast", {"mast.line_distance": 20.0}, MARGINAL, ["25 m"]),
    ("mast.overhead-lines", "mast", {"mast.line_distance": 12.0}, DANGER, ["within their reach", "25 m or more"]),
    ("mast.overhead-lines", "mast", {"mast.line_distance": None}, UNKNOWN, ["mast.line_distance"]),
    ("protection.main-fuse", "protection", {"protection.main_fuse": None}, UNKNOWN, ["protection.main_fuse"]),
    ("protection.main-fuse", "protection", {}, OK, ["6600 A"]),
    ("protection.main-fuse", "protection", LITHIUM_OHMS, OK, ["2600 A", "20000 A", "125 V"]),
    ("protection.main-fuse", "protection", NO_MAIN, DANGER, ["nothing at it opens", "6600 A", "of 63 A (class T"]),
    (
        "protection.main-fuse",
        "protection",
        {"protection.main_fuse": AC_BREAKER},
        DANGER,
        ["the arc goes on"],
    ),
    ("protection.main-fuse", "protection", {**BY_RUN, "cable.inv.fused": False}, DANGER, ["80 A for cable inv"]),
    ("protection.main-fuse", "protection", BY_RUN, STATED, ["Each of the 3 cables"]),
    ("protection.main-fuse", "protection", {**BY_RUN, "cable.main.fuse": None}, UNKNOWN, ["cable.main.fused"]),
    (
        "protection.main-fuse",
        "protection",
        {"protection.main_fuse_distance": None, **LITHIUM_OHMS},
        UNKNOWN,
        ["main_fuse_distance"],
    ),
    (
        "protection.main-fuse",
        "protection",
        {"protection.main_fuse_rating": 40.0},
        FAIL,
        ["opens in normal running: 50 A", "main fuse of 63 A"],
    ),
    (
        "protection.main-fuse",
        "protection",
        {"cable.inv.fused": False, "protection.main_fuse_rating": 100.0},
        DANGER,
        ["Cable inv has no fuse of its own", "90 A"],
    ),
    # 10 A into six full cells: 0.05 x 6 x 10 = 3 m3/h, 84 cm2 (machine facts, 5.3).
    (
        "storage.ventilation",
        "storage",
        {**FLOODED, "dump.kind": "none", "storage.vent_area": 20e-4},
        FAIL,
        ["Nothing holds the voltage", "3 m3/h", "84 cm2", "120 cm2 or more each"],
    ),
    ("storage.ventilation", "storage", {**FLOODED, "storage.vent_area": 0.0}, DANGER, ["place has no vents"]),
    (
        "storage.ventilation",
        "storage",
        {**FLOODED, **CLOSET, "dump.kind": None},
        DANGER,
        ["17 cm2 each at the very least"],
    ),
    ("storage.ventilation", "storage", {**FLOODED, "dump.kind": None}, UNKNOWN, ["dump.kind"]),
    ("storage.ventilation", "storage", {**GEL, **LIVING, "storage.vent_area": 1e-4}, DANGER, ["two vents"]),
    ("storage.starter", "storage", {**FLOODED, "storage.starter": True}, FAIL, ["thin plates", "100 Ah"]),
    ("storage.starter", "storage", {**FLOODED, "storage.starter": False}, STATED, ["no starter battery"]),
    ("house.labels", "house", {}, STATED, ["posted"]),
    ("house.labels", "house", {"house.labels": False}, FAIL, ["3 things"]),
    ("house.labels", "house", {"house.labels": None}, UNKNOWN, ["house.labels"]),
    # 400 W / (10 V x 0.8) = 50 A of 100 A; Peukert 1.05: (5/50)^0.05 = 0.891 of 100 Ah, in 1.78 h.
    ("storage.discharge-current", "storage", {}, OK, ["50 A", "100 A", "89 Ah", "1.8 h"]),
    (
        "storage.discharge-current",
        "storage",
        {"storage.discharge_current_limit": 52.0},
        MARGINAL,
        ["the maker's limit", "120 Ah or more"],
    ),
    (
        "storage.discharge-current",
        "storage",
        {"storage.capacity": 40 * AH},
        FAIL,
        ["60 Ah or more", "may give 40 A", "an inverter of 150 W"],
    ),
    ("storage.discharge-current", "storage", {"inverter.power": None}, OK, ["1 A", "all loads together"]),
    ("storage.discharge-current", "storage", {"storage.capacity": None}, UNKNOWN, ["storage.capacity"]),
    (
        "storage.discharge-current",
        "storage",
        {"inverter.power": None, "load.lamp.power": None},
        UNKNOWN,
        ["inverter.power"],
    ),
    # Acid of 1.18 (half full) freezes at -22.2, of 1.11 (flat) at -9 degC.
    ("storage.freezing", "storage", FLOODED, OK, ["-22.2 degC", "-9 degC", "liquid even when flat"]),
    # -15 degC is acid of 1.15: 0.25 x 40/45 = 22.2 % full.
    (
        "storage.freezing",
        "storage",
        {**FLOODED, **frost(-15)},
        MARGINAL,
        ["below 23 %", "freezes at -9 degC", "above -8 degC"],
    ),
    # -30 degC is acid of 1.2074: 0.5 + 0.25 x 27.4/35 = 69.5 % full.
    (
        "storage.freezing",
        "storage",
        {**FLOODED, **frost(-30)},
        FAIL,
        ["freezes at -22.2 degC", "above -20 degC", "no more than 30 %"],
    ),
    ("storage.freezing", "storage", {**FLOODED, "storage.coldest": 215.0}, FAIL, ["above -20 degC"]),
    ("storage.freezing", "storage", {**FLOODED, "storage.coldest": None}, UNKNOWN, ["storage.coldest"]),
    ("storage.cold-charge", "storage", {}, OK, ["10 degC", "below 0 degC"]),
    ("storage.cold-charge", "storage", frost(1), MARGINAL, ["above 3 degC"]),
    ("storage.cold-charge", "storage", frost(-5), FAIL, ["the sheet names nothing that blocks it"]),
    (
        "storage.cold-charge",
        "storage",
        {**frost(-5), "storage.cold_charge_block": False},
        DANGER,
        ["nothing blocks it", "below 0 degC"],
    ),
    ("storage.cold-charge", "storage", {**frost(-5), "storage.cold_charge_block": True}, STATED, ["dump load"]),
    (
        "storage.cold-charge",
        "storage",
        {**frost(-5), "storage.cold_charge_block": True, "dump.kind": None},
        MARGINAL,
        ["no dump load", "of 200 W and 1.2 ohm"],
    ),
    (
        "storage.cold-charge",
        "storage",
        {**frost(-5), "storage.cold_charge_block": True, "dump.kind": "none"},
        FAIL,
        ["no dump load", "of 200 W and 1.2 ohm"],
    ),
    ("storage.cold-charge", "storage", {"storage.coldest": None}, UNKNOWN, ["storage.coldest"]),
    # 0.05 x 6 x 20 x 100 / 1000 = 0.6 m3/h, 28 x 0.6 = 16.8 cm2; sealed half of that.
    ("storage.ventilation", "storage", {**FLOODED, "storage.vent_area": 20e-4}, OK, ["0.6 m3/h", "17 cm2"]),
    ("storage.ventilation", "storage", {**GEL, "storage.vent_area": 9e-4}, OK, ["0.3 m3/h", "8.4 cm2"]),
    (
        "storage.ventilation",
        "storage",
        {**FLOODED, "storage.vent_area": 9e-4},
        FAIL,
        ["17 cm2 each", "20 cm2 or more each"],
    ),
    (
        "storage.ventilation",
        "storage",
        {**FLOODED, **CLOSET},
        DANGER,
        ["two of 17 cm2", "two vents of 20 cm2 or more", "collects"],
    ),
    ("storage.ventilation", "storage", {**FLOODED, **CLOSET, "storage.vent_area": 20e-4}, DANGER, ["has no vents"]),
    ("storage.ventilation", "storage", FLOODED, UNKNOWN, ["storage.vent_area"]),
    ("storage.place", "storage", {}, STATED, ["its smoke can leave", "from memory"]),
    ("storage.place", "storage", {**GEL, **LIVING}, MARGINAL, ["explosive gas", "shed, cellar or utility"]),
    ("storage.place", "storage", {**FLOODED, **LIVING}, DANGER, ["explosive gas", "shed, cellar or utility"]),
    ("storage.place", "storage", LIVING, FAIL, ["poisonous"]),
    ("storage.place", "storage", {**LIVING, **REUSED}, DANGER, ["reused LiFePO4", "outdoors"]),
    ("storage.place", "storage", {**LIVING, **NMC}, DANGER, ["burns fiercely"]),
    ("storage.place", "storage", STAIRS, DANGER, ["way out"]),
    ("storage.place", "storage", {"storage.place": None}, UNKNOWN, ["storage.place"]),
    ("storage.cells", "storage", {}, STATED, ["one string of like cells"]),
    ("storage.cells", "storage", {"storage.strings": 2.0}, OK, ["as usual"]),
    ("storage.cells", "storage", {"storage.strings": 3.0}, MARGINAL, ["3 strings", "100 Ah or 2 of 50 Ah each"]),
    ("storage.cells", "storage", {"storage.strings": 6.0}, FAIL, ["6 strings", "100 Ah or 2 of 50 Ah each"]),
    ("storage.cells", "storage", {"storage.alike": False}, FAIL, ["not of one make", "bought together"]),
    (
        "storage.cells",
        "storage",
        {"storage.alike": False, "storage.cell_monitor": False, "storage.capacity": None},
        DANGER,
        ["whole capacity or 2 of half"],
    ),
    ("storage.cells", "storage", {"storage.strings": 2.0, "storage.alike": None}, UNKNOWN, ["storage.alike"]),
    ("storage.cell-monitor", "storage", {}, STATED, ["the rectifier's side"]),
    (
        "storage.cell-monitor",
        "storage",
        {"storage.cell_monitor": False},
        DANGER,
        ["3.65 V", "2.5 V", "0 degC to 60 degC"],
    ),
    ("storage.cell-monitor", "storage", {"storage.cell_monitor": None}, UNKNOWN, ["storage.cell_monitor"]),
    ("storage.reused", "storage", REUSED, MARGINAL, ["IEC 62619", "75 %", "new cells"]),
    ("storage.reused", "storage", {"storage.reused": True}, FAIL, ["not stated", "within 5 %"]),
    ("storage.reused", "storage", {**REUSED, "storage.cell_monitor": None}, FAIL, ["nothing on the sheet watches"]),
    (
        "storage.reused",
        "storage",
        {**REUSED, "storage.cell_monitor": False},
        DANGER,
        ["nothing watches", "Fit electronics"],
    ),
    ("storage.reused", "storage", {**REUSED, **FLOODED}, STATED, ["75 %"]),
    ("storage.reused", "storage", {"storage.reused": True, **FLOODED}, FAIL, ["over 20 hours"]),
    ("storage.reused", "storage", {"storage.reused": False}, STATED, ["no life before"]),
    ("storage.reused", "storage", {**REUSED, "storage.chemistry": None}, UNKNOWN, ["storage.chemistry"]),
    # 12 W x 6 h / 0.8 = 90 Wh a day, 3.75 W, 32.9 kWh a year of 3600; the rotor takes 152 W (site.power above).
    ("loads.need", "load", {}, OK, ["90 Wh", "3.8 W", "150 W", "270 Wh"]),
    # 300 W x 6 h / 0.8: 93.8 W; half of 152 W is 0.81 of it, so 0.8 of 6 h; 2 m x sqrt(2 x 93.75/152.2) = 2.22 m.
    ("loads.need", "load", {"load.lamp.power": 300.0}, MARGINAL, ["94 W", "lamp for 4.8 h", "2.4 m"]),
    ("loads.need", "load", {"load.lamp.power": 600.0}, FAIL, ["190 W", "lamp for 2.4 h", "2.4 m"]),
    ("loads.need", "load", {"load.lamp.hours": None}, UNKNOWN, ["load.lamp.hours"]),
    ("loads.need", "load", {"load.lamp.hours": 0.0}, UNKNOWN, ["never run"]),
    ("loads.need", "load", {"rotor.diameter": None}, UNKNOWN, ["rotor.diameter"]),
    ("loads.need", "load", {"site.ground": "larger towns", "mast.height": 6.0}, UNKNOWN, ["below 8 m"]),
    ("site.months", "site", months(*[5.5] * 11, 5.4), OK, ["December with 5.4 m/s"]),
    # Eleven months of 6.3 and June of 5: (335 x 6.3 + 30 x 5)/365 = 6.19 m/s, 12.6 % above 5.5.
    ("site.months", "site", months(*[6.3] * 5, 5.0, *[6.3] * 6), MARGINAL, ["6.19 m/s", "13 %", "June"]),
    ("site.months", "site", months(*[7.0] * 12), FAIL, ["7 m/s", "27 %"]),
    ("site.months", "site", months(5.5, 5.5), UNKNOWN, ["site.month_03", "site.month_12"]),
    # 25 mm2 in conduit: 90 A.
    ("inverter.current", "inverter", {}, OK, ["50 A", "62.5 A", "90 A"]),
    (
        "inverter.current",
        "inverter",
        {"cable.inv.area": 10 * MM2},
        MARGINAL,
        ["16 mm2 or more", "330 W", "too little to spare"],
    ),
    ("inverter.current", "inverter", {"cable.inv.area": 6 * MM2}, FAIL, ["16 mm2 or more", "240 W"]),
    ("inverter.current", "inverter", {"inverter.power": None}, UNKNOWN, ["inverter.power"]),
    ("inverter.current", "inverter", {"cable.inv.area": None}, UNKNOWN, ["cable.inv.area"]),
    ("inverter.current", "inverter", {"cable.inv.carries": "battery to loads"}, UNKNOWN, ["No cable on the sheet"]),
    (
        "inverter.current",
        "inverter",
        {"inverter.input_voltage_min": None, "storage.voltage": None},
        UNKNOWN,
        ["inverter.input_voltage_min"],
    ),
    ("inverter.fuse", "inverter", {}, OK, ["62.5 A", "90 A", "63 A"]),
    ("inverter.fuse", "inverter", {"inverter.fuse": None, "cable.inv.fuse": 80.0}, OK, ["80 A"]),
    (
        "inverter.fuse",
        "inverter",
        {"inverter.fuse": 55.0},
        MARGINAL,
        ["62.5 A or more", "90 A at most", "fuse of 63 A"],
    ),
    ("inverter.fuse", "inverter", {"inverter.fuse": 40.0}, FAIL, ["opens in normal running"]),
    ("inverter.fuse", "inverter", {"inverter.fuse": 100.0}, DANGER, ["lets the cable burn"]),
    ("inverter.fuse", "inverter", {"inverter.fuse": None}, UNKNOWN, ["inverter.fuse"]),
    ("inverter.fuse", "inverter", {"inverter.fuse": None, "cable.inv.fused": False, **NO_MAIN}, DANGER, ["63 A"]),
    ("inverter.fuse", "inverter", {"inverter.fuse": None, "cable.inv.fused": False}, OK, ["A fuse of 63 A lies"]),
    ("inverter.fuse", "inverter", {"cable.inv.carries": "battery to loads"}, UNKNOWN, ["No cable on the sheet"]),
    ("house.feed", "house", {}, STATED, ["was not checked"]),
    (
        "house.feed",
        "house",
        {"house.feed": "transfer switch fitted by an electrician"},
        STATED,
        ["was not checked"],
    ),
    *(
        ("house.feed", "house", {"house.feed": feed}, DANGER, ["400 W", "licensed electrician"])
        for feed in FEEDS_OF_DANGER
    ),
    (
        "house.feed",
        "house",
        {"house.feed": "inverter in parallel with the grid", "inverter.grid_listed": True},
        MARGINAL,
        ["operator has agreed"],
    ),
    ("house.feed", "house", {"house.feed": None}, UNKNOWN, ["house.feed"]),
    # 5 m + 9.144 m + 1 m = 15.1 m.
    ("mast.roof", "mast", {"mast.kind": "on a roof or gable"}, FAIL, ["15.5 m up", "214 Wh"]),
    (
        "mast.roof",
        "mast",
        {"mast.kind": "on a roof or gable", "mast.building_height": None},
        FAIL,
        ["9.1 m above the highest thing"],
    ),
    ("mast.roof", "mast", {}, STATED, ["guyed tilt-up"]),
    ("mast.roof", "mast", {"mast.kind": None}, UNKNOWN, ["mast.kind"]),
    ("mast.height", "mast", {}, OK, ["16 m up", "14 m up"]),
    ("mast.height", "mast", {"mast.height": 12.0}, MARGINAL, ["centre to 15.5 m", "higher than 1.5 m"]),
    ("mast.height", "mast", {"mast.height": 8.0}, FAIL, ["centre to 15.5 m", "higher than 3.5 m"]),
    ("mast.height", "mast", {"mast.building_height": None}, UNKNOWN, ["mast.building_height"]),
]


def test_every_rule_is_seen_to_fail():
    """Here, on the solved machine, or in the table of turning points."""
    seen = {case[0] for case in CASES if case[3] in (FAIL, DANGER)}
    seen |= {case[0] for case in machine.CASES if case[2] in (FAIL, DANGER)}
    seen |= {row.rule for row in (*ROWS, *RELATED)}
    assert sorted({rule.id for rule in RULES} - seen) == []


#: A machine that most rules concern, and what makes the others concern it.
WHOLE = machine.PIPE | {"measured.M1.quantity": "charge.current", "measured.M1.value": 1.0}
OTHERWISE = {
    "storage.freezing": FLOODED, "storage.ventilation": FLOODED, "storage.reused": REUSED, "site.months": months(5.0),
    "storage.starter": {**FLOODED, "storage.starter": False},
}  # fmt: skip


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_a_rule_names_what_it_lacks(rule):
    """Each of its needs taken off the sheet: unknown, with that name, or silent where it was what the rule is about."""
    sheet = WHOLE | OTHERWISE.get(rule.id, {})
    for need in (n for n in rule.needs if n.assumed is None):
        values = {name: value for name, value in sheet.items() if split(name)[0] != need.path}
        for found in judge_rules([rule], System(build_design(values))):
            assert found.status is UNKNOWN, need.path
            assert need.path in {split(name)[0] for name in found.missing}


@pytest.mark.parametrize(
    ("changes", "absent"),
    [
        ({"storage.chemistry": "none"}, "storage.dump"),
        ({"storage.chemistry": "none"}, "storage.charge-voltage"),
        ({"storage.chemistry": "none"}, "generator.charging-begins"),
        (
            {
                "inverter.power": None,
                "inverter.input_voltage_min": None,
                "inverter.efficiency": None,
                "inverter.fuse": None,
            },
            "inverter.current",
        ),
        ({"dump.kind": "none"}, "dump.open-charge"),
        ({"dump.kind": "none"}, "dump.element"),
        ({"dump.kind": "always connected"}, "dump.controller"),
        ({"cable.dump.carries": None}, "dump.circuit"),
        ({"rotor.brake": "mechanical brake"}, "protection.brake-switch"),
        ({"storage.chemistry": "none"}, "protection.polarity"),
        ({"load.lamp.power": None, "load.lamp.hours": None}, "inverter.sag"),
        ({"inverter.power": None}, "house.shock"),
        ({"inverter.power": None}, "inverter.input-voltage"),
        ({"storage.chemistry": "none"}, "protection.main-fuse"),
        ({"load.lamp.voltage": None}, "loads.over-voltage"),
        ({"dump.kind": "none"}, "dump.mount"),
        ({}, "storage.starter"),
        ({"load.lamp.power": None, "load.lamp.hours": None}, "storage.autonomy"),
        ({"load.lamp.power": None, "load.lamp.hours": None}, "loads.need"),
        ({}, "storage.freezing"),
        ({}, "storage.ventilation"),
        ({}, "storage.reused"),
        ({}, "site.months"),
        ({"storage.alike": None}, "storage.cells"),
        ({"storage.chemistry": "gel lead-acid"}, "storage.cold-charge"),
        ({"storage.chemistry": "gel lead-acid"}, "storage.cell-monitor"),
        ({"storage.chemistry": "none"}, "storage.place"),
        ({"storage.chemistry": "none"}, "storage.discharge-current"),
        ({"mast.kind": "on a roof or gable"}, "mast.height"),
        (NO_CLAIM, "claim.betz"),
    ],
)
def test_rule_that_does_not_concern_the_machine_is_silent(changes, absent):
    """A rule whose subject the machine does not have gives no finding."""
    assert absent not in {rule for rule, _ in findings(changes, absent)}


def test_run_ahead_of_the_rectifier_needs_no_battery_fuse():
    """No battery feeds it."""
    assert ("wiring.fuse", "cable.main") not in findings(BEFORE)


@pytest.mark.parametrize(("rule", "subject"), [("wiring.fuse", "cable.inv"), ("wiring.ampacity", "cable.inv")])
def test_inverter_run_is_judged_once(rule, subject):
    """The inverter's own rules judge its run; the dump load's likewise."""
    assert (rule, subject) not in findings({})
    assert (rule, "cable.dump") not in findings({})
