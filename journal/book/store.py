"""The journal opened for one command: one transaction, in which every change of a record leaves a row of history.

Readers never block; a second writer waits.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy.engine import Engine
from sqlmodel import Session

from journal.book import history as history
from journal.book import sqlite_file
from journal.book.backups import before_first_change_today, before_migration
from journal.book.places import files_folder, path_of
from journal.book.sqlite_file import plain_errors, version_of
from journal.book.use import in_use
from journal.errors import NotFound, Refused


def create(path: Path) -> None:
    """Make an empty journal; nothing happens if there is one.

    Raises
    ------
    Refused
        If it cannot be made there.
    """
    sqlite_file.create(path)


def _ready(path: Path, engine: Engine) -> None:
    """Check the version with one SELECT; migrate an older file after backing it up, refuse a newer one."""
    known = sqlite_file.VERSIONS
    with plain_errors(path), engine.connect() as connection:
        version = version_of(connection)
    if version == known[-1]:
        return
    if version is None:
        raise Refused(f"{path} is not a Galebook journal", "Choose another with --journal FILE")
    if version not in known:
        raise Refused(
            f"{path} was written by a newer Galebook (version {version}; this one knows up to {known[-1]})",
            "Update Galebook; the file was not touched",
        )
    sqlite_file.migrate(path, before=lambda: before_migration(path, version))


def _morning_copy(path: Path) -> str:
    """Keep a copy before the first change of a day; what to say where that cannot be done, as logging goes on."""
    try:
        before_first_change_today(path)
    except Refused as e:
        return f"No copy of the journal could be kept for today: {e}"
    return ""


@contextlib.contextmanager
def journal(given: Path | None = None, *, write: bool = False, build: str | None = None) -> Iterator[Session]:
    """Open the journal for one command, as one transaction.

    Parameters
    ----------
    given : Path, optional
        The file; see :func:`journal.book.places.path_of`.
    write : bool
        Whether the command may change records. It then waits for any other writer first.
    build : str, optional
        Name of the build meant, for this command only.

    Raises
    ------
    NotFound
        If there is no journal.
    Refused
        If it is not a journal, is newer than this program, damaged, or cannot be written.
    """
    path = path_of(given)
    if not path.exists():
        raise NotFound(f"There is no journal at {path}", 'Begin one with: galebook start "Name of the machine"')
    with in_use(path, write=write):
        said = _morning_copy(path) if write else ""
        engine = sqlite_file.engine_of(path, write=write)
        _ready(path, engine)
        with plain_errors(path), Session(engine, expire_on_commit=False) as session:
            session.info.update(path=path, build=build, why=None, said=said)
            session.autoflush = write
            if write and files_folder(path).is_dir():
                from journal.book.attachments import mark_files

                mark_files(session)
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
