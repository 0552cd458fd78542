"""The open form read: every row of the tables, as text and numbers of the right kind, with where each stands."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NoReturn

from sqlmodel import SQLModel

from calc.wording import with_article
from journal.book import sqlite_file
from journal.book.open_form import shape
from journal.book.open_form.flat_toml import Lines, read
from journal.book.open_form.sources import ALL_TEXT, FormSource, to_show
from journal.book.open_form.writing import closed
from journal.book.tables import Build, History
from journal.errors import BadInput, Refused, nearest


@dataclass(frozen=True, slots=True)
class Place:
    """Where a row stands.

    Parameters
    ----------
    file : str
        The name of its file.
    lines : dict of str to int
        The line of each value; under the empty name that of the row.
    """

    file: str
    lines: Mapping[str, int]

    def at(self, name: str = "") -> str:
        """In words, for a message."""
        line = self.lines.get(name) or self.lines.get("")
        return f"{to_show(self.file)}, line {line}" if line else to_show(self.file)


@dataclass(slots=True)
class FormRow:
    """A row of a table, as it is in the journal but for its keys to others.

    Parameters
    ----------
    table : type
        Its table.
    values : dict of str to object
        Every column.
    place : Place
        Where it stands.
    build : int or None
        The key of the build in whose folder.
    file : str
        The file that lies beside it; empty for none.
    """

    table: type[SQLModel]
    values: dict[str, Any]
    place: Place
    build: int | None = None
    file: str = ""


@dataclass
class Form:
    """A journal, or some builds of one, as it was read.

    Parameters
    ----------
    told : str
        What the person calls the folder or the zip.
    whole : bool
        Whether it was a whole journal.
    rows : dict of str to list of FormRow
        By table.
    history : list of dict
        Every column of each row.
    aside : list of str
        Files that are none of the form's.
    """

    told: str
    whole: bool = True
    rows: dict[str, list[FormRow]] = field(default_factory=dict)
    history: list[dict[str, Any]] = field(default_factory=list)
    aside: list[str] = field(default_factory=list)

    def add(self, row: FormRow) -> None:
        """Take a row in."""
        self.rows.setdefault(str(row.table.__tablename__), []).append(row)

    def of(self, table: type[SQLModel]) -> list[FormRow]:
        """The rows of a table."""
        return self.rows.get(str(table.__tablename__), [])


def read_form(source: FormSource) -> Form:
    """Read everything but the attached files.

    Raises
    ------
    BadInput
        If anything in it cannot be used; with the file, and the line where there is one.
    Refused
        If a newer program made it.
    """
    if shape.JOURNAL not in source.sizes:
        raise BadInput(
            f"{source.told} has no {shape.JOURNAL}, so it is no whole export",
            "Accepted is a folder or a zip that galebook export made",
        )
    reader = _Reader(source, Form(source.told))
    reader.journal()
    for folder, names in _folders(source.sizes).items():
        if shape.BUILD in names:
            reader.build(folder, names)
    reader.history()
    reader.leave_aside()
    _resolve(reader.form)
    return reader.form


def _folders(names: Mapping[str, int]) -> dict[str, list[str]]:
    """Names by the folder at the top, without it."""
    found: dict[str, list[str]] = {}
    for name in names:
        folder, slash, within = name.partition("/")
        if slash:
            found.setdefault(folder, []).append(within)
    return found


def cannot_use(where: str, said: str, accepted: str = "") -> NoReturn:
    """Tell what cannot be used, and where it stands.

    Raises
    ------
    BadInput
        Always.
    """
    raise BadInput(f"{where}: {said}", accepted)


class _Reader:
    def __init__(self, source: FormSource, form: Form) -> None:
        self.source, self.form = source, form
        self.used = set(shape.BESIDE)
        self.read_so_far = 0

    def _count(self, name: str) -> None:
        self.used.add(name)
        self.read_so_far += self.source.sizes[name]
        if self.read_so_far > ALL_TEXT:
            raise BadInput(f"{self.source.told} holds more text than {ALL_TEXT} bytes", "Export one build alone")

    def _text(self, name: str) -> str:
        self._count(name)
        return self.source.text(name)

    def _toml(self, name: str) -> tuple[dict[str, Any], Lines]:
        return read(name, self._text(name))

    def journal(self) -> None:
        told, lines = self._toml(shape.JOURNAL)
        form, version = told.pop("form", None), told.pop("schema", None)
        if type(form) is not int or not isinstance(version, str) or type(told.get("whole")) is not bool:
            cannot_use(shape.JOURNAL, "it does not say form, schema and whole", "Export it again")
        known = sqlite_file.VERSIONS
        if form > shape.FORM or version not in known:
            raise Refused(
                f"{self.source.told} was written by another Galebook, most likely a newer one (form {form}, tables "
                f"{to_show(version)}; this one knows up to {shape.FORM} and {known[-1]})",
                "Update Galebook; nothing was taken in",
            )
        self.form.whole = told.pop("whole")
        self._rows(None, told, lines, shape.JOURNAL, None, {})
        if told:
            cannot_use(shape.JOURNAL, f"there is no place for {to_show(next(iter(told)))}", "See schema.json")

    def build(self, folder: str, names: list[str]) -> None:
        values = self._record(Build, f"{folder}/{shape.BUILD}", None, {})
        kinds = shape.letters()
        for name in names:
            kind, _, last = name.partition("/")
            found = shape.RECORD.fullmatch(last.removesuffix(".toml")) if last.endswith(".toml") else None
            if kind in kinds and found and found[1] == kinds[kind].letter:
                number = {"build_id": values["id"], "number": int(found[2])}
                self._record(kinds[kind], f"{folder}/{name}", values["id"], number)

    def _record(self, table: type[SQLModel], file: str, build: int | None, given: dict[str, Any]) -> dict[str, Any]:
        told, lines = self._toml(file)
        inner = {str(t.__tablename__) for t in shape.rows_of(table)}
        rows = {name: told.pop(name) for name in list(told) if name in inner}
        row = self._row(table, told, Place(file, lines.of("", 0)), given)
        row.build = row.values["id"] if table is Build else build
        self._rows(table, rows, lines, file, row.build, row.values)
        return row.values

    def _rows(self, home: type[SQLModel] | None, told: dict[str, Any], lines: Lines, file: str,
              build: int | None, above: Mapping[str, Any]) -> None:  # fmt: skip
        """The arrays of tables of a file, taken out of what it says."""
        for table in shape.rows_of(home):
            name = str(table.__tablename__)
            found = told.pop(name, [])
            if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
                cannot_use(to_show(file), f"{name} is no array of tables", f"Write each as [[{name}]]")
            for n, one in enumerate(found):
                given = {shape.home_column(table): above["id"]} if shape.implied(table) else {}
                row = self._row(table, one, Place(file, lines.of(name, n)), given)
                row.build = build

    def _row(self, table: type[SQLModel], told: dict[str, Any], place: Place, given: dict[str, Any]) -> FormRow:
        columns = {c.name: c for c in shape.columns(table) if c.name not in given}
        own = shape.TEXTS.get(str(table.__tablename__), ("", ""))[0]
        beside = self._beside(table, told, place) if own or table.__tablename__ == shape.WITH_FILE else ""
        if own and beside:
            told[own] = self._text(beside)
        if unknown := next((name for name in told if name not in columns), None):
            close = nearest(unknown, columns)
            cannot_use(place.at(unknown), f"there is no {to_show(unknown)} in {with_article(str(table.__tablename__))}",
                  f"Did you mean {close}?" if close else f"Accepted: {', '.join(columns)}")  # fmt: skip
        values = given | {name: _value(column, told.get(name), place) for name, column in columns.items()}
        row = FormRow(table, values, place, file="" if own else beside)
        self.form.add(row)
        return row

    def _beside(self, table: type[SQLModel], told: dict[str, Any], place: Place) -> str:
        """The name of the file beside a row; empty where it names none."""
        if (name := told.pop(shape.FILE, None)) is None:
            return ""
        beside = f"{place.file.rpartition('/')[0]}/{name}"
        if not isinstance(name, str) or "/" in name or beside not in self.source.sizes:
            cannot_use(
                place.at(shape.FILE),
                f"there is no file {to_show(str(name))} beside it",
                "Put it there; or take that line out, and the record comes in without its file",
            )
        self.used.add(beside)
        return beside

    def history(self) -> None:
        if shape.HISTORY not in self.source.sizes:
            cannot_use(shape.HISTORY, "it is not there", "Export it again")
        self._count(shape.HISTORY)
        columns = shape.columns(History)
        self.form.history = [
            _history_row(columns, line, Place(shape.HISTORY, {"": number}))
            for number, line in self.source.lines(shape.HISTORY)
            if line.strip()
        ]

    def leave_aside(self) -> None:
        """Name what is none of ours; what looks like ours and has no place was meant to be taken in."""
        for name in self.source.sizes:
            if name in self.used:
                continue
            if name.endswith((".toml", ".jsonl")):
                cannot_use(to_show(name), "no record lies there", "Records lie like 1-name/attempts/A3.toml")
            self.form.aside.append(name)


def _value(column: shape.Column, told: Any, place: Place) -> Any:
    if told is None:
        if column.optional or column.default is not None:
            return None if column.optional else column.default
        cannot_use(place.at(), f"{column.name} is missing", "See schema.json")
    if column.to and shape.is_numbered(column.to) and isinstance(told, str):
        letter = shape.tables()[column.to].letter  # type: ignore[attr-defined]
        if not (found := shape.RECORD.fullmatch(told)) or found[1] != letter:
            cannot_use(place.at(column.name), f"{column.name} names no {column.to}", f"References look like {letter}1")
        return told
    if column.holds is float and type(told) is int and abs(told) <= shape.LARGEST:
        return float(told)
    if not _is(told, column.holds) or (isinstance(told, float) and math.isnan(told)):
        cannot_use(place.at(column.name), f"{column.name} is no {_CALLED[column.holds]}", _HOW[column.holds])
    if column.holds is int and not -shape.LARGEST <= told <= shape.LARGEST:
        cannot_use(place.at(column.name), f"{column.name} is too large", f"At most {shape.LARGEST} is kept")
    if column.holds is str and _SURROGATE.search(told):
        cannot_use(place.at(column.name), f"{column.name} holds half a letter", "Text in UTF-8 is accepted")
    if column.words and told not in column.words:
        cannot_use(place.at(column.name), f"{column.name} is {to_show(told)!r}", f"One of: {', '.join(column.words)}")
    return told


def _is(told: Any, kind: type) -> bool:
    return type(told) is kind


_CALLED = {str: "text", int: "whole number", float: "number", bool: "truth"}
_HOW = {
    str: 'Text stands in "quotation marks"',
    int: "Write it like 3",
    float: "Write it like 2.5",
    bool: "true or false",
}
_SURROGATE = re.compile("[\ud800-\udfff]")
_SCALAR = (str, int, float, bool, type(None))


def _history_row(columns: tuple[shape.Column, ...], line: str, place: Place) -> dict[str, Any]:
    try:
        told = json.loads(line)
    except (ValueError, RecursionError) as e:
        raise BadInput(f"{place.at()}: it is no JSON that can be read", "Export it again") from e
    names = [c.name for c in columns]
    if not isinstance(told, dict) or not set(told) <= set(names):
        cannot_use(place.at(), "it is no row of a history", f"Accepted: {', '.join(names)}")
    row: dict[str, Any] = {}
    for column in columns:
        kept = told.get(column.name)
        if column.name in ("before", "after") and isinstance(kept, dict):
            kept = closed(kept)
        row[column.name] = _value(column, kept, place)
    for name in ("before", "after"):
        if row[name] is not None and not _is_flat(row[name]):
            cannot_use(place.at(), f"{name} holds no columns of a record", "Export it again")
    return row


def kept_columns(text: str) -> dict[str, Any]:
    """The columns that a row of the history keeps.

    Raises
    ------
    ValueError
        If the text holds none.
    """
    told = json.loads(text)
    if not isinstance(told, dict) or not all(isinstance(value, _SCALAR) for value in told.values()):
        raise ValueError("no columns")
    return told


def _is_flat(text: str) -> bool:
    try:
        kept_columns(text).items()
    except (ValueError, RecursionError):
        return False
    return True


def _resolve(form: Form) -> None:
    """Put keys in place of references, and hold that every key leads to a row."""
    keys = {name: _keys(rows) for name, rows in form.rows.items()}
    by_ref = {
        (row.build, f"{row.table.letter}{row.values['number']}"): row.values["id"]  # type: ignore[attr-defined]
        for name, rows in form.rows.items()
        if shape.is_numbered(name)
        for row in rows
    }
    for name, rows in form.rows.items():
        linking = [c for c in shape.columns(shape.tables()[name]) if c.to]
        for row in rows:
            for column in linking:
                given = row.values[column.name]
                if given is None:
                    continue
                key = by_ref.get((row.build, given)) if isinstance(given, str) else given
                if key is None or key not in keys.get(column.to, {}):
                    cannot_use(
                        row.place.at(column.name), f"there is no {column.to} {to_show(str(given))}", "Export it again"
                    )
                row.values[column.name] = key


def _keys(rows: list[FormRow]) -> dict[Any, FormRow]:
    found: dict[Any, FormRow] = {}
    if not rows or "id" not in rows[0].values:
        return found
    for row in rows:
        key = row.values["id"]
        if key < 1:
            cannot_use(row.place.at("id"), f"its key is {key}", "Keys count from 1")
        if key in found:
            cannot_use(
                row.place.at("id"), f"its key {key} is that of {found[key].place.at('id')} too", "Each has its own"
            )
        found[key] = row
    return found
