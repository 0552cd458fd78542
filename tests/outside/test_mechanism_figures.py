"""The figures that a mechanism's sentence quotes, on the machine that is balanced by hand in ``turning_points``.

Only figures are looked for: how they are worded is not this test's business. Each stands for the arithmetic beside it.
"""

from __future__ import annotations

import math

import pytest

from calc.machine.design import build_design
from calc.machine.system import System
from calc.mechanisms import MECHANISMS
from calc.mechanisms.base import Circumstances
from calc.mechanisms.judge import FailedMachine, judge_mechanisms
from tests.outside.turning_mechanisms import LEAD, LEFT, LOADED, PUMP, THIN, reading
from tests.outside.turning_points import (
    CABLE,
    DIODES,
    REST,
    RHO_20,
    SPEED,
    WINDING,
    WORKED,
    WORKED_WIND,
)

NOTHING = "nothing connected"
SPEED_7 = reading("M7", "rotor.speed", 10.0 * math.pi)
NO_BANK = {"storage.voltage": None}
POLE = {"mast.kind": "free-standing pole", "mast.tube_diameter": 0.0603, "mast.tube_wall": 0.003, "mast.height": 6.0}
#: 0.5 rho pi 8^2 times the middle of 8/9 and 1.2; times 6 m over 7.37 cm3.
PUSH = 0.5 * RHO_20 * math.pi * 64.0 * (8.0 / 9.0 + 1.2) / 2.0
CLAIM = {"claim.C1.power": 300.0, "claim.C1.wind_speed": WORKED_WIND}


def weighed(
    mechanism, changes=None, *, wind=(WORKED_WIND, WORKED_WIND), load="battery", seen="battery damaged", **more
):
    """What the numbers say of one mechanism."""
    values = {k: v for k, v in {**WORKED, **(changes or {})}.items() if v is not None}
    c = Circumstances(*wind, load, (seen,), **more)
    return judge_mechanisms(FailedMachine(System(build_design(values), {}, 60), c), [MECHANISMS[mechanism]])[0]


# mechanism, changes of the sheet and readings, circumstances, figures of the sentence
SAYS = [
    # 28.2 rad/s are 269 rpm.
    ("charging.never-reached", reading("M1", "rotor.speed", 27.0), {}, ["258 rpm", "270 rpm", "M1"]),
    # 28.2/8 = 3.53 m/s; exp(-pi/4 (3.53/5.915)^2) = 76 %.
    ("charging.never-reached", {}, {}, ["270 rpm", "3.5 m/s", "5.9 m/s", "76 %", "8 m/s"]),
    ("charging.never-reached", {}, {"wind": (2.0, 3.0)}, ["3.5 m/s", "2 to 3 m/s", "too light"]),
    ("charging.never-reached", {}, {"wind": (None, None)}, ["3.5 m/s", "76 %"]),
    ("charging.never-reached", {"generator.emf_constant": 0.02}, {}, ["13000 rpm", "no wind up to 60 m/s"]),
    # 20 rad/s at 1 m in 8 m/s: 2.5.
    ("charging.stalled", reading("M1", "rotor.speed", 20.0), {}, ["191 rpm", "2.5", "5", "M1"]),
    ("charging.stalled", {}, {}, ["380 rpm", "ratio of 5;", "does not hold"]),
    ("charging.stalled", {"generator.winding_resistance": THIN}, {"wind": (18.0, 18.0)}, ["2.", "holds it far below"]),
    ("charging.stalled", {}, {"wind": (3.0, 3.0)}, ["no current"]),
    ("charging.stalled", {}, {"load": NOTHING}, ["Nothing was connected"]),
    ("charging.cable-loss", reading("M1", "cable.drop", 1.2), {}, ["1.2 V", "M1", "5 %", "24 V"]),
    # 7.26 A through 36.6 mohm, of 26.5 V: 1 %, less what the iron drags.
    ("charging.cable-loss", {}, {}, ["0.037 ohm", "0.27 V", "0.99 %"]),
    ("charging.cable-loss", reading("M1", "charge.current", 5.0), {}, ["5 A", "M1", "0.18 V"]),
    # 0.293 V / 5 A / 36.6 mohm = 1.6.
    ("charging.loose-connection", reading("M1", "cable.drop", 0.2928) | reading("M2", "charge.current", 5.0), {},
     ["M1, M2", "1.6 times"]),
    ("site.wind-low", {}, {}, ["5.9 m/s"]),
    ("site.wind-low", LOADED, {}, ["5 m/s", "240 Wh", "enough"]),
    ("site.wind-low", {**LOADED, "load.lamp.power": 600.0}, {}, ["14000 Wh", "too little"]),
    # 15.5 - 1 - 5 m; 30 ft.
    ("site.turbulent", {}, {}, ["9.5 m", "9.1 m"]),
    ("bearing.drag", reading("M1", "rotor.speed", 48.0, NOTHING), {"load": NOTHING}, ["458 rpm", "M1", "61"]),
    ("generator.weak-magnets", reading("M1", "generator.emf", 0.9), {}, ["10.6 rpm/V", "9.55 rpm/V", "90 %", "less"]),
    ("generator.weak-magnets", reading("M1", "generator.emf", 0.98), {}, ["98 %", "same"]),
    ("generator.weak-magnets", reading("M1", "generator.emf", 1.2), {}, ["120 %", "more"]),
    ("generator.winding-burnt", reading("M1", "generator.resistance", 1.2 * WINDING), {},
     ["1.89 ohm", "1.58 ohm", "120 %"]),
    ("generator.winding-burnt", {"generator.thermal_resistance": 0.5}, {"load": NOTHING}, ["20 degC", "130 degC", "B"]),
    ("generator.winding-burnt", {"generator.thermal_resistance": 50.0}, {}, ["more than 400 degC", "130 degC"]),
    ("generator.phase-open",
     reading("M1", "generator.resistance", 0.5) | reading("M2", "generator.resistance", 0.6), {},
     ["0.5 ohm", "0.6 ohm", "M1, M2", "1.2 times"]),
    # 64 rad/s free: peaks of 67 V; 40 rad/s: 41.9 V.
    ("generator.rectifier-overvoltage", {}, {"load": NOTHING}, ["no load", "67 V", "1000 V"]),
    ("generator.rectifier-overvoltage", {}, {}, ["battery connected", "41.9 V", "1000 V"]),
    ("rotor.overspeed", {}, {"load": NOTHING}, ["61", "64 m/s", "50 m/s"]),
    ("rotor.overspeed", {"blade.material": "wood"}, {"load": NOTHING}, ["64 m/s", "70 m/s"]),
    ("rotor.overspeed", {}, {}, ["Battery connected", "61", "64 m/s"]),
    # With 500 ohm nothing flows to speak of, so it turns as fast with the battery.
    ("rotor.overspeed", {"generator.winding_resistance": 500.0}, {"load": NOTHING}, ["Even with the battery"]),
    ("mast.overload", POLE, {},
     [f"{round(PUSH, -1):.0f} N", f"{round(PUSH * 6.0 / 7.37e-6 / 1e6, -1):.0f} MPa", "235 MPa"]),
    ("vibration.imbalance", reading("M1", "vibration.frequency", 6.0) | SPEED_7, {},
     ["6 Hz", "M1", "5 times", "M7", "15 blades"]),
    ("vibration.imbalance", reading("M1", "vibration.frequency", 6.0), {}, ["6 Hz", "6.3", "computed", "19.1"]),
    ("battery.overcharged", reading("M1", "battery.voltage", 28.0) | reading("M2", "battery.voltage", 29.6), {},
     ["3.7 V", "M2", "3.65 V"]),
    ("battery.starved", {"storage.capacity_left": 0.7}, {}, ["70 %", "80 %"]),
    # 10 W day and night: 87.6 kWh.
    ("battery.starved", LOADED, {"seen": "battery flat"}, ["88 kWh", "gets what"]),
    ("battery.starved", {**LOADED, "load.lamp.power": 600.0}, {"seen": "battery flat"},
     ["5300 kWh", "never gets full"]),
    ("battery.frozen", {**LEAD, "storage.coldest": 258.15, **reading("M1", "battery.density", 1.2)}, {},
     ["-15 degC", "1.2", "M1", "-27 degC"]),
    ("battery.frozen", {**LEAD, "storage.coldest": 258.15}, {}, ["-15 degC", "-9 degC"]),
    # 462 W / 0.8 / 24 V.
    ("battery.electronics-opened", {**PUMP, "storage.discharge_current_limit": 20.0}, {}, ["24 A", "20 A"]),
    ("inverter.low-voltage", {**PUMP, **reading("M1", "inverter.input_voltage", 20.0)}, {}, ["20 V", "M1", "21 V"]),
    # 25.6 V behind 11.5 mohm: 25.3 V. 21 x 4.6 / 0.01145 x 0.8 = 6700 W.
    ("inverter.low-voltage", PUMP, {},
     ["460 W", "25.3 V", "10 mohm of its own and 1.5 mohm of cable", "21 V", "6700 W"]),
    ("inverter.surge", PUMP, {}, ["462 W", "1000 W"]),
    ("inverter.surge", {**PUMP, "inverter.surge_power": None}, {}, ["462 W", "400 W"]),
    ("fuse.gust-current", {}, {}, ["16 A", "0.45 times"]),
    ("fuse.inverter-start", PUMP, {}, ["24 A", "63 A"]),
    ("dump.failed", {"dump.kind": "always connected", "storage.charge_voltage": None}, {}, ["200 W", "190 W", "8 m/s"]),
    # 28^2 / 4 = 196 W.
    ("dump.failed", {"dump.kind": "always connected", "storage.charge_voltage": 28.0, "dump.resistance": 4.0}, {},
     ["196 W", "8 m/s"]),
    ("dump.failed", {"dump.kind": "always connected", "storage.charge_voltage": None}, {"wind": (None, None)},
     ["200 W", "storm"]),
    ("reading.wrong", reading("M1", "battery.voltage", 40.0), {}, ["40 V", "24 V", "M1"]),
    # 0.5 x 1.204 x pi x 512 = 968 W.
    ("reading.wrong", reading("M1", "charge.power", 500.0), {}, ["500 W", "M1", "52 %", "968 W", "59.3 %"]),
    ("claim.too-high", CLAIM, {}, ["300 W", "8 m/s", "C1", "190 W"]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("mechanism", "changes", "circumstances", "figures"), SAYS, ids=[f"{i}-{row[0]}" for i, row in enumerate(SAYS)]
)
def test_a_sentence_quotes_the_figures_of_the_worked_machine(mechanism, changes, circumstances, figures):
    """Each of them, in the unit in which it is shown."""
    says = weighed(mechanism, changes, **circumstances).says
    assert [figure for figure in figures if figure not in says] == [], says


#: Mechanism, what the sheet lacks, and what is then asked for or told.
LACKS = [
    ("charging.never-reached", {"mast.height": None}, {}, ("mast.height",)),
    ("charging.never-reached", {"generator.winding_resistance": None}, {}, ("generator.winding_resistance",)),
    ("charging.stalled", {"rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("charging.cable-loss", {"cable.main.area": None}, {}, ("cable.main.area",)),
    ("site.wind-low", {"site.mean_wind": None}, {}, ("site.mean_wind",)),
    ("site.turbulent", {"mast.building_height": None}, {}, ("mast.building_height",)),
    ("generator.weak-magnets", {"generator.emf_constant": None}, {}, ("generator.emf_constant",)),
    ("generator.winding-burnt", {}, {}, ("generator.rated_current", "generator.thermal_resistance")),
    ("generator.rectifier-overvoltage", {"generator.rectifier_voltage": None}, {}, ("generator.rectifier_voltage",)),
    ("mast.overload", {**POLE, "mast.tube_wall": None}, {}, ("mast.tube_wall",)),
    ("battery.overcharged", {**NO_BANK}, {}, ("storage.voltage",)),
    ("battery.overcharged", {"dump.kind": None}, {}, ("dump.kind",)),
    ("battery.overcharged", {}, {}, ("load.main.power", "load.main.hours")),
    ("battery.starved", {}, {"seen": "battery flat"}, ("load.main.power", "load.main.hours")),
    ("battery.frozen", {**LEAD, "storage.coldest": None}, {}, ("storage.coldest",)),
    ("battery.electronics-opened", {}, {}, ("storage.discharge_current_limit",)),
    ("inverter.low-voltage", {**PUMP, "inverter.input_voltage_min": None}, {}, ("inverter.input_voltage_min",)),
    ("inverter.low-voltage", {**PUMP, "cable.inv.length": None}, {}, ("cable.inv.length",)),
    ("inverter.surge", {}, {}, ("load.main.power",)),
    ("inverter.surge", {**PUMP, "inverter.power": None}, {}, ("inverter.power",)),
    ("fuse.gust-current", {"cable.main.fuse": None}, {}, ("cable.mast.fuse",)),
    ("fuse.inverter-start", {**PUMP, "inverter.fuse": None}, {}, ("inverter.fuse",)),
    ("dump.failed", {"dump.kind": "always connected", "dump.power": None}, {}, ("dump.power", "dump.resistance")),
    ("house.back-feed", {"house.feed": None}, {}, ("house.feed",)),
    ("generator.rectifier-overvoltage", {"rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("fuse.gust-current", {"rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("claim.too-high", {**CLAIM, "rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("dump.failed", {"dump.kind": "always connected", "rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("battery.starved", {**LOADED, "rotor.diameter": None}, {"seen": "battery flat"}, ("rotor.diameter",)),
    ("battery.starved", {**LOADED, "site.mean_wind": None}, {"seen": "battery flat"}, ("site.mean_wind",)),
    ("battery.overcharged", {**LOADED, "rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("battery.electronics-opened", {"storage.discharge_current_limit": 20.0}, {}, ("load.main.power",)),
    ("battery.electronics-opened", {**PUMP, "storage.discharge_current_limit": 20.0, "inverter.power": None}, {},
     ("inverter.power",)),
    ("inverter.low-voltage", {**PUMP, "storage.internal_resistance": None, "storage.capacity": None}, {},
     ("storage.internal_resistance",)),
    ("inverter.low-voltage", {"inverter.input_voltage_min": 21.0}, {}, ("load.main.power",)),
    ("fuse.inverter-start", {}, {}, ("load.main.power",)),
    ("fuse.inverter-start", {**PUMP, **NO_BANK}, {}, ("storage.voltage",)),
    ("site.wind-low", {**LOADED, "rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("rotor.overspeed", {"rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("bearing.drag", {"rotor.diameter": None}, {}, ("rotor.diameter",)),
    ("rotor.too-stiff-to-start", {"rotor.diameter": None}, {}, ("rotor.diameter",)),
]  # fmt: skip


@pytest.mark.parametrize(
    ("mechanism", "changes", "circumstances", "missing"), LACKS, ids=[f"{i}-{row[0]}" for i, row in enumerate(LACKS)]
)
def test_what_the_sheet_lacks_is_asked_for(mechanism, changes, circumstances, missing):
    """By name, and nothing is said for or against."""
    row = weighed(mechanism, changes, **circumstances)
    assert row.missing == missing
    assert (row.verdict, row.supports, row.value) == ("cannot tell", None, None)
    assert [name for name in missing if name not in row.says] == []


def test_what_cannot_be_told_for_another_reason_says_which():
    """Acid that no table knows, a rotor of unknown shape, a shake at a speed that nothing tells."""
    acid = weighed("battery.frozen", {**LEAD, "storage.coldest": 258.15, **reading("M1", "battery.density", 1.5)})
    shape = weighed("rotor.too-stiff-to-start")
    shake = reading("M1", "vibration.frequency", 5.0) | {"measured.M1.wind_low": None, "measured.M1.wind_high": None}
    unread = weighed("vibration.imbalance", {**shake, "rotor.diameter": None})
    for row, words in ((acid, "1.280"), (shape, "shape of the blades"), (unread, "neither read nor to be computed")):
        assert (row.verdict, row.value) == ("cannot tell", None)
        assert words in row.says
    assert shape.missing == ("blade.pipe_diameter",)


#: Mechanisms that go by the wind, which is not on record.
WINDLESS = [
    ("charging.stalled", {}), ("charging.cable-loss", {}),
    ("generator.winding-burnt", {"generator.thermal_resistance": 1.0}),
    ("generator.rectifier-overvoltage", {}), ("rotor.overspeed", {}), ("blade.root-torn", {}), ("mast.overload", POLE),
    ("fuse.gust-current", {}),
]  # fmt: skip


@pytest.mark.parametrize(("mechanism", "changes"), WINDLESS, ids=[row[0] for row in WINDLESS])
def test_without_the_wind_some_can_say_nothing(mechanism, changes):
    """And say so."""
    row = weighed(mechanism, changes, wind=(None, None))
    assert (row.verdict, row.missing) == ("cannot tell", ())
    assert "wind" in row.says


def test_a_winding_is_not_burnt_in_minutes():
    """It takes half an hour or so to get as hot as it will; own estimate, no source."""
    hot = {"generator.thermal_resistance": 3.0}
    said = [str(weighed("generator.winding-burnt", hot, hours=h).verdict) for h in (0.49, 0.51, None)]
    assert said == ["cannot tell", "supported", "supported"]


@pytest.mark.parametrize(
    ("load", "verdict"), [(NOTHING, "supported"), ("not known", "cannot tell"), ("battery", "contradicted")]
)
def test_a_rotor_with_its_battery_did_not_run_away(load, verdict):
    """With tips at 96 m/s, had it been free."""
    assert weighed("rotor.overspeed", wind=(12.0, 12.0), load=load).verdict == verdict


@pytest.mark.parametrize(
    ("mechanism", "changes", "verdicts"),
    [("charging.cable-loss", reading("M1", "cable.drop", 3.0), ["supported", "supported"]),
     ("generator.weak-magnets", reading("M1", "generator.emf", 0.8), ["supported", "cannot tell"])],
)  # fmt: skip
def test_a_reading_of_before_counts_unless_it_is_of_what_was_left_behind(mechanism, changes, verdicts):
    """The cable was as thin before; magnets that were good when new may be weak now."""
    assert [str(weighed(mechanism, changes, earlier=labels).verdict) for labels in ((), ("M1",))] == verdicts


# --- what is expected of a measurement --------------------------------------------------------------------------------

BEGIN = REST + DIODES
FIVE_AMPS = reading("M1", "charge.current", 5.0)
#: Mechanism, quantity, changes, circumstances, and the least and greatest value if the mechanism is at work.
EXPECTS = [
    # 28.2 rad/s or V; 3 % of 24 V. Shares are those of the mechanism, own choice.
    ("charging.never-reached", "rotor.speed", {}, {}, (0.0, 1.02 * BEGIN)),
    ("charging.never-reached", "generator.open_voltage", {}, {}, (0.0, BEGIN)),
    ("charging.never-reached", "cable.drop", {}, {}, (0.0, 0.03 * 24.0)),
    # 0.6 of the ratio of 5 in 8 m/s.
    ("charging.stalled", "rotor.speed", {}, {}, (BEGIN, 0.6 * SPEED)),
    ("charging.stalled", "rotor.speed", {}, {"wind": (None, None)}, None),
    ("charging.stalled", "rotor.speed", {"rotor.diameter": None}, {}, None),
    ("charging.never-reached", "rotor.speed", {"rotor.diameter": None}, {}, None),
    ("charging.never-reached", "generator.open_voltage", {"rotor.diameter": None}, {}, None),
    ("charging.never-reached", "cable.drop", NO_BANK, {}, None),
    ("charging.cable-loss", "rotor.speed", {}, {"wind": (None, None)}, None),
    ("charging.cable-loss", "rotor.speed", {"rotor.diameter": None}, {}, None),
    ("charging.loose-connection", "cable.drop", {**FIVE_AMPS, "rotor.diameter": None}, {}, None),
    ("charging.cable-loss", "cable.drop", {}, {}, (2.4, 4.8)),
    ("charging.cable-loss", "cable.drop", {}, {"wind": (None, None)}, (2.4, 72.0)),
    ("charging.cable-loss", "cable.drop", {"generator.winding_resistance": None}, {}, (2.4, 72.0)),
    ("charging.cable-loss", "cable.drop", NO_BANK, {}, None),
    ("charging.cable-loss", "rotor.speed", {}, {}, (1.05 * BEGIN, SPEED)),
    # In 3 m/s it does not reach that speed.
    ("charging.cable-loss", "rotor.speed", {}, {"wind": (3.0, 3.0)}, (1.05 * BEGIN, 1.1 * BEGIN)),
    ("charging.loose-connection", "cable.drop", FIVE_AMPS, {}, (1.5 * 5.0 * CABLE, 100.0 * 5.0 * CABLE)),
    ("charging.loose-connection", "cable.drop", {}, {}, None),
    ("charging.loose-connection", "inverter.input_voltage", {"inverter.input_voltage_min": 21.0}, {}, (0.0, 21.0)),
    ("charging.loose-connection", "inverter.input_voltage", {"inverter.input_voltage_min": None}, {}, None),
    ("generator.weak-magnets", "generator.emf", {}, {}, (0.0, 0.95)),
    ("generator.weak-magnets", "generator.emf", {"generator.emf_constant": None}, {}, None),
    # Free at a ratio of 8: 64 rad/s, a tenth either way; with a limit at 5 m/s, 40.
    ("rotor.overspeed", "rotor.speed", {}, {}, (0.9 * 64.0, 1.1 * 64.0)),
    ("rotor.overspeed", "rotor.speed", {"rotor.limit_wind": 5.0}, {}, (0.9 * 40.0, 1.1 * 40.0)),
    ("rotor.overspeed", "rotor.speed", {}, {"wind": (None, None)}, None),
    ("rotor.overspeed", "rotor.speed", {"rotor.diameter": None}, {}, None),
    ("vibration.imbalance", "vibration.frequency", {}, {},
     (0.95 * SPEED / (2.0 * math.pi), 1.05 * SPEED / (2.0 * math.pi))),
    ("vibration.imbalance", "vibration.frequency", {}, {"load": NOTHING},
     (0.95 * 64.0 / (2.0 * math.pi), 1.05 * 64.0 / (2.0 * math.pi))),
    ("vibration.imbalance", "vibration.frequency", {}, {"wind": (None, None)}, None),
    ("vibration.imbalance", "vibration.frequency", {"rotor.diameter": None}, {}, None),
    # 8 cells of 3.65 V (rackbattery.com), 12 of 2.45 V (from memory); half as much again at most.
    ("battery.overcharged", "battery.voltage", {}, {}, (29.2, 43.8)),
    ("battery.overcharged", "battery.voltage", LEAD, {}, (29.4, 44.1)),
    ("battery.overcharged", "battery.voltage", NO_BANK, {}, None),
    ("battery.electronics-opened", "inverter.input_voltage", {}, {}, (0.0, 1.0)),
    ("inverter.low-voltage", "inverter.input_voltage", PUMP, {}, (10.5, 21.0)),
    ("inverter.low-voltage", "inverter.input_voltage", {"inverter.input_voltage_min": None}, {}, None),
    # From what is left at the inverter to a fifth above 8 cells of 3.2 V.
    ("inverter.surge", "inverter.input_voltage", PUMP, {}, (LEFT, 1.2 * 25.6)),
    ("inverter.surge", "inverter.input_voltage", {**PUMP, "cable.inv.length": None}, {}, None),
    ("fuse.gust-current", "charge.current", {}, {}, (1.35 * 16.0, 1e9)),
    ("fuse.gust-current", "charge.current", {"cable.main.fuse": None}, {}, None),
]  # fmt: skip


def case_of(changes, *, wind=(WORKED_WIND, WORKED_WIND), load="battery", seen="battery damaged", **more):
    """The failed machine as the sheet has it."""
    values = {k: v for k, v in {**WORKED, **changes}.items() if v is not None}
    return FailedMachine(System(build_design(values)), Circumstances(*wind, load, (seen,), **more)).plain


@pytest.mark.parametrize(
    ("mechanism", "quantity", "changes", "circumstances", "limits"), EXPECTS,
    ids=[f"{i}-{row[0]}-{row[1]}" for i, row in enumerate(EXPECTS)],
)  # fmt: skip
def test_what_a_reading_would_be_if_the_mechanism_were_at_work(mechanism, quantity, changes, circumstances, limits):
    """Between two limits; none where the sheet or the wind leaves it open."""
    (telling,) = (t for t in MECHANISMS[mechanism].tells if t.quantity == quantity)
    found = telling.expects(case_of(changes, **circumstances))
    assert (found is None) is (limits is None)
    if limits is not None:
        assert [float(end) for end in found] == pytest.approx(limits, rel=5e-3, abs=1e-9)


def test_every_expectation_is_tried():
    """Above, both where there is one and where something is lacking for it, if anything can be."""
    tried = {(row[0], row[1]) for row in EXPECTS}
    assert sorted({(m.id, t.quantity) for m in MECHANISMS.values() for t in m.tells if t.expects} - tried) == []


#: What a machine is like that a mechanism does not concern, with a word of what it lacks.
NOT_CONCERNED = [
    *(
        (mechanism, {"storage.chemistry": "none"})
        for mechanism in ("charging.never-reached", "charging.stalled", "charging.cable-loss", "battery.overcharged",
                          "battery.starved", "battery.frozen", "battery.electronics-opened", "generator.winding-burnt")
    ),
    ("battery.frozen", {}),
    ("battery.electronics-opened", LEAD),
    ("generator.phase-open", {"generator.phases": "single-phase"}),
    ("generator.phase-open", {"generator.phases": "DC with brushes"}),
    ("dump.failed", {}),
    ("generator.belt-slips", {"generator.drive": "the rotor, on one shaft"}),
    ("claim.too-high", {}),
]  # fmt: skip


@pytest.mark.parametrize(("mechanism", "changes"), NOT_CONCERNED)
def test_a_mechanism_that_cannot_happen_to_a_machine_is_left_out(mechanism, changes):
    """No battery does not freeze, no dump load does not fail."""
    assert MECHANISMS[mechanism].applies(case_of(changes).x) == 0


@pytest.mark.parametrize(
    ("mechanism", "changes"),
    [("charging.cable-loss", {name: None for name in WORKED if name.startswith("cable.")}),
     ("dump.failed", {"dump.kind": None}), ("battery.frozen", {"storage.chemistry": None}),
     ("battery.electronics-opened", {"storage.chemistry": None}), ("generator.field-dead", {}),
     *((mechanism, {name: None for name in WORKED if name.startswith("inverter.")})
       for mechanism in ("inverter.low-voltage", "inverter.surge", "fuse.inverter-start"))],
)  # fmt: skip
def test_of_what_the_sheet_does_not_say_a_share_has_it(mechanism, changes):
    """Nobody writes down everything, and it can fail all the same."""
    assert 0 < MECHANISMS[mechanism].applies(case_of(changes).x) < 1


@pytest.mark.parametrize(
    ("mechanism", "changes"),
    [("charging.cable-loss", {}), ("battery.frozen", LEAD), ("battery.electronics-opened", {}),
     ("generator.phase-open", {}), ("dump.failed", {"dump.kind": "always connected"}), ("claim.too-high", CLAIM),
     ("inverter.surge", {"inverter.input_voltage_min": None}), ("inverter.surge", {"inverter.power": None}),
     ("battery.overcharged", {}), ("generator.winding-burnt", {})],
)  # fmt: skip
def test_a_mechanism_that_can_is_weighed(mechanism, changes):
    """On the worked machine, some of it changed."""
    assert MECHANISMS[mechanism].applies(case_of(changes).x) == 1
