"""Finding records by the words in them: best first, the newest first among equals."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sqlalchemy import inspect, text
from sqlalchemy.engine import Connection
from sqlmodel import Session, col, select

from journal.book import history, index
from journal.book.records import current_build
from journal.book.tables import NUMBERED, Build
from journal.errors import BadInput

#: Words of a record of middling length: a longer one must hold a word more often to come before it.
_MIDDLING = 20.0
#: How soon a word that is found once more counts for less; that and the one above as in the ranking called BM25.
_SOON = 1.2
_EXCERPT = 70
_ASKED = re.compile(r'"([^"]*)"|(\S+)')
_LETTER = re.compile(r"([A-Za-z])(\d+)\b")


@dataclass(frozen=True)
class Term:
    """Words that must follow each other; the last may go on unless it was asked for whole."""

    words: tuple[str, ...]
    whole: bool

    @cached_property
    def looked_for(self) -> str:
        """As it stands in :func:`_spread`, without what ends the last word."""
        return " " + "  ".join(self.words)


@dataclass(slots=True)
class Hit:
    """A record that holds all that was asked for."""

    kind: str
    record_id: int
    build_id: int | None
    ref: str
    at: str
    score: float


@dataclass(frozen=True)
class Passage:
    """Where in a record words stand: the column, what stands around them, and whether the record is withdrawn."""

    column: str
    excerpt: str
    withdrawn: bool


def read_terms(asked: str) -> list[Term]:
    """What is looked for: words by their beginning, what stands in quotes whole and in this order.

    Raises
    ------
    BadInput
        If there is no word in it.
    """
    terms = []
    for quoted, bare in _ASKED.findall(asked):
        held = tuple(word for word, *_ in index.words_in(quoted or bare))
        terms += [Term(held, whole=bool(quoted))] if held else []
    if not terms:
        raise BadInput("There is no word to look for", "Type letters or digits, like: galebook search magn")
    return list(dict.fromkeys(terms))


def find(session: Session, terms: Iterable[Term]) -> list[Hit]:
    """Records that hold all terms: in every build, or in the one that was named for this command."""
    wanted = list(terms)
    asked: dict[str, bool] = {}
    for term in wanted:
        for n, word in enumerate(term.words, start=1):
            asked[word] = asked.get(word, False) or term.whole or n < len(term.words)
    only = current_build(session).id if session.info.get("build") else None
    found = []
    for kind, record_id, build_id, ref, at, body in index.rows_with(session.connection(), list(asked.items())):
        if only in (None, build_id) and (score := _score(body, wanted)):
            found.append(Hit(kind, record_id, build_id, ref, at, score))
    found.sort(key=lambda f: (f.score, f.at, f.record_id, f.kind), reverse=True)
    return found


def _spread(body: str) -> str:
    """Words with two spaces between, so that two that follow each other do not share one."""
    return f" {body.replace(' ', '  ')} "


def _score(body: str, terms: Iterable[Term]) -> float:
    """How well a record answers; 0 where it lacks a term. A word that only begins so counts half."""
    spread = _spread(body)
    long = _SOON * (0.25 + 0.75 * (body.count(" ") + 1) / _MIDDLING)
    score = 0.0
    for term in terms:
        whole = spread.count(f"{term.looked_for} ")
        times = whole if term.whole else (whole + spread.count(term.looked_for)) / 2
        if not times:
            return 0.0
        score += times / (times + long)
    return round(score, 6)


def passage(session: Session, found: Hit, terms: Iterable[Term]) -> Passage:
    """Where in a record the words stand: in its column that holds most of them."""
    kind = history.kept_kinds()[found.kind]
    record = session.get_one(kind, found.record_id)
    columns = dict(index.texts(history.plain(record)))
    wanted = list(terms)
    named = [name for name in kind.model_fields if name in columns]
    best = max(named, key=lambda name: sum(_score(index.body_of({name: columns[name]}), [t]) > 0 for t in wanted))
    return Passage(best, excerpt(columns[best], wanted), _withdrawn(session, found))


def excerpt(held: str, terms: Iterable[Term]) -> str:
    """What stands around the first of the words in a text, on one line."""
    begins = {term.words[0]: term.whole or len(term.words) > 1 for term in terms}
    at = next((b for word, b, _ in index.words_in(held) if _begins(word, begins)), 0)
    start = 0 if at < _EXCERPT // 2 or len(held) <= _EXCERPT else at - _EXCERPT // 3
    shown = held[start : start + _EXCERPT]
    if start:
        shown = "..." + shown.partition(" ")[2]
    if start + _EXCERPT < len(held):
        shown = (shown.rpartition(" ")[0] or shown) + "..."
    return " ".join(shown.split())


def _begins(word: str, begins: Mapping[str, bool]) -> bool:
    return any(word == wanted if whole else word.startswith(wanted) for wanted, whole in begins.items())


def _withdrawn(session: Session, found: Hit) -> bool:
    """Whether the numbered record that a row is, or belongs to, was withdrawn."""
    named = _LETTER.match(found.ref)
    kind: Any = NUMBERED.get(named[1]) if named and found.kind != Build.__name__.lower() else None
    if named is None or kind is None:
        return False
    query = select(kind.withdrawn_because).where(kind.build_id == found.build_id, col(kind.number) == int(named[2]))
    return session.exec(query).first() is not None


def _rows(connection: Connection) -> list[dict[str, Any]]:
    """The index as it should be: the records with what the history last said of each."""
    told: dict[tuple[str, int], dict[str, Any]] = {}
    query = "SELECT at, build_id, kind, record_id, ref FROM history ORDER BY id"
    for row in connection.execute(text(query)).mappings():
        told[row["kind"], row["record_id"]] = dict(row)
    made = []
    # As the tables are, not as the program would have them: this runs in the middle of migrations too.
    there = set(inspect(connection).get_table_names())
    for name in (kind for kind in history.kept_kinds() if kind in there):
        for columns in connection.execute(text(f'SELECT * FROM "{name}" ORDER BY id')).mappings():
            unsaid = {"kind": name, "record_id": columns["id"], "build_id": None, "ref": name, "at": ""}
            made.append(index.row_of(told.get((name, columns["id"]), unsaid), dict(columns)))
    return made


def rebuild(connection: Connection) -> None:
    """Make the index anew from the records, as after a migration, or where it is not what it should be."""
    index.make(connection, _rows(connection))


def is_stale(connection: Connection) -> bool:
    """Whether the index is not what the records make it."""
    kept = connection.execute(text("SELECT kind, record_id, build_id, ref, at, body FROM searchtext")).mappings()
    key = lambda row: (row["kind"], row["record_id"])  # noqa: E731
    return sorted(map(dict, kept), key=key) != sorted(_rows(connection), key=key)
