"""Expectations that a reading can settle: how likely the numbers hold them, and whether they came true."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from sqlmodel import Session, col, select

from calc.machine.inputs import Inputs, Unknown
from calc.machine.site import at_hub
from calc.quantities import QUANTITIES
from calc.units import show
from journal.book import measurements, sheet
from journal.book.kinds import typed_beside
from journal.book.plain_text import clean_text
from journal.book.quantity import parse
from journal.book.readings import STEP
from journal.book.records import all_records, current_build, find_record, get_record
from journal.book.tables import RESULTS, Decision, Measurement, Revision
from journal.book.written import past, read_wind, text, word
from journal.errors import BadInput, Refused
from journal.review import verdict
from journal.review.wording import range_text

_SENTENCE = re.compile(r"\s*(\S+)\s+(above|over|more than|>|below|under|less than|<)\s+(.+?)\s*", re.IGNORECASE)
#: What settles an expected power in place of a reading, and the wind of one that names none. [m/s]
LOGGER, WITHOUT_WIND = "logger", 8.0
#: Doubts of the curve are taken so that nine in ten lie within: so many standard deviations.
NINE_TENTHS = 1.645
_ABOVE = ("above", "over", "more than", ">")


@dataclass(frozen=True)
class Expected:
    """A reading that is expected: of what, on which side of which value, in what wind."""

    quantity: str
    relation: str
    value: float
    wind: str | None

    @cached_property
    def limits(self) -> tuple[float, float] | None:
        """Limits of that wind, in [m/s]; None where any will do."""
        if not self.wind:
            return None
        limits = read_wind(self.wind)
        return limits["wind_low"], limits["wind_high"]

    @property
    def text(self) -> str:
        """In words."""
        asked = QUANTITIES[self.quantity]
        where = f" in a wind of {self.wind}" if self.wind else ""
        return f"{asked.meaning.lower()} {self.relation} {show(self.value, asked.shown)}{where}"


def read_expectation(sentence: str, wind_typed: str | None) -> Expected:
    """Read an expectation such as ``charge.current above 2 A``.

    Raises
    ------
    BadInput
        If it names no quantity, side and value.
    """
    match = _SENTENCE.fullmatch(clean_text(sentence, "The expected reading", limit=200))
    if not match:
        raise BadInput(f"{sentence!r} is not an expected reading", 'Type it like "charge.current above 2 A"')
    name = measurements.quantity_named(match[1])
    asked = QUANTITIES[name]
    value = parse(match[3], asked, asked.meaning).value
    relation = "above" if match[2].lower() in _ABOVE else "below"
    return Expected(name, relation, value, read_wind(wind_typed)["wind"] if wind_typed else None)


def expectation_of(decision: Decision) -> Expected | None:
    """The reading that a decision expects."""
    if decision.expects_quantity is None or decision.expects_value is None:
        return None
    return Expected(
        decision.expects_quantity, decision.expects_relation or "above", decision.expects_value, decision.expects_wind
    )


def odds(session: Session, of_revision: Revision, expected: Expected) -> float | None:
    """Share of the ways in which the doubtful values and the wind could turn out in which the numbers agree.

    None where the machine cannot be solved or does not show that quantity.
    """
    system = verdict.opened(session, of_revision).system
    x = system.drawn()
    if x is None or x.drawn is None:
        return None
    low, high = (WITHOUT_WIND, WITHOUT_WIND)
    if expected.wind is not None:
        limits = read_wind(expected.wind)
        ends = [at_hub(x, limits[name], limits["wind_height"]) for name in ("wind_low", "wind_high")]
        if isinstance(ends[0], Unknown) or isinstance(ends[1], Unknown):
            return None
        low, high = float(ends[0]), float(ends[1])
    drawn = low + x.drawn.shares("wind of the expected reading") * (high - low)
    found = system.shows(expected.quantity, "battery", np.maximum(drawn, 0.3)[:, None])
    if isinstance(found, Unknown):
        return None
    reached = np.broadcast_to(found, (len(x.drawn), 1))[:, 0]
    return float(np.mean(reached > expected.value if expected.relation == "above" else reached < expected.value))


def result_by_reading(session: Session, decision: Decision, ref: str) -> tuple[str, Measurement]:
    """What a reading says of an expectation: came true, did not, or cannot tell.

    Raises
    ------
    Refused
        If the decision expects no reading, or the reading is of something else, of an earlier revision, or of
        another wind.
    """
    expected, reading = expectation_of(decision), find_record(session, ref, Measurement)
    if expected is None:
        raise Refused(
            f"{decision.ref} expects no reading", "Say what came of it: came true, partly, did not, cannot tell"
        )
    if reading.value is None or reading.quantity != expected.quantity:
        raise Refused(f"{reading.ref} is no reading of {expected.quantity}", f"{decision.ref} expects: {expected.text}")
    decided: Revision = get_record(session, Revision, decision.revision_id)
    taken: Revision = get_record(session, Revision, reading.revision_id)
    if taken.number < decided.number:
        raise Refused(f"{reading.ref} is of {taken.ref}, before {decision.ref} took effect", "Name a later reading")
    if expected.limits and not _in_wind(expected, reading):
        raise Refused(f"{reading.ref} was read in a wind of {reading.wind}", f"{decision.ref} expects: {expected.text}")
    return _came_true(expected, reading), reading


def result_by_logger(session: Session, decision: Decision) -> tuple[str, str]:
    """What the measured curve says of an expected power: came true, did not, or cannot tell; and by what number.

    Raises
    ------
    Refused
        If no power is expected, or no logger wrote of that revision, or a later one, in such a wind.
    """
    expected = expectation_of(decision)
    if expected is None or expected.quantity != "charge.power":
        raise Refused(f"{decision.ref} expects no charging power", "A measured curve settles charge.power alone")
    decided: Revision = get_record(session, Revision, decision.revision_id)
    of = next((r for r in all_records(session, Revision, current_build(session))[::-1]
               if r.number >= decided.number and verdict.opened(session, r).curve), None)  # fmt: skip
    if of is None:
        raise Refused(
            f"No logger wrote of {decided.ref} or what came after it", "Take its files in with: galebook logger FILE"
        )
    values = verdict.opened(session, of)
    low, high = _winds_at_rotor(values.system.inputs(), expected)
    inside = [p for p in values.curve if low - STEP / 2 <= p.wind <= high + STEP / 2]
    if not inside:
        raise Refused(
            f"The logger of {of.ref} holds too little in that wind", f"{decision.ref} expects: {expected.text}"
        )
    ends = [p.power + side * NINE_TENTHS * p.doubt for p in inside for side in (-1.0, 1.0)]
    least, most = min(ends), max(ends)
    sure, impossible = least > expected.value, most < expected.value
    if expected.relation == "below":
        sure, impossible = most < expected.value, least > expected.value
    said = f"by the logger of {of.ref}: {range_text(max(least, 0.0), most, 'W')}"
    return "came true" if sure else "did not" if impossible else "cannot tell", said


def _winds_at_rotor(x: Inputs, expected: Expected) -> tuple[float, float]:
    """Limits of the wind of an expectation at the rotor [m/s]; 8 m/s where it names none, as for its odds."""
    if expected.wind is None:
        return WITHOUT_WIND, WITHOUT_WIND
    limits = read_wind(expected.wind)
    ends = [at_hub(x, limits[name], limits["wind_height"]) for name in ("wind_low", "wind_high")]
    low, high = (limits[name] if isinstance(end, Unknown) else float(np.mean(end))
                 for name, end in zip(("wind_low", "wind_high"), ends, strict=True))  # fmt: skip
    return float(low), float(high)


def _in_wind(expected: Expected, reading: Measurement) -> bool:
    """Whether a reading may have been taken in the wind of an expectation, as far as that is on record."""
    if expected.limits is None or reading.wind_low is None or reading.wind_high is None:
        return True
    return reading.wind_high >= expected.limits[0] and reading.wind_low <= expected.limits[1]


def settling(session: Session, decision: Decision) -> Measurement | None:
    """The newest reading that says whether what a decision expects came true; None where none does."""
    expected = expectation_of(decision)
    if expected is None:
        return None
    decided: Revision = get_record(session, Revision, decision.revision_id)
    fit = (
        select(Measurement)
        .join(Revision, col(Measurement.revision_id) == Revision.id)
        .where(
            Measurement.build_id == decision.build_id,
            Measurement.quantity == expected.quantity,
            col(Measurement.value).is_not(None),
            col(Measurement.withdrawn_because).is_(None),
            Revision.number >= decided.number,
        )
        .order_by(col(Measurement.number).desc())
        .execution_options(yield_per=100)
    )
    for m in session.exec(fit):
        known = not expected.wind or m.wind is not None
        if known and _in_wind(expected, m) and _came_true(expected, m) != "cannot tell":
            return m
    return None


def _came_true(expected: Expected, reading: Measurement) -> str:
    low, high = sheet.limits_of(reading)
    sure, impossible = low > expected.value, high < expected.value
    if expected.relation == "below":
        sure, impossible = high < expected.value, low > expected.value
    return "came true" if sure else "did not" if impossible else "cannot tell"


def conclude(
    session: Session,
    ref: str,
    result: str | None = None,
    note: str | None = None,
    on: str | None = None,
    by: str | None = None,
) -> Decision:
    """Say whether what was expected came true; where a reading was expected, a reading can say it.

    Raises
    ------
    Refused
        If the decision was not taken, or nothing was expected of it.
    """
    decision = find_record(session, ref, Decision)
    if decision.decided_on is None:
        raise Refused(f"{decision.ref} is not decided yet", f"Choose first, with: galebook choose {decision.ref}")
    if decision.expected is None:
        raise Refused(f"Nothing was expected of {decision.ref}", "There is nothing that could have come true")
    if (result is None) == (by is None):
        raise BadInput(
            "What came of it is missing", f"Accepted: one of {'; '.join(RESULTS)}, or --by M12, or --by logger"
        )
    if by is not None and by.strip().casefold() == LOGGER:
        result, said = result_by_logger(session, decision)
        note = note or said
    elif by is not None:
        result, reading = result_by_reading(session, decision, by)
        decision.resolved_by_id = reading.key
    decision.result = word(result, RESULTS, "Result")
    decision.result_note = text(note, "Note")
    decision.reviewed_on = past(on, "Reviewed on")
    decision.reviewed_on_typed = typed_beside(on, decision.reviewed_on)
    session.add(decision)
    session.flush()
    return decision
