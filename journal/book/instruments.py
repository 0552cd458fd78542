"""Instruments: meters, with the accuracy that their data sheets state."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlmodel import Session

from journal.book.kinds import Kind, a_text
from journal.book.plain_text import clean_line, clean_text
from journal.book.records import add_record
from journal.book.tables import Instrument
from journal.book.written import text
from journal.errors import BadInput

if TYPE_CHECKING:
    from calc.evidence.uncertainty import Accuracy

ACCEPTED = "Like '0.8 % + 3 digits', as the data sheet of the meter states it"


def read_accuracy(typed: str) -> Accuracy:
    """What a data sheet states, from a text such as ``0.8 % + 3 digits``.

    Raises
    ------
    BadInput
        If it cannot be read, or is a share of a range that no reading names.
    """
    from calc.evidence import uncertainty

    try:
        stated = uncertainty.accuracy(typed)
    except ValueError:
        raise BadInput(f"Cannot read {typed!r} as an accuracy", ACCEPTED) from None
    if stated.of_range:
        raise BadInput(
            f"{typed!r} is a share of a range, and the range in use is not logged with a reading",
            'Log such a meter without it, and give each reading its own limits with --doubt, like --doubt "0.4 V"',
        )
    return stated


def _accuracy(typed: str) -> str:
    """The text, once it is known to be readable."""
    stated = clean_text(typed, "Accuracy", limit=200)
    read_accuracy(stated)
    return stated


KIND = Kind(
    Instrument,
    readers={"name": a_text("The name", limit=200), "accuracy": _accuracy, "note": a_text("Note")},
)


def log_instrument(session: Session, name: str, accuracy: str | None = None, note: str | None = None) -> Instrument:
    """Log a meter, with its accuracy as its data sheet states it.

    Raises
    ------
    BadInput
        If the accuracy cannot be read.
    """
    return add_record(
        session,
        Instrument,
        accuracy=None if accuracy is None else _accuracy(accuracy),
        name=clean_line(name, "The name", limit=200),
        note=text(note, "Note"),
    )
