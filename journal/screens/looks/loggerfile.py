"""What a data logger wrote."""

from __future__ import annotations

from sqlmodel import Session

from calc.units import show
from journal.book.attachments import attachments_of
from journal.book.loggerfiles import found_in
from journal.book.records import get_record
from journal.book.tables import Attempt, LoggerFile, Revision
from journal.logger.channels import CHANNELS
from journal.logger.mapping import LoggerColumn, mapping_of
from journal.screens.logger import clock, told_of
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def _of(session: Session, f: LoggerFile) -> str:
    revision: Revision | None = get_record(session, Revision, f.revision_id)
    attempt: Attempt | None = get_record(session, Attempt, f.attempt_id)
    return " ".join(r.ref for r in (revision, attempt) if r) or "the place"


def _odd(f: LoggerFile) -> str:
    counts = (("gap", f.gaps), ("reset", f.resets), ("stuck", f.stuck), ("spike", f.spikes), ("bad line", f.bad))
    return ", ".join(f"{n} {word}{'s' if n > 1 and word != 'stuck' else ''}" for word, n in counts if n) or "nothing"


def _column(c: LoggerColumn) -> str:
    at = f", at {c.height:g} m" if c.height else ""
    assumed = " (nobody named the unit)" if c.why == "unit assumed" else ""
    turned = ", its sign turned" if c.turned else ""
    doubt = f", ± {c.stated.typed}" if c.stated else ""
    return f"{c.head}: {CHANNELS[c.what].meaning}, {c.unit}{assumed}{at}{turned}{doubt}"


def _row(session: Session, f: LoggerFile, on: str) -> tuple[str, ...]:
    return _of(session, f), f.filename, f"{clock(f.first_at)} to {clock(f.last_at)}", f"{f.rows:,}", _odd(f)


def _view(session: Session, f: LoggerFile) -> View:
    kept, found = mapping_of(f.mapping), found_in(f)
    columns = [_column(c) for c in (kept.columns if kept else ()) if c.what in CHANNELS]
    every = f", one every {show(f.step, 's', 3)}" if f.step else ""
    facts = known_facts(
        ("Of", _of(session, f)),
        ("From", f"{clock(f.first_at)} UTC"),
        ("To", f"{clock(f.last_at)} UTC"),
        ("Rows", f"{f.rows:,}{every}"),
        ("Its clock", f.zone),
        ("Note", f.note),
        ("Kept as", ", ".join(a.ref for a in attachments_of(session, f.ref))),
    )
    counts = {"gaps": f.gaps, "resets": f.resets, "stuck": f.stuck, "spikes": f.spikes, "bad": f.bad}
    data = {**record_data(f), "of": _of(session, f), "columns": [] if kept is None else columns, "found": found}
    sections = [("Columns", columns), ("What was odd", told_of(found, counts))]
    return View(f"{f.ref} {f.filename}", facts, sections, data)


LOOK = RecordLook("loggers", LoggerFile, ("Of", "File", "From and to, UTC", "Rows", "Odd"), _row, _view)
