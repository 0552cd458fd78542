"""One record, one list, one screen: what people look up between logging and publishing."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any

from sqlmodel import Session, col, or_, select

from calc.evidence import severity
from calc.finding import Status
from calc.quantities import QUANTITIES
from calc.units import show as number
from journal.book import attachments, failures, parts, sheet
from journal.book.common import current_build, find, get, numbered, standing
from journal.book.quantity import is_beaufort
from journal.book.tables import (
    Attachment,
    Attempt,
    Build,
    Claim,
    Decision,
    Failure,
    History,
    Instrument,
    Measurement,
    Numbered,
    Option,
    Part,
    Revision,
)
from journal.errors import NotFound
from journal.review import decisions, verdict

Facts = list[tuple[str, str]]


@dataclass(frozen=True)
class View:
    """One record for people (``heading``, ``facts``, ``sections``) and for scripts (``data``)."""

    ref: str
    heading: str
    facts: Facts
    sections: list[tuple[str, list[str]]]
    data: dict[str, Any]


@dataclass(frozen=True)
class Listing:
    """Records of one kind, as a table for people and as data for scripts."""

    columns: tuple[str, ...]
    rows: list[tuple[str, ...]]
    data: list[dict[str, Any]]


def day(moment: str | None) -> str:
    """A date or UTC time as a person would say it, in local time."""
    from datetime import datetime

    if not moment:
        return ""
    if "T" not in moment:
        return moment
    return datetime.fromisoformat(moment.replace("Z", "+00:00")).astimezone().strftime("%Y-%m-%d %H:%M")


def days(began: str, ended: str | None) -> str:
    """A day, or the first and last of several."""
    return day(began) if not ended or ended == began else f"{day(began)} to {day(ended)}"


def data_of(record: Numbered | Build) -> dict[str, Any]:
    """A record's own fields, with its reference, for scripts."""
    fields = record.model_dump(exclude={"id", "build_id"})
    return {"ref": record.ref, **fields} if isinstance(record, Numbered) else fields


def wind_text(record: Attempt | Measurement) -> str:
    """Wind as typed, with its limits in m/s."""
    if record.wind is None or record.wind_low is None or record.wind_high is None:
        return ""
    if record.wind_low == record.wind_high:
        limits = number(record.wind_low, "m/s")
    else:
        limits = f"{number(record.wind_low, '')} to {number(record.wind_high, 'm/s')}"
    if record.wind_height is not None and not is_beaufort(record.wind):
        limits += f", {number(record.wind_height, 'm')} above ground"
    same = record.wind.replace(" ", "") == limits.replace(" ", "")
    return record.wind if same else f"{record.wind} ({limits})"


def cost_text(costs: dict[str, float]) -> str:
    """Money by currency, such as ``120 EUR and 10 GBP``."""
    return " and ".join(f"{amount:.2f}".rstrip("0").rstrip(".") + f" {currency}" for currency, amount in costs.items())


def _facts(*pairs: tuple[str, Any]) -> Facts:
    return [(label, str(value)) for label, value in pairs if value not in (None, "", "None")]


def measurement_line(m: Measurement) -> str:
    """One measurement in one line."""
    asked = QUANTITIES[m.quantity]
    extra = ", ".join(filter(None, [m.where, m.load_state, wind_text(m), m.instrument, m.conditions]))
    return f"{m.ref} {asked.meaning}: {verdict.measured_text(m)}" + (f" ({extra})" if extra else "")


@dataclass(frozen=True)
class Derived:
    """What two readings of one attempt tell together; value and expanded uncertainty (k = 2) in SI."""

    meaning: str
    value: float
    expanded: float
    refs: tuple[str, str]
    text: str


def derived(readings: list[Measurement]) -> list[Derived]:
    """What follows from the readings of an attempt, where it has one of each kind that is needed."""
    from calc.evidence.derived import DERIVED, derive

    found = []
    for d in DERIVED:
        pair = [[m for m in readings if m.quantity == name and m.value is not None] for name in d.needs]
        if any(len(of) != 1 for of in pair) or pair[0][0].load_state != pair[1][0].load_state:
            continue
        first, second = pair[0][0], pair[1][0]
        try:
            value, wide = derive(d, *(_between(m) for m in (first, second)))
        except ZeroDivisionError:
            continue
        share = f" ± {100 * wide / abs(value):.2g} %" if value else ""
        refs = (first.ref, second.ref)
        text = f"{d.meaning}: {number(value, d.unit)}{share} ({first.ref} and {second.ref})"
        found.append(Derived(d.meaning, value, wide, refs, text))
    return found


def _between(m: Measurement) -> tuple[float, float, float]:
    low, high = sheet.limits_of(m)
    return low, m.value or 0.0, high


def record(session: Session, ref: str) -> View:
    """All about one record."""
    found = find(session, ref, withdrawn=True)
    make = {
        Revision: _revision, Part: _part, Claim: _claim, Attempt: _attempt, Instrument: _instrument,
        Measurement: _measurement,
        Failure: _failure, Decision: _decision, Attachment: _attachment,
    }[type(found)]  # fmt: skip
    view: View = make(session, found)  # type: ignore[operator]
    if found.withdrawn_because:
        view.facts.insert(0, ("Withdrawn", found.withdrawn_because))
    files = attachments.of(session, found.ref)
    if files:
        view.sections.append(
            ("Files", [f"{a.ref} {a.filename}" + (f": {a.caption}" if a.caption else "") for a in files])
        )
        view.data["files"] = [data_of(a) for a in files]
    return view


def _of_revision(session: Session, cls: type[Any], of: Revision) -> list[Any]:
    return [r for r in numbered(session, cls, current_build(session)) if r.revision_id == of.key]


def _revision(session: Session, r: Revision) -> View:
    bill = parts.on_revision(session, r)
    attempts = _of_revision(session, Attempt, r)
    failed = _of_revision(session, Failure, r)
    parent = get(session, Revision, r.parent_id)
    facts = _facts(
        ("Made from", parent.ref if parent else None),
        ("Because", r.because),
        ("State", f"frozen {day(r.frozen_at)}, as built" if r.frozen_at else "draft"),
        ("Summary", r.summary),
        ("Parts", f"{len(bill)}, {cost_text(parts.cost(bill))}" if parts.cost(bill) else len(bill) or None),
    )
    sections = [
        ("Attempts", [f"{a.ref} {days(a.began, a.ended)} {a.kind}: {a.did} ({a.outcome})" for a in attempts]),
        ("Failures", [f"{f.ref} {f.saw}" for f in failed]),
    ]
    data = {**data_of(r), "attempts": [a.ref for a in attempts], "failures": [f.ref for f in failed]}
    return View(r.ref, f"{r.ref} {r.title or ''}".strip(), facts, [s for s in sections if s[1]], data)


def _part(session: Session, p: Part) -> View:
    from journal.book.tables import PartUse

    uses = session.exec(select(PartUse).where(PartUse.part_id == p.key)).all()
    facts = _facts(
        ("Role", p.role),
        ("How many", f"{p.quantity:g}"),
        ("Condition", p.condition),
        ("Source", p.source),
        ("Cost", f"{p.cost:g} {p.currency}" if p.cost is not None else None),
        ("Mass", number(p.mass, "kg") if p.mass is not None else None),
        ("Printed on it", p.rating),
        ("Past", p.history),
        ("Serial number", p.serial),
        ("Private note", p.private_note),
    )
    fates = []
    for use in uses:
        of: Revision = get(session, Revision, use.revision_id)
        fates.append(f"{of.ref}: {use.fate}" + (f", {use.fate_note}" if use.fate_note else ""))
    return View(p.ref, f"{p.ref} {p.name}", facts, [("On revisions", fates)], {**data_of(p), "fates": fates})


def _claim(session: Session, c: Claim) -> View:
    of: Revision = get(session, Revision, c.revision_id)
    return View(c.ref, f"{c.ref} {c.said}", _facts(("By", c.who), ("On", of.ref)), [], {**data_of(c), "on": of.ref})


def _instrument(session: Session, i: Instrument) -> View:
    return View(i.ref, f"{i.ref} {i.name}", _facts(("Accuracy", i.accuracy), ("Note", i.note)), [], data_of(i))


def _attempt(session: Session, a: Attempt) -> View:
    of: Revision = get(session, Revision, a.revision_id)
    readings = [m for m in _of_revision(session, Measurement, of) if m.attempt_id == a.key]
    failed = [f for f in _of_revision(session, Failure, of) if f.attempt_id == a.key]
    facts = _facts(
        ("Revision", of.ref),
        ("When", days(a.began, a.ended)),
        ("Kind", a.kind),
        ("Outcome", a.outcome),
        ("Saw", a.saw),
        ("Wind", wind_text(a)),
        ("Wind known by", a.wind_how),
        ("Connected", a.load_state),
        ("Turned", f"{a.hours:g} h" if a.hours is not None else None),
        ("Private note", a.private_note),
    )
    told = derived(readings)
    sections = [
        ("Read", [measurement_line(m) for m in readings]),
        ("Worked out from these, 95 in 100 within the limits", [t.text for t in told]),
        ("Failures", [f"{f.ref} {f.saw}" for f in failed]),
    ]
    data = {
        **data_of(a), "on": of.ref, "measurements": [m.ref for m in readings], "derived": [vars(t) for t in told],
        "failures": [f.ref for f in failed],
    }  # fmt: skip
    return View(a.ref, f"{a.ref} {a.did}", facts, [s for s in sections if s[1]], data)


def _measurement(session: Session, m: Measurement) -> View:
    of: Revision = get(session, Revision, m.revision_id)
    attempt: Attempt | None = get(session, Attempt, m.attempt_id)
    facts = _facts(
        ("Value", verdict.measured_text(m)),
        ("Typed", m.typed),
        ("Revision", of.ref),
        ("Attempt", attempt.ref if attempt else None),
        ("Taken", day(m.taken)),
        ("Where", m.where),
        ("Connected", m.load_state),
        ("Wind", wind_text(m)),
        ("Instrument", m.instrument),
        ("Conditions", m.conditions),
        ("Remember", QUANTITIES[m.quantity].note),
        ("Private note", m.private_note),
    )
    data = {**data_of(m), "on": of.ref, "attempt": attempt.ref if attempt else None}
    return View(m.ref, f"{m.ref} {QUANTITIES[m.quantity].meaning}", facts, [], data)


def cause_lines(session: Session, f: Failure) -> list[str]:
    """Each cause believed of a failure, in one line."""
    lines = []
    for i, c in enumerate(failures.causes(session, f), 1):
        sure = f", {c.sure:.0%} sure" if c.sure is not None else ""
        why = f"; because: {c.because}" if c.because else ""
        gone = f"; rejected: {c.rejected_because}" if c.rejected_because else ""
        lines.append(f"{i}. {c.what} ({c.standing}{sure}, {c.said_on}){why}{gone}")
    return lines


def _failure(session: Session, f: Failure) -> View:
    of: Revision = get(session, Revision, f.revision_id)
    attempt: Attempt | None = get(session, Attempt, f.attempt_id)
    earlier: Failure | None = get(session, Failure, f.caused_by_id)
    correction: Decision | None = standing(session, Decision, f.correction_id)
    fitted: Revision | None = standing(session, Revision, f.built_into_id)
    proof = failures.proof(session, f)
    loop = failures.loop(session, f)
    facts = _facts(
        ("Revision", of.ref),
        ("Attempt", attempt.ref if attempt else None),
        ("Happened", day(f.happened)),
        ("Item", f.item),
        ("Effect", f.effect),
        ("Anyone hurt", f.harm),
        ("Severity", f"{f.severity} (1 could have killed, 4 slight)" if f.severity else None),
        ("Likelihood", f"{f.likelihood} (A often, F cannot any more)" if f.likelihood else None),
        (
            "Risk",
            f"{severity.code(f.severity, f.likelihood)}, {severity.risk(f.severity, f.likelihood).lower()}"
            if f.severity and f.likelihood
            else None,
        ),
        ("Done at once", f.contained),
        ("Brought about by", earlier.ref if earlier else None),
        ("Corrected by", correction.ref if correction else None),
        ("Built into", fitted.ref if fitted else None),
        ("Will be shown by", f.criterion),
        ("Shown by", f"{proof.ref}{f', {f.verified_note}' if f.verified_note else ''}" if proof else None),
        ("Loop", f"next, {loop.todo}: {loop.how}" if loop.next_step else "closed"),
        ("Private note", f.private_note),
    )
    weighed = [f"{e.leans}: {e.what}" for e in failures.evidence(session, f)]
    sections = [
        ("Causes", cause_lines(session, f)),
        ("Evidence", weighed),
        ("What the numbers say", _numbers(session, f)),
    ]
    data = {
        **data_of(f),
        "on": of.ref,
        "causes": [c.model_dump(exclude={"id", "failure_id"}) for c in failures.causes(session, f)],
        "evidence": weighed,
        "loop": {"done": loop.done, "next": loop.next_step, "how": loop.how},
    }
    return View(f.ref, f"{f.ref} {f.saw}", facts, [s for s in sections if s[1]], data)


def _numbers(session: Session, f: Failure) -> list[str]:
    """What the rules say that were tied to the causes of a failure."""
    of: Revision = get(session, Revision, f.revision_id)
    tied = [c.rule for c in failures.causes(session, f) if c.rule]
    if not tied:
        return [f"No rule is tied to a cause yet; see: galebook why {f.ref}"]
    result = verdict.check(session, of.ref)
    return [f"{x.status}: {verdict.headline(x)}. {x.says}" for x in result.findings if x.rule in tied]


def _attachment(session: Session, a: Attachment) -> View:
    facts = _facts(
        ("About", a.about),
        ("Shows", a.caption),
        ("Kind", a.media_type),
        ("Size", f"{a.size / 1024:.0f} kB"),
        ("Private", "yes" if a.private else "no"),
        ("Kept at", attachments.stored_at(session, a)),
        ("The copy", "is missing or changed; attach the file again" if attachments.is_damaged(session, a) else "whole"),
    )
    return View(a.ref, f"{a.ref} {a.filename}", facts, [], data_of(a))


@dataclass(frozen=True)
class Weighed:
    """One option, with what it was computed to do."""

    position: int
    name: str
    summary: str | None
    changes: dict[str, str]
    moved: list[dict[str, Any]]
    worst: list[dict[str, Any]]
    figures: dict[str, float]
    cost: str
    mass: float | None
    chosen: bool
    refused: str | None


@dataclass(frozen=True)
class DecisionView:
    """A decision with its options."""

    decision: Decision
    revision: str
    options: list[Weighed]
    supersedes: str | None = None


def _weighed(o: Option) -> Weighed:
    found = json.loads(o.consequences or "{}")
    return Weighed(
        position=o.position,
        name=o.name,
        summary=o.summary,
        changes=json.loads(o.changes),
        moved=found.get("moved", []),
        worst=found.get("worst", []),
        figures=found.get("figures", {}),
        cost=cost_text({o.currency: o.cost}) if o.cost is not None and o.currency else "",
        mass=o.mass,
        chosen=o.chosen,
        refused=o.refused_because,
    )


def decision(session: Session, ref: str) -> DecisionView:
    """A decision with its options, as they were computed."""
    d = find(session, ref, Decision, withdrawn=True)
    of: Revision = get(session, Revision, d.revision_id)
    earlier: Decision | None = get(session, Decision, d.supersedes_id)
    weighed = [_weighed(o) for o in decisions.options(session, d)]
    return DecisionView(d, of.ref, weighed, earlier.ref if earlier else None)


def _decision(session: Session, d: Decision) -> View:
    view = decision(session, d.ref)
    facts = _facts(
        ("Revision", view.revision),
        ("Context", d.context),
        ("Replaces", view.supersedes),
        ("Decided", d.decided_on or "not yet"),
        ("Because", d.because),
        ("Expected", d.expected),
        ("Odds given", f"{d.odds:.0%}" if d.odds is not None else None),
        ("Odds by the numbers", f"{d.tool_odds:.0%}" if d.tool_odds is not None else None),
        ("Look again", d.review_on or d.until),
        ("Came of it", f"{d.result}{f': {d.result_note}' if d.result_note else ''}" if d.result else None),
        ("Private note", d.private_note),
    )
    lines = []
    for o in view.options:
        mark = "chosen: " if o.chosen else "refused, people can be hurt: " if o.refused else ""
        sets = ", ".join(f"{k} = {v}" for k, v in o.changes.items())
        lines.append(f"{o.position}. {mark}{o.name}" + (f" ({sets})" if sets else ""))
    data = {**data_of(d), "on": view.revision, "options": [vars(o) for o in view.options]}
    return View(d.ref, f"{d.ref} {d.question}", facts, [("Options", lines)] if lines else [], data)


_KINDS: dict[str, type[Numbered]] = {
    "revisions": Revision, "parts": Part, "claims": Claim, "attempts": Attempt, "measurements": Measurement,
    "failures": Failure, "decisions": Decision, "files": Attachment, "instruments": Instrument,
}  # fmt: skip


def listing(session: Session, kind: str) -> Listing:
    """All records of a kind."""
    records: list[Any] = numbered(session, _KINDS[kind], current_build(session))
    revisions = {r.key: r.ref for r in numbered(session, Revision, current_build(session), withdrawn=True)}
    on = [revisions.get(getattr(r, "revision_id", 0), "") for r in records]
    columns, rows = _table(session, kind, records, on)
    return Listing(columns, rows, [{**data_of(r), "on": o or None} for r, o in zip(records, on, strict=True)])


def _table(
    session: Session, kind: str, records: list[Any], on: list[str]
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    both = list(zip(records, on, strict=True))
    if kind == "revisions":
        return ("", "Title", "State"), [(r.ref, r.title or "", "as built" if r.frozen_at else "draft") for r in records]
    if kind == "parts":
        cost = [f"{p.cost:g} {p.currency}" if p.cost is not None else "" for p in records]
        return ("", "Part", "Role", "Cost"), [
            (p.ref, p.name, p.role or "", c) for p, c in zip(records, cost, strict=True)
        ]
    if kind == "claims":
        return ("", "On", "Claim", "By"), [(c.ref, o, c.said, c.who) for c, o in both]
    if kind == "attempts":
        return ("", "On", "When", "What", "Wind", "Outcome"), [
            (a.ref, o, days(a.began, a.ended), a.did, wind_text(a), a.outcome) for a, o in both
        ]
    if kind == "measurements":
        return ("", "On", "What", "Value", "Connected", "Wind"), [
            (m.ref, o, QUANTITIES[m.quantity].meaning, verdict.measured_text(m), m.load_state or "", wind_text(m))
            for m, o in both
        ]
    if kind == "failures":
        return ("", "On", "Seen", "Next step"), [
            (f.ref, o, f.saw, failures.loop(session, f).next_step or "closed") for f, o in both
        ]
    if kind == "decisions":
        return ("", "On", "Question", "Decided", "Came of it"), [
            (d.ref, o, d.question, d.decided_on or "open", d.result or "") for d, o in both
        ]
    if kind == "instruments":
        return ("", "Instrument", "Accuracy"), [(i.ref, i.name, i.accuracy or "not stated") for i in records]
    copies = ["missing or changed" if attachments.is_damaged(session, a) else "whole" for a in records]
    return ("", "About", "File", "Shows", "The copy"), [
        (a.ref, a.about, a.filename, a.caption or "", copy) for a, copy in zip(records, copies, strict=True)
    ]


def history(session: Session, ref: str | None = None) -> list[History]:
    """Changes, oldest first: of one record and what belongs to it, or of the whole build."""
    build = current_build(session)
    query = select(History).where(History.build_id == build.key).order_by(col(History.id))
    if ref is not None:
        found = find(session, ref, withdrawn=True)
        query = query.where(or_(History.ref == found.ref, col(History.ref).startswith(f"{found.ref} ")))
    rows = list(session.exec(query))
    if not rows:
        raise NotFound(f"There is no history of {ref or build.name}")
    return rows


@dataclass
class Overview:
    """A build on one screen."""

    build: Build
    revisions: list[tuple[Revision, dict[str, int], list[str]]] = field(default_factory=list)
    open_failures: list[tuple[Failure, failures.Loop]] = field(default_factory=list)
    open_decisions: list[Decision] = field(default_factory=list)
    due: list[Decision] = field(default_factory=list)
    dangers: list[tuple[str, str]] = field(default_factory=list)


def of(session: Session) -> Overview:
    """The build meant, on one screen: revisions with their findings, open loops, decisions waiting."""
    from journal.book.common import when

    build = current_build(session)
    screen = Overview(build)
    for r in numbered(session, Revision, build):
        result = verdict.check(session, r.ref)
        counts = {str(s): len(result.with_status(s)) for s in Status if result.with_status(s)}
        worst = [f.title for f in result.with_status(Status.DANGER)]
        screen.revisions.append((r, counts, worst))
        screen.dangers = [(f.title, f.says) for f in result.with_status(Status.DANGER)]
    for f in numbered(session, Failure, build):
        loop = failures.loop(session, f)
        if loop.next_step:
            screen.open_failures.append((f, loop))
    today = when("today")
    for d in numbered(session, Decision, build):
        if d.decided_on is None:
            screen.open_decisions.append(d)
        elif (d.expected and d.result is None and (d.review_on or "9999") <= today) or (d.until or "9999") < today:
            screen.due.append(d)
    return screen
