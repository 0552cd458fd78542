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
    finding: Annotated[str | None, typer.Argument(help="Rule whose finding to read in full.")] = None,
    everything: Annotated[bool, typer.Option("--all", help="Every finding in full.")] = False,
    as_json: Json = False,
) -> None:
    """Check a revision: what to do first, against physics and safety rules. Exit code 3 if something fails.

    Example: galebook check r2

    Example: galebook check r2 wiring.fuse
    """
    from journal.review import verdict
    from journal.screens import check as screens

    if finding is None and revision and "." in revision:
        revision, finding = None, revision
    with session() as s:
        with waiting("Checking"):
            result = verdict.check(s, revision, advise=True)
        if finding:
            screens.show_finding(screens.Asked(result, verdict.asked(result, finding)), as_json)
        elif everything and not as_json:
            screens.show_findings(result, as_json)
        else:
            screens.show_check(result, as_json)
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
