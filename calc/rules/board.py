"""What the rules say of a machine at the values on its sheet, and of many changes of it.

Each rule remembers which names of the sheet it looked at (:attr:`calc.machine.inputs.Inputs.asked`), and so does each
thing that is computed once for all rules. A change therefore asks anew only those that looked at what it changes, and
changes that differ in numbers alone are solved together, as variants of one machine.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

from calc.machine.battery import doubtful_counts
from calc.machine.catalogue import Sheet
from calc.machine.currents import run_capacity
from calc.machine.design import Design
from calc.machine.entry import Value
from calc.machine.inputs import Cache, CannotTellError, Inputs, Unknown
from calc.machine.need import battery_need
from calc.machine.rotor_curves import LEAST_POWER
from calc.machine.site import HUB_NEEDS, hub_wind
from calc.machine.solving import Solved, solve_machine
from calc.machine.year import yearly_energy
from calc.physics.arrays import Flags
from calc.rules.engine import (
    ABSENT,
    CANNOT_TELL,
    DANGER,
    FAIL,
    MARGINAL,
    OK,
    STATED,
    Judgement,
    Rule,
    outcome_of,
    subjects,
)

Key: TypeAlias = "tuple[str, str]"
Changes: TypeAlias = "Mapping[str, Value]"

#: How bad a level is; what is not known and can kill lies between a fail and a danger.
_BADNESS = {DANGER: 3.0, FAIL: 2.0, MARGINAL: 1.0, OK: 0.0, STATED: 0.0, ABSENT: 0.0, CANNOT_TELL: 0.5}
DEADLY = 2.5
#: Groups of which each table is one shape, so that its numbers do not vary among machines that are solved together.
_TABLES = (f"{Sheet.station.group}.", f"{Sheet.polar.group}.")
#: What the count of cells of a bank follows from, and what tells whether it has to be counted.
_OF_COUNT = tuple(
    entry.path
    for entry in (
        Sheet.storage.voltage,
        Sheet.storage.charge_voltage,
        Sheet.storage.chemistry,
        Sheet.storage.cells,
    )
)


@dataclass(frozen=True, slots=True)
class Row:
    """One rule on one subject of the machine as it is.

    Parameters
    ----------
    rule, label : Rule and str or None
        What was asked, and of which of several things.
    outcome : Judgement, Unknown, or None
        What it said; None where it does not concern the machine.
    asked : frozenset of str
        Names that it looked at.
    """

    rule: Rule
    label: str | None
    outcome: Judgement | Unknown | None
    asked: frozenset[str]

    @property
    def key(self) -> Key:
        """Identity of its finding."""
        return key_of(self.rule, self.label)

    @property
    def code(self) -> int:
        """Its level."""
        return int(_codes(self.outcome)[()])


@dataclass(frozen=True, slots=True)
class Variant:
    """The machine with some changes, as far as the rules go.

    Parameters
    ----------
    changes : mapping of str to value
        What was changed, by full name. [SI]
    codes : dict of key to int
        Level of every rule that was asked anew.
    energy : float or None
        Energy in a year [J]; None where it cannot be told.
    charging : float or None
        Wind in which charging begins. [m/s]
    voltage : float or None
        Rectified voltage with nothing connected in a storm's gust, nothing holding the rotor. [V]
    exists : bool
        Whether such a machine can exist.
    """

    changes: Changes
    codes: dict[Key, int] = field(default_factory=dict)
    energy: float | None = None
    charging: float | None = None
    voltage: float | None = None
    exists: bool = True


def key_of(rule: Rule, label: str | None) -> Key:
    """Identity of the finding of a rule on a subject."""
    return (rule.id, f"{rule.subject}.{label}" if label else rule.subject)


def _row(rule: Rule, x: Inputs, label: str | None) -> Row:
    outcome = outcome_of(rule, x) if rule.applies(x) else None
    return Row(rule, label, outcome, frozenset(x.asked))


def _codes(outcome: Judgement | Unknown | None) -> NDArray[np.int_]:
    if outcome is None:
        return np.array(ABSENT)
    return np.array(CANNOT_TELL) if isinstance(outcome, Unknown) else outcome.code


class Board:
    """What the rules say of one machine, at the values on its sheet, and of changes of it.

    Parameters
    ----------
    rules : iterable of Rule
        The rules; those that only hold readings against the machine are left out.
    design : Design
        The values on the sheet, scalar.
    computed : Cache, optional
        What was computed of it before.
    known : dict of key to Row, optional
        What rules said before of another design, of those that need not be asked anew.
    """

    def __init__(
        self,
        rules: Iterable[Rule],
        design: Design,
        computed: Cache | None = None,
        known: Mapping[Key, Row] | None = None,
    ) -> None:
        self.rules = tuple(rule for rule in rules if not rule.widened)
        self.design = design
        whole = Inputs(design, None, {} if computed is None else dict(computed))
        self.rows: dict[Key, Row] = {}
        for rule, label in subjects(self.rules, whole):
            row = (known or {}).get(key_of(rule, label)) or _row(rule, whole.again(label), label)
            self.rows[row.key] = row
        self.energy, self.charging, self.voltage = (None if np.isnan(v) else float(v) for v in _figures(whole))
        self._cache = whole.computed

    def after(self, changes: Changes) -> Board:
        """The same of the machine with some changes."""
        known = {
            # What a rule says or proposes may look at more than its judgement did: what is not fine is asked anew.
            key: row
            for key, row in self.rows.items()
            if self.badness(key) == 0.0 and not self.touches(row.asked, changes)
        }
        computed = {k: kept for k, kept in self._cache.items() if not self.touches(kept[2], changes)}
        return Board(self.rules, Design({**self.design.values, **changes}, self.design.assumed), computed, known)

    def code(self, key: Key, variant: Variant | None = None) -> int:
        """Level of a rule, as it is or in a variant."""
        if variant is not None and key in variant.codes:
            return variant.codes[key]
        return self.rows[key].code if key in self.rows else ABSENT

    def badness(self, key: Key, variant: Variant | None = None) -> float:
        """How bad a finding is: 3 a danger, 2.5 not known and it can kill, 2 a fail, 1 marginal, 0 fine."""
        code = self.code(key, variant)
        if code == CANNOT_TELL and key in self.rows and self.rows[key].rule.deadly:
            return DEADLY
        return _BADNESS[code]

    def variants(self, many: Sequence[Changes]) -> list[Variant]:
        """The machine with each of some sets of changes."""
        groups: dict[tuple[object, ...], list[int]] = {}
        for i, changes in enumerate(many):
            groups.setdefault(self._kind(changes), []).append(i)
        found: dict[int, Variant] = {}
        for places in groups.values():
            for i, variant in zip(places, self._group([many[i] for i in places]), strict=True):
                found[i] = variant
        return [found[i] for i in range(len(many))]

    def touches(self, asked: Iterable[str], changes: Iterable[str]) -> bool:
        """Whether something that looked at some names has to be asked anew after changes."""
        names = asked if isinstance(asked, (set, frozenset)) else frozenset(asked)
        return any(
            path in names or (path not in self.design.values and f"{path.partition('.')[0]}." in names)
            for path in changes
        )

    def solves(self, changes: Iterable[str]) -> bool:
        """Whether changes ask for the machine to be solved anew."""
        return "machine" in self._cache and self.touches(self._cache["machine"][2], changes)

    def _kind(self, changes: Changes) -> tuple[object, ...]:
        """What variants must share to be solved together: words, names that are new, and what has to be solved."""
        words = frozenset((k, v) for k, v in changes.items() if isinstance(v, str | bool) or k.startswith(_TABLES))
        new = frozenset(k for k in changes if k not in self.design.values)
        anew = frozenset(k for k, (_, _, asked) in self._cache.items() if self.touches(asked, changes))
        return words, new, anew, self._doubtful_bank(changes)

    def _doubtful_bank(self, changes: Changes) -> tuple[Value | None, ...]:
        """Voltages of a changed bank that leaves the count of its cells open, which is told of single voltages only."""
        if not self.touches(_OF_COUNT, changes):
            return ()
        x = Inputs(Design({**self.design.values, **changes}, self.design.assumed))
        volts = (x.maybe(Sheet.storage.voltage), x.maybe(Sheet.storage.charge_voltage))
        return volts if doubtful_counts(x) else ()

    def _group(self, some: Sequence[Changes]) -> list[Variant]:
        """Variants that may be solved together; those that stand in the way of the others are solved by themselves."""
        paths = list(dict.fromkeys(path for changes in some for path in changes))
        design = self._design(paths, some)
        cache, left = self._kept(paths), np.arange(len(some))
        while len(some) > 1 and len(left):
            gone = _in_the_way(Inputs(design, None, cache), len(left))
            if gone is None:
                break
            design, left, cache = _without(design, gone), left[~gone], self._kept(paths)
        told = self._ask(design, paths, cache, [some[int(i)] for i in left]) if len(left) else []
        found = dict(zip(map(int, left), told, strict=True))
        return [found[i] if i in found else self._group([changes])[0] for i, changes in enumerate(some)]

    def _design(self, paths: Sequence[str], some: Sequence[Changes]) -> Design:
        values = dict(self.design.values)
        for path in paths:
            each = [changes.get(path, values.get(path)) for changes in some]
            alike = all(value == each[0] for value in each)
            values[path] = cast(Value, each[0]) if alike else np.array(each, dtype=float)
        return Design(values, self.design.assumed)

    def _kept(self, paths: Sequence[str]) -> Cache:
        """What was computed and does not change with some names."""
        return {k: kept for k, kept in self._cache.items() if not self.touches(kept[2], paths)}

    def _ask(self, design: Design, paths: Sequence[str], cache: Cache, some: Sequence[Changes]) -> list[Variant]:
        n, anew = len(some), {}
        for rule, label in subjects(self.rules, Inputs(design)):
            key = key_of(rule, label)
            if key in self.rows and not self.touches(self.rows[key].asked, paths):
                continue
            anew[key] = _level_of_each(rule, label, design, cache, n)
        x = Inputs(design, None, cache)
        solved = solve_machine(x)
        exists = not isinstance(solved, Unknown) or solved.impossible is None
        energy, charging, voltage = (np.broadcast_to(v, (n,)) for v in _figures(x))
        return [
            Variant(
                changes,
                {key: int(codes[i]) for key, codes in anew.items()},
                None if np.isnan(energy[i]) else float(energy[i]),
                None if np.isnan(charging[i]) else float(charging[i]),
                None if np.isnan(voltage[i]) else float(voltage[i]),
                exists,
            )
            for i, changes in enumerate(some)
        ]


def _level_of_each(rule: Rule, label: str | None, design: Design, cache: Cache, n: int) -> NDArray[np.int_]:
    """Level of a rule in each of so many variants; where some lie outside a table, the others are judged without."""
    x, codes, left = Inputs(design, label, cache), np.full(n, CANNOT_TELL), np.arange(n)
    while True:
        outcome = outcome_of(rule, x) if rule.applies(x) else None
        gone = outcome.stands_in_the_way(len(left)) if isinstance(outcome, Unknown) and n > 1 else None
        if gone is None:
            codes[left] = _codes(outcome)
            return codes
        left = left[~gone]
        if not len(left):
            return codes
        x = Inputs(_without(x.design, gone), label, {})


def _in_the_way(x: Inputs, n: int) -> Flags | None:
    """Which of so many machines cannot be judged with the others: they cannot exist, or lie outside what is tabled.

    A rule may have another way to judge where something is not known, and takes it for all of them at once.
    """
    for found in _taken_by_many(x):
        gone = found.stands_in_the_way(n) if isinstance(found, Unknown) else None
        if gone is not None and gone.any():
            return gone
    solved = solve_machine(x)
    idle = np.asarray(False if isinstance(solved, Unknown) else np.asarray(solved.rotor.best()[1]) < LEAST_POWER)
    return idle if idle.shape == (n,) and idle.any() else None


def _taken_by_many(x: Inputs) -> Iterator[object]:
    """What many rules take, of which some machines may lie outside the tables."""
    yield solve_machine(x)
    if not x.lacks(*HUB_NEEDS):
        yield hub_wind(x)
    if x.labels(Sheet.load):
        yield battery_need(x)
    for label in x.labels(Sheet.cable):
        with suppress(CannotTellError):
            yield run_capacity(x, label)


def _without(design: Design, gone: NDArray[np.bool_]) -> Design:
    values = {k: v[~gone] if isinstance(v, np.ndarray) and v.ndim else v for k, v in design.values.items()}
    return Design(values, design.assumed)


def _figures(x: Inputs) -> tuple[NDArray[np.float64], ...]:
    """Energy in a year [J], wind in which charging begins [m/s] and free voltage [V]; not a number where not known."""
    solved, year = solve_machine(x), x.shared("yearly energy", yearly_energy)
    nothing = np.array(np.nan)
    charging, voltage = (solved.charging, solved.V_free) if isinstance(solved, Solved) else (nothing, nothing)
    told = (nothing if isinstance(year, Unknown) else year, charging, voltage)
    return tuple(np.asarray(v, dtype=float) for v in told)
