"""What the sheet still lacks."""

from __future__ import annotations

from typing import Any

from calc.finding import Finding
from calc.machine.catalogue import catalogue, split
from journal.review.verdict import Review
from journal.screens.terminal import Terminal, revision_title, screen


def _data(review: Review) -> dict[str, Any]:
    return {
        "revision": review.revision.ref,
        "missing": [
            {"path": path, "blocks": [{"rule": f.rule, "subject": f.subject} for f in findings]}
            for path, findings in review.missing.items()
        ],
    }


@screen(_data)
def show_missing(out: Terminal, review: Review) -> None:
    """Sheet values that are missing, with what waits for them."""
    if review.missing:
        out.title(revision_title(review.revision))
        columns = ("Name", "Meaning", "Type it like", "Waiting for it")
        out.table(columns, (_row(path, findings) for path, findings in review.missing.items()))
    else:
        out.line(f"Nothing is missing that a rule needs on {review.revision.ref}.")


def _row(path: str, findings: list[Finding]) -> tuple[str, ...]:
    entry = catalogue()[split(path)[0]]
    # What comes from a record of its own is not on the sheet, and so not to be set there.
    example = f"galebook amend {split(path)[1]}" if entry.recorded else entry.example
    return path, entry.meaning, example, "; ".join(dict.fromkeys(f.title for f in findings))
