"""What the words of builders are taken for: symptoms, and the mechanisms they believe in.

What is said without doubt is taken; where it is doubtful somebody is asked, with what it may mean as a short list.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from calc.mechanisms.hearing import SaidWords, TakenFor, patterns_held
from calc.mechanisms.phrases import MEANT, PERHAPS_MEANT, PERHAPS_SEEN, SEEN

#: What can be seen to go wrong. A closed set.
SYMPTOMS: tuple[str, ...] = tuple(SEEN)
#: Of so many it is asked which one is meant.
SHORT_LIST = 5
#: What is seen and believed most often, to be asked about where words tell nothing. Common practice, no source.
USUAL_SYMPTOMS = (
    "turns but hardly charges", "does not start", "less power than promised", "noise or shaking",
    "gives less than it used to",
)  # fmt: skip
USUAL_CAUSES = (
    "charging.never-reached", "charging.loose-connection", "site.wind-low", "generator.weak-magnets",
    "charging.cable-loss",
)  # fmt: skip
#: Words that deny a cause, or leave two open.
_DENIED = re.compile(
    r"\b(?:not|isn.?t|wasn.?t|aren.?t|weren.?t)\s+(?:the|a|an|because|due|from|by|caused)\b|\bor\b", re.IGNORECASE
)


def symptoms_heard(text: str) -> TakenFor:
    """Symptoms that a text tells of without doubt, in the order of :data:`SYMPTOMS`, and those it may tell of.

    Examples
    --------
    >>> symptoms_heard("It turned in most winds but hardly chraged").sure
    ('turns but hardly charges',)
    >>> symptoms_heard("The battery and the blades").sure
    ()
    """
    told = SaidWords(text)
    sure = patterns_held(told, SEEN, SYMPTOMS)
    return TakenFor(tuple(sure), _likely(sure, patterns_held(told, PERHAPS_SEEN, SYMPTOMS)))


def symptoms_of(text: str) -> tuple[str, ...]:
    """Symptoms that a text tells of without doubt; see :func:`symptoms_heard`."""
    return symptoms_heard(text).sure


def mechanisms_heard(text: str) -> TakenFor:
    """The way of failing that a builder's words mean, and those that they may mean.

    It is the one of which the text holds the phrase of most words; where two hold as much it is doubtful, and so it is
    where the text denies something. Not all of them have a mechanism in the catalogue.

    Examples
    --------
    >>> mechanisms_heard("magnets too weak").sure, mechanisms_heard("it is not the magnets").sure
    (('generator.weak-magnets',), ())
    """
    told = SaidWords(text)
    found = patterns_held(told, MEANT, MEANT)
    most = max(found.values(), default=(0, 0))
    leading = tuple(name for name, weight in found.items() if weight == most)
    sure = leading if len(leading) == 1 and not _DENIED.search(text) else ()
    return TakenFor(sure, _likely(found, patterns_held(told, PERHAPS_MEANT, PERHAPS_MEANT)))


def _likely(found: Mapping[str, tuple[int, int]], perhaps: Mapping[str, tuple[int, int]]) -> tuple[str, ...]:
    first = sorted(found, key=lambda name: found[name], reverse=True)
    then = sorted((p for p in perhaps if p not in found), key=lambda name: perhaps[name][::-1], reverse=True)
    return (*first, *then)


def mechanism_meant(text: str, known: Iterable[str]) -> str | None:
    """The mechanism that a builder's words mean without doubt; None where it is doubtful, or none of those known.

    Examples
    --------
    >>> mechanism_meant("Battery worn out", ["bearing.drag"]) is None
    True
    """
    sure = mechanisms_heard(text).sure
    return next((name for name in sure if name in known), None)
