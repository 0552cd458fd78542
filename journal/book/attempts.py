"""Attempts: dated tries on one revision. The first one freezes it."""

from __future__ import annotations

from sqlmodel import Session

from journal.book import revisions
from journal.book.common import add, in_order, revision, text, when, wind, word
from journal.book.quantity import Wanted, clean, parse
from journal.book.tables import ATTEMPT_KINDS, LOAD_STATES, OUTCOMES, Attempt

_DURATION = Wanted("s", "h", 0.0, 1e9, "20 h")


def duration(typed: str) -> float:
    """Hours from a text such as ``20 h``."""
    return parse(typed, _DURATION, "Hours").value / 3600


def log(
    session: Session,
    did: str,
    *,
    on: str | None = None,
    kind: str = "run",
    began: str | None = None,
    ended: str | None = None,
    outcome: str = "partly",
    saw: str | None = None,
    wind_typed: str | None = None,
    wind_height: str | None = None,
    wind_how: str | None = None,
    load: str | None = None,
    hours: str | None = None,
    note: str | None = None,
) -> Attempt:
    """Log an attempt.

    Raises
    ------
    BadInput
        If a word, date, wind or duration cannot be used.
    """
    to = revision(session, on)
    start, end = when(began, "Began"), None if ended is None else when(ended, "Ended")
    in_order(start, end)
    attempt = add(
        session,
        Attempt,
        revision_id=to.key,
        kind=word(kind, ATTEMPT_KINDS, "Kind"),
        began=start,
        ended=end,
        did=clean(did, "What was done"),
        saw=text(saw, "What was seen"),
        outcome=word(outcome, OUTCOMES, "Outcome"),
        load_state=word(load, LOAD_STATES, "Load"),
        **wind(wind_typed, wind_height),
        wind_how=text(wind_how, "How the wind was known"),
        hours=None if hours is None else duration(hours),
        private_note=text(note, "Note"),
    )
    revisions.freeze(session, to)
    session.flush()
    return attempt
