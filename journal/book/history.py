"""What became of every record: a row for each change, in the same transaction, each row bound to all before it.

The chain of hashes shows whether rows were changed, lost or put in; played from the beginning, the history gives the
records as they stand, so that what was changed behind the program's back shows too.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import event, insert, inspect, text
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session as OrmSession
from sqlmodel import SQLModel

from journal.book import index
from journal.book.tables import Build, History, Numbered, Record, Revision, Setting

#: What of a row its hash covers, in this order; and ``who``, where the row says it, which older ones did not.
COVERED = ("at", "build_id", "kind", "record_id", "ref", "action", "before", "after", "why")


def now() -> str:
    """The time, UTC, ISO 8601, to the second."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def link(previous: str, row: Mapping[str, Any]) -> str:
    """The hash of a row of the history and of all before it, SHA-256 in hexadecimal digits.

    Parameters
    ----------
    previous : str
        That of the row before; empty for the first.
    row : mapping
        Its columns, those of :data:`COVERED`, and ``who`` if there is one.
    """
    signed = [] if row.get("who") is None else [row["who"]]
    told = [previous, *(row[name] for name in COVERED), *signed]
    return hashlib.sha256(json.dumps(told, ensure_ascii=True, separators=(",", ":")).encode()).hexdigest()


def chained(previous: str, rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows in order, each with its hash in ``chain``."""
    made = []
    for row in rows:
        previous = link(previous, row)
        made.append({**row, "chain": previous})
    return made


def last_link(connection: Connection) -> str:
    """The hash of the newest row of a history; empty where there is none."""
    return connection.execute(text("SELECT chain FROM history ORDER BY id DESC LIMIT 1")).scalar() or ""


def last_row(connection: Connection) -> int:
    """The number of the newest row of a history; 0 where there is none."""
    return int(connection.execute(text("SELECT max(id) FROM history")).scalar() or 0)


def broken_links(rows: Iterable[Mapping[str, Any]], previous: str = "") -> Iterator[Mapping[str, Any]]:
    """Rows of a history, in order, that do not follow from the row before them.

    A row that was changed is told once; one that is missing is told by the row behind it.
    """
    for row in rows:
        if link(previous, row) != row["chain"]:
            yield row
        previous = row["chain"]


def replayed(rows: Iterable[Mapping[str, Any]]) -> dict[tuple[str, int], dict[str, Any]]:
    """The records as a history says that they stand: by kind and key, their columns without those that are empty.

    Raises
    ------
    ValueError
        If what a row keeps is no JSON.
    """
    records: dict[tuple[str, int], dict[str, Any]] = {}
    for row in rows:
        key = row["kind"], row["record_id"]
        # A removal that puts a record right is called a correction; it leaves nothing all the same.
        if row["after"] is None:
            records.pop(key, None)
            continue
        columns = {**records.get(key, {}), **(json.loads(row["after"]) if row["after"] else {})}
        records[key] = {name: value for name, value in columns.items() if value is not None}
    return records


def kept_kinds() -> dict[str, type[Record]]:
    """The tables whose every change the history keeps, by the word it has for them."""
    kinds = [m.class_ for m in SQLModel._sa_registry.mappers if issubclass(m.class_, Record)]
    return {kind.__name__.lower(): kind for kind in sorted(kinds, key=lambda k: k.__name__)}


def plain(record: SQLModel) -> dict[str, Any]:
    """The columns of a record, without its key and those that are empty."""
    return {k: v for k, v in record.model_dump().items() if v is not None and k != "id"}


@event.listens_for(OrmSession, "after_flush")
def _keep_history(session: OrmSession, _context: Any) -> None:
    told = [(row, plain(record)) for record in session.new if (row := _added(record))]
    told += [(row, plain(record)) for record in _in_order(session.dirty) if (row := _changed(record))]
    gone = [row for row in map(_removed, session.deleted) if row]
    rows = [*(row for row, _ in told), *gone]
    if rows:
        for row in rows:
            row.update(
                at=now(),
                why=session.info.get("why"),
                who=session.info.get("who"),
                action="correction" if session.info.get("correcting") else row["action"],
            )
        connection = session.connection()
        # Only one writes at a time, so nobody puts a row between.
        if "first" not in session.info:
            session.info["first"] = last_row(connection) + 1
        connection.execute(insert(History), chained(last_link(connection), rows))
        index.keep(connection, [*told, *((row, None) for row in gone)])


def _in_order(records: Iterable[Any]) -> list[Any]:
    """Records that have keys, in an order that does not depend on where they lie in memory."""
    return sorted(records, key=lambda r: (type(r).__name__, getattr(r, "id", None) or 0))


def _row(record: SQLModel, action: str, before: dict[str, Any] | None, after: dict[str, Any] | None) -> dict[str, Any]:
    return {
        "build_id": record.id if isinstance(record, Build) else getattr(record, "build_id", None) or _build_of(record),
        "kind": record.__class__.__name__.lower(),
        "record_id": getattr(record, "id", None),
        "ref": _ref(record),
        "action": action,
        "before": None if before is None else json.dumps(before, ensure_ascii=False),
        "after": None if after is None else json.dumps(after, ensure_ascii=False),
    }


def _parent(record: SQLModel) -> Numbered | None:
    """The numbered record that a row without a number belongs to."""
    session = OrmSession.object_session(record)
    if session is None:
        return None
    from journal.book.tables import Criterion, Decision, Failure, Score

    if isinstance(record, Score):
        return session.get(Decision, session.get_one(Criterion, record.criterion_id).decision_id)
    for column, cls in (("revision_id", Revision), ("failure_id", Failure), ("decision_id", Decision)):
        if (key := getattr(record, column, None)) is not None:
            return session.get(cls, key)
    return None


def _build_of(record: SQLModel) -> int | None:
    parent = _parent(record)
    return None if parent is None else parent.build_id


def _ref(record: SQLModel) -> str:
    if isinstance(record, Numbered):
        return record.ref
    if isinstance(record, Build):
        return record.name
    if isinstance(record, Setting):
        return record.key
    parent = _parent(record)
    name = getattr(record, "path", None) or getattr(record, "name", None)
    detail = name or getattr(record, "called", None) or record.__class__.__name__.lower()
    return f"{parent.ref} {detail}" if parent else str(detail)


def _added(record: Any) -> dict[str, Any] | None:
    return None if isinstance(record, History | Setting) else _row(record, "add", None, plain(record))


def _removed(record: Any) -> dict[str, Any] | None:
    return None if isinstance(record, History | Setting) else _row(record, "remove", plain(record), None)


def _changed(record: Any) -> dict[str, Any] | None:
    if isinstance(record, History | Setting):
        return None
    changes = {a.key: a.history for a in inspect(record).attrs if a.history.has_changes()}
    if not changes:
        return None
    before = {k: (h.deleted[0] if h.deleted else None) for k, h in changes.items()}
    after = {k: (h.added[0] if h.added else None) for k, h in changes.items()}
    return _row(record, "change", before, after)
