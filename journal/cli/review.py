"""Checking and comparing."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, say, session, waiting
from journal.cli.options import Json, OfRevision

_PANEL = "Checking"


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add(_PANEL, check)
    to.add(_PANEL, next_, name="next")
    to.add(_PANEL, compare, rules)


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
        judged = verdict.asked(result, finding) if finding else result.findings
        if finding:
            screens.show_finding(screens.Asked(result, judged), as_json)
        elif everything and not as_json:
            screens.show_findings(result, as_json)
        else:
            screens.show_check(result, as_json)
    raise typer.Exit(3 if verdict.failed(judged) else 0)


def next_(
    revision: OfRevision = None,
    keep: Annotated[
        list[str] | None, typer.Option(metavar="NAME", help="Sheet value that must stay; repeatable.")
    ] = None,
    have: Annotated[
        list[str] | None,
        typer.Option(metavar="VALUES", help='What is at hand, e.g. "generator.emf_constant=9 rpm/V"; repeatable.'),
    ] = None,
    matters: Annotated[
        str, typer.Option("--for", help="What matters most: least change, least money, most energy, lightest mast.")
    ] = "least change",
    write: Annotated[int | None, typer.Option(metavar="WAY", help="Make a draft of this way.")] = None,
    because: Annotated[str | None, typer.Option(help="Why this way, for the decision.")] = None,
    as_json: Json = False,
) -> None:
    """Compute the next revision: whole sets of changes that settle its dangers and fails together.

    Example: galebook next r1 --keep rotor.diameter

    Example: galebook next r1 --have "generator.emf_constant=9 rpm/V, generator.winding_resistance=0.3 ohm" --write 1
    """
    from journal.review import next_revision
    from journal.screens.next_revision import show_proposal

    with session(write=write is not None) as s:
        with waiting("Looking for ways") as tell:
            found = next_revision.propose(s, revision, keep=keep or (), have=have or (), matters=matters, tell=tell)
        made = next_revision.write(s, found, write, because) if write is not None else None
    show_proposal(found, as_json)
    if made:
        say(f"Made {made[0].ref} of way {write}, decided in {made[1].ref}. Next: galebook check {made[0].ref}")
    raise typer.Exit(0 if found.ways else 1)


def compare(
    old: Annotated[str, typer.Argument(help="Earlier revision, e.g. r1.")],
    new: Annotated[str, typer.Argument(help="Later revision, e.g. r2.")],
    everything: Annotated[bool, typer.Option("--all", help="Every value and every finding.")] = False,
    as_json: Json = False,
) -> None:
    """Compare two revisions: what it came to in five lines, then what changed and how each finding turned.

    Example: galebook compare r1 r2
    """
    from journal.review import comparison
    from journal.screens.compare import gather_comparison, show_comparison

    with session() as s:
        with waiting("Comparing"):
            told = gather_comparison(s, comparison.compare(s, old, new))
        show_comparison(told, as_json, everything=everything)


def rules(
    about: Annotated[str | None, typer.Argument(help="Only rules that hold this, e.g. wiring.")] = None,
    as_json: Json = False,
) -> None:
    """List the rules, what each needs, and its sources.

    Example: galebook rules wiring
    """
    from journal.screens.rules import gather_rules, show_rules

    show_rules(gather_rules(about), as_json)
