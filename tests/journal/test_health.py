"""A journal tells when it is not whole, and an unclean end is looked into before it does harm."""

import contextlib
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from journal.book import attempts, backups, health, history, places, sqlite_file, store
from journal.errors import Refused
from tests.conftest import dump, rows


def _faults(path):
    engine = sqlite_file.engine_of(path, write=False)
    with contextlib.closing(engine.connect()) as connection:
        found = [fault.what for fault in health.faults(connection)]
    engine.dispose()
    return found


def _change(path, *statements):
    with contextlib.closing(sqlite3.connect(path)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


def test_the_demo_is_whole(story):
    """Every record of a long story is as its history leaves it."""
    assert _faults(story) == []


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE attempt SET saw = 'nothing' WHERE number = 2", "Attempt A2 is not as the history leaves it"),
        ("DELETE FROM cause WHERE id = 1", "cause with the key 1 is in the history but no more in the journal"),
        ("DELETE FROM history WHERE id = 5", "lost a row at its number 6"),
        ("UPDATE history SET why = 'another' WHERE id = 7", "history was changed or lost a row at its number 7"),
        ("DELETE FROM build WHERE id = 1", "belongs to a record that is not there (build)"),
        ("UPDATE history SET after = '{' WHERE id = 7", "Row 7 of the history cannot be read"),
    ],
)
def test_what_was_changed_behind_the_back_is_told(story, statement, said):
    """By rows, by history, by references."""
    _change(story, statement)
    assert any(said in line for line in _faults(story))


def test_the_chain_binds_each_row_to_all_before():
    """Any change of any part of a row shows, and so does another order."""
    row = dict.fromkeys(history.COVERED) | {"kind": "attempt", "record_id": 1, "action": "add", "at": "t"}
    chain = history.chained("", [row | {"ref": f"A{n}"} for n in range(4)])
    assert list(history.broken_links(chain)) == []
    for name in (*history.COVERED, "who"):
        spoilt = [dict(r) for r in chain]
        spoilt[2][name] = "other"
        assert list(history.broken_links(spoilt)) == [spoilt[2]]
    assert list(history.broken_links([chain[0], chain[2], chain[3]])) == [chain[2]]
    assert list(history.broken_links([chain[1], chain[0], *chain[2:]])) != []


LEFT_OPEN = """
import os, sqlite3, sys
from pathlib import Path
from journal.book import attempts, store
also = sqlite3.connect(sys.argv[1])
also.execute("SELECT * FROM build").fetchall()
with store.journal(Path(sys.argv[1]), write=True) as s:
    attempts.log_attempt(s, attempts.AttemptTyped("the last one"))
    pass
os._exit(0)
"""


def _left_open(path):
    """A journal whose program ended without closing it."""
    subprocess.run([sys.executable, "-c", LEFT_OPEN, str(path)], check=True)
    assert places.log_of(path).stat().st_size > 0


def test_after_an_unclean_end_a_whole_journal_opens_with_all_that_was_logged(path):
    """What was said to be logged is there."""
    _left_open(path)
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("and on"))
    assert rows(path, "SELECT did FROM attempt ORDER BY number") == [("the last one",), ("and on",)]
    assert [p.name for p in places.kept_folder(path).iterdir()] == ["in-use"]


@pytest.mark.parametrize("write", [True, False])
def test_a_log_that_belongs_to_another_journal_is_not_taken_over(path, tmp_path, write):
    """A copy put over a journal beside a left log: the copy stays as it is, byte for byte, until somebody decides."""
    for n in range(3):
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped(f"attempt {n} " + "x" * 3000))
    backup = tmp_path / "backup.db"
    sqlite_file.copy(path, backup)
    for n in range(30):
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped(f"later {n} " + "x" * 3000))
    _left_open(path)
    shutil.copyfile(backup, path)
    before = path.read_bytes()
    with pytest.raises(Refused, match=r"not whole.*galebook doctor"), store.journal(path, write=write):
        pass
    assert path.read_bytes() == before
    assert places.log_of(path).exists()


LOOK = """
import sys
from pathlib import Path
from journal.book import store
with store.journal(Path(sys.argv[1])) as s:
    s.connection()
"""


def test_many_at_once_keep_the_copy_of_the_version_before(tmp_path):
    """Six programs find an older journal together: one brings it up, and what is kept is the old one."""
    story = tmp_path / "old.db"
    fixture = Path(__file__).parents[1] / "fixtures" / "version-0003.sql"
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.executescript(fixture.read_text(encoding="utf-8"))
        connection.execute("PRAGMA journal_mode=WAL")
    before = dump(story)

    looks = [subprocess.Popen([sys.executable, "-c", LOOK, str(story)]) for _ in range(6)]
    assert [look.wait() for look in looks] == [0] * 6
    (kept,) = backups.backups_folder(story).glob("*.db")
    assert dump(kept) == before
    assert _faults(story) == []
