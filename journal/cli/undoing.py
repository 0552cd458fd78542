"""The last command taken back, done again, and what was withdrawn brought back."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, say, session


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("The record as a whole", undo, redo, reinstate)


def undo() -> None:
    """Take back all that the last command logged or changed; galebook redo does it again.

    The history keeps both. A record that was added is withdrawn, and its number is not used again.

    Example: galebook undo
    """
    from journal.book import undoing
    from journal.screens.history import in_brief

    with session(write=True) as s:
        lines = in_brief(s, undoing.undo(s))
    _tell("Taken back", lines)
    say("Do it again with: galebook redo")


def redo() -> None:
    """Do again what galebook undo took back last, as long as nothing was logged since.

    Example: galebook redo
    """
    from journal.book import undoing
    from journal.screens.history import in_brief

    with session(write=True) as s:
        lines = in_brief(s, undoing.redo(s))
    _tell("Done again", lines)


def _tell(what: str, lines: list[str]) -> None:
    say(f"{what}: {lines[0]}" if len(lines) == 1 else f"{what}:")
    for line in lines if len(lines) > 1 else ():
        say(f"  {line}")


def reinstate(
    ref: Annotated[str, typer.Argument(help="Reference of what was withdrawn, e.g. M12; or D1.2, F1.1, F1.e1.")],
    because: Annotated[str, typer.Option("--because", help="Why; kept in the history.")],
) -> None:
    """Bring back a record that was withdrawn, with its number.

    Example: galebook reinstate M12 --because "the range was right after all"
    """
    from journal.book import corrections

    with session(write=True) as s:
        back = corrections.reinstate(s, ref, because)
    say(f"{back} stands again.")
