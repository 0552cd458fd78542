"""What the readings of one attempt tell together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from calc.quantities import QUANTITIES
from calc.units import show
from journal.book.sheet import limits_of
from journal.book.tables import Measurement

if TYPE_CHECKING:
    from calc.evidence.uncertainty import LimitedReading

#: What is connected to the generator in a spin test.
NOTHING = "nothing connected"


@dataclass(frozen=True)
class Derived:
    """A quantity worked out from readings; value and expanded uncertainty (k = 2) in SI."""

    meaning: str
    value: float
    expanded: float
    refs: tuple[str, ...]
    text: str


def derive_from(readings: list[Measurement]) -> list[Derived]:
    """What follows from the readings of an attempt: from one of each of two kinds, and from a spin test."""
    from calc.evidence.derived import DERIVED, derive

    found = []
    for d in DERIVED:
        pair = [[m for m in readings if m.quantity == name and m.value is not None] for name in d.needs]
        if any(len(of) != 1 for of in pair) or pair[0][0].load_state != pair[1][0].load_state:
            continue
        first, second = pair[0][0], pair[1][0]
        try:
            value, wide = derive(d, reading_of(first), reading_of(second))
        except ZeroDivisionError:
            continue
        refs = (first.ref, second.ref)
        text = f"{d.meaning}: {show(value, d.unit)}{_share(value, wide)} ({first.ref} and {second.ref})"
        found.append(Derived(d.meaning, value, wide, refs, text))
    return found + _spin_test(readings)


def _spin_test(readings: list[Measurement]) -> list[Derived]:
    """The back-EMF constant from several speeds and voltages, the first with the first and so on."""
    from calc.evidence.spin_test import constant_from_spins

    free = [m for m in readings if m.load_state in (None, NOTHING)]
    speeds, volts = ([m for m in free if m.quantity == q] for q in ("rotor.speed", "generator.open_voltage"))
    pairs = [pair for pair in zip(speeds, volts, strict=False) if pair[0].value and pair[1].value is not None]
    if len(speeds) != len(volts) or len(pairs) < 2:
        return []
    turned, shown = ([reading_of(m, m.quantity) for m in side] for side in zip(*pairs, strict=True))
    got = constant_from_spins(turned, shown)
    meaning = QUANTITIES["generator.emf"].meaning
    kept = ""
    if got.kept is not None and got.U_kept is not None and got.kept > got.U_kept:
        kept = f"; {show(got.kept, 'V', 2)}, give or take {show(got.U_kept, 'V', 1)}, are lost ahead of the meter"
    refs = tuple(m.ref for pair in pairs for m in pair)
    text = (
        f"{meaning}, by {len(pairs)} pairs of speed and voltage: {show(got.k, 'rpm/V')}{_share(got.k, got.U_k)}, "
        f"read as the voltages were{kept} ({refs[0]} to {refs[-1]})"
    )
    return [Derived(meaning, got.k, got.U_k, refs, text)]


def _share(value: float, wide: float) -> str:
    return f" ± {100 * wide / abs(value):.2g} %" if value else ""


def reading_of(m: Measurement, shared: str = "") -> LimitedReading:
    """A reading with its limits; of readings that are ``shared``, those by one meter err together."""
    from calc.evidence.uncertainty import LimitedReading

    low, high = limits_of(m)
    return LimitedReading(low, m.value or 0.0, high, shared and f"{shared} {m.instrument or ''}")
