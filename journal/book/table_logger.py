"""The table of what data loggers wrote."""

from __future__ import annotations

from typing import ClassVar

from sqlalchemy import CheckConstraint
from sqlmodel import Field

from journal.book.table_base import Numbered, numbered


class LoggerFile(Numbered, table=True):
    """What a data logger wrote, of a revision or of the place alone; its rows are files attached to it.

    ``sha256`` and ``size`` are of the file as it was read. ``mapping`` says what its columns are, ``found`` what was
    odd.
    """

    letter: ClassVar[str] = "G"
    __table_args__ = numbered({}, CheckConstraint("rows > 0", name="rows"))

    revision_id: int | None = Field(default=None, foreign_key="revision.id", index=True)
    attempt_id: int | None = Field(default=None, foreign_key="attempt.id", index=True)
    filename: str
    sha256: str
    size: int
    mapping: str
    zone: str | None = None
    first_at: str
    last_at: str
    step: float | None = None
    rows: int
    gaps: int
    resets: int
    stuck: int
    spikes: int
    bad: int
    found: str
    note: str | None = None
