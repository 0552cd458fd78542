"""What two readings of one attempt tell together."""

from __future__ import annotations

from dataclasses import dataclass

from calc.units import show
from journal.book.sheet import limits_of
from journal.book.tables import Measurement


@dataclass(frozen=True)
class Derived:
    """A quantity worked out from two readings; value and expanded uncertainty (k = 2) in SI."""

    meaning: str
    value: float
    expanded: float
    refs: tuple[str, str]
    text: str


def derive_from(readings: list[Measurement]) -> list[Derived]:
    """What follows from the readings of an attempt, where it has one of each kind that is needed."""
    from calc.evidence.derived import DERIVED, derive

    found = []
    for d in DERIVED:
        pair = [[m for m in readings if m.quantity == name and m.value is not None] for name in d.needs]
        if any(len(of) != 1 for of in pair) or pair[0][0].load_state != pair[1][0].load_state:
            continue
        first, second = pair[0][0], pair[1][0]
        try:
            value, wide = derive(d, *(_between(m) for m in (first, second)))
        except ZeroDivisionError:
            continue
        share = f" ± {100 * wide / abs(value):.2g} %" if value else ""
        refs = (first.ref, second.ref)
        text = f"{d.meaning}: {show(value, d.unit)}{share} ({first.ref} and {second.ref})"
        found.append(Derived(d.meaning, value, wide, refs, text))
    return found


def _between(m: Measurement) -> tuple[float, float, float]:
    low, high = limits_of(m)
    return low, m.value or 0.0, high
