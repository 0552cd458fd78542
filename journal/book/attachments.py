"""Photos and files: copied beside the journal under the hash of their content."""

from __future__ import annotations

import contextlib
import hashlib
import mimetypes
import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from sqlmodel import Session, col, select

from journal.book import contents
from journal.book.kinds import Kind, a_text, a_yes_or_no
from journal.book.places import files_folder, kept_folder
from journal.book.plain_text import clean_text
from journal.book.records import add_record, current_build, find_record
from journal.book.safe_files import blocks, half_written, hash_of, make_folder, sync_folder, write_new
from journal.book.tables import Attachment, Setting
from journal.book.written import text
from journal.errors import BadInput, NotFound, Refused

LIMIT = 200 * 1024 * 1024
_ACCEPTED = "Attach a photo, a document or a log"
_HASH = re.compile(r"[0-9a-f]{64}")
_SUFFIX = re.compile(r"\.[a-z0-9]{1,16}")

#: A file among the attachments that holds the name of their journal.
MARK = "journal"

KIND = Kind(
    Attachment,
    readers={"caption": a_text("Caption"), "private": a_yes_or_no("private")},
    fixed=("about", "filename", "sha256", "size", "media_type"),
)


def attach(
    session: Session,
    file: Path,
    about: str,
    *,
    caption: str | None = None,
    private: bool = False,
    made: str | None = None,
) -> Attachment:
    """Attach a file to a record. The copy is whole on disk before the record names it.

    Parameters
    ----------
    made : str or None
        The hash of a file that was just made in the folder beside the journal and is on the disk: it becomes the copy.

    Raises
    ------
    NotFound
        If there is no such file.
    BadInput
        If it is not a plain file, or larger than 200 MiB.
    Refused
        If the folder beside the journal cannot be written.
    """
    record = find_record(session, about)
    _usable(file)
    name = clean_text(file.name, "The name of the file", limit=255)
    shows = text(caption, "Caption")
    digest, size = _take_over(session, file, made) if made else take_in(session, _read(file), name)
    return add_record(
        session,
        Attachment,
        about=record.ref,
        filename=name,
        sha256=digest,
        size=size,
        media_type=mimetypes.guess_type(file.name)[0] or "application/octet-stream",
        caption=shows,
        private=private,
    )


def _usable(file: Path) -> None:
    if not file.exists():
        raise NotFound(f"There is no file {file}")
    if not file.is_file() or file.stat().st_size > LIMIT:
        raise BadInput(f"{file} is not a plain file of at most 200 MiB", _ACCEPTED)


def take_in(session: Session, pieces: Iterable[bytes], name: str) -> tuple[str, int]:
    """Copy a file into the folder beside the journal, or into the server; its hash and size as they were then.

    A file that somebody goes on writing is what it was while it was read.

    Parameters
    ----------
    session : Session
        The journal.
    pieces : iterable of bytes
        What the file holds.
    name : str
        What it is called; its ending is kept.

    Raises
    ------
    Refused
        If the folder cannot be written.
    """
    folder = files_folder(session.info["path"])
    try:
        make_folder(folder)
        if not contents.kept_inside(session):
            mark_files(session)
        with half_written(folder) as (half, stream):
            digest, size = _copied(pieces, stream)
            target = _put_in_place(half, folder, digest, name)
    except OSError as e:
        raise Refused(f"{folder} cannot be written ({e.strerror})", "Nothing was saved") from e
    if contents.kept_inside(session):
        contents.put(session, digest, target)
    return digest, size


def _put_in_place(whole: Path, folder: Path, digest: str, name: str) -> Path:
    """Give a file that is whole on the disk its name among the attached ones."""
    target = folder / digest[:2] / _file_name(digest, name)
    make_folder(target.parent)
    if target.is_symlink() or not target.is_file() or hash_of(target) != digest:
        os.replace(whole, target)
    sync_folder(target.parent)
    return target


def _take_over(session: Session, file: Path, digest: str) -> tuple[str, int]:
    """Take in a file that was made in the folder beside the journal, without another copy of it."""
    folder = files_folder(session.info["path"])
    try:
        if not contents.kept_inside(session):
            mark_files(session)
        size = file.stat().st_size
        target = _put_in_place(file, folder, digest, file.name)
    except OSError as e:
        raise Refused(f"{folder} cannot be written ({e.strerror})", "Nothing was saved") from e
    if contents.kept_inside(session):
        contents.put(session, digest, target)
    return digest, size


def _read(file: Path) -> Iterator[bytes]:
    size = 0
    try:
        for piece in blocks(file):
            size += len(piece)
            if size > LIMIT:
                raise BadInput(f"{file} is not a plain file of at most 200 MiB", _ACCEPTED)
            yield piece
    except OSError as e:
        raise BadInput(f"{file} cannot be read ({e.strerror})", _ACCEPTED) from e


def _copied(pieces: Iterable[bytes], stream: BinaryIO) -> tuple[str, int]:
    digest, size = hashlib.sha256(), 0
    for piece in pieces:
        size += len(piece)
        stream.write(piece)
        digest.update(piece)
    stream.flush()
    os.fsync(stream.fileno())
    return digest.hexdigest(), size


def _file_name(digest: str, name: str, ref: str = "An attachment") -> str:
    """The name of a copy.

    Raises
    ------
    Refused
        If what stands for the hash is none: it could lead anywhere.
    """
    if not _HASH.fullmatch(digest):
        raise Refused(f"{ref} is recorded under what is no hash", "See: galebook doctor")
    suffix = Path(name).suffix.lower()
    return f"{digest}{suffix if _SUFFIX.fullmatch(suffix) else ''}"


def name_of(session: Session) -> str:
    """The name that a journal has in itself, which no renaming of its file changes."""
    return session.get_one(Setting, "journal").value


def mark_files(session: Session) -> None:
    """Write into the folder of attachments whose they are, so that they are found when the journal is renamed."""
    with contextlib.suppress(OSError):
        if not (mark := files_folder(session.info["path"]) / MARK).exists():
            write_new(mark, [f"{name_of(session)}\n".encode()])


def stored_at(session: Session, attachment: Attachment) -> Path:
    """Where the copy of a file is: beside the journal, or beside what it was called before.

    From a server it is fetched first, unless it was before.

    Raises
    ------
    Refused
        If the record names no hash.
    """
    own: Path = files_folder(session.info["path"])
    name = _file_name(attachment.sha256, attachment.filename, attachment.ref)
    within = Path(attachment.sha256[:2]) / name
    if contents.kept_inside(session):
        _fetch(session, attachment.sha256, own / within)
        return own / within
    if (own / within).exists():
        return own / within
    homes = folders_of(session.info["path"], name_of(session))
    return next((folder / within for folder in homes if (folder / within).exists()), own / within)


def folders_of(journal: Path, name: str | None) -> list[Path]:
    """Where attached files of a journal lie: beside it, and beside what it was called before.

    Parameters
    ----------
    journal : Path
        The file.
    name : str or None
        The name that it has in itself; None where it has none yet.
    """
    own = files_folder(journal)
    others = [f for f in sorted(own.parent.glob(f"*{own.suffix}")) if f != own and name and _marked(f) == name]
    return [own, *others]


def whole_copy(journal: Path, digest: str) -> Path | None:
    """A whole copy of an attached file: among what is kept, or beside any journal in the same folder."""
    if not _HASH.fullmatch(digest):
        return None
    for folder in (kept_folder(journal) / "backups" / "files", *sorted(journal.parent.glob("*.files"))):
        for file in sorted((folder / digest[:2]).glob(f"{digest}*")):
            if is_copy(file) and hash_of(file) == digest:
                return file
    return None


def is_copy(path: Path) -> bool:
    """Whether a plain file lies where a copy should; a link in its place could lead to anything of the machine."""
    return path.is_file() and not path.is_symlink() and not path.parent.is_symlink() and path.stat().st_size <= LIMIT


def _fetch(session: Session, digest: str, target: Path) -> None:
    try:
        if not target.exists() or hash_of(target) != digest:
            contents.fetch(session, digest, target)
    except OSError as e:
        raise Refused(f"{target} cannot be written ({e.strerror})", "Attached files are copied there to be read") from e


def _marked(folder: Path) -> str | None:
    try:
        return (folder / MARK).read_text(encoding="utf-8").strip()
    except (OSError, ValueError):
        return None


def attachments_of(session: Session, ref: str) -> list[Attachment]:
    """Files attached to a record."""
    build = current_build(session)
    query = select(Attachment).where(
        Attachment.build_id == build.id, Attachment.about == ref, col(Attachment.withdrawn_because).is_(None)
    )
    return list(session.exec(query.order_by(col(Attachment.number))))


def is_damaged(session: Session, attachment: Attachment) -> bool:
    """Whether the copy of an attachment is missing or no longer has its hash; on a server, the one kept there."""
    if contents.kept_inside(session):
        return contents.hash_kept(session, attachment.sha256) != attachment.sha256
    path = stored_at(session, attachment)
    return not is_copy(path) or hash_of(path) != attachment.sha256
