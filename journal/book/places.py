"""Where a journal is, and what lies beside it.

Beside ``journal.db`` lie ``journal.db.files``, the attached files by the hash of their content, and
``journal.db.kept``, what the program keeps for the person: backups, texts that were typed and not taken over, and the
register of the pages and pictures it wrote.
"""

from __future__ import annotations

import os
from pathlib import Path

from journal.errors import Refused


def path_of(given: Path | None = None) -> Path:
    """Where the journal is: as given, or by GALEBOOK_JOURNAL, or in the user's data folder.

    Raises
    ------
    Refused
        If that is a folder.
    """
    named = given or os.environ.get("GALEBOOK_JOURNAL")
    if not named:
        import platformdirs

        return Path(platformdirs.user_data_dir("galebook", appauthor=False)) / "journal.db"
    path = Path(named)
    if path.is_dir():
        known = next(iter(sorted(path.glob("*.db"))), path / "journal.db")
        raise Refused(f"{path} is a folder, and a journal is a file", f"Name it whole, like --journal {known}")
    return path


def files_folder(journal: Path) -> Path:
    """Folder beside the journal that holds attached files."""
    return journal.with_name(journal.name + ".files")


def kept_folder(journal: Path) -> Path:
    """Folder beside the journal that holds what the program keeps for the person."""
    return journal.with_name(journal.name + ".kept")


def log_of(journal: Path) -> Path:
    """The database's write-ahead log, which is there while the journal is in use, or after an unclean end."""
    return journal.with_name(journal.name + "-wal")
