"""The one way in which files are written: whole or not at all, on the disk before anybody is told, never over others.

A file gets a temporary name in its own folder, is hashed while it is written, brought to the disk, and only then given
its name; the folder is brought to the disk after it. What is written for the person is registered with its hash, so
that it may be replaced later, and nothing that somebody else made or changed ever is.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import re
import secrets
import shutil
import stat
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from journal.book.places import Address, Place, kept_folder
from journal.errors import Refused

BLOCK = 1 << 20
#: How the temporary names begin; the number of the process follows, so that those of ended ones are known.
TEMPORARY = ".galebook-"
_TEMPORARY = re.compile(re.escape(TEMPORARY) + r"(\d+)-")
#: How a database file begins, a journal among them.
_DATABASE = b"SQLite format 3\x00"


def open_given(source: Path) -> BinaryIO:
    """Open a file that a person named, without waiting for somebody to write into it.

    A pipe into which nobody writes is empty. What only looks like a file and would be waited for cannot be read.

    Raises
    ------
    OSError
        If it cannot be opened.
    """
    handle = os.open(source, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            os.set_blocking(handle, True)
        return os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise


def blocks(source: Path) -> Iterator[bytes]:
    """The bytes of a file, piece by piece."""
    with open_given(source) as stream:
        while block := stream.read(BLOCK):
            yield block
        if block is None:
            raise _nothing_yet(source)


def beginning(source: Path, most: int) -> bytes:
    """The first bytes of a file that a person named.

    Raises
    ------
    OSError
        If it cannot be read.
    """
    with open_given(source) as stream:
        data: bytes | None = stream.read(most)
    if data is None:
        raise _nothing_yet(source)
    return data


def _nothing_yet(source: Path) -> OSError:
    return BlockingIOError(errno.EAGAIN, "nothing in it yet", str(source))


def bounded_text(source: Path, most: int) -> str:
    """The text of a file in UTF-8, of at most so many bytes, so that an endless one cannot fill the memory.

    Raises
    ------
    OSError
        If it cannot be read.
    ValueError
        If it is longer; a :class:`UnicodeDecodeError` if it is no such text.
    """
    data = beginning(source, most + 1)
    if len(data) > most:
        raise ValueError(f"longer than {most >> 20} MB")
    return data.decode("utf-8-sig")


def hash_of(file: Path) -> str:
    """The SHA-256 of a file, in hexadecimal digits."""
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def sync_folder(folder: Path) -> None:
    """Bring the names in a folder to the disk, where the system knows how."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def made_sure(file: Path) -> str:
    """Bring a file that a library wrote to the disk; its SHA-256, in hexadecimal digits."""
    with file.open("rb+") as stream:
        os.fsync(stream.fileno())
    return hash_of(file)


def make_folder(folder: Path) -> None:
    """Make a folder with those above it, each on the disk before what it will hold."""
    missing = [f for f in (folder, *folder.parents) if not f.exists()]
    for new in reversed(missing):
        new.mkdir(exist_ok=True)
        sync_folder(new.parent)


def temporary_name() -> str:
    """A name that nobody else has, and that tells whose it is."""
    return f"{TEMPORARY}{os.getpid()}-{secrets.token_hex(4)}"


def left_over(folder: Path) -> list[Path]:
    """What processes that were ended left under temporary names in a folder."""
    with contextlib.suppress(OSError):
        return sorted(folder / n for n in os.listdir(folder) if (m := _TEMPORARY.match(n)) and not _lives(int(m[1])))
    return []


def _lives(process: int) -> bool:
    try:
        # Where the system knows no signals, this would end the process instead of asking for it.
        if os.name == "posix":
            os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


def clear_left_over(folder: Path) -> None:
    """Take away what ended processes left half written in a folder."""
    for half in left_over(folder):
        if half.is_dir() and not half.is_symlink():
            shutil.rmtree(half, ignore_errors=True)
        else:
            with contextlib.suppress(OSError):
                half.unlink(missing_ok=True)


#: Folders in which this process has cleared what others left.
_CLEARED: set[Path] = set()


@contextlib.contextmanager
def half_written(folder: Path) -> Iterator[tuple[Path, BinaryIO]]:
    """A file under a temporary name of its own, taken away again unless it was given another name."""
    if folder not in _CLEARED:
        clear_left_over(folder)
        _CLEARED.add(folder)
    half = folder / temporary_name()
    try:
        with half.open("xb") as stream:
            yield half, stream
    finally:
        with contextlib.suppress(OSError):
            half.unlink(missing_ok=True)


def _fill(stream: BinaryIO, chunks: Iterable[bytes]) -> str:
    """Write, bring to the disk, and give the hash of what was written."""
    digest = hashlib.sha256()
    for chunk in chunks:
        stream.write(chunk)
        digest.update(chunk)
    stream.flush()
    os.fsync(stream.fileno())
    return digest.hexdigest()


def name_new(half: Path, target: Path) -> None:
    """Give a whole file its name, where nothing has that name.

    Raises
    ------
    FileExistsError
        If something has.
    """
    try:
        os.link(half, target)
    except FileExistsError:
        raise
    except (AttributeError, OSError):
        # Some file systems have no second names; there the two steps cannot be one.
        if os.path.lexists(target):
            raise FileExistsError(17, "File exists", str(target)) from None
        os.replace(half, target)
    sync_folder(target.parent)


def write_new(target: Path, chunks: Iterable[bytes]) -> str:
    """Write a new file; its hash.

    Raises
    ------
    FileExistsError
        If there is something of that name.
    OSError
        If it cannot be written; nothing is left then.
    """
    with half_written(target.parent) as (half, stream):
        digest = _fill(stream, chunks)
        stream.close()
        name_new(half, target)
    return digest


def replace(target: Path, chunks: Iterable[bytes]) -> str:
    """Write a file in place of what has its name; its hash.

    Raises
    ------
    OSError
        If it cannot be written; what was there stays then.
    """
    with half_written(target.parent) as (half, stream):
        digest = _fill(stream, chunks)
        stream.close()
        os.replace(half, target)
        sync_folder(target.parent)
    return digest


def fill(file: Path, chunks: Iterable[bytes]) -> str:
    """Write a file in a folder that is not yet known by its name; its hash. :func:`sync_all` brings it to the disk.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    digest = hashlib.sha256()
    with file.open("xb") as stream:
        for chunk in chunks:
            stream.write(chunk)
            digest.update(chunk)
    return digest.hexdigest()


def sync_all(folder: Path) -> None:
    """Bring all files of a folder to the disk, and their names."""
    if sys.platform == "linux":
        # Waits for everything, which costs far less than to wait for thousands of files one by one.
        os.sync()
        return
    for file in folder.rglob("*"):
        if file.is_file():
            with file.open("rb+") as stream:
                os.fsync(stream.fileno())
        else:
            sync_folder(file)
    sync_folder(folder)


class OwnFiles:
    """The files that were written for the person beside one journal, each with the hash it had then.

    Parameters
    ----------
    journal : Path or Address
        The journal; its kept folder holds the register.
    other : str
        How another file is named, for whoever is refused one.
    """

    def __init__(self, journal: Place, other: str = "Name another file with --out") -> None:
        self._journal = journal
        self._other = other
        self._register = kept_folder(journal) / "written.json"
        self._home = self._register.parent.parent.absolute()

    def _name(self, target: Path) -> str:
        """The name of a file from the journal's folder on, if it lies there, so that both may be moved together."""
        path = target.absolute()
        return str(path.relative_to(self._home) if path.is_relative_to(self._home) else path)

    def _known(self) -> dict[str, list[str]]:
        try:
            found = json.loads(self._register.read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return {}
        listed = found.items() if isinstance(found, dict) else ()
        return {str(k): [str(digest) for digest in v] for k, v in listed if isinstance(v, list)}

    def _remember(self, target: Path, digest: str | None) -> None:
        """Register the hash that a file is about to have, beside the one it has until then; or forget the file."""
        name = self._name(target)
        known = self._known()
        had = [d for d in known.pop(name, []) if d == _hash_or_none(target)]
        known = {path: digests for path, digests in known.items() if os.path.lexists(self._home / path)}
        if digest is not None:
            known[name] = sorted({*had, digest})
        # Without a register the file is still good; it will only be asked about before it is replaced.
        with contextlib.suppress(OSError):
            make_folder(self._register.parent)
            replace(self._register, [json.dumps(known, indent=1).encode()])

    def is_ours(self, target: Path) -> bool:
        """Whether a file was written by the program and is as it was then."""
        had = self._known().get(self._name(target), [])
        try:
            return bool(had) and not target.is_symlink() and hash_of(target) in had
        except OSError:
            return False

    def may_write(self, target: Path, *, over: bool = False) -> None:
        """Hold that a file may be written.

        Raises
        ------
        Refused
            If there is something that the program did not make, or that was changed since; a journal or another
            database, a link or a folder even where the person would have it replaced.
        """
        if not os.path.lexists(target):
            return
        other = self._other
        if target.is_symlink() or not target.is_file():
            raise Refused(f"{target} is not a plain file", other)
        if _is_kept(self._journal, target) or is_database(target):
            raise Refused(f"{target} holds a journal or what belongs to one, and is never written over", other)
        if not over and not self.is_ours(target):
            raise Refused(
                f"{target} is there already, and is not as Galebook wrote it", f"{other}, or add --over to replace it"
            )

    def put(self, target: Path, data: bytes, *, over: bool = False) -> None:
        """Write a file for the person, and register it.

        Raises
        ------
        Refused
            As :meth:`may_write`.
        OSError
            If it cannot be written; what was there stays then.
        """
        self.fill(target, lambda stream: stream.write(data), over=over)

    def fill(self, target: Path, write: Callable[[BinaryIO], object], *, over: bool = False) -> None:
        """Write a file for the person by what writes into a stream, and register it.

        Raises
        ------
        Refused
            As :meth:`may_write`.
        OSError
            If it cannot be written; what was there stays then.
        """
        self.may_write(target, over=over)
        with half_written(target.parent) as (half, stream):
            write(stream)
            stream.flush()
            os.fsync(stream.fileno())
            stream.close()
            # Registered first: ended in between, the file is still known, whether it is the old one or the new.
            self._remember(target, hash_of(half))
            if os.path.lexists(target):
                os.replace(half, target)
                sync_folder(target.parent)
            else:
                name_new(half, target)

    def remove(self, target: Path) -> bool:
        """Take away a file that the program wrote and nobody changed; whether it did."""
        if not self.is_ours(target):
            return False
        target.unlink()
        self._remember(target, None)
        return True


def _hash_or_none(target: Path) -> str | None:
    try:
        return hash_of(target)
    except OSError:
        return None


def is_database(target: Path) -> bool:
    """Whether a file is a database of the kind that journals are."""
    try:
        with target.open("rb") as stream:
            return stream.read(len(_DATABASE)) == _DATABASE
    except OSError:
        return False


def _is_kept(journal: Place, target: Path) -> bool:
    """Whether a file is the journal itself, its log, an attachment or something kept for the person."""
    if isinstance(journal, Address):
        return target.resolve().is_relative_to(kept_folder(journal).resolve())
    place, home = target.resolve(), journal.resolve()
    beside = place.parent == home.parent and place.name.startswith(home.name)
    within = any(folder.name.startswith(f"{home.name}.") and folder.parent == home.parent for folder in place.parents)
    return beside or within
