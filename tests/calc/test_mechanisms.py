"""Every mechanism found where it alone is at work, none where the machine is sound. Machines are invented."""

from __future__ import annotations

import numpy as np
import pytest

from calc import quantities
from calc.finding import Source
from calc.machine import design, spread
from calc.machine.entry import AH, DEG, MM2
from calc.machine.inputs import Inputs, Unknown
from calc.machine.system import System
from calc.mechanisms import ALL, MECHANISMS, explaining
from calc.mechanisms.base import (
    INSTRUMENT_FOR,
    INSTRUMENTS,
    Case,
    Circumstances,
    Verdict,
    grade,
)
from calc.mechanisms.judge import FailedMachine, judge_mechanisms, separating_measurement
from calc.mechanisms.words import SYMPTOMS
from tests.calc.sheets import GOOD, RPM

BATTERY = "battery"
#: Enough for a verdict, and quick.
SAMPLES = 80
#: A pipe-bladed machine on a hub motor, guyed, 24 V.
PIPE = {
    "site.mean_wind": 5.2, "site.wind_height": 10.0, "site.ground": "farmland with hedges", "site.storm_wind": 30.0,
    "rotor.diameter": 2.2, "rotor.blades": 3.0, "rotor.overspeed": "furling tail", "rotor.limit_wind": 10.0,
    "rotor.brake": "switch that shorts the generator",
    "blade.material": "PVC-U pipe", "blade.pipe_diameter": 0.25, "blade.pipe_wall": 0.0062, "blade.chord_root": 0.15,
    "blade.chord_tip": 0.07, "blade.mounting_angle": 21 * DEG,
    "generator.emf_constant": 1 / (11 * RPM), "generator.winding_resistance": 0.2, "generator.phases": "three-phase",
    "generator.rated_current": 25.0, "generator.rectifier_voltage": 1000.0, "generator.drag_torque": 0.1,
    "generator.cogging_torque": 0.05,
    "cable.mast.carries": "generator after the rectifier", "cable.mast.length": 20.0, "cable.mast.area": 16 * MM2,
    "cable.mast.fuse": 50.0,
    "cable.inverter.carries": "battery to inverter", "cable.inverter.length": 1.5, "cable.inverter.area": 25 * MM2,
    "storage.chemistry": "LiFePO4", "storage.voltage": 24.0, "storage.capacity": 100 * AH,
    "storage.charge_voltage": 28.4, "storage.discharge_current_limit": 100.0, "storage.coldest": 278.15,
    "dump.kind": "switched by the charge controller", "dump.power": 900.0,
    "inverter.power": 800.0, "inverter.surge_power": 1600.0, "inverter.input_voltage_min": 21.0, "inverter.fuse": 63.0,
    "house.feed": "own circuits, apart from the house",
    "mast.kind": "guyed tilt-up", "mast.height": 16.0, "mast.building_height": 4.0,
    "load.lamp.power": 12.0, "load.lamp.hours": 0.25, "load.pump.power": 150.0, "load.pump.hours": 0.01,
    "load.pump.surge": 450.0,
}  # fmt: skip
LEAD = PIPE | {
    "storage.chemistry": "flooded lead-acid", "storage.capacity": 200 * AH, "storage.charge_voltage": 28.8,
}  # fmt: skip
GOOD_ONE = {k: v for k, v in GOOD.items() if not k.startswith("claim.") and k != "dump.resistance"} | {
    "inverter.power": 400.0, "storage.discharge_current_limit": 100.0, "rotor.limit_wind": 10.0, "dump.power": 700.0,
    "cable.main.fuse": 63.0, "rotor.blades": 3.0, "generator.rated_current": 40.0,
    "generator.winding_resistance": 0.1, "generator.emf_constant": 1 / (25 * RPM),
}  # fmt: skip


def read(label, quantity, value, half=0.01, load=BATTERY, wind=None):
    """One reading as values of a design."""
    v = {"quantity": quantity, "value": value, "low": value * (1 - half), "high": value * (1 + half), "load": load}
    if wind:
        v |= {"wind_low": wind[0], "wind_high": wind[1]}
    return {f"measured.{label}.{k}": x for k, x in v.items()}


def bench(values, c):
    """The failed machine, every number of its sheet known within 3 %."""
    built = design.build_design(values)
    doubts = {
        name: spread.limits(name, value, 0.03)
        for name, entry, value in design.values(built)
        if entry.kind == "number" and not entry.exact and not entry.recorded and isinstance(value, float)
    }
    return FailedMachine(System(built, doubts, SAMPLES), c)


def seen(symptom, low, high, load=BATTERY):
    """What was seen, in a wind, with something connected."""
    return Circumstances(low, high, load, (symptom,))


HARDLY, BROKEN, CUTS, FUSE = "turns but hardly charges", "blade lost or broken", "inverter cuts out", "fuse blown"
DAMAGED, FLAT, NO_VOLTS = "battery damaged", "battery flat", "burning smell or no voltage"
FAST = {"generator.emf_constant": 1 / (40 * RPM)}
ONE_WAY = [
    ("charging.never-reached", PIPE, FAST, seen(HARDLY, 4.0, 5.0)),
    ("charging.never-reached", PIPE, {"storage.voltage": 96.0, "storage.charge_voltage": 115.0},
     seen(HARDLY, 5.0, 6.0)),
    ("charging.never-reached", PIPE, read("M1", "rotor.speed", 150 * RPM, wind=(5, 6)), seen(HARDLY, 5.0, 6.0)),
    ("charging.stalled", PIPE, {"generator.emf_constant": 1 / (5 * RPM)}
     | read("M1", "rotor.speed", 165 * RPM, wind=(8, 9)), seen(HARDLY, 8.0, 9.0)),
    ("charging.stalled", PIPE, {"storage.voltage": 12.0, "storage.charge_voltage": 14.2,
                                "storage.voltage_charging": 12.6, "generator.winding_resistance": 0.05},
     seen(HARDLY, 7.0, 8.0)),
    ("charging.cable-loss", PIPE, {"cable.mast.area": 2.5 * MM2, "cable.mast.length": 40.0}, seen(HARDLY, 7.0, 8.0)),
    ("charging.cable-loss", PIPE, read("M1", "cable.drop", 5.0, wind=(7, 8)), seen(HARDLY, 7.0, 8.0)),
    ("charging.loose-connection", PIPE,
     read("M1", "cable.drop", 0.6, wind=(6, 7)) | read("M2", "charge.current", 5.0, wind=(6, 7)),
     seen(HARDLY, 6.0, 7.0)),
    ("charging.loose-connection", PIPE,
     read("M1", "cable.drop", 0.5, wind=(6, 7)) | read("M2", "charge.current", 4.0, wind=(6, 7)),
     seen(NO_VOLTS, 6.0, 7.0)),
    ("site.wind-low", PIPE, {"load.lamp.power": 900.0, "load.lamp.hours": 1.0, "storage.capacity": 900 * AH},
     seen(HARDLY, 6.0, 7.0)),
    ("site.wind-low", {k: v for k, v in PIPE.items() if not k.startswith("load.")},
     {"site.mean_wind": 2.2, "generator.emf_constant": 1 / (4 * RPM)}, seen("does not start", 4.0, 5.0)),
    ("site.turbulent", PIPE, {"mast.height": 12.0, "mast.building_height": 14.0}, seen(HARDLY, 6.0, 7.0)),
    ("site.turbulent", GOOD_ONE, {"mast.height": 12.0, "mast.building_height": 12.0},
     seen("noise or shaking", 6.0, 7.0)),
    ("rotor.too-stiff-to-start", PIPE, {"generator.cogging_torque": 4.0}, seen("does not start", 4.0, 5.0)),
    ("rotor.too-stiff-to-start", PIPE, {"blade.mounting_angle": 2 * DEG, "generator.cogging_torque": 1.5},
     seen("does not start", 4.0, 5.0)),
    ("bearing.drag", PIPE, read("M1", "rotor.speed", 230 * RPM, load="nothing connected", wind=(5.9, 6.1)),
     seen("noise or shaking", 5.0, 7.0)),
    ("bearing.drag", PIPE, read("M1", "rotor.speed", 120 * RPM, load="nothing connected", wind=(3.9, 4.1)),
     seen("does not start", 3.0, 5.0)),
    ("generator.weak-magnets", PIPE, read("M1", "generator.emf", 0.8 / (11 * RPM)), seen(HARDLY, 6.0, 7.0)),
    ("generator.weak-magnets", GOOD_ONE, read("M1", "generator.emf", 0.7 / (25 * RPM)), seen(HARDLY, 6.0, 7.0)),
    ("generator.winding-burnt", PIPE, read("M1", "generator.resistance", 0.3), seen(NO_VOLTS, 6.0, 7.0)),
    ("generator.winding-burnt", PIPE, {"rotor.limit_wind": 25.0, "generator.rated_current": 8.0, "dump.power": 6000.0,
                                       "cable.mast.area": 70 * MM2}, seen(NO_VOLTS, 16.0, 18.0)),
    ("generator.phase-open", PIPE, read("M1", "generator.resistance", 0.2) | read("M2", "generator.resistance", 0.2)
     | read("M3", "generator.resistance", 0.9) | read("M4", "generator.resistance", 0.2),
     seen(HARDLY, 6.0, 7.0)),
    ("generator.phase-open", GOOD_ONE, read("M1", "generator.resistance", 0.26) |
     read("M2", "generator.resistance", 0.1), seen("noise or shaking", 6.0, 7.0)),
    ("generator.rectifier-overvoltage", PIPE, {"generator.rectifier_voltage": 50.0},
     seen(NO_VOLTS, 18.0, 20.0, "nothing connected")),
    ("generator.rectifier-overvoltage", GOOD_ONE, {"generator.rectifier_voltage": 10.0, "rotor.overspeed": "none"},
     seen(NO_VOLTS, 18.0, 20.0, "nothing connected")),
    ("rotor.overspeed", PIPE, {"rotor.overspeed": "none"}, seen(BROKEN, 20.0, 22.0, "nothing connected")),
    ("rotor.overspeed", GOOD_ONE, {"rotor.overspeed": "none", "dump.power": 9000.0},
     seen("rotor ran away", 18.0, 22.0, "nothing connected")),
    ("blade.root-torn", PIPE, {"rotor.overspeed": "none", "generator.emf_constant": 1 / (50 * RPM)},
     seen(BROKEN, 20.0, 22.0)),
    ("blade.root-torn", PIPE, {"generator.emf_constant": 1 / (60 * RPM), "rotor.limit_wind": 20.0, "blade.mass": 2.5},
     seen(BROKEN, 16.0, 18.0)),
    ("mast.overload", PIPE, {"mast.kind": "free-standing pole", "mast.tube_diameter": 0.06, "mast.tube_wall": 0.003},
     seen("mast or guy failed", 15.0, 17.0)),
    ("mast.overload", GOOD_ONE, {"mast.kind": "free-standing pole", "mast.tube_diameter": 0.048,
                                 "mast.tube_wall": 0.003}, seen("mast or guy failed", 12.0, 14.0)),
    ("vibration.imbalance", PIPE,
     read("M1", "vibration.frequency", 5.0, wind=(6, 7)) | read("M2", "rotor.speed", 300 * RPM, wind=(6, 7)),
     seen("noise or shaking", 6.0, 7.0)),
    ("vibration.imbalance", GOOD_ONE,
     read("M1", "vibration.frequency", 15.0, wind=(6, 7)) | read("M2", "rotor.speed", 300 * RPM, wind=(6, 7)),
     seen("noise or shaking", 6.0, 7.0)),
    ("battery.overcharged", LEAD, read("M1", "battery.voltage", 31.0), seen(DAMAGED, 7.0, 8.0)),
    ("battery.overcharged", LEAD, {"dump.kind": "none"}, seen(DAMAGED, 7.0, 8.0)),
    ("battery.starved", PIPE, {"load.lamp.power": 200.0, "load.lamp.hours": 1.0, "storage.capacity": 300 * AH},
     seen(FLAT, 6.0, 7.0)),
    ("battery.starved", LEAD, {"storage.capacity_left": 0.5}, seen(DAMAGED, 6.0, 7.0)),
    ("battery.frozen", LEAD, {"storage.coldest": 255.15} | read("M1", "battery.density", 1.12, 0.002),
     seen(DAMAGED, 6.0, 7.0)),
    ("battery.frozen", LEAD, {"storage.coldest": 243.15} | read("M1", "battery.density", 1.18, 0.002),
     seen(DAMAGED, 6.0, 7.0)),
    ("battery.electronics-opened", PIPE, {"storage.discharge_current_limit": 10.0}, seen(CUTS, 6.0, 7.0)),
    ("battery.electronics-opened", PIPE, {"storage.discharge_current_limit": 15.0}, seen(FLAT, 6.0, 7.0)),
    ("inverter.low-voltage", PIPE, {"cable.inverter.length": 20.0, "cable.inverter.area": 2.5 * MM2},
     seen(CUTS, 6.0, 7.0)),
    ("inverter.low-voltage", PIPE, read("M1", "inverter.input_voltage", 19.5), seen(CUTS, 6.0, 7.0)),
    ("inverter.surge", PIPE, {"inverter.surge_power": 350.0, "inverter.power": 200.0}, seen(CUTS, 6.0, 7.0)),
    ("inverter.surge", PIPE, {"load.pump.surge": 2000.0, "storage.capacity": 600 * AH,
                              "storage.discharge_current_limit": 400.0}, seen(CUTS, 6.0, 7.0)),
    ("fuse.gust-current", PIPE, {"cable.mast.fuse": 10.0}, seen(FUSE, 9.0, 11.0)),
    ("fuse.gust-current", PIPE, {"rotor.overspeed": "none", "cable.mast.fuse": 25.0}, seen(FUSE, 20.0, 22.0)),
    ("fuse.inverter-start", PIPE, {"inverter.fuse": 5.0}, seen(FUSE, 6.0, 7.0)),
    ("fuse.inverter-start", PIPE, {"load.pump.surge": 3500.0}, seen(FUSE, 6.0, 7.0)),
    ("dump.failed", PIPE, {"dump.power": 60.0}, seen(DAMAGED, 9.0, 10.0)),
    ("dump.failed", LEAD, {"dump.power": 100.0, "dump.resistance": 12.0}, seen("rotor ran away", 9.0, 10.0)),
    ("house.back-feed", PIPE, {"house.feed": "inverter into a socket by a lead with two plugs"},
     seen("shock or a line that should be dead", 6.0, 7.0)),
    ("house.back-feed", PIPE, {"house.feed": "inverter in parallel with the grid"}, seen(CUTS, 6.0, 7.0)),
    ("reading.wrong", PIPE, read("M1", "battery.voltage", 41.0), seen("reading makes no sense", 6.0, 7.0)),
    ("reading.wrong", PIPE, read("M1", "charge.power", 600.0, wind=(6.0, 6.2)),
     seen("reading makes no sense", 6.0, 6.2)),
    ("claim.too-high", PIPE, {"claim.C1.power": 900.0, "claim.C1.wind_speed": 8.0},
     seen("less power than promised", 7.0, 8.0)),
    ("claim.too-high", GOOD_ONE, {"claim.C1.power": 500.0, "claim.C1.wind_speed": 7.0},
     seen("less power than promised", 6.0, 7.0)),
]  # fmt: skip


@pytest.mark.parametrize(
    ("wanted", "base", "changes", "c"), ONE_WAY, ids=[f"{i}-{r[0]}" for i, r in enumerate(ONE_WAY)]
)
def test_a_machine_that_fails_in_one_way_is_told_so(wanted, base, changes, c):
    """The mechanism at work leads, and is supported."""
    rows = judge_mechanisms(bench(base | changes, c), explaining(c.symptoms))
    assert [(r.id, r.verdict) for r in rows[:1]] == [(wanted, Verdict.SUPPORTED)], [
        (r.id, str(r.verdict), r.supports, r.says) for r in rows[:4]
    ]


def _by_eye(m):
    return "by_eye" in m.indicate.__qualname__


def test_every_mechanism_that_can_be_computed_is_tried():
    """Above, or in the table of turning points; those left to the eye say what to look at."""
    from tests.outside.turning_mechanisms import BY_LIKELIHOOD, RELATED_SIGNS, SIGNS

    tried = {row[0] for row in ONE_WAY} | set(BY_LIKELIHOOD) | {row.mechanism for row in (*SIGNS, *RELATED_SIGNS)}
    assert [m.id for m in ALL if not _by_eye(m) and m.id not in tried] == []
    assert [m.id for m in ALL if _by_eye(m) and not m.look] == []


SOUND = {"pipe blades, lithium": PIPE, "pipe blades, lead": LEAD, "simple curve, 12 V": GOOD_ONE}


@pytest.mark.parametrize("winds", [(3.0, 4.0), (6.0, 7.0), (9.0, 10.0)], ids=str)
@pytest.mark.parametrize("name", SOUND)
def test_a_sound_machine_is_accused_of_nothing(name, winds):
    """In light, working and strong wind with the battery connected, whatever was seen."""
    rows = judge_mechanisms(bench(SOUND[name], Circumstances(*winds, BATTERY, tuple(SYMPTOMS))), ALL)
    assert [(r.id, r.says) for r in rows if r.verdict is Verdict.SUPPORTED] == []


@pytest.mark.parametrize("m", ALL, ids=lambda m: m.id)
def test_every_mechanism_is_whole(m):
    """A source or common practice, known symptoms and quantities, instruments, names of the sheet, an answer."""
    assert m.sources
    assert all(isinstance(s, Source) for s in m.sources)
    assert set(m.symptoms) <= set(SYMPTOMS)
    assert m.corrections
    assert {t.quantity for t in m.tells} | set(m.leaves) <= set(quantities.QUANTITIES)
    assert all(INSTRUMENT_FOR[t.quantity] in INSTRUMENTS for t in m.tells)
    for path in (path for c in m.corrections for path in (e.full for e in c.changes)):
        design.split(path)


#: Names that a release gave, never used for anything else and never taken away. Those of a new one come in with it.
GIVEN = {
    "charging.never-reached",
    "charging.stalled",
    "charging.cable-loss",
    "charging.loose-connection",
    "site.wind-low",
    "site.turbulent",
    "rotor.too-stiff-to-start",
    "bearing.drag",
    "yaw.fault",
    "generator.weak-magnets",
    "generator.winding-burnt",
    "generator.phase-open",
    "generator.rectifier-overvoltage",
    "generator.water",
    "rotor.overspeed",
    "blade.root-torn",
    "blade.brittle",
    "blade.tip-strike",
    "mast.overload",
    "vibration.imbalance",
    "battery.overcharged",
    "battery.starved",
    "battery.frozen",
    "battery.electronics-opened",
    "inverter.low-voltage",
    "inverter.surge",
    "fuse.gust-current",
    "fuse.inverter-start",
    "fuse.short-circuit",
    "dump.failed",
    "house.back-feed",
    "reading.wrong",
    "claim.too-high",
}


def test_names_are_given_once_and_kept():
    """Records of causes name them."""
    assert sorted(GIVEN - set(MECHANISMS)) == []
    assert len(MECHANISMS) == len(ALL)


def test_every_symptom_is_explained_by_something():
    """None leads nowhere."""
    assert [s for s in SYMPTOMS if not explaining((s,))] == []


@pytest.fixture(scope="module")
def laid_out():
    """One machine for all indicators."""
    c = Circumstances(6.0, 7.0, BATTERY, tuple(SYMPTOMS))
    return bench(LEAD | read("M1", "rotor.speed", 300 * RPM, wind=(6, 7)), c)


@pytest.mark.parametrize("m", ALL, ids=lambda m: m.id)
def test_an_indicator_gives_one_number_for_each_sample_or_none(m, laid_out):
    """Scalars in give a scalar, samples in give as many, between -1 and 1."""
    b = laid_out
    one, many = m.indicate(b.plain), m.indicate(b.many)
    if isinstance(one, Unknown):
        assert one.why or one.missing
        return
    assert np.ndim(one.speaks) == 0
    assert np.shape(many.speaks) in ((), (SAMPLES,))
    assert np.all(np.abs(many.speaks) <= 1)
    assert one.says().endswith(".")


def test_an_empty_sheet_is_told_what_is_missing():
    """Nothing is supported of a machine of which nothing is known, and nothing breaks."""
    b = bench({}, Circumstances(symptoms=tuple(SYMPTOMS)))
    rows = judge_mechanisms(b, ALL)
    assert {r.verdict for r in rows} == {Verdict.CANNOT_TELL}
    assert all(r.says.endswith(".") for r in rows)


def test_a_reading_before_the_failure_says_nothing_of_what_it_left():
    """Magnets measured when new do not clear them later."""
    values = PIPE | read("M1", "generator.emf", 1 / (11 * RPM))
    now, before = seen(HARDLY, 6.0, 7.0), Circumstances(6.0, 7.0, BATTERY, (HARDLY,), earlier=("M1",))
    verdicts = [
        next(
            r.verdict
            for r in judge_mechanisms(bench(values, c), explaining((HARDLY,)))
            if r.id == "generator.weak-magnets"
        )
        for c in (now, before)
    ]
    assert verdicts == [Verdict.CONTRADICTED, Verdict.CANNOT_TELL]


def test_a_reading_in_another_wind_is_no_evidence():
    """A slow rotor in a light wind does not show that it was slow in a strong one."""
    calm = PIPE | read("M1", "rotor.speed", 60 * RPM, wind=(1, 2))
    row = next(
        r for r in judge_mechanisms(bench(calm, seen(HARDLY, 6.0, 7.0)), ALL) if r.id == "charging.never-reached"
    )
    assert row.verdict is Verdict.CONTRADICTED
    assert row.evidence == ()


def test_a_gust_of_minutes_burns_no_winding():
    """What would settle far too hot in an hour is not held against a few minutes."""
    hot = {"rotor.limit_wind": 25.0, "generator.rated_current": 8.0}
    long, short = (Circumstances(16.0, 18.0, BATTERY, (NO_VOLTS,), hours=h) for h in (5.0, 0.1))
    burnt = [MECHANISMS["generator.winding-burnt"]]
    found = [judge_mechanisms(bench(PIPE | hot, c), burnt)[0].verdict for c in (long, short)]
    assert found == [Verdict.SUPPORTED, Verdict.CANNOT_TELL]


def test_the_cheapest_measurement_separates():
    """A multimeter comes before a tachometer, and the two ranges do not overlap."""
    b = bench(PIPE | FAST | {"cable.mast.area": 2.5 * MM2}, seen(HARDLY, 6.0, 7.0))
    found = separating_measurement(b, MECHANISMS["charging.never-reached"], MECHANISMS["charging.cable-loss"])
    assert found is not None
    assert (found.quantity, found.instrument) == ("cable.drop", "multimeter")
    taken = PIPE | FAST | {"cable.mast.area": 2.5 * MM2} | read("M1", "cable.drop", 0.1, wind=(6, 7))
    other = separating_measurement(
        bench(taken, seen(HARDLY, 6.0, 7.0)), MECHANISMS["charging.never-reached"], MECHANISMS["charging.cable-loss"]
    )
    assert other is None or other.quantity != "cable.drop"


def test_two_that_predict_alike_are_not_separated():
    """What only the eye can tell has no numbers to differ in."""
    b = bench(PIPE, seen(BROKEN, 20.0, 22.0, "nothing connected"))
    assert separating_measurement(b, MECHANISMS["blade.brittle"], MECHANISMS["blade.tip-strike"]) is None


def test_grading_broadcasts():
    """Limits as arrays, values at and beyond them, both directions."""
    got = grade(np.array([0.5, 1.0, 2.0, 4.0]), 2.0, 1.0)
    assert got == pytest.approx([-1.0, -0.5, 0.5, 1.0])
    assert grade(1.0, np.array([0.5, 2.0]), np.array([0.25, 4.0])) == pytest.approx([1.0, 1.0])


def test_wind_is_drawn_between_its_limits():
    """Evenly; its middle where nothing is sampled."""
    x = Inputs(design.build_design({}), drawn=spread.Draws(spread.SAMPLES))
    drawn = Case(x, Circumstances(4.0, 8.0)).wind
    assert (drawn.min() > 4.0, drawn.max() < 8.0, round(float(drawn.mean()), 1)) == (True, True, 6.0)
    assert Case(Inputs(design.build_design({})), Circumstances(4.0, 8.0)).wind == 6.0
