"""Minute means of what loggers wrote of a revision."""

from __future__ import annotations

from sqlmodel import Session

from calc.curve.base import MinuteMeans
from journal.book.tables import Attempt, Revision


def minute_means(session: Session, revision: Revision | None = None, *, attempt: Attempt | None = None) -> MinuteMeans:
    """Means over whole minutes of all that loggers wrote.

    Parameters
    ----------
    session : Session
        The journal.
    revision : Revision or None
        Whose files; None for those that belong to the build alone, such as a wind logger's before anything is built.
    attempt : Attempt or None
        Only files of this attempt.

    Returns
    -------
    means : MinuteMeans
        In order of time, of several files joined; without any file it has no entries.
    """
    raise NotImplementedError
