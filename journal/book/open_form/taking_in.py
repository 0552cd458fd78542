"""What was read from the open form, taken into a journal: whole or not at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import shutil
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import delete, func, insert, select
from sqlmodel import Session, SQLModel

from journal.book import attachments, backups, search, sqlite_file, store
from journal.book.builds import all_builds
from journal.book.history import chained, kept_kinds, last_link, now
from journal.book.open_form import shape
from journal.book.open_form.checking import check
from journal.book.open_form.reading import Form, FormRow, kept_columns, read_form
from journal.book.open_form.sources import FormSource, opened, to_show
from journal.book.open_form.writing import closed
from journal.book.places import files_folder, kept_folder
from journal.book.plain_text import alike, clean_line, clean_text
from journal.book.safe_files import make_folder, name_new
from journal.book.tables import Attachment, Build, History, Record, Setting
from journal.errors import BadInput, Refused

Keys = dict[str, dict[int, int]]


@dataclass(frozen=True)
class Imported:
    """What came into a journal, or would.

    Parameters
    ----------
    source : str
        The folder or the zip.
    builds : dict of str to str
        The name that each has in the journal now, by that which it had.
    records : dict of str to int
        How many of each kind.
    files : int
        How many attached files.
    size : int
        Their bytes together.
    history : int
        How many rows of history.
    corrected : int
        How many of them tell what was changed by hand.
    aside : list of str
        Files that were none of the form's.
    without : list of str
        Attachments that came without their file.
    new : bool
        Whether the journal was made for it.
    """

    source: str
    builds: dict[str, str]
    records: dict[str, int]
    files: int
    size: int
    history: int
    corrected: int
    aside: list[str] = field(default_factory=list)
    without: list[str] = field(default_factory=list)
    new: bool = False


def take_in(
    journal: Path, given: Path, *, called: str | None = None, correct: str | None = None, only_try: bool = False
) -> Imported:
    """Take a journal, or some builds of one, into a journal; make it where there is none.

    Parameters
    ----------
    journal : Path
        The journal.
    given : Path
        A folder or a zip in the open form.
    called : str, optional
        What the build is to be called here.
    correct : str, optional
        See :func:`journal.book.open_form.checking.check`.
    only_try : bool
        Whether nothing is to be written.

    Raises
    ------
    BadInput
        If anything in it cannot be used.
    Refused
        If a build of that name is there, or what was read does not hold together.
    """
    reason = None if correct is None else clean_text(correct, "The reason")
    with opened(given) as source:
        form = read_form(source)
        corrected = check(form, reason)
        names = _names(form, called)
        told = _told(source, form, corrected, names, new=not journal.exists())
        if only_try:
            _look(journal, source, form, names)
        elif told.new:
            _make(journal, source, form, names)
        else:
            _add(journal, source, form, names)
    return told


def _names(form: Form, called: str | None) -> dict[str, str]:
    builds = form.of(Build)
    if called is None:
        return {row.values["name"]: row.values["name"] for row in builds}
    if len(builds) != 1:
        raise Refused(f"{form.told} holds {len(builds)} builds", "A new name can be given to one that comes alone")
    return {builds[0].values["name"]: clean_line(called, "The name", limit=120)}


def _told(source: FormSource, form: Form, corrected: int, names: dict[str, str], *, new: bool) -> Imported:
    files = [row for row in form.of(Attachment) if row.file]
    counts = Counter({name: len(rows) for name, rows in form.rows.items() if shape.is_numbered(name)})
    return Imported(
        source=source.told,
        builds=names,
        records={kind: n for kind, cls in shape.letters().items() if (n := counts[str(cls.__tablename__)])},
        files=len(files),
        size=sum(source.sizes[row.file] for row in files),
        history=len(form.history),
        corrected=corrected,
        aside=form.aside,
        without=[row.place.file.rpartition("/")[2].removesuffix(".toml")
                 for row in form.of(Attachment) if not row.file],
        new=new,
    )  # fmt: skip


def _look(journal: Path, source: FormSource, form: Form, names: Mapping[str, str]) -> None:
    if journal.exists():
        with store.journal(journal) as session:
            _unused(session, names)
    for row in form.of(Attachment):
        if row.file:
            for _ in _watched(source, row):
                pass


def _unused(session: Session, names: Mapping[str, str]) -> None:
    had = {alike(build.name) for build in all_builds(session)}
    for name in names.values():
        if alike(name) in had:
            alone = "Give it" if len(names) == 1 else "Export that build alone, and give it"
            raise Refused(f"There is already a build called {to_show(name)!r}", f"{alone} another name with --as NAME")


def _make(journal: Path, source: FormSource, form: Form, names: Mapping[str, str]) -> None:
    """Make a journal under another name, and give it its own when it is whole."""
    make_folder(journal.absolute().parent)
    half = journal.with_name(f".galebook-{os.getpid()}-{secrets.token_hex(4)}.db")
    try:
        store.create(half)
        with store.journal(half, write=True) as session:
            _fill(session, source, form, names)
        _move_files(files_folder(half), files_folder(journal))
        name_new(half, journal)
    except FileExistsError as e:
        raise Refused(f"{journal} was made by another program meanwhile", "Nothing was taken in; try again") from e
    except OSError as e:
        raise Refused(f"{journal.parent} cannot be written ({e.strerror})", "Nothing was taken in") from e
    finally:
        for rest in (half, *half.parent.glob(f"{half.name}-*")):
            rest.unlink(missing_ok=True)
        for folder in (files_folder(half), kept_folder(half)):
            shutil.rmtree(folder, ignore_errors=True)


def _move_files(half: Path, target: Path) -> None:
    """Give the folder of attached files its name; or, where one was left, its files their places in it."""
    if not half.is_dir():
        return
    if not target.exists():
        os.rename(half, target)
        return
    for file in sorted(f for f in half.rglob("*") if f.is_file()):
        make_folder((target / file.relative_to(half)).parent)
        os.replace(file, target / file.relative_to(half))


def _add(journal: Path, source: FormSource, form: Form, names: Mapping[str, str]) -> None:
    with store.journal(journal) as session:
        _unused(session, names)
    backups.keep(journal, "before-import")
    with store.journal(journal, write=True) as session:
        _unused(session, names)
        _fill(session, source, form, names)


def _fill(session: Session, source: FormSource, form: Form, names: Mapping[str, str]) -> None:
    connection = session.connection()
    sqlite_file.references_last(connection)
    first = last_link(connection) == "" and not all_builds(session)
    keys = _same(form) if first else _new_keys(session, form)
    renamed = _renamed(form, names)
    if first:
        _settings(session, form)
    for table in SQLModel.metadata.sorted_tables:
        rows = [_row(row, keys, renamed) for row in form.rows.get(table.name, []) if issubclass(row.table, Record)]
        if rows:
            connection.execute(insert(table), rows)
    _add_history(session, form, keys, names, first=first)
    search.rebuild(connection)
    with _files_taken_back(session, form, keys):
        for row in form.of(Attachment):
            if row.file:
                attachments.take_in(session, _watched(source, row), row.values["filename"])
        # What is saved is saved while the files can still be taken back.
        session.commit()


def _same(form: Form) -> Keys:
    return {name: {key: key for key in found} for name, found in _all_keys(form).items()}


def _new_keys(session: Session, form: Form) -> Keys:
    """A key for every row, and for every one that the history tells of, behind those that the journal has."""
    connection = session.connection()
    made: Keys = {}
    for name, found in _all_keys(form).items():
        table = shape.tables()[name]
        kind = table.__name__.lower()
        last = connection.execute(select(func.max(table.__table__.c.id))).scalar() or 0  # type: ignore[attr-defined]
        told = select(func.max(History.record_id)).where(History.kind == kind)  # type: ignore[arg-type]
        last = max(last, connection.execute(told).scalar() or 0)
        made[name] = {key: last + n for n, key in enumerate(sorted(found), 1)}
    return made


def _all_keys(form: Form) -> dict[str, set[int]]:
    kinds = kept_kinds()
    found: dict[str, set[int]] = {str(table.__tablename__): set() for table in kinds.values()}
    for name in found:
        found[name] |= {row.values["id"] for row in form.rows.get(name, [])}
    for row in form.history:
        table = kinds[row["kind"]]
        found[str(table.__tablename__)].add(row["record_id"])
        for _, text in _kept(row):
            told = kept_columns(text)
            for c in shape.columns(table):
                if c.to and isinstance(key := told.get(c.name), int):
                    found[c.to].add(key)
    return found


def _kept(row: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    return ((name, row[name]) for name in ("before", "after") if row[name] is not None)


def _renamed(form: Form, names: Mapping[str, str]) -> dict[int, str]:
    return {row.values["id"]: names[row.values["name"]] for row in form.of(Build)}


def _row(row: FormRow, keys: Keys, names: Mapping[int, str]) -> dict[str, Any]:
    values = _mapped(row.table, row.values, keys) | {"id": keys[str(row.table.__tablename__)][row.values["id"]]}
    return values | ({"name": names[row.values["id"]]} if row.table is Build else {})


def _mapped(table: type[SQLModel], values: Mapping[str, Any], keys: Keys) -> dict[str, Any]:
    """The columns of a row with the keys that its records have here."""
    to = {c.name: c.to for c in shape.columns(table) if c.to}
    return {
        name: keys[to[name]][value] if name in to and isinstance(value, int) else value
        for name, value in values.items()
    }


def _settings(session: Session, form: Form) -> None:
    """What concerns the whole journal: it is the same one, in another place."""
    if not form.whole:
        return
    connection = session.connection()
    for table in [t for t in shape.rows_of(None) if form.of(t) and not issubclass(t, Record)]:
        if table is Setting:
            given = [row.values["key"] for row in form.of(Setting)]
            connection.execute(delete(Setting).where(Setting.key.in_(given)))  # type: ignore[attr-defined]
        connection.execute(insert(table), [row.values for row in form.of(table)])


def _add_history(session: Session, form: Form, keys: Keys, names: Mapping[str, str], *, first: bool) -> None:
    connection = session.connection()
    if first:
        rows = form.history
        if rows:
            connection.execute(insert(History), rows)
        renaming = [row for row in form.of(Build) if names[row.values["name"]] != row.values["name"]]
    else:
        rows = [_history_row(row, keys) for row in form.history]
        if rows:
            connection.execute(insert(History), chained(last_link(connection), rows))
        renaming = form.of(Build)
    if renaming:
        end = form.history[-1]["chain"] if form.history else "none"
        why = f"Taken in from {to_show(Path(form.told).name)}, where its history ends with {end}"
        told = [_taken(row, keys, names, why) for row in renaming]
        connection.execute(insert(History), chained(last_link(connection), told))


def _taken(row: FormRow, keys: Keys, names: Mapping[str, str], why: str) -> dict[str, Any]:
    had = row.values["name"]
    name = names[had]
    key = keys[str(Build.__tablename__)][row.values["id"]]
    return {c.name: None for c in shape.columns(History) if c.name not in ("id", "chain")} | {
        "at": now(),
        "build_id": key,
        "kind": Build.__name__.lower(),
        "record_id": key,
        "ref": name,
        "action": "change",
        "before": closed({"name": had}),
        "after": closed({"name": name}),
        "why": why,
    }


def _history_row(row: Mapping[str, Any], keys: Keys) -> dict[str, Any]:
    """A row of the history of another journal, with the keys that its records have here."""
    table = kept_kinds()[row["kind"]]
    made = {name: value for name, value in row.items() if name not in ("id", "chain")}
    made["record_id"] = keys[str(table.__tablename__)][row["record_id"]]
    if row["build_id"] is not None:
        made["build_id"] = keys[str(Build.__tablename__)][row["build_id"]]
    for name, text in _kept(row):
        made[name] = closed(_mapped(table, kept_columns(text), keys))
    return made


def _watched(source: FormSource, row: FormRow) -> Iterator[bytes]:
    """The bytes of an attached file, held against what its record says of it."""
    digest, size = hashlib.sha256(), 0
    if source.sizes[row.file] != row.values["size"]:
        raise BadInput(f"{to_show(row.file)} has not the size that its record says", "Export it again")
    for piece in source.pieces(row.file):
        digest.update(piece)
        size += len(piece)
        yield piece
    if digest.hexdigest() != row.values["sha256"]:
        raise BadInput(f"{to_show(row.file)} is not the file that was attached: its hash is another", "Export it again")


@contextlib.contextmanager
def _files_taken_back(session: Session, form: Form, keys: Keys) -> Iterator[None]:
    """Take files away again that came in, where not all of it could be saved."""
    records = [Attachment(**row.values) for row in form.of(Attachment) if row.file]
    new = [place for record in records if not (place := attachments.stored_at(session, record)).exists()]
    try:
        yield
    except BaseException:
        for place in new:
            place.unlink(missing_ok=True)
            with contextlib.suppress(OSError):
                place.parent.rmdir()
        raise
