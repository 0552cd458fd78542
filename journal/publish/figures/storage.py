"""Picture of the battery through the worst week of a made-up year."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from calc.physics.storage_time import Array, Hours
from calc.units import show
from calc.wording import number_of
from journal.book.shown import remembered
from journal.publish.figures.canvas import DARK, FAINT, INK, LIGHT, MIDDLE, Picture, label, sheet
from journal.publish.numbers import MachineTold

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WEEK = 7 * 24


@remembered(2)
def week(machine: MachineTold) -> Picture | None:
    """The battery through the worst week of a made-up year: charge, power from the wind, loads.

    Parameters
    ----------
    machine : MachineTold
        A revision.

    Returns
    -------
    picture : Picture or None
        None where wind, battery or loads are not on the sheet.
    """
    year = machine.year
    if year is None or year.energy <= 0:
        return None
    first = year.worst(WEEK)
    part = slice(first, first + WEEK)
    stored = year.stored[first : first + WEEK + 1] / year.energy
    wanting = int(np.count_nonzero(year.unmet[part]))
    ref = machine.ref
    came, asked = (show(float(np.mean(x[part])), "W", 2) for x in (year.generated, year.demanded))
    begin, least = (show(float(x), "%", 2) for x in (stored[0], stored.min()))
    less = (
        f"for {number_of(wanting, 'hour')} the loads get less than they need" if wanting else "the loads lack nothing"
    )
    return Picture(
        f"week-{ref}",
        f"The worst week of a made-up year, {ref}",
        f"The worst week of a year of made-up weather at {ref}: {came} come from the wind on average and {asked} are "
        f"asked for. The usable part of the battery, {show(year.energy, 'Wh', 2)}, is {begin} full at the beginning "
        f"and {least} at its lowest; {less}.",
        partial(_week, year, first, stored),
    )


def _week(year: Hours, first: int, stored: Array) -> Figure:
    figure, (above, below) = sheet(5.6, 2, sharex=True)
    days = np.arange(WEEK + 1) / 24.0
    part = slice(first, first + WEEK)
    came, asked = (np.append(x[part], x[part][-1]) for x in (year.generated, year.demanded))
    short = np.flatnonzero(year.unmet[part])
    above.fill_between(days, came, step="post", facecolor=LIGHT, edgecolor=DARK, linewidth=1.2)
    above.plot(days, asked, drawstyle="steps-post", color=MIDDLE, linewidth=2)
    at = int(np.argmax(came[:-1]))
    label(above, days[at], came[at], "wind", xytext=(0, 9), ha="center" if 12 < at < 156 else "left", color=DARK)
    at = int(np.argmax(asked[:-1] - came[:-1]))
    label(above, days[at], asked[at], "loads", xytext=(4, 9), ha="left" if at < 140 else "right")
    above.set_ylim(0, 1.25 * max(float(came.max()), float(asked.max()), 1.0))
    above.set_title("power, W", loc="left")
    below.fill_between(days, 100 * stored, facecolor=LIGHT, edgecolor=DARK, linewidth=1.8)
    if len(short):
        # An area between points would lose the last hour of each stretch, and an hour that stands alone.
        below.broken_barh([(days[i], 1 / 24) for i in short], (-14, 11), facecolor=INK, edgecolor=INK, linewidth=0.4)
        at = int(short[0])
        label(below, days[at], 0, "loads go short", xytext=(0, 9), ha="left" if at < 120 else "right")
    below.set_ylim(-16 if len(short) else 0, 105)
    below.set_yticks([0, 50, 100], ["0", "50", "100 %"])
    below.set_title("in the usable part of the battery", loc="left")
    below.set_xlim(0, 7)
    below.set_xticks(np.arange(7) + 0.5, [f"day {i}" for i in range(1, 8)])
    below.tick_params(axis="x", length=0)
    for axes in (above, below):
        for day in range(1, 7):
            axes.axvline(day, color=FAINT, linewidth=0.8, zorder=0)
    return figure
