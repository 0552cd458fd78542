"""Decisions: options with computed consequences, dangers that cannot be chosen, acceptances that lapse."""

import json

import pytest

from calc.finding import Status
from journal.book import attempts, decisions, failures, records, sheet, store
from journal.book.tables import Decision
from journal.errors import BadInput, NotFound, Refused
from journal.review import acceptance, forecast, verdict, weighing
from journal.review.next_step import status_of
from journal.review.options import view_decision
from journal.screens.check import accepted_by
from tests.conftest import dump

TWO_PLUGS = {"house.feed": "inverter into a socket by a lead with two plugs"}
SWITCH = {"house.feed": "transfer switch fitted by an electrician"}


def chosen_note(s, path):
    """The value and note on the newest sheet."""
    row = sheet.load_sheet(s, records.find_revision(s)).values[path]
    return row.typed, row.provenance, row.note


@pytest.mark.both
def test_an_option_is_computed_when_it_is_offered(s):
    """What it does to each finding is kept with it, before and after."""
    sheet.set_values(s, records.find_revision(s), {"house.feed": {"typed": "nothing in the house"}})
    decisions.open_decision(s, decisions.DecisionTyped("How is the house fed?"))
    option = weighing.offer_option(s, "D1", decisions.OptionTyped("two plugs", changes=TWO_PLUGS))
    moved = {m["rule"]: (m["before"], m["status"]) for m in json.loads(option.consequences)["moved"]}
    assert moved["house.feed"] == ("stated", "danger")
    assert sheet.load_sheet(s, records.find_revision(s)).values["house.feed"].typed == "nothing in the house"


@pytest.mark.both
def test_an_option_says_the_same_as_the_check_after_it_is_chosen(s):
    """The consequences that were computed are those that come."""
    decisions.open_decision(s, decisions.DecisionTyped("How is the house fed?"))
    option = weighing.offer_option(s, "D1", decisions.OptionTyped("switch", changes=SWITCH))
    promised = {(m["rule"], m["subject"]): m["says"] for m in json.loads(option.consequences)["moved"]}
    weighing.choose_option(s, "D1", weighing.ChoiceTyped("switch", "never on both"))
    found = verdict.check(s).by_key
    assert promised
    assert {key: found[key].says for key in promised} == promised


def test_options_are_weighed_anew_when_the_sheet_has_changed(s):
    """Asking again computes them with the sheet as it is now."""
    decisions.open_decision(s, decisions.DecisionTyped("How is the house fed?"))
    option = weighing.offer_option(s, "D1", decisions.OptionTyped("switch", changes=SWITCH))
    before = option.consequences
    sheet.set_values(s, records.find_revision(s), {"house.feed": {"typed": SWITCH["house.feed"]}})
    weighing.weigh_options(s, "D1")
    assert json.loads(option.consequences)["moved"] == []
    assert before != "[]"


@pytest.mark.parametrize("which", ["1", "two plugs", " TWO PLUGS "])
def test_a_danger_cannot_be_chosen(s, which):
    """By number or name, it is refused with what makes it one, and the decision stays open."""
    decisions.open_decision(s, decisions.DecisionTyped("How is the house fed?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("two plugs", changes=TWO_PLUGS))
    with pytest.raises(Refused, match="people can be hurt"):
        weighing.choose_option(s, "D1", weighing.ChoiceTyped(which, "cheapest"))
    assert (records.find_record(s, "D1").decided_on, sheet.load_sheet(s, records.find_revision(s)).values) == (None, {})


def test_a_danger_already_on_the_sheet_is_not_chosen_again(s):
    """That it is dangerous already is no way round."""
    sheet.set_values(s, records.find_revision(s), {p: {"typed": v} for p, v in TWO_PLUGS.items()})
    decisions.open_decision(s, decisions.DecisionTyped("How is the house fed?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("leave it", changes=TWO_PLUGS))
    with pytest.raises(Refused, match="people can be hurt"):
        weighing.choose_option(s, "D1", weighing.ChoiceTyped("1", "it works"))


def test_a_danger_that_came_after_the_offer_is_found_when_choosing(s):
    """An option is weighed again at the moment it is chosen."""
    decisions.open_decision(s, decisions.DecisionTyped("How is the house fed?"))
    option = weighing.offer_option(s, "D1", decisions.OptionTyped("two plugs", changes=SWITCH))
    option.changes = json.dumps(TWO_PLUGS)
    assert option.refused_because is None
    with pytest.raises(Refused, match="people can be hurt"):
        weighing.choose_option(s, "D1", weighing.ChoiceTyped("1", "cheapest"))


def test_a_danger_elsewhere_does_not_bar_an_option_that_has_nothing_to_do_with_it(s):
    """Otherwise no danger could be designed away step by step."""
    sheet.set_values(s, records.find_revision(s), {p: {"typed": v} for p, v in TWO_PLUGS.items()})
    decisions.open_decision(s, decisions.DecisionTyped("How tall?"))
    assert (
        weighing.offer_option(s, "D1", decisions.OptionTyped("8 m", changes={"mast.height": "8 m"})).refused_because
        is None
    )


@pytest.mark.parametrize("kind", ["danger", "ok", "unknown"])
def test_only_what_fails_or_is_marginal_can_be_accepted(s, kind):
    """A danger can only be designed away; the rest has nothing to accept."""
    feed = {"danger": TWO_PLUGS, "ok": {"house.feed": "nothing in the house"}, "unknown": {}}[kind]
    sheet.set_values(s, records.find_revision(s), {p: {"typed": v} for p, v in feed.items()})
    with pytest.raises(Refused, match="only designed away" if kind == "danger" else "to accept|says nothing"):
        acceptance.accept_finding(s, None, "house.feed", "it is only for a week", "2027-01-01")


@pytest.fixture
def roof(s):
    """A mast on a roof, which a rule finds wanting but not a danger."""
    sheet.set_values(s, records.find_revision(s), {"mast.kind": {"typed": "on a roof or gable"}})
    assert verdict.check(s).by_key["mast.roof", "mast"].status in verdict.ACCEPTABLE


def test_an_acceptance_is_kept_with_reason_and_date(s, roof):
    """And the check knows of it."""
    made = acceptance.accept_finding(s, None, "mast.roof", "until the pole is dug in", "2027-03-01")
    assert (made.kind, made.rule, made.subject, made.until) == ("acceptance", "mast.roof", "mast", "2027-03-01")
    assert verdict.check(s).accepted == {("mast.roof", "mast"): made}


@pytest.mark.parametrize(("until", "holds"), [("2026-11-26", True), ("2026-11-25", True), ("2026-11-24", False)])
def test_an_acceptance_lapses(s, roof, until, holds):
    """It holds to the end of its last day; after that it counts no longer, and the screen asks to look again."""
    made = acceptance.accept_finding(s, None, "mast.roof", "until the pole is dug in", "2027-03-01")
    made.until = until
    s.flush()
    assert bool(verdict.check(s).accepted) is holds
    assert status_of(s).due == ([] if holds else [made])


@pytest.mark.parametrize("until", ["2026-11-24", "yesterday", "1999-01-01"])
def test_an_acceptance_ends_in_the_future(s, roof, until):
    """One that has lapsed when it is made accepts nothing."""
    with pytest.raises(BadInput, match="over"):
        acceptance.accept_finding(s, None, "mast.roof", "until the pole is dug in", until)


def test_an_acceptance_does_not_cover_a_danger(s, roof):
    """A finding that becomes a danger later is not shown as accepted, whatever was accepted before."""
    acceptance.accept_finding(s, None, "mast.roof", "until the pole is dug in", "2027-03-01")
    result = verdict.check(s)
    finding = result.by_key["mast.roof", "mast"]
    worse = type(finding)(**{f: getattr(finding, f) for f in finding.__slots__} | {"status": Status.DANGER})
    assert (accepted_by(result, finding), accepted_by(result, worse)) == ("D1", None)


def test_the_change_set_of_a_choice_goes_onto_the_draft(s):
    """Each value with a note of the decision."""
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("12 V", changes={"storage.voltage": "12 V"}))
    weighing.offer_option(s, "D1", decisions.OptionTyped("24 V", changes={"storage.voltage": "24 V"}))
    decision, option = weighing.choose_option(
        s, "D1", weighing.ChoiceTyped("2", "half the current", expected="charges", odds="75%")
    )
    assert (option.name, decision.odds, decision.decided_on) == ("24 V", 0.75, "2026-11-25")
    assert chosen_note(s, "storage.voltage") == ("24 V", "calculated", "as decided in D1")


def test_a_choice_about_a_frozen_revision_leaves_its_sheet_alone(s):
    """Its sheet says what was built."""
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("24 V", changes={"storage.voltage": "24 V"}))
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    weighing.choose_option(s, "D1", weighing.ChoiceTyped("24 V", "half the current"))
    assert sheet.load_sheet(s, records.find_revision(s)).values == {}


CALLS = {
    "offer": lambda s: weighing.offer_option(s, "D1", decisions.OptionTyped("48 V")),
    "weigh": lambda s: weighing.weigh_options(s, "D1"),
    "choose": lambda s: weighing.choose_option(s, "D1", weighing.ChoiceTyped("24 V", "again")),
}


@pytest.mark.parametrize("call", CALLS)
def test_a_decision_taken_is_not_taken_again(s, call):
    """It can only be replaced by another, and the refusal says so."""
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("24 V"))
    weighing.choose_option(s, "D1", weighing.ChoiceTyped("24 V", "half the current"))
    with pytest.raises(Refused, match="--supersedes D1"):
        CALLS[call](s)


def test_a_decision_can_replace_an_earlier_one(s):
    """The earlier one stays as it was."""
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    later = decisions.open_decision(s, decisions.DecisionTyped("Which voltage after all?", supersedes="D1"))
    assert (later.supersedes_id, view_decision(s, "D2").supersedes) == (records.find_record(s, "D1").key, "D1")


def test_the_outcome_is_held_against_what_was_expected(s):
    """With the day on which it was seen."""
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("24 V"))
    weighing.choose_option(s, "D1", weighing.ChoiceTyped("24 V", "half the current", expected="charges at Bft 4"))
    made = forecast.conclude(s, "D1", "did not", "not in May", "2026-06-01")
    assert (made.result, made.result_note, made.reviewed_on) == ("did not", "not in May", "2026-06-01")


def test_a_decision_to_look_at_again_is_due_on_its_day(s):
    """Until its outcome is known."""
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("24 V"))
    weighing.choose_option(
        s, "D1", weighing.ChoiceTyped("24 V", "half the current", expected="charges", review_on="2026-11-25")
    )
    assert [d.ref for d in status_of(s).due] == ["D1"]
    forecast.conclude(s, "D1", "came true")
    assert status_of(s).due == []


@pytest.mark.parametrize(
    ("call", "error", "words"),
    [
        (lambda s: decisions.open_decision(s, decisions.DecisionTyped(" ")), BadInput, "is empty"),
        (lambda s: decisions.open_decision(s, decisions.DecisionTyped("x", on="r9")), NotFound, "no revision r9"),
        (
            lambda s: decisions.open_decision(s, decisions.DecisionTyped("x", supersedes="A1")),
            BadInput,
            "a decision is wanted",
        ),
        (lambda s: weighing.offer_option(s, "D9", decisions.OptionTyped("x")), NotFound, "no decision D9"),
        (
            lambda s: weighing.offer_option(s, "D1", decisions.OptionTyped("x", changes={"storage.volts": "24 V"})),
            BadInput,
            "Did you mean",
        ),
        (
            lambda s: weighing.offer_option(s, "D1", decisions.OptionTyped("x", changes={"storage.voltage": "24 A"})),
            BadInput,
            "wrong kind of unit",
        ),
        (
            lambda s: weighing.offer_option(s, "D1", decisions.OptionTyped("x", changes={"claim.C1.power": "9 W"})),
            BadInput,
            "galebook claim",
        ),
        (lambda s: weighing.choose_option(s, "D1", weighing.ChoiceTyped("36 V", "why")), NotFound, "Accepted: 1 24 V"),
        (
            lambda s: weighing.choose_option(s, "D1", weighing.ChoiceTyped("24 W", "why")),
            NotFound,
            "Did you mean '24 V'",
        ),
        (lambda s: weighing.choose_option(s, "D1", weighing.ChoiceTyped("1", "")), BadInput, "The reason is empty"),
        (
            lambda s: weighing.choose_option(s, "D1", weighing.ChoiceTyped("1", "why", odds="80%")),
            BadInput,
            "nothing is expected",
        ),
        (
            lambda s: weighing.choose_option(s, "D1", weighing.ChoiceTyped("1", "why", expected="x", odds="180%")),
            BadInput,
            "not a share",
        ),
        (
            lambda s: weighing.choose_option(s, "D1", weighing.ChoiceTyped("1", "why", review_on="soon")),
            BadInput,
            "not a date",
        ),
        (lambda s: forecast.conclude(s, "D1", "came true"), Refused, "not decided yet"),
        (
            lambda s: acceptance.accept_finding(s, None, "mast.rof", "why", "2027-01-01"),
            BadInput,
            "Did you mean mast.roof",
        ),
    ],
)
def test_what_cannot_be_is_told_and_changes_nothing(path, call, error, words):
    """Each mistake in one line."""
    with store.journal(path, write=True) as s:
        decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
        weighing.offer_option(s, "D1", decisions.OptionTyped("24 V"))
    before = dump(path)
    with pytest.raises(error) as caught, store.journal(path, write=True) as s:
        call(s)
    assert words in str(caught.value)
    assert dump(path) == before


def test_nothing_was_expected_so_nothing_came_true(s):
    """An outcome needs an expectation."""
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("24 V"))
    weighing.choose_option(s, "D1", weighing.ChoiceTyped("24 V", "half the current"))
    with pytest.raises(Refused, match="Nothing was expected"):
        forecast.conclude(s, "D1", "came true")


def test_an_acceptance_names_its_subject_where_a_rule_judged_several(s):
    """Which of two cables is accepted is not guessed."""
    items = {
        "storage.voltage": "12 V", "rotor.diameter": "2.2 m", "generator.emf_constant": "7.5 rpm/V",
        "cable.a.carries": "battery to loads", "cable.a.length": "60 m", "cable.a.area": "1.5 mm2",
        "cable.a.current": "15 A", "cable.b.carries": "battery to loads", "cable.b.length": "60 m",
        "cable.b.area": "1.5 mm2", "cable.b.current": "15 A",
    }  # fmt: skip
    sheet.set_values(s, records.find_revision(s), {p: {"typed": t} for p, t in items.items()})
    with pytest.raises(BadInput, match=r"--subject, one of: cable\.a; cable\.b"):
        acceptance.accept_finding(s, None, "wiring.voltage-drop", "for a week", "2027-01-01")
    made = acceptance.accept_finding(s, None, "wiring.voltage-drop", "for a week", "2027-01-01", subject="cable.b")
    assert made.subject == "cable.b"


def test_what_numbers_say_is_tied_to_a_cause_by_its_rule(s):
    """A rule named with a cause is one of the rule book."""
    failures.log_failure(s, failures.FailureTyped("it hardly charged"))
    assert (
        failures.believe(s, "F1", failures.CauseTyped("thin cable", rule="wiring.voltage-drop")).rule
        == "wiring.voltage-drop"
    )


def test_two_options_of_one_name_are_refused(s):
    """Else nobody could choose by name."""
    decisions.open_decision(s, decisions.DecisionTyped("Which rope?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("hemp"))
    with pytest.raises(Refused, match="already"):
        weighing.offer_option(s, "D1", decisions.OptionTyped(" HEMP "))
    assert len(decisions.options(s, records.find_record(s, "D1", Decision))) == 1


def test_which_way_a_figure_is_better():
    """More energy and more power are wanted, and less of everything else."""
    better = {name for name, figure in decisions.FIGURES.items() if figure.more_is_better}
    assert better == {"yearly_energy", "greatest_power"}
