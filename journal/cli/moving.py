"""A whole journal as plain text, and back."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, meant, say, session, waiting
from journal.cli.options import Json


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Care of the journal", export)
    to.add("Care of the journal", taking_in, name="import")


def export(
    target: Annotated[Path, typer.Argument(metavar="FOLDER|FILE.zip", help="Folder to fill, or a zip to write.")],
    over: Annotated[
        bool, typer.Option("--over", help="Replace an earlier export although it was changed; other files stay.")
    ] = False,
) -> None:
    """Write the whole journal, or one build with --build, as plain text with its files: private things are in it.

    Example: galebook export journal.zip
    """
    from calc.wording import number_of
    from journal.book.open_form import placing, writing
    from journal.book.places import place_of
    from journal.book.records import current_build
    from journal.book.safe_files import OwnFiles

    own = OwnFiles(place_of(meant.journal), "Name another file or folder")
    with session() as s, waiting("Writing"):
        made = writing.files_of(s, current_build(s) if meant.build is not None else None)
        place = placing.to_zip if target.suffix.lower() == ".zip" and not target.is_dir() else placing.to_folder
        place(own, target, made.files, over=over)
    if made.without:
        say(f"Without their files, which are missing or damaged: {', '.join(made.without)}. See: galebook doctor")
    say(
        f"Wrote {', '.join(made.builds) or 'a journal without a build'} to {target}: "
        f"{number_of(made.records, 'record')}, "
        f"{number_of(made.attached, 'attached file')}, all history."
    )
    say("Names, places, prices and private notes are in it. For others there is: galebook writeup")


def taking_in(
    source: Annotated[Path, typer.Argument(metavar="FOLDER|FILE.zip", help="What galebook export made.")],
    called: Annotated[str | None, typer.Option("--as", metavar="NAME", help="Another name for the build.")] = None,
    correct: Annotated[
        str | None,
        typer.Option("--correct", metavar="REASON", help="Take in what was changed by hand, with the reason."),
    ] = None,
    only_try: Annotated[bool, typer.Option("--try", help="Show what would be taken in; write nothing.")] = False,
    as_json: Json = False,
) -> None:
    """Make the journal from an export; or, where there is a journal, take the builds in it in as new ones.

    Example: galebook import friend.zip --as "Friend's machine"
    """
    from journal.book.open_form.taking_in import take_in
    from journal.book.places import path_of
    from journal.screens.taken_in import show_taken_in

    with waiting("Reading"):
        taken = take_in(path_of(meant.journal), source, called=called, correct=correct, only_try=only_try)
    meant.saved = not only_try
    show_taken_in(taken, as_json)
    if only_try:
        say("Nothing was written.")
