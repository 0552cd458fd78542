"""Letters and words of a text as they are compared: small, without accents, decoded, each with its place.

Two ways of writing one thing must come out alike: ``Mühlenstraße`` and ``Muehlenstr.``, ``Lane`` and ``Ln``,
``seven`` and ``7``, ``Fold's`` and ``Folds``.
"""

from __future__ import annotations

import functools
import html
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote

#: What is written in place of a character: by name or number in HTML, also twice over, or by its bytes in an address.
CODED = re.compile(r"&(?:amp;)*(?:#\d{1,7}|#x[0-9a-f]{1,6}|[a-z][a-z0-9]{1,30});|(?:%[0-9a-f]{2})+", re.IGNORECASE)
#: Letters of northern and other languages that are no letter with an accent.
_PLAIN = str.maketrans({"ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "ı": "i"})
_PLAIN |= {ord(c): p for c, p in (("æ", "ae"), ("Æ", "Ae"), ("œ", "oe"), ("Œ", "Oe"), ("þ", "th"), ("Þ", "Th"))}
_WORD = re.compile(r"[^\W\d_]+|\d+")
_HUMP = re.compile(r"(?<=[a-zß-öø-ÿ])(?=[A-ZÀ-ÖØ-Þ])")
_TWICE = re.compile(r"([^\W\d])\1+")
_SAID_AS = re.compile(r"(?<=[aou])e|(?<=a)a")

#: Words for a street and what stands for one, each with what people shorten it to.
STREETS = {
    "lane": "ln", "street": "st str", "road": "rd", "avenue": "ave av", "drive": "dr drv", "close": "cl", "court": "ct",
    "crescent": "cres", "square": "sq", "terrace": "ter terr", "boulevard": "blvd", "highway": "hwy", "track": "trk",
    "strasse": "str", "gasse": "g", "platz": "pl", "allee": "", "weg": "", "vej": "vei veien vejen v",
    "gade": "gate gata", "straede": "", "plads": "plass", "rue": "", "chemin": "ch", "route": "rte", "calle": "",
    "straat": "", "laan": "", "plein": "", "ulica": "ul",
}  # fmt: skip
_STREET_OF = {short: "+" + long for long, shorts in STREETS.items() for short in (long, *shorts.split())} | {
    "str": "+street", "strasse": "+street", "street": "+street", "st": "+street", "gatan": "+gade",
}  # fmt: skip
#: Endings of words that are a street and its name in one.
_JOINED = tuple(sorted(("strasse", "strase", "str", "gasse", "platz", "allee", "weg", "gade", "vej", "straat", "laan")))
_NUMBERS = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20, "oh": 0,
}  # fmt: skip
NUMBER_WORDS = frozenset(_NUMBERS)
#: Words that join others and tell nothing.
JOINING = frozenset(
    {
        "of", "the", "at", "in", "on", "am", "an", "der", "die", "das", "den", "dem", "de", "la", "le", "les", "du",
        "des", "no", "nr", "near", "by", "to", "and", "und", "og", "i", "na", "num", "number", "nummer", "house",
        "haus", "hus", "s",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Letters:
    """Letters and digits of a text, and where each begins and ends in it."""

    text: str
    begins: tuple[int, ...]
    ends: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Word:
    """One word or number of a text, as it is compared, as it stands, and where."""

    same: str
    raw: str
    begin: int
    end: int


def plain(text: str) -> str:
    """A text in small letters without accents; one letter may become two."""
    return unicodedata.normalize("NFKD", text.translate(_PLAIN)).casefold()


@functools.lru_cache(maxsize=10_000)
def _letters_of(character: str) -> tuple[str, ...]:
    """The letters and digits that a character is compared as."""
    return tuple(c for c in plain(character) if c.isalnum())


@functools.lru_cache(maxsize=1_000)
def letters(text: str) -> Letters:
    """Letters and digits of a text, small, without accents, whatever they are written as.

    Examples
    --------
    >>> letters("Hollow-mére &amp; Co").text
    'hollowmereco'
    """
    found: list[str] = []
    begins: list[int] = []
    ends: list[int] = []
    for piece, begin, end, coded in _pieces(text):
        if coded or not piece.isascii():
            told = [(c, i) for i, character in enumerate(piece) for c in _letters_of(character)]
            found += [c for c, _ in told]
            places = [i for _, i in told]
        else:
            places = [i for i, c in enumerate(piece) if c.isalnum()]
            found.append("".join([piece[i] for i in places]).lower())
        begins += [begin] * len(places) if coded else [begin + i for i in places]
        ends += [end] * len(places) if coded else [begin + i + 1 for i in places]
    return Letters("".join(found), tuple(begins), tuple(ends))


def _pieces(text: str) -> Iterator[tuple[str, int, int, bool]]:
    """The pieces of a text with their places: what is plain as it stands, and what is coded as what it means."""
    at = 0
    for match in CODED.finditer(text):
        if at < match.start():
            yield text[at : match.start()], at, match.start(), False
        yield _meant(match[0]), match.start(), match.end(), True
        at = match.end()
    if at < len(text):
        yield text[at:], at, len(text), False


def _meant(coded: str) -> str:
    if coded.startswith("%"):
        return unquote(coded, errors="replace")
    while (simpler := html.unescape(coded)) != coded:
        coded = simpler
    return coded


@dataclass(frozen=True, slots=True)
class Decoded:
    """A text as it would be read, and where each of its characters stands in the text as it is."""

    text: str
    begins: tuple[int, ...] | None = None
    ends: tuple[int, ...] | None = None

    def place(self, begin: int, end: int) -> tuple[int, int]:
        """Where a piece of the decoded text stands in the text as it is."""
        if self.begins is None or self.ends is None:
            return begin, end
        return self.begins[begin], self.ends[end - 1]


def decoded(text: str) -> Decoded:
    """A text with what is coded for pages and addresses as it would be read."""
    if not CODED.search(text):
        return Decoded(text)
    found: list[str] = []
    begins: list[int] = []
    ends: list[int] = []
    for piece, begin, end, coded in _pieces(text):
        found.append(piece)
        begins += [begin] * len(piece) if coded else range(begin, end)
        ends += [end] * len(piece) if coded else range(begin + 1, end + 1)
    return Decoded("".join(found), tuple(begins), tuple(ends))


def words_of(text: str) -> list[Word]:
    """The words and numbers of a decoded text.

    Examples
    --------
    >>> [w.same for w in words_of("Seven Hollow Ln., Muehlenstraße")]
    ['7', 'holow', '+lane', 'muhlen', '+street']
    """
    found: list[Word] = []
    for match in _WORD.finditer(text):
        begin = match.start()
        for raw in _HUMP.split(match[0]) if not match[0].islower() else (match[0],):
            found += _told(raw, begin)
            begin += len(raw)
    return found


def _told(raw: str, begin: int) -> list[Word]:
    """A word; two where it is a street and its name in one."""
    same = alike(raw)
    name, street = same
    end = begin + len(raw)
    if street is None:
        return [Word(name, raw, begin, end)]
    return [Word(name, raw, begin, end), Word(street, "", end, end)]


@functools.lru_cache(maxsize=100_000)
def alike(raw: str) -> tuple[str, str | None]:
    """A word as it is compared, and apart from it the street that it ends in, if it does."""
    if raw.isdigit():
        return raw.lstrip("0") or "0", None
    small = plain(raw)
    small = "".join(c for c in small if c.isalnum())
    if small in _NUMBERS:
        return str(_NUMBERS[small]), None
    if small in _STREET_OF:
        return _STREET_OF[small], None
    for ending in _JOINED:
        if small.endswith(ending) and len(small) >= len(ending) + 4:
            return skeleton(small.removesuffix(ending)), _STREET_OF.get(ending, "+street")
    return skeleton(small), None


def skeleton(small: str) -> str:
    """A word without what people write differently: ``oe`` for ``o``, letters twice, an ``s`` at its end."""
    if len(small) < 4:
        return small
    bare = _TWICE.sub(r"\1", _SAID_AS.sub("", small))
    return bare.removesuffix("s") if len(bare) > 4 else bare
