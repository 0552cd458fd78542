"""How an input of the design sheet is declared, and how it is asked for by name, so that a type checker sees it.

A group of the sheet is a class whose attributes are its inputs. On the class, an attribute is the input itself:
``Sheet.storage.voltage`` is an :class:`Entry`, and ``Sheet.cable.length["mast"]`` that of one run. On a sheet that
somebody computes with, the same words give the value: ``x.storage.voltage``, ``x.cable["mast"].length``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Generic, Literal, Protocol, TypeAlias, TypeVar, cast, overload

from calc.units import Num, show

Value: TypeAlias = "Num | str | bool"
EntryKind = Literal["number", "choice", "flag"]
T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)
G = TypeVar("G", bound="Group")

#: Units in which a builder counts, in SI.
AH = 3600.0
MM2 = 1e-6
DEG = 0.017453292519943295


#: As many labels as a sheet has, for which an input is remembered; of readings there may be thousands.
MOST = 64


@dataclass(frozen=True, slots=True)
class Assumed:
    """What is taken when an input is left out, and why.

    Parameters
    ----------
    value : float, str or bool
        In SI, or one of the choices.
    why : str
        The reason, shown to the builder; names its standing.
    low, high : float, optional
        The range in which the true value may well lie. [SI]
    """

    value: float | str | bool
    why: str
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Entry(Generic[T_co]):
    """One input of the catalogue.

    Parameters
    ----------
    kind : {"number", "choice", "flag"}
        What it holds.
    meaning : str
        One line.
    example : str
        How a builder would type it.
    unit, shown : str
        SI unit as the unit parser reads it, and the unit in which it is shown (see :mod:`calc.units`).
    low, high : float
        Permitted range, in SI.
    choices : tuple of str
        Permitted words.
    assumed : Assumed or None
        What is taken when it is left out.
    exact : bool
        Whether it is a count or a nominal value, without doubt of its own unless one is typed.
    whole : bool
        Whether it is a count, which has neither parts nor doubt.
    nouns : tuple of str
        What people write behind the number instead of a unit, in small letters and the singular.
    thread : bool
        Whether the name of a metric thread, such as M10, gives it.
    also : dict of str to tuple of str
        What else people say for a choice; what is said of several is asked about.
    group, name : str
        Group and field; known from where it is declared.
    labelled : bool
        Whether the group holds several things by label.
    recorded : bool
        Whether it comes from a record of its own instead of the sheet.
    label : str or None
        Which of several things it is asked of.
    """

    kind: EntryKind
    meaning: str
    example: str
    unit: str = ""
    shown: str = ""
    low: float = float("-inf")
    high: float = float("inf")
    choices: tuple[str, ...] = ()
    assumed: Assumed | None = None
    exact: bool = False
    whole: bool = False
    nouns: tuple[str, ...] = ()
    thread: bool = False
    also: Mapping[str, tuple[str, ...]] = field(default_factory=dict, hash=False)
    group: str = ""
    name: str = ""
    labelled: bool = False
    recorded: bool = False
    label: str | None = None
    #: Names by label, and the same input of several things: they are asked for a million times in a search.
    _names: dict[str | None, str] = field(default_factory=dict, init=False, repr=False, compare=False)
    _own: dict[str, Entry[T_co]] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __set_name__(self, owner: type[Group], name: str) -> None:
        object.__setattr__(self, "name", name)

    @overload
    def __get__(self, view: None, owner: type[Group]) -> Entry[T_co]: ...
    @overload
    def __get__(self, view: Group, owner: type[Group]) -> T_co: ...
    def __get__(self, view: Group | None, owner: type[Group]) -> Entry[T_co] | T_co:
        """The input itself, or its value on a sheet."""
        return self if view is None else view._on.need(self if view._label is None else self[view._label])

    def __getitem__(self, label: str) -> Entry[T_co]:
        """The input of one of several things, such as one cable run."""
        found = self._own.get(label)
        if found is None:
            if len(self._own) >= MOST:
                self._own.clear()
            found = self._own[label] = replace(self, label=label)
        return found

    @property
    def path(self) -> str:
        """Name without a label, such as ``cable.length``."""
        return self.named()

    @property
    def full(self) -> str:
        """Name with the label where it has one, such as ``cable.mast.length``."""
        return self.named(self.label)

    def named(self, label: str | None = None) -> str:
        """Name with a label where the group has labels."""
        found = self._names.get(label)
        if found is None:
            if len(self._names) >= MOST:
                self._names.clear()
            middle = f"{label}." if self.labelled and label else ""
            found = self._names[label] = f"{self.group}.{middle}{self.name}"
        return found

    def text(self, value: Value) -> str:
        """Write a value of this input for people."""
        if self.kind == "number":
            return show(cast(Num, value), self.shown)
        if self.kind == "flag":
            return "yes" if value else "no"
        return str(value)

    @property
    def accepts(self) -> str:
        """What would be accepted, in one phrase."""
        if self.kind == "choice":
            return "one of: " + "; ".join(self.choices)
        if self.kind == "flag":
            return "yes or no"
        return f"{show(self.low, self.shown)} to {show(self.high, self.shown)}"


class ValueSource(Protocol):
    """Whatever gives the values of a sheet."""

    def need(self, entry: Entry[T]) -> T:
        """The value of an input."""

    def labels(self, group: type[Group]) -> tuple[str, ...]:
        """Labels of a group that holds several things."""


class Group:
    """A group of inputs, looked at on one sheet."""

    #: Name on the sheet; known from where the group is declared.
    group = ""
    #: What people say for it, beside its name.
    said: tuple[str, ...] = ()

    def __init__(self, on: ValueSource, label: str | None = None) -> None:
        self._on, self._label = on, label


class Several(Mapping[str, G]):
    """A group that holds several things by label, looked at on one sheet."""

    def __init__(self, on: ValueSource, group: type[G]) -> None:
        self._on, self._group = on, group

    def __getitem__(self, label: str) -> G:
        return self._group(self._on, label)

    def __iter__(self) -> Iterator[str]:
        return iter(self._on.labels(self._group))

    def __len__(self) -> int:
        return len(self._on.labels(self._group))


class _Declared(Generic[G]):
    """A group's place on the sheet; gives its inputs the group's name."""

    labelled = False

    def __init__(self, group: type[G], *, recorded: bool = False) -> None:
        self.group, self.recorded = group, recorded

    def __set_name__(self, owner: type[Any], name: str) -> None:
        self.group.group = name
        for entry in self.entries():
            object.__setattr__(entry, "group", name)
            object.__setattr__(entry, "labelled", self.labelled)
            object.__setattr__(entry, "recorded", self.recorded)
            # What it was called before it had its group counts no more.
            entry._names.clear()
            entry._own.clear()

    def entries(self) -> list[Entry[Any]]:
        """Inputs of the group, in the order of their declaration."""
        return [e for e in vars(self.group).values() if isinstance(e, Entry)]


class One(_Declared[G]):
    """A group of which a machine has one."""

    @overload
    def __get__(self, on: None, owner: type[Any]) -> type[G]: ...
    @overload
    def __get__(self, on: ValueSource, owner: type[Any]) -> G: ...
    def __get__(self, on: ValueSource | None, owner: type[Any]) -> type[G] | G:
        """The class of the group, or the group on a sheet."""
        return self.group if on is None else self.group(on)


class Many(_Declared[G]):
    """A group of which a machine can have several, by label."""

    labelled = True

    @overload
    def __get__(self, on: None, owner: type[Any]) -> type[G]: ...
    @overload
    def __get__(self, on: ValueSource, owner: type[Any]) -> Several[G]: ...
    def __get__(self, on: ValueSource | None, owner: type[Any]) -> type[G] | Several[G]:
        """The class of the group, or all of it that is on a sheet."""
        return self.group if on is None else Several(on, self.group)


def number(
    meaning: str,
    unit: str,
    shown: str,
    low: float,
    high: float,
    example: str,
    assumed: Assumed | None = None,
    *,
    exact: bool = False,
    thread: bool = False,
    nouns: tuple[str, ...] = (),
) -> Entry[Num]:
    """Declare a number: meaning, SI unit, shown unit, permitted range in SI, and how one would type it."""
    return Entry(
        "number", meaning, example, unit, shown, low, high, assumed=assumed, exact=exact, thread=thread, nouns=nouns
    )


def count(
    meaning: str, low: int, high: int, example: str, assumed: Assumed | None = None, *, of: tuple[str, ...]
) -> Entry[Num]:
    """Declare a count: meaning, permitted range, how one would type it, and what is counted, in the singular."""
    ends = float(low), float(high)
    return Entry("number", meaning, example, "", "", *ends, assumed=assumed, exact=True, whole=True, nouns=of)


def choice(
    meaning: str, *choices: str, assumed: Assumed | None = None, also: Mapping[str, tuple[str, ...]] | None = None
) -> Entry[str]:
    """Declare one word out of a closed set, and what else people say for each."""
    # Nothing is no example of what stops a rotor.
    example = next((c for c in choices if c not in ("none", "nothing")), choices[0])
    return Entry("choice", meaning, example, choices=choices, assumed=assumed, also=also or {})


def flag(meaning: str, assumed: Assumed | None = None) -> Entry[bool]:
    """Declare a yes or no."""
    return Entry("flag", meaning, "yes", assumed=assumed)
