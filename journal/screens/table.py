"""A table of readings, attempts, parts, failures or claims: what was logged of it, or would be."""

from __future__ import annotations

from collections import Counter
from dataclasses import asdict, dataclass, field
from typing import Any

from calc.quantities import QUANTITIES
from calc.units import show
from calc.wording import number_of
from journal.book.table_text import TableText
from journal.book.table_words import LEFT_OUT
from journal.book.taking_rows import BadCell, TableEntry, TablePlan
from journal.book.taking_table import TableColumn
from journal.review.spun import Point, Spun
from journal.screens.terminal import Terminal, screen

#: Records, lines and reasons that are shown; the rest is counted.
SHOWN = 8
#: Lines that cannot be used of which each is named.
NAMED = 20
_HOW = {"head": "", "said": "as you said", "remembered": "as you said of such a table before"}


@dataclass(frozen=True)
class Tabled:
    """A table with how it was taken.

    Parameters
    ----------
    name : str
        The file, or that it was pasted.
    logged : list of str
        References of what was logged.
    left_out : int
        Records that stood in the journal already and were left out.
    written : bool
        Whether it was logged; else it was only tried.
    values : list of str
        What was put on the sheet.
    """

    name: str
    table: TableText
    plan: TablePlan
    spun: Spun | None = None
    logged: list[str] = field(default_factory=list)
    left_out: int = 0
    written: bool = False
    values: list[str] = field(default_factory=list)


def bad_lines(bad: list[BadCell]) -> list[str]:
    """What is wrong with a table, line by line; of many the first ones, and how many more there are."""
    lines = [str(b) for b in bad[:NAMED]]
    return [*lines, *([f"... and {len(bad) - NAMED} more."] if len(bad) > NAMED else [])]


def _data(t: Tabled) -> dict[str, Any]:
    return {
        "table": t.name,
        "as": t.plan.taken.kind,
        "separator": t.table.parted,
        "decimal": {",": "comma", ".": "point"}[t.plan.mark],
        "lines": len(t.table.lines),
        "columns": [asdict(c) for c in t.plan.taken.columns],
        "for_all": dict(t.plan.taken.shared),
        "records": [_record(e) for e in t.plan.entries],
        "bad": [asdict(b) for b in t.plan.bad],
        "empty_lines": t.plan.empty,
        "written": t.written,
        "logged": t.logged,
        "left_out": t.left_out,
        "spin_test": None if t.spun is None else _spun_data(t.spun),
        "set": t.values,
    }


def _record(e: TableEntry) -> dict[str, Any]:
    typed = {name: value for name, value in asdict(e.typed).items() if value is not None}
    read = {name: e.columns[name] for name in ("value", "low", "high") if e.columns.get(name) is not None}
    return {"line": e.line, "column": e.column, "known": e.known or None, **typed, **({"si": read} if read else {})}


def _spun_data(spun: Spun) -> dict[str, Any]:
    sheet = {path: {"typed": typed, "from": known} for path, (typed, known) in spun.values.items()}
    return {"points": [asdict(p) for p in spun.points], "told": list(spun.told), "sheet": sheet}


@screen(_data)
def show_tabled(out: Terminal, t: Tabled) -> None:
    """How the table was taken, the first records, and what was told of the rest."""
    kind = t.plan.taken.kind
    out.title(f"{t.name}: {number_of(len(t.table.lines), 'line')} of {kind}, cells separated by {t.table.parted}")
    if t.table.decoded:
        out.line(f"It is written in {t.table.decoded}, and was read so.")
    if t.plan.mark == ",":
        out.line("Decimals have a comma: 12,1 is read as 12.1.")
    out.table(("Column", "Is", "In", ""), (_column(c) for c in t.plan.taken.columns if c.head))
    if t.plan.taken.shared:
        told = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in t.plan.taken.shared.items())
        out.line(f"For all lines that say nothing else: {told}.")
    _counts(out, t)
    _first(out, _kept(t))
    if t.spun:
        _spun(out, t.spun, t.values)


def _column(c: TableColumn) -> tuple[str, ...]:
    is_ = "left out" if c.target == LEFT_OUT else c.target
    meaning = QUANTITIES[c.target].meaning if c.target in QUANTITIES else ""
    return c.head, is_, c.unit, "; ".join(filter(None, (meaning, _HOW[c.why])))


def _counts(out: Terminal, t: Tabled) -> None:
    """How many records there are or would be, and what is odd about some."""
    plan = t.plan
    count = len(t.logged) if t.written else len(plan.entries)
    refs = f": {t.logged[0]} to {t.logged[-1]}" if len(t.logged) > 1 else f": {t.logged[0]}" if t.logged else ""
    out.line(f"{'Logged' if t.written else 'Would be logged'}: {_many(count, plan.taken.kind)}{refs}.")
    if plan.taken.kind == "readings":
        of = Counter(e.typed.quantity for e in _kept(t))
        if of:
            out.indent(", ".join(f"{n} of {quantity}" for quantity, n in of.items()))
    if unread := [e for e in _kept(t) if getattr(e.typed, "missing", None)]:
        some = "; ".join(f"line {e.line}: {e.typed.missing}" for e in unread[:SHOWN])
        out.line(f"Not read, each with its reason: {len(unread)} ({some}{_more(unread)}).")
    if plan.empty:
        out.line(f"Nothing stands in {_lines(plan.empty)}.")
    if t.left_out:
        out.line(f"Left out, because the journal has them: {t.left_out}.")
    elif plan.known:
        some = ", ".join(f"line {e.line} as {e.known}" for e in plan.known[:SHOWN])
        hint = "" if t.written else " Leave them out with --skip-known."
        out.line(f"The journal has the same already: {some}{_more(plan.known)}.{hint}")
    if plan.bad and not t.written:
        out.line(f"Cannot be used: {len(plan.bad)}. Nothing is logged until they are put right.")
        for line in bad_lines(plan.bad):
            out.indent(line)


def _kept(t: Tabled) -> list[TableEntry]:
    return [e for e in t.plan.entries if not (t.left_out and e.known)]


def _many(count: int, kind: str) -> str:
    return f"{count} {kind if count != 1 else kind[:-1]}"


def _more(some: list[Any]) -> str:
    return f" and {len(some) - SHOWN} more" if len(some) > SHOWN else ""


def _lines(numbers: list[int]) -> str:
    some = ", ".join(str(n) for n in numbers[:SHOWN])
    return f"line{'s' if len(numbers) > 1 else ''} {some}{_more(numbers)}"


def _first(out: Terminal, entries: list[TableEntry]) -> None:
    """The first records as they would stand in the journal."""
    if not entries:
        return
    first = [_told(e) for e in entries[:SHOWN]]
    names = list(dict.fromkeys(name for told in first for name in told))
    out.table(("Line", *names), ((e.line, *(told.get(n, "") for n in names))
                                 for e, told in zip(entries, first, strict=False)))  # fmt: skip
    if len(entries) > SHOWN:
        out.line(f"... and {len(entries) - SHOWN} more.")


def _told(e: TableEntry) -> dict[str, str]:
    """What was typed of a record, by plain names; days as they are read."""
    typed = {name: value for name, value in asdict(e.typed).items() if value is not None}
    days = {name: e.columns[name] for name in ("taken", "began", "ended", "happened") if e.columns.get(name)}
    return {name.replace("_", " "): str(value) for name, value in {**typed, **days}.items()}


def _point(p: Point) -> tuple[object, ...]:
    return p.line, show(p.speed, "rpm"), show(p.voltage, "V", 4), f"{p.off:+.2g} V", "does not fit" if p.astray else ""


def _spun(out: Terminal, spun: Spun, values: list[str]) -> None:
    """The spin test: point by point, what it tells, and how that comes onto the sheet."""
    out.heading("Spin test")
    worst_first = sorted(spun.points, key=lambda p: (not p.astray, -abs(p.off)))
    rows = [_point(p) for p in worst_first]
    out.table(("Line", "Speed", "Voltage", "Off the line", ""), rows[: 2 * SHOWN])
    if len(rows) > 2 * SHOWN:
        out.line(f"... and {len(rows) - 2 * SHOWN} more, nearer to it.")
    for told in spun.told:
        out.line(told)
    if values:
        for told in values:
            out.line(f"On the sheet: {told}")
    elif spun.commands:
        out.line("It goes on the sheet with --set, or later with:")
        for command in spun.commands:
            out.command(command)
