"""Private words taken out of free text, however they are written there.

Texts are compared by their letters and digits alone, small and without accents: so it matters neither how a name is
spaced, hyphenated, quoted, marked up or capitalised, nor whether a text was escaped for a page or an address before
somebody pasted it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from journal.publish.likeness import Likeness, Spot, names_in
from journal.publish.words import CODED, Letters, letters

LEFT_OUT = "(left out)"
#: Letters and digits from which on words are no accident even inside longer ones, as in a file's name.
LONG = 8
#: Digits from which on a number alone is no accident.
DIGITS = 4
#: Secrets up to which it is quickest to look for each of them in a text as a whole.
FEW = 50
#: Texts that are remembered with what they come to, for those who may have the same.
MOST = 50_000

#: What people type where there is nothing to tell.
_NOTHING = frozenset({"no", "none", "na", "nil", "unknown", "notknown", "notstated", "illegible", "missing", "private"})
_REFERENCE = re.compile(r"[a-z]\d{1,4}")
_MAIL = re.compile(r"[^\s@,;<>()]+@[^\s@,;<>()]+")
_TELEPHONE = re.compile(r"\+?\(?\d(?:[\s()./-]*\d){5,}")
_AMOUNT = r"\d+(?:[.,' ]\d+)*"
_GAP = r"(?:[\s\\*_-]|&nbsp;|&#160;)*"
_SIGN = r"[£€$]|&pound;|&euro;|&dollar;"


def pieces(kind: str, text: str, public: str = "") -> list[str]:
    """What would tell a private thing if it stood alone: the whole, and such parts as tell it too.

    Parameters
    ----------
    kind : str
        One of :data:`journal.publish.private.KINDS`.
    text : str
        As it is on record.
    public : str
        What is told in any case; a part of a place that is in it tells nothing.

    Examples
    --------
    >>> pieces("place", "Hollow Lane 7, Upland", public="upland farmland")
    ['Hollow Lane 7, Upland', 'Hollow Lane 7']
    """
    if kind == "notes":
        # A word or two of a note would be found everywhere.
        return [text] if len(text.split()) > 2 or re.search(rf"\d{{{DIGITS}}}", text) else []
    if kind == "people":
        names = names_in(text)
        forms = [form for name in names for form in _name_forms(name.split())]
        return list(dict.fromkeys([text, *names, *forms])) if names else []
    parts: list[str] = []
    if kind == "place":
        parts = [p for p in re.split(r"[,;\n]", text) if letters(p).text not in letters(public).text]
    elif kind == "builder":
        parts = re.split(r"[,;/&\n]|\band\b", text)
        parts += [form for part in parts for form in _name_forms(part.split())]
    parts = [p.strip() for p in parts if len(letters(p).text) >= DIGITS]
    if kind == "contact":
        numbers = [m[0] for m in _TELEPHONE.finditer(text)]
        parts = [*_MAIL.findall(text), *numbers, *(form for n in numbers for form in _number_forms(n))]
    return list(dict.fromkeys([text, *parts]))


def _name_forms(words: list[str]) -> list[str]:
    """Ways in which people write a name: the surname first, with an initial, and alone where it is long enough."""
    if len(words) < 2:
        return []
    first, last = words[0], words[-1]
    return [f"{last} {first}", f"{first[0]} {last}", *([last] if len(letters(last).text) > DIGITS else [])]


def _number_forms(number: str) -> list[str]:
    """A telephone number as it is dialled elsewhere: without its leading zero, or without the code of its country."""
    digits = re.sub(r"\D", "", number)
    abroad = number.lstrip().startswith("+") or digits.startswith("00")
    inland = digits.lstrip("0")
    forms = [inland[k:] for k in (1, 2, 3)] if abroad else [inland]
    return [form for form in forms if len(form) >= LONG]


def _telling(found: str) -> bool:
    """Whether letters are enough to be known again, rather than a word that stands anywhere."""
    if found.isdigit():
        return len(found) >= DIGITS
    return len(found) > 1 and found not in _NOTHING and not _REFERENCE.fullmatch(found)


@dataclass(frozen=True, slots=True)
class Scrubbed:
    """A text without what is private, and where in the text as it was that stood."""

    text: str
    spots: tuple[Spot, ...] = ()


@lru_cache(maxsize=8)
def _known_of(*_of: object) -> dict[str, Scrubbed]:
    """Texts that were scrubbed of the same secrets before: readers who may have the same read the same texts."""
    return {}


@dataclass
class Scrub:
    """Takes private words out of texts, and remembers of which kinds there were any.

    Parameters
    ----------
    hidden : mapping of str to iterable of str
        What may not be told, by kind.
    kept : iterable of str
        What may be told, even where it holds something of the former.
    currencies : iterable of str or None
        Codes of money whose amounts are taken out too, beside those with a sign; None if prices may be told.
    like : Likeness, optional
        Looks for what is written in other words.
    passed : frozenset of str
        Letters of what only looked private, and may be told.
    """

    hidden: Mapping[str, Iterable[str]]
    kept: Iterable[str] = ()
    currencies: Iterable[str] | None = None
    like: Likeness | None = None
    passed: frozenset[str] = frozenset()
    taken: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        hidden = tuple((kind, tuple(texts)) for kind, texts in self.hidden.items())
        kept = tuple(self.kept)
        money = None if self.currencies is None else frozenset(self.currencies)
        self._known = _known_of(hidden, kept, money, None if self.like is None else self.like.told, self.passed)
        self._hidden = _by_head((letters(t).text, kind) for kind, texts in hidden for t in texts)
        self._kept = _by_head((letters(t).text, "") for t in kept)
        self._words = [word for head in self._hidden.values() for word, _ in head]
        self._money = None if money is None else _money(money)

    def __call__(self, text: str) -> str:
        """The text without what is private."""
        return self.look(text).text

    def look(self, text: str) -> Scrubbed:
        """The text without what is private, and what that was."""
        found = self._known.get(text)
        if found is None:
            if len(self._known) >= MOST:
                self._known.clear()
            found = self._known[text] = self._scrubbed(text)
        if found.spots:
            self.taken |= {spot.kind for spot in found.spots}
        return found

    def _scrubbed(self, text: str) -> Scrubbed:
        private: list[Spot] = []
        if not self._plainly_nothing(text):
            private = [Spot(*span) for span in _spans(text, letters(text), self._hidden)]
        if self.like is not None:
            private += (s for s in self.like.spots(text) if s.certain or self._asked(text, s))
        private += (Spot(m.start(), m.end(), "prices") for m in (self._money.finditer(text) if self._money else ()))
        if private and self._kept:
            # What was let in as a whole may hold a name; what merely overlaps with it may not.
            let_in = [(begin, end) for begin, end, _ in _spans(text, letters(text), self._kept)]
            private = [s for s in private if not any(begin <= s.begin and s.end <= end for begin, end in let_in)]
        made, at = "", 0
        for begin, end in _joined(private):
            made += text[at:begin] + LEFT_OUT
            at = end
        return Scrubbed(made + text[at:], _told_once(private))

    def _asked(self, text: str, spot: Spot) -> bool:
        """Whether what is only like something private has not been let in."""
        return letters(text[spot.begin : spot.end]).text not in self.passed

    def _plainly_nothing(self, text: str) -> bool:
        """Whether it takes no more than a glance to see that no secret is in a text, as in most."""
        words = self._words
        if len(words) > FEW or not text.isascii() or CODED.search(text):
            return not words
        plain = "".join(filter(str.isalnum, text.casefold()))
        return not any(word in plain for word in words)


def _told_once(spots: list[Spot]) -> tuple[Spot, ...]:
    """Spots in order, without those that stand within another: what is certain stands for what is near."""
    told: list[Spot] = []
    for spot in sorted(spots, key=lambda s: (not s.certain, s.begin - s.end, s.begin)):
        if not any(t.begin < spot.end and spot.begin < t.end for t in told):
            told.append(spot)
    return tuple(sorted(told, key=lambda s: s.begin))


Heads = dict[str, list[tuple[str, str]]]


def _by_head(secrets: Iterable[tuple[str, str]]) -> Heads:
    """Secrets by their first two letters, so that many of them cost no more than few."""
    heads: Heads = {}
    for found, kind in secrets:
        if _telling(found):
            heads.setdefault(found[:2], []).append((found, kind))
    return heads


def _spans(text: str, found: Letters, heads: Heads) -> list[tuple[int, int, str]]:
    """Where in a text there are secrets, each from, to, and of which kind; they may overlap."""
    spans = []
    for i in range(len(found.text) - 1):
        for secret, kind in heads.get(found.text[i : i + 2], ()):
            end = i + len(secret)
            if found.text.startswith(secret, i) and (
                len(secret) >= LONG or (_apart(text, found, i) and _apart(text, found, end))
            ):
                spans.append((found.begins[i], found.ends[end - 1], kind))
    return spans


def _apart(text: str, found: Letters, i: int) -> bool:
    """Whether a word ends before a letter: something stands between, or digits or capitals begin."""
    if i in (0, len(found.text)) or found.ends[i - 1] < found.begins[i]:
        return True
    before, after = text[found.ends[i - 1] - 1], text[found.begins[i]]
    return before.isdigit() != after.isdigit() or (before.islower() and after.isupper())


def _joined(spots: list[Spot]) -> list[tuple[int, int]]:
    """Spans in order, those that overlap made into one."""
    joined: list[tuple[int, int]] = []
    for begin, end in sorted((s.begin, s.end) for s in spots):
        if joined and begin < joined[-1][1]:
            joined[-1] = joined[-1][0], max(joined[-1][1], end)
        else:
            joined.append((begin, end))
    return joined


#: Money by its name, as people write it behind an amount.
_NAMES = r"euros?|pounds?\s+sterling|quid|dollars?|bucks|pence|cents?|kroner|kronor|francs?|yen|rupees?|zloty"


def _money(currencies: Iterable[str]) -> re.Pattern[str]:
    """Amounts with the sign or code of their currency, before or behind."""
    codes = "|".join([*(re.escape(c) for c in sorted(set(currencies))), _NAMES])
    before = rf"(?:(?<!\w)(?:{codes})|{_SIGN})"
    behind = rf"(?:(?:{codes})(?!\w)|{_SIGN})"
    return re.compile(rf"{before}{_GAP}{_AMOUNT}|(?<![\w.,]){_AMOUNT}{_GAP}{behind}", re.IGNORECASE)
