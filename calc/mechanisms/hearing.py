"""How words of builders are looked for in what they write: by stems, by what else is said for them, or nearly spelt.

A phrase is written as its words in order, ``TURN slow``: one in capitals stands for any of those listed under it in
:mod:`calc.mechanisms.phrases`. Between two words of a phrase few others may stand, and no end of a clause; after a NOT
but one. Parts joined by ``+`` may stand anywhere, and one behind ``!`` nowhere. A word that nobody knows is taken for
the known one that is most like it, from :data:`ALIKE` on and with the same first letter; a short one hardly ever, for
it has too many neighbours.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from calc.mechanisms import phrases as said
from calc.mechanisms.clearing import made_plain

#: Share of letters that must be as in a known word, by optimal string alignment, for a word to be that one mistyped: of
#: seven to nine letters one may be another, left out, too many or before its neighbour, of ten two. Own choice, held by
#: tests.
ALIKE = 0.8
#: From so many letters on any one of them may be wrong. One of fewer has neighbours that mean something else ("change",
#: "charge"): of :data:`SHORT` letters one may be left out or too many, of fewer two may have changed places.
LONG, SHORT, LEAST = 7, 6, 5
#: Words that may stand between two of a phrase, and after a NOT.
APART, APART_AFTER_NOT = 3, 1
_ENDS = frozenset({"but", "though", "although", "yet", "however", "while", "because"})
_END = "|"
#: Letters that are a unit behind a number.
_UNITS = {"a": "amp", "v": "volt", "w": "watt"}


def stem(word: str) -> str:
    """A word without its ending, the same for all its forms; no more than a key.

    Examples
    --------
    >>> {stem(w) for w in ("charge", "charges", "charged", "charging")}
    {'charg'}
    >>> {stem(w) for w in ("stop", "stops", "stopped", "stopping")}, stem("batteries") == stem("battery")
    ({'stop'}, True)
    """
    if word.endswith("ies") and len(word) > 4:
        word = word[:-3] + "y"
    elif word.endswith("s") and not word.endswith("ss") and len(word) > 3:
        word = word[:-1]
    for ending, least in (("ing", 5), ("ed", 5)):
        if word.endswith(ending) and len(word) >= least:
            word = word[: -len(ending)]
            break
    if word.endswith("e") and len(word) > 3:
        word = word[:-1]
    return word[:-1] if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "aeiou" else word


@cache
def _concepts() -> dict[str, tuple[tuple[str, ...], ...]]:
    return {name: tuple(_stems(w) for w in re.split(r";\s*", line) if w) for name, line in said.CONCEPTS.items()}


def _stems(words: str) -> tuple[str, ...]:
    return tuple(stem(w) for w in words.split())


@dataclass(frozen=True, slots=True)
class WordPattern:
    """One phrase: parts that must be there, each of words in order, and parts that must not."""

    parts: tuple[tuple[str, ...], ...]
    never: tuple[tuple[str, ...], ...]

    @property
    def weight(self) -> int:
        """How many words it names."""
        return sum(map(len, self.parts))


@cache
def patterns(written: str) -> tuple[WordPattern, ...]:
    """The phrases of a line of a table, which a semicolon parts."""
    found = []
    for one in filter(None, (p.strip() for p in written.split(";"))):
        parts = [p.strip() for p in re.split(r"\+", one)]
        never = tuple(_key(p[1:]) for p in parts if p.startswith("!"))
        found.append(WordPattern(tuple(_key(p) for p in parts if not p.startswith("!")), never))
    return tuple(found)


def _key(part: str) -> tuple[str, ...]:
    return tuple(w if w.isupper() else stem(w) for w in part.split())


class SaidWords:
    """A text as it is looked through."""

    def __init__(self, text: str) -> None:
        words = re.findall(r"[a-z]+|\d+(?:[.,]\d+)?|[.;:!?,()\n–—]", made_plain(text))
        self.tokens: list[str] = []
        for before, word in zip(["", *words], words, strict=False):
            word = _UNITS.get(word, word) if before[:1].isdigit() else re.split(r"(?<=\d)[.,]", word)[0]
            self.tokens.append(self._known(word) if word[0].isalnum() and word not in _ENDS else _END)
        self._at: dict[str, list[tuple[int, int]]] = {}

    @staticmethod
    def _known(word: str) -> str:
        key = stem(word)
        if len(word) < LEAST or not word.isalpha():
            return key
        known, plain = vocabulary()
        return key if key in known or key in plain else _nearest(word)

    def has(self, phrase: WordPattern) -> bool:
        """Whether it holds a phrase."""
        return self.held(phrase) is not None

    def held(self, phrase: WordPattern) -> frozenset[int] | None:
        """The places of the words that hold a phrase, as they first do; None where it does not hold it."""
        parts = [self._held(part) for part in phrase.parts]
        if not all(parts) or any(map(self._held, phrase.never)):
            return None
        return frozenset().union(*parts)

    def _held(self, part: tuple[str, ...]) -> frozenset[int]:
        """The places of the words of one part; none where it does not hold it."""
        ways = [frozenset(range(*at)) for at in self._places(part[0])]
        for before, word in pairwise(part):
            apart = APART_AFTER_NOT if before == "NOT" else APART
            ways = [
                way | frozenset(range(start, end))
                for start, end in self._places(word)
                for way in ways
                if 0 <= start - (last := max(way) + 1) <= apart and _END not in self.tokens[last:start]
            ]
        return ways[0] if ways else frozenset()

    def _places(self, word: str) -> list[tuple[int, int]]:
        """Where a word or any of a concept stands: the first token, and the one behind the last."""
        if word not in self._at:
            meant = _concepts()[word] if word.isupper() else ((word,),)
            self._at[word] = [
                (i, i + len(s))
                for s in meant
                for i in range(len(self.tokens))
                if tuple(self.tokens[i : i + len(s)]) == s
            ]
        return self._at[word]


@cache
def vocabulary() -> tuple[Mapping[str, str], frozenset[str]]:
    """All words looked for, whole and as stems, with their stems; and the stems of plain words that are like one."""
    tables = (said.SEEN, said.PERHAPS_SEEN, said.MEANT, said.PERHAPS_MEANT)
    lines = (*said.CONCEPTS.values(), *(line for table in tables for line in table.values()))
    words = {w for line in lines for w in re.findall(r"[a-z]+", line)}
    return {w: stem(w) for w in words} | {stem(w): stem(w) for w in words}, frozenset(map(stem, said.PLAIN.split()))


def _nearest(word: str) -> str:
    """The known stem that a word is most likely mistyped for, or its own."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    known, _ = vocabulary()
    for typed in dict.fromkeys((word, stem(word))):
        fitting = [w for w in known if w[0] == typed[0] and len(w) >= LEAST and _may_be(typed, w)]
        # A whole number of letters: shares of them do not compare exactly.
        apart = max(1, int((1.0 - ALIKE) * len(typed) + 1e-9))
        found = process.extractOne(typed, sorted(fitting), scorer=OSA.distance, score_cutoff=apart)
        if found is not None:
            return known[found[0]]
    return stem(word)


def _may_be(typed: str, known: str) -> bool:
    """Whether what is wrong of a typed word, if it is one letter, may be wrong of one so short."""
    if len(typed) >= LONG:
        return True
    if len(typed) == SHORT and len(known) != len(typed):
        return True
    return len(typed) >= LEAST and sorted(typed) == sorted(known)


@dataclass(frozen=True, slots=True)
class TakenFor:
    """What a text is taken for.

    Parameters
    ----------
    sure : tuple of str
        What it says without doubt; none where it must be asked.
    likely : tuple of str
        What it may mean, the likeliest first, those of ``sure`` among them.
    """

    sure: tuple[str, ...]
    likely: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HeldWords:
    """Of a name a text holds: words of its longest phrase, how many phrases, and where the longest are."""

    longest: int
    phrases: int
    places: tuple[frozenset[int], ...]

    @property
    def weight(self) -> tuple[int, int]:
        """By which names are ranked."""
        return self.longest, self.phrases


def patterns_held(told: SaidWords, table: Mapping[str, str], names: Iterable[str]) -> dict[str, HeldWords]:
    """Of each name that a text holds a phrase of: what it holds."""
    found = {}
    for name in names:
        held = [(p.weight, at) for p in patterns(table.get(name, "")) if (at := told.held(p)) is not None]
        if held:
            longest = max(weight for weight, _ in held)
            found[name] = HeldWords(longest, len(held), tuple(at for weight, at in held if weight == longest))
    return found
