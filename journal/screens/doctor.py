"""What is wrong with a journal, in plain words, what can be mended, and what was lost."""

from __future__ import annotations

import dataclasses
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import exc
from sqlmodel import Session, col, func, select

from calc.wording import number_of
from journal.book import health, places, sqlite_file, store, use
from journal.book.backups import folders_beside, kept, way_back
from journal.book.health import Fault
from journal.book.mending import Mended
from journal.book.places import Place
from journal.book.safe_files import left_over
from journal.book.tables import NUMBERED, Attachment
from journal.errors import BadInput, Refused
from journal.screens.terminal import Terminal, screen

#: Faults and remarks told of each sort; of thousands nobody reads more.
MOST = 12


@dataclass(frozen=True)
class Examined:
    """A journal looked through."""

    journal: Place
    faults: list[Fault]
    remarks: list[str]
    records: int
    files: int
    backups: int
    mended: Mended | None = None


def gather_doctor(place: Place, mended: Mended | None = None) -> Examined:
    """Look a journal through, without changing it; of one on a server its records, for the server minds its own files.

    Raises
    ------
    NotFound
        If there is none.
    Refused
        If it was written by a newer program.
    """
    seen = Examined(place, [], [], 0, 0, 0, mended)
    if isinstance(place, Path):
        if not place.exists():
            raise store.missing(place)
        seen = _beside(place, mended)
    return seen if seen.faults else _of_the_records(seen)


def _beside(path: Path, mended: Mended | None) -> Examined:
    """The file and its backups."""
    copies = kept(path)
    spoilt = [k.path.name for k in copies if not k.as_found and health.first_fault(k.path, apart=True)]
    remarks = [f"The backup {name} is not whole" for name in spoilt] + _left_over(path)
    return Examined(path, _of_the_file(path), remarks, 0, 0, len(copies), mended)


def _of_the_records(seen: Examined) -> Examined:
    with store.journal(seen.journal) as session:
        connection = session.connection()
        found = [*health.faults(connection), *health.unreadable(session), *health.attached(session)]
        found += [] if found else health.searched(session)
        if any(f.kind == "file" for f in found):
            return dataclasses.replace(seen, faults=found)
        lettered = {str(kind.__tablename__) for kind in NUMBERED.values()}
        return dataclasses.replace(
            seen,
            faults=found,
            remarks=[*seen.remarks, *health.loose_references(session)],
            records=sum(kind in lettered for kind, _ in health.found_records(connection)),
            files=_standing(session) - sum(f.kind == "attachment" for f in found),
        )


def _standing(session: Session) -> int:
    """How many attached files the records name."""
    query = select(func.count()).select_from(Attachment).where(col(Attachment.withdrawn_because).is_(None))
    return session.exec(query).one()


def _of_the_file(path: Path) -> list[Fault]:
    """What keeps a journal from being opened at all."""
    _hold_what_it_is(path)
    try:
        with use.in_use(path, write=True):
            engine = sqlite_file.engine_of(path, write=False)
            with engine.connect() as connection:
                version = sqlite_file.version_of(connection)
                said = sqlite_file.integrity(connection)
                changed = [] if said or version != sqlite_file.VERSIONS[-1] else list(health.schema(connection))
            engine.dispose()
    except Refused as e:
        return [Fault("file", e.what, "what was left over is taken away where the file alone is whole")]
    except (sqlite3.Error, exc.DatabaseError) as e:
        return [Fault("file", f"The file cannot be read: {sqlite_file.plainly(e)}", *_salvage(path))]
    if version is not None and version not in sqlite_file.VERSIONS:
        raise Refused(f"{path} was written by a newer Galebook", "Update Galebook; the file was not touched")
    return changed + [Fault("file", f"The file is damaged: {line}", *health.of_file(said)) for line in said]


def _hold_what_it_is(path: Path) -> None:
    """Hold that a file is a journal, perhaps a damaged one: nothing of another can be mended.

    Raises
    ------
    BadInput
        If it is something else.
    NotFound
        If it is empty.
    """
    if not path.stat().st_size:
        raise store.missing(path)
    if not sqlite_file.looks_like_one(path):
        way = way_back(path) or "Choose another with --journal FILE"
        raise BadInput(f"{path} is not a Galebook journal", way)


def _salvage(path: Path) -> tuple[str, str]:
    return "what can still be read goes into a new file", "perhaps all of it; galebook backups lists copies"


def _left_over(path: Path) -> list[str]:
    texts = places.kept_folder(path) / "texts"
    halves = [half for folder in folders_beside(path) for half in left_over(folder)]
    return [
        *(f"A text that was not taken over: {p}" for p in sorted(texts.glob("*")) if p.is_file()),
        *(f"Half written by a program that was ended: {half}; --mend takes it away" for half in halves),
    ]


def _data(seen: Examined) -> dict[str, Any]:
    return {
        "journal": str(seen.journal),
        "whole": not seen.faults,
        "faults": [{k: v for k, v in dataclasses.asdict(f).items() if k != "key"} for f in seen.faults],
        "remarks": seen.remarks,
        "records": seen.records,
        "files": seen.files,
        "backups": seen.backups,
        "repair": None
        if seen.mended is None
        else {"copy": str(seen.mended.copy), "done": seen.mended.done, "lost": seen.mended.lost},
    }


@screen(_data)
def show_doctor(out: Terminal, seen: Examined) -> None:
    """What was done, if anything was; what is wrong; what may be; what was looked at."""
    if seen.mended is not None:
        out.title("Put right")
        out.line(f"As it was, it is kept at {seen.mended.copy}")
        _some(out, "Done", seen.mended.done)
        _some(out, "Lost", seen.mended.lost)
        out.line()
    if seen.faults:
        out.title(f"{seen.journal} is not whole")
        for fault in seen.faults[:MOST]:
            out.indent(fault.what)
        if len(seen.faults) > MOST:
            out.indent(f"and {len(seen.faults) - MOST} more; see --json")
        _some(
            out,
            "Can be put right" if isinstance(seen.journal, Path) else "Its owner can put right",
            sorted({f"{f.mend[:1].upper()}{f.mend[1:]}" for f in seen.faults if f.mend}),
        )
        _some(out, "May be lost", sorted({f"{f.lost[:1].upper()}{f.lost[1:]}" for f in seen.faults if f.lost}))
        out.line()
        if any(f.mend for f in seen.faults) and isinstance(seen.journal, Path):
            out.line("Mend it with: galebook doctor --mend (a copy is kept first), or go back: galebook backups")
    else:
        out.line(f"{seen.journal} is whole.")
        files, copies = number_of(seen.files, "attached file"), number_of(seen.backups, "backup")
        own = "the file, its references" if isinstance(seen.journal, Path) else "its records"
        out.line(
            f"Looked at: {own}, the history, {number_of(seen.records, 'record')} with all that belongs "
            f"to them against the history, "
            f"{files} by hash, {copies}."
        )
    _some(out, "Worth a look", seen.remarks)


def _some(out: Terminal, title: str, lines: list[str]) -> None:
    more = [f"and {len(lines) - MOST} more; see --json"] if len(lines) > MOST else []
    out.block(title, [*lines[:MOST], *more])
