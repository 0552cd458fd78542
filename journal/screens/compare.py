"""Two revisions side by side."""

from __future__ import annotations

from typing import Any

from calc.finding import Finding
from calc.units import digits
from journal.book.tables import Measurement
from journal.review.verdict import Answer, Comparison, headline, measured_text
from journal.review.wording import cost_text, wind_text
from journal.screens.terminal import Terminal, screen


def _data(c: Comparison) -> dict[str, Any]:
    return {
        "old": c.old.revision.ref,
        "new": c.new.revision.ref,
        "changed": c.changed,
        "parts": {"gone": c.parts_gone, "new": c.parts_new, "kept": c.parts_kept},
        "cost": {"old": c.cost_old, "new": c.cost_new},
        "findings": [
            {
                "rule": (t.old or t.new).rule,  # type: ignore[union-attr]
                "subject": t.subject,
                "title": t.title,
                "turn": t.turn,
                "old": t.old,
                "new": t.new,
            }
            for t in c.turns
        ],
        "measured": c.measured,
        "failures": [{"failure": a.failure.ref, "answered": a.answered, "how": a.how} for a in c.answers],
    }


@screen(_data)
def show_comparison(out: Terminal, c: Comparison) -> None:
    """What changed, how each finding turned, what was measured, which failures are answered."""
    old, new = c.old.revision.ref, c.new.revision.ref
    out.title(f"{old} and {new}")
    _sheets(out, c)
    out.block("Parts", _parts(c))
    out.heading("Findings")
    out.table(("What", old, new, "Change"), ((headline(t), _cell(t.old), _cell(t.new), t.turn) for t in c.turns))
    if c.measured:
        out.heading("Measured")
        out.table(("What", old, new), ((b.meaning, _readings(b.old), _readings(b.new)) for b in c.measured))
    out.block(f"Failures of {old}", (_answer(a, new) for a in c.answers))


def _sheets(out: Terminal, c: Comparison) -> None:
    """What both sheets state, side by side; what only one does, in a paragraph."""
    old, new = c.old.revision.ref, c.new.revision.ref
    out.heading("What changed on the sheet")
    both = [(row.meaning, row.old, row.new) for row in c.changed if row.old and row.new]
    if both:
        out.table(("What", old, new), both)
    else:
        out.line("Nothing that both state.")
    for ref, values in (
        (old, [f"{row.meaning}: {row.old}" for row in c.changed if not row.new]),
        (new, [f"{row.meaning}: {row.new}" for row in c.changed if not row.old]),
    ):
        out.block(f"Stated for {ref} only", ["; ".join(values)] if values else [])


def _parts(c: Comparison) -> list[str]:
    named = (("Gone", c.parts_gone), ("New", c.parts_new), ("Carried on", c.parts_kept))
    lines = [f"{title}: {', '.join(f'{p.ref} {p.name}' for p in some)}" for title, some in named if some]
    old, new = cost_text(c.cost_old), cost_text(c.cost_new)
    return [*lines, f"Cost: {old or 'not stated'} before, {new or 'not stated'} after"] if lines else []


def _cell(f: Finding | None) -> str:
    if f is None:
        return "does not apply"
    # A bare number, such as one of strings, tells nothing without the sentence that it stands in.
    value = f", {digits(f.value)} {f.unit}" if f.value is not None and f.unit else ""
    return f"{f.status}{value}"


def _readings(some: list[Measurement]) -> str:
    return "\n".join(f"{m.ref}: " + ", ".join(filter(None, [measured_text(m), wind_text(m)])) for m in some) or "-"


def _answer(a: Answer, new: str) -> str:
    return f"{a.failure.ref} {a.failure.saw}\n   answered by {new}: {a.answered}" + (f"; {a.how}" if a.how else "")
