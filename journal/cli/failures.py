"""Failures and their loop."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from journal.cli import meaning
from journal.cli.common import Commands, ask, at_terminal, say, session, tell
from journal.cli.options import InAttempt, Note, On, Sure, When

if TYPE_CHECKING:
    from journal.book.failures import FailureTyped

_PANEL = "Failures"
Severity = Annotated[int | None, typer.Option(help="1 could have killed, 2 grave, 3 moderate, 4 slight.", min=1, max=4)]
Likelihood = Annotated[
    str | None, typer.Option(help="How often it would happen: A often to E hardly ever, F cannot any more.")
]
Failed = Annotated[str | None, typer.Argument(metavar="FAILURE", help="Failure, e.g. F1.")]


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add(_PANEL, fail, cause, reject, evidence, fix, verify)


def fail(
    saw: Annotated[str | None, typer.Argument(help="What was seen, without guessing why.")] = None,
    attempt: InAttempt = None,
    on: On = None,
    happened: When = None,
    item: Annotated[str | None, typer.Option(help="What failed.")] = None,
    part: Annotated[str | None, typer.Option(help="The part, e.g. P1.")] = None,
    effect: Annotated[str | None, typer.Option(help="What followed from it.")] = None,
    harm: Annotated[str | None, typer.Option(help="Was anyone hurt: none, near miss or injury.")] = None,
    severity: Severity = None,
    likelihood: Likelihood = None,
    contained: Annotated[str | None, typer.Option(help="What was done at once.")] = None,
    caused_by: Annotated[str | None, typer.Option(help="Failure that brought it about, e.g. F1.")] = None,
    because: Annotated[str | None, typer.Option("--cause", help="What you believe caused it.")] = None,
    mechanism: Annotated[str | None, typer.Option(help="Known mechanism that the cause means.")] = None,
    sure: Sure = None,
    on_what: Annotated[str | None, typer.Option("--evidence", help="On what evidence.")] = None,
    symptom: Annotated[
        list[str] | None, typer.Option("--symptom", help="What it looked like; else heard in your words, or asked.")
    ] = None,
    note: Note = None,
) -> None:
    """Log a failure, and its cause if you believe you know it.

    Run bare at a terminal, it asks for all that matters; words that leave open what you mean are asked about.

    Example: galebook fail "turned but hardly charged" -a A3 --cause "magnets too weak" --sure 60%
    """
    from journal.book import failures
    from journal.review.loop import loop

    given = failures.FailureTyped(
        saw or "", attempt=attempt, on=on, happened=happened, item=item, part=part, effect=effect, harm=harm,
        severity=severity, likelihood=likelihood, contained=contained, caused_by=caused_by, cause=because, sure=sure,
        evidence=on_what, private_note=note, symptoms="; ".join(symptom or ()) or None, mechanism=mechanism,
    )  # fmt: skip
    typed = _asked(saw, given)
    with session(write=True) as s:
        failure = failures.log_failure(s, typed)
        state = loop(s, failure)
    tell(failure.ref)
    say(f"Logged {failure.ref}. Next, {state.says}")
    if typed.cause and (taken := meaning.taken_as(typed.cause, typed.mechanism)):
        say(taken.strip())
    if not failures.heard_symptoms(failure)[0]:
        say(f'What it looked like is left open: galebook amend {failure.ref} symptoms="..." --because "..."')


def _asked(saw: str | None, given: FailureTyped) -> FailureTyped:
    """A failure with what the person answers of it; where nothing was given, all that matters is asked."""
    from journal.book.tables import HARMS

    guided = saw is None and at_terminal()
    attempt = _in_attempt(given.attempt) if guided and given.on is None else given.attempt
    saw = _seen(saw)
    symptoms = meaning.symptom_asked(saw or "", given.effect, given.item, given.symptoms)
    harm = ask(given.harm, "Was anyone hurt, or nearly", flag="--harm", optional=True, words=HARMS)
    contained, sure, evidence = given.contained, given.sure, given.evidence
    if guided:
        contained = ask(contained, "What did you do at once", flag="--contained", optional=True)
    because = ask(given.cause, "What do you believe caused it", flag="--cause", optional=True)
    mechanism = given.mechanism
    if because:
        seen = partial(meaning.what_was_seen, saw or "", given.effect, given.item, symptoms)
        mechanism = meaning.mechanism_asked(because, mechanism, seen)
        sure, evidence = _how_sure(sure), ask(evidence, "On what evidence", flag="--evidence", optional=True)
    return replace(given, saw=saw or "", attempt=attempt, harm=harm, contained=contained, cause=because, sure=sure,
                   evidence=evidence, symptoms=symptoms, mechanism=mechanism)  # fmt: skip


def _in_attempt(given: str | None) -> str | None:
    from journal.book.tables import Attempt
    from journal.cli.picking import pick

    return pick(given, Attempt, "In which attempt", flag="--attempt", optional=True, newest=True)


def _seen(given: str | None) -> str | None:
    """What was seen, in words of a short list or in one's own."""
    if given is not None or not at_terminal():
        return ask(given, "What did you see (not why)", flag='galebook fail "what was seen"')
    from calc.mechanisms.words import SYMPTOMS

    return ask(
        None, "What did you see (not why)", flag='galebook fail "what was seen"', words=SYMPTOMS, own=True,
        help="A number of the list, or better in your own words: what you saw, heard or smelt. Why comes later.",
    )  # fmt: skip


def _how_sure(given: str | None) -> str | None:
    from journal.book import written

    return ask(given, "How sure, like 60%", flag="--sure", optional=True, check=lambda t: written.share(t, "How sure"),
               help="0 % is: surely not; 50 %: as likely as not; 100 %: no doubt at all.")  # fmt: skip


def _symptoms_of(failure: str) -> tuple[str, ...]:
    """What a failure on record looks like, as far as it is known."""
    from journal.book.failures import heard_symptoms
    from journal.book.records import find_record
    from journal.book.tables import Failure

    with session() as s:
        return heard_symptoms(find_record(s, failure, Failure))[0]


def _which(given: str | None, command: str) -> str:
    """The failure that is meant, picked from a list where it was not named."""
    from journal.book.tables import Failure
    from journal.cli.picking import pick

    return pick(given, Failure, "Which failure", flag=f"galebook {command} F1", first='galebook fail "..."') or ""


def cause(
    failure: Failed = None,
    what: Annotated[str | None, typer.Argument(help="What you believe caused it.")] = None,
    sure: Sure = None,
    because: Annotated[str | None, typer.Option("--evidence", help="On what evidence.")] = None,
    rule: Annotated[
        str | None, typer.Option(help="Rule whose numbers concern it, and so what why takes it for.")
    ] = None,
    mechanism: Annotated[
        str | None, typer.Option(help="Known mechanism that you mean; galebook why names them.")
    ] = None,
    contributing: Annotated[bool, typer.Option("--contributing", help="It helped, but would not suffice.")] = False,
    said: When = None,
) -> None:
    """Log what you believe caused a failure; earlier beliefs are kept.

    Example: galebook cause F1 "generator too fast for a 12 V battery" --mechanism charging.never-reached
    """
    from journal.book import failures

    failure, guided = _which(failure, "cause"), what is None and at_terminal()
    what = ask(what, "What do you believe caused it", flag=f'galebook cause {failure} "..."')
    if rule is None:
        mechanism = meaning.mechanism_asked(what or "", mechanism, partial(_symptoms_of, failure))
    if guided:
        sure, because = _how_sure(sure), ask(because, "On what evidence", flag="--evidence", optional=True)
    typed = failures.CauseTyped(
        what or "", sure=sure, because=because, rule=rule, standing="contributing" if contributing else "believed",
        said_on=said, mechanism=mechanism,
    )  # fmt: skip
    with session(write=True) as s:
        failures.believe(s, failure, typed)
    say(f"Logged a cause of {failure}.{meaning.taken_as(what or '', mechanism, rule)}")


def reject(
    failure: Annotated[str, typer.Argument(metavar="FAILURE", help="Failure, e.g. F1.")],
    number: Annotated[int, typer.Argument(help="Number of the cause, as galebook show tells it.", min=1)],
    because: Annotated[str, typer.Option("--because", help="What speaks against it.")],
) -> None:
    """Give up a believed cause; it stays on record as rejected.

    Example: galebook reject F1 1 --because "the spin test shows the volts are as on the data plate"
    """
    from journal.book import failures

    with session(write=True) as s:
        failures.reject(s, failure, number, because)
    say(f"Cause {number} of {failure} is rejected.")


def evidence(
    failure: Failed = None,
    what: Annotated[str | None, typer.Argument(help="What was found.")] = None,
    leans: Annotated[str | None, typer.Option(help="for (unless said), against or neither.")] = None,
    cause: Annotated[int | None, typer.Option(help="Number of the cause; else the latest.", min=1)] = None,
    measurement: Annotated[str | None, typer.Option(help="Measurement that shows it, e.g. M12.")] = None,
) -> None:
    """Log evidence for or against a cause.

    Example: galebook evidence F1 "volts per rpm are as on the data plate" --leans against --measurement M4
    """
    from calc.quantities import NO_EVIDENCE
    from journal.book import failures
    from journal.book.tables import LEANINGS, Measurement
    from journal.cli.picking import pick

    failure, guided = _which(failure, "evidence"), what is None and at_terminal()
    what = ask(what, "What was found", flag=f'galebook evidence {failure} "..."') or ""
    if guided:
        leans = ask(leans, "Does it speak for the latest cause", flag="--leans", default="for", words=LEANINGS)
        measurement = pick(measurement, Measurement, "Which reading shows it", flag="--measurement", optional=True,
                           only=lambda m: m.quantity not in NO_EVIDENCE)  # fmt: skip
    typed = failures.EvidenceTyped(what, leans=leans or "for", cause=cause, measurement=measurement)
    with session(write=True) as s:
        failures.add_evidence(s, failure, typed)
    say(f"Logged evidence about {failure}.")


def fix(
    failure: Failed = None,
    by: Annotated[str | None, typer.Option("--by", help="Decision that corrects it, e.g. D1.")] = None,
    built_into: Annotated[str | None, typer.Option("--in", help="Revision it is built into, e.g. r2.")] = None,
    criterion: Annotated[
        str | None, typer.Option(help="What will show that it worked; say so before the test.")
    ] = None,
) -> None:
    """Say which decision corrects a failure, and which revision it is built into.

    Example: galebook fix F1 --by D1 --in r2 --criterion "charges at Bft 4"
    """
    from journal.book import failures
    from journal.book.tables import Decision, Revision
    from journal.cli.picking import pick
    from journal.errors import BadInput
    from journal.review.loop import loop

    failure = _which(failure, "fix")
    if not (by or built_into or criterion) and at_terminal():
        by = pick(None, Decision, "Which decision corrects it", flag="--by", optional=True)
        built_into = pick(None, Revision, "Built into which revision", flag="--in", optional=True)
        criterion = ask(None, "What will show that it works", flag="--criterion", optional=True)
    if not (by or built_into or criterion):
        raise BadInput("Nothing to say about the correction", "Give --by D1, --in r2 or --criterion")
    with session(write=True) as s:
        state = loop(s, failures.correct(s, failure, by=by, built_into=built_into, criterion=criterion))
    say(f"Noted for {failure}." + (f" Next, {state.says}" if state.next_step else ""))


def verify(
    failure: Failed = None,
    by: Annotated[str | None, typer.Option("--by", help="Attempt or measurement that shows it, e.g. A4.")] = None,
    note: Annotated[str | None, typer.Option("--note", help="How it shows it.")] = None,
) -> None:
    """Name what shows that the correction works.

    Example: galebook verify F1 --by A6 --note "4 A at Bft 4"
    """
    from journal.book import failures
    from journal.book.tables import Attempt, Measurement
    from journal.cli.picking import pick_any
    from journal.review import proof

    failure, guided = _which(failure, "verify"), by is None and at_terminal()
    by = pick_any(by, "What shows it", (Attempt, Measurement), flag="--by")
    if guided:
        note = ask(note, "How it shows it", flag="--note", optional=True)
    with session(write=True) as s:
        verified = proof.verify(s, failure, by, note)
        shown_by = failures.proof(s, verified)
        tested = proof.hardness(s, verified, shown_by) if shown_by else None
        against = proof.still_failing(s, verified)
    say(f"{failure} is verified." + (f" {tested.says}." if tested else ""))
    if against:
        say(f"But the numbers still speak against it: {'; '.join(against)}.")
