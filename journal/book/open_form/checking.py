"""Whether what was read makes a whole journal: its history unbroken, its records as the history leaves them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import exc, insert
from sqlalchemy.engine import Connection
from sqlmodel import SQLModel

from journal.book import sqlite_file
from journal.book.history import broken_links, chained, kept_kinds, now, replayed
from journal.book.open_form import shape
from journal.book.open_form.reading import Form, FormRow, cannot_use
from journal.book.open_form.writing import closed
from journal.book.tables import Attachment, Build, History
from journal.errors import Refused

#: How many of the records that differ are named.
_NAMED = 5
_HASH = re.compile(r"[0-9a-f]{64}")


def check(form: Form, correct: str | None = None) -> int:
    """Hold a journal that was read against itself; nothing is written.

    Parameters
    ----------
    form : Form
        What was read.
    correct : str, optional
        The reason for which records may differ from what the history leaves: each difference then becomes a row of
        the history.

    Returns
    -------
    corrected : int
        How many rows were added to the history for that.

    Raises
    ------
    BadInput
        If the history is not whole, or a row breaks a rule of its table.
    Refused
        If records differ from the history and no reason is given.
    """
    _check_history(form)
    for row in form.of(Attachment):
        if not _HASH.fullmatch(row.values["sha256"]):
            cannot_use(row.place.at("sha256"), "it is no hash of a file", "64 hexadecimal digits are")
    differing = list(_differences(form))
    if differing and correct is None:
        named = ", ".join(told for told, _ in differing[:_NAMED])
        more = f" and {len(differing) - _NAMED} more" if len(differing) > _NAMED else ""
        raise Refused(
            f"{len(differing)} record{'s are' if len(differing) > 1 else ' is'} not as the history leaves "
            f"{'them' if len(differing) > 1 else 'it'}: {named}{more}",
            'Put them back; or take them in as corrections with --correct "reason"',
        )
    if differing:
        last = form.history[-1]["chain"] if form.history else ""
        first = form.history[-1]["id"] + 1 if form.history else 1
        rows = [row | {"id": first + n, "at": now(), "why": correct} for n, (_, row) in enumerate(differing)]
        form.history += chained(last, rows)
    _rehearse(form)
    return len(differing)


def _check_history(form: Form) -> None:
    builds, kinds, last = {row.values["id"] for row in form.of(Build)}, kept_kinds(), 0
    for n, row in enumerate(form.history, 1):
        where = f"{shape.HISTORY}, row {n}"
        if not last < (row["id"] or 0):
            cannot_use(where, f"its key {row['id']} does not follow {last}", "Export it again")
        last = row["id"]
        if row["kind"] not in kinds or row["record_id"] is None:
            cannot_use(where, f"it is about no kind of record ({row['kind']!a})", f"Accepted: {', '.join(kinds)}")
        if row["build_id"] is not None and row["build_id"] not in builds:
            cannot_use(where, f"it belongs to a build {row['build_id']} that is not there", "Export it again")
    if broken := next(broken_links(form.history), None):
        place = form.history.index(dict(broken)) + 1
        cannot_use(f"{shape.HISTORY}, row {place}", "it does not follow from the row before it",
              "The history was changed or lost a row; export it again")  # fmt: skip


def _differences(form: Form) -> Iterator[tuple[str, dict[str, Any]]]:
    """What a person would say differs, and the row of history that would say so."""
    told = replayed(form.history)
    found = {
        (name, row.values["id"]): row for name, table in kept_kinds().items() for row in form.of(table)
    }  # fmt: skip
    for key, row in found.items():
        left = told.get(key)
        now_there = {name: value for name, value in row.values.items() if value is not None and name != "id"}
        if left is None:
            yield f"{row.place.at()} (not in the history)", _told(form, row, "add", None, now_there)
        elif left != now_there:
            names = [n for n in dict.fromkeys([*left, *now_there]) if left.get(n) != now_there.get(n)]
            before, after = ({n: each.get(n) for n in names} for each in (left, now_there))
            yield f"{row.place.at(names[0])} ({', '.join(names)})", _told(form, row, "correction", before, after)
    last = {(row["kind"], row["record_id"]): row for row in form.history}
    for key, left in told.items():
        if key not in found:
            gone = last[key]
            row_of = dict.fromkeys(gone) | {name: gone[name] for name in ("build_id", "kind", "record_id", "ref")}
            yield f"{gone['ref']} (gone)", row_of | {"action": "remove", "before": closed(left)}


def _told(
    form: Form, row: FormRow, action: str, before: Mapping[str, Any] | None, after: Mapping[str, Any]
) -> dict[str, Any]:
    return dict.fromkeys(c.name for c in shape.columns(History)) | {
        "build_id": row.build,
        "kind": row.table.__name__.lower(),
        "record_id": row.values["id"],
        "ref": _ref(form, row),
        "action": action,
        "before": None if before is None else closed(before),
        "after": closed(after),
    }


def _ref(form: Form, row: FormRow) -> str:
    """How a record is called, or a row of one."""
    stem = row.place.file.rpartition("/")[2].removesuffix(".toml")
    if row.table is Build:
        return str(row.values["name"])
    detail = next((row.values[n] for n in ("path", "name") if row.values.get(n)), None)
    called = detail or getattr(row.table, "called", "") or row.table.__name__.lower()
    return stem if shape.is_numbered(str(row.table.__tablename__)) else f"{stem} {called}"


def _rehearse(form: Form) -> None:
    """Put everything into a database in memory, which has the rules of the tables."""
    engine = sqlite_file.in_memory()
    with engine.begin() as connection:
        SQLModel.metadata.create_all(connection)
        sqlite_file.references_last(connection)
        for table in SQLModel.metadata.sorted_tables:
            if rows := form.rows.get(table.name):
                _try(connection, table, rows)
        if form.history:
            connection.execute(insert(History), form.history)
    engine.dispose()


def _try(connection: Connection, table: Any, rows: list[FormRow]) -> None:
    try:
        with connection.begin_nested():
            connection.execute(insert(table), [row.values for row in rows])
    except exc.IntegrityError:
        for row in rows:
            _try_one(connection, table, row)
        raise


def _try_one(connection: Connection, table: Any, row: FormRow) -> None:
    try:
        connection.execute(insert(table), row.values)
    except exc.IntegrityError as e:
        cannot_use(row.place.at(), f"the journal would refuse it: {ascii(str(e.orig))[1:-1]}", "See schema.json")
