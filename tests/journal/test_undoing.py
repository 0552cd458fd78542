"""The last command taken back and done again: nothing left of it, nothing else touched, all of it in the history."""

import json
import shlex
import shutil

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import select

from journal.book import store
from journal.book.history import broken_links, kept_kinds, plain
from journal.book.undoing import TAKEN_BACK
from tests.conftest import rows

#: One of each kind of change, each possible after any of the others.
COMMANDS = (
    "set storage.voltage '24 V' --correct 'misread'",
    "set cable.mast.length '34 m' --correct 'measured again'",
    "unset storage.voltage --correct 'not known'",
    "attempt 'ran on the gable' --outcome failed",
    "measure '12.1 V' battery.voltage",
    "fail 'hummed' --cause 'weak magnets' --sure 60%",
    "claim '400 W at 9 m/s' --by 'the seller'",
    "part add 'servo motor' --role generator",
    "decide 'Which voltage?'",
    "revise --title 'the next'",
    "amend build purpose='light' --because 'misspelt'",
    "paper 'insurance of the house' --kind insurance",
)


def standing(path):
    """All records as they stand, by kind and key: those that were withdrawn are out of every report."""
    with store.journal(path) as session:
        return {
            (name, record.id): plain(record)
            for name, kind in kept_kinds().items()
            for record in session.exec(select(kind))
            if getattr(record, "withdrawn_because", None) is None
        }


def _is_whole(path):
    from journal.book import health

    with store.journal(path) as session:
        told = health.history_rows(session.connection())
        assert not list(broken_links(told))
    assert not health.first_fault(path)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_is_taken_back_and_done_again(do, path, command):
    do("set storage.voltage '12 V'")
    before = standing(path)
    do(command)
    after = standing(path)
    assert after != before
    do("undo")
    assert standing(path) == before
    do("redo")
    assert standing(path) == after
    _is_whole(path)


@pytest.mark.both
def test_a_record_keeps_its_number(do, run, path):
    do("measure '12.1 V' battery.voltage", "undo", "measure '12.3 V' battery.voltage")
    assert rows(path, "SELECT number, typed, withdrawn_because FROM measurement ORDER BY number") == [
        (1, "12.1 V", TAKEN_BACK),
        (2, "12.3 V", None),
    ]
    # What was logged since stands in the way of doing the other again.
    refused = run("redo")
    assert refused.code == 1
    assert "since" in refused.err


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.sampled_from((*COMMANDS, "undo", "undo", "redo")), max_size=9))
def test_any_order(run, request, path, steps):
    """Whatever was done, taken back and done again: undo leads back to every earlier state, the newest first."""
    for file in path.parent.glob(f"{path.name}*"):
        shutil.rmtree(file) if file.is_dir() else file.unlink()
    shutil.copy(request.getfixturevalue("_blank"), path)
    states = [standing(path)]
    taken = []
    for line in steps:
        done = run(*shlex.split(line))
        if done.code:
            continue
        if line == "undo":
            taken.append(states.pop())
        elif line == "redo":
            states.append(taken.pop())
        else:
            states.append(standing(path))
            taken = []
        assert standing(path) == states[-1], line
    while len(states) > 1:
        assert run("undo").code == 0
        states.pop()
        assert standing(path) == states[-1]
    _is_whole(path)


def test_the_beginning_stays(run, path):
    told = run("undo")
    assert told.code == 1
    assert "restore" in told.err


def test_it_tells_what_it_took_back(do):
    said = do("set storage.voltage '12 V'", "set storage.voltage '24 V'", "undo").err
    assert "r1 storage.voltage: 24 V instead of 12 V" in said
    said = do("attempt bench --outcome worked", "undo").err
    assert "A1: bench" in said
    assert "r1 was frozen" in said


def test_of_a_failure_all_is_taken_back(do, path):
    do("fail 'hummed' --cause 'weak magnets' --sure 60%", "undo")
    assert rows(path, "SELECT count(*) FROM cause") == [(0,)]
    do("redo")
    do("cause F1 'thin cable'", "undo", "cause F1 'a bad joint'")
    shown = json.loads(do("show F1 --json").out)
    assert "a bad joint" in json.dumps(shown)
    do("amend F1.3 what='a very bad joint' --because 'looked again'")


def test_a_file_is_taken_back(do, run, path, tmp_path):
    photo = tmp_path / "hub.txt"
    photo.write_text("the hub")
    do("attempt bench --outcome worked", f"attach {photo} --to A1", "undo")
    assert json.loads(do("list files --json").out) == []
    do("redo")
    assert len(json.loads(do("list files --json").out)) == 1
    assert run("doctor").code == 0


@pytest.mark.both
def test_what_was_withdrawn_is_brought_back(do, run, path):
    do("attempt bench --outcome worked", "measure '12.1 V' battery.voltage -a A1", "withdraw A1 --because wrong")
    assert rows(path, "SELECT frozen_at IS NULL FROM revision") in ([(1,)], [(True,)])
    do("withdraw M1 --because 'went with it'")
    first = run("reinstate", "M1", "--because", "right")
    assert first.code == 1
    assert "reinstate A1" in first.err
    do("reinstate A1 --because 'right after all'", "reinstate M1 --because 'right after all'")
    assert rows(path, "SELECT frozen_at IS NULL FROM revision") in ([(0,)], [(False,)])
    twice = run("reinstate", "A1", "--because", "again")
    assert twice.code == 1
    assert "was not withdrawn" in twice.err


@pytest.mark.parametrize(
    ("ref", "make"),
    [
        ("F1.2", ("fail hummed --cause a", "cause F1 b", "cause F1 c")),
        ("F1.e2", ("fail hummed --cause a", "evidence F1 x", "evidence F1 y", "evidence F1 z")),
        ("D1.2", ("decide q?", "option D1 a", "option D1 b", "option D1 c")),
    ],
)
def test_what_was_taken_out_of_a_record_is_brought_back_with_its_number(do, run, path, ref, make):
    do(*make)
    before = standing(path)
    do(f"withdraw {ref} --because wrong")
    assert standing(path) != before
    do(f"reinstate {ref} --because right")
    assert standing(path) == before
    do(f"withdraw {ref} --because wrong")
    assert run("reinstate", ref.replace("2", "9"), "--because", "x").code == 1


def test_anothers_change_is_left_to_them(do, run, monkeypatch):
    monkeypatch.setenv("GALEBOOK_WHO", "ann")
    do("measure '12.1 V' battery.voltage")
    monkeypatch.setenv("GALEBOOK_WHO", "bob")
    told = run("undo")
    assert told.code == 1
    assert "ann" in told.err
