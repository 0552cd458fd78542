"""Where lines are folded: between words, never within one, and never between a number and its unit.

A word that is wider than the room there is, such as the path of a file, stands alone on its line and goes beyond it:
a name that is cut in two cannot be copied.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import product

from calc.units import UNITS

#: What binds two words: as wide as a space, and nothing is folded there.
_BOUND = "\N{NO-BREAK SPACE}"
_WORDS = re.compile(r"[^ ]+")
#: A row of which not more than this is looked at where widths are found; the others are like it.
_LOOKED_AT = 80
#: How much longer than its rows told one by one a table may get before they are.
_AS_TABLE = 1.3
#: What a cell that fills its lines counts beside them, and how many letters are tried in another column.
_FILLING, _MOVED = 0.3, 6


@cache
def _bonds() -> re.Pattern[str]:
    """A number before its unit or currency, a force of the wind, a size such as 60.3 x 3.0, a share, a doubt."""
    names = {name for u in UNITS for name in (u.symbol, u.sign, *u.spellings) if name}
    factor = f"(?:{'|'.join(sorted(map(re.escape, names), key=len, reverse=True))})[23²³]?"
    unit = rf"(?:{factor}(?:/{factor})*|[A-Z]{{3}})(?!\w)"
    number = r"(?<![\w.])\d[\d.,]*"
    return re.compile(rf"{number} x (?=\d)|{number} of (?=100\b)|{number} (?={unit})|(?<!\w)(?:Bft|±|\+-) (?=\d)")


def bound(text: str) -> str:
    """A text of the same length in which what is not to be parted is bound.

    Examples
    --------
    >>> [word.replace(_BOUND, "_") for word in bound("Bft 5 (8 to 10.8 m/s), 2 x 16 mm² for 99 GBP").split(" ")]
    ['Bft_5', '(8', 'to', '10.8_m/s),', '2_x_16_mm²', 'for', '99_GBP']
    """
    return _bonds().sub(lambda found: found[0].replace(" ", _BOUND), text)


def columns(text: str) -> int:
    """Columns that a line takes on a terminal."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


def cuts(text: str, room: int, by: int | None = None) -> Iterator[tuple[int, int, int]]:
    """Where a text is cut into lines.

    Parameters
    ----------
    text : str
        One paragraph or several, a line each.
    room : int
        Columns there are.
    by : int or None
        Columns by which every line but the first stands in; None for as far as its paragraph does.

    Yields
    ------
    columns, start, end : int
        How far a line stands in, and what of the text it is.
    """
    begin = 0
    for number, line in enumerate(text.split("\n")):
        words = [(found.start(), found.end()) for found in _WORDS.finditer(bound(line))]
        lead = words[0][0] if words else 0
        hung = lead if by is None else by
        # The first word stands behind what it is set in by.
        stands, start, end = (0, 0, lead) if number == 0 or by is None else (hung, lead, lead)
        for first, last in words:
            if end > max(start, lead) and stands + columns(line[start:last]) > room:
                yield stands, begin + start, begin + end
                stands, start = hung, first
            end = last
        yield stands, begin + start, begin + end
        begin += len(line) + 1


def folded(text: str, room: int, by: int | None = None) -> list[str]:
    """A text as lines; see :func:`cuts`.

    Examples
    --------
    >>> folded("from 8.1 m/s on", 10), folded("  a gale of 20 m/s", 10)
    (['from', '8.1 m/s on'], ['  a gale', '  of', '  20 m/s'])
    """
    return [" " * stands + text[start:end] for stands, start, end in cuts(text, room, by)]


def shortened(text: str, room: int) -> str:
    """One line that ends in dots behind its last word that fits, where not all do.

    Examples
    --------
    >>> shortened("comes through a gale of 20 m/s", 28)
    'comes through a gale of ...'
    """
    text = text.replace("\n", " ").rstrip()
    if columns(text) <= room:
        return text
    return f"{folded(text, room - 4)[0]} ..."


def widths(cells: Sequence[Sequence[str]], room: int, whole: Sequence[int] = ()) -> list[int] | None:
    """Columns for each column of a table, so that it gets as short as it can; None where its rows stand better alone.

    Parameters
    ----------
    cells : sequence of rows
        Its head, then its rows.
    room : int
        Columns there are for cells, without what parts them.
    whole : sequence of int
        Columns whose cells are not folded at all.
    """
    turned = list(zip(*cells, strict=True))
    most = [max(columns(line) for cell in column for line in cell.split("\n")) for column in turned]
    if sum(most) <= room:
        return most
    least = [
        full if at in whole else max(columns(w) for cell in column for w in re.split(r"[ \n]", bound(cell)))
        for at, (full, column) in enumerate(zip(most, turned, strict=True))
    ]
    if sum(least) > room:
        return None
    taken = list(least)
    rows = [[columns(cell) for cell in row] for row in cells[1 :: max(len(cells) // _LOOKED_AT, 1)]]
    for _ in range(room - sum(taken)):
        able = [at for at, (now, full) in enumerate(zip(taken, most, strict=True)) if now < full]
        taken[min(able, key=lambda at: _height(rows, _moved(taken, at)))] += 1
    looked_at = cells[1 :: max(len(cells) // _LOOKED_AT, 1)]
    tall = cache(lambda cell, width: len(folded(cell, width)))

    def height(taken: Sequence[int]) -> int:
        return sum(max(map(tall, row, taken)) for row in looked_at)

    for gives, gets, by in product(range(len(taken)), range(len(taken)), range(1, _MOVED)):
        if gives not in whole and taken[gives] - by >= least[gives] and gives != gets:
            other = _moved(_moved(taken, gives, -by), gets, by)
            taken = other if height(other) < height(taken) else taken
    alone = sum(1 + sum(len(folded(x, room, 4)) for x in beside(cells[0][1:], row[1:], room)) for row in looked_at)
    return taken if height(taken) <= _AS_TABLE * alone else None


def beside(heads: Sequence[str], cells: Sequence[str], room: int) -> list[str]:
    """The cells of a row, each behind its head, beside each other as long as they fit, and else below.

    Examples
    --------
    >>> beside(("On", "What", "Wind", "Note"), ("r1", "raised", "", "by two people"), 24)
    ['  On: r1   What: raised', '  Note: by two people']
    """
    told = [
        " ".join(f"{head}: {cell}".removeprefix(": ").split("\n"))
        for head, cell in zip(heads, cells, strict=True)
        if cell
    ]
    made: list[str] = []
    for piece in told:
        if made and columns(made[-1]) + 3 + columns(piece) <= room:
            made[-1] += f"   {piece}"
        else:
            made.append(f"  {piece}")
    return made


def _moved(taken: Sequence[int], at: int, by: int = 1) -> list[int]:
    """Widths with one of them wider."""
    return [*taken[:at], taken[at] + by, *taken[at + 1 :]]


def _height(rows: Sequence[Sequence[int]], taken: Sequence[int]) -> float:
    """Lines that rows of so many letters take, and a little for what fills them, so that every column counts."""
    shares = [[cell / now for cell, now in zip(row, taken, strict=True)] for row in rows]
    return sum(max(1, *map(math.ceil, row)) + _FILLING * max(row) for row in shares)
