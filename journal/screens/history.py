"""Every change of the record."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sqlmodel import Session, SQLModel, col, func, or_, select

from calc.wording import number_of
from journal.book.days import is_vague
from journal.book.records import current_build, find_record
from journal.book.sheet import is_named
from journal.book.stored import before_and_after
from journal.book.tables import NUMBERED, History
from journal.errors import NotFound
from journal.review.wording import day_text
from journal.screens.terminal import Terminal, columns_of, screen

#: The field that tells best what was added.
_TELLING = ("typed", "did", "saw", "question", "what", "name", "title", "said", "missing_because")
#: Columns that a program reads, in words.
_OWN = {"consequences": "what it does was worked out", "changes": "what it changes on the sheet"}
#: Columns whose name alone does not say what was done.
_SAID = {"correction": "corrected by", "criterion": "to be shown by"}


@dataclass(frozen=True)
class Changes:
    """Changes, oldest first, and how many came before them.

    Parameters
    ----------
    rows : list of History
        The changes.
    earlier : int
        Those before them that are not told.
    of : str
        The record that was asked for; empty for all.
    refs : dict
        References of records by kind and key.
    """

    rows: list[History]
    earlier: int = 0
    of: str = ""
    refs: dict[tuple[str, int], str] = field(default_factory=dict)


def gather_history(session: Session, ref: str | None = None, newest: int | None = None) -> Changes:
    """Changes of one record with what belongs to it, of one value on all sheets, or of the whole build.

    All of them, or so many of the newest.
    """
    build = current_build(session)
    query = select(History).where(History.build_id == build.key)
    if ref is not None and is_named(ref):
        query = query.where(History.kind == "sheetvalue", col(History.ref).endswith(f" {ref.strip()}"))
    elif ref is not None:
        found = find_record(session, ref, withdrawn=True)
        query = query.where(or_(History.ref == found.ref, col(History.ref).startswith(f"{found.ref} ")))
    rows = list(session.exec(query.order_by(col(History.id).desc()).limit(newest)))[::-1]
    if not rows:
        raise NotFound(f"There is no history of {ref or build.name}")
    earlier = 0
    if newest is not None and len(rows) == newest:
        earlier = session.exec(select(func.count()).select_from(query.subquery())).one() - newest
    return Changes(rows, earlier, ref or "", _refs(session))


def _refs(session: Session) -> dict[tuple[str, int], str]:
    """References of all records that have one, withdrawn ones too."""
    return {
        (str(kind.__tablename__), key or 0): f"{letter}{number}"
        for letter, kind in NUMBERED.items()
        for key, number in session.exec(select(col(kind.id), col(kind.number)))
    }


def _data(told: Changes) -> list[dict[str, Any]]:
    return [
        columns_of(row, "id", "build_id", "record_id")
        | dict(zip(("before", "after"), before_and_after(row), strict=True))
        for row in told.rows
    ]


@screen(_data)
def show_history(out: Terminal, told: Changes, *, full: bool = False) -> None:
    """Changes, oldest first, a line each under their day; in full, with every value before and after."""
    # All is read before anything is shown: a row that cannot be is told alone.
    if full:
        every = [(_when(row), *_told(row, told.refs)) for row in told.rows]
    else:
        brief = [(_when(row), _in_a_line(row, told.refs)) for row in told.rows]
    if told.earlier:
        more = " ".join(filter(None, ["galebook history", told.of, "--all"]))
        out.line(f"The newest {len(told.rows)}; {number_of(told.earlier, 'earlier one')}: {more}")
    if full:
        _in_full(out, every)
    elif _in_brief(out, brief):
        whole = " ".join(filter(None, ["galebook history", told.of, "--full"]))
        out.line()
        out.line(f"What ends in dots goes on in: {whole}")


def _when(row: History) -> tuple[str, str]:
    """The day, with who made the change where that is said, and the time of day."""
    day, _, time = day_text(row.at).partition(" ")
    return f"{day}{f', {row.who}' if row.who else ''}", time


def _in_brief(out: Terminal, lines: list[tuple[tuple[str, str], str]]) -> bool:
    """A line a change under its day; whether one was too long."""
    last, cut = "", False
    for (day, time), change in lines:
        if day != last:
            out.heading(day)
        last = day
        cut |= out.cut(f"{time}  {change}")
    return cut


def _in_full(out: Terminal, lines: list[tuple[tuple[str, str], str, str, str]]) -> None:
    last = ("", "")
    for when, head, change, why in lines:
        if when != last:
            day, comma, who = when[0].partition(", ")
            out.heading(f"{day} {when[1]}{comma}{who}")
        last = when
        out.hang(f"{head} ", change, 4)
        if why:
            out.indent(f"because: {why}", 4)


def _in_a_line(row: History, refs: dict[tuple[str, int], str]) -> str:
    """What was done, in words, and why where that was said."""
    _, _, why = _told(row, refs)
    return (_brief(row, refs) or row.ref) + (f"; because: {why}" if why else "")


def in_brief(session: Session, rows: list[History], most: int = 12) -> list[str]:
    """What rows of the history had done as one says it, a line each, and how many more there are."""
    refs = _refs(session)
    lines = [line for row in rows if (line := _brief(row, refs))]
    return lines if len(lines) <= most else [*lines[: most - 1], f"and {len(lines) - most + 1} more"]


#: What records without a number of their own are called, where people read of them.
_CALLED = {"partuse": "a part", "cause": "a cause", "sheettext": "the text", "evidence": "evidence"}


def _about(row: History, columns: dict[str, Any], refs: dict[tuple[str, int], str]) -> str:
    """What a change is about, as people call it."""
    part = refs.get(("part", columns.get("part_id") or 0))
    if row.kind == "partuse" and part:
        return f"{part} on {row.ref.partition(' ')[0]}"
    owner, _, own = row.ref.partition(" ")
    return f"{owner}, {_CALLED[own]}" if own in _CALLED else row.ref


def _brief(row: History, refs: dict[tuple[str, int], str]) -> str:
    before, after = (columns or {} for columns in before_and_after(row))
    return _line(row, _about(row, before | after, refs), before, after, refs)


def _line(
    row: History, about: str, before: dict[str, Any], after: dict[str, Any], refs: dict[tuple[str, int], str]
) -> str:
    if "frozen_at" in after:
        return f"{about} was frozen" if after["frozen_at"] else f"{about} became a draft again"
    if "typed" in after and before.get("typed"):
        return f"{about}: {after['typed']} instead of {before['typed']}"
    if not after:
        return f"{about} taken off" + (f", was {before['typed']}" if before.get("typed") else "")
    if "withdrawn_because" in after:
        return f"{about} withdrawn" if after["withdrawn_because"] else f"{about} brought back"
    return f"{about}: {_difference(row, before, after, refs)}".rstrip(": ")


def _told(row: History, refs: dict[tuple[str, int], str]) -> tuple[str, str, str]:
    """What was done, what it changed, and why where the change does not say it itself."""
    before, after = (columns or {} for columns in before_and_after(row))
    why = row.why if row.why and row.why not in after.values() else ""
    return f"{row.action} {row.ref}:", _difference(row, before, after, refs), why or ""


def _difference(row: History, before: dict[str, Any], after: dict[str, Any], refs: dict[tuple[str, int], str]) -> str:
    if row.action == "add":
        told = next((str(after[k]) for k in _TELLING if after.get(k)), "")
        told = "added" if not told or row.ref.endswith(told) else told
        return " ".join(filter(None, [after.get("quantity") if row.kind == "measurement" else "", told]))
    if row.kind == "sheettext":
        return "what stands around its values"
    parts = []
    for column in dict.fromkeys([*before, *after]):
        old, new = before.get(column), after.get(column)
        if old == new or column.endswith("_typed"):
            continue
        if column in _OWN:
            parts.append(_OWN[column])
            continue
        name = column.removesuffix("_id").replace("_", " ")
        name = _SAID.get(name, name)
        of = _named_by(row.kind, column)
        was, now = (_value(v if of is None else refs.get((of, v or 0), v)) for v in (old, new))
        parts.append(
            f"{name} taken off, was {was}"
            if new is None
            else f"{name} {now}{f', was {was}' if old is not None else ''}"
        )
    return "; ".join(parts)


def _named_by(kind: str, column: str) -> str | None:
    """The kind of record that a column names by its key; None for one that names none."""
    table = SQLModel.metadata.tables.get(kind)
    keys = table.c[column].foreign_keys if table is not None and column in table.c else ()
    return next((key.column.table.name for key in keys), None)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and is_vague(value):
        return day_text(value)
    return f"{value:g}" if isinstance(value, float) else str(value)
