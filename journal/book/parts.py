"""Parts: the bill of materials, and what became of each thing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session, col, select

from journal.book import sheet
from journal.book.kinds import Kind, a_text, a_word, typed_beside
from journal.book.plain_quantity import Wanted
from journal.book.plain_text import clean_line
from journal.book.quantity import parse
from journal.book.records import add_record, find_record, find_revision
from journal.book.store import because, settle
from journal.book.tables import CONDITIONS, FATES, Part, PartUse, Revision
from journal.book.written import money, past, text, word
from journal.errors import BadInput, Refused

_MASS = Wanted("kg", "kg", 0.0, 1e5, "1.2 kg")


def read_mass(typed: str) -> float:
    """Kilograms from a text such as ``4.1 kg``."""
    return parse(typed, _MASS, "Mass").value


def read_count(typed: str) -> float:
    """How many, from a text such as ``3`` or ``0.5``."""
    try:
        number = float(typed)
    except ValueError:
        number = float("nan")
    if not 0 < number < 1e6:
        raise BadInput(f"Quantity: {typed!r} is not a count", "Type it like 3 or 0.5")
    return number


KIND = Kind(
    Part,
    readers={
        "name": a_text("The name", limit=200),
        "role": a_text("Role"),
        "quantity": read_count,
        "condition": a_word("Condition", CONDITIONS),
        "source": a_text("Source"),
        "mass": read_mass,
        "rating": a_text("Rating"),
        "history": a_text("History"),
        "serial": a_text("Serial number"),
        "private_note": a_text("Note"),
    },
    together={
        "cost": lambda part, typed: money(typed, part.currency),
        "currency": lambda part, typed: money(f"{part.cost or 0:g}", typed),
    },
)


@dataclass(frozen=True, slots=True)
class PartTyped:
    """What a person typed of a part; ``on`` is the revision, else the newest."""

    name: str
    on: str | None = None
    role: str | None = None
    quantity: str | None = None
    condition: str | None = None
    source: str | None = None
    cost: str | None = None
    currency: str | None = None
    mass: str | None = None
    rating: str | None = None
    history: str | None = None
    serial: str | None = None
    private_note: str | None = None


def add_part(session: Session, typed: PartTyped, correction: str | None = None) -> Part:
    """Add a part to a revision; of one that was built the history tells that it was added later."""
    to = find_revision(session, typed.on)
    sheet.permit_adding(session, to, correction)
    part = add_record(session, Part, **read_part(typed))
    session.add(PartUse(part_id=part.key, revision_id=to.key))
    settle(session)
    return part


def read_part(typed: PartTyped) -> dict[str, Any]:
    """The columns of a part that is to be added.

    Raises
    ------
    BadInput
        If a word, a count, a mass or a cost cannot be used.
    """
    return {**KIND.columns(typed), **money(typed.cost, typed.currency)}


def carry(session: Session, ref: str, on: str | None = None) -> PartUse:
    """Let a part serve on another revision too."""
    part, to = find_record(session, ref, Part), find_revision(session, on)
    if session.exec(select(PartUse).where(PartUse.part_id == part.key, PartUse.revision_id == to.key)).first():
        raise Refused(f"{part.ref} is already on {to.ref}")
    sheet.permit_adding(session, to, None)
    use = PartUse(part_id=part.key, revision_id=to.key)
    session.add(use)
    settle(session)
    # It goes on from each revision to the next; where it was left out of an earlier one, it went on from there.
    serving = (
        select(PartUse, Revision)
        .join(Revision, col(Revision.id) == PartUse.revision_id)
        .where(PartUse.part_id == part.key, PartUse.fate == "in use")
        .order_by(col(Revision.number))
    )
    for earlier, _ in list(session.exec(serving))[:-1]:
        earlier.fate = "carried on"
        session.add(earlier)
    session.flush()
    return use


def fate(session: Session, ref: str, became: str, *, on: str | None = None, note: str | None = None) -> PartUse:
    """Say what became of a part on a revision; this is part of what happened, so a frozen revision allows it."""
    use = _use(session, find_record(session, ref, Part), on)
    use.fate = word(became, FATES, "Fate") or use.fate
    use.fate_note = text(note, "Note")
    because(session, use.fate_note)
    session.add(use)
    settle(session)
    return use


def fitted(
    session: Session, ref: str, by: str | None = None, *, on: str | None = None, day: str | None = None
) -> PartUse:
    """Say who fitted a part to a revision, and when; what is not given stays as it is.

    Raises
    ------
    BadInput
        If neither is given, or the day cannot be read.
    """
    if by is None and day is None:
        raise BadInput("Nothing is said of who fitted it or when", 'Like: galebook part fitted P8 "me" --when 3 May')
    use = _use(session, find_record(session, ref, Part), on)
    if by is not None:
        use.fitted_by = clean_line(by, "Who fitted it", limit=200)
    if day is not None:
        use.fitted_on = past(day, "Fitted")
        use.fitted_on_typed = typed_beside(day, use.fitted_on)
    session.add(use)
    settle(session)
    return use


def _use(session: Session, part: Part, on: str | None) -> PartUse:
    """A part on a revision; without one, on the newest that it is on.

    Raises
    ------
    Refused
        If it is not on that revision, or on none.
    """
    uses = list(
        session.exec(
            select(PartUse)
            .join(Revision, col(Revision.id) == PartUse.revision_id)
            .where(PartUse.part_id == part.key)
            .order_by(col(Revision.number))
        )
    )
    if on is not None:
        on_key = find_record(session, on, Revision).key
        uses = [u for u in uses if u.revision_id == on_key]
    if not uses:
        raise Refused(
            f"{part.ref} is not on {on or 'any revision'}", f"Put it there with: galebook part carry {part.ref}"
        )
    return uses[-1]


def on_revision(session: Session, on: Revision) -> list[tuple[Part, PartUse]]:
    """Parts of a revision, by number, each with what became of it."""
    rows = session.exec(
        select(Part, PartUse)
        .join(PartUse, col(PartUse.part_id) == Part.id)
        .where(PartUse.revision_id == on.key, col(Part.withdrawn_because).is_(None))
        .order_by(col(Part.number))
    )
    return list(rows)


def spare(session: Session, of: Revision) -> list[Part]:
    """Parts that lie spare from any revision of the same build, by number."""
    rows = session.exec(
        select(Part)
        .join(PartUse, col(PartUse.part_id) == Part.id)
        .where(Part.build_id == of.build_id, PartUse.fate == "spare", col(Part.withdrawn_because).is_(None))
        .order_by(col(Part.number))
        .distinct()
    )
    return list(rows)


def mass(parts: Iterable[tuple[Part, object]]) -> tuple[float, int]:
    """Mass of all whose mass is known, in kg, and how many there are of which it is not."""
    known = [(part.mass, part.quantity) for part, _ in parts]
    return sum(m * n for m, n in known if m is not None), sum(m is None for m, _ in known)


def cost(parts: Iterable[tuple[Part, object]]) -> dict[str, float]:
    """Cost by currency. Currencies are never added to each other."""
    total: dict[str, float] = {}
    for part, _ in parts:
        if part.cost is not None and part.currency:
            total[part.currency] = total.get(part.currency, 0.0) + part.cost
    return total
