"""Names of inputs and quantities found by what they mean, where they are not typed as the catalogue has them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from calc.machine import catalogue
from calc.machine.entry import Entry, Group
from calc.quantities import NAMED_ONLY, QUANTITIES
from journal.errors import BadInput

#: A value with its name, as ``rotor.blades=3``.
_NAMED = re.compile(r"(?P<name>[a-z][\w-]*(?:\.[\w-]+)*)\s*=+\s*(?P<value>.+)", re.IGNORECASE | re.DOTALL)
_APART = re.compile(r"[\s._-]+")
_FILLING = frozenset(["a", "an", "the", "of", "on", "in", "at", "to", "with", "for", "and", "is", "my"])
#: Endings taken off, so that raising finds what is raised; of what is left, so many letters must agree.
_ENDINGS = re.compile(r"(?:ings?|ed|es|s|e)$")
_LEAST = 4
#: What is said for a quantity by its unit, and the word of its meaning.
_BY_UNIT = {
    **dict.fromkeys(("amp", "amps", "ampere", "amperes", "amperage"), "current"),
    **dict.fromkeys(("ohm", "ohms"), "resistance"),
    **dict.fromkeys(("watt", "watts", "wattage"), "power"),
    **dict.fromkeys(("rpm", "revs"), "rotor speed"),
    **dict.fromkeys(("hz", "hertz"), "frequency"),
    **dict.fromkeys(("temp", "degrees"), "temperature"),
}


@dataclass(frozen=True, slots=True)
class Known:
    """One name with the words by which it is found.

    Parameters
    ----------
    name : str
        As the catalogue has it, without a label.
    group, own : frozenset of str
        Stems of what people say for its group, and of its own part of the name.
    all : frozenset of str
        Stems of all that is said of it.
    """

    name: str
    group: frozenset[str]
    own: frozenset[str]
    all: frozenset[str]


def stems(text: str) -> list[str]:
    """The words of a text without their endings and without those that say nothing.

    Examples
    --------
    >>> stems("How the machine is raised"), stems("raising")
    (['how', 'machin', 'rais'], ['rais'])
    """
    words = [w for w in _APART.split(re.sub(r"[^\w\s.-]", " ", text.casefold())) if w and w not in _FILLING]
    return [w if len(w) <= _LEAST else _ENDINGS.sub("", w) for w in words]


@cache
def inputs() -> tuple[Known, ...]:
    """Every input of the sheet that is typed on it."""
    return tuple(_known(entry, _group(entry)) for entry in catalogue.catalogue().values() if not entry.recorded)


def _group(entry: Entry[object]) -> type[Group]:
    place = vars(catalogue.Sheet)[entry.group]
    found: type[Group] = place.group
    return found


def _known(entry: Entry[object], group: type[Group]) -> Known:
    of_group = frozenset(stems(" ".join([entry.group, *group.said])))
    own = frozenset(stems(entry.name))
    told = frozenset(stems(f"{group.__doc__ or ''} {entry.meaning}"))
    return Known(entry.path, of_group, own, of_group | own | told)


@cache
def quantities() -> tuple[Known, ...]:
    """Every quantity that can be measured."""
    found = []
    for q in QUANTITIES.values():
        group, own = (frozenset(stems(part)) for part in q.name.split("."))
        found.append(Known(q.name, group, own, group | own | frozenset(stems(f"{q.meaning} {q.note}"))))
    return tuple(found)


def by_unit(typed: str) -> str:
    """A text with what is said by a unit in the words of what is read in it.

    Examples
    --------
    >>> by_unit("amps"), by_unit("Ohms between leads"), by_unit("battery voltage")
    ('current', 'resistance between leads', 'battery voltage')
    """
    return " ".join(_BY_UNIT.get(word.casefold(), word) for word in typed.split())


def usual_first(names: list[str]) -> list[str]:
    """Those of some quantities that people commonly read; all where there is none of these."""
    return [name for name in names if name not in NAMED_ONLY] or names


def meant(typed: str, known: Iterable[Known]) -> list[str]:
    """The names of which a typed one has the words, with any word for their group: none but these can be taken."""
    words = frozenset(stems(typed))
    return [k.name for k in known if words & k.group and words - k.group <= k.own and k.own - k.group <= words]


def about(typed: str, known: Iterable[Known]) -> list[str]:
    """The names of which every typed word is said somewhere; a beginning of some letters is enough."""
    words = stems(typed)
    return [k.name for k in known if words and all(_said(word, k.all) for word in words)]


def _said(word: str, told: frozenset[str]) -> bool:
    return word in told or (len(word) >= _LEAST and any(t.startswith(word) or _same(word, t) for t in told))


def _same(word: str, told: str) -> bool:
    return len(told) >= _LEAST and word.startswith(told)


def parted(typed: str) -> str | None:
    """A name typed with blanks for its dots, such as ``cable mast length``; None if it is none."""
    words = typed.casefold().split()
    if len(words) < 2 or words[0] not in catalogue.GROUPS:
        return None
    for label in (0, 1) if words[0] in catalogue.LABELLED else (0,):
        path = ".".join([words[0], *words[1 : 1 + label], "_".join(words[1 + label :])])
        try:
            catalogue.split(path)
        except KeyError:
            continue
        return path
    return None


def pairs_typed(words: Iterable[str]) -> dict[str, str]:
    """What was typed as ``NAME=VALUE``, several of them perhaps; nothing where any word is no such pair.

    Examples
    --------
    >>> pairs_typed(["rotor.diameter=2.2 m", "rotor.blades = 3"])
    {'rotor.diameter': '2.2 m', 'rotor.blades': '3'}
    >>> pairs_typed(["rotor.diameter", "2.2 m"])
    {}

    Raises
    ------
    BadInput
        If one name is given twice.
    """
    found = [_NAMED.fullmatch(word.strip()) for word in words]
    pairs = [(m["name"], m["value"]) for m in found if m]
    if len(pairs) < len(found):
        return {}
    names = [name for name, _ in pairs]
    if twice := [name for name in names if names.count(name) > 1]:
        raise BadInput(f"{twice[0]} is given twice", "Give each value once")
    return dict(pairs)
