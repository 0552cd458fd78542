"""Picture of how a failure came about: each step with its number, and between them what was not there."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from journal.book.shown import remembered
from journal.publish.chain import Chain, Link, in_words
from journal.publish.figures.board import LINE, WIDE, PointSheet, wrapped
from journal.publish.figures.canvas import DARK, INK, LIGHT, MIDDLE, SIZE, SOFT, Picture

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: Left edge and width of the steps, where what stands beside them begins, room around words, and room of an arrow.
_LEFT, _STEP, _BESIDE, _PAD, _GAP = 8.0, 286.0, 312.0, 9.0, 40.0


@remembered(16)
def cause(of: Chain) -> Picture:
    """How a failure came about, from the first step to the last.

    Parameters
    ----------
    of : Chain
        See :func:`journal.publish.chain.chain`.
    """
    return Picture(f"chain-{of.ref}", f"How {of.ref} came about", in_words(of), partial(_draw, of))


def _draw(of: Chain) -> Figure:
    steps = [_lines(link) for link in of.links]
    beside = [_guards(link) for link in of.links]
    gaps = [max(_GAP, LINE * len(words) + 10.0) for words, _ in beside]
    high = [LINE * (len(what) + len(number)) + 2 * _PAD for what, number in steps]
    people = wrapped(of.people, WIDE - _BESIDE - 6.0)
    whole = sum(high) + sum(gaps[1:]) + 2 * _PAD + max(0.0, LINE * len(people) - high[-1])
    board, y = PointSheet(whole), _PAD
    for i, (link, (what, number)) in enumerate(zip(of.links, steps, strict=True)):
        if i:
            _between(board, y, gaps[i], *beside[i])
            y += gaps[i]
        board.box(_LEFT, y, _STEP, high[i], facecolor=LIGHT if link.harm else "white", edgecolor=DARK)
        middle = _LEFT + _STEP / 2
        down = board.words(middle, y + _PAD - 1.0, what, bold=True, ha="center", zorder=4)
        board.words(middle, down, number, ha="center", zorder=4, color=INK if link.harm else SOFT)
        y += high[i]
    if people:
        board.words(_BESIDE, y - high[-1] / 2 - LINE * min(len(people), 2) / 2, people)
    return board.figure


def _lines(link: Link) -> tuple[list[str], list[str]]:
    inside = _STEP - 2 * _PAD
    return wrapped(link.what[:1].upper() + link.what[1:], inside, bold=True), wrapped(link.number, inside, most=2)


def _guards(link: Link) -> tuple[list[str], bool]:
    """What stood, or did not, before a step, as lines; and whether it was there."""
    found = [f"{'there, no help' if g.there else 'missing'}: {g.words}" for g in link.guards]
    lines = [line for words in found for line in wrapped(words, WIDE - _BESIDE - 6.0)]
    return lines, any(g.there for g in link.guards)


def _between(board: PointSheet, y: float, gap: float, words: list[str], there: bool) -> None:
    """The arrow to the next step, and across it what did not stop it."""
    x = _LEFT + _STEP / 2
    board.arrow(x, y, y + gap)
    if words:
        middle = y + gap / 2
        how = {"color": SOFT, "linestyle": "-"} if there else {"color": MIDDLE, "linestyle": (0, (4, 1.6))}
        board.line((x - 60.0, middle), (_BESIDE - 6.0, middle), linewidth=3.2, solid_capstyle="butt", **how)
        board.words(_BESIDE, middle - LINE * len(words) / 2 - 0.05 * SIZE, words)
