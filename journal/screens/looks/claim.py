"""A claim."""

from __future__ import annotations

from sqlmodel import Session

from journal.book.records import get_record
from journal.book.tables import Claim, Revision
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def _row(session: Session, c: Claim, on: str) -> tuple[str, ...]:
    return on, c.said, c.who


def _view(session: Session, c: Claim) -> View:
    of: Revision = get_record(session, Revision, c.revision_id)
    facts = known_facts(("By", c.who), ("On", of.ref))
    return View(f"{c.ref} {c.said}", facts, [], {**record_data(c), "on": of.ref})


LOOK = RecordLook("claims", Claim, ("On", "Claim", "By"), _row, _view)
