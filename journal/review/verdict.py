"""What the numbers say of a revision: rules run over its sheet, always with their doubt."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import TYPE_CHECKING, Protocol

from sqlmodel import Session, col, select

from calc.finding import Finding, Status
from calc.machine import spread
from calc.quantities import QUANTITIES
from calc.units import show
from journal.book import sheet
from journal.book.days import earliest
from journal.book.records import find_revision, records_on
from journal.book.tables import Decision, LoggerFile, Measurement, Revision, SheetValue
from journal.book.written import when
from journal.errors import NotFound, Refused, nearest
from journal.review import kept

if TYPE_CHECKING:
    from calc.machine.system import System
    from calc.rules.plan import Advice, Plan

ACCEPTABLE = (Status.FAIL, Status.MARGINAL)


@dataclass(frozen=True)
class Review:
    """A revision, its sheet, and what every rule says of it.

    Parameters
    ----------
    revision : Revision
        What was checked.
    sheet : Sheet
        The values it was checked with.
    findings : list of Finding
        Worst first.
    accepted : dict of (rule, subject) to Decision
        Findings that a recorded decision accepts, as long as it has not lapsed.
    plan : Plan
        What to do first; empty where remedies were not asked for.
    """

    revision: Revision
    sheet: sheet.RevisionSheet
    findings: list[Finding]
    accepted: dict[tuple[str, str], Decision]
    plan: Plan

    @property
    def system(self) -> System:
        """The machine that was judged."""
        return self.sheet.system

    @cached_property
    def by_key(self) -> dict[tuple[str, str], Finding]:
        """Findings by rule and subject."""
        return {f.key: f for f in self.findings}

    def with_status(self, *statuses: Status) -> list[Finding]:
        """Findings of the machine with one of some statuses; what its readings say stands apart."""
        return of_machine(self.findings, *statuses)

    def of_readings(self, *statuses: Status) -> list[Finding]:
        """What readings say beside the computed machine, those with one of some statuses."""
        return [f for f in self.findings if f.status in statuses and f.of_reading]

    @cached_property
    def missing(self) -> dict[str, list[Finding]]:
        """Sheet values that are missing, each with the findings it blocks; what can kill first."""
        blocked: dict[str, list[Finding]] = {}
        for finding in self.findings:
            for path in finding.missing:
                blocked.setdefault(path, []).append(finding)
        return dict(sorted(blocked.items(), key=lambda item: (not any(f.deadly for f in item[1]), -len(item[1]))))

    @property
    def deadly(self) -> list[Finding]:
        """Findings that are not known and can kill."""
        return [f for f in self.findings if f.deadly]


def of_machine(findings: list[Finding], *statuses: Status) -> list[Finding]:
    """Those of some findings that judge the machine, with one of some statuses (with any, where none is named)."""
    return [f for f in findings if not f.of_reading and (not statuses or f.status in statuses)]


def failed(findings: list[Finding]) -> bool:
    """Whether any finding of the machine fails or is a danger."""
    return bool(of_machine(findings, Status.FAIL, Status.DANGER))


def asked(result: Review, named: str) -> list[Finding]:
    """Findings of a rule, by its name, with or without the subject behind it (``wiring.fuse`` or ``wiring.fuse.mast``).

    Raises
    ------
    NotFound
        If no finding of the revision has that name.
    """
    found = [f for f in result.findings if named in (f.rule, f"{f.rule}.{f.subject.partition('.')[2]}")]
    found = found or [f for f in result.findings if named in f.rule.replace(".", "-").split("-")]
    if not found:
        close = nearest(named, dict.fromkeys(f.rule for f in result.findings))
        hint = f"Did you mean {close}?" if close else f"See: galebook check {result.revision.ref} --all"
        raise NotFound(f"No finding {named!r} on {result.revision.ref}", hint)
    return found


class Titled(Protocol):
    """What is about one subject of a rule."""

    @property
    def title(self) -> str: ...  # noqa: D102
    @property
    def subject(self) -> str: ...  # noqa: D102


def headline(about: Titled) -> str:
    """Title of a finding, with the thing it is about where there can be several."""
    group, _, label = about.subject.partition(".")
    return f"{about.title} ({label if group == 'claim' else f'{group} {label}'})" if label else about.title


def passed(result: Review) -> tuple[list[Finding], list[Finding]]:
    """Findings held against a number or a rule and within it, and those that only take the sheet's word."""
    return result.with_status(Status.OK), result.with_status(Status.STATED)


def ways(finding: Finding) -> str:
    """How sure a finding is, given what is known, in a sentence; empty where no doubt enters it."""
    p = finding.probability
    if p is None or p in (0.0, 1.0):
        return ""
    wrong, close = finding.status in (Status.FAIL, Status.DANGER), finding.status is Status.MARGINAL
    share = round(100 * (p if wrong or close else 1.0 - p))
    many = "less than 1" if share == 0 else "more than 99" if share == 100 else str(share)
    # What is only just enough is not told to hold: of it is told how often it is not enough.
    says = f"Sure: {many} in" if wrong else f"It misses its limit in {many} of" if close else f"It holds in {many} of"
    return f"{says} 100, given what you know."


def check(
    session: Session, ref: str | None = None, *, changes: Mapping[str, str] | None = None, advise: bool = False
) -> Review:
    """The verdict of a revision: every rule run over it, with its doubt.

    What was judged once in a session is not judged again, as long as the sheet says the same.

    Parameters
    ----------
    ref : str, optional
        The revision; without one, the newest.
    changes : mapping of str to str, optional
        Values as typed that replace those on the sheet for this check only.
    advise : bool
        Whether remedies are wanted, each tried on the whole machine, and what to do first.
    """
    of = find_revision(session, ref)
    values = opened(session, of, changes)
    told: dict[Hashable, Advice] = session.info.setdefault("judged", {})
    key = (values.key, advise)
    # Whoever wants no remedies takes a verdict that has them, too.
    found = told.get(key) or told.get((values.key, True))
    if found is None:
        frozen = of.frozen_at is not None and not changes
        judge = partial(_judge, values, advise)
        found = told[key] = kept.verdict(key, judge) if frozen else judge()
    return Review(of, values, found.findings, acceptances(session, of), found.plan)


def _judge(values: sheet.RevisionSheet, advise: bool) -> Advice:
    from calc.rules import RULES, engine, plan

    found = engine.judge_rules(RULES, values.system, values.provenance)
    return plan.advise(RULES, values.system, found) if advise else plan.Advice(found, plan.Plan())


def opened(session: Session, of: Revision, changes: Mapping[str, str] | None = None) -> sheet.RevisionSheet:
    """The sheet of a revision with its machine; what was solved lately is not solved again.

    Whoever wants to know what the machine does, and not what is wrong with it, needs no verdict.
    """
    if changes or session.autoflush:
        return _with_machine(_with_curve(session, of, sheet.load_sheet(session, of, changes)))
    # A session that only reads finds the same sheet each time, with thousands of readings perhaps.
    sheets: dict[int, sheet.RevisionSheet] = session.info.setdefault("sheets", {})
    if of.key not in sheets:
        sheets[of.key] = _with_machine(_with_curve(session, of, sheet.load_sheet(session, of)))
    return sheets[of.key]


def _with_curve(session: Session, of: Revision, values: sheet.RevisionSheet) -> sheet.RevisionSheet:
    """With the power curve that loggers measured, if any wrote of it."""
    files = records_on(session, LoggerFile, of)
    if not files:
        return values
    from journal.logger.means import lost
    from journal.review.at_site import burnt_by, points

    # What was kept of a logger is gone or damaged: that is told in a line, and dangers all the same.
    gone = ""
    try:
        gone = lost(session, files)
        curve = points(session, of, values, files)
        return replace(values, curve=curve, burnt=burnt_by(session, of, files), lost=gone)
    except Refused as e:
        return replace(values, lost=gone or e.what)


#: As many machines as a story has, with what was tried on them.
LAST = 24
_machines: dict[Hashable, System] = {}


def _with_machine(values: sheet.RevisionSheet) -> sheet.RevisionSheet:
    """With the machine that was solved for the same numbers before, if it is one of the last ones."""
    machine = _machines.pop(values.key, None) or values.system
    _machines[values.key] = machine
    for oldest in list(_machines)[:-LAST]:
        del _machines[oldest]
    values.share(machine)
    return values


def acceptances(session: Session, of: Revision) -> dict[tuple[str, str], Decision]:
    """Decisions that accept a finding of a revision and have not lapsed, by rule and subject."""
    rows = session.exec(
        select(Decision).where(
            Decision.revision_id == of.key, Decision.kind == "acceptance", col(Decision.withdrawn_because).is_(None)
        )
    )
    today = when("today")
    return {(d.rule or "", d.subject or ""): d for d in rows if d.until and earliest(d.until) >= today}


def value_text(row: SheetValue | None, *, limits: bool = True) -> str:
    """A sheet value as a person would say it, with its limits where they were typed."""
    if row is None:
        return ""
    entry = sheet.entry_of(row.path)[0]
    if row.number is None:
        return str(row.word)
    typed = entry.text(row.number)
    return (
        typed
        if row.low is None or row.high is None or not limits
        else f"{typed} ({_limits(row.low, row.high, entry.shown)})"
    )


def _limits(low: float, high: float, unit: str) -> str:
    ends = sorted((low, high), key=lambda v: float(show(v, unit).split()[0]) if unit == "rpm/V" else v)
    return f"{show(ends[0], unit)} to {show(ends[1], unit)}"


def measured_text(m: Measurement) -> str:
    """A measurement as a person would say it."""
    if m.value is None:
        return f"not measured: {m.missing_because}"
    of = QUANTITIES[m.quantity]
    if of.open_ended and m.low is not None and m.high == of.high:
        return f"over {show(m.low, of.shown)}"
    return f"{show(m.value, of.shown)}{limits_text(m.low, m.high, of.shown)}"


def limits_text(low: float | None, high: float | None, shown: str) -> str:
    """The limits behind a value, in brackets; nothing where there are none."""
    return "" if low is None or high is None or low == high else f" ({_limits(low, high, shown)})"


def implied_doubt(provenance: str) -> str:
    """What uncertainty a provenance implies, in words."""
    share = spread.PROVENANCE_DOUBT.get(provenance)
    return f"± {share:.0%} implied by its source" if share else ""
