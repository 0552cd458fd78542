"""Decisions."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, ask, at_terminal, confirm, pairs, say, session, tell, waiting
from journal.cli.dates import settled_ahead
from journal.cli.options import Json, Note, Odds, On, Review, Subject, When
from journal.errors import NotFound

_PANEL = "Decisions"
Decided = Annotated[str | None, typer.Argument(metavar="DECISION", help="Decision, e.g. D1.")]


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

    guided = question is None and at_terminal()
    question = ask(question, "What is to be decided", flag='galebook decide "Which battery voltage?"')
    if guided:
        context = ask(context, "What presses for it", flag="--context", optional=True)
    with session(write=True) as s:
        decision = decisions.open_decision(
            s, decisions.DecisionTyped(question or "", on=on, context=context, supersedes=supersedes, private_note=note)
        )
    tell(decision.ref)
    say(f'Opened {decision.ref}. Next: galebook option {decision.ref} "..." --set NAME="..."')


def _which(given: str | None, command: str, *, taken: bool = False) -> str:
    """The decision that is meant, picked from a list of those still open (or taken) where it was not named."""
    from journal.book.tables import Decision
    from journal.cli.picking import pick

    return pick(given, Decision, "Which decision", flag=f"galebook {command} D1", first='galebook decide "..."',
                only=lambda d: (d.decided_on is not None) is taken) or ""  # fmt: skip


def option(
    decision: Decided = None,
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

    decision, guided = _which(decision, "option"), name is None and at_terminal()
    name = ask(name, "The option", flag=f'galebook option {decision} "24 V"')
    if guided and not changes:
        changes = _changes()
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


def _changes() -> list[str]:
    """What an option would set, one value after the other until an empty line."""
    from calc.machine.catalogue import catalogue

    found: list[str] = []
    while change := ask(
        None, f"Change {len(found) + 1}, like storage.voltage=24 V", flag="--set", optional=True, check=_readable,
        completions=tuple(f"{name}=" for name in catalogue()),
        help="Name and value on the sheet that this option would set; galebook names tells the names.",
    ):  # fmt: skip
        found.append(change)
    return found


def _readable(change: str) -> None:
    from journal.book import sheet

    for path, value in pairs([change]).items():
        sheet.read_value(path, value)


def criterion(
    decision: Decided = None,
    name: Annotated[
        str | None, typer.Argument(help="yearly_energy, charging_wind, cost, ... or words of your own.")
    ] = None,
    weight: Annotated[str | None, typer.Option(help="How much it counts, e.g. 3.")] = None,
    less: Annotated[bool, typer.Option("--less-is-better", help="For a criterion of your own.")] = False,
) -> None:
    """Say what a decision is judged by, and how much that counts. Say it before you look at the result.

    Figures that are computed for each option: yearly_energy, greatest_power, charging_wind, starting_wind,
    free_speed, findings, cost, mass. Anything else you mark yourself.

    Example: galebook criterion D1 yearly_energy --weight 5
    """
    from journal.book import decisions

    decision, guided = _which(decision, "criterion"), name is None and at_terminal()
    figures = {figure: yardstick.meaning for figure, yardstick in decisions.FIGURES.items()}
    name = ask(name, "Judged by what", flag="galebook criterion D1 yearly_energy", words=tuple(figures), own=True,
               labels=figures, help="These are computed; anything else you mark yourself.") or ""  # fmt: skip
    weight = ask(weight, "How much it counts, like 3", flag="--weight") or ""
    if guided and name not in figures:
        less = less or confirm("Is less of it better")
    with session(write=True) as s:
        added = decisions.add_criterion(s, decision, name, weight, less=less)
    how = (
        "computed for each option"
        if added.figure
        else f'mark the options with: galebook mark {decision} "..." "{name}" 7'
    )
    say(f"{decision} is judged by {added.name}, weight {added.weight:g}; {how}.")


def mark(
    decision: Annotated[str, typer.Argument(metavar="DECISION", help="Decision, e.g. D1.")],
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


def weigh(decision: Decided = None, as_json: Json = False) -> None:
    """Show what each option of a decision does, side by side.

    Example: galebook weigh D1
    """
    from journal.screens.weigh import gather_weighing, show_weighing

    decision = _which(decision, "weigh")
    with session() as s:
        show_weighing(gather_weighing(s, decision), as_json)


def choose(
    decision: Decided = None,
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

    decision, guided = _which(decision, "choose"), which is None and at_terminal()
    which = _option(which, decision)
    because = ask(because, "Why", flag="--because")
    if guided and not (expect or reading):
        expect = ask(None, "What do you expect to see", flag="--expect", optional=True)
        odds = ask(odds, "How likely, like 80%", flag="--odds", optional=True, check=_odds) if expect else odds
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


def _option(given: str | None, decision: str) -> str | None:
    """Number or name of an option, chosen from a list where none was named."""
    flag = f'galebook choose {decision} "24 V"'
    if given is not None or not at_terminal():
        return ask(given, "Which option", flag=flag)
    from journal.book import decisions

    with session() as s:
        found = decisions.options(s, decisions.undecided(s, decision))
        labels = {
            o.name: "cannot be chosen: people can be hurt" if o.refused_because else o.summary or "" for o in found
        }
    if not labels:
        raise NotFound(f"{decision} has no options yet", f"Add one with: galebook option {decision}")
    return ask(None, "Which option", flag=flag, words=tuple(labels), labels=labels)


def _odds(typed: str) -> None:
    from journal.book.written import share

    share(typed, "Odds")


def accept(
    rule: Annotated[str | None, typer.Argument(help="Rule of the finding, e.g. wiring.voltage-drop.")] = None,
    because: Annotated[str | None, typer.Option("--because", help="Why you live with it.")] = None,
    until: Annotated[
        str | None, typer.Option("--until", callback=settled_ahead, help="When to look again, e.g. 2026-06-01.")
    ] = None,
    subject: Subject = None,
    on: On = None,
) -> None:
    """Accept a finding that fails or is marginal, until a date. A danger cannot be accepted.

    Example: galebook accept mast.roof --on r1 --because "until the pole is dug in" --until 2026-03-01
    """
    from journal.review import acceptance
    from journal.review.wording import day_text

    if rule is None and at_terminal():
        rule, subject = _acceptable(on)
    rule = ask(rule, "Rule of the finding", flag="galebook accept wiring.voltage-drop") or ""
    because = ask(because, "Why you live with it", flag="--because") or ""
    until = settled_ahead(ask(until, "When to look again, like 2027-06-01", flag="--until")) or ""
    with session(write=True) as s:
        decision = acceptance.accept_finding(s, on, rule, because, until, subject=subject)
    tell(decision.ref)
    say(f"{decision.ref}: accepted until {day_text(decision.until)}; every write-up shows it.")


def _acceptable(on: str | None) -> tuple[str, str | None]:
    """Rule and subject of a finding that fails or is marginal, chosen from a list."""
    from journal.review import verdict

    with session() as s, waiting("Checking"):
        review = verdict.check(s, on)
        found = [f for f in review.with_status(*verdict.ACCEPTABLE) if f.key not in review.accepted]
    if not found:
        raise NotFound(f"Nothing of {review.revision.ref} fails or is marginal", "There is nothing to accept")
    labels = {f"{f.rule} {f.subject}".strip(): f"{f.status}: {verdict.headline(f)}" for f in found}
    picked = ask(None, "Which finding", flag="galebook accept wiring.voltage-drop", words=tuple(labels), labels=labels)
    rule, _, subject = (picked or "").partition(" ")
    return rule, subject or None


def outcome(
    decision: Decided = None,
    result: Annotated[str | None, typer.Argument(help="came true, partly, did not, or cannot tell.")] = None,
    note: Annotated[str | None, typer.Option("--note", help="What happened.")] = None,
    when: When = None,
    by: Annotated[str | None, typer.Option("--by", help="What settles it: a reading, e.g. M12, or logger.")] = None,
) -> None:
    """Say whether what was expected of a decision came true.

    Example: galebook outcome D1 "came true" --note "4 A at Bft 4 on 3 May"
    """
    from journal.book.tables import RESULTS
    from journal.review import forecast

    decision = _which(decision, "outcome", taken=True)
    if result is None and by is None and at_terminal():
        result = ask(None, "Did it come true", flag='galebook outcome D1 "came true"', words=RESULTS)
        note = ask(note, "What happened", flag="--note", optional=True)
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
