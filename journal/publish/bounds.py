"""How much a template may do before it is stopped: one made by a friend could go on for ever, or fill the memory."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator
from typing import Any

#: Turns of loops and calls, taken together; those of the demo take fewer than 500.
STEPS = 300_000
#: Seconds for all of it, where each step takes long.
SECONDS = 60.0
#: Greatest length of a text or list made by multiplying, and greatest exponent.
LONGEST, EXPONENT = 1_000_000, 1_000


class TooMuchError(ValueError):
    """A template does more than any write-up needs."""


class Bounds:
    """Counts what one template does."""

    def __init__(self) -> None:
        self.steps = 0
        self._until = time.monotonic() + SECONDS

    def step(self, count: int = 1) -> None:
        """Count steps.

        Raises
        ------
        TooMuchError
            When they are too many, or have taken too long.
        """
        self.steps += count
        if self.steps > STEPS or time.monotonic() > self._until:
            raise TooMuchError("this goes on for too long; its loops turn too often")

    def turns(self, items: Iterable[Any]) -> Iterator[Any]:
        """What a loop goes through, counted."""
        for item in items:
            self.step()
            yield item

    def numbers(self, *ends: int) -> range:
        """The numbers of a range, each counted as it is made."""
        found = range(*ends)
        self.step(len(found))
        return found


def multiplied(a: Any, b: Any) -> Any:
    """A product that fits into the memory."""
    for many, times in ((a, b), (b, a)):
        if hasattr(many, "__len__") and isinstance(times, int) and len(many) * times > LONGEST:
            raise TooMuchError(f"a product of more than {LONGEST} letters or things")
    return a * b


def raised(a: Any, b: Any) -> Any:
    """A power that can be computed."""
    if abs(b) > EXPONENT:
        raise TooMuchError(f"an exponent of more than {EXPONENT}")
    return a**b


OPERATORS: dict[str, Callable[[Any, Any], Any]] = {"*": multiplied, "**": raised}
