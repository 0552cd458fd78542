"""How much a template may do before it is stopped: one made by a friend could go on for ever, or fill the memory."""

from __future__ import annotations

import contextlib
import functools
import re
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

#: Turns of loops and calls, taken together; those of the demo take fewer than 500.
STEPS = 300_000
#: Seconds for all of it, where each step takes long.
SECONDS = 60.0
#: Greatest length of a text or list made of others, and greatest exponent; a large journal's page has some millions.
LONGEST, EXPONENT = 20_000_000, 1_000
#: Letters printed in all, those of macros once more where these are printed.
PRINTED = 200_000_000
#: Greatest number that a filter may be given: a width, a count, a number of digits.
WIDEST = 10_000
#: Bytes of memory beyond what is in use, where the system can hold a program to it; bytes of one template.
MEMORY, SOURCE = 2_000_000_000, 1_000_000


class TooMuchError(ValueError):
    """A template does more than any write-up needs."""


class Bounds:
    """Counts what one template does."""

    def __init__(self) -> None:
        self.steps = 0
        self.printed = 0
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

    def letters(self, text: str) -> str:
        """A text that is printed, counted."""
        self.printed += len(text)
        if self.printed > PRINTED:
            raise TooMuchError(f"more than {PRINTED} letters are printed")
        return text


def multiplied(a: Any, b: Any) -> Any:
    """A product that fits into the memory."""
    for many, times in ((a, b), (b, a)):
        if hasattr(many, "__len__") and isinstance(times, int):
            fits(len(many) * times)
    return a * b


def fits(length: int) -> None:
    """Hold that a text or list may become so long.

    Raises
    ------
    TooMuchError
        If not.
    """
    if length > LONGEST:
        raise TooMuchError(f"more than {LONGEST} letters or things in one")


def added(a: Any, b: Any) -> Any:
    """A sum that fits into the memory."""
    if hasattr(a, "__len__") and hasattr(b, "__len__"):
        fits(len(a) + len(b))
    return a + b


#: What of a width or a precision in a format is too many digits for any page.
_WIDE = re.compile(r"%[^%a-zA-Z]*(?:\d{4}|\*)")


def remainder(a: Any, b: Any) -> Any:
    """A remainder, or a text filled in by its signs of percent, within bounds."""
    if isinstance(a, str) and _WIDE.search(a):
        raise TooMuchError("a width of more than 999 in a format")
    return a % b


def joined(items: Iterable[Any]) -> Any:
    """Things as one text, marked if any of them is."""
    from markupsafe import Markup

    texts = [item if isinstance(item, str) else str(item) for item in items]
    fits(sum(map(len, texts)))
    return Markup("").join(texts) if any(hasattr(text, "__html__") for text in texts) else "".join(texts)


def bounded(name: str, made: Callable[..., Any]) -> Callable[..., Any]:
    """A filter of the template language that is given no huge number, and makes no huge text."""

    @functools.wraps(made)
    def filtered(*given: Any, **named: Any) -> Any:
        values = given[1:] if hasattr(made, "jinja_pass_arg") else given
        for number in (*values[1:], *named.values()):
            if name not in _ANY_NUMBER and isinstance(number, int) and abs(number) > WIDEST:
                raise TooMuchError(f"{name} is given {number}; at most {WIDEST}")
        if name == "format" and _WIDE.search(str(values[0])):
            raise TooMuchError("a width of more than 999 in a format")
        if name == "replace":
            was, old, new = str(values[0]), str(values[1]), str(values[2])
            fits(len(was) + was.count(old) * len(new))
        if name == "join":
            things = list(values[0])
            between = str(values[1] if len(values) > 1 else named.get("d", ""))
            fits(sum(len(str(thing)) for thing in things) + len(things) * len(between))
            given = (*given[: len(given) - len(values)], things, *values[1:])
        return made(*given, **named)

    return filtered


#: Filters that no number makes large.
_ANY_NUMBER = frozenset({"default", "d", "sum", "abs", "int", "float", "format", "replace"})
#: Filters that no write-up needs, and that can be made to take the memory or the time.
UNNEEDED = frozenset(
    {"pprint", "random", "urlize", "wordwrap", "xmlattr", "filesizeformat", "tojson", "batch", "slice"}
)
#: What texts, lists and the like can do within a template; nothing that makes them large.
METHODS: dict[type, frozenset[str]] = {
    str: frozenset(
        {
            "lower", "upper", "title", "capitalize", "casefold", "swapcase", "strip", "lstrip", "rstrip", "split",
            "rsplit", "splitlines", "partition", "rpartition", "startswith", "endswith", "removeprefix", "removesuffix",
            "count", "find", "rfind", "isdigit", "isalpha", "isalnum", "isupper", "islower", "isspace",
        }
    ),
    list: frozenset({"append", "count", "index"}),
    tuple: frozenset({"count", "index"}),
    Mapping: frozenset({"get", "items", "keys", "values"}),
    int: frozenset(),
    float: frozenset({"is_integer"}),
    bytes: frozenset(),
    set: frozenset(),
    frozenset: frozenset(),
}  # fmt: skip


def may_use(thing: Any, name: str) -> bool:
    """Whether a template may use what a plain thing can do; of other things the sandbox decides."""
    return next((name in names for kind, names in METHODS.items() if isinstance(thing, kind)), True)


@contextlib.contextmanager
def in_memory() -> Iterator[None]:
    """Hold what is done meanwhile to so much memory, where the system can.

    Raises
    ------
    TooMuchError
        If more is asked for.
    """
    try:
        import resource

        soft, hard = resource.getrlimit(resource.RLIMIT_AS)
        used = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
        limit = used + MEMORY if hard == resource.RLIM_INFINITY else min(used + MEMORY, hard)
        resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
    except (ImportError, OSError, ValueError):
        yield
        return
    try:
        yield
    except MemoryError:
        raise TooMuchError("this takes more memory than any write-up needs") from None
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def raised(a: Any, b: Any) -> Any:
    """A power that can be computed."""
    if abs(b) > EXPONENT:
        raise TooMuchError(f"an exponent of more than {EXPONENT}")
    return a**b


OPERATORS: dict[str, Callable[[Any, Any], Any]] = {"*": multiplied, "**": raised, "+": added, "%": remainder}
