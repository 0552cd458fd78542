"""Photos and files: copied beside the journal under the hash of their content."""

from __future__ import annotations

import hashlib
import mimetypes
import os
import shutil
from pathlib import Path

from sqlmodel import Session

from journal.book.kinds import Kind, a_text, a_yes_or_no
from journal.book.plain_text import clean_text
from journal.book.records import add_record, all_records, current_build, find_record
from journal.book.store import files_folder
from journal.book.tables import Attachment
from journal.book.written import text
from journal.errors import BadInput, NotFound, Refused

LIMIT = 200 * 1024 * 1024

KIND = Kind(
    Attachment,
    readers={"caption": a_text("Caption"), "private": a_yes_or_no("private")},
    fixed=("about", "filename", "sha256", "size", "media_type"),
)


def attach(
    session: Session, file: Path, about: str, *, caption: str | None = None, private: bool = False
) -> Attachment:
    """Attach a file to a record. The copy is whole on disk before the record names it.

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
    digest = _hash_of_usable(file)
    name = clean_text(file.name, "The name of the file", limit=255)
    shows = text(caption, "Caption")
    _copy(file, _place(session, digest, name), digest)
    return add_record(
        session,
        Attachment,
        about=record.ref,
        filename=name,
        sha256=digest,
        size=file.stat().st_size,
        media_type=mimetypes.guess_type(file.name)[0] or "application/octet-stream",
        caption=shows,
        private=private,
    )


def _hash_of_usable(file: Path) -> str:
    """The hash of a file that can be attached."""
    if not file.exists():
        raise NotFound(f"There is no file {file}")
    if not file.is_file() or file.stat().st_size > LIMIT:
        raise BadInput(f"{file} is not a plain file of at most 200 MiB", "Attach a photo, a document or a log")
    try:
        return _hash(file)
    except OSError as e:
        raise BadInput(f"{file} cannot be read ({e.strerror})", "Attach a photo, a document or a log") from e


def _copy(file: Path, target: Path, digest: str) -> None:
    """Copy a file to its place, under a name of its own until it is whole; what lies there whole is left."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if not target.exists() or _hash(target) != digest:
            half = target.with_name(f"{target.name}.{os.getpid()}")
            shutil.copyfile(file, half)
            os.replace(half, target)
    except OSError as e:
        raise Refused(f"{target.parent} cannot be written ({e.strerror})", "Nothing was saved") from e


def _place(session: Session, digest: str, name: str) -> Path:
    folder: Path = files_folder(session.info["path"])
    return folder / digest[:2] / f"{digest}{Path(name).suffix.lower()}"


def stored_at(session: Session, attachment: Attachment) -> Path:
    """Where the copy of a file is."""
    return _place(session, attachment.sha256, attachment.filename)


def attachments_of(session: Session, ref: str) -> list[Attachment]:
    """Files attached to a record."""
    return [a for a in all_records(session, Attachment, current_build(session)) if a.about == ref]


def is_damaged(session: Session, attachment: Attachment) -> bool:
    """Whether the copy of an attachment is missing or no longer has its hash."""
    path = stored_at(session, attachment)
    return not path.exists() or _hash(path) != attachment.sha256


def _hash(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
