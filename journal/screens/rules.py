"""The rule book."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calc.rules import RULES
from calc.rules.engine import Rule
from journal.screens.terminal import Terminal, screen


@dataclass(frozen=True)
class RuleBook:
    """Rules that hold a word, or all."""

    about: str | None
    rules: list[Rule]


def gather_rules(about: str | None = None) -> RuleBook:
    """Rules whose name holds a word; without one, all."""
    return RuleBook(about, [r for r in RULES if about is None or about in r.id])


def _data(book: RuleBook) -> list[dict[str, Any]]:
    return [
        {
            "id": r.id,
            "title": r.title,
            "subject": r.subject,
            "needs": [e.path for e in r.needs],
            "sources": r.sources,
            "caution": r.caution,
        }
        for r in book.rules
    ]


@screen(_data)
def show_rules(out: Terminal, book: RuleBook) -> None:
    """What each rule checks, what it needs, and its sources."""
    if book.rules:
        out.table(("Rule", "What it checks", "Needs", "Sources"), map(_row, book.rules))
    else:
        out.line(f"No rule holds {book.about!r}.")


def _row(r: Rule) -> tuple[str, str, str, str]:
    return r.id, r.title, ", ".join(e.path for e in r.needs), "; ".join(map(str, r.sources))
