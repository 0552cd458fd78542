"""Sudden ends, full disks, many at once and damaged files, in short; the long forms are in tests/hard."""

import contextlib
import importlib.util
import os
import random
import shutil
import sqlite3
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import typer

from calc.machine import spread
from journal import cli, demo
from journal.book import (
    attachments,
    attempts,
    backups,
    by_hash,
    health,
    history,
    places,
    safe_files,
    sqlite_file,
    store,
)
from journal.errors import Refused
from tests import faults, hold
from tests.conftest import dump, rows

HARD = Path(__file__).parents[1] / "hard"


def _hard(name):
    """One of the long forms."""
    spec = importlib.util.spec_from_file_location(name, HARD / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def worlds():
    """Journals in every state, in memory where there is any."""
    if not hasattr(os, "fork"):
        pytest.skip("processes cannot be forked here")
    before = spread.SAMPLES
    with faults.scratch() as home:
        yield faults.worlds(home)
    spread.SAMPLES = before


def test_every_command_that_writes_is_tried():
    """A new one has to be named here too, or that it only reads."""
    known = typer.main.get_command(cli.build()).commands
    assert {c.words[0] for c in faults.COMMANDS} | faults.READING == set(known)


def test_killed_at_any_moment_nothing_is_lost_but_the_command_itself(worlds):
    """Some of the commands that write into more than one place; 500 and more: tests/hard/kills.py."""
    kills = _hard("kills").kills
    for only in ("attach", "backup", "restore", "doctor", "older"):
        _, _, found = kills(worlds, 2, random.Random(7), only)
        assert found == []


def test_files_that_may_not_grow_leave_a_whole_journal(worlds):
    """As a quota, and nearly as a full disk, has it."""
    tried, _, found = _hard("full_disk").with_short_files(worlds, 2, random.Random(3), "att")
    assert (tried > 0, found) == (True, [])


def test_on_a_full_disk_a_journal_can_be_read_and_refuses_in_one_line(worlds, tmp_path):
    """A small disk in memory."""
    full_disk = _hard("full_disk")
    with full_disk.small_disk(tmp_path / "disk") as disk:
        if disk is None:
            pytest.skip("no disk can be mounted here")
        _, refused, found = full_disk.in_small_rooms(worlds, disk, 2, random.Random(2), "attach")
    assert (refused > 0, found) == (True, [])


def test_six_at_once_lose_no_number(worlds):
    """Nobody is refused; twenty and more: tests/hard/writers.py."""
    told, _, found = _hard("writers").at_once(worlds, 6, 3)
    assert ([line for line in told if line.split()[1] != "0"], found) == ([], [])


def test_readers_during_a_migration_wait_and_then_read(worlds):
    """Five at once with a newer program: one of them brings the journal up to date, and nobody is refused."""
    folder, before = worlds.copy("older"), worlds.before("older")
    children = []
    for number in range(5):
        if not (child := os.fork()):
            own = worlds.home / f"reader-{number}"
            own.mkdir()
            words = ("attempt", "after", "--on", "r1") if number == 2 else ("list", "attempts")
            os._exit(faults.run(words, folder, before=before, beside=own).code)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children] == [0] * 5
    assert hold.in_journal(folder / faults.NAME) == []
    assert rows(folder / faults.NAME, "SELECT version_num FROM alembic_version") == [("9998",)]


def test_answers_that_cannot_be_kept_are_printed(path, answers, run):
    """A full disk takes neither them nor the record; the person still has them to copy."""
    places.kept_folder(path).mkdir(exist_ok=True)
    (places.kept_folder(path) / "texts").write_text("in the way")
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TRIGGER full BEFORE INSERT ON claim BEGIN SELECT RAISE(ABORT, 'full'); END")
        connection.commit()
    answers("400 W at 9 m/s", "a neighbour")
    done = run("claim")
    assert done.code == 1
    assert "they were: " in done.err
    assert "400 W at 9 m/s" in done.err


def test_power_cut_loses_nothing_that_was_said(worlds):
    """One command, where its calls of the system can be recorded; the others: tests/hard/power_cuts.py."""
    if shutil.which("strace") is None:
        pytest.skip("there is no strace here")
    _, late, found = _hard("power_cuts").cuts(worlds, 8, random.Random(1), "measure")
    assert (late > 0, found) == (True, [])


def test_a_row_of_the_history_is_found_again_by_its_hash():
    """Any bit of it, of its hash, or of bytes that are no text any more."""
    row = dict.fromkeys(history.COVERED) | {"kind": "attempt", "record_id": 1, "action": "add", "at": "t"}
    whole = [r | {"id": n} for n, r in enumerate(history.chained("", [row | {"ref": f"A{n}"} for n in range(5)]))]
    for column, value in (("ref", "A\udcb2"), ("kind", "attempu"), ("record_id", 3), ("chain", "0" * 64)):
        spoilt = [dict(r) for r in whole]
        spoilt[2][column] = value
        assert by_hash.found_again(spoilt) == (whole, [2])
    spoilt = [dict(r) for r in whole]
    spoilt[2]["ref"] = "quite another"
    assert by_hash.found_again(spoilt) == (spoilt, [])
    assert by_hash.found_again([]) == ([], [])


def _bytes_changed(path, old, new):
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    data = path.read_bytes()
    assert data.count(old) > 0
    path.write_bytes(data.replace(old, new))


def test_a_damaged_history_spoils_no_record(story, run):
    """The record is right and its row of the history is not: neither is lost."""
    before = dump(story)
    ((number, after),) = rows(story, "SELECT id, after FROM history WHERE kind = 'attempt' AND action = 'add' LIMIT 1")
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute(
            "UPDATE history SET after = ? WHERE id = ?", (after.replace('"did": "', '"did": "0', 1), number)
        )
        connection.commit()
    assert run("doctor").code == 1
    assert run("doctor", "--mend").code == 0
    assert [x for x in dump(story) if 'INTO "attempt"' in x] == [x for x in before if 'INTO "attempt"' in x]


def test_text_that_is_no_text_any_more_is_told_and_put_back(story, run):
    """A bit of a letter was flipped; the database reads it, and Python would not."""
    before = dump(story)
    (did,) = rows(story, "SELECT did FROM attempt LIMIT 1")[0]
    _bytes_changed(story, did.encode(), bytes([did.encode()[0] | 0x80]) + did.encode()[1:])
    done = run("doctor")
    assert (done.code, "Traceback" in done.err) == (1, False)
    assert run("doctor", "--mend").code == 0
    assert [x for x in dump(story) if 'INTO "attempt"' in x] == [x for x in before if 'INTO "attempt"' in x]


def test_a_value_that_makes_no_sense_any_more_is_told_in_one_line(story, run):
    """A flipped bit in the name of a value: no traceback; but a mistake of our own is none of the journal's."""
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute("UPDATE sheetvalue SET path = 'rotor.diametes' WHERE path = 'rotor.diameter'")
        connection.commit()
    done = run("sheet", "r2")
    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "galebook doctor" in done.err
    assert run("doctor", "--mend").code == 0
    assert run("sheet", "r2").code == 0
    with pytest.raises(KeyError), store.journal(story):
        raise KeyError("ours")


def test_of_a_file_cut_off_what_is_left_is_read(story, run):
    """Half a file is half a journal, not none; what was lost is told."""
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    os.truncate(story, story.stat().st_size * 3 // 4)
    assert run("doctor").code == 1
    assert "Lost" in run("doctor", "--mend").out
    assert rows(story, "SELECT count(*) FROM attempt")[0][0] > 0


def test_a_page_of_zeros_is_no_endless_row(story, run):
    """It gives one row for ever to whoever asks for the next."""
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (root,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'partuse'").fetchone()
    data = bytearray(story.read_bytes())
    data[(root - 1) * 4096 : root * 4096] = bytes(4096)
    story.write_bytes(data)
    run("doctor", "--mend")
    assert rows(story, "SELECT count(*) FROM partuse")[0][0] > 0


def test_what_an_ended_process_left_half_written_is_taken_away(path, run):
    """By whoever writes there next, and by the doctor; what a living one writes stays."""
    dead, alive = path.parent / f"{safe_files.TEMPORARY}999999999-ab", path.parent / f"{safe_files.TEMPORARY}1-ab"
    for half in (dead, alive, places.kept_folder(path) / dead.name):
        half.write_bytes(b"half")
    assert "Half written" in run("doctor").out
    assert run("doctor", "--mend").code == 0
    assert [p.name for p in path.parent.rglob(f"{safe_files.TEMPORARY}*")] == [alive.name]


def test_a_page_whose_writing_was_ended_is_still_known(path, tmp_path, monkeypatch):
    """Whether the new one had its name already or not, it is written again without a question."""
    own, page = safe_files.OwnFiles(path), tmp_path / "page.md"
    own.put(page, b"one")
    for name in ("replace", "sync_folder"):
        with monkeypatch.context() as patch:
            patch.setattr(safe_files.OwnFiles, "_remember", _then_end(patch, name))
            with pytest.raises(KeyboardInterrupt):
                own.put(page, b"two")
        own.put(page, b"three")
    assert page.read_bytes() == b"three"


def test_what_was_written_beside_a_journal_is_known_where_both_were_moved(path, tmp_path):
    """And what was written elsewhere, where it is."""
    for page in (path.parent / "pages.md", tmp_path.parent / f"{tmp_path.name}-other.md"):
        safe_files.OwnFiles(path).put(page, b"one")
    moved = tmp_path / "moved"
    shutil.copytree(path.parent, moved, ignore=shutil.ignore_patterns("moved"))
    own = safe_files.OwnFiles(moved / path.name)
    assert own.is_ours(moved / "pages.md")
    assert own.is_ours(tmp_path.parent / f"{tmp_path.name}-other.md")
    assert not own.is_ours(path.parent / "pages.md")


def _end(*_, **__):
    raise KeyboardInterrupt


def _then_end(patch, name):
    remember = safe_files.OwnFiles._remember

    def remembered(*about):
        remember(*about)
        patch.setattr(safe_files.os if name == "replace" else safe_files, name, _end)

    return remembered


def test_a_backup_has_its_files_before_its_name(path, tmp_path, monkeypatch):
    """Ended while its files are copied, there is none; the next one to the same place is whole."""
    photo = tmp_path / "photo.png"
    photo.write_bytes(b"pixels")
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("ran"))
        attachments.attach(s, photo, "A1")
    target = tmp_path / "stick" / "copy.db"
    target.parent.mkdir()
    with monkeypatch.context() as patch:
        patch.setattr(backups, "_forget", _end)
        with pytest.raises(KeyboardInterrupt):
            backups.copy_to(path, target)
    assert not target.exists()
    assert places.files_folder(target).is_dir()
    assert backups.copy_to(path, target).files == 1
    with monkeypatch.context() as patch:
        patch.setattr(backups, "_copy_files", _end)
        with pytest.raises(KeyboardInterrupt):
            backups.keep(path, "before-import")
    assert backups.kept(path) == []


def test_a_clock_set_back_costs_no_backup(path, monkeypatch):
    """What was kept just now stays, and so does what is dated after it."""
    moment = [datetime(2026, 11, 25, 12, tzinfo=UTC)]

    class Clock(datetime):
        @classmethod
        def now(cls, tz=None):
            return moment[0] if tz else moment[0].replace(tzinfo=None)

    monkeypatch.setattr(backups, "datetime", Clock)
    for _ in range(9):
        moment[0] += timedelta(days=1)
        backups.keep(path, "before-import")
    later = {k.path for k in backups.kept(path)}
    moment[0] -= timedelta(days=400)
    made = backups.keep(path, "before-restore")
    assert made.exists()
    assert {k.path for k in backups.kept(path)} == later | {made}


def test_history_keeps_its_order_when_the_clock_does_not(path, monkeypatch):
    """By what came after what, not by what the clock said; the last change is the newest row's."""
    with monkeypatch.context() as patch:
        patch.setattr(history, "now", lambda: "2030-01-01T00:00:00Z")
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped("in the future"))
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("now"))
    assert backups.last_change(path).year == 2026
    assert hold.in_journal(path) == []


@pytest.mark.parametrize("harm", ["removed", "changed", "a link"])
def test_an_attachment_changed_by_hand_comes_back_when_it_is_attached_again(path, tmp_path, run, harm):
    """The doctor tells of it; a link, even to the right bytes, is no copy."""
    photo = tmp_path / "photo.png"
    photo.write_bytes(b"pixels")
    for _ in range(2):
        with store.journal(path, write=True) as s:
            if attempts_of(path) == 0:
                attempts.log_attempt(s, attempts.AttemptTyped("ran"))
            attachments.attach(s, photo, "A1")
        (file,) = places.files_folder(path).glob("??/*")
        assert (file.read_bytes(), file.is_symlink()) == (b"pixels", False)
        assert run("doctor").code == 0
        file.unlink()
        if harm == "changed":
            file.write_bytes(b"pixelz")
        elif harm == "a link":
            file.symlink_to(photo)
        assert run("doctor").code == 1


def attempts_of(path):
    return rows(path, "SELECT count(*) FROM attempt")[0][0]


def test_a_restore_puts_right_what_was_changed_beside_the_journal(path, tmp_path):
    """A photo of the right size and the wrong bytes among them."""
    photo = tmp_path / "photo.png"
    photo.write_bytes(b"pixels")
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("ran"))
        attachments.attach(s, photo, "A1")
    kept = backups.keep(path, "before-import")
    (file,) = places.files_folder(path).glob("??/*")
    file.write_bytes(b"pixelz")
    backups.restore(path, kept)
    assert file.read_bytes() == b"pixels"


def test_two_demos_in_one_folder_do_not_mix(tmp_path, monkeypatch):
    """The second is refused, also where the first began a moment ago."""
    create = store.create
    monkeypatch.setattr(demo.store, "create", lambda path: (create(path), create(path))[1])
    with pytest.raises(Refused, match="exists already"):
        next(demo.play(tmp_path))
    assert health.first_fault(tmp_path / "demo.db") is None
    assert sqlite_file.create(tmp_path / "demo.db") is False
