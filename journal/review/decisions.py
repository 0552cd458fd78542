"""Decisions: options with computed consequences, the choice and why, what was expected, what came of it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session, col, select

from calc.finding import Finding, Status
from calc.machine import catalogue
from calc.units import show
from journal.book import names, parts, sheet
from journal.book.common import add, find, get, money, revision, share, text, when, word
from journal.book.quantity import clean
from journal.book.store import because, settle
from journal.book.tables import RESULTS, Criterion, Decision, Option, Revision, Score
from journal.errors import BadInput, NotFound, Refused, nearest
from journal.review import forecast, verdict


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that is computed for every option: meaning, unit in which it is shown, and which way is better."""

    meaning: str
    unit: str
    more_is_better: bool


#: What a decision can be judged by without anybody giving marks.
FIGURES = {
    "yearly_energy": Figure("Energy in a year", "kWh", True),
    "greatest_power": Figure("Most that comes out of the cable", "W", True),
    "charging_wind": Figure("Wind in which charging begins", "m/s", False),
    "starting_wind": Figure("Wind in which it starts from rest", "m/s", False),
    "free_speed": Figure("Speed in a storm with nothing connected", "rpm", False),
    "findings": Figure("Findings that fail, a danger counted as ten", "", False),
    "cost": Figure("Cost", "", False),
    "mass": Figure("Mass", "kg", False),
}

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
    session: Session,
    ref: str,
    name: str,
    *,
    summary: str | None = None,
    changes: Mapping[str, str] | None = None,
    cost: str | None = None,
    mass: str | None = None,
) -> Option:
    """Add an option as a set of sheet changes, and compute what it does.

    Raises
    ------
    Refused
        If the decision has been taken, or has an option of that name.
    BadInput
        If a change does not fit the sheet.
    """
    decision = _open(session, ref)
    known = {o.name.casefold() for o in options(session, decision)}
    if clean(name, "The option", limit=200).casefold() in known:
        raise Refused(f"{decision.ref} has an option {name.strip()!r} already", "Give it another name")
    for path, typed in (changes or {}).items():
        sheet.read(path, typed)
    option = Option(
        decision_id=decision.key,
        position=len(options(session, decision)) + 1,
        name=clean(name, "The option", limit=200),
        summary=text(summary, "The summary"),
        changes=json.dumps(dict(changes or {}), ensure_ascii=False),
        **money(cost, None),
        mass=None if mass is None else parts.weight(mass),
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
    """Compute what an option does to every finding and figure, and whether a danger rules it out."""
    of: Revision = get(session, Revision, decision.revision_id)
    base = verdict.check(session, of.ref)
    changes: dict[str, str] = json.loads(option.changes)
    after = verdict.check(session, of.ref, changes=changes)
    moved = []
    for key in dict.fromkeys([*base.by_key, *after.by_key]):
        old, new = base.by_key.get(key), after.by_key.get(key)
        if old is None or new is None or old.status is not new.status or old.says != new.says:
            moved.append({"before": old.status if old else None, **_brief(new or old, gone=new is None)})
    worst = [_brief(f, gone=False) for f in after.with_status(Status.DANGER, Status.FAIL)]
    consequences = {"moved": moved, "worst": worst, "figures": _figures(after)}
    option.consequences = json.dumps(consequences, ensure_ascii=False)
    dangers = [f for f in after.with_status(Status.DANGER) if _due_to(f, changes, base)]
    option.refused_because = " ".join(f"{f.title}: {f.says}" for f in dangers) or None
    session.add(option)
    session.flush()


def _figures(result: verdict.Review) -> dict[str, float]:
    """Figures of an option that can be compared, in SI."""
    found = {name: figure.value for name, figure in result.system.figures.items()}
    bad = len(result.with_status(Status.DANGER)) * 10 + len(result.with_status(Status.FAIL))
    return {**{name: value for name, value in found.items() if name in FIGURES}, "findings": float(bad)}


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


def _due_to(finding: Finding, changes: Mapping[str, str], base: verdict.Review) -> bool:
    """Whether a danger comes with an option: it is new, or the option states anew the word that makes it one."""
    before = base.by_key.get(finding.key)
    new = before is None or before.status is not Status.DANGER
    needs = {e.path for e in names.rule_named(finding.rule).needs}
    entries = [catalogue.catalogue()[catalogue.split(path)[0]] for path in changes]
    return new or any(entry.path in needs and entry.kind != "number" for entry in entries)


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
    reading: str | None = None,
    reading_wind: str | None = None,
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
    foreseen = forecast.read(reading, reading_wind) if reading else None
    if foreseen and expected is None:
        expected = foreseen.text
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
    if foreseen:
        decision.expects_quantity, decision.expects_relation = foreseen.quantity, foreseen.relation
        decision.expects_value, decision.expects_wind = foreseen.value, foreseen.wind
        decision.tool_odds = forecast.odds(session, of, foreseen)
        session.add(decision)
    settle(session)
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
    names.rule_named(rule)
    result = verdict.check(session, on)
    found = [f for f in result.findings if f.rule == rule and (subject is None or f.subject == subject)]
    if not found:
        raise NotFound(
            f"{rule} says nothing of {subject or result.revision.ref}", f"See: galebook check {result.revision.ref}"
        )
    if any(f.status is Status.DANGER for f in found):
        raise Refused(f"{rule} is a danger: people can be hurt", "It cannot be accepted, only designed away")
    found = [f for f in found if f.status in verdict.ACCEPTABLE]
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
        until=_later(until),
    )


def _later(until: str) -> str:
    day = when(until, "Until")
    if day < when(None):
        raise BadInput(f"Until: {until!r} is over", "Name the day on which you will look again")
    return day


def conclude(
    session: Session,
    ref: str,
    result: str | None = None,
    note: str | None = None,
    on: str | None = None,
    by: str | None = None,
) -> Decision:
    """Say whether what was expected came true; where a reading was expected, a reading can say it.

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
    if (result is None) == (by is None):
        raise BadInput("What came of it is missing", f"Accepted: one of {'; '.join(RESULTS)}, or --by M12")
    if by is not None:
        result, reading = forecast.settle(session, decision, by)
        decision.resolved_by_id = reading.key
    decision.result = word(result, RESULTS, "Result")
    decision.result_note = text(note, "Note")
    decision.reviewed_on = when(on, "Reviewed on")
    session.add(decision)
    session.flush()
    return decision


def judge_by(session: Session, ref: str, name: str, weight: str, *, less: bool = False) -> Criterion:
    """Add a criterion: a computed figure by its name, or anything else, to be scored by the builder.

    Raises
    ------
    BadInput
        If the weight is not a positive number.
    Refused
        If the decision has it already.
    """
    decision = _open(session, ref)
    name = clean(name, "The criterion", limit=100)
    try:
        number = float(weight)
    except ValueError:
        number = float("nan")
    if not 0 < number <= 1000:
        raise BadInput(f"Weight: {weight!r} is not a weight", "Accepted: a number above 0, such as 3")
    figure = name if name in FIGURES else None
    if any(c.name.casefold() == name.casefold() for c in criteria(session, decision)):
        raise Refused(f"{decision.ref} is judged by {name!r} already", f"See: galebook weigh {decision.ref}")
    better = FIGURES[name].more_is_better if figure else not less
    criterion = Criterion(decision_id=decision.key, name=name, figure=figure, more_is_better=better, weight=number)
    session.add(criterion)
    session.flush()
    return criterion


def criteria(session: Session, decision: Decision) -> list[Criterion]:
    """Criteria of a decision, in the order they were added."""
    query = select(Criterion).where(Criterion.decision_id == decision.key).order_by(col(Criterion.id))
    return list(session.exec(query))


def mark(session: Session, ref: str, which: str, criterion: str, marks: str) -> Score:
    """Give an option 0 to 10 by a criterion of the builder's own.

    Raises
    ------
    BadInput
        If the marks are not a number from 0 to 10.
    NotFound
        If the decision has no such criterion.
    """
    decision = _open(session, ref)
    option = _option(session, decision, which)
    own = [c for c in criteria(session, decision) if c.figure is None]
    found = next((c for c in own if c.name.casefold() == criterion.strip().casefold()), None)
    if found is None:
        raise NotFound(
            f"{decision.ref} has no criterion {criterion!r} to be marked",
            f"Accepted: {'; '.join(c.name for c in own)}"
            if own
            else 'Add one with: galebook criterion D1 "..." --weight 3',
        )
    try:
        value = float(marks)
    except ValueError:
        value = float("nan")
    if not 0 <= value <= 10:
        raise BadInput(f"Marks: {marks!r} are not marks", "Accepted: 0 (bad) to 10 (good)")
    row = session.exec(
        select(Score).where(Score.criterion_id == found.key, Score.option_id == option.key)
    ).one_or_none() or Score(criterion_id=found.key, option_id=option.key, value=value)
    row.value = value
    session.add(row)
    session.flush()
    return row


@dataclass(frozen=True)
class Matrix:
    """Options against criteria.

    Parameters
    ----------
    criteria : list of Criterion
        Columns.
    options : list of Option
        Rows that compete; refused ones do not.
    values : list of list of str
        What stands behind each mark: the figure with its unit, or the builder's marks.
    marks : list of list of float or None
        0 to 10.
    totals : list of float or None
        Weighted means; None where a mark is missing.
    leader : Option or None
        Who leads.
    turning : list of str
        What change of a weight would take the lead away.
    """

    criteria: list[Criterion]
    options: list[Option]
    values: list[list[str]]
    marks: list[list[float | None]]
    totals: list[float | None]
    leader: Option | None
    turning: list[str]


def matrix(session: Session, ref: str) -> Matrix | None:
    """The options of a decision laid side by side, with weights and marks; None without criteria."""
    import numpy as np

    from calc.evidence import matrix as weighing

    decision = find(session, ref, Decision, withdrawn=True)
    columns = criteria(session, decision)
    rows = [o for o in options(session, decision) if not o.refused_because]
    if not columns or not rows:
        return None
    given = {(s.criterion_id, s.option_id): s.value for c in columns for s in _scores(session, c)}
    scores = np.full((len(rows), len(columns)), np.nan)
    values = [["" for _ in columns] for _ in rows]
    for j, c in enumerate(columns):
        if c.figure is None:
            found = np.array([given.get((c.key, o.key), np.nan) for o in rows])
            scores[:, j] = found
        else:
            found = np.array([_figure(o, c.figure) for o in rows])
            scores[:, j] = weighing.marks(found, c.more_is_better)
        for i, o in enumerate(rows):
            values[i][j] = _value_text(o, c, float(found[i]))
    ranking = weighing.rank(scores, np.array([c.weight for c in columns]))
    turning = [
        f"{columns[j].name} weighed {'more' if change > 0 else 'less'} by {abs(change):.0%}"
        for j, change in ranking.turning
    ]
    return Matrix(
        columns,
        rows,
        values,
        [[None if np.isnan(v) else float(v) for v in row] for row in scores],
        [None if np.isnan(t) else float(t) for t in ranking.totals],
        None if ranking.leader is None else rows[ranking.leader],
        turning,
    )


def _scores(session: Session, criterion: Criterion) -> list[Score]:
    return list(session.exec(select(Score).where(Score.criterion_id == criterion.key)))


def _figure(option: Option, name: str) -> float:
    if name in ("cost", "mass"):
        value = getattr(option, name)
    else:
        value = json.loads(option.consequences or "{}").get("figures", {}).get(name)
    return float("nan") if value is None else float(value)


def _value_text(option: Option, criterion: Criterion, value: float) -> str:
    if value != value:
        return "not known"
    if criterion.figure is None:
        return f"{value:g}"
    unit = option.currency or "" if criterion.figure == "cost" else FIGURES[criterion.figure].unit
    return f"{value:g} {unit}".strip() if criterion.figure == "cost" else show(value, unit)
