"""What the machine does in each wind."""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator, Sequence
from typing import Any

from calc.machine.system import KeyFigure
from calc.units import digits, show, show_up, to_shown
from journal.review.explore import PowerCurve
from journal.review.wording import figure_data, range_text, sampling_text
from journal.screens.power_plots import can_show_blocks, plot_power, plot_torques
from journal.screens.terminal import Terminal, revision_title, screen

#: Each with its unit below, for so many columns do not fit beside each other otherwise.
_COLUMNS = (
    "Wind\nm/s", "Speed\nrpm", "Tip\nratio", "Rotor\nW", "Drag\nW", "Winding\nW", "Diodes\nW", "Cable\nW",
    "Battery\nW", "Dump\nW", "Current\nA",
)  # fmt: skip
#: Those that stay where there is no room for all of them, and how wide these are.
_FIRST = ("Wind", "Speed", "Rotor", "Battery", "Lamps", "Current")
_ALL_ROOM = 80
_SHARES = ("rotor", "drag", "copper", "diodes", "cable", "battery", "dump")


def _data(curve: PowerCurve) -> dict[str, Any]:
    return {
        "revision": curve.revision.ref,
        "figures": [figure_data(f) for f in curve.figures],
        "sampling": curve.sampling,
        "curve": [{"wind_speed": v, **row} for v, row in zip(curve.winds, curve.rows, strict=True)],
        "forked": curve.forked,
        "burns": curve.burns,
        "conclusion": curve.conclusion,
    }


@screen(_data)
def show_power(out: Terminal, curve: PowerCurve) -> None:
    """Key figures with their ranges, where the power goes in each wind, and the curves as small plots."""
    out.title(revision_title(curve.revision))
    known = curve.sampling is not None and curve.sampling.enough
    out.table(("", "Computed", "In 90 of 100 ways"), (_figure(f, known) for f in curve.figures))
    if text := sampling_text(curve.sampling):
        out.line(text)
    out.heading("In each wind, once it runs")
    columns = [c.replace("Battery", "Lamps") for c in _COLUMNS] if curve.lamps else _COLUMNS
    kept = _kept(columns, rows := list(_winds(curve)), out.width)
    out.table([columns[at] for at in kept], ([row[at] for at in kept] for row in rows))
    if out.width < _ALL_ROOM:
        out.line(f"What each part loses is shown from {_ALL_ROOM} columns on.")
    if curve.burns is not None:
        out.line(f"In {show(curve.burns, 'm/s')} and more the winding burns out: nothing computed for it holds there.")
    if curve.stopped is not None and curve.limit is not None:
        ends = "" if math.isinf(curve.stopped) else f" and lies at its stop from {show(curve.stopped, 'm/s')} on"
        out.line(f"From {show(curve.limit, 'm/s')} on the tail folds{ends}, by its own moments; rows beyond have it.")
    elif curve.limit is not None:
        out.line(f"From {show(curve.limit, 'm/s')} on the rotor is held back; the last row is taken to hold above it.")
    if curve.forked:
        low, high = digits(min(curve.forked), 2), digits(max(curve.forked), 2)
        there = f"From {low} to {high} m/s" if low != high else f"In {low} m/s"
        out.line(f"{there} a rotor that comes from standstill stays slower than shown.")
    for draw in (plot_power, plot_torques):
        for line in draw(curve, blocks=can_show_blocks(sys.stdout), width=out.width) or ():
            out.unfolded(line)
    out.line()
    out.line(curve.conclusion.says, "bold")


def _kept(columns: Sequence[str], rows: list[tuple[str, ...]], width: int) -> list[int]:
    """Columns that are shown: without those of noughts alone, and on a narrow screen those that decide."""
    told = [at for at in range(len(columns)) if any(row[at] != "0" for row in rows)]
    if width >= _ALL_ROOM:
        return told
    return [at for at in told if columns[at].partition("\n")[0] in _FIRST]


def _figure(f: KeyFigure, known: bool) -> tuple[str, str, str]:
    between = "no doubt moves it" if known else "not known"
    if not math.isnan(f.low):
        between = range_text(f.low, f.high, f.unit)
    # What warns is told as the checks and the pages tell it, never as less.
    warns = f.name == "free_voltage" and math.isfinite(f.value)
    return f.meaning, show_up(f.value, f.unit, 2) if warns else _figure_text(f.value, f.unit, 2), between


def _figure_text(value: float, unit: str, figures: int) -> str:
    return "never" if math.isinf(value) else show(value, unit, figures)


def _winds(curve: PowerCurve) -> Iterator[tuple[str, ...]]:
    """Whole winds, up to the first in which the rotor is held back, or lies with its tail at the stop."""
    held = curve.limit if curve.stopped is None else min(curve.stopped, curve.winds[-1])
    last = math.inf if held is None else held + 0.99
    for v, r in zip(curve.winds, curve.rows, strict=True):
        if v == int(v) and v <= last:
            # What a belt loses stands with the drag, for most machines have none.
            told = r | {"drag": r["drag"] + r["drive"]}
            shares = (_short(told[k]) for k in (*_SHARES, "current"))
            yield f"{v:g}", _short(float(to_shown(r["omega"], "rpm"))), digits(r["tsr"], 2), *shares


def _short(value: float) -> str:
    return digits(value, 2) if value >= 0.05 else "0"
