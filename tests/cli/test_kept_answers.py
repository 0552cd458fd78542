"""The answers of a dialogue are kept as they are given, and gone on with, whatever stops it; at real terminals."""

import json
import sqlite3

import pytest
import typer

from journal.cli.typed import without_keys
from tests.conftest import dump, rows
from tests.talking import END, GALEBOOK, HANG_UP, INTERRUPT, LEFT, talk

#: The answers to what a bare attempt asks first.
BEGUN = ("ran it", "run", "2026-05-02", "it hummed")


@pytest.fixture
def kept(path):
    """The answers that are kept beside the journal."""
    folder = path.with_name("journal.db.kept") / "texts"
    return lambda: [json.loads(p.read_text())["answers"] for p in sorted(folder.glob("*.json"))]


@pytest.mark.parametrize("stop", [INTERRUPT, END, HANG_UP], ids=["Ctrl-C", "end of input", "terminal closed"])
def test_a_dialogue_that_is_stopped_is_gone_on_with(path, kept, stop):
    """At the next call of the same command, Enter takes each answer as it was; then nothing is kept any more."""
    shown, code = talk([*GALEBOOK, "attempt"], *BEGUN, stop)
    assert code != 0
    assert list(kept()[0].values()) == list(BEGUN)
    if stop is not HANG_UP:
        assert "Your answers are kept; go on with: galebook attempt" in shown
        assert "nothing was saved" in shown
    assert rows(path, "SELECT count(*) FROM attempt") == [(0,)]
    shown, code = talk([*GALEBOOK, "attempt"], "y", "", "", "", "", "Bft 4", "battery", "worked", "", "n", "")
    assert code == 0, shown
    assert "did not finish. Go on with it [Y/n]:" in shown
    assert rows(path, "SELECT did, kind, began, saw, wind, outcome FROM attempt") == [
        ("ran it", "run", "2026-05-02", "it hummed", "Bft 4", "worked")
    ]
    assert kept() == []


def test_an_arrow_key_moves_within_an_answer(path):
    """Or, where the system has no such editing, leaves nothing in it."""
    shown, code = talk([*GALEBOOK, "decide"], f"Which rop?{LEFT}e", "")
    assert code == 0, shown
    assert rows(path, "SELECT question FROM decision") == [("Which rope?",)]


def test_a_key_that_is_no_letter_does_not_cost_the_answer(path, run, answers):
    """Where it came through: it is told, and the answer without it is offered."""
    answers(f"Which rope{LEFT}?", "", "")
    result = run("decide")
    assert (result.code, "control character" in result.err) == (0, True)
    assert rows(path, "SELECT question FROM decision") == [("Which rope?",)]


@pytest.mark.parametrize(
    ("typed", "left"),
    [("it hum\x1b[D\x1b[Dmed", "it hummed"), ("\x1bOAup", "up"), ("a\x1b[1;5Cb", "ab"), ("tab\tstays", "tab\tstays"),
     ("del\x7fete\udcff", "delete"), ("\x1b", "")],
)  # fmt: skip
def test_what_keys_leave_is_taken_out(typed, left):
    """Control sequences as ECMA-48 has them, single control characters, and bytes that are no text."""
    assert without_keys(typed) == left


def test_a_busy_journal_costs_no_answer(path, run, answers, monkeypatch, kept):
    """Another program writes for longer than it is waited for."""
    from journal.book import sqlite_file

    monkeypatch.setattr(sqlite_file, "WAIT_SECONDS", 0.1)
    answers("it stopped", "", "near miss", "", "a loose wire", "60%", "")
    other = sqlite3.connect(path)
    other.execute("BEGIN IMMEDIATE")
    result = run("fail")
    other.close()
    assert (result.code, "Nothing was saved" in result.err) == (1, True)
    assert result.err.endswith("Your answers are kept; go on with: galebook fail\n")
    asked = answers("y", *[""] * 8)
    assert run("fail").code == 0
    assert "Go on with it" in asked[0]
    assert rows(path, "SELECT saw, harm FROM failure") == [("it stopped", "near miss")]
    assert rows(path, "SELECT what, sure FROM cause") == [("a loose wire", 0.6)]
    assert kept() == []


@pytest.fixture
def stopped(run, answers, monkeypatch):
    """Answer some questions of a command, then press Ctrl-C."""
    from journal.cli import common

    def stop(*command_and_answers):
        command, *given = command_and_answers
        waiting = iter(given)
        answers()

        def prompt(text, **_):
            try:
                return next(waiting)
            except StopIteration:
                raise typer.Abort from None

        monkeypatch.setattr(common.typer, "prompt", prompt)
        return run(*command)

    return stop


def test_only_the_same_command_goes_on(path, run, answers, stopped, kept):
    """Another failure's cause is another dialogue; both are kept side by side."""
    for saw in ("it stopped", "it shook"):
        assert run("fail", saw).code == 0
    assert "go on with: galebook cause F1" in stopped(["cause", "F1"], "a loose wire").err
    asked = answers("the blades stall", "60%")
    with pytest.raises(RuntimeError, match="StopIteration"):
        _out_of_answers(run, "cause", "F2")
    assert [q for q in asked if "Go on" in q] == []
    assert [list(k.values()) for k in kept()] == [["a loose wire"], ["the blades stall", "60%"]]


def _out_of_answers(run, *command):
    try:
        run(*command)
    except StopIteration:
        raise RuntimeError("StopIteration") from None


def test_what_is_declined_is_not_offered_as_an_answer(path, stopped, answers, run, kept):
    """And goes when something else was saved in its place."""
    stopped(["part", "add"], "hub motor", "generator")
    asked = answers("n", "tail", "", "", "")
    assert run("part", "add").code == 0
    assert len(asked) == 5
    assert rows(path, "SELECT name, condition FROM part") == [("tail", None)]
    assert kept() == []


def test_today_is_the_day_on_which_it_was_said(stopped, kept, clock):
    """It may be another when the dialogue is gone on with."""
    stopped(["attempt"], "ran it", "run", "today")
    assert kept()[0]["When"] == "2026-11-25"


def test_an_evening_that_is_stopped_is_gone_on_with(path, stopped, answers, run, kept):
    """The attempt and the reading are saved; the next call offers to tell the rest, and then no more."""
    attempt = ("ran it", "run", "2026-05-02", "x", "Bft 4", "battery", "worked")
    result = stopped(["attempt"], *attempt, "12.1 V battery.voltage", "", "y", "it shook")
    assert (result.code, result.out) == (1, "A1\nM1\n")
    assert "what was logged before stays" in result.err
    assert result.err.endswith("go on with: galebook fail --attempt A1\n")
    assert kept() == [{"What did you see (not why)": "it shook"}]
    asked = answers("", "12.2 V", "12.2 V voltage", "", "n", "")
    assert run("attempt").code == 0
    assert "more to tell of A1" in asked[0]
    assert rows(path, "SELECT typed FROM measurement ORDER BY id") == [("12.1 V",), ("12.2 V",)]
    assert rows(path, "SELECT count(*) FROM attempt") == [(1,)]
    answers("another day", "", "", "", "", "", "", "", "n", "")
    assert run("attempt").code == 0
    assert rows(path, "SELECT count(*) FROM attempt") == [(2,)]


def test_where_nothing_can_be_kept_a_dialogue_still_serves(path, run, answers, monkeypatch):
    """The folder cannot be written."""
    from journal.cli import typed

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(typed, "new_text", full)
    answers("Which rope?", "")
    assert run("decide").code == 0
    assert rows(path, "SELECT question FROM decision") == [("Which rope?",)]


@pytest.mark.parametrize("content", ["", "{", "[" * 9999, '{"command": 3}', '{"command": ["decide"], "answers": []}'])
def test_a_file_that_somebody_changed_is_passed_over(path, run, answers, content):
    """It is not offered, and stays."""
    folder = path.with_name("journal.db.kept") / "texts"
    folder.mkdir(parents=True)
    (folder / "decide.json").write_text(content)
    asked = answers("Which rope?", "")
    assert (run("decide").code, len(asked)) == (0, 2)
    assert (folder / "decide.json").read_text() == content


def test_a_dialogue_that_saves_nothing_leaves_no_answers(story, run, answers):
    """Such as who a write-up is for."""
    before = dump(story)
    answers("forum")
    assert run("writeup").code == 0
    assert dump(story) == before
    assert not list(story.with_name("demo.db.kept").glob("texts/*"))
