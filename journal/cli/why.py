"""Why it failed, in numbers."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, session
from journal.cli.options import Json


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Failures", why)


def why(
    failure: Annotated[str | None, typer.Argument(metavar="FAILURE", help="Failure, e.g. F1.")] = None,
    symptom: Annotated[
        list[str] | None,
        typer.Option("--symptom", help="What was seen, if your words were taken wrongly; may be given twice."),
    ] = None,
    load: Annotated[
        str | None, typer.Option("--load", help='What was connected at the moment, e.g. "nothing connected".')
    ] = None,
    wind: Annotated[str | None, typer.Option("--wind", help='Wind at the rotor at the moment, e.g. "9 m/s".')] = None,
    whole: Annotated[
        bool, typer.Option("--all", help="Every way of failing, with all that speaks for and against it.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Hold every known way of failing, and every cause you believe, against the numbers. It proves nothing.

    Example: galebook why F1 --symptom "turns but hardly charges"
    """
    from journal.book.tables import Failure
    from journal.cli.picking import pick
    from journal.review.why import explain
    from journal.screens.why import show_why, show_why_whole

    failure = pick(failure, Failure, "Which failure", flag="galebook why F1", first='galebook fail "..."') or ""
    with session() as s:
        answer = explain(s, failure, symptoms=symptom or (), load=load, wind=wind)
        if whole:
            show_why_whole(answer, as_json)
        else:
            show_why(answer, as_json)
