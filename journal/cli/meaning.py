"""Words that leave open what was seen or what is believed: at a terminal it is asked at once, with a short list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from journal.cli.common import ask, at_terminal, say

if TYPE_CHECKING:
    from calc.mechanisms.hearing import TakenFor

#: Answers that are none of a short list: the whole list, and none at all.
OTHER, NONE = "something else", "none of these"


def symptom_asked(saw: str, effect: str | None, item: str | None, given: str | None) -> str | None:
    """The symptoms that were given; or, where the words are doubtful and somebody is there, what they pick from a list.

    None where the words say it, or nobody says it; then they are heard in the words whenever it matters.
    """
    if given is not None or not at_terminal():
        return given
    from calc.mechanisms.words import SYMPTOMS, symptoms_heard

    heard = symptoms_heard(". ".join(filter(None, (saw, effect, item))))
    if heard.sure:
        return None
    return _picked(
        "What did it look like, of what is known here", heard, SYMPTOMS, {},
        flag="--symptom", why="It decides which ways of failing are looked at first; you can correct it later.",
    )  # fmt: skip


def mechanism_asked(what: str, given: str | None) -> str | None:
    """The mechanism that was given; or, where a cause's words are doubtful and somebody is there, what they pick."""
    if given is not None or not at_terminal():
        return given
    from calc.mechanisms import MECHANISMS
    from calc.mechanisms.words import mechanisms_heard

    heard = mechanisms_heard(what)
    if heard.sure:
        if heard.sure[0] in MECHANISMS:
            say(f"  Taken as: {MECHANISMS[heard.sure[0]].title}. Say otherwise with --mechanism.")
        return None
    return _picked(
        "Which of these do you mean", heard, tuple(MECHANISMS), {key: m.title for key, m in MECHANISMS.items()},
        flag="--mechanism", why="What you believe is held against the numbers of the mechanism that you mean.",
    )  # fmt: skip


def _picked(
    question: str, heard: TakenFor, known: Sequence[str], labels: Mapping[str, str], *, flag: str, why: str
) -> str | None:
    """One of what may be meant, and of all that is known where none of those is."""
    from calc.mechanisms.words import SHORT_LIST

    short = tuple(name for name in heard.likely if name in known)[:SHORT_LIST]
    if short:
        found = ask(None, question, flag=flag, optional=True, words=(*short, OTHER, NONE), labels=labels, help=why)
        if found != OTHER:
            return None if found == NONE else found
    found = ask(None, f"{question}, of all", flag=flag, optional=True, words=(*known, NONE), labels=labels, help=why)
    return None if found == NONE else found
