"""What the words of builders are taken for: symptoms, and the mechanisms they believe in.

What is said without doubt is taken; where it is doubtful somebody is asked, with what it may mean as a short list.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from calc.mechanisms.hearing import HeldWords, SaidWords, TakenFor, patterns_held
from calc.mechanisms.phrases import MEANT, PERHAPS_MEANT, PERHAPS_SEEN, SEEN
from calc.mechanisms.sayings import known_words, told_odds

#: What can be seen to go wrong. A closed set.
SYMPTOMS: tuple[str, ...] = tuple(SEEN)
#: Of so many it is asked which one is meant.
SHORT_LIST = 5
#: Another meaning that rests on other words is near when its phrase has so many words less, or fewer: then it is asked.
NEAR = 1
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
#: Words that leave two causes open.
_OPEN = re.compile(r"\b(?:or|maybe not|not sure)\b", re.IGNORECASE)
#: Words that deny a cause: what they deny stands behind them, or before them.
_DENIES = re.compile(
    r"\b(?:not|isn.?t|wasn.?t|aren.?t|weren.?t|ain.?t|nor|neither|never)\s+(?:the|a|an|my|this|because|due|from|by|caused)\b"
    r"|\b(?:can.?t|cannot|couldn.?t|can not) be\b|\bnothing wrong with\b|\brul(?:e|ed|ing) out\b|\brather than\b"
    r"|\bdon.?t (?:think|believe|reckon)\b|\bno (?:problem|trouble|fault)s? (?:with|in|at|of)\b"
    r"|\b(?:is|are|was|were|looks?|tests?|tested|measures?|measured|checked|seems?)"
    r"\s+(?:all |both |quite |still |perfectly )?(?:fine|ok|okay|good|sound|intact|healthy|alright|all right|perfect)\b"
    r"|\bchecked out\b",
    re.IGNORECASE,
)
_CLAUSES = re.compile(r"[,;:.!?\n]+|\bbut\b|\bso\b", re.IGNORECASE)
_NEGATIONS = frozenset({"not", "isnt", "wasnt", "arent", "werent", "aint", "nor", "neither", "never"})


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
    most = max((held.weight for held in found.values()), default=(0, 0))
    leading = tuple(name for name, held in found.items() if held.weight == most)
    perhaps = patterns_held(told, PERHAPS_MEANT, PERHAPS_MEANT)
    if _DENIES.search(text):
        # What is left when the clauses that deny are not read is the likelier; but a denial is never read alone.
        rest = SaidWords(". ".join(c for c in _CLAUSES.split(text) if not _DENIES.search(c)))
        left = _likely(patterns_held(rest, MEANT, MEANT), patterns_held(rest, PERHAPS_MEANT, PERHAPS_MEANT))
        return TakenFor((), tuple(dict.fromkeys((*left, *_likely(found, perhaps)))))
    doubtful = (
        len(leading) != 1 or _OPEN.search(text) or _rivalled(leading[0], found) or _negated(told, found[leading[0]])
    )
    return TakenFor(() if doubtful else leading, _likely(found, perhaps))


def _negated(told: SaidWords, held: HeldWords) -> bool:
    """Whether a word that denies stands right before the phrase, and is none of its own."""
    return all(min(at) > 0 and told.tokens[min(at) - 1] in _NEGATIONS for at in held.places)


def _rivalled(leads: str, found: Mapping[str, HeldWords]) -> bool:
    """Whether another meaning is near: it rests on words of its own, nearly as many as that which leads."""
    first = found[leads]
    own = frozenset().union(*first.places)
    return any(
        held.longest >= first.longest - NEAR and not any(at <= own for at in held.places)
        for name, held in found.items()
        if name != leads
    )


def _likely(found: Mapping[str, HeldWords], perhaps: Mapping[str, HeldWords]) -> tuple[str, ...]:
    first = sorted(found, key=lambda name: found[name].weight, reverse=True)
    then = sorted((p for p in perhaps if p not in found), key=lambda name: perhaps[name].weight[::-1], reverse=True)
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
