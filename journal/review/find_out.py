"""What to do about a doubt: put a reading on the sheet that was taken, take one, or find the value out better."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.finding import Finding
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.meter import PREDICTED, meter_values
from calc.quantities import QUANTITIES
from calc.units import show
from journal.book.readings import Taken
from journal.book.sheet import entry_of, limits_of
from journal.review.verdict import Review
from journal.review.wording import lower_first

#: Values of the sheet that a reading can be, by the quantity that is read.
READ_AS = {
    "generator.emf": Sheet.generator.emf_constant.path,
    "generator.resistance": Sheet.generator.winding_resistance.path,
    "blade.mass": Sheet.blade.mass.path,
}
#: Values that follow from two readings taken together.
READ_WITH = {Sheet.generator.inductance.path: ("generator.short_current", "rotor.speed")}


@dataclass(frozen=True, slots=True)
class FindOut:
    """One doubtful value, what to do about it, and the command that takes it."""

    path: str
    says: str
    how: str


def unsure(review: Review) -> list[Finding]:
    """Findings that a doubt could still turn."""
    return [f for f in review.findings if f.probability is not None and 0 < f.probability < 1 and f.ranking]


def ranked(findings: list[Finding]) -> list[str]:
    """Names of doubtful values, the one that decides most over all findings first."""
    totals: dict[str, float] = {}
    for f in findings:
        for i in f.ranking:
            totals[i.path] = totals.get(i.path, 0.0) + i.share
    return sorted(totals, key=lambda path: -totals[path])


def find_out(review: Review, path: str) -> FindOut:
    """What to do about the doubt of one value of a sheet."""
    quantity = next((name for name, of in READ_AS.items() if of == path), None)
    reading = _better(review, path, quantity) if quantity else None
    if reading is not None:
        return FindOut(path, f"put {reading.ref} on the sheet", _set(review, path, reading))
    entry = entry_of(path)[0]
    if quantity:
        asked = QUANTITIES[quantity]
        says = f"read it ({lower_first(asked.meaning)}), then put the reading on the sheet"
        return FindOut(path, says, f'galebook measure {quantity} "{asked.example}" --on {review.revision.ref}')
    if path in READ_WITH:
        both = " and ".join(f"the {lower_first(QUANTITIES[name].meaning)}" for name in READ_WITH[path])
        says = f"read {both} in one attempt; what follows from them is told when it is shown"
        first = READ_WITH[path][0]
        return FindOut(path, says, f'galebook measure {first} "{QUANTITIES[first].example}" --attempt ATTEMPT')
    typed, known = ("...", "") if entry.exact else ("... +- ...", ", and say how well it is known")
    return FindOut(
        path,
        f"find it out better{known}",
        f'galebook set {path} "{typed}"{_correcting(review, path, "found out better")}',
    )


def _better(review: Review, path: str, quantity: str) -> Taken | None:
    """The newest reading that is this value of the sheet, and narrower than what the sheet says of it."""
    if not _is_the_value(review, path, quantity):
        return None
    now = _width(*review.sheet.doubts.get(path, (-math.inf, math.inf)))
    read = [m for m in review.sheet.readings if m.quantity == quantity and m.value is not None]
    for m in reversed(read):
        if _width(*limits_of(m)) < 0.95 * now:
            return m
    return None


def _width(low: float, high: float) -> float:
    return high - low


def _is_the_value(review: Review, path: str, quantity: str) -> bool:
    """Whether a meter would show just what stands on the sheet, with its windings and its drive taken into account."""
    solved, stated = review.system.solved, review.system.design.values.get(path)
    if isinstance(solved, Unknown) or quantity not in PREDICTED or not isinstance(stated, float):
        return False
    shown = meter_values(solved, quantity, "nothing connected", np.array([5.0]))
    return not isinstance(shown, Unknown) and bool(np.allclose(shown, stated, rtol=1e-6))


def _set(review: Review, path: str, m: Taken) -> str:
    """The command that puts a reading on the sheet, with its limits as typed or as they were kept."""
    shown = entry_of(path)[0].shown
    low, high = limits_of(m)
    value = m.value or 0.0
    share = max(high - value, value - low) / abs(value) if value else 0.0
    doubt = f' --doubt "{show(share, "%", 2)}"' if share else ""
    on = _correcting(review, path, f"read as {m.ref}")
    return f'galebook set {path} "{show(value, shown)}"{doubt} --from measured{on}'


def _correcting(review: Review, path: str, why: str) -> str:
    """What a command needs to set a value of this revision; what is stated of one that was built is only corrected."""
    correct = f' --correct "{why}"' if review.revision.frozen_at and path in review.sheet.values else ""
    return f" --on {review.revision.ref}{correct}"
