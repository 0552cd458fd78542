"""Whether a correction works: how hard its proof was tested, and what the numbers still say against it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from journal.book.failures import causes
from journal.book.records import find_record, get_record, standing_record
from journal.book.tables import Attempt, Failure, Measurement, Revision
from journal.book.written import text
from journal.errors import BadInput, Refused
from journal.review import verdict

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


def hardness(
    session: Session, failure: Failure, proof: Attempt | Measurement, of_output: bool | None = None
) -> Hardness:
    """Compare the conditions of a proof with those of the failure: wind, what was connected, and for how long.

    Whoever asks of many proofs finds out once whether the failure is one of too little output.
    """
    failed: Attempt | None = get_record(session, Attempt, failure.attempt_id)
    if failed is None or failed.wind_low is None or failed.wind_high is None:
        return Hardness(
            None, f"In what wind {failure.ref} happened is not on record, so the proof cannot be compared with it"
        )
    if proof.wind_low is None or proof.wind_high is None:
        return Hardness(
            None, f"In what wind {proof.ref} was taken is not on record, so it cannot be compared with {failure.ref}"
        )
    of_output = is_of_output(session, failure) if of_output is None else of_output
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


def is_of_output(session: Session, failure: Failure) -> bool:
    """Whether a failure is believed to be one of too little output."""
    return any(c.rule in _OF_OUTPUT for c in causes(session, failure) if c.standing != "rejected")


def harder(session: Session, failure: Failure) -> str:
    """The winds in which a correction would be tested as hard as it failed; empty where that is not on record."""
    failed: Attempt | None = get_record(session, Attempt, failure.attempt_id)
    if failed is None or failed.wind_low is None or failed.wind_high is None:
        return ""
    return f"{failed.wind} or {'less' if is_of_output(session, failure) else 'more'}"


def still_failing(session: Session, failure: Failure) -> list[str]:
    """What the rules tied to the causes of a failure still say against the revision that holds its correction."""
    fitted = standing_record(session, Revision, failure.built_into_id)
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
    failure = find_record(session, ref, Failure)
    if failure.built_into_id is None:
        raise Refused(
            f"{failure.ref} has no correction built into a revision yet",
            f"Say so with: galebook fix {failure.ref} --in REVISION",
        )
    named = find_record(session, by)
    if not isinstance(named, Attempt | Measurement):
        raise BadInput(f"{by} cannot show that a correction works", "Name an attempt (A4) or a measurement (M12)")
    fitted: Revision = get_record(session, Revision, failure.built_into_id)
    proven: Revision = get_record(session, Revision, named.revision_id)
    if proven.number < fitted.number:
        raise Refused(f"{named.ref} is of {proven.ref}, before the correction in {fitted.ref}", "Name a later one")
    tested = hardness(session, failure, named)
    if tested.enough is False:
        raise Refused(f"{named.ref} shows nothing yet. {tested.says}", "Name a harder test, or wait for one")
    if isinstance(named, Attempt):
        if named.outcome == "failed":
            raise Refused(f"{named.ref} failed", "Only an attempt that went at least partly well can show it")
        if named.outcome == "not said":
            raise Refused(
                f"Nobody said how it went in {named.ref}",
                f'Say it first: galebook amend {named.ref} outcome=worked --because "..."',
            )
        failure.verified_by_attempt_id, failure.verified_by_measurement_id = named.key, None
    else:
        if named.value is None:
            raise Refused(f"{named.ref} has no value", "Name a measurement that was taken")
        failure.verified_by_attempt_id, failure.verified_by_measurement_id = None, named.key
    failure.verified_note = text(note, "Note")
    session.add(failure)
    session.flush()
    return failure
