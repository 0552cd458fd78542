"""The bill of materials."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from journal.book import parts
from journal.book.days import told
from journal.book.records import all_records, current_build, find_revision
from journal.book.tables import Part, PartUse, Revision
from journal.review.wording import cost_text, fitted_text
from journal.screens.terminal import Terminal, record_data, revision_title, screen


@dataclass(frozen=True)
class Bill:
    """Parts of a revision with what became of them, their cost by currency, and that of the whole build so far."""

    revision: Revision
    rows: list[tuple[Part, PartUse]]
    cost: dict[str, float]
    cost_of_all: dict[str, float]


def gather_bill(session: Session, ref: str | None = None) -> Bill:
    """The parts of a revision; without a reference, of the newest."""
    of = find_revision(session, ref)
    rows = parts.on_revision(session, of)
    every = [(part, None) for part in all_records(session, Part, current_build(session))]
    return Bill(of, rows, parts.cost(rows), parts.cost(every))


def _data(bill: Bill) -> dict[str, Any]:
    return {
        "revision": bill.revision.ref,
        "parts": [{**record_data(p), **_use_data(u)} for p, u in bill.rows],
        "cost": bill.cost,
        "mass": parts.mass(bill.rows)[0],
        "cost_of_all_revisions": bill.cost_of_all,
    }


def _use_data(u: PartUse) -> dict[str, Any]:
    fitted_on = told(u.fitted_on, u.fitted_on_typed)
    return {"fate": u.fate, "fate_note": u.fate_note, "fitted_by": u.fitted_by, "fitted_on": fitted_on}


@screen(_data)
def show_bill(out: Terminal, bill: Bill) -> None:
    """Parts, what they cost and weigh, and what became of them."""
    if not bill.rows:
        out.line(f"{bill.revision.ref} has no parts yet.")
        return
    out.title(revision_title(bill.revision))
    columns = ("", "Part", "Role", "Condition", "Cost", "Mass", "Became")
    out.table(columns, (_row(p, u) for p, u in bill.rows))
    if bill.cost:
        out.line(f"Cost: {cost_text(bill.cost)}{_of_all(bill)}")
    known, without = parts.mass(bill.rows)
    if known:
        rest = f", without {without} whose mass is not known" if without else ""
        out.line(f"Mass: {known:.3g} kg{rest}")


def _of_all(bill: Bill) -> str:
    """What all revisions cost together, each part once, where that is more than this one."""
    return f"; all revisions together {cost_text(bill.cost_of_all)}" if bill.cost_of_all != bill.cost else ""


def _row(p: Part, u: PartUse) -> tuple[str, ...]:
    paid = f"{p.cost:g} {p.currency}" if p.cost is not None else ""
    mass = f"{p.mass:g} kg" if p.mass is not None else ""
    became = "; ".join(filter(None, [u.fate + (f": {u.fate_note}" if u.fate_note else ""), fitted_text(u)]))
    return p.ref, p.name, p.role or "", p.condition or "", paid, mass, became
