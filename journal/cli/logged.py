"""What loggers wrote: the measured power curve, and the wind alone."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, meant, say, session
from journal.cli.options import Json, OfRevision, On


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Checking", curve, wind)


def curve(
    revision: OfRevision = None,
    whole: Annotated[bool, typer.Option("--all", help="Every bin, and a year in every mean wind.")] = False,
    picture: Annotated[
        Path | None, typer.Option("--to", metavar="FILE", help="Write the picture there too, as .svg or .png.")
    ] = None,
    over: Annotated[bool, typer.Option("--over", help="Replace a file of that name that somebody else made.")] = False,
    as_json: Json = False,
) -> None:
    """Show the measured power curve beside the computed one and the claims.

    Example: galebook curve r2
    """
    from journal.book.places import place_of
    from journal.book.safe_files import OwnFiles
    from journal.publish.figures.measured import write_picture
    from journal.review import logged
    from journal.screens.curve import show_curve

    with session() as s:
        found = logged.curve(s, revision)
        if picture is not None:
            write_picture(found, picture, OwnFiles(place_of(meant.journal), "Name another file with --to"), over=over)
            say(f"Wrote {picture}")
        show_curve(found, as_json, whole=whole)


def wind(
    revision: Annotated[
        str | None, typer.Argument(help="Revision, e.g. r2, or site; else where most was logged.")
    ] = None,
    height: Annotated[
        str | None, typer.Option("--height", help='Height of the cup, e.g. "8 m", where the logger has none.')
    ] = None,
    station: Annotated[
        str | None, typer.Option("--station", help='Mean wind of a station over many years, e.g. "5.1 m/s".')
    ] = None,
    then: Annotated[
        str | None, typer.Option("--then", help='Its mean over the same days as the logger, e.g. "4.4 m/s".')
    ] = None,
    use: Annotated[
        bool, typer.Option("--use", help="Put the mean, its height and its spread on the sheet, as measured.")
    ] = False,
    on: On = None,
    whole: Annotated[
        bool, typer.Option("--all", help="Also the numbers that who computes with the wind reads.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Show the wind that a logger wrote: how it is spread, its day and year, turbulence, growth with height.

    Example: galebook wind --station "5.1 m/s" --then "4.4 m/s"
    """
    from journal.review import logged_wind
    from journal.screens.wind import show_wind

    with session(write=use) as s:
        found = logged_wind.wind(s, revision, height=height, station=station, then=then)
        if use:
            say(logged_wind.use(s, found, on))
        show_wind(found, as_json, whole=whole)
