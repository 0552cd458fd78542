"""What the readings of one attempt tell together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calc.quantities import QUANTITIES
from calc.units import show
from journal.book.sheet import limits_of
from journal.book.tables import Measurement
from journal.errors import stopped

if TYPE_CHECKING:
    from calc.evidence.derived import Derivation
    from calc.evidence.spin_test import SpinTest
    from calc.evidence.uncertainty import LimitedReading

#: Readings that are named one by one. Own choice.
FEW = 12
#: What is connected to the generator in a spin test.
NOTHING = "nothing connected"
_SPUN = ("rotor.speed", "generator.open_voltage")


@dataclass(frozen=True)
class Derived:
    """A quantity worked out from readings; value and expanded uncertainty (k = 2) in SI."""

    meaning: str
    value: float
    expanded: float
    refs: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class Untold:
    """A quantity that readings would tell and do not, with the reason."""

    meaning: str
    refs: tuple[str, ...]
    text: str


def untold(meaning: str, readings: Iterable[Measurement], why: str) -> Untold:
    """Say why nothing is told of some readings."""
    refs = tuple(m.ref for m in readings)
    return Untold(meaning, refs, stopped(f"{meaning}, from {_listed(refs)}: {why}"))


def several(*kinds: list[Measurement]) -> str:
    """Say that a quantity was read more than once."""
    many = [of for of in kinds if len(of) > 1]
    read = " and ".join(f"{_listed([m.ref for m in of])} each give {_named(of[0].quantity)}" for of in many)
    return f"{read}, and which one counts is not said; log each moment as an attempt of its own, or withdraw the others"


def apart(*readings: Measurement) -> str:
    """Say that readings were not taken with the same thing connected."""
    states = " and ".join(f"{m.ref} with {m.load_state or 'a load that is not on record'}" for m in readings)
    return f"they were not read in the same state, but {states}"


def derive_from(readings: list[Measurement]) -> tuple[list[Derived], list[Untold]]:
    """What follows from the readings of an attempt: from one of each of two kinds, and from a spin test.

    Returns
    -------
    told : list of Derived
    untold : list of Untold
        What would follow, but that readings are several or do not belong together.
    """
    from calc.evidence.derived import DERIVED

    spun = _spin_test(readings)
    found: list[Derived | Untold] = []
    for d in DERIVED:
        first, second = ([m for m in readings if m.quantity == name and m.value is not None] for name in d.needs)
        # Several pairs of speed and voltage are a spin test.
        if first and second and not (spun and set(d.needs) == set(_SPUN)):
            found.append(_derived(d, first, second))
    found += [spun] if spun else []
    return [f for f in found if isinstance(f, Derived)], [f for f in found if isinstance(f, Untold)]


def _derived(d: Derivation, first: list[Measurement], second: list[Measurement]) -> Derived | Untold:
    """What one of each of two kinds tells; or that there are more, or that they were not read in one state."""
    from calc.evidence.derived import derive

    both = sorted([*first, *second], key=lambda m: m.number)
    if len(both) > 2:
        return untold(d.meaning, both, several(first, second))
    a, b = first[0], second[0]
    if a.load_state != b.load_state:
        return untold(d.meaning, both, apart(*both))
    try:
        value, wide = derive(d, reading_of(a), reading_of(b))
    except ZeroDivisionError:
        return untold(d.meaning, both, "one of them is zero")
    text = f"{d.meaning}: {show(value, d.unit)}{_share(value, wide)} ({a.ref} and {b.ref})"
    return Derived(d.meaning, value, wide, (a.ref, b.ref), text)


def _spin_test(readings: list[Measurement]) -> Derived | Untold | None:
    """The back-EMF constant from several speeds and voltages, the first with the first and so on."""
    from calc.evidence.spin_test import constant_from_spins

    free = [m for m in readings if m.load_state in (None, NOTHING)]
    speeds, volts = ([m for m in free if m.quantity == q] for q in _SPUN)
    pairs = [pair for pair in zip(speeds, volts, strict=False) if pair[0].value and pair[1].value is not None]
    if min(len(speeds), len(volts)) == 0 or max(len(speeds), len(volts)) == 1:
        return None
    meaning = QUANTITIES["generator.emf"].meaning
    if len(speeds) != len(volts):
        counts = f"{len(speeds)} of speed and {len(volts)} of voltage"
        why = f"{counts} make no pairs; where one was not read, log it with --missing"
        return untold(meaning, sorted([*speeds, *volts], key=lambda m: m.number), why)
    if len(pairs) < 2:
        return untold(meaning, [*speeds, *volts], "a line takes two or more pairs of a speed and its voltage")
    turned, shown = ([reading_of(m, m.quantity) for m in side] for side in zip(*pairs, strict=True))
    got = constant_from_spins(turned, shown)
    off = [m.ref for i in got.off for m in pairs[i]]
    if not got.sound:
        what = f"; {_listed(off)} lie furthest off" if off else ""
        every = [m for pair in pairs for m in pair]
        return untold(meaning, every, f"the voltages do not rise with speed as those of a generator do{what}")
    return _constant(meaning, pairs, got, off)


def _constant(meaning: str, pairs: list[tuple[Measurement, Measurement]], got: SpinTest, off: list[str]) -> Derived:
    kept = ""
    if got.kept is not None and got.U_kept is not None and got.kept > got.U_kept:
        kept = f"; {show(got.kept, 'V', 2)}, give or take {show(got.U_kept, 'V', 1)}, are lost ahead of the meter"
    refs = tuple(m.ref for pair in pairs for m in pair)
    text = (
        f"{meaning}, by {len(pairs)} pairs of speed and voltage: {show(got.k, 'rpm/V')}{_share(got.k, got.U_k)}, "
        f"read as the voltages were{kept} ({refs[0]} to {refs[-1]})"
    )
    if len(off) == 2:
        text += f". Do not rely on it: {_listed(off)} fit none of the others; withdraw them if they were misread"
    elif off:
        text += f". Do not rely on it: {_listed(off)} do not lie on one line; read them again"
    return Derived(meaning, got.k, got.U_k, refs, text)


def _listed(refs: Sequence[str]) -> str:
    if len(refs) > FEW:
        return f"{refs[0]} to {refs[-1]}, {len(refs)} of them,"
    return f"{', '.join(refs[:-1])} and {refs[-1]}" if len(refs) > 1 else refs[0]


def _named(quantity: str) -> str:
    meaning = QUANTITIES[quantity].meaning
    return f"{meaning[0].lower()}{meaning[1:]}"


def _share(value: float, wide: float) -> str:
    return f" ± {100 * wide / abs(value):.2g} %" if value else ""


def reading_of(m: Measurement, shared: str = "") -> LimitedReading:
    """A reading with its limits; of readings that are ``shared``, those by one meter err together."""
    from calc.evidence.uncertainty import LimitedReading

    low, high = limits_of(m)
    return LimitedReading(low, m.value or 0.0, high, shared and f"{shared} {m.instrument or ''}")
