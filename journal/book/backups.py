"""Copies of a journal that the program keeps by itself, and those that a person asks for."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from journal.book import sqlite_file
from journal.book.places import kept_folder
from journal.book.safe_files import make_folder
from journal.errors import Refused


def backups_folder(journal: Path) -> Path:
    """Where the copies of a journal are kept."""
    return kept_folder(journal) / "backups"


def keep(journal: Path, why: str) -> Path:
    """Keep a copy of a journal as it is now.

    Parameters
    ----------
    journal : Path
        The file.
    why : str
        A word or two for its name, such as ``before-0004``.

    Raises
    ------
    Refused
        If it cannot be written.
    """
    folder = backups_folder(journal)
    try:
        make_folder(folder)
    except OSError as e:
        raise Refused(f"{folder} cannot be written ({e.strerror})", "Nothing was changed") from e
    moment = datetime.now(UTC).strftime("%Y-%m-%dT%H%M%S.%fZ")
    target = folder / f"{moment}-{why}{journal.suffix}"
    sqlite_file.copy(journal, target)
    return target


def before_migration(journal: Path, version: str) -> Path:
    """Keep a copy of a journal of an older version, before it is brought up to date."""
    return keep(journal, f"version-{version}")
