"""What a form has made: the same form sent twice, because no answer came the first time, logs once.

A receipt is written within the transaction that makes the record, before it ends. Whether that came to its end is seen
from the journal: where the record is not there, as of that moment, the form made nothing.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from sqlmodel import Session

from journal.book.places import Place, kept_folder
from journal.book.records import find_record
from journal.book.safe_files import make_folder, replace
from journal.errors import GalebookError, Refused

#: How long a phone can come back with a form that it sent. [s]
KEPT = 30 * 24 * 3600.0


@dataclass(frozen=True)
class Receipt:
    """What was sent, as a hash, the records that it made, and when the first of them was recorded."""

    sent: str
    refs: list[str]
    at: str


class Receipts:
    """Receipts of a journal, a small file each, among what is kept beside it."""

    def __init__(self, place: Place) -> None:
        self._folder = kept_folder(place) / "sent"

    def of(self, session: Session, once: str) -> Receipt | None:
        """The receipt of a form, if what it made is in the journal."""
        try:
            receipt = Receipt(**json.loads(self._file(once).read_text(encoding="utf-8")))
            first: Any = find_record(session, receipt.refs[0], withdrawn=True)
        except (OSError, ValueError, TypeError, LookupError, AttributeError, GalebookError):
            return None
        return receipt if first.recorded_at == receipt.at else None

    def keep(self, once: str, receipt: Receipt) -> None:
        """Write a receipt.

        Raises
        ------
        Refused
            If it cannot be written; then nothing may be saved, or it could be saved twice.
        """
        try:
            make_folder(self._folder)
            replace(self._file(once), [json.dumps(asdict(receipt)).encode()])
        except OSError as e:
            raise Refused(f"Beside the journal nothing can be written ({e.strerror})", "Nothing was saved") from e

    def clear(self) -> None:
        """Let go of those that no phone comes back with."""
        with contextlib.suppress(OSError):
            for file in self._folder.glob("*.json"):
                if file.stat().st_mtime < time.time() - KEPT:
                    file.unlink()

    def _file(self, once: str) -> Path:
        return self._folder / f"{hashlib.sha256(once.encode()).hexdigest()[:32]}.json"
