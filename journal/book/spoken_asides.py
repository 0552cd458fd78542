"""Words around a number that say what it is of: passed over where the question says the same, else never.

Some turn the number: a radius where a diameter is asked, there and back where one way is. What is passed over is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from calc.units import kind_of, plain_unit
from journal.book.naming import stems
from journal.book.plain_quantity import NumberAsked
from journal.book.spoken_units import units_anyhow, units_meant

#: As many words before and behind a number as are looked at.
_BEFORE, _BEHIND = 3, 6
#: Words that say nothing of their own beside a number.
_NEUTRAL = frozenset(
    stems("exactly measured nominal marked printed rated it was were is are be as just only overall net")
)
#: What people say for words of the questions, in small letters.
_SAME = {
    "dia": "diameter", "diam": "diameter", "ø": "diameter", "od": "outside", "o.d": "outside", "outer": "outside",
    "asl": "sea", "amsl": "sea",
    "msl": "sea", "level": "sea", "bridge": "rectifier", "bulb": "lamp", "wide": "width", "across": "diameter",
    "thick": "thickness", "long": "length", "high": "height", "tall": "height", "deep": "depth", "heavy": "mass",
    "weight": "mass", "weighs": "mass", "tsr": "ratio", "loa": "length", "single": "one",
    "tip-to-tip": "tip", "one-way": "one", "gusting": "gust", "gusts": "gust",
}  # fmt: skip
#: Words with which a question leaves something out; who says the rest alone says the contrary.
_DENYING = frozenset(["without", "nothing", "no", "not", "before", "after", "off", "shorted", "open", "cold", "away"])
#: Conditions that a reading of the battery or the site is not another for.
_CONDITION = re.compile(r"under (?:full |some |a )?load|while (?:charging|running|turning)|in gusts", re.I)
_LETTER = re.compile(r"\s*(?:[dDlLhHuUvViIpPcCnNtTwWaAmM]|od|OD|Ø|ø)\s*[=:]\s*|\s*[Øø⌀]\s*(?=\d)")
_VALUE = re.compile(r"[-+]?\d[\d.,]*\s*([^\W\d][^\s\d]*|%|°\S*)")
_RATE = re.compile(r"C\s?/?\s?\d+|\d+\s?-?\s?h(?:ou)?r?s?(?: rate)?|room temperature", re.I)


@dataclass(frozen=True, slots=True)
class Aside:
    """A text without the words around its number.

    Parameters
    ----------
    text : str
        What is left.
    said : str
        What was passed over, to be told; empty where the question says it.
    times : float
        By how much what was said turns the number.
    """

    text: str
    said: str = ""
    times: float = 1.0


#: What turns a number, where the question has the first word and not the second: the words and by how much.
_TURNS: tuple[tuple[str, str, str, float], ...] = (
    ("diameter", "radius", r"(?:in |of )?(?:the )?radius|\br\s*[=:]", 2.0),
    ("radius", "diameter", r"(?:in |of )?(?:the )?dia(?:m(?:eter)?)?\.?|[ø⌀]", 0.5),
    ("diameter", "around", r"(?:in )?circumference|around(?: it| the outside)?|round(?: it)|girth", 0.3183098862),
    ("one way", "there and back",
     r"there (?:and|&) back(?: again)?|both ways|(?:for the )?(?:round|return) trip|out and back|loop", 0.5),
    ("there and back", "one way", r"one[ -]way", 2.0),
    ("above the sea", "below",
     r"below (?:the )?sea(?:[ -]level)?|under (?:the )?sea(?:[ -]level)?|bsl", -1.0),
    ("into the battery", "out of",
     r"out of (?:the )?(?:battery|bank)|from the (?:battery|bank)|discharg(?:ing|e)|drawn|draining", -1.0),
)  # fmt: skip


def asides(text: str, asked: NumberAsked) -> Iterator[Aside]:
    """The text without what turns its number, without a letter before it, and without words of the question.

    Of what is left the longest comes first.
    """
    meaning = f"{getattr(asked, 'meaning', '')}".casefold()
    for has, lacks, words, times in _TURNS:
        # A number with a sign of its own is not turned round again.
        if has in meaning and lacks not in meaning and not (times < 0 and "-" in text):
            found = re.fullmatch(rf"(?:(?:{words})\s*)(.*\d.*)|(.*\d.*?)[\s,(]*(?:{words})\)?", text, re.I)
            if found:
                yield Aside((found[1] or found[2]).strip(" ,:="), "", times)
                return
    bare = _LETTER.sub("", text, count=1) if _LETTER.match(text) else text
    if bare != text:
        yield Aside(bare)
    parts = re.sub(r"([@(])", r" \1 ", bare).split()
    own = _own(asked)
    for count in range(1, min(len(parts), _BEFORE + _BEHIND + 1)):
        for before in range(min(count, _BEFORE) + 1):
            end = len(parts) - (count - before)
            said = _harmless(parts[:before], parts[end:], asked, own) if before < end else None
            left = " ".join(parts[before:end]).strip(" ,;(")
            # A number that has lost its unit so is not given another.
            if said is not None and (re.search(r"[^\W\d_]|[%°\"']", left) or not (asked.unit or asked.shown)):
                yield Aside(left, said)


def _own(asked: NumberAsked) -> frozenset[str]:
    """Stems of the words of a question, with the first letters of a name of several."""
    name = str(getattr(asked, "name", ""))
    first = "".join(part[:1] for part in name.split("_"))
    told = (
        f"{getattr(asked, 'meaning', '')} {name} {getattr(asked, 'group', '')} {' '.join(getattr(asked, 'nouns', ()))}"
    )
    return frozenset([*stems(told.replace("_", " ")), *([first] if len(first) > 2 else [])])


def _harmless(before: list[str], behind: list[str], asked: NumberAsked, own: frozenset[str]) -> str | None:
    """What of these words is to be told, as they change nothing of the number; None if they may."""
    first, last = " ".join(before).strip(" :=,"), " ".join(behind).strip(" ,;.")
    if first and not _of_question(first, own):
        return None
    if not last or _of_question(last, own):
        return ""
    if last[:1] == "@" or last.startswith("at "):
        return _at(last, asked)
    inner = last.strip("() ")
    if _CONDITION.fullmatch(inner):
        return None if own & {"connect", "noth", "short"} else last
    return _other_values(inner, asked, own, last)


def _of_question(text: str, own: frozenset[str]) -> bool:
    if re.search(r"\b[A-Z]\b", text):
        # A letter may be a unit.
        return False
    words = [w.strip("().,:;=") for w in text.casefold().replace(".", "").split()]
    words = [_SAME.get(w, w) for w in words if w]
    if any(len(w) == 1 and w != "a" for w in words) or any(re.search(r"\d", w) for w in words):
        return False
    denied = own & frozenset(stems(" ".join(_DENYING)))
    told = frozenset(stems(" ".join(words)))
    return (told <= own | _NEUTRAL) and not (denied and told and not told & denied)


def _at(last: str, asked: NumberAsked) -> str | None:
    """At what it was read: a height, a voltage, a rate; of the same kind as what is asked it says too much."""
    condition = re.sub(r"^(?:@|at)\s*(?:about\s*)?", "", last)
    if _RATE.fullmatch(condition):
        return last
    return last if (found := _VALUE.fullmatch(condition)) and _of_other_kind(found[1], asked) else None


def _other_values(inner: str, asked: NumberAsked, own: frozenset[str], last: str) -> str | None:
    """Values of another kind with words of the question, such as what else is marked on a part."""
    rest = inner
    for found in list(_VALUE.finditer(inner)):
        if not _of_other_kind(found[1], asked):
            return None
        rest = rest.replace(found[0], " ", 1)
    return last if rest != inner and (not rest.strip(" ,;/") or _of_question(rest, own)) else None


def _of_other_kind(unit: str, asked: NumberAsked) -> bool:
    if any(units_meant(unit, asked.unit, asked.shown)):
        return False
    wanted = plain_unit(asked.unit)
    found = list(units_anyhow(unit))
    return bool(found) and wanted is not None and all(kind_of(one) != kind_of(wanted) for one in found)
