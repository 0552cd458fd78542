"""Dates as they are given: what was read of them is told, and which of two is meant is asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.cli.common import ask, at_terminal, say

if TYPE_CHECKING:
    from journal.book.spoken_days import TwoDays


def settled(typed: str | None) -> str | None:
    """A date as it was given; of one that can be two, at a terminal, with the one behind it that is meant.

    What was read in another form than it was typed is told in a line. What cannot be used is left to who takes it.
    """
    return _settled(typed, ahead=False)


def settled_ahead(typed: str | None) -> str | None:
    """As :func:`settled`, of a date that may be yet to come."""
    return _settled(typed, ahead=True)


def _settled(typed: str | None, *, ahead: bool) -> str | None:
    if typed is None:
        return None
    from journal.book import days, spoken_days
    from journal.errors import BadInput

    try:
        found = spoken_days.read(typed, ahead=ahead)
    except spoken_days.TwoDays as e:
        if not at_terminal():
            return typed
        return f"{typed} = {_which(e)}"
    except BadInput:
        return typed
    if found != typed.strip() and (ahead or not days.is_to_come(found)):
        said = days.day_text(found)
        exactly = f"{days.earliest(found)} to {days.latest(found)}" if days.is_vague(found) else said
        told = ", ".join(dict.fromkeys(t for t in (said, exactly) if t != typed.strip()))
        if told:
            say(f"{typed.strip()} = {told}")
    return typed


def a_date(typed: str) -> None:
    """Hold that an answer is a date that has been; which of two is asked afterwards."""
    from journal.book import spoken_days, written

    try:
        written.past(typed)
    except spoken_days.TwoDays:
        return


def _which(two: TwoDays) -> str:
    """Ask which of two days is meant; the beginning of one is enough."""
    from journal.book.written import word

    words = tuple(two.readings)
    first = next(iter(two.readings.values()))
    chosen = word(ask(None, f"Which is {two.typed}", flag=f'"{first}"', words=words), words, "Which") or words[0]
    return two.readings[chosen]


def settled_share(typed: str | None) -> str | None:
    """A share as it was given; one of a hundred without its sign is told."""
    if typed is not None and typed.strip().isdecimal() and 1 < int(typed) <= 100:
        say(f"{typed.strip()} = {typed.strip()} %")
    return typed
