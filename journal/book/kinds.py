"""How the columns of a kind of record are read from what people type: said once, for logging and for correcting."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy.orm import object_session
from sqlmodel import Session, SQLModel

from journal.book.plain_text import clean_line, clean_text
from journal.book.written import past, when, word

Reader = Callable[[str], Any]
"""What reads one column from a text; :class:`BadInput` where it cannot."""


@dataclass(frozen=True)
class Kind:
    """How one kind of record is read.

    Every column is either read, or set by the program alone; a test names one that was forgotten.

    Parameters
    ----------
    record : type
        Its table.
    readers : mapping of str to Reader
        Columns that are read each by itself; they may be corrected.
    together : mapping of str to callable
        What may be corrected but moves several columns, or is read with a look at the rest of the record: takes
        the record and the text, and gives the columns.
    fixed : tuple of str
        Columns that the program sets, or that have a command of their own.
    called : mapping of str to str
        Other words for a column, such as those of the flags by which it is given.
    """

    record: type[SQLModel]
    readers: Mapping[str, Reader]
    together: Mapping[str, Callable[[Any, str], dict[str, Any]]] = field(default_factory=dict)
    fixed: tuple[str, ...] = ()
    called: Mapping[str, str] = field(default_factory=dict)

    @property
    def editable(self) -> tuple[str, ...]:
        """What may be corrected, in the order of the table; what is no column of its own comes last."""
        may = dict.fromkeys([*self.readers, *self.together])
        columns = tuple(name for name in self.record.model_fields if name in may)
        return columns + tuple(name for name in may if name not in columns)

    def columns(self, typed: object) -> dict[str, Any]:
        """Columns from what was typed, but those that were left out."""
        given = {name: getattr(typed, name, None) for name in self.readers}
        read: dict[str, Any] = {}
        for name, text in given.items():
            if text is not None:
                read |= self._read(name, text)
        return read

    def _read(self, name: str, text: str) -> dict[str, Any]:
        """A column from a text; what was typed of a day is kept beside it."""
        found = self.readers[name](text)
        beside = f"{name}_typed"
        return {name: found, **({beside: typed_beside(text, found)} if beside in self.record.model_fields else {})}

    def corrected(self, record: Any, name: str, text: str) -> dict[str, Any]:
        """Columns that change where one field of a record is corrected.

        Raises
        ------
        BadInput
            If the text does not fit it.
        """
        return self.together[name](record, text) if name in self.together else self._read(name, text)


def typed_beside(text: str | None, found: str) -> str | None:
    """What was typed of a day, kept beside it where that is another text."""
    typed = (text or "").strip()
    return typed if typed and typed != found else None


def session_of(record: SQLModel) -> Session:
    """The session that a record was read in."""
    session = object_session(record)
    if not isinstance(session, Session):
        raise ValueError("the record is not in the journal")
    return session


def a_text(what: str, *, limit: int = 10_000) -> Reader:
    """A reader of plain text."""
    return lambda typed: clean_text(typed, what, limit=limit)


def a_line(what: str, *, limit: int) -> Reader:
    """A reader of a name, which has one line."""
    return lambda typed: clean_line(typed, what, limit=limit)


def a_word(what: str, words: tuple[str, ...]) -> Reader:
    """A reader of one of a closed set of words."""
    return lambda typed: word(typed, words, what)


def a_day(what: str) -> Reader:
    """A reader of the day or the moment at which something happened."""
    return lambda typed: past(typed, what)


def a_day_ahead(what: str) -> Reader:
    """A reader of a day that may be yet to come."""
    return lambda typed: when(typed, what)


def a_yes_or_no(what: str) -> Reader:
    """A reader of yes or no."""
    return lambda typed: word(typed, ("yes", "no"), what) == "yes"
