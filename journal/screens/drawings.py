"""What was drawn: each drawing with its size and the sheets that it takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calc.wording import number_of
from journal.drawing.model import Circle, Drawing, Line, Part, Words
from journal.drawing.sheets import pages
from journal.screens.terminal import Terminal, screen


@dataclass(frozen=True, slots=True)
class Drawings:
    """Drawings of a revision, and the paper for which they are.

    Parameters
    ----------
    revision : str
        Its reference.
    paper : str
        One of :data:`journal.drawing.sheets.PAPERS`.
    made : tuple of Drawing
        What was drawn.
    """

    revision: str
    paper: str
    made: tuple[Drawing, ...]


def _part(part: Part) -> dict[str, Any]:
    if isinstance(part, Words):
        return {"words": part.text, "at": part.at, "height": part.height, "turn": part.turn, "anchor": part.anchor}
    if isinstance(part, Circle):
        return {"circle": part.centre, "radius": part.radius, "pen": part.pen.value}
    assert isinstance(part, Line)
    return {"line": part.points, "closed": part.closed, "pen": part.pen.value}


def _data(drawn: Drawings) -> dict[str, Any]:
    return {
        "revision": drawn.revision,
        "paper": drawn.paper,
        "unit": "mm",
        "drawings": [
            {
                "name": one.name,
                "title": one.title,
                "true_size": one.true_size,
                "width": one.bounds.width,
                "height": one.bounds.height,
                "sheets": len(pages(one, drawn.paper)),
                "notes": one.notes,
                "parts": [_part(part) for part in one.parts],
            }
            for one in drawn.made
        ],
    }


@screen(_data)
def show_drawings(out: Terminal, drawn: Drawings) -> None:
    """A line for each."""
    for one in drawn.made:
        sheets = len(pages(one, drawn.paper))
        many = number_of(sheets, "sheet")
        what = "at true size" if one.true_size else "fitted on the sheet"
        out.line(f"{one.title}: {many} of {drawn.paper.upper() if drawn.paper != 'letter' else 'Letter'}, {what}")
