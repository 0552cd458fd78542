"""The builds of a journal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from journal.book.builds import all_builds
from journal.book.records import current_build
from journal.book.tables import Build
from journal.errors import Refused
from journal.screens.terminal import Terminal, record_data, screen


@dataclass(frozen=True)
class Builds:
    """Builds, and the name of the one that commands mean, if that is clear."""

    rows: list[Build]
    chosen: str | None


def gather_builds(session: Session) -> Builds:
    """All builds of the journal."""
    try:
        chosen = current_build(session).name
    except Refused:
        chosen = None
    return Builds(all_builds(session), chosen)


def _data(builds: Builds) -> list[dict[str, Any]]:
    return [{**record_data(b), "chosen": b.name == builds.chosen} for b in builds.rows]


@screen(_data)
def show_builds(out: Terminal, builds: Builds) -> None:
    """Builds, the chosen one marked."""
    out.table(
        ("", "Build", "Purpose"),
        (("*" if b.name == builds.chosen else "", b.name, b.purpose or "") for b in builds.rows),
    )
