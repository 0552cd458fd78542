"""The journal opened for one command: one transaction, in which every change of a record leaves a row of history.

Readers never block; a second writer waits.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

from sqlalchemy.engine import Engine
from sqlmodel import Session

from journal.book import history as history
from journal.book import sqlite_file
from journal.book.backups import before_first_change_today, before_migration, way_back
from journal.book.deeds import mark_deed
from journal.book.places import Address, Place, files_folder, place_of
from journal.book.plain_text import clean_text
from journal.book.use import in_use
from journal.errors import NotFound, Refused


def _keeper(place: Place) -> ModuleType:
    """The file that holds what is particular to a kind of database; each has the same few functions."""
    if isinstance(place, Address):
        from journal.book import server

        return server
    return sqlite_file


def create(given: Place) -> bool:
    """Make an empty journal; nothing happens if there is one. Whether it was made by this call.

    Raises
    ------
    Refused
        If it cannot be made there.
    """
    return bool(_keeper(given).create(given))


def exists(place: Place) -> bool:
    """Whether there is something where a journal is meant to be."""
    if isinstance(place, Path):
        return place.exists()
    return bool(_keeper(place).exists(place))


def _ready(place: Place, engine: Engine) -> None:
    """Check the version with one SELECT; migrate an older file after backing it up, refuse a newer one."""
    keeper, known = _keeper(place), sqlite_file.VERSIONS
    with keeper.plain_errors(place), keeper.looking(engine) as connection:
        version = keeper.version_of(connection)
    if version == known[-1]:
        return
    if version is None:
        raise Refused(f"{place} is not a Galebook journal", "Choose another with --journal FILE")
    if version not in known:
        raise Refused(
            f"{place} was written by a newer Galebook (version {version}; this one knows up to {known[-1]})",
            "Update Galebook; the file was not touched",
        )
    keeper.migrate(place, before=lambda: isinstance(place, Path) and before_migration(place, version))


def missing(path: Path) -> NotFound:
    """What is said where there is no journal, or an empty file: how to go back to a copy of it, or to begin one."""
    empty = path.exists()
    what = f"{path} is an empty file" if empty else f"There is no journal at {path}"
    begin = 'Begin one with: galebook start "Name of the machine"'
    return NotFound(what, way_back(path) or (f"Take it away. {begin}" if empty else begin))


def hold_new(place: Place) -> None:
    """Hold that a journal which is to be begun does not take the place of one that was lost.

    Raises
    ------
    Refused
        If copies of one lie beside the place.
    """
    back = isinstance(place, Path) and way_back(place)
    if back:
        raise Refused(f"There was a journal at {place}. {back}", "To begin another, name it with --journal FILE")


def _morning_copy(path: Path) -> str:
    """Keep a copy before the first change of a day; what to say where that cannot be done, as logging goes on."""
    try:
        before_first_change_today(path)
    except Refused as e:
        return f"No copy of the journal could be kept for today: {e}"
    return ""


@contextlib.contextmanager
def journal(given: str | Place | None = None, *, write: bool = False, build: str | None = None) -> Iterator[Session]:
    """Open the journal for one command, as one transaction.

    Parameters
    ----------
    given : path, address or text, optional
        The journal; see :func:`journal.book.places.place_of`.
    write : bool
        Whether the command may change records. It then waits for any other writer first.
    build : str, optional
        Name of the build meant, for this command only.

    Raises
    ------
    NotFound
        If there is no journal.
    Refused
        If it is not a journal, is newer than this program, damaged, cannot be written, or not by this person.
    """
    place = place_of(given)
    keeper = _keeper(place)
    if isinstance(place, Path) and not (place.exists() and place.stat().st_size):
        raise missing(place)
    with in_use(place, write=write) if isinstance(place, Path) else contextlib.nullcontext():
        said = _morning_copy(place) if write and isinstance(place, Path) else ""
        engine = keeper.engine_of(place, write=write)
        try:
            _ready(place, engine)
            with (
                keeper.plain_errors(place),
                _damage_told(place),
                Session(engine, expire_on_commit=False) as session,
            ):
                session.info.update(path=place, build=build, why=None, said=said, who=_signature() if write else None)
                session.autoflush = write
                _arrange(session, place, write=write)
                yield session
                if write:
                    session.flush()
                    mark_deed(session)
                    with keeper.plain_errors(place, ending=True):
                        session.commit()
        finally:
            engine.dispose()


@contextlib.contextmanager
def _damage_told(place: Place) -> Iterator[None]:
    """Where something stored made no sense, say so if the journal is damaged; else the mistake is our own.

    Raises
    ------
    Refused
        If the journal is not whole.
    """
    try:
        yield
    except (ValueError, TypeError, LookupError, AttributeError, ArithmeticError, RecursionError) as e:
        from journal.book.health import first_fault

        fault = first_fault(place) if isinstance(place, Path) else None
        if fault is None:
            raise
        raise Refused(f"The journal {place} is damaged: {fault}", "Nothing was saved; see: galebook doctor") from e


def _arrange(session: Session, place: Place, *, write: bool) -> None:
    """What is particular to where a journal is."""
    if isinstance(place, Address):
        from journal.book import members, server

        login = server.name_of_login(session.connection())
        session.info.update(who=login, choice=f"build of {login}")
        if write and members.may(session.connection()) == "read":
            raise Refused(
                f"{login} may only read {place}", f"Its owner can allow more: galebook members add {login} --may log"
            )
    elif write and files_folder(place).is_dir():
        from journal.book.attachments import mark_files

        mark_files(session)


def _signature() -> str | None:
    """Who writes, as GALEBOOK_WHO says, for the history."""
    said = os.environ.get("GALEBOOK_WHO", "")
    return clean_text(said, "GALEBOOK_WHO", limit=100) if said.strip() else None


def because(session: Session, why: str | None) -> None:
    """Give the reason that the history keeps for the changes that follow, until :func:`settle`."""
    session.info["why"] = why


def settle(session: Session) -> None:
    """Write what is changed, and forget the reason given for it, so that the next change has its own."""
    session.flush()
    session.info.update(why=None, correcting=False)
