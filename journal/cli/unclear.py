"""What was given on the command line and can mean several things; and what is said beside it of how it was read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from journal.cli.common import ask, at_terminal


def one_reading(given: str | None, question: str, check: Callable[[str], Any]) -> str | None:
    """What was given; or, where it can mean several things and somebody is there, the one that is chosen.

    Raises
    ------
    BadInput
        If it cannot be used; naming all that it can mean, where nobody is there to choose.
    """
    if given is None or not at_terminal():
        return given
    from journal.book.plain_quantity import Unclear

    try:
        check(given)
    except Unclear as e:
        if not e.between:
            raise
        return ask(None, f"{question}: {given!r} can be", flag="", check=check, words=e.between)
    return given


def beside(typed: str, shown: str) -> str:
    """The value in its plain form, in brackets behind the typed one; nothing where both are the same."""
    from journal.book.shown import same_told

    same = not shown or same_told(shown, typed)
    return "" if same else f" ({shown})"
