"""Forms: their fields, and what was typed into them, each held by the reader that its service has for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calc.units import as_written
from journal.book.plain_text import clean_text
from journal.errors import BadInput


@dataclass(frozen=True)
class Field:
    """One field of a form.

    Parameters
    ----------
    name, label : str
        Its name, and what is asked.
    kind : {"line", "text", "words", "choice", "tick"}
        One line, several, one of a few words as buttons, one of many in a list, yes or nothing.
    read : callable, optional
        What reads it for the record; raises BadInput where it cannot.
    needed : bool
        Whether it must be filled in.
    options : sequence of (value, text)
        What can be chosen.
    hint : str
        How one would type it.
    mode : str
        The keys that a phone should show (``inputmode``).
    """

    name: str
    label: str
    kind: str = "line"
    read: Callable[[str], Any] | None = None
    needed: bool = False
    options: Sequence[tuple[str, str]] = ()
    hint: str = ""
    mode: str = "text"


def as_options(of: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """A closed set of words as what can be chosen."""
    return tuple((w, as_written(w)) for w in of)


@dataclass
class Filled:
    """What was typed into a form, and what is wrong with it, by the name of the field; ``""`` for the whole."""

    typed: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)

    def get(self, name: str) -> str | None:
        """What was typed, or None where that is nothing."""
        return self.typed.get(name, "").strip() or None

    def given(self, *names: str) -> dict[str, str | None]:
        """What was typed into some fields."""
        return {name: self.get(name) for name in names}


def hold(fields: Sequence[Field], sent: Mapping[str, Any]) -> Filled:
    """Read a form as it was sent: every field is tried, so that all that is wrong is told at once."""
    filled = Filled()
    for f in fields:
        value = sent.get(f.name)
        # A browser ends lines as the network does.
        filled.typed[f.name] = value.replace("\r\n", "\n") if isinstance(value, str) else ""
        typed = filled.get(f.name)
        try:
            if typed is None:
                if f.needed:
                    raise BadInput("Something is needed here")
            elif f.read is not None:
                f.read(typed)
            else:
                clean_text(typed, f.label)
        except BadInput as e:
            filled.wrong[f.name] = str(e)
    return filled
