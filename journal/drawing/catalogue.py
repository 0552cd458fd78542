"""What can be drawn of a revision: a name, and what makes its drawings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from journal.drawing import angle, balance, blade, hub, tail, wiring
from journal.drawing.model import Drawing
from journal.drawing.subject import Subject

Make: TypeAlias = Callable[[Subject], tuple[Drawing, ...]]

DRAWN: dict[str, Make] = {
    "blade": blade.drawings,
    "hub": hub.drawings,
    "tail": tail.drawings,
    "angle": angle.drawings,
    "balance": balance.drawings,
    "wiring": wiring.drawings,
}
