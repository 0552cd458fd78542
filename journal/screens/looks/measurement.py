"""A measurement."""

from __future__ import annotations

from sqlmodel import Session

from calc.quantities import QUANTITIES
from journal.book.measurements import heard_of
from journal.book.records import get_record
from journal.book.tables import Attempt, Measurement, Revision
from journal.review.verdict import measured_text, opened
from journal.review.wording import day_text, wind_text
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def measurement_line(m: Measurement) -> str:
    """One measurement in one line."""
    extra = ", ".join(filter(None, [m.where, m.load_state, wind_text(m), m.instrument, m.conditions]))
    return f"{m.ref} {QUANTITIES[m.quantity].meaning}: {measured_text(m)}" + (f" ({extra})" if extra else "")


def _row(session: Session, m: Measurement, on: str) -> tuple[str, ...]:
    return on, QUANTITIES[m.quantity].meaning, measured_text(m), m.load_state or "", wind_text(m)


def _view(session: Session, m: Measurement) -> View:
    from journal.review.by_sheet import tell_by_sheet

    of: Revision = get_record(session, Revision, m.revision_id)
    attempt: Attempt | None = get_record(session, Attempt, m.attempt_id)
    facts = known_facts(
        ("Value", measured_text(m)),
        ("Typed", m.typed),
        ("Read as", heard_of(m.quantity, m.typed)),
        ("Revision", of.ref),
        ("Attempt", attempt.ref if attempt else None),
        ("Taken", day_text(m.taken)),
        ("Where", m.where),
        ("Connected", m.load_state),
        ("Wind", wind_text(m)),
        ("Form", m.form),
        ("Instrument", m.instrument),
        ("Read by", m.read_by),
        ("Conditions", m.conditions),
        ("Remember", QUANTITIES[m.quantity].note),
        ("Private note", m.private_note),
    )
    told, untold = tell_by_sheet([m], lambda: opened(session, of))
    data = {**record_data(m), "on": of.ref, "attempt": attempt.ref if attempt else None, "by_sheet": told}
    data["not_worked_out"] = untold
    data["read"] = heard_of(m.quantity, m.typed)
    sections = [
        ("Worked out with the sheet", [t.text for t in told]),
        ("Not worked out", [u.text for u in untold]),
    ]
    return View(f"{m.ref} {QUANTITIES[m.quantity].meaning}", facts, sections, data)


LOOK = RecordLook("measurements", Measurement, ("On", "What", "Value", "Connected", "Wind"), _row, _view)
