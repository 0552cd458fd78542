"""Who may use a journal on a server."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, say, session
from journal.cli.options import Json


def register(to: Commands) -> None:
    """Add this group's commands."""
    members = typer.Typer(help="Who may read, log or change in a journal on a server.", no_args_is_help=True)
    if to.wanted in (None, "members"):
        for name, command in (("add", add), ("list", listing), ("remove", remove)):
            members.command(name)(command)
    to.app.add_typer(members, name="members", rich_help_panel="The record as a whole")


def add(
    name: Annotated[str, typer.Argument(help="Name of a login of the server.")],
    may: Annotated[
        str,
        typer.Option(
            help="read; or log: add attempts, readings, failures; or change: also the sheet, corrections, revisions."
        ),
    ] = "log",
) -> None:
    """Allow somebody to read, to log or to change; only the owner of the journal can.

    Example: galebook members add bob --may log
    """
    from journal.book import members

    with session(write=True) as s:
        member = members.add(s, name, may)
    say(f"{member.name} may {member.may}.")


def listing(as_json: Json = False) -> None:
    """List who may use the journal, and how.

    Example: galebook members list
    """
    from journal.screens.members import gather_members, show_members

    with session() as s:
        show_members(gather_members(s), as_json)


def remove(name: Annotated[str, typer.Argument(help="Name of a login of the server.")]) -> None:
    """Take from somebody all that was allowed; what they logged stays.

    Example: galebook members remove bob
    """
    from journal.book import members

    with session(write=True) as s:
        gone = members.remove(s, name)
    say(f"{gone} is no member any more.")
