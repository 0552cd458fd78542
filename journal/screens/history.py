"""Every change of the record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session, col, func, or_, select

from journal.book.records import current_build, find_record
from journal.book.stored import before_and_after
from journal.book.tables import History
from journal.errors import NotFound
from journal.review.wording import day_text
from journal.screens.terminal import Terminal, columns_of, screen

#: The field that tells best what was added.
_TELLING = ("typed", "did", "saw", "question", "what", "name", "title", "said")


@dataclass(frozen=True)
class Changes:
    """Changes, oldest first, and how many came before them; ``of`` is the record that was asked for."""

    rows: list[History]
    earlier: int = 0
    of: str = ""


def gather_history(session: Session, ref: str | None = None, newest: int | None = None) -> Changes:
    """Changes of one record and what belongs to it, or of the whole build: all, or so many of the newest."""
    build = current_build(session)
    query = select(History).where(History.build_id == build.key)
    if ref is not None:
        found = find_record(session, ref, withdrawn=True)
        query = query.where(or_(History.ref == found.ref, col(History.ref).startswith(f"{found.ref} ")))
    rows = list(session.exec(query.order_by(col(History.id).desc()).limit(newest)))[::-1]
    if not rows:
        raise NotFound(f"There is no history of {ref or build.name}")
    earlier = 0
    if newest is not None and len(rows) == newest:
        earlier = session.exec(select(func.count()).select_from(query.subquery())).one() - newest
    return Changes(rows, earlier, ref or "")


def _data(told: Changes) -> list[dict[str, Any]]:
    return [
        columns_of(row, "id", "build_id", "record_id")
        | dict(zip(("before", "after"), before_and_after(row), strict=True))
        for row in told.rows
    ]


@screen(_data)
def show_history(out: Terminal, told: Changes) -> None:
    """Changes, oldest first; who made them, where that is said of any."""
    # All is read before anything is shown: a row that cannot be is told alone.
    differences = [_difference(row) for row in told.rows]
    if told.earlier:
        more = " ".join(filter(None, ["galebook history", told.of, "--all"]))
        out.line(f"The newest {len(told.rows)}; {told.earlier} earlier ones: {more}")
    signed = any(row.who for row in told.rows)
    out.table(
        ("When", *(("Who",) if signed else ()), "What", "Change", "Why"),
        (
            (
                day_text(row.at),
                *((row.who or "",) if signed else ()),
                f"{row.action} {row.ref}",
                difference,
                row.why or "",
            )
            for row, difference in zip(told.rows, differences, strict=True)
        ),
    )


def _difference(row: History) -> str:
    before, after = (columns or {} for columns in before_and_after(row))
    if row.action == "add":
        return next((str(after[k]) for k in _TELLING if after.get(k)), "")
    if row.kind == "sheettext":
        return "what stands around its values"
    return "; ".join(
        f"{k}: {before.get(k, '')} -> {after.get(k, '')}"
        for k in dict.fromkeys([*before, *after])
        if before.get(k) != after.get(k)
    )
