"""Winds in rows of hours or days, without times: one after the other, from a plain table or a single column."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from calc.machine import over_time
from calc.physics.synthetic_wind import from_days
from journal.book.plain_quantity import Wanted
from journal.book.quantity import parse
from journal.book.safe_files import bounded_text
from journal.errors import BadInput
from journal.logger.text import WITH_UNIT

Array = NDArray[np.float64]

#: More than the hours of two hundred years take; a longer file is something else, or never ends.
MOST_BYTES = 64 << 20
_UNIT = re.compile(r"wind(?:[ _]?speed)?\s*[\[(,]?\s*([a-z/]*)\s*[\])]?", re.IGNORECASE)
_WIND = Wanted("m/s", "m/s", 0.0, float(over_time.GRID[-1]), "5.4")
#: Heads of columns that count hours, and how an hour stands in them.
_COUNTS = re.compile(r"(?:time|hours?|hr|h|clock|uhrzeit|zeit|stunde|heure|hora)\b.*", re.IGNORECASE)
_HOUR = re.compile(r"(\d{1,7})(?:[.,]0+)?(?::00(?::00)?)?")


def read_winds(path: Path, *, daily: bool = False) -> Array:
    """Read measured winds, hour by hour, from a table with commas, semicolons or tabs between its columns.

    Parameters
    ----------
    path : Path
        The wind stands in a column whose head begins with ``wind``, or in the only column, with or without a head.
        The head may name the unit (``wind km/h``); without one it is m/s.
    daily : bool
        Whether each row is the mean of a day; else of an hour.

    Returns
    -------
    winds : array, shape (hours,)
        Whole days. [m/s]

    Raises
    ------
    BadInput
        With the line of what cannot be used.
    """
    rows, comma = _rows(path)
    if not rows:
        raise BadInput(f"{path.name} is empty", "One row for each hour is wanted")
    column, unit, first = _head(path, rows[0][1])
    factor = parse(f"1 {unit}", _WIND, f"{path.name}, line {rows[0][0]}").value
    winds = np.array([_number(path, n, row, column, comma) for n, row in rows[first:]]) * factor
    high = int(np.argmax(winds)) if winds.size else 0
    if winds.size and winds[high] > over_time.GRID[-1]:
        raise BadInput(
            f"{path.name}, line {rows[first + high][0]}: {winds[high]:.3g} m/s is no mean wind",
            "Name the unit in the head of the column, like: wind km/h",
        )
    if daily:
        winds = from_days(winds)
    elif first:
        _hold_hours(path, rows)
    if winds.size == 0 or winds.size % 24:
        raise BadInput(
            f"{path.name} holds {winds.size} hours, which is not whole days",
            "Add --daily if each row is a day; or leave out the hours of a day that is not whole",
        )
    return winds


def _hold_hours(path: Path, rows: Sequence[tuple[int, list[str]]]) -> None:
    """Refuse hours that are counted beside the winds and do not go on one by one."""
    column = next((i for i, name in enumerate(rows[0][1]) if _COUNTS.fullmatch(name.strip())), None)
    if column is None:
        return
    told = [(n, row[column].strip() if column < len(row) else "") for n, row in rows[1:]]
    hours = [(n, text, int(found[1]) if (found := _HOUR.fullmatch(text)) else None) for n, text in told]
    for line, text, before in _out_of_order(hours):
        raise BadInput(
            f"{path.name}, line {line}: the hour {text[:20]!r} does not follow {before[:20]!r}",
            "Accepted: times with their day, such as 2026-06-01 12:00, which may have gaps; or the winds alone",
        )


def _out_of_order(hours: Sequence[tuple[int, str, int | None]]) -> Iterator[tuple[int, str, str]]:
    for (_, before, a), (line, text, b) in pairwise(hours):
        if a is None or b is None or not (b == a + 1 or (a in (23, 24) and b == a - 23)):
            yield line, text, before


def _rows(path: Path) -> tuple[list[tuple[int, list[str]]], bool]:
    """The rows of a table that are not empty, each with its line; and whether a comma in them may be one of decimals.

    Where commas part the columns, a row of more columns than the head has is no row of this table: a decimal comma in
    it would be taken for the next column, and the wind be cut to a whole number.
    """
    try:
        lines = bounded_text(path, MOST_BYTES).splitlines()
        separator = next((s for s in ";\t" if lines and s in lines[0]), ",")
        if separator == "," and not any("," in line for line in lines[:1]):
            return [(n, [line.strip().strip('"')]) for n, line in enumerate(lines, 1) if line.strip()], True
        read = csv.reader(lines, delimiter=separator)
        rows = [(n, row) for n, row in enumerate(read, 1) if any(c.strip() for c in row)]
    except (OSError, ValueError, csv.Error) as e:
        why = e.strerror if isinstance(e, OSError) else "not a text" if isinstance(e, UnicodeError) else str(e)
        raise BadInput(f"{path}: cannot be read ({why})", "Name a file of winds, one row for each hour") from None
    if separator == ",":
        wide = next(((n, row) for n, row in rows if len(row) > len(rows[0][1])), None)
        if wide:
            raise BadInput(
                f"{path.name}, line {wide[0]}: {len(wide[1])} columns, where the head has {len(rows[0][1])}",
                "Use a point for decimals, or semicolons between the columns",
            )
    return rows, separator != ","


def _head(path: Path, cells: Sequence[str]) -> tuple[int, str, int]:
    """The column that holds the wind, its unit, and the number of lines before the first row."""
    names = [cell.strip() for cell in cells]
    for i, name in enumerate(names):
        if match := _UNIT.fullmatch(name):
            return i, match[1] or "m/s", 1
    if len(names) > 1:
        raise BadInput(
            f"{path.name}, line 1: no column is called wind",
            "Call it wind, or wind with its unit: wind km/h; a decimal comma needs such a head, too",
        )
    try:
        float(names[0].replace(",", "."))
    except ValueError:
        raise BadInput(
            f"{path.name}, line 1: {names[0][:40]!r} is neither a wind nor the head of its column",
            "Call the column wind, or wind with its unit: wind km/h",
        ) from None
    return 0, "m/s", 0


def _number(path: Path, line: int, row: Sequence[str], column: int, comma: bool) -> float:
    typed = row[column].strip() if column < len(row) else ""
    try:
        value = float(typed.replace(",", ".") if comma and "." not in typed else typed)
    except ValueError:
        what = f"{typed[:40]!r} is not a number" if typed else "the wind is missing"
        unit = WITH_UNIT.fullmatch(typed)
        then = (
            f"Name the unit in the head alone: wind {unit[2]}" if unit else "Fill gaps first; use a point for decimals"
        )
        raise BadInput(f"{path.name}, line {line}: {what}", then) from None
    if not math.isfinite(value) or value < 0:
        raise BadInput(f"{path.name}, line {line}: {typed} is no wind", "0 or more is accepted")
    return value
