"""Words out of a closed set as people type them: by a part, by what else is said for them, or nearly spelt."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache

from calc.units import as_written
from journal.book.heard import hear
from journal.book.plain_quantity import NOT_KNOWN, Unclear
from journal.book.plain_text import alike, clean_text
from journal.errors import BadInput, nearest

Also = Mapping[str, tuple[str, ...]]
#: What else people say for the words of records; those of the sheet stand beside the choices in the catalogue.
SAID: Also = {
    "measured": ("i measured it", "meter", "by meter", "weighed"),
    "data plate": ("nameplate", "name plate", "plate", "label", "datasheet", "data sheet", "type plate"),
    "seller's claim": ("seller", "vendor", "advert", "ad", "shop", "claimed", "claim"),
    "calculated": ("computed", "worked out", "calc"),
    "estimate": ("estimated", "guess", "guessed", "eyeballed", "by eye"),
    "assumed": ("assumption",),
    "salvaged": ("used", "second hand", "secondhand", "scrap", "scrapyard", "old", "recycled"),
    "made": ("homemade", "home made", "self made", "diy", "built"),
    "bench test": ("bench", "workshop test", "spin test", "drill test"),
    "raising": ("raised", "put up", "erected"),
    "lowering": ("lowered", "taken down", "took down"),
    "repair": ("repaired", "fixed"),
    "storm": ("gale",),
    "run": ("ran", "test run"),
    "worked": ("ok", "okay", "fine", "good", "success", "works", "passed"),
    "partly": ("half", "so so", "mixed", "partially"),
    "failed": ("broke", "broken down", "bad", "did not work", "no good"),
    "still running": ("ongoing", "running", "going on", "in progress"),
    "nothing connected": ("open", "open circuit", "no load", "unloaded", "disconnected"),
    "battery": ("battery alone", "battery only", "bank"),
    "dump load": ("dump", "heater"),
    "short circuit": ("shorted", "short", "braked"),
    "not known": ("unknown", "dont know", "no idea"),
    "none": ("no", "nothing", "nobody", "without"),
    "nothing": ("none", "no"),
    "near miss": ("nearly", "close call"),
    "injury": ("hurt", "injured", "somebody hurt"),
}
#: Letters alike, of 100, from which a word counts as mistyped and not as another; and by how much more than the next.
ALIKE, AHEAD = 82.0, 8.0
#: A beginning or a word of fewer letters says too little where what people say else is looked at.
_SHORT = 3
_BETWEEN_DIGITS = re.compile(r"(?<=\d),(?=\d)")
_NOT = re.compile(r"\b(?:not|no|without|w/o)\s+(?:a\s+|the\s+|any\s+)?(?=\w)")
_DEGREES = re.compile(r"(?<=\d)\s*(?:°\s?c?|deg\s?c|c)\b")
#: Where words are left over beside one of the set: as many as may say nothing, and those that may say everything.
_LEFT_OVER = 2
_TURNING = frozenset(
    ["or", "maybe", "like", "look", "instead", "than", "but", "except", "half", "part", "partly", "mixed", "was",
     "will", "soon", "later", "broken", "removed", "almost", "nearly", "never", "perhaps", "if", "when", "some",
     "other", "another"]
)  # fmt: skip
_FILLING = frozenset(
    ["a", "an", "the", "of", "on", "in", "at", "to", "is", "it", "its", "with", "by", "and", "for", "from", "class"]
)


#: What alone says nothing, though it stands in or begins what is said for a word.
_VAGUE = frozenset(["some", "somebody", "someone", "something", "any", "anybody", "anyone", "anything"])


def word(value: str | None, words: tuple[str, ...], what: str, also: Also = SAID, of: str = "") -> str | None:
    """One of a closed set of words; an unmistakable beginning or part is enough, and what else is said for it.

    Parameters
    ----------
    also : mapping of str to tuple of str
        What else people say for each of the words; under an empty one, what says too little for any.
    of : str
        The question, of which the words may stand beside the answer.

    Raises
    ------
    Unclear
        Naming those that fit, where there are several.
    BadInput
        With the nearest right word and the whole set.
    """
    if value is None:
        return None
    typed = clean_text(value, what, limit=200)
    if folded(typed) in map(folded, also.get("", ())):
        more = tuple(w for w in words if _a_part(folded(typed), _sayings(w, also)))
        raise Unclear(
            f"{what}: {value!r} says too little", more, f"Type {'; '.join(more)}, if it is; else leave it out"
        )
    exact = [w for w in words if alike(w) == alike(value)]
    begun = exact or [w for w in words if _begins(w, typed)]
    if exact or (len(begun) == 1 and not _contested(typed, begun[0], words, also)):
        _tell(typed, begun[0], what)
        return begun[0]
    fits = _fitting(typed, words, also) or _beside_others(typed, words, also, of)
    if len(fits) == 1:
        _tell(typed, fits[0], what)
        return fits[0]
    if len(fits) > 1:
        raise Unclear(
            f"{what}: {value!r} can be {' or '.join(map(repr, fits))}",
            tuple(fits),
            f"Type one of them: {'; '.join(fits)}",
        )
    if NOT_KNOWN.fullmatch(typed):
        raise BadInput(f"{what}: {value!r} is none of its words", "Leave it out, what is not known stays so")
    close = nearest(value, words)
    hint = f"Did you mean {close!r}? " if close else ""
    raise BadInput(f"{what}: {value!r} is not one of its words", f"{hint}Accepted: {'; '.join(words)}")


def _begins(whole: str, typed: str) -> bool:
    return whole.casefold().startswith(typed.casefold()) or alike(whole).startswith(alike(typed))


def _contested(typed: str, begun: str, words: tuple[str, ...], also: Also) -> bool:
    """Whether what was typed also begins what is said for another word, or is said for it whole."""
    small = folded(typed)
    others = [said for w in words if w != begun for said in also.get(w, ())]
    return small in others or any(s.startswith(small) and s in also.get(begun, ()) for s in others)


def _tell(typed: str, found: str, what: str) -> None:
    if alike(found) != alike(typed):
        hear(f"{what}: {typed} = {found}")


def _fitting(typed: str, words: tuple[str, ...], also: Also) -> list[str]:
    """The words that fit what was typed, by the strictest way in which any does."""
    small = folded(typed)
    if not small or _VAGUE.issuperset(small.split()):
        return []
    if NOT_KNOWN.fullmatch(typed) and "not known" in words:
        return ["not known"]
    for fits in (_whole, _a_part, _all_begun_parts):
        found = [w for w in words if fits(small, _sayings(w, also))]
        if found:
            return found
    return _nearly(small, words, also)


def _beside_others(typed: str, words: tuple[str, ...], also: Also, of: str) -> list[str]:
    """The words that fit without those of the question, or of which all is there beside a word or two."""
    small = folded(typed)
    one, either, other = small.partition(" or ")
    if either:
        # Which of two it is, whoever typed it is asked.
        two = [*_fitting(one, words, also), *_fitting(other, words, also)]
        return two if len(set(two)) > 1 else []
    if not _TURNING.isdisjoint(small.split()):
        return []
    asked = {_stem(part) for part in folded(of).split() if "¬" not in part}
    rest = " ".join(part for part in small.split() if _stem(part) not in asked)
    if rest and rest != small and (found := _fitting(rest, words, also)):
        return found
    parts = [_stem(part) for part in _parts(small)]
    most = {w: max(_held(parts, said) for said in _sayings(w, also)) for w in words}
    best = max(most.values())
    left = [part for part in parts if part not in asked]
    known = {_stem(part) for w in words for said in _sayings(w, also) for part in said.split()}
    more = [part for part in left if part not in known]
    if not best or len(more) > _LEFT_OVER or any("¬" in part or re.search(r"\d", part) for part in more):
        return []
    # Of two that are there, neither is taken; one that holds the other is.
    found = [w for w in words if most[w] == best]
    named = {part for w in found for said in _sayings(w, also) for part in map(_stem, _parts(said))}
    others = [
        w
        for w in words
        if w not in found and most[w] and not all(_in(said, parts, named) for said in _sayings(w, also))
    ]
    return found + others


def _held(parts: list[str], said: str) -> int:
    """How many words of a saying are there, where all are."""
    own = [_stem(part) for part in _parts(said)]
    telling = any(len(part) >= _SHORT or re.search(r"\d", part) for part in own)
    return len(own) if telling and all(part in parts for part in own) else 0


def _in(said: str, parts: list[str], named: set[str]) -> bool:
    return not _held(parts, said) or all(_stem(part) in named for part in _parts(said))


@cache
def folded(text: str) -> str:
    """A text in small letters, without hyphens and other marks; what is denied in one word with its denial.

    Examples
    --------
    >>> folded("Three-Phase"), folded("shed without vents"), folded("60 °C")
    ('three phase', 'shed ¬vents', '60')
    """
    text = _DEGREES.sub("", as_written(text).casefold().replace("'", "").replace("’", "").replace("×", "x"))
    text = _BETWEEN_DIGITS.sub(".", text)
    text = re.sub(r"[^\w/.+]+", " ", text.replace("n't ", " not ")).strip(" .")
    return _NOT.sub("¬", " ".join(text.split()))


def _sayings(word: str, also: Also) -> tuple[str, ...]:
    return (folded(word), *(folded(said) for said in also.get(word, ())))


def _parts(text: str) -> list[str]:
    return [part for part in text.split() if part not in _FILLING] or text.split()


def _whole(typed: str, sayings: tuple[str, ...]) -> bool:
    compact = typed.replace(" ", "")
    return any(said.replace(" ", "") == compact or _parts(said) == _parts(typed) for said in sayings)


def _a_part(typed: str, sayings: tuple[str, ...]) -> bool:
    """Whether one of the sayings begins so, or all of them together have every word."""
    if len(typed) < _SHORT and not typed.isdecimal():
        return False
    known = {_stem(part) for said in sayings for part in said.split()}
    return any(said.startswith(typed) for said in sayings) or all(_stem(part) in known for part in _parts(typed))


def _all_begun_parts(typed: str, sayings: tuple[str, ...]) -> bool:
    known = [part for said in sayings for part in said.split()]
    return all(len(part) >= _SHORT and any(k.startswith(part) for k in known) for part in _parts(typed))


def _stem(part: str) -> str:
    return part[:-1] if part.endswith("s") and len(part) > _SHORT else part


def _nearly(typed: str, words: tuple[str, ...], also: Also) -> list[str]:
    """Words that are spelt nearly so; digits are never taken for others."""
    if re.search(r"\d", typed):
        # A zero for an O, and no other digit.
        return [
            w for w in words if any(said.replace("0", "o") == typed.replace("0", "o") for said in _sayings(w, also))
        ]
    if len(typed) <= _SHORT:
        return []
    from rapidfuzz import fuzz

    best = {w: max(_likeness(fuzz.ratio, typed, said) for said in _sayings(w, also)) for w in words}
    most = max(best.values())
    return [w for w in words if best[w] >= ALIKE and best[w] > most - AHEAD]


def _likeness(ratio: Callable[[str, str], float], typed: str, said: str) -> float:
    """How alike two texts are, whole or part by part; what is denied in one alone is never alike."""
    if ("¬" in typed) != ("¬" in said):
        return 0.0
    parts = [max((ratio(part, k) for k in said.split() if len(k) >= _SHORT), default=0.0) for part in _parts(typed)]
    # Texts that share a word are alike by that alone.
    whole = 0.0 if set(typed.split()) & set(said.split()) else ratio(typed, said)
    return max(whole, min(parts))
