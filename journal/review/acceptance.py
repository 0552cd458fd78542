"""Findings that fail or are marginal, lived with for a while by a recorded decision. A danger never is."""

from __future__ import annotations

from sqlmodel import Session

from calc.finding import Finding, Status
from journal.book.days import earliest
from journal.book.kinds import typed_beside
from journal.book.names import rule_named
from journal.book.plain_text import clean_text
from journal.book.records import add_record
from journal.book.tables import Decision
from journal.book.written import when
from journal.errors import BadInput, NotFound, Refused
from journal.review import verdict


def accept_finding(
    session: Session,
    on: str | None,
    rule: str,
    why: str,
    until: str,
    *,
    subject: str | None = None,
) -> Decision:
    """Accept a finding that fails or is marginal, with a reason and an end date.

    Raises
    ------
    Refused
        If it is a danger, or there is nothing to accept.
    BadInput
        If the rule judged several things and none was named.
    """
    rule_named(rule)
    result = verdict.check(session, on)
    finding = _acceptable(result, rule, subject)
    return add_record(
        session,
        Decision,
        revision_id=result.revision.key,
        kind="acceptance",
        question=f"Live with it for now: {finding.title.lower()} ({finding.subject})?",
        context=finding.says,
        because=clean_text(why, "The reason"),
        decided_on=when(None),
        rule=finding.rule,
        subject=finding.subject,
        until=(last := _later(until)),
        until_typed=typed_beside(until, last),
    )


def _acceptable(result: verdict.Review, rule: str, subject: str | None) -> Finding:
    """The one finding of a rule that can be lived with."""
    found = [f for f in result.findings if f.rule == rule and (subject is None or f.subject == subject)]
    if not found:
        raise NotFound(
            f"{rule} says nothing of {subject or result.revision.ref}", f"See: galebook check {result.revision.ref}"
        )
    if any(f.of_reading for f in found):
        raise Refused(f"{rule} asks whether a reading fits, which is no fault of the machine", "Read it again instead")
    if any(f.status is Status.DANGER for f in found):
        raise Refused(f"{rule} is a danger: people can be hurt", "It cannot be accepted, only designed away")
    found = [f for f in found if f.status in verdict.ACCEPTABLE]
    if not found:
        raise Refused(
            f"{rule} has nothing to accept on {result.revision.ref}", "Only fail and marginal can be accepted"
        )
    if len(found) > 1:
        raise BadInput(f"{rule} judged several things", f"Add --subject, one of: {'; '.join(f.subject for f in found)}")
    return found[0]


def _later(until: str) -> str:
    day = when(until, "Until")
    if earliest(day) < when(None):
        raise BadInput(f"Until: {until!r} is over", "Name the day on which you will look again")
    return day
