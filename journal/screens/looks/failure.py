"""A failure with its causes, its evidence, and the state of its loop."""

from __future__ import annotations

from sqlmodel import Session

from calc.evidence import severity
from journal.book import failures, observations
from journal.book.records import get_record, standing_record
from journal.book.tables import Attempt, Cause, Decision, Failure, Observation, Revision
from journal.review import verdict
from journal.review.loop import Loop, loop
from journal.review.wording import day_text
from journal.screens.looks.look import Facts, RecordLook, View, known_facts
from journal.screens.terminal import columns_of, record_data


def _row(session: Session, f: Failure, on: str) -> tuple[str, ...]:
    return on, f.saw, loop(session, f).todo or "closed"


def _view(session: Session, f: Failure) -> View:
    of: Revision = get_record(session, Revision, f.revision_id)
    state = loop(session, f)
    numbered = failures.numbered_causes(session, f)
    causes = list(numbered.values())
    looked = observations.observations(session, f)
    weighed = {n: f"{e.leans}: {e.what}" for n, e in failures.numbered_evidence(session, f).items()}
    sections = [
        ("Causes", [_cause_line(number, c) for number, c in numbered.items()]),
        ("Evidence", [f"e{number}. {line}" for number, line in weighed.items()]),
        ("Found by looking", [_looked(o) for o in looked]),
        ("What the numbers say", _numbers(session, f, of, causes)),
    ]
    data = {
        **record_data(f),
        "on": of.ref,
        "causes": [{"ref": f"{f.ref}.{n}", **columns_of(c, "id", "failure_id")} for n, c in numbered.items()],
        "evidence": list(weighed.values()),
        "looked": [observations.observation_facts(o) for o in looked],
        "loop": {"done": state.done, "next": state.next_step, "needs": state.move.needs, "how": state.how},
    }
    facts = [*_seen(session, f, of), *_corrected(session, f, state), *known_facts(("Private note", f.private_note))]
    return View(f"{f.ref} {f.saw}", facts, sections, data)


def _looked(o: Observation) -> str:
    note = f" {o.note}" if o.note else ""
    return f"{o.ref} {observations.question_of(o)} {o.answer.capitalize()}, {day_text(o.seen)}.{note}"


def _seen(session: Session, f: Failure, of: Revision) -> Facts:
    """What happened, and how bad it was."""
    attempt: Attempt | None = get_record(session, Attempt, f.attempt_id)
    earlier: Failure | None = get_record(session, Failure, f.caused_by_id)
    return known_facts(
        ("Revision", of.ref),
        ("Attempt", attempt.ref if attempt else None),
        ("Happened", day_text(f.happened)),
        ("Looked like", f.symptoms),
        ("Item", f.item),
        ("Effect", f.effect),
        ("Anyone hurt", f.harm),
        ("Severity", f"{f.severity} (1 could have killed, 4 slight)" if f.severity else None),
        ("Likelihood", f"{f.likelihood} (A often, F cannot any more)" if f.likelihood else None),
        ("Risk", _risk(f.severity, f.likelihood) if f.severity and f.likelihood else None),
        ("Done at once", f.contained),
        ("Brought about by", earlier.ref if earlier else None),
    )


def _risk(worst: int, likelihood: str) -> str:
    return f"{severity.risk_code(worst, likelihood)}, {severity.risk_of_hazard(worst, likelihood).lower()}"


def _corrected(session: Session, f: Failure, state: Loop) -> Facts:
    """What was done about it, and what is still to do."""
    correction: Decision | None = standing_record(session, Decision, f.correction_id)
    fitted: Revision | None = standing_record(session, Revision, f.built_into_id)
    proof = failures.proof(session, f)
    return known_facts(
        ("Corrected by", correction.ref if correction else None),
        ("Built into", fitted.ref if fitted else None),
        ("Will be shown by", f.criterion),
        ("Shown by", ", ".join(filter(None, [proof.ref, f.verified_note])) if proof else None),
        ("Loop", f"next, {state.says}" if state.next_step else "closed"),
    )


def _cause_line(number: int, c: Cause) -> str:
    sure = f", {c.sure:.0%} sure" if c.sure is not None else ""
    why = f"; because: {c.because}" if c.because else ""
    gone = f"; rejected: {c.rejected_because}" if c.rejected_because else ""
    return f"{number}. {c.what} ({c.standing}{sure}, {day_text(c.said_on)}){why}{gone}"


def _numbers(session: Session, f: Failure, of: Revision, causes: list[Cause]) -> list[str]:
    """What the rules say that were tied to the causes of a failure."""
    tied = [c.rule for c in causes if c.rule]
    if not tied:
        return [f"No rule is tied to a cause yet; see: galebook why {f.ref}"]
    result = verdict.check(session, of.ref)
    return [f"{x.status}: {verdict.headline(x)}. {x.says}" for x in result.findings if x.rule in tied]


LOOK = RecordLook("failures", Failure, ("On", "Seen", "Next step"), _row, _view)
