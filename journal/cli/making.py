"""What is still to be bought, and how what was cut compares with the sheet."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, meant, say, session
from journal.cli.options import Json, OfRevision


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("What if", buy, blade)


def buy(
    revision: OfRevision = None,
    to: Annotated[
        Path | None, typer.Option("--to", metavar="FILE.md|FILE.csv", help="Write the list as Markdown or a table.")
    ] = None,
    over: Annotated[bool, typer.Option("--over", help="Replace the file although it was changed.")] = False,
    as_json: Json = False,
) -> None:
    """List what a revision needs, with sizes and ratings; what is at hand is struck off.

    Example: galebook buy r2 --to shopping.md
    """
    from journal.review.buying import shopping
    from journal.screens.buying import show_shopping

    _hold(to, over=over)
    with session() as s:
        found = shopping(s, revision)
        if to is not None:
            from journal.book.places import place_of
            from journal.book.safe_files import OwnFiles
            from journal.screens.buying_file import write_list

            write_list(found, to, OwnFiles(place_of(meant.journal), "Name another file with --to"), over=over)
            say(f"Wrote {to}.")
        if to is None or as_json:
            show_shopping(found, as_json)


def _hold(to: Path | None, *, over: bool) -> None:
    """Hold where the list goes before it is worked out."""
    if to is not None:
        from journal.screens.buying_file import hold_place

        hold_place(to)
    elif over:
        from journal.errors import BadInput

        raise BadInput("--over replaces a file, and --to names none", "Add --to FILE.md or --to FILE.csv")


def blade(
    revision: OfRevision = None,
    as_json: Json = False,
) -> None:
    """Hold the blades that were measured against the sheet: power, strength, balance.

    Example: galebook blade r2
    """
    from journal.review.measured_blades import measured_blades
    from journal.screens.measured_blades import show_measured_blades

    with session() as s:
        show_measured_blades(measured_blades(s, revision), as_json)
