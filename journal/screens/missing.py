"""What the sheet still lacks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc.finding import Finding
from calc.machine.catalogue import catalogue, split
from calc.machine.entry import Value
from journal.book.examples import example_of
from journal.review.verdict import Review
from journal.screens.terminal import Terminal, revision_title, screen


def _data(review: Review) -> dict[str, Any]:
    return {
        "revision": review.revision.ref,
        "missing": [
            {
                "path": path,
                "deadly": any(f.deadly for f in findings),
                "blocks": [{"rule": f.rule, "subject": f.subject} for f in findings],
            }
            for path, findings in review.missing.items()
        ],
    }


@screen(_data)
def show_missing(out: Terminal, review: Review) -> None:
    """Sheet values that are missing, with what waits for them; those whose silence can kill stand apart."""
    if review.missing:
        out.title(revision_title(review.revision))
    else:
        out.line(f"Nothing is missing that a rule needs on {review.revision.ref}.")
    columns = ("Name", "Meaning", "Type it like", "Waiting for it")
    for title, deadly in (("Not known, and it can kill: find this out first", True), ("Also missing", False)):
        rows = [
            _row(path, of, review.sheet.design.values)
            for path, of in review.missing.items()
            if any(f.deadly for f in of) is deadly
        ]
        if rows:
            if any(f.deadly for f in review.findings):
                out.heading(title)
            out.table(columns, rows)


def _row(path: str, findings: list[Finding], values: Mapping[str, Value]) -> tuple[str, ...]:
    entry = catalogue()[split(path)[0]]
    # What comes from a record of its own is not on the sheet, and so not to be set there.
    example = example_of(entry, values)
    example = f"galebook amend {split(path)[1]}" if entry.recorded else example
    return path, entry.meaning, example, "; ".join(dict.fromkeys(f.title for f in findings))
