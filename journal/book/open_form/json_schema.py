"""The JSON Schema of the open form, made from the tables."""

from __future__ import annotations

from typing import Any

from sqlmodel import SQLModel

from journal.book.open_form import shape
from journal.book.tables import Build, History

_NAMES = {str: "string", int: "integer", float: "number", bool: "boolean"}
_TEXT_OR_ROW = {"anyOf": [{"type": "string"}, {"type": "object"}]}


def schema() -> dict[str, Any]:
    """What each file may hold: ``$defs`` has one entry a kind of file.

    A TOML file is held against it as a TOML reader gives it, the history line by line.
    """
    kinds: dict[str, type[SQLModel]] = {"build": Build}
    kinds |= {str(cls.__tablename__): cls for cls in shape.letters().values()}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Galebook's open form, version {shape.FORM}",
        "description": "By kind: journal.toml, build.toml, a line of history.jsonl, records by their folders.",
        "$defs": {
            "journal": _journal(),
            "history": _history(),
            **{name: _row(cls, _inner(cls), file=name == shape.WITH_FILE) for name, cls in kinds.items()},
        },
    }


def _inner(home: type[SQLModel] | None) -> dict[str, Any]:
    return {
        str(t.__tablename__): {"type": "array", "items": _row(t, {}, file=t.__tablename__ in shape.TEXTS)}
        for t in shape.rows_of(home)
    }


def _row(table: type[SQLModel], inner: dict[str, Any], *, file: bool = False) -> dict[str, Any]:
    hidden, own = shape.implied(table), shape.TEXTS.get(str(table.__tablename__), ("", ""))[0]
    stand = [c for c in shape.columns(table) if c.name not in hidden]
    needed = [c.name for c in stand if not c.optional and c.default is None and c.name != own]
    beside = {shape.FILE: {"type": "string", "description": "A file beside this one."}} if file else {}
    return {
        "description": (table.__doc__ or "").split("\n")[0],
        "type": "object",
        "properties": {c.name: _value(c) for c in stand} | beside | inner,
        "required": needed,
        "additionalProperties": False,
    }


def _value(column: shape.Column) -> dict[str, Any]:
    if column.words:
        return {"enum": list(column.words)}
    if column.to and shape.is_numbered(column.to):
        letter = shape.tables()[column.to].letter  # type: ignore[attr-defined]
        reference = {"type": "string", "pattern": f"^{letter}[1-9][0-9]*$"}
        return {"anyOf": [reference, {"type": "integer"}]}
    return {"type": _NAMES[column.holds]}


def _journal() -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {
            "form": {"const": shape.FORM},
            "schema": {"type": "string", "description": "The version of the tables."},
            "whole": {"type": "boolean", "description": "Whether this is a whole journal, or some builds of one."},
            **_inner(None),
        },
        "required": ["form", "schema", "whole"],
        "additionalProperties": False,
    }


def _history() -> dict[str, Any]:
    made = _row(History, {})
    made["properties"] |= {"before": _TEXT_OR_ROW, "after": _TEXT_OR_ROW}
    return made
