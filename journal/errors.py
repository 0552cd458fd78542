"""The project's own errors. The command line turns each into one line and an exit code.

GalebookError
+-- BadInput      what was typed cannot be used        exit 2
+-- Refused       understood, but not done             exit 1
    +-- NotFound  there is no such thing               exit 1
"""

from __future__ import annotations

from collections.abc import Iterable


class GalebookError(Exception):
    """Anything the user can be told in one line.

    Parameters
    ----------
    what : str
        What was wrong and where.
    accepted : str
        What would be accepted instead, or what to do next.
    """

    exit_code = 1

    def __init__(self, what: str, accepted: str = "") -> None:
        self.what = what
        self.accepted = accepted
        super().__init__(what)

    def __str__(self) -> str:
        return " ".join(stopped(brief(part)) for part in (self.what, self.accepted) if part)


#: As long as a message may be for somebody to read it; lists of what is accepted are the longest.
LONGEST = 2000


def brief(text: str) -> str:
    """A message without the middle of what was typed, where that is longer than anybody reads.

    Examples
    --------
    >>> len(brief("x" * 10_000_000))
    2000
    """
    half = LONGEST // 2
    return text if len(text) <= LONGEST else f"{text[: half - 3]} ... {text[2 - half :]}"


def stopped(text: str) -> str:
    """A sentence with a stop at its end, where it has no mark there yet.

    Examples
    --------
    >>> stopped("There is none"), stopped("Did you mean r2?")
    ('There is none.', 'Did you mean r2?')
    """
    text = text.rstrip()
    return text if text.endswith((".", "!", "?")) else f"{text}."


class BadInput(GalebookError):
    """What was typed cannot be used."""

    exit_code = 2


class Refused(GalebookError):
    """Understood, but not done."""


class NotFound(Refused):
    """There is no such thing."""


def by_last_part(word: str, known: Iterable[str]) -> list[str]:
    """The dotted names meant by a word: that very name, else all whose last part it is."""
    typed, names = word.strip().casefold(), list(known)
    return [n for n in names if n == typed] or [n for n in names if n.split(".")[-1] == typed]


#: What is longer is no slip in a known word.
_MISTYPED = 200
#: Letters alike, as a share of both, from which a known word is worth naming; and those of a word mistyped.
WORTH_NAMING, MISTYPED = 0.68, 0.8


def nearest(word: str, known: Iterable[str], alike: float = WORTH_NAMING) -> str:
    """The known word most like a mistyped one, or an empty string; a number is not taken for another."""
    import difflib

    if len(word) > _MISTYPED:
        return ""
    digits = [letter for letter in word if letter.isdigit()]
    fitting = [one for one in known if not digits or [letter for letter in one if letter.isdigit()] == digits]
    return next(iter(difflib.get_close_matches(word, fitting, n=1, cutoff=alike)), "")
