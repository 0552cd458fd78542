"""Drawings to work from: templates at true size, drilling patterns, gauges, sheets to fill in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from journal.cli.common import Commands, ask, meant, say, session, waiting
from journal.cli.options import Json, OfRevision

if TYPE_CHECKING:
    from journal.drawing.model import Drawing
    from journal.drawing.subject import Subject


#: As wide as telephones take a page to be that says nothing of its width; from memory. [pixels]
_TELEPHONE = 980


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Drawings", draw_, name="draw")


# What the help lists is asked for only where this command is built whole.
def _what() -> str:
    from journal.drawing.catalogue import DRAWN

    return ", ".join(DRAWN)


def draw_(
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
    from journal.drawing.catalogue import DRAWN
    from journal.drawing.subject import drawn, subject_of
    from journal.screens.drawings import Drawings, show_drawings

    asked = _asked(what, paper, form or [], turns)
    with session() as s, waiting("Drawing"):
        subject = subject_of(s, revision, asked.turns, pipe, kerf)
        made = drawn(DRAWN[asked.what], subject)
        upright = {} if as_json else _upright(asked, subject)
    if not as_json:
        _save(asked, subject.ref, made, upright, folder, over=over)
    show_drawings(Drawings(subject.ref, asked.paper, made), as_json)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was typed, held against what is possible."""

    what: str
    paper: str
    forms: tuple[str, ...]
    turns: str


def _asked(what: str | None, paper: str, forms: list[str], turns: str) -> _Asked:
    from journal.book.choosing import word
    from journal.drawing.catalogue import DRAWN
    from journal.drawing.saving import FORMS, PDF
    from journal.drawing.sheets import PAPERS
    from journal.drawing.subject import TURNS

    known = tuple(DRAWN)
    chosen = word(
        ask(what, "What to draw", flag=f"galebook draw with one of: {'; '.join(known)}", words=known),
        known,
        "What to draw",
    )
    return _Asked(
        chosen or "",
        word(paper, tuple(PAPERS), "--paper") or "",
        tuple(word(one, FORMS, "--as") or "" for one in forms or [PDF]),
        word(turns, TURNS, "--turns") or "",
    )


def _upright(asked: _Asked, subject: Subject) -> dict[str, bytes]:
    """The wiring as one line from above to below, beside its SVG: a sheet that lies cannot be read on a telephone."""
    from journal.drawing.saving import SVG

    if asked.what != "wiring" or SVG not in asked.forms or subject.checked is None:
        return {}
    from journal.publish.figures.wires import wiring
    from journal.publish.numbers import MachineTold

    review = subject.checked()
    picture = wiring(MachineTold(subject.ref, review.system), review.findings)
    return {} if picture is None else {f"{picture.name}-phone.svg": picture.filling(_TELEPHONE).encode()}


def _save(
    asked: _Asked, ref: str, made: tuple[Drawing, ...], more: dict[str, bytes], folder: Path, *, over: bool
) -> None:
    """Write them, and tell what there is now."""
    from journal.book.places import place_of
    from journal.drawing import saving

    files = saving.files_of(f"{asked.what}-{ref}", made, asked.paper, asked.forms) | more
    saving.save(files, folder, place_of(meant.journal), over=over)
    say(f"Wrote {', '.join(str(folder / name) for name in files if '-sheet-' not in name)}.")
    if saving.PDF in asked.forms and any(one.true_size for one in made):
        say(saving.PRINTED)
