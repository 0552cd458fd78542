"""Small plots for a terminal, as lines of plain text: power over wind and torque over speed.

At most 12 rows of 60 columns, and of fewer on a narrow screen. Block characters where the terminal can show them, plain
ASCII where it cannot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Protocol, TextIO

import numpy as np

from calc.physics import balance, torque
from calc.physics.storage_time import Array
from calc.units import can_show, digits
from journal.book.sheet import RevisionSheet
from journal.book.shown import number_told, unit_told
from journal.book.tables import Revision
from journal.publish import numbers
from journal.screens.folding import folded

#: Size of the whole plot where there is room, and columns left of the plotting area for numbers.
ROWS, COLUMNS, LEFT = 12, 60, 7
_HEIGHT = ROWS - 4
_EIGHTHS = " ▁▂▃▄▅▆▇█"
#: What is drawn, with blocks and without.
_MARKS: dict[str, str | int | None] = {
    "│": "|",
    "─": "-",
    "┴": "+",
    "└": "+",
    "●": "O",
    "○": "o",
    "·": ".",
    "█": "#",
    "◆": "*",
    "├": "|",
    "┤": "|",
}
RPM = 30.0 / math.pi


class OfRevision(Protocol):
    """Whatever tells of one revision: a review, or what was solved of it."""

    @property
    def revision(self) -> Revision: ...  # noqa: D102
    @property
    def sheet(self) -> RevisionSheet: ...  # noqa: D102


def can_show_blocks(stream: TextIO) -> bool:
    """Whether the encoding of a stream can write the characters of the plots."""
    return can_show(_EIGHTHS + "".join(map(str, _MARKS)), stream.encoding)


@dataclass
class _Canvas:
    """A grid of characters with an axis each way; ``x_top`` and ``y_top`` are the ends of the axes, in their units."""

    x_top: float
    y_top: float
    blocks: bool
    x_unit: str = ""
    y_unit: str = ""
    whole: int = COLUMNS
    grid: list[list[str]] = field(init=False)

    def __post_init__(self) -> None:
        self.grid = [[" "] * self.width for _ in range(_HEIGHT)]

    @property
    def width(self) -> int:
        """Columns of the area in which is drawn."""
        return min(self.whole, COLUMNS) - LEFT - 1

    def column(self, x: float) -> int:
        """Column of a value."""
        return min(max(round(x / self.x_top * (self.width - 1)), 0), self.width - 1)

    def put(self, x: float, y: float, mark: str) -> None:
        """One mark, if it lies inside."""
        row = math.floor(y / self.y_top * _HEIGHT)
        if 0.0 <= x <= self.x_top and 0 <= row <= _HEIGHT:
            self.grid[_HEIGHT - 1 - min(row, _HEIGHT - 1)][self.column(x)] = mark

    def area(self, x: Array, y: Array) -> None:
        """Filled columns up to a curve."""
        for column in range(self.width):
            at = column / (self.width - 1) * self.x_top
            eighths = round(float(np.interp(at, x, y, left=0.0)) / self.y_top * _HEIGHT * 8)
            for row in range(_HEIGHT):
                part = min(max(eighths - 8 * row, 0), 8)
                if part and (self.blocks or part >= 4):
                    self.grid[_HEIGHT - 1 - row][column] = _EIGHTHS[part] if self.blocks else "#"

    def line(self, x: Array, y: Array, mark: str) -> None:
        """A curve, drawn through, one column after the other."""
        for column in range(self.width):
            at = column / (self.width - 1) * self.x_top
            value = float(np.interp(at, x, y))
            if np.isfinite(value) and value >= 0:
                self.put(at, value, mark)

    def drawn(self, title: str, below: str) -> list[str]:
        """The whole plot: title, area with numbers on the left, axis with numbers, what stands on the axis."""
        made = folded(title, self.whole, 4)
        for i, row in enumerate(self.grid):
            # A row's number holds at its upper edge.
            at = self.y_top * (_HEIGHT - i) / _HEIGHT
            number = number_told(digits(at, 2), self.y_unit) if i % 2 == 0 else ""
            made.append(f"{number:>{LEFT - 1}} │{''.join(row)}".rstrip())
        ends = [0.0, self.x_top / 2, self.x_top]
        ticks = "".join("┴" if c in {self.column(e) for e in ends} else "─" for c in range(self.width))
        made.append(f"{'0':>{LEFT - 1}} └{ticks}")
        numbers = [" "] * (self.width + 1)
        for end in ends:
            text = number_told(digits(end, 3), self.x_unit)
            start = min(max(self.column(end) - len(text) // 2, 0), self.width - len(text))
            numbers[start : start + len(text)] = text
        made.append(" " * (LEFT + 1) + "".join(numbers).rstrip())
        made += folded(below, self.whole, LEFT + 1)
        if not self.blocks:
            made = [line.translate(str.maketrans(_MARKS)) for line in made]
        return made


def _round_up(value: float) -> float:
    """A round number at or above a value, for the end of an axis."""
    if value <= 0:
        return 1.0
    step = 10.0 ** math.floor(math.log10(value))
    return next(m * step for m in (1.0, 1.2, 1.6, 2.0, 2.4, 3.2, 4.0, 6.0, 8.0, 10.0) if m * step >= value * (1 - 1e-9))


def plot_power(review: OfRevision, *, blocks: bool = True, width: int = COLUMNS) -> list[str] | None:
    """Power over wind, with the powers that were read; None if the machine cannot be solved.

    Parameters
    ----------
    review : OfRevision
        A revision with its sheet.
    blocks : bool
        Whether block characters can be shown; see :func:`can_show_blocks`.
    width : int
        Columns there are; no more than :data:`COLUMNS` are used.
    """
    found = numbers.solved_machine(review.sheet.system)
    if found is None:
        return None
    read = numbers.power_readings(review.sheet.system, review.sheet.readings)
    watts = found.operation.running.charge
    top = _round_up(max(float(np.max(watts)), *(m.power[1] for m in read), 1.0))
    canvas = _Canvas(float(found.winds[-1]), top, blocks, x_unit="m/s", whole=width)
    canvas.area(found.winds, watts)
    for m in read:
        ends = [canvas.column(v) for v in m.wind]
        for column in range(ends[0], min(ends[1], canvas.width - 1) + 1):
            canvas.put(column / (canvas.width - 1) * canvas.x_top, m.value, "─")
        canvas.put(m.middle, m.value, "●")
    shown = f"   ─●─ read: {', '.join(m.ref for m in read)}" if read else ""
    return canvas.drawn(
        f"W into battery and dump load, {review.revision.ref}", f"{'':{LEFT}} {unit_told('m/s')} at the rotor{shown}"
    )


def plot_torques(review: OfRevision, *, blocks: bool = True, width: int = COLUMNS) -> list[str] | None:
    """Torque of the rotor in three winds against the generator's, over speed; None if it cannot be solved.

    Parameters
    ----------
    review : OfRevision
        A revision with its sheet.
    blocks : bool
        Whether block characters can be shown; see :func:`can_show_blocks`.
    width : int
        Columns there are; no more than :data:`COLUMNS` are used.
    """
    found = numbers.solved_machine(review.sheet.system)
    if found is None:
        return None
    m = found.machine
    limit = float(np.asarray(found.limit))
    winds = np.array([v for v in (4.0, 7.0, 10.0) if v <= limit] or [limit])
    points = balance.operate(m, winds).running
    begins = numbers.charging_speed(found)
    fastest = _round_up(1.1 * max(float(np.max(points.omega)), begins) * RPM)
    omega = np.linspace(0.0, fastest / RPM, 200)
    curves = torque.rotor_torque(m, winds, omega)
    canvas = _Canvas(fastest, _round_up(float(np.nanmax(curves))), blocks, y_unit="Nm", whole=width)
    for name, curve in zip("abc", curves, strict=False):
        canvas.line(omega * RPM, curve, name)
    canvas.line(omega * RPM, torque.generator_torque(m, omega), "█")
    for i in range(len(winds)):
        if points.omega[i] > 0:
            at = float(points.omega[i])
            canvas.put(at * RPM, float(points.rotor[i]) / at, "●" if points.current[i] > 0 else "○")
    names = "  ".join(f"{name} {number_told(digits(v), 'm/s')}" for name, v in zip("abc", winds, strict=False))
    return canvas.drawn(
        f"{unit_told('Nm')} of the rotor in {names} {unit_told('m/s')}, █ generator, {review.revision.ref}",
        f"{'':{LEFT}} rpm   ● it charges  ○ it does not",
    )
