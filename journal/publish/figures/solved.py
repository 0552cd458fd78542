"""What pictures and plots of the machine are drawn from: the solved sheet, its samples, and the readings of power."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Protocol

from calc.machine.catalogue import Sheet
from calc.machine.design import Design
from calc.machine.inputs import Unknown
from calc.machine.solving import Solved
from calc.machine.system import CurveWithBand
from journal.book.sheet import RevisionSheet, limits_of
from journal.book.tables import Measurement, Revision


class OfRevision(Protocol):
    """Whatever tells of one revision: a review, or what was solved of it."""

    @property
    def revision(self) -> Revision: ...  # noqa: D102
    @property
    def sheet(self) -> RevisionSheet: ...  # noqa: D102


def solve(review: OfRevision) -> Solved | None:
    """The solved machine of a revision, or None where its sheet does not say enough."""
    if review.sheet.design.get(Sheet.storage.chemistry) == "none":
        return None
    found = review.sheet.system.solved
    return None if isinstance(found, Unknown) else found


@dataclass(frozen=True)
class Named(CurveWithBand):
    """The power curve of a revision, by its reference."""

    ref: str


def curve(review: OfRevision) -> Named | None:
    """The power curve of a revision, or None where the machine cannot be solved."""
    found = None if solve(review) is None else review.sheet.system.curve
    if found is None or isinstance(found, Unknown):
        return None
    return Named(**{f.name: getattr(found, f.name) for f in fields(CurveWithBand)}, ref=review.revision.ref)


@dataclass(frozen=True)
class Reading:
    """A power that was read in a wind, each between two limits, in SI."""

    ref: str
    wind: tuple[float, float]
    power: tuple[float, float]
    value: float

    @property
    def middle(self) -> float:
        """Middle of the wind's limits."""
        return sum(self.wind) / 2


def readings(review: OfRevision) -> list[Reading]:
    """Powers read on a revision while it charged: as such, or as current times the voltage of the same attempt."""
    found = []
    design = review.sheet.design
    volts_read: dict[int | None, Measurement] = {}
    for m in review.sheet.readings:
        if m.quantity == "battery.voltage" and m.attempt_id is not None and m.value is not None:
            volts_read.setdefault(m.attempt_id, m)
    for m in review.sheet.readings:
        if m.value is None or m.load_state not in ("battery", "battery and loads"):
            continue
        blew, limits = _wind(review, m), limits_of(m)
        if blew is None:
            continue
        if m.quantity == "charge.power":
            found.append(Reading(m.ref, blew, limits, m.value))
        elif m.quantity == "charge.current" and (volts := _volts(design, volts_read.get(m.attempt_id))) is not None:
            low, value, high = volts
            ends = [i * v for i in limits for v in (low, high)]
            found.append(Reading(m.ref, blew, (min(ends), max(ends)), m.value * value))
    return found


def _volts(design: Design, read: Measurement | None) -> tuple[float, float, float] | None:
    """Low, middle and high of the voltage that goes with a current: read in the same attempt, else the bank's."""
    if read is not None and read.value is not None:
        low, high = limits_of(read)
        return low, read.value, high
    bank = design.get(Sheet.storage.voltage)
    # A bank under charge stands above its nominal voltage, up to a fifth.
    return None if bank is None else (float(bank), 1.1 * float(bank), 1.2 * float(bank))


def _wind(review: OfRevision, m: Measurement) -> tuple[float, float] | None:
    """Wind of a reading at the rotor, carried there from the height at which it blew, where that is known."""
    if m.wind_low is None or m.wind_high is None:
        return None
    low, high = (review.sheet.system.at_rotor(V, m.wind_height) for V in (m.wind_low, m.wind_high))
    return None if isinstance(low, Unknown) or isinstance(high, Unknown) else (float(low), float(high))
