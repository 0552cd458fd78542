"""Taking care of the journal itself: where it is, whether it is whole, copies of it, and the way back."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, ask, confirm, echo, meant, say, session, tell, waiting
from journal.cli.options import Json
from journal.errors import BadInput, Refused


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Care of the journal", where, doctor, backup, backups, restore)


def where(as_json: Json = False) -> None:
    """Tell where the journal is, and what lies beside it.

    Example: galebook where
    """
    import json

    from journal.book import places, whereabouts

    found = whereabouts.find(places.place_of(meant.journal))
    echo(json.dumps(found.data, indent=2) if as_json else str(found.journal))
    for line in () if as_json else found.lines:
        say(line)


def doctor(
    mend: Annotated[bool, typer.Option("--mend", help="Put right what can be; a copy is kept first.")] = False,
    as_json: Json = False,
) -> None:
    """Look through the whole journal: file, references, history, attached files, backups. Exit 1 if it is not whole.

    Example: galebook doctor
    """
    from journal.book import backups, mending, places
    from journal.screens.doctor import gather_doctor, show_doctor

    with waiting("Looking through the journal"):
        if mend:
            path = places.path_of(meant.journal)
            backups.clear_beside(path)
        seen = gather_doctor(places.place_of(meant.journal))
        if mend and any(f.mend for f in seen.faults):
            seen = gather_doctor(path, mending.mend(path))
    show_doctor(seen, as_json)
    if seen.faults:
        raise typer.Exit(1)


def backup(
    target: Annotated[Path, typer.Argument(help="New file to write, or a folder, such as that of a stick.")],
) -> None:
    """Copy the journal with its attached files, even while it is in use, and read the copy back.

    Example: galebook backup /media/stick
    """
    from calc.wording import number_of
    from journal.book import backups, places

    if target.exists() and not target.is_dir():
        raise BadInput(f"{target} exists already", "Name a new file, or a folder")
    with session():
        pass
    with waiting("Copying"):
        made = backups.copy_to(places.path_of(meant.journal), target)
    tell(str(made.path))
    files = f" and {number_of(made.files, 'attached file')} in {places.files_folder(made.path)}" if made.files else ""
    say(f"Copied {number_of(made.records, 'record')}{files}. All of it was read back and is whole.")
    if made.missing:
        say(f"Not in it, as no whole copy of them was found: {', '.join(made.missing)}. See: galebook doctor")


def backups(as_json: Json = False) -> None:
    """List the copies that are kept by themselves: of each day of writing, and before what changes much.

    Example: galebook backups
    """
    from journal.book import places
    from journal.screens.backups import gather_backups, show_backups

    show_backups(gather_backups(places.path_of(meant.journal)), as_json)


def restore(
    which: Annotated[
        str | None, typer.Argument(help='A day at whose end it was right, a number of "galebook backups", or a file.')
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
) -> None:
    """Go back to a backup, with its attached files. What stands there now is kept as a backup too.

    Example: galebook restore yesterday
    """
    from journal.book import backups, places
    from journal.screens.backups import moment_text

    path = places.path_of(meant.journal)
    which = ask(which, "Which backup", flag="galebook restore yesterday; see: galebook backups")
    source = backups.choose(path, which or "")
    as_of, holds = moment_text(backups.last_change(source)), backups.names_in(source) or "no build"
    if not yes and path.exists() and not confirm(f"Go back to {holds} as it was on {as_of}"):
        raise Refused(f"{source} holds {holds} as it was on {as_of}; nothing was done", "To go back, add --yes")
    before = backups.restore(path, source)
    tell(str(path))
    say(f"The journal is as it was on {as_of}: {holds}.")
    if before != path:
        say(f"What stood there before is kept: {before}")
