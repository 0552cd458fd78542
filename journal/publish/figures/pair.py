"""Picture of two revisions side by side: to one scale, with the few numbers that decide."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import GUYED, ROOF
from calc.units import show
from journal.book.shown import remembered
from journal.publish.figures.board import LINE, WIDE, PointSheet, wrapped
from journal.publish.figures.canvas import DARK, INK, MIDDLE, SOFT, Picture
from journal.publish.figures.site import PERSON
from journal.publish.numbers import NOT_KNOWN, MachineTold

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: Height of the drawing above the numbers, of its words, and of one number with its bar. [points]
_DRAWN, _HEAD, _ROW = 210.0, 2 * LINE + 10.0, 2 * LINE + 24.0
_MIDDLE, _EDGE = WIDE / 2, 14.0


@dataclass(frozen=True)
class DecidingNumber:
    """One number of two machines: what it is, how each is written, and how long each bar is, none where not known."""

    what: str
    said: tuple[str, str]
    size: tuple[float | None, float | None] = (None, None)


@dataclass(frozen=True)
class Shape:
    """What a machine looks like from afar: lengths in [m]."""

    ref: str
    across: float
    height: float
    building: float
    guyed: bool


@remembered(2)
def machines(of: tuple[MachineTold, ...]) -> Picture | None:
    """Two revisions side by side; None unless there are two that differ, with rotor and height on both sheets.

    Parameters
    ----------
    of : tuple of MachineTold
        The older and the newer.
    """
    if len(of) != 2:
        return None
    shapes = [s for m in of if (s := _shape(m)) is not None]
    if len(shapes) < 2:
        return None
    rows = _rows(*of)
    if _alike(shapes, rows):
        return None
    refs = [m.ref for m in of]
    told = [f"{row.what}: {row.said[0]} against {row.said[1]}." for row in rows]
    seen = [_seen(s) for s in shapes]
    alt = f"Both machines to one scale, a person between them. By their sizes {', and '.join(seen)}. "
    return Picture(
        f"machines-{refs[1]}", f"{refs[0]} and {refs[1]} to one scale",
        alt + " ".join(t[0].upper() + t[1:] for t in told),
        partial(_draw, shapes, rows),
    )  # fmt: skip


def _alike(shapes: list[Shape], rows: list[DecidingNumber]) -> bool:
    """Whether nothing that is drawn or written tells the one from the other."""
    one, two = (replace(s, ref="") for s in shapes)
    return one == two and all(row.said[0] == row.said[1] for row in rows)


def _seen(s: Shape) -> str:
    """What a machine looks like, in words."""
    on = f", on a building of {show(s.building, 'm')}" if s.building else ""
    return f"{s.ref} is {show(s.across, 'm')} across, its centre {show(s.height, 'm')} up{on}"


def _shape(m: MachineTold) -> Shape | None:
    said = m.system.design.get
    across, height = said(Sheet.rotor.diameter), said(Sheet.mast.height)
    if across is None or height is None:
        return None
    kind = said(Sheet.mast.kind)
    building = said(Sheet.mast.building_height) if kind == ROOF else None
    return Shape(m.ref, float(across), float(height), float(building or 0.0), kind == GUYED)


def _rows(one: MachineTold, two: MachineTold) -> list[DecidingNumber]:
    """The numbers that decide, those left out of which neither is known."""
    rows = [
        _row("charging begins in", [m.charging for m in (one, two)], "m/s"),
        _row("generator", [_said(m, Sheet.generator.emf_constant) for m in (one, two)], "rpm/V"),
        _row("battery", [_said(m, Sheet.storage.voltage) for m in (one, two)], "V"),
        _row("into the battery a year, computed", [m.yearly for m in (one, two)], "kWh"),
        DecidingNumber("held back in a storm by", (one.held, two.held)),
    ]
    return [r for r in rows if set(r.said) != {NOT_KNOWN}]


def _row(what: str, values: list[float | None], unit: str) -> DecidingNumber:
    said = [NOT_KNOWN if v is None else show(v, unit, 2) if np.isfinite(v) else "never" for v in values]
    # Of turns per volt a greater number is a slower machine: bars are as long as what is written.
    size = [None if v is None or not np.isfinite(v) else float(show(v, unit, 6).split()[0]) for v in values]
    return DecidingNumber(what, (said[0], said[1]), (size[0], size[1]))


def _said(m: MachineTold, entry: Any) -> float | None:
    value = m.system.design.get(entry)
    return None if value is None else float(value)


def _draw(shapes: list[Shape], rows: list[DecidingNumber]) -> Figure:
    texts = [[wrapped(said, _MIDDLE - 2 * _EDGE, bold=True, most=2) for said in row.said] for row in rows]
    extra = [LINE * (max(map(len, t)) - 1) for t in texts]
    board = PointSheet(_HEAD + _DRAWN + 12.0 + sum(extra) + _ROW * len(rows))
    ground = _HEAD + _DRAWN
    tallest = max(max(s.height + s.across / 2, s.building, PERSON) for s in shapes)
    widest = max(max(s.across, s.building, s.height if s.guyed else 0.0) for s in shapes)
    scale = min(_DRAWN / tallest, 0.42 * WIDE / widest)
    for i, s in enumerate(shapes):
        x = WIDE * (0.25 + 0.5 * i)
        board.words(x, 3.0, s.ref, bold=True, ha="center", color=_colour(i))
        board.words(x, 3.0 + LINE, f"{show(s.across, 'm')} across", ha="center")
        _machine(board, s, x, ground, scale, _colour(i))
    _person(board, _MIDDLE, ground, scale)
    board.line((_EDGE / 2, ground), (WIDE - _EDGE / 2, ground))
    y = ground + 10.0
    for row, lines, more in zip(rows, texts, extra, strict=True):
        _numbers(board, y, row, lines)
        y += _ROW + more
    return board.figure


def _colour(i: int) -> str:
    return DARK if i else MIDDLE


def _numbers(board: PointSheet, y: float, row: DecidingNumber, lines: list[list[str]]) -> None:
    """One number of both, each with its bar growing away from the middle."""
    board.words(_MIDDLE, y, row.what, ha="center", color=SOFT)
    known = [v for v in row.size if v]
    for i, (size, text) in enumerate(zip(row.size, lines, strict=True)):
        side = 1 if i else -1
        beside = _MIDDLE + side * _EDGE
        board.words(beside, y + LINE, text, bold=True, ha="left" if i else "right")
        if size and known:
            long = (_MIDDLE - 2 * _EDGE) * size / max(known)
            left = beside if i else beside - long
            board.box(left, y + 2 * LINE + 4.0, long, 9.0, facecolor=DARK if i else "white", edgecolor=_colour(i),
                      hatch=None if i else "////", linewidth=1.2)  # fmt: skip


def _machine(board: PointSheet, s: Shape, x: float, ground: float, scale: float, colour: str) -> None:
    """A machine from the front: building, mast, guys, and a rotor that turns."""
    hub, radius = ground - s.height * scale, s.across * scale / 2
    if s.building:
        half, eaves, ridge = 0.5 * s.building * scale, ground - 0.6 * s.building * scale, ground - s.building * scale
        outline = [(x - half, ground), (x - half, eaves), (x, ridge), (x + half, eaves), (x + half, ground)]
        board.area(*outline, facecolor="#ececec", edgecolor=SOFT, zorder=1)
    if s.guyed:
        for side in (-1, 1):
            away = x + side * 0.5 * s.height * scale
            board.line((x, ground - 0.75 * s.height * scale), (away, ground), color=SOFT, linewidth=1.0)
    foot = ground - 0.8 * s.building * scale
    board.line((x, foot), (x, hub), color=colour, linewidth=4.0, zorder=2, solid_capstyle="butt")
    board.circle(x, hub, radius, facecolor="none", edgecolor=colour, linewidth=1.2)
    for turn in (90.0, 210.0, 330.0):
        tip = x + radius * np.cos(np.radians(turn)), hub - radius * np.sin(np.radians(turn))
        board.line((x, hub), tip, color=colour, linewidth=3.2, zorder=4)


def _person(board: PointSheet, x: float, ground: float, scale: float) -> None:
    tall = PERSON * scale
    board.line((x, ground - 0.45 * tall), (x, ground - 0.82 * tall), linewidth=max(0.09 * tall, 1.2))
    for side in (-1, 1):
        board.line((x, ground - 0.47 * tall), (x + side * 0.11 * tall, ground), linewidth=max(0.06 * tall, 1.0))
        board.line((x, ground - 0.78 * tall), (x + side * 0.15 * tall, ground - 0.48 * tall),
                   linewidth=max(0.05 * tall, 0.8))  # fmt: skip
    board.circle(x, ground - 0.92 * tall, 0.08 * tall, facecolor=INK)
