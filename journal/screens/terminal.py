"""What all screens share: a place to write on, and JSON beside every text. The only importer of rich."""

from __future__ import annotations

import dataclasses
import functools
import io
import json
import math
import os
import re
import shutil
import sys
from collections.abc import Callable, Iterable, Sequence
from typing import Any, Concatenate, Generic, ParamSpec, TypeVar

from rich import box
from rich.console import Console
from rich.status import Status
from rich.table import Table
from rich.text import Text
from sqlmodel import SQLModel

from calc.finding import Source
from calc.units import as_written
from journal.book.days import told
from journal.book.plain_text import harmless, plain_lines
from journal.book.shown import table_told, written
from journal.book.tables import Build, Numbered, Revision
from journal.screens import folding

T = TypeVar("T")
P = ParamSpec("P")

#: Columns of a pipe, and of what is never folded by the terminal.
WIDTH = 100
#: Columns below which nobody can read a line.
LEAST = 30
#: How the column is called that keeps what was typed of a day.
_BESIDE = "_typed"
#: Columns between those of a table, where there is room for them and where there is not.
_GAPS = (3, 2)
#: Columns that are not folded: a name that is cut in two cannot be copied.
_WHOLE = ("", "Name", "Rule")
#: Facts that show what was typed.
_TYPED = ("Typed", "As typed")


#: Words of a command, what stands in quotes whole.
_WORD = re.compile(r"""(?:[^\s"']|"[^"]*"|'[^']*')+""")


def _width() -> int | None:
    """Columns to fold to: those of the terminal, as COLUMNS says, or of a pipe."""
    told = os.environ.get("COLUMNS", "")
    if told.isdecimal() and int(told) >= LEAST:
        return int(told)
    return None if sys.stdout.isatty() else WIDTH


def _can_page() -> bool:
    """Whether what does not fit on the screen can be read page by page: somebody is there, at a screen that can."""
    return (
        sys.stdout.isatty()
        and sys.stdin.isatty()
        and os.environ.get("TERM", "dumb") != "dumb"
        and os.environ.get("PAGER") not in ("", "cat")
    )


def _give(text: str) -> None:
    """Show a text; through the person's pager where it is longer than the screen."""
    if text.count("\n") < shutil.get_terminal_size().lines:
        sys.stdout.write(text)
    else:
        import pydoc

        # Styles would else be shown as letters.
        os.environ.setdefault("LESS", "-R")
        pydoc.pager(text)


class Terminal:
    """What a screen is written on: folded to the width there is, and no text of a person is ever taken for markup.

    Units are those of the build, in the letters of people wherever these can be shown.
    """

    def __init__(self, held: io.StringIO | None = None) -> None:
        self._encoding = sys.stdout.encoding
        self._console = Console(
            file=held,
            width=_width(),
            highlight=False,
            soft_wrap=False,
            force_terminal=False if plain_lines() else True if held else None,
        )

    @property
    def width(self) -> int:
        """Columns to fold to."""
        return self._console.width

    def _text(self, text: str, style: str = "") -> Text:
        return Text(self._told(text), style=style)

    def _plain(self, text: str) -> Text:
        """A text in the units in which it was typed."""
        return Text(as_written(harmless(text), self._encoding))

    def _told(self, text: str) -> str:
        return written(harmless(text), self._encoding)

    def _print(self, text: Text, by: int | None = None) -> None:
        """A text, folded; its further lines stand in by some columns, or as far as its first."""
        self._console.print(_folded(text, self.width, by), soft_wrap=True)

    def line(self, text: str = "", style: str = "") -> None:
        """One paragraph."""
        self._print(self._text(text, style))

    def title(self, text: str) -> None:
        """What the screen is about."""
        self.line(text, "bold")

    def heading(self, text: str) -> None:
        """What the next part of the screen is about."""
        self.line()
        self.title(text)

    def pieces(self, *pieces: tuple[str, str]) -> None:
        """One line of texts, each with its style."""
        self._print(Text.assemble(*(self._text(*piece) for piece in pieces)))

    def indent(self, text: str, by: int = 2) -> None:
        """One paragraph, set in by some columns."""
        self.line("\n".join(" " * by + line for line in text.split("\n")))

    def hang(self, head: str, text: str, by: int, style: str = "") -> None:
        """One paragraph behind a head in a style of its own; its further lines stand in by some columns."""
        self._print(Text.assemble((harmless(head), style), self._text(text)), by)

    def block(self, title: str, lines: Iterable[str]) -> None:
        """Lines under a heading; nothing at all if there are none."""
        told = list(lines)
        if told:
            self.heading(title)
        for line in told:
            self.indent(line)

    def carried_on(self, text: str, behind: str) -> list[str]:
        """A text as the lines in which it is told, each but the first behind some letters."""
        told = folding.folded(self._told(text), self.width, len(behind))
        return [line if at == 0 else behind + line[len(behind) :] for at, line in enumerate(told)]

    def unfolded(self, line: str) -> None:
        """One line that is never folded, because what stands below what carries its meaning."""
        self._console.print(self._text(line), soft_wrap=True)

    def cut(self, line: str) -> bool:
        """One line that ends in dots where there is no room for more of its words; whether it does."""
        told = self._told(line).replace("\n", " ").rstrip()
        short = folding.shortened(told, self.width)
        self._console.print(Text(short), soft_wrap=True)
        return short != told

    def bars(self, rows: Sequence[tuple[str, float, str]], longest: int) -> None:
        """A bar a line: what it is of, how long it is beside the others, and what it comes to."""
        top, room = max(long for _, long, _ in rows), min(longest, self.width - 30)
        for label, long, comes_to in rows:
            self.line(f"  {label}  {'#' * max(round(room * long / top), 1)} {comes_to}")

    def command(self, text: str, by: int = 2) -> None:
        """A command to be copied: where it does not fit it goes on behind a backslash, so that it stays one command."""
        words = _WORD.findall(as_written(harmless(text), self._encoding))
        lines = [" " * by + words[0]]
        for word in words[1:]:
            if len(lines[-1]) + len(word) + 3 > self._console.width:
                lines[-1] += " \\"
                lines.append(" " * (by + 4) + word)
            else:
                lines[-1] += f" {word}"
        for line in lines:
            self._console.print(Text(line), soft_wrap=True)

    def table(self, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
        """A table with a head. A column in which nothing stands is left out.

        Where a table has no room, its columns stand closer, and else its rows stand one by one.
        """
        columns, rows = table_told(columns, rows)
        cells = [[self._told(str(cell)) for cell in row] for row in (columns, *rows)]
        kept = [at for at in range(len(columns)) if at == 0 or len(cells) == 1 or any(row[at] for row in cells[1:])]
        cells = [[row[at] for at in kept] for row in cells]
        whole = [at for at, head in enumerate(cells[0]) if head in _WHOLE]
        for gap in _GAPS:
            widths = folding.widths(cells, self.width - gap * (len(kept) - 1), whole)
            if widths is not None:
                self._side_by_side(cells, widths, gap)
                return
        self._stacked(cells)

    def _side_by_side(self, cells: list[list[str]], widths: list[int], gap: int) -> None:
        table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1, 0, gap - 2))
        head, *rows = ([_folded(Text(c), w) for c, w in zip(row, widths, strict=True)] for row in cells)
        for cell, width in zip(head, widths, strict=True):
            table.add_column(cell, width=width)
        for row in rows:
            table.add_row(*row)
        self._console.print(table)

    def _stacked(self, cells: list[list[str]]) -> None:
        """Each row as lines: what leads it, then its other cells with the heads of their columns."""
        (_, *heads), *rows = cells
        for first, *others in rows:
            self._print(Text(first, "bold"))
            for line in folding.beside(heads, others, self.width):
                self._print(Text(line), 4)

    def facts(self, facts: Iterable[tuple[str, str]]) -> None:
        """What each of some words stands for, side by side."""
        told = [(self._told(label), self._plain(v) if label in _TYPED else self._text(v)) for label, v in facts]
        by = max((folding.columns(label) for label, _ in told), default=0) + 2
        for label, value in told:
            room = " " * (by - folding.columns(label))
            self._print(Text.assemble((label, "dim"), room, value), by if by < self.width // 2 else 2)


def _folded(text: Text, room: int, by: int | None = None) -> Text:
    """A text with its lines cut where they are folded, in its styles."""
    cut = folding.cuts(text.plain, room, by)
    return Text("\n").join([Text(" " * stands) + text[start:end] for stands, start, end in cut])


class Screen(Generic[T, P]):
    """One thing as people read it, and the same as scripts take it.

    Parameters
    ----------
    text : callable (Terminal, thing, ...)
        Writes it for people.
    data : callable (thing)
        What JSON shows of it: anything that :func:`plain` understands.
    """

    def __init__(self, text: Callable[Concatenate[Terminal, T, P], None], data: Callable[[T], Any]) -> None:
        self.text, self.data = text, data
        functools.update_wrapper(self, text)

    def __call__(self, thing: T, as_json: bool, *args: P.args, **kwargs: P.kwargs) -> None:
        """Show it in one of its forms."""
        if as_json:
            # JSON leaves as they are what steers some terminals all the same.
            sys.stdout.write(harmless(json.dumps(plain(self.data(thing)), indent=2, ensure_ascii=False)) + "\n")
        elif _can_page():
            self.text(Terminal(held := io.StringIO()), thing, *args, **kwargs)
            _give(held.getvalue())
        else:
            self.text(Terminal(), thing, *args, **kwargs)


def screen(data: Callable[[T], Any]) -> Callable[[Callable[Concatenate[Terminal, T, P], None]], Screen[T, P]]:
    """Make a screen of the text that is decorated, with the JSON of the same thing beside it."""
    return lambda text: Screen(text, data)


def plain(value: Any) -> Any:
    """Records, findings and dataclasses as what JSON can hold."""
    if isinstance(value, Source):
        return {"title": value.title, "place": value.place, "standing": value.standing}
    if isinstance(value, Numbered | Build):
        return plain(record_data(value))
    if isinstance(value, SQLModel):
        return plain(columns_of(value))
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    # JSON has no word for what is not finite.
    return None if isinstance(value, float) and not math.isfinite(value) else value


def record_data(record: Numbered | Build) -> dict[str, Any]:
    """A record's own fields, with its reference, for scripts."""
    fields = columns_of(record, "id", "build_id")
    return {"ref": record.ref, **fields} if isinstance(record, Numbered) else fields


def columns_of(row: SQLModel, *without: str) -> dict[str, Any]:
    """The columns of a row of a table, in the order in which the table has them, so that runs can be compared.

    A vague day has what was typed, and its first and last day; what was typed of another stands beside it.
    """
    fields = {name: getattr(row, name) for name in type(row).model_fields if name not in without}
    for beside in [name for name in fields if name.endswith(_BESIDE)]:
        day, typed = beside.removesuffix(_BESIDE), fields.pop(beside)
        fields[day] = told(fields[day], typed)
        if typed is not None and isinstance(fields[day], str):
            fields[beside] = typed
    return fields


def revision_title(revision: Revision) -> str:
    """A revision as the head of its screens."""
    return f"{revision.ref} {revision.title or ''}".strip()


def working(what: str) -> Status:
    """A sign on stderr that work goes on."""
    return Console(stderr=True).status(as_plain(what))


def as_plain(text: str) -> Text:
    """A text in which nothing is taken for markup."""
    return Text(harmless(text))
