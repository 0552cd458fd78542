"""Whether a table's numbers have a decimal comma or a decimal point, told by all of them together."""

from __future__ import annotations

import re
from collections.abc import Iterable

from journal.errors import BadInput

_NUMBER = re.compile(r"\d[\d.,]*\d|\d")
_DECIMALS = {"comma": ",", "point": "."}


def mark_named(typed: str) -> str:
    """The mark ahead of decimals, from ``comma`` or ``point``.

    Raises
    ------
    BadInput
        If it is neither.
    """
    word = typed.strip().casefold()
    if word not in _DECIMALS:
        raise BadInput(f"--decimal: {typed!r} is no decimal mark", "Accepted: comma, point")
    return _DECIMALS[word]


def decimal_mark(cells: Iterable[tuple[int, str]]) -> str:
    """The mark ahead of decimals in the cells of a table, each with the number of its line.

    Raises
    ------
    BadInput
        If both stand in it, or it cannot be told whether ``1,234`` is a thousand or one and a bit.
    """
    sure: dict[str, tuple[int, str]] = {}
    open_: tuple[int, str] | None = None
    for line, cell in cells:
        for found in _NUMBER.findall(cell):
            mark = _told_by(found)
            if mark == "?":
                open_ = open_ or (line, found)
            elif mark:
                sure.setdefault(mark, (line, found))
    if len(sure) == 2:
        (a, comma), (b, point) = sure[","], sure["."]
        raise BadInput(
            f"Decimals have a comma in line {a} ({comma}) and a point in line {b} ({point})",
            "Write all of them in one way, or say which is meant with --decimal comma|point",
        )
    if not sure and open_:
        raise BadInput(
            f"Line {open_[0]}: {open_[1]} can be {open_[1].replace(',', '.')} or {open_[1].replace(',', '')}",
            "Say whether decimals have a comma or a point with --decimal comma|point",
        )
    return next(iter(sure), ".")


def _told_by(number: str) -> str:
    """The mark that one number shows: a comma, a point, either (``?``), or nothing of it."""
    commas, points = number.count(","), number.count(".")
    if commas and points:
        return max(",", ".", key=number.rfind)
    if commas + points != 1:
        return "." if commas > 1 else "," if points > 1 else ""
    mark = "," if commas else "."
    before, _, behind = number.partition(mark)
    if len(behind) == 3 and 1 <= len(before) <= 3 and not before.startswith("0"):
        return "?" if commas else ""
    return mark


def with_point(cell: str, mark: str) -> str:
    """A cell with its numbers as a program writes them.

    Raises
    ------
    BadInput
        If a number in it has the other mark.

    Examples
    --------
    >>> with_point("12,1 V", ","), with_point("1.234,5 to 2.000,0 W", ","), with_point("1,234.5", ".")
    ('12.1 V', '1234.5 to 2000.0 W', '1234.5')
    """

    def plain(found: re.Match[str]) -> str:
        number = found[0]
        other = "." if mark == "," else ","
        whole, _, decimals = number.partition(mark)
        groups = whole.split(other)
        grouped = len(groups) == 1 or (1 <= len(groups[0]) <= 3 and all(len(g) == 3 for g in groups[1:]))
        if (
            not grouped
            or other in decimals
            or mark in decimals
            or (len(groups) > 1 and mark not in number and mark == ",")
        ):
            raise BadInput(f"{number} cannot be read where decimals have a {'comma' if mark == ',' else 'point'}",
                           "Write thousands without a mark")  # fmt: skip
        return "".join(groups) + (f".{decimals}" if decimals else "")

    return _NUMBER.sub(plain, cell) if "," in cell or (mark == "," and "." in cell) else cell
