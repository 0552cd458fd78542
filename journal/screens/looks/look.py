"""What the look of a kind of record consists of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeAlias, TypeVar

from sqlmodel import Session

from journal.book.tables import Numbered

R = TypeVar("R", bound=Numbered)
Facts = list[tuple[str, str]]


@dataclass(frozen=True)
class View:
    """One record for people (``heading``, ``facts``, ``sections``) and for scripts (``data``)."""

    heading: str
    facts: Facts
    sections: list[tuple[str, list[str]]]
    data: dict[str, Any]


@dataclass(frozen=True)
class RecordLook(Generic[R]):
    """The look of one kind of record.

    Parameters
    ----------
    kind : str
        What ``galebook list`` calls it.
    record : type
        The class of its table.
    columns : tuple of str
        Columns of its list, beside the reference.
    row : callable (session, record, on)
        What stands in those columns; ``on`` is the reference of the revision it belongs to, or nothing.
    view : callable (session, record)
        All about one of it.
    """

    kind: str
    record: type[R]
    columns: tuple[str, ...]
    row: Callable[[Session, R, str], tuple[str, ...]]
    view: Callable[[Session, R], View]


AnyLook: TypeAlias = RecordLook[Any]


def known_facts(*pairs: tuple[str, Any]) -> Facts:
    """Those of some facts that are on record."""
    return [(label, str(value)) for label, value in pairs if value not in (None, "", "None")]
