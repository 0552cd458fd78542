"""What changes of inputs would do, without touching any record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from calc.finding import Status
from calc.machine.catalogue import catalogue, split
from calc.machine.design import Design, build_design, values
from calc.machine.entry import Value
from calc.rules.engine import Rule, Variants, judge_variants

Combination = dict[str, Value]

#: Points looked at over an input's permitted range, and again between the two that a turn lies between.
_POINTS, _ROUNDS = 400, 3


def combinations(changes: Mapping[str, Sequence[Value]]) -> list[Combination]:
    """All combinations of the values given for some inputs.

    Examples
    --------
    >>> len(combinations({"rotor.diameter": [1.0, 2.0], "storage.voltage": [12.0, 24.0, 48.0]}))
    6
    """
    return [dict(zip(changes, picked, strict=True)) for picked in product(*changes.values())]


def variant_designs(design: Design, combined: Sequence[Combination]) -> list[tuple[NDArray[np.int_], Design]]:
    """Designs with each combination put in, as few as possible.

    Combinations that differ only in numbers become one design with arrays.

    Returns
    -------
    groups : list of (indices, design)
        Which combinations a design holds, as an array of shape (n,), and the design with arrays of that shape.
    """
    given: dict[str, Value] = {name: value for name, _, value in values(design)}
    groups: dict[tuple[tuple[str, str | bool], ...], list[int]] = {}
    for i, picked in enumerate(combined):
        fixed = tuple((k, v) for k, v in picked.items() if isinstance(v, str | bool))
        groups.setdefault(fixed, []).append(i)
    made = []
    for fixed, indices in groups.items():
        words = dict(fixed)
        numbers = {
            k: np.array([combined[i][k] for i in indices], dtype=float) for k in combined[indices[0]] if k not in words
        }
        made.append((np.array(indices), build_design({**given, **words, **numbers}, design.assumed)))
    return made


def across(rules: Iterable[Rule], design: Design, combined: Sequence[Combination]) -> list[Variants]:
    """What rules say of each combination.

    Returns
    -------
    rows : list of Variants
        One for each rule and subject that concerns any combination, each with an entry for every combination;
        ``UNKNOWN`` without a value stands also where a rule does not concern one.
    """
    book = list(rules)
    n = len(combined)
    rows: dict[tuple[str, str], Variants] = {}
    for indices, some in variant_designs(design, combined):
        for found in judge_variants(book, some, len(indices)):
            row = rows.setdefault(
                (found.rule, found.subject),
                Variants(found.rule, found.subject, found.title, [Status.UNKNOWN] * n, [None] * n, found.unit),
            )
            for i, status, value in zip(indices, found.statuses, found.values, strict=True):
                row.statuses[i], row.values[i] = status, value
    return list(rows.values())


@dataclass(frozen=True, slots=True)
class TurningPoint:
    """Where a finding turns as one input grows.

    Parameters
    ----------
    value : float or str
        The input there, in SI: just on the far side of the turn; or a word.
    before, after : Status
        How the rule comes out below and from there on.
    """

    value: float | str
    before: Status
    after: Status


def turning_points(rule: Rule, subject: str, design: Design, path: str) -> list[TurningPoint]:
    """Find the values of one input at which a finding turns, over the whole permitted range.

    Parameters
    ----------
    rule : Rule
        The rule.
    subject : str
        Which of its subjects, such as ``"cable.mast"``.
    design : Design
        The values on the sheet, scalar.
    path : str
        Full name of a number or a choice.

    Returns
    -------
    turns : list of TurningPoint
        From small to great; empty where the input never turns the finding. For a choice, one entry for each
        word, ``before`` being what the sheet's own word gives.

    Notes
    -----
    A turn that comes and goes between two of 400 points is not seen.
    """
    entry = catalogue()[split(path)[0]]
    if entry.kind != "number":
        words: Sequence[Value] = entry.choices if entry.kind == "choice" else (True, False)
        rows = _statuses(rule, subject, design, path, words)
        now = _statuses(rule, subject, design, path, [_current(design, path)])[0]
        return [TurningPoint(entry.text(word), now, status) for word, status in zip(words, rows, strict=True)]
    grid = _grid(entry.low, entry.high)
    return list(_turns(rule, subject, design, path, grid, _ROUNDS))


def _current(design: Design, path: str) -> Value:
    known = {name: value for name, _, value in values(design)}
    assumed = catalogue()[split(path)[0]].assumed
    value = known.get(path, assumed.value if assumed else None)
    if value is None:
        raise KeyError(path)
    return value


def _grid(low: float, high: float) -> NDArray[np.float64]:
    if low > 0 and high / low > 50:
        return np.geomspace(low, high, _POINTS)
    return np.linspace(low, high, _POINTS)


def _statuses(rule: Rule, subject: str, design: Design, path: str, tried: Sequence[Value]) -> list[Status]:
    rows = across([rule], design, [{path: value} for value in tried])
    return next((row.statuses for row in rows if row.subject == subject), [Status.UNKNOWN] * len(tried))


def _turns(
    rule: Rule, subject: str, design: Design, path: str, grid: NDArray[np.float64], rounds: int
) -> Iterator[TurningPoint]:
    """Turns between points; between two of them may lie more than one, which a closer look tells apart."""
    statuses = _statuses(rule, subject, design, path, list(grid))
    for i, (before, after) in enumerate(pairwise(statuses)):
        if before is after:
            continue
        if rounds == 0:
            yield TurningPoint(float(grid[i + 1]), before, after)
        else:
            yield from _turns(rule, subject, design, path, np.linspace(grid[i], grid[i + 1], 33), rounds - 1)
