"""TOML read from anybody: only what the open form needs, so that no text can cost more than its length."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from journal.book.open_form.sources import to_show
from journal.book.toml_outline import outlined
from journal.errors import BadInput

_LINE = re.compile(r"\s*+(?:\[\[(?P<table>[\w-]{1,80}+)\]\]|(?P<name>[\w-]{1,80}+)[ \t]*+=[^\[\]{}=]{1,80}+)?\s*+")


@dataclass(frozen=True, slots=True)
class Lines:
    """The line of each value of a file, by table, the number of the table, and name."""

    found: Mapping[tuple[str, int], Mapping[str, int]]

    def of(self, table: str, number: int) -> Mapping[str, int]:
        """The lines of one table; the empty name stands for what is above all."""
        return self.found.get((table, number), {})


def read(name: str, text: str) -> tuple[dict[str, Any], Lines]:
    """Read a file of values and arrays of tables.

    Parameters
    ----------
    name : str
        Of the file, for messages.
    text : str
        What it holds.

    Raises
    ------
    BadInput
        If it is no TOML, or holds more than one value a line.
    """
    lines = _looked_through(name, text)
    try:
        return tomllib.loads(text), lines
    except (ValueError, RecursionError) as e:
        raise BadInput(f"{to_show(name)}: it is no TOML that can be read ({_said(e)})", "See schema.json") from e


def _said(e: Exception) -> str:
    return " ".join(str(e).split())[:200] if str(e).isprintable() else type(e).__name__


def _looked_through(name: str, text: str) -> Lines:
    found: dict[tuple[str, int], dict[str, int]] = {}
    counts: dict[str, int] = {}
    here = found.setdefault(("", 0), {})
    for number, line in outlined(text):
        match = _LINE.fullmatch(line)
        if match is None:
            raise BadInput(f"{to_show(name)}, line {number}: it is no name and one value", "See schema.json")
        if table := match["table"]:
            counts[table] = counts.get(table, -1) + 1
            here = found.setdefault((table, counts[table]), {"": number})
        elif match["name"]:
            here[match["name"]] = number
    return Lines(found)
