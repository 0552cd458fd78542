"""An instrument."""

from __future__ import annotations

from sqlmodel import Session

from journal.book.tables import Instrument
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def _row(session: Session, i: Instrument, on: str) -> tuple[str, ...]:
    return i.name, i.accuracy or ""


def _view(session: Session, i: Instrument) -> View:
    return View(f"{i.ref} {i.name}", known_facts(("Accuracy", i.accuracy), ("Note", i.note)), [], record_data(i))


LOOK = RecordLook("instruments", Instrument, ("Instrument", "Accuracy"), _row, _view)
