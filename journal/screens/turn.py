"""Where a finding turns as one value grows."""

from __future__ import annotations

from typing import Any

from journal.book.sheet import entry_of
from journal.review.explore import Turning
from journal.review.verdict import headline
from journal.screens.terminal import Terminal, screen


def _data(t: Turning) -> dict[str, Any]:
    return {
        "revision": t.revision.ref,
        "rule": t.finding.rule,
        "subject": t.finding.subject,
        "path": t.path,
        "now": t.now,
        "turns": [{"value": v, "before": a, "after": b} for v, a, b in t.turns],
    }


@screen(_data)
def show_turning(out: Terminal, t: Turning) -> None:
    """The values at which it turns, and what it is on either side."""
    out.title(f"{headline(t.finding)}: {t.finding.status} at {t.path} = {t.now}")
    words = entry_of(t.path)[0].kind != "number"
    for value, before, after in t.turns:
        out.line(f"  {value}: {after}" if words else f"  from {value} on: {after}, before that {before}")
    if not t.turns:
        out.line("  It does not turn anywhere in the permitted range.")
