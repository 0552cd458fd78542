"""How far the odds of builder and tool can be trusted, from what came of decisions."""

import pytest

from journal.book import decisions
from journal.review import forecast, predictions, weighing

STORY = (("90%", "came true"), ("70%", "did not"), ("80%", "partly"), ("60%", "cannot tell"), ("50%", None))


@pytest.fixture
def told(s):
    """Five decisions of which something was expected, and one of which nothing was."""
    for odds, result in STORY:
        d = decisions.open_decision(s, decisions.DecisionTyped("Which paint?"))
        weighing.offer_option(s, d.ref, decisions.OptionTyped("grey"))
        weighing.choose_option(
            s, d.ref, weighing.ChoiceTyped("1", "it was there", expected="it lasts a winter", odds=odds)
        )
        if result:
            forecast.conclude(s, d.ref, result)
    last = decisions.open_decision(s, decisions.DecisionTyped("Which rope?"))
    weighing.offer_option(s, last.ref, decisions.OptionTyped("hemp"))
    weighing.choose_option(s, last.ref, weighing.ChoiceTyped("1", "it was there"))
    return s


def test_only_a_yes_or_no_scores(told):
    """Brier 1950: the mean of (0.9 - 1)^2 and (0.7 - 0)^2; bias: 0.8 given on average, 0.5 came true."""
    record = predictions.record(told)
    you, numbers = record.scores
    assert [d.ref for d in record.decisions] == ["D1", "D2", "D3", "D4", "D5"]
    assert [d.ref for d in record.due] == ["D5"]
    assert (you.count, you.brier, you.bias) == pytest.approx((2, 0.25, 0.3))
    assert (numbers.count, numbers.brier) == (0, None)
    assert you.bins == ()


def test_from_twenty_on_there_is_a_table(s):
    """Fifteen of twenty at 80 % came true."""
    for i in range(20):
        d = decisions.open_decision(s, decisions.DecisionTyped(f"Which paint, {i}?"))
        weighing.offer_option(s, d.ref, decisions.OptionTyped("grey"))
        weighing.choose_option(s, d.ref, weighing.ChoiceTyped("1", "it was there", expected="it lasts", odds="80%"))
        forecast.conclude(s, d.ref, "came true" if i < 15 else "did not")
    (row,) = predictions.record(s).scores[0].bins
    assert (row.count, row.odds, row.came_true) == pytest.approx((20, 0.8, 0.75))


def test_withdrawn_decisions_do_not_count(told):
    """A slip is not a prediction."""
    from journal.book import corrections

    corrections.withdraw(told, "D2", "asked twice")
    assert predictions.record(told).scores[0].count == 1
