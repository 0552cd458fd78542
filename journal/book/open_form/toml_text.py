"""TOML as the open form writes it: flat, one value a line, always the same bytes for the same values."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

#: Letters that are written by their number: what steers a terminal or turns the direction of text, and line ends that
#: not every program takes for one.
_HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u200b-\u200f\u2028-\u202f\u2060-\u206f\ufeff\ufff9-\ufffb]"
)
#: Texts longer than this are broken into lines where a value or a sentence ends.
LONG = 110
_BREAKS = re.compile(r"""(?<=[.!?;] )(?=\S)|(?<=, )(?=["{\[])|(?<=[\[{])(?=["{\[])""")
#: Quotation marks that would end a text of many lines.
_QUOTES = re.compile(r'"{3,}|"+\Z')


def escaped(text: str) -> str:
    """A text with its hidden letters as their numbers, good for TOML and for JSON alike."""
    return _HIDDEN.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def _basic(text: str) -> str:
    """The inside of a basic string, in one line."""
    return escaped(text.replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t").replace("\n", "\\n"))


def _in_lines(text: str) -> str:
    """A basic string of many lines; those too long are broken behind a backslash, which reading joins again."""
    lines = []
    for line in text.replace("\\", "\\\\").split("\n"):
        pieces = _BREAKS.split(line) if len(line) > LONG else [line]
        lines.append("\\\n".join(map(escaped, pieces)))
    inside = _QUOTES.sub(lambda found: '\\"' * len(found[0]), "\n".join(lines))
    return f'"""\n{inside}"""'


def text_value(text: str) -> str:
    """A text as a value: in plain marks, in single ones where it holds marks itself, or in as many lines as it has."""
    if "\n" in text or (len(text) > LONG and _BREAKS.search(text)):
        return _in_lines(text)
    if ('"' in text or "\\" in text) and "'" not in text and "\t" not in text and escaped(text) == text:
        return f"'{text}'"
    return f'"{_basic(text)}"'


def value(given: Any) -> str:
    """A text, a number or a truth as TOML has it; numbers to their last digit."""
    if isinstance(given, bool):
        return "true" if given else "false"
    return text_value(given) if isinstance(given, str) else repr(given)


def _lines(values: Mapping[str, Any]) -> Iterable[str]:
    return (f"{name} = {value(given)}\n" for name, given in values.items() if given is not None)


def document(values: Mapping[str, Any], rows: Mapping[str, Iterable[Mapping[str, Any]]], head: str = "") -> str:
    """A file: values, then arrays of tables; what is None is left out.

    Parameters
    ----------
    values : mapping of str to object
        What stands at its top.
    rows : mapping of str to iterable of mapping
        The arrays, by name.
    head : str
        A comment for the first line.
    """
    parts = ["".join([f"# {head}\n\n" if head else "", *_lines(values)])]
    for name, tables in rows.items():
        parts += ["".join([f"[[{name}]]\n", *_lines(row)]) for row in tables]
    return "\n".join(part for part in parts if part)
