"""Revisions: drafts, what freezes them, and how one is made from another."""

from __future__ import annotations

from sqlmodel import Session, col, select

from journal.book.history import now
from journal.book.kinds import Kind, a_text
from journal.book.records import add_record, all_records, current_build, find_record, get_record
from journal.book.tables import Attempt, PartUse, Revision, SheetText, SheetValue
from journal.book.written import text
from journal.errors import Refused

KIND = Kind(
    Revision,
    readers={"title": a_text("Title"), "because": a_text("The reason"), "summary": a_text("Summary")},
    fixed=("frozen_at",),
)


def revise(
    session: Session, old: str | None = None, *, title: str | None = None, because: str | None = None
) -> Revision:
    """Make a new draft from an earlier revision: its sheet is copied, its parts that still serve go on.

    Raises
    ------
    Refused
        If the newest revision has nothing on it yet.
    """
    revisions = all_records(session, Revision, current_build(session))
    parent = find_record(session, old, Revision) if old else (revisions[-1] if revisions else None)
    if parent is not None and parent.frozen_at is None and not _sheet(session, parent):
        raise Refused(f"{parent.ref} is still empty", f"Fill it in first, with: galebook sheet {parent.ref} --edit")
    new = add_record(
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
    for around in session.exec(select(SheetText).where(SheetText.revision_id == parent.key)):
        session.add(SheetText(revision_id=new.key, text=around.text))
    serving = select(PartUse).where(PartUse.revision_id == parent.key, col(PartUse.fate).in_(("in use", "carried on")))
    for use in session.exec(serving.order_by(col(PartUse.id))):
        session.add(PartUse(part_id=use.part_id, revision_id=new.key))
        use.fate = "carried on"
        session.add(use)
    session.flush()
    return new


def _sheet(session: Session, revision: Revision) -> list[SheetValue]:
    query = select(SheetValue).where(SheetValue.revision_id == revision.key).order_by(col(SheetValue.id))
    return list(session.exec(query))


def freeze(session: Session, revision: Revision) -> None:
    """Freeze a revision at its first attempt: from now on its sheet says what was built."""
    if revision.frozen_at is None:
        revision.frozen_at = now()
        session.add(revision)


def thaw(session: Session, attempt: Attempt) -> None:
    """Make a revision a draft again when the only attempt that froze it is withdrawn."""
    tried = all_records(session, Attempt, current_build(session))
    if not any(a.revision_id == attempt.revision_id and a.key != attempt.key for a in tried):
        revision: Revision = get_record(session, Revision, attempt.revision_id)
        revision.frozen_at = None
        session.add(revision)
