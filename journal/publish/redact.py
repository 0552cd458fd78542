"""A story as one reader may have it: copied, and in the copy what may not go out is not there.

Whatever is handed to a template or a picture comes from here. Records become :class:`Plain` copies, which know
nothing of the journal; views and findings are built anew from redacted parts. Private fields are emptied, private
words are taken out of every text. What is of a kind that nobody thought of is an error, never a leak.
"""

from __future__ import annotations

import contextlib
import dataclasses
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar, cast
from weakref import WeakKeyDictionary

import numpy as np

from calc.finding import Effect, Finding, Input, Source
from calc.machine import catalogue
from journal.book.tables import Attachment, Build, Numbered, Record
from journal.publish import private
from journal.publish.finds import Find
from journal.publish.likeness import Likeness
from journal.publish.numbers import MachineTold
from journal.publish.scrub import Scrub, pieces
from journal.publish.story import Story, Tale
from journal.publish.suspects import suspects
from journal.review.counsel import ByCause

T = TypeVar("T")

#: Texts that hold nothing that anybody typed: days, words of closed sets, our own cautions. Programs read them.
FIXED = frozenset(
    {
        "recorded_at", "began", "ended", "happened", "taken", "said_on", "fitted_on", "decided_on", "review_on",
        "reviewed_on", "until", "frozen_at", "today", "on", "id", "quantity", "expects_quantity", "rule", "mechanism",
        "symptoms", "media_type", "caution", "turn",
    }
)  # fmt: skip
#: Names of sheet values and of what a finding is about; a label in them may be the builder's own word.
PATHS = frozenset({"path", "subject", "missing", "paths", "clears", "eases", "breaks", "blurs"})
#: What is told as it stands once it is let in, whoever's name is in it.
WHOLE = frozenset({"place", "builder", "contact", "serials", "people"})
#: How :mod:`calc.rules` tells what a cable costs, from the price of a metre on the sheet.
_COST = re.compile(r" for about \d+(?:\.\d+)?")
_LABEL = "left-out"
#: The name of a file that tells no more than what is in it: words, and numbers of at most two digits.
_PLAIN_NAME = re.compile(r"(?:[A-Za-z]{1,20}|(?<![0-9])[0-9]{1,2}(?![0-9])|[ _-]){1,40}\.[A-Za-z0-9]{1,5}")


class Plain:
    """A copy of one record, for reading only: its fields, its reference, and nothing behind them."""

    __slots__ = ("_fields",)
    _fields: Mapping[str, Any]

    def __init__(self, fields: dict[str, Any]) -> None:
        object.__setattr__(self, "_fields", MappingProxyType(fields))

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_") or name not in self._fields:
            raise AttributeError(f"there is no {name!r} here")
        return self._fields[name]

    def __setattr__(self, name: str, value: Any) -> None:
        raise AttributeError(f"{name!r} is only to be read")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"{name!r} is only to be read")

    def __dir__(self) -> Iterable[str]:
        return list(self._fields)

    def __repr__(self) -> str:
        return ", ".join(f"{name}: {value}" for name, value in self._fields.items() if value is not None)


@dataclass(frozen=True, eq=False)
class Redacted:
    """A story as one reader may have it.

    Parameters
    ----------
    story : Story
        Of the same shape as what was gathered, in redacted copies.
    shown : frozenset of str
        Which kinds of private things are in it; of :data:`journal.publish.private.KINDS`.
    left_out : tuple of str
        Kinds of what was taken out of it.
    machines : mapping of str to MachineTold
        Numbers of each revision by its reference; not for templates.
    photos : mapping of str to Path
        Copies of the attachments in the story that may be published, by reference; not for templates.
    scrub : Scrub
        Takes private words out of a text.
    finds : tuple of Find
        Private words that were taken out of texts, and where they stood.
    suspects : tuple of Find
        What stayed, though it looks private.
    """

    story: Story
    shown: frozenset[str]
    left_out: tuple[str, ...]
    machines: Mapping[str, MachineTold]
    photos: Mapping[str, Path]
    scrub: Scrub
    finds: tuple[Find, ...] = ()
    suspects: tuple[Find, ...] = ()


def for_reader(tale: Tale, shown: frozenset[str], passed: frozenset[str] = frozenset()) -> Redacted:
    """Copy a story for a reader, without what that reader may not have.

    Parameters
    ----------
    tale : Tale
        What :func:`journal.publish.story.tell` gathered; it is not changed.
    shown : frozenset of str
        Kinds of private things that are let in.
    passed : frozenset of str
        By their :attr:`Find.key`, words that only looked private and may be told.
    """
    asked, last = (shown, passed), _last.get(tale)
    if last is None or last[0] != asked:
        # A page is mostly made twice, in Markdown and in HTML.
        last = _last[tale] = asked, _for_reader(tale, shown, passed)
    return last[1]


_last: WeakKeyDictionary[Tale, tuple[tuple[frozenset[str], frozenset[str]], Redacted]] = WeakKeyDictionary()


def _for_reader(tale: Tale, shown: frozenset[str], passed: frozenset[str]) -> Redacted:
    redactor = _Redactor(tale, shown, passed)
    story = redactor.copied(tale.story)
    taken = redactor.taken | redactor.scrub.taken
    return Redacted(
        story=story,
        shown=shown & frozenset(private.PRIVATE),
        left_out=tuple(said for kind, said in private.KINDS.items() if kind in taken),
        machines=tale.machines,
        photos={ref: path for ref, path in tale.photos.items() if ref in redactor.files},
        scrub=redactor.scrub,
        finds=tuple(redactor.finds),
        suspects=tuple(redactor.suspects),
    )


def _scrub(tale: Tale, shown: frozenset[str], passed: frozenset[str] = frozenset()) -> Scrub:
    """What takes private words out of the texts of a tale."""
    public = tale.story.build.region or ""
    known = {k: [p for t in texts for p in pieces(k, t, public)] for k, texts in tale.secrets.items()}
    kept = [t for kind, texts in tale.secrets.items() if kind in shown & WHOLE for t in texts]
    hidden = {kind: texts for kind, texts in known.items() if kind not in shown}
    like = Likeness({kind: texts for kind, texts in tale.secrets.items() if kind not in shown}, public)
    return Scrub(hidden, kept, None if "prices" in shown else tale.currencies, like, passed)


def _whose(value: Any) -> str | None:
    """What a record, or a view of one, is called."""
    if isinstance(value, Numbered):
        return value.ref
    if isinstance(value, Build):
        return "build"
    if isinstance(value, Record):
        return type(value).__name__.lower()
    first = getattr(value, names[0]) if (names := _fields(value.__class__)) else None
    return first.ref if isinstance(first, Numbered) else None


class _Sort(Enum):
    """How something is copied."""

    ITSELF, TEXT, MANY, NAMED, THING = range(5)


@cache
def _sort(kind: type) -> _Sort:
    """How what is of a type is copied; a story has a few dozen types and hundreds of thousands of things."""
    if issubclass(kind, (type(None), bool, int, float, np.generic, Enum, Source)):
        return _Sort.ITSELF
    if issubclass(kind, str):
        return _Sort.TEXT
    if issubclass(kind, (list, tuple, set, frozenset)):
        return _Sort.MANY
    return _Sort.NAMED if issubclass(kind, Mapping) else _Sort.THING


@cache
def _fields(kind: type) -> tuple[str, ...]:
    """Names of the fields of a dataclass that it is made from; of anything else none."""
    return tuple(f.name for f in dataclasses.fields(kind) if f.init) if dataclasses.is_dataclass(kind) else ()


class _Redactor:
    """Copies anything that a story is made of, each thing once."""

    def __init__(self, tale: Tale, shown: frozenset[str], passed: frozenset[str] = frozenset()) -> None:
        self.shown = shown
        self.scrub = _scrub(tale, shown, passed)
        #: What was taken out of texts, and what stayed in them though it looks private; each once, in order.
        self.finds: dict[Find, None] = {}
        self.suspects: dict[Find, None] = {}
        #: Whose texts are being copied; ours are looked at by nobody but for what is private.
        self._whose: list[str] = []
        self._ours = 0
        #: Kinds of which a whole field or file was taken out.
        self.taken: set[str] = set()
        #: References of the attachments that went in and may be published.
        self.files: set[str] = set()
        self._copies: dict[int, tuple[Any, Any]] = {}
        self._inputs: dict[Input, Input] = {}
        self._labels: dict[str, str] = {}

    def copied(self, value: T, name: str = "") -> T:
        """A redacted copy of a value that stands under a name."""
        return cast(T, self._copied(value, name))

    def _copied(self, value: Any, name: str) -> Any:
        sort = _sort(value.__class__)
        if sort is _Sort.ITSELF:
            return value
        if sort is _Sort.TEXT:
            return self._text(value, name)
        if sort is _Sort.MANY:
            return tuple(self._copied(v, name) for v in value if not self._withheld(v))
        if sort is _Sort.NAMED:
            kept = {k: v for k, v in value.items() if not self._hides(str(k))}
            return MappingProxyType({self._key(k): self._item(v, str(k)) for k, v in kept.items()})
        if isinstance(value, Input):
            # Hundreds of findings name the same few inputs.
            if value not in self._inputs:
                self._inputs[value] = self._rebuilt(value)
            return self._inputs[value]
        if id(value) not in self._copies:
            # The original is kept with its copy, so that no other thing takes its number meanwhile.
            self._copies[id(value)] = value, self._rebuilt(value)
        return self._copies[id(value)][1]

    def _rebuilt(self, value: Any) -> Any:
        with self._owner(value):
            if isinstance(value, Record):
                return self._record(value)
            if isinstance(value, Finding):
                value = self._priceless(value)
            if isinstance(value, ByCause) and "prices" not in self.shown:
                value = dataclasses.replace(value, do=_COST.sub("", value.do))
            if dataclasses.is_dataclass(value) and not isinstance(value, type):
                names = _fields(value.__class__)
                return type(value)(**{name: self._field(getattr(value, name), name) for name in names})
        raise TypeError(f"A {type(value).__name__} in a story cannot be redacted")

    @contextlib.contextmanager
    def _owner(self, value: Any) -> Iterator[None]:
        """Whose texts are copied meanwhile, so that what is found in them can be told with its place."""
        whose = _whose(value)
        if whose is not None and isinstance(value, Record) and not isinstance(value, Numbered | Build):
            whose = " ".join([*self._whose[-1:], whose])
        if whose is not None:
            self._whose.append(whose)
        self._ours += isinstance(value, Finding)
        yield
        self._ours -= isinstance(value, Finding)
        if whose is not None:
            self._whose.pop()

    def _record(self, record: Record) -> Plain:
        words = type(record).words
        own = private.OF_THE_BUILD if isinstance(record, Build) else {}
        fields: dict[str, Any] = {}
        for name in type(record).model_fields:
            value = getattr(record, name)
            if name == "filename":
                fields[name] = self._file_name(value)
            else:
                fields[name] = value if name in words else self._field(value, name, own.get(name))
        if isinstance(record, Build) and record.promise:
            fields["promise"] = self._promised(record.promise)
        if isinstance(record, Numbered):
            fields["ref"] = record.ref
        if isinstance(record, Attachment) and not record.private:
            self.files.add(record.ref)
        return Plain(fields)

    def _promised(self, text: str) -> str:
        """A promise without what is private; whose it is stays told where the name is left out."""
        for spot in reversed(self.scrub.look(text).spots):
            if spot.kind == "builder":
                text = f"{text[: spot.begin]}the builder{text[spot.end :]}"
        return self.scrub(text)

    def _file_name(self, name: str) -> str:
        """The name of a file for who has everything; for others only where it is plain, as many tell place or day."""
        like = self.scrub.like
        if "files" in self.shown:
            return name
        plain = _PLAIN_NAME.fullmatch(name) and self.scrub.look(name).text == name and not (like and like.touches(name))
        return name if plain else ""

    def _field(self, value: Any, name: str, kind: str | None = None) -> Any:
        """The value of a field, or nothing in its place."""
        kind = kind or private.FIELDS.get(name)
        if name not in private.NEVER and (kind is None or kind in self.shown):
            # Nobody is warned of a telephone number that is let in as whom to call.
            self._ours += kind in WHOLE
            copied = self._copied(value, name)
            self._ours -= kind in WHOLE
            return copied
        if kind and value not in (None, "", {}):
            self.taken.add(kind)
        return None

    def _item(self, value: Any, key: str) -> Any:
        # A thing that goes by a label is no field, whatever its builder called it.
        return self._copied(value, key) if dataclasses.is_dataclass(value) else self._field(value, key)

    def _withheld(self, value: Any) -> bool:
        """Whether a thing in a list is private as a whole: a file, a price, or a row of the sheet."""
        if isinstance(value, Attachment) and value.private and "files" not in self.shown:
            self.taken.add("files")
            return True
        if isinstance(value, Effect) and value.name == "cost" and "prices" not in self.shown:
            self.taken.add("prices")
            return True
        path = getattr(value, "path", None)
        return isinstance(path, str) and self._hides(path)

    def _hides(self, path: str) -> bool:
        """Whether a name is one of the sheet's whose value is private."""
        group, *_, name = path.split(".") if "." in path else ("", path)
        kind = private.FIELDS.get(name) if group in catalogue.GROUPS else None
        if kind is None or kind in self.shown:
            return False
        self.taken.add(kind)
        return True

    def _priceless(self, finding: Finding) -> Finding:
        """A finding of which the words do not tell what its remedy would cost."""
        if "prices" in self.shown:
            return finding
        return dataclasses.replace(finding, remedy=_COST.sub("", finding.remedy))

    def _text(self, text: str, name: str) -> str:
        if name in FIXED:
            return text
        return self._path(text) if name in PATHS else self._told(text, name)

    def _told(self, text: str, name: str) -> str:
        """A free text without what is private, that being told with its place."""
        found = self.scrub.look(text)
        for spot in found.spots:
            line = text.count("\n", 0, spot.begin) + 1
            self.finds[Find(spot.kind, self._where(name), line, text[spot.begin : spot.end], spot.certain)] = None
        if not self._ours and "files" not in self.shown:
            self._suspect(found.text, name)
        return found.text

    def _where(self, name: str) -> str:
        return ", ".join([*self._whose[-1:], name.replace("_", " ")])

    def _suspect(self, text: str, name: str) -> None:
        for what, begin, end in suspects(text):
            where = self._where(name)
            self.suspects[Find(what, where, text.count("\n", 0, begin) + 1, text[begin:end])] = None

    def _key(self, key: Any) -> Any:
        """A key as it may stand: of the sheet's names only the label, of other texts the words."""
        if not isinstance(key, str):
            return key
        try:
            catalogue.split(key)
        except KeyError:
            # Labels stand alone where things of a sheet are told apart by them.
            return self._label(key)
        return self._path(key)

    def _path(self, path: str) -> str:
        group, *rest = path.split(".")
        if group in catalogue.LABELLED and rest:
            rest[0] = self._label(rest[0])
        return ".".join([group, *rest])

    def _label(self, label: str) -> str:
        """A label, or another where it tells something private; the same one each time."""
        if label not in self._labels:
            made = label
            if self.scrub(label) != label:
                count = sum(other.startswith(_LABEL) for other in self._labels.values())
                made = f"{_LABEL}-{count + 1}" if count else _LABEL
            self._labels[label] = made
        return self._labels[label]
