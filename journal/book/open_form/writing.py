"""The files of the open form, made from a journal."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlmodel import Session, SQLModel

from calc.wording import with_article
from journal.book import sqlite_file
from journal.book.attachments import is_damaged, stored_at
from journal.book.history import chained
from journal.book.open_form import shape
from journal.book.open_form.json_schema import schema
from journal.book.open_form.toml_text import document, escaped
from journal.book.safe_files import blocks
from journal.book.tables import Attachment, Build, History, Numbered
from journal.errors import Refused

Rows = list[dict[str, Any]]

_README = """\
A Galebook journal as plain text, with everything that is in it, private things too. To make a journal of it:
galebook import FOLDER   (or the same as a zip file)

journal.toml     the version of this form, and what concerns the whole journal
1-.../           a folder for each build, with build.toml and a folder for each kind of record: attempts/A3.toml
attachments/     in it, for each attached file, X3.toml and the file itself: X3-what-it-was-called.jpg
r1-sheet.toml    what the builder wrote around the values of a design sheet
history.jsonl    every change ever made, oldest first; each "chain" is a hash over its line and all before
schema.json      what each file may hold, as JSON Schema; files.sha256: check with sha256sum -c files.sha256
"""
#: Bytes are kept as they are, so that a text means the same on every system.
_ATTRIBUTES = "* -text\n"


@dataclass(frozen=True)
class Written:
    """A journal, or a build of it, as files.

    Parameters
    ----------
    files : dict of str to iterable of bytes
        What each holds, by its name in the folder; that of the journal last.
    builds : tuple of str
        Their names.
    records : int
        How many numbered records.
    attached : int
        How many attached files.
    without : tuple of str
        References of attachments whose file is missing or damaged.
    """

    files: dict[str, Iterable[bytes]]
    builds: tuple[str, ...]
    records: int
    attached: int
    without: tuple[str, ...]


class _Journal:
    """All rows of a journal, by table, with what each belongs to."""

    def __init__(self, session: Session, only: Build | None) -> None:
        connection = session.connection()
        self.session, self.only = session, only
        self.rows: dict[str, Rows] = {}
        for name, table in shape.tables().items():
            key = next(iter(table.__table__.primary_key))  # type: ignore[attr-defined]
            found = connection.execute(select(table.__table__).order_by(key)).mappings()  # type: ignore[attr-defined]
            self.rows[name] = [dict(row) for row in found]
        self.by_key = {
            name: {row["id"]: row for row in rows}
            for name, rows in self.rows.items()
            if "id" in shape.tables()[name].model_fields
        }

    def home_of(self, table: type[SQLModel], row: Mapping[str, Any]) -> tuple[str, int]:
        """The table and the key of what a row's file is of."""
        name = str(table.__tablename__)
        while table is not Build and not issubclass(table, Numbered):
            column = shape.home_column(table)
            above = next(c.to for c in shape.columns(table) if c.name == column)
            found = self.by_key[above].get(row[column])
            if found is None:
                raise Refused(
                    f"Row {row['id']} of {name} belongs to {with_article(above)} that is not there",
                    "See: galebook doctor",
                )
            name, table, row = above, shape.tables()[above], found
        return name, int(row["id"])

    def shown(self, table: type[SQLModel], row: Mapping[str, Any]) -> dict[str, Any]:
        """A row as it stands in its file: keys of records as their references."""
        hidden, own = shape.implied(table), shape.TEXTS.get(str(table.__tablename__), ("", ""))[0]
        return {
            c.name: self._shown(c, row, table) for c in shape.columns(table) if c.name not in hidden and c.name != own
        }

    def _shown(self, column: shape.Column, row: Mapping[str, Any], table: type[SQLModel]) -> Any:
        given = row[column.name]
        if given is None or not column.to or not shape.is_numbered(column.to):
            return given
        meant = self.by_key[column.to].get(given)
        home, key = self.home_of(table, row)
        build = key if home == Build.__tablename__ else self.by_key[home][key]["build_id"]
        # A key says what a reference cannot: a record of another build, or one that is not there.
        return f"{_letter(column.to)}{meant['number']}" if meant and meant["build_id"] == build else given


def _letter(name: str) -> str:
    return str(shape.tables()[name].letter)  # type: ignore[attr-defined]


def files_of(session: Session, only: Build | None = None) -> Written:
    """A journal in the open form.

    Parameters
    ----------
    session : Session
        The journal; attached files are read from it while the files are written.
    only : Build, optional
        The one build that is wanted, without what concerns the whole journal.

    Raises
    ------
    Refused
        If a row of the journal belongs to nothing.
    """
    journal = _Journal(session, only)
    made = _Files(journal)
    builds = [row for row in journal.rows["build"] if only is None or row["id"] == only.id]
    for row in builds:
        made.add_build(row)
    made.put(shape.HISTORY, _history(journal.rows[str(History.__tablename__)], only))
    made.put(shape.SCHEMA, json.dumps(schema(), indent=1, ensure_ascii=False) + "\n")
    made.put(shape.README, _README)
    made.put(shape.ATTRIBUTES, _ATTRIBUTES)
    made.put(shape.JOURNAL, _journal_file(journal))
    return Written(made.files, tuple(b["name"] for b in builds), made.records, made.attached, tuple(made.without))


def _journal_file(journal: _Journal) -> str:
    whole = journal.only is None
    rows = {
        str(table.__tablename__): [journal.shown(table, row) for row in journal.rows[str(table.__tablename__)]]
        for table in shape.rows_of(None)
        if whole
    }
    head = {"form": shape.FORM, "schema": sqlite_file.VERSIONS[-1], "whole": whole}
    return document(head, rows, "What concerns the whole journal.")


class _Files:
    """The files as they come together."""

    def __init__(self, journal: _Journal) -> None:
        self.journal = journal
        self.files: dict[str, Iterable[bytes]] = {}
        self.records = self.attached = 0
        self.without: list[str] = []
        self.inner: dict[tuple[str, int], list[tuple[type[SQLModel], dict[str, Any]]]] = defaultdict(list)
        for name, table in shape.tables().items():
            if shape.home_table(table) not in (None, table):
                for row in journal.rows[name]:
                    self.inner[journal.home_of(table, row)].append((table, row))

    def put(self, name: str, text: str) -> None:
        """Add a file of text."""
        self.files[name] = (text.encode(),)

    def add_build(self, build: dict[str, Any]) -> None:
        """Add a build with all its records."""
        folder = f"{build['id']}-{shape.plain_name(build['name'], 'build').lower()}"
        self._record(Build, build, f"{folder}/{shape.BUILD}", build["name"])
        for kind, cls in shape.letters().items():
            for row in self.journal.rows[str(cls.__tablename__)]:
                if row["build_id"] == build["id"]:
                    self.records += 1
                    ref = f"{cls.letter}{row['number']}"
                    self._record(cls, row, f"{folder}/{kind}/{ref}.toml", "")

    def _record(self, cls: type[SQLModel], row: dict[str, Any], name: str, head: str) -> None:
        values = self.journal.shown(cls, row)
        stem = name.removesuffix(".toml")
        if cls.__tablename__ == shape.WITH_FILE:
            values |= self._attached(row, stem)
        tables: dict[str, Rows] = {str(t.__tablename__): [] for t in shape.rows_of(cls)}
        for table, inner in self.inner[str(cls.__tablename__), row["id"]]:
            shown = self.journal.shown(table, inner)
            if own := shape.TEXTS.get(str(table.__tablename__)):
                shown |= self._own_text(own, inner, stem)
            tables[str(table.__tablename__)].append(shown)
        self.put(name, document(values, tables))

    def _own_text(self, own: tuple[str, str], row: dict[str, Any], stem: str) -> dict[str, Any]:
        """A text as a file of its own, where it is plain; else it stays in its row."""
        column, ends = own
        text = row[column]
        if escaped(text) != text:
            return {column: text}
        self.put(f"{stem}-{ends}", text)
        return {shape.FILE: f"{stem.rpartition('/')[2]}-{ends}"}

    def _attached(self, row: dict[str, Any], stem: str) -> dict[str, Any]:
        record = Attachment(**row)
        ref = stem.rpartition("/")[2]
        if is_damaged(self.journal.session, record):
            self.without.append(ref)
            return {}
        name = f"{ref}-{shape.plain_name(row['filename'], 'file')}"
        self.files[f"{stem.removesuffix(ref)}{name}"] = blocks(stored_at(self.journal.session, record))
        self.attached += 1
        return {shape.FILE: name}


def _history(rows: Rows, only: Build | None) -> str:
    if only is not None:
        # What binds the rows of one build is a chain of their own.
        rows = chained("", (row for row in rows if row["build_id"] == only.id))
    return "".join(f"{_history_line(row)}\n" for row in rows)


def _history_line(row: dict[str, Any]) -> str:
    """A row as JSON; what it keeps as JSON stands in it as such where reading gives the very same text."""
    shown = {name: value for name, value in row.items() if value is not None}
    for name in ("before", "after"):
        if name in shown:
            shown[name] = opened(shown[name])
    return escaped(json.dumps(shown, ensure_ascii=False))


def closed(told: Mapping[str, Any]) -> str:
    """What a row of the history keeps, as the text that stands in the journal."""
    return json.dumps(told, ensure_ascii=False)


def opened(text: str) -> Any:
    """What a row of the history keeps, where :func:`closed` gives back the very same text; else the text."""
    try:
        told = json.loads(text)
        return told if isinstance(told, dict) and closed(told) == text else text
    except (ValueError, RecursionError):
        return text
