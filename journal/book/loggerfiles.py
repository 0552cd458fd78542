"""Files of data loggers, as the journal knows them; they are read in ``journal/logger``."""

from __future__ import annotations

from typing import Any

from journal.book.kinds import Kind, a_text
from journal.book.stored import kept_object
from journal.book.tables import LoggerFile

KIND = Kind(
    LoggerFile,
    readers={"note": a_text("Note")},
    fixed=(
        "filename", "sha256", "size", "mapping", "zone", "first_at", "last_at", "step",
        "rows", "gaps", "resets", "stuck", "spikes", "bad", "found",
    ),
)  # fmt: skip


def found_in(file: LoggerFile) -> dict[str, Any]:
    """What was odd about a file: spans and lines, by kind.

    Raises
    ------
    Refused
        If what is kept is damaged.
    """
    return kept_object(file.found, file.ref)
