"""Drawings to work from: templates at true size, drilling patterns, gauges, sheets to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, ask, meant, say, session, waiting
from journal.cli.options import Json, OfRevision


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Publishing", draw)


# What the help lists is asked for only where this command is built whole.
def _what() -> str:
    from journal.drawing.catalogue import DRAWN

    return ", ".join(DRAWN)


def draw(
    what: Annotated[str | None, typer.Argument(help=f"What to draw: {_what()}.")] = None,
    revision: OfRevision = None,
    paper: Annotated[str, typer.Option("--paper", help="Paper to print on: a4, letter or a3.")] = "a4",
    form: Annotated[
        list[str] | None,
        typer.Option("--as", metavar="FORM", help="pdf, svg or dxf; repeatable. PDF where none is named."),
    ] = None,
    folder: Annotated[Path, typer.Option("--to", metavar="FOLDER", help="Folder to write into.")] = Path("drawings"),
    turns: Annotated[
        str, typer.Option("--turns", help="How the rotor turns, seen with the wind at your back.")
    ] = "clockwise",
    pipe: Annotated[
        str | None, typer.Option("--pipe", metavar="LENGTH", help="Pipe at hand; else the shortest sold that does.")
    ] = None,
    kerf: Annotated[str, typer.Option("--kerf", metavar="WIDTH", help="What a cut of the saw takes away.")] = "3 mm",
    over: Annotated[bool, typer.Option("--over", help="Replace files that are not as Galebook wrote them.")] = False,
    as_json: Json = False,
) -> None:
    """Draw at true size: templates to cut by, drilling patterns, gauges, sheets to fill in.

    With --json they are given as data, in mm, and nothing is written.

    Example: galebook draw blade r2 --paper a4 --to drawings

    Example: galebook draw hub r2 --as pdf --as dxf --to drawings
    """
    from journal.book.choosing import word
    from journal.book.places import place_of
    from journal.drawing import saving
    from journal.drawing.catalogue import DRAWN, lengths
    from journal.drawing.sheets import PAPERS
    from journal.drawing.subject import TURNS, drawn, subject_of
    from journal.screens.drawings import Drawings, show_drawings

    known = tuple(DRAWN)
    chosen = word(ask(what, "What to draw", flag="galebook draw blade", words=known), known, "What to draw") or ""
    forms = [word(one, saving.FORMS, "--as") or "" for one in form or [saving.PDF]]
    on = word(paper, tuple(PAPERS), "--paper") or ""
    way = word(turns, TURNS, "--turns") or ""
    at_hand, saw = lengths(pipe, kerf)
    with session() as s, waiting("Drawing"):
        subject = subject_of(s, revision, way, at_hand, saw)
        made = drawn(DRAWN[chosen], subject)
        files = {} if as_json else saving.files_of(f"{chosen}-{subject.ref}", made, on, forms)
    show_drawings(Drawings(subject.ref, on, made), as_json)
    if as_json:
        return
    saving.save(files, folder, place_of(meant.journal), over=over)
    say(f"Wrote {', '.join(str(folder / name) for name in files if '-sheet-' not in name)}.")
    if saving.PDF in forms and any(one.true_size for one in made):
        say("Print at 100 %, not fitted to the page, and measure the ruler on each sheet before you cut.")
