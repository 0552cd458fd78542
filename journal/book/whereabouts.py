"""Where a journal is, and what lies beside it; it is not opened."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calc.wording import number_of
from journal.book.backups import Kept, kept, wanted, way_back
from journal.book.places import Address, Place, files_folder, kept_folder

_NONE_YET = 'There is no journal there yet; "galebook start" makes it.'


@dataclass(frozen=True)
class Whereabouts:
    """A journal, and what lies beside it."""

    journal: Place
    exists: bool
    files: int
    bytes_of_files: int
    backups: list[Kept]
    texts: list[Path]

    @property
    def data(self) -> dict[str, Any]:
        """For scripts."""
        return {
            "journal": str(self.journal),
            "exists": self.exists,
            "files": {"folder": str(files_folder(self.journal)), "count": self.files, "bytes": self.bytes_of_files},
            "backups": [{"path": str(k.path), "taken": k.taken.isoformat(), "why": k.why} for k in self.backups],
            "texts": [str(p) for p in self.texts],
        }

    @property
    def lines(self) -> list[str]:
        """For people, after the journal's own line."""
        if not self.exists:
            back = isinstance(self.journal, Path) and way_back(self.journal)
            return [f"There is no journal there any more. {back}" if back else _NONE_YET]
        told = []
        if isinstance(self.journal, Address):
            told.append("It is on a server; see who may use it with: galebook members list")
            return [*told, *self._texts()]
        if self.files:
            many = self.bytes_of_files > 1e5
            size = f"{self.bytes_of_files / 1e6:.1f} MB" if many else f"{self.bytes_of_files} bytes"
            told.append(f"{number_of(self.files, 'attached file')}, {size}, in {files_folder(self.journal)}")
        return [*told, self._backups(), *self._texts()]

    def _texts(self) -> list[str]:
        return [f"Not taken over yet: {text}" for text in self.texts]

    def _backups(self) -> str:
        if not self.backups:
            return (
                "No backup yet; one is kept before the first change of each day."
                if wanted()
                else ("No backup is kept, by GALEBOOK_BACKUPS=none.")
            )
        newest, oldest = (k.taken.astimezone().date() for k in (self.backups[0], self.backups[-1]))
        days = f"of {newest}" if newest == oldest else f"from {oldest} to {newest}"
        return f"{number_of(len(self.backups), 'backup')} {days}; see: galebook backups"


def find(journal: Place) -> Whereabouts:
    """Look beside a journal; of one on a server only whether it is there, and what is kept here."""
    attached = [p for p in files_folder(journal).glob("??/*") if p.is_file()]
    texts = sorted(p for p in (kept_folder(journal) / "texts").glob("*") if p.suffix in (".toml", ".json"))
    size = sum(p.stat().st_size for p in attached)
    if isinstance(journal, Address):
        from journal.book import server

        return Whereabouts(journal, server.exists(journal), len(attached), size, [], texts)
    there = journal.exists() and journal.stat().st_size > 0
    return Whereabouts(journal, there, len(attached), size, kept(journal), texts)
