"""Write-ups."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from journal.cli.common import Commands, ask, at_terminal, confirm, echo, meant, say, session, waiting

if TYPE_CHECKING:
    from journal.publish.finds import Find
    from journal.publish.saving import Made


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
    over: Annotated[bool, typer.Option("--over", help="Replace files that are not as Galebook wrote them.")] = False,
    trial: Annotated[bool, typer.Option("--try", help="Show what would be left out, and write nothing.")] = False,
) -> None:
    """Write the build history for a reader. Private data stays out for forum and neighbour.

    Example: galebook writeup --for forum --format html --out history.html
    """
    from journal.book.places import place_of
    from journal.book.safe_files import OwnFiles
    from journal.book.written import word
    from journal.publish import saving, story, writeup
    from journal.publish.private import PRIVATE
    from journal.publish.readers import READERS

    readers = tuple(READERS)
    reader = word(ask(reader, "For whom", flag="--for", words=readers), readers, "--for") or ""
    form = word(form, writeup.FORMS, "--format") or "md"
    chosen = frozenset(word(what, PRIVATE, "--include") or "" for what in include or [])
    if out is not None and not trial:
        saving.hold(out, OwnFiles(place_of(meant.journal)), over=over)
    with session() as s, waiting("Writing"):
        tale = story.tell(s)
        made = writeup.render(tale, reader, form, templates, chosen, folder := saving.folder_of(out) if out else None)
    _show_finds(made, every=trial)
    if not trial and (passed := _asked(made)):
        made = writeup.render(tale, reader, form, templates, chosen, folder, passed)
    if trial:
        say("Nothing was written.")
    elif out is None:
        echo(made.text, end="")
    else:
        _show_left(saving.save(made, out, place_of(meant.journal), over=over), out)
    if made.left_out:
        say("Left out: " + ", ".join(made.left_out) + ".")


def _show_finds(made: Made, *, every: bool) -> None:
    """Show what was found in texts, with where it stands."""
    from journal.publish.finds import told

    if made.finds:
        say("Left out of texts:")
        for line in told(made.finds, every=every):
            say(f"  {line}")
    if made.suspects:
        say("Still in it, though it looks private; mark it so, or change it, if it is:")
        for line in told(made.suspects, every=every):
            say(f"  {line}")


def _asked(made: Made) -> frozenset[str]:
    """Of what is only like something private, what the person lets in; where nobody is there, nothing."""
    near = {f.key: f for f in made.finds if not f.certain}
    if not near or not at_terminal():
        return frozenset()
    from journal.publish.private import KINDS

    def leave_out(find: Find) -> bool:
        return confirm(f"Leave out {find.said}, which is like {KINDS[find.what]}?", default=True)

    return frozenset(key for key, find in near.items() if not leave_out(find))


def _show_left(stay: list[Path], out: Path) -> None:
    say(f"Wrote {out}.")
    if stay:
        names = ", ".join(p.name for p in stay)
        say(f"In {stay[0].parent}, but no longer in the page, and not as Galebook wrote it: {names}.")
