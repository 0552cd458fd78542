"""Readings by the thousand: read from the journal at once, and laid together where they are many.

Rules and mechanisms see every reading of a revision as long as these are few. Of a quantity that was read oftener than
:data:`MANY` times with the same thing connected, those in one step of wind stand together, as in the method of bins of
IEC 61400-12-1 (steps of half a metre a second): the one in the middle is judged, and it is told for how many it stands
and between what they lie. So what is judged grows with winds and loads, and not with every row of a logger.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from sqlmodel import Session, col, select

from calc.quantities import WINDY
from journal.book.days import earliest, latest, order
from journal.book.tables import Attempt, Failure, Measurement, Revision

#: Readings of one quantity under one load that are judged one by one. Own choice.
MANY = 24
#: Width of the steps of wind. IEC 61400-12-1, method of bins. [m/s]
STEP = 0.5


class Taken(NamedTuple):
    """One reading as the numbers need it, without what was written beside it; see :class:`Measurement`."""

    number: int
    quantity: str
    value: float | None
    low: float | None
    high: float | None
    load_state: str | None
    wind_low: float | None
    wind_high: float | None
    wind_height: float | None
    taken: str
    attempt_id: int | None
    form: str | None = None

    @property
    def ref(self) -> str:
        """Its reference, such as ``M12``."""
        return f"{Measurement.letter}{self.number}"


@dataclass(frozen=True, slots=True)
class Told:
    """A reading as the rules see it: by itself, or as the middle of several.

    Parameters
    ----------
    reading : Taken
        The one that is judged.
    count : int
        For how many it stands; 1 where it stands for itself.
    least, most : float
        Between what they lie. [SI]
    wind : tuple of float or None
        Limits of the wind of all of them. [m/s]
    last : str
        Day of the newest of them.
    """

    reading: Taken
    count: int
    least: float
    most: float
    wind: tuple[float | None, float | None]
    last: str


def taken_on(session: Session, revision: Revision) -> tuple[Taken, ...]:
    """Every reading of a revision, by number, those that are missing or were withdrawn left out."""
    columns = [getattr(Measurement, name) for name in Taken._fields]
    rows = session.execute(
        select(*columns)
        .where(
            Measurement.revision_id == revision.key,
            col(Measurement.withdrawn_because).is_(None),
            col(Measurement.value).is_not(None),
        )
        .order_by(col(Measurement.number))
    )
    return tuple(Taken._make(row) for row in rows)


def failing_days(session: Session, revision: Revision) -> list[str]:
    """Days from which on something had failed on a revision, in order; vague ones as they are kept."""
    rows = session.execute(
        select(Failure.happened, Attempt.began)
        .join(Attempt, col(Failure.attempt_id) == Attempt.id, isouter=True)
        .where(Failure.revision_id == revision.key, col(Failure.withdrawn_because).is_(None))
    )
    return sorted({began or happened for happened, began in rows}, key=order)


def together(readings: Sequence[Taken], days: Sequence[str]) -> list[Told]:
    """Readings as the rules see them: few of a kind one by one, many by steps of wind.

    What does not move with the wind may tell what a failure left behind: such readings are never laid together over
    one of the ``days`` on which something failed, nor where a vague one leaves it open on which side they lie.
    """
    kinds: dict[tuple[str, str | None, str | None], list[Taken]] = {}
    for m in readings:
        kinds.setdefault((m.quantity, m.load_state, m.form), []).append(m)
    many = {key for key, some in kinds.items() if len(some) > MANY}
    told = [_one(m) for m in readings if (m.quantity, m.load_state, m.form) not in many]
    for key in many:
        told += [_one(*some) for some in _steps(kinds[key], days)]
    return sorted(told, key=lambda t: t.reading.number)


def _steps(some: Iterable[Taken], days: Sequence[str]) -> Iterable[list[Taken]]:
    steps: dict[tuple[object, ...], list[Taken]] = {}
    begun, over = sorted(map(earliest, days)), sorted(map(latest, days))
    for m in some:
        since: tuple[int, ...] = (0,)
        if m.quantity not in WINDY:
            surely, perhaps = bisect_right(over, earliest(m.taken)), bisect_right(begun, latest(m.taken))
            since = (surely,) if surely == perhaps else (surely, perhaps, m.number)
        wind = [None if V is None else round(V / STEP) for V in (m.wind_low, m.wind_high)]
        steps.setdefault((since, m.wind_height, *wind), []).append(m)
    return steps.values()


def _one(*some: Taken) -> Told:
    """The reading in the middle of some, and between what they lie."""
    ordered = sorted(some, key=lambda m: (m.value or 0.0, m.number))
    middle = ordered[(len(ordered) - 1) // 2]
    winds = {(m.wind_low, m.wind_high) for m in some}
    return Told(
        middle,
        len(some),
        ordered[0].value or 0.0,
        ordered[-1].value or 0.0,
        winds.pop() if len(winds) == 1 else _step_of(middle),
        max(latest(m.taken) for m in some),
    )


def _step_of(m: Taken) -> tuple[float | None, float | None]:
    """The whole step of wind in which a reading lies, so that all that is read in it is asked of the same winds."""
    if m.wind_low is None or m.wind_high is None:
        return m.wind_low, m.wind_high
    low, high = (STEP * round(V / STEP) for V in (m.wind_low, m.wind_high))
    return max(low - STEP / 2, 0.0), high + STEP / 2
