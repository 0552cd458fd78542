"""What must hold of a journal, and of the files beside it, after a command that was ended in whatever way."""

from __future__ import annotations

import contextlib
import re
import sqlite3
import zipfile
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import exc

from journal.book import health, places, sqlite_file, store, tables
from journal.book.safe_files import TEMPORARY
from tests import faults

#: What a command tells of a record that it saved.
_REF = re.compile(r"[A-Zr][1-9]\d*")


def changes(path: Path) -> int:
    """How many rows the history has; none where there is no journal."""
    if not path.exists():
        return 0
    with contextlib.closing(sqlite3.connect(path)) as connection:
        with contextlib.suppress(sqlite3.DatabaseError):
            return int(connection.execute("SELECT count(*) FROM history").fetchone()[0])
        return 0


def wrong(
    folder: Path, command: faults.Command, ended: faults.Ended, had: int, *, beside: Path | None = None
) -> list[str]:
    """What does not hold after a command ended in whatever way.

    Parameters
    ----------
    folder : Path
        Where it ran.
    command : Command
        What was run.
    ended : Ended
        How it ended.
    had : int
        Rows that the history had before.
    """
    path, found = folder / faults.NAME, []
    if ended.code == 70 or "Traceback" in ended.err:
        found.append(f"traceback: {ended.err[-900:]}")
    said = bool(ended.out) or bool(ended.err and "galebook:" not in ended.err)
    if command.state != "spoilt" and path.exists():
        found += in_journal(path)
        found += [f"said, but not on record: {ended.out!r} {ended.err!r}" for _ in "x" if said and not _kept(
            folder, command, ended, had)]  # fmt: skip
    found += _files_wrong(folder)
    found += _not_going_on(folder, command, beside or folder.parent)
    return found


#: Commands after which the history has no more rows than before.
_UNCOUNTED = {"use", "backup", "restore", "writeup", "doctor", "export", "demo", "index", "import"}


def _kept(folder: Path, command: faults.Command, ended: faults.Ended, had: int) -> bool:
    """Whether what a command said is so."""
    first = command.words[0]
    if first == "backup":
        return all((folder / line).is_file() for line in ended.out.split("\n") if line)
    if first == "use":
        return one(folder / faults.NAME, "SELECT count(*) FROM setting s JOIN build b ON s.value = b.name"
                    " OR s.value = CAST(b.id AS TEXT) WHERE b.name = 'Other wheel'") > 0  # fmt: skip
    if first in _UNCOUNTED:
        return True
    refs = [line for line in ended.out.split() if _REF.fullmatch(line)]
    kinds = {table.letter: table.__tablename__ for table in tables.NUMBERED.values()}
    on_record = all(
        one(folder / faults.NAME, f'SELECT count(*) FROM "{kinds[ref[0]]}" WHERE number = {ref[1:]}') for ref in refs
    )
    return on_record and changes(folder / faults.NAME) > had


def one(path: Path, query: str) -> int:
    """The number that a journal gives to a question."""
    with contextlib.closing(sqlite3.connect(path)) as connection:
        return int(connection.execute(query).fetchone()[0])


def in_journal(path: Path) -> list[str]:
    """What is wrong with a journal and its attached files, numbers given twice among it."""
    try:
        return list(_in_journal(path))
    except (sqlite3.DatabaseError, exc.DatabaseError) as e:
        return [str(e)]


def _in_journal(path: Path) -> Iterator[str]:
    engine = sqlite_file.engine_of(path, write=False)
    with contextlib.closing(engine.connect()) as connection:
        newest = sqlite_file.version_of(connection) == sqlite_file.VERSIONS[-1]
        found = [f.what for f in health.faults(connection)] if newest else sqlite_file.integrity(connection)
        twice = connection.exec_driver_sql(
            "SELECT ref FROM history WHERE action = 'add' AND ref GLOB '[A-Zr][0-9]*' AND ref NOT GLOB '* *'"
            " GROUP BY build_id, kind, ref HAVING count(*) > 1"
        ).fetchall()
        yield from found
        yield from (f"the number {ref} was given twice" for (ref,) in twice)
    engine.dispose()
    if newest and not found:
        with store.journal(path) as session:
            yield from (f.what for f in (*health.unreadable(session), *health.attached(session)))


def _files_wrong(folder: Path) -> Iterator[str]:
    """Files under final names that are not whole; copies of journals without their attached files."""
    for file in sorted(folder.rglob("*")):
        if _is_half(file, folder) or not file.is_file() or "before-mending" in str(file):
            continue
        if file.name == "demo.db":
            yield from (f"{file.name}: {w}" for w in in_journal(file))
        elif file.suffix == ".zip":
            yield from (f"{file.name} is cut off" for _ in "x" if not zipfile.is_zipfile(file))
        elif file.suffix == ".db" and file.name != faults.NAME:
            yield from (f"{file.name}: {w}" for w in _copy_wrong(file, folder))
        elif file.suffix in (".png", ".svg", ".html", ".md", ".json", ".toml"):
            yield from (f"{file.name}: {w}" for w in [_half(file)] if w)


def _copy_wrong(file: Path, folder: Path) -> Iterator[str]:
    if said := health.first_fault(file, apart=True):
        yield said
        return
    beside = [places.files_folder(file), file.parent / "files"]
    with contextlib.closing(sqlite3.connect(f"{file.absolute().as_uri()}?immutable=1", uri=True)) as connection:
        for digest, name in connection.execute("SELECT sha256, filename FROM attachment"):
            within = Path(digest[:2]) / f"{digest}{Path(name).suffix}"
            if not any((b / within).is_file() for b in beside):
                yield f"the attached file {name} is not beside it"


def _half(file: Path) -> str:
    """Whether a page, picture or text is cut off."""
    import json
    import tomllib

    from PIL import Image

    data = file.read_bytes()
    try:
        if file.suffix == ".png":
            Image.open(file).load()
        elif file.suffix == ".json":
            json.loads(data)
        elif file.suffix == ".toml":
            tomllib.loads(data.decode())
        elif file.suffix in (".html", ".svg"):
            return "" if data.rstrip().endswith((b"</html>", b"</svg>")) else "is cut off"
        return "" if data.endswith(b"\n") or file.suffix != ".md" else "is cut off"
    except (OSError, ValueError) as e:
        return str(e)


def _done_already(said: str) -> bool:
    return any(words in said for words in ("exists already", "There is already"))


def _not_going_on(folder: Path, command: faults.Command, beside: Path) -> Iterator[str]:
    """The same command, and another, after what happened; what is left over once the doctor was there."""
    before = faults.Worlds(beside).before(command.state)
    repeated = command.state in ("spoilt", "none") or command.words[0] in (
        "writeup",
        "restore",
        "attach",
        "backup",
        "export",
    )
    again = faults.run(command.words, folder, before=before, beside=beside) if repeated else None
    if again and again.code and not _done_already(again.err):
        yield f"the same again: {again}"
    after = faults.run(("attempt", "after that", "--on", "r1"), folder, before=before, beside=beside)
    if after.code and not (command.state == "none" and again and again.code):
        yield f"another after it: {after}"
    if command.state == "older":
        return
    # A whole journal was looked through already; the doctor is asked where it has something to do.
    if command.state != "spoilt" and not any(folder.rglob(f"{TEMPORARY}*")):
        return
    mended = faults.run(("doctor", "--mend"), folder, beside=beside)
    if mended.code:
        yield f"doctor: {mended}"
    yield from (f"left over: {p.relative_to(folder)}" for p in sorted(folder.rglob(f"{TEMPORARY}*")))


def _is_half(file: Path, folder: Path) -> bool:
    return any(part.startswith(TEMPORARY) for part in file.relative_to(folder).parts)
