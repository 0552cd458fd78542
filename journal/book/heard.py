"""How a value was read that was not typed in its plain form: told once the command has saved it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar


class Heard(dict[str, None]):
    """Lines to be told, and what was typed in feet, inches, gauges, pounds, mph or Fahrenheit."""

    def __init__(self) -> None:
        super().__init__()
        self.in_feet: set[str] = set()


_heard: ContextVar[Heard | None] = ContextVar("_heard", default=None)
_IN_FEET = re.compile(
    r"\d\s*(?:['\"′″’”]|(?:ft|feet|foot|in|inch|inches|mph|mi|miles?|yd|yards?|lbs?|lbf|pounds?|oz|ounces?|psi|ksi|awg|ga|"
    r"gauge|(?:°|deg\s*)?F|(?:deg(?:rees)?\s*)?fahrenheit)(?![a-z]))|\bAWG\s*\d|#\s*\d",
    re.IGNORECASE,
)


def is_in_feet(typed: str) -> bool:
    """Whether a value was typed in the units of who works in feet."""
    return bool(_IN_FEET.search(typed))


def hear_units(typed: str) -> None:
    """Note in what units a value was typed, where somebody is to be told of it."""
    heard = _heard.get()
    if heard is not None and is_in_feet(typed):
        heard.in_feet.add(typed)


def hear(line: str) -> None:
    """Note one reading, where somebody is to be told of it."""
    heard = _heard.get()
    if heard is not None:
        heard[line] = None


@contextmanager
def hearing() -> Iterator[Heard]:
    """Collect the lines of what is read in the meantime, each once and in its order."""
    lines = Heard()
    token = _heard.set(lines)
    try:
        yield lines
    finally:
        _heard.reset(token)


@contextmanager
def unheard() -> Iterator[None]:
    """Read again what was told before, or is told elsewhere."""
    token = _heard.set(None)
    try:
        yield
    finally:
        _heard.reset(token)
