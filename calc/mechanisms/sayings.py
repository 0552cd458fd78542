"""What builders tell in passing: how their words speak for ways of failing.

Each way of failing has forty sayings (``calc/tables/sayings.csv``): what people write of such a machine before they
know. A word that stands oftener under one way than under all speaks for it, and so do two words beside each other:
naive Bayes over the words that are there, each estimate drawn towards what is usual (Manning, Raghavan and Schuetze,
Introduction to Information Retrieval, 2008, chapter 13; from memory). Words of one sentence hang together, so all of
them together count for less than their product.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise

from calc.mechanisms.hearing import stem
from calc.tables import table_rows

#: As many sayings as what is usual of a word counts for.
USUAL = 10.0
#: What two words beside each other weigh beside one, and how much all of a text weighs of the sum of its words. Both,
#: and the limits below, did best on sayings of one manner of speaking told by those of the four others.
BESIDE, TOGETHER = 0.5, 0.45
#: Most that one word may speak for a way of failing and against it, as logarithms, and a whole text either way, times.
FOR, AGAINST, MOST = 3.5, 1.0, 12.0
#: Words that say nothing by themselves; some of them count beside another, such as "up" and "not".
_EMPTY = frozenset(
    """
    a an the and or but of to in on at it its is was were be been am are i my we our you he she they them this
    that these those with for as by from so then than there here have has had do did does doing not no just very
    all up out off down over get got gets getting some any me mine him her his your yours will would can could
    should may might much more most into onto about now still only again too also when while after before if
    what which who how went go goes going one two s
    """.split()  # noqa: SIM905
)
_BESIDE = frozenset({"not", "no", "off", "up", "out", "down", "over"})
_READ = re.compile(
    r"\d ?(v|volts?|a|amps?|w|watts?|ohms?|rpm|hz)\b|meter|reads?\b|reading|measur|shows?\b|display|clamp"
)


_stem = lru_cache(maxsize=20_000)(stem)


def features(text: str) -> set[str]:
    """Words of a text that can tell something, and pairs of them, each without its ending.

    Examples
    --------
    >>> sorted(features("It won't start, 3 A"))
    ['not start', 'start', 'wo', 'wo not']
    """
    plain = re.sub(r"n't\b", " not", text.casefold().replace("’", "'"))
    words = re.findall(r"[^\W\d_]+", plain)
    told = {_stem(w) for w in words if w not in _EMPTY and len(w) > 1}
    row = [_stem(w) for w in words if (w not in _EMPTY and len(w) > 1) or w in _BESIDE]
    return told | {f"{a} {b}" for a, b in pairwise(row)}


@dataclass(frozen=True)
class _Counted:
    """In how many sayings each word stands, by way of failing and in all, and how many sayings there are."""

    under: dict[str, Counter[str]]
    anywhere: Counter[str]
    sayings: Counter[str]


def counted(rows: tuple[tuple[str, str], ...]) -> _Counted:
    """Words of sayings, counted; rows are ways of failing, by id, and what was said."""
    under: dict[str, Counter[str]] = {}
    anywhere: Counter[str] = Counter()
    for mechanism, saying in rows:
        for word in features(saying):
            under.setdefault(word, Counter())[mechanism] += 1
            anywhere[word] += 1
    return _Counted(under, anywhere, Counter(mechanism for mechanism, _ in rows))


@cache
def _known() -> _Counted:
    return counted(tuple((row["mechanism"], row["saying"]) for row in table_rows("sayings")))


def known_words(text: str, known: _Counted | None = None) -> list[str]:
    """Words of a text, and pairs of them, that stand in any saying."""
    known = known or _known()
    return sorted(word for word in features(text) if known.anywhere[word])


def told_odds(text: str, known: _Counted | None = None) -> dict[str, float]:
    """How many times likelier each mechanism is made by what was told, by its id; nothing where no word is known.

    Parameters
    ----------
    text : str
        What was seen and done, in the builder's words.
    known : optional
        Sayings to go by, of :func:`counted`; else those of the table.

    Examples
    --------
    >>> told_odds("It growls since the rewound stator went in")["generator.phase-reversed"] > 5
    True
    >>> told_odds("")
    {}
    """
    known = known or _known()
    words = known_words(text, known)
    if not words:
        return {}
    whole = sum(known.sayings.values()) + 1
    logs = dict.fromkeys(known.sayings, 0.0)
    for word in words:
        usual = (known.anywhere[word] + 0.5) / whole
        weight = BESIDE if " " in word else 1.0
        under = known.under[word]
        for mechanism, many in known.sayings.items():
            speaks = math.log((under[mechanism] / usual + USUAL) / (many + USUAL))
            logs[mechanism] += weight * max(-AGAINST, min(FOR, speaks))
    return {m: max(1.0 / MOST, min(MOST, math.exp(TOGETHER * v))) for m, v in logs.items()}


def tells_reading(text: str) -> bool:
    """Whether a builder's words tell of something that a meter showed.

    Examples
    --------
    >>> tells_reading("The battery is swollen"), tells_reading("It shows 15.8 V")
    (False, True)
    """
    return _READ.search(text.casefold()) is not None
