"""Small pictures of many readings of one quantity in one attempt, in the order in which they were taken."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from calc.quantities import QUANTITIES
from calc.units import to_shown
from journal.publish.figures.canvas import DARK, LIGHT, Picture, sheet
from journal.publish.story import Chapter, Tried
from journal.review.series import Series, series_text
from journal.review.wording import lower_first

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def series(chapters: tuple[Chapter, ...]) -> list[Picture]:
    """One small picture for each series of readings in an attempt.

    Parameters
    ----------
    chapters : tuple of Chapter
        Revisions, with what was tried on them.
    """
    return [_picture(t, s) for c in chapters for t in c.tried for s in t.series if len(s.trace) > 1]


def picture_of(t: Tried, s: Series) -> str:
    """Name of the picture of a series."""
    words = [t.attempt.ref, s.quantity.replace(".", "-").replace("_", "-"), (s.load_state or "").replace(" ", "-")]
    return "-".join(filter(None, ["series", *words]))


def _picture(t: Tried, s: Series) -> Picture:
    q = QUANTITIES[s.quantity]
    return Picture(
        picture_of(t, s),
        f"{q.meaning} in {t.attempt.ref}, {s.first} to {s.last}",
        f"{q.meaning}, reading by reading. {series_text(s)}",
        partial(_draw, s),
    )


def _draw(s: Series) -> Figure:
    q = QUANTITIES[s.quantity]
    figure, (axes,) = sheet(2.2)
    low, middle, high = ([float(to_shown(step[i], q.shown)) for step in s.trace] for i in range(3))
    places = range(len(s.trace))
    axes.fill_between(places, low, high, facecolor=LIGHT, edgecolor="none")
    axes.plot(places, middle, color=DARK)
    axes.set_title(f"{lower_first(q.meaning)}, {q.shown}", loc="left")
    axes.set_xticks([0, len(s.trace) - 1], [s.first, s.last])
    axes.margins(x=0.02)
    return figure
