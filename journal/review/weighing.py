"""Decisions weighed: what each option would do, a choice that refuses a danger, options laid side by side."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sqlmodel import Session, col, select

from calc.finding import Finding, Status
from calc.machine import catalogue
from calc.units import show
from journal.book import sheet
from journal.book.decisions import (
    DECIDED_IN,
    FIGURES,
    KIND,
    OptionTyped,
    add_option,
    criteria,
    option_of,
    options,
    undecided,
)
from journal.book.kinds import typed_beside
from journal.book.names import rule_named
from journal.book.records import all_records, current_build, find_record, get_record
from journal.book.store import because, settle
from journal.book.stored import changes_of, consequences_of
from journal.book.tables import Criterion, Decision, Option, Revision, Score
from journal.book.written import past, share
from journal.errors import BadInput, Refused
from journal.review import forecast, verdict


@dataclass(frozen=True, slots=True)
class ChoiceTyped:
    """What a person typed of a choice.

    ``which`` is the number or name of the option; ``reading`` is one that will settle what is expected, such as
    ``charge.current above 2 A``, in the wind ``reading_wind``.
    """

    which: str
    because: str
    expected: str | None = None
    odds: str | None = None
    review_on: str | None = None
    decided_on: str | None = None
    reading: str | None = None
    reading_wind: str | None = None


def offer_option(session: Session, ref: str, typed: OptionTyped) -> Option:
    """Add an option to an open decision, and compute what it does.

    Raises
    ------
    Refused
        If the decision has been taken, or has an option of that name.
    BadInput
        If a change does not fit the sheet.
    """
    decision = undecided(session, ref)
    option = add_option(session, decision, typed)
    weigh_option(session, decision, option)
    return option


def weigh_options(session: Session, ref: str) -> list[Option]:
    """Compute anew what each option of an open decision does."""
    decision = undecided(session, ref)
    for option in options(session, decision):
        weigh_option(session, decision, option)
    return options(session, decision)


def weigh_anew(session: Session, option: Option, field: str) -> None:
    """Compute anew what an option does, where the field that was corrected says what it sets."""
    if field == "changes":
        weigh_option(session, session.get_one(Decision, option.decision_id), option)


def weigh_option(session: Session, decision: Decision, option: Option) -> None:
    """Compute what an option does to every finding and figure, and whether a danger rules it out."""
    of: Revision = get_record(session, Revision, decision.revision_id)
    base = verdict.check(session, of.ref)
    changes: dict[str, str] = changes_of(option)
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
    found = {name: f.value for name, f in result.system.figures.items() if math.isfinite(f.value)}
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
    """Whether a danger comes with an option: it is new, or the option states anew the word that makes it one.

    A word about something else, such as the kind of battery where a blade can fly, makes no danger that was there.
    """
    before = base.by_key.get(finding.key)
    new = before is None or before.status is not Status.DANGER
    needs = {e.path for e in rule_named(finding.rule).needs}
    entries = [catalogue.catalogue()[catalogue.split(path)[0]] for path in changes]
    own = finding.subject.partition(".")[0]
    return new or any(e.path in needs and e.kind != "number" and e.group == own for e in entries)


def choose_option(session: Session, ref: str, typed: ChoiceTyped) -> tuple[Decision, Option]:
    """Choose an option by number or name; its changes go onto the draft.

    Raises
    ------
    Refused
        If the option brings a danger. There is no way around this: a danger can only be designed away.
    NotFound
        If there is no such option.
    """
    decision = undecided(session, ref)
    option = option_of(session, decision, typed.which)
    weigh_option(session, decision, option)
    if option.refused_because:
        raise Refused(
            f"{option.name!r} is refused, because people can be hurt: {option.refused_because}", "Choose another option"
        )
    foreseen = forecast.read_expectation(typed.reading, typed.reading_wind) if typed.reading else None
    if foreseen and typed.expected is None:
        typed = replace(typed, expected=foreseen.text)
    if typed.odds is not None and typed.expected is None:
        raise BadInput("A probability was given but nothing is expected", 'Add --expect "what you expect to see"')
    for name, value in KIND.columns(typed).items():
        setattr(decision, name, value)
    decision.odds = share(typed.odds, "Probability")
    decision.decided_on = past(typed.decided_on, "Decided")
    decision.decided_on_typed = typed_beside(typed.decided_on, decision.decided_on)
    option.chosen = True
    session.add_all([decision, option])
    _carry_out(session, decision, option)
    if foreseen:
        _foresee(session, decision, foreseen)
    settle(session)
    return decision, option


def _carry_out(session: Session, decision: Decision, option: Option) -> None:
    """Put what was chosen onto the draft; a revision that was built stays as it is."""
    drawn: Revision = get_record(session, Revision, decision.revision_id)
    if drawn.frozen_at is None:
        _set_chosen(session, decision, option, drawn)


def _set_chosen(session: Session, decision: Decision, option: Option, onto: Revision) -> list[str]:
    """Put what was chosen onto a sheet; what it set, as ``name = value``."""
    changes: dict[str, str] = changes_of(option)
    if not changes:
        return []
    because(session, f"{decision.ref}: {decision.because}")
    note = f"{DECIDED_IN} {decision.ref}"
    items = {path: {"typed": typed, "provenance": "calculated", "note": note} for path, typed in changes.items()}
    return [f"{row.path} = {row.typed}" for row in sheet.set_values(session, onto, items)]


def carry_over(session: Session, new: Revision) -> list[str]:
    """Put onto a new revision what was decided on the one it was made from after that was built.

    Returns
    -------
    lines : list of str
        Each decision with what it set.
    """
    parent: Revision | None = get_record(session, Revision, new.parent_id)
    if parent is None or parent.frozen_at is None:
        return []
    stated = sheet.load_sheet(session, parent).values
    lines = []
    for decision in all_records(session, Decision, current_build(session)):
        if decision.kind != "design" or decision.decided_on is None or decision.revision_id != parent.key:
            continue
        chosen = next((o for o in options(session, decision) if o.chosen), None)
        known = all(path in stated and stated[path].typed == typed for path, typed in changes_of(chosen).items())
        if chosen is not None and not known:
            lines.append(f"{decision.ref}: {', '.join(_set_chosen(session, decision, chosen, new))}")
    return lines


def _foresee(session: Session, decision: Decision, foreseen: forecast.Expected) -> None:
    """Keep the reading that will settle what is expected, and how likely the numbers hold it."""
    drawn: Revision = get_record(session, Revision, decision.revision_id)
    decision.expects_quantity, decision.expects_relation = foreseen.quantity, foreseen.relation
    decision.expects_value, decision.expects_wind = foreseen.value, foreseen.wind
    decision.tool_odds = forecast.odds(session, drawn, foreseen)
    session.add(decision)


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


def decision_matrix(session: Session, ref: str) -> Matrix | None:
    """The options of a decision laid side by side, with weights and marks; None without criteria."""
    import numpy as np

    from calc.evidence import matrix

    decision = find_record(session, ref, Decision, withdrawn=True)
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
            scores[:, j] = matrix.marks(found, c.more_is_better)
        for i, o in enumerate(rows):
            values[i][j] = _value_text(o, c, float(found[i]))
    ranking = matrix.rank(scores, np.array([c.weight for c in columns]))
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
    return list(session.exec(select(Score).where(Score.criterion_id == criterion.key).order_by(col(Score.id))))


def _figure(option: Option, name: str) -> float:
    value = getattr(option, name) if name in ("cost", "mass") else consequences_of(option)["figures"].get(name)
    return float("nan") if value is None else float(value)


def _value_text(option: Option, criterion: Criterion, value: float) -> str:
    if value != value:
        return "not known"
    if criterion.figure is None:
        return f"{value:g}"
    unit = option.currency or "" if criterion.figure == "cost" else FIGURES[criterion.figure].unit
    return f"{value:g} {unit}".strip() if criterion.figure == "cost" else show(value, unit)
