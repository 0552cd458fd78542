"""A part."""

from __future__ import annotations

from sqlmodel import Session, col, select

from calc.units import show
from journal.book.records import get_record
from journal.book.tables import Part, PartUse, Revision
from journal.review.wording import fitted_text
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def _cost(p: Part) -> str:
    return f"{p.cost:g} {p.currency}" if p.cost is not None else ""


def _row(session: Session, p: Part, on: str) -> tuple[str, ...]:
    return p.name, p.role or "", _cost(p)


def _view(session: Session, p: Part) -> View:
    facts = known_facts(
        ("Role", p.role),
        ("How many", f"{p.quantity:g}"),
        ("Condition", p.condition),
        ("Source", p.source),
        ("Cost", _cost(p)),
        ("Mass", show(p.mass, "kg") if p.mass is not None else None),
        ("Printed on it", p.rating),
        ("Past", p.history),
        ("Serial number", p.serial),
        ("Private note", p.private_note),
    )
    fates = []
    for use in session.exec(select(PartUse).where(PartUse.part_id == p.key).order_by(col(PartUse.id))):
        of: Revision = get_record(session, Revision, use.revision_id)
        fates.append(f"{of.ref}: {', '.join(filter(None, [use.fate, use.fate_note, fitted_text(use)]))}")
    return View(f"{p.ref} {p.name}", facts, [("On revisions", fates)], {**record_data(p), "fates": fates})


LOOK = RecordLook("parts", Part, ("Part", "Role", "Cost"), _row, _view)
