"""The whole build as one tale, gathered from the records and the numbers, for write-ups."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from sqlmodel import Session, col, select

from calc.finding import Finding, Status
from calc.machine.design import Design
from journal.book import attachments, decisions, failures, observations, parts, sheet
from journal.book.days import order
from journal.book.records import all_records, current_build, get_record, records_on, standing_record
from journal.book.tables import (
    NUMBERED,
    Attachment,
    Attempt,
    Build,
    Cause,
    Claim,
    Decision,
    Evidence,
    Failure,
    Measurement,
    Numbered,
    Option,
    Paper,
    Part,
    PartUse,
    Revision,
)
from journal.book.written import when
from journal.errors import BadInput
from journal.publish import private
from journal.publish.numbers import MachineTold
from journal.review import comparison, predictions, verdict
from journal.review.counsel import ByCause, groups
from journal.review.loop import Loop, loop
from journal.review.options import DecisionView, view_decision
from journal.review.series import SINGLY, Series, told_on
from journal.review.wording import cost_text, days_text, wind_text

if TYPE_CHECKING:
    from calc.mechanisms.judge import JudgedMechanism
    from journal.review.why import Why

T = TypeVar("T")

#: What a reader wants to know of a machine first, in this order.
KEY_FIGURES = (
    "rotor.diameter", "rotor.blades", "blade.material", "blade.pipe_diameter", "blade.pipe_wall", "blade.chord_root",
    "blade.chord_tip", "generator.phases", "generator.emf_constant", "generator.winding_resistance", "mast.kind",
    "mast.height", "cable.*.length", "cable.*.area", "storage.chemistry", "storage.voltage", "storage.capacity",
    "rotor.overspeed", "rotor.brake", "dump.kind", "dump.power", "inverter.power", "house.feed", "site.mean_wind",
)  # fmt: skip


@dataclass(frozen=True)
class Figure:
    """One key figure: its meaning, value and where it comes from."""

    path: str
    meaning: str
    value: str
    provenance: str

    @property
    def group(self) -> str:
        """The group of the sheet in which it stands."""
        return self.path.partition(".")[0]


@dataclass(frozen=True)
class Tried:
    """One attempt with what was read: few of a kind one by one, many as a series."""

    attempt: Attempt
    when: str
    wind: str
    read: list[Measurement]
    series: list[Series]
    files: list[Attachment]


@dataclass(frozen=True)
class Believed:
    """One cause, with what the numbers say of it and the evidence that bears on it."""

    cause: Cause
    numbers: list[Finding]
    evidence: list[Evidence]


#: Mechanisms that a look at the torque of rotor and generator explains.
_ON_TORQUE = ("charging.never-reached", "charging.stalled", "rotor.too-stiff-to-start", "generator.weak-magnets",
              "bearing.drag")  # fmt: skip


@dataclass(frozen=True)
class Failed:
    """One failure with its causes and the state of its loop."""

    failure: Failure
    attempt: Attempt | None
    brought_about_by: Failure | None
    believed: list[Believed]
    evidence: list[Evidence]
    loop: Loop
    correction: Decision | None
    chosen: str
    fitted: Revision | None
    proof: Numbered | None
    files: list[Attachment]
    why: Why | None
    looked: tuple[observations.Looked, ...] = ()

    @property
    def turns_on_torque(self) -> bool:
        """Whether the torque of rotor and generator explains it: what is believed of it is about where they balance."""
        held = [b for b in self.why.beliefs if b.weighed and b.cause.standing != "rejected"] if self.why else []
        return any(b.mechanism in _ON_TORQUE and b.weighed and b.weighed.verdict != "contradicted" for b in held)

    @property
    def also(self) -> list[JudgedMechanism]:
        """Explanations that the numbers support and nobody believed."""
        believed = {b.mechanism for b in self.why.beliefs} if self.why else set()
        ranked = self.why.ranked if self.why else []
        return [w for w in ranked if w.verdict == "supported" and w.id not in believed]


@dataclass(frozen=True)
class Checked:
    """What the checks say of a revision, worst first; of readings the first few, and in words how many more.

    ``groups`` are what must be put right, by cause, in the order in which it is best done.
    """

    revision: Revision
    findings: list[Finding]
    more: str
    groups: list[ByCause] = field(default_factory=list)

    def with_status(self, *statuses: Status) -> list[Finding]:
        """Findings of the machine with one of some statuses."""
        return verdict.of_machine(self.findings, *statuses)

    @property
    def deadly(self) -> list[Finding]:
        """Findings that are not known and can kill."""
        return [f for f in self.findings if f.deadly]


@dataclass(frozen=True)
class Compared:
    """Two revisions side by side, as in :class:`journal.review.comparison.Comparison`; sums of money in words."""

    old: Checked
    new: Checked
    changed: list[comparison.Changed]
    parts_gone: list[Part]
    parts_new: list[Part]
    parts_kept: list[Part]
    cost_old: str
    cost_new: str
    turns: list[comparison.Turn]
    answers: list[comparison.Answer]


@dataclass(frozen=True)
class Chapter:
    """One revision."""

    revision: Revision
    parent: Revision | None
    design: Design
    figures: list[Figure]
    sheet: list[Figure]
    parts: list[tuple[Part, PartUse]]
    cost: str
    claims: list[tuple[Claim, list[Finding]]]
    tried: list[Tried]
    read_apart: list[Measurement]
    series_apart: list[Series]
    failed: list[Failed]
    decisions: list[DecisionView]
    accepted: list[tuple[Decision, Finding]]
    review: Checked
    #: Limits of the doubtful numbers of its sheet by full name, in SI; and of those of which they were typed.
    doubts: Mapping[str, tuple[float, float]]
    doubts_typed: Mapping[str, tuple[float, float]]
    #: Beside the revision that it was made from.
    compared: Compared | None = None
    #: Photos and files of the revision itself and of the parts that came with it.
    files: list[Attachment] = field(default_factory=list)

    @property
    def readings(self) -> list[Measurement]:
        """All that are told one by one, in an attempt or apart from any."""
        return [m for t in self.tried for m in t.read] + list(self.read_apart)

    @property
    def all_series(self) -> list[Series]:
        """All series, in an attempt or apart from any."""
        return [s for t in self.tried for s in t.series] + list(self.series_apart)

    def findings(self, *words: str) -> list[Finding]:
        """Findings with some statuses, for templates."""
        return self.review.with_status(*(Status(w) for w in words))


@dataclass(frozen=True, eq=False)
class Story:
    """The build, revision by revision."""

    build: Build
    today: str
    chapters: list[Chapter]
    predictions: predictions.Predictions
    papers: list[Paper] = field(default_factory=list)

    @property
    def comparisons(self) -> list[Compared]:
        """Each revision that was made from another, beside that one; oldest first."""
        return [c.compared for c in self.chapters if c.compared]

    @property
    def comparison(self) -> Compared | None:
        """The newest of them."""
        return next(reversed(self.comparisons), None)

    @property
    def newest(self) -> Chapter | None:
        """The newest revision, draft or not."""
        return self.chapters[-1] if self.chapters else None

    @property
    def standing(self) -> Chapter | None:
        """The newest revision that was built and tried; a draft stands nowhere but on paper."""
        return next((c for c in reversed(self.chapters) if c.revision.frozen_at), None)

    @property
    def planned(self) -> list[Chapter]:
        """Drafts newer than what stands."""
        built = self.standing
        return [c for c in self.chapters if built is None or c.revision.number > built.revision.number]

    @property
    def open(self) -> list[Failed]:
        """Failures whose loop is not closed."""
        return [f for c in self.chapters for f in c.failed if f.loop.next_step]


@dataclass(frozen=True, eq=False)
class Tale:
    """All that was gathered of a build, private or not; what may go out of it, :mod:`journal.publish.redact` decides.

    Parameters
    ----------
    story : Story
        Records and views.
    machines : dict of str to MachineTold
        Numbers of each revision, by its reference.
    photos : dict of str to Path
        Where the copy of each attachment lies, by its reference.
    secrets : dict of str to list of str
        Every private text of the build by kind, also of records that are in no story, such as withdrawn ones.
    currencies : frozenset of str
        Codes of the money in which anything has a price.
    """

    story: Story
    machines: dict[str, MachineTold]
    photos: dict[str, Path]
    secrets: dict[str, list[str]]
    currencies: frozenset[str]


#: Revisions, the newest, whose machines are kept from gathering to showing; each takes some 40 MB.
REMEMBERED = 4


def tell(session: Session) -> Tale:
    """Gather the tale of the build meant."""
    build = current_build(session)
    revisions = [r for r in all_records(session, Revision, build) if r.frozen_at or _begun(session, r)]
    reviews = {r.ref: verdict.check(session, r.ref, advise=True) for r in revisions}
    chapters = []
    for r in revisions:
        before = _made_from(r, revisions)
        compared = _beside(session, reviews[before.ref], reviews[r.ref]) if before else None
        chapters.append(_chapter(session, build, reviews[r.ref], compared))
        if r not in revisions[-REMEMBERED:]:
            # Machines fill the memory, and few old ones are shown; those are soon solved again.
            reviews[r.ref].system.forget()
    return Tale(
        story=Story(
            build=build,
            today=when("today"),
            chapters=chapters,
            predictions=predictions.record(session),
            papers=all_records(session, Paper, build),
        ),
        machines=_machines(reviews),
        photos={a.ref: attachments.stored_at(session, a) for a in all_records(session, Attachment, build)},
        secrets=_secrets(session, build),
        currencies=frozenset(
            code for table in (Part, Option) for code in session.exec(select(table.currency).distinct()) if code
        ),
    )


def _beside(session: Session, old: verdict.Review, new: verdict.Review) -> comparison.Comparison:
    return comparison.side_by_side(session, old, new, readings=False)


def _made_from(of: Revision, revisions: list[Revision]) -> Revision | None:
    """The revision that another was made from; of those between that were never built, the one before."""
    by_key = {r.key: r for r in revisions}
    first = before = by_key.get(of.parent_id or 0)
    while before is not None and not before.frozen_at and before.parent_id in by_key:
        before = by_key[before.parent_id]
    return before if before is not None and before.frozen_at else first


def _machines(reviews: dict[str, verdict.Review]) -> dict[str, MachineTold]:
    """The numbers of each revision, with all records of thrown pieces."""
    pieces = [m.value for r in reviews.values() for m in r.sheet.readings if m.quantity == "blade.thrown" and m.value]
    return {
        ref: MachineTold(ref, r.system, r.sheet.readings, r.sheet.claims, max(pieces, default=None), r.sheet.burnt)
        for ref, r in reviews.items()
    }


def _secrets(session: Session, build: Build) -> dict[str, list[str]]:
    found = {kind: [getattr(build, name)] for name, kind in private.OF_THE_BUILD.items()}
    for name, kind in private.FIELDS.items():
        texts = found.setdefault(kind, [])
        texts.append(getattr(build, name, None))
        for table in NUMBERED.values():
            if name in table.model_fields:
                # Of thousands of readings hardly any has such a text, so no whole records are asked for.
                column = col(getattr(table, name))
                texts += session.exec(select(column).where(table.build_id == build.id, column.is_not(None)).distinct())
    fitted = select(PartUse.fitted_by).join(Part, col(Part.id) == PartUse.part_id).where(Part.build_id == build.id)
    found["people"] += session.exec(fitted.distinct())
    return {kind: [t for t in texts if isinstance(t, str)] for kind, texts in found.items() if kind != "prices"}


def _checked(result: verdict.Review) -> Checked:
    beyond = [f for f in result.findings if f.of_reading][SINGLY:]
    left = {f.key for f in beyond}
    counts = Counter(f.status for f in beyond)
    said = ", ".join(f"{counts[status]} {words}" for status, words in _OF_READINGS.items() if counts[status])
    more = f"And {len(beyond)} more: {said}." if beyond else ""
    return Checked(result.revision, [f for f in result.findings if f.key not in left], more, groups(result))


#: What findings of readings come to, in words.
_OF_READINGS = {
    Status.MARGINAL: "do not agree with the computed machine",
    Status.OK: "agree with it",
    Status.UNKNOWN: "cannot be held against it",
}


def _compared(c: comparison.Comparison) -> Compared:
    return Compared(
        old=_checked(c.old),
        new=_checked(c.new),
        changed=c.changed,
        parts_gone=c.parts_gone,
        parts_new=c.parts_new,
        parts_kept=c.parts_kept,
        cost_old=cost_text(c.cost_old),
        cost_new=cost_text(c.cost_new),
        turns=c.turns,
        answers=c.answers,
    )


def _begun(session: Session, r: Revision) -> bool:
    """Whether anything is on record of a draft."""
    kinds: tuple[type[Any], ...] = (Measurement, Failure, Claim, Decision)
    return bool(sheet.load_sheet(session, r).values or parts.on_revision(session, r)) or any(
        records_on(session, kind, r) for kind in kinds
    )


def _chapter(session: Session, build: Build, result: verdict.Review, compared: comparison.Comparison | None) -> Chapter:
    r = result.revision
    bill = parts.on_revision(session, r)
    had = {p.ref for p in compared.parts_kept} if compared else set()
    read, many = told_on(session, r, result.sheet.readings)
    files = _by(all_records(session, Attachment, build), lambda a: a.about)
    read_in, series_in = _by(read, lambda m: m.attempt_id), _by(many, lambda s: s.attempt_id)
    figures = [_figure(result, path) for path in result.sheet.values]
    return Chapter(
        revision=r,
        parent=get_record(session, Revision, r.parent_id),
        design=result.sheet.design,
        figures=_key(figures),
        sheet=figures,
        parts=[(p, use) for p, use in bill],
        cost=cost_text(parts.cost(bill)),
        claims=[(c, [f for f in result.findings if f.subject == f"claim.{c.ref}"]) for c in result.sheet.claims],
        tried=[
            Tried(a, days_text(a.began, a.ended), wind_text(a), read_in[a.key], series_in[a.key], files[a.ref])
            for a in sorted(records_on(session, Attempt, r), key=lambda attempt: order(attempt.began))
        ],
        read_apart=read_in[None],
        series_apart=series_in[None],
        failed=[_failed(session, f, result, files[f.ref]) for f in records_on(session, Failure, r)],
        decisions=[view_decision(session, d.ref) for d in records_on(session, Decision, r) if d.kind == "design"],
        accepted=[(d, result.by_key[key]) for key, d in result.accepted.items() if key in result.by_key],
        review=_checked(result),
        doubts=result.sheet.doubts,
        doubts_typed={
            path: (row.low, row.high)
            for path, row in result.sheet.values.items()
            if row.low is not None and row.high is not None
        },
        compared=_compared(compared) if compared else None,
        files=files[r.ref] + [a for p, _ in bill if p.ref not in had for a in files[p.ref]],
    )  # fmt: skip


def _by(things: Iterable[T], key: Callable[[T], Any]) -> defaultdict[Any, list[T]]:
    """Things by what they belong to."""
    found: defaultdict[Any, list[T]] = defaultdict(list)
    for thing in things:
        found[key(thing)].append(thing)
    return found


def _figure(result: verdict.Review, path: str) -> Figure:
    row = result.sheet.values[path]
    entry, label = sheet.entry_of(path)
    meaning = f"{entry.meaning} ({label})" if label else entry.meaning
    decided = row.note if row.note and row.note.startswith(decisions.DECIDED_IN) else None
    return Figure(path, meaning, verdict.value_text(row), decided or row.provenance)


def _key(figures: list[Figure]) -> list[Figure]:
    def place(path: str) -> int | None:
        group, *middle, name = path.split(".")
        wanted = f"{group}.*.{name}" if middle else path
        return KEY_FIGURES.index(wanted) if wanted in KEY_FIGURES else None

    found = [(p, f.path, f) for f in figures if (p := place(f.path)) is not None]
    return [f for _, _, f in sorted(found, key=lambda item: item[:2])]


def _failed(session: Session, f: Failure, result: verdict.Review, files: list[Attachment]) -> Failed:
    weighed = failures.evidence(session, f)
    believed = [
        Believed(
            c,
            [x for x in result.findings if x.rule == c.rule] if c.rule else [],
            [e for e in weighed if e.cause_id == c.key],
        )
        for c in failures.causes(session, f)
    ]
    correction: Decision | None = standing_record(session, Decision, f.correction_id)
    options = decisions.options(session, correction) if correction else []
    return Failed(
        failure=f,
        attempt=get_record(session, Attempt, f.attempt_id),
        brought_about_by=get_record(session, Failure, f.caused_by_id),
        believed=believed,
        evidence=[e for e in weighed if e.cause_id is None],
        loop=loop(session, f),
        correction=correction,
        chosen=next((o.name for o in options if o.chosen), ""),
        fitted=standing_record(session, Revision, f.built_into_id),
        proof=failures.proof(session, f),
        files=files,
        why=_why(session, f),
        looked=observations.looked_at(session, f),
    )


def _why(session: Session, f: Failure) -> Why | None:
    """What the numbers say of a failure, or nothing where its words name no known symptom."""
    from journal.review import why

    try:
        return why.explain(session, f.ref)
    except BadInput:
        return None
