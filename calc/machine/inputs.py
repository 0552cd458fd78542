"""The sheet as whoever computes with it sees it: assumptions filled in, and what was used remembered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias, TypeVar, cast

from calc.machine import design as sheet
from calc.machine import spread
from calc.machine.design import Assumed, Design, Entry, Value
from calc.units import Num

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Unknown:
    """A rule cannot say: inputs are missing, or they lie outside its range of validity."""

    why: str
    missing: tuple[str, ...] = ()


#: Entry, value, and why it was assumed; None where the sheet states it.
Used: TypeAlias = "dict[str, tuple[Entry, Value, str | None]]"
Cache: TypeAlias = "dict[str, tuple[Any, Used]]"


class Inputs:
    """The sheet as one rule sees it: values by name, assumptions filled in, and what was used remembered."""

    def __init__(
        self, design: Design, label: str | None = None, cache: Cache | None = None, drawn: int | None = None
    ) -> None:
        self.design = design
        self.label = label
        #: Number of samples, where the design was sampled from its doubts.
        self.drawn = drawn
        #: The same design with its doubtful numbers sampled, where a rule widens its own range by them.
        self.sampled: Inputs | None = None
        self.used: Used = {}
        self._cache: Cache = {} if cache is None else cache

    def shared(self, key: str, make: Callable[[Inputs], T]) -> T:
        """What several rules need, computed once for the design; what it looked at counts as used by each."""
        if key not in self._cache:
            own = Inputs(self.design, cache=self._cache, drawn=self.drawn)
            self._cache[key] = (make(own), own.used)
        result, used = self._cache[key]
        self.used |= used
        return cast(T, result)

    def _look(self, path: str) -> tuple[str, Entry, Value | None]:
        entry = sheet.catalogue().get(path)
        label = self.label if entry is not None else None
        if entry is None:
            bare, label = sheet.split(path)
            entry = sheet.catalogue()[bare]
        holder: Any = getattr(self.design, entry.group)
        if entry.labelled:
            holder = holder.get(label)
        value = None if holder is None else getattr(holder, entry.name)
        return entry.named(label), entry, value

    def get(self, path: str) -> Value | None:
        """Value by name, or the catalogue's assumption, or None."""
        name, entry, value = self._look(path)
        why = None
        assumed = self.design.assumed.get(name, entry.assumed)
        if value is None and assumed is not None:
            value, why = self._drawn(name, assumed), assumed.why
        if value is not None:
            self.used[name] = (entry, value, why)
        return value

    def _drawn(self, name: str, assumed: Assumed) -> Value:
        """An assumption of the catalogue or of the sheet; where the design was sampled, drawn from its range."""
        if self.drawn is None or assumed.low is None or assumed.high is None:
            return assumed.value
        return assumed.low + spread.draw(self.drawn, name) * (assumed.high - assumed.low)

    def else_assume(self, path: str, value: Num, why: str, factor: float = 1.0) -> Num:
        """A number from the sheet, or one assumed from other inputs, with the reason that the finding will give.

        It takes the place of the catalogue's assumption where there is one.

        Parameters
        ----------
        path : str
            Catalogue name.
        value : float or array, shape (...,)
            What is assumed. [SI]
        why : str
            On what ground.
        factor : float
            The true value may well be this many times greater or smaller; samples are drawn over that range.
        """
        if self.given(path):
            return self.num(path)
        name, entry, _ = self._look(path)
        if self.drawn is not None and factor > 1.0:
            value = value * factor ** (2.0 * spread.draw(self.drawn, name) - 1.0)
        self.used[name] = (entry, value, why)
        return value

    def given(self, path: str) -> bool:
        """Whether the sheet itself states it."""
        return self._look(path)[2] is not None

    def num(self, path: str) -> Num:
        """A number the rule named among its needs, in SI."""
        return cast(Num, self.get(path))

    def maybe(self, path: str) -> Num | None:
        """A number that may be missing, in SI."""
        return cast("Num | None", self.get(path))

    def word(self, path: str) -> str:
        """A word the rule named among its needs."""
        return cast(str, self.get(path))

    def labels(self, group: str) -> tuple[str, ...]:
        """Labels of a labelled group."""
        return tuple(getattr(self.design, group))
