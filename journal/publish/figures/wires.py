"""Picture of the wiring: the one-line diagram from generator to house, with its numbers and its weak spots."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from calc.finding import Finding, Status
from calc.machine.design import Design
from journal.book.shown import remembered, written
from journal.publish.figures.board import LINE, WIDE, PointSheet, width, wrapped
from journal.publish.figures.canvas import DARK, INK, LIGHT, MIDDLE, SOFT, Picture, plain
from journal.publish.numbers import MachineTold
from journal.review.wired import Hung, everything

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: Where the line runs, where a branch ends, where words begin, half a symbol, and the room between two devices.
_LINE, _BRANCH, _WORDS, _HALF, _GAP = 22.0, 64.0, 90.0, 13.0, 8.0
#: How a weak spot is marked: its sign and its colour.
_SIGNS = {Status.DANGER: ("✖", INK), Status.FAIL: ("■", "#8a5300"), Status.UNKNOWN: ("?", INK),
          Status.MARGINAL: ("▲", SOFT)}  # fmt: skip


def wiring(machine: MachineTold, findings: Sequence[Finding], told: Design | None = None) -> Picture | None:
    """The wiring of a revision; None where the sheet says nothing of generator and battery.

    Parameters
    ----------
    machine : MachineTold
        A revision.
    findings : sequence of Finding
        What its checks say.
    told : Design, optional
        The sheet as the reader may have it, its labels among them; else the whole one.
    """
    hung = everything(machine.system, findings, told)
    return _pictured(machine.ref, tuple(hung)) if hung else None


@remembered(4)
def _pictured(ref: str, hung: tuple[Hung, ...]) -> Picture:
    told = []
    for h in hung:
        facts = f" ({', '.join(h.facts)})" if h.facts else ""
        told.append(f"{h.name}{facts}{''.join(f'; {w.words}' for w in h.weak)}")
    return Picture(
        f"wiring-{ref}",
        f"How {ref} is wired",
        f"One line from the generator down to the house. {'. '.join(told)}.",
        partial(_draw, hung),
    )


def _draw(hung: Sequence[Hung]) -> Figure:
    blocks = [_lines(h) for h in hung]
    high = [max(LINE * sum("beside" not in how for _, how in b), 2 * _HALF) + _GAP for b in blocks]
    board = PointSheet(sum(high) + 2 * _GAP)
    y, middles = _GAP, []
    for block, tall in zip(blocks, high, strict=True):
        middles.append(y + LINE / 2 + 2.0)
        down = y
        for line, how in block:
            beside = float(how.get("beside", 0.0))
            board.words(_WORDS + beside, down - (LINE if beside else 0.0), line,
                        **{k: v for k, v in how.items() if k != "beside"})  # fmt: skip
            down += 0.0 if beside else LINE
        y += tall
    in_line = [m for h, m in zip(hung, middles, strict=True) if h.device.kind != "earth"]
    board.line((_LINE, in_line[0]), (_LINE, in_line[-1]), zorder=1)
    for h, middle in zip(hung, middles, strict=True):
        _symbol(board, h, middle)
    return board.figure


def _lines(h: Hung) -> list[tuple[str, dict[str, Any]]]:
    """The words beside a device: its name, its facts, its weak spots."""
    wide = WIDE - _WORDS - 6.0
    lines: list[tuple[str, dict[str, Any]]] = [
        (line, {"bold": True}) for line in wrapped(h.name, wide, bold=True, most=2)
    ]
    if h.facts:
        lines = _run_on(lines, h, wide)
    for w in h.weak:
        sign, colour = _SIGNS[w.status]
        bold = w.status is not Status.MARGINAL
        text = wrapped(f"{sign} {w.words}", wide, bold=bold, most=2)
        lines += [(line, {"bold": bold, "color": colour}) for line in text]
    if h.more:
        lines.append((f"and {h.more} more", {"bold": True}))
    return lines


def _run_on(named: list[tuple[str, dict[str, Any]]], h: Hung, wide: float) -> list[tuple[str, dict[str, Any]]]:
    """The facts of a device behind its name, and on lines below it as far as there is no room."""
    facts, beside = plain(written(", ".join(h.facts)), 400), width(f"{h.name}: ", bold=True)
    room = wide - beside
    # A line begun with a word that has no room would be cut within it.
    first = wrapped(facts, room, most=99)[0] if room > 0 and width(facts.split(" ")[0]) <= room else ""
    if len(named) > 1 or not first or not facts.startswith(first):
        return [*named, *((line, {}) for line in wrapped(facts, wide))]
    rest = facts[len(first) :].strip()
    below = wrapped(rest, wide, most=3) if rest else []
    return [(f"{h.name}:", {"bold": True}), (first, {"beside": beside}), *((line, {}) for line in below)]


def _symbol(board: PointSheet, h: Hung, y: float) -> None:
    """What stands on the line, or at the end of a branch; a gap in the line where something is lacking."""
    device, x = h.device, _LINE
    if device.kind == "earth":
        _square(board, x, y, lacking=True) if h.lacking else _earth(board, x, y)
        return
    if device.branch:
        x = _BRANCH
        board.line((_LINE, y), (x, y), linestyle=(0, (2, 2)) if h.lacking else "-", zorder=1)
        board.circle(_LINE, y, 3.5, facecolor=INK)
    elif any(w.status is not Status.MARGINAL for w in h.weak):
        board.line((_LINE + _HALF, y), (_WORDS - 8.0, y), color=MIDDLE, linewidth=1.4, linestyle=(0, (1, 2)), zorder=1)
    own = device.kind == "main fuse" and device.lacking and not h.lacking
    (_cable if own else _SYMBOLS.get(device.kind, _square))(board, x, y, lacking=h.lacking)


def _square(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    if lacking:
        board.box(x - _HALF, y - _HALF, 2 * _HALF, 2 * _HALF, linestyle=(0, (2, 2)))
        board.line((x - 7, y - 7), (x + 7, y + 7), zorder=4)
        board.line((x - 7, y + 7), (x + 7, y - 7), zorder=4)
    else:
        board.box(x - _HALF, y - _HALF, 2 * _HALF, 2 * _HALF, facecolor=LIGHT, edgecolor=DARK)


def _turning(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    board.circle(x, y, _HALF + 3.0, facecolor=LIGHT, edgecolor=DARK)
    some = np.linspace(-1.0, 1.0, 21)
    board.line(*((x + 9 * t, y - 6 * np.sin(np.pi * t)) for t in some), color=DARK, zorder=4)


def _fused(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    if lacking:
        _square(board, x, y, lacking=True)
        return
    board.box(x - 7, y - _HALF, 14, 2 * _HALF, edgecolor=DARK)
    board.line((x, y - _HALF), (x, y + _HALF), color=DARK, zorder=4)


def _switched(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    if lacking:
        _square(board, x, y, lacking=True)
        return
    board.box(x - 4, y - _HALF + 2, 16, 2 * _HALF - 4, facecolor="white", edgecolor="white", zorder=2)
    board.line((x, y + _HALF - 2), (x + 11, y - _HALF + 4), zorder=4, linewidth=2.4)
    for end in (-1, 1):
        board.circle(x, y + end * (_HALF - 2), 3.0, facecolor=INK)


def _rectifier(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    _square(board, x, y, lacking=False)
    board.area((x - 7, y - 6), (x + 7, y - 6), (x, y + 6), facecolor=DARK, edgecolor=DARK, zorder=4)
    board.line((x - 7, y + 6), (x + 7, y + 6), color=DARK, zorder=4)


def _cells(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    board.box(x - _HALF, y - 9, 2 * _HALF, 18, facecolor="white", edgecolor="white", zorder=2)
    for i, (half, thick) in enumerate(((15, 1.8), (8, 4.0), (15, 1.8), (8, 4.0))):
        board.line((x - half, y - 9 + 6 * i), (x + half, y - 9 + 6 * i), linewidth=thick, color=DARK, zorder=4)


def _cable(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    board.line((x, y - _HALF), (x, y + _HALF), linewidth=4.5, color=INK, zorder=2, solid_capstyle="butt")


def _burnt(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    if lacking:
        _square(board, x, y, lacking=True)
        return
    board.box(x - 9, y - _HALF, 18, 2 * _HALF, edgecolor=DARK, hatch="///", linewidth=1.2)


def _lit(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    board.circle(x, y, _HALF - 2.0, facecolor="white", edgecolor=DARK)
    for side in (-1, 1):
        board.line((x - 7.5, y - 7.5 * side), (x + 7.5, y + 7.5 * side), color=DARK, zorder=4)


def _asked(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    board.box(x - _HALF, y - _HALF, 2 * _HALF, 2 * _HALF, linestyle=(0, (2, 2)))
    board.words(x - width("?") / 2, y - LINE / 2, "?")


def _house(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    outline = [(-12, 13), (-12, -2), (0, -14), (12, -2), (12, 13)]
    board.area(*((x + a, y + b) for a, b in outline), facecolor=LIGHT, edgecolor=DARK, linewidth=1.8, zorder=3)


def _earth(board: PointSheet, x: float, y: float) -> None:
    board.line((x, y - _HALF), (x, y - 2))
    for i, half in enumerate((13, 9, 5)):
        board.line((x - half, y - 2 + 5 * i), (x + half, y - 2 + 5 * i), linewidth=2.2)


def _alternating(board: PointSheet, x: float, y: float, *, lacking: bool) -> None:
    _square(board, x, y, lacking=False)
    some = np.linspace(-1.0, 1.0, 21)
    board.line(*((x + 8 * t, y - 5 * np.sin(np.pi * t)) for t in some), color=DARK, zorder=4)


_SYMBOLS: dict[str, Callable[..., None]] = {
    "generator": _turning,
    "fuse": _fused,
    "main fuse": _fused,
    "switch": _switched,
    "battery switch": _switched,
    "brake": _switched,
    "rectifier": _rectifier,
    "battery": _cells,
    "cable": _cable,
    "neutral": _cable,
    "dump": _burnt,
    "house": _house,
    "inverter": _alternating,
    "loads": _lit,
    "fed": _asked,
}
