"""Where the open form is written: a folder, or a zip; whole under its name, and never over what is somebody else's."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import shutil
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import BinaryIO

from journal.book.open_form import shape
from journal.book.safe_files import OwnFiles, fill, hash_of, make_folder, sync_all, sync_folder
from journal.errors import Refused

Files = Mapping[str, Iterable[bytes]]

_LISTED = re.compile(r"([0-9a-f]{64})  ([^\n]+)")
#: The first moment that a zip can tell.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
_PLAIN_FILE = 0o100644 << 16


def to_zip(own: OwnFiles, target: Path, files: Files, *, over: bool = False) -> None:
    """Write a zip; the same files give the same bytes on every machine, so nothing in it is packed closer.

    Raises
    ------
    Refused
        If there is something of that name that the program did not write, or that was changed since.
    """
    own.fill(target, lambda stream: _zip(stream, files), over=over)


def _zip(stream: BinaryIO, files: Files) -> None:
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as archive:
        listed = _List()
        for name in sorted(files):
            with archive.open(_entry(name), "w", force_zip64=False) as inside:
                for chunk in listed.watched(name, files[name]):
                    inside.write(chunk)
        archive.writestr(_entry(shape.LISTED), listed.text())


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _NO_TIME)
    entry.create_system, entry.external_attr = 3, _PLAIN_FILE
    return entry


class _List:
    """The hashes of files as they are written."""

    def __init__(self) -> None:
        self.hashes: dict[str, str] = {}

    def watched(self, name: str, chunks: Iterable[bytes]) -> Iterator[bytes]:
        """The same bytes; their hash is known afterwards."""
        digest = hashlib.sha256()
        for chunk in chunks:
            digest.update(chunk)
            yield chunk
        self.hashes[name] = digest.hexdigest()

    def text(self) -> str:
        """In the form of the ``sha256sum`` program."""
        return "".join(f"{had}  {name}\n" for name, had in sorted(self.hashes.items()))


def to_folder(own: OwnFiles, target: Path, files: Files, *, over: bool = False) -> None:
    """Write a folder. One that is there must be an earlier export that nobody changed.

    Files in it that are none of ours stay. While an earlier export is renewed it has no file of the journal, so that
    nobody takes a half of it for a whole.

    Parameters
    ----------
    own : OwnFiles
        What knows which files must never be written over.
    target : Path
        The folder.
    files : mapping of str to iterable of bytes
        What each holds, by its name in the folder.
    over : bool
        Whether what was changed may be replaced.

    Raises
    ------
    Refused
        If the folder holds something else, or was changed.
    """
    had = _earlier(target, over=over)
    make_folder(target.absolute().parent)
    half = target.absolute().parent / f".galebook-{os.getpid()}-{secrets.token_hex(4)}"
    half.mkdir()
    try:
        names = _fill(half, files, target)
        if not os.path.lexists(target):
            os.rename(half, target)
            sync_folder(target.absolute().parent)
        else:
            _may_replace(own, target, names, had, over=over)
            _renew(half, target, names, had)
    finally:
        shutil.rmtree(half, ignore_errors=True)


def _fill(half: Path, files: Files, target: Path) -> list[str]:
    """Write what is not there already, as it is to be; all names."""
    listed = _List()
    for name in sorted(files):
        chunks = files[name]
        # A text is known before it is written; a thousand of them need not be written to be thrown away.
        if isinstance(chunks, tuple) and name != shape.JOURNAL:
            listed.hashes[name] = hashlib.sha256(b"".join(chunks)).hexdigest()
            if _hash(target, name) == listed.hashes[name]:
                continue
        (half / name).parent.mkdir(parents=True, exist_ok=True)
        fill(half / name, listed.watched(name, files[name]))
    fill(half / shape.LISTED, [listed.text().encode()])
    sync_all(half)
    return [*sorted(files), shape.LISTED]


def _earlier(target: Path, *, over: bool) -> dict[str, str]:
    """What an earlier export in a folder wrote, with its hashes.

    Raises
    ------
    Refused
        If the folder is no place for one.
    """
    if not os.path.lexists(target):
        return {}
    if target.is_symlink() or not target.is_dir():
        raise Refused(f"{target} is there already, and is no folder", "Name another")
    had = _listed(target)
    if had is None:
        if any(target.iterdir()) and not over:
            raise Refused(f"{target} holds other things", "Name another folder, or add --over to write among them")
        return {}
    changed = [name for name, hashed in had.items() if not over and _hash(target, name) != hashed]
    if changed:
        raise Refused(
            f"{target} was changed since it was exported: {_few(changed)}",
            "Take in what was changed, name another folder, or add --over to replace it",
        )
    return had


def _few(names: list[str]) -> str:
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(names[:3]) + more


def _listed(target: Path) -> dict[str, str] | None:
    file = target / shape.LISTED
    try:
        if file.is_symlink() or not file.is_file() or file.stat().st_size > 1 << 27:
            return None
        found = _LISTED.findall(file.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return {name: hashed for hashed, name in found if _inside(name)}


def _inside(name: str) -> bool:
    """Whether a name leads to a place in the folder."""
    return "\\" not in name and all(part not in ("", ".", "..") for part in name.split("/"))


def _led_away(target: Path, name: str) -> bool:
    """Whether a link stands on the way to a file."""
    within = Path(name)
    return any((target / part).is_symlink() for part in (within, *within.parents) if part != Path())


def _hash(target: Path, name: str) -> str:
    try:
        return "" if _led_away(target, name) else hash_of(target / name)
    except OSError:
        return ""


def _may_replace(own: OwnFiles, target: Path, names: list[str], had: Mapping[str, str], *, over: bool) -> None:
    for name in names:
        if _led_away(target, name):
            raise Refused(f"{target / name} would be written behind a link", "Name another folder")
        for folder in Path(name).parents:
            if os.path.lexists(target / folder) and not (target / folder).is_dir():
                raise Refused(f"{target / folder} stands where a folder is needed", "Name another folder")
        if name not in had and not (had and name == shape.LISTED):
            own.may_write(target / name, over=over)


def _renew(half: Path, target: Path, names: list[str], had: Mapping[str, str]) -> None:
    """Put new files in place of an earlier export; what tells that it is one goes first, and comes last."""
    last = [shape.LISTED, shape.JOURNAL]
    with contextlib.suppress(FileNotFoundError):
        (target / shape.JOURNAL).unlink()
    sync_folder(target)
    for name in [name for name in names if name not in last]:
        if (half / name).exists() and _hash(target, name) != hash_of(half / name):
            make_folder((target / name).parent)
            os.replace(half / name, target / name)
    for name in sorted(set(had) - set(names)):
        if not _led_away(target, name):
            _take_away(target, name)
    for folder in {(target / name).parent for name in names}:
        sync_folder(folder)
    for name in last:
        os.replace(half / name, target / name)
        sync_folder(target)


def _take_away(target: Path, name: str) -> None:
    with contextlib.suppress(OSError):
        (target / name).unlink()
        for folder in Path(name).parents:
            if folder != Path():
                (target / folder).rmdir()
