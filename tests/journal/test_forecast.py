"""Options weighed by criteria, expectations that a reading settles, and proofs that are hard enough."""

import pytest

from journal.book import attempts, decisions, failures, measurements, records, revisions, sheet, sheet_toml
from journal.demo.sheets import FIRST_SHEET, SECOND_SHEET
from journal.errors import BadInput, NotFound, Refused
from journal.review import forecast, proof, weighing

GROUND = {"hub", "weighed", "tail", "yaw", "guy", "base", "gin", "neighbour", "obstacle", "place"}
CHOICES = (("small", "1.6 m", "90 GBP"), ("large", "2.1 m", "160 GBP"))


@pytest.fixture
def machine(s):
    """A machine that can be solved, with a decision about its rotor open."""
    for text in (FIRST_SHEET, SECOND_SHEET):
        # What stands on the ground takes time to judge, and decides nothing here.
        values = {p: v for p, v in sheet_toml.from_toml(text).items() if p.split(".")[0] not in GROUND}
        sheet.set_values(s, records.find_revision(s), values)
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


# --- what an expectation is, and what can settle it -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sentence", "relation", "value"),
    [
        ("charge.current above 2 A", "above", 2.0), ("charge.current OVER 2 A", "above", 2.0),
        (" charge.current more than 200 mA ", "above", 0.2), ("charge.current > 2 A", "above", 2.0),
        ("charge.current below 2 A", "below", 2.0), ("charge.current under 2 A", "below", 2.0),
        ("charge.current less than 2 A", "below", 2.0), ("charge.current < 2 A", "below", 2.0),
    ],
)  # fmt: skip
def test_an_expectation_names_a_side(sentence, relation, value):
    """In whatever words."""
    got = forecast.read_expectation(sentence, None)
    assert (got.quantity, got.relation, got.wind) == ("charge.current", relation, None)
    assert got.value == pytest.approx(value)
    assert forecast.read_expectation(sentence, "Bft 4").wind == "Bft 4"


def test_an_expectation_in_words():
    """With its wind where it has one."""
    got = forecast.read_expectation("charge.current below 2 A", None)
    assert got.text == "current into the battery below 2 A"


def test_what_a_decision_expects(machine):
    """All that was typed of the reading; nothing where none was."""
    made = expect(machine, "charge.current below 2 A")
    assert forecast.expectation_of(made) == forecast.Expected("charge.current", "below", 2.0, "Bft 4")
    made.expects_relation = None
    assert forecast.expectation_of(made).relation == "above"
    for name in ("expects_quantity", "expects_value"):
        kept = getattr(made, name)
        setattr(made, name, None)
        assert forecast.expectation_of(made) is None
        setattr(made, name, kept)


def odds_of(s, sentence, wind="Bft 4"):
    """What the numbers hold of it on the newest revision."""
    return forecast.odds(s, records.find_revision(s), forecast.read_expectation(sentence, wind))


def test_odds_of_both_sides_are_the_whole(machine):
    """What is not above is below."""
    above, below = (odds_of(machine, f"charge.current {side} 5 A") for side in ("above", "below"))
    assert above + below == pytest.approx(1.0)


def test_odds_without_a_wind_are_those_of_eight_metres_a_second(machine):
    """At the rotor; and more wind gives more."""
    light, there, same, strong = (
        odds_of(machine, "charge.current above 9 A", wind) for wind in ("5 m/s", None, "8 m/s", "14 m/s")
    )
    assert light < there == same < strong


def test_odds_where_the_numbers_show_nothing(machine):
    """None for what the machine does not show, and for one that cannot be solved."""
    sheet.unset(machine, records.find_revision(machine), ["generator.emf_constant"])
    assert odds_of(machine, "charge.current above 2 A") is None


def read_on(s, read, wind="Bft 4", **more):
    """A reading of the current on r1."""
    return measurements.log_measurement(
        s, measurements.MeasurementTyped("charge.current", read, wind=wind, load_state="battery", **more)
    )


@pytest.mark.parametrize(
    ("read", "result"),
    [("3.4 A", "did not"), ("1.2 A", "came true"), ("2.1 A", "cannot tell"), ("1.9 A", "cannot tell")],
)
def test_less_can_be_expected_too(machine, read, result):
    """The other way round."""
    made = expect(machine, "charge.current below 2 A")
    reading = read_on(machine, read, doubt="0.3 A")
    done = forecast.conclude(machine, "D1", note="as read", on="2026-11-20", by="M1")
    assert (done.result, done.resolved_by_id, done.result_note) == (result, reading.key, "as read")
    assert (done.reviewed_on, done) == ("2026-11-20", made)


@pytest.mark.parametrize("wind", [None, "Bft 3-4", "Bft 4-5", "Bft 4"])
def test_a_reading_in_a_wind_that_touches_settles_it(machine, wind):
    """And one of which the wind is not known."""
    expect(machine, "charge.current above 2 A")
    read_on(machine, "3.4 A", wind, doubt="0.3 A")
    assert forecast.conclude(machine, "D1", by="M1").result == "came true"


@pytest.mark.parametrize("wind", ["Bft 2", "Bft 6"])
def test_a_reading_in_less_or_more_wind_settles_nothing(machine, wind):
    """On either side."""
    expect(machine, "charge.current above 2 A")
    read_on(machine, "3.4 A", wind)
    with pytest.raises(Refused, match=f"was read in a wind of {wind}"):
        forecast.conclude(machine, "D1", by="M1")


def test_a_reading_of_an_earlier_revision_settles_nothing(machine):
    """It was taken before the decision took effect; one of a later revision will do."""
    read_on(machine, "3.4 A", doubt="0.3 A")
    revisions.revise(machine)
    decisions.open_decision(machine, decisions.DecisionTyped("How many blades?"))
    weighing.offer_option(machine, "D2", decisions.OptionTyped("three", changes={"rotor.blades": "3"}))
    weighing.choose_option(machine, "D2", weighing.ChoiceTyped("three", "smoother", reading="charge.current above 2 A"))
    with pytest.raises(Refused, match="M1 is of r1, before D2 took effect"):
        forecast.conclude(machine, "D2", by="M1")
    expect(machine, "charge.current above 2 A")
    measurements.log_measurement(
        machine, measurements.MeasurementTyped("charge.current", "3.4 A", on="r2", load_state="battery", doubt="0.1 A")
    )
    assert forecast.conclude(machine, "D1", by="M2").result == "came true"


@pytest.mark.parametrize(
    ("given", "error", "words"),
    [({}, BadInput, "What came of it is missing"), ({"result": "did not", "by": "M1"}, BadInput, "is missing"),
     ({"by": "M1"}, Refused, "D1 expects no reading"), ({"result": "perhaps"}, BadInput, "Result")],
)  # fmt: skip
def test_a_conclusion_is_a_word_or_a_reading(machine, given, error, words):
    """Exactly one of them; a reading only where one was expected."""
    weighing.choose_option(machine, "D1", weighing.ChoiceTyped("large", "more energy", "twice the light", odds="70%"))
    read_on(machine, "3.4 A")
    with pytest.raises(error, match=words):
        forecast.conclude(machine, "D1", **given)
    assert forecast.conclude(machine, "D1", "did not").result == "did not"


def test_nothing_is_concluded_of_what_was_not_decided_or_expected(machine):
    """First the one, then the other."""
    with pytest.raises(Refused, match="D1 is not decided yet"):
        forecast.conclude(machine, "D1", "came true")
    weighing.choose_option(machine, "D1", weighing.ChoiceTyped("large", "more energy"))
    with pytest.raises(Refused, match="Nothing was expected of D1"):
        forecast.conclude(machine, "D1", "came true")


# --- proofs -----------------------------------------------------------------------------------------------------------


def tried(s, wind="Bft 9", load="battery", outcome="worked", on="r2"):
    """An attempt on the corrected revision."""
    return attempts.log_attempt(s, attempts.AttemptTyped("ran it", on=on, outcome=outcome, wind=wind, load_state=load))


@pytest.mark.parametrize(("load", "enough"), [("nothing connected", True), ("battery", False), (None, False)])
def test_what_failed_unloaded_is_proved_unloaded(s, load, enough):
    """A rotor that ran away with nothing connected is not tested by one that charged."""
    failure(s, "rotor.overspeed", "Bft 9", "nothing connected")
    found = proof.hardness(s, records.find_record(s, "F1"), tried(s, load=load))
    assert found.enough is enough
    if not enough:
        assert found.says == "F1 happened with nothing connected, A2 did not"


def test_too_little_output_may_be_proved_with_anything_connected(s):
    """What matters there is the wind."""
    failure(s, "generator.charging-begins", "Bft 5", "nothing connected")
    found = proof.hardness(s, records.find_record(s, "F1"), tried(s, "Bft 4"))
    assert (found.enough, found.says) == (True, "A2 saw Bft 4, F1 happened in Bft 5: that is at least as hard")


@pytest.mark.parametrize(
    ("wind", "enough", "says"),
    [("Bft 8", False, "it must be tested in at least as much wind"),
     ("Bft 8-9", None, "that may or may not be as hard"), ("Bft 9-10", True, "that is at least as hard")],
)  # fmt: skip
def test_how_hard_a_proof_is_in_words(s, wind, enough, says):
    """Beside both winds."""
    failure(s, "rotor.overspeed", "Bft 9")
    found = proof.hardness(s, records.find_record(s, "F1"), tried(s, wind))
    assert (found.enough, found.says) == (enough, f"A2 saw {wind}, F1 happened in Bft 9: {says}")


def test_winds_that_are_not_on_record_prove_nothing_and_refuse_nothing(s):
    """Of the failure, of the proof, or of a failure without an attempt."""
    failure(s, "rotor.overspeed", None)
    assert "In what wind F1 happened" in proof.hardness(s, records.find_record(s, "F1"), tried(s)).says
    failures.log_failure(s, failures.FailureTyped("it went wrong again"))
    found = proof.hardness(s, records.find_record(s, "F2"), tried(s))
    assert (found.enough, found.says[:22]) == (None, "In what wind F2 happen")


def test_a_rejected_cause_no_longer_says_what_is_hard(s):
    """Only what is still believed counts, also for what the rules still say."""
    failure(s, "generator.charging-begins", "Bft 5")
    (cause,) = failures.causes(s, records.find_record(s, "F1"))
    cause.standing = "rejected"
    s.flush()
    assert proof.hardness(s, records.find_record(s, "F1"), tried(s, "Bft 6")).enough is True
    assert proof.still_failing(s, records.find_record(s, "F1")) == []


def test_what_the_rules_still_say_of_a_correction(s):
    """Of the rules tied to its causes, on the revision that holds it, and only what fails."""
    failure(s, "house.feed", "Bft 5")
    f, r2 = records.find_record(s, "F1"), records.find_revision(s, "r2")
    assert proof.still_failing(s, f) == []
    sheet.set_values(s, r2, {"house.feed": {"typed": "inverter into a socket by a lead with two plugs"}})
    title = proof.verdict.check(s, "r2").by_key["house.feed", "house"].title
    assert proof.still_failing(s, f) == [f"{title}: danger"]
    sheet.set_values(s, r2, {"house.feed": {"typed": "nothing in the house"}})
    assert proof.still_failing(s, f) == []


def test_a_proof_is_taken_on_the_corrected_revision(s):
    """Not before it, not of a failed attempt, not of a reading that was not taken, not of another kind of record."""
    attempts.log_attempt(s, attempts.AttemptTyped("ran", outcome="failed", wind="Bft 5"))
    failures.log_failure(s, failures.FailureTyped("it broke", attempt="A1"))
    with pytest.raises(Refused, match="F1 has no correction"):
        proof.verify(s, "F1", "A1")
    revisions.revise(s)
    failures.correct(s, "F1", built_into="r2")
    with pytest.raises(Refused, match="A1 is of r1, before the correction in r2"):
        proof.verify(s, "F1", "A1")
    tried(s, outcome="failed")
    with pytest.raises(Refused, match="A2 failed"):
        proof.verify(s, "F1", "A2")
    with pytest.raises(BadInput, match="F1 cannot show"):
        proof.verify(s, "F1", "F1")
    tried(s, outcome="partly")
    done = proof.verify(s, "F1", "A3", "it held")
    assert (done.verified_by_attempt_id is not None, done.verified_note) == (True, "it held")
    m = measurements.log_measurement(
        s, measurements.MeasurementTyped("charge.current", "3 A", on="r2", wind="Bft 9", load_state="battery")
    )
    done = proof.verify(s, "F1", "M1")
    assert (done.verified_by_attempt_id, done.verified_by_measurement_id) == (None, m.key)
    done = proof.verify(s, "F1", "A3")
    assert done.verified_by_measurement_id is None
