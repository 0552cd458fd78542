"""The one-line diagram."""

from __future__ import annotations

from typing import Any

from journal.review.electric import Diagram
from journal.screens.terminal import WIDTH, Terminal, revision_title, screen


def _data(drawn: Diagram) -> dict[str, Any]:
    return {"revision": drawn.revision.ref, "lines": drawn.lines}


@screen(_data)
def show_diagram(out: Terminal, drawn: Diagram) -> None:
    """The chain from generator to house; its lines are not folded, for a folded one joins what is apart."""
    out.title(revision_title(drawn.revision))
    for line in drawn.lines:
        for piece in _pieces(line):
            out.unfolded(piece)


def _pieces(line: str) -> list[str]:
    """A line of the diagram with its facts carried on below where they do not fit."""
    pieces, rail = [], "  |" if line.lstrip().startswith(("+", "[", "|")) and not line.startswith("[ House") else ""
    while len(line) > WIDTH:
        cut = line.rfind(", ", 0, WIDTH) + 1
        if cut <= len(rail) + 8:
            break
        pieces.append(line[:cut])
        line = f"{rail:<8}{line[cut:].strip()}"
    return [*pieces, line]
