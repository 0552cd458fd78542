"""Photos and files: copied beside the journal under the hash of their content."""

from __future__ import annotations

import hashlib
import mimetypes
import os
import shutil
from pathlib import Path

from sqlmodel import Session

from journal.book.common import add, current_build, find, numbered, text
from journal.book.quantity import clean
from journal.book.store import files_folder
from journal.book.tables import Attachment
from journal.errors import BadInput, NotFound, Refused

LIMIT = 200 * 1024 * 1024


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
    record = find(session, about)
    if not file.exists():
        raise NotFound(f"There is no file {file}")
    if not file.is_file() or file.stat().st_size > LIMIT:
        raise BadInput(f"{file} is not a plain file of at most 200 MiB", "Attach a photo, a document or a log")
    try:
        digest = _hash(file)
    except OSError as e:
        raise BadInput(f"{file} cannot be read ({e.strerror})", "Attach a photo, a document or a log") from e
    attachment = Attachment(
        about=record.ref,
        filename=clean(file.name, "The name of the file", limit=255),
        sha256=digest,
        size=file.stat().st_size,
        media_type=mimetypes.guess_type(file.name)[0] or "application/octet-stream",
        caption=text(caption, "Caption"),
        private=private,
        build_id=0,
        number=0,
        recorded_at="",
    )
    target = stored_at(session, attachment)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if not target.exists() or _hash(target) != digest:
            half = target.with_name(f"{target.name}.{os.getpid()}")
            shutil.copyfile(file, half)
            os.replace(half, target)
    except OSError as e:
        raise Refused(f"{target.parent} cannot be written ({e.strerror})", "Nothing was saved") from e
    fields = attachment.model_dump(exclude={"id", "build_id", "number", "recorded_at", "withdrawn_because"})
    return add(session, Attachment, **fields)


def stored_at(session: Session, attachment: Attachment) -> Path:
    """Where the copy of a file is."""
    folder: Path = files_folder(session.info["path"])
    return folder / attachment.sha256[:2] / f"{attachment.sha256}{Path(attachment.filename).suffix.lower()}"


def of(session: Session, ref: str) -> list[Attachment]:
    """Files attached to a record."""
    return [a for a in numbered(session, Attachment, current_build(session)) if a.about == ref]


def is_damaged(session: Session, attachment: Attachment) -> bool:
    """Whether the copy of an attachment is missing or no longer has its hash."""
    path = stored_at(session, attachment)
    return not path.exists() or _hash(path) != attachment.sha256


def _hash(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
