"""What a builder would be asked next."""

from __future__ import annotations

from typing import Any

from journal.book.sheet import entry_of
from journal.review.asking import Next, wording
from journal.screens.terminal import Terminal, screen


def _data(found: list[Next]) -> list[dict[str, Any]]:
    return [
        {
            "path": n.path,
            "asks": wording(n.path).asks,
            "because": n.because,
            "example": entry_of(n.path)[0].example,
            "on_the_sheet": n.doubtful,
        }
        for n in found
    ]


@screen(_data)
def show_questions(out: Terminal, found: list[Next]) -> None:
    """Each question with why it is asked."""
    for n in found:
        out.hang(f"{n.path} ", f"{wording(n.path).asks} {n.because}", 2)
