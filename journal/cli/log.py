"""Logging: attempts, measurements, claims, files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from journal.cli.common import Commands, ask, at_terminal, say, session, tell
from journal.cli.dates import a_date, settled
from journal.cli.evening import evening, offered, take_readings
from journal.cli.options import Ahead, Correct, InAttempt, Load, Note, On, Until, When, WindHeight
from journal.cli.unclear import beside, one_reading
from journal.errors import BadInput

if TYPE_CHECKING:
    from sqlmodel import Session

    from journal.book.attempts import AttemptTyped
    from journal.book.measurements import MeasurementTyped
    from journal.book.tables import Attempt, Measurement

_PANEL = "Logging"
Kind = Annotated[str | None, typer.Option(help="bench test, raising, run, storm, repair, lowering or other.")]


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add(_PANEL, attempt, measure, instrument, claim, paper, attach)


def attempt(
    did: Annotated[str | None, typer.Argument(help="What was done.")] = None,
    on: On = None,
    kind: Kind = None,
    began: When = None,
    ended: Until = None,
    outcome: Annotated[str | None, typer.Option(help="worked, partly, failed, still running; else not said.")] = None,
    saw: Annotated[str | None, typer.Option(help="What was seen.")] = None,
    wind: Annotated[str | None, typer.Option(help='Wind, e.g. "Bft 5" or "6 to 8 m/s".')] = None,
    wind_height: WindHeight = None,
    wind_how: Annotated[str | None, typer.Option(help="How the wind was known.")] = None,
    load: Load = None,
    hours: Annotated[str | None, typer.Option(help='How long it turned, e.g. "20 h".')] = None,
    note: Note = None,
) -> None:
    """Log an attempt: a bench test, a raising, a run, a storm. The first one freezes the revision.

    Run bare at a terminal, it takes a whole evening: then readings, failures and photos, each saved at once.

    Example: galebook attempt "ran on the shed gable for three weeks" --wind "Bft 5" --outcome failed
    """
    from journal.book import attempts

    guided = did is None and at_terminal()
    if guided and offered():
        return
    did = ask(did, "What did you do", flag='galebook attempt "first raising"')
    typed = attempts.AttemptTyped(
        did or "", on=on, kind=kind, began=began, ended=ended, outcome=outcome, saw=saw, wind=wind,
        wind_height=wind_height, wind_how=wind_how, load_state=load, hours=hours, private_note=note,
    )  # fmt: skip
    if guided:
        typed = _asked(typed)
    with session(write=True) as s:
        made = attempts.log_attempt(s, typed)
        told = _told(s, made)
    tell(made.ref)
    say(told)
    if guided:
        evening(made.ref)


def _asked(given: AttemptTyped) -> AttemptTyped:
    """An attempt with what the person answers of it."""
    from journal.book.tables import ATTEMPT_KINDS, OUTCOMES

    return replace(
        given,
        on=given.on or _which_revision(),
        kind=ask(given.kind, "Kind", flag="--kind", default="run", words=ATTEMPT_KINDS),
        began=settled(ask(given.began, "When", flag="--when", default="today", check=a_date)),
        saw=ask(given.saw, "What did you see", flag="--saw", optional=True),
        wind=_wind(given.wind),
        load_state=_load(given.load_state),
        outcome=ask(given.outcome, "How did it go", flag="--outcome", optional=True, words=OUTCOMES),
    )


def _wind(given: str | None) -> str | None:
    from journal.book.written import read_wind

    return ask(given, "Wind, like Bft 5 or 6 to 8 m/s", flag="--wind", optional=True, check=read_wind,
               help="Bft 4: small branches move; Bft 6: big ones do, wires sing; Bft 8: twigs break.")  # fmt: skip


def _load(given: str | None) -> str | None:
    from journal.book.tables import LOAD_STATES

    return ask(given, "What was connected", flag="--load", optional=True, words=LOAD_STATES)


def _which_revision() -> str | None:
    """At a terminal, the revision that was tried, where there are several."""
    from journal.book import records
    from journal.book.tables import Revision

    with session() as s:
        refs = tuple(r.ref for r in records.all_records(s, Revision, records.current_build(s)))
    return ask(None, "Which revision", flag="--on", default=refs[-1], words=refs) if len(refs) > 1 else None


def _told(s: Session, made: Attempt) -> str:
    """What to say of a logged attempt; the first one on a revision freezes it."""
    from journal.book import records
    from journal.book.tables import Attempt, Revision

    on = records.get_record(s, Revision, made.revision_id).ref
    tried = [a for a in records.all_records(s, Attempt, records.current_build(s)) if a.revision_id == made.revision_id]
    if len(tried) > 1:
        return f"Logged {made.ref} on {on}."
    return (
        f"Logged {made.ref} on {on}.\n"
        f"{on} is frozen from now on: its sheet says what was built; what was left out can still be added.\n"
        "If you meant another revision: galebook undo, then log it again with --on r1"
    )


Form = Annotated[
    str | None,
    typer.Option(help='How volts without load were read: "DC after the rectifier", "between two leads, RMS" ...'),
]


def measure(
    quantity: Annotated[str | None, typer.Argument(help="What it is of, e.g. battery.voltage.")] = None,
    value: Annotated[str | None, typer.Argument(help='What was read, e.g. "12.1 V".')] = None,
    attempt: InAttempt = None,
    on: On = None,
    doubt: Annotated[str | None, typer.Option(help='Uncertainty, e.g. "0.1 V" or "3 %".')] = None,
    missing: Annotated[str | None, typer.Option(help="Why there is no value, when it should have been read.")] = None,
    due: Annotated[
        str | None, typer.Option("--by", help="With --missing: the day until which you will read it.")
    ] = None,
    load: Load = None,
    where: Annotated[str | None, typer.Option(help="Where on the circuit.")] = None,
    instrument: Annotated[str | None, typer.Option(help="Read with what: words, or an instrument such as I1.")] = None,
    conditions: Annotated[str | None, typer.Option(help="Anything that matters: cold, gusts, rain.")] = None,
    wind: Annotated[str | None, typer.Option(help='Wind at that moment, e.g. "Bft 5".')] = None,
    wind_height: WindHeight = None,
    taken: When = None,
    read_by: Annotated[str | None, typer.Option(help="Who read it, e.g. an electrician who tested; private.")] = None,
    form: Form = None,
    note: Note = None,
) -> None:
    """Log a measurement; or, with --missing, that it was not taken and why.

    Run bare at a terminal, it takes many, one a line.

    Example: galebook measure battery.voltage "12.1 V" --attempt A3 --where "at the battery"
    """
    from journal.book import measurements

    given = measurements.MeasurementTyped(
        "", attempt=attempt, on=on, doubt=doubt, missing=missing, due=due, load_state=load, where=where,
        instrument=instrument, conditions=conditions, wind=wind, wind_height=wind_height, taken=taken,
        private_note=note, read_by=read_by, form=form,
    )  # fmt: skip
    if value is None and quantity is None and missing is None and at_terminal():
        _many(given)
        return
    name, value = _in_order(quantity, value)
    if missing is None:
        value = one_reading(_value(value, name), name, lambda t: measurements.read_measurement(name, t, doubt))
        if at_terminal() and load is None and attempt is None:
            load = _load(None)
    with session(write=True) as s:
        made = measurements.log_measurement(s, replace(given, quantity=name, value=value, load_state=load))
    _tell_reading(made)


def _tell_reading(made: Measurement) -> None:
    from calc.quantities import QUANTITIES
    from calc.units import show

    tell(made.ref)
    shown = show(made.value, QUANTITIES[made.quantity].shown) if made.value is not None else ""
    say(f"Logged {made.ref}: {made.quantity}, {made.typed or 'not measured'}{beside(made.typed or '', shown)}.")


def _in_order(first: str | None, second: str | None) -> tuple[str, str | None]:
    """Quantity and value in whichever order they were typed; which goes first is told who is there."""
    from journal.book.measurements import name_and_value

    quantity, value, turned = name_and_value(first, second)
    if turned and at_terminal():
        say(f'The name goes first, as everywhere: galebook measure {quantity} "{value}"')
    return _quantity(quantity), value


def _many(given: MeasurementTyped) -> None:
    """What all readings of a notebook have in common, asked once; then the readings, one a line."""
    from journal.book.tables import Attempt, Instrument
    from journal.cli.picking import pick

    if given.attempt is None and given.on is None:
        given = replace(given, attempt=pick(None, Attempt, "In which attempt", flag="--attempt", optional=True))
    if given.attempt is None:
        given = replace(
            given,
            taken=settled(ask(given.taken, "When", flag="--when", default="today", check=a_date)),
            wind=_wind(given.wind),
            load_state=_load(given.load_state),
        )
    if given.instrument is None:
        meter = pick(None, Instrument, "Read with what", flag="--instrument", optional=True, own=True)
        given = replace(given, instrument=meter)
    take_readings(given)


def _quantity(given: str | None) -> str:
    from journal.book.measurements import quantity_named

    flag = 'galebook measure battery.voltage "12.1 V"'
    typed = ask(given, "What did you read, like battery.voltage", flag=flag, check=quantity_named)
    return quantity_named(typed or "")


def _value(given: str | None, quantity: str) -> str | None:
    from calc.quantities import QUANTITIES
    from journal.book import measurements

    flag = 'galebook measure battery.voltage "12.1 V"'
    return ask(given, f"Value, like {QUANTITIES[quantity].example}", flag=flag,
               check=lambda typed: measurements.read_measurement(quantity, typed))  # fmt: skip


def instrument(
    name: Annotated[str | None, typer.Argument(help="What it is.")] = None,
    accuracy: Annotated[
        str | None, typer.Option(help='As its data sheet says, e.g. "0.8 % + 3 digits" or "2.5 % of 30 V".')
    ] = None,
    note: Annotated[str | None, typer.Option("--note", help="Anything worth knowing about it.")] = None,
) -> None:
    """Log a meter once; readings made with it then carry its accuracy.

    Example: galebook instrument "pocket multimeter" --accuracy "0.8 % + 3 digits"
    """
    from journal.book import instruments

    name = ask(name, "What is it", flag='galebook instrument "pocket multimeter"')
    accuracy = ask(accuracy, "Accuracy, like 0.8 % + 3 digits", flag="--accuracy", optional=True,
                   check=instruments.read_accuracy, help="It stands in the leaflet of the meter.")  # fmt: skip
    with session(write=True) as s:
        made = instruments.log_instrument(s, name or "", accuracy, note)
    tell(made.ref)
    say(f'Logged {made.ref}. Name it with: galebook measure battery.voltage "12.1 V" --instrument {made.ref}')


def paper(
    what: Annotated[str | None, typer.Argument(help="What it says, in a line.")] = None,
    kind: Annotated[str | None, typer.Option(help="permission, insurance, setback, notice or other.")] = None,
    who: Annotated[str | None, typer.Option("--by", help="Who gave it.")] = None,
    given: Annotated[str | None, typer.Option("--when", callback=settled, help="Day on which it was given.")] = None,
    until: Ahead = None,
    number: Annotated[str | None, typer.Option(help="Number of the file or the policy; private.")] = None,
    note: Note = None,
) -> None:
    """Log a permission, an insurance or another paper with its dates; attach its copy to it.

    Example: galebook paper "mast of 10 m, one machine" --kind permission --by "planning office" --until 2031-02-01
    """
    from journal.book import papers
    from journal.book.tables import PAPERS
    from journal.book.written import when

    guided = what is None and at_terminal()
    what = ask(what, "What does it say", flag='galebook paper "mast of 10 m, one machine"')
    kind = ask(kind, "Kind", flag="--kind", default="other", words=PAPERS)
    if guided:
        who = ask(who, "Who gave it", flag="--by", optional=True)
        given = ask(given, "When was it given", flag="--when", optional=True, check=when)
    until = ask(until, "Last day on which it holds, like 2031-02-01", flag="--until", optional=True, check=when)
    typed = papers.PaperTyped(what or "", kind, who, number, given, until, note)
    with session(write=True) as s:
        made = papers.log_paper(s, typed)
    tell(made.ref)
    say(f"Logged {made.ref}. Keep a copy with it: galebook attach FILE --to {made.ref} --private")


def claim(
    said: Annotated[str | None, typer.Argument(help='What was claimed, e.g. "400 W at 9 m/s".')] = None,
    who: Annotated[str | None, typer.Option("--by", help="Who claimed it.")] = None,
    on: On = None,
    correct: Correct = None,
) -> None:
    """Log what somebody said the machine would do; rules hold it against physics.

    Example: galebook claim "400 W at 9 m/s" --by "seller of the motor"
    """
    from journal.book import claims

    said = ask(said, "What was claimed, like 400 W at 9 m/s", flag='galebook claim "400 W at 9 m/s"',
               check=claims.read_claim)  # fmt: skip
    who = ask(who, "Who claimed it", flag="--by")
    with session(write=True) as s:
        made = claims.log_claim(s, said or "", who or "", on=on, correction=correct)
    tell(made.ref)
    say(f"Logged {made.ref}.")


def attach(
    files: Annotated[list[Path] | None, typer.Argument(help="Photos or files.")] = None,
    to: Annotated[str | None, typer.Option("--to", help="Record they belong to, e.g. A3.")] = None,
    caption: Annotated[str | None, typer.Option(help="What they show.")] = None,
    private: Annotated[bool, typer.Option("--private", help="Never put them into a write-up for others.")] = False,
) -> None:
    """Attach photos or files to a record; they are copied beside the journal.

    Example: galebook attach root-fracture.jpg --to F2 --caption "the root, torn at the first bolt"
    """
    from calc.wording import number_of
    from journal.book import attachments
    from journal.book.tables import Attempt, Failure, Part
    from journal.cli.evening import attach_asked
    from journal.cli.picking import pick_any

    to = pick_any(to, "What do they belong to", (Attempt, Failure, Part), flag="--to A3")
    if not files:
        if not at_terminal():
            raise BadInput("Files are missing", "Give them as galebook attach root.jpg --to F2")
        attach_asked(to, private=private)
        return
    with session(write=True) as s:
        made = [attachments.attach(s, file, to, caption=caption, private=private) for file in files]
    for attached in made:
        tell(attached.ref)
    say(f"Attached {number_of(len(files), 'file')} to {to}.")
