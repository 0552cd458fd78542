"""Measurements: what was read, and what should have been and was not."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from calc.quantities import FORMED, QUANTITIES
from journal.book.heard import hear, hearing
from journal.book.instruments import ACCEPTED, read_accuracy
from journal.book.kinds import Kind, a_day, a_day_ahead, a_line, a_text, a_word, session_of
from journal.book.on_blade import permit_reading
from journal.book.plain_quantity import plain_number
from journal.book.plain_text import clean_text
from journal.book.quantity import parse, parse_with
from journal.book.records import add_record, find_record, find_revision, get_record
from journal.book.tables import LOAD_STATES, Attempt, Instrument, Measurement, Revision
from journal.book.written import read_wind, read_wind_height, when, word
from journal.errors import MISTYPED, BadInput, by_last_part, nearest, stopped

_OVER_RANGE = re.compile(r"o\.?l\.?|0\.?l\.?|over[ -]?(range|limit|load)|open( circuit)?|infinit[ye]", re.IGNORECASE)
_METER = re.compile(r"I\d{1,9}", re.IGNORECASE)


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
    from journal.book import naming

    if (said := naming.by_unit(name)) != name.strip():
        found = quantity_named(said)
        hear(f"{name} = {found}")
        return found
    known = naming.quantities()
    close = nearest(name.strip().casefold(), QUANTITIES, MISTYPED)
    matches = matches or naming.usual_first(naming.meant(name, known) or ([] if close else naming.about(name, known)))
    if len(matches) == 1:
        hear(f"{name} = {matches[0]}")
        return matches[0]
    close = close or nearest(name.strip().casefold(), QUANTITIES)
    hint = f"Meant: {' or '.join(matches)}?" if matches else f"Did you mean {close}?" if close else ""
    raise BadInput(f"There is no quantity called {name!r}", hint or "See the names with: galebook names --measured")


def form_named(typed: str) -> str:
    """In what form a voltage without load was read, of those in which the sheet's constant can be.

    Raises
    ------
    BadInput
        If it is none of these.
    """
    from calc.machine.catalogue import Sheet

    asked = Sheet.generator.emf_form
    return str(word(typed, asked.choices, "Form", asked.also))


def name_and_value(first: str | None, second: str | None) -> tuple[str | None, str | None, bool]:
    """A quantity and its value in whichever order they were typed, and whether the value came first.

    Alone, what is no name of a quantity is a value.
    """
    if first is None or _is_quantity(first):
        return first, second, False
    if second is None:
        return (None, first, False) if any(c.isdigit() for c in first) else (first, None, False)
    return (second, first, True) if _is_quantity(second) or first[:1].isdigit() else (first, second, False)


def _is_quantity(name: str) -> bool:
    return len(by_last_part(name, QUANTITIES)) == 1


def read_measurement(quantity: str, typed: str, doubt: str | None = None) -> dict[str, Any]:
    """Read a value as typed into the columns of its record."""
    asked = QUANTITIES[quantity]
    if asked.open_ended and _OVER_RANGE.fullmatch(typed.strip()):
        raise BadInput(
            f"{asked.meaning}: {typed.strip()!r} tells only that it lies beyond the range of the meter",
            "Type the end of that range, like 'over 2 kohm'",
        )
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


def heard_of(quantity: str, typed: str | None) -> str | None:
    """How a value was read, as it was told when it was typed; None where it was typed in its plain form."""
    with hearing() as heard, suppress(BadInput):
        if typed is not None:
            read_measurement(quantity, typed)
    return next(iter(heard), "").removeprefix(f"{QUANTITIES[quantity].meaning}: ") or None


def read_within(quantity: str, typed: str, accuracy: str) -> dict[str, Any]:
    """Read a value with the limits that the data sheet of the meter sets, such as ``0.8 % + 3 digits``.

    The last digit is that of the value as typed: 12.50 V counts in hundredths, 12.5 V in tenths. A value typed
    as an interval keeps its own limits.
    """
    asked = QUANTITIES[quantity]
    parts = plain_number(parse(typed, asked, asked.meaning).plain or typed)
    if parts is None:
        return read_measurement(quantity, typed)
    number, unit = parts
    last_digit = 10.0 ** -len(number.partition(".")[2])
    try:
        half = read_accuracy(accuracy).limit(float(number), resolution=last_digit)
    except ValueError as e:
        raise BadInput(f"Accuracy {accuracy!r}: {e}", ACCEPTED) from None
    return read_measurement(quantity, typed, f"{half:.4g} {unit}".strip())


def _other_value(m: Measurement, typed: str) -> dict[str, Any]:
    """A reading's value read anew, with the accuracy of its meter where it has one."""
    return _read_anew(m, m.quantity, typed)


def _read_anew(m: Measurement, quantity: str, typed: str) -> dict[str, Any]:
    meter: Instrument | None = get_record(session_of(m), Instrument, m.instrument_id)
    value = _value(quantity, MeasurementTyped(quantity, typed), meter)
    _permit(m, quantity, m.where, value.get("value"))
    return value


def _other_place(m: Measurement, typed: str) -> dict[str, Any]:
    """Where a reading was taken; of a blade, a mark at which what was read can be."""
    where = a_text("Where")(typed)
    _permit(m, m.quantity, where, m.value)
    return {"where": where}


def _permit(m: Measurement, quantity: str, where: str | None, value: float | None) -> None:
    session = session_of(m)
    permit_reading(session, get_record(session, Revision, m.revision_id), quantity, where, value)


def _other_quantity(m: Measurement, typed: str) -> dict[str, Any]:
    """What a reading is of, with its value read in the units of that; or with another value behind the name."""
    name, _, value = typed.strip().partition(" ")
    quantity = quantity_named(name)
    if value:
        return {"quantity": quantity, **_read_anew(m, quantity, value)}
    if m.typed is None:
        return {"quantity": quantity}
    try:
        read = read_measurement(quantity, m.typed)
        # A doubt given apart, or that of the meter, holds for the value whatever it is of.
        again = read_measurement(quantity, m.typed, m.doubt) if m.doubt and read["doubt"] is None else read
    except BadInput as e:
        like = f"{quantity} {QUANTITIES[quantity].example}"
        raise BadInput(e.what, f'{stopped(e.accepted)} Its value goes behind it: quantity="{like}"') from None
    return {"quantity": quantity, **again}


def _other_attempt(m: Measurement, typed: str) -> dict[str, Any]:
    """The attempt a reading was made in, or none. What it had from the former one it now has from this one."""
    session = session_of(m)
    if typed.strip().casefold() == "none":
        return {"attempt_id": None}
    former: Attempt | None = get_record(session, Attempt, m.attempt_id)
    tried = find_record(session, typed, Attempt)
    columns: dict[str, Any] = {"attempt_id": tried.key, "revision_id": tried.revision_id}
    if former is None:
        return columns
    had, has = _taken_over(former), _taken_over(tried)
    for together in (("taken",), ("wind", "wind_low", "wind_high", "wind_height"), ("load_state",)):
        # What it had from the former attempt goes with that, also where this one knows nothing of it.
        if all(getattr(m, name) == had[name] for name in together):
            columns |= {name: has[name] for name in together}
    return columns


KIND = Kind(
    Measurement,
    readers={
        "load_state": a_word("Load", LOAD_STATES),
        "where": a_text("Where"),
        "instrument": a_text("Instrument"),
        "conditions": a_text("Conditions"),
        "taken": a_day("Taken"),
        "due": a_day_ahead("Promised until"),
        "read_by": a_line("Read by", limit=200),
        "form": form_named,
        "private_note": a_text("Note"),
    },
    together={
        "quantity": _other_quantity,
        "value": _other_value,
        "attempt": _other_attempt,
        "where": _other_place,
        "wind": lambda _, typed: read_wind(typed),
        "wind_height": lambda _, typed: {"wind_height": read_wind_height(typed)},
    },
    fixed=("typed", "due_typed", "low", "high", "doubt", "missing_because", "wind_low", "wind_high", "taken_typed"),
    called={"when": "taken", "load": "load_state", "note": "private_note"},
)


@dataclass(frozen=True, slots=True)
class MeasurementTyped:
    """What a person typed of a measurement.

    ``attempt`` is the one in which it was read, else ``on`` the revision, else the newest; ``missing`` is why there
    is no value, and ``due`` until when it is to be read; ``instrument`` is words, or one that was logged, such as
    ``I1``.
    """

    quantity: str
    value: str | None = None
    attempt: str | None = None
    on: str | None = None
    doubt: str | None = None
    missing: str | None = None
    due: str | None = None
    load_state: str | None = None
    where: str | None = None
    instrument: str | None = None
    conditions: str | None = None
    wind: str | None = None
    wind_height: str | None = None
    taken: str | None = None
    private_note: str | None = None
    read_by: str | None = None
    form: str | None = None


def log_measurement(session: Session, typed: MeasurementTyped) -> Measurement:
    """Log a measurement, or that it was not taken and why.

    Wind, load and date are taken over from the attempt where they are not given.

    Raises
    ------
    BadInput
        If both a value and a reason for its absence are given, or neither.
    """
    read = columns_of(typed, around(session, typed), beside_value(typed))
    return add_record(session, Measurement, **read)


@dataclass(frozen=True, slots=True)
class Around:
    """What a measurement belongs to: its revision, and its attempt and its logged meter where it has them."""

    on: Revision
    tried: Attempt | None
    meter: Instrument | None


def around(session: Session, typed: MeasurementTyped) -> Around:
    """Look up what a measurement belongs to."""
    tried = find_record(session, typed.attempt, Attempt) if typed.attempt else None
    to = get_record(session, Revision, tried.revision_id) if tried else find_revision(session, typed.on)
    named = typed.instrument if typed.instrument and _METER.fullmatch(typed.instrument.strip()) else None
    return Around(to, tried, find_record(session, named, Instrument) if named else None)


def beside_value(typed: MeasurementTyped) -> dict[str, Any]:
    """The columns of a measurement that are read from what was typed beside its value."""
    return {**KIND.columns(typed), **read_wind(typed.wind, typed.wind_height)}


def columns_of(typed: MeasurementTyped, found: Around, beside: dict[str, Any]) -> dict[str, Any]:
    """All columns of a measurement that is to be logged; of many, what they share is looked up and read but once.

    Raises
    ------
    BadInput
        As :func:`log_measurement`.
    """
    name = quantity_named(typed.quantity)
    if (typed.value is None) == (typed.missing is None):
        raise BadInput(
            f"{QUANTITIES[name].meaning}: give either a value or why there is none",
            f'Like {QUANTITIES[name].example!r}, or --missing "meter left at home"',
        )
    if typed.due is not None and typed.missing is None:
        raise BadInput("A value was given, and a day until which it is to be read", "Leave out --by")
    if typed.form is not None and name not in FORMED:
        raise BadInput(f"{QUANTITIES[name].meaning} has no form", f"Only for {' or '.join(FORMED)}; leave out --form")
    value = _value(name, typed, found.meter)
    permit_reading(session_of(found.on), found.on, name, beside.get("where"), value.get("value"))
    return {
        "revision_id": found.on.key,
        "quantity": name,
        **_taken_over(found.tried),
        **value,
        **beside,
        **({"instrument": found.meter.name, "instrument_id": found.meter.key} if found.meter else {}),
    }


def _taken_over(tried: Attempt | None) -> dict[str, Any]:
    """What a measurement has from its attempt; without one it was taken today."""
    if tried is None:
        return {"taken": when(None)}
    over = {name: getattr(tried, name) for name in ("wind", "wind_low", "wind_high", "wind_height", "load_state")}
    return {"attempt_id": tried.key, "taken": tried.began, **over}


def _value(name: str, typed: MeasurementTyped, meter: Instrument | None) -> dict[str, Any]:
    if typed.missing is not None:
        return {"missing_because": clean_text(typed.missing, "The reason")}
    value = read_measurement(name, typed.value or "", typed.doubt)
    if meter and meter.accuracy and value["doubt"] is None:
        return read_within(name, typed.value or "", meter.accuracy)
    return value
