"""The tables of the journal.

Each class is one kind of record. A class with a ``letter`` is numbered within its build and known to people by
a short reference such as ``A3``. ``words`` names the closed sets of words; each becomes a CHECK constraint.
Times are UTC in ISO 8601; an event known only to the day keeps the date alone, one known vaguely its first and last day
(``days.py``), and beside a day stands what was typed where that is another text. How the columns of a kind are read,
and which of them may be corrected, says the file of that kind: :class:`Attempt` is read in ``attempts.py``.
"""

from __future__ import annotations

from typing import ClassVar

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

from calc.quantities import LOAD_STATES as LOAD_STATES
from calc.quantities import LookAnswer
from journal.book.made import MADE as MADE
from journal.book.made import Deed as Deed
from journal.book.made import FileContent as FileContent
from journal.book.made import SearchText as SearchText
from journal.book.shown import SYSTEMS
from journal.book.table_base import Numbered as Numbered
from journal.book.table_base import Record as Record
from journal.book.table_base import numbered
from journal.book.table_base import one_of as one_of
from journal.book.table_logger import LoggerFile as LoggerFile

PROVENANCES = ("measured", "data plate", "seller's claim", "calculated", "estimate", "assumed")
CONDITIONS = ("new", "salvaged", "made")
FATES = ("in use", "carried on", "broken", "worn out", "spare", "scrapped", "sold")
ATTEMPT_KINDS = ("bench test", "raising", "run", "storm", "repair", "lowering", "other")
OUTCOMES = ("worked", "partly", "failed", "still running", "not said")
HARMS = ("none", "near miss", "injury", "not said")
STANDINGS = ("believed", "contributing", "rejected")
LEANINGS = ("for", "against", "neither")
ANSWERS = tuple(a.value for a in LookAnswer)
DECISION_KINDS = ("design", "acceptance")
RESULTS = ("came true", "partly", "did not", "cannot tell")
RELATIONS = ("above", "below")
PAPERS = ("permission", "insurance", "setback", "notice", "other")
LIKELIHOODS = ("A", "B", "C", "D", "E", "F")
ACTIONS = ("add", "change", "correction", "remove")


class Setting(SQLModel, table=True):
    """One remembered choice, such as the build being worked on."""

    key: str = Field(primary_key=True)
    value: str


class Build(Record, table=True):
    """One machine over its whole life.

    ``units`` are those in which people are told of it, metric if nobody said; ``questions`` are asked of those who read
    of it, and ``promise`` is what its builder promises to do in a storm.
    """

    __table_args__ = (one_of("units", SYSTEMS),)

    words: ClassVar[dict[str, tuple[str, ...]]] = {"units": SYSTEMS}

    name: str = Field(unique=True)
    purpose: str | None = None
    region: str | None = None
    place: str | None = None
    builder: str | None = None
    contact: str | None = None
    private_note: str | None = None
    recorded_at: str
    units: str | None = None
    questions: str | None = None
    promise: str | None = None


class Revision(Numbered, table=True):
    """A numbered design of the machine. Frozen once a first attempt is logged on it."""

    letter: ClassVar[str] = "r"
    __table_args__ = numbered({})

    title: str | None = None
    because: str | None = None
    summary: str | None = None
    parent_id: int | None = Field(default=None, foreign_key="revision.id")
    frozen_at: str | None = None


class SheetValue(Record, table=True):
    """One value of a design sheet, with what was typed and where it comes from."""

    words: ClassVar[dict[str, tuple[str, ...]]] = {"provenance": PROVENANCES}
    __table_args__ = (
        UniqueConstraint("revision_id", "path"),
        one_of("provenance", PROVENANCES),
        CheckConstraint("(number IS NULL) <> (word IS NULL)", name="one_value"),
        CheckConstraint("number IS NULL OR (low <= number AND number <= high)", name="limits"),
    )

    revision_id: int = Field(foreign_key="revision.id", index=True)
    path: str
    typed: str
    number: float | None = None
    word: str | None = None
    low: float | None = None
    high: float | None = None
    doubt: str | None = None
    provenance: str
    note: str | None = None


class SheetText(Record, table=True):
    """What the builder wrote around the values of a design sheet: comments, order and blank lines."""

    called: ClassVar[str] = "text of the sheet"
    __table_args__ = (UniqueConstraint("revision_id"),)

    revision_id: int = Field(foreign_key="revision.id")
    text: str


class Part(Numbered, table=True):
    """A thing in the bill of materials; it may go on from one revision to the next."""

    letter: ClassVar[str] = "P"
    words: ClassVar[dict[str, tuple[str, ...]]] = {"condition": CONDITIONS}
    __table_args__ = numbered(
        words,
        CheckConstraint("cost >= 0", name="cost"),
        CheckConstraint("mass >= 0", name="mass"),
        CheckConstraint("quantity > 0", name="quantity"),
    )

    name: str
    role: str | None = None
    quantity: float = 1.0
    condition: str | None = None
    source: str | None = None
    cost: float | None = None
    currency: str | None = None
    mass: float | None = None
    rating: str | None = None
    history: str | None = None
    serial: str | None = None
    private_note: str | None = None


class PartUse(Record, table=True):
    """A part in one revision: who fitted it there and when, and what became of it."""

    words: ClassVar[dict[str, tuple[str, ...]]] = {"fate": FATES}
    __table_args__ = (UniqueConstraint("part_id", "revision_id"), one_of("fate", FATES))

    part_id: int = Field(foreign_key="part.id", index=True)
    revision_id: int = Field(foreign_key="revision.id", index=True)
    fate: str = "in use"
    fate_note: str | None = None
    fitted_by: str | None = None
    fitted_on: str | None = None
    fitted_on_typed: str | None = None


class Claim(Numbered, table=True):
    """What somebody said the machine or a part of it would do."""

    letter: ClassVar[str] = "C"
    __table_args__ = numbered({}, CheckConstraint("power > 0", name="power"))

    revision_id: int = Field(foreign_key="revision.id", index=True)
    who: str
    said: str
    power: float | None = None
    wind_speed: float | None = None


class Attempt(Numbered, table=True):
    """A dated try on one revision."""

    letter: ClassVar[str] = "A"
    words: ClassVar[dict[str, tuple[str, ...]]] = {
        "kind": ATTEMPT_KINDS, "outcome": OUTCOMES, "load_state": LOAD_STATES,
    }  # fmt: skip
    __table_args__ = numbered(
        words,
        CheckConstraint("wind_low <= wind_high", name="wind"),
        CheckConstraint("hours >= 0", name="hours"),
    )

    revision_id: int = Field(foreign_key="revision.id", index=True)
    kind: str
    began: str
    began_typed: str | None = None
    ended: str | None = None
    ended_typed: str | None = None
    did: str
    saw: str | None = None
    outcome: str
    load_state: str | None = None
    wind: str | None = None
    wind_low: float | None = None
    wind_high: float | None = None
    wind_height: float | None = None
    wind_how: str | None = None
    hours: float | None = None
    private_note: str | None = None


class Instrument(Numbered, table=True):
    """A meter, with its accuracy as its data sheet states it."""

    letter: ClassVar[str] = "I"
    __table_args__ = numbered({})

    name: str
    accuracy: str | None = None
    note: str | None = None


class Measurement(Numbered, table=True):
    """A quantity that was read, or that should have been and was not."""

    letter: ClassVar[str] = "M"
    words: ClassVar[dict[str, tuple[str, ...]]] = {"load_state": LOAD_STATES}
    __table_args__ = numbered(
        words,
        CheckConstraint("(value IS NULL) <> (missing_because IS NULL)", name="value_or_reason"),
        CheckConstraint("value IS NULL OR (low <= value AND value <= high)", name="limits"),
        CheckConstraint("wind_low <= wind_high", name="wind"),
    )

    revision_id: int = Field(foreign_key="revision.id", index=True)
    attempt_id: int | None = Field(default=None, foreign_key="attempt.id", index=True)
    quantity: str
    typed: str | None = None
    value: float | None = None
    low: float | None = None
    high: float | None = None
    doubt: str | None = None
    missing_because: str | None = None
    due: str | None = None
    due_typed: str | None = None
    load_state: str | None = None
    where: str | None = None
    instrument: str | None = None
    instrument_id: int | None = Field(default=None, foreign_key="instrument.id")
    conditions: str | None = None
    wind: str | None = None
    wind_low: float | None = None
    wind_high: float | None = None
    wind_height: float | None = None
    taken: str
    taken_typed: str | None = None
    private_note: str | None = None
    read_by: str | None = None
    form: str | None = None


class Failure(Numbered, table=True):
    """What was seen to go wrong, and how far its loop has been closed."""

    letter: ClassVar[str] = "F"
    words: ClassVar[dict[str, tuple[str, ...]]] = {"harm": HARMS, "likelihood": LIKELIHOODS}
    __table_args__ = numbered(words, CheckConstraint("severity BETWEEN 1 AND 4", name="severity"))

    revision_id: int = Field(foreign_key="revision.id", index=True)
    attempt_id: int | None = Field(default=None, foreign_key="attempt.id")
    part_id: int | None = Field(default=None, foreign_key="part.id")
    happened: str
    happened_typed: str | None = None
    saw: str
    item: str | None = None
    effect: str | None = None
    harm: str = "not said"
    severity: int | None = None
    likelihood: str | None = None
    contained: str | None = None
    caused_by_id: int | None = Field(default=None, foreign_key="failure.id")
    criterion: str | None = None
    correction_id: int | None = Field(default=None, foreign_key="decision.id")
    built_into_id: int | None = Field(default=None, foreign_key="revision.id")
    verified_by_attempt_id: int | None = Field(default=None, foreign_key="attempt.id")
    verified_by_measurement_id: int | None = Field(default=None, foreign_key="measurement.id")
    verified_note: str | None = None
    private_note: str | None = None
    symptoms: str | None = None


class Cause(Record, table=True):
    """A cause somebody believed, with how sure they were; beliefs are kept when they change."""

    words: ClassVar[dict[str, tuple[str, ...]]] = {"standing": STANDINGS}
    __table_args__ = (
        one_of("standing", STANDINGS),
        CheckConstraint("sure BETWEEN 0 AND 1", name="sure"),
    )

    failure_id: int = Field(foreign_key="failure.id", index=True)
    said_on: str
    said_on_typed: str | None = None
    what: str
    sure: float | None = None
    because: str | None = None
    rule: str | None = None
    standing: str = "believed"
    rejected_because: str | None = None
    mechanism: str | None = None


class Evidence(Record, table=True):
    """Something that speaks for or against a cause."""

    words: ClassVar[dict[str, tuple[str, ...]]] = {"leans": LEANINGS}
    __table_args__ = (one_of("leans", LEANINGS),)

    failure_id: int = Field(foreign_key="failure.id", index=True)
    cause_id: int | None = Field(default=None, foreign_key="cause.id")
    measurement_id: int | None = Field(default=None, foreign_key="measurement.id")
    leans: str
    what: str


class Observation(Numbered, table=True):
    """What somebody found of a failure who looked, listened, felt or tried: one look of the catalogue, answered."""

    letter: ClassVar[str] = "O"
    words: ClassVar[dict[str, tuple[str, ...]]] = {"answer": ANSWERS}
    __table_args__ = numbered(words)

    failure_id: int = Field(foreign_key="failure.id", index=True)
    look: str
    answer: str
    seen: str
    seen_typed: str | None = None
    note: str | None = None
    private_note: str | None = None


class Decision(Numbered, table=True):
    """A question, its options, the choice and why, what was expected, and later whether it came true.

    An acceptance is a decision to live with one finding that is marginal or fails, until a date.
    """

    letter: ClassVar[str] = "D"
    words: ClassVar[dict[str, tuple[str, ...]]] = {
        "kind": DECISION_KINDS, "result": RESULTS, "expects_relation": RELATIONS,
    }  # fmt: skip
    __table_args__ = numbered(words, CheckConstraint("odds BETWEEN 0 AND 1", name="odds"))

    revision_id: int = Field(foreign_key="revision.id", index=True)
    kind: str = "design"
    question: str
    context: str | None = None
    decided_on: str | None = None
    decided_on_typed: str | None = None
    because: str | None = None
    expected: str | None = None
    odds: float | None = None
    review_on: str | None = None
    review_on_typed: str | None = None
    expects_quantity: str | None = None
    expects_relation: str | None = None
    expects_value: float | None = None
    expects_wind: str | None = None
    tool_odds: float | None = None
    resolved_by_id: int | None = Field(default=None, foreign_key="measurement.id")
    result: str | None = None
    result_note: str | None = None
    reviewed_on: str | None = None
    reviewed_on_typed: str | None = None
    supersedes_id: int | None = Field(default=None, foreign_key="decision.id")
    rule: str | None = None
    subject: str | None = None
    until: str | None = None
    until_typed: str | None = None
    private_note: str | None = None


class Option(Record, table=True):
    """One way to answer a decision: a set of sheet changes, and what they were computed to do."""

    __table_args__ = (UniqueConstraint("decision_id", "position"),)

    decision_id: int = Field(foreign_key="decision.id", index=True)
    position: int
    name: str
    summary: str | None = None
    changes: str = "{}"
    cost: float | None = None
    currency: str | None = None
    mass: float | None = None
    consequences: str | None = None
    chosen: bool = False
    refused_because: str | None = None


class Criterion(Record, table=True):
    """What a decision is judged by: a figure that is computed for each option, or one the builder scores."""

    __table_args__ = (
        UniqueConstraint("decision_id", "name"),
        CheckConstraint("weight > 0", name="weight"),
    )

    decision_id: int = Field(foreign_key="decision.id", index=True)
    name: str
    figure: str | None = None
    more_is_better: bool = True
    weight: float


class Score(Record, table=True):
    """How well an option does by a criterion that the builder scores, 0 to 10."""

    __table_args__ = (
        UniqueConstraint("criterion_id", "option_id"),
        CheckConstraint("value BETWEEN 0 AND 10", name="value"),
    )

    criterion_id: int = Field(foreign_key="criterion.id", index=True)
    option_id: int = Field(foreign_key="option.id")
    value: float


class Paper(Numbered, table=True):
    """A permission, an insurance, a setback that was named, or another paper, with its dates."""

    letter: ClassVar[str] = "L"
    words: ClassVar[dict[str, tuple[str, ...]]] = {"kind": PAPERS}
    __table_args__ = numbered(words)

    kind: str
    what: str
    who: str | None = None
    serial: str | None = None
    given: str | None = None
    given_typed: str | None = None
    until: str | None = None
    until_typed: str | None = None
    private_note: str | None = None


class Attachment(Numbered, table=True):
    """A photo or file, kept beside the journal under the hash of its content."""

    letter: ClassVar[str] = "X"
    __table_args__ = numbered({})

    about: str
    filename: str
    sha256: str
    size: int
    media_type: str
    caption: str | None = None
    private: bool = False


class History(SQLModel, table=True):
    """One change of one record. Written by :mod:`journal.book.history`, never by hand.

    ``chain`` is the hash of the row and of all before it; ``who`` is empty where nobody said who writes.
    """

    __table_args__ = (one_of("action", ACTIONS),)

    id: int | None = Field(default=None, primary_key=True)
    at: str
    build_id: int | None = Field(default=None, index=True)
    kind: str
    record_id: int | None = None
    ref: str
    action: str
    before: str | None = None
    after: str | None = None
    why: str | None = None
    chain: str
    who: str | None = None


NUMBERED: dict[str, type[Numbered]] = {cls.letter: cls for cls in Numbered.__subclasses__()}
