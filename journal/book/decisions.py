"""Decisions as they are recorded: question, options, criteria, marks. What they are worth is judged in the review."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sqlmodel import Session, col, select

from journal.book import sheet
from journal.book.days import day_text
from journal.book.kinds import Kind, a_day_ahead, a_line, a_text, session_of
from journal.book.parts import read_mass
from journal.book.plain_text import alike, clean_line
from journal.book.records import add_record, find_record, find_revision
from journal.book.stored import before_and_after
from journal.book.tables import Criterion, Decision, History, Option, Score
from journal.book.written import money, text
from journal.errors import BadInput, NotFound, Refused, nearest


class Yardstick(NamedTuple):
    """A figure that is computed for every option: meaning, unit in which it is shown, and which way is better."""

    meaning: str
    unit: str
    more_is_better: bool


#: What a decision can be judged by without anybody giving marks.
FIGURES = {
    "yearly_energy": Yardstick("Energy in a year", "kWh", True),
    "greatest_power": Yardstick("Most that comes out of the cable", "W", True),
    "charging_wind": Yardstick("Wind in which charging begins", "m/s", False),
    "starting_wind": Yardstick("Wind in which it starts from rest", "m/s", False),
    "free_speed": Yardstick("Speed in a storm's gust with nothing connected", "rpm", False),
    "findings": Yardstick("Findings that fail, a danger counted as ten", "", False),
    "cost": Yardstick("Cost", "", False),
    "mass": Yardstick("Mass", "kg", False),
}

#: How the note of a sheet value begins that was set by choosing an option.
DECIDED_IN = "as decided in"

KIND = Kind(
    Decision,
    readers={
        "question": a_text("The question"),
        "context": a_text("The context"),
        "because": a_text("The reason"),
        "expected": a_text("What is expected"),
        "review_on": a_day_ahead("Review date"),
        "private_note": a_text("Note"),
    },
    fixed=(
        "kind", "decided_on", "odds", "expects_quantity", "expects_relation", "expects_value", "expects_wind",
        "tool_odds", "result", "result_note", "reviewed_on", "rule", "subject", "until",
        "decided_on_typed", "review_on_typed", "reviewed_on_typed", "until_typed",
    ),
    called={"review": "review_on", "note": "private_note"},
)  # fmt: skip


def _changes(option: Option, typed: str) -> dict[str, Any]:
    """What an option would change on the sheet, as long as its decision is open."""
    decision = session_of(option).get_one(Decision, option.decision_id)
    _hold_open(decision)
    changes: dict[str, str] = {}
    for pair in sheet.PAIR.split(typed) if typed.strip().casefold() not in ("", "none") else ():
        path, equals, value = (part.strip() for part in pair.partition("="))
        if not equals:
            raise BadInput(f"{pair.strip()!r} names no value", 'Type it like changes="storage.voltage=24 V", or none')
        sheet.read_value(path, value)
        changes[path] = value
    return {"changes": json.dumps(changes, ensure_ascii=False)}


OPTION = Kind(
    Option,
    readers={"name": a_line("The option", limit=200), "summary": a_text("The summary"), "mass": read_mass},
    together={"changes": _changes, "cost": lambda option, typed: money(typed, option.currency)},
    fixed=("position", "currency", "consequences", "chosen", "refused_because"),
)


@dataclass(frozen=True, slots=True)
class DecisionTyped:
    """What a person typed of a question; ``on`` is the revision, else the newest, ``supersedes`` a decision."""

    question: str
    on: str | None = None
    context: str | None = None
    supersedes: str | None = None
    private_note: str | None = None


@dataclass(frozen=True, slots=True)
class OptionTyped:
    """What a person typed of an option; ``changes`` are sheet values as typed, by full name."""

    name: str
    summary: str | None = None
    changes: Mapping[str, str] = field(default_factory=dict)
    cost: str | None = None
    mass: str | None = None


def open_decision(session: Session, typed: DecisionTyped) -> Decision:
    """Open a decision about a revision."""
    to = find_revision(session, typed.on)
    earlier = find_record(session, typed.supersedes, Decision).key if typed.supersedes else None
    return add_record(session, Decision, revision_id=to.key, supersedes_id=earlier, **KIND.columns(typed))


def undecided(session: Session, ref: str) -> Decision:
    """The decision of a reference, as long as it is open.

    Raises
    ------
    Refused
        If it has been taken.
    """
    decision = find_record(session, ref, Decision)
    _hold_open(decision)
    return decision


def _hold_open(decision: Decision) -> None:
    if decision.decided_on is not None:
        raise Refused(
            f"{decision.ref} was decided on {day_text(decision.decided_on)}",
            f'Decisions stay; ask again with: galebook decide "..." --supersedes {decision.ref}',
        )


def options(session: Session, decision: Decision) -> list[Option]:
    """Options of a decision, in order."""
    return list(session.exec(select(Option).where(Option.decision_id == decision.key).order_by(col(Option.position))))


def add_option(session: Session, decision: Decision, typed: OptionTyped) -> Option:
    """Add an option as a set of sheet changes.

    Raises
    ------
    Refused
        If the decision has an option of that name.
    BadInput
        If a change does not fit the sheet.
    """
    known = options(session, decision)
    name = clean_line(typed.name, "The option", limit=200)
    if alike(name) in {alike(o.name) for o in known}:
        raise Refused(f"{decision.ref} has an option {name!r} already", "Give it another name")
    for path, value in typed.changes.items():
        sheet.read_value(path, value)
    option = Option(
        decision_id=decision.key,
        position=_next_position(session, decision, known),
        name=name,
        summary=text(typed.summary, "The summary"),
        changes=json.dumps(dict(typed.changes), ensure_ascii=False),
        **money(typed.cost, None),
        mass=None if typed.mass is None else read_mass(typed.mass),
    )
    session.add(option)
    session.flush()
    return option


def _next_position(session: Session, decision: Decision, known: list[Option]) -> int:
    """The next number; that of an option which was taken back is not used again."""
    gone = session.exec(
        select(History).where(
            History.build_id == decision.build_id, History.kind == "option", History.action == "remove"
        )
    )
    rows = [before_and_after(change)[0] or {} for change in gone]
    taken = [row.get("position") for row in rows if row.get("decision_id") == decision.key]
    return max([o.position for o in known] + [n for n in taken if isinstance(n, int)], default=0) + 1


def option_of(session: Session, decision: Decision, which: str) -> Option:
    """The option of a decision that a number or a name means.

    Raises
    ------
    NotFound
        If there is no such option.
    """
    known = options(session, decision)
    for option in known:
        if which.strip() == str(option.position) or alike(which) == alike(option.name):
            return option
    close = nearest(which, [o.name for o in known])
    listed = "; ".join(f"{o.position} {o.name}" for o in known)
    raise NotFound(
        f"{decision.ref} has no option {which!r}",
        (f"Did you mean {close!r}? " if close else "") + (f"Accepted: {listed}" if known else "It has no options yet"),
    )


def add_criterion(session: Session, ref: str, name: str, weight: str, *, less: bool = False) -> Criterion:
    """Add a criterion: a computed figure by its name, or anything else, to be scored by the builder.

    Raises
    ------
    BadInput
        If the weight is not a positive number.
    Refused
        If the decision has it already.
    """
    decision = undecided(session, ref)
    name = clean_line(name, "The criterion", limit=100)
    try:
        number = float(weight)
    except ValueError:
        number = float("nan")
    if not 0 < number <= 1000:
        raise BadInput(f"Weight: {weight!r} is not a weight", "Accepted: a number above 0, such as 3")
    figure = name if name in FIGURES else None
    if any(alike(c.name) == alike(name) for c in criteria(session, decision)):
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


def give_marks(session: Session, ref: str, which: str, criterion: str, marks: str) -> Score:
    """Give an option 0 to 10 by a criterion of the builder's own.

    Raises
    ------
    BadInput
        If the marks are not a number from 0 to 10.
    NotFound
        If the decision has no such criterion.
    """
    decision = undecided(session, ref)
    option = option_of(session, decision, which)
    own = [c for c in criteria(session, decision) if c.figure is None]
    found = next((c for c in own if alike(c.name) == alike(criterion)), None)
    if found is None:
        raise NotFound(
            f"{decision.ref} has no criterion {criterion!r} to be marked",
            f"Accepted: {'; '.join(c.name for c in own)}"
            if own
            else f'Add one with: galebook criterion {decision.ref} "..." --weight 3',
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
