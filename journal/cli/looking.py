"""What to look at for a failure, and what was found by looking."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from journal.cli.common import Commands, ask, at_terminal, in_turn, say, session, tell
from journal.cli.options import Json, When

if TYPE_CHECKING:
    from calc.mechanisms.look import Look


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Failures", look)


def look(
    failure: Annotated[str | None, typer.Argument(metavar="FAILURE", help="Failure, e.g. F1.")] = None,
    name: Annotated[str | None, typer.Argument(help="What was looked at; a part of its name will do.")] = None,
    answer: Annotated[str | None, typer.Argument(help="yes, no or 'cannot tell'.")] = None,
    seen: When = None,
    note: Annotated[str | None, typer.Option("--note", help="What was found, in more words.")] = None,
    everything: Annotated[bool, typer.Option("--all", help="All looks that could tell anything.")] = False,
    as_json: Json = False,
) -> None:
    """Tell what to look at for a failure and how, the cheapest first; or log what was found.

    Run bare at a terminal, it asks one by one.

    Example: galebook look F1 green-terminals yes --note "the plus screw at the rectifier"
    """
    from journal.book.tables import Failure
    from journal.cli.picking import pick
    from journal.review.looking import looks_for
    from journal.screens.looking import show_looking

    guided = failure is None and at_terminal() and not as_json
    failure = pick(failure, Failure, "Which failure", flag="galebook look F1", first='galebook fail "..."') or ""
    if guided:
        while in_turn(("look", failure), lambda: _asked(failure, everything)):
            pass
    elif name is None:
        with session() as s:
            show_looking(looks_for(s, failure, everything=everything), as_json)
    else:
        _log(failure, name, _answered(name, answer), seen, note)


def _answered(name: str, given: str | None) -> str:
    """The answer of a look; asked for with its question where it was not given."""
    from calc.mechanisms.looks import LOOKS
    from journal.book.names import look_named
    from journal.book.tables import ANSWERS

    known = LOOKS[look_named(name)]
    return ask(given, known.question.rstrip("?"), flag=f"galebook look F1 {known.name} yes", words=ANSWERS,
               help=_how(known)) or ""  # fmt: skip


def _asked(failure: str, everything: bool) -> bool:
    """Let one look be picked and answered; whether it was."""
    from journal.cli.talk import told
    from journal.review.looking import looks_for

    with session() as s:
        open_ = {k.name: k for k in looks_for(s, failure, everything=everything).open}
    if not open_:
        say("No look known here would tell more.")
        return False
    name = ask(None, "Which can you answer, or go and look at", flag="", optional=True, words=tuple(open_),
               labels={k.name: f"{k.question} ({k.place})" for k in open_.values()},
               help="A number, a name or a part of it; how each is done is told next.")  # fmt: skip
    if name is None:
        return False
    told(_how(open_[name]), by=2)
    answer = _answered(name, None)
    note = ask(None, "What did you find, in more words", flag="--note", optional=True)
    _log(failure, name, answer, None, note)
    return True


def _how(known: Look) -> str:
    return f"{known.before} {known.how} If it cannot be done so, answer cannot tell."


def _log(failure: str, name: str, answer: str, seen: str | None, note: str | None) -> None:
    from journal.book import observations

    typed = observations.ObservationTyped(name, answer, seen=seen, note=note)
    with session(write=True) as s:
        made = observations.log_observation(s, failure, typed)
        said = f"{observations.question_of(made)} {made.answer.capitalize()}."
    tell(made.ref)
    say(f"Logged {made.ref}: {said} Next: galebook look {failure}, or galebook why {failure}")
