"""The battery through the years."""

from __future__ import annotations

import math
from typing import Any

from calc.units import show
from calc.wording import number_of
from journal.review.electric import Range, Years
from journal.screens.terminal import Terminal, plain, revision_title, screen

#: Columns of the longest bar where there is room, and of what stands beside it.
BAR, BESIDE_BAR = 40, 22

#: Days of the year to which the depths are brought.
DAYS = 365


def _data(found: Years) -> dict[str, Any]:
    return {**plain(found), "revision": found.revision.ref}


@screen(_data)
def show_years(out: Terminal, found: Years) -> None:
    """How much of the demand was met, the dark spells, how deep the battery was used, and what it comes to."""
    out.title(revision_title(found.revision))
    many = number_of(found.years, "year") if found.days is None else number_of(found.days, "day")
    out.line(f"{many} of wind, {found.weather}, {show(found.mean_wind, 'm/s', 2)} on average at the rotor.")
    for note in found.notes:
        out.line(note)
    out.table(*_table(found, many))
    which = "Days of a year" if found.days is None else "These days"
    out.heading(f"{which} by how far the usable part of the battery was emptied")
    depth = [d * (found.days or DAYS) / DAYS for d in found.depth]
    top = max(depth) or 1.0
    longest = min(BAR, out.width - BESIDE_BAR)
    for tenth, days in enumerate(depth):
        bar = "#" * math.ceil(longest * days / top) if round(days) else ""
        out.line(f"  {10 * tenth:>3} to {10 * tenth + 10:>3} %  {bar} {days:.0f}".rstrip())
    out.line("Gusts within an hour are not seen, and the battery is taken to be the same in all seasons.")
    if found.ready < 1.0:
        off = show(1.0 - found.ready, "%", 2)
        out.line(f"Here it runs in every hour; check and power take off {off} of the year for stops and repairs.")
    out.line()
    out.line(found.conclusion.says, "bold")


def _table(found: Years, many: str) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Heads and rows: how years differ is told only of more than one."""
    if found.years > 1:
        return ("In a year", "Usual year", "In 8 of 10 years"), list(_rows(found))
    return (f"In {'that year' if found.days is None else 'that day' if found.days == 1 else f'these {many}'}", ""), [
        r[:2] for r in _rows(found)
    ]


def _rows(found: Years) -> list[tuple[str, str, str]]:
    return [
        (name, _yearly(spread.middle, unit), _between(spread, unit))
        for name, spread, unit in (
            ("Share of the demand met", found.met, "%"),
            ("Hours without full supply", found.unmet, "h"),
            ("Longest dark spell", found.dark, "days"),
            ("Energy that came to the battery", found.generated, "kWh"),
            ("Energy the loads asked for", found.demanded, "kWh"),
            ("Energy into the dump load", found.dumped, "kWh"),
            ("Energy neither could take", found.refused, "kWh"),
            ("Full cycles of the usable part", found.cycles, ""),
        )
    ]


def _between(spread: Range, unit: str) -> str:
    ends = [_yearly(v, unit) for v in (spread.low, spread.high)]
    return ends[0] if ends[0] == ends[1] else f"{ends[0].removesuffix(f' {unit}')} to {ends[1]}"


def _yearly(value: float, unit: str) -> str:
    # Shares near the whole need their third figure, for what is missing is what counts.
    return show(value, unit, 3 if unit == "%" and value > 0.9 else 2)
