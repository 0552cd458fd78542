"""The electrical side as a whole: its diagram, and the battery through the years."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, session
from journal.cli.options import Began, DayOrder, Json, Mapped, OfRevision, Zone


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("What if", diagram, years)


def diagram(
    revision: OfRevision = None,
    as_json: Json = False,
) -> None:
    """Draw the one-line diagram from generator to house, in plain text.

    Example: galebook diagram r2
    """
    from journal.review import electric
    from journal.screens.diagram import show_diagram

    with session() as s:
        show_diagram(electric.diagram(s, revision), as_json)


def years(
    revision: OfRevision = None,
    count: Annotated[
        int | None,
        typer.Option(
            "--years", help="Years of made-up weather, 1 to 200; else logged hours if a year is, or 20 years."
        ),
    ] = None,
    wind: Annotated[
        Path | None,
        typer.Option("--wind", metavar="FILE", help="Measured winds instead: with times, or a row for each hour."),
    ] = None,
    daily: Annotated[bool, typer.Option("--daily", help="Each row of the file is a day, not an hour.")] = False,
    height: Annotated[
        str | None,
        typer.Option("--height", help="Height at which they were measured; else by its head, or at the rotor."),
    ] = None,
    mapped: Mapped = None,
    zone: Zone = None,
    days: DayOrder = None,
    began: Began = None,
    as_json: Json = False,
) -> None:
    """Take machine, battery and loads through years of wind, hour by hour.

    Example: galebook years r2 --years 20
    """
    from journal.book.written import word
    from journal.review import electric
    from journal.review.hourly_winds import WindFileTyped
    from journal.screens.years import show_years

    order = word(days, ("day-first", "month-first"), "--days")
    typed = WindFileTyped(mapped or [], zone, order, tuple(began or ()), daily)
    with session() as s:
        found = electric.years(s, revision, count, wind, typed=typed, height=height, tell=_progress())
        show_years(found, as_json)


def _progress() -> Callable[[float], None] | None:
    """What tells a person at the terminal how far it is, once it takes longer than a second."""
    if not sys.stderr.isatty():
        return None
    began = last = time.monotonic()

    def tell(share: float) -> None:
        nonlocal last
        now = time.monotonic()
        if share >= 1.0:
            # Wipe what was told, if anything was.
            sys.stderr.write("\r" + " " * 40 + "\r" if last > began else "")
        elif now - began > 1.0 and now - last > 0.1:
            last = now
            sys.stderr.write(f"\rThrough the years: {share:.0%} ")
        sys.stderr.flush()

    return tell
