"""Attempts: dated tries on one revision. The first one freezes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from journal.book import revisions
from journal.book.kinds import Kind, a_day, a_text, a_word
from journal.book.plain_quantity import Wanted
from journal.book.quantity import parse
from journal.book.records import add_record, find_revision, records_in
from journal.book.tables import ATTEMPT_KINDS, LOAD_STATES, OUTCOMES, Attempt, Failure, Measurement, Numbered
from journal.book.written import in_order, read_wind, read_wind_height, when

_DURATION = Wanted("s", "h", 0.0, 1e9, "20 h")


def read_hours(typed: str) -> float:
    """Hours from a text such as ``20 h``."""
    return parse(typed, _DURATION, "Hours").value / 3600


KIND = Kind(
    Attempt,
    readers={
        "kind": a_word("Kind", ATTEMPT_KINDS),
        "began": a_day("Began"),
        "ended": a_day("Ended"),
        "did": a_text("What was done"),
        "saw": a_text("What was seen"),
        "outcome": a_word("Outcome", OUTCOMES),
        "load_state": a_word("Load", LOAD_STATES),
        "wind_how": a_text("How the wind was known"),
        "hours": read_hours,
        "private_note": a_text("Note"),
    },
    together={
        "wind": lambda _, typed: read_wind(typed),
        "wind_height": lambda _, typed: {"wind_height": read_wind_height(typed)},
    },
    fixed=("wind_low", "wind_high", "began_typed", "ended_typed"),
    called={"when": "began", "until": "ended", "load": "load_state", "note": "private_note"},
)


@dataclass(frozen=True, slots=True)
class AttemptTyped:
    """What a person typed of an attempt; ``on`` is the revision, else the newest."""

    did: str
    on: str | None = None
    kind: str | None = None
    began: str | None = None
    ended: str | None = None
    outcome: str | None = None
    saw: str | None = None
    wind: str | None = None
    wind_height: str | None = None
    wind_how: str | None = None
    load_state: str | None = None
    hours: str | None = None
    private_note: str | None = None


def move_days(session: Session, attempt: Attempt, began: str, ended: str | None) -> list[str]:
    """Let readings and failures that had their day from an attempt go with it when that is put right.

    Parameters
    ----------
    began, ended : str
        The days of the attempt before.

    Returns
    -------
    refs : list of str
        What went with it.
    """
    went: list[Numbered] = []
    for reading in records_in(session, Measurement, attempt):
        if reading.taken == began != attempt.began and reading.taken_typed is None:
            reading.taken = attempt.began
            went.append(reading)
    last, now = ended or began, attempt.ended or attempt.began
    for failure in records_in(session, Failure, attempt):
        if failure.happened == last != now and failure.happened_typed is None:
            failure.happened = now
            went.append(failure)
    session.add_all(went)
    return [record.ref for record in went]


def log_attempt(session: Session, typed: AttemptTyped) -> Attempt:
    """Log an attempt.

    Raises
    ------
    BadInput
        If a word, date, wind or duration cannot be used.
    """
    to, columns = find_revision(session, typed.on), read_attempt(typed)
    attempt = add_record(session, Attempt, revision_id=to.key, **columns)
    revisions.freeze(session, to)
    session.flush()
    return attempt


def read_attempt(typed: AttemptTyped) -> dict[str, Any]:
    """The columns of an attempt that is to be logged.

    Raises
    ------
    BadInput
        As :func:`log_attempt`.
    """
    left_out = {"kind": "run", "outcome": "not said", "began": when(None)}
    columns = {**left_out, **KIND.columns(typed), **read_wind(typed.wind, typed.wind_height)}
    in_order(columns["began"], columns.get("ended"))
    return columns
