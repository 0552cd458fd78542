"""What is private, known again in other words: another order, a short form, a slip of the finger.

Certain is what has every word of a name, in whatever form; near is what only looks like it: letters mistyped, a first
letter in place of a word, a name in another order. Mistyped letters are counted as insertions, deletions, exchanges and
swaps of neighbours (optimal string alignment).
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby

from journal.publish.coordinates import Hidden
from journal.publish.words import JOINING, NUMBER_WORDS, Decoded, Word, alike, decoded, letters, skeleton, words_of

#: Letters from which on a word can be mistyped once, and twice, and still be known.
ONCE, TWICE = 5, 8
#: Digits that a telephone number has at least.
CALL = 7
#: Letters from which on a word alone tells a name, mistyped once.
ALONE = 6
#: Telling words of a private note in a row by which it is looked for.
ROW = 4
#: Joining words that may stand between those of a name.
BETWEEN = 2
_STOPS = JOINING | {
    "a", "an", "it", "is", "was", "were", "be", "this", "that", "these", "those", "with", "without", "for", "from",
    "by", "as", "i", "we", "he", "she", "they", "you", "my", "our", "his", "her", "its", "not", "but", "or", "if",
    "then", "than", "so", "up", "down", "out", "over", "under", "into", "onto", "about", "after", "before", "1", "2",
    "behind", "beside", "back", "off", "had", "has", "have", "0", "ein", "eine", "ist", "war",
}  # fmt: skip
#: Words that begin with a capital where no name is meant.
_NO_NAMES = {"may", "mark", "will", "june", "april", "march", "august", "bill", "grace", "hope", "art", "rich"}
#: Whose names are looked for: those of people are, in a word alone too.
_PERSONS = ("builder", "people")
#: What stands before a name and makes what follows one.
_TITLES = frozenset({
    "mr", "mrs", "ms", "miss", "mister", "dr", "herr", "frau", "hr", "fru", "sir", "madame", "monsieur", "mme",
})  # fmt: skip
#: Who somebody is, and not how they are called; and words that go with that.
_ROLES = frozenset({
    "electrician", "electricians", "builder", "installer", "neighbour", "friend", "me", "myself", "self", "owner",
    "engineer", "inspector", "fitter", "helper", "utility", "brother", "sister", "father", "mother", "son",
    "daughter", "wife", "husband", "cousin", "uncle", "aunt",
})  # fmt: skip
_OF_ROLES = frozenset({
    "a", "an", "the", "my", "our", "his", "her", "licensed", "certified", "qualified", "registered", "local",
    "master", "retired",
})  # fmt: skip
_MAIL = re.compile(r"[\w.+-]{1,64}@[\w-]+(?:\.[\w-]+)+")
_TELEPHONE = re.compile(r"\+?\(?\d(?:[\s()./-]*\d){5,20}")
_POSTCODE = re.compile(r"(?<![\d.,+/-])\d{4,6}(?![\d.,]\d|\d)")
_CHUNK = re.compile(r"[^\W_]+")
_LOOK = str.maketrans({"o": "0", "i": "1", "l": "1", "s": "5", "b": "8", "z": "2"})


@dataclass(frozen=True, slots=True)
class Spot:
    """Where in a text something private stands, of which kind, and whether that is certain or only near."""

    begin: int
    end: int
    kind: str
    certain: bool = True


@dataclass(frozen=True, slots=True)
class Phrase:
    """A name: its words as they are compared, the numbers that belong to it, and which of its words is a street."""

    kind: str
    words: tuple[str, ...]
    numbers: frozenset[str]
    #: Whether one word alone, written as a name, is near it.
    alone: frozenset[str]


def names_in(text: str) -> list[str]:
    """Names in a text about people: words with capitals in a row, or one by itself or behind a role; a role is none.

    Examples
    --------
    >>> names_in("Odo Quillfeather, licensed electrician"), names_in("Odo"), names_in("A licensed electrician")
    (['Odo Quillfeather'], ['Odo'], [])
    >>> names_in("Electrician Odo Quillfeather"), names_in("the electrician Odo"), names_in("Licensed Electrician")
    (['Odo Quillfeather'], ['Odo'], [])
    """
    found = []
    for part in re.split(r"[,;/&()\n]|\band\b", text):
        before = ""
        for capital, some in groupby(part.split(), key=lambda w: next(filter(str.isalpha, w), "").isupper()):
            run = list(some)
            own = [w for w in run if w.strip(".").casefold() not in _ROLES | _OF_ROLES | _TITLES]
            alone = len(run) == 1 and run != part.split() and before not in _ROLES
            if capital and own and not alone:
                found.append(" ".join(own))
            before = run[-1].strip(".").casefold()
    return found


def phrases(kind: str, texts: Iterable[str], public: str) -> list[Phrase]:
    """The names in some private texts.

    Parameters
    ----------
    kind : {"place", "builder", "people"}
        What the texts tell.
    public : str
        What is told in any case.
    """
    told = {w.same for w in words_of(public)}
    found = []
    for text in texts:
        for part in re.split(r"[,;/&\n]|\band\b", text):
            every = [w for w in words_of(part) if w.same not in JOINING]
            numbers = frozenset(w.same for w in every if w.same.isdigit())
            words = tuple(dict.fromkeys(w.same for w in every if not w.same.isdigit() and len(w.same) > 1))
            own = [w for w in words if not w.startswith("+") and w not in told]
            if own and (len(words) > 1 or len(own[0]) >= ALONE):
                least = 3 if kind in _PERSONS else ALONE - 1
                alone = frozenset(w for w in own if len(w) >= least and w not in _NO_NAMES)
                found.append(Phrase(kind, words, numbers, alone))
    return found


@dataclass
class Likeness:
    """Looks in texts for what is like something private.

    Parameters
    ----------
    secrets : mapping of str to iterable of str
        Private texts by kind, as they are on record.
    public : str
        What is told in any case.
    """

    secrets: Mapping[str, Iterable[str]]
    public: str = ""
    _near: dict[str, dict[str, int]] = field(default_factory=dict)
    _stirring: dict[str, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        own = {kind: [t for t in texts if t.strip()] for kind, texts in self.secrets.items()}
        # Of a text about people only their names are private; an electrician is none.
        own["people"] = [name for t in own.get("people", ()) for name in names_in(t)]
        self._phrases = [p for k in ("place", *_PERSONS) for p in phrases(k, own.get(k, ()), self.public)]
        self._vocabulary = sorted({w for p in self._phrases for w in p.words if not w.startswith("+")})
        self._by_word: dict[str, list[Phrase]] = {}
        for p in self._phrases:
            for w in p.words:
                self._by_word.setdefault(w, []).append(p)
        self._short = [form for t in own.get("place", ()) for form in _shortened(t)]
        # A long number of a place, such as its postcode, tells it without its name.
        self._postcodes = [m for t in own.get("place", ()) for m in _POSTCODE.findall(t) if m not in self.public]
        self._joined = {"".join(w.lstrip("+") for w in p.words): p for p in self._phrases if len(p.words) > 1}
        self._initials = [(p.kind, _initials(p)) for p in self._phrases if p.kind in _PERSONS and len(p.words) > 1]
        self._where = Hidden(own.get("place", []))
        self._codes = {c for t in own.get("serials", ()) for c in [letters(t).text] if len(c) >= ONCE + 1}
        self._codes = {c for c in self._codes if any(map(str.isdigit, c))}
        contact = " ".join(own.get("contact", ()))
        self._mails = [m.casefold() for m in _MAIL.findall(contact)]
        self._spelled = [_spelled(m) for m in self._mails]
        self._calls = {_digits(m[0]) for m in _TELEPHONE.finditer(contact)}
        self._rows = _rows(own.get("notes", ()))
        self._noted = {word for row in self._rows for word in row}
        looks = [code.translate(_LOOK) for code in self._codes]
        self._halves = {half for c in looks for half in (c[: len(c) // 2], c[len(c) // 2 :])}

    @property
    def told(self) -> Hashable:
        """All that it was told, by which it does the same as another."""
        return tuple((kind, tuple(texts)) for kind, texts in self.secrets.items()), self.public

    def spots(self, text: str) -> list[Spot]:
        """Where a text is like something private."""
        read = decoded(text)
        return [Spot(*read.place(s.begin, s.end), s.kind, s.certain) for s in self._in(read)]

    def touches(self, text: str) -> bool:
        """Whether a text has any word of a private name in it, as the name of a file may."""
        known = [w for w in words_of(text) if w.same in self._by_word and not w.same.startswith("+")]
        return bool(known or self.spots(text))

    def _in(self, read: Decoded) -> Iterator[Spot]:
        # Most texts have no word in them that could begin anything; that is seen at a glance.
        chunks = set(_CHUNK.findall(read.text))
        named = bool(self._phrases) and any(map(self._stirs, chunks))
        noted = bool(self._rows) and sum(map(self._in_notes, chunks)) >= ROW - 1
        coded = bool(self._codes) and self._has_half(read.text)
        said = bool(self._calls) and not NUMBER_WORDS.isdisjoint(map(str.casefold, chunks))
        words = words_of(read.text) if named or noted or coded or said else []
        if named:
            yield from self._names(read.text, words)
        for kind, initials in self._initials:
            yield from (Spot(m.start(), m.end(), kind, False) for m in initials.finditer(read.text))
        if self._where:
            yield from (Spot(*span, "place") for span in self._where.spots(read.text))
        for form in self._short:
            yield from (Spot(m.start(), m.end(), "place", False) for m in form.finditer(read.text))
        for code in self._postcodes:
            yield from (
                Spot(m.start(), m.end(), "place", False)
                for m in re.finditer(rf"(?<![\d.,]){code}(?![\d.,]\d|\d)", read.text)
            )
        if coded:
            yield from self._serials(words)
        if self._mails or self._calls:
            yield from self._contacts(read.text, words)
        if noted:
            yield from self._notes(words)

    def _stirs(self, chunk: str) -> bool:
        """Whether any word in letters that stand together may be one of a name."""
        if chunk not in self._stirring:
            words = words_of(chunk)
            known = any(self._known(w) for w in words if not w.same.startswith("+"))
            self._stirring[chunk] = known or any(len(w.same) >= TWICE and self._run_together(w) for w in words)
        return self._stirring[chunk]

    def _in_notes(self, chunk: str) -> bool:
        return any(w in self._noted for w in alike(chunk))

    def _has_half(self, text: str) -> bool:
        """Whether half of a serial number is in a text, as it must be where one sign at most is wrong."""
        plain = "".join(filter(str.isalnum, text.casefold())).translate(_LOOK)
        return any(half in plain for half in self._halves)

    # Names of places and people.

    def _names(self, text: str, words: list[Word]) -> Iterator[Spot]:
        for i, word in enumerate(words):
            if _initial(word) and i + 1 < len(words):
                met = {p for known in self._known(words[i + 1]) for p in self._by_word[known]}
                yield from (spot for p in met if (spot := self._name_at(p, text, words, i)))
            for known, edits in self._known(word).items():
                for p in self._by_word[known]:
                    if spot := self._name_at(p, text, words, i):
                        yield spot
                    elif known in p.alone and _by_itself(text, word, known, edits, person=p.kind in _PERSONS):
                        yield Spot(word.begin, word.end, p.kind, False)
            if len(word.same) >= TWICE and (spot := self._run_together(word)):
                yield spot

    def _known(self, word: Word) -> dict[str, int]:
        """Words of names that a word may be, each with the slips that it takes."""
        same = word.same
        if same not in self._near:
            found = {same: 0} if same in self._by_word else {}
            if len(same) >= ONCE - 1 and not same.startswith("+") and not same.isdigit():
                found |= {k: e for k, e in self._mistyped(same) if k not in found}
            self._near[same] = found
        return self._near[same]

    def _mistyped(self, same: str) -> Iterator[tuple[str, int]]:
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        for known, edits, _ in process.extract(same, self._vocabulary, scorer=OSA.distance, score_cutoff=2, limit=8):
            if len(known) >= ONCE - 1 and edits <= (2 if len(known) >= TWICE else 1):
                yield known, int(edits)

    def _name_at(self, p: Phrase, text: str, words: list[Word], i: int) -> Spot | None:
        """A name that begins with a word, in any order, with joining words and its number between."""
        need, between, first = list(p.words), 0, i
        taken: list[_Match] = []
        for k in range(i, min(i + len(need) * (BETWEEN + 1), len(words))):
            if taken and _parted(text, words[k - 1], words[k]):
                break
            match = self._match(words[k], need)
            if match is None:
                between += 1
                if between > BETWEEN or not (words[k].same in JOINING or words[k].same in p.numbers):
                    break
                continue
            # What joins nothing yet is no part of the name.
            first = first if taken else k
            need.remove(match.known)
            taken.append(match)
            between, last = 0, k
            if not need:
                break
        if not taken:
            return None
        first, last, numbered = _with_number(p, text, words, first, last)
        if not _enough(p, need, taken, numbered):
            return None
        exact = not need and not any(m.slips or m.short for m in taken)
        certain = exact and [m.known for m in taken] == list(p.words)
        return Spot(words[first].begin, max(w.end for w in words[first : last + 1]), p.kind, certain)

    def _match(self, word: Word, need: list[str]) -> _Match | None:
        for known, slips in self._known(word).items():
            if known in need:
                return _Match(known, slips, False, word)
        if _initial(word):
            for known in need:
                if known.lstrip("+").startswith(word.raw.casefold()):
                    return _Match(known, 0, True, word)
        elif word.raw[:1].isupper() and len(word.raw) >= ONCE - 1:
            from rapidfuzz.distance import OSA

            for known in need:
                if known.startswith("+") and OSA.distance(word.same, skeleton(known[1:]), score_cutoff=1) <= 1:
                    return _Match(known, 1, False, word)
        return None

    def _run_together(self, word: Word) -> Spot | None:
        """A whole name in one word, with a slip in it."""
        from rapidfuzz.distance import OSA

        for joined, p in self._joined.items():
            most = 2 if len(joined) >= 12 else 1
            if len(joined) >= TWICE and OSA.distance(word.same, joined, score_cutoff=most) <= most:
                return Spot(word.begin, word.end, p.kind, word.same == joined)
        return None

    # Serial numbers, ways to reach somebody, notes.

    def _serials(self, words: list[Word]) -> Iterator[Spot]:
        from rapidfuzz.distance import OSA

        longest = max(map(len, self._codes)) + 1
        for i in range(len(words)):
            run = ""
            for k in range(i, min(i + 8, len(words))):
                if k > i and words[k].begin - words[k - 1].end > 3:
                    break
                run += words[k].raw.casefold()
                if len(run) > longest:
                    break
                if len(run) > ONCE and any(map(str.isdigit, run)):
                    for code in self._codes:
                        looks = run.translate(_LOOK) == code.translate(_LOOK)
                        if looks or (len(code) > ONCE + 1 and OSA.distance(run, code, score_cutoff=1) <= 1):
                            yield Spot(words[i].begin, words[k].end, "serials", run == code)

    def _contacts(self, text: str, words: list[Word]) -> Iterator[Spot]:
        from rapidfuzz.distance import OSA

        for spelled in self._spelled:
            yield from (Spot(m.start(), m.end(), "contact") for m in spelled.finditer(text))
        for m in _MAIL.finditer(text) if self._mails and "@" in text else ():
            if any(OSA.distance(m[0].casefold(), mail, score_cutoff=2) <= 2 for mail in self._mails):
                yield Spot(m.start(), m.end(), "contact", False)
        calls = [c for c in self._calls if len(c) >= CALL]
        for m in _TELEPHONE.finditer(text) if calls else ():
            found = _digits(m[0])
            if any(OSA.distance(found[-len(c) :], c, score_cutoff=1) <= 1 for c in calls):
                yield Spot(m.start(), m.end(), "contact", False)
        for said, begin, end in _said_numbers(words) if calls else ():
            if any(said.endswith(c) for c in calls):
                yield Spot(begin, end, "contact")

    def _notes(self, words: list[Word]) -> Iterator[Spot]:
        telling = [w for w in words if w.same not in _STOPS]
        begin: tuple[int, int] | None = None
        for i in range(len(telling) + 1):
            need = self._rows.get(tuple(w.same for w in telling[i : i + ROW])) if i + ROW <= len(telling) else None
            if need is not None:
                begin = (i, need) if begin is None else (begin[0], min(begin[1], need))
            elif begin is not None:
                if i + ROW - 1 - begin[0] >= begin[1]:
                    yield Spot(telling[begin[0]].begin, telling[i + ROW - 2].end, "notes", False)
                begin = None


@dataclass(frozen=True, slots=True)
class _Match:
    """A word of a text taken for one of a name: with slips, or only its first letter."""

    known: str
    slips: int
    short: bool
    word: Word


def _enough(p: Phrase, need: list[str], taken: list[_Match], numbered: bool) -> bool:
    """Whether what was found of a name tells it."""
    own = [m for m in taken if not m.known.startswith("+")]
    whole = [m for m in own if not m.short and len(m.known) > 3]
    slips = sum(m.slips for m in taken)
    if slips > (2 if sum(len(m.known) for m in taken) >= TWICE else 1):
        return False
    if not need and len(p.words) == 1:
        return not slips or (len(own[0].known) > ALONE and own[0].word.raw[:1].isupper())
    if not need:
        return bool(whole)
    # A street that goes without saying, before its number.
    return numbered and all(n.startswith("+") for n in need) and bool(whole) and whole[0].word.raw[:1].isupper()


def _with_number(p: Phrase, text: str, words: list[Word], first: int, last: int) -> tuple[int, int, bool]:
    """Where a name begins and ends with the number of its house."""
    numbered = any(w.same in p.numbers for w in words[first : last + 1])
    for step in (-1, 1):
        k = (first if step < 0 else last) + step
        while 0 <= k < len(words) and words[k].same in JOINING and words[k].same != "in":
            k += step
        near = 0 <= k < len(words) and words[k].same in p.numbers
        if near and not _parted(text, words[min(k, k - step)], words[max(k, k - step)]):
            first, last, numbered = min(first, k), max(last, k), True
    return first, last, numbered


_PARTED = re.compile(r"[.!?;:]\s|[|<>]|\n\s*\n|\(|\)")


def _parted(text: str, one: Word, other: Word) -> bool:
    """Whether a sentence, a cell or a paragraph ends between two words; a stop behind a short form ends nothing."""
    between = text[one.end : other.begin]
    if len(one.raw) <= 3 and between.startswith(". "):
        between = between[2:]
    return len(between) > 12 or bool(_PARTED.search(between))


def _initial(word: Word) -> bool:
    return len(word.raw) == 1 and word.raw.isupper()


def _by_itself(text: str, word: Word, known: str, slips: int, *, person: bool) -> bool:
    """Whether one word of a name is written as a name is: where no sentence begins, or of a person anywhere."""
    if not word.raw[:1].isupper():
        return False
    if not slips:
        return person or _amid(text, word)
    titled = person and _behind_title(text, word)
    return slips == 1 and len(known) >= (ONCE if titled else TWICE)


def _behind_title(text: str, word: Word) -> bool:
    """Whether what stands before a word makes it somebody's name."""
    before = re.search(r"([^\W\d_]+)\.?\s+$", text[: word.begin])
    return before is not None and before[1].casefold() in _TITLES


def _amid(text: str, word: Word) -> bool:
    """Whether a word stands within a sentence, where only names begin with a capital."""
    before = text[: word.begin].rstrip(" \t\n*_\"'“‘(")
    return bool(before) and before[-1] not in ".!?:;|>-#"


def _initials(p: Phrase) -> re.Pattern[str]:
    letters_of = [re.escape(w[0].upper()) for w in p.words]
    return re.compile(r"(?<!\w)" + r"\.\s?".join(letters_of) + r"\.(?!\w)")


def _shortened(place: str) -> Iterator[re.Pattern[str]]:
    """A street cut short before its number, and a word of a place with a hyphen in it."""
    for street, number in re.findall(r"([^\W\d_]{6,})\s+(\d{1,4}[a-z]?)(?!\w)", place):
        yield re.compile(rf"(?<!\w){street[:4]}[^\W\d_]{{0,8}}\.\s?{number}(?!\w)", re.IGNORECASE)
    for word in re.findall(r"[^\W\d_]{6,}", place):
        yield re.compile(rf"(?<!\w)(?={word[:2]})(?=\w+-\w+\b){'-?'.join(word)}(?!\w)", re.IGNORECASE)


def _spelled(mail: str) -> re.Pattern[str]:
    """An address of mail with its signs in words."""
    signs = {"@": r"[\W_]{0,4}(?:@|at|ät)[\W_]{0,4}", ".": r"[\W_]{0,4}(?:\.|dot|punkt|punktum)[\W_]{0,4}", "-": r"\W?"}
    return re.compile("".join(signs.get(c) or re.escape(c) for c in mail), re.IGNORECASE)


def _digits(text: str) -> str:
    return "".join(filter(str.isdigit, text)).lstrip("0")


def _said_numbers(words: list[Word]) -> Iterator[tuple[str, int, int]]:
    """Numbers said digit by digit, in words."""
    run: list[Word] = []
    for word in [*words, Word("", "", 0, 0)]:
        if word.same.isdigit() and word.raw.isalpha():
            run.append(word)
        else:
            if len(run) > ONCE:
                yield "".join(w.same for w in run), run[0].begin, run[-1].end
            run = []


def _rows(notes: Iterable[str]) -> dict[tuple[str, ...], int]:
    """Telling words of notes in rows, each with how many in a row tell the note: half of it, at most eight."""
    rows: dict[tuple[str, ...], int] = {}
    for note in notes:
        telling = [w.same for w in words_of(note) if w.same not in _STOPS]
        need = max(ROW, min(len(telling) // 2, 8))
        for i in range(len(telling) - ROW + 1):
            row = tuple(telling[i : i + ROW])
            rows[row] = min(need, rows.get(row, need))
    return rows
