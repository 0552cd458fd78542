"""Symbols of a one-line diagram, after IEC 60617 from memory, plain; each is drawn about the place where it stands.

A symbol in a line reaches :data:`HALF` to both sides along it; ``across`` says that the line runs from left to right,
else it runs downwards. What the sheet says is missing is drawn as a gap with a cross in it, never as a whole line.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TypeAlias

from journal.drawing.model import Circle, Line, Part, Pen, Point, Words, arc

#: Half the length of a symbol along its line. [mm]
HALF = 5.0

Symbol: TypeAlias = Callable[[Point, bool], list[Part]]


def turned(at: Point, points: list[Point], across: bool) -> tuple[Point, ...]:
    """Points given along a line (first number, from where the current comes) and to its side, as places on paper."""
    x, y = at
    return tuple((x + a, y + b) if across else (x + b, y - a) for a, b in points)


def stroke(at: Point, across: bool, *points: Point, pen: Pen = Pen.THIN, closed: bool = False) -> Line:
    """A line of a symbol, see :func:`turned`."""
    return Line(turned(at, list(points), across), closed, pen)


def _square(at: Point, across: bool) -> list[Part]:
    h = HALF - 0.8
    return [
        stroke(at, across, (-h, -h), (h, -h), (h, h), (-h, h), closed=True),
        stroke(at, across, (-HALF, 0.0), (-h, 0.0)),
        stroke(at, across, (h, 0.0), (HALF, 0.0)),
    ]


def _changer(first: str, second: str) -> Symbol:
    """A box with a slanted line: one kind of current becomes another."""

    def draw(at: Point, across: bool) -> list[Part]:
        x, y = at
        h = HALF - 0.8
        low, high = (x - h, y - h), (x + h, y + h)
        return [
            *_square(at, across),
            Line((low, high), pen=Pen.THIN),
            *_current((x - 0.45 * h, y + 0.45 * h), first),
            *_current((x + 0.45 * h, y - 0.45 * h), second),
        ]

    return draw


def _current(at: Point, kind: str) -> list[Part]:
    """The sign of alternating or direct current."""
    x, y = at
    if kind == "=":
        return [Line(((x - 1.2, y + d), (x + 1.2, y + d)), pen=Pen.THIN) for d in (-0.5, 0.5)]
    some = [i / 8 for i in range(-8, 9)]
    return [Line(tuple((x + 1.4 * t, y - 0.8 * math.sin(math.pi * t)) for t in some), pen=Pen.THIN)]


def generator(at: Point, across: bool) -> list[Part]:
    """A circle with G."""
    r = HALF - 0.3
    return [
        Circle(at, r, Pen.THIN),
        Words((at[0], at[1] - 0.4), "G", 2.6, anchor="middle"),
        *_current((at[0], at[1] - 2.4), "~"),
    ]


def fuse(at: Point, across: bool) -> list[Part]:
    """A narrow box with the line through it."""
    return [
        stroke(at, across, (-3.6, -1.4), (3.6, -1.4), (3.6, 1.4), (-3.6, 1.4), closed=True),
        stroke(at, across, (-HALF, 0.0), (HALF, 0.0)),
    ]


def switch(at: Point, across: bool) -> list[Part]:
    """A contact, drawn open as switches are."""
    return [
        stroke(at, across, (-HALF, 0.0), (-3.0, 0.0)),
        stroke(at, across, (3.0, 0.0), (HALF, 0.0)),
        stroke(at, across, (-3.0, 0.0), (2.6, 2.6)),
        Circle(turned(at, [(-3.0, 0.0)], across)[0], 0.4, Pen.THIN),
        Circle(turned(at, [(3.0, 0.0)], across)[0], 0.4, Pen.THIN),
    ]


def cable(at: Point, across: bool, wires: int | None = None) -> list[Part]:
    """A line with a slanted tick for each conductor, or a plain one where their number is not known."""
    ticks = [
        stroke(at, across, (shift - 0.8, -1.6), (shift + 0.8, 1.6))
        for shift in ([] if wires is None else [1.6 * (i - (wires - 1) / 2) for i in range(wires)])
    ]
    return [stroke(at, across, (-HALF, 0.0), (HALF, 0.0)), *ticks]


def resistor(at: Point, across: bool) -> list[Part]:
    """A box: what turns the current to heat."""
    return [
        stroke(at, across, (-HALF, 0.0), (-3.8, 0.0)),
        stroke(at, across, (-3.8, -1.8), (3.8, -1.8), (3.8, 1.8), (-3.8, 1.8), closed=True),
        *(stroke(at, across, (a, -1.8), (a + 1.4, 1.8)) for a in (-2.8, -0.6, 1.6)),
    ]


def battery(at: Point, across: bool) -> list[Part]:
    """Long and short strokes, two cells of them."""
    strokes = [(-2.4, 4.0), (-0.8, 2.0), (0.8, 4.0), (2.4, 2.0)]
    return [
        stroke(at, across, (-HALF, 0.0), (-2.4, 0.0)),
        *(stroke(at, across, (a, -b), (a, b), pen=Pen.CUT if b < 3 else Pen.THIN) for a, b in strokes),
    ]


def lamp(at: Point, across: bool) -> list[Part]:
    """A circle with a cross: what uses the current."""
    r, d = 3.2, 3.2 / math.sqrt(2.0)
    return [
        stroke(at, across, (-HALF, 0.0), (-r, 0.0)),
        Circle(at, r, Pen.THIN),
        stroke(at, across, (-d, -d), (d, d)),
        stroke(at, across, (-d, d), (d, -d)),
    ]


def earth(at: Point, across: bool) -> list[Part]:
    """Three strokes, each shorter; it always hangs down."""
    x, y = at
    bars = [Line(((x - w, y - d), (x + w, y - d)), pen=Pen.THIN) for w, d in ((3.0, 0.0), (2.0, 1.2), (1.0, 2.4))]
    return [Line(((x, y + HALF), (x, y)), pen=Pen.THIN), *bars]


def arrester(at: Point, across: bool) -> list[Part]:
    """A box with an arrow in it, and earth beyond."""
    x, y = at
    tip = turned(at, [(2.4, 0.0)], across)[0]
    return [
        stroke(at, across, (-HALF, 0.0), (2.4, 0.0)),
        stroke(at, across, (-3.4, -1.7), (3.4, -1.7), (3.4, 1.7), (-3.4, 1.7), closed=True),
        Line((turned(at, [(0.8, -1.0)], across)[0], tip, turned(at, [(0.8, 1.0)], across)[0]), pen=Pen.THIN),
        *earth((x, y - HALF - 4.0), across),
        Line(((x, y - 3.4), (x, y - HALF)), pen=Pen.THIN),
    ]


def shorting(at: Point, across: bool) -> list[Part]:
    """A contact that joins all leads: a switch to a bar."""
    x, y = at
    return [*switch(at, False), Line(((x - 3.0, y - HALF), (x + 3.0, y - HALF)), pen=Pen.CUT)]


def residual(at: Point, across: bool) -> list[Part]:
    """A switch with a ring about the line: what is gone missing in it opens it."""
    ring = turned(at, [(-4.0, 0.0)], across)[0]
    return [*switch(at, across), Circle(ring, 1.5, Pen.THIN)]


def house(at: Point, across: bool) -> list[Part]:
    """The outline of a house."""
    return [stroke(at, True, (-4.5, -4.0), (4.5, -4.0), (4.5, 1.4), (0.0, 4.8), (-4.5, 1.4), closed=True)]


def plug(at: Point, across: bool) -> list[Part]:
    """A plug with its two bare pins, which point the way the current goes."""
    return [
        stroke(at, across, (-HALF, 0.0), (-2.0, 0.0)),
        stroke(at, across, (-2.0, -2.2), (1.6, -2.2), (1.6, 2.2), (-2.0, 2.2), closed=True),
        stroke(at, across, (1.6, -1.2), (HALF, -1.2), pen=Pen.CUT),
        stroke(at, across, (1.6, 1.2), (HALF, 1.2), pen=Pen.CUT),
    ]


def plug_up(at: Point, across: bool) -> list[Part]:
    """The same, its pins where the current comes from."""
    x, y = at
    back = [replace(part, points=tuple((2 * x - a, 2 * y - b) for a, b in part.points))
            for part in plug(at, across) if isinstance(part, Line)]  # fmt: skip
    return list(back)


def socket(at: Point, across: bool) -> list[Part]:
    """A socket: half a circle open to where the plug comes from."""
    start = 270.0 if across else 180.0
    return [
        arc(turned(at, [(0.0, 0.0)], across)[0], 2.6, start, start + 180.0 if across else start - 180.0, Pen.THIN),
        stroke(at, across, (2.6, 0.0), (HALF, 0.0)),
        stroke(at, across, (2.6, -2.6), (2.6, 2.6)),
    ]


def box_of(at: Point, across: bool) -> list[Part]:
    """A plain box, for what has no sign of its own."""
    return _square(at, across)


def missing(at: Point, across: bool) -> list[Part]:
    """A gap with a cross in it: the sheet says that there is none."""
    h = HALF - 1.5
    return [
        stroke(at, across, (-h, -h), (h, -h), (h, h), (-h, h), closed=True, pen=Pen.FOLD),
        stroke(at, across, (-2.2, -2.2), (2.2, 2.2), pen=Pen.CUT),
        stroke(at, across, (-2.2, 2.2), (2.2, -2.2), pen=Pen.CUT),
    ]


def unknown(at: Point, across: bool) -> list[Part]:
    """A dashed box with a question mark: the sheet does not say whether there is one."""
    h = HALF - 1.0
    return [
        stroke(at, across, (-HALF, 0.0), (-h, 0.0)),
        stroke(at, across, (-h, -h), (h, -h), (h, h), (-h, h), closed=True, pen=Pen.FOLD),
        stroke(at, across, (h, 0.0), (HALF, 0.0)),
        Words((at[0], at[1] - 1.4), "?", 2.8, anchor="middle"),
    ]


def warning(at: Point, size: float = 5.0) -> list[Part]:
    """A triangle with a mark of exclamation."""
    x, y = at
    half = size / math.sqrt(3.0)
    return [
        Line(((x - half, y), (x + half, y), (x, y + size)), closed=True, pen=Pen.CUT),
        Line(((x, y + 0.75 * size), (x, y + 0.35 * size)), pen=Pen.CUT),
        Circle((x, y + 0.17 * size), 0.06 * size, Pen.CUT),
    ]


SYMBOLS: dict[str, Symbol] = {
    "generator": generator,
    "rectifier": _changer("~", "="),
    "converter": _changer("=", "="),
    "inverter": _changer("=", "~"),
    "fuse": fuse,
    "main fuse": fuse,
    "switch": switch,
    "battery switch": switch,
    "brake": shorting,
    "surge": arrester,
    "dump": resistor,
    "battery": battery,
    "loads": lamp,
    "rcd": residual,
    "house": house,
    "earth": earth,
}


def _changeover(at: Point, across: bool) -> list[Part]:
    x, y = at
    return [
        Line(((x, y + HALF), (x, y + 2.6)), pen=Pen.THIN),
        Circle((x, y + 2.2), 0.4, Pen.THIN),
        Circle((x - 4.0, y + 2.2), 0.4, Pen.THIN),
        Words((x - 5.4, y + 3.4), "mains", 2.0, anchor="middle"),
        Line(((x - 6.6, y + 2.2), (x - 4.4, y + 2.2)), pen=Pen.THIN),
        Line(((x, y - HALF), (x, y - 2.6), (x - 0.6, y + 2.0)), pen=Pen.THIN),
    ]


def _apart(at: Point, across: bool) -> list[Part]:
    x, y = at
    return [
        Line(((x - 2.0, y + HALF), (x + 2.0, y + HALF)), pen=Pen.THIN),
        *house((x, y - 1.5), across),
    ]


def _grid(at: Point, across: bool) -> list[Part]:
    x, y = at
    return [
        Line(((x, y + HALF), (x, y - 2.0)), pen=Pen.THIN),
        Line(((x - 3.0, y - 2.0), (x + 3.0, y - 2.0)), pen=Pen.CUT),
        Line(((x - 3.0, y - 3.4), (x + 3.0, y - 3.4)), pen=Pen.CUT),
    ]


def _through_house(at: Point, across: bool) -> list[Part]:
    x, y = at
    return [*house(at, across), Line(((x, y + HALF), (x, y + 4.8)), pen=Pen.THIN)]


#: What stands for the house and what feeds it, by what :mod:`journal.drawing.feeding` calls it.
HOUSE: dict[str, Symbol] = {
    "house": _through_house, "apart": _apart, "grid": _grid, "changeover": _changeover, "by hand": switch,
    "plug": plug, "plug up": plug_up, "socket": socket,
}  # fmt: skip
