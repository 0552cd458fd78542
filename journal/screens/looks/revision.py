"""A revision."""

from __future__ import annotations

from sqlmodel import Session

from journal.book import parts, sheet
from journal.book.records import get_record, records_on
from journal.book.tables import Attempt, Failure, Revision
from journal.review.wording import cost_text, day_text, days_text
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data, revision_title


def _row(session: Session, r: Revision, on: str) -> tuple[str, ...]:
    return r.title or "", "as built" if r.frozen_at else "draft"


def _view(session: Session, r: Revision) -> View:
    bill = parts.on_revision(session, r)
    attempts = records_on(session, Attempt, r)
    failed = records_on(session, Failure, r)
    parent: Revision | None = get_record(session, Revision, r.parent_id)
    facts = known_facts(
        ("Made from", parent.ref if parent else None),
        ("Because", r.because),
        ("State", f"frozen {day_text(r.frozen_at)}, as built" if r.frozen_at else "draft"),
        ("Added later", ", ".join(sheet.added_later(session, r))),
        ("Summary", r.summary),
        ("Parts", f"{len(bill)}, {cost_text(parts.cost(bill))}" if parts.cost(bill) else len(bill) or None),
    )
    sections = [
        ("Attempts", [f"{a.ref} {days_text(a.began, a.ended)} {a.kind}: {a.did} ({a.outcome})" for a in attempts]),
        ("Failures", [f"{f.ref} {f.saw}" for f in failed]),
    ]
    data = {
        **record_data(r), "added_later": sheet.added_later(session, r),
        "attempts": [a.ref for a in attempts], "failures": [f.ref for f in failed],
    }  # fmt: skip
    return View(revision_title(r), facts, sections, data)


LOOK = RecordLook("revisions", Revision, ("Title", "State"), _row, _view)
