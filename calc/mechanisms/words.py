"""What the words of builders are taken for: symptoms, and the mechanisms they believe in.

What is said without doubt is taken; where it is doubtful somebody is asked, with what it may mean as a short list.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from calc.mechanisms.hearing import SaidWords, TakenFor, patterns_held
from calc.mechanisms.phrases import MEANT, PERHAPS_MEANT, PERHAPS_SEEN, SEEN
from calc.mechanisms.sayings import known_words, told_odds

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
#: Of sayings like a text, the share that may have seen a symptom below which its phrase is not believed without asking,
#: and from which on it is asked about; how many words must be known for that, and how many symptoms that a phrase names
#: doubtfully stand first in the list. Chosen on sayings of one hand told by those of the others.
OVERRULED, LIKELY, FEWEST_WORDS, FROM_PHRASES = 0.1, 0.1, 4, 3
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
    heard = patterns_held(told, SEEN, SYMPTOMS)
    shares = symptom_shares(text)
    # A phrase is overruled where the words around it are those of people who saw something else.
    sure = () if shares and max((shares[s] for s in heard), default=1.0) < OVERRULED else tuple(heard)
    likely = _likely(heard, patterns_held(told, PERHAPS_SEEN, SYMPTOMS))
    also = sorted((s for s in shares if shares[s] >= LIKELY and s not in likely), key=lambda s: -shares[s])
    # What is heard doubtfully goes behind what the words as a whole are most like.
    first = likely if sure else sorted(likely, key=lambda s: -shares.get(s, 0.0))[:FROM_PHRASES]
    return TakenFor(sure, tuple(dict.fromkeys((*first, *also, *likely))))


def symptom_shares(text: str) -> dict[str, float]:
    """In what share of sayings like a text each symptom may be what was seen; nothing where too few words are known.

    Examples
    --------
    >>> shares = symptom_shares("Half the amps of last winter, everything turns as always")
    >>> shares["gives less than it used to"] > 0.3 > shares["shock or a line that should be dead"]
    True
    """
    from calc.mechanisms import MECHANISMS

    if len(known_words(text)) < FEWEST_WORDS:
        return {}
    odds = told_odds(text)
    whole = sum(odds.values())
    return {
        s: sum(o for name, o in odds.items() if name in MECHANISMS and s in MECHANISMS[name].symptoms) / whole
        for s in SYMPTOMS
    }


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
