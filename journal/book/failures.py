"""Failures and their loop: seen, cause believed, evidence, correction chosen, built in, verified."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session, col, select

from journal.book import names
from journal.book.common import add, find, get, revision, share, standing, text, when, word
from journal.book.names import mechanism_named
from journal.book.quantity import clean
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
from journal.errors import BadInput, Refused
from journal.review import verdict

#: Steps of the loop, in order, each as something to do.
STEPS = {
    "seen": "say what was seen",
    "cause believed": "name a cause",
    "evidence weighed": "weigh the evidence",
    "correction chosen": "choose a correction",
    "built in": "build the correction in",
    "verified": "show that the correction works",
}


@dataclass(frozen=True, slots=True)
class Loop:
    """How far a failure's loop is closed.

    Parameters
    ----------
    done : tuple of str
        The steps taken.
    next_step : str
        The first step that is missing; empty when the loop is closed.
    how : str
        The command that takes it.
    todo : str
        The same step, as something to do.
    """

    done: tuple[str, ...]
    next_step: str
    how: str
    todo: str


def log(
    session: Session,
    saw: str,
    *,
    attempt: str | None = None,
    on: str | None = None,
    happened: str | None = None,
    item: str | None = None,
    part: str | None = None,
    effect: str | None = None,
    harm: str = "not said",
    severity: int | None = None,
    likelihood: str | None = None,
    contained: str | None = None,
    caused_by: str | None = None,
    cause: str | None = None,
    sure: str | None = None,
    evidence: str | None = None,
    note: str | None = None,
) -> Failure:
    """Log a failure, with its believed cause if there is one already."""
    of = find(session, attempt, Attempt) if attempt else None
    to = get(session, Revision, of.revision_id) if of else revision(session, on)
    if severity is not None and severity not in (1, 2, 3, 4):
        raise BadInput(f"Severity: {severity} is not one of its levels", "Accepted: 1 (worst) to 4 (least)")
    failure = add(
        session,
        Failure,
        revision_id=to.key,
        attempt_id=of.key if of else None,
        part_id=find(session, part, Part).key if part else None,
        happened=when(happened, "Happened") if happened or not of else (of.ended or of.began),
        saw=clean(saw, "What was seen"),
        item=text(item, "Item"),
        effect=text(effect, "Effect"),
        harm=word(harm, HARMS, "Harm"),
        severity=severity,
        likelihood=word(likelihood.upper() if likelihood else None, LIKELIHOODS, "Likelihood"),
        contained=text(contained, "What was done at once"),
        caused_by_id=find(session, caused_by, Failure).key if caused_by else None,
        private_note=text(note, "Note"),
    )
    if cause:
        believe(session, failure.ref, cause, sure=sure, why=evidence, said_on=happened)
    elif sure or evidence:
        raise BadInput("How sure, and on what evidence, belong to a cause", "Add --cause")
    return failure


def causes(session: Session, failure: Failure) -> list[Cause]:
    """Causes believed of a failure, oldest first."""
    return list(session.exec(select(Cause).where(Cause.failure_id == failure.key).order_by(col(Cause.id))))


def evidence(session: Session, failure: Failure) -> list[Evidence]:
    """Evidence about a failure, oldest first."""
    return list(session.exec(select(Evidence).where(Evidence.failure_id == failure.key).order_by(col(Evidence.id))))


def _cause(session: Session, failure: Failure, number: int) -> Cause:
    known = causes(session, failure)
    if not 1 <= number <= len(known):
        raise Refused(
            f"{failure.ref} has no cause number {number}",
            f"It has {len(known)}; see: galebook show {failure.ref}" if known else "None was logged yet",
        )
    return known[number - 1]


def believe(
    session: Session,
    ref: str,
    what: str,
    *,
    sure: str | None = None,
    why: str | None = None,
    rule: str | None = None,
    standing: str = "believed",
    said_on: str | None = None,
    mechanism: str | None = None,
) -> Cause:
    """Log a cause that is believed, and the rule or mechanism whose numbers bear on it; earlier causes stay."""
    failure = find(session, ref, Failure)
    if rule is not None:
        rule = names.rule_named(rule).id
    if mechanism is not None:
        mechanism = mechanism_named(mechanism)
    cause = Cause(
        failure_id=failure.key,
        said_on=when(said_on, "Said on"),
        what=clean(what, "The cause"),
        sure=share(sure, "How sure"),
        because=text(why, "The evidence"),
        rule=rule,
        standing=word(standing, STANDINGS, "Standing") or "believed",
        mechanism=mechanism,
    )
    session.add(cause)
    session.flush()
    return cause


def reject(session: Session, ref: str, number: int, why: str) -> Cause:
    """Give up a cause, with the reason; it stays on record as rejected."""
    cause = _cause(session, find(session, ref, Failure), number)
    cause.standing = "rejected"
    cause.rejected_because = clean(why, "The reason")
    because(session, cause.rejected_because)
    session.add(cause)
    settle(session)
    return cause


def add_evidence(
    session: Session,
    ref: str,
    what: str,
    *,
    leans: str = "for",
    cause: int | None = None,
    measurement: str | None = None,
) -> Evidence:
    """Log something that speaks for or against a cause; without a number, the latest cause."""
    failure = find(session, ref, Failure)
    known = causes(session, failure)
    about = _cause(session, failure, cause) if cause else (known[-1] if known else None)
    row = Evidence(
        failure_id=failure.key,
        cause_id=about.key if about else None,
        measurement_id=find(session, measurement, Measurement).key if measurement else None,
        leans=word(leans, LEANINGS, "Leaning") or "for",
        what=clean(what, "The evidence"),
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
    failure = find(session, ref, Failure)
    if by:
        decision = find(session, by, Decision)
        if decision.decided_on is None:
            raise Refused(f"{decision.ref} is not decided yet", f"Choose first, with: galebook choose {decision.ref}")
        failure.correction_id = decision.key
    if built_into:
        to = find(session, built_into, Revision)
        failed: Revision = get(session, Revision, failure.revision_id)
        if to.number <= failed.number:
            raise Refused(
                f"{failure.ref} was seen on {failed.ref}, so {to.ref} cannot hold its correction", "Name a later one"
            )
        if failure.built_into_id != to.key:
            # What showed the former correction to work says nothing of this one.
            failure.verified_by_attempt_id = failure.verified_by_measurement_id = failure.verified_note = None
        failure.built_into_id = to.key
    if criterion:
        failure.criterion = clean(criterion, "The criterion")
    session.add(failure)
    session.flush()
    return failure


#: Rules whose failures are those of too little output: there less wind is the harder test.
_OF_OUTPUT = frozenset(
    {
        "generator.charging-begins",
        "generator.match",
        "energy.year",
        "rotor.starting",
        "wiring.voltage-drop",
        "claim.power",
    }
)


@dataclass(frozen=True, slots=True)
class Hardness:
    """How hard a proof was tested, compared with what the failure happened in.

    Parameters
    ----------
    enough : bool or None
        Whether it was at least as hard; None where the records cannot tell.
    says : str
        In a sentence.
    """

    enough: bool | None
    says: str


def hardness(session: Session, failure: Failure, proof: Attempt | Measurement) -> Hardness:
    """Compare the conditions of a proof with those of the failure: wind, what was connected, and for how long."""
    failed: Attempt | None = get(session, Attempt, failure.attempt_id)
    if failed is None or failed.wind_low is None or failed.wind_high is None:
        return Hardness(
            None, f"In what wind {failure.ref} happened is not on record, so the proof cannot be compared with it"
        )
    if proof.wind_low is None or proof.wind_high is None:
        return Hardness(
            None, f"In what wind {proof.ref} was taken is not on record, so it cannot be compared with {failure.ref}"
        )
    of_output = any(c.rule in _OF_OUTPUT for c in causes(session, failure) if c.standing != "rejected")
    winds = f"{proof.ref} saw {proof.wind}, {failure.ref} happened in {failed.wind}"
    if of_output:
        enough = True if proof.wind_high <= failed.wind_high else False if proof.wind_low >= failed.wind_high else None
        asked = "too little output must be tested in no more wind"
    else:
        enough = True if proof.wind_low >= failed.wind_low else False if proof.wind_high <= failed.wind_low else None
        asked = "it must be tested in at least as much wind"
    if enough and not of_output and failed.load_state == "nothing connected" != proof.load_state:
        return Hardness(False, f"{failure.ref} happened with nothing connected, {proof.ref} did not")
    verdict = {True: "that is at least as hard", False: f"{asked}", None: "that may or may not be as hard"}[enough]
    return Hardness(enough, f"{winds}: {verdict}")


def still_failing(session: Session, failure: Failure) -> list[str]:
    """What the rules tied to the causes of a failure still say against the revision that holds its correction."""
    fitted = standing(session, Revision, failure.built_into_id)
    tied = {c.rule for c in causes(session, failure) if c.rule and c.standing != "rejected"}
    if fitted is None or not tied:
        return []
    result = verdict.check(session, fitted.ref)
    return [f"{verdict.headline(f)}: {f.status}" for f in result.findings if f.rule in tied and verdict.failed([f])]


def verify(session: Session, ref: str, by: str, note: str | None = None) -> Failure:
    """Name the attempt or measurement on the corrected revision that shows the correction to work.

    Raises
    ------
    Refused
        If the correction is not built in yet, the proof is of another revision, or it was a softer test than the
        one that failed.
    """
    failure = find(session, ref, Failure)
    if failure.built_into_id is None:
        raise Refused(
            f"{failure.ref} has no correction built into a revision yet",
            f"Say so with: galebook fix {failure.ref} --in r2",
        )
    named = find(session, by)
    if not isinstance(named, Attempt | Measurement):
        raise BadInput(f"{by} cannot show that a correction works", "Name an attempt (A4) or a measurement (M12)")
    fitted: Revision = get(session, Revision, failure.built_into_id)
    proven: Revision = get(session, Revision, named.revision_id)
    if proven.number < fitted.number:
        raise Refused(f"{named.ref} is of {proven.ref}, before the correction in {fitted.ref}", "Name a later one")
    tested = hardness(session, failure, named)
    if tested.enough is False:
        raise Refused(f"{named.ref} shows nothing yet. {tested.says}", "Name a harder test, or wait for one")
    if isinstance(named, Attempt):
        if named.outcome == "failed":
            raise Refused(f"{named.ref} failed", "Only an attempt that went at least partly well can show it")
        failure.verified_by_attempt_id, failure.verified_by_measurement_id = named.key, None
    else:
        if named.value is None:
            raise Refused(f"{named.ref} has no value", "Name a measurement that was taken")
        failure.verified_by_attempt_id, failure.verified_by_measurement_id = None, named.key
    failure.verified_note = text(note, "Note")
    session.add(failure)
    session.flush()
    return failure


def proof(session: Session, failure: Failure) -> Attempt | Measurement | None:
    """What shows that the correction works, unless it was withdrawn or turned out to have failed."""
    attempt: Attempt | None = standing(session, Attempt, failure.verified_by_attempt_id)
    reading: Measurement | None = standing(session, Measurement, failure.verified_by_measurement_id)
    return attempt if attempt and attempt.outcome != "failed" else reading


def loop(session: Session, failure: Failure) -> Loop:
    """How far a failure's loop is closed, and how to take the next step; a withdrawn record closes nothing."""
    known = causes(session, failure)
    believed = [c for c in known if c.standing != "rejected"]
    weighed = bool(evidence(session, failure)) or any(c.because for c in believed)
    corrected = standing(session, Decision, failure.correction_id)
    fitted = standing(session, Revision, failure.built_into_id)
    ref = failure.ref
    steps = {
        "seen": (True, ""),
        "cause believed": (bool(believed), f'galebook cause {ref} "..." --sure 60%'),
        "evidence weighed": (weighed, f'galebook evidence {ref} "..." --leans for'),
        "correction chosen": (corrected is not None, f"galebook fix {ref} --by D1"),
        "built in": (fitted is not None, f"galebook fix {ref} --in r2"),
        "verified": (proof(session, failure) is not None, f"galebook verify {ref} --by A4"),
    }
    missing = [(step, how) for step, (done, how) in steps.items() if not done]
    step, how = missing[0] if missing else ("", "")
    return Loop(tuple(s for s, (done, _) in steps.items() if done), step, how, STEPS.get(step, ""))
