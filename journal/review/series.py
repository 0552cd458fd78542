"""Many readings of one quantity in one attempt, told in one line: how many, least, middle, most, and when."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

from sqlmodel import Session, col, select

from calc.quantities import QUANTITIES
from calc.units import show
from journal.book.days import surely_within
from journal.book.readings import Taken
from journal.book.records import records_on
from journal.book.tables import Measurement, Revision
from journal.review.verdict import limits_text
from journal.review.wording import days_text, lower_first, range_text

M = TypeVar("M", Taken, Measurement)

#: Readings of one quantity in one attempt that are told one by one. Own choice.
SINGLY = 12
#: Numbers that are asked for in one query.
_AT_ONCE = 500


@dataclass(frozen=True)
class Series:
    """Readings of one quantity, under one load, in one attempt (or apart from any).

    Parameters
    ----------
    quantity : str
        What was read.
    load_state : str or None
        What was connected.
    attempt_id : int or None
        The attempt.
    count : int
        How many.
    first, last : str
        References of the lowest and the highest number.
    lowest, middle, highest : float
        The least, the middle one and the most. [SI]
    low, high : float or None
        Limits of the middle one, as typed.
    wind : tuple of float, or None
        Between what the wind lay; None where no reading has one. [m/s]
    began, ended : str
        First and last day.
    trace : tuple of (float, float, float)
        The least, the middle one and the most of each step, in the order of their numbers, in at most :data:`STEPS`
        steps. [SI]
    """

    quantity: str
    load_state: str | None
    attempt_id: int | None
    count: int
    first: str
    last: str
    lowest: float
    middle: float
    highest: float
    low: float | None
    high: float | None
    wind: tuple[float, float] | None
    began: str
    ended: str
    trace: tuple[tuple[float, float, float], ...] = ()


#: Steps in which a series is drawn, however long it is.
STEPS = 60


def series_of(some: Sequence[M]) -> Series:
    """Sum readings of one quantity up; each has a value."""
    by_value = sorted(some, key=lambda m: (m.value or 0.0, m.number))
    middle = by_value[(len(some) - 1) // 2]
    numbers, days = sorted(some, key=lambda m: m.number), surely_within([m.taken for m in some])
    winds = [V for m in some for V in (m.wind_low, m.wind_high) if V is not None]
    return Series(
        middle.quantity, middle.load_state, middle.attempt_id, len(some), numbers[0].ref, numbers[-1].ref,
        by_value[0].value or 0.0, middle.value or 0.0, by_value[-1].value or 0.0, middle.low, middle.high,
        (min(winds), max(winds)) if winds else None, *days, _trace([m.value or 0.0 for m in numbers]),
    )  # fmt: skip


def _trace(values: list[float]) -> tuple[tuple[float, float, float], ...]:
    """Values in order, summed up in steps."""
    ends = [round(i * len(values) / STEPS) for i in range(STEPS + 1)] if len(values) > STEPS else range(len(values) + 1)
    steps = [sorted(values[a:b]) for a, b in pairwise(ends)]
    return tuple((step[0], step[len(step) // 2], step[-1]) for step in steps if step)


def series_text(s: Series) -> str:
    """A series in one line."""
    q = QUANTITIES[s.quantity]
    load = "" if s.load_state in (None, "not known") else f", {s.load_state}"
    wind = "" if s.wind is None else f"; wind {range_text(*s.wind, 'm/s')}"
    lowest, highest = (show(v, q.shown) for v in (s.lowest, s.highest))
    return (
        f"{s.count} readings of the {lower_first(q.meaning)}, {s.first} to {s.last}{load}: lowest {lowest}, "
        f"middle {show(s.middle, q.shown)}{limits_text(s.low, s.high, q.shown)}, highest {highest}{wind}; "
        f"{days_text(s.began, s.ended)}"
    )


def parted(readings: Iterable[M], *, apart: bool = True) -> tuple[list[M], list[Series]]:
    """Readings that are told one by one, and series of the others, both by number.

    With ``apart`` each attempt has its own series.
    """
    kinds: dict[tuple[int | None, str, str | None], list[M]] = {}
    singly: list[M] = []
    for m in readings:
        if m.value is None:
            singly.append(m)
        else:
            kinds.setdefault((m.attempt_id if apart else None, m.quantity, m.load_state), []).append(m)
    many = [some for some in kinds.values() if len(some) > SINGLY]
    singly += [m for some in kinds.values() if len(some) <= SINGLY for m in some]
    return sorted(singly, key=lambda m: m.number), [series_of(some) for some in many]


def told_on(session: Session, of: Revision, readings: Iterable[Taken]) -> tuple[list[Measurement], list[Series]]:
    """Records of the readings of a revision that are told one by one, and series of the others.

    Parameters
    ----------
    readings : iterable of Taken
        All of the revision.
    """
    singly, many = parted(readings)
    if not many:
        return records_on(session, Measurement, of), []
    on = select(Measurement).where(
        Measurement.revision_id == of.key, col(Measurement.withdrawn_because).is_(None)
    )  # fmt: skip
    numbers = [m.number for m in singly]
    found: list[Measurement] = list(session.exec(on.where(col(Measurement.value).is_(None))))
    for i in range(0, len(numbers), _AT_ONCE):
        found += session.exec(on.where(col(Measurement.number).in_(numbers[i : i + _AT_ONCE])))
    return sorted(found, key=lambda m: m.number), many
