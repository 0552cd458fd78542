"""The loop of a failure: seen, cause believed, evidence, correction chosen, built in, verified; and the next step.

A step is told with the command that takes it. A reference stands in it only where that record truly fits: a decision
that is about the failure, a revision that holds what was chosen, a run of it as hard as the one that failed. Where
there is none, it is told what is needed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from sqlmodel import Session, col, select

from journal.book.failures import causes, evidence, proof
from journal.book.observations import observations
from journal.book.records import all_records, current_build, get_record, standing_record
from journal.book.stored import changes_of
from journal.book.tables import Attempt, Decision, Failure, Option, Revision, SheetValue

#: Steps of the loop, in order, each as something to do.
STEPS = {
    "seen": "say what was seen",
    "cause believed": "name a cause",
    "evidence weighed": "find out whether that was the cause",
    "correction chosen": "choose a correction",
    "built in": "build the correction in",
    "verified": "show that the correction works",
}
#: A failure of which nobody said how severe it was stands between grave and moderate.
UNSAID = 2.5
#: Answers of somebody who looked that speak for or against a cause.
_TELL = ("yes", "no")
#: Attempts in which a machine meets its wind: neither a bench nor a raising proves a correction.
_IN_THE_WIND = ("run", "storm")


@dataclass(frozen=True, slots=True)
class Move:
    """The command that takes a step, and in words what must be there first; empty where nothing must.

    ``waits`` says that it cannot be had by sitting down to it, for it takes a wind.
    """

    how: str = ""
    needs: str = ""
    waits: bool = False


@dataclass(frozen=True, slots=True)
class Loop:
    """How far a failure's loop is closed.

    Parameters
    ----------
    done : tuple of str
        The steps taken.
    next_step : str
        The first step that is missing; empty when the loop is closed.
    todo : str
        The same step, as something to do.
    move : Move
        How it is taken.
    """

    done: tuple[str, ...]
    next_step: str
    todo: str
    move: Move

    @property
    def how(self) -> str:
        """The command that takes the next step."""
        return self.move.how

    @property
    def says(self) -> str:
        """The next step with what it needs and the command, in one line."""
        return "; ".join(filter(None, [self.todo, self.move.needs])) + f": {self.how}"


def loop(session: Session, failure: Failure) -> Loop:
    """How far a failure's loop is closed, and how to take the next step; a withdrawn record closes nothing."""
    believed = [c for c in causes(session, failure) if c.standing != "rejected"]
    told = any(o.answer in _TELL for o in observations(session, failure))
    weighed = told or bool(evidence(session, failure)) or any(c.because for c in believed)
    steps = {
        "seen": True,
        "cause believed": bool(believed),
        "evidence weighed": weighed,
        "correction chosen": standing_record(session, Decision, failure.correction_id) is not None,
        "built in": standing_record(session, Revision, failure.built_into_id) is not None,
        "verified": proof(session, failure) is not None,
    }
    step = next((name for name, done in steps.items() if not done), "")
    return Loop(
        tuple(name for name, done in steps.items() if done), step, STEPS.get(step, ""), _move(session, failure, step)
    )


def all_loops(session: Session) -> dict[str, Loop]:
    """How far the loop of every failure is closed, by reference."""
    return {f.ref: loop(session, f) for f in all_records(session, Failure, current_build(session))}


def opened_again(before: dict[str, Loop], after: dict[str, Loop]) -> list[str]:
    """The failures whose loop lost a step by what was done in between, each with its next step, in one line."""
    lost = [ref for ref, now in after.items() if ref in before and len(now.done) < len(before[ref].done)]
    return [f"{ref} is open again: {after[ref].says}" for ref in lost]


def _move(session: Session, failure: Failure, step: str) -> Move:
    ref = failure.ref
    if step == "cause believed":
        return Move(f'galebook cause {ref} "..." --sure 60%')
    if step == "evidence weighed":
        # What to look at first is worked out there; what was found, the same command says how to record.
        return Move(f"galebook why {ref}")
    if step == "correction chosen":
        return _choosing(session, failure)
    if step == "built in":
        return _building(session, failure)
    return _proving(session, failure) if step == "verified" else Move()


def _choosing(session: Session, failure: Failure) -> Move:
    """The newest decision that is about the failure, for it names it; else how to ask."""
    # A failure that is logged takes none of this, and what it imports is slow to load.
    from journal.book import decisions

    ref = failure.ref
    about = [d for d in all_records(session, Decision, current_build(session)) if _is_about(d, failure)]
    taken = [d for d in about if d.decided_on is not None]
    if taken:
        return Move(f"galebook fix {ref} --by {taken[-1].ref}")
    if not about:
        return Move(f'galebook decide "What is done about {ref}?"', f"no decision names {ref} yet")
    asked = about[-1].ref
    if decisions.options(session, about[-1]):
        return Move(f'galebook choose {asked} "..." --because "..."', f"{asked} asks about it and is not taken yet")
    return Move(f'galebook option {asked} "..."', f"{asked} asks about it and has no options yet")


def _is_about(d: Decision, failure: Failure) -> bool:
    words = " ".join(filter(None, [d.question, d.context, d.because]))
    return d.kind == "design" and re.search(rf"\b{failure.ref}\b", words) is not None


def _building(session: Session, failure: Failure) -> Move:
    """The first later revision whose sheet holds what was chosen; else what is to be done to one."""
    ref, chosen = failure.ref, _chosen_changes(session, failure)
    failed: Revision = get_record(session, Revision, failure.revision_id)
    later = [r for r in all_records(session, Revision, current_build(session)) if r.number > failed.number]
    if not later:
        return Move(f'galebook revise --because "answers {ref}"', f"there is no revision after {failed.ref} yet")
    if chosen is None:
        return Move(f"galebook fix {ref} --in REVISION", f"name the revision after {failed.ref} that has it")
    by, changes, drawn = chosen
    holding = [r for r in later if r.number >= drawn.number and _holds(session, r, changes)]
    if holding:
        return Move(f"galebook fix {ref} --in {holding[0].ref}")
    drafts = [r for r in later if r.frozen_at is None]
    lacks = f"no sheet after {failed.ref} has what {by} chose"
    if drafts:
        return Move(f"galebook sheet {drafts[-1].ref} --edit", lacks)
    return Move(f'galebook revise --because "answers {ref}"', lacks)


def _chosen_changes(session: Session, failure: Failure) -> tuple[str, dict[str, str], Revision] | None:
    """The decision, the changes that it chose, and the revision on which it was asked; None where it tells too little.

    A choice without changes that was made on the revision that failed says nothing of which later one holds it.
    """
    decision: Decision = get_record(session, Decision, failure.correction_id)
    option = session.exec(
        select(Option).where(Option.decision_id == decision.key, col(Option.chosen).is_(True))
    ).one_or_none()
    changes: dict[str, str] = changes_of(option)
    drawn: Revision = get_record(session, Revision, decision.revision_id)
    failed: Revision = get_record(session, Revision, failure.revision_id)
    return (decision.ref, changes, drawn) if changes or drawn.number > failed.number else None


def _holds(session: Session, revision: Revision, changes: dict[str, str]) -> bool:
    from journal.book import sheet

    rows = {
        row.path: row for row in session.exec(select(SheetValue).where(SheetValue.revision_id == revision.key))
    }  # fmt: skip
    wanted = {path: sheet.read_value(path, typed) for path, typed in changes.items()}
    return all(
        path in rows and (rows[path].number, rows[path].word) == (fields["number"], fields["word"])
        for path, fields in wanted.items()
    )


def _proving(session: Session, failure: Failure) -> Move:
    """The newest run of the corrected machine that was as hard as the one that failed; else which one is wanted."""
    from journal.review.proof import harder, hardness, is_of_output

    ref = failure.ref
    fitted: Revision = get_record(session, Revision, failure.built_into_id)
    made = all_records(session, Revision, current_build(session), withdrawn=True)
    later = {r.key for r in made if r.number >= fitted.number}
    tried = [a for a in all_records(session, Attempt, current_build(session)) if _tried_on(a, later)]
    of = is_of_output(session, failure)
    fit = [a for a in tried if hardness(session, failure, a, of).enough and _as_loaded(session, failure, a)]
    if fit:
        return Move(f"galebook verify {ref} --by {fit[-1].ref}")
    wanted = harder(session, failure)
    wind = f" in {wanted}" if wanted else f" that shows it ({failure.criterion})" if failure.criterion else ""
    apart = ""
    if wanted.endswith("more"):
        apart = f", with everybody out of its reach; never while galebook check {fitted.ref} fails mast, guys or blades"
    if not wanted and tried:
        return Move(f"galebook verify {ref} --by ATTEMPT", f"name the run of {fitted.ref}{wind}")
    asked = f'galebook attempt "..." --on {fitted.ref} --wind "..."'
    return Move(asked, f"it takes a run of {fitted.ref}{wind}{apart}", waits=True)


def _tried_on(a: Attempt, revisions: set[int]) -> bool:
    return a.revision_id in revisions and a.kind in _IN_THE_WIND and a.outcome == "worked"


def _as_loaded(session: Session, failure: Failure, a: Attempt) -> bool:
    """Whether what was connected is what was connected when it failed, as far as that is on record."""
    failed: Attempt | None = get_record(session, Attempt, failure.attempt_id)
    was, now = (failed.load_state if failed else None) or "", a.load_state or ""
    return not was or now == was or (was.startswith("battery") and now.startswith("battery"))
