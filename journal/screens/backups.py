"""The copies that are kept of a journal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from journal.book.backups import DAILY, Kept, kept
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
        return "nothing logged"
    here = at.astimezone()
    return f"{day_text(here.date().isoformat())} {here:%H:%M}"


@screen(_data)
def show_backups(out: Terminal, backups: list[Backup]) -> None:
    """One row a copy: its number, how far it goes, why it was kept."""
    if not backups:
        out.line("No backup is kept yet. One is made before the first change of each day.")
        return
    said = {DAILY: "first change of the day"}
    out.table(
        ("", "As it was on", "Kept before"),
        ((str(b.number), moment_text(b.last_change), said.get(b.kept.why, b.kept.why)) for b in backups),
    )
    out.line()
    out.line("Go back to one with: galebook restore 1, or to the end of a day: galebook restore 2026-01-12")
