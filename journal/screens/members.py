"""Who may use a journal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from journal.book.members import Member, members_of, owner_of
from journal.screens.terminal import Terminal, screen


@dataclass(frozen=True)
class Members:
    """The owner of a journal on a server, and who else may use it; of a file nobody is known."""

    owner: str | None
    others: list[Member]


def gather_members(session: Session) -> Members:
    """All who may use the journal, by name."""
    connection = session.connection()
    if connection.dialect.name != "postgresql":
        return Members(None, [])
    return Members(owner_of(connection), members_of(connection))


def _data(members: Members) -> dict[str, Any]:
    return {"owner": members.owner, "members": members.others}


@screen(_data)
def show_members(out: Terminal, members: Members) -> None:
    """One row each."""
    if members.owner is None:
        out.line("This journal is a file, and has no members: whoever may use the file may use it.")
        return
    out.table(("", "May"), ((members.owner, "everything (owner)"), *((m.name, m.may) for m in members.others)))
