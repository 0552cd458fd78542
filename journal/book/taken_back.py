"""What the choice of a decision put on drafts, taken off again when the decision is withdrawn."""

from __future__ import annotations

from typing import Any

from sqlmodel import Session, col, select

from journal.book.decisions import DECIDED_IN, options
from journal.book.records import all_records, current_build
from journal.book.stored import before_and_after, changes_of
from journal.book.tables import Decision, History, Revision, SheetValue


def take_back_choice(session: Session, decision: Decision) -> list[str]:
    """Take the values that a decision set off the drafts again, where they still stand as it set them.

    What stood there before comes back. A revision that was built keeps what it was built with.

    Returns
    -------
    lines : list of str
        What was done and what was not, in sentences.
    """
    chosen = next((o for o in options(session, decision) if o.chosen), None)
    note = f"{DECIDED_IN} {decision.ref}"
    told: dict[str, list[str]] = {"back": [], "kept": [], "other": []}
    for path, typed in changes_of(chosen).items():
        before = _before(session, decision, path, note)
        for revision in all_records(session, Revision, current_build(session)):
            row = session.exec(
                select(SheetValue).where(SheetValue.revision_id == revision.key, SheetValue.path == path)
            ).one_or_none()
            if row is None or row.note != note:
                if revision.key == decision.revision_id and row is not None and revision.frozen_at is None:
                    told["other"].append(f"{path} of {revision.ref} was set otherwise since, and stays {row.typed}.")
            elif revision.frozen_at is not None:
                told["kept"].append(f"{revision.ref} is built and keeps {path} = {row.typed}.")
            elif row.typed != typed:
                told["other"].append(f"{path} of {revision.ref} was set otherwise since, and stays {row.typed}.")
            else:
                told["back"].append(_put_back(session, revision, row, before))
    return [line for lines in told.values() for line in lines]


def _before(session: Session, decision: Decision, path: str, note: str) -> dict[str, Any]:
    """The columns of a value that the choice changed, as they were before; none where it was not stated."""
    revision = session.get_one(Revision, decision.revision_id)
    rows = session.exec(
        select(History)
        .where(History.build_id == decision.build_id, History.kind == "sheetvalue")
        .where(History.ref == f"{revision.ref} {path}")
        .order_by(col(History.id).desc())
    )
    for row in rows:
        before, after = before_and_after(row)
        if after is not None and after.get("note") == note:
            return before or {}
    return {}


def _put_back(session: Session, revision: Revision, row: SheetValue, before: dict[str, Any]) -> str:
    was = row.typed
    if not before:
        session.delete(row)
        return f"Took {row.path} = {was} off {revision.ref} again."
    for name, value in before.items():
        setattr(row, name, value)
    session.add(row)
    return f"{row.path} of {revision.ref} is {row.typed} again, it was {was}."
