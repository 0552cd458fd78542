"""What came into a journal from an export, or would."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from calc.wording import number_of
from journal.book.open_form.taking_in import Imported
from journal.screens.terminal import Terminal, screen

#: How many files that were left aside are named.
_NAMED = 10


def _data(taken: Imported) -> dict[str, Any]:
    return asdict(taken)


@screen(_data)
def show_taken_in(out: Terminal, taken: Imported) -> None:
    """Builds, how much of what, and what was left aside."""
    out.title(f"From {taken.source} into {'a new journal' if taken.new else 'this journal'}")
    for had, name in taken.builds.items():
        out.indent(name if name == had else f"{name} (there: {had})")
    counts = [f"{n} {kind if n > 1 else kind[:-1]}" for kind, n in taken.records.items()]
    out.line(", ".join([*counts, f"{number_of(taken.history, 'row')} of history"]) + ".")
    if taken.files:
        out.line(f"Attached files: {taken.files}, {taken.size} bytes.")
    if taken.corrected:
        out.line(f"Changed by hand, and kept as corrections: {taken.corrected}.")
    if taken.without:
        out.line(f"Without their files: {', '.join(taken.without)}.")
    if taken.aside:
        more = f" and {len(taken.aside) - _NAMED} more" if len(taken.aside) > _NAMED else ""
        out.line(f"Left aside, being no part of a journal: {', '.join(taken.aside[:_NAMED])}{more}.")
