"""Checking and comparing."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, session, waiting
from journal.cli.options import Json, OfRevision

_PANEL = "Checking"


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add(_PANEL, check, compare, rules)


def check(
    revision: OfRevision = None,
    everything: Annotated[bool, typer.Option("--all", help="Show what passed in full, too.")] = False,
    as_json: Json = False,
) -> None:
    """Check a revision against physics and safety rules. Exit code 3 if something fails or is a danger.

    Example: galebook check r2
    """
    from journal.review import verdict
    from journal.screens.check import show_check

    with session() as s:
        with waiting("Checking"):
            result = verdict.check(s, revision)
        show_check(result, as_json, everything=everything)
    raise typer.Exit(3 if verdict.failed(result.findings) else 0)


def compare(
    old: Annotated[str, typer.Argument(help="Earlier revision, e.g. r1.")],
    new: Annotated[str, typer.Argument(help="Later revision, e.g. r2.")],
    as_json: Json = False,
) -> None:
    """Compare two revisions: what changed, every finding, measured values, which failures are answered.

    Example: galebook compare r1 r2
    """
    from journal.review import verdict
    from journal.screens.compare import show_comparison

    with session() as s:
        with waiting("Comparing"):
            result = verdict.compare(s, old, new)
        show_comparison(result, as_json)


def rules(
    about: Annotated[str | None, typer.Argument(help="Only rules that hold this, e.g. wiring.")] = None,
    as_json: Json = False,
) -> None:
    """List the rules, what each needs, and its sources.

    Example: galebook rules wiring
    """
    from journal.screens.rules import gather_rules, show_rules

    show_rules(gather_rules(about), as_json)
