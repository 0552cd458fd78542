"""A journal put right as far as can be: after a copy, from what can be read, from its history, from backups."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import delete, exc, insert, update
from sqlalchemy.engine import Connection
from sqlmodel import SQLModel

from journal.book import backups, health, history, index, search, sqlite_file, store
from journal.book.places import log_of
from journal.book.safe_files import blocks, hash_of, make_folder, replace, sync_folder
from journal.book.tables import Attachment, History
from journal.book.use import alone_with
from journal.errors import Refused

#: How far beyond the last row that could be read others are looked for, where a piece of the file is lost.
BEYOND = 2000


@dataclass
class Mended:
    """What was done to a journal.

    Parameters
    ----------
    copy : Path
        Where it is kept as it was.
    done : list of str
        What was put right.
    lost : list of str
        What could not be.
    """

    copy: Path
    done: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)


def mend(path: Path) -> Mended:
    """Put a journal right.

    Raises
    ------
    Refused
        If somebody has it open, or nothing of it can be read; it is then as it was.
    """
    with alone_with(path):
        mended = Mended(_as_it_is(path))
        _take_log_over_or_away(path, mended)
        if not _is_sound(path):
            _save_rows(path, mended)
        engine = sqlite_file.engine_of(path, write=True, references=False)
        with sqlite_file.plain_errors(path), engine.begin() as connection:
            _by_history(connection, mended)
            if search.is_stale(connection) or not index.is_sound(connection):
                search.rebuild(connection)
                mended.done.append("The words that are searched were gathered anew")
        engine.dispose()
    with store.journal(path) as session:
        _files(session, mended)
    return mended


def _as_it_is(path: Path) -> Path:
    """Keep the file and its log, byte for byte."""
    folder = backups.backups_folder(path) / f"{backups.moment()}-before-mending"
    make_folder(folder)
    for file in (path, log_of(path)):
        if file.exists():
            shutil.copyfile(file, folder / file.name)
    sync_folder(folder)
    return folder / path.name


def _take_log_over_or_away(path: Path, mended: Mended) -> None:
    """A log that does not make a whole journal with its file is taken away where the file alone is whole."""
    log = log_of(path)
    if not log.exists() or health.fault_of_copy(path, log=True) is None:
        return
    if health.fault_of_copy(path, log=False) is None:
        log.unlink()
        path.with_name(f"{path.name}-shm").unlink(missing_ok=True)
        mended.done.append("What was left over belonged to another file, and was taken away")
        mended.lost.append("What the last command before had logged may be in neither; compare with the copy")


def _is_sound(path: Path) -> bool:
    """Whether the file can be read through, after its indices were made anew if these are all that is wrong."""
    try:
        with contextlib.closing(sqlite3.connect(path)) as connection:
            said = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(20)")]
            if said != ["ok"] and all("index" in line for line in said):
                connection.execute("REINDEX")
                said = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(20)")]
            version = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.DatabaseError:
        return False
    return said == ["ok"] and version is not None


def _save_rows(path: Path, mended: Mended) -> None:
    """Put every row that can still be read into a new file."""
    with sqlite_file.made_empty(path.parent) as half:
        with (
            contextlib.closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as damaged,
            contextlib.closing(sqlite3.connect(half, isolation_level=None)) as made,
        ):
            made.execute("PRAGMA foreign_keys=OFF")
            made.execute("BEGIN")
            made.execute("DELETE FROM setting")
            counts = {t.name: _save_table(damaged, made, t.name) for t in SQLModel.metadata.sorted_tables}
            made.execute("COMMIT")
        if not counts.get("build") and not counts.get("history"):
            raise Refused(f"Nothing of {path} can be read any more", "See: galebook restore")
        for end in ("-wal", "-shm"):
            path.with_name(path.name + end).unlink(missing_ok=True)
        os.replace(half, path)
        sync_folder(path.parent)
    mended.done.append(f"{sum(counts.values())} rows that could be read were put into a new file")


def _save_table(damaged: sqlite3.Connection, made: sqlite3.Connection, table: str) -> int:
    columns = [row[1] for row in made.execute(f'PRAGMA table_info("{table}")')]
    listed = ", ".join(f'"{c}"' for c in columns)
    places = ", ".join("?" for _ in columns)
    count = 0
    for row in _readable(damaged, table, listed):
        with contextlib.suppress(sqlite3.Error):
            made.execute(f'INSERT INTO "{table}" ({listed}) VALUES ({places})', row)
            count += 1
    return count


def _readable(damaged: sqlite3.Connection, table: str, columns: str) -> Iterator[tuple[Any, ...]]:
    """The rows of a table that can be read, one by one where a piece of the file is lost."""
    key, misses = 0, 0
    while misses < BEYOND:
        try:
            row = damaged.execute(
                f'SELECT rowid, {columns} FROM "{table}" NOT INDEXED WHERE rowid > ? ORDER BY rowid LIMIT 1', (key,)
            ).fetchone()
            if row is None:
                return
            key, misses = row[0], 0
            yield row[1:]
        except (sqlite3.Error, OverflowError, UnicodeError):
            key, misses = key + 1, misses + 1
            with contextlib.suppress(sqlite3.Error, UnicodeError):
                exact = damaged.execute(f'SELECT {columns} FROM "{table}" WHERE rowid = ?', (key,)).fetchone()
                if exact is not None:
                    misses = 0
                    yield exact


def _by_history(connection: Connection, mended: Mended) -> None:
    """Put back what the history knows, and bind the history together anew where it was broken."""
    rows = health.history_rows(connection)
    broken = [row["id"] for row in history.broken_links(rows)]
    rows = [row for row in rows if health.is_json(row["before"]) and health.is_json(row["after"])]
    told, found = history.replayed(rows), health.found_records(connection)
    kinds, news = history.kept_kinds(), []
    for key in sorted({*told, *found}, key=_order):
        if key[0] in kinds and told.get(key) != found.get(key):
            news += _put_back(connection, kinds[key[0]], key, told.get(key), found.get(key), mended)
    if broken:
        numbers = ", ".join(str(n) for n in broken[:5])
        mended.done.append(f"The history was bound together anew (at its numbers {numbers})")
        mended.lost.append("What was changed in the history, or taken out of it, cannot be told from the journal alone")
        news.append(_row("journal", None, "journal", "correction", None, f"history mended at {numbers}"))
    if news or broken:
        connection.execute(delete(History))
        chain = history.chained("", [*rows, *news])
        for part in (chain[: len(rows)], chain[len(rows) :]):
            if part:
                connection.execute(insert(History), part)
    for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall():
        connection.exec_driver_sql(f'DELETE FROM "{table}" WHERE rowid = {int(row)}')
        mended.lost.append(f"Row {row} of {table}, which belonged to a {parent} that nothing tells of")


def _order(key: tuple[str, int]) -> tuple[int, int]:
    """Records that others belong to come first."""
    names = [table.name for table in SQLModel.metadata.sorted_tables]
    return names.index(key[0]) if key[0] in names else len(names), key[1] or 0


def _row(
    kind: str, key: int | None, ref: str, action: str, after: dict[str, Any] | None, why: str, build: int | None = None
) -> dict[str, Any]:
    return {
        "at": history.now(), "build_id": build, "kind": kind, "record_id": key, "ref": ref, "action": action,
        "before": None, "after": None if after is None else json.dumps(after, ensure_ascii=False), "why": why,
    }  # fmt: skip


def _put_back(
    connection: Connection,
    kind: type[Any],
    key: tuple[str, int],
    told: dict[str, Any] | None,
    found: dict[str, Any] | None,
    mended: Mended,
) -> list[dict[str, Any]]:
    """Make one record as the history leaves it; what the history takes up of a record that it does not know."""
    table, name = kind.__table__, f"{key[0]} {key[1]}"
    if told is None:
        mended.done.append(f"The history took up {name}, which it did not know")
        return [_row(key[0], key[1], name, "add", found, "found without a history", (found or {}).get("build_id"))]
    columns = {c.name: told.get(c.name) for c in table.columns if c.name != "id"}
    try:
        with connection.begin_nested():
            if found is None:
                connection.execute(insert(table).values(id=key[1], **columns))
            else:
                connection.execute(update(table).where(table.c.id == key[1]).values(**columns))
    except exc.DatabaseError as e:
        mended.lost.append(f"{name} could not be put back ({e.orig})")
        return []
    mended.done.append(f"{name} was put back as the history leaves it")
    return []


def _files(session: Any, mended: Mended) -> None:
    """Take attached files that are missing or changed from wherever their hash is found."""
    from journal.book.attachments import stored_at

    path: Path = session.info["path"]
    for fault in health.attached(session):
        record = session.get(Attachment, fault.key[0])
        copy = _found(path, record.sha256)
        if copy is None:
            mended.lost.append(f"{fault.what}; no copy of it was found, attach it again")
            continue
        target = stored_at(session, record)
        make_folder(target.parent)
        replace(target, blocks(copy))
        mended.done.append(f"The file of {record.ref} was taken from {copy.parents[1]}")


def _found(path: Path, digest: str) -> Path | None:
    """A whole copy of an attached file: in the backups, or beside any journal in the same folder."""
    folders = [backups.backups_folder(path) / "files", *sorted(path.parent.glob("*.files"))]
    for folder in folders:
        for file in sorted((folder / digest[:2]).glob(f"{digest}*")):
            if file.is_file() and not file.is_symlink() and hash_of(file) == digest:
                return file
    return None
