"""The journal file: what the database is told to hold, versions, two at once, and sudden ends."""

import contextlib
import os
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from sqlalchemy import create_engine
from sqlalchemy.exc import IntegrityError
from sqlmodel import SQLModel, text

from journal.book import attempts, backups, builds, records, sqlite_file, store, tables
from journal.errors import NotFound, Refused
from tests.conftest import dump, rows


@pytest.mark.parametrize(("pragma", "value"), [("foreign_keys", 1), ("synchronous", 2), ("journal_mode", "wal")])
@pytest.mark.parametrize("write", [True, False])
def test_every_connection_has_the_guards_on(opened, pragma, value, write):
    """References are enforced, writes reach the disk, and readers do not block."""
    with opened(write=write) as s:
        assert s.exec(text(f"PRAGMA {pragma}")).scalar() == value


#: A row that is right, by table; each closed set of words and each other CHECK is broken in turn below.
RIGHT = {
    "revision": {"build_id": 1, "number": 7, "recorded_at": "t"},
    "build": {"name": "another", "recorded_at": "t"},
    "sheetvalue": {"revision_id": 1, "path": "p", "typed": "1", "number": 1.0, "provenance": "measured"},
    "part": {"build_id": 1, "number": 7, "recorded_at": "t", "name": "n", "quantity": 1},
    "partuse": {"part_id": 1, "revision_id": 1, "fate": "in use"},
    "claim": {"build_id": 1, "number": 7, "recorded_at": "t", "revision_id": 1, "who": "w", "said": "s"},
    "attempt": {
        "build_id": 1, "number": 7, "recorded_at": "t", "revision_id": 1, "kind": "run", "began": "b", "did": "d",
        "outcome": "worked",
    },
    "measurement": {
        "build_id": 1, "number": 7, "recorded_at": "t", "revision_id": 1, "quantity": "q", "value": 1, "low": 1,
        "high": 1, "taken": "t",
    },
    "failure": {
        "build_id": 1, "number": 7, "recorded_at": "t", "revision_id": 1, "happened": "h", "saw": "s", "harm": "none",
    },
    "cause": {"failure_id": 1, "said_on": "d", "what": "w", "standing": "believed"},
    "evidence": {"failure_id": 1, "leans": "for", "what": "w"},
    "observation": {
        "build_id": 1, "number": 7, "recorded_at": "t", "failure_id": 1, "look": "l", "answer": "yes", "seen": "s",
    },
    "decision": {
        "build_id": 1, "number": 7, "recorded_at": "t", "revision_id": 1, "kind": "design", "question": "q",
    },
    "paper": {"build_id": 1, "number": 7, "recorded_at": "t", "kind": "other", "what": "w"},
    "loggerfile": {
        "build_id": 1, "number": 7, "recorded_at": "t", "filename": "f", "sha256": "s", "size": 1, "mapping": "{}",
        "first_at": "t", "last_at": "t", "rows": 1, "gaps": 0, "resets": 0, "stuck": 0, "spikes": 0, "bad": 0,
        "found": "{}",
    },
    "history": {"at": "t", "kind": "k", "ref": "r", "action": "add", "chain": "c"},
}  # fmt: skip
WRONG = [
    ("revision", {"number": 0}),
    ("sheetvalue", {"provenance": "hearsay"}),
    ("sheetvalue", {"word": "both"}),
    ("sheetvalue", {"number": None}),
    ("sheetvalue", {"low": 2.0, "high": 3.0}),
    ("paper", {"kind": "verbal"}),
    ("part", {"condition": "shiny"}),
    ("build", {"units": "furlongs"}),
    ("part", {"cost": -1}),
    ("part", {"mass": -1}),
    ("part", {"quantity": 0}),
    ("partuse", {"fate": "lost"}),
    ("claim", {"power": 0}),
    ("attempt", {"kind": "party"}),
    ("attempt", {"outcome": "great"}),
    ("attempt", {"load_state": "a goat"}),
    ("attempt", {"wind_low": 3, "wind_high": 2}),
    ("attempt", {"hours": -1}),
    ("measurement", {"value": None, "low": None, "high": None}),
    ("measurement", {"missing_because": "and a value"}),
    ("measurement", {"low": 2}),
    ("measurement", {"load_state": "a goat"}),
    ("failure", {"harm": "some"}),
    ("failure", {"likelihood": "Z"}),
    ("failure", {"severity": 5}),
    ("cause", {"standing": "hoped"}),
    ("cause", {"sure": 1.1}),
    ("evidence", {"leans": "sideways"}),
    ("observation", {"answer": "maybe"}),
    ("decision", {"kind": "whim"}),
    ("decision", {"result": "magic"}),
    ("decision", {"expects_relation": "beside"}),
    ("decision", {"odds": -0.1}),
    ("loggerfile", {"rows": 0}),
    ("history", {"action": "forge"}),
]


def _insert(s, table, row):
    names = ", ".join(f'"{name}"' for name in row)
    places = ", ".join(f":{name}" for name in row)
    s.connection().execute(text(f"INSERT INTO {table} ({names}) VALUES ({places})"), row)


@pytest.fixture
def bare(s):
    """A session in which references are not looked at, so that only the CHECK under test can refuse."""
    s.connection().exec_driver_sql("PRAGMA defer_foreign_keys=ON")
    yield s
    s.rollback()


@pytest.mark.parametrize("table", RIGHT)
def test_a_right_row_is_taken(bare, table):
    """The rows that are broken below are right to begin with."""
    _insert(bare, table, RIGHT[table])


@pytest.mark.parametrize(("table", "change"), WRONG, ids=[f"{t}-{'-'.join(c)}" for t, c in WRONG])
def test_the_database_itself_refuses_what_cannot_be(bare, table, change):
    """Not only the services: a CHECK stands behind every closed set of words and every limit."""
    with pytest.raises(IntegrityError, match="CHECK"):
        _insert(bare, table, RIGHT[table] | change)


def test_every_closed_set_of_words_is_tried_above():
    """A new column with a closed set of words needs a case of its own."""
    kinds = [m.class_ for m in SQLModel._sa_registry.mappers if issubclass(m.class_, tables.Record)]
    named = {(t.__tablename__, column) for t in kinds for column in t.words}
    assert named <= {(table, column) for table, change in WRONG for column in change}


def test_a_reference_to_nothing_is_refused(path):
    """Foreign keys are enforced at commit, and the user gets one line."""
    with pytest.raises(Refused, match="name a record that is not there"), store.journal(path, write=True) as s:
        s.add(tables.SheetValue(revision_id=99, path="p", typed="1", number=1.0, provenance="measured"))


def test_migrations_make_the_very_tables_of_the_records(tmp_path):
    """Comparing the migrated file with the records finds no difference."""
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    sqlite_file.create(tmp_path / "j.db")
    engine = create_engine(f"sqlite:///{tmp_path / 'j.db'}")
    # What finds words is made over the tables, and differs with the database.
    apart = {"include_name": lambda name, *_: not (name or "").startswith("searchword")}
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection, opts=apart), SQLModel.metadata) == []
    engine.dispose()


def _constraints(path):
    """Named constraints of every table, without the order and spacing in which they were written."""
    found = rows(path, "SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name != 'alembic_version'")
    return {(name, " ".join(_closed(c).split())) for name, sql in found for c in sql.split("CONSTRAINT ")[1:]}


def _closed(text):
    """A constraint to its last bracket, without the columns that were added behind it."""
    depth = 0
    for i, c in enumerate(text):
        depth += (c == "(") - (c == ")")
        if depth < 0 or (depth == 0 and c == ")" and not re.match(r"\s*(REFERENCES|ON )", text[i + 1 :])):
            return text[: i + (depth == 0)]
    return text


def test_migrations_make_the_very_constraints_of_the_records(tmp_path):
    """CHECK constraints too, which the comparison of tables does not see."""
    sqlite_file.create(tmp_path / "j.db")
    engine = create_engine(f"sqlite:///{tmp_path / 'direct.db'}")
    SQLModel.metadata.create_all(engine)
    engine.dispose()
    assert _constraints(tmp_path / "j.db") == _constraints(tmp_path / "direct.db")


def test_versions_are_the_chain_of_migrations():
    """The list read at every start names each migration, oldest first, and there is one newest."""
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(Path(sqlite_file.__file__).parent / "migrations"))
    scripts = ScriptDirectory.from_config(config)
    assert scripts.get_heads() == [sqlite_file.VERSIONS[-1]]
    assert tuple(reversed([script.revision for script in scripts.walk_revisions()])) == sqlite_file.VERSIONS


@pytest.mark.parametrize("write", [True, False])
def test_a_journal_from_the_future_is_not_touched(path, write):
    """A file newer than the program is refused and stays as it was, byte for byte."""
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    before = path.read_bytes()
    with pytest.raises(Refused, match=r"newer Galebook \(version 9999"), store.journal(path, write=write):
        pass
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"", b"Dear diary\n" * 200, b"SQLite format 3\x00" + b"\xff" * 4000], ids=len)
def test_a_file_that_is_no_journal_is_refused_and_kept(tmp_path, content):
    """A text, an empty file or a broken database is not taken for a journal, nor changed."""
    file = tmp_path / "thing.db"
    file.write_bytes(content)
    with (
        pytest.raises(Refused, match=r"is not a Galebook journal|cannot be used|is damaged|an empty file"),
        store.journal(file, write=True),
    ):
        pass
    assert file.read_bytes() == content


@pytest.mark.parametrize("statement", ["CREATE TABLE a (b)", "CREATE TABLE alembic_version (version_num)"])
def test_another_programs_database_is_refused_and_kept(tmp_path, statement):
    """A database of something else is not taken for a journal, even one that keeps versions the same way."""
    file = tmp_path / "other.db"
    with contextlib.closing(sqlite3.connect(file)) as connection:
        connection.execute(statement)
        connection.commit()
    before = file.read_bytes()
    with pytest.raises(Refused, match="is not a Galebook journal"), store.journal(file, write=True):
        pass
    assert file.read_bytes() == before


NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "next"
down_revision = {down!r}
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("revision") as table:
        table.add_column(sa.Column("colour", sa.String(), nullable=True))
        table.alter_column("title", new_column_name="heading")
    {more}
"""


@pytest.fixture
def tomorrow(tmp_path, monkeypatch):
    """A program with one more migration, which rebuilds a table that nearly all others refer to."""

    def arrange(more="pass"):
        package = tmp_path / "package"
        shutil.copytree(Path(sqlite_file.__file__).parent / "migrations", package / "migrations")
        script = package / "migrations" / "versions" / "next.py"
        script.write_text(NEXT.format(down=sqlite_file.VERSIONS[-1], more=more))
        monkeypatch.setattr(sqlite_file, "__file__", str(package / "store.py"))
        monkeypatch.setattr(sqlite_file, "VERSIONS", (*sqlite_file.VERSIONS, "next"))

    return arrange


def test_an_older_journal_is_backed_up_and_migrated(story, tomorrow):
    """The old file is kept whole beside the new one, and no record is lost on the way."""
    before = dump(story)
    values = rows(story, "SELECT count(*) FROM sheetvalue")
    tomorrow()
    with store.journal(story) as s:
        assert s.exec(text("SELECT colour FROM revision")).all() == [(None,), (None,)]
    assert rows(story, "SELECT version_num FROM alembic_version") == [("next",)]
    assert rows(story, "SELECT count(*) FROM sheetvalue") == values
    (kept,) = backups.backups_folder(story).glob("*.db")
    assert dump(kept) == before


@pytest.mark.parametrize(
    "more",
    ["op.execute('nonsense')", "op.execute('DELETE FROM build')", "raise KeyError('x')"],
    ids=["error", "orphans", "our own mistake"],
)
def test_a_migration_that_goes_wrong_changes_nothing(story, tomorrow, more):
    """Half a migration, or one that leaves references hanging, is taken back as a whole."""
    before = dump(story)
    tomorrow(more)
    with pytest.raises(Refused), store.journal(story):
        pass
    assert dump(story) == before


def test_there_is_no_journal(tmp_path):
    """Reading makes no file."""
    with pytest.raises(NotFound, match="galebook start"), store.journal(tmp_path / "no.db"):
        pass
    assert list(tmp_path.iterdir()) == []


def test_making_a_journal_never_replaces_one_made_meanwhile(tmp_path, monkeypatch):
    """Two first commands at once: the later finds the file of the earlier and leaves it."""
    path, migrate = tmp_path / "j.db", sqlite_file.migrate

    def slow(half):
        migrate(half)
        path.write_bytes(b"made by the other")

    monkeypatch.setattr(sqlite_file, "migrate", slow)
    sqlite_file.create(path)
    assert path.read_bytes() == b"made by the other"
    assert list(tmp_path.iterdir()) == [path]


def _log(path, what):
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped(what))


def test_a_second_writer_waits_and_then_succeeds(path):
    """Two at once: both are written, one after the other."""
    second = threading.Thread(target=_log, args=(path, "second"))
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("first"))
        second.start()
        time.sleep(0.15)
        assert second.is_alive()
    second.join(timeout=5)
    assert rows(path, "SELECT number, did FROM attempt ORDER BY number") == [(1, "first"), (2, "second")]


def test_a_second_writer_past_the_wait_is_told_and_nothing_is_lost(path, monkeypatch):
    """Past the wait there is one clear line, and the first writer's record is kept."""
    monkeypatch.setattr(sqlite_file, "WAIT_SECONDS", 0.1)
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("first"))
        with pytest.raises(Refused, match="Another program has been writing"):
            _log(path, "second")
    assert rows(path, "SELECT did FROM attempt") == [("first",)]


def test_a_reader_does_not_wait_for_a_writer(path, monkeypatch):
    """Looking while another writes shows the state before, at once."""
    monkeypatch.setattr(sqlite_file, "WAIT_SECONDS", 0.1)
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("first"))
        with store.journal(path) as reader:
            assert records.all_records(reader, tables.Attempt, records.current_build(reader)) == []


def test_an_error_in_a_command_takes_all_of_it_back(path):
    """A command is one transaction: what it did before it failed is not kept, nor its history."""
    before = dump(path)

    def command():
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped("first"))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        command()
    assert dump(path) == before


KILLED = """
import sys, time
from pathlib import Path
from journal.book import attempts, store
with store.journal(Path(sys.argv[1]), write=True) as s:
    for n in range(500):
        attempts.log_attempt(s, attempts.AttemptTyped(f"attempt {n} " + "x" * 5000))
    print("in the middle", flush=True)
    time.sleep(60)
"""


def test_a_kill_in_mid_transaction_loses_that_command_alone(path):
    """SIGKILL while a large transaction is open: the file is whole and the records before it are there."""
    _log(path, "before")
    before = dump(path)
    process = subprocess.Popen([sys.executable, "-c", KILLED, str(path)], stdout=subprocess.PIPE, text=True)
    with process:
        assert process.stdout.readline() == "in the middle\n"
        os.kill(process.pid, signal.SIGKILL)
    assert rows(path, "PRAGMA integrity_check") == [("ok",)]
    assert dump(path) == before
    _log(path, "after")
    assert rows(path, "SELECT number, did FROM attempt") == [(1, "before"), (2, "after")]


@pytest.mark.parametrize("place", ["plain/j.db", "plain/deeper/j.db"])
def test_a_place_that_cannot_be_written_is_told_in_one_line(tmp_path, run, place):
    """A journal cannot be below a plain file; nothing is left behind."""
    (tmp_path / "plain").write_text("not a folder")
    result = run("--journal", str(tmp_path / place), "start", "X")
    assert (result.code, result.err.count("\n")) == (1, 1)
    assert "cannot be written" in result.err
    assert [p.name for p in tmp_path.iterdir()] == ["plain"]


@pytest.mark.skipif(not Path("/proc/version").exists(), reason="needs a folder that nobody can write")
def test_a_folder_nobody_can_write_is_told_in_one_line(run):
    """Not even the superuser makes files in /proc."""
    result = run("--journal", "/proc/j.db", "start", "X")
    assert (result.code, result.err.count("\n")) == (1, 1)
    assert "/proc cannot be written" in result.err


def test_a_journal_on_a_medium_that_cannot_be_written_can_be_read(story, monkeypatch, run):
    """It is opened so that nothing has to be written beside it."""
    told = []
    connect = sqlite3.connect
    monkeypatch.setattr(sqlite_file.os, "access", lambda *_: False)
    monkeypatch.setattr(
        sqlite_file.sqlite3, "connect", lambda name, **more: (told.append(name), connect(name, **more))[1]
    )
    assert run("list", "failures").code == 0
    assert all("mode=ro&immutable=1" in name for name in told)
    assert not list(story.parent.glob("*-wal"))


def test_writing_where_nothing_can_be_written_is_refused(story, monkeypatch, run):
    """The database's own words become one line."""
    before = dump(story)
    connect = sqlite3.connect
    read_only = lambda name, **more: connect(name.replace("mode=rw", "mode=ro"), **more)  # noqa: E731
    monkeypatch.setattr(sqlite_file.sqlite3, "connect", read_only)
    result = run("attempt", "again")
    assert (result.code, result.err.count("\n")) == (1, 1)
    assert "cannot be written" in result.err
    monkeypatch.undo()
    assert dump(story) == before


def test_a_backup_is_whole_while_a_writer_is_at_work(story, tmp_path):
    """A copy taken in the middle of somebody's command has all before it and nothing of it."""
    before = dump(story)
    with store.journal(story, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("not yet done"))
        sqlite_file.copy(story, tmp_path / "copy.db")
    assert dump(tmp_path / "copy.db") == before
    assert dump(story) != before


@pytest.mark.parametrize("target", ["nowhere/copy.db", "plain/copy.db"])
def test_a_backup_that_cannot_be_written_is_told_in_one_line(story, tmp_path, run, target):
    """A missing folder, or a file where a folder should be."""
    (tmp_path / "plain").write_text("")
    result = run("backup", str(tmp_path / target))
    assert (result.code, result.err.count("\n")) == (1, 1)
    assert "cannot be written" in result.err


def test_a_backup_that_breaks_off_leaves_nothing_behind(tmp_path):
    """No empty file that could be taken for a copy."""
    (tmp_path / "torn.db").write_bytes(b"SQLite format 3\0" + b"\xff" * 4096)
    with pytest.raises(Refused, match="cannot be read"):
        sqlite_file.copy(tmp_path / "torn.db", tmp_path / "copy.db")
    assert not (tmp_path / "copy.db").exists()


def test_a_backup_never_replaces_a_file(story, tmp_path, run):
    """What is there stays."""
    (tmp_path / "copy.db").write_text("precious")
    assert run("backup", str(tmp_path / "copy.db")).code == 2
    assert (tmp_path / "copy.db").read_text() == "precious"


def test_the_place_of_the_journal_is_told(run, tmp_path, monkeypatch):
    """The option wins over the environment, which wins over the user's data folder."""
    assert run("where").out == f"{tmp_path / 'journal.db'}\n"
    assert run("--journal", "x.db", "where").out == "x.db\n"
    assert run("where", "--journal=x.db").out == "x.db\n"
    monkeypatch.delenv("GALEBOOK_JOURNAL")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    if sys.platform == "linux":
        assert run("where").out == f"{tmp_path / 'data' / 'galebook' / 'journal.db'}\n"


@pytest.mark.parametrize("name", ["a?b#c%20d.db", "mode=ro&immutable=1.db", "späte Böe.db", "a'b\"c.db"])
def test_odd_file_names_are_no_orders_to_the_database(tmp_path, clock, name):
    """A name with the signs of a URI is only a name."""
    path = tmp_path / name
    sqlite_file.create(path)
    with store.journal(path, write=True) as s:
        builds.start(s, builds.BuildTyped("X"))
    assert rows(path, "SELECT name FROM build") == [("X",)]
