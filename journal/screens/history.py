"""Every change of the record."""

from __future__ import annotations

import json
from typing import Any

from sqlmodel import Session, col, or_, select

from journal.book.records import current_build, find_record
from journal.book.tables import History
from journal.errors import NotFound
from journal.review.wording import day_text
from journal.screens.terminal import Terminal, columns_of, screen

#: The field that tells best what was added.
_TELLING = ("typed", "did", "saw", "question", "what", "name", "title", "said")


def gather_history(session: Session, ref: str | None = None) -> list[History]:
    """Changes, oldest first: of one record and what belongs to it, or of the whole build."""
    build = current_build(session)
    query = select(History).where(History.build_id == build.key).order_by(col(History.id))
    if ref is not None:
        found = find_record(session, ref, withdrawn=True)
        query = query.where(or_(History.ref == found.ref, col(History.ref).startswith(f"{found.ref} ")))
    rows = list(session.exec(query))
    if not rows:
        raise NotFound(f"There is no history of {ref or build.name}")
    return rows


def _data(rows: list[History]) -> list[dict[str, Any]]:
    return [
        {
            **columns_of(row, "id", "build_id", "record_id"),
            "before": json.loads(row.before) if row.before else None,
            "after": json.loads(row.after) if row.after else None,
        }
        for row in rows
    ]


@screen(_data)
def show_history(out: Terminal, rows: list[History]) -> None:
    """Changes, oldest first."""
    out.table(
        ("When", "What", "Change", "Why"),
        ((day_text(row.at), f"{row.action} {row.ref}", _difference(row), row.why or "") for row in rows),
    )


def _difference(row: History) -> str:
    before: dict[str, Any] = json.loads(row.before) if row.before else {}
    after: dict[str, Any] = json.loads(row.after) if row.after else {}
    if row.action == "add":
        return next((str(after[k]) for k in _TELLING if after.get(k)), "")
    if row.kind == "sheettext":
        return "what stands around its values"
    return "; ".join(
        f"{k}: {before.get(k, '')} -> {after.get(k, '')}"
        for k in dict.fromkeys([*before, *after])
        if before.get(k) != after.get(k)
    )
