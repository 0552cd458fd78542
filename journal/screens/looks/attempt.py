"""An attempt, with what its readings say, one by one and together."""

from __future__ import annotations

from sqlmodel import Session

from journal.book.records import get_record, records_in
from journal.book.tables import Attempt, Failure, Measurement, Revision
from journal.review.series import parted, series_text
from journal.review.together import derive_from
from journal.review.verdict import opened
from journal.review.wording import days_text, wind_text
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.looks.measurement import measurement_line
from journal.screens.terminal import record_data


def _row(session: Session, a: Attempt, on: str) -> tuple[str, ...]:
    return on, days_text(a.began, a.ended), a.did, wind_text(a), a.outcome


def _view(session: Session, a: Attempt) -> View:
    from journal.review.by_sheet import tell_by_sheet

    of: Revision = get_record(session, Revision, a.revision_id)
    readings, failed = records_in(session, Measurement, a), records_in(session, Failure, a)
    singly, many = parted(readings)
    told, untold = derive_from(readings)
    by_sheet, untold_by_sheet = tell_by_sheet(readings, lambda: opened(session, of))
    untold += untold_by_sheet
    facts = known_facts(
        ("Revision", of.ref),
        ("When", days_text(a.began, a.ended)),
        ("Kind", a.kind),
        ("Outcome", a.outcome),
        ("Saw", a.saw),
        ("Wind", wind_text(a)),
        ("Wind known by", a.wind_how),
        ("Connected", a.load_state),
        ("Turned", f"{a.hours:g} h" if a.hours is not None else None),
        ("Private note", a.private_note),
    )
    sections = [
        ("Read", [*map(measurement_line, singly), *map(series_text, many)]),
        ("Worked out from these, 95 in 100 within the limits", [t.text for t in told]),
        ("Worked out with the sheet", [t.text for t in by_sheet]),
        ("Not worked out", [u.text for u in untold]),
        ("Failures", [f"{f.ref} {f.saw}" for f in failed]),
    ]
    data = {
        **record_data(a), "on": of.ref, "measurements": [m.ref for m in readings], "derived": told,
        "by_sheet": by_sheet, "not_worked_out": untold,
        "failures": [f.ref for f in failed],
    }  # fmt: skip
    return View(f"{a.ref} {a.did}", facts, sections, data)


LOOK = RecordLook("attempts", Attempt, ("On", "When", "What", "Wind", "Outcome"), _row, _view)
