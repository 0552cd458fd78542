"""The design of one machine: the values on its sheet, in SI."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar, cast

from calc.machine.catalogue import catalogue, split
from calc.machine.entry import Assumed, Entry, Group, Value

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Design:
    """One machine. Every number may be an array with a leading axis of variants.

    Parameters
    ----------
    values : mapping of str to float, array, str or bool
        What the sheet states, by full name, in SI; see :func:`build_design`.
    assumed : mapping of str to Assumed
        Assumptions made for this sheet, by full name, in place of the catalogue's.
    """

    values: Mapping[str, Value] = field(default_factory=dict)
    assumed: Mapping[str, Assumed] = field(default_factory=dict)
    #: Labels by group, once they were asked for: there may be hundreds of readings.
    _labels: dict[str, tuple[str, ...]] = field(default_factory=dict, init=False, repr=False, compare=False)

    def get(self, entry: Entry[T]) -> T | None:
        """What the sheet states for an input, or None."""
        return cast("T | None", self.values.get(entry.full))

    def labels(self, group: str | type[Group]) -> tuple[str, ...]:
        """Labels of a group that holds several things, in the order in which they were given."""
        name = group if isinstance(group, str) else group.group
        if name not in self._labels:
            head = f"{name}."
            found = (path[len(head) :].rpartition(".")[0] for path in self.values if path.startswith(head))
            self._labels[name] = tuple(dict.fromkeys(found))
        return self._labels[name]


def build_design(values: Mapping[str, Value], assumed: Mapping[str, Assumed] | None = None) -> Design:
    """Make a design from values by name.

    Parameters
    ----------
    values : mapping of str to float, array, str or bool
        SI numbers (shape ``()`` or ``(n,)``), words and flags, by full name.
    assumed : mapping, optional
        Assumptions made for this sheet, by full name, in place of the catalogue's.

    Returns
    -------
    design : Design

    Raises
    ------
    KeyError
        If the catalogue has no such name.

    Examples
    --------
    >>> from calc.machine.catalogue import Sheet
    >>> build_design({"rotor.diameter": 2.2, "cable.main.length": 34.0}).get(Sheet.cable.length["main"])
    34.0
    """
    for path in values:
        split(path)
    return Design(dict(values), assumed or {})


def values(design: Design) -> Iterator[tuple[str, Entry[Any], Value]]:
    """Every value that is set, with its full name and entry, in the order of the catalogue."""
    labels = {group: design.labels(group) for group in {e.group for e in catalogue().values() if e.labelled}}
    for entry in catalogue().values():
        for label in labels[entry.group] if entry.labelled else (None,):
            name = entry.named(label)
            if name in design.values:
                yield name, entry, design.values[name]
