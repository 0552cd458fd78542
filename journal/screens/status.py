"""A build on one screen."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sqlmodel import Session

from calc.finding import Status
from journal.book.failures import Loop, loop
from journal.book.records import all_records, current_build
from journal.book.tables import Build, Decision, Failure, Revision
from journal.book.written import when
from journal.review import verdict
from journal.screens.terminal import Terminal, screen


@dataclass
class BuildStatus:
    """Revisions with their findings counted, loops that are open, decisions that wait.

    And of the newest revision its dangers, and what is not known of it and can kill.
    """

    build: Build
    revisions: list[tuple[Revision, dict[str, int]]] = field(default_factory=list)
    open_failures: list[tuple[Failure, Loop]] = field(default_factory=list)
    open_decisions: list[Decision] = field(default_factory=list)
    due: list[Decision] = field(default_factory=list)
    dangers: list[tuple[str, str]] = field(default_factory=list)
    deadly: list[str] = field(default_factory=list)


def gather_status(session: Session) -> BuildStatus:
    """The build meant, checked, with all that is open."""
    build = current_build(session)
    status = BuildStatus(build)
    for r in all_records(session, Revision, build):
        result = verdict.check(session, r.ref)
        counts = {str(s): len(result.with_status(s)) for s in Status if result.with_status(s)}
        status.revisions.append((r, counts))
        status.dangers = [(f.title, f.says) for f in result.with_status(Status.DANGER)]
        status.deadly = [verdict.headline(f) for f in result.deadly]
    loops = [(f, loop(session, f)) for f in all_records(session, Failure, build)]
    status.open_failures = [(f, state) for f, state in loops if state.next_step]
    today, made = when("today"), all_records(session, Decision, build)
    status.open_decisions = [d for d in made if d.decided_on is None]
    status.due = [d for d in made if d.decided_on is not None and _is_due(d, today)]
    return status


def _is_due(d: Decision, today: str) -> bool:
    """Whether a decision that was taken is to be looked at again."""
    awaited = bool(d.expected) and d.result is None and (d.review_on or "9999") <= today
    return awaited or (d.until or "9999") < today


def _data(status: BuildStatus) -> dict[str, Any]:
    return {
        "build": status.build.name,
        "revisions": [
            {"ref": r.ref, "title": r.title, "frozen": bool(r.frozen_at), "findings": counts}
            for r, counts in status.revisions
        ],
        "open_failures": [
            {"ref": f.ref, "saw": f.saw, "next": state.next_step, "how": state.how} for f, state in status.open_failures
        ],
        "open_decisions": [d.ref for d in status.open_decisions],
        "due": [d.ref for d in status.due],
    }


@screen(_data)
def show_status(out: Terminal, status: BuildStatus) -> None:
    """What there is, what is dangerous, what is to be done next."""
    out.title(status.build.name)
    if status.build.purpose:
        out.line(status.build.purpose)
    out.table(
        ("", "Revision", "State", "Findings"),
        (
            (r.ref, r.title or "", "as built" if r.frozen_at else "draft", _counted(counts))
            for r, counts in status.revisions
        ),
    )
    newest = status.revisions[-1][0].ref if status.revisions else ""
    out.block(f"Dangers on {newest}", (f"{title}: {says}" for title, says in status.dangers))
    if status.deadly:
        out.block(f"Not known on {newest}, and it can kill", (*status.deadly, f"See: galebook missing {newest}"))
    out.block(
        "Failures still open",
        (f"{f.ref} {f.saw}\n   next, {state.todo}: {state.how}" for f, state in status.open_failures),
    )
    out.block("Decisions to take", (f"{d.ref} {d.question}" for d in status.open_decisions))
    out.block("Decisions to look at again", map(_due, status.due))


def _counted(counts: dict[str, int]) -> str:
    return ", ".join(f"{n} {status}" for status, n in counts.items())


def _due(d: Decision) -> str:
    return f"{d.ref} accepted until {d.until}: {d.question}" if d.until else f"{d.ref} expected: {d.expected}"
