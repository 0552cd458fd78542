"""The tail on the sheet: what it does to the solved machine, and every status that its rules can say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calc.finding import Act, Status
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import TUBE_MATERIALS
from calc.machine.catalogue.storage import DUMP_PLACES
from calc.machine.catalogue.tail import DOWNWIND, FIXED, HINGED, UPWIND, VANE_MATERIALS
from calc.machine.design import build_design
from calc.machine.site import gust_wind
from calc.machine.solving import Solved, described_furling, held_wind, limit_wind, nothing_limits
from calc.machine.storm import unloaded_held
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from calc.units import show
from tests.calc.sheets import RPM, with_remedies
from tests.calc.test_rules_machine import PIPE

OK, MARGINAL, FAIL, DANGER, UNKNOWN, STATED = (
    Status.OK, Status.MARGINAL, Status.FAIL, Status.DANGER, Status.UNKNOWN, Status.STATED,
)  # fmt: skip
DEG = math.pi / 180.0
TAIL = {
    "rotor.offset": 0.08, "tail.hinge": HINGED, "tail.area": 0.35, "tail.arm": 1.3, "tail.mass": 4.5,
    "tail.inclination": 20.0 * DEG, "tail.rest_angle": 10.0 * DEG, "tail.stop_angle": 95.0 * DEG,
}  # fmt: skip
UNSTATED = {"rotor.limit_wind": None}


def design(**changes):
    """The machine with blades of pipe and a tail, some values changed, or taken away where None."""
    values = {**PIPE, **TAIL, **UNSTATED, **{k.replace("__", "."): v for k, v in changes.items()}}
    return build_design({k: v for k, v in values.items() if v is not None})


def said(rule, **changes):
    """What one rule says of it, or None."""
    found = judge_rules([r for r in RULES if r.id == rule], System(design(**changes)))
    return found[0] if found else None


BOOM = {"tail__boom_diameter": 0.05, "tail__boom_wall": 0.004, "site__gust": 42.0}
VANE = {"tail__vane_thickness": 0.006, "tail__vane_height": 0.6, "site__gust": 42.0}
SPEED = {"measured__M1__quantity": "rotor.speed", "measured__M1__value": 30.0, "measured__M1__load": "battery"}
#: Rule, changes, status.
CASES = [
    ("tail.folds", {}, OK),
    ("tail.folds", {"rotor__limit_wind": 9.0}, OK),
    ("tail.folds", {"rotor__limit_wind": 20.0}, MARGINAL),
    ("tail.folds", {"tail__mass": 40.0}, MARGINAL),
    ("tail.folds", {"tail__mass": 0.3}, FAIL),
    ("tail.folds", {"tail__mass": 500.0}, DANGER),
    ("tail.folds", {"tail__hinge": FIXED}, DANGER),
    ("tail.folds", {"tail__stop_angle": 5.0 * DEG}, DANGER),
    ("tail.folds", {"tail__inclination": 0.0}, DANGER),
    ("tail.folds", {"tail__area": None}, UNKNOWN),
    ("tail.folds", {"yaw__rotor_side": DOWNWIND}, UNKNOWN),
    ("tail.folds", {"yaw__rotor_side": DOWNWIND, "tail__hinge": FIXED}, DANGER),
    ("tail.keeps", {"tail__mass": 1.0, "blade__material": "wood", "blade__section": "arc of the pipe"}, OK),
    ("tail.keeps", {}, MARGINAL),
    ("tail.keeps", {"tail__stop_angle": 70.0 * DEG}, FAIL),
    ("tail.keeps", {"tail__stop_angle": 45.0 * DEG}, DANGER),
    ("tail.keeps", {"rotor__offset": 0.0}, DANGER),
    ("tail.folds", {"rotor__offset": 0.0}, DANGER),
    ("tail.keeps", {"generator__emf_constant": None}, UNKNOWN),
    ("tail.returns", {}, OK),
    ("tail.returns", {"tail__hinge_friction": 6.0}, MARGINAL),
    ("tail.returns", {"tail__hinge_direction": 120.0 * DEG}, FAIL),
    ("tail.returns", {"generator__emf_constant": None}, UNKNOWN),
    ("tail.stop", {}, OK),
    ("tail.stop", {"tail__stop_angle": 105.0 * DEG}, MARGINAL),
    ("tail.stop", {"tail__stop_angle": 120.0 * DEG}, DANGER),
    ("tail.stop", {"tail__stop_angle": None}, UNKNOWN),
    ("tail.boom", {**BOOM, "tail__boom_diameter": 0.1}, OK),
    ("tail.boom", BOOM, MARGINAL),
    ("tail.boom", {**BOOM, "tail__boom_strength": 9e8, "tail__cushioned": True}, OK),
    ("tail.boom", {**BOOM, "tail__boom_diameter": 0.039}, FAIL),
    ("tail.boom", {**BOOM, "tail__boom_diameter": 0.03}, DANGER),
    ("tail.boom", {**BOOM, "tail__boom_material": TUBE_MATERIALS[2]}, UNKNOWN),
    ("tail.boom", {**BOOM, "tail__boom_wall": 0.03}, UNKNOWN),
    ("tail.boom", {"tail__boom_diameter": 0.05}, UNKNOWN),
    ("tail.vane", {**VANE, "tail__vane_free": 0.1}, OK),
    ("tail.vane", VANE, MARGINAL),
    ("tail.vane", {**VANE, "tail__vane_thickness": 0.003}, FAIL),
    ("tail.vane", {**VANE, "tail__vane_material": VANE_MATERIALS[-1]}, UNKNOWN),
    ("tail.resonance", {**VANE, "tail__vane_free": 0.05}, OK),
    ("tail.resonance", {**VANE, "tail__vane_material": VANE_MATERIALS[3]}, MARGINAL),
    ("tail.resonance", {**VANE, "tail__vane_thickness": 0.0008}, FAIL),
    ("tail.resonance", {**VANE, "tail__vane_material": VANE_MATERIALS[-1]}, UNKNOWN),
    ("yaw.tail-size", {"tail__rest_angle": 15.0 * DEG}, OK),
    ("yaw.tail-size", {}, MARGINAL),
    ("yaw.tail-size", {"tail__rest_angle": 0.0}, MARGINAL),
    ("yaw.tail-size", {"tail__rest_angle": 0.0, "tail__wake": 0.6}, FAIL),
    ("yaw.tail-size", {"tail__rest_angle": 0.0, "tail__area": 0.2}, FAIL),
    ("yaw.friction", {"yaw__friction": 0.1}, OK),
    ("yaw.friction", {"yaw__friction": 1.2}, MARGINAL),
    ("yaw.friction", {"yaw__friction": 9.0}, FAIL),
    ("yaw.rate", {}, OK),
    ("yaw.rate", {"yaw__inertia": 0.5}, MARGINAL),
    ("yaw.rate", {"tail__mass": None}, UNKNOWN),
    ("yaw.side", {"yaw__rotor_side": UPWIND}, STATED),
    ("yaw.side", {"yaw__rotor_side": DOWNWIND}, FAIL),
    ("yaw.side", {"yaw__rotor_side": DOWNWIND, "rotor__overspeed": "pitching blades"}, MARGINAL),
    ("yaw.cable", {}, UNKNOWN),
    ("rotor.second-means", {}, STATED),
    ("rotor.second-means", {"dump__place": DUMP_PLACES[1]}, MARGINAL),
    ("rotor.second-means", {"dump__place": DUMP_PLACES[1], "rotor__brake": "none"}, FAIL),
    ("rotor.second-means", {"rotor__overspeed": "none", "rotor__brake": "none", "dump__kind": "none"}, FAIL),
    ("rotor.brake-heat", {"tail__mass": 2.5}, OK),
    ("rotor.brake-heat", {}, FAIL),
    ("rotor.brake-heat", {"generator__rated_current": None}, UNKNOWN),
    ("rotor.brake-heat", {"rotor__overspeed": "none", "generator__inductance": 6e-3}, MARGINAL),
    ("rotor.brake-heat", {"rotor__overspeed": "none", "generator__inductance": 2e-4}, DANGER),
    ("rotor.dump-holds", {}, OK),
    ("rotor.dump-holds", {"dump__resistance": 60.0}, FAIL),
    ("rotor.dump-holds", {"dump__resistance": None}, UNKNOWN),
    ("rotor.proven", {**SPEED, "measured__M1__wind_low": 12.0}, MARGINAL),
    ("rotor.proven", {**SPEED, "measured__M1__wind_low": 31.0}, OK),
    ("rotor.proven", {**SPEED, "measured__M1__wind_low": 3.0}, FAIL),
    ("rotor.proven", {**SPEED, "measured__M1__wind_low": 12.0, "generator__emf_constant": None}, UNKNOWN),
]


@pytest.mark.parametrize(("rule", "changes", "status"), CASES, ids=[f"{i}-{c[0]}" for i, c in enumerate(CASES)])
def test_every_rule_says_each_of_its_statuses(rule, changes, status):
    """And in words that hold no raw value."""
    found = said(rule, **changes)
    assert found.status is status, found.says
    assert "nan" not in found.says + found.more
    assert not found.says.startswith("Cannot") or status is UNKNOWN


def test_a_vane_fails_only_where_no_air_behind_the_rotor_would_help():
    """What is assumed of that air decides nothing; how sure it is is told, and looking comes before building."""
    changes = {"tail__rest_angle": 0.0}
    (doubtful,) = with_remedies(design(**changes), "yaw.tail-size")
    assert (doubtful.status, doubtful.value > 20.0) == (MARGINAL, True)
    assert "how hard the air behind it pushes the vane is assumed" in doubtful.says
    assert doubtful.remedies[0].kind is Act.MEASURE
    rule = [r for r in RULES if r.id == "yaw.tail-size"]
    (sampled,) = judge_rules(rule, System(design(**changes), {}))
    assert 0.2 < sampled.probability < 0.8
    best = [said("yaw.tail-size", tail__wake=0.9, tail__area=A, **changes).status for A in (0.35, 0.2)]
    assert best == [MARGINAL, FAIL]
    assert said("yaw.tail-size", tail__area=0.2, **changes).status is FAIL


@pytest.mark.parametrize("area", [0.12, 0.2, 0.3])
def test_a_small_vane_is_made_larger_before_a_boom_is_turned(area):
    """Area or arm first; that the boom stands off is for a vane as large as is common."""
    (found,) = with_remedies(design(tail__rest_angle=0.0, tail__area=area), "yaw.tail-size")
    first = next(r for r in found.remedies if r.changes)
    assert {c.path for c in first.changes} <= {"tail.area", "tail.arm"}
    assert "boom" not in found.remedy


def test_a_beginner_is_asked_five_things_of_the_tail_and_one_of_the_yaw_bearing():
    """Nothing else of both waits for anything."""
    bare = {name.replace(".", "__"): None for name in TAIL}
    found = judge_rules([r for r in RULES if r.id.startswith(("tail.", "yaw."))], System(design(**bare)))
    assert {f.rule: len(f.missing) for f in found} == {"tail.folds": 5, "yaw.cable": 1}


@pytest.mark.parametrize(
    "changes", [{"tail__hinge": FIXED}, {"tail__inclination": 0.0}, {"tail__stop_angle": 3.0 * DEG}]
)
def test_a_tail_that_cannot_fold_holds_nothing(changes):
    """Danger without anything else of the tail, the machine is as one that nothing holds, and a way out is proven."""
    lone = {name.replace(".", "__"): None for name in TAIL} | changes
    found = said("tail.folds", **lone)
    assert (found.status, len(found.caution) > 60) == (DANGER, True)
    x = System(design(**lone)).inputs()
    assert nothing_limits(x)
    assert math.isinf(float(limit_wind(x)))
    assert unloaded_held(x) is None
    whole = with_remedies(design(**changes), "tail.folds")[0]
    assert any(remedy.changes for remedy in whole.remedies)


def test_what_was_stated_is_not_put_aside():
    """A wind on the sheet stays, and the machine is the same to the last digit as without a tail."""
    bare = {name.replace(".", "__"): None for name in TAIL}
    one, two = (System(design(rotor__limit_wind=9.0, **more)).solved for more in ({}, bare))
    assert isinstance(one, Solved)
    assert isinstance(two, Solved)
    assert one.furling is None
    assert np.array_equal(one.operation.running.charge, two.operation.running.charge)
    assert float(one.limit) == float(two.limit) == 9.0
    assert described_furling(System(design(rotor__limit_wind=9.0)).inputs()).loaded.begins > 0


def test_a_described_tail_shapes_the_curve_and_the_storm():
    """Power rises, falls once it folds, and the storm's current, voltage and thrust are those of the folded rotor."""
    solved = System(design()).solved
    assert isinstance(solved, Solved)
    power, begins = solved.operation.running.charge, float(solved.furling.loaded.begins)
    top = solved.winds[np.argmax(power)]
    assert begins - 1.0 <= top <= float(solved.furling.loaded.ends)
    at_25 = power[-1]
    assert at_25 < 0.5 * power.max()
    assert float(solved.at(solved.storm).current) < 0.5 * float(solved.greatest_current)
    thrust = solved.furling.thrust(np.array([begins, 20.0]))
    assert thrust[1] < thrust[0]
    held = unloaded_held(System(design()).inputs())
    assert float(held.wind) == pytest.approx(float(held_wind(System(design()).inputs())))
    assert float(held.wind) < 12.0
    assert float(held.speed) < 100.0 * 10.0 * RPM


@pytest.mark.parametrize(
    "rule", ["tail.keeps", "tail.returns", "tail.stop", "yaw.tail-size", "yaw.friction", "yaw.rate"]
)
def test_of_a_rotor_behind_the_mast_nothing_is_told_that_holds_only_ahead_of_it(rule):
    """And the rule of the side says that it was not checked."""
    assert said(rule, yaw__rotor_side=DOWNWIND, yaw__friction=1.0) is None
    assert "were not checked" in said("yaw.side", yaw__rotor_side=DOWNWIND).says


def test_its_doubt_is_that_of_the_samples():
    """The wind in which it folds, and the power beyond, have a range."""
    system = System(design(), {"tail.mass": (4.0, 5.0)})
    many = system.sampled
    assert isinstance(many, Solved)
    low, high = np.percentile(many.limit, (5.0, 95.0))
    assert low < float(system.solved.limit) < high
    assert np.all(system.curve.low <= system.curve.high)


def test_variants_of_the_tail_alone_are_solved_as_each_alone():
    """Five masses beside one machine."""
    masses = np.array([3.0, 4.0, 4.5, 5.0, 6.0])
    many = System(design(tail__mass=masses)).solved
    for i, mass in enumerate(masses):
        one = System(design(tail__mass=float(mass))).solved
        assert float(many.limit[i]) == pytest.approx(float(one.limit), rel=1e-9)
        assert many.operation.running.charge[i] == pytest.approx(one.operation.running.charge, rel=1e-6, abs=1e-6)


def test_the_tail_folds_earlier_where_it_should_be_held_earlier():
    """A remedy of the winding's heat changes the tail, not the wind that the sheet does not state."""
    found = with_remedies(design(tail__mass=12.0), "generator.heat")[0]
    paths = {change.path for remedy in found.remedies for change in remedy.changes}
    assert Sheet.rotor.limit_wind.path not in paths


NONE_ASIDE = {"rotor__offset": 0.0, "rotor__limit_wind": 11.0}


def test_a_rotor_on_the_yaw_axis_folds_no_tail_and_is_told_so():
    """Thrust through the axis has no moment: no lighter tail would help, and setting the rotor aside does."""
    found = with_remedies(design(**NONE_ASIDE), "tail.folds")[0]
    assert found.status is DANGER
    assert "beside the yaw axis" in found.says
    assert "heavy" not in found.says
    assert found.remedies[0].changes[0].path == "rotor.offset"


def test_nobody_is_sent_to_read_the_speed_of_a_rotor_that_runs_away():
    """Where nothing folds, it is a danger and not a thing to be measured."""
    found = with_remedies(design(**NONE_ASIDE), "tail.keeps")[0]
    assert found.status is DANGER
    assert "known blow" not in found.remedy


@pytest.mark.parametrize(("offset", "free"), [(0.0, True), (0.08, False)])
def test_a_wind_on_the_sheet_holds_nothing_back_where_the_tail_does_not_fold(offset, free):
    """The throw, the loads and the voltages then are those of the storm's gust."""
    x = System(design(rotor__offset=offset, rotor__limit_wind=11.0)).inputs()
    assert nothing_limits(x) is free
    assert (unloaded_held(x) is None) is free
    assert bool(np.isinf(limit_wind(x))) is free


def test_variants_with_and_without_an_offset_are_as_each_alone():
    """What holds one variant back says nothing of the others."""
    both = System(design(rotor__offset=np.array([0.0, 0.08]), rotor__limit_wind=11.0)).inputs()
    assert np.isinf(limit_wind(both)).tolist() == [True, False]


@pytest.mark.parametrize("stated", [5.0, 11.0, 25.0])
def test_one_speed_with_the_tail_working_is_told_everywhere(stated):
    """Of the wind stated and the tail described, the greater; tail and wires tell the same speed."""
    changes = {"rotor__limit_wind": stated}
    x = System(design(**changes)).inputs()
    speed = show(unloaded_held(x).speed, "rpm", 2)
    assert float(held_wind(x)) >= stated
    assert float(held_wind(x)) >= 0.99 * float(np.min([described_furling(x).free.most(gust_wind(x)), gust_wind(x)]))
    assert speed in said("tail.keeps", **changes).says
    assert f"with the tail working ({speed})" in said("generator.touch-voltage", **changes).says


def test_a_wind_between_begin_and_end_of_the_fold_agrees():
    """It is what somebody would note of a tail that folds little by little."""
    c = described_furling(System(design(rotor__limit_wind=11.0)).inputs()).loaded
    ends = float(c.ends)
    assert np.isfinite(ends)
    assert ends > 1.3 * float(c.begins)
    found = said("tail.folds", rotor__limit_wind=0.98 * ends)
    assert "the two agree" in found.says
    assert found.status is OK


def test_no_tail_is_made_heavier_whose_rotor_gets_too_fast_already():
    """One finding does not ask for what the next one forbids."""
    early = with_remedies(design(rotor__limit_wind=20.0), "tail.folds")[0]
    assert early.status is MARGINAL
    assert "heavier" not in early.remedy
    assert "Leave it folding so early" in early.remedy


def test_a_boom_far_too_thin_is_told_the_tube_that_holds():
    """The next three sizes would not do, and a mast's scale of widths does not bind a broomstick."""
    found = with_remedies(design(**{**BOOM, "tail__boom_diameter": 0.02, "tail__boom_wall": 0.0015}), "tail.boom")[0]
    assert found.status is DANGER
    assert any(r.changes for r in found.remedies)
    assert "ake the boom of tube 48.3 mm" in found.remedy
