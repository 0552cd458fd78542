"""Blocks of lines turned into columns of numbers, and every line or cell that could not be, with where it stands."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from calc.wording import number_of
from journal.errors import BadInput
from journal.logger.channels import unit_named
from journal.logger.faults import KEPT, Tally
from journal.logger.text import Layout

if TYPE_CHECKING:
    import polars as pl

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: What loggers write where they have no reading, in small letters.
MISSING = ("", "nan", "na", "n/a", "null", "none", "-", "--", "---", "#n/a")
_NUMBERS_MISSING = (-999.0, -9999.0, -99999.0)
_LONGEST_TOLD = 80
#: Points of the compass in degrees from north.
_COMPASS = {point: 22.5 * i for i, point in enumerate(
    ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"])}  # fmt: skip
#: A number and its unit; by a grammar that cannot look ahead.
_ENDS = r"^([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?)\s*([A-Za-z°µ%Ω][A-Za-z°/%²]{0,9}(?:-1)?)$"


@dataclass
class LoggerLines:
    """LoggerLines of one block that have as many cells as they should.

    Parameters
    ----------
    data : bytes
        Them, one after the other.
    numbers : array of int, shape (n,)
        Which line of the block each is, from 1.
    total : int
        How many lines the block has, with those that do not fit.
    sure : bool
        Whether each was looked at; else they only have as many cells as they should all together, and a line that has
        too few shows by nothing in its last cell.
    """

    data: bytes
    numbers: Ints
    total: int
    sure: bool = True
    _ends: Ints | None = field(default=None, repr=False)

    def __len__(self) -> int:
        """How many there are."""
        return len(self.numbers)

    def text(self, row: int) -> str:
        """A line as it stands, at most as long as anybody reads."""
        if self._ends is None:
            self._ends = np.flatnonzero(np.frombuffer(self.data, np.uint8) == 10)
        start = int(self._ends[row - 1]) + 1 if row else 0
        return self.data[start : int(self._ends[row])].decode(errors="replace")[:_LONGEST_TOLD]


def whole_lines(block: bytes, first: int, layout: Layout, bad: Tally) -> LoggerLines:
    """The lines of a block that have the right number of cells; the others are counted, blank ones passed over.

    Parameters
    ----------
    block : bytes
        Whole lines.
    first : int
        The number of its first line in the block.
    layout : Layout
        How the file is written.
    bad : Tally
        Where what cannot be used is counted.
    """
    data = _plain(block, layout)
    letters = np.frombuffer(data, np.uint8)
    many = int(np.count_nonzero(letters == 10))
    each = len(layout.heads) - 1
    if int(np.count_nonzero(letters == ord(layout.separator))) == each * many:
        numbers = np.arange(first, first + many, dtype=np.int64)
        return LoggerLines(data, numbers, first - 1 + many, sure=False)
    return _sorted_out(data, first, layout, bad)


def _sorted_out(data: bytes, first: int, layout: Layout, bad: Tally) -> LoggerLines:
    """Lines with the right number of cells, each looked at."""
    letters = np.frombuffer(data, np.uint8)
    ends = np.flatnonzero(letters == 10)
    marks = np.flatnonzero(letters == ord(layout.separator))
    each = len(layout.heads) - 1
    starts = np.concatenate(([0], ends[:-1] + 1))
    numbers = np.arange(first, first + len(ends), dtype=np.int64)
    count = np.searchsorted(marks, ends) - np.searchsorted(marks, starts)
    right = count == each
    total = first - 1 + len(ends)
    if right.all():
        return LoggerLines(data, numbers, total)
    wrong = [i for i in np.flatnonzero(~right) if data[starts[i] : ends[i]].strip()]
    for i in wrong[:KEPT]:
        tell_length(
            bad, int(numbers[i]), int(count[i]) + 1, each + 1, data[starts[i] : ends[i]].decode(errors="replace")
        )
    bad.add(len(wrong[KEPT:]), [])
    good = np.flatnonzero(right)
    edges = np.flatnonzero(np.diff(good, prepend=-2) > 1)
    runs = zip(good[edges], good[np.append(edges[1:], len(good)) - 1], strict=True) if len(good) else ()
    return LoggerLines(b"".join(data[starts[a] : ends[b] + 1] for a, b in runs), numbers[good], total)


def tell_length(bad: Tally, line: int, cells: int, wanted: int, text: str) -> None:
    """Count a line that has more or fewer cells than the others."""
    why = f"has {_cells(cells)}, not {wanted}"
    bad.add(1, [{"line": line, "why": why, "text": text[:_LONGEST_TOLD]}])


def _cells(count: int) -> str:
    return number_of(count, "cell")


def _plain(block: bytes, layout: Layout) -> bytes:
    """Without quotes, empty bytes and repeated spaces; a byte that was never written spoils its line."""
    data = block
    if b"\0" in data:
        data = data.replace(b"\0", b"?")
    if b'"' in data:
        if layout.separator == ",":
            data = re.sub(rb'"([^"\n]*)"', lambda m: m[1].replace(b",", b"."), data)
        data = data.replace(b'"', b"")
    if layout.separator == " ":
        data = re.sub(rb"(?m)^[ \t]+|[ \t]+$", b"", re.sub(rb"[ \t]+", b" ", data))
    return data


def columns_of(
    lines: LoggerLines, layout: Layout, wanted: dict[int, bool], bad: Tally
) -> tuple[LoggerLines, dict[int, pl.Series]]:
    """Some columns, by place: as numbers, null where there is none, or as text; and the lines that they are of.

    Parameters
    ----------
    wanted : dict of int to bool
        Places, and whether numbers are wanted there.
    bad : Tally
        Where lines are counted that turn out to have too few cells or too many.
    """
    last = len(layout.heads) - 1
    frame = _read(lines, layout, {last: False, **wanted})
    if not lines.sure and (frame[f"c{last}"].null_count() or frame.height != len(lines)):
        lines = _sorted_out(lines.data, int(lines.numbers[0]), layout, bad)
        frame = _read(lines, layout, wanted)
    return lines, {i: frame[f"c{i}"] for i in wanted}


def _read(lines: LoggerLines, layout: Layout, wanted: dict[int, bool]) -> pl.DataFrame:
    import polars as pl

    schema = {f"c{i}": pl.Float64 if wanted.get(i) else pl.String for i in range(len(layout.heads))}
    if not len(lines):
        return pl.DataFrame(schema=schema)
    return pl.read_csv(
        lines.data, has_header=False, schema=schema, columns=sorted(wanted),
        separator=layout.separator, quote_char=None, ignore_errors=True, truncate_ragged_lines=True,
        decimal_comma=layout.comma and layout.separator != ",",
    )  # fmt: skip


def numbers_of(column: pl.Series) -> Floats:
    """A column of numbers; NaN where there is none, or one of those that loggers write instead."""
    values = np.asarray(column.to_numpy(), np.float64)
    if len(values) and np.fmin.reduce(values) <= max(_NUMBERS_MISSING):
        return np.where(np.isin(values, _NUMBERS_MISSING), np.nan, values)
    return values


def _hold_thousands(cells: pl.Series, head: str) -> None:
    """Refuse numbers with a mark of thousands: dropped one by one, the strongest readings would be gone."""
    marked = cells.filter(cells.str.contains(r"^[-+]?\d{1,3}([.,' ]\d{3})+[.,]\d+$|^[-+]?\d{1,3}([.,' ]\d{3}){2,}$"))
    if len(marked):
        raise BadInput(
            f"Numbers in {head!r} have a mark of thousands, like {marked[0]!r}", "Write the file again without it"
        )


def _without_units(cells: pl.Series, layout: Layout, at: int) -> pl.Series:
    """Cells without the unit that all of them end with.

    Raises
    ------
    BadInput
        If one ends with another, or has one where most have none: it would be a wrong number, or lost.
    """
    import polars as pl

    wanted = layout.cell_units[at] if layout.cell_units else ""
    ends = cells.str.extract(_ENDS, 2)
    named = {end: unit_named(end) for end in ends.drop_nulls().unique()}
    if not wanted and not any(named.values()):
        return cells
    units = ends.replace_strict(named, return_dtype=pl.String)
    if wanted:
        # The numbers that loggers write where they have no reading need no unit.
        plain = cells.str.replace(",", ".", literal=True).cast(pl.Float64, strict=False)
        odd = cells.filter((units != wanted).fill_null(plain.is_finite() & ~plain.is_in(list(_NUMBERS_MISSING))))
        if not len(odd):
            # A gap has its unit too: "--- V".
            return cells.str.extract(_ENDS, 1).fill_null(cells.str.replace(r"\s+\S+$", ""))
        told, remedy = f"{odd[0]!r} in {layout.heads[at]!r} does not end with {wanted} as others do", "the same unit"
    else:
        odd = cells.filter(units.is_not_null() & (units != ""))
        told, remedy = f"{odd[0]!r} in {layout.heads[at]!r} ends with a unit, which most of its cells do not", "no unit"
    raise BadInput(told, f"Write the column with {remedy} in every cell; --map '{layout.heads[at]}=-' leaves it out")


def _no_number(cell: str, layout: Layout) -> str:
    told = repr(cell.strip()[:20])
    # It may be a little more than one, or a thousand.
    if not layout.comma and re.fullmatch(r"[-+]?\d+,\d+", cell.strip()):
        return f"{told} has a comma, where most have a point"
    return f"{told} is no number"


def mended(
    lines: LoggerLines,
    layout: Layout,
    places: list[int],
    timed: NDArray[np.bool_],
    bad: Tally,
    compass: frozenset[int] = frozenset(),
) -> dict[int, Floats]:
    """Columns of which some cells gave no number, read as text once more; what is neither number nor gap is counted.

    Parameters
    ----------
    places : list of int
        Which columns.
    timed : array of bool, shape (n,)
        LoggerLines that have a time; the others are counted already.
    compass : frozenset of int
        Columns of degrees in which points of the compass may stand by their letters.
    """
    import polars as pl

    frame = _read(lines, layout, dict.fromkeys(places, False))
    made = {}
    for i in places:
        text = _without_units(frame[f"c{i}"].str.strip_chars(), layout, i)
        plain = text.str.replace(",", ".", literal=True) if layout.comma else text
        value = plain.cast(pl.Float64, strict=False)
        if i in compass:
            value = value.fill_null(
                text.str.to_uppercase().replace_strict(_COMPASS, default=None, return_dtype=pl.Float64)
            )
        gone = text.is_null() | text.str.to_lowercase().is_in(list(MISSING))
        value = value.set(gone, None)
        _hold_thousands(text.filter(value.is_null() & ~gone), layout.heads[i])
        wrong = np.flatnonzero((~gone & (value.is_null() | value.is_infinite().fill_null(False))).to_numpy() & timed)
        bad.add(len(wrong), [
            {"line": int(lines.numbers[r]), "why": f"{layout.heads[i]}: {_no_number(frame[f'c{i}'][int(r)], layout)}",
             "text": lines.text(int(r))}
            for r in wrong[:KEPT]
        ])  # fmt: skip
        numbers = numbers_of(value)
        numbers = np.where(np.isfinite(numbers), numbers, np.nan)
        made[i] = numbers
    return made
