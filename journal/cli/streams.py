"""The three streams as a command finds them: open, closed, full, or with nobody at the other end."""

from __future__ import annotations

import contextlib
import os
import sys
from typing import IO, Any, cast

#: What stands in for a closed stream, so that using it fails as it does with a full one, and how it is opened.
_CLOSED = {"stdin": (os.O_WRONLY, "r"), "stdout": (os.O_RDONLY, "w"), "stderr": (os.O_WRONLY, "w")}


class _Seen:
    """Whether questions can be seen by somebody."""

    yes = True


def stand_in() -> None:
    """Take the places of closed streams, and let no letter that a stream cannot show end a command.

    Left free, the number of a stream would be given to the next file that is opened, and the screen written into it.
    """
    _Seen.yes = sys.stderr is not None
    for name, (flags, mode) in _CLOSED.items():
        stream: Any = getattr(sys, name)
        if stream is None:
            opened = os.open(os.devnull, flags)
            setattr(sys, name, open(opened, mode, encoding="utf-8", errors="backslashreplace"))  # noqa: SIM115
        elif mode == "w":
            stream.reconfigure(errors="backslashreplace")
        elif _knows_few_letters(stream.encoding):
            # A terminal sends UTF-8 also where nobody has told the program so.
            stream.reconfigure(encoding="utf-8", errors="surrogateescape")


def _knows_few_letters(encoding: str) -> bool:
    import codecs

    return codecs.lookup(encoding).name == "ascii"


def as_typed(words: list[str]) -> list[str]:
    """The words of a command in the letters in which they were typed, whatever the locale takes them for.

    Parameters
    ----------
    words : list of str
        As the system gives them: bytes that the locale does not know stand as lone surrogates.
    """
    try:
        return [word.encode(errors="surrogateescape").decode() for word in words]
    except UnicodeError:
        return words


def somebody() -> bool:
    """Whether somebody is there who sees a question and can answer it."""
    return sys.stdin.isatty() and _Seen.yes


def hush(stream: IO[str]) -> None:
    """Let what waits in a stream that takes no more go nowhere, or the end of the program would fail by it."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, stream.fileno())
        finally:
            os.close(nowhere)
        stream.flush()


def say(text: str) -> None:
    """Tell the person at the terminal; data alone goes to stdout."""
    from journal.book.shown import written

    _give(written(text, sys.stderr.encoding), sys.stderr)


def tell(text: str) -> None:
    """Give scripts what was saved, on stdout; it stays saved where nobody takes the line, so that is no failure."""
    _give(text, sys.stdout)


def _give(text: str, stream: IO[str]) -> None:
    """Write a line; that nobody takes it is no failure."""
    import typer

    from journal.book.plain_text import harmless

    try:
        typer.echo(harmless(text), file=cast(Any, stream))
    except OSError:
        hush(stream)
