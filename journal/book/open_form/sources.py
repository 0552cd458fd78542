"""Where the open form is read from: a folder or a zip that anybody may have made.

Nothing is unpacked. Only plain files are read, by names that stay inside, and no more of them than a journal can need.
"""

from __future__ import annotations

import contextlib
import os
import stat
import struct
import unicodedata
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from journal.book.safe_files import BLOCK
from journal.errors import BadInput, NotFound

#: How many files and folders, how deep, and how much of them.
MOST_FILES = 400_000
DEEPEST = 4
LARGEST_TEXT = 4 << 20
ALL_TEXT = 256 << 20
ALL = 16 << 30
#: How many times closer than it is a file may be packed, and the size from which that is looked at.
CLOSEST = 200
_LOOKED_AT = 1 << 20
#: How much a zip may need to list its files.
_LISTING = 128 << 20
_ACCEPTED = "Accepted is a folder or a zip that galebook export made"
_END = struct.Struct("<4s4H2LH")
_END_64 = struct.Struct("<4sQ2H2L4Q")
_LOCATOR = struct.Struct("<4sLQL")


@dataclass(frozen=True)
class FormSource:
    """Files by name, with their sizes.

    Parameters
    ----------
    told : str
        What the person calls it.
    sizes : dict of str to int
        Every file in it, by its name with slashes.
    open_file : callable
        Opens one of them.
    """

    told: str
    sizes: dict[str, int]
    open_file: Callable[[str], BinaryIO]

    def pieces(self, name: str) -> Iterator[bytes]:
        """The bytes of a file, piece by piece; not more than it was said to have.

        Raises
        ------
        BadInput
            If it cannot be read.
        """
        left = self.sizes[name]
        try:
            with self.open_file(name) as stream:
                while piece := stream.read(min(BLOCK, left + 1)):
                    left -= len(piece)
                    if left < 0:
                        raise BadInput(f"{to_show(name)} is longer than it was said to be", "Export it again")
                    yield piece
        except (OSError, EOFError, zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError) as e:
            raise BadInput(f"{to_show(name)} cannot be read ({e})", "Export it again") from e
        if left:
            raise BadInput(f"{to_show(name)} is shorter than it was said to be", "Export it again")

    def text(self, name: str, limit: int = LARGEST_TEXT) -> str:
        """A file as text.

        Raises
        ------
        BadInput
            If it is none, or too long.
        """
        if self.sizes[name] > limit:
            raise BadInput(f"{to_show(name)} has {self.sizes[name]} bytes", f"At most {limit} are read")
        try:
            return b"".join(self.pieces(name)).decode("utf-8")
        except UnicodeDecodeError as e:
            raise BadInput(f"{to_show(name)} is no text in UTF-8 (at byte {e.start})", _ACCEPTED) from e

    def lines(self, name: str, longest: int = LARGEST_TEXT) -> Iterator[tuple[int, str]]:
        """The lines of a file with their numbers, one after the other.

        Raises
        ------
        BadInput
            If it is no text, or a line is too long.
        """
        number, rest = 1, b""
        for piece in self.pieces(name):
            *whole, rest = (rest + piece).split(b"\n")
            for line in whole:
                yield number, self._line(name, number, line)
                number += 1
            if len(rest) > longest:
                raise BadInput(f"{to_show(name)}, line {number}: it is longer than {longest} bytes", _ACCEPTED)
        yield number, self._line(name, number, rest)

    def _line(self, name: str, number: int, line: bytes) -> str:
        try:
            return line.decode("utf-8")
        except UnicodeDecodeError as e:
            raise BadInput(f"{to_show(name)}, line {number}: it is no text in UTF-8", _ACCEPTED) from e


def to_show(name: str) -> str:
    """A name that somebody else gave, fit for a line on a terminal."""
    short = name if len(name) <= 120 else f"{name[:117]}..."
    return short if short.isprintable() else ascii(short)


@contextlib.contextmanager
def opened(path: Path) -> Iterator[FormSource]:
    """A folder or a zip.

    Raises
    ------
    NotFound
        If there is nothing.
    BadInput
        If it is neither, or holds what leads out of it or would never end.
    """
    if not path.exists():
        raise NotFound(f"There is no {path}", "Name a folder or a zip that galebook export made")
    if path.is_dir():
        yield _checked(str(path), _of_folder(path), lambda name: _open_plain(path / name, follow=False))
        return
    with _open_plain(path) as stream:
        listed = _listing_size(stream)
        if listed is None or listed > _LISTING:
            raise BadInput(f"{path} is neither a folder nor a zip that can be read", _ACCEPTED)
        try:
            archive = zipfile.ZipFile(stream)
            sizes = _of_zip(archive)
        except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, struct.error) as e:
            raise BadInput(f"{path} is no zip that can be read ({e})", _ACCEPTED) from e
        yield _checked(str(path), sizes, lambda name: archive.open(name))  # type: ignore[arg-type, return-value]


def _checked(told: str, sizes: dict[str, int], open_file: Callable[[str], BinaryIO]) -> FormSource:
    if sum(sizes.values()) > ALL:
        raise BadInput(f"{told} holds {sum(sizes.values())} bytes", f"At most {ALL} are read")
    top = {name.split("/")[0] for name in sizes}
    if len(top) == 1 and all("/" in name for name in sizes):
        # A folder packed whole, by another program.
        (folder,) = top
        inner = {name.removeprefix(f"{folder}/"): size for name, size in sizes.items()}
        return FormSource(told, inner, lambda name: open_file(f"{folder}/{name}"))
    return FormSource(told, sizes, open_file)


def _good_name(name: str) -> str:
    """A name that stays inside.

    Raises
    ------
    BadInput
        If it does not, or is no plain name.
    """
    parts = name.split("/")
    if any(unicodedata.category(c).startswith("C") for c in name):
        raise BadInput(f"{to_show(name)} has letters in its name that no name needs", _ACCEPTED)
    if "\\" in name or ":" in name or any(part in ("", ".", "..") or len(part) > 255 for part in parts):
        raise BadInput(f"{to_show(name)} would lead out of the folder", _ACCEPTED)
    if len(parts) > DEEPEST:
        raise BadInput(f"{to_show(name)} lies deeper than anything that belongs here", _ACCEPTED)
    return name


def _of_folder(top: Path) -> dict[str, int]:
    """Every file of a folder; what begins with a dot at its top, such as a version control's, is passed over."""
    sizes: dict[str, int] = {}
    waiting, seen = [""], 0
    while waiting:
        folder = waiting.pop()
        with os.scandir(top / folder) as entries:
            for entry in entries:
                if not folder and entry.name.startswith("."):
                    continue
                seen += 1
                if seen > MOST_FILES:
                    raise BadInput(f"{top} holds more than {MOST_FILES} files", _ACCEPTED)
                name = _good_name(f"{folder}/{entry.name}" if folder else entry.name)
                status = entry.stat(follow_symlinks=False)
                if stat.S_ISDIR(status.st_mode):
                    waiting.append(name)
                else:
                    sizes[name] = _plain_size(name, status)
    return dict(sorted(sizes.items()))


def _plain_size(name: str, status: os.stat_result) -> int:
    if not stat.S_ISREG(status.st_mode):
        raise BadInput(f"{to_show(name)} is a link, a device or a pipe", "Only plain files are read")
    if status.st_nlink > 1:
        raise BadInput(
            f"{to_show(name)} is a second name of another file", "Only plain files are read; copy the folder"
        )
    return status.st_size


def _open_plain(file: Path, *, follow: bool = True) -> BinaryIO:
    """Open a plain file, even if it becomes another between the look at it and this."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    flags |= 0 if follow else getattr(os, "O_NOFOLLOW", 0)
    try:
        handle = os.open(file, flags)
    except OSError as e:
        raise BadInput(f"{to_show(str(file))} cannot be read ({e.strerror})", _ACCEPTED) from e
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise BadInput(f"{to_show(str(file))} is a device or a pipe", _ACCEPTED)
    return os.fdopen(handle, "rb")


def _listing_size(stream: BinaryIO) -> int | None:
    """How many bytes a zip's list of files has, before it is read into memory; None where there is no zip."""
    size = stream.seek(0, os.SEEK_END)
    start = max(0, size - (1 << 16) - _END.size)
    stream.seek(start)
    # What only looks like a file may have nothing to give.
    tail = stream.read() or b""
    at = tail.rfind(b"PK\x05\x06")
    if at < 0 or len(tail) - at < _END.size:
        return None
    listing = int(_END.unpack_from(tail, at)[5])
    locator = start + at - _LOCATOR.size
    if locator >= 0:
        stream.seek(locator)
        mark, _, where, _ = _LOCATOR.unpack(stream.read(_LOCATOR.size))
        if mark == b"PK\x06\x07" and where < size:
            stream.seek(where)
            told = stream.read(_END_64.size)
            if len(told) == _END_64.size:
                listing = max(listing if listing < 0xFFFFFFFF else 0, int(_END_64.unpack(told)[8]))
    return listing


def _of_zip(archive: zipfile.ZipFile) -> dict[str, int]:
    sizes: dict[str, int] = {}
    entries = archive.infolist()
    if len(entries) > MOST_FILES:
        raise BadInput(f"The zip holds more than {MOST_FILES} files", _ACCEPTED)
    for entry in entries:
        name = _good_name(entry.filename.rstrip("/") if entry.is_dir() else entry.filename)
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
            raise BadInput(f"{to_show(name)} is a link, a device or a pipe", "Only plain files are read")
        if entry.is_dir() or name.startswith("."):
            continue
        if name in sizes:
            raise BadInput(f"{to_show(name)} is in the zip twice", _ACCEPTED)
        sizes[name] = _packed_size(name, entry)
    return dict(sorted(sizes.items()))


def _packed_size(name: str, entry: zipfile.ZipInfo) -> int:
    if entry.flag_bits & 1:
        raise BadInput(f"{to_show(name)} is under a password", "Unpack it first, and import the folder")
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise BadInput(f"{to_show(name)} is packed in a way that is not read", "Pack it as an ordinary zip")
    if entry.file_size > max(_LOOKED_AT, CLOSEST * entry.compress_size):
        raise BadInput(f"{to_show(name)} would grow {entry.file_size // max(entry.compress_size, 1)} times", _ACCEPTED)
    return entry.file_size
