"""All records of one kind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from calc.wording import number_of
from journal.book.records import all_records, count_records, current_build, newest_records
from journal.book.tables import Numbered, Revision
from journal.book.written import word
from journal.screens.looks import LOOKS
from journal.screens.terminal import Terminal, record_data, screen


@dataclass(frozen=True)
class Listing:
    """Records of one kind, each with the revision it belongs to and its row of the table; how many came before."""

    kind: str
    columns: tuple[str, ...]
    records: list[Numbered]
    on: list[str]
    rows: list[tuple[str, ...]]
    earlier: int = 0


def gather_listing(session: Session, kind: str, newest: int | None = None) -> Listing:
    """Records of a kind that were not withdrawn: all, or so many of the newest."""
    wanted = word(kind, tuple(look.kind for look in LOOKS), "Kind")
    look = next(look for look in LOOKS if look.kind == wanted)
    build = current_build(session)
    refs = {r.key: r.ref for r in all_records(session, Revision, build, withdrawn=True)}
    records: list[Any] = newest_records(session, look.record, build, newest)
    earlier = count_records(session, look.record, build) - len(records) if newest else 0
    on = [refs.get(getattr(r, "revision_id", 0), "") for r in records]
    rows = [(r.ref, *look.row(session, r, o)) for r, o in zip(records, on, strict=True)]
    return Listing(look.kind, ("", *look.columns), records, on, rows, earlier)


def _data(listing: Listing) -> list[dict[str, Any]]:
    return [{**record_data(r), "on": o or None} for r, o in zip(listing.records, listing.on, strict=True)]


@screen(_data)
def show_listing(out: Terminal, listing: Listing) -> None:
    """One row a record."""
    if listing.earlier:
        out.line(
            f"The newest {len(listing.rows)}; {number_of(listing.earlier, 'earlier one')}: galebook list "
            f"{listing.kind} --all"
        )
    if listing.rows:
        out.table(listing.columns, listing.rows)
    else:
        out.line(f"No {listing.kind} yet.")
