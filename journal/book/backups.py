"""Copies of a journal: those that the program keeps by itself, those that a person asks for, and the way back.

A copy is a journal like any other. Those kept by the program lie in one folder beside it and share one folder of
attached files, by hash, so that a photo is kept once however many copies there are.
"""

from __future__ import annotations

import contextlib
import os
import re
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from calc.wording import number_of
from journal.book import sqlite_file
from journal.book.places import files_folder, kept_folder, log_of
from journal.book.safe_files import (
    blocks,
    clear_left_over,
    hash_of,
    make_folder,
    name_new,
    replace,
    sync_folder,
    write_new,
)
from journal.errors import BadInput, NotFound, Refused

#: Copies of the mornings that are kept: of so many days, and before them of so many weeks.
DAYS, WEEKS = 7, 4
#: Other copies that are kept, such as those before an import.
OTHERS = 6
DAILY = "daily"
_NAME = re.compile(r"(\d{4}-\d{2}-\d{2}T\d{6}\.\d{6}Z)-(.+?)(\.db)?")
#: What the copy of a journal is kept for that is about to be put right.
MENDING = "before-mending"
_FORM = "%Y-%m-%dT%H%M%S.%fZ"
_HASHED = re.compile(r"[0-9a-f]{64}(?:\.[a-z0-9]{1,16})?")


@dataclass(frozen=True, slots=True)
class Kept:
    """One copy that the program keeps.

    Parameters
    ----------
    path : Path
        The file.
    taken : datetime
        When.
    why : str
        What it was kept for.
    as_found : bool
        Whether it is the bare file, byte for byte and perhaps damaged, not a copy that was looked through.
    """

    path: Path
    taken: datetime
    why: str
    as_found: bool = False

    @property
    def last_change(self) -> datetime | None:
        """When the newest change in it was made; None where there is none, or it cannot be read."""
        return last_change(self.path)


def moment() -> str:
    """The time as it stands in the names of copies."""
    return datetime.now(UTC).strftime(_FORM)


def last_change(path: Path) -> datetime | None:
    """When the newest change in a copy was made; None where there is none, or it cannot be read."""
    try:
        with contextlib.closing(_reading(path)) as connection:
            row = connection.execute("SELECT at FROM history ORDER BY id DESC LIMIT 1").fetchone()
        return datetime.fromisoformat(row[0]) if row else None
    except (sqlite3.Error, ValueError, TypeError):
        return None


def _reading(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)


def backups_folder(journal: Path) -> Path:
    """Where the copies of a journal are kept."""
    return kept_folder(journal) / "backups"


def folders_beside(journal: Path) -> list[Path]:
    """Every folder in which something is written for a journal, its own among them."""
    own = [journal.parent, kept_folder(journal), backups_folder(journal), kept_folder(journal) / "texts"]
    for files in (files_folder(journal), backups_folder(journal) / "files"):
        own += [files, *files.glob("??")]
    return own


def clear_beside(journal: Path) -> None:
    """Take away what ended processes left half written beside a journal."""
    for folder in folders_beside(journal):
        clear_left_over(folder)


def kept(journal: Path) -> list[Kept]:
    """The copies that are kept of a journal, newest first."""
    found = []
    for path in backups_folder(journal).glob("*Z-*"):
        match = _NAME.fullmatch(path.name)
        # What is kept as it was found has a folder, for its log belongs to it.
        bare = next(iter(sorted(path.glob("*.db"))), None) if path.is_dir() else None
        if match and (bare or match[3]):
            taken = datetime.strptime(match[1], _FORM).replace(tzinfo=UTC)
            found.append(Kept(bare or path, taken, match[2], as_found=bare is not None))
    return sorted(found, key=lambda k: k.taken, reverse=True)


def way_back(journal: Path) -> str | None:
    """What to do where a journal is gone and copies of it lie beside its place; None where there are none."""
    whole = [(k.last_change or k.taken, -n) for n, k in enumerate(kept(journal), 1) if not k.as_found]
    if not whole:
        return None
    newest = -max(whole)[1]
    return f"Copies of it lie beside its place: galebook backups; go back to the newest: galebook restore {newest}"


def keep(journal: Path, why: str) -> Path:
    """Keep a copy of a journal as it is now, with its files, and let the oldest of its sort go.

    Parameters
    ----------
    journal : Path
        The file.
    why : str
        A word or two for its name, such as ``before-import``.

    Raises
    ------
    Refused
        If it cannot be written.
    """
    folder = backups_folder(journal)
    clear_beside(journal)
    try:
        make_folder(folder)
        target = folder / f"{moment()}-{why}.db"
        # The copy gets its name last: what has the name of a backup has its files too.
        with sqlite_file.copied(journal, folder) as half:
            for home in _homes(journal, half):
                _copy_files(home, folder / "files")
            name_new(half, target)
    except OSError as e:
        raise Refused(f"{folder} cannot be written ({e.strerror})", "Nothing was changed") from e
    _prune(journal)
    return target


def before_migration(journal: Path, version: str) -> Path:
    """Keep a copy of a journal of an older version, before it is brought up to date."""
    return keep(journal, f"version-{version}")


def wanted() -> bool:
    """Whether a copy is kept on each first day of writing; GALEBOOK_BACKUPS=none is for who has other backups."""
    return os.environ.get("GALEBOOK_BACKUPS", "") != "none"


def before_first_change_today(journal: Path) -> None:
    """Keep a copy of how a journal was left, before the first change of a day.

    Raises
    ------
    Refused
        If it cannot be written.
    """
    if not wanted():
        return
    today = datetime.now().astimezone().date()
    days = (k.taken.astimezone().date() for k in kept(journal) if k.why == DAILY)
    if today not in days and _began_before(today, journal):
        keep(journal, DAILY)


def _began_before(today: date, journal: Path) -> bool:
    """Whether there is anything from an earlier day to go back to."""
    with contextlib.suppress(sqlite3.Error), contextlib.closing(sqlite3.connect(journal)) as connection:
        first = connection.execute("SELECT at FROM history ORDER BY id LIMIT 1").fetchone()
        # A clock that was set back has it in days to come.
        return first is not None and datetime.fromisoformat(first[0]).astimezone().date() != today
    return False


def _prune(journal: Path) -> None:
    """Let copies go that are neither of the last days nor the newest of the weeks before.

    Where the clock was set back, those of days to come are the newest that there are, and what was kept just now
    would be the oldest: they stay, and take nobody's place.
    """
    now = datetime.now(UTC)
    copies = [k for k in kept(journal) if k.taken <= now and not k.as_found]
    mornings: dict[date, Path] = {}
    for copy in copies:
        if copy.why == DAILY:
            # Of several at once the first was taken before anything was changed.
            mornings[copy.taken.astimezone().date()] = copy.path
    stay = set(list(mornings.values())[:DAYS])
    weeks: dict[tuple[int, int], Path] = {}
    for day, path in list(mornings.items())[DAYS:]:
        weeks.setdefault(day.isocalendar()[:2], path)
    stay |= set(list(weeks.values())[:WEEKS])
    stay |= {k.path for k in [k for k in copies if k.why != DAILY][:OTHERS]}
    for copy in copies:
        if copy.path not in stay:
            with contextlib.suppress(OSError):
                copy.path.unlink()


def _hashed(folder: Path) -> Iterator[Path]:
    """Attached files in a folder, by the names that are their hashes; no links."""
    for path in sorted(folder.glob("??/*")):
        if _HASHED.fullmatch(path.name) and path.is_file() and not path.is_symlink():
            yield path


def _copy_files(source: Path, target: Path, *, read_all: bool = False) -> None:
    """Copy attached files that are whole and not there yet, or not whole there.

    Unless all are read, what is there is looked at by its size only; reading every photo at each copy would be felt.
    """
    for file in _hashed(source):
        there = target / file.parent.name / file.name
        if _is_there(file, there) and not (read_all and hash_of(there) != file.name[:64]):
            continue
        if hash_of(file) == file.name[:64]:
            make_folder(there.parent)
            replace(there, blocks(file))


def _is_there(file: Path, there: Path) -> bool:
    return there.is_file() and not there.is_symlink() and there.stat().st_size == file.stat().st_size


@dataclass(frozen=True, slots=True)
class Copied:
    """What a person's backup holds, after it was read back.

    Parameters
    ----------
    path : Path
        The copy.
    records : int
        Numbered records in it.
    files : int
        Attached files beside it.
    missing : tuple of str
        Attached files that its records name, and of which no whole copy was found.
    """

    path: Path
    records: int
    files: int
    missing: tuple[str, ...]


def copy_to(journal: Path, target: Path) -> Copied:
    """Copy a journal with its files to another place, and read all of it back before it is called a backup.

    Parameters
    ----------
    journal : Path
        The file.
    target : Path
        A new file, or a folder in which a file is named after the journal and the day.

    Raises
    ------
    Refused
        If it cannot be written, or the journal is not whole.
    """
    from journal.book import health

    for own in (files_folder(journal), kept_folder(journal)):
        if target.resolve().is_relative_to(own.resolve()):
            raise Refused(f"{own} belongs to the journal itself, and would be lost with it", "Name another place")
    if not target.is_dir() and not target.suffix:
        raise Refused(
            f"There is no folder {target}", "Is the stick there? A file to copy to has an ending, such as copy.db"
        )
    if target.is_dir():
        target = _free(target / f"{journal.stem}-{datetime.now().astimezone().date()}.db")
    beside = files_folder(target)
    # Attached files that a backup left which was stopped before its end are the same ones, by their hashes.
    if os.path.lexists(target) or beside.is_symlink() or (beside.exists() and not beside.is_dir()):
        raise Refused(f"{target if os.path.lexists(target) else beside} exists already", "Name a new file")
    try:
        with sqlite_file.copied(journal, target.parent) as half:
            for home in _homes(journal, half):
                _copy_files(home, beside, read_all=True)
            for path in (half, *_hashed(beside)):
                _forget(path)
            wrong = health.first_fault(half, apart=True)
            bad = [p for p in _hashed(beside) if hash_of(p) != p.name[:64]]
            if wrong or bad:
                what = wrong or number_of(
                    len(bad), "attached file is not what was attached", "attached files are not what was attached"
                )
                raise Refused(
                    f"A copy was made, but is no good backup: {what}", "It was not kept; see: galebook doctor"
                )
            name_new(half, target)
    except FileExistsError as e:
        raise Refused(f"{target} exists already", "Nothing was copied; name a new file") from e
    except OSError as e:
        raise Refused(f"{target} cannot be written ({e.strerror})", "Name another place") from e
    return Copied(target, _count(target), sum(1 for _ in _hashed(beside)), _missing(target))


def _homes(journal: Path, copy: Path) -> list[Path]:
    """Where attached files of a journal lie, by the name that a copy of it has in itself."""
    from journal.book.attachments import folders_of

    with contextlib.closing(_reading(copy)) as connection:
        named = connection.execute("SELECT value FROM setting WHERE key = 'journal'").fetchone()
    return folders_of(journal, named and named[0])


def _missing(copy: Path) -> tuple[str, ...]:
    """Attached files that the records of a copy name, and that do not lie beside it."""
    there = {p.name[:64] for p in _hashed(files_folder(copy))}
    with contextlib.closing(_reading(copy)) as connection:
        query = "SELECT sha256, number, filename FROM attachment WHERE withdrawn_because IS NULL ORDER BY number"
        named = connection.execute(query).fetchall()
    return tuple(f"X{number} ({name})" for digest, number, name in named if digest not in there)


def _free(path: Path) -> Path:
    tried = path
    for number in range(2, 1000):
        if not os.path.lexists(tried):
            return tried
        tried = path.with_name(f"{path.stem}-{number}{path.suffix}")
    raise Refused(f"{path} exists already", "Name a new file")


def _forget(path: Path) -> None:
    """Let the system forget what it holds of a file, so that reading it back reads the medium."""
    with contextlib.suppress(OSError, AttributeError), path.open("rb") as stream:
        os.fsync(stream.fileno())
        os.posix_fadvise(stream.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def _count(path: Path) -> int:
    from journal.book.tables import NUMBERED

    names = [str(kind.__tablename__) for kind in NUMBERED.values()]
    with contextlib.closing(_reading(path)) as connection:
        return sum(connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in names)


def choose(journal: Path, which: str) -> Path:
    """The copy that is meant: by a day, at whose end the journal was like that, by its number in the list, or a file.

    Parameters
    ----------
    journal : Path
        The journal.
    which : str
        ``yesterday``, ``2026-11-25``, ``2`` or the name of a file.

    Raises
    ------
    BadInput
        If it is none of these.
    NotFound
        If there is none.
    """
    copies = kept(journal)
    if Path(which).is_file():
        return _a_journal(Path(which))
    if which.isdigit() and len(which) < 4:
        if 1 <= int(which) <= len(copies):
            return copies[int(which) - 1].path
        raise NotFound(f"There is no backup number {which}", "See: galebook backups")
    day = _day(which)
    if day is None and (os.sep in which or Path(which).suffix):
        raise NotFound(f"There is no file {which}", "See: galebook backups")
    if day is None:
        raise BadInput(
            f"{which!r} is no backup",
            'Accepted: yesterday, a day like 2026-11-25, a number of "galebook backups", a file',
        )
    return _at_end_of(day, copies)


def _a_journal(path: Path) -> Path:
    try:
        with contextlib.closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.Error as e:
        if "no such table" in str(e) or "not a database" in str(e):
            raise BadInput(f"{path} is not a Galebook journal", "Choose another; see: galebook backups") from e
    return path


def names_in(path: Path) -> str:
    """The builds in a copy, by name; empty where they cannot be read."""
    try:
        with contextlib.closing(_reading(path)) as connection:
            return ", ".join(str(name) for (name,) in connection.execute("SELECT name FROM build ORDER BY id LIMIT 5"))
    except sqlite3.Error:
        return ""


def _day(which: str) -> date | None:
    from journal.book import days, spoken_days

    with contextlib.suppress(BadInput, ValueError):
        found = spoken_days.read(which)
        return None if days.is_vague(found) else date.fromisoformat(days.earliest(found))
    return None


def _at_end_of(day: date, copies: Iterable[Kept]) -> Path:
    for copy in copies:
        changed = None if copy.as_found else copy.last_change
        if changed is not None and changed.astimezone().date() <= day:
            return copy.path
    raise NotFound(f"No backup is from {day} or before", "See: galebook backups")


def restore(journal: Path, source: Path) -> Path:
    """Put a copy in the place of a journal; what stood there is kept.

    Parameters
    ----------
    journal : Path
        Where it goes; there may be none yet.
    source : Path
        A journal, see :func:`choose`.

    Returns
    -------
    before : Path
        Where what stood there is kept; the journal itself if nothing did.

    Raises
    ------
    Refused
        If the copy is not whole, or somebody has the journal open.
    """
    from journal.book import health
    from journal.book.use import alone_with

    try:
        make_folder(journal.parent)
        with alone_with(journal), sqlite_file.copied(source, journal.parent) as half:
            if wrong := health.first_fault(half, apart=True):
                look = f"galebook --journal {source} doctor"
                raise Refused(f"{source} is not whole: {wrong}", f"Choose another of galebook backups; or see: {look}")
            before = set_aside(journal, "before-restore") if journal.exists() else journal
            # Files first: ended in between, neither of the two journals misses one.
            for files in (files_folder(source), backups_folder(journal) / "files"):
                _copy_files(files, files_folder(journal), read_all=True)
            os.replace(half, journal)
            sync_folder(journal.parent)
    except OSError as e:
        raise Refused(f"{journal} cannot be written ({e.strerror})", "Nothing was restored") from e
    return before


def set_aside(journal: Path, why: str) -> Path:
    """Keep a journal as it is, whole or not, and take its log away; nobody else may have it open. Where it is kept."""
    from journal.book import health

    left = log_of(journal)
    if health.fault_of_copy(journal, log=left.exists()) is None:
        # Opening it to copy it takes its log over.
        aside = keep(journal, why)
    else:
        folder = backups_folder(journal) / f"{moment()}-{why}-damaged"
        make_folder(folder)
        for path in (journal, left):
            if path.exists():
                write_new(folder / path.name, blocks(path))
        aside = folder / journal.name
    for path in (left, journal.with_name(journal.name + "-shm")):
        path.unlink(missing_ok=True)
    # A log that came back after a power cut would be one of another journal.
    sync_folder(journal.parent)
    return aside
