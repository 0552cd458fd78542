"""Where a journal is, and what lies beside it.

A journal is a file, or on a server. Beside the file ``journal.db`` lie ``journal.db.files``, the attached files by the
hash of their content, and ``journal.db.kept``, what the program keeps for the person: backups, texts that were typed
and not taken over, and the register of the pages and pictures it wrote. For a journal on a server, what is kept lies in
the user's state folder.
"""

from __future__ import annotations

import hashlib
import os
import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote

from journal.errors import BadInput, Refused

_URL = re.compile(r"([A-Za-z][A-Za-z0-9+.-]*)://")
#: The password of an address, wherever one can stand in it; anything before the last "@", as it may hold that too.
_PASSWORD = re.compile(r"(?<=://)([^:/?@]*):.*@|(?<=[?&])((?:ssl)?password=)[^&]*")


@dataclass(frozen=True)
class Address:
    """Where a journal on a server is. As text it has no password."""

    url: str

    def __str__(self) -> str:
        return _PASSWORD.sub(lambda m: f"{m[2]}..." if m[2] else f"{m[1]}@", self.url)

    @property
    def login(self) -> str | None:
        """Who connects, where the address says it."""
        said = re.match(r"[a-z]+://([^:/?@]+)(?::[^@]*)?@", self.url)
        return unquote(said[1]) if said else None

    def __repr__(self) -> str:
        return f"Address({str(self)!r})"


Place = Path | Address


def place_of(given: str | Path | Address | None = None) -> Place:
    """Where the journal is: as given, or by GALEBOOK_JOURNAL, or a file in the user's data folder.

    Raises
    ------
    BadInput
        If it is an address of another kind than ``postgresql://user@host/name``.
    Refused
        If it is a folder, a device or a pipe.
    """
    named = given or os.environ.get("GALEBOOK_JOURNAL")
    if isinstance(named, Address):
        return named
    if isinstance(named, str) and (scheme := _URL.match(named)):
        if scheme[1].lower() not in ("postgresql", "postgres"):
            raise BadInput(
                f"{Address(named)} is not the address of a journal",
                "Accepted: a file, or postgresql://user@host/name",
            )
        return Address(named)
    if not named:
        import platformdirs

        return Path(platformdirs.user_data_dir("galebook", appauthor=False)) / "journal.db"
    path = Path(named)
    if path.is_dir():
        known = next(iter(sorted(path.glob("*.db"))), path / "journal.db")
        raise Refused(f"{path} is a folder, and a journal is a file", f"Name it whole, like --journal {known}")
    if path.exists() and not path.is_file():
        raise Refused(f"{path} is a device or a pipe, and a journal is a file", "Name another with --journal FILE")
    return path


def path_of(given: str | Path | None = None) -> Path:
    """The file that the journal is, for what is done with files only; else as :func:`place_of`.

    Raises
    ------
    Refused
        If it is on a server.
    """
    place = place_of(given)
    if isinstance(place, Address):
        raise Refused(
            f"The journal {place} is on a server, and this is done with files only",
            "Use the server's own backups (pg_dump), or galebook export",
        )
    return place


def files_folder(journal: Place) -> Path:
    """Folder beside the journal that holds attached files; of one on a server, those that were looked at."""
    return journal.with_name(journal.name + ".files") if isinstance(journal, Path) else _state(journal) / "files"


def kept_folder(journal: Place) -> Path:
    """Folder beside the journal that holds what the program keeps for the person."""
    return journal.with_name(journal.name + ".kept") if isinstance(journal, Path) else _state(journal)


def pages_folder(journal: Place) -> Path:
    """Folder beside the journal for pages that are made only to look at them."""
    return journal.with_name(f"{journal.stem}-pages") if isinstance(journal, Path) else _state(journal) / "pages"


def _state(journal: Address) -> Path:
    import platformdirs

    told = str(journal)
    name = re.sub(r"[^A-Za-z0-9.-]+", "-", re.split(r"[?#]", told)[0].partition("://")[2])[:60]
    folder = f"{name}-{hashlib.sha256(told.encode()).hexdigest()[:12]}"
    return Path(platformdirs.user_state_dir("galebook", appauthor=False)) / folder


def log_of(path: Path) -> Path:
    """The database's write-ahead log, which is there while the journal is in use, or after an unclean end."""
    return path.with_name(path.name + "-wal")
