"""The content of attached files where the journal is on a server: in pieces, in the database itself.

Members sit at other machines; what they look at is copied into a folder of theirs.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

from sqlmodel import Session, col, delete, func, insert, select

from journal.book.places import Address
from journal.book.safe_files import blocks, make_folder, replace
from journal.book.tables import FileContent


def kept_inside(session: Session) -> bool:
    """Whether the files of a journal are in its database."""
    return isinstance(session.info["path"], Address)


def put(session: Session, digest: str, file: Path) -> None:
    """Keep the content of a file under its hash; one that is there and whole stays."""
    if hash_kept(session, digest) == digest:
        return
    connection = session.connection()
    if _count(session, digest):
        connection.execute(delete(FileContent).where(col(FileContent.sha256) == digest))
    for number, block in enumerate(blocks(file)):
        connection.execute(insert(FileContent), {"sha256": digest, "piece": number, "content": block})


def pieces(session: Session, digest: str) -> Iterator[bytes]:
    """The content that is kept under a hash, piece by piece; none where there is none."""
    for number in range(_count(session, digest)):
        query = select(FileContent.content).where(FileContent.sha256 == digest, FileContent.piece == number)
        yield session.exec(query).first() or b""


def _count(session: Session, digest: str) -> int:
    query = select(func.count()).select_from(FileContent).where(FileContent.sha256 == digest)
    return session.exec(query).one()


def hash_kept(session: Session, digest: str) -> str | None:
    """The hash of what is kept under one; None where there is nothing."""
    told, some = hashlib.sha256(), False
    for piece in pieces(session, digest):
        told.update(piece)
        some = True
    return told.hexdigest() if some else None


def fetch(session: Session, digest: str, target: Path) -> None:
    """Copy what is kept under a hash to a file; nothing happens where there is nothing."""
    if _count(session, digest):
        make_folder(target.parent)
        replace(target, pieces(session, digest))
