"""A measured curve beside the computed machine: what sets it apart, the finding, and for which causes it speaks."""

import numpy as np
import pytest

from calc.curve.shape import CurveForm, CurvePoint, CurveShape, shape_of
from calc.finding import Status
from calc.machine.design import build_design
from calc.machine.inputs import Inputs
from calc.machine.system import System
from calc.mechanisms import MECHANISMS
from calc.mechanisms.weighing import weigh_mechanisms
from calc.rules import RULES
from calc.rules.engine import judge_rules, outcome_of
from calc.rules.logged import form_text
from tests.calc.test_mechanisms import PIPE, bench, seen

WINDS = np.arange(3.0, 13.1, 0.5)
LESS = "less power than promised"


@pytest.fixture(scope="module")
def solved():
    """The machine of which curves are made up."""
    return System(build_design(PIPE)).solved


def computed(solved, V):
    """Its power in some winds."""
    return np.interp(V, solved.winds, solved.operation.running.charge)


def bins_of(P, count=60.0):
    """A measured curve as values of a sheet."""
    values = {}
    for V, power in zip(WINDS, P, strict=True):
        bin_ = {"wind": float(V), "power": float(power), "doubt": 0.03 * float(power) + 2.0, "count": count}
        values |= {f"curve.at{100 * V:04.0f}.{name}": value for name, value in bin_.items()}
    return values


MADE = {
    "same": lambda s: computed(s, WINDS),
    "half": lambda s: 0.5 * computed(s, WINDS),
    "shift": lambda s: computed(s, WINDS / 1.3),
    "cut": lambda s: np.minimum(computed(s, WINDS), 200.0),
}


@pytest.mark.parametrize(("how", "form", "amount"), [
    ("same", CurveForm.AS_COMPUTED, 1.0), ("half", CurveForm.PART, 0.5), ("shift", CurveForm.SHIFTED, 1.3),
    ("cut", CurveForm.CUT_OFF, 200.0),
])  # fmt: skip
def test_what_was_done_to_a_curve_is_found_with_its_number(solved, how, form, amount):
    """Halved, shifted to a wind 1.3 times as strong, cut off at 200 W; within 3 %."""
    P = MADE[how](solved)
    points = tuple(CurvePoint(float(V), float(p), 0.03 * float(p) + 2.0, 60.0) for V, p in zip(WINDS, P, strict=True))
    found = shape_of(points, solved.winds, solved.operation.running.charge)
    assert found.form is form
    assert found.amount == pytest.approx(amount, rel=0.03)
    assert found.share == pytest.approx(P[computed(solved, WINDS) > 0].sum() / computed(solved, WINDS).sum(), rel=0.02)


def test_three_bins_tell_no_shape_and_none_tells_nothing(solved):
    """What they share of the power is told all the same."""
    few = tuple(CurvePoint(V, 0.5 * float(computed(solved, V)), 2.0, 60.0) for V in (6.0, 7.0, 8.0))
    found = shape_of(few, solved.winds, solved.operation.running.charge)
    assert found.form is CurveForm.CANNOT_TELL
    assert found.share == pytest.approx(0.5)
    assert np.isnan(shape_of((), solved.winds, solved.operation.running.charge).share)


def finding(values):
    """What the rule says of a sheet, or None."""
    return next((f for f in judge_rules(RULES, System(build_design(values))) if f.rule == "measured.curve"), None)


def test_without_a_logger_there_is_no_finding():
    """Nobody is told of a curve that nobody measured."""
    assert finding(PIPE) is None


@pytest.mark.parametrize(("how", "status", "words"), [
    ("same", Status.OK, "the two agree"), ("half", Status.MARGINAL, "50 % of it in all winds"),
    ("shift", Status.MARGINAL, "1.3 times the wind"), ("cut", Status.MARGINAL, "cut off at 200 W"),
])  # fmt: skip
def test_the_finding_says_how_the_two_stand(solved, how, status, words):
    """It stands among the readings, for it asks a question of them as much as of the machine."""
    found = finding(PIPE | bins_of(MADE[how](solved)))
    assert found.status is status
    assert words in found.says
    assert found.of_reading
    assert len(found.first.split()) <= 35
    assert len(found.says.split()) <= 60


def test_a_share_that_goes_with_the_wind_is_told_from_where_to_where():
    """One number for all winds is told only where its bins have it; what a bin below nothing shows is no share."""

    def told(least, most):
        return form_text(CurveShape(CurveForm.PART, 0.096, 0.1, 0.02, 0.01, 0.1, 0.3, least, most))

    assert told(0.09, 0.11).startswith("It is 9.6 % of it in all winds, a sign of")
    assert told(0.009, 0.35).startswith("From wind to wind it is 0.9 to 35 % of it, a sign of")
    assert told(-0.02, 0.35).startswith("From wind to wind it is 0 to 35 % of it")


def test_the_range_is_that_of_the_bins(solved):
    """Of those in which power is computed, from a tenth to a half here."""
    there = computed(solved, WINDS)
    share = np.linspace(0.1, 0.5, len(WINDS))
    rows = zip(WINDS, share * there, strict=True)
    points = tuple(CurvePoint(float(V), float(P), 2.0, 60.0) for V, P in rows)
    found = shape_of(points, solved.winds, solved.operation.running.charge)
    tells = there > 0.03 * there.max()
    assert (found.least, found.most) == pytest.approx((share[tells].min(), share[tells].max()))


def test_variants_are_judged_as_each_alone(solved):
    """Level, value and margin of four rotors at once, some of which charge in fewer of the bins."""
    sizes = np.array([1.4, 1.8, 2.2, 2.6])
    values = PIPE | bins_of(0.8 * computed(solved, WINDS))
    rule = next(rule for rule in RULES if rule.id == "measured.curve")
    together = outcome_of(rule, Inputs(build_design(values | {"rotor.diameter": sizes})))
    for i, size in enumerate(sizes):
        alone = outcome_of(rule, Inputs(build_design(values | {"rotor.diameter": float(size)})))
        for part in ("level", "value", "margin"):
            assert getattr(together, part)[i] == pytest.approx(float(getattr(alone, part)), rel=1e-6)


def test_doubtful_inputs_widen_what_is_allowed(solved):
    """A machine whose diameter nobody knows within a third is not contradicted by three quarters of its power."""
    values = PIPE | bins_of(0.75 * computed(solved, WINDS))
    system = System(build_design(values), {"rotor.diameter": (1.6, 2.6)}, 80)
    found = next(f for f in judge_rules(RULES, system) if f.rule == "measured.curve")
    assert finding(values).status is Status.MARGINAL
    assert found.status is not Status.MARGINAL


def belief(values):
    """Shares of belief of a machine that gives less than promised."""
    return weigh_mechanisms(bench(values, seen(LESS, 6.0, 8.0)), MECHANISMS.values()).share


@pytest.fixture(scope="module")
def plain():
    """The same without a curve."""
    return belief(PIPE)


@pytest.mark.parametrize(("how", "cause"), [
    ("shift", "site.wind-overestimated"), ("cut", "furling.early"), ("half", "charging.loose-connection"),
])  # fmt: skip
def test_each_shape_speaks_for_its_own_cause(solved, plain, how, cause):
    """More wind for the same power: less wind than told. Cut off: the tail. A share in all winds: a joint, a leak."""
    found = belief(PIPE | bins_of(MADE[how](solved)))
    assert found[cause] == max(found.values())
    assert found[cause] > 3.0 * plain[cause]


def test_a_curve_as_computed_speaks_against_whatever_would_change_it(solved, plain):
    """Early furling and weak magnets lose belief; that too much was expected gains it."""
    found = belief(PIPE | bins_of(MADE["same"](solved)))
    for cause in ("furling.early", "generator.weak-magnets", "site.wind-overestimated"):
        assert found[cause] < 0.6 * plain[cause]
    assert found["sound.too-much-expected"] > plain["sound.too-much-expected"]
