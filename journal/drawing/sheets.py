"""How a drawing lies on sheets of paper: tiles at true size with marks to join them, a map of them, a ruler."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise, product

from calc.wording import number_of
from journal.drawing.letters import CAPITAL, width_of, wrapped
from journal.drawing.model import LEADING, Circle, Drawing, Extent, Line, Part, Pen, Words, box, extent, moved

#: Width and height of a sheet, upright. [mm]
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a3": (297.0, 420.0)}
#: What printers cannot print on, all around; what two sheets share where they are joined; strip for the ruler. [mm]
MARGIN, OVERLAP, FOOT = 10.0, 10.0, 21.0
#: Height of letters: of a title, of what is read, and of what stands on a tile. [mm]
TITLE, TEXT, SMALL = 4.5, 2.4, 2.0
_INCH = 25.4
#: Letters of the crosses that join sheets; those that are taken for each other or for a nought are left out.
_NAMES = "ABCDEFGHJKLMNPRSTUVWXYZ"
#: Where the windows may lie over a drawing, as shares of what is free beside it; the middle comes first.
_SHIFTS = (0.5, 0.25, 0.75, 0.0, 1.0)
#: Where the crosses of a strip stand, as shares of its length, and how far they make way for what is drawn there.
_CROSSES = 0.2, 0.8, 0.5
_WAY = tuple(0.02 * n * way for n in range(15) for way in (1.0, -1.0))
#: How far two crosses of a strip stand from each other, at least. [mm]
_APART = 15.0
#: What a cross keeps free around it, its letter included. [mm]
_FREE = 6.0
#: Height of a sheet's number on the map. [mm]
_NUMBER = 4.0
#: Height that is left for a drawing, or a map, beside what is read, at least. [mm]
_LEAST = 60.0
#: Least height of the capitals of what is drawn to be fitted: 7 points in print. [mm]
LEGIBLE = 7.0 * CAPITAL * _INCH / 72.0
MEASURE = (
    "Measure this: 100 mm, and 4 in below it. If it is not, do not cut: print again at 100 %, not fitted to the page."
)


@dataclass(frozen=True, slots=True)
class Layer:
    """Parts on a page, of which only what lies within a box is seen, in [mm]."""

    parts: tuple[Part, ...]
    window: Extent | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet of paper, in [mm]."""

    width: float
    height: float
    layers: tuple[Layer, ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """How windows of one size lie over a drawing, each with the overlap in common with the next, in [mm].

    Parameters
    ----------
    left, bottom : float
        Corner of the first.
    width, height : float
        Of a window.
    columns, rows : int
        How many.
    """

    left: float
    bottom: float
    width: float
    height: float
    columns: int
    rows: int

    def window(self, column: int, row: int) -> Extent:
        """One of them, rows counted from the top."""
        x = self.left + column * (self.width - OVERLAP)
        y = self.bottom + (self.rows - 1 - row) * (self.height - OVERLAP)
        return Extent(x, y, x + self.width, y + self.height)


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet of several, and what is seen on it, in [mm]."""

    number: int
    column: int
    row: int
    window: Extent


def pages(drawing: Drawing, paper: str) -> list[Page]:
    """A drawing on sheets of one kind of paper.

    Parameters
    ----------
    drawing : Drawing
        At true size, or to be fitted on one sheet.
    paper : str
        One of :data:`PAPERS`.
    """
    if not drawing.true_size:
        return _fitted(drawing, PAPERS[paper])
    if (single := _single(drawing, PAPERS[paper])) is not None:
        return [single]
    grid, tiles = laid_out(drawing, paper)
    wide, high = grid.width + 2 * MARGIN, grid.height + 2 * MARGIN + FOOT
    joins = _joins(drawing, grid, {(t.column, t.row) for t in tiles})
    covers = _covers(drawing, tiles, PAPERS[paper])
    return [*covers, *(_page(drawing, tile, len(tiles), joins, (wide, high)) for tile in tiles)]


def laid_out(drawing: Drawing, paper: str) -> tuple[Grid, list[Tile]]:
    """The sheets that a drawing takes: as few as may be, and of these ways one that parts no hole.

    A hole whose middle lies in a joint is only as exact as the tape.
    """
    ways = [
        _grid(drawing.bounds, size, shift)
        for shift in product(_SHIFTS, _SHIFTS)
        for size in (PAPERS[paper], PAPERS[paper][::-1])
    ]
    laid = [(grid, _tiles(drawing, grid)) for grid in ways]
    return min(laid, key=lambda way: (len(way[1]), _parted(drawing, *way)))


# --- tiles ------------------------------------------------------------------------------------------------------------


def _room(size: tuple[float, float]) -> tuple[float, float]:
    """Width and height of a page's window."""
    return size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - FOOT


def _counts(of: Extent, size: tuple[float, float]) -> tuple[int, int]:
    """How many windows lie side by side and one over the other."""
    room = _room(size)
    spans = (of.width, of.height)
    first, second = (max(1, math.ceil((s - OVERLAP) / (w - OVERLAP) - 1e-9)) for s, w in zip(spans, room, strict=True))
    return first, second


def _grid(of: Extent, size: tuple[float, float], shift: tuple[float, float]) -> Grid:
    """Windows laid over a drawing, with this share of what is free to its left and below it."""
    columns, rows = _counts(of, size)
    w, h = _room(size)
    across, up = columns * (w - OVERLAP) + OVERLAP, rows * (h - OVERLAP) + OVERLAP
    return Grid(
        of.left - (across - of.width) * shift[0], of.bottom - (up - of.height) * shift[1], w, h, columns, rows
    )  # fmt: skip


def _parted(drawing: Drawing, grid: Grid, tiles: list[Tile]) -> int:
    """How many holes lie where sheets are joined, on no sheet whole by themselves or in the doubt of the joint."""
    strips = [strip for _, strip in _strips(grid, {(t.column, t.row) for t in tiles})]
    return sum(any(_touch(hole, strip) for strip in strips) for hole in _holes(drawing))


def _holes(drawing: Drawing) -> list[Circle]:
    """What is drilled, and what is centred, such as the shaft, which is folded or dashed."""
    return [part for part in drawing.parts if isinstance(part, Circle) and part.pen in (Pen.CUT, Pen.FOLD)]


def _tiles(drawing: Drawing, grid: Grid) -> list[Tile]:
    """The windows in which something is to be seen, row by row from the top."""
    found: list[Tile] = []
    for row in range(grid.rows):
        for column in range(grid.columns):
            window = grid.window(column, row)
            if _shows(drawing, window):
                found.append(Tile(len(found) + 1, column, row, window))
    return found


def _shows(drawing: Drawing, window: Extent) -> bool:
    """Whether a line passes through a window, or it lies within what is cut out."""
    middle = ((window.left + window.right) / 2, (window.bottom + window.top) / 2)
    for part in drawing.parts:
        if not isinstance(part, Line):
            if _touch(part, window):
                return True
            continue
        if _passes(part, window):
            return True
        if part.closed and part.pen is Pen.CUT and _within(middle, part.points):
            return True
    return False


def _touch(part: Part, window: Extent) -> bool:
    """Whether the box of a part meets a window."""
    points = extent(part)
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (
        min(xs) <= window.right and max(xs) >= window.left and min(ys) <= window.top and max(ys) >= window.bottom
    )  # fmt: skip


def _crosses(p: tuple[float, float], q: tuple[float, float], window: Extent) -> bool:
    """Whether a straight line passes through a window."""
    low, high = 0.0, 1.0
    for a, b, least, most in ((p[0], q[0], window.left, window.right), (p[1], q[1], window.bottom, window.top)):
        if a == b:
            if not least <= a <= most:
                return False
            continue
        ends = sorted(((least - a) / (b - a), (most - a) / (b - a)))
        low, high = max(low, ends[0]), min(high, ends[1])
    return low <= high


def _within(at: tuple[float, float], corners: tuple[tuple[float, float], ...]) -> bool:
    """Whether a point lies within a closed line: a ray from it meets the line an odd number of times."""
    x, y = at
    inside = False
    for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside


def _letters(n: int) -> str:
    """A, B and on; AA after Z."""
    many = len(_NAMES)
    return (_NAMES[n // many - 1] if n >= many else "") + _NAMES[n % many]


def _strips(grid: Grid, there: set[tuple[int, int]]) -> list[tuple[bool, Extent]]:
    """What two sheets share, sheet by sheet; whether it stands upright."""
    found: list[tuple[bool, Extent]] = []
    for column, row in sorted(there, key=lambda at: (at[1], at[0])):
        for upright, beside in ((True, (column + 1, row)), (False, (column, row + 1))):
            if beside not in there:
                continue
            one, other = grid.window(column, row), grid.window(*beside)
            found.append((upright, Extent(
                max(one.left, other.left), max(one.bottom, other.bottom),
                min(one.right, other.right), min(one.top, other.top),
            )))  # fmt: skip
    return found


def _joins(drawing: Drawing, grid: Grid, there: set[tuple[int, int]]) -> tuple[Part, ...]:
    """Three crosses and a letter in each strip that two sheets share, at the same place of the drawing on both."""
    # A cross on a hole would be taken for its middle, and one in words cannot be read; a line through it does no harm,
    # but without one its letter is read more easily.
    never: list[Part] = [*_holes(drawing), *(_as_wide(part) for part in drawing.parts if isinstance(part, Words))]
    lines = [part for part in drawing.parts if isinstance(part, Line) and part.pen is Pen.CUT]
    parts: list[Part] = []
    for n, (upright, strip) in enumerate(_strips(grid, there)):
        placed: list[tuple[float, float]] = []
        for share in _CROSSES:
            places = [_along(strip, share + way, upright) for way in _WAY]
            around = {place: _around(place) for place in places}
            at = min(places, key=lambda p: (
                any(math.dist(p, other) < _APART for other in placed),
                any(_touch(part, around[p]) for part in never), any(_passes(line, around[p]) for line in lines)
            ))  # fmt: skip
            placed.append(at)
            parts += _cross(at, _letters(n), upright)
    return tuple(parts)


def _as_wide(words: Words) -> Line:
    """The box of words as wide as the font makes them: their usual width would leave crosses no room beside them."""
    top, wide, high = words.height, width_of(words.text, words.height), 1.3 * words.height
    left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[words.anchor]
    c, s = math.cos(math.radians(words.turn)), math.sin(math.radians(words.turn))
    corners = ((left, top - high), (left + wide, top - high), (left + wide, top), (left, top))
    return Line(tuple((words.at[0] + x * c - y * s, words.at[1] + x * s + y * c) for x, y in corners), closed=True)


def _passes(line: Line, window: Extent) -> bool:
    """Whether a line passes through a window."""
    points = (*line.points, line.points[0]) if line.closed else line.points
    return any(_crosses(p, q, window) for p, q in pairwise(points))


def _along(strip: Extent, share: float, upright: bool) -> tuple[float, float]:
    across, up = (0.5, share) if upright else (share, 0.5)
    return strip.left + strip.width * across, strip.bottom + strip.height * up


def _around(at: tuple[float, float]) -> Extent:
    return Extent(at[0] - _FREE, at[1] - _FREE, at[0] + _FREE, at[1] + _FREE)


def _cross(at: tuple[float, float], letter: str, upright: bool) -> list[Part]:
    x, y = at
    # The letter stays within the strip, which is narrow one way or the other.
    beside = (x + 0.7, y + 2.9) if upright else (x + 3.0, y + 0.9)
    return [
        Line(((x - 4.5, y), (x + 4.5, y)), pen=Pen.MARK),
        Line(((x, y - 4.5), (x, y + 4.5)), pen=Pen.MARK),
        Circle((x, y), 2.5, Pen.MARK),
        Words(beside, letter, 2.5 if len(letter) == 1 else 2.0),
    ]


def _page(
    drawing: Drawing, tile: Tile, of: int, joins: tuple[Part, ...], size: tuple[float, float]
) -> Page:  # fmt: skip
    window = tile.window
    by = (MARGIN - window.left, MARGIN + FOOT - window.bottom)
    seen = tuple(part for part in (*drawing.parts, *joins) if _touch(part, window))
    on_page = Extent(MARGIN, MARGIN + FOOT, MARGIN + window.width, MARGIN + FOOT + window.height)
    frame = box(on_page.left, on_page.bottom, on_page.width, on_page.height, Pen.FOLD)
    told = (f"{drawing.title}", f"Sheet {tile.number} of {of}, row {tile.row + 1}, column {tile.column + 1}")
    return Page(*size, (Layer(moved(seen, by), on_page), Layer((frame, *foot(told, size[0])))))


# --- the ruler --------------------------------------------------------------------------------------------------------


def ruler(left: float, bottom: float) -> tuple[Part, ...]:
    """A ruler of 100 mm over one of 4 in, 12 mm high."""
    middle = bottom + 6.0
    parts: list[Part] = [Line(((left, middle), (left + 4 * _INCH, middle)), pen=Pen.MARK)]
    for mm in range(101):
        tall = 3.2 if mm % 10 == 0 else 2.4 if mm % 5 == 0 else 1.5
        parts.append(Line(((left + mm, middle), (left + mm, middle + tall)), pen=Pen.MARK))
    for eighth in range(33):
        tall = 3.2 if eighth % 8 == 0 else 2.4 if eighth % 4 == 0 else 1.5
        x = left + eighth * _INCH / 8
        parts.append(Line(((x, middle), (x, middle - tall)), pen=Pen.MARK))
    parts += [Words((left + mm + 0.5, middle + 3.6), str(mm), 1.7) for mm in (0, 50)]
    parts.append(Words((left + 100.5, middle + 3.6), "100 mm", 1.7))
    parts += [Words((left + n * _INCH + 0.5, middle - 5.4), str(n), 1.7) for n in (0, 2)]
    parts.append(Words((left + 4 * _INCH + 0.5, middle - 5.4), "4 in", 1.7))
    return tuple(parts)


def foot(told: tuple[str, ...], width: float) -> tuple[Part, ...]:
    """The ruler with what it is for, and what the sheet is."""
    x = MARGIN + 118.0
    lines = [*wrapped(told[0], width - MARGIN - x, SMALL)[:2], *told[1:], *wrapped(MEASURE, width - MARGIN - x, SMALL)]
    top = MARGIN + FOOT - 2.0 - SMALL
    words = (Words((x, top - i * SMALL * 1.45), line, SMALL) for i, line in enumerate(lines))
    return (*ruler(MARGIN + 2.0, MARGIN + 2.0), *words)


# --- what is read -----------------------------------------------------------------------------------------------------


def _read(drawing: Drawing, width: float) -> list[Words]:
    """Title and notes as lines from nought downwards."""
    words: list[Words] = []
    y = -TITLE
    for line in wrapped(drawing.title, width, TITLE):
        words.append(Words((0.0, y), line, TITLE))
        y -= TITLE * LEADING
    y -= 1.0
    for note in drawing.notes:
        for line in wrapped(note, width, TEXT):
            words.append(Words((0.0, y), line, TEXT))
            y -= TEXT * LEADING
        y -= 0.4 * TEXT
    return words


def _height(words: list[Words]) -> float:
    return -min(w.at[1] for w in words) + TEXT if words else 0.0


def _single(drawing: Drawing, upright: tuple[float, float]) -> Page | None:
    """Everything on one sheet, where drawing and notes have room together."""
    of = drawing.bounds
    for size in (upright, upright[::-1]):
        w, h = _room(size)
        words = _read(drawing, w)
        if of.width <= w and of.height + _height(words) + 3.0 <= h:
            top = size[1] - MARGIN
            by = (MARGIN + (w - of.width) / 2 - of.left, top - _height(words) - 3.0 - of.top)
            told = (drawing.title, "Sheet 1 of 1")
            return Page(
                *size, (Layer(moved(words, (MARGIN, top))), Layer(moved(drawing.parts, by)), Layer(foot(told, size[0])))
            )
    return None


def _covers(drawing: Drawing, tiles: list[Tile], size: tuple[float, float]) -> list[Page]:
    """What is read before, and the map of the sheets."""
    w, h = _room(size)
    top, how = size[1] - MARGIN, _joining(w)
    made, words = _first_pages(drawing, size, h)
    used = _height(words)
    if h - used - _height(how) < _LEAST:
        made.append(_words_page(drawing, words, size))
        words, used = [], 0.0
    across = Extent(MARGIN, MARGIN + FOOT + 4.0, MARGIN + w, top - used - _height(how) - 4.0)
    told = (drawing.title, f"Read first; {number_of(len(tiles), 'sheet follows', 'sheets follow')}")
    return [
        *made,
        Page(
            *size,
            (
                Layer(moved(words, (MARGIN, top))),
                Layer(moved(how, (MARGIN, top - used))),
                Layer(_map(drawing, tiles, across)),
                Layer(foot(told, size[0])),
            ),
        ),
    ]


def _first_pages(drawing: Drawing, size: tuple[float, float], room: float) -> tuple[list[Page], list[Words]]:
    """What is read, as pages that it fills, and the rest that has room on the next."""
    made: list[Page] = []
    words = _read(drawing, size[0] - 2 * MARGIN)
    while _height(words) > room:
        now = [word for word in words if -word.at[1] <= room - 2 * TEXT]
        rest = words[len(now) :]
        made.append(_words_page(drawing, now, size))
        down = -rest[0].at[1] - TEXT
        words = [replace(word, at=(word.at[0], word.at[1] + down)) for word in rest]
    return made, words


def _words_page(drawing: Drawing, words: list[Words], size: tuple[float, float]) -> Page:
    told = foot((drawing.title, "Read first"), size[0]) if drawing.true_size else ()
    return Page(*size, (Layer(moved(words, (MARGIN, size[1] - MARGIN))), Layer(told)))


def _joining(width: float) -> list[Words]:
    """How sheets are joined."""
    text = (
        f"To join: on each sheet cut the margin off along the dashed frame on the side where a lower number joins, lay "
        f"it over that sheet by {OVERLAP:g} mm so that crosses and letters fall on each other (hold it against the "
        "light), and tape it. Measure across two sheets before you trust them. The map shows which goes where:"
    )
    lines = wrapped(text, width, TEXT)
    return [Words((0.0, -TEXT * (2.0 + i * LEADING)), line, TEXT) for i, line in enumerate(lines)]


def _map(drawing: Drawing, tiles: list[Tile], room: Extent) -> tuple[Part, ...]:
    """The whole drawing, small, with the sheets over it."""
    left, bottom = min(t.window.left for t in tiles), min(t.window.bottom for t in tiles)
    right, top = max(t.window.right for t in tiles), max(t.window.top for t in tiles)
    scale = min(room.width / (right - left), room.height / (top - bottom))
    by = (
        room.left + (room.width - (right - left) * scale) / 2 - left * scale,
        room.bottom + (room.height - (top - bottom) * scale) / 2 - bottom * scale,
    )
    drawn = moved((p for p in drawing.parts if not isinstance(p, Words)), by, scale)
    parts: list[Part] = list(drawn)
    for tile in tiles:
        (frame,) = moved([box(tile.window.left, tile.window.bottom, tile.window.width, tile.window.height)], by, scale)
        assert isinstance(frame, Line)
        # In the corner it stands clear of most that is drawn, inside of what is shared with the next sheet.
        x, y = min(p[0] for p in frame.points), max(p[1] for p in frame.points)
        inside = OVERLAP * scale + 1.2
        parts += [frame, Words((x + inside, y - inside - _NUMBER), str(tile.number), _NUMBER)]
    return tuple(parts)


def _fitted(drawing: Drawing, upright: tuple[float, float]) -> list[Page]:
    """The whole drawing on one sheet, as large as it goes; where much is to be read, that stands before it."""
    of = drawing.bounds
    size = max((upright, upright[::-1]), key=lambda s: min(s[0] / of.width, s[1] / of.height))
    w, h = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN
    made, words = _first_pages(drawing, size, h)
    smallest = min((part.height for part in drawing.parts if isinstance(part, Words)), default=LEGIBLE)
    least = min(LEGIBLE / smallest, w / of.width) * of.height
    if h - _height(words) - 3.0 < max(_LEAST, min(h / 2, of.height), least):
        made.append(_words_page(drawing, words, size))
        words = []
    room = h - _height(words) - 3.0
    scale = min(w / of.width, room / of.height)
    top = size[1] - MARGIN
    by = (
        MARGIN + (w - of.width * scale) / 2 - of.left * scale,
        MARGIN + (room - of.height * scale) / 2 - of.bottom * scale,
    )
    return [*made, Page(*size, (Layer(moved(words, (MARGIN, top))), Layer(moved(drawing.parts, by, scale))))]
