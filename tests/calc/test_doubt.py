"""Doubt reaches every figure, and none of it vanishes: random sheets at each provenance."""

import math

import numpy as np
import pytest

from calc.machine import rotor_curves, spread
from calc.machine.catalogue import Sheet, catalogue, split
from calc.machine.design import build_design
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import Solved
from calc.machine.system import LEAST_LEFT, System
from calc.machine.year import running_share
from calc.physics import balance, blade, polar, rotor
from calc.rules import RULES
from calc.rules.engine import Judgement, judge_rules, outcome_of
from tests.calc.sheets import GOOD

#: EN 1401 solid wall, SDR 41 and near it: outside diameter, wall. [m]
PIPES = ((0.110, 0.0032), (0.125, 0.0032), (0.160, 0.0040), (0.200, 0.0049), (0.250, 0.0062), (0.315, 0.0077))
SAMPLES = 40


def random_sheet(rng):
    D, t = PIPES[rng.integers(len(PIPES))]
    R, root = rng.uniform(0.5, 1.6), rng.uniform(0.4, 0.8) * D
    return {
        "rotor.diameter": 2 * R,
        "rotor.blades": 3.0,
        "blade.material": "PVC-U pipe",
        "blade.pipe_diameter": D,
        "blade.pipe_wall": t,
        "blade.chord_root": root,
        "blade.chord_tip": rng.uniform(0.45, 0.8) * root,
        "generator.emf_constant": 60 / (2 * np.pi * rng.uniform(5, 80)),
        "generator.emf_form": "DC after the rectifier",
        "generator.phases": "three-phase",
        "generator.winding_resistance": rng.uniform(0.1, 1.5),
        "storage.chemistry": "flooded lead-acid",
        "storage.voltage": rng.choice([12.0, 24.0, 48.0]),
        "storage.capacity": 100 * 3600.0,
        "cable.run.length": 20.0,
        "cable.run.area": 6e-6,
        "cable.run.carries": "generator after the rectifier",
        "mast.height": 8.0,
        "site.mean_wind": 4.5,
        "site.wind_height": 10.0,
    }


def doubted(values, share, samples=SAMPLES):
    """A system whose numbers are all known within a share of themselves."""
    entries = {name: catalogue()[split(name)[0]] for name in values}
    doubts = {
        name: spread.limits(name, value, share)
        for name, value in values.items()
        if entries[name].kind == "number" and not entries[name].exact
    }
    return System(build_design(values), doubts, samples)


@pytest.fixture(scope="module", params=sorted({*spread.PROVENANCE_DOUBT.values()}), ids=lambda s: f"{s:.0%}")
def systems(request):
    rng = np.random.default_rng(40)
    return [doubted(random_sheet(rng), request.param) for _ in range(10)]


def test_no_doubt_vanishes(systems):
    """A machine that can be solved has a range, or says that it has none; some samples are dropped on the way."""
    solved = [s for s in systems if isinstance(s.solved, Solved)]
    assert len(solved) > len(systems) / 2
    for s in solved:
        figures = s.figures
        if s.sampling.enough:
            assert isinstance(s.sampled, Solved)
            assert figures["best_power_coefficient"].low < figures["best_power_coefficient"].high
            assert figures["free_speed"].low < figures["free_speed"].high
        else:
            assert isinstance(s.sampled, Unknown)
            assert all(math.isnan(f.low) and math.isnan(f.high) for f in figures.values())


def test_every_figure_lies_in_its_own_range(systems):
    """Samples and sheet are computed alike: no bias puts the sheet's own figure beside its range."""
    figures = [(s, f) for s in systems for f in s.figures.values() if not math.isnan(f.low)]
    outside = [f.name for _, f in figures if not f.low <= f.value <= f.high]
    assert len(figures) > 100
    assert outside == []


def test_samples_that_cannot_exist_are_left_out_and_counted():
    """A root chord near the deepest arc of which the table tells: the samples beyond it go, no others."""
    values = random_sheet(np.random.default_rng(1)) | {"blade.pipe_diameter": 0.160, "blade.pipe_wall": 0.004}
    values |= {"blade.chord_root": 0.118, "blade.chord_tip": 0.070}
    design = build_design(values)
    system = System(design, {"blade.chord_root": (0.106, 0.134), "blade.chord_tip": (0.068, 0.072)}, 200)
    # Camber is tan(beta / 2) / 2 with sin(beta) = chord / (D - t), so this chord ends the table.
    widest = 0.156 * math.sin(2 * math.atan(2 * 0.25))
    drawn = 0.106 + spread.draw(200, "blade.chord_root") * 0.028
    # The strips are cut at their middles; that of the root is a little narrower than its end.
    assert np.sum(drawn < widest) <= system.sampling.left <= np.sum(drawn < 1.04 * widest) < 200
    assert "camber" in system.sampling.why
    assert len(system.drawn().blade.chord_root) == system.sampling.left == len(system.sampled.charging)


def test_too_few_samples_give_no_range():
    """Nearly all ways lie outside: the range is not known, nothing prints a value as its own range."""
    values = random_sheet(np.random.default_rng(1)) | {"blade.pipe_diameter": 0.160, "blade.pipe_wall": 0.004}
    values |= {"blade.chord_root": 0.110, "blade.chord_tip": 0.070}
    system = System(build_design(values), {"blade.chord_root": (0.109, 0.25)}, 60)
    assert isinstance(system.solved, Solved)
    assert system.sampling.left < LEAST_LEFT * 60
    assert not system.sampling.enough
    assert system.drawn() is None
    assert system.figures
    assert all(math.isnan(f.low) for f in system.figures.values())
    assert all(f.probability is None for f in judge_rules(RULES, system))


def test_a_wind_that_never_comes_is_not_a_number_of_metres():
    """A motor of half a volt for each rad/s less than nothing never reaches 48 V with a small rotor."""
    values = random_sheet(np.random.default_rng(3)) | {
        "rotor.diameter": 1.0,
        "storage.voltage": 48.0,
        "generator.emf_constant": 0.02,
    }
    figure = doubted(values, 0.05).figures["charging_wind"]
    assert math.isinf(figure.value)
    assert math.isnan(figure.low) or math.isinf(figure.high)


def test_range_with_and_without_the_sizes_of_the_pipe_overlap():
    """Leaving out the sizes of the pipe must not give another truth: each middle lies in the other's range."""
    rng = np.random.default_rng(11)
    for _ in range(3):
        values = random_sheet(rng) | {"blade.chord_root": 0.100, "blade.chord_tip": 0.060, "rotor.diameter": 1.6}
        values |= {"blade.pipe_diameter": 0.160, "blade.pipe_wall": 0.004}
        less = {name: value for name, value in values.items() if not name.startswith("blade.chord")}
        one, other = (doubted(v, 0.05).figures["best_power_coefficient"] for v in (values, less))
        assert one.low < other.value < one.high
        assert other.low < one.value < other.high


def test_doubt_of_the_section_follows_the_estimator():
    """At the cambers of pipe blades lift is 30 to 39 % in doubt and drag 46 to 58 %; a smooth section far less."""
    D, t = 0.250, 0.0062
    shape = blade.cut_from_pipe(D, t, 0.150, 0.070, 1.1, 0.15, np.radians(21))
    lift, drag = polar.plate_doubt(shape.camber[10:], shape.thickness[10:])
    assert 0.28 < np.mean(lift) < 0.40
    assert 0.43 < np.mean(drag) < 0.60
    assert all(a < b / 2 for a, b in zip(polar.named_doubt("NACA 4412"), (np.mean(lift), np.mean(drag)), strict=True))


def test_stated_lift_and_drag_have_only_the_doubt_that_was_typed():
    values = random_sheet(np.random.default_rng(5)) | {"blade.lift_factor": 1.0, "blade.drag_factor": 1.0}
    x = Inputs(build_design(values), None, {}, spread.Draws(SAMPLES))
    assert isinstance(rotor_curves.rotor_of(x), rotor_curves.RotorCurves)
    assert np.ndim(x.blade.lift_factor) == 0
    bare = {name: value for name, value in values.items() if "factor" not in name}
    x = Inputs(build_design(bare), None, {}, spread.Draws(SAMPLES))
    rotor_curves.rotor_of(x)
    assert np.ptp(x.used[Sheet.blade.lift_factor.full][1]) > 0.4


DENSE = np.concatenate([[0.3, 0.5], np.arange(0.6, 10.05, 0.1), np.arange(10.5, 17.1, 0.5)]), 40


@pytest.mark.parametrize(("kind", "running", "stalled"), [("FINE", 0.012, 0.03), ("COARSE", 0.05, 0.07)])
def test_resolution_of_the_rotor_curves(kind, running, stalled):
    """Beside a fine table: best power, and torque on the stalled side, in nine of ten random pipe blades."""
    rng, power, torque = np.random.default_rng(3), [], []
    while len(power) < 14:
        s = random_sheet(rng)
        R, pipe = s["rotor.diameter"] / 2, [s[f"blade.{k}"] for k in ("pipe_diameter", "pipe_wall")]
        shape = (*pipe, s["blade.chord_root"], s["blade.chord_tip"], R, 0.12 * R, np.radians(rng.uniform(15, 26)))
        try:
            (tsr, fine), (other, got) = (_cq(*r, shape) for r in (DENSE, getattr(rotor_curves, kind)))
        except ValueError:
            continue
        best = np.argmax(fine * tsr)
        if fine[best] * tsr[best] < 0.05:
            continue
        power.append(abs(np.max(got * other) / np.max(fine * tsr) - 1))
        side = (tsr > 1.0) & (tsr < tsr[best]) & (fine * tsr > 0.25 * fine[best] * tsr[best])
        torque.append(np.max(np.abs(np.interp(tsr, other, got) / fine - 1)[side]))
    assert np.quantile(power, 0.9) < running
    assert np.quantile(torque, 0.9) < stalled


def _cq(ratios, stations, shape):
    cut = blade.cut_from_pipe(*shape, n=stations)
    tsr, cq = balance.torque_curve(
        ratios, rotor.curve(cut, 10.0, 3, ratios).cp, rotor.starting_cq(cut, 3, None, 1.0, 10.0)
    )
    return tsr, cq


def test_the_battery_is_not_always_at_rest():
    """Samples spread from half emptied (12.18 V, tables of charge and rest voltage) to where charging ends."""
    values = random_sheet(np.random.default_rng(5)) | {"storage.voltage": 12.0}
    V = System(build_design(values), {}, 200).sampled.machine.V_oc
    assert V.min() == pytest.approx(12.18, abs=0.03)
    assert V.max() == pytest.approx(0.99 * 6 * 2.467, abs=0.03)
    held = System(build_design(values | {"storage.charge_voltage": 14.0}), {}, 200).sampled.machine.V_oc
    assert held.max() == pytest.approx(0.99 * 14.0, abs=0.02)
    stated = System(build_design(values | {"storage.voltage_charging": 13.1}), {}, 20)
    assert stated.solved.machine.V_oc == 13.1
    assert np.ndim(stated.sampled.machine.V_oc) == 0


def test_a_fuller_battery_moves_power_and_charging_wind():
    """A clamp at a higher voltage lets a stalled rotor run faster, and asks for more wind to begin."""
    values = random_sheet(np.random.default_rng(5)) | {"storage.voltage": 12.0}
    empty, full = (System(build_design(values | {"storage.voltage_charging": V})).solved for V in (12.2, 14.6))
    assert full.charging > 1.05 * empty.charging
    assert np.max(full.operation.running.charge) != pytest.approx(np.max(empty.operation.running.charge), rel=0.02)


def test_energy_of_a_rotor_that_does_not_start_by_itself():
    """Cogging that no wind overcomes: from rest nothing comes; what is likely lies between, by the winds around."""
    values = random_sheet(np.random.default_rng(5)) | {"generator.cogging_torque": 0.05, "rotor.diameter": 2.0}
    stuck = System(build_design(values | {"generator.cogging_torque": 50.0}))
    free = System(build_design(values | {"generator.cogging_torque": 0.0, "generator.drag_torque": 0.0}))
    at = {s: s.figures for s in (stuck, free)}
    assert at[stuck]["yearly_energy_from_rest"].value == 0.0
    assert at[stuck]["yearly_energy_running"].value == pytest.approx(at[free]["yearly_energy"].value, rel=0.25)
    # No wind of the table brings it up to speed, so it practically never runs.
    assert at[stuck]["yearly_energy"].value < 0.01 * at[stuck]["yearly_energy_running"].value
    assert "yearly_energy_running" not in at[free]


def test_running_share_is_the_time_above_over_the_time_outside():
    """Two ways from 5 to 8 m/s in Rayleigh winds of 5 m/s: exp(-pi/4 (8/5)^2) beside 1 - exp(-pi/4)."""
    winds = np.arange(1.0, 25.5, 0.5)

    class Forked:
        forked = (winds >= 5.0) & (winds <= 8.0)

    x = Inputs(build_design({"site.wind_spread": 2.0}))
    above, below = math.exp(-math.pi / 4 * 1.6**2), 1 - math.exp(-math.pi / 4)
    assert running_share(x, winds, Forked, 5.0) == pytest.approx(above / (above + below), rel=1e-9)
    Forked.forked = np.zeros(len(winds), dtype=bool)
    assert running_share(x, winds, Forked, 5.0) == 1.0


@pytest.mark.parametrize("share", [0.05, 0.2])
def test_no_rule_loses_its_doubt(share):
    """What is judged at the values on the sheet is judged for the samples too, or doubt would vanish unseen."""
    system = doubted(GOOD, share)
    for rule in RULES:
        for label in system.design.labels(rule.subject) if rule.each else (None,):
            if rule.applies(system.inputs(label)) and isinstance(outcome_of(rule, system.inputs(label)), Judgement):
                assert isinstance(outcome_of(rule, system.drawn(label)), Judgement), (rule.id, label)


def test_a_few_samples_outside_a_table_do_not_take_the_doubt_of_a_rule():
    """1.5 mm2 is the first row of IEC 60364-5-52, Table B.52.2 on; known within 20 % half the samples lie below it."""
    values = random_sheet(np.random.default_rng(5)) | {"cable.run.area": 1.5e-6, "cable.run.fuse": 1.0}
    fuse = next(f for f in judge_rules(RULES, doubted(values, 0.2)) if f.rule == "wiring.fuse")
    assert fuse.probability is not None
    assert fuse.probability > 0.2


def test_power_of_a_winding_that_burns_is_no_power():
    """The most is told of the winds before the winding burns (400 degC, from memory)."""
    values = random_sheet(np.random.default_rng(5)) | {"generator.thermal_resistance": 8.0, "rotor.diameter": 3.0}
    system = System(build_design(values))
    points = system.solved.operation.running
    burnt = points.winding > 673.15
    assert burnt.any()
    first = int(np.argmax(burnt))
    assert first > 0
    most = system.figures["greatest_power"].value
    assert most == pytest.approx(points.charge[:first].max())
    assert most < points.charge.max()


def test_a_machine_that_never_charges_is_judged_without_a_warning():
    """A motor of 200 rpm/V on 48 V: no wind turns it fast enough, and that is said in words."""
    values = random_sheet(np.random.default_rng(5)) | {"generator.emf_constant": 60 / (2 * np.pi * 200)}
    found = judge_rules(RULES, doubted(values | {"storage.voltage": 48.0}, 0.05))
    begins = next(f for f in found if f.rule == "generator.charging-begins")
    assert begins.says.startswith("It never charges")
    assert not [f.rule for f in found if "unlimited" in f.says + f.remedy]
