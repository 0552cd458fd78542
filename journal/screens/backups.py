"""The copies that are kept of a journal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from journal.book.backups import DAILY, MENDING, Kept, kept
from journal.review.wording import day_text
from journal.screens.terminal import Terminal, screen


@dataclass(frozen=True)
class Backup:
    """One copy by its number in the list, with the newest change in it."""

    number: int
    kept: Kept
    last_change: datetime | None


def gather_backups(journal: Path) -> list[Backup]:
    """The copies, newest first."""
    return [Backup(n, k, k.last_change) for n, k in enumerate(kept(journal), 1)]


def _data(backups: list[Backup]) -> dict[str, Any]:
    return {"backups": [_one(b) for b in backups]}


def _one(b: Backup) -> dict[str, Any]:
    return {
        "number": b.number,
        "path": str(b.kept.path),
        "taken": b.kept.taken.isoformat(),
        "why": b.kept.why,
        "last_change": b.last_change and b.last_change.isoformat(),
    }


def moment_text(at: datetime | None) -> str:
    """When the newest change was made, as people say it."""
    if at is None:
        return "an empty journal"
    here = at.astimezone()
    return f"{day_text(here.date().isoformat())} {here:%H:%M}"


#: What copies are kept before, by the word in their names.
BEFORE = {
    DAILY: "first change of the day",
    MENDING: "it was put right; as it was found",
    "before-import": "an import",
    "before-restore": "going back to another",
    "before-restore-damaged": "going back to another; damaged",
}


def _why(copy: Kept) -> str:
    older = copy.why.removeprefix("version-")
    unlisted = copy.why if older == copy.why else f"a newer Galebook changed it (from version {older})"
    return BEFORE.get(copy.why, unlisted)


def _as_of(b: Backup) -> str:
    return "cannot be read" if b.last_change is None and b.kept.as_found else moment_text(b.last_change)


@screen(_data)
def show_backups(out: Terminal, backups: list[Backup]) -> None:
    """One row a copy: its number, how far it goes, why it was kept."""
    if not backups:
        out.line("No backup is kept yet. One is made before the first change of each day.")
        return
    out.table(
        ("", "As it was on", "Kept before"),
        ((str(b.number), _as_of(b), _why(b.kept)) for b in backups),
    )
    out.line()
    whole = [b for b in backups if not b.kept.as_found]
    if whole:
        out.line(f"Go back to one by its number: galebook restore {whole[0].number}")
    days = [b.last_change.astimezone().date() for b in whole if b.last_change]
    if days:
        out.line(f"or to the end of a day: galebook restore {days[0]}")
