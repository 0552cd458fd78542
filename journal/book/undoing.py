"""The last command taken back, and done again: new rows of the history turn round what its rows say.

Nothing is rewritten: a record that was added is withdrawn, and its number is not used again; what was changed gets
back what stood there. A deed is what one command did, as rows of the history from one to another; a journal on a
server takes one writer at a time, so nobody's rows stand between.
"""

from __future__ import annotations

from typing import Any

from sqlmodel import Session, col, func, select

from journal.book.history import kept_kinds
from journal.book.made import Deed
from journal.book.records import current_build
from journal.book.store import because, settle
from journal.book.stored import before_and_after
from journal.book.tables import Build, History, Numbered
from journal.errors import Refused

#: What a record that undo took out says of itself.
TAKEN_BACK = "taken back with undo"
#: Rows beyond which a deed is no slip of the hand.
MOST = 2000
_OLDER = "See: galebook history; a whole day goes back with: galebook restore yesterday"


def undo(session: Session) -> list[History]:
    """Take back what the last command did that still stands.

    Returns
    -------
    rows : list of History
        What that command had done, oldest first.

    Raises
    ------
    Refused
        If there is nothing, or it cannot be turned round.
    """
    standing, _ = _stacks(session)
    if not standing:
        raise Refused("Nothing is left that can be taken back", _OLDER)
    deed = standing.pop()
    _hold_newest(session, deed)
    _turn(session, deed, "undo")
    return _rows(session, _origin(session, deed))


def redo(session: Session) -> list[History]:
    """Do again what undo took back last; gives the same as :func:`undo`.

    Raises
    ------
    Refused
        If nothing was taken back, or something was logged since.
    """
    _, taken = _stacks(session)
    if not taken:
        raise Refused("Nothing was taken back since the last change", "See: galebook history")
    deed = taken.pop()
    _turn(session, deed, "redo")
    return _rows(session, _origin(session, deed))


def _origin(session: Session, deed: Deed) -> Deed:
    """The command that a deed of undo or redo goes back to."""
    while deed.undoes is not None:
        deed = session.get_one(Deed, deed.undoes)
    return deed


def _rows(session: Session, deed: Deed) -> list[History]:
    query = select(History).where(col(History.id).between(deed.first, deed.last)).order_by(col(History.id))
    return list(session.exec(query))


def _stacks(session: Session) -> tuple[list[Deed], list[Deed]]:
    """Deeds that stand, and deeds of undo that can be turned round again; the newest of each last."""
    build = current_build(session)
    standing: list[Deed] = []
    taken: list[Deed] = []
    for deed in session.exec(select(Deed).where(Deed.build_id == build.key).order_by(col(Deed.id))):
        if deed.undoes is None:
            standing, taken = [*standing, deed], []
        elif standing and standing[-1].id == deed.undoes:
            standing, taken = standing[:-1], [*taken, deed]
        elif taken and taken[-1].id == deed.undoes:
            # What was done again stands as a whole of its own.
            standing, taken = [*standing, deed], taken[:-1]
    return standing, taken


def _hold_newest(session: Session, deed: Deed) -> None:
    """Hold that no change stands behind a deed that is none: an older program's, or what an import brought."""
    build = current_build(session)
    newest = session.exec(select(func.max(History.id)).where(History.build_id == build.key)).one() or 0
    ours = session.exec(select(func.max(Deed.last)).where(Deed.build_id == build.key)).one() or 0
    if newest > max(ours, deed.last):
        raise Refused("The last change was no single command, and cannot be taken back as one", _OLDER)


def _turn(session: Session, deed: Deed, verb: str) -> None:
    """Turn round what a deed did, the last first."""
    rows = _rows(session, deed)
    others = {str(row.who) for row in rows if row.who != session.info.get("who")}
    if others:
        raise Refused(f"The last change was signed by {', '.join(sorted(others))}", "Leave it to them, or amend it")
    if len(rows) > MOST or any(row.kind == Build.__name__.lower() and row.action == "add" for row in rows):
        raise Refused("The last change began the build, and cannot be taken back", _OLDER)
    because(session, verb)
    session.info.update(correcting=True, undoes=deed.id)
    for row in reversed(rows):
        _turn_row(session, row)
        session.flush()
    settle(session)


def _turn_row(session: Session, row: History) -> None:
    kind: Any = kept_kinds()[row.kind]
    before, after = before_and_after(row)
    record = session.get(kind, row.record_id)
    if after is None:
        if record is not None:
            raise _stands_in_the_way(row)
        session.add(kind(id=row.record_id, **(before or {})))
        return
    if record is None or any(getattr(record, name) != value for name, value in after.items()):
        raise _stands_in_the_way(row)
    if before is None and isinstance(record, Numbered):
        record.withdrawn_because = TAKEN_BACK
    elif before is None:
        session.delete(record)
        return
    else:
        for name, value in before.items():
            setattr(record, name, value)
    session.add(record)


def _stands_in_the_way(row: History) -> Refused:
    return Refused(
        f"{row.ref} is not as the last command left it, so that cannot be taken back", "See: galebook history"
    )
