"""Revisions: drafts, what freezes them, and how one is made from another."""

from __future__ import annotations

from sqlmodel import Session, col, select

from journal.book.common import add, current_build, find, numbered, text
from journal.book.store import now
from journal.book.tables import PartUse, Revision, SheetValue
from journal.errors import Refused


def revise(
    session: Session, old: str | None = None, *, title: str | None = None, because: str | None = None
) -> Revision:
    """Make a new draft from an earlier revision: its sheet is copied, its parts that still serve go on.

    Raises
    ------
    Refused
        If the newest revision has nothing on it yet.
    """
    revisions = numbered(session, Revision, current_build(session))
    parent = find(session, old, Revision) if old else (revisions[-1] if revisions else None)
    if parent is not None and parent.frozen_at is None and not _sheet(session, parent):
        raise Refused(f"{parent.ref} is still empty", f"Fill it in first, with: galebook sheet {parent.ref} --edit")
    new = add(
        session,
        Revision,
        title=text(title, "Title"),
        because=text(because, "The reason"),
        parent_id=parent.key if parent else None,
    )
    if parent is None:
        return new
    for row in _sheet(session, parent):
        session.add(SheetValue(**row.model_dump(exclude={"id", "revision_id"}), revision_id=new.key))
    serving = select(PartUse).where(PartUse.revision_id == parent.key, col(PartUse.fate).in_(("in use", "carried on")))
    for use in session.exec(serving):
        session.add(PartUse(part_id=use.part_id, revision_id=new.key))
        use.fate = "carried on"
        session.add(use)
    session.flush()
    return new


def _sheet(session: Session, revision: Revision) -> list[SheetValue]:
    return list(session.exec(select(SheetValue).where(SheetValue.revision_id == revision.key)))


def freeze(session: Session, revision: Revision) -> None:
    """Freeze a revision at its first attempt: from now on its sheet says what was built."""
    if revision.frozen_at is None:
        revision.frozen_at = now()
        session.add(revision)
