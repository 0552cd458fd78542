"""The one next step, its order, and that no command it names would be wrong to run."""

import json
import re
import shlex

import pytest

from calc.finding import Status
from journal.book import (
    attempts,
    corrections,
    decisions,
    failures,
    measurements,
    records,
    revisions,
    sheet,
    store,
)
from journal.review import acceptance, verdict, weighing
from journal.review.loop import loop
from journal.review.next_step import status_of

#: What stands in a command for what the builder has to say.
BLANK = re.compile(r"\.\.\.|REVISION|ATTEMPT|What is done")


def new_failure(s, saw="it broke", **about):
    """A failure with a cause and evidence, so that what comes next is a correction."""
    return failures.log_failure(s, failures.FailureTyped(saw, cause="a crack", evidence="seen", **about))


def tried(s, **about):
    """An attempt in a wind, with the battery connected."""
    return attempts.log_attempt(
        s, attempts.AttemptTyped("ran it", **{"wind": "Bft 6", "load_state": "battery", "kind": "run"} | about)
    )


def chosen(s, question, changes=None, **about):
    """A decision that is taken."""
    d = decisions.open_decision(s, decisions.DecisionTyped(question, **about))
    weighing.offer_option(s, d.ref, decisions.OptionTyped("this", changes=changes or {}))
    weighing.choose_option(s, d.ref, weighing.ChoiceTyped("this", "it is best"))
    return d


@pytest.fixture
def broken(s):
    """F1 on r1, in Bft 6 with a battery; r2 made from it."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    failure = new_failure(s, attempt=tried(s, outcome="failed").ref)
    revisions.revise(s)
    return failure


def test_only_a_decision_about_the_failure_is_named(s, broken):
    """None; then one about something else; then one that names it and is open, has options, is taken."""
    chosen(s, "Which battery?")
    assert (loop(s, broken).how, loop(s, broken).move.needs) == (
        'galebook decide "What is done about F1?"', "no decision names F1 yet",
    )  # fmt: skip
    d = decisions.open_decision(s, decisions.DecisionTyped("What is done about F1?"))
    assert loop(s, broken).how == 'galebook option D2 "..."'
    weighing.offer_option(s, d.ref, decisions.OptionTyped("a bolt"))
    assert loop(s, broken).how == 'galebook choose D2 "..." --because "..."'
    weighing.choose_option(s, d.ref, weighing.ChoiceTyped("1", "cheap"))
    assert loop(s, broken).how == "galebook fix F1 --by D2"
    corrections.withdraw(s, "D2", "a slip")
    assert "D2" not in loop(s, broken).how
    chosen(s, "Which cable?", context="F10 and F11 were about the other")
    assert loop(s, broken).how.startswith("galebook decide")


@pytest.mark.parametrize("where", ["question", "context"])
def test_a_decision_says_anywhere_what_it_is_about(s, broken, where):
    """In its question or in its context."""
    about = {"question": "And F1?"} if where == "question" else {"question": "What now?", "context": "as F1 showed"}
    chosen(s, **about)
    assert loop(s, broken).how == "galebook fix F1 --by D1"


def test_only_a_revision_that_holds_the_choice_is_named(s, broken):
    """Its sheet says what the decision chose; else it is told that none does."""
    chosen(s, "F1?", {"rotor.diameter": "1.8 m"}, on="r1")
    failures.correct(s, "F1", by="D1")
    assert (loop(s, broken).how, loop(s, broken).move.needs) == (
        "galebook sheet r2 --edit", "no sheet after r1 has what D1 chose",
    )  # fmt: skip
    sheet.set_values(s, records.find_revision(s, "r2"), {"rotor.diameter": {"typed": "180 cm"}})
    assert loop(s, broken).how == "galebook fix F1 --in r2"
    sheet.set_values(s, records.find_revision(s, "r2"), {"rotor.diameter": {"typed": "2 m"}})
    tried(s, on="r2", outcome="worked")
    assert loop(s, broken).how == 'galebook revise --because "answers F1"'


def test_a_choice_without_changes_tells_no_revision(s, broken):
    """Unless it was asked on a later one than that which failed."""
    chosen(s, "F1?", on="r1")
    failures.correct(s, "F1", by="D1")
    assert loop(s, broken).how == "galebook fix F1 --in REVISION"
    chosen(s, "And F1 on r2?", on="r2")
    failures.correct(s, "F1", by="D2")
    assert loop(s, broken).how == "galebook fix F1 --in r2"


def test_without_a_later_revision_one_is_to_be_made(s):
    """And no reference is made up."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    failure = new_failure(s, attempt=tried(s, outcome="failed").ref)
    chosen(s, "F1?")
    failures.correct(s, "F1", by="D1")
    assert loop(s, failure).how == 'galebook revise --because "answers F1"'


#: What was tried on r2, and whether it shows that the correction of F1 (Bft 6, battery) works.
PROOFS = [
    ({"wind": "Bft 6"}, True), ({"wind": "Bft 8"}, True), ({"wind": "Bft 5"}, False), ({"wind": None}, False),
    ({"load_state": "battery and loads"}, True), ({"load_state": "nothing connected"}, False),
    ({"kind": "bench test"}, False), ({"kind": "raising"}, False), ({"kind": "storm"}, True),
    ({"outcome": "failed"}, False), ({"outcome": "still running"}, False), ({"on": "r1"}, False),
]  # fmt: skip


@pytest.mark.parametrize(("about", "fits"), PROOFS, ids=[str(p[0]) for p in PROOFS])
def test_only_an_attempt_as_hard_as_the_failure_is_named(s, broken, about, fits):
    """On the corrected machine, in the wind, with as much connected; else it is told which is wanted."""
    failures.correct(s, "F1", by=chosen(s, "F1?").ref, built_into="r2")
    made = tried(s, **{"on": "r2", "outcome": "worked"} | about)
    state = loop(s, broken)
    assert state.move.waits is not fits
    if fits:
        assert state.how == f"galebook verify F1 --by {made.ref}"
    else:
        assert "A1" not in state.how
        assert "a run of r2 in Bft 6 or more, with everybody out of its reach" in state.move.needs


def test_too_little_output_is_tested_in_less_wind(s, broken):
    """Nobody has to keep away for that."""
    failures.believe(s, "F1", failures.CauseTyped("too fast", rule="energy.year"))
    failures.correct(s, "F1", by=chosen(s, "F1?").ref, built_into="r2")
    assert loop(s, broken).move.needs == "it takes a run of r2 in Bft 6 or less"
    tried(s, on="r2", outcome="worked", kind="raising", wind="Bft 2")
    assert loop(s, broken).move.waits
    assert tried(s, on="r2", outcome="worked", wind="Bft 4").ref in loop(s, broken).how


def test_where_the_failure_has_no_wind_the_builder_judges(s):
    """No attempt is named, for none can be compared; the criterion says what it must show."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    tried(s, outcome="failed")
    failure = new_failure(s)
    revisions.revise(s)
    failures.correct(s, "F1", by=chosen(s, "F1?").ref, built_into="r2", criterion="no hum")
    assert "that shows it (no hum)" in loop(s, failure).move.needs
    tried(s, on="r2", outcome="worked")
    assert loop(s, failure).how == "galebook verify F1 --by ATTEMPT"


def test_whatever_a_hint_names_in_full_is_taken(story, run):
    """Step by step through the demo and back: no command without a blank is refused."""
    taken = 0
    run("decide", "What is done about F2?")
    run("option", "D7", "a bigger fuse"), run("choose", "D7", "1", "--because", "it holds")
    run("attempt", "a gale", "--on", "r2", "--wind", "Bft 9", "--load", "battery", "--outcome", "worked",
        "--kind", "storm")  # fmt: skip
    run("evidence", "F4", "the lamp dimmed")
    for _ in range(12):
        told = json.loads(run("status", "--json").out)
        open_ones = {f["ref"]: f["how"] for f in told["open_failures"]}
        full = [how for how in open_ones.values() if not BLANK.search(how)]
        if not full:
            break
        for how in full:
            assert run(*shlex.split(how)[1:]).code == 0, how
            taken += 1
    assert taken >= 3
    assert "F3" not in open_ones


def test_the_demo_names_nothing_wrong(story, run):
    """Voltage answers no fuse, and the storm that threw the blade proves no tail."""
    said = run("status").out
    assert "--by" not in said
    assert 'galebook decide "What is done about F2?"' in said
    assert "a run of r2 in Bft 9 or more" in " ".join(said.split())
    assert json.loads(run("status", "--json").out)["next"]["ref"] == "F2"


@pytest.fixture
def harmless(story):
    """The sheet of the demo's second machine: nothing that is not known of it can kill, and nothing is a danger."""
    with store.journal(story) as demo:
        rows = sheet.load_sheet(demo, records.find_revision(demo, "r2")).values
        return {path: {"typed": row.typed, "provenance": row.provenance} for path, row in rows.items()}


def next_of(s):
    """What the next step is about."""
    return status_of(s).next


TWO_PLUGS = {"house.feed": {"typed": "inverter into a socket by a lead with two plugs"}}


def test_the_order_of_what_is_next(s, harmless):
    """An empty sheet; a danger, whatever else is open; what is not known and can kill; a loop; what is due; fails."""
    assert (next_of(s).about, next_of(s).how) == ("sheet", "galebook sheet r1 --edit")
    of = records.find_revision(s)
    sheet.set_values(s, of, TWO_PLUGS | {"storage.chemistry": {"typed": "LiFePO4"}})
    new_failure(s, severity=1)
    decisions.open_decision(s, decisions.DecisionTyped("Which cable?"))
    assert (next_of(s).about, next_of(s).how) == ("danger", "galebook check r1")
    assert "Do not let it turn" not in next_of(s).says
    sheet.unset(s, of, ["house.feed"])
    assert (next_of(s).about, next_of(s).how) == ("not known", "galebook missing r1")
    assert "can kill" in next_of(s).says
    sheet.set_values(s, of, harmless)
    assert (next_of(s).about, next_of(s).ref) == ("failure", "F1")
    corrections.withdraw(s, "F1", "a slip")
    assert (next_of(s).about, next_of(s).how) == ("decision", "galebook weigh D1")
    corrections.withdraw(s, "D1", "a slip")
    assert (next_of(s).about, next_of(s).how) == ("fail", "galebook check r1")


def test_a_machine_that_stands_is_not_to_turn(s):
    """Once it was tried, a danger is no matter of paper."""
    sheet.set_values(s, records.find_revision(s), TWO_PLUGS)
    tried(s, outcome="worked")
    assert next_of(s).says.endswith("Do not let it turn unattended.")


def test_the_worst_failure_that_can_be_worked_on_comes_first(s, broken, harmless):
    """One that waits for a gale does not keep the others waiting; of those the more severe comes first."""
    failures.correct(s, "F1", by=chosen(s, "F1?").ref, built_into="r2")
    sheet.set_values(s, records.find_revision(s, "r2"), harmless)
    new_failure(s, "it squeaks", severity=4)
    new_failure(s, "it shook", severity=2)
    assert next_of(s).ref == "F3"
    corrections.withdraw(s, "F3", "a slip")
    assert next_of(s).ref == "F2"
    corrections.withdraw(s, "F2", "a slip")
    assert (next_of(s).about, next_of(s).ref) == ("fail", "r2")
    for f in verdict.check(s).with_status(Status.FAIL):
        acceptance.accept_finding(s, "r2", f.rule, "so be it", "2027-01-01", subject=f.subject)
    assert (next_of(s).ref, next_of(s).how) == ("F1", 'galebook attempt "..." --on r2 --wind "..."')


def test_what_is_due_names_only_the_reading_that_settles_it(s, harmless):
    """A reading of the quantity, in the wind; else the builder says what came of it."""
    sheet.set_values(s, records.find_revision(s), harmless)
    d = decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, d.ref, decisions.OptionTyped("24 V"))
    weighing.choose_option(s, d.ref, weighing.ChoiceTyped(
        "24 V", "half the current", reading="charge.current above 2 A", reading_wind="Bft 4", odds="70%",
    ))  # fmt: skip
    d.review_on = "2026-11-01"
    assert next_of(s).how == 'galebook outcome D1 "..."'
    log = measurements.log_measurement
    log(s, measurements.MeasurementTyped("charge.current", "3 A"))
    log(s, measurements.MeasurementTyped("charge.current", "3 A", wind="Bft 8"))
    log(s, measurements.MeasurementTyped("battery.voltage", "26 V", wind="Bft 4"))
    assert next_of(s).how == 'galebook outcome D1 "..."'
    log(s, measurements.MeasurementTyped("charge.current", "3 A", wind="Bft 4"))
    assert next_of(s).how == "galebook outcome D1 --by M4"


@pytest.mark.parametrize("frozen", [False, True], ids=["draft", "as built"])
def test_status_and_check_never_disagree(story, run, frozen):
    """As judged now, as kept from the command before, and whichever asks first; the same doubt in all of them."""
    if not frozen:
        run("revise", "r2")
        run("set", "house.feed", "inverter into a socket by a lead with two plugs")
    newest = "r2" if frozen else "r3"
    for _ in range(2):
        status = json.loads(run("status", "--json").out)
        for row in status["revisions"]:
            told = run("check", row["ref"], "--json")
            found = [f for f in json.loads(told.out)["findings"] if not f["of_reading"]]
            assert sum(row["findings"].values()) == len(found)
            assert row["findings"] == {s: n for s in row["findings"] if (n := sum(f["status"] == s for f in found))}
            assert (told.code == 3) == bool({"danger", "fail"} & set(row["findings"]))
        dangers = [f["title"] for f in found if f["status"] == "danger"]
        assert status["dangers"] == dangers
        assert (status["next"]["about"] == "danger") == bool(dangers)
        assert len(status["deadly"]) == sum(f["deadly"] for f in found)
    with store.journal(story) as s:
        by_status, by_check = status_of(s).newest, verdict.check(s, newest)
        assert by_status.findings == by_check.findings
        assert [f.probability for f in by_status.findings] == [f.probability for f in by_check.findings]
