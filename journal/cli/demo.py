"""The example journal."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, say, tell


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Publishing", demo)


def demo(folder: Annotated[Path, typer.Argument(help="Folder to fill; demo.db in it must not exist.")]) -> None:
    """Make an example journal, play a whole invented story through it, and write its write-ups.

    Example: galebook demo demo
    """
    from journal import demo

    for line in demo.play(folder):
        tell(line)
    say(f"Look around with: galebook --journal {folder / 'demo.db'} status")
