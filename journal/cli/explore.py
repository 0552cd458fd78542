"""What if: the power curve, values varied, where findings turn, which doubts matter."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, ask, pairs, session, waiting
from journal.cli.options import Json, OfRevision, On, Subject


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("What if", power, vary, turn, doubts)


def power(
    revision: OfRevision = None,
    as_json: Json = False,
) -> None:
    """Show what the machine does in each wind, and where every watt goes.

    Example: galebook power r2
    """
    from journal.review import explore
    from journal.screens.power import show_power

    with session() as s:
        with waiting("Solving the machine"):
            curve = explore.power(s, revision)
        show_power(curve, as_json)


def vary(
    changes: Annotated[list[str] | None, typer.Argument(metavar="NAME=VALUES", help="A list, or even steps.")] = None,
    on: On = None,
    everything: Annotated[bool, typer.Option("--all", help="Findings that stay the same, too.")] = False,
    as_json: Json = False,
) -> None:
    """Show what other values would do, without touching the record.

    Several names give all combinations. Steps are typed like "1.5 m to 3 m in 4".

    Example: galebook vary cable.mast.area="6 mm2, 10 mm2, 16 mm2" storage.voltage="24 V, 48 V" --on r2
    """
    from journal.review import explore
    from journal.screens.vary import show_variation

    if not changes:
        flag = 'galebook vary cable.mast.area="6 mm2, 10 mm2"'
        changes = [ask(None, "What to vary, like cable.mast.area=6 mm2, 10 mm2", flag=flag, check=_pair) or ""]
    with session() as s:
        with waiting("Varying"):
            varied = explore.vary(s, on, pairs(changes))
        show_variation(varied, as_json, everything=everything)


def _pair(typed: str) -> None:
    from journal.book.sheet import entry_of

    for path in pairs([typed]):
        entry_of(path)


def turn(
    rule: Annotated[str, typer.Argument(help="Rule of the finding, e.g. wiring.voltage-drop.")],
    path: Annotated[str, typer.Argument(metavar="NAME", help="The value to move, e.g. cable.mast.area.")],
    subject: Subject = None,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Find the value at which a finding turns.

    Example: galebook turn wiring.voltage-drop cable.mast.area --subject cable.mast --on r2
    """
    from journal.review import explore
    from journal.screens.turn import show_turning

    with session() as s:
        with waiting("Looking for the turn"):
            found = explore.turn(s, on, rule, path, subject)
        show_turning(found, as_json)


def doubts(
    revision: OfRevision = None,
    as_json: Json = False,
) -> None:
    """Rank the doubtful values by how much they decide: what to measure next.

    Example: galebook doubts r2
    """
    from journal.review import verdict
    from journal.screens.doubts import show_doubts

    with session() as s:
        with waiting("Weighing the doubts"):
            result = verdict.check(s, revision)
        show_doubts(result, as_json)
