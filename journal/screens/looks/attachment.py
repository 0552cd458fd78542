"""An attached file."""

from __future__ import annotations

from sqlmodel import Session

from journal.book import attachments
from journal.book.tables import Attachment
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def _row(session: Session, a: Attachment, on: str) -> tuple[str, ...]:
    copy = "missing or changed" if attachments.is_damaged(session, a) else "whole"
    return a.about, a.filename, a.caption or "", copy


def _view(session: Session, a: Attachment) -> View:
    damaged = attachments.is_damaged(session, a)
    facts = known_facts(
        ("About", a.about),
        ("Shows", a.caption),
        ("Kind", a.media_type),
        ("Size", f"{a.size / 1024:.0f} kB"),
        ("Private", "yes" if a.private else "no"),
        ("Kept at", attachments.stored_at(session, a)),
        ("The copy", "is missing or changed; attach the file again" if damaged else "whole"),
    )
    return View(f"{a.ref} {a.filename}", facts, [], record_data(a))


LOOK = RecordLook("files", Attachment, ("About", "File", "Shows", "The copy"), _row, _view)
