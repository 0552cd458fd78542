"""Decisions: options with computed consequences, the choice and why, what was expected, what came of it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from sqlmodel import Session, col, select

from calc import design as catalogue
from calc.finding import Finding, Status
from journal import review, sheet
from journal.common import add, find, get, revision, share, text, when, word
from journal.errors import BadInput, NotFound, Refused, nearest
from journal.quantity import clean
from journal.records import RESULTS, Decision, Option, Revision
from journal.store import because

#: How the note of a sheet value begins that was set by choosing an option.
DECIDED_IN = "as decided in"


def ask(
    session: Session,
    question: str,
    *,
    on: str | None = None,
    context: str | None = None,
    supersedes: str | None = None,
    note: str | None = None,
) -> Decision:
    """Open a decision about a revision."""
    to = revision(session, on)
    return add(
        session,
        Decision,
        revision_id=to.key,
        question=clean(question, "The question"),
        context=text(context, "The context"),
        supersedes_id=find(session, supersedes, Decision).key if supersedes else None,
        private_note=text(note, "Note"),
    )


def options(session: Session, decision: Decision) -> list[Option]:
    """Options of a decision, in order."""
    return list(session.exec(select(Option).where(Option.decision_id == decision.key).order_by(col(Option.position))))


def offer(
    session: Session, ref: str, name: str, *, summary: str | None = None, changes: Mapping[str, str] | None = None
) -> Option:
    """Add an option as a set of sheet changes, and compute what it does.

    Raises
    ------
    Refused
        If the decision has been taken.
    BadInput
        If a change does not fit the sheet.
    """
    decision = _open(session, ref)
    for path, typed in (changes or {}).items():
        sheet.read(path, typed)
    option = Option(
        decision_id=decision.key,
        position=len(options(session, decision)) + 1,
        name=clean(name, "The option", limit=200),
        summary=text(summary, "The summary"),
        changes=json.dumps(dict(changes or {}), ensure_ascii=False),
    )
    session.add(option)
    session.flush()
    weigh_one(session, decision, option)
    return option


def _open(session: Session, ref: str) -> Decision:
    decision = find(session, ref, Decision)
    if decision.decided_on is not None:
        raise Refused(
            f"{decision.ref} was decided on {decision.decided_on}",
            f'Decisions stay; ask again with: galebook decide "..." --supersedes {decision.ref}',
        )
    return decision


def weigh(session: Session, ref: str) -> list[Option]:
    """Compute anew what each option of an open decision does."""
    decision = _open(session, ref)
    for option in options(session, decision):
        weigh_one(session, decision, option)
    return options(session, decision)


def weigh_one(session: Session, decision: Decision, option: Option) -> None:
    """Compute what an option does to every finding, and whether a danger rules it out."""
    of: Revision = get(session, Revision, decision.revision_id)
    base = review.check(session, of.ref, doubt=False)
    changes: dict[str, str] = json.loads(option.changes)
    after = review.check(session, of.ref, changes=changes, doubt=False)
    moved = []
    for key in dict.fromkeys([*base.by_key, *after.by_key]):
        old, new = base.by_key.get(key), after.by_key.get(key)
        if old is None or new is None or old.status is not new.status or old.says != new.says:
            moved.append({"before": old.status if old else None, **_brief(new or old, gone=new is None)})
    option.consequences = json.dumps(moved, ensure_ascii=False)
    dangers = [f for f in after.with_status(Status.DANGER) if _due_to(f, changes, base)]
    option.refused_because = "; ".join(f"{f.title}: {f.says}" for f in dangers) or None
    session.add(option)
    session.flush()


def _brief(finding: Finding | None, *, gone: bool) -> dict[str, Any]:
    if finding is None:
        return {}
    return {
        "rule": finding.rule,
        "subject": finding.subject,
        "title": finding.title,
        "status": "gone" if gone else finding.status,
        "says": finding.says,
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
    }


def _due_to(finding: Finding, changes: Mapping[str, str], base: review.Review) -> bool:
    """Whether a danger comes with an option: it is new, or its rule asks for what the option sets."""
    before = base.by_key.get(finding.key)
    new = before is None or before.status is not Status.DANGER
    needs = review.rule_named(finding.rule).needs
    return new or any(catalogue.split(path)[0] in needs for path in changes)


def choose(
    session: Session,
    ref: str,
    which: str,
    why: str,
    *,
    expected: str | None = None,
    odds: str | None = None,
    review_on: str | None = None,
    decided_on: str | None = None,
) -> tuple[Decision, Option]:
    """Choose an option by number or name; its changes go onto the draft.

    Raises
    ------
    Refused
        If the option brings a danger. There is no way around this: a danger can only be designed away.
    NotFound
        If there is no such option.
    """
    decision = _open(session, ref)
    option = _option(session, decision, which)
    weigh_one(session, decision, option)
    if option.refused_because:
        raise Refused(
            f"{option.name!r} is refused, because people can be hurt: {option.refused_because}", "Choose another option"
        )
    if odds is not None and expected is None:
        raise BadInput("A probability was given but nothing is expected", 'Add --expect "what you expect to see"')
    decision.because = clean(why, "The reason")
    decision.expected = text(expected, "What is expected")
    decision.odds = share(odds, "Probability")
    decision.review_on = when(review_on, "Review date") if review_on else None
    decision.decided_on = when(decided_on, "Decided")
    option.chosen = True
    session.add_all([decision, option])
    of: Revision = get(session, Revision, decision.revision_id)
    changes: dict[str, str] = json.loads(option.changes)
    if changes and of.frozen_at is None:
        because(session, f"{decision.ref}: {decision.because}")
        note = f"{DECIDED_IN} {decision.ref}"
        items = {path: {"typed": typed, "provenance": "calculated", "note": note} for path, typed in changes.items()}
        sheet.set_values(session, of, items)
    session.flush()
    return decision, option


def _option(session: Session, decision: Decision, which: str) -> Option:
    known = options(session, decision)
    for option in known:
        if which.strip() == str(option.position) or which.strip().casefold() == option.name.casefold():
            return option
    close = nearest(which, [o.name for o in known])
    listed = "; ".join(f"{o.position} {o.name}" for o in known)
    raise NotFound(
        f"{decision.ref} has no option {which!r}",
        (f"Did you mean {close!r}? " if close else "") + (f"Accepted: {listed}" if known else "It has no options yet"),
    )


def accept(
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
    review.rule_named(rule)
    result = review.check(session, on, doubt=False)
    found = [f for f in result.findings if f.rule == rule and (subject is None or f.subject == subject)]
    if not found:
        raise NotFound(
            f"{rule} says nothing of {subject or result.revision.ref}", f"See: galebook check {result.revision.ref}"
        )
    if any(f.status is Status.DANGER for f in found):
        raise Refused(f"{rule} is a danger: people can be hurt", "It cannot be accepted, only designed away")
    found = [f for f in found if f.status in review.ACCEPTABLE]
    if not found:
        raise Refused(
            f"{rule} has nothing to accept on {result.revision.ref}", "Only fail and marginal can be accepted"
        )
    if len(found) > 1:
        raise BadInput(f"{rule} judged several things", f"Add --subject, one of: {'; '.join(f.subject for f in found)}")
    finding = found[0]
    return add(
        session,
        Decision,
        revision_id=result.revision.key,
        kind="acceptance",
        question=f"Live with it for now: {finding.title.lower()} ({finding.subject})?",
        context=finding.says,
        because=clean(why, "The reason"),
        decided_on=when(None),
        rule=finding.rule,
        subject=finding.subject,
        until=when(until, "Until"),
    )


def conclude(session: Session, ref: str, result: str, note: str | None = None, on: str | None = None) -> Decision:
    """Say whether what was expected came true.

    Raises
    ------
    Refused
        If the decision was not taken, or nothing was expected of it.
    """
    decision = find(session, ref, Decision)
    if decision.decided_on is None:
        raise Refused(f"{decision.ref} is not decided yet", f"Choose first, with: galebook choose {decision.ref}")
    if decision.expected is None:
        raise Refused(f"Nothing was expected of {decision.ref}", "There is nothing that could have come true")
    decision.result = word(result, RESULTS, "Result")
    decision.result_note = text(note, "Note")
    decision.reviewed_on = when(on, "Reviewed on")
    session.add(decision)
    session.flush()
    return decision
