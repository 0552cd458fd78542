"""A permission, an insurance, or another paper."""

from __future__ import annotations

from sqlmodel import Session

from journal.book.papers import ended_text
from journal.book.tables import Paper
from journal.book.written import when
from journal.review.wording import day_text
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def _until(p: Paper) -> str | None:
    if p.until is None:
        return None
    over = ended_text(p, when(None))
    return f"{day_text(p.until)}{f', {over}' if over else ''}"


def _row(session: Session, p: Paper, on: str) -> tuple[str, ...]:
    return p.kind, p.what, p.who or "", _until(p) or ""


def _view(session: Session, p: Paper) -> View:
    facts = known_facts(
        ("Kind", p.kind),
        ("Given by", p.who),
        ("Number", p.serial),
        ("Given", day_text(p.given) if p.given else None),
        ("Until", _until(p)),
        ("Private note", p.private_note),
    )
    return View(f"{p.ref} {p.what}", facts, [], record_data(p))


LOOK = RecordLook("papers", Paper, ("Kind", "What it says", "Given by", "Until"), _row, _view)
