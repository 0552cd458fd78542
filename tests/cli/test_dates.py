"""Dates in every command that takes one: read as people write them, told, asked about, and shown as they are known."""

import json
import sqlite3

import pytest

from journal.book import attempts, store
from journal.publish import figures, redact
from journal.publish import story as story_of
from tests.conftest import rows
from tests.journal.forms import there_and_back
from tests.talking import GALEBOOK, talk

SPRING = "2023-03-01/2023-05-31"


@pytest.fixture
def log(run, path):
    """A command that must go well, and what it told."""

    def logged(*args):
        done = run(*args)
        assert done.code == 0, done.err
        return done

    return logged


@pytest.fixture
def old(log, path):
    """An old machine of which little is known: tried in a spring, failed in March."""
    log("attempt", "turned on the barn", "--when", "spring 2023", "--outcome", "failed", "--wind", "Bft 5")
    log("measure", "12.1 V", "battery.voltage", "--attempt", "A1")
    log("fail", "it threw a blade", "--attempt", "A1", "--when", "March 2023", "--cause", "a knot", "--sure", "60")
    return path


def test_a_vague_day_stays_vague_on_every_screen(run, old):
    """And so does what takes its day from it."""
    for call in ("show A1", "list attempts", "show M1", "show r1", "writeup --for forum"):
        assert "spring 2023" in run(*call.split()).out, call
    for call in ("show F1", "writeup --for forum", "writeup --for workshop"):
        assert "March 2023" in run(*call.split()).out, call
    assert "/2023" not in "".join(
        run(*c.split()).out for c in ("show A1", "show F1", "history", "status", "list failures")
    )


def test_a_vague_day_in_json(run, old):
    """What was typed, and the first and last day."""
    spring = {"typed": "spring 2023", "earliest": "2023-03-01", "latest": "2023-05-31"}
    assert json.loads(run("show", "A1", "--json").out)["began"] == spring
    assert json.loads(run("list", "attempts", "--json").out)[0]["began"] == spring
    assert json.loads(run("show", "M1", "--json").out)["taken"] == spring
    assert json.loads(run("show", "F1", "--json").out)["happened"]["latest"] == "2023-03-31"


def test_what_was_typed_is_kept_and_told(log, path):
    """Another form is told in one line, and stands beside the day."""
    done = log("attempt", "ran it", "--when", "14.3.23", "--until", "March 20, 2023")
    assert "14.3.23 = 2023-03-14\nMarch 20, 2023 = 2023-03-20\n" in done.err
    columns = "began, began_typed, ended, ended_typed"
    assert rows(path, f"SELECT {columns} FROM attempt") == [("2023-03-14", "14.3.23", "2023-03-20", "March 20, 2023")]
    assert "14.3.23" in log("show", "A1").out
    assert json.loads(log("show", "A1", "--json").out)["began"] == "2023-03-14"
    assert log("attempt", "as it is kept", "--when", "2023-03-14").err.count("=") == 0
    assert rows(path, "SELECT began_typed FROM attempt")[1] == (None,)
    assert "A1" in log("search", "March 20").out


#: Every command that takes a date, without it.
TAKING = {
    "attempt": (["attempt", "x"], "--when"),
    "attempt until": (["attempt", "x", "--when", "2023-01-01"], "--until"),
    "measure": (["measure", "12 V", "battery.voltage"], "--when"),
    "fail": (["fail", "x"], "--when"),
    "cause": (["cause", "F1", "x"], "--when"),
    "look": (["look", "F1", "ice", "no"], "--when"),
    "paper": (["paper", "x"], "--when"),
    "paper until": (["paper", "x"], "--until"),
    "choose": (["choose", "D1", "b", "--because", "x"], "--when"),
    "choose review": (["choose", "D1", "b", "--because", "x"], "--review"),
}


@pytest.mark.parametrize("command", TAKING)
def test_every_date_is_read_alike(run, log, command):
    """14.03.2023 is taken, spring 2023 stays vague, 03/04/2023 is asked about."""
    words, flag = TAKING[command]
    log("fail", "it broke")
    log("decide", "which?")
    log("option", "D1", "b")
    refused = run(*words, flag, "03/04/2023")
    assert (refused.code, "Type 2023-04-03 or 2023-03-04" in refused.err) == (2, True)
    assert run(*words, flag, "some day").code == 2
    assert log(*words, flag, "spring 2023").err.startswith("spring 2023 = 2023-03-01 to 2023-05-31\n")


@pytest.mark.parametrize("command", [c for c in TAKING if c != "paper until" and "review" not in c])
def test_what_has_happened_is_not_yet_to_come(run, log, command):
    """One line."""
    words, flag = TAKING[command]
    log("fail", "it broke")
    log("decide", "which?")
    log("option", "D1", "b")
    refused = run(*words, flag, "2027-01-01")
    assert (refused.code, refused.err.count("\n")) == (2, 1)
    assert "yet to come" in refused.err


def test_at_a_terminal_which_of_two_is_asked(path):
    """Both are a choice; what was typed is kept with what was chosen."""
    shown, code = talk([*GALEBOOK, "attempt", "ran it", "--when", "03/04/2023"], "5", "4")
    assert code == 0, shown
    assert "1 3 April   2 4 March" in shown
    assert rows(path, "SELECT began, began_typed FROM attempt") == [("2023-03-04", "03/04/2023 = 2023-03-04")]


def test_in_a_dialogue_too(path):
    """It is not asked twice."""
    answers = ("ran it", "run", "03/04/2023", "3 April", "it hummed", "Bft 4", "battery", "worked", "", "n", "")
    shown, code = talk([*GALEBOOK, "attempt"], *answers)
    assert code == 0, shown
    assert rows(path, "SELECT began FROM attempt") == [("2023-04-03",)]


def test_a_correction_of_the_day(log, path, old):
    """By the name of the flag; readings and failures that had it from the attempt go with it."""
    log("fail", "it hummed", "--attempt", "A1")
    done = log("amend", "A1", "when=early April 2023", "--because", "the diary")
    assert "early April 2023 = 2023-04-01 to 2023-04-10" in done.err
    assert "With it went the day of M1, F2" in done.err
    assert rows(path, "SELECT began, began_typed FROM attempt") == [("2023-04-01/2023-04-10", "early April 2023")]
    assert rows(path, "SELECT happened FROM failure ORDER BY number") == [(SPRING.replace("05-31", "03-31"),), (
        "2023-04-01/2023-04-10",)]  # fmt: skip
    assert "began early April 2023, was spring 2023" in log("history", "A1").out
    log("amend", "A1", "until=2023-04-09", "--because", "the diary")
    log("amend", "A1", "outcome=partly", "--because", "it turned")
    assert rows(path, "SELECT ended, outcome FROM attempt") == [("2023-04-09", "partly")]


def test_it_ends_before_it_begins_only_where_that_is_sure(run, log):
    """March may lie before the 20th, April does not."""
    log("attempt", "x", "--when", "2023-03-20", "--until", "March 2023")
    assert "before it began" in run("attempt", "x", "--when", "April 2023", "--until", "2023-03-31").err


def test_an_attempt_of_which_nobody_says_how_it_went(run, log, path):
    """Is no success, and no proof."""
    log("attempt", "ran it", "--wind", "Bft 5")
    assert rows(path, "SELECT outcome FROM attempt") == [("not said",)]
    log("fail", "it hummed", "--attempt", "A1")
    log("set", "rotor.blades", "3")
    log("revise", "--because", "x")
    log("decide", "what?")
    log("option", "D1", "b")
    log("choose", "D1", "b", "--because", "x")
    log("fix", "F1", "--by", "D1", "--in", "r2")
    log("attempt", "again", "--on", "r2", "--wind", "Bft 6")
    refused = run("verify", "F1", "--by", "A2")
    assert (refused.code, "Nobody said how it went" in refused.err) == (1, True)
    log("amend", "A2", "outcome=worked", "--because", "it did")
    log("verify", "F1", "--by", "A2")
    assert "outcome not said" in run("writeup", "--for", "forum", "--with", "appendix").out


def test_vague_days_move_in_the_open_form(old, tmp_path):
    """Out and in again: the days, and what was typed."""
    first, second, new = there_and_back(old, tmp_path)
    assert first == second
    assert any(b'began_typed = "spring 2023"' in data for data in first.values())
    assert rows(new, "SELECT began, began_typed FROM attempt") == [(SPRING, "spring 2023")]


def test_attempts_are_told_in_the_order_of_their_middles(log, run):
    """A day of early March before the spring, one of late May behind it."""
    for did, when in (("third", "2023-05-20"), ("second", "spring 2023"), ("first", "2023-03-02")):
        log("attempt", did, "--when", when)
    page = run("writeup", "--for", "workshop").out
    places = [page.index(f"{did.title()}.") for did in ("first", "second", "third")]
    assert places == sorted(places)


def test_the_timeline_has_a_bar_for_a_vague_day(old):
    """Its mark stands in the middle, and the words tell what the bar means."""
    with store.journal(old, write=True) as s:
        for did in ("ran on", "stood through a storm"):
            attempts.log_attempt(s, attempts.AttemptTyped(did, outcome="worked"))
    with store.journal(old) as s:
        told = redact.for_reader(story_of.tell(s), frozenset())
    (picture,) = [p for p in figures.pictures(told) if p.name == "timeline"]
    assert picture.alt.startswith("From 2023-03-01")
    assert "dotted bar" in picture.alt


def test_a_paper_with_a_vague_last_day_is_told_once_it_may_be_over(log, run):
    """The month has begun: it is not claimed to hold."""
    log("attempt", "raised it")
    log("paper", "mast of 10 m", "--kind", "permission", "--until", "November 2026")
    log("paper", "insured", "--kind", "insurance", "--until", "December 2026")
    assert "November 2026, may be over" in run("list", "papers").out
    over = run("status").out
    assert ("L1" in over, "L2" in over) == (True, False)
    assert "Perhaps over: it held until November 2026." in run("writeup", "--for", "neighbour").out


def test_the_tables_hold_the_new_words(path, log):
    """The database itself takes no other outcome."""
    log("attempt", "x")
    with sqlite3.connect(path) as connection, pytest.raises(sqlite3.IntegrityError):
        connection.execute("UPDATE attempt SET outcome = 'great'")
