"""How a rule is stated and how rules are run.

A rule is one small object: what it needs, what it computes, what it cites, and how it phrases its finding.
Its judging function works on arrays with a leading axis of variants. It is called once with the values on the
sheet, for the finding, and once with several hundred samples of the doubtful ones, for its probability.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from calc.finding import Finding, Influence, Input, Source, Status
from calc.machine import spread
from calc.machine.catalogue import Sheet
from calc.machine.design import Design
from calc.machine.entry import Entry
from calc.machine.inputs import CannotTellError, Inputs, Unknown
from calc.machine.rotor_curves import NOT_VERTICAL, is_vertical
from calc.machine.solving import Solved, solve_machine
from calc.machine.system import LEAST_LEFT, System
from calc.rules.phrases import not_stated
from calc.rules.ways import Way
from calc.units import Num, to_shown

OK, MARGINAL, FAIL, DANGER = 0, 1, 2, 3
#: Level of a variant of which something was computed that decides nothing; the last of the statuses.
CANNOT_TELL = -1
#: Level of a variant of which the sheet says that it is so, and nothing was computed.
STATED = -2
#: Level of a variant that a rule does not concern.
ABSENT = -3
#: Share of the ways in which the doubtful values could turn out that may fail before what holds by the sheet alone is
#: called marginal. Own choice, no source.
DOUBTFUL = 0.2
#: Statuses by level.
STATUS = (Status.OK, Status.MARGINAL, Status.FAIL, Status.DANGER, Status.STATED, Status.UNKNOWN)

#: What is asked of rotors with a horizontal axis only.
OF_ROTOR = (Sheet.rotor.diameter.path, Sheet.rotor.blades.path)

#: Statuses that ask for nothing.
FINE = (Status.OK, Status.STATED)

Text = Callable[[], str]


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a rule computed.

    Parameters
    ----------
    level : int or array of int, shape (...,)
        ``OK``, ``MARGINAL``, ``FAIL``, ``DANGER`` or ``CANNOT_TELL`` of each variant.
    says : callable giving str
        Begins with a sentence that holds the number that decides. Called only for the finding itself, never for
        samples, so it may format and search freely; ``ways`` and ``more`` likewise.
    ways : callable giving ways
        What might put it right, best first; each is tried on the whole machine before anybody is told of it.
    value, limit : float or array, shape (...,), optional
        What was judged, and against what. [SI]
    unit : str
        The unit in which both are shown.
    margin : float or array, shape (...,), optional
        Share of the limit that is left; negative is beyond it.
    more : callable giving str
        What only a reader of everything wants to know.
    by_limit : bool
        Whether the machine's own number is the limit, such as how far it throws, and the value that of what it meets.
    """

    level: int | NDArray[np.int_]
    says: Text
    ways: Callable[[], Sequence[Way]] = tuple
    value: Num | None = None
    limit: Num | None = None
    unit: str = ""
    margin: Num | None = None
    more: Text = lambda: ""
    by_limit: bool = False

    @property
    def code(self) -> NDArray[np.int_]:
        """The level of each variant; what is right by the sheet's word alone is ``STATED``."""
        level = np.asarray(self.level)
        return level if self.value is not None else np.where(level == OK, STATED, level)


Judge = Callable[[Inputs], Judgement | Unknown]
Applies = Callable[[Inputs], bool]


@dataclass(frozen=True, slots=True)
class Rule:
    """One check.

    Parameters
    ----------
    id : str
        Chapter and name, such as ``"wiring.voltage-drop"``. Never reused.
    title : str
        What is checked, as a heading.
    subject : str
        The group judged; with ``each`` true, the rule runs for every label of that group.
    needs : tuple of Entry
        Inputs without which it cannot judge.
    judge : callable
        The computation. Every name of ``needs`` has a value when it is called.
    sources : tuple of Source
        Where formulas and limits come from.
    caution : str
        Shown with any finding that is not ok, where people can be hurt.
    each : bool
        Whether to run once for each label of ``subject``.
    applies : callable
        Whether the rule concerns this design at all. Values it looks at do not count as used.
    widened : bool
        Whether it takes the doubt of the inputs into its verdict itself, through ``Inputs.sampled``; it then has no
        probability.
    deadly : bool
        Whether silence can kill: where it cannot judge, its finding stands right after the dangers.
    at_once : bool
        Whether its danger waits for no storm: it then stands before the others.
    """

    id: str
    title: str
    subject: str
    needs: tuple[Entry[Any], ...]
    judge: Judge
    sources: tuple[Source, ...]
    caution: str = ""
    each: bool = False
    applies: Applies = field(default=lambda x: True)
    widened: bool = False
    deadly: bool = False
    at_once: bool = False


def at_most(value: Num, limit: Num, *, marginal: float = 0.0, worst: int = FAIL) -> tuple[NDArray[np.int_], Num]:
    """Level and margin of a value that must not exceed a limit.

    Parameters
    ----------
    value, limit : float or array, shape (...,)
        In the same unit; the limit is positive.
    marginal : float
        Within this share below the limit the level is ``MARGINAL``.
    worst : int
        Level beyond the limit.

    Returns
    -------
    level : array of int, shape (...,)
        ``OK``, ``MARGINAL`` or ``worst``.
    margin : float or array, shape (...,)
        ``(limit - value) / limit``.

    Examples
    --------
    >>> level, margin = at_most(0.95, 1.0, marginal=0.1)
    >>> int(level), round(float(margin), 3)
    (1, 0.05)
    """
    margin = (np.asarray(limit) - value) / np.asarray(limit)
    level = np.where(margin < 0, worst, np.where(margin < marginal, MARGINAL, OK))
    return level, margin


def at_least(value: Num, limit: Num, *, marginal: float = 0.0, worst: int = FAIL) -> tuple[NDArray[np.int_], Num]:
    """Level and margin of a value that must reach a limit; see :func:`at_most`."""
    margin = (np.asarray(value) - limit) / np.asarray(limit)
    level = np.where(margin < 0, worst, np.where(margin < marginal, MARGINAL, OK))
    return level, margin


def _number(value: Num | None, unit: str) -> float | None:
    return None if value is None else float(to_shown(cast(Num, np.asarray(value)[()]), unit))


def _subject(rule: Rule, label: str | None) -> str:
    return f"{rule.subject}.{label}" if label else rule.subject


def outcome_of(rule: Rule, x: Inputs) -> Judgement | Unknown:
    """What a rule computes, or which of its needs the sheet does not meet."""
    missing = x.lacks(*rule.needs)
    if missing:
        # Nobody is asked for the shape of a rotor that is not computed anyway.
        shape = any(e.group in ("blade", "station") or e.path in OF_ROTOR for e in missing)
        return Unknown(NOT_VERTICAL) if shape and is_vertical(x) else Unknown("", missing)
    try:
        return rule.judge(x)
    except CannotTellError as e:
        return e.unknown


def judge_rule(
    rule: Rule,
    x: Inputs,
    provenance: Mapping[str, str] | None = None,
    samples: Inputs | None = None,
) -> Finding:
    """Run one rule on one subject.

    Parameters
    ----------
    rule : Rule
        A rule that applies.
    x : Inputs
        The values on the sheet, all scalar, with the label of the subject where it has one.
    provenance : mapping of str to str, optional
        Where each named value comes from, for the finding's inputs.
    samples : Inputs, optional
        The same design with doubtful numbers as arrays of one length, for probability and ranking.
    """
    x.sampled = samples if rule.widened else None
    outcome = outcome_of(rule, x)
    inputs, assumptions = _account(x, provenance or {})
    found = Finding(
        rule=rule.id,
        subject=_subject(rule, x.label),
        status=Status.UNKNOWN,
        title=rule.title,
        says="",
        inputs=inputs,
        assumptions=assumptions,
        sources=rule.sources,
    )
    if isinstance(outcome, Unknown):
        return _not_judged(found, outcome, rule)
    doubt = (None, ()) if samples is None or rule.widened else _doubt(rule, samples)
    return _judged(found, outcome, rule.caution, doubt)


def _not_judged(found: Finding, outcome: Unknown, rule: Rule) -> Finding:
    names = outcome.names
    why = outcome.why or f"Cannot be judged: {not_stated(outcome.missing)}"
    caution = rule.caution if rule.deadly else ""
    says, remedy = why.rstrip(".") + ".", _fill_in(outcome.missing)
    return replace(found, says=says, remedy=remedy, missing=names, deadly=rule.deadly, caution=caution)


def _fill_in(missing: Iterable[Entry[Any]]) -> str:
    """What to fill in on the sheet, and which records to complete."""
    names = [entry.full for entry in missing if not entry.recorded]
    records = dict.fromkeys(str(entry.label) for entry in missing if entry.recorded)
    parts = ["Fill in " + ", ".join(names) + "."] if names else []
    return " ".join([*parts, *(f"Complete the record, with: galebook amend {ref}." for ref in records)])


def _judged(
    found: Finding, outcome: Judgement, caution: str, doubt: tuple[float | None, tuple[Influence, ...]]
) -> Finding:
    status = STATUS[int(outcome.code[()])]
    if status in FINE and doubt[0] is not None and doubt[0] > DOUBTFUL:
        status = Status.MARGINAL
    return replace(
        found,
        status=status,
        says=outcome.says(),
        value=_number(outcome.value, outcome.unit),
        limit=_number(outcome.limit, outcome.unit),
        unit=outcome.unit,
        margin=_number(outcome.margin, ""),
        more=outcome.more(),
        by_limit=outcome.by_limit,
        probability=doubt[0],
        ranking=doubt[1],
        caution="" if status in (*FINE, Status.UNKNOWN) else caution,
    )


def _account(x: Inputs, provenance: Mapping[str, str]) -> tuple[tuple[Input, ...], tuple[str, ...]]:
    inputs, assumptions = [], []
    for name, (entry, value, why) in x.used.items():
        shown = entry.text(value)
        inputs.append(Input(name, entry.meaning, shown, "assumed" if why else provenance.get(name, "not stated")))
        if why:
            assumptions.append(f"{entry.meaning}: {shown} ({why})")
    return tuple(inputs), tuple(assumptions)


def _doubt(rule: Rule, x: Inputs) -> tuple[float | None, tuple[Influence, ...]]:
    drawn, outcome = len(x.drawn or ()), outcome_of(rule, x)
    while isinstance(outcome, Unknown):
        # Samples that this rule cannot judge do not take the doubt of the others with them.
        gone = outcome.stands_in_the_way(len(x.drawn or ()))
        if gone is None or np.sum(~gone) < LEAST_LEFT * drawn:
            return None, ()
        x = x.without(gone)
        outcome = outcome_of(rule, x)
    level = np.asarray(outcome.level)
    if level.ndim == 0:
        return None, ()
    moved = level if outcome.margin is None else np.asarray(outcome.margin)
    doubtful = {name: np.asarray(v) for name, (_, v, _) in x.used.items() if np.ndim(cast(Num, v)) == 1}
    ranking = tuple(
        Influence(name, x.used[name][0].meaning, share) for name, share in spread.ranking(doubtful, moved).items()
    )
    return float(np.mean(level >= FAIL)), ranking


def judge_rules(rules: Iterable[Rule], system: System, provenance: Mapping[str, str] | None = None) -> list[Finding]:
    """Run rules over a design, worst finding first.

    Parameters
    ----------
    rules : iterable of Rule
        Which rules, such as :data:`calc.rules.RULES`.
    system : System
        The design; with its samples each finding tells how sure it is.
    provenance : mapping of str to str, optional
        As for :func:`judge_rule`.

    Returns
    -------
    findings : list of Finding
        One for each rule and subject that the design concerns.
    """
    found = [
        (rule.at_once, judge_rule(rule, system.inputs(label), provenance, system.drawn(label)))
        for rule, label in _concerned(rules, system)
    ]
    # Among equals, what can hurt people comes first, and of that what waits for no storm.
    found.sort(key=lambda pair: (pair[1].rank, not pair[0], not pair[1].caution))
    return [f for _, f in found]


def subjects(rules: Iterable[Rule], x: Inputs) -> Iterator[tuple[Rule, str | None]]:
    """Every rule with each thing on the sheet that it is asked of, whether it concerns the machine or not."""
    for rule in rules:
        labels: Iterable[str | None] = x.design.labels(rule.subject) if rule.each else (None,)
        for label in labels:
            yield rule, label


def _concerned(rules: Iterable[Rule], system: System) -> Iterator[tuple[Rule, str | None]]:
    return ((rule, label) for rule, label in subjects(rules, system.inputs()) if rule.applies(system.inputs(label)))


@dataclass(frozen=True, slots=True)
class Variants:
    """What one rule says of many variants of a design at once.

    Parameters
    ----------
    rule, subject, title : str
        As in :class:`calc.finding.Finding`.
    statuses : list of Status, length variants
        One for each variant.
    values : list of float or None, length variants
        The number judged, in ``unit``.
    unit : str
        Unit of the values.
    """

    rule: str
    subject: str
    title: str
    statuses: list[Status]
    values: list[float | None]
    unit: str


def judge_variants(rules: Iterable[Rule], design: Design, n: int) -> list[Variants]:
    """Run rules over a design whose numbers may be arrays of ``n`` variants."""
    system = System(design)
    rows = []
    for rule, label in _concerned(rules, system):
        outcome = outcome_of(rule, system.inputs(label))
        values: list[float | None] = [None] * n
        if isinstance(outcome, Unknown):
            statuses, unit = [Status.UNKNOWN] * n, ""
        else:
            statuses = [STATUS[int(code)] for code in np.broadcast_to(outcome.code, (n,))]
            unit = outcome.unit
            if outcome.value is not None:
                values = [float(v) for v in np.broadcast_to(to_shown(np.asarray(outcome.value), unit), (n,))]
        rows.append(Variants(rule.id, _subject(rule, label), rule.title, statuses, values, unit))
    return rows


def with_machine(judge: Callable[[Inputs, Solved], Judgement | Unknown]) -> Callable[[Inputs], Judgement | Unknown]:
    """A judging function that is given the solved machine, or passes on why there is none."""

    def judged(x: Inputs) -> Judgement | Unknown:
        solved = solve_machine(x)
        return solved if isinstance(solved, Unknown) else judge(x, solved)

    return judged
