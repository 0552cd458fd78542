"""The outline of a text in TOML, and its bounds: a reader of TOML needs all memory for some texts of small length."""

from __future__ import annotations

import re
from collections.abc import Iterator

#: Everything whose inside says nothing about the form of a file.
#: What does not end takes all that follows: it is looked at once.
_INSIDES = re.compile(
    r'"""(?:[^"\\]++|\\[\s\S]|"(?!""))*+(?:"{3,5}|\Z)?'
    r"|'''(?:[^']++|'(?!''))*+(?:'{3,5}|\Z)?"
    r'|"(?:[^"\\\n]++|\\[^\n])*+"?'
    r"|'[^'\n]*+'?"
    r"|\#[^\n]*+"
)
#: Stands for a line end inside a text.
_INNER = "\x01"
_WORDS = re.compile(r'[\w-]++|""|[\s\x01]++')
#: How many names may hang together by dots, and how many brackets may stand within one another.
MOST_DOTS = MOST_BRACKETS = 16


def outlined(text: str) -> Iterator[tuple[int, str]]:
    """The lines of a text by their numbers, without comments and without what stands in texts.

    A text of several lines stands in the line in which it begins.
    """
    number = 1
    for line in _INSIDES.sub(_without_inside, text.replace("\r\n", "\n")).split("\n"):
        yield number, line.replace(_INNER, "")
        number += 1 + line.count(_INNER)


def _without_inside(found: re.Match[str]) -> str:
    return "" if found[0].startswith("#") else '""' + _INNER * found[0].count("\n")


def overgrown(text: str) -> int | None:
    """The line in which names hang together without end, or brackets stand within one another so; None as a rule."""
    depth = 0
    for number, line in outlined(text):
        signs = _WORDS.sub("", line)
        if "." * MOST_DOTS in signs:
            return number
        for sign in signs:
            depth += (sign in "[{") - (sign in "]}")
            if depth > MOST_BRACKETS:
                return number
    return None
