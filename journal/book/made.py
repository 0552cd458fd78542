"""Tables that the program fills from what others hold: they tell nothing of a build, and no export has them."""

from __future__ import annotations

from sqlalchemy import UniqueConstraint
from sqlmodel import Field, SQLModel

# How constraints are named is said there, before the first table is declared.
from journal.book import table_base as table_base


class SearchText(SQLModel, table=True):
    """The words of one record, as they are searched. Written by :mod:`journal.book.index`, never by hand."""

    __table_args__ = (UniqueConstraint("kind", "record_id"),)

    id: int | None = Field(default=None, primary_key=True)
    kind: str
    record_id: int
    build_id: int | None = None
    ref: str
    at: str
    body: str


class FileContent(SQLModel, table=True):
    """A piece of an attached file, where the journal is on a server; else files lie in a folder beside it."""

    sha256: str = Field(primary_key=True)
    piece: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    content: bytes


class Deed(SQLModel, table=True):
    """What one command did: the rows of the history from its first to its last.

    Written by :mod:`journal.book.undoing`; ``undoes`` is the deed that this one took back, if it took one back.
    """

    id: int | None = Field(default=None, primary_key=True)
    build_id: int | None = Field(default=None, index=True)
    first: int
    last: int
    undoes: int | None = None


MADE = (SearchText, FileContent, Deed)
