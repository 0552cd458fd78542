"""A journal on a PostgreSQL server. All that is particular to PostgreSQL is here: connections, versions, errors.

Who may do what there is in :mod:`journal.book.members`.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from typing import Any

from sqlalchemy import create_engine, event, exc, text
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.pool import QueuePool

from journal.book import sqlite_file
from journal.book.places import Address
from journal.errors import NotFound, Refused

#: What the one who writes holds until the end of the transaction: the letters of "galebook" as a number.
LOCK = int.from_bytes(b"galebook")
_CONNECT_SECONDS = 10
#: What a server is told of every connection: one that died is noticed, so that it does not keep others waiting.
_SETTINGS = {
    "tcp_keepalives_idle": "30s",
    "tcp_keepalives_interval": "10s",
    "tcp_keepalives_count": "3",
    "idle_in_transaction_session_timeout": "30min",
    "standard_conforming_strings": "on",
    "search_path": "public",
    "timezone": "UTC",
}


def engine_of(place: Address, *, write: bool) -> Engine:
    """What opens the journal.

    Parameters
    ----------
    place : Address
        The journal.
    write : bool
        Whether a transaction waits for other writers when it begins, and takes the right to write.

    Raises
    ------
    Refused
        If what speaks with such servers is not installed.
    """
    try:
        import psycopg
    except ImportError as e:
        raise Refused(
            "A journal on a server needs psycopg, which is not installed here",
            "Install it with: pip install 'galebook[club]'",
        ) from e

    def connect() -> Any:
        told = _SETTINGS | {"lock_timeout": f"{sqlite_file.WAIT_SECONDS * 1000:.0f}ms"}
        return psycopg.connect(
            place.url,
            connect_timeout=_CONNECT_SECONDS,
            client_encoding="utf8",
            application_name="galebook",
            options=" ".join(f"-c {name}={value}" for name, value in told.items()),
        )

    # One connection for the whole of a command; what asks for a second waits for nothing.
    engine = create_engine(
        "postgresql+psycopg://", creator=connect, poolclass=QueuePool, pool_size=1, use_native_hstore=False
    )

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        if write:
            # Whoever writes reads what the last one wrote: each statement sees what was kept before it.
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({LOCK})")
        else:
            connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")

    return engine


def looking(engine: Engine) -> Connection:
    """A connection for looking at the version, which waits for nobody."""
    return engine.connect().execution_options(isolation_level="AUTOCOMMIT")


version_of = sqlite_file.version_of


def name_of_login(connection: Connection) -> str:
    """Who is connected."""
    return str(connection.execute(text("SELECT session_user")).scalar_one())


@contextlib.contextmanager
def plain_errors(place: Address, *, ending: bool = False) -> Iterator[None]:
    """Turn what the server says into one line.

    Parameters
    ----------
    place : Address
        The journal.
    ending : bool
        Whether the transaction is just ending: where the connection is lost then, nobody knows whether it was kept.
    """
    try:
        yield
    except exc.DBAPIError as e:
        raise _said(place, e, ending) from e


#: By the beginning of the code that the server gives for an error (SQLSTATE): what was wrong, and what to do.
_CODES = {
    "55P03": ("Another has been writing to {place} for {wait:.0f} seconds", "Nothing was saved; try again"),
    "40": ("Another has been writing to {place} at the same moment", "Nothing was saved; try again"),
    "25P03": ("The server ended the command, which had waited too long for an answer", "Nothing was saved; try again"),
    "42P01": ("There is no journal at {place}", 'Begin one with: galebook start "Name of the machine"'),
    "42501": (
        "You may not do this in {place}: {said}",
        "Its owner can allow: galebook members add {login} --may {may}",
    ),
    "23": ("The journal refused this: {said}", "Nothing was saved"),
    "53100": ("The disk of the server of {place} is full", "Nothing was saved"),
    "53300": ("Too many are connected to the server of {place}", "Nothing was saved; try again"),
    "57": ("The server of {place} is being stopped: {said}", "Nothing was saved; try again"),
}


def _said(place: Address, error: exc.DBAPIError, ending: bool) -> Refused:
    code = getattr(error.orig, "sqlstate", None) or ""
    what = _in_one_line(str(error.orig))
    lost = error.connection_invalidated or not code or code.startswith(("08", "57"))
    if ending and lost:
        return Refused(
            f"The connection to {place} was lost at the very end",
            "It was saved or it was not: look before you log it again, with: galebook history",
        )
    may = "read" if (error.statement or "").startswith("SELECT") else "change"
    told = {"place": place, "said": what, "wait": sqlite_file.WAIT_SECONDS, "login": place.login or "NAME", "may": may}
    kind = NotFound if code == "42P01" else Refused
    for begins, sentences in _CODES.items():
        if code.startswith(begins):
            return kind(*(sentence.format(**told) for sentence in sentences))
    if isinstance(error, exc.ProgrammingError) and not code:
        # What is wrong with an address is told with a piece of it, which might be of the password.
        return Refused(f"{place} is not the address of a journal", "Accepted: postgresql://user@host/name")
    if not code and "database" in what and "does not exist" in what:
        return NotFound(f"There is no database at {place}", "Its keeper makes one with: createdb")
    if isinstance(error, exc.OperationalError | exc.InterfaceError) or error.connection_invalidated:
        hint = "; a password can stand in the file ~/.pgpass" if "password" in what else "; try again"
        return Refused(f"There is no connection to {place}: {what}", f"Nothing was saved{hint}")
    return Refused(f"The journal {place} cannot be used: {what}", "Nothing was saved")


def _in_one_line(said: str) -> str:
    """The sentence that matters of what a server or its client says."""
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    first = lines[0] if lines else "no word"
    return first.rpartition("FATAL:")[2].strip() or first


def create(place: Address) -> bool:
    """Make an empty journal in a database; nothing happens if there is one. Whether it was made by this call.

    Raises
    ------
    Refused
        If it cannot be made there, or its letters are not those of Unicode.
    """
    with _writing(place) as connection:
        if connection.execute(text("SELECT to_regclass('alembic_version')")).scalar() is not None:
            return False
        letters = connection.execute(text("SHOW server_encoding")).scalar_one()
        if letters != "UTF8":
            raise Refused(f"The database at {place} is kept in {letters}", "Make one with: createdb --encoding UTF8")
        _upgrade(connection, place)
    return True


def exists(place: Address) -> bool:
    """Whether there is a journal in the database."""
    engine = engine_of(place, write=False)
    try:
        with plain_errors(place), looking(engine) as connection:
            return connection.execute(text("SELECT to_regclass('alembic_version')")).scalar() is not None
    finally:
        engine.dispose()


def migrate(place: Address, before: Callable[[], object] = lambda: None) -> None:
    """Bring a journal to the newest version, in one transaction; members keep what they may do.

    Raises
    ------
    Refused
        If it cannot be done, as by one who is not the owner; the journal is then as it was.
    """
    from journal.book import members

    with _writing(place) as connection:
        if version_of(connection) == sqlite_file.VERSIONS[-1]:
            return
        owner = members.owner_of(connection)
        if not connection.execute(text("SELECT pg_has_role(:owner, 'USAGE')"), {"owner": owner}).scalar():
            raise Refused(
                f"{place} was written by an older Galebook", f"Its owner, {owner}, has to open it with this one first"
            )
        before()
        known = members.members_of(connection)
        _upgrade(connection, place)
        for member in known:
            members.allow(connection, member.name, member.may)


def _upgrade(connection: Connection, place: Address) -> None:
    from journal.book import search

    sqlite_file.upgrade(connection, place)
    search.rebuild(connection)


@contextlib.contextmanager
def _writing(place: Address) -> Iterator[Connection]:
    """A transaction of its own, which nobody else writes beside."""
    engine = engine_of(place, write=True)
    try:
        with plain_errors(place), engine.begin() as connection:
            yield connection
    finally:
        engine.dispose()
