"""The names that can be typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calc.machine.catalogue import catalogue
from calc.machine.entry import Entry
from calc.quantities import QUANTITIES, Quantity
from journal.book import naming
from journal.screens.terminal import Terminal, screen


@dataclass(frozen=True)
class Names:
    """Entries of the sheet, or quantities that can be measured, that hold a word."""

    about: str | None
    found: list[Entry[Any]] | list[Quantity]


def gather_names(about: str | None, *, measured: bool) -> Names:
    """Names the sheet knows, or quantities that can be measured, all or those that hold a word."""
    if measured:
        meant = set(naming.about(about or "", naming.quantities()))
        return Names(about, [q for q in QUANTITIES.values() if about is None or about in q.name or q.name in meant])
    known = [e for e in catalogue().values() if not e.recorded]
    meant = set(naming.about(about or "", naming.inputs()))
    return Names(about, [e for e in known if about is None or about in e.path or e.path in meant])


def _data(names: Names) -> list[Any]:
    return list(names.found)


@screen(_data)
def show_names(out: Terminal, names: Names) -> None:
    """Names with their meaning, and what is accepted."""
    if names.found:
        out.table(("Name", "Meaning", "Accepted"), map(_row, names.found))
    else:
        out.line(f"No name holds {names.about!r}.")


def _row(of: Entry[Any] | Quantity) -> tuple[str, str, str]:
    if isinstance(of, Entry):
        return of.named("LABEL"), of.meaning, of.accepts
    return of.name, of.meaning + (f" ({of.note})" if of.note else ""), f"like {of.example}"
