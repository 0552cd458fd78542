"""A journal in one file. All that is particular to SQLite is here: connections, versions, copies, errors."""

from __future__ import annotations

import contextlib
import functools
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

from sqlalchemy import create_engine, event, exc, text
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.pool import NullPool, StaticPool

from calc.wording import number_of
from journal.book.places import log_of
from journal.book.safe_files import half_written, make_folder, name_new
from journal.errors import Refused

#: Every version a journal can have, oldest first: the migrations by the numbers that their names begin with.
VERSIONS = tuple(sorted(p.name[:4] for p in (Path(__file__).parent / "migrations" / "versions").glob("[0-9]*.py")))
#: How long a writer waits for others. A class of twenty at one journal has each wait for some of these only.
WAIT_SECONDS = 60.0
#: What the index of a write-ahead log takes at first, and some pages. [bytes]
_ROOM = 65_536


def engine_of(path: Path, *, write: bool, references: bool = True, apart: bool = False) -> Engine:
    """What opens the file.

    Parameters
    ----------
    path : Path
        The journal.
    write : bool
        Whether a transaction waits for other writers when it begins.
    references : bool
        Whether a reference to nothing is refused.
    apart : bool
        Whether it is a copy that nobody writes to, so that nothing needs to lie beside it.
    """
    frozen = apart or (not write and not os.access(path.parent, os.W_OK) and not _waits_in_log(path))

    def connect() -> sqlite3.Connection:
        connection = _as_it_stands(path) if frozen else _opened(path, "rw")
        if not (frozen or write or _can_be_read(connection, path)):
            connection.close()
            connection = _as_it_stands(path)
        connection.execute(f"PRAGMA foreign_keys={'ON' if references else 'OFF'}")
        connection.execute("PRAGMA synchronous=FULL")
        return connection

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)
    engine.dialect.supports_default_values = True

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")

    return engine


def in_memory() -> Engine:
    """A database for a moment, with references on, gone when it is disposed of."""
    engine = create_engine("sqlite://", poolclass=StaticPool)

    @event.listens_for(engine, "connect")
    def connect(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None
        connection.execute("PRAGMA foreign_keys=ON")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN")

    return engine


def references_last(connection: Connection) -> None:
    """Hold references against what they name at the end of the transaction, not row by row."""
    connection.exec_driver_sql("PRAGMA defer_foreign_keys=ON")


def looking(engine: Engine) -> Connection:
    """A connection for looking at the version."""
    return engine.connect()


def _opened(path: Path, mode: str) -> sqlite3.Connection:
    # Transactions are begun by hand, so that schema changes are part of them.
    name = f"{path.absolute().as_uri()}?mode={mode}"
    return sqlite3.connect(name, uri=True, timeout=WAIT_SECONDS, isolation_level=None)


def _as_it_stands(path: Path) -> sqlite3.Connection:
    """A file read without anything beside it; right as long as nobody writes and no log waits to be read."""
    return _opened(path, "ro&immutable=1")


def _can_be_read(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether a journal can be read as usual.

    On a medium that cannot be written, or is full, there is no room for the index of the write-ahead log.
    """
    try:
        connection.execute("PRAGMA schema_version")
    except sqlite3.OperationalError as e:
        if "locked" in str(e) or _waits_in_log(path):
            raise
        return False
    return True


def _waits_in_log(path: Path) -> bool:
    """Whether there is something to be read in the log; an attempt to open a journal may leave an empty one."""
    log = log_of(path)
    return log.exists() and log.stat().st_size > 0


def version_of(connection: Connection) -> str | None:
    """The version that a journal says it has; None where it says none."""
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()


def read_any_text(connection: Connection) -> None:
    """Let damaged text be read too: bytes that are no UTF-8 come as lone surrogates."""
    raw = connection.connection.dbapi_connection
    if isinstance(raw, sqlite3.Connection):
        raw.text_factory = any_text


def any_text(data: bytes) -> str:
    """A text of any bytes."""
    return data.decode(errors="surrogateescape")


def integrity(connection: Connection) -> list[str]:
    """What the database finds wrong with its own file, line by line; nothing where it is whole."""
    rows = connection.exec_driver_sql("PRAGMA integrity_check(20)").fetchall()
    said = [line for row in rows for line in str(row[0]).splitlines()]
    return [] if said == ["ok"] else [line for line in said if not line.startswith("***")] or said


def schema_of(connection: Connection) -> dict[str, str]:
    """The statements that made the tables and what belongs to them, by name."""
    rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {str(name): str(sql) for name, sql in rows}


@functools.cache
def own_schema() -> dict[str, str]:
    """What :func:`schema_of` a journal of the newest version gives that was made just now."""
    from journal.book import search

    engine = in_memory()
    with engine.begin() as connection:
        upgrade(connection, "a journal")
        search.rebuild(connection)
        return schema_of(connection)


@contextlib.contextmanager
def plain_errors(path: Path, *, ending: bool = False) -> Iterator[None]:
    """Turn what the database says into one line; also at the end of a transaction, which is kept or is not."""
    try:
        yield
    except exc.IntegrityError as e:
        raise Refused(f"The journal refused this: {plainly(e)}", "Nothing was saved") from e
    except exc.DatabaseError as e:
        raise Refused(*_said(path, str(e.orig))) from e


#: What the database says, and how a person would.
_PLAIN = {
    "no such table": "what every journal has is not in it",
    "no such column": "it lacks something that a journal of its version has",
    "CHECK constraint failed": "it would hold values that contradict each other",
    "NOT NULL constraint failed": "something that is needed would be missing",
    "FOREIGN KEY constraint failed": "it would name a record that is not there",
    "UNIQUE constraint failed": "there is one of that number or name already",
    "malformed": "the file is damaged",
    "not a database": "it is not a database",
}


def plainly(error: Exception) -> str:
    """What a database error says, in plain words, with its own where these help to find it."""
    said = str(getattr(error, "orig", None) or error)
    for words, plain in _PLAIN.items():
        if words in said:
            detail = said.partition(": ")[2] if "constraint" in words or "no such" in words else ""
            return f"{plain} ({detail})" if detail else plain
    return said


def _said(path: Path, said: str) -> tuple[str, str]:
    if "locked" in said:
        what = f"Another program has been writing to {path} for {WAIT_SECONDS:.0f} seconds"
        return what, "Nothing was saved; try again"
    if "readonly" in said or "unable to open" in said:
        return f"{path} or its folder cannot be written", "Nothing was saved; choose another with --journal FILE"
    if "not a database" in said and looks_like_one(path):
        return f"The journal {path} is damaged: its first bytes are not those of one", "See: galebook doctor"
    if "not a database" in said or "no such table: alembic_version" in said:
        return f"{path} is not a Galebook journal", "Choose another with --journal FILE"
    if "full" in said or ("disk I/O" in said and is_full(path)):
        return f"The disk with {path} is full", "Nothing was saved; make room and try again"
    if "malformed" in said:
        return f"The journal {path} is damaged: {said}", "Nothing was saved; see: galebook doctor"
    return f"The journal {path} cannot be used: {said}", "Nothing was saved; see: galebook doctor"


#: What a journal has in its first part, however damaged it is.
_MARKS = (b"SQLite format", b"alembic_version", b"CREATE TABLE")


def looks_like_one(path: Path) -> bool:
    """Whether a file is a journal, perhaps a damaged one, and not something else."""
    try:
        with path.open("rb") as stream:
            first = stream.read(1 << 20)
    except OSError:
        return False
    return any(mark in first for mark in _MARKS)


def is_full(path: Path) -> bool:
    """Whether the disk has no room for what the database needs beside a file."""
    try:
        return shutil.disk_usage(path.parent).free < _ROOM
    except OSError:
        return False


@contextlib.contextmanager
def made_empty(folder: Path) -> Iterator[Path]:
    """An empty journal of the newest version in a folder, under a name of its own."""
    with half_written(folder) as (half, stream):
        stream.close()
        migrate(half)
        with contextlib.closing(sqlite3.connect(half)) as connection:
            connection.execute("PRAGMA journal_mode=WAL")
        yield half


def create(path: Path) -> bool:
    """Make an empty journal file; nothing happens if there is one. Whether it was made by this call.

    Raises
    ------
    Refused
        If the folder cannot be written.
    """
    if path.exists():
        return False
    try:
        make_folder(path.parent)
        # The file appears under its name only when it is whole; another that got the name meanwhile is kept.
        with made_empty(path.parent) as half:
            try:
                name_new(half, path)
            except FileExistsError:
                return False
            return True
    except (OSError, sqlite3.Error) as e:
        raise Refused(f"{path.parent} cannot be written ({e})", "Choose another place with --journal FILE") from e


def upgrade(connection: Connection, place: object) -> None:
    """Run the migrations that a journal lacks, on the transaction of a connection to it.

    Raises
    ------
    Refused
        If one fails by a mistake of the program.
    """
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, "head")
    except (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError) as e:
        raise Refused(f"{place} cannot be brought up to date ({e})", "Nothing was changed") from e


def migrate(path: Path, before: Callable[[], object] = lambda: None) -> None:
    """Bring a file to the newest version, in one transaction.

    Parameters
    ----------
    path : Path
        The journal.
    before : callable
        What is done first, when no other can write any more; not called where another brought the file up to date
        meanwhile.

    Raises
    ------
    Refused
        If it cannot be done; the file is then as it was.
    """
    from journal.book import search

    # Tables that others refer to are rebuilt by some migrations; references are checked once, at the end.
    engine = engine_of(path, write=True, references=False)
    with plain_errors(path), engine.begin() as connection:
        if path.stat().st_size and version_of(connection) == VERSIONS[-1]:
            return
        before()
        upgrade(connection, path)
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        if broken:
            raise Refused(
                f"Bringing {path} up to date would break {number_of(len(broken), 'reference')}", "Nothing was changed"
            )
        search.rebuild(connection)


@contextlib.contextmanager
def copied(path: Path, folder: Path) -> Iterator[Path]:
    """A journal copied whole and consistent, even while it is in use, into a folder under a name of its own.

    Raises
    ------
    Refused
        If it cannot be read, or is damaged.
    """
    with half_written(folder) as (half, stream):
        stream.close()
        try:
            with contextlib.closing(_to_copy(path)) as source, contextlib.closing(sqlite3.connect(half)) as made:
                source.backup(made)
            with contextlib.closing(sqlite3.connect(f"{half.absolute().as_uri()}?immutable=1", uri=True)) as made:
                said = [str(row[0]) for row in made.execute("PRAGMA integrity_check(3)")]
        except sqlite3.DatabaseError as e:
            if "full" in str(e) or "readonly" in str(e):
                raise OSError(28, str(e)) from e
            raise Refused(f"{path} cannot be read: {plainly(e)}", "No copy was made; see: galebook doctor") from e
        if said != ["ok"]:
            raise Refused(f"The journal {path} is damaged: {said[0]}", "No copy was made; see: galebook doctor")
        with half.open("rb+") as stream:
            os.fsync(stream.fileno())
        yield half


def _to_copy(path: Path) -> sqlite3.Connection:
    """A journal opened to be copied, also where nothing can be written beside it."""
    try:
        connection = sqlite3.connect(path)
        connection.execute("SELECT count(*) FROM sqlite_master")
    except sqlite3.OperationalError as e:
        if "locked" in str(e) or _waits_in_log(path):
            raise
        return _as_it_stands(path)
    return connection


def copy(path: Path, target: Path) -> None:
    """Copy a journal, whole and consistent, even while it is in use; the copy is looked through before it is named.

    Raises
    ------
    Refused
        If the copy cannot be written, would not be whole, or has a name that something has.
    """
    try:
        with copied(path, target.parent) as half:
            name_new(half, target)
    except FileExistsError as e:
        raise Refused(f"{target} exists already", "Nothing was copied; name another file") from e
    except OSError as e:
        raise Refused(f"{target} cannot be written ({e.strerror})", "Nothing was copied; name another file") from e
