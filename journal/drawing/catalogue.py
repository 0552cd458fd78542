"""What can be drawn of a revision: a name, and what makes its drawings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from journal.book.plain_quantity import Wanted
from journal.book.quantity import parse
from journal.drawing import angle, balance, blade, hub, tail
from journal.drawing.model import Drawing
from journal.drawing.subject import Subject

Make: TypeAlias = Callable[[Subject], tuple[Drawing, ...]]

DRAWN: dict[str, Make] = {
    "blade": blade.drawings,
    "hub": hub.drawings,
    "tail": tail.drawings,
    "angle": angle.drawings,
    "balance": balance.drawings,
}

_PIPE = Wanted("m", "m", 0.05, 20.0, "2 m")
_KERF = Wanted("m", "mm", 0.0, 0.02, "3 mm")


def lengths(pipe: str | None, kerf: str) -> tuple[float | None, float]:
    """Length of the pipe at hand and width of a cut, as typed, in [m].

    Raises
    ------
    BadInput
        If one of them is no length that can be meant.
    """
    whole = None if pipe is None else float(parse(pipe, _PIPE, "--pipe").value)
    return whole, float(parse(kerf, _KERF, "--kerf").value)
