"""All that waits to be done, each with its command: what is over first, then what hurts most, then what is dated."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from calc.quantities import QUANTITIES
from journal.book.days import latest
from journal.book.papers import has_ended
from journal.book.records import all_records, current_build
from journal.book.tables import Decision, Failure, Measurement, Paper
from journal.book.written import when
from journal.review.loop import UNSAID, loop
from journal.review.wording import lower_first

_NEVER = "9999"


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing to do.

    Parameters
    ----------
    ref : str
        The record that asks for it.
    says : str
        What is to be done.
    how : str
        The command that does it.
    by : str or None
        The day by which it is to be done.
    over : bool
        Whether that day is past.
    weight : float
        What goes first among those without a day: the less the sooner.
    """

    ref: str
    says: str
    how: str
    by: str | None = None
    over: bool = False
    weight: float = 5.0


def todos(session: Session) -> list[Todo]:
    """Failures whose loop is open, decisions to take or to look at again, promised readings, papers that run out."""
    build, today = current_build(session), when("today")
    found = [t for f in all_records(session, Failure, build) if (t := _of_failure(session, f))]
    found += [t for d in all_records(session, Decision, build) if (t := _of_decision(d, today))]
    found += _promised(all_records(session, Measurement, build), today)
    found += [_of_paper(p, today) for p in all_records(session, Paper, build) if p.until is not None]
    return sorted(found, key=lambda t: (not t.over, t.by is not None and not t.over, t.by or "", t.weight))


def _of_failure(session: Session, failure: Failure) -> Todo | None:
    state = loop(session, failure)
    if not state.next_step:
        return None
    needs = f"; {state.move.needs}" if state.move.needs else ""
    says = f"{lower_first(failure.saw).rstrip('.')}: {state.todo}{needs}"
    # What waits for a wind comes after what can be done at the desk.
    return Todo(failure.ref, says, state.how, weight=(failure.severity or UNSAID) + 5 * state.move.waits)


def _of_decision(d: Decision, today: str) -> Todo | None:
    if d.decided_on is None:
        return Todo(d.ref, f"to be taken: {d.question}", f"galebook weigh {d.ref}", weight=4.0)
    if d.until is not None:
        return _dated(d.ref, f"accepted for now: {d.question}", f"galebook show {d.ref}", d.until, today)
    if d.expected and d.result is None:
        says = f"did it come true: {d.expected.rstrip('.')}"
        return _dated(d.ref, says, f'galebook outcome {d.ref} "..."', d.review_on, today)
    return None


def _promised(readings: list[Measurement], today: str) -> list[Todo]:
    """Readings that are promised and were not taken since, on the same revision."""
    waiting = [m for m in readings if m.due is not None]
    taken = {(m.quantity, m.revision_id): m.number for m in readings if m.value is not None}
    return [
        _dated(
            m.ref,
            f"to be read: {lower_first(QUANTITIES[m.quantity].meaning)} ({m.missing_because})",
            f'galebook measure {m.quantity} "{QUANTITIES[m.quantity].example}"',
            m.due,
            today,
        )
        for m in waiting
        if taken.get((m.quantity, m.revision_id), 0) < m.number
    ]


def _of_paper(p: Paper, today: str) -> Todo:
    what = f"{p.kind} {'is over' if has_ended(p, today) else 'runs out'}: {p.what}"
    return _dated(p.ref, what, f"galebook show {p.ref}", p.until, today)


def _dated(ref: str, says: str, how: str, by: str | None, today: str) -> Todo:
    return Todo(ref, says, how, by, latest(by or _NEVER) < today)
