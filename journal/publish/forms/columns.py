"""Tables where there are none: columns of plain letters, or, where these would be too wide, a line for each row."""

from __future__ import annotations

import textwrap

#: Blanks between two columns.
_GAP = 2
#: Lines that a cell may take; what is longer reads better as a sentence.
_MOST_LINES = 3


def aligned(rows: list[list[str]], width: int) -> list[str] | None:
    """A table as lines of text, its head underlined; None where it is too wide for that.

    Only the first and the last column are broken into lines: the first one ends where the others begin, so that a row
    is read in its order.

    Parameters
    ----------
    rows : list of list of str
        The cells, the head first.
    width : int
        Letters that a line may have.
    """
    headed = any(rows[0])
    rows = rows if headed else rows[1:]
    widths = _widths(rows, width) if rows else []
    if widths is None:
        return None
    broken = [_lines(row, widths) for row in rows]
    if any(len(cell) > _MOST_LINES for row in broken for cell in row):
        return None
    made = [line for row in broken for line in _row(row, widths)]
    under = (" " * _GAP).join("-" * w for w in widths)
    head = len(_row(broken[0], widths)) if headed else 0
    return [*made[:head], under, *made[head:]] if headed else made


def _widths(rows: list[list[str]], width: int) -> list[int] | None:
    """How wide each column is, so that all of them fit."""
    columns = list(zip(*rows, strict=True))
    widths = [max(map(len, column)) for column in columns]
    least = [max(len(word) for cell in column for word in (cell.split() or [""])) + 2 for column in columns]
    while sum(widths) + _GAP * (len(widths) - 1) > width:
        can = [c for c in (0, len(widths) - 1) if widths[c] > least[c]]
        if not can:
            return None
        widths[max(can, key=lambda c: widths[c])] -= 1
    return [max(w, 1) for w in widths]


def _lines(row: list[str], widths: list[int]) -> list[list[str]]:
    return [
        textwrap.wrap(cell, w, subsequent_indent="" if c else "  ", break_long_words=False, break_on_hyphens=False)
        or [""]
        for c, (cell, w) in enumerate(zip(row, widths, strict=True))
    ]


def _row(cells: list[list[str]], widths: list[int]) -> list[str]:
    first, last = cells[0], cells[-1]
    if len(cells) == 1:
        return first
    offset = sum(widths[:-1]) + _GAP * (len(widths) - 1)
    main = [first[-1], *(cell[0] for cell in cells[1:])]
    line = (" " * _GAP).join(cell.ljust(w) for cell, w in zip(main, widths, strict=True)).rstrip()
    return [*first[:-1], line, *(" " * offset + more for more in last[1:])]


def listed(rows: list[list[str]]) -> tuple[str, list[str]]:
    """A table as sentences: its head, and of each row what it is about and what is said of it.

    Examples
    --------
    >>> listed([["what", "r1", "r2"], ["Diameter", "1.3 m", ""]])
    ('what: r1; r2', ['Diameter: r1 1.3 m'])
    """
    head, *body = rows
    # Where there is but one thing to say, it needs no name.
    names = head[1:] if len(head) > 2 else [""] * len(head[1:])
    said = [[f"{name} {cell}".strip() for name, cell in zip(names, row[1:], strict=True) if cell] for row in body]
    return _sentence(head[0], head[1:]), [_sentence(row[0], cells) for row, cells in zip(body, said, strict=True)]


def _sentence(about: str, said: list[str]) -> str:
    return ": ".join(filter(None, (about, "; ".join(filter(None, said)))))
