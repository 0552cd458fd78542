"""Who may read, log or change in a journal on a server. The database itself holds everybody to it.

Each right is granted to a login of the server by the owner of the journal, who needs no other power for it. The
history can be rewritten by nobody but the owner: members add to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import text
from sqlalchemy.engine import Connection
from sqlmodel import Session, SQLModel

from journal.book import history
from journal.book.plain_text import clean_text
from journal.book.written import word
from journal.errors import NotFound, Refused

#: What a member may do, the least first; each includes those before it.
MAY = ("read", "log", "change")
#: Records that are logged: added, and not changed any more by who may only log.
LOGGED = (
    "attempt", "measurement", "instrument", "claim", "attachment", "failure", "cause", "evidence", "observation",
    "part", "partuse", "decision", "option", "criterion", "score", "paper", "loggerfile",
)  # fmt: skip
#: What the program itself writes while something is logged: the first attempt on a revision freezes it, and what an
#: option does is computed.
WRITTEN_ALONG = {"revision": "frozen_at", "option": "consequences, refused_because"}


@dataclass(frozen=True)
class Member:
    """Somebody who may use a journal, by the name of the login; the owner may do everything."""

    name: str
    may: str


def owner_of(connection: Connection) -> str:
    """The login that the journal belongs to."""
    query = "SELECT pg_get_userbyid(relowner) FROM pg_class WHERE oid = to_regclass('history')"
    return str(connection.execute(text(query)).scalar_one())


def members_of(connection: Connection) -> list[Member]:
    """All who were allowed something, by name, without the owner."""
    query = """
        SELECT r.rolname, bool_or(a.privilege_type = 'UPDATE'), bool_or(a.privilege_type = 'INSERT')
        FROM pg_class c, aclexplode(c.relacl) a JOIN pg_roles r ON r.oid = a.grantee
        WHERE c.oid = to_regclass('attempt') AND a.grantee <> c.relowner GROUP BY r.rolname ORDER BY r.rolname
    """
    rows = connection.execute(text(query))
    return [Member(name, "change" if changes else "log" if logs else "read") for name, changes, logs in rows]


def may(connection: Connection) -> str:
    """What the one who is connected may do."""
    query = "SELECT has_table_privilege('attempt', 'UPDATE'), has_table_privilege('attempt', 'INSERT')"
    changes, logs = connection.execute(text(query)).one()
    return "change" if changes else "log" if logs else "read"


def add(session: Session, name: str, may: str) -> Member:
    """Allow somebody to read, log or change; what they could before is forgotten.

    Raises
    ------
    BadInput
        If that is none of the words.
    NotFound
        If the server knows no such login.
    Refused
        If the journal is a file, or whoever asks is not its owner.
    """
    allowed = word(may, MAY, "May") or ""
    member = Member(_login(session, name), allowed)
    allow(session.connection(), member.name, member.may)
    return member


def remove(session: Session, name: str) -> str:
    """Take from somebody all that was allowed.

    Raises
    ------
    NotFound
        If there is no such member.
    """
    login = _login(session, name)
    connection = session.connection()
    if login not in {member.name for member in members_of(connection)}:
        raise NotFound(f"{login} is no member", "See: galebook members list")
    _take(connection, login)
    return login


def _login(session: Session, name: str) -> str:
    """A login of the server, by name, that is not the owner; asked for by the owner."""
    connection = session.connection()
    if connection.dialect.name != "postgresql":
        raise Refused(
            "This journal is a file, and has no members: whoever may use the file may use it",
            "A journal on a server is named like --journal postgresql://user@host/name",
        )
    cleaned = clean_text(name, "The name", limit=63)
    owner = owner_of(connection)
    if not connection.execute(text("SELECT pg_has_role(:owner, 'USAGE')"), {"owner": owner}).scalar():
        raise Refused("Only the owner of a journal says who its members are", f"Ask {owner}")
    if not connection.execute(text("SELECT 1 FROM pg_roles WHERE rolname = :name"), {"name": cleaned}).scalar():
        raise NotFound(
            f"The server knows no login {cleaned!r}", "Its keeper makes one with: createuser --pwprompt NAME"
        )
    if cleaned == owner:
        raise Refused(f"The journal belongs to {owner}, who may do everything in it")
    return cleaned


def allow(connection: Connection, login: str, may: str) -> None:
    """Grant what goes with a word, and nothing else."""
    _take(connection, login)
    quoted = connection.dialect.identifier_preparer.quote_identifier
    for right, table in _rights(may):
        connection.exec_driver_sql(f"GRANT {right} ON {quoted(table)} TO {quoted(login)}")
    if may != "read":
        connection.exec_driver_sql(f"GRANT USAGE ON ALL SEQUENCES IN SCHEMA public TO {quoted(login)}")


def _take(connection: Connection, login: str) -> None:
    to = connection.dialect.identifier_preparer.quote_identifier(login)
    for what in ("TABLES", "SEQUENCES"):
        connection.exec_driver_sql(f"REVOKE ALL ON ALL {what} IN SCHEMA public FROM {to}")
    # That takes no right on a single column.
    for name, columns in WRITTEN_ALONG.items():
        connection.exec_driver_sql(f"REVOKE UPDATE ({columns}) ON {name} FROM {to}")


def _rights(may: str) -> Iterator[tuple[str, str]]:
    """What is granted on which table."""
    kinds = history.kept_kinds()
    yield from (("SELECT", name) for name in (*SQLModel.metadata.tables, "alembic_version"))
    if may == "read":
        return
    yield from (("INSERT", name) for name in (*LOGGED, "history", "filecontent", "deed"))
    # The words of a record are written anew when it changes; each chooses a build for themselves.
    yield from (("INSERT, DELETE", "searchtext"), ("INSERT, UPDATE", "setting"))
    yield from ((f"UPDATE ({columns})", name) for name, columns in WRITTEN_ALONG.items())
    if may == "change":
        yield from (("INSERT, UPDATE, DELETE", name) for name in kinds)
        yield ("DELETE", "filecontent")
