"""How a value was read that was not typed in its plain form: told once the command has saved it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_heard: ContextVar[dict[str, None] | None] = ContextVar("_heard", default=None)


def hear(line: str) -> None:
    """Note one reading, where somebody is to be told of it."""
    heard = _heard.get()
    if heard is not None:
        heard[line] = None


@contextmanager
def hearing() -> Iterator[dict[str, None]]:
    """Collect the lines of what is read in the meantime, each once and in its order."""
    lines: dict[str, None] = {}
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
