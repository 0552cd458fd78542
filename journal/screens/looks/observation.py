"""An observation."""

from __future__ import annotations

from sqlmodel import Session

from journal.book.observations import question_of
from journal.book.records import get_record
from journal.book.tables import Failure, Observation
from journal.review.wording import day_text
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def _row(session: Session, o: Observation, on: str) -> tuple[str, ...]:
    of: Failure = get_record(session, Failure, o.failure_id)
    return of.ref, question_of(o), o.answer, day_text(o.seen)


def _view(session: Session, o: Observation) -> View:
    of: Failure = get_record(session, Failure, o.failure_id)
    facts = known_facts(
        ("Of", f"{of.ref} {of.saw}"),
        ("Look", o.look),
        ("Answer", o.answer),
        ("Looked", day_text(o.seen)),
        ("Found", o.note),
        ("Private note", o.private_note),
    )
    data = {**record_data(o), "of": of.ref, "question": question_of(o)}
    return View(f"{o.ref} {question_of(o)} {o.answer.capitalize()}.", facts, [], data)


LOOK = RecordLook("observations", Observation, ("Of", "Looked for", "Found", "On"), _row, _view)
