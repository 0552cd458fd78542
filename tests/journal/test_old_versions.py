"""Journals as older programs wrote them, kept as SQL, opened with the newest: nothing lost, nothing wrong.

Each was played with the program at the last commit at which its version was the newest; it tells the beginning of the
invented story, with a reading taken back, a value corrected, a cause rejected, a decision taken.
"""

import contextlib
import re
import shutil
import sqlite3
from pathlib import Path

import pytest

from journal.book import backups, health, sqlite_file, store
from journal.errors import Refused
from tests.conftest import dump, rows
from tests.journal.forms import there_and_back

FIXTURES = {file.stem.removeprefix("version-"): file for file in Path(__file__).parents[1].glob("fixtures/*.sql")}
#: What older programs are known to have left: nothing.
KNOWN: dict[str, list[str]] = {}


@pytest.fixture(params=sorted(FIXTURES))
def old(request, tmp_path, clock, monkeypatch):
    """A journal of an older version, named by GALEBOOK_JOURNAL."""
    path = tmp_path / "old.db"
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.executescript(FIXTURES[request.param].read_text(encoding="utf-8"))
        connection.execute("PRAGMA journal_mode=WAL")
    monkeypatch.setenv("GALEBOOK_JOURNAL", str(path))
    assert rows(path, "SELECT version_num FROM alembic_version") == [(request.param,)]
    return path


def test_every_version_has_a_fixture():
    """Whoever adds a migration plays a journal with the program before it: see DEVELOPERS.md."""
    assert set(sqlite_file.VERSIONS[:-1]) - set(FIXTURES) == set()


def _filled(row):
    return {name: row[name] for name in tuple(row.keys()) if row[name] is not None}


def _all(path):
    """Every row of every table, by table; columns that hold nothing do not count."""
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        return {
            table: [_filled(row) for row in connection.execute(f'SELECT * FROM "{table}"')]
            for table in tables - {"alembic_version"}
        }


def test_nothing_is_lost(old):
    """Each row is there with each of its values; a copy of the file from before is kept."""
    before, whole = _all(old), dump(old)
    with store.journal(old):
        pass
    after = _all(old)
    # The words that are searched are gathered again.
    before.pop("searchtext", None)
    for table, had in before.items():
        names = {name for row in had for name in row}
        kept = [{name: value for name, value in row.items() if name in names} for row in after[table]]
        assert [row for row in had if row not in kept] == [], table
        assert table == "setting" or len(kept) == len(had)
    (copy,) = (file for file in backups.backups_folder(old).rglob("*.db") if "version-" in file.name)
    assert dump(copy) == whole


def test_it_is_whole(old, request):
    """The history leads to the records, and its chain begins with its first row."""
    with store.journal(old) as s:
        found = [fault.what for fault in health.faults(s.connection())]
    assert found == KNOWN.get(request.node.callspec.params["old"], [])


def test_every_command_works_on_it(old, run):
    """As if it had been written today."""
    for line in ("check r1", "check r2", "status", "show F1", "show r1", "show A1", "show D1", "history", "list files",
                 "compare r1 r2", "why F1", "sheet r2", "missing r2", "weigh D1", "predictions"):  # fmt: skip
        result = run(*line.split())
        assert result.code in (0, 3), f"{line}: {result.err}"
    assert "M4" in run("history").out
    assert run("attempt", "and on with it", "--on", "r2").code == 0


def test_it_moves_in_the_open_form(old, tmp_path):
    """Out and in again, and it is the same; its attached file is not beside it, and nobody says it is."""
    first, second, new = there_and_back(old, tmp_path)
    assert first == second
    assert rows(new, "SELECT * FROM history") == rows(old, "SELECT * FROM history")


BROKEN = """
import sqlalchemy as sa
from alembic import op
revision, down_revision, branch_labels, depends_on = "next", "{down}", None, None
def upgrade():
    op.add_column("revision", sa.Column("colour", sa.String(), nullable=True))
    op.execute("UPDATE revision SET title = 'half'")
    {more}
"""


@pytest.mark.parametrize(
    "more",
    ["raise ZeroDivisionError('a slip of the program')", "{}['gone']", "op.execute('nonsense')", "raise MemoryError"],
)
def test_a_slip_in_a_migration_leaves_the_file_as_it_was(old, tmp_path, monkeypatch, more):
    """An error of Python takes all back too, and the next program can go on."""
    package = tmp_path / "package"
    shutil.copytree(Path(sqlite_file.__file__).parent / "migrations", package / "migrations")
    script = BROKEN.replace("{down}", sqlite_file.VERSIONS[-1]).replace("{more}", more)
    (package / "migrations" / "versions" / "next.py").write_text(script)
    before = dump(old)
    with monkeypatch.context() as patch:
        patch.setattr(sqlite_file, "__file__", str(package / "store.py"))
        patch.setattr(sqlite_file, "VERSIONS", (*sqlite_file.VERSIONS, "next"))
        with pytest.raises((Refused, ZeroDivisionError, KeyError, MemoryError)), store.journal(old):
            pass
        assert dump(old) == before
    with store.journal(old) as s:
        assert not list(health.faults(s.connection()))


def test_one_from_a_newer_program_is_refused_and_not_touched(old, run):
    """In one line, that says what to do; no command reads or writes it."""
    with contextlib.closing(sqlite3.connect(old)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    before = dump(old)
    for line in ("status", "attempt again", "export out", "import out.zip"):
        result = run(*line.split())
        assert (result.code, result.err.count("\n")) == (1, 1)
        assert re.search("newer Galebook|There is no", result.err)
    assert dump(old) == before
