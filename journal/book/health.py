"""Whether a journal is whole: what the database says of itself, references, history, records, and attached files."""

from __future__ import annotations

import contextlib
import json
import re
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import exc, text
from sqlalchemy.engine import Connection
from sqlmodel import Session, col, select

from journal.book import history, sqlite_file
from journal.book.places import kept_folder, log_of
from journal.book.safe_files import clear_left_over, hash_of, make_folder, temporary_name
from journal.book.tables import NUMBERED, Attachment
from journal.errors import Refused

#: Columns of JSON, which a program reads.
JSON_COLUMNS = {"option": ("changes", "consequences"), "history": ("before", "after")}
_REFERENCE = re.compile(
    r"(?<![\w.])([A-Zr])([1-9]\d{0,4})(?![\w.]|\s?(?:bolt|nut|screw|stud|thread|rod|paper|sheet|x\s?\d))"
)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with a journal.

    Parameters
    ----------
    kind : {"file", "reference", "history", "record", "index", "attachment"}
        What it concerns.
    what : str
        What is wrong, in plain words.
    mend : str
        How it is put right on request; empty where it cannot be.
    lost : str
        What stays lost all the same; empty where nothing does.
    key : tuple
        Of a record: its kind and key; of a row of the history: its number.
    """

    kind: str
    what: str
    mend: str = ""
    lost: str = ""
    key: tuple[Any, ...] = ()


def faults(connection: Connection) -> Iterator[Fault]:
    """What is wrong with the records of a journal, the gravest first; nothing where it is whole.

    Parameters
    ----------
    connection : Connection
        To a journal of the newest version.
    """
    if connection.dialect.name == "sqlite":
        # A server watches over its files and references itself.
        sqlite_file.read_any_text(connection)
        said = sqlite_file.integrity(connection)
        if said:
            # Whatever else could be asked would be asked of a damaged file.
            yield from (Fault("file", f"The file is damaged: {line}", *of_file(said)) for line in said)
            return
        for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
            yield Fault(
                "reference",
                f"{called((table, row), {})} belongs to a record that is not there ({parent})",
                "the history puts both back where it knows them; else the row is taken out, and kept in the copy",
                key=(table, row),
            )
    yield from _of_history(connection)


def of_file(said: list[str]) -> tuple[str, str]:
    """How a damaged file is mended, and what is lost with it, by what the database says of it."""
    if all("index" in line for line in said):
        return "the index is made again", ""
    return (
        "what can still be read goes into a new file, and the history puts back what it knows",
        "perhaps the newest rows",
    )


def schema(connection: Connection) -> Iterator[Fault]:
    """Whether the tables are those that every journal has; of a server its owner sees to that."""
    if connection.dialect.name != "sqlite":
        return
    found, own = sqlite_file.schema_of(connection), sqlite_file.own_schema()
    for name in sorted({*found, *own}):
        if found.get(name) != own.get(name):
            state = (
                "is not there" if name not in found else "is none of a journal" if name not in own else "was changed"
            )
            yield Fault("file", f"What tells how {name} is kept {state}", "the records go into a new file")


def history_rows(connection: Connection) -> list[dict[str, Any]]:
    """The whole history, in order."""
    return [dict(row) for row in connection.execute(text("SELECT * FROM history ORDER BY id")).mappings()]


def found_records(connection: Connection) -> dict[tuple[str, int], dict[str, Any]]:
    """The records as they stand, by kind and key, without their empty columns."""
    found = {}
    for name, kind in history.kept_kinds().items():
        for record in connection.execute(select(kind.__table__)).mappings():  # type: ignore[attr-defined]
            found[name, record["id"]] = {k: v for k, v in record.items() if v is not None and k != "id"}
    return found


def _of_history(connection: Connection) -> Iterator[Fault]:
    rows = history_rows(connection)
    for row in history.broken_links(rows):
        yield Fault(
            "history",
            f"The history was changed or lost a row at its number {row['id']} ({row['action']} {row['ref']})",
            "what its hash tells is put back; else the rows that are there are bound together again, and a row says so",
            "perhaps what was changed or taken out of it",
            (row["id"],),
        )
    readable = [row for row in rows if is_json(row["before"]) and is_json(row["after"])]
    for row in rows:
        if row not in readable:
            yield Fault(
                "history", f"Row {row['id']} of the history cannot be read", "it is passed over", "what it told"
            )
    told, found = history.replayed(readable), found_records(connection)
    for key in sorted({*told, *found}, key=repr):
        if key[0] in history.kept_kinds() and told.get(key) != found.get(key):
            yield _of_record(key, told.get(key), found.get(key))


def _of_record(key: tuple[str, int], told: Mapping[str, Any] | None, found: Mapping[str, Any] | None) -> Fault:
    which = called(key, found or told or {})
    if found is None:
        return Fault("record", f"{which} is in the history but no more in the journal", "it is put back", key=key)
    if told is None:
        return Fault("record", f"{which} is in the journal but not in the history", "the history takes it up", key=key)
    columns = sorted(c for c in {*told, *found} if told.get(c) != found.get(c))
    says = "; ".join(f"{c} is {_brief(found.get(c))} and was left as {_brief(told.get(c))}" for c in columns[:3])
    return Fault("record", f"{which} is not as the history leaves it: {says}", "it is put back as it was left", key=key)


#: Records that have no letter, as people call them.
_CALLED = {
    "partuse": "use of a part", "sheetvalue": "value on a sheet", "sheettext": "comment on a sheet",
    "evidence": "piece of evidence",
}  # fmt: skip


def called(key: tuple[str, int | None], columns: Mapping[str, Any]) -> str:
    """What people call a record: its letter and number where it has them."""
    kind, number = key
    known = history.kept_kinds().get(kind)
    if known is not None and known.letter and columns.get("number"):
        return f"{kind.capitalize()} {known.letter}{columns['number']}"
    named = columns.get("path") or columns.get("name")
    return f"The {_CALLED.get(kind, kind)} with the key {number}" + (f" ({_brief(named)})" if named else "")


def _brief(value: object) -> str:
    shown = repr(value) if isinstance(value, str) else str("empty" if value is None else value)
    return shown if len(shown) <= 40 else f"{shown[:37]}..."


def is_json(value: str | None) -> bool:
    """Whether a text is JSON, or nothing at all."""
    try:
        return value is None or json.loads(value) is not ...
    except (ValueError, RecursionError):
        return False


def unreadable(session: Session) -> Iterator[Fault]:
    """Columns that hold no JSON where a program reads some."""
    for table, columns in JSON_COLUMNS.items():
        for column in columns if table != "history" else ():
            for row in session.connection().execute(text(f'SELECT id, "{column}" FROM "{table}"')):
                if not is_json(row[1]):
                    yield Fault(
                        "record",
                        f"{called((table, row[0]), {})} cannot be read ({column})",
                        "it is put back as it was left",
                    )


def searched(session: Session) -> Iterator[Fault]:
    """Whether words are found where they stand."""
    from journal.book import search

    if search.is_stale(session.connection()):
        yield Fault("index", "The words that are searched are not those of the records", "they are gathered again")


def attached(session: Session) -> Iterator[Fault]:
    """What is wrong with the copies of attached files, by their hashes; one that was given up is not missed."""
    from journal.book.attachments import stored_at, whole_copy

    standing = select(Attachment).where(col(Attachment.withdrawn_because).is_(None))
    for record in session.exec(standing.order_by(col(Attachment.build_id), col(Attachment.number))):
        named = f"{record.ref} ({record.filename})"
        give_up = f"the file: attach it again, or give it up with: galebook withdraw {record.ref} --because ..."
        try:
            file = stored_at(session, record)
            had = hash_of(file) if file.is_file() and not file.is_symlink() else None
        except Refused:
            yield Fault("attachment", f"{named} names no hash", "", give_up, (record.id,))
            continue
        except OSError as e:
            yield Fault("attachment", f"{named} cannot be read ({e.strerror})", "", "", (record.id,))
            continue
        if had != record.sha256:
            state = "is not there" if had is None else "was changed"
            copy = whole_copy(session.info["path"], record.sha256)
            comes_back = "" if copy is None else f"it is taken from {copy.parents[1]}, where its hash is found"
            yield Fault("attachment", f"The file of {named} {state}", comes_back, "" if copy else give_up, (record.id,))


def loose_references(session: Session) -> Iterator[str]:
    """Texts that name a record which is not there, or was withdrawn; perhaps meant otherwise, so only told."""
    known: dict[tuple[int, str], bool] = {}
    for kind in NUMBERED.values():
        for record in session.exec(select(kind)):
            known[record.build_id, record.ref] = record.withdrawn_because is None
    for kind in NUMBERED.values():
        for record in session.exec(select(kind).order_by(kind.build_id, kind.number)):  # type: ignore[arg-type]
            if record.withdrawn_because:
                continue
            for column, value in history.plain(record).items():
                if column in _NO_TEXT or not isinstance(value, str):
                    continue
                for match in _REFERENCE.finditer(value):
                    if match[1] in NUMBERED and match[0] != record.ref and not known.get((record.build_id, match[0])):
                        why = "was withdrawn" if (record.build_id, match[0]) in known else "is not there"
                        yield f"{record.ref}, {column.replace('_', ' ')}: names {match[0]}, which {why}"


_NO_TEXT = frozenset({"about", "sha256", "filename", "media_type", "recorded_at", "serial", "rating", "typed"})


def after_unclean_end(path: Path) -> None:
    """Look through a journal whose last user did not close it, before its log is taken over.

    It is looked at in a copy: a log that belongs to another file would damage this one the moment it is opened.

    Raises
    ------
    Refused
        If the journal and its log do not make a whole one together.
    """
    if found := fault_of_copy(path, log=True):
        raise Refused(
            f"{path} was not closed as it should be, and with what was left over it is not whole: {found}",
            "Nothing was touched; see: galebook doctor",
        )


def fault_of_copy(path: Path, *, log: bool) -> str | None:
    """The first thing wrong with a journal, found in a copy, so that nothing is touched; None where it is whole.

    Parameters
    ----------
    path : Path
        The journal.
    log : bool
        Whether the write-ahead log beside it is part of it.
    """
    folder = kept_folder(path)
    try:
        make_folder(folder)
        clear_left_over(folder)
        return _fault_of_copy_in(folder, path, log=log)
    except OSError:
        # There may be room elsewhere.
        return _fault_of_copy_in(Path(tempfile.gettempdir()), path, log=log)


def _fault_of_copy_in(folder: Path, path: Path, *, log: bool) -> str | None:
    with tempfile.TemporaryDirectory(dir=folder, prefix=f"{temporary_name()}-") as scratch:
        whole = Path(scratch) / "whole.db"
        shutil.copyfile(path, whole)
        if log:
            shutil.copyfile(log_of(path), log_of(whole))
        return first_fault(whole)


def first_fault(path: Path, *, apart: bool = False) -> str | None:
    """The first thing wrong with a journal that nobody else uses; None where it is whole.

    Parameters
    ----------
    path : Path
        The journal.
    apart : bool
        Whether nobody writes to it and it has no log, so that nothing has to be written beside it.
    """
    engine = sqlite_file.engine_of(path, write=False, apart=apart)
    try:
        with contextlib.closing(engine.connect()) as connection:
            if sqlite_file.version_of(connection) != sqlite_file.VERSIONS[-1]:
                return next(iter(sqlite_file.integrity(connection)), None)
            found = next(faults(connection), None)
            return None if found is None else found.what
    except (sqlite3.Error, exc.DatabaseError) as e:
        return sqlite_file.plainly(e)
    finally:
        engine.dispose()
