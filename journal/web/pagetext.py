"""A screen as it stands on a page: the same words in the same order, as pieces for a template."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from journal.book.plain_text import harmless
from journal.book.shown import table_told, written
from journal.screens.terminal import Terminal

#: Letters beside each other in a table on a phone; where a row needs more its cells stand one below the other.
_TABLE = 50
#: A width at which nothing is left out for want of room. [columns]
_WIDE = 100


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a screen.

    Parameters
    ----------
    kind : {"title", "heading", "line", "strong", "list", "command", "table", "stacked", "facts",
        "bars"}
        What it is.
    text : str
        Its words; nothing where it has rows.
    rows : sequence of tuple of str
        Of a table, also where its rows are stacked, its head first; of facts, what each is and what it comes to; of
        bars, also how long each is beside the longest, in per cent; of a list, its lines.
    """

    kind: str
    text: str = ""
    rows: Sequence[tuple[str, ...]] = ()


class PageText(Terminal):
    """What a screen is written on where its words go to a page; see :class:`Terminal`."""

    def __init__(self) -> None:
        self.pieces_told: list[Piece] = []

    @property
    def width(self) -> int:
        """Columns to fold to; the browser folds."""
        return _WIDE

    def _told(self, text: str) -> str:
        return written(harmless(text))

    def _add(self, kind: str, text: str = "", rows: Sequence[tuple[str, ...]] = ()) -> None:
        self.pieces_told.append(Piece(kind, self._told(text), rows))

    def line(self, text: str = "", style: str = "") -> None:
        """One paragraph."""
        if text:
            self._add("strong" if style == "bold" else "line", text)

    def title(self, text: str) -> None:
        """What the screen is about."""
        self._add("title", text)

    def heading(self, text: str) -> None:
        """What the next part of the screen is about."""
        self._add("heading", text)

    def block(self, title: str, lines: Iterable[str]) -> None:
        """Lines under a heading; nothing at all if there are none."""
        told = [(self._told(line),) for line in lines]
        if told:
            self.heading(title)
            self._add("list", rows=told)

    def bars(self, rows: Sequence[tuple[str, float, str]], longest: int) -> None:
        """A bar a line: what it is of, how long it is beside the others, and what it comes to."""
        top = max(long for _, long, _ in rows)
        self._add("bars", rows=[
            (self._told(label).strip(), self._told(comes_to), f"{max(100 * long / top, 1):.0f}")
            for label, long, comes_to in rows
        ])  # fmt: skip

    def command(self, text: str, by: int = 2) -> None:
        """A command to be copied at the desk, in the units that it takes."""
        self.pieces_told.append(Piece("command", harmless(text)))

    def table(self, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
        """A table with a head. A column in which nothing stands is left out."""
        columns, rows = table_told(columns, rows)
        cells = [tuple(self._told(str(cell)) for cell in row) for row in (columns, *rows)]
        kept = [at for at in range(len(columns)) if at == 0 or any(row[at] for row in cells[1:])]
        told = [tuple(row[at] for at in kept) for row in cells]
        self._add("table" if _has_room(told) else "stacked", rows=told)

    def facts(self, facts: Iterable[tuple[str, str]]) -> None:
        """What each of some words stands for."""
        self._add("facts", rows=[(self._told(label), self._told(value)) for label, value in facts])


def _has_room(rows: Sequence[tuple[str, ...]]) -> bool:
    """Whether a table has room on a phone: it is one of numbers, and only its heads are folded."""
    head, *others = rows
    folded = tuple(max(cell.split(), key=len, default="") for cell in head)
    widths = [max(map(len, column)) for column in zip(folded, *others, strict=True)]
    numbers = all(not cell or any(map(str.isdigit, cell)) for row in others for cell in row[1:])
    return numbers and sum(widths) <= _TABLE
