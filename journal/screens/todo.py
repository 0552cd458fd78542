"""All that waits to be done."""

from __future__ import annotations

from typing import Any

from journal.review.todo import Todo
from journal.review.wording import day_text
from journal.screens.terminal import Terminal, screen


def _data(found: list[Todo]) -> list[dict[str, Any]]:
    return [{"ref": t.ref, "says": t.says, "how": t.how, "by": t.by, "over": t.over} for t in found]


@screen(_data)
def show_todos(out: Terminal, found: list[Todo]) -> None:
    """What is over first; each with the command that does it."""
    if not found:
        out.line("Nothing waits. What the machine itself asks for: galebook status")
        return
    for title, part in (
        ("Over", [t for t in found if t.over]),
        ("To do", [t for t in found if t.by is None]),
        ("Until a day", [t for t in found if t.by is not None and not t.over]),
    ):
        if part:
            out.title(title)
        for t in part:
            day = f" ({'since' if t.over else 'until'} {day_text(t.by)})" if t.by else ""
            out.hang(f"  {t.ref} ", f"{t.says}{day}", 5)
            out.command(t.how, 5)
