"""How the tables of the journal lie in the open form, read from the tables themselves.

Nothing here names a table or a column: a new one gets its place from its class and its keys to others.

========================  ==================================================================================
a build                   ``build.toml`` in a folder of its own
a numbered record         ``attempts/A3.toml`` there; its number and its build are told by where it lies
a row of such a record    an array of tables in its record's file, named after the row's table
any other row             an array of tables in ``journal.toml``
the history               ``history.jsonl``, a line a row
========================  ==================================================================================
"""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlmodel import SQLModel

from journal.book.tables import MADE, NUMBERED, Build, History, Numbered, Record

#: The version of the form; it changes where a program of before could not read it any more.
FORM = 1
JOURNAL, HISTORY, BUILD = "journal.toml", "history.jsonl", "build.toml"
README, SCHEMA, LISTED, ATTRIBUTES = "README.txt", "schema.json", "files.sha256", ".gitattributes"
#: Files that say nothing about the journal which others do not.
BESIDE = frozenset({README, SCHEMA, LISTED, ATTRIBUTES})
#: Columns whose text is a file of its own, by table: the column, and what stands in the name behind the record.
TEXTS = {"sheettext": ("text", "sheet.toml")}
#: What a row names its file by: that of an attachment, or of a text of its own.
FILE = "file"
#: Rows whose record has a file beside it.
WITH_FILE = "attachment"
#: The largest key; what is counted on from there still fits into the database.
LARGEST = 2**53
RECORD = re.compile(r"([A-Za-z])([1-9][0-9]{0,7})")

_HELD = (str, int, float, bool)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    name : str
        Its name, in the journal and in the open form.
    holds : type
        ``str``, ``int``, ``float`` or ``bool``.
    optional : bool
        Whether it may be empty.
    default : object
        What it holds where nothing is said; None for none.
    words : tuple of str
        The closed set that it takes from; empty for any.
    to : str
        The table that it refers to; empty for none.
    """

    name: str
    holds: type
    optional: bool
    default: Any
    words: tuple[str, ...]
    to: str


def tables() -> dict[str, type[SQLModel]]:
    """Every table of the journal by its name, in the order in which they are declared, but those made of others."""
    return _tables(len(SQLModel.metadata.tables))


@functools.cache
def _tables(_count: int) -> dict[str, type[SQLModel]]:
    classes: dict[str, type[SQLModel]] = {m.class_.__tablename__: m.class_ for m in SQLModel._sa_registry.mappers}
    return {name: classes[name] for name in SQLModel.metadata.tables if name in classes and classes[name] not in MADE}


@functools.cache
def columns(table: type[SQLModel]) -> tuple[Column, ...]:
    """The columns of a table, in its order.

    Raises
    ------
    TypeError
        If one holds what the open form has no way to write.
    """
    words = getattr(table, "words", {})
    return tuple(_column(column, words.get(column.name, ())) for column in table.__table__.columns)  # type: ignore[attr-defined]


def _column(column: Any, words: tuple[str, ...]) -> Column:
    holds = getattr(column.type, "impl_instance", column.type).python_type
    if holds not in _HELD:
        raise TypeError(f"{column} holds {column.type}, which the open form cannot write yet")
    to = next((key.column.table.name for key in column.foreign_keys), "")
    default = column.default.arg if column.default is not None and column.default.is_scalar else None
    return Column(column.name, holds, bool(column.nullable), default, words, to)


def is_numbered(name: str) -> bool:
    """Whether the rows of a table are records with a reference such as A3."""
    return issubclass(tables()[name], Numbered)


@functools.cache
def home_column(table: type[SQLModel]) -> str:
    """The column by which a row belongs to what its file is of; empty where it belongs to none."""
    if table in (Build, History) or not issubclass(table, Record):
        return ""
    if issubclass(table, Numbered):
        return "build_id"
    above = (c for c in columns(table) if c.to and not c.optional)
    return next((c.name for c in above if home_table(tables()[c.to]) is not None), "")


@functools.cache
def home_table(table: type[SQLModel]) -> type[SQLModel] | None:
    """The table of what a row's file is of: a numbered record or a build; itself for these; None for others."""
    if table is Build or issubclass(table, Numbered):
        return table
    to = next((c.to for c in columns(table) if c.name == home_column(table)), "")
    return home_table(tables()[to]) if to else None


def rows_of(home: type[SQLModel] | None) -> Iterator[type[SQLModel]]:
    """The tables whose rows stand in the files of records of a kind; with None in that of the journal."""
    for table in tables().values():
        if table is not History and table is not home and home_table(table) is home:
            yield table


@functools.cache
def implied(table: type[SQLModel]) -> frozenset[str]:
    """Columns that are told by where a row stands, and not in it."""
    if issubclass(table, Numbered):
        return frozenset({"build_id", "number"})
    home = home_column(table)
    above = next((c.to for c in columns(table) if c.name == home), "")
    # A row that belongs to a row of a record says to which.
    return frozenset({home}) if above and (is_numbered(above) or above == Build.__tablename__) else frozenset()


def folder_of(table: type[SQLModel]) -> str:
    """The folder of a kind of numbered record."""
    return f"{table.__tablename__}s"


def letters() -> dict[str, type[Numbered]]:
    """The kinds of numbered record by the folder that they lie in."""
    return {folder_of(cls): cls for cls in NUMBERED.values()}


def plain_name(text: str, fallback: str, *, limit: int = 60) -> str:
    """A name that every system takes and no command line trips over, made of a text.

    Examples
    --------
    >>> plain_name("Root fracture (späte Böe).JPG", "file"), plain_name("../..", "file")
    ('Root-fracture-spate-Boe.JPG', 'file')
    """
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    stem, dot, suffix = re.sub(r"[^A-Za-z0-9._]+", "-", letters).rpartition(".")
    stem, suffix = (stem, suffix[:12].strip("-")) if dot else (suffix, "")
    stem = stem[:limit].strip("-._") or fallback
    return f"{stem.replace('-.', '.')}.{suffix}" if suffix else stem
