"""The words of every record, kept so that they are found at once.

Each record has one row of folded words in the table ``searchtext``; over it lies what the database has for finding
words: an FTS5 table on SQLite, a GIN index of a tsvector on PostgreSQL. What a word is is decided here alone, so that
both find the same.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import bindparam, delete, exc, insert, text
from sqlalchemy.engine import Connection
from sqlmodel import col

from journal.book.tables import SearchText

#: Columns of text that nobody types or reads.
NOT_TYPED = frozenset(
    {"recorded_at", "frozen_at", "sha256", "media_type", "consequences", "mapping", "found", "first_at", "last_at"}
)
#: Stands between two columns; no word holds it, so that no phrase reaches from one into the next.
BETWEEN = "|"
#: Letters kept of a word, and of all words of a record: what is longer is no text that a person searches.
LONGEST, MOST = 64, 500_000
#: Words that the database is asked for; further ones are looked for in what it finds.
ASKED = 32
#: Letters that are no plain letter with a mark, as people type them who lack them.
_PLAIN = str.maketrans({"ø": "o", "Ø": "o", "ł": "l", "Ł": "l", "đ": "d", "Đ": "d", "æ": "ae", "Æ": "ae", "œ": "oe"})
_WORD = re.compile(r"(?:[^\W_]|[\u0300-\u036f])+")
_VECTOR = "array_to_tsvector(string_to_array(body, ' '))"
#: What makes the index of each database anew, over the rows that are there.
_MAKE = {
    "sqlite": (
        "DROP TABLE IF EXISTS searchword",
        "DROP TRIGGER IF EXISTS searchword_added",
        "DROP TRIGGER IF EXISTS searchword_removed",
        "CREATE VIRTUAL TABLE searchword USING fts5"
        "(body, content='searchtext', content_rowid='id', tokenize='ascii', detail=none)",
        "INSERT INTO searchword (searchword) VALUES ('rebuild')",
        "CREATE TRIGGER searchword_added AFTER INSERT ON searchtext BEGIN "
        "INSERT INTO searchword (rowid, body) VALUES (new.id, new.body); END",
        "CREATE TRIGGER searchword_removed AFTER DELETE ON searchtext BEGIN "
        "INSERT INTO searchword (searchword, rowid, body) VALUES ('delete', old.id, old.body); END",
    ),
    "postgresql": (
        "DROP INDEX IF EXISTS searchword",
        f"CREATE INDEX searchword ON searchtext USING gin ({_VECTOR})",
    ),
}
_HOLDING = {
    "sqlite": "id IN (SELECT rowid FROM searchword WHERE searchword MATCH :words)",
    "postgresql": f"{_VECTOR} @@ CAST(:words AS tsquery)",
}


def words_in(typed: str) -> Iterator[tuple[str, int, int]]:
    """The words of a text: small letters without accents, and where each begins and ends in it.

    Examples
    --------
    >>> [word for word, *_ in words_in("Späte Böe: 12.1 V, 6 mm²")]
    ['spate', 'boe', '12', '1', 'v', '6', 'mm2']
    """
    for found in _WORD.finditer(typed):
        apart = unicodedata.normalize("NFKD", found[0].translate(_PLAIN)).casefold()
        if plain := "".join(c for c in unicodedata.normalize("NFKD", apart) if c.isalnum()):
            yield plain[:LONGEST], found.start(), found.end()


def texts(columns: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """The columns of a record that hold text, whichever they are, but those that nobody types; by name."""
    kept = sorted(columns.keys() - NOT_TYPED)
    return ((name, columns[name]) for name in kept if isinstance(columns[name], str))


def body_of(columns: Mapping[str, Any]) -> str:
    """All words of a record, column by column."""
    each = (" ".join(word for word, *_ in words_in(held)) for _, held in texts(columns))
    return f" {BETWEEN} ".join(filter(None, each))[:MOST].strip()


def row_of(said: Mapping[str, Any], columns: Mapping[str, Any]) -> dict[str, Any]:
    """The row that a record has in the index.

    Parameters
    ----------
    said : mapping
        What the history says of it: ``kind``, ``record_id``, ``build_id``, ``ref``, and ``at``, when it last changed.
    columns : mapping
        Its columns.
    """
    return {name: said[name] for name in ("kind", "record_id", "build_id", "ref", "at")} | {"body": body_of(columns)}


def keep(connection: Connection, changed: Iterable[tuple[Mapping[str, Any], Mapping[str, Any] | None]]) -> None:
    """Bring the words of records up to date; called with every change that the history keeps.

    Parameters
    ----------
    connection : Connection
        That of the change itself.
    changed : iterable of pairs
        The row of the history, and the columns as they are now; None of a record that was removed.
    """
    told = list(changed)
    old = delete(SearchText).where(
        col(SearchText.kind) == bindparam("of_kind"), col(SearchText.record_id) == bindparam("of_id")
    )
    connection.execute(old, [{"of_kind": row["kind"], "of_id": row["record_id"]} for row, _ in told])
    new = {(row["kind"], row["record_id"]): row_of(row, columns) for row, columns in told if columns is not None}
    if new:
        connection.execute(insert(SearchText), list(new.values()))


def make(connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
    """Make the whole index anew of these rows."""
    name = connection.dialect.name
    if name == "sqlite":
        # Its triggers would take off words that a damaged index does not hold.
        for statement in ("DROP TRIGGER IF EXISTS searchword_removed", "DROP TRIGGER IF EXISTS searchword_added"):
            connection.exec_driver_sql(statement)
    connection.execute(delete(SearchText))
    if rows:
        connection.execute(insert(SearchText), [dict(row) for row in rows])
    for statement in _MAKE[name]:
        connection.exec_driver_sql(statement)


def is_sound(connection: Connection) -> bool:
    """Whether what finds words goes with the rows; a server watches over that itself."""
    if connection.dialect.name != "sqlite":
        return True
    try:
        connection.exec_driver_sql("INSERT INTO searchword (searchword, rank) VALUES ('integrity-check', 1)")
    except exc.DatabaseError:
        return False
    return True


def rows_with(connection: Connection, asked: Sequence[tuple[str, bool]]) -> list[tuple[Any, ...]]:
    """Rows of the index that hold every one of some words.

    Parameters
    ----------
    connection : Connection
        To the journal.
    asked : sequence of pairs
        A word as :func:`words_in` gives it, and whether it must be whole; else it may go on. Those past
        :data:`ASKED` are not looked at.
    """
    name = connection.dialect.name
    first = asked[:ASKED]
    if name == "sqlite":
        query = " ".join(f'"{word}"' + ("" if whole else "*") for word, whole in first)
    else:
        query = " & ".join(f"'{word}'" + ("" if whole else ":*") for word, whole in first)
    columns = "kind, record_id, build_id, ref, at, body"
    found = connection.execute(text(f"SELECT {columns} FROM searchtext WHERE {_HOLDING[name]}"), {"words": query})
    return [tuple(row) for row in found]
