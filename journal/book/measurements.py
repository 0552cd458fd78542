"""Measurements: what was read, and what should have been and was not."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from sqlmodel import Session

from calc.quantities import QUANTITIES
from journal.book.common import add, find, get, revision, text, when, wind, word
from journal.book.quantity import clean, parse_with, plain_number
from journal.book.tables import LOAD_STATES, Attempt, Instrument, Measurement, Revision
from journal.errors import BadInput, by_last_part, nearest

if TYPE_CHECKING:
    from calc.evidence.uncertainty import Accuracy

_METER = re.compile(r"I\d{1,9}", re.IGNORECASE)
_ACCURACY = "Like '0.8 % + 3 digits', as the data sheet of the meter states it"


def quantity_named(name: str) -> str:
    """The catalogue's name of a quantity; its last part is enough where it is unmistakable.

    Raises
    ------
    BadInput
        With the nearest right name.
    """
    matches = by_last_part(name, QUANTITIES)
    if len(matches) == 1:
        return matches[0]
    close = nearest(name.strip().casefold(), QUANTITIES)
    hint = f"Meant: {' or '.join(matches)}?" if matches else f"Did you mean {close}?" if close else ""
    raise BadInput(f"There is no quantity called {name!r}", hint or "See the names with: galebook names --measured")


def read(quantity: str, typed: str, doubt: str | None = None) -> dict[str, Any]:
    """Read a value as typed into the columns of its record."""
    asked = QUANTITIES[quantity]
    reading = parse_with(typed, doubt, asked, asked.meaning)
    value = reading.value
    return {
        "typed": reading.typed,
        "value": value,
        "low": value if reading.low is None else reading.low,
        "high": value if reading.high is None else reading.high,
        "doubt": reading.doubt,
        "missing_because": None,
    }


def within(quantity: str, typed: str, accuracy: str) -> dict[str, Any]:
    """Read a value with the limits that the data sheet of the meter sets, such as ``0.8 % + 3 digits``.

    The last digit is that of the value as typed: 12.50 V counts in hundredths, 12.5 V in tenths. A value typed
    as an interval keeps its own limits.
    """
    parts = plain_number(typed)
    if parts is None:
        return read(quantity, typed)
    number, unit = parts
    last_digit = 10.0 ** -len(number.partition(".")[2])
    try:
        half = _accuracy(accuracy).limit(float(number), resolution=last_digit)
    except ValueError as e:
        raise BadInput(f"Accuracy {accuracy!r}: {e}", _ACCURACY) from None
    return read(quantity, typed, f"{half:.4g} {unit}".strip())


def _accuracy(typed: str) -> Accuracy:
    from calc.evidence import uncertainty

    try:
        stated = uncertainty.accuracy(typed)
    except ValueError:
        raise BadInput(f"Cannot read {typed!r} as an accuracy", _ACCURACY) from None
    if stated.of_range:
        raise BadInput(
            f"{typed!r} is a share of a range, and the range in use is not logged with a reading",
            'Log such a meter without it, and give each reading its own limits with --doubt, like --doubt "0.4 V"',
        )
    return stated


def instrument(session: Session, name: str, accuracy: str | None = None, note: str | None = None) -> Instrument:
    """Log a meter, with its accuracy as its data sheet states it.

    Raises
    ------
    BadInput
        If the accuracy cannot be read.
    """
    stated = text(accuracy, "Accuracy", limit=200)
    if stated is not None:
        _accuracy(stated)
    return add(
        session,
        Instrument,
        name=clean(name, "The name", limit=200),
        accuracy=stated,
        note=text(note, "Note"),
    )


def log(
    session: Session,
    quantity: str,
    typed: str | None = None,
    *,
    attempt: str | None = None,
    on: str | None = None,
    doubt: str | None = None,
    missing: str | None = None,
    load: str | None = None,
    where: str | None = None,
    instrument: str | None = None,
    conditions: str | None = None,
    wind_typed: str | None = None,
    wind_height: str | None = None,
    taken: str | None = None,
    note: str | None = None,
) -> Measurement:
    """Log a measurement, or with ``missing`` that it was not taken and why.

    Wind, load and date are taken over from the attempt where they are not given.

    Raises
    ------
    BadInput
        If both a value and a reason for its absence are given, or neither.
    """
    name = quantity_named(quantity)
    if (typed is None) == (missing is None):
        raise BadInput(
            f"{QUANTITIES[name].meaning}: give either a value or why there is none",
            f'Like {QUANTITIES[name].example!r}, or --missing "meter left at home"',
        )
    of = find(session, attempt, Attempt) if attempt else None
    to = get(session, Revision, of.revision_id) if of else revision(session, on)
    inherited = {name: getattr(of, name) for name in ("wind", "wind_low", "wind_high", "wind_height")} if of else {}
    meter = find(session, instrument, Instrument) if instrument and _METER.fullmatch(instrument.strip()) else None
    value = {"missing_because": clean(missing, "The reason")} if missing is not None else read(name, typed or "", doubt)
    if meter and meter.accuracy and missing is None and value["doubt"] is None:
        value = within(name, typed or "", meter.accuracy)
    return add(
        session,
        Measurement,
        revision_id=to.key,
        attempt_id=of.key if of else None,
        quantity=name,
        **value,
        load_state=word(load, LOAD_STATES, "Load") or (of.load_state if of else None),
        where=text(where, "Where"),
        instrument=meter.name if meter else text(instrument, "Instrument"),
        instrument_id=meter.key if meter else None,
        conditions=text(conditions, "Conditions"),
        **(wind(wind_typed, wind_height) or inherited),
        taken=when(taken, "Taken") if taken or not of else of.began,
        private_note=text(note, "Note"),
    )
