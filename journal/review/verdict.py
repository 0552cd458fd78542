"""What the numbers say of the records: rules run over a revision, and two revisions compared."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING

from sqlmodel import Session, col, select

from calc.finding import WORST_FIRST, Finding, Status
from calc.machine import catalogue, spread
from calc.quantities import QUANTITIES
from calc.units import show
from journal.book import parts, sheet
from journal.book.records import all_records, current_build, find_revision, standing_record
from journal.book.tables import Decision, Failure, Measurement, Option, Part, Revision, SheetValue
from journal.book.written import when
from journal.errors import BadInput, NotFound, nearest
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
    if not found:
        close = nearest(named, dict.fromkeys(f.rule for f in result.findings))
        hint = f"Did you mean {close}?" if close else f"See: galebook check {result.revision.ref} --all"
        raise NotFound(f"No finding {named!r} on {result.revision.ref}", hint)
    return found


def headline(about: Finding | Turn) -> str:
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
    wrong = finding.status in (Status.FAIL, Status.DANGER)
    share = round(100 * (p if wrong else 1.0 - p))
    many = "less than 1" if share == 0 else "more than 99" if share == 100 else str(share)
    return f"{'Sure' if wrong else 'It holds'}: {many} in 100, given what you know."


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
    """The sheet of a revision with its machine; what was solved once in a session is not solved again.

    Whoever wants to know what the machine does, and not what is wrong with it, needs no verdict.
    """
    values = sheet.load_sheet(session, of, changes)
    systems: dict[Hashable, System] = session.info.setdefault("systems", {})
    values.share(systems.setdefault(values.key, values.system))
    return values


def acceptances(session: Session, of: Revision) -> dict[tuple[str, str], Decision]:
    """Decisions that accept a finding of a revision and have not lapsed, by rule and subject."""
    rows = session.exec(
        select(Decision).where(
            Decision.revision_id == of.key, Decision.kind == "acceptance", col(Decision.withdrawn_because).is_(None)
        )
    )
    today = when("today")
    return {(d.rule or "", d.subject or ""): d for d in rows if (d.until or "") >= today}


@dataclass(frozen=True, slots=True)
class Changed:
    """One sheet value that differs between two revisions; empty text where it is not stated."""

    path: str
    meaning: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Turn:
    """One finding in both revisions, and which way it turned."""

    title: str
    subject: str
    old: Finding | None
    new: Finding | None
    turn: str


@dataclass(frozen=True, slots=True)
class Beside:
    """Measured values of one quantity in both revisions."""

    quantity: str
    meaning: str
    old: list[Measurement]
    new: list[Measurement]


@dataclass(frozen=True, slots=True)
class Answer:
    """One failure of the older revision, and what the newer does about it."""

    failure: Failure
    answered: str
    how: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two revisions side by side."""

    old: Review
    new: Review
    changed: list[Changed]
    parts_gone: list[Part]
    parts_new: list[Part]
    parts_kept: list[Part]
    cost_old: dict[str, float]
    cost_new: dict[str, float]
    turns: list[Turn]
    measured: list[Beside]
    answers: list[Answer]


_RANK = {status: i for i, status in enumerate(reversed(WORST_FIRST))}


def compare(session: Session, old: str, new: str) -> Comparison:
    """Check two revisions and set them side by side.

    Raises
    ------
    BadInput
        If both are the same revision.
    """
    return side_by_side(session, check(session, old), check(session, new))


def side_by_side(session: Session, first: Review, second: Review) -> Comparison:
    """Set two checked revisions side by side: sheet, parts, findings, measurements, failures.

    Raises
    ------
    BadInput
        If both are the same revision.
    """
    old, new = first.revision.ref, second.revision.ref
    if first.revision.key == second.revision.key:
        raise BadInput(f"{old} and {new} are the same revision", "Name two, like: galebook compare r1 r2")
    before = parts.on_revision(session, first.revision)
    after = parts.on_revision(session, second.revision)
    numbers_before, numbers_after = {p.number for p, _ in before}, {p.number for p, _ in after}
    return Comparison(
        old=first,
        new=second,
        changed=_changed(first.sheet, second.sheet),
        parts_gone=[p for p, _ in before if p.number not in numbers_after],
        parts_new=[p for p, _ in after if p.number not in numbers_before],
        parts_kept=[p for p, _ in after if p.number in numbers_before],
        cost_old=parts.cost(before),
        cost_new=parts.cost(after),
        turns=_turns(first, second),
        measured=_beside(session, first.revision, second.revision),
        answers=_answers(session, first, second),
    )


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
    shown = QUANTITIES[m.quantity].shown
    if m.low is None or m.high is None or m.low == m.high:
        return show(m.value, shown)
    return f"{show(m.value, shown)} ({_limits(m.low, m.high, shown)})"


def _changed(old: sheet.RevisionSheet, new: sheet.RevisionSheet) -> list[Changed]:
    order = list(dict.fromkeys([*old.values, *new.values]))
    position = {name: i for i, name in enumerate(catalogue.catalogue())}
    order.sort(key=lambda path: (position[catalogue.split(path)[0]], path))
    rows = []
    for path in order:
        a, b = value_text(old.values.get(path), limits=False), value_text(new.values.get(path), limits=False)
        before, after = old.values.get(path), new.values.get(path)
        if a != b or (before and after and (before.number, before.word) != (after.number, after.word)):
            entry, label = sheet.entry_of(path)
            rows.append(Changed(path, f"{entry.meaning} ({label})" if label else entry.meaning, a, b))
    return rows


def _turn(old: Finding | None, new: Finding | None) -> str:
    if old is None or new is None:
        return "new" if old is None else "gone"
    before, after = _RANK[old.status], _RANK[new.status]
    if before == after:
        return "same"
    if Status.UNKNOWN in (old.status, new.status):
        return "now known" if old.status is Status.UNKNOWN else "no longer known"
    return "better" if after < before else "worse"


def _turns(old: Review, new: Review) -> list[Turn]:
    # What readings say stands beside the measurements.
    keys = dict.fromkeys(f.key for review in (old, new) for f in of_machine(review.findings))
    turns = []
    for key in keys:
        a, b = old.by_key.get(key), new.by_key.get(key)
        known = a or b
        if known is not None:
            turns.append(Turn(known.title, known.subject, a, b, _turn(a, b)))
    return turns


def _measurements(session: Session, of: Revision) -> list[Measurement]:
    return [m for m in all_records(session, Measurement, current_build(session)) if m.revision_id == of.key]


def _beside(session: Session, old: Revision, new: Revision) -> list[Beside]:
    before, after = _measurements(session, old), _measurements(session, new)
    taken = {m.quantity for m in [*before, *after]}
    return [
        Beside(
            name,
            quantity.meaning,
            [m for m in before if m.quantity == name],
            [m for m in after if m.quantity == name],
        )
        for name, quantity in QUANTITIES.items()
        if name in taken
    ]


def _answers(session: Session, old: Review, new: Review) -> list[Answer]:
    from journal.book import failures

    rows = []
    for failure in all_records(session, Failure, current_build(session)):
        if failure.revision_id != old.revision.key:
            continue
        how = []
        fitted: Revision | None = standing_record(session, Revision, failure.built_into_id)
        decision: Decision | None = standing_record(session, Decision, failure.correction_id)
        chosen = _chosen(session, decision)
        if decision is not None:
            how.append(f"{decision.ref} chose {chosen}" if chosen else f"{decision.ref} decided it")
        for cause in failures.causes(session, failure):
            if cause.rule and cause.standing != "rejected":
                how += _rule_turn(cause.rule, old, new)
        built = fitted is not None and fitted.number <= new.revision.number
        proven = failures.proof(session, failure) is not None
        answered = (
            "yes, and shown to work" if built and proven else "built in, not yet shown to work" if built else "no"
        )
        rows.append(Answer(failure, answered, "; ".join(how)))
    return rows


def _chosen(session: Session, decision: Decision | None) -> str:
    if decision is None:
        return ""
    row = session.exec(
        select(Option).where(Option.decision_id == decision.key, col(Option.chosen).is_(True))
    ).one_or_none()
    return f"“{row.name}”" if row else ""


def _rule_turn(rule: str, old: Review, new: Review) -> list[str]:
    turns = [t for t in _turns(old, new) if (t.old or t.new) and (t.old or t.new).rule == rule]  # type: ignore[union-attr]
    said = []
    for t in turns:
        before, after = (t.old.status if t.old else "absent"), (t.new.status if t.new else "no longer applies")
        named = headline(t)
        said.append(f"{named[0].lower()}{named[1:]}: {before}, now {after}")
    return said


def implied_doubt(provenance: str) -> str:
    """What uncertainty a provenance implies, in words."""
    share = spread.PROVENANCE_DOUBT.get(provenance)
    return f"± {share:.0%} implied by its source" if share else ""
