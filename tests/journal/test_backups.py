"""Copies that are kept, copies that are asked for, and the way back."""

import contextlib
import shutil
import sqlite3
from datetime import UTC, datetime, timedelta

import pytest

from journal.book import attachments, attempts, backups, health, history, places, sqlite_file, store
from journal.errors import BadInput, NotFound, Refused
from tests.conftest import dump, rows


@pytest.fixture
def day(monkeypatch):
    """Sets the day on which things are logged and copies are kept."""
    monkeypatch.setenv("GALEBOOK_BACKUPS", "some")

    def sets(moment):
        class Clock(datetime):
            @classmethod
            def now(cls, tz=None):
                return moment if tz else moment.replace(tzinfo=None)

        monkeypatch.setattr(backups, "datetime", Clock)
        monkeypatch.setattr(history, "datetime", Clock)

    return sets


#: After the build was begun.
START = datetime(2026, 12, 1, 9, 0, tzinfo=UTC)


def _log(path, what):
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped(what))


def test_the_first_change_of_a_day_keeps_what_was_there_before(path, day):
    """And the next ones of that day do not."""
    for number in range(3):
        day(START + timedelta(days=number))
        before = dump(path)
        _log(path, f"day {number}")
        _log(path, f"day {number}, later")
        copies = backups.kept(path)
        assert [c.why for c in copies] == ["daily"] * (number + 1)
        assert dump(copies[0].path) == before


def test_nothing_is_kept_of_an_empty_journal_or_where_it_is_not_wanted(tmp_path, path, day, monkeypatch):
    """There is nothing to go back to; or the person has other backups."""
    day(START)
    store.create(tmp_path / "new.db")
    with store.journal(tmp_path / "new.db", write=True):
        pass
    assert backups.kept(tmp_path / "new.db") == []
    monkeypatch.setenv("GALEBOOK_BACKUPS", "none")
    _log(path, "x")
    assert backups.kept(path) == []


def test_few_are_kept_the_last_days_and_the_weeks_before(path, day):
    """Of sixty days seven mornings, one of each of four weeks before, and six of the others."""
    for number in range(60):
        day(START + timedelta(days=number))
        backups.keep(path, backups.DAILY)
        if number % 6 == 0:
            backups.keep(path, "before-import")
    copies = backups.kept(path)
    mornings = [c.taken for c in copies if c.why == backups.DAILY]
    assert [(START + timedelta(days=59) - m).days for m in mornings[:7]] == list(range(7))
    assert len({m.isocalendar()[:2] for m in mornings[7:]}) == len(mornings[7:]) == 4
    assert len(copies) - len(mornings) == backups.OTHERS


def test_several_first_changes_at_once_do_not_push_other_days_out(path, day):
    """Of copies of one day the earliest stays, since it was taken before anything was changed."""
    for number in range(5):
        day(START + timedelta(days=number))
        backups.keep(path, backups.DAILY)
    for second in range(20):
        day(START + timedelta(days=5, seconds=second))
        backups.keep(path, backups.DAILY)
    taken = [c.taken for c in backups.kept(path)]
    assert [(t - START).days for t in taken] == [5, 4, 3, 2, 1, 0]
    assert taken[0] == START + timedelta(days=5)


def test_a_copy_that_cannot_be_kept_does_not_stop_the_logging(path, day, run):
    """The reading is saved, and the person is told."""
    day(START)
    places.kept_folder(path).mkdir(exist_ok=True)
    backups.backups_folder(path).write_text("in the way")
    done = run("attempt", "in the cold")
    assert (done.code, done.out) == (0, "A1\n")
    assert "No copy of the journal could be kept for today" in done.err
    assert rows(path, "SELECT did FROM attempt") == [("in the cold",)]


def test_yesterday_comes_back_with_its_files_and_today_is_kept(path, day, run, tmp_path):
    """By one command; the file of the restored record was removed by hand meanwhile."""
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(b"pixels")
    day(START)
    _log(path, "first")
    with store.journal(path, write=True) as s:
        attachments.attach(s, photo, "A1")
    yesterday = dump(path)
    day(START + timedelta(days=1))
    _log(path, "a mistake")
    today = dump(path)
    shutil.rmtree(places.files_folder(path))
    refused = run("restore", "2026-12-01")
    assert (refused.code, dump(path)) == (1, today)
    assert "add --yes" in refused.err
    done = run("restore", "2026-12-01", "--yes")
    assert done.code == 0, done.err
    assert dump(path) == yesterday
    with store.journal(path) as s:
        assert list(health.attached(s)) == []
    ((number, undone),) = [(n, c) for n, c in enumerate(backups.kept(path), 1) if c.why == "before-restore"]
    assert dump(undone.path) == today
    day(START + timedelta(days=1, hours=1))
    assert run("restore", str(number), "--yes").code == 0
    assert dump(path) == today


@pytest.mark.parametrize(
    ("which", "error", "said"),
    [
        ("7", NotFound, "no backup number 7"),
        ("0", NotFound, "no backup number 0"),
        ("1999-01-01", NotFound, "1999-01-01 or before"),
        ("the good one", BadInput, "is no backup"),
    ],
)
def test_what_is_no_backup_is_told(path, which, error, said):
    """With what would be accepted."""
    with pytest.raises(error, match=said):
        backups.choose(path, which)


def test_a_damaged_copy_is_not_restored(story, tmp_path):
    """What stands there stays."""
    copy, before = tmp_path / "copy.db", dump(story)
    sqlite_file.copy(story, copy)
    data = bytearray(copy.read_bytes())
    data[8192:12288] = bytes(4096)
    copy.write_bytes(data)
    with pytest.raises(Refused):
        backups.restore(story, copy)
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute("UPDATE attempt SET saw = 'changed by hand'")
        connection.commit()
    other = tmp_path / "other.db"
    sqlite_file.copy(story, other)
    with pytest.raises(Refused, match="not as the history leaves it"):
        backups.restore(story, other)
    assert dump(story) != before


def test_a_journal_that_was_lost_comes_back_from_a_stick(story, tmp_path, run):
    """To where there is none, on another machine."""
    stick = tmp_path / "stick"
    stick.mkdir()
    done = run("backup", str(stick))
    assert done.code == 0, done.err
    (copy,) = stick.glob("*.db")
    assert done.out.strip() == str(copy)
    assert "read back" in done.err
    before = dump(story)
    there = tmp_path / "elsewhere" / "journal.db"
    done = run("--journal", str(there), "restore", str(copy))
    assert (done.code, dump(there)) == (0, before)
    with store.journal(there) as s:
        assert list(health.attached(s)) == []
    # The table of the spin test, and the minutes and the rows of the logger.
    assert len(list(places.files_folder(there).glob("??/*"))) == 3


def test_a_backup_that_does_not_read_back_is_not_called_one(story, tmp_path, monkeypatch):
    """A stick that lies."""
    real = backups.hash_of
    monkeypatch.setattr(backups, "hash_of", lambda p: "0" * 64 if "stick" in str(p) else real(p))
    (tmp_path / "stick").mkdir()
    with pytest.raises(Refused, match="no good backup"):
        backups.copy_to(story, tmp_path / "stick")


def test_a_second_backup_of_a_day_takes_another_name(story, tmp_path):
    """Nothing on a stick is written over."""
    for _ in range(2):
        backups.copy_to(story, tmp_path)
    assert len(list(tmp_path.glob("demo-*.db"))) == 2


def test_restoring_waits_for_nobody_for_ever(story, tmp_path, monkeypatch):
    """While somebody has the journal open, it is not replaced under their hands."""
    from journal.book import use

    copy = tmp_path / "copy.db"
    sqlite_file.copy(story, copy)
    monkeypatch.setattr(use, "PATIENCE", 0.1)
    with store.journal(story, write=True), pytest.raises(Refused, match="Another program has"):
        backups.restore(story, copy)


def test_files_beside_the_former_name_go_into_a_backup(story, tmp_path, run):
    """And what lies nowhere is named, so that nobody counts on it."""
    moved = story.with_name("renamed.db")
    story.rename(moved)
    done = run("--journal", str(moved), "backup", str(tmp_path / "copy.db"))
    assert (done.code, "3 attached files" in done.err, "Not in it" in done.err) == (0, True, False)
    with store.journal(tmp_path / "copy.db") as s:
        assert list(health.attached(s)) == []
    shutil.rmtree(places.files_folder(story))
    done = run("--journal", str(moved), "backup", str(tmp_path / "other.db"))
    assert (done.code, "Not in it" in done.err, "X1 (spin-test.csv)" in done.err) == (0, True, True)


def test_a_lost_file_can_be_given_up(story, run):
    """The doctor says how, goes round in no circle, and is content afterwards."""
    shutil.rmtree(places.files_folder(story))
    for more in ((), ("--mend",), ("--mend",)):
        done = run("doctor", *more)
        assert (done.code, "galebook withdraw X1" in done.out, "--mend" in done.out) == (1, True, False)
    assert backups.kept(story) == []
    for ref in ("X1", "X2", "X3"):
        assert run("withdraw", ref, "--because", "gone for good").code == 0
    assert run("doctor").code == 0
    assert run("backup", str(story.with_name("copy.db"))).code == 0


def test_what_is_kept_as_it_was_found_is_listed(story, run):
    """A damaged journal before it was mended, with its own number; a day never means it."""
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute("UPDATE attempt SET saw = 'changed by hand' WHERE number = 2")
        connection.commit()
    damaged = dump(story)
    assert run("doctor", "--mend").code == 0
    (copy,) = backups.kept(story)
    assert (copy.as_found, dump(copy.path)) == (True, damaged)
    shown = run("backups")
    assert "1   20" in shown.out
    assert "it was put right; as it was found" in shown.out
    assert "galebook restore" not in shown.out
    with pytest.raises(NotFound):
        backups.choose(story, "today")
    assert backups.choose(story, "1") == copy.path


@pytest.mark.parametrize("left", ["nothing", "an empty file"])
def test_where_a_journal_was_lost_the_way_back_is_told(story, run, left):
    """Every command says that copies of it lie beside its place; another is not begun over them."""
    before = dump(story)
    backups.keep(story, "daily")
    story.unlink()
    if left == "an empty file":
        story.touch()
    for command in (("status",), ("check",), ("doctor",), ("start", "Another machine")):
        said = run(*command)
        assert said.code == 1
        assert "galebook restore 1" in said.err, command
    assert "galebook restore 1" in run("where").err
    assert run("restore", "1", "--yes").code == 0
    assert dump(story) == before


def test_an_empty_file_is_no_journal_and_no_dead_end(tmp_path, run):
    """What was meant to be one tells how it becomes one."""
    (tmp_path / "new.db").touch()
    said = run("--journal", str(tmp_path / "new.db"), "start", "Another machine")
    assert said.code == 1
    assert "Take it away. Begin one with" in said.err


@pytest.mark.parametrize("command", [("doctor",), ("doctor", "--mend"), ("status",)])
def test_a_file_of_another_kind_is_not_mended(tmp_path, run, command):
    """Nor is it offered; a text has nothing of a journal in it."""
    (tmp_path / "text.txt").write_text("bearing warm after an hour\n" * 500)
    said = run("--journal", str(tmp_path / "text.txt"), *command)
    assert said.code in (1, 2)
    assert "is not a Galebook journal" in said.err
    assert "mend" not in said.out + said.err
    restored = run("restore", str(tmp_path / "text.txt"))
    assert restored.code == 2
    assert "--yes" not in restored.err


@pytest.mark.parametrize("place", ["demo.db.files", "demo.db.kept", "demo.db.kept/copy.db"])
def test_a_backup_does_not_go_into_what_belongs_to_the_journal(story, run, place):
    """It would be lost with it."""
    places.files_folder(story).mkdir(exist_ok=True)
    places.kept_folder(story).mkdir(exist_ok=True)
    said = run("backup", str(story.parent / place))
    assert said.code == 1
    assert "belongs to the journal itself" in said.err


def test_a_stick_that_is_not_there_is_missed(story, run, tmp_path):
    """A name without an ending was meant for a folder; nothing is copied to the same disk in its place."""
    said = run("backup", str(tmp_path / "stick"))
    assert (said.code, "There is no folder" in said.err) == (1, True)
    assert not (tmp_path / "stick").exists()


def test_the_newest_is_the_one_with_the_newest_change(path, day):
    """Not the one that was taken last, after going back."""
    day(START)
    _log(path, "one")
    day(START + timedelta(days=1))
    _log(path, "two")
    newest = dump(path)
    day(START + timedelta(days=2))
    backups.restore(path, backups.choose(path, "1"))
    day(START + timedelta(days=2, hours=1))
    kept = backups.keep(path, "before-restore")
    assert backups.kept(path)[0].path == kept
    path.unlink()
    number = backups.way_back(path).rpartition(" ")[2]
    assert dump(backups.choose(path, number)) == newest


def test_a_journal_on_a_disk_that_cannot_be_written_is_copied(story, tmp_path, monkeypatch):
    """A failing disk is mounted for reading only, just when a copy is wanted."""
    real = sqlite3.connect

    def refuses(name, *args, **kw):
        if name == story:
            raise sqlite3.OperationalError("unable to open database file")
        return real(name, *args, **kw)

    monkeypatch.setattr(sqlite_file.sqlite3, "connect", refuses)
    with sqlite_file.copied(story, tmp_path) as half:
        monkeypatch.undo()
        assert dump(half) == dump(story)


def test_another_journal_is_named_before_it_takes_the_place(story, run, tmp_path):
    """By its builds."""
    other = str(tmp_path / "other.db")
    run("--journal", other, "start", "Pond pump mill")
    said = run("restore", other)
    assert (said.code, "holds Pond pump mill as it was on" in said.err) == (1, True)
