"""Whether a journal is whole: what the database says of itself, references, history, and the records it leads to."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import exc, text
from sqlalchemy.engine import Connection
from sqlmodel import select

from journal.book import history, sqlite_file
from journal.book.places import kept_folder, log_of
from journal.book.safe_files import make_folder
from journal.errors import Refused


def faults(connection: Connection) -> Iterator[str]:
    """What is wrong with a journal, in plain words, the gravest first; nothing where it is whole.

    Parameters
    ----------
    connection : Connection
        To a journal of the newest version.
    """
    said = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check(5)")]
    if said != ["ok"]:
        # Whatever else could be asked would be asked of a damaged file.
        yield from (f"The file is damaged: {line}" for line in said)
        return
    for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        yield f"Row {row} of {table} belongs to a {parent} that is not there"
    yield from _history_faults(connection)


def _history_faults(connection: Connection) -> Iterator[str]:
    rows = [dict(row) for row in connection.execute(text("SELECT * FROM history ORDER BY id")).mappings()]
    for row in history.broken_links(rows):
        yield f"The history was changed or lost a row at its number {row['id']} ({row['action']} {row['ref']})"
    try:
        told = history.replayed(rows)
    except (ValueError, RecursionError):
        yield "The history holds a row that cannot be read"
        return
    found = {}
    for name, kind in history.kept_kinds().items():
        for record in connection.execute(select(kind.__table__)).mappings():  # type: ignore[attr-defined]
            found[name, record["id"]] = {k: v for k, v in record.items() if v is not None and k != "id"}
    for key in sorted({*told, *found}):
        if told.get(key) != found.get(key):
            yield f"The {key[0]} of key {key[1]} is not as the history leaves it"


def after_unclean_end(path: Path) -> None:
    """Look through a journal whose last user did not close it, before its log is taken over.

    It is looked at in a copy: a log that belongs to another file would damage this one the moment it is opened.

    Raises
    ------
    Refused
        If the journal and its log do not make a whole one together.
    """
    folder = kept_folder(path)
    make_folder(folder)
    with tempfile.TemporaryDirectory(dir=folder, prefix=".galebook-") as scratch:
        whole = Path(scratch) / "whole.db"
        shutil.copyfile(path, whole)
        shutil.copyfile(log_of(path), log_of(whole))
        if found := _first_fault(whole):
            raise Refused(
                f"{path} was not closed as it should be, and with what was left over it is not whole: {found}",
                "Nothing was touched; see: galebook doctor",
            )


def _first_fault(path: Path) -> str | None:
    engine = sqlite_file.engine_of(path, write=False)
    try:
        with contextlib.closing(engine.connect()) as connection:
            if sqlite_file.version_of(connection) != sqlite_file.VERSIONS[-1]:
                said = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check(1)")]
                return None if said == ["ok"] else said[0]
            return next(faults(connection), None)
    except (sqlite3.Error, exc.DatabaseError) as e:
        return str(getattr(e, "orig", e))
    finally:
        engine.dispose()
