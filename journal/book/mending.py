"""A journal put right as far as can be: after a copy, from what can be read, from its history, from backups."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import delete, exc, insert, select, update
from sqlalchemy.engine import Connection
from sqlmodel import SQLModel

from calc.wording import number_of
from journal.book import backups, by_hash, health, history, index, search, sqlite_file, store
from journal.book.places import kept_folder, log_of
from journal.book.safe_files import blocks, make_folder, replace, sync_folder, temporary_name, write_new
from journal.book.tables import Attachment, Deed, History
from journal.book.use import alone_with
from journal.errors import Refused

#: How far beyond the last row that could be read others are looked for, where a piece of the file is lost.
BEYOND = 2000
#: The first bytes of every file of SQLite.
_MAGIC = b"SQLite format 3\x00"
#: What a damaged file may say of its own length; no journal comes near it. [bytes]
MOST_BYTES = 1 << 32


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
    history_cut : bool
        Whether rows of the history may have been lost, so that a record that can be read is the newer of the two.
    unread : int
        How often a row could not be read.
    """

    copy: Path
    done: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)
    history_cut: bool = False
    unread: int = 0


def mend(path: Path) -> Mended:
    """Put a journal right.

    Raises
    ------
    Refused
        If somebody has it open, or nothing of it can be read; it is then as it was.
    """
    with alone_with(path):
        backups.clear_beside(path)
        mended = Mended(_as_it_is(path))
        _take_log_over_or_away(path, mended)
        if not _is_sound(path):
            _save_rows(path, mended)
        engine = sqlite_file.engine_of(path, write=True, references=False)
        with sqlite_file.plain_errors(path), engine.begin() as connection:
            _by_history(connection, mended)
            if search.is_stale(connection) or not index.is_sound(connection):
                search.rebuild(connection)
                mended.done.append("The words that are searched were gathered again")
        engine.dispose()
    with store.journal(path) as session:
        _files(session, mended)
    return mended


def _as_it_is(path: Path) -> Path:
    """Keep the file and its log, byte for byte."""
    folder = backups.backups_folder(path) / f"{backups.moment()}-{backups.MENDING}"
    make_folder(folder)
    for file in (path, log_of(path)):
        if file.exists():
            write_new(folder / file.name, blocks(file))
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
        return said == ["ok"] and version is not None and _has_own_tables(path, version[0])
    except sqlite3.DatabaseError:
        return False


def _has_own_tables(path: Path, version: str) -> bool:
    """Whether the tables of a journal of the newest version are as they were made."""
    engine = sqlite_file.engine_of(path, write=False)
    try:
        with contextlib.closing(engine.connect()) as connection:
            return version != sqlite_file.VERSIONS[-1] or not any(health.schema(connection))
    except exc.DatabaseError:
        return False
    finally:
        engine.dispose()


def _save_rows(path: Path, mended: Mended) -> None:
    """Put every row that can still be read into a new file."""
    with sqlite_file.made_empty(path.parent) as half:
        with (
            _laid_out(path) as copy,
            contextlib.closing(sqlite3.connect(copy)) as damaged,
            contextlib.closing(sqlite3.connect(half, isolation_level=None)) as made,
        ):
            made.execute("PRAGMA foreign_keys=OFF")
            damaged.text_factory = sqlite_file.any_text
            made.execute("BEGIN")
            made.execute("DELETE FROM setting")
            counts = {t.name: _save_table(damaged, made, t.name, mended) for t in SQLModel.metadata.sorted_tables}
            made.execute("COMMIT")
        if not counts.get("build") and not counts.get("history"):
            raise Refused(f"Nothing of {path} can be read any more", "See: galebook restore")
        # The log goes last: ended in between, what it holds is still there, and is known not to belong to this file.
        os.replace(half, path)
        sync_folder(path.parent)
        for end in ("-wal", "-shm"):
            path.with_name(path.name + end).unlink(missing_ok=True)
        sync_folder(path.parent)
    mended.done.append(
        f"{number_of(sum(counts.values()), 'row that could be read was', 'rows that could be read were')} "
        "put into a new file"
    )
    if mended.unread:
        mended.lost.append("What could not be read and is not put back by the history, the newest of it above all")


@contextlib.contextmanager
def _laid_out(path: Path) -> Iterator[Path]:
    """A copy of a damaged file with its log, as long as it says that it is: of one cut off, nothing would be read."""
    with tempfile.TemporaryDirectory(dir=kept_folder(path), prefix=f"{temporary_name()}-") as scratch:
        copy = Path(scratch) / path.name
        for file in (path, log_of(path)):
            if file.exists():
                shutil.copyfile(file, copy.with_name(file.name))
        with copy.open("r+b") as stream:
            head = stream.read(32)
            if not head.startswith(_MAGIC):
                # The first bytes are always the same; what lies behind them may be whole.
                stream.seek(0)
                stream.write(_MAGIC)
            # The file format of SQLite: bytes 16 and 17 are the size of a page, 1 for 65536; 28 to 31 their number.
            page = int.from_bytes(head[16:18], "big")
            told = (65_536 if page == 1 else page) * int.from_bytes(head[28:32], "big")
            if copy.stat().st_size < told < MOST_BYTES:
                stream.truncate(told)
        _tell_of_own_tables(copy)
        yield copy


def _tell_of_own_tables(copy: Path) -> None:
    """Make a damaged file say of its tables again what every journal does, so that their rows can be read."""
    with contextlib.suppress(sqlite3.Error), contextlib.closing(sqlite3.connect(copy)) as connection, connection:
        connection.execute("PRAGMA writable_schema=ON")
        told = list(sqlite_file.own_schema().items())
        connection.executemany("UPDATE sqlite_master SET sql = ?2 WHERE name = ?1 AND sql <> ?2", told)


def _save_table(damaged: sqlite3.Connection, made: sqlite3.Connection, table: str, mended: Mended) -> int:
    columns = [str(row[1]) for row in made.execute(f'PRAGMA table_info("{table}")')]
    listed = ", ".join(f'"{c}"' for c in columns)
    count, before = 0, mended.unread
    for row in _readable(damaged, table, listed, mended):
        with contextlib.suppress(sqlite3.Error):
            # Text goes as its bytes, for it need not be text any more.
            values = [v.encode(errors="surrogateescape") if isinstance(v, str) else v for v in row]
            places = ", ".join("CAST(? AS TEXT)" if isinstance(v, str) else "?" for v in row)
            made.execute(f'INSERT INTO "{table}" ({listed}) VALUES ({places})', values)
            count += 1
    if table == History.__tablename__:
        mended.history_cut = mended.unread > before
    return count


def _readable(damaged: sqlite3.Connection, table: str, columns: str, mended: Mended) -> Iterator[tuple[Any, ...]]:
    """The rows of a table that can be read, one by one where a piece of the file is lost."""
    key, misses = 0, 0
    while misses < BEYOND and (misses != 1 or _knows_tables(damaged)):
        try:
            row = damaged.execute(
                f'SELECT rowid, {columns} FROM "{table}" NOT INDEXED WHERE rowid > ? ORDER BY rowid LIMIT 1', (key,)
            ).fetchone()
            if row is None:
                return
            if row[0] <= key:
                # A page of zeros gives the same row for ever.
                raise sqlite3.DatabaseError("rows in no order")
            key, misses = row[0], 0
            yield row[1:]
        except (sqlite3.Error, OverflowError, UnicodeError):
            key, misses = key + 1, misses + 1
            mended.unread += 1
            with contextlib.suppress(sqlite3.Error, UnicodeError):
                exact = damaged.execute(f'SELECT {columns} FROM "{table}" WHERE rowid = ?', (key,)).fetchone()
                if exact is not None:
                    misses = 0
                    yield exact


def _knows_tables(damaged: sqlite3.Connection) -> bool:
    """Whether it can be read at all what tables there are; else every row would be tried in vain."""
    try:
        return damaged.execute("SELECT count(*) FROM sqlite_master").fetchone() is not None
    except sqlite3.Error:
        return False


def _by_history(connection: Connection, mended: Mended) -> None:
    """Put back what the history knows, and bind the history together again where it was broken."""
    sqlite_file.read_any_text(connection)
    rows, again = by_hash.found_again(health.history_rows(connection))
    if again:
        mended.done.append(f"Rows of the history were found again by their hashes ({_numbers(again)})")
    broken = list(history.broken_links(rows))
    doubted = {(row["kind"], row["record_id"]) for row in broken}
    rows = [_as_text(row) for row in rows if health.is_json(row["before"]) and health.is_json(row["after"])]
    told = history.replayed(rows)
    news = _clear_unreadable(connection, told, mended)
    found, kinds = health.found_records(connection), history.kept_kinds()
    for key in sorted({*told, *found}, key=_order):
        if key[0] not in kinds or told.get(key) == found.get(key):
            continue
        if (mended.history_cut or key in doubted) and key in told and key in found:
            # What can be read may be newer than what is left of its history.
            news += _taken_as_found(key, told[key], _as_text(found[key]), mended)
        else:
            news += _put_back(connection, kinds[key[0]], key, told.get(key), found.get(key), mended)
    news += _without_owners(connection, mended)
    if mended.history_cut:
        mended.lost.append("Rows of the history, perhaps the newest; records that can be read were left as they are")
    if broken:
        numbers = _numbers([row["id"] for row in broken])
        mended.done.append(f"The history was bound together again (at its numbers {numbers})")
        mended.lost.append("What was changed in the history, or taken out of it, cannot be told from the journal alone")
        news.append(_row("journal", None, "journal", "correction", None, f"history repaired at {numbers}"))
    if news or broken or again:
        connection.execute(delete(History))
        # The rows get other numbers; what one command did can no longer be taken back as one.
        connection.execute(delete(Deed))
        chain = history.chained("", [*rows, *news])
        for part in (chain[: len(rows)], chain[len(rows) :]):
            if part:
                connection.execute(insert(History), part)


def _without_owners(connection: Connection, mended: Mended) -> list[dict[str, Any]]:
    """Take out rows that belong to a record which nothing tells of; what the history takes up of that."""
    news: list[dict[str, Any]] = []
    while lone := connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall():
        for table, key in {(table, int(row)): None for table, row, _, _ in lone}:
            columns = health.found_records(connection).get((table, key), {})
            name = health.called((table, key), columns)
            connection.exec_driver_sql(f'DELETE FROM "{table}" WHERE rowid = {key}')
            mended.lost.append(f"{name}, which belonged to a record that nothing tells of")
            if table in history.kept_kinds():
                ref = f"{table} {key}"
                removal = _row(table, key, ref, "correction", None, "its record is lost", columns.get("build_id"))
                news.append(removal | {"before": json.dumps(_as_text(columns), ensure_ascii=False)})
    return news


def _clear_unreadable(
    connection: Connection, told: dict[tuple[str, int], dict[str, Any]], mended: Mended
) -> list[dict[str, Any]]:
    """Take what is no JSON out of the columns that a program reads; the history puts it back where it knows it."""
    news = []
    for name, columns in health.JSON_COLUMNS.items():
        table = SQLModel.metadata.tables[name]
        for column in columns if name != History.__tablename__ else ():
            for key, value in connection.execute(select(table.c.id, table.c[column])).fetchall():
                if health.is_json(value):
                    continue
                knows = (told.get((name, key)) or {}).get(column)
                empty = None if table.c[column].nullable else "{}"
                connection.execute(update(table).where(table.c.id == key).values(**{column: knows or empty}))
                if knows is None and (name, key) in told:
                    news.append(_row(name, key, name, "correction", {column: empty}, "it could not be read"))
                if knows is not None:
                    mended.done.append(
                        f"{health.called((name, key), told[name, key])} was put back as the history leaves it"
                    )
                if knows is None:
                    mended.lost.append(
                        f"{column} of: {health.called((name, key), told.get((name, key)) or {})}; it could not be read"
                    )
    return news


def _numbers(rows: list[int]) -> str:
    return ", ".join(map(str, rows[:5])) + (" and others" if len(rows) > 5 else "")


def _as_text(row: dict[str, Any]) -> dict[str, Any]:
    """A row that can be written: bytes that are no text become the sign for what cannot be read."""
    return {
        k: v.encode(errors="surrogateescape").decode(errors="replace") if isinstance(v, str) else v
        for k, v in row.items()
    }


def _taken_as_found(
    key: tuple[str, int], told: dict[str, Any], found: dict[str, Any], mended: Mended
) -> list[dict[str, Any]]:
    """What the history takes up of a record where the history itself was damaged."""
    after = {c: found.get(c) for c in sorted({*told, *found}) if told.get(c) != found.get(c)}
    mended.done.append(f"{health.called(key, found)} was left as it is, since its history was damaged")
    return [_row(*key, key[0], "correction", after, "its history was damaged", found.get("build_id"))] if after else []


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
    table, name = kind.__table__, health.called(key, told or found or {})
    if told is None:
        mended.done.append(f"{name} was taken up into the history, which did not know it")
        return [
            _row(
                key[0],
                key[1],
                f"{key[0]} {key[1]}",
                "add",
                found,
                "found without a history",
                (found or {}).get("build_id"),
            )
        ]
    columns = {c.name: told.get(c.name) for c in table.columns if c.name != "id"}
    try:
        with connection.begin_nested():
            if found is None:
                connection.execute(insert(table).values(id=key[1], **columns))
            else:
                connection.execute(update(table).where(table.c.id == key[1]).values(**columns))
    except exc.DatabaseError as e:
        mended.lost.append(f"{name} could not be put back: {sqlite_file.plainly(e)}")
        return []
    mended.done.append(f"{name} was put back as the history leaves it")
    return []


def _files(session: Any, mended: Mended) -> None:
    """Take attached files that are missing or changed from wherever their hash is found."""
    from journal.book.attachments import stored_at, whole_copy

    path: Path = session.info["path"]
    for fault in health.attached(session):
        record = session.get(Attachment, fault.key[0])
        copy = whole_copy(path, record.sha256)
        if copy is None:
            mended.lost.append(f"{fault.what}; no copy of it was found")
            continue
        target = stored_at(session, record)
        make_folder(target.parent)
        if target.is_file():
            # What somebody made of it may be wanted, too.
            write_new(mended.copy.with_name(f"{record.ref}-{target.name}"), blocks(target))
        replace(target, blocks(copy))
        mended.done.append(f"The file of {record.ref} was taken from {copy.parents[1]}")
