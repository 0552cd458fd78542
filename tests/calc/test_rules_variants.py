"""Rules judge arrays of variants, and give for each what they would give for it alone."""

from functools import cache

import numpy as np
import pytest

from calc.machine.catalogue import catalogue, split
from calc.machine.catalogue.house import NEUTRALS
from calc.machine.catalogue.hub import HOLDS
from calc.machine.catalogue.mast import COUPLER, LATTICE, ROOF, THREAD
from calc.machine.catalogue.storage import DUMP_PLACES
from calc.machine.design import build_design
from calc.machine.inputs import Inputs
from calc.machine.spread import Draws, sample
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import Judgement, judge_rule, judge_rules, outcome_of
from tests.calc.masts import FREE_POLE, GUYED_MAST, LATTICE_MAST
from tests.calc.sheets import GOOD, changed
from tests.calc.test_rules_machine import PIPE

LABELS = {
    "cable": ("main", "inv", "dump"),
    "claim": ("seller",),
    "load": ("lamp", "pump"),
    "guy": ("top",),
    "neighbour": ("lane", "farm"),
    "obstacle": ("barn",),
}
#: The solved machine is found by iteration, which stops a little elsewhere among others.
TOLERANCE = 1e-7
HUB = {
    "hub.bolts": 3.0,
    "hub.bolt_diameter": 0.008,
    "hub.bolt_spacing": 0.04,
    "hub.end_distance": 0.02,
    "hub.side_distance": 0.03,
    "hub.plate_thickness": 0.006,
    "hub.plate_width": 0.08,
    "hub.shaft_diameter": 0.02,
    **{f"weighed.{n}.{k}": v for n in "abcd" for k, v in (("mass", 1.0), ("balance_point", 0.5))},
}
FACTORS = np.array([0.82, 0.91, 1.0, 1.07, 1.19])
MORE = {
    "storage.usable_share": 0.7,
    "storage.charge_current_limit": 11.0,
    "cable.main.ambient": 303.15,
    "cable.inv.ambient": 303.15,
    "cable.main.current": 9.0,
    "cable.main.joints": 0.01,
    "cable.main.together": 2.0,
    "cable.main.price": 5.0,
    "storage.internal_resistance": 0.008,
    "claim.other.power": 90.0,
    "claim.other.wind_speed": 8.0,
    "storage.capacity_left": 0.9,
    "storage.strings": 3.0,
    "storage.vent_area": 16e-4,
    "storage.discharge_current_limit": 48.0,
    **{f"site.month_{i:02d}": 5.5 for i in range(1, 13)},
    "load.pump.from_hour": 20 * 3600.0,
    "load.pump.power": 100.0,
    "load.pump.hours": 0.05,
    "load.pump.surge": 500.0,
    "neighbour.lane.kind": "road",
    "neighbour.lane.distance": 19.0,
    "neighbour.farm.kind": "somebody else's house",
    "neighbour.farm.distance": 60.0,
    "neighbour.farm.direction": 0.4,
    "obstacle.barn.height": 5.0,
    "obstacle.barn.distance": 25.0,
    "place.field.mean_wind": 6.0,
    "place.moor.obstacle_height": 8.0,
    "place.moor.obstacle_distance": 38.0,
    "site.latitude": 0.94,
    "site.boundary": 18.0,
    "site.terrain": "side of a slope",
    "rotor.offset": 0.08,
    "tail.area": 0.3,
    "tail.arm": 1.2,
    "tail.mass": 5.0,
    "tail.inclination": 0.26,
    "tail.stop_angle": 1.4,
    "tail.boom_diameter": 0.048,
    "tail.boom_wall": 0.003,
    "tail.vane_thickness": 0.006,
    "yaw.friction": 0.5,
    "yaw.inertia": 12.0,
    "yaw.bearing_distance": 0.2,
    "yaw.bearing_rating": 5000.0,
    "yaw.rotor_side": "ahead of the mast, as the wind sees it",
    "yaw.cable": "slip rings",
    "rotor.limit_wind": 11.0,
    "blade.mass": 0.8,
    "measured.M1.quantity": "rotor.speed",
    "measured.M1.value": 40.0,
    "measured.M1.wind_low": 12.0,
}
OTHER_WORDS = [
    {},
    {"cable.main.carries": "generator before the rectifier", "storage.chemistry": "gel lead-acid"},
    {"cable.main.carries": "battery to loads", "cable.main.current": None, "blade.material": "wood"},
    {"generator.phases": "single-phase", "mast.kind": "on a roof or gable", "rotor.overspeed": "none"},
    {"generator.phases": "DC with brushes", "dump.kind": "always connected", "generator.enclosed": True},
    {"generator.rated_current": None, "cable.main.current": None, "inverter.input_voltage_min": None},
    {"generator.rated_current": None, "cable.main.current": None, "cable.main.fused": False},
    {"storage.usable_share": None, "storage.charge_current_limit": None, "inverter.fuse": None},
    {"rotor.blades": 3.0, "cable.main.current": None},
    {
        "rotor.blades": 3.0,
        "cable.main.current": None,
        "blade.material": "wood",
        "rotor.power_coefficient": None,
        "rotor.tip_speed_ratio": None,
        "rotor.free_tip_speed_ratio": None,
    },
    {
        "site.wiring_practice": "NEC",
        "cable.main.insulation": "XLPE or rubber, 90 degC",
        "cable.inv.terminals": "75 degC",
    },
    {
        "storage.internal_resistance": None,
        "dump.resistance": None,
        "inverter.surge_power": None,
        "load.pump.surge": 3000.0,
        "cable.inv.fuse": 60.0,
    },
    {"protection.brake_place": "after the rectifier", "protection.surge": "none", "dump.place": DUMP_PLACES[1]},
    {"storage.chemistry": "flooded lead-acid", "storage.coldest": 250.95, "storage.discharge_current_limit": None},
    {"storage.coldest": 273.15, "storage.cold_charge_block": False, "storage.alike": False, "inverter.power": None},
    {"storage.coldest": 275.15, "storage.reused": True, "storage.charge_voltage": 14.55},
    {
        "generator.field": "a coil on slip rings, as in a car alternator",
        "generator.field_resistance": 2.9,
        "generator.field_supply": "always on",
    },
    {
        "converter.kind": "a converter that looks for the best power",
        "converter.input_lowest": 20.0,
        "converter.input_highest": 90.0,
        "converter.input_current": 9.0,
        "generator.emf_constant": 0.08,
        "rotor.blades": 3.0,
    },
    {
        "converter.kind": "a converter that holds its input at a set voltage",
        "converter.input_held": 20.0,
        "converter.input_highest": 90.0,
        "converter.input_current": 4.0,
        "generator.emf_constant": 0.08,
        "rotor.blades": 3.0,
    },
    {
        "generator.drive": "flat or V belt",
        "generator.ratio": 3.0,
        "generator.belt_torque": 5.0,
        "rotor.blades": 3.0,
        "generator.emf_constant": 0.08,
    },
    {"storage.chemistry": "AGM lead-acid", "storage.place": "closet, cellar or room without vents"},
    {"storage.chemistry": "flooded lead-acid", "dump.kind": "none", "storage.starter": True, "load.lamp.voltage": 14.0},
    {"dump.place": DUMP_PLACES[1], "load.lamp.voltage_max": 40.0, "house.neutral": NEUTRALS[2], "house.rcd": False},
    {"protection.main_fuse": "ANL", "cable.inv.fused": False, "cable.main.fused": False, "inverter.appliances": 1.5},
    {"storage.voltage": 48.0, "storage.cells": 16.0, "storage.charge_voltage": 57.0, "inverter.outdoors": True},
    {
        "storage.chemistry": "none",
        "rotor.blades": 3.0,
        "inverter.power": None,
        "load.lamp.kind": "filament lamp",
        "load.pump.kind": "heater or other resistance",
        "load.lamp.voltage": 12.0,
        "load.pump.voltage": 24.0,
    },
    # Low enough to lie below the rotor's centre in every variant.
    {**GUYED_MAST, "guy.top.height": 6.0, "mast.joint": THREAD, "mast.height": 9.2},
    {**FREE_POLE, "mast.joint": COUPLER},
    {**FREE_POLE, "mast.kind": LATTICE, "mast.rated_load": 900.0},
    {**LATTICE_MAST, "site.ice_thickness": 0.02},
    {**GUYED_MAST, "guy.top.height": 6.0, "site.ice_thickness": 0.03},
    {**FREE_POLE, "mast.kind": ROOF, "mast.engineer": False},
    {**dict.fromkeys(GOOD), **PIPE, **HUB, "blade.chord_root": 0.13},
    {
        **dict.fromkeys(GOOD),
        **PIPE,
        **HUB,
        "blade.chord_root": 0.13,
        "blade.material": "aluminium",
        "hub.held": HOLDS[1],
        "site.wind_class": "II",
        "rotor.design_speed": 30.0,
    },
]


def _variants(values):
    """Every number times five factors, in another order for each, kept inside its permitted range."""
    out = {}
    for i, (name, value) in enumerate(values.items()):
        if isinstance(value, float):
            entry = catalogue()[split(name)[0]]
            spread = np.roll(FACTORS, i) if entry.unit != "kelvin" else 1 + 0.02 * (np.roll(FACTORS, i) - 1)
            value = np.clip(value * spread, entry.low, entry.high)
        out[name] = value
    return out


def _alone(values, i):
    return {name: float(v[i]) if isinstance(v, np.ndarray) else v for name, v in values.items()}


@cache
def _sheet(i):
    """A sheet as it stands, all its variants at once, and each alone; rules share what was computed of each."""
    plain = changed(MORE | OTHER_WORDS[i])
    values = _variants(plain)
    alone = [_alone(values, k) for k in range(len(FACTORS))]
    return [Inputs(build_design(some)) for some in (plain, values, *alone)]


def _runs(rule):
    """Sheets and labels that a rule concerns."""
    for i in range(len(OTHER_WORDS)):
        plain = _sheet(i)[0]
        for label in LABELS.get(rule.subject, ()) if rule.each else (None,):
            if rule.applies(plain.again(label)):
                yield i, label


def _agree(rule, i, label):
    _, together, *alone = _sheet(i)
    got = outcome_of(rule, together.again(label))
    for k, single in enumerate(alone):
        one = outcome_of(rule, single.again(label))
        if not isinstance(got, Judgement):
            assert got == one, (OTHER_WORDS[i], label)
            continue
        assert isinstance(one, Judgement)
        for part in ("level", "value", "limit", "margin"):
            a, b = getattr(got, part), getattr(one, part)
            assert (a is None) == (b is None), (OTHER_WORDS[i], label, part)
            if a is not None:
                assert np.broadcast_to(a, FACTORS.shape)[k] == pytest.approx(float(b), rel=TOLERANCE, abs=1e-12), (
                    OTHER_WORDS[i], label, part,
                )  # fmt: skip


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_five_variants_give_the_same_as_five_single_calls(rule):
    """Level, value, limit and margin agree, on every sheet that the rule concerns."""
    runs = list(_runs(rule))
    # A measured curve has a test of its own.
    assert runs or rule.subject.startswith("measured")
    for i, label in runs:
        _agree(rule, i, label)


def test_probability_of_a_clear_failure_is_one():
    """Every sample of a rotor far from charging fails, so the finding says so."""
    values = GOOD | {"generator.emf_constant": 0.02}
    design = build_design(values)
    samples = sample(design, {"generator.emf_constant": (0.018, 0.022)}, Draws(300))
    rule = next(r for r in RULES if r.id == "generator.charging-begins")
    found = judge_rule(rule, Inputs(design), samples=Inputs(samples))
    assert found is not None
    assert found.probability == 1.0


def test_whole_book_runs_on_samples():
    """Doubts about many numbers give a probability between 0 and 1 wherever a number decides."""
    design = build_design(GOOD)
    doubts = {n: (0.9 * v, 1.1 * v) for n, v in GOOD.items() if isinstance(v, float) and "temperature" not in n}
    doubts = {n: d for n, d in doubts.items() if d[0] < d[1]}
    shares = [f.probability for f in judge_rules(RULES, System(design, doubts))]
    assert sum(p is not None for p in shares) > 12
    assert all(0.0 <= p <= 1.0 for p in shares if p is not None)
