"""Nothing is silently rewritten: every change leaves a row in the same transaction."""

import json
import re

import pytest

from journal.book import (
    attempts,
    builds,
    corrections,
    failures,
    health,
    measurements,
    parts,
    records,
    revisions,
    sheet,
    sheet_toml,
    store,
)
from tests.conftest import MOMENT, dump, rows

pytestmark = pytest.mark.both


def _history(path, **where):
    clause = " AND ".join(f"{k} = ?" for k in where) or "1"
    return rows(
        path, f"SELECT action, ref, before, after, why FROM history WHERE {clause} ORDER BY id", *where.values()
    )


def test_adding_is_told_with_all_that_was_added(path):
    """An added record appears with its fields."""
    with store.journal(path, write=True) as s:
        attempts.log_attempt(
            s, attempts.AttemptTyped("raised it", kind="raising", outcome="worked", began="2026-05-01")
        )
    ((action, ref, before, after, why),) = _history(path, kind="attempt")
    assert (action, ref, before, why) == ("add", "A1", None, None)
    assert json.loads(after).items() >= {"did": "raised it", "kind": "raising", "began": "2026-05-01"}.items()


def test_changing_is_told_with_before_after_and_why(path):
    """A correction keeps what stood there, and the reason."""
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    with store.journal(path, write=True) as s:
        corrections.amend(s, "A1", "did", "lowered it", "wrong word")
    action, ref, before, after, why = _history(path, kind="attempt")[-1]
    assert (action, ref, why) == ("correction", "A1", "wrong word")
    assert (json.loads(before), json.loads(after)) == ({"did": "raised it"}, {"did": "lowered it"})


def test_removing_is_told_with_all_that_was_there(path):
    """A value taken off the sheet stays in the history."""
    with store.journal(path, write=True) as s:
        sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    with store.journal(path, write=True) as s:
        sheet.unset(s, records.find_revision(s), ["rotor.diameter"])
    action, ref, before, after, _ = _history(path, kind="sheetvalue")[-1]
    assert (action, ref, after) == ("remove", "r1 rotor.diameter", None)
    assert json.loads(before).items() >= {"typed": "2.2 m", "number": 2.2}.items()


def test_writing_the_same_again_is_no_change(path):
    """A value set to what it was leaves no row."""
    for _ in range(2):
        with store.journal(path, write=True) as s:
            sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    assert len(_history(path, kind="sheetvalue")) == 1


def test_what_is_taken_back_leaves_no_history(path):
    """A command that fails after its changes were written leaves neither records nor history."""
    before = dump(path)

    def command():
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
            s.flush()
            raise RuntimeError

    with pytest.raises(RuntimeError):
        command()
    assert dump(path) == before


def test_a_reason_belongs_to_its_own_change_alone(path):
    """What follows in the same session is not told with the reason of what came before."""
    with store.journal(path, write=True) as s:
        failures.log_failure(s, failures.FailureTyped("it stopped", cause="ghosts", sure="90%"))
        failures.reject(s, "F1", 1, "there are none")
        failures.believe(s, "F1", failures.CauseTyped("a loose wire"))
        parts.add_part(s, parts.PartTyped("hub motor"))
        parts.fate(s, "P1", "broken", note="fell off the bench")
        attempts.log_attempt(s, attempts.AttemptTyped("tried again"))
    reasons = {(kind, action, why) for kind, action, why in rows(path, "SELECT kind, action, why FROM history")}
    assert {r for r in reasons if r[2]} == {
        ("cause", "change", "there are none"),
        ("partuse", "change", "fell off the bench"),
    }


def test_a_correction_ends_with_its_change(path):
    """What follows in the same session is not told as a correction."""
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
        corrections.amend(s, "A1", "did", "lowered it", "wrong word")
        attempts.log_attempt(s, attempts.AttemptTyped("tried again"))
    assert [row[0] for row in _history(path, kind="attempt")] == ["add", "correction", "add"]


@pytest.mark.parametrize("kind", ["part", "claim", "attempt", "measurement", "failure", "decision", "attachment"])
def test_every_record_of_the_demo_was_told_when_it_was_added(told, kind):
    """One row of kind add for each record, however it came about."""
    path = told / "demo.db"
    ((count,),) = rows(path, f"SELECT count(*) FROM {kind}")
    assert count > 0
    assert len(_history(path, kind=kind, action="add")) == count


@pytest.mark.parametrize("table", ["sheetvalue", "cause", "partuse", "attempt", "failure", "decision", "option"])
def test_replaying_the_history_gives_the_records(told, table):
    """What history says, from the first to the last change, is what stands in the tables."""
    path = told / "demo.db"
    state = {}
    for record, action, after in rows(
        path, "SELECT record_id, action, after FROM history WHERE kind = ? ORDER BY id", table
    ):
        if action == "remove":
            del state[record]
        else:
            state[record] = {**state.get(record, {}), **json.loads(after)}
    fields = [row[1] for row in rows(path, f'PRAGMA table_info("{table}")') if row[1] != "id"]
    listed = ", ".join(f'"{f}"' for f in fields)
    for key, *values in rows(path, f'SELECT id, {listed} FROM "{table}"'):
        kept = {k: v for k, v in state.pop(key).items() if v is not None}
        assert kept == {k: v for k, v in zip(fields, values, strict=True) if v is not None}
    assert state == {}


def test_times_are_utc(told):
    """Every row has the time, in UTC to the second."""
    times = {at for (at,) in rows(told / "demo.db", "SELECT at FROM history")}
    assert times == {MOMENT.strftime("%Y-%m-%dT%H:%M:%SZ")}


MAKE = {
    "A": lambda s: attempts.log_attempt(s, attempts.AttemptTyped("again")),
    "M": lambda s: measurements.log_measurement(s, measurements.MeasurementTyped("battery.voltage", "12 V")),
    "F": lambda s: failures.log_failure(s, failures.FailureTyped("again")),
    "P": lambda s: parts.add_part(s, parts.PartTyped("again")),
    "r": lambda s: revisions.revise(s),
}


@pytest.mark.parametrize("letter", MAKE)
def test_a_number_is_never_used_again(s, letter):
    """After the last one is withdrawn, the next gets a new number."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    first = MAKE[letter](s)
    corrections.withdraw(s, first.ref, "a slip")
    second = MAKE[letter](s)
    assert (second.number, records.find_record(s, first.ref, withdrawn=True)) == (first.number + 1, first)


def test_numbers_count_within_a_build(s):
    """Each build begins at one, and a reference means the build that is meant."""
    attempts.log_attempt(s, attempts.AttemptTyped("here"))
    builds.start(s, builds.BuildTyped("Another"))
    assert (attempts.log_attempt(s, attempts.AttemptTyped("there")).ref, records.find_record(s, "A1").did) == (
        "A1",
        "there",
    )
    builds.use(s, "shed wind GENERATOR")
    assert records.find_record(s, "a1").did == "here"


def test_the_demo_is_told_without_false_reasons(told):
    """In the demo, no reason stands beside more than one kind of record but that of a decision."""
    kinds = {}
    for kind, why in rows(told / "demo.db", "SELECT kind, why FROM history WHERE why IS NOT NULL"):
        kinds.setdefault(why, set()).add(kind)
    assert [why for why, found in kinds.items() if len(found) > 1 and not why.startswith("D")] == []


def test_a_value_taken_off_as_a_correction_leaves_nothing(path):
    """The history plays to the records also where a removal puts the record right."""
    with store.journal(path, write=True) as s:
        sheet.set_values(s, records.find_revision(s), sheet_toml.from_toml('[storage]\nvoltage = "12 V"\n'))
    with store.journal(path, write=True) as s:
        sheet.unset(s, records.find_revision(s), ["storage.voltage"], correction="never measured")
    with store.journal(path) as s:
        assert list(health.faults(s.connection())) == []


@pytest.mark.alone
def test_who_made_a_change_is_told_where_it_is_said(path, monkeypatch, run):
    """GALEBOOK_WHO signs what is written; without it nobody is named, and the chain holds over both."""
    run("attempt", "raised it")
    monkeypatch.setenv("GALEBOOK_WHO", " Ann ")
    run("attempt", "lowered it")
    assert rows(path, "SELECT ref, who FROM history WHERE kind = 'attempt'") == [("A1", None), ("A2", "Ann")]
    told = run("history").out
    assert [line.partition(", ")[2] for line in told.splitlines() if line.startswith("20")][-1] == "Ann"
    monkeypatch.setenv("GALEBOOK_WHO", "\x1b[31m")
    assert run("attempt", "again").code == 2


@pytest.mark.alone
def test_a_history_is_told_in_words(story, run):
    """Records by their references, what a program reads by what it is, nothing of columns and keys."""
    told = run("history", "D1").out
    assert "{" not in told
    assert "consequences" not in told
    assert "D1 24 V: what it does was worked out" in told
    assert "verified by attempt A8" in run("history", "F1").out
    run("amend", "M3", "attempt=A2", "--because", "the wrong run")
    told = run("history", "M3", "--full").out
    assert "attempt A2, was A1" in " ".join(told.split())
    assert "because: the wrong run" in told
    assert not re.search(r"_id|None|->", told)
