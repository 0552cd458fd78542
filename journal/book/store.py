"""The journal file: engine, sessions, history, versions, backup. All that is particular to SQLite is here.

Each command is one transaction. Readers never block; a second writer waits. Every change of a record leaves a
history row in the same transaction.
"""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import create_engine, event, exc, insert, inspect, text
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.orm import Session as OrmSession
from sqlalchemy.pool import NullPool
from sqlmodel import Session, SQLModel

from journal.book.tables import Build, History, Numbered, Revision, Setting
from journal.errors import NotFound, Refused

#: Every version a journal file can have, oldest first: the migrations by the numbers that their names begin with.
VERSIONS = tuple(sorted(p.name[:4] for p in (Path(__file__).parent / "migrations" / "versions").glob("[0-9]*.py")))
WAIT_SECONDS = 10.0


def now() -> str:
    """The time, UTC, ISO 8601, to the second."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def path_of(given: Path | None = None) -> Path:
    """Where the journal is: as given, or by GALEBOOK_JOURNAL, or in the user's data folder.

    Raises
    ------
    Refused
        If that is a folder.
    """
    named = given or os.environ.get("GALEBOOK_JOURNAL")
    if not named:
        import platformdirs

        return Path(platformdirs.user_data_dir("galebook", appauthor=False)) / "journal.db"
    path = Path(named)
    if path.is_dir():
        known = next(iter(sorted(path.glob("*.db"))), path / "journal.db")
        raise Refused(f"{path} is a folder, and a journal is a file", f"Name it whole, like --journal {known}")
    return path


def files_folder(journal: Path) -> Path:
    """Folder beside the journal that holds attached files."""
    return journal.with_name(journal.name + ".files")


def _engine(path: Path, *, write: bool, references: bool = True) -> Engine:
    # A journal on a medium that cannot be written has no room for the write-ahead log's index; reading it as
    # immutable is right as long as no log is waiting to be read.
    frozen = not write and not os.access(path.parent, os.W_OK) and not path.with_name(path.name + "-wal").exists()
    mode = "ro&immutable=1" if frozen else "rw"

    def connect() -> sqlite3.Connection:
        # Transactions are begun below, by hand, so that schema changes are part of them.
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=WAIT_SECONDS, isolation_level=None
        )
        connection.execute(f"PRAGMA foreign_keys={'ON' if references else 'OFF'}")
        connection.execute("PRAGMA synchronous=FULL")
        return connection

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)
    engine.dialect.supports_default_values = True

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")

    return engine


def _version(connection: Connection) -> str | None:
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()


@contextlib.contextmanager
def _plain_errors(path: Path) -> Iterator[None]:
    """Turn what the database says into one line."""
    try:
        yield
    except exc.IntegrityError as e:
        raise Refused(f"The journal refused this: {e.orig}", "Nothing was saved") from e
    except exc.DatabaseError as e:
        said = str(e.orig)
        if "locked" in said:
            raise Refused(
                f"Another program has been writing to {path} for {WAIT_SECONDS:.0f} seconds",
                "Nothing was saved; try again",
            ) from e
        if "readonly" in said or "unable to open" in said:
            raise Refused(
                f"{path} or its folder cannot be written",
                "Nothing was saved; choose another with --journal FILE",
            ) from e
        if "not a database" in said or "no such table: alembic_version" in said:
            raise Refused(f"{path} is not a Galebook journal", "Choose another with --journal FILE") from e
        raise Refused(f"The journal {path} cannot be used: {said}", "Nothing was saved") from e


def create(path: Path) -> None:
    """Make an empty journal file; nothing happens if there is one.

    Raises
    ------
    Refused
        If the folder cannot be written.
    """
    if path.exists():
        return
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # The file appears under its name only when it is whole.
        half = path.with_name(f".{path.name}.{os.getpid()}")
        half.unlink(missing_ok=True)
        sqlite3.connect(half).close()
        half.touch()
    except (OSError, sqlite3.Error) as e:
        raise Refused(f"{path.parent} cannot be written ({e})", "Choose another place with --journal FILE") from e
    try:
        _migrate(half)
        connection = sqlite3.connect(half)
        connection.execute("PRAGMA journal_mode=WAL")
        connection.close()
        _name(half, path)
    finally:
        half.unlink(missing_ok=True)


def _name(half: Path, path: Path) -> None:
    """Give a whole file its name; another journal that got the name meanwhile is kept."""
    try:
        os.link(half, path)
    except FileExistsError:
        pass
    except (AttributeError, OSError):
        # Some file systems have no second names.
        os.replace(half, path)


def _migrate(path: Path) -> None:
    """Bring a file to the newest version, in one transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    # Tables that others refer to are rebuilt by some migrations; references are checked once, at the end.
    engine = _engine(path, write=True, references=False)
    with _plain_errors(path), engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        if broken:
            raise Refused(f"Bringing {path} up to date would break {len(broken)} references", "Nothing was changed")


def backup(path: Path, target: Path) -> None:
    """Copy a journal, whole and consistent, even while it is in use.

    Raises
    ------
    Refused
        If the copy cannot be written.
    """
    try:
        with (
            contextlib.closing(sqlite3.connect(path)) as source,
            contextlib.closing(sqlite3.connect(target)) as copy,
        ):
            source.backup(copy)
    except sqlite3.Error as e:
        with contextlib.suppress(OSError):
            target.unlink()
        raise Refused(f"{target} cannot be written ({e})", "Nothing was copied; name another file") from e


def _ready(path: Path, engine: Engine) -> None:
    """Check the version with one SELECT; migrate an older file after backing it up, refuse a newer one."""
    with _plain_errors(path), engine.connect() as connection:
        version = _version(connection)
    if version == VERSIONS[-1]:
        return
    if version is None:
        raise Refused(f"{path} is not a Galebook journal", "Choose another with --journal FILE")
    if version not in VERSIONS:
        raise Refused(
            f"{path} was written by a newer Galebook (version {version}; this one knows up to {VERSIONS[-1]})",
            "Update Galebook; the file was not touched",
        )
    saved = path.with_name(f"{path.stem}.before-{VERSIONS[-1]}{path.suffix}")
    backup(path, saved)
    _migrate(path)


@contextlib.contextmanager
def journal(given: Path | None = None, *, write: bool = False, build: str | None = None) -> Iterator[Session]:
    """Open the journal for one command, as one transaction.

    Parameters
    ----------
    given : Path, optional
        The file; see :func:`path_of`.
    write : bool
        Whether the command may change records. It then waits for any other writer first.
    build : str, optional
        Name of the build meant, for this command only.

    Raises
    ------
    NotFound
        If there is no journal.
    Refused
        If it is not a journal, is newer than this program, or cannot be written.
    """
    path = path_of(given)
    if not path.exists():
        raise NotFound(f"There is no journal at {path}", 'Begin one with: galebook start "Name of the machine"')
    engine = _engine(path, write=write)
    _ready(path, engine)
    with _plain_errors(path), Session(engine, expire_on_commit=False) as session:
        session.info.update(path=path, build=build, why=None)
        session.autoflush = write
        yield session
        if write:
            session.commit()
    engine.dispose()


def because(session: Session, why: str | None) -> None:
    """Give the reason that the history keeps for the changes that follow, until :func:`settle`."""
    session.info["why"] = why


def settle(session: Session) -> None:
    """Write what is changed, and forget the reason given for it, so that the next change has its own."""
    session.flush()
    session.info.update(why=None, correcting=False)


@event.listens_for(OrmSession, "after_flush")
def _keep_history(session: OrmSession, _context: Any) -> None:
    rows = [row for row in map(_added, session.new) if row]
    rows += [row for row in map(_changed, session.dirty) if row]
    rows += [row for row in map(_removed, session.deleted) if row]
    if rows:
        for row in rows:
            row.update(
                at=now(),
                why=session.info.get("why"),
                action="correction" if session.info.get("correcting") else row["action"],
            )
        session.connection().execute(insert(History), rows)


def _row(record: SQLModel, action: str, before: dict[str, Any] | None, after: dict[str, Any] | None) -> dict[str, Any]:
    return {
        "build_id": record.id if isinstance(record, Build) else getattr(record, "build_id", None) or _build_of(record),
        "kind": record.__class__.__name__.lower(),
        "record_id": getattr(record, "id", None),
        "ref": _ref(record),
        "action": action,
        "before": None if before is None else json.dumps(before, ensure_ascii=False),
        "after": None if after is None else json.dumps(after, ensure_ascii=False),
    }


def _parent(record: SQLModel) -> Numbered | None:
    """The numbered record that a row without a number belongs to."""
    session = OrmSession.object_session(record)
    if session is None:
        return None
    from journal.book.tables import Criterion, Decision, Failure, Score

    if isinstance(record, Score):
        return session.get(Decision, session.get_one(Criterion, record.criterion_id).decision_id)
    for column, cls in (("revision_id", Revision), ("failure_id", Failure), ("decision_id", Decision)):
        if (key := getattr(record, column, None)) is not None:
            return session.get(cls, key)
    return None


def _build_of(record: SQLModel) -> int | None:
    parent = _parent(record)
    return None if parent is None else parent.build_id


def _ref(record: SQLModel) -> str:
    if isinstance(record, Numbered):
        return record.ref
    if isinstance(record, Build):
        return record.name
    if isinstance(record, Setting):
        return record.key
    parent = _parent(record)
    name = getattr(record, "path", None) or getattr(record, "name", None)
    detail = name or getattr(record, "called", None) or record.__class__.__name__.lower()
    return f"{parent.ref} {detail}" if parent else str(detail)


def _plain(record: SQLModel) -> dict[str, Any]:
    return {k: v for k, v in record.model_dump().items() if v is not None and k != "id"}


def _added(record: Any) -> dict[str, Any] | None:
    return None if isinstance(record, History | Setting) else _row(record, "add", None, _plain(record))


def _removed(record: Any) -> dict[str, Any] | None:
    return None if isinstance(record, History | Setting) else _row(record, "remove", _plain(record), None)


def _changed(record: Any) -> dict[str, Any] | None:
    if isinstance(record, History | Setting):
        return None
    changes = {a.key: a.history for a in inspect(record).attrs if a.history.has_changes()}
    if not changes:
        return None
    before = {k: (h.deleted[0] if h.deleted else None) for k, h in changes.items()}
    after = {k: (h.added[0] if h.added else None) for k, h in changes.items()}
    return _row(record, "change", before, after)
