"""Finding records by their words."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, session
from journal.cli.options import Json


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("The record as a whole", searching, name="search")


def searching(
    words: Annotated[list[str], typer.Argument(help="Words, by their beginning; several in quotes as they stand.")],
    every: Annotated[bool, typer.Option("--all", help="Show all that is found.")] = False,
    as_json: Json = False,
) -> None:
    """Find records by their words, best first, in everything that was typed.

    Example: galebook search magn weak
    """
    from journal.screens.search import gather_search, show_search

    # What the shell was given in quotes has lost them on the way.
    asked = " ".join(f'"{w}"' if " " in w.strip() and '"' not in w else w for w in words)
    with session() as s:
        show_search(gather_search(s, asked, every=every), as_json)
