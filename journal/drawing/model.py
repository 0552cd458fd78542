"""What a drawing is made of: lines, circles and words on paper, in mm, x to the right and y upwards."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal, TypeAlias

#: Place on a drawing, x to the right and y upwards. [mm]
Point: TypeAlias = tuple[float, float]
Anchor: TypeAlias = Literal["start", "middle", "end"]
#: Width of a letter as a share of its height, on the whole; of the plain letters in which drawings are written.
LETTER = 0.8
#: Height of a line of words as a share of that of its letters.
LEADING = 1.5


class Pen(StrEnum):
    """What a line is for; each form of a file tells them apart by width, dashes, or layer."""

    CUT = "cut"
    THIN = "thin"
    FOLD = "fold"
    CENTRE = "centre"
    MARK = "mark"


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points; closed where the last is joined to the first, in [mm]."""

    points: tuple[Point, ...]
    closed: bool = False
    pen: Pen = Pen.CUT


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, in [mm]."""

    centre: Point
    radius: float
    pen: Pen = Pen.CUT


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words: the foot of its letters begins, has its middle, or ends there.

    Parameters
    ----------
    at : Point
        Place. [mm]
    text : str
        What it says.
    height : float
        Of capitals. [mm]
    turn : float
        Angle against the clock. [degrees]
    anchor : {"start", "middle", "end"}
        Which part of the line stands at the place.
    """

    at: Point
    text: str
    height: float = 3.0
    turn: float = 0.0
    anchor: Anchor = "start"

    @property
    def corners(self) -> tuple[Point, ...]:
        """Four corners of the box in which the words stand, by the usual width of letters, in [mm]."""
        wide = LETTER * self.height * len(self.text)
        left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[self.anchor]
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        box = ((left, -0.3 * self.height), (left + wide, -0.3 * self.height),
               (left + wide, self.height), (left, self.height))  # fmt: skip
        return tuple((self.at[0] + x * c - y * s, self.at[1] + x * s + y * c) for x, y in box)


Part: TypeAlias = Line | Circle | Words


@dataclass(frozen=True, slots=True)
class Extent:
    """The box around a drawing, in [mm]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """From left to right, in [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top, in [mm]."""
        return self.top - self.bottom


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing at true size.

    Parameters
    ----------
    title : str
        What it is of.
    notes : tuple of str
        What stands beside it, a paragraph each: how it is used, and what was not checked.
    parts : tuple of Line, Circle or Words
        What is drawn.
    name : str
        Of its file, without ending.
    true_size : bool
        Whether it is printed as large as it is, on as many sheets as that takes; else fitted on one.
    """

    title: str
    notes: tuple[str, ...]
    parts: tuple[Part, ...]
    name: str = field(default="drawing", kw_only=True)
    true_size: bool = field(default=True, kw_only=True)

    @property
    def bounds(self) -> Extent:
        """The box around all its parts, words by their usual width, in [mm]."""
        points = [point for part in self.parts for point in extent(part)]
        if not points:
            return Extent(0.0, 0.0, 0.0, 0.0)
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return Extent(min(xs), min(ys), max(xs), max(ys))


def extent(part: Part) -> tuple[Point, ...]:
    """Points that span the box of a part, in [mm]."""
    if isinstance(part, Line):
        return part.points
    if isinstance(part, Words):
        return part.corners
    (x, y), r = part.centre, part.radius
    return ((x - r, y - r), (x + r, y + r))


def arc(centre: Point, radius: float, start: float, end: float, pen: Pen = Pen.CUT, step: float = 0.02) -> Line:
    """An arc as a line that leaves it by no more than `step` [mm], from one angle to another [degrees]."""
    a, b = math.radians(start), math.radians(end)
    largest = 2.0 * math.acos(1.0 - min(step / max(radius, step), 1.0))
    n = max(2, math.ceil(abs(b - a) / largest))
    turns = (a + (b - a) * i / n for i in range(n + 1))
    return Line(tuple((centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in turns), pen=pen)


def box(left: float, bottom: float, width: float, height: float, pen: Pen = Pen.THIN) -> Line:
    """A closed box, in [mm]."""
    right, top = left + width, bottom + height
    return Line(((left, bottom), (right, bottom), (right, top), (left, top)), closed=True, pen=pen)


def cross(at: Point, size: float = 4.0, pen: Pen = Pen.CENTRE) -> tuple[Line, Line]:
    """Two lines that cross where something is to be drilled or measured from, in [mm]."""
    x, y = at
    return (Line(((x - size, y), (x + size, y)), pen=pen), Line(((x, y - size), (x, y + size)), pen=pen))


def arrow(start: Point, end: Point, pen: Pen = Pen.THIN, head: float = 2.5, both: bool = False) -> tuple[Line, ...]:
    """A line with a head at its end, or at both its ends, in [mm]."""
    turn = math.atan2(end[1] - start[1], end[0] - start[0])
    lines = [Line((start, end), pen=pen)]
    for tip, way in ((end, turn), (start, turn + math.pi))[: 2 if both else 1]:
        barbs = [(tip[0] - head * math.cos(way + a), tip[1] - head * math.sin(way + a)) for a in (0.35, -0.35)]
        lines.append(Line((barbs[0], tip, barbs[1]), pen=pen))
    return tuple(lines)


def moved(parts: Iterable[Part], by: Point, scale: float = 1.0) -> tuple[Part, ...]:
    """The same parts elsewhere [mm], larger or smaller where a scale is given."""
    dx, dy = by

    def shift(p: Point) -> Point:
        return (p[0] * scale + dx, p[1] * scale + dy)

    def one(part: Part) -> Part:
        if isinstance(part, Line):
            return Line(tuple(map(shift, part.points)), part.closed, part.pen)
        if isinstance(part, Circle):
            return Circle(shift(part.centre), part.radius * scale, part.pen)
        return Words(shift(part.at), part.text, part.height * scale, part.turn, part.anchor)

    return tuple(map(one, parts))
