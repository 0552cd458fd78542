"""The sheet as whoever computes with it sees it: assumptions filled in, and what was used remembered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeAlias, TypeVar, cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.design import Design
from calc.machine.entry import Assumed, Entry, Group, Value
from calc.machine.spread import Draws
from calc.physics.arrays import Flags, ImpossibleError
from calc.units import Num

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Unknown:
    """Something cannot be told: inputs are missing, or they lie outside a range of validity.

    Parameters
    ----------
    why : str
        One line; may be empty where inputs are missing.
    missing : tuple of Entry
        What the sheet does not state.
    impossible : array of bool, optional
        Of samples: those that stand in the way, because they cannot exist or lie outside what is tabled.
    """

    why: str
    missing: tuple[Entry[Any], ...] = ()
    impossible: Flags | None = field(default=None, compare=False)

    @classmethod
    def because(cls, why: str, error: ValueError) -> Unknown:
        """What a refused computation leaves unknown, and for which samples."""
        return cls(why, impossible=error.which if isinstance(error, ImpossibleError) else None)

    def stands_in_the_way(self, samples: int) -> Flags | None:
        """Which of so many samples stand in the way of the others; None where it is not for some of them alone."""
        if self.impossible is None or self.impossible.shape[:1] != (samples,):
            return None
        return np.asarray(self.impossible.reshape(samples, -1).any(axis=-1))

    @property
    def names(self) -> tuple[str, ...]:
        """Full names of what is missing."""
        return tuple(entry.full for entry in self.missing)


class CannotTellError(LookupError):
    """Something that was asked for cannot be told; whoever runs rules and mechanisms makes that an unknown."""

    def __init__(self, unknown: Unknown) -> None:
        super().__init__(unknown.why or ", ".join(unknown.names))
        self.unknown = unknown


class NotStatedError(CannotTellError):
    """An input was asked for as needed, and the sheet does not state it."""

    def __init__(self, entry: Entry[Any]) -> None:
        super().__init__(Unknown("", (entry,)))
        self.entry = entry


#: Entry, value, and why it was assumed; None where the sheet states it.
Used: TypeAlias = "dict[str, tuple[Entry[Any], Value, str | None]]"
#: What was computed, what it used, and every name that it looked at, stated or not.
Cache: TypeAlias = "dict[str, tuple[Any, Used, set[str]]]"


class Inputs(Sheet):
    """The sheet as one rule sees it: ``x.storage.voltage`` is its value, and counts as used."""

    def __init__(
        self, design: Design, label: str | None = None, cache: Cache | None = None, drawn: Draws | None = None
    ) -> None:
        self.design = design
        self.label = label
        #: Which samples, where the design was sampled from its doubts.
        self.drawn = drawn
        #: The same design with its doubtful numbers sampled, where a rule widens its own range by them.
        self.sampled: Inputs | None = None
        self.used: Used = {}
        #: Full names that were looked at, stated or not, and groups (with a dot at the end) of which the labels were:
        #: where none of them changes, nothing that was computed does.
        self.asked: set[str] = set()
        self._cache: Cache = {} if cache is None else cache

    def without(self, gone: Flags) -> Inputs:
        """The same without some of the samples; what was computed has to be computed anew."""
        assert self.drawn is not None, "only samples can be left out"
        values = {n: v[~gone] if isinstance(v, np.ndarray) and v.ndim else v for n, v in self.design.values.items()}
        design = Design(values, self.design.assumed)
        return Inputs(design, self.label, {}, self.drawn.without(gone))

    def again(self, label: str | None = None) -> Inputs:
        """The same for somebody else, who starts without having used anything; what was computed is at hand."""
        return Inputs(self.design, label, self._cache, self.drawn)

    @property
    def computed(self) -> Cache:
        """What was computed for the design so far, by name, with all that it looked at."""
        return dict(self._cache)

    def shared(self, key: str, make: Callable[[Inputs], T]) -> T:
        """What several rules need, computed once for the design; what it looked at counts as used by each."""
        if key not in self._cache:
            own = self.again()
            self._cache[key] = (make(own), own.used, own.asked)
        result, used, asked = self._cache[key]
        self.used |= used
        self.asked |= asked
        return cast(T, result)

    def named(self, entry: Entry[Any]) -> str:
        """Full name of an input here: of the labelled thing that a rule judges, where none is named."""
        return entry.named(entry.label or self.label)

    def here(self, entry: Entry[T]) -> Entry[T]:
        """The input of the labelled thing that a rule judges, where none is named."""
        return entry[self.label] if entry.labelled and entry.label is None and self.label else entry

    def maybe(self, entry: Entry[T]) -> T | None:
        """The value of an input, or the assumption made of it, or None."""
        name, why = entry.named(entry.label or self.label), None
        self.asked.add(name)
        value = cast("T | None", self.design.values.get(name))
        assumed = self.design.assumed.get(name, entry.assumed)
        if value is None and assumed is not None:
            value, why = cast(T, self._drawn(name, assumed)), assumed.why
        if value is not None:
            self.used[name] = (entry, cast(Value, value), why)
        return value

    def lacks(self, *entries: Entry[Any]) -> tuple[Entry[Any], ...]:
        """Those of some inputs of which there is no value."""
        return tuple(self.here(entry) for entry in entries if self.maybe(entry) is None)

    def need(self, entry: Entry[T]) -> T:
        """The value of an input, or the assumption made of it.

        Raises
        ------
        NotStatedError
            If there is neither; whoever runs rules and mechanisms makes that an unknown.
        """
        value = self.maybe(entry)
        if value is None:
            raise NotStatedError(self.here(entry))
        return value

    def _drawn(self, name: str, assumed: Assumed) -> Value:
        """An assumption of the catalogue or of the sheet; where the design was sampled, drawn from its range."""
        if self.drawn is None or assumed.low is None or assumed.high is None:
            return assumed.value
        return assumed.low + self.drawn.shares(name) * (assumed.high - assumed.low)

    def else_assume(
        self, entry: Entry[Num], value: Num, why: str, factor: Num = 1.0, *, within: tuple[Num, Num] | None = None
    ) -> Num:
        """A number from the sheet, or one assumed from other inputs, with the reason that the finding will give.

        It takes the place of the catalogue's assumption where there is one.

        Parameters
        ----------
        entry : Entry
            The input.
        value : float or array, shape (...,)
            What is assumed. [SI]
        why : str
            On what ground.
        factor : float or array, shape (...,)
            The true value may well be this many times greater or smaller; samples are drawn over that range.
        within : tuple of (low, high), optional
            The range in which it may well lie, where that is not even about the value.
        """
        if self.given(entry):
            return self.need(entry)
        name = self.named(entry)
        if self.drawn is not None and within is not None:
            value = within[0] + self.drawn.shares(name) * (np.asarray(within[1]) - within[0])
        elif self.drawn is not None and np.any(np.greater(factor, 1.0)):
            value = value * factor ** (2.0 * self.drawn.shares(name) - 1.0)
        elif self.drawn is not None:
            # It has no doubt of its own beside that of the inputs from which it follows.
            self.used[name] = (entry, float(np.mean(value)), why)
            return value
        self.used[name] = (entry, value, why)
        return value

    def assume(self, entry: Entry[T], value: T, why: str) -> T:
        """A value that follows from other inputs where the sheet states none, with the reason the finding will give."""
        if self.given(entry):
            return self.need(entry)
        self.used[self.named(entry)] = (entry, cast(Value, value), why)
        return value

    def given(self, entry: Entry[Any]) -> bool:
        """Whether the sheet itself states it."""
        name = self.named(entry)
        self.asked.add(name)
        return name in self.design.values

    def labels(self, group: str | type[Group]) -> tuple[str, ...]:
        """Labels of a group that holds several things."""
        self.asked.add(f"{group if isinstance(group, str) else group.group}.")
        return self.design.labels(group)
