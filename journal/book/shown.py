"""The edge that every text for people passes: the units of the build, in the letters that can be shown.

Inside, a text is metric and plain. What is computed, exported, or given to scripts as JSON does not come here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cached_property, lru_cache, wraps
from typing import TypeVar

#: What a build can be told in; the first is what it is told in where nobody has said otherwise.
SYSTEMS = METRIC, FEET = ("metric", "feet")
T = TypeVar("T")
#: A unit by itself in the head of a column or the name of an axis, whose numbers stand without it.
_HEAD = re.compile(r"(?<=\n)[^\s\n]+$|(?<=, )[^\s,]+?(?=$|\s{2,})")
#: The head of the column in which doubts stand.
_DOUBT = "Doubt"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@dataclass
class _Reader:
    """In what a build is told, and where its builder's own words are found if that is asked."""

    system: str = METRIC
    find: Callable[[], Iterable[str]] = tuple

    @cached_property
    def own(self) -> tuple[str, ...]:
        return tuple(self.find())


_reader: ContextVar[_Reader] = ContextVar("_reader", default=_Reader())  # noqa: B039 - never changed, only replaced


def told_in(system: str | None, own: Callable[[], Iterable[str]] = tuple) -> None:
    """Let what follows be told in the units of a build.

    Parameters
    ----------
    system : str or None
        One of :data:`SYSTEMS`.
    own : callable
        Gives what people have written themselves, in small letters: it is told as it stands.
    """
    _reader.set(_Reader(system or METRIC, own))


def system() -> str:
    """One of :data:`SYSTEMS`."""
    return _reader.get().system


def in_units(text: str, *, difference: bool = False, exact: bool = False) -> str:
    """A text in the units of the build, its letters left as they are; a difference of temperatures has no offset.

    On a drawing every digit of a number counts; else it is told as exactly as it was written.
    """
    reader = _reader.get()
    if reader.system == METRIC:
        return text
    from journal.book.feet import has_metric, in_feet

    return in_feet(text, reader.own, difference=difference, exact=exact) if has_metric(text) else text


def written(text: str, encoding: str | None = "utf-8") -> str:
    """A text as it is told to people; see :func:`calc.units.as_written`."""
    from calc.units import as_written

    return as_written(in_units(text), encoding)


def same_told(one: str, other: str) -> bool:
    """Whether two texts are told alike."""
    return written(one).replace(" ", "") == written(other).replace(" ", "")


def unit_told(unit: str) -> str:
    """The unit in which numbers are told that have this one inside."""
    if system() == METRIC:
        return unit
    from journal.book.feet import FEET as TOLD_IN

    return TOLD_IN.get(unit, unit)


def number_told(number: str, unit: str) -> str:
    """A number that stands without its unit, in the unit of :func:`unit_told`; anything else as it is."""
    if unit_told(unit) == unit or not _NUMBER.fullmatch(number):
        return number
    from journal.book.feet import told_number

    return told_number(number, unit, smaller=False)[0]


def unit_scale(unit: str) -> float:
    """How many of :func:`unit_told` make one, both beginning at nothing."""
    from calc.units import si_size

    return si_size(unit) / si_size(unit_told(unit))


def head_told(head: str) -> tuple[str, str]:
    """The head of a column or the name of an axis, and the unit that it names inside; none where that stays."""
    found = None if system() == METRIC else _HEAD.search(head)
    if found is None or unit_told(found[0]) == found[0]:
        return head, ""
    return head[: found.start()] + unit_told(found[0]) + head[found.end() :], found[0]


def table_told(
    heads: Sequence[str], rows: Iterable[Sequence[object]]
) -> tuple[Sequence[str], Iterable[Sequence[object]]]:
    """A table whose heads name the units of the numbers below them."""
    if system() == METRIC:
        return heads, rows
    told = [head_told(head) for head in heads]
    return [head for head, _ in told], (
        [_cell_told(cell, head, unit) for cell, (head, unit) in zip(row, told, strict=True)] for row in rows
    )


def _cell_told(cell: object, head: str, unit: str) -> object:
    if head == _DOUBT:
        return in_units(str(cell), difference=True)
    return number_told(str(cell), unit) if unit else cell


def remembered(most: int) -> Callable[[Callable[..., T]], Callable[..., T]]:
    """Like :func:`functools.lru_cache`, for what is told: each build has it in its own units."""

    def decorate(make: Callable[..., T]) -> Callable[..., T]:
        each = {told: lru_cache(maxsize=most)(make) for told in SYSTEMS}
        return wraps(make)(lambda *args: each[system()](*args))

    return decorate
