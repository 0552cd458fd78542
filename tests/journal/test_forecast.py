"""Options weighed by criteria, expectations that a reading settles, and proofs that are hard enough."""

import pytest

from journal.book import attempts, decisions, failures, measurements, records, revisions, sheet, sheet_toml
from journal.demo.sheets import FIRST_SHEET, SECOND_SHEET
from journal.errors import BadInput, NotFound, Refused
from journal.review import forecast, proof, weighing

CHOICES = (("small", "1.8 m", "90 GBP"), ("large", "2.6 m", "160 GBP"))


@pytest.fixture
def machine(s):
    """A machine that can be solved, with a decision about its rotor open."""
    for text in (FIRST_SHEET, SECOND_SHEET):
        sheet.set_values(s, records.find_revision(s), sheet_toml.from_toml(text))
    sheet.set_values(
        s, records.find_revision(s), {"storage.voltage": {"typed": "24 V"}, "storage.chemistry": {"typed": "LiFePO4"}}
    )
    decisions.open_decision(s, decisions.DecisionTyped("How large a rotor?"))
    for name, diameter, cost in CHOICES:
        weighing.offer_option(
            s, "D1", decisions.OptionTyped(name, changes={"rotor.diameter": diameter}, cost=cost, mass="3 kg")
        )
    return s


def test_figures_are_computed_for_each_option(machine):
    """The larger rotor brings more in a year, and the figures show it."""
    decisions.add_criterion(machine, "D1", "yearly_energy", "5")
    found = weighing.decision_matrix(machine, "D1")
    assert [m[0] for m in found.marks] == [0.0, 10.0]
    assert found.leader.name == "large"
    assert all(row[0].endswith(" kWh") for row in found.values)


def test_marks_of_ones_own_count_with_their_weight(machine):
    """Cheapness weighs against energy; the totals are the weighted means."""
    decisions.add_criterion(machine, "D1", "yearly_energy", "1")
    decisions.add_criterion(machine, "D1", "easy to lower", "3")
    assert weighing.decision_matrix(machine, "D1").leader is None
    decisions.give_marks(machine, "D1", "small", "easy to lower", "10")
    decisions.give_marks(machine, "D1", "2", "Easy to lower", "2")
    found = weighing.decision_matrix(machine, "D1")
    assert found.totals == pytest.approx([30 / 4, (10 + 6) / 4])
    assert found.leader.name == "small"


def test_a_mark_given_again_replaces_the_first(machine):
    """There is one mark for each option and criterion."""
    decisions.add_criterion(machine, "D1", "looks", "1")
    for marks in ("3", "8"):
        decisions.give_marks(machine, "D1", "small", "looks", marks)
    assert weighing.decision_matrix(machine, "D1").marks[0] == [8.0]


def test_an_option_that_is_a_danger_does_not_compete(machine):
    """A must is a gate and no weight."""
    weighing.offer_option(
        machine, "D1", decisions.OptionTyped("no tail", changes={"rotor.overspeed": "none"}, cost="0 GBP")
    )
    decisions.add_criterion(machine, "D1", "cost", "1")
    found = weighing.decision_matrix(machine, "D1")
    assert [o.name for o in found.options] == ["small", "large"]


WRONG = [
    (lambda s: decisions.add_criterion(s, "D1", "cost", "0"), BadInput),
    (lambda s: decisions.add_criterion(s, "D1", "cost", "nan"), BadInput),
    (lambda s: decisions.give_marks(s, "D1", "small", "looks", "5"), NotFound),
    (lambda s: (decisions.add_criterion(s, "D1", "cost", "1"), decisions.add_criterion(s, "D1", "Cost", "1")), Refused),
    (
        lambda s: (
            decisions.add_criterion(s, "D1", "looks", "1"),
            decisions.give_marks(s, "D1", "small", "looks", "11"),
        ),
        BadInput,
    ),
    (
        lambda s: (decisions.add_criterion(s, "D1", "cost", "1"), decisions.give_marks(s, "D1", "small", "cost", "1")),
        NotFound,
    ),
    (lambda s: forecast.read_expectation("it will be fine", None), BadInput),
    (lambda s: forecast.read_expectation("charge.current above 2 V", None), BadInput),
    (lambda s: forecast.read_expectation("charge.curent above 2 A", None), BadInput),
]


@pytest.mark.parametrize(("call", "error"), WRONG)
def test_wrong_criteria_marks_and_expectations_are_refused(machine, call, error):
    """Each with one line of our own."""
    with pytest.raises(error):
        call(machine)


def expect(s, sentence, wind="Bft 4"):
    """Choose the larger rotor and expect a reading."""
    return weighing.choose_option(
        s, "D1", weighing.ChoiceTyped("large", "more energy", odds="70%", reading=sentence, reading_wind=wind)
    )[0]


def test_the_numbers_give_their_own_odds(machine):
    """A trickle is near certain, a flood impossible, and what lies between is between."""
    odds = [
        forecast.odds(
            machine,
            records.find_revision(machine),
            forecast.read_expectation(f"charge.current above {amps} A", "Bft 4"),
        )
        for amps in (0.001, 5, 400)
    ]
    assert odds[0] > 0.9
    assert 0.0 < odds[1] < 1.0
    assert odds[2] == 0.0


SETTLED = [
    ("3.4 A", {"doubt": "0.3 A"}, "came true"),
    ("1.2 A", {"doubt": "0.3 A"}, "did not"),
    ("2.1 A", {"doubt": "0.3 A"}, "cannot tell"),
]


@pytest.mark.parametrize(("read", "more", "result"), SETTLED)
def test_a_reading_settles_what_was_expected(machine, read, more, result):
    """Only beyond its doubt; within it nobody can tell."""
    made = expect(machine, "charge.current above 2 A")
    assert made.expected == "current into the battery above 2 A in a wind of Bft 4"
    assert 0.0 <= made.tool_odds <= 1.0
    attempts.log_attempt(machine, attempts.AttemptTyped("ran it", outcome="worked", wind="Bft 4", load_state="battery"))
    measurements.log_measurement(machine, measurements.MeasurementTyped("charge.current", read, attempt="A1", **more))
    assert forecast.conclude(machine, "D1", by="M1").result == result


UNFIT = [
    ("battery.voltage", "26 V", "Bft 4"),
    ("charge.current", "3 A", "Bft 8"),
]


@pytest.mark.parametrize(("quantity", "read", "wind"), UNFIT)
def test_a_reading_of_something_else_settles_nothing(machine, quantity, read, wind):
    """Another quantity or another wind is no proof either way."""
    expect(machine, "charge.current above 2 A")
    measurements.log_measurement(machine, measurements.MeasurementTyped(quantity, read, wind=wind))
    with pytest.raises(Refused):
        forecast.conclude(machine, "D1", by="M1")


def failure(s, rule, wind, load="battery"):
    """A failure on r1 tied to a rule, in a wind, with its correction built into r2."""
    attempts.log_attempt(s, attempts.AttemptTyped("ran it", outcome="failed", wind=wind, load_state=load))
    failures.log_failure(s, failures.FailureTyped("it went wrong", attempt="A1"))
    failures.believe(s, "F1", failures.CauseTyped("this", rule=rule))
    sheet.set_values(s, records.find_revision(s), {"rotor.blades": {"typed": "3"}}, "a test")
    revisions.revise(s)
    failures.correct(s, "F1", built_into="r2")


HARD = [
    ("rotor.overspeed", "Bft 9", "Bft 9", True),
    ("rotor.overspeed", "Bft 9", "Bft 8", False),
    ("rotor.overspeed", "Bft 8-9", "Bft 7-8", None),
    ("generator.charging-begins", "Bft 5", "Bft 4", True),
    ("generator.charging-begins", "Bft 5", "Bft 6", False),
    ("generator.charging-begins", "Bft 5", None, None),
]


@pytest.mark.parametrize(("rule", "failed_in", "proved_in", "enough"), HARD)
def test_a_proof_must_be_as_hard_as_what_failed(s, rule, failed_in, proved_in, enough):
    """More wind is the harder test for what breaks, less wind for what gives too little."""
    failure(s, rule, failed_in)
    tried = attempts.log_attempt(
        s, attempts.AttemptTyped("ran r2", on="r2", outcome="worked", wind=proved_in, load_state="battery")
    )
    found = proof.hardness(s, records.find_record(s, "F1"), tried)
    assert found.enough is enough, found.says
    if enough is False:
        with pytest.raises(Refused, match="shows nothing yet"):
            proof.verify(s, "F1", "A2")
    else:
        assert proof.verify(s, "F1", "A2").verified_by_attempt_id == tried.key
