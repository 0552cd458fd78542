"""What to look at for a failure, and what was found."""

from __future__ import annotations

from typing import Any

from calc.mechanisms.look import Look
from calc.rules.phrases import inside
from journal.book.observations import observation_facts, question_of
from journal.review.looking import Looking
from journal.review.wording import day_text
from journal.screens.terminal import Terminal, screen

#: Ways of failing that are named beside an answer.
_NAMED = 3


def _data(told: Looking) -> dict[str, Any]:
    return {
        "failure": told.failure.ref,
        "first": told.first,
        "asked": told.asked,
        "looks": [_look_data(look, *told.speaks[look.name]) for look in told.open],
        "more": told.more,
        "found": [observation_facts(o) for o in told.found],
    }


def _look_data(look: Look, yes: tuple[str, ...], no: tuple[str, ...]) -> dict[str, Any]:
    return {
        "name": look.name,
        "question": look.question,
        "how": look.how,
        "before": look.before,
        "place": str(look.place),
        "minutes": look.minutes,
        "tools": look.tools,
        "yes_speaks_for": yes,
        "no_speaks_for": no,
        "source": str(look.source),
    }


@screen(_data)
def show_looking(out: Terminal, told: Looking) -> None:
    """The cheapest looks by where they are taken, each with what must be done before; then what was found."""
    out.title(f"{told.failure.ref} {told.failure.saw}")
    for said in told.first:
        out.line(f"First: {said}", "bold")
    if not told.asked:
        out.indent("It is closed: nothing more is asked about it.")
    elif not told.open:
        out.indent("No look known here would tell more.")
    for place in dict.fromkeys(look.place for look in told.open):
        here = [look for look in told.open if look.place == place]
        out.heading(f"{place[0].upper()}{place[1:]}")
        out.indent(here[0].before)
        for look in here:
            _look(out, look, *told.speaks[look.name])
    if told.found:
        out.heading("Found so far")
    for o in told.found:
        note = f" {o.note}" if o.note else ""
        out.hang(f"  {o.ref} ", f"{question_of(o)} {o.answer.capitalize()}, {day_text(o.seen)}.{note}", 5)
    if told.open:
        out.line()
        out.line("Answer with yes, no or 'cannot tell':")
        out.command(f"galebook look {told.failure.ref} {told.open[0].name} yes")
    if told.more:
        out.line(f"{told.more} more with --all.")


def _look(out: Terminal, look: Look, yes: tuple[str, ...], no: tuple[str, ...]) -> None:
    tools = f"; {', '.join(look.tools)}" if look.tools else ""
    out.hang(f"  {look.name}  ", f"{look.question} ({look.minutes:.0f} min{tools})", 4, "bold")
    out.indent(look.how, 4)
    said = [f"{word} speaks for {_named(titles)}" for word, titles in (("yes", yes), ("no", no)) if titles]
    if said:
        text = "; ".join(said)
        out.indent(f"{text[0].upper()}{text[1:]}.", 4)


def _named(titles: tuple[str, ...]) -> str:
    first = " or ".join(f"“{inside(t)}”" for t in titles[:_NAMED])
    return first + (f" and {len(titles) - _NAMED} more" if len(titles) > _NAMED else "")
