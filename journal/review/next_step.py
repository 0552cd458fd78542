"""The one next step of a build: what can hurt people first, then what is not known and can kill, then open loops."""

from __future__ import annotations

from dataclasses import dataclass, field

from sqlmodel import Session

from calc.finding import Status
from calc.wording import number_of
from journal.book.days import earliest
from journal.book.papers import has_ended
from journal.book.records import all_records, current_build, records_on
from journal.book.tables import Attempt, Build, Decision, Failure, Paper, Revision
from journal.book.written import when
from journal.errors import stopped
from journal.review import counsel, verdict
from journal.review.loop import UNSAID, Loop, loop
from journal.review.wording import day_text, lower_first


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing to do.

    Parameters
    ----------
    about : str
        What asks for it: danger, not known, sheet, failure, decision, fail, attempt or nothing.
    ref : str
        The record that asks; empty for nothing.
    says : str
        What is to be done, and why.
    how : str
        The command that takes it.
    """

    about: str
    ref: str
    says: str
    how: str


@dataclass
class BuildStatus:
    """Revisions with their verdicts, loops that are open, decisions that wait, and the one next step."""

    build: Build
    reviews: list[verdict.Review] = field(default_factory=list)
    open_failures: list[tuple[Failure, Loop]] = field(default_factory=list)
    open_decisions: list[Decision] = field(default_factory=list)
    due: list[Decision] = field(default_factory=list)
    papers_over: list[Paper] = field(default_factory=list)
    next: NextStep = NextStep("nothing", "", "", "")

    @property
    def newest(self) -> verdict.Review | None:
        """The newest revision with its verdict."""
        return self.reviews[-1] if self.reviews else None

    @property
    def dangers(self) -> list[tuple[str, str]]:
        """Dangers of the newest revision, each with what is said of it."""
        found = [] if self.newest is None else self.newest.with_status(Status.DANGER)
        return [(verdict.headline(f), f.says) for f in found]

    @property
    def deadly(self) -> list[str]:
        """What is not known of the newest revision and can kill."""
        return [] if self.newest is None else [verdict.headline(f) for f in self.newest.deadly]


def status_of(session: Session) -> BuildStatus:
    """The build meant, every revision with the verdict that check gives it, all that is open, and the next step."""
    build = current_build(session)
    status = BuildStatus(build)
    status.reviews = [verdict.check(session, r.ref) for r in all_records(session, Revision, build)]
    loops = [(f, loop(session, f)) for f in all_records(session, Failure, build)]
    status.open_failures = [(f, state) for f, state in loops if state.next_step]
    today, made = when("today"), all_records(session, Decision, build)
    status.open_decisions = [d for d in made if d.decided_on is None]
    status.due = [d for d in made if d.decided_on is not None and _is_due(d, today)]
    status.papers_over = [p for p in all_records(session, Paper, build) if has_ended(p, today)]
    status.next = _next(session, status)
    return status


def _is_due(d: Decision, today: str) -> bool:
    """Whether a decision that was taken is to be looked at again."""
    awaited = bool(d.expected) and d.result is None and earliest(d.review_on or "9999") <= today
    return awaited or earliest(d.until or "9999") < today


def _next(session: Session, status: BuildStatus) -> NextStep:
    """What hurts first; what can be done at the desk before what needs a wind."""
    open_loops = sorted(status.open_failures, key=lambda item: (item[0].severity or UNSAID, item[0].number))
    at_desk = [item for item in open_loops if not item[1].move.waits]
    waiting = [item for item in open_loops if item[1].move.waits]
    return (
        _of_newest(session, status.newest)
        or next((_of_failure(*item) for item in at_desk), None)
        or next((_of_due(session, d) for d in status.due), None)
        or next((_of_open(d) for d in status.open_decisions), None)
        or _of_fails(status.newest)
        or next((_of_failure(*item) for item in waiting), None)
        or _of_rest(session, status.newest)
    )


def _of_newest(session: Session, newest: verdict.Review | None) -> NextStep | None:
    """What of the newest revision can hurt or kill; before all that, an empty sheet is to be filled."""
    if newest is None:
        return NextStep("sheet", "", "There is no revision yet. Make one.", "galebook revise")
    ref, dangers, deadly = newest.revision.ref, newest.with_status(Status.DANGER), newest.deadly
    if not newest.sheet.values:
        return NextStep("sheet", ref, f"The sheet of {ref} is empty. Say what it is.", f"galebook sheet {ref} --edit")
    if dangers:
        return NextStep("danger", ref, _of_dangers(session, newest), f"galebook check {ref}")
    if deadly:
        others = f", and {len(deadly) - 1} more" if deadly[1:] else ""
        what = f"Not known of {ref}, and it can kill: {lower_first(verdict.headline(deadly[0]))}{others}. Find it out."
        return NextStep("not known", ref, what, f"galebook missing {ref}")
    return None


def _of_dangers(session: Session, newest: verdict.Review) -> str:
    """What check says is to be done first."""
    result = verdict.check(session, newest.revision.ref, advise=True)
    first = next(iter(result.plan.todos), None)
    worst = (counsel.lead(result, first) if first else None) or newest.with_status(Status.DANGER)[0]
    do = [counsel.short(first)] if first and first.remedies else []
    keep = ["Do not let it turn unattended."] if newest.revision.frozen_at else []
    return " ".join([f"People can be hurt by {newest.revision.ref}.", worst.first, *do, *keep])


def _of_failure(failure: Failure, state: Loop) -> NextStep:
    needs = f"; {state.move.needs}" if state.move.needs else ""
    says = f"{failure.ref}, {lower_first(failure.saw).rstrip('.')}: {state.todo}{needs}."
    return NextStep("failure", failure.ref, says, state.how)


def _of_due(session: Session, d: Decision) -> NextStep:
    if d.kind == "acceptance":
        says = f"{d.ref}: what was accepted until {day_text(d.until)} is to be looked at again. {stopped(d.question)}"
        return NextStep("decision", d.ref, says, f"galebook show {d.ref}")
    from journal.review.forecast import settling

    settles = settling(session, d)
    how = f"galebook outcome {d.ref} --by {settles.ref}" if settles else f'galebook outcome {d.ref} "..."'
    return NextStep("decision", d.ref, f"{d.ref} expected: {stopped(d.expected or '')} Say what came of it.", how)


def _of_open(d: Decision) -> NextStep:
    return NextStep("decision", d.ref, f"{d.ref} is to be taken: {d.question}", f"galebook weigh {d.ref}")


def _of_fails(newest: verdict.Review | None) -> NextStep | None:
    """What fails and nobody accepted."""
    if newest is None:
        return None
    fails = [f for f in newest.with_status(Status.FAIL) if f.key not in newest.accepted]
    if not fails:
        return None
    ref, others = newest.revision.ref, f", and {len(fails) - 1} more" if fails[1:] else ""
    says = f"{ref} fails: {lower_first(verdict.headline(fails[0]))}{others}. Put it right, or accept it until a day."
    return NextStep("fail", ref, says, f"galebook check {ref}")


def _of_rest(session: Session, newest: verdict.Review | None) -> NextStep:
    """Nothing hurts and nothing is open: find out the rest, try it, go on."""
    if newest is None:
        return NextStep("nothing", "", "", "")
    ref, unknown = newest.revision.ref, newest.with_status(Status.UNKNOWN)
    if unknown:
        says = f"{number_of(len(unknown), 'finding')} of {ref} cannot be told yet. Find out what is missing."
        return NextStep("not known", ref, says, f"galebook missing {ref}")
    tried = bool(records_on(session, Attempt, newest.revision))
    says = f"Nothing waits. Log what {ref} does next." if tried else f"Nothing stands against {ref}. Log the first try."
    return NextStep("attempt", ref, says, "galebook attempt")
