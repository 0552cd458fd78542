"""What one command did, marked in the journal as rows of the history from one to another."""

from __future__ import annotations

from sqlalchemy import insert
from sqlmodel import Session, col, select

from journal.book.history import last_row
from journal.book.made import Deed
from journal.book.tables import History


def mark_deed(session: Session) -> None:
    """Keep from which row of the history to which one this command goes, so that it can be taken back as one."""
    first, undoes = session.info.pop("first", None), session.info.pop("undoes", None)
    if first is None:
        return
    connection = session.connection()
    last = last_row(connection)
    of = (
        connection.execute(select(History.build_id).where(col(History.id).between(first, last)).distinct())
        .scalars()
        .all()
    )
    build = of[0] if len(of) == 1 else None
    connection.execute(insert(Deed), {"build_id": build, "first": first, "last": last, "undoes": undoes})
