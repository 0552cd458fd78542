"""What other values would do."""

from __future__ import annotations

from typing import Any

from calc.finding import Status
from calc.units import digits
from journal.review.explore import Variation
from journal.screens.terminal import Terminal, screen


def _data(v: Variation) -> dict[str, Any]:
    return {"revision": v.revision.ref, "varied": v.paths, "combinations": v.combinations, "findings": v.rows,
            "first_is_the_sheet": v.as_it_is}  # fmt: skip


@screen(_data)
def show_variation(out: Terminal, v: Variation, *, everything: bool = False) -> None:
    """Findings of every combination: those that move, or all."""
    out.title(f"{v.revision.ref}, varied: {', '.join(v.paths)}")
    rows = v.rows if everything else v.moving
    if not rows:
        out.line("No finding changes its verdict. See every value with --all.")
        return
    # People compare down a column: combinations run down, findings across.
    out.table(
        (*v.paths, *(r.title + _about(r.subject) for r in rows)),
        (
            (*_named(v, i, picked), *(_verdict(r.statuses[i], r.values[i], r.unit) for r in rows))
            for i, picked in enumerate(v.combinations)
        ),
    )


def _named(v: Variation, i: int, picked: tuple[str, ...]) -> tuple[str, ...]:
    return (f"{picked[0]}, the sheet", *picked[1:]) if i == 0 and v.as_it_is else picked


def _about(subject: str) -> str:
    return f" ({subject.partition('.')[2]})" if "." in subject else ""


def _verdict(status: Status, value: float | None, unit: str) -> str:
    return str(status) if value is None else f"{status}, {digits(value)} {unit}".rstrip()
