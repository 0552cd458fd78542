"""Failures as they are recorded. How far the loop of one is closed is judged in the review."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session, col, select

from journal.book.kinds import Kind, a_day, a_text, a_word, session_of, typed_beside
from journal.book.names import BETWEEN, mechanism_named, rule_named, symptoms_named
from journal.book.plain_text import clean_text
from journal.book.records import (
    add_record,
    find_record,
    find_revision,
    get_record,
    numbered_within,
    standing_record,
)
from journal.book.store import because, settle
from journal.book.tables import (
    HARMS,
    LEANINGS,
    LIKELIHOODS,
    STANDINGS,
    Attempt,
    Cause,
    Decision,
    Evidence,
    Failure,
    Measurement,
    Part,
    Revision,
)
from journal.book.written import past, share, text, when, word
from journal.errors import BadInput, Refused


def read_severity(typed: str | int) -> int:
    """A level of severity, 1 (worst) to 4."""
    if str(typed) not in ("1", "2", "3", "4"):
        raise BadInput(f"Severity: {typed!r} is not one of its levels", "Accepted: 1 (worst) to 4 (least)")
    return int(typed)


KIND = Kind(
    Failure,
    readers={
        "happened": a_day("Happened"),
        "saw": a_text("What was seen"),
        "item": a_text("Item"),
        "effect": a_text("Effect"),
        "harm": a_word("Harm", HARMS),
        "severity": read_severity,
        "likelihood": a_word("Likelihood", LIKELIHOODS),
        "contained": a_text("What was done at once"),
        "criterion": a_text("The criterion"),
        "private_note": a_text("Note"),
        "symptoms": symptoms_named,
    },
    fixed=("verified_note", "happened_typed"),
    called={"when": "happened", "note": "private_note", "symptom": "symptoms"},
)


def _standing(cause: Cause, typed: str) -> dict[str, Any]:
    """A standing given back to a cause that was rejected by mistake; to give one up is a step of its own."""
    standing = word(typed, STANDINGS, "Standing")
    if standing == "rejected":
        raise BadInput(
            "A cause is not rejected by correcting it", 'Reject it with: galebook reject F1 1 --because "..."'
        )
    return {"standing": standing, "rejected_because": None}


def _why_rejected(cause: Cause, typed: str) -> dict[str, Any]:
    if cause.standing != "rejected":
        raise BadInput("This cause is not rejected", 'Reject it with: galebook reject F1 1 --because "..."')
    return {"rejected_because": clean_text(typed, "The reason")}


CAUSE = Kind(
    Cause,
    readers={
        "said_on": a_day("Said on"),
        "what": a_text("The cause"),
        "sure": lambda typed: share(typed, "How sure"),
        "because": a_text("The evidence"),
        "rule": lambda typed: rule_named(typed).id,
        "mechanism": lambda typed: mechanism_named(typed),
    },
    together={"standing": _standing, "rejected_because": _why_rejected},
    fixed=("said_on_typed",),
    called={"when": "said_on"},
)


def _about(row: Evidence, typed: str) -> dict[str, Any]:
    """The cause that evidence is about, by its number, or none."""
    session = session_of(row)
    if typed.strip().casefold() == "none":
        return {"cause_id": None}
    if not typed.strip().isdecimal():
        raise BadInput(f"Cause: {typed!r} is not the number of a cause", "Accepted: a number such as 1, or none")
    return {"cause_id": _cause(session, session.get_one(Failure, row.failure_id), int(typed)).key}


def _shown_by(row: Evidence, typed: str) -> dict[str, Any]:
    if typed.strip().casefold() == "none":
        return {"measurement_id": None}
    return {"measurement_id": find_record(session_of(row), typed, Measurement).key}


EVIDENCE = Kind(
    Evidence,
    readers={"leans": a_word("Leaning", LEANINGS), "what": a_text("The evidence")},
    together={"cause": _about, "measurement": _shown_by},
)


@dataclass(frozen=True, slots=True)
class FailureTyped:
    """What a person typed of a failure, and of its first cause if one is believed already.

    ``attempt`` is the one in which it happened, else ``on`` the revision, else the newest; ``part`` and
    ``caused_by`` are references; ``cause`` is the first cause, ``sure``, ``evidence`` and ``mechanism`` belong to it.
    """

    saw: str
    attempt: str | None = None
    on: str | None = None
    happened: str | None = None
    item: str | None = None
    part: str | None = None
    effect: str | None = None
    harm: str | None = None
    severity: str | int | None = None
    likelihood: str | None = None
    contained: str | None = None
    caused_by: str | None = None
    cause: str | None = None
    sure: str | None = None
    evidence: str | None = None
    private_note: str | None = None
    symptoms: str | None = None
    mechanism: str | None = None


@dataclass(frozen=True, slots=True)
class CauseTyped:
    """What a person typed of a cause; rule and mechanism are those whose numbers concern it."""

    what: str
    sure: str | None = None
    because: str | None = None
    rule: str | None = None
    standing: str = "believed"
    said_on: str | None = None
    mechanism: str | None = None


@dataclass(frozen=True, slots=True)
class EvidenceTyped:
    """What a person typed of evidence; ``cause`` is the number of one, else the latest is meant."""

    what: str
    leans: str = "for"
    cause: int | None = None
    measurement: str | None = None


def log_failure(session: Session, typed: FailureTyped) -> Failure:
    """Log a failure, with its believed cause if there is one already."""
    failure = add_record(session, Failure, **read_failure(session, typed))
    if typed.cause:
        believed = CauseTyped(
            typed.cause, sure=typed.sure, because=typed.evidence, said_on=typed.happened, mechanism=typed.mechanism
        )
        believe(session, failure.ref, believed)
    return failure


def read_failure(session: Session, typed: FailureTyped) -> dict[str, Any]:
    """The columns of a failure that is to be logged; its cause is read but for holding that it can be used.

    Raises
    ------
    BadInput
        If a word, a day or a share cannot be used, or something is said of a cause that is not there.
    """
    tried = find_record(session, typed.attempt, Attempt) if typed.attempt else None
    to = get_record(session, Revision, tried.revision_id) if tried else find_revision(session, typed.on)
    if not typed.cause and (typed.sure or typed.evidence or typed.mechanism):
        raise BadInput("How sure, on what evidence and by which mechanism, belong to a cause", "Add --cause")
    share(typed.sure, "How sure")
    if typed.mechanism is not None:
        mechanism_named(typed.mechanism)
    return {
        "revision_id": to.key,
        "happened": (tried.ended or tried.began) if tried else when(None),
        **KIND.columns(typed),
        "attempt_id": tried.key if tried else None,
        "part_id": find_record(session, typed.part, Part).key if typed.part else None,
        "caused_by_id": find_record(session, typed.caused_by, Failure).key if typed.caused_by else None,
    }


def heard_symptoms(failure: Failure) -> tuple[tuple[str, ...], bool]:
    """What a failure looks like in the catalogue's words; and whether somebody said so, or it is heard in their words.

    Nothing where the words are doubtful. What was seen goes before what followed from it.
    """
    from calc.mechanisms.words import symptoms_of

    if failure.symptoms:
        return tuple(failure.symptoms.split(BETWEEN)), True
    words = (failure.saw, f"{failure.effect or ''}. {failure.item or ''}")
    return tuple(dict.fromkeys(found for text in words for found in symptoms_of(text))), False


def causes(session: Session, failure: Failure) -> list[Cause]:
    """Causes believed of a failure, oldest first."""
    return list(session.exec(select(Cause).where(Cause.failure_id == failure.key).order_by(col(Cause.id))))


def evidence(session: Session, failure: Failure) -> list[Evidence]:
    """Evidence about a failure, oldest first."""
    return list(session.exec(select(Evidence).where(Evidence.failure_id == failure.key).order_by(col(Evidence.id))))


def numbered_causes(session: Session, failure: Failure) -> dict[int, Cause]:
    """Causes of a failure by the numbers that people call them by, oldest first."""
    return numbered_within(session, failure, causes(session, failure))


def numbered_evidence(session: Session, failure: Failure) -> dict[int, Evidence]:
    """Evidence about a failure by its numbers, oldest first."""
    return numbered_within(session, failure, evidence(session, failure))


def _cause(session: Session, failure: Failure, number: int) -> Cause:
    known = numbered_causes(session, failure)
    if number not in known:
        raise Refused(
            f"{failure.ref} has no cause number {number}",
            f"It has {len(known)}; see: galebook show {failure.ref}" if known else "None was logged yet",
        )
    return known[number]


def believe(session: Session, ref: str, typed: CauseTyped) -> Cause:
    """Log a cause that is believed, and the rule or mechanism whose numbers concern it; earlier causes stay."""
    failure = find_record(session, ref, Failure)
    said_on = past(typed.said_on, "Said on")
    cause = Cause(
        failure_id=failure.key,
        rule=None if typed.rule is None else rule_named(typed.rule).id,
        mechanism=None if typed.mechanism is None else mechanism_named(typed.mechanism),
        said_on=said_on,
        said_on_typed=typed_beside(typed.said_on, said_on),
        what=clean_text(typed.what, "The cause"),
        sure=share(typed.sure, "How sure"),
        because=text(typed.because, "The evidence"),
        standing=word(typed.standing, STANDINGS, "Standing") or "believed",
    )
    session.add(cause)
    session.flush()
    return cause


def reject(session: Session, ref: str, number: int, why: str) -> Cause:
    """Give up a cause, with the reason; it stays on record as rejected."""
    cause = _cause(session, find_record(session, ref, Failure), number)
    cause.standing = "rejected"
    cause.rejected_because = clean_text(why, "The reason")
    because(session, cause.rejected_because)
    session.add(cause)
    settle(session)
    return cause


def add_evidence(session: Session, ref: str, typed: EvidenceTyped) -> Evidence:
    """Log something that speaks for or against a cause; without a number, the latest cause."""
    failure = find_record(session, ref, Failure)
    known = causes(session, failure)
    about = _cause(session, failure, typed.cause) if typed.cause else (known[-1] if known else None)
    row = Evidence(
        failure_id=failure.key,
        cause_id=about.key if about else None,
        measurement_id=find_record(session, typed.measurement, Measurement).key if typed.measurement else None,
        leans=word(typed.leans, LEANINGS, "Leaning") or "for",
        what=clean_text(typed.what, "The evidence"),
    )
    session.add(row)
    session.flush()
    return row


def correct(
    session: Session,
    ref: str,
    *,
    by: str | None = None,
    built_into: str | None = None,
    criterion: str | None = None,
) -> Failure:
    """Say which decision corrects a failure, which revision it is built into, and what will show that it worked.

    Raises
    ------
    Refused
        If it would be built into the very revision that failed.
    """
    failure = find_record(session, ref, Failure)
    if by:
        decision = find_record(session, by, Decision)
        if decision.decided_on is None:
            raise Refused(f"{decision.ref} is not decided yet", f"Choose first, with: galebook choose {decision.ref}")
        failure.correction_id = decision.key
    if built_into:
        to = find_record(session, built_into, Revision)
        failed: Revision = get_record(session, Revision, failure.revision_id)
        if to.number <= failed.number:
            raise Refused(
                f"{failure.ref} was seen on {failed.ref}, so {to.ref} cannot hold its correction", "Name a later one"
            )
        if failure.built_into_id != to.key:
            # What showed the former correction to work says nothing of this one.
            failure.verified_by_attempt_id = failure.verified_by_measurement_id = failure.verified_note = None
        failure.built_into_id = to.key
    if criterion:
        failure.criterion = clean_text(criterion, "The criterion")
    session.add(failure)
    session.flush()
    return failure


def proof(session: Session, failure: Failure) -> Attempt | Measurement | None:
    """What shows that the correction works, unless it was withdrawn, failed, or nobody says how it went."""
    attempt: Attempt | None = standing_record(session, Attempt, failure.verified_by_attempt_id)
    reading: Measurement | None = standing_record(session, Measurement, failure.verified_by_measurement_id)
    return attempt if attempt and attempt.outcome not in ("failed", "not said") else reading
