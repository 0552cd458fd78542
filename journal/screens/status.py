"""A build on one screen."""

from __future__ import annotations

from typing import Any

from calc.finding import WORST_FIRST
from journal.book.tables import Decision
from journal.review.counsel import counts
from journal.review.next_step import BuildStatus
from journal.review.wording import day_text, lower_first
from journal.screens.terminal import Terminal, screen

#: Failures, and decisions, that are shown one by one.
SHOWN = 8


def _data(status: BuildStatus) -> dict[str, Any]:
    return {
        "build": status.build.name,
        "next": status.next,
        "revisions": [
            {
                "ref": r.revision.ref,
                "title": r.revision.title,
                "frozen": bool(r.revision.frozen_at),
                "findings": {str(s): n for s in WORST_FIRST if (n := len(r.with_status(s)))},
            }
            for r in status.reviews
        ],
        "dangers": [title for title, _ in status.dangers],
        "deadly": status.deadly,
        "open_failures": [
            {"ref": f.ref, "saw": f.saw, "next": state.next_step, "needs": state.move.needs, "how": state.how}
            for f, state in status.open_failures
        ],
        "open_decisions": [d.ref for d in status.open_decisions],
        "due": [d.ref for d in status.due],
        "papers_over": [p.ref for p in status.papers_over],
    }


@screen(_data)
def show_status(out: Terminal, status: BuildStatus) -> None:
    """The one next step; then what there is, what is dangerous, and what else is open."""
    out.title(status.build.name)
    if status.build.purpose:
        out.line(status.build.purpose)
    if status.next.says:
        out.block("Next", (status.next.says,))
        out.command(status.next.how)
        out.line()
    out.table(
        ("", "Revision", "State", "Findings"),
        (
            (r.revision.ref, r.revision.title or "", "as built" if r.revision.frozen_at else "draft", counts(r))
            for r in status.reviews
        ),
    )
    newest = status.newest.revision.ref if status.newest else ""
    out.block(f"Dangers on {newest}", (f"{title}: {says}" for title, says in status.dangers))
    if status.deadly:
        out.block(
            f"Not known on {newest}, and it can kill",
            (", ".join(map(lower_first, status.deadly)) + f". See: galebook missing {newest}",),
        )
    open_ = [f"{f.ref} {f.saw}\n   next, {state.says}" for f, state in status.open_failures]
    out.block("Failures still open", _newest(open_, "list failures"))
    out.block("Decisions to take", _newest([f"{d.ref} {d.question}" for d in status.open_decisions], "list decisions"))
    out.block("Decisions to look at again", _newest([*map(_due, status.due)], "list decisions"))
    over = [f"{p.ref} {p.kind} until {day_text(p.until or '')}: {p.what}" for p in status.papers_over]
    out.block("Papers that are over", _newest(over, "list papers"))


def _newest(lines: list[str], command: str) -> list[str]:
    """The newest of some lines, and how many there are beside."""
    if len(lines) <= SHOWN:
        return lines
    return [*lines[-SHOWN:], f"And {len(lines) - SHOWN} earlier: galebook {command}"]


def _due(d: Decision) -> str:
    return f"{d.ref} accepted until {day_text(d.until)}: {d.question}" if d.until else f"{d.ref} expected: {d.expected}"
