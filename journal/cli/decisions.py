"""Decisions."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, ask, pairs, say, session, tell
from journal.cli.dates import settled_ahead
from journal.cli.options import Json, Note, Odds, On, Review, Subject, When

_PANEL = "Decisions"
Decided = Annotated[str, typer.Argument(metavar="DECISION", help="Decision, e.g. D1.")]


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add(_PANEL, decide, option, criterion, mark, weigh, choose, accept, outcome, predictions)


def decide(
    question: Annotated[str | None, typer.Argument(help="What is to be decided.")] = None,
    on: On = None,
    context: Annotated[str | None, typer.Option(help="What presses for it.")] = None,
    supersedes: Annotated[str | None, typer.Option(help="Decision it replaces, e.g. D1.")] = None,
    note: Note = None,
) -> None:
    """Open a decision.

    Example: galebook decide "Which battery voltage?" --on r2
    """
    from journal.book import decisions

    question = ask(question, "What is to be decided", flag='galebook decide "Which battery voltage?"')
    with session(write=True) as s:
        decision = decisions.open_decision(
            s, decisions.DecisionTyped(question or "", on=on, context=context, supersedes=supersedes, private_note=note)
        )
    tell(decision.ref)
    say(f'Opened {decision.ref}. Next: galebook option {decision.ref} "..." --set NAME="..."')


def option(
    decision: Decided,
    name: Annotated[str | None, typer.Argument(help="The option.")] = None,
    changes: Annotated[
        list[str] | None, typer.Option("--set", metavar="NAME=VALUE", help="Sheet value it would change; repeatable.")
    ] = None,
    summary: Annotated[str | None, typer.Option(help="In a sentence.")] = None,
    cost: Annotated[str | None, typer.Option(help='What it would cost more, e.g. "120 EUR".')] = None,
    mass: Annotated[str | None, typer.Option(help='What it would weigh more, e.g. "11 kg".')] = None,
) -> None:
    """Add an option to a decision; what it does to every finding is computed at once.

    Example: galebook option D1 "24 V" --set storage.voltage="24 V"
    """
    from journal.book import decisions
    from journal.review import weighing

    name = ask(name, "The option", flag=f'galebook option {decision} "24 V"')
    with session(write=True) as s:
        added = weighing.offer_option(
            s,
            decision,
            decisions.OptionTyped(name or "", summary=summary, changes=pairs(changes or []), cost=cost, mass=mass),
        )
    tell(str(added.position))
    if added.refused_because:
        say(f"Kept as option {added.position}, but it cannot be chosen, because people can be hurt.")
        say(f"  {added.refused_because}")
    else:
        say(f"Added option {added.position}: {added.name}.")


def criterion(
    decision: Decided,
    name: Annotated[str, typer.Argument(help="yearly_energy, charging_wind, cost, ... or words of your own.")],
    weight: Annotated[str, typer.Option(help="How much it counts, e.g. 3.")],
    less: Annotated[bool, typer.Option("--less-is-better", help="For a criterion of your own.")] = False,
) -> None:
    """Say what a decision is judged by, and how much that counts. Say it before you look at the result.

    Figures that are computed for each option: yearly_energy, greatest_power, charging_wind, starting_wind,
    free_speed, findings, cost, mass. Anything else you mark yourself.

    Example: galebook criterion D1 yearly_energy --weight 5
    """
    from journal.book import decisions

    with session(write=True) as s:
        added = decisions.add_criterion(s, decision, name, weight, less=less)
    how = (
        "computed for each option"
        if added.figure
        else f'mark the options with: galebook mark {decision} "..." "{name}" 7'
    )
    say(f"{decision} is judged by {added.name}, weight {added.weight:g}; {how}.")


def mark(
    decision: Decided,
    which: Annotated[str, typer.Argument(help="Number or name of the option.")],
    name: Annotated[str, typer.Argument(metavar="CRITERION", help="A criterion of your own.")],
    marks: Annotated[str, typer.Argument(help="0 (bad) to 10 (good).")],
) -> None:
    """Mark an option by a criterion of your own.

    Example: galebook mark D2 "guyed tilt-up" "easy to lower" 9
    """
    from journal.book import decisions

    with session(write=True) as s:
        decisions.give_marks(s, decision, which, name, marks)
    say(f"{decision}: {which} has {marks} for {name}.")


def weigh(decision: Decided, as_json: Json = False) -> None:
    """Show what each option of a decision does, side by side.

    Example: galebook weigh D1
    """
    from journal.screens.weigh import gather_weighing, show_weighing

    with session() as s:
        show_weighing(gather_weighing(s, decision), as_json)


def choose(
    decision: Decided,
    which: Annotated[str | None, typer.Argument(help="Number or name of the option.")] = None,
    because: Annotated[str | None, typer.Option("--because", help="Why.")] = None,
    expect: Annotated[str | None, typer.Option("--expect", help="What you expect to see.")] = None,
    odds: Odds = None,
    review_on: Review = None,
    decided: When = None,
    reading: Annotated[
        str | None,
        typer.Option("--expect-reading", help='A reading that will settle it, e.g. "charge.current above 2 A".'),
    ] = None,
    reading_wind: Annotated[str | None, typer.Option("--in", help='In what wind, e.g. "Bft 4".')] = None,
) -> None:
    """Choose an option; its changes go onto the draft. An option that is a danger is refused.

    Example: galebook choose D1 "24 V" --because "halves the current" --expect "charges at Bft 4" --odds 80%
    """
    from journal.book import records
    from journal.book.tables import Revision
    from journal.review import weighing

    which = ask(which, "Which option", flag=f'galebook choose {decision} "24 V"')
    because = ask(because, "Why", flag="--because")
    typed = weighing.ChoiceTyped(
        which or "", because or "", expected=expect, odds=odds, review_on=review_on, decided_on=decided,
        reading=reading, reading_wind=reading_wind,
    )  # fmt: skip
    with session(write=True) as s:
        made, chosen = weighing.choose_option(s, decision, typed)
        built = records.get_record(s, Revision, made.revision_id)
    say(f"{made.ref}: chose {chosen.name!r}.")
    if built.frozen_at is not None and chosen.changes != "{}":
        say(f"{built.ref} is built and stays as it is. Take the change into the next revision with: galebook revise")
    if made.tool_odds is not None:
        say(f"By the numbers, what you expect comes true in {100 * made.tool_odds:.0f} of 100 ways.")


def accept(
    rule: Annotated[str, typer.Argument(help="Rule of the finding, e.g. wiring.voltage-drop.")],
    because: Annotated[str, typer.Option("--because", help="Why you live with it.")],
    until: Annotated[str, typer.Option("--until", callback=settled_ahead, help="When to look again, e.g. 2026-06-01.")],
    subject: Subject = None,
    on: On = None,
) -> None:
    """Accept a finding that fails or is marginal, until a date. A danger cannot be accepted.

    Example: galebook accept mast.roof --on r1 --because "until the pole is dug in" --until 2026-03-01
    """
    from journal.review import acceptance
    from journal.review.wording import day_text

    with session(write=True) as s:
        decision = acceptance.accept_finding(s, on, rule, because, until, subject=subject)
    tell(decision.ref)
    say(f"{decision.ref}: accepted until {day_text(decision.until)}; every write-up shows it.")


def outcome(
    decision: Decided,
    result: Annotated[str | None, typer.Argument(help="came true, partly, did not, or cannot tell.")] = None,
    note: Annotated[str | None, typer.Option("--note", help="What happened.")] = None,
    when: When = None,
    by: Annotated[str | None, typer.Option("--by", help="The reading that settles it, e.g. M12.")] = None,
) -> None:
    """Say whether what was expected of a decision came true.

    Example: galebook outcome D1 "came true" --note "4 A at Bft 4 on 3 May"
    """
    from journal.review import forecast

    with session(write=True) as s:
        made = forecast.conclude(s, decision, result, note, when, by)
    say(f"{made.ref}: {made.result}.")


def predictions(as_json: Json = False) -> None:
    """Show what was expected, what came of it, and how far your odds and the tool's can be trusted.

    Example: galebook predictions
    """
    from journal.review import predictions
    from journal.screens.predictions import show_predictions

    with session() as s:
        show_predictions(predictions.record(s), as_json)
