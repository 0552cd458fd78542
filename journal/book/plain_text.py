"""Texts as people type them, before anything is read from them."""

from __future__ import annotations

import os
import re

from calc.units import as_written
from journal.errors import BadInput

#: What steers a terminal, or turns the order of letters round, and half characters; line ends and tabs do neither.
_STEERING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufff9-\ufffb]"
)


def harmless(text: str) -> str:
    r"""A text with what would steer a terminal written out, as JSON and TOML write it.

    Examples
    --------
    >>> print(harmless("a\x1b[31mb"))
    a\u001b[31mb
    """
    return _STEERING.sub(lambda m: f"\\u{ord(m[0]):04x}", text)


def steering(text: str) -> str:
    """The first character that steers a terminal or turns the order of letters round; empty where there is none."""
    found = _STEERING.search(text)
    return found[0] if found else ""


def clean_text(text: str, what: str, *, limit: int = 10_000) -> str:
    """Trim a text and refuse what no keyboard means: control characters, emptiness, absurd length.

    Raises
    ------
    BadInput
        Naming ``what``.
    """
    text = text.strip()
    if not text:
        raise BadInput(f"{what} is empty", "Type something")
    if len(text) > limit:
        raise BadInput(f"{what} is {len(text)} characters long", f"At most {limit} are kept")
    if any((ord(c) < 32 and c not in "\n\t") or 0x7F <= ord(c) < 0xA0 or 0xD800 <= ord(c) < 0xE000 for c in text):
        raise BadInput(f"{what} holds a control character", "Plain text is accepted")
    return text


def clean_line(text: str, what: str, *, limit: int) -> str:
    """Trim a name and refuse what :func:`clean_text` does, and a second line.

    Raises
    ------
    BadInput
        Naming ``what``.
    """
    text = clean_text(text, what, limit=limit)
    if len(text.splitlines()) > 1:
        raise BadInput(f"{what} has a line break in it", "One line is accepted")
    return text


def alike(text: str) -> str:
    """What two texts have in common that mean the same: small or capital, and their units in any letters.

    Examples
    --------
    >>> alike("10 mm2 ") == alike("10 mm²"), alike("PVC, 70 degC") == alike("pvc, 70 °C")
    (True, True)
    """
    return as_written(text.strip()).casefold()


def plain_lines() -> bool:
    """Whether lines are to be told one below the other, with nothing that steers a terminal.

    So it is where the terminal cannot be steered (TERM), shows no letters but the plainest (LC_ALL=C), or where
    somebody asks for it with GALEBOOK_PLAIN=1, as for a screen reader.
    """
    env = os.environ
    place = env.get("LC_ALL") or env.get("LC_CTYPE") or env.get("LANG") or ""
    asked = env.get("GALEBOOK_PLAIN", "") not in ("", "0")
    return asked or place in ("C", "POSIX") or env.get("TERM", "dumb") in ("", "dumb", "unknown")
