"""The one-line diagram."""

from __future__ import annotations

from typing import Any

from journal.review.electric import Diagram
from journal.screens.terminal import Terminal, revision_title, screen

#: The chain, and how far what goes on below it stands in.
_RAIL, _BESIDE = "  |", 8


def _data(drawn: Diagram) -> dict[str, Any]:
    return {"revision": drawn.revision.ref, "lines": drawn.lines}


@screen(_data)
def show_diagram(out: Terminal, drawn: Diagram) -> None:
    """The chain from generator to house; what goes on below stands beside the chain, which is not parted by it."""
    out.title(revision_title(drawn.revision))
    last = [line for line in drawn.lines if line.lstrip().startswith(("+", "[", "|"))][-1]
    for line in drawn.lines:
        chained = line.lstrip().startswith(("+", "[", "|")) and line is not last
        for piece in out.carried_on(line, f"{_RAIL if chained else '':<{_BESIDE}}"):
            out.unfolded(piece)
