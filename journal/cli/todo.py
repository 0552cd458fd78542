"""What waits to be done, and a write-up to look at."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, meant, say, session, waiting
from journal.cli.options import Json


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Builds and revisions", todo)
    to.add("Publishing", look_at, name="open")


def todo(as_json: Json = False) -> None:
    """List all that waits: failures to close, decisions, promised readings, papers that run out.

    Example: galebook todo
    """
    from journal.review.todo import todos
    from journal.screens.todo import show_todos

    with session() as s:
        show_todos(todos(s), as_json)


def look_at(
    reader: Annotated[str, typer.Argument(help="For whom: forum, neighbour, workshop, raising or storm.")] = "forum",
) -> None:
    """Write a page beside the journal and show it in the browser, with what is private left out as ever.

    Example: galebook open workshop
    """
    from journal.book.places import pages_folder, place_of
    from journal.book.safe_files import make_folder
    from journal.book.written import word
    from journal.cli.writeup import fill_gaps
    from journal.publish import saving, story, writeup
    from journal.publish.readers import READERS

    reader = word(reader, tuple(READERS), "Reader") or ""
    place = place_of(meant.journal)
    folder = pages_folder(place)
    make_folder(folder)
    fill_gaps(reader)
    out = folder / f"{reader}.html"
    with session() as s, waiting("Writing"):
        made = writeup.render(story.tell(s), reader, "html", None, frozenset(), saving.folder_of(out))
    saving.save(made, out, place, over=True)
    say(f"Wrote {out}.")
    if typer.launch(out.as_uri()):
        say("No browser could be opened; open the file yourself.")
