"""Write-ups."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, ask, say, session, waiting


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Publishing", writeup)


# What the help lists is asked for only where this command is built whole.
def _readers() -> str:
    from journal.publish.readers import READERS

    return ", ".join(READERS)


def _forms() -> str:
    from journal.publish.writeup import FORMS

    return " or ".join(FORMS)


def _private() -> str:
    from journal.publish.private import PRIVATE

    return ", ".join(PRIVATE)


def writeup(
    reader: Annotated[str | None, typer.Option("--for", help=f"Who reads it: {_readers()}.")] = None,
    form: Annotated[str, typer.Option("--format", help=f"{_forms()}.")] = "md",
    out: Annotated[Path | None, typer.Option("--out", help="File to write; else stdout.")] = None,
    include: Annotated[
        list[str] | None,
        typer.Option("--include", help=f"Let in what is private otherwise: {_private()}."),
    ] = None,
    templates: Annotated[Path | None, typer.Option(help="Folder of your own templates, used before ours.")] = None,
) -> None:
    """Write the build history for a reader. Private data stays out for forum and neighbour.

    Example: galebook writeup --for forum --format html --out history.html
    """
    from journal.book.written import word
    from journal.publish import saving, story, writeup
    from journal.publish.private import PRIVATE
    from journal.publish.readers import READERS

    readers = tuple(READERS)
    reader = word(ask(reader, "For whom", flag="--for", words=readers), readers, "--for") or ""
    form = word(form, writeup.FORMS, "--format") or "md"
    chosen = frozenset(word(what, PRIVATE, "--include") or "" for what in include or [])
    with session() as s, waiting("Writing"):
        made = writeup.render(story.tell(s), reader, form, templates, chosen, saving.folder_of(out) if out else None)
    if out is None:
        typer.echo(made.text, nl=False)
    else:
        saving.save(made, out)
        say(f"Wrote {out}.")
    if made.left_out:
        say("Left out: " + ", ".join(made.left_out) + ".")
