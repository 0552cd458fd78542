"""Remedies as rules propose them: changes of the sheet to be tried, or acts that no sheet can try.

A rule does not work out which change will do. It names what would be changed and the values in which such things can be
had, best first; :mod:`calc.rules.proving` tries them all on the whole machine and keeps the first that does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from calc.finding import Act
from calc.machine.catalogue import Sheet
from calc.machine.entry import Entry, Value
from calc.physics import wiring

#: Values of inputs to be tried together, in SI.
Try: TypeAlias = "Mapping[Entry[Any], Value]"


@dataclass(frozen=True, slots=True)
class Way:
    """One way to put a finding right.

    Parameters
    ----------
    kind : Act
        What kind of thing it asks for.
    says : str, or callable giving str
        What to do. ``{0}``, ``{1}`` stand for the values of the try, in its order; a callable is given the try.
    tries : tuple of mapping of Entry to value, or None
        What to set, best first; None for acts that change nothing on the sheet. Empty where nothing of the kind is
        sold; then it is no way.
    """

    kind: Act
    says: str | Callable[[Try], str]
    tries: tuple[Try, ...] | None = None

    def words(self, tried: Try) -> str:
        """What to do, with the values that were tried."""
        if callable(self.says):
            return self.says(tried)
        return self.says.format(*(shown(entry, value) for entry, value in tried.items()))


def change(says: str | Callable[[Try], str], *tries: Try, kind: Act = Act.CHANGE) -> Way:
    """A way that changes the sheet, by one of some tries, best first.

    Examples
    --------
    >>> way = change("Use {0} or more.", *ladder(Sheet.cable.area["main"], (6e-6, 10e-6)))
    >>> way.words({Sheet.cable.area["main"]: 10e-6})
    'Use 10 mm2 or more.'
    """
    return Way(kind, says, tries)


def act(kind: Act, says: str) -> Way:
    """A way that no change of the sheet can try."""
    return Way(kind, says.replace("{", "{{").replace("}", "}}"))


def ladder(entry: Entry[Any], values: Iterable[Any]) -> Sequence[Try]:
    """One try for each of some values of one input."""
    return [{entry: value} for value in values]


def shown(entry: Entry[Any], value: Value) -> str:
    """A value as people say it; cables by the name of their size."""
    if entry.path == Sheet.cable.area.path:
        return wiring.size_name(float(value))
    return entry.text(value)
