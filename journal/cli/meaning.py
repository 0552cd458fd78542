"""Words that leave open what was seen or what is believed: at a terminal it is asked at once, with a short list."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from journal.cli.common import ask, at_terminal

if TYPE_CHECKING:
    from calc.mechanisms.hearing import TakenFor

#: Answers that are none of a short list: the whole list, and none at all.
OTHER, NONE = "something else", "none of these"
#: So many of what the words may mean lead the list of causes, whatever was seen: who believes it may be wrong.
HEARD_FIRST = 3


def symptom_asked(saw: str, effect: str | None, item: str | None, given: str | None) -> str | None:
    """The symptoms that were given; or, where the words are doubtful and somebody is there, what they pick from a list.

    None where the words say it, or nobody says it; then they are heard in the words whenever it matters.
    """
    if given is not None or not at_terminal():
        return given
    from calc.mechanisms.words import SYMPTOMS, USUAL_SYMPTOMS, symptoms_heard

    heard = symptoms_heard(". ".join(filter(None, (saw, effect, item))))
    if heard.sure:
        return None
    return _picked(
        "What did it look like, of what is known here", (*heard.likely, *USUAL_SYMPTOMS), SYMPTOMS, {},
        flag="--symptom", why="It decides which ways of failing are looked at first; you can correct it later.",
    )  # fmt: skip


def mechanism_asked(what: str, given: str | None, seen: Callable[[], Sequence[str]] = tuple) -> str | None:
    """The mechanism that was given; or, where a cause's words are doubtful and somebody is there, what they pick.

    What the words most likely mean leads, whatever was seen. Then comes what they may also mean and explains what was
    seen, then what is most often behind that.
    """
    if given is not None or not at_terminal():
        return given
    from calc.mechanisms import MECHANISMS
    from calc.mechanisms.words import mechanisms_heard

    heard, titles = mechanisms_heard(what), {key: m.title for key, m in MECHANISMS.items()}
    if heard.sure:
        return None
    return _picked(
        "Which of these do you mean", _short_of_causes(heard, tuple(seen())), tuple(MECHANISMS), titles,
        flag="--mechanism", why="What you believe is held against the numbers of the mechanism that you mean.",
    )  # fmt: skip


def _short_of_causes(heard: TakenFor, seen: tuple[str, ...]) -> tuple[str, ...]:
    from calc.mechanisms import MECHANISMS
    from calc.mechanisms.priors import prior
    from calc.mechanisms.words import USUAL_CAUSES

    if not seen:
        return (*heard.likely, *USUAL_CAUSES)
    explain = {key: m.symptoms for key, m in MECHANISMS.items() if not set(m.symptoms).isdisjoint(seen)}
    first, rest = heard.likely[:HEARD_FIRST], heard.likely[HEARD_FIRST:]
    behind = sorted(explain, key=lambda key: prior(key, explain[key], seen), reverse=True)
    return (*first, *(name for name in rest if name in explain), *behind, *USUAL_CAUSES)


def what_was_seen(saw: str, effect: str | None, item: str | None, symptoms: str | None) -> tuple[str, ...]:
    """The symptoms that were said of a failure, else those that its words tell of."""
    from calc.mechanisms.words import symptoms_of
    from journal.book.names import BETWEEN

    if symptoms:
        return tuple(symptoms.split(BETWEEN))
    return symptoms_of(". ".join(filter(None, (saw, effect, item))))


def taken_as(what: str, given: str | None, rule: str | None = None) -> str:
    """What the words of a cause are taken for, or that they leave it open, to be said once it is logged."""
    if given is not None or rule is not None:
        return ""
    from calc.mechanisms import MECHANISMS
    from calc.mechanisms.words import mechanisms_heard

    heard = mechanisms_heard(what)
    if heard.sure:
        known = MECHANISMS.get(heard.sure[0])
        return f" Taken as: {known.title}; say otherwise with --mechanism." if known else ""
    may = " or ".join(f"{name} ({MECHANISMS[name].title})" for name in heard.likely[:2] if name in MECHANISMS)
    return f" The words leave open what is meant{f', perhaps {may}' if may else ''}; say it with --mechanism."


def _picked(
    question: str, likely: Sequence[str], known: Sequence[str], labels: Mapping[str, str], *, flag: str, why: str
) -> str | None:
    """One of what may be meant, and of all that is known where none of those is."""
    from calc.mechanisms.words import SHORT_LIST

    short = tuple(dict.fromkeys(name for name in likely if name in known))[:SHORT_LIST]
    found = ask(None, question, flag=flag, optional=True, words=(*short, OTHER, NONE), labels=labels, help=why)
    if found != OTHER:
        return None if found == NONE else found
    found = ask(None, f"{question}, of all", flag=flag, optional=True, words=(*known, NONE), labels=labels, help=why)
    return None if found == NONE else found
