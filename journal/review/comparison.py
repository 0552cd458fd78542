"""Two revisions side by side: sheet, parts, findings, measurements, failures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from sqlmodel import Session, col, select

from calc.curve.bins import WIDTH
from calc.curve.shape import CurvePoint
from calc.finding import WORST_FIRST, Finding, Status
from calc.machine import catalogue
from calc.quantities import QUANTITIES
from journal.book import parts, sheet
from journal.book.records import records_on, standing_record
from journal.book.tables import Decision, Failure, Measurement, Option, Part, Revision
from journal.errors import BadInput
from journal.review.verdict import Review, check, headline, of_machine, value_text

#: What is past its limit and held from harm by the sheet's word alone: what is told of it in place of "better".
BY_WORD = {"generator.touch-voltage": "can kill; enclosed by your word only"}


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

    @property
    def says(self) -> str:
        """Which way it turned, in words: what is less bad though its number is worse says so."""
        a, b = (None if f is None else f.margin for f in (self.old, self.new))
        worse = a is not None and b is not None and b < a and self.turn == BETTER
        by_word = BY_WORD.get(self.new.rule) if worse and self.new is not None and self.new.over else None
        return by_word or (f"{self.turn}, though its number is worse" if worse else self.turn)


@dataclass(frozen=True, slots=True)
class Beside:
    """Measured values of one quantity in both revisions."""

    quantity: str
    meaning: str
    old: list[Measurement]
    new: list[Measurement]


@dataclass(frozen=True, slots=True)
class CurvesBeside:
    """What loggers measured of both revisions in one wind [m/s], in [W]; None where one was not measured in it."""

    wind: float
    old: float | None
    new: float | None


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
    curves: list[CurvesBeside] = field(default_factory=list)


#: Winds in which measured curves are told beside each other. [m/s]
WINDS = (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)
_RANK = {status: i for i, status in enumerate(reversed(WORST_FIRST))}


def compare(session: Session, old: str, new: str) -> Comparison:
    """Check two revisions and set them side by side.

    Raises
    ------
    BadInput
        If both are the same revision.
    """
    return side_by_side(session, check(session, old), check(session, new))


def side_by_side(session: Session, first: Review, second: Review, *, readings: bool = True) -> Comparison:
    """Set two checked revisions side by side: sheet, parts, findings, measurements, failures.

    Of thousands of readings each is a record to be fetched; who tells none of them does without.

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
        measured=_beside(session, first.revision, second.revision) if readings else [],
        answers=_answers(session, first, second),
        curves=_curves(first.sheet.curve, second.sheet.curve),
    )


def _curves(old: Sequence[CurvePoint], new: Sequence[CurvePoint]) -> list[CurvesBeside]:
    """Measured curves in the same winds, those left out in which neither was measured."""
    rows = [CurvesBeside(wind, _measured_in(wind, old), _measured_in(wind, new)) for wind in WINDS]
    return [row for row in rows if row.old is not None or row.new is not None]


def _measured_in(wind: float, curve: Sequence[CurvePoint]) -> float | None:
    """The measured power of the bin of a wind, the same that the curve itself tells; None without such a bin."""
    near = min(curve, key=lambda p: abs(p.wind - wind), default=None)
    return near.power if near is not None and abs(near.wind - wind) <= WIDTH / 2.0 else None


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


#: How far a failure is answered by a later revision.
ANSWERED = ("yes, and shown to work", "built in, not yet shown to work", "no")
#: What is only stated is no better than what was computed, and never shows that a danger is gone.
ONLY_STATED = "now only stated, not checked"
BETTER = "better"


def _turn(old: Finding | None, new: Finding | None) -> str:
    if old is None or new is None:
        return "new" if old is None else "gone"
    before, after = _RANK[old.status], _RANK[new.status]
    if before == after:
        return "same"
    if new.status is Status.STATED:
        return ONLY_STATED
    if old.status is Status.STATED and new.status in (Status.OK, Status.MARGINAL):
        return "now checked"
    if Status.UNKNOWN in (old.status, new.status):
        return "now known" if old.status is Status.UNKNOWN else "no longer known"
    return BETTER if after < before else "worse"


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


def _beside(session: Session, old: Revision, new: Revision) -> list[Beside]:
    before, after = (records_on(session, Measurement, of) for of in (old, new))
    taken: dict[str, tuple[list[Measurement], list[Measurement]]] = {}
    for i, some in enumerate((before, after)):
        for m in some:
            taken.setdefault(m.quantity, ([], []))[i].append(m)
    return [Beside(name, q.meaning, *taken[name]) for name, q in QUANTITIES.items() if name in taken]


def _answers(session: Session, old: Review, new: Review) -> list[Answer]:
    from journal.book import failures

    rows = []
    turns = _turns(old, new)
    for failure in records_on(session, Failure, old.revision):
        how = []
        fitted: Revision | None = standing_record(session, Revision, failure.built_into_id)
        decision: Decision | None = standing_record(session, Decision, failure.correction_id)
        chosen = _chosen(session, decision)
        if decision is not None:
            how.append(f"{decision.ref} chose {chosen}" if chosen else f"{decision.ref} decided it")
        for cause in failures.causes(session, failure):
            if cause.rule and cause.standing != "rejected":
                how += _rule_turn(cause.rule, turns)
        built = fitted is not None and fitted.number <= new.revision.number
        proven = failures.proof(session, failure) is not None
        answered = ANSWERED[0 if built and proven else 1 if built else 2]
        rows.append(Answer(failure, answered, "; ".join(how)))
    return rows


def _chosen(session: Session, decision: Decision | None) -> str:
    if decision is None:
        return ""
    row = session.exec(
        select(Option).where(Option.decision_id == decision.key, col(Option.chosen).is_(True))
    ).one_or_none()
    return f"“{row.name}”" if row else ""


def _rule_turn(rule: str, turns: list[Turn]) -> list[str]:
    said = []
    for t in (t for t in turns if (t.old or t.new) and (t.old or t.new).rule == rule):  # type: ignore[union-attr]
        before, after = (t.old.status if t.old else "absent"), (t.new.status if t.new else "no longer applies")
        named = headline(t)
        said.append(f"{named[0].lower()}{named[1:]}: {before}, now {after}")
    return said
