"""Builds, revisions, and the records as a whole."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from journal.cli.common import Commands, ask, at_terminal, confirm, meant, pairs, say, session, tell
from journal.cli.dates import settled, settled_ahead
from journal.cli.options import Json
from journal.errors import BadInput, NotFound

if TYPE_CHECKING:
    from journal.book.places import Place

_WHOLE = "The record as a whole"
KINDS = (
    "revisions",
    "parts",
    "claims",
    "attempts",
    "measurements",
    "failures",
    "observations",
    "decisions",
    "files",
    "instruments",
    "loggers",
    "papers",
)

#: What else may change where one field of a record is corrected, as people call it.
_MOVED = {"revision_id": "revision", "wind": "wind", "load_state": "load", "taken": "day"}
#: Fields that are days, as they can be corrected; those that may be yet to come.
_AHEAD = ("review", "review_on")
_DAYS = ("when", "began", "ended", "until", "taken", "happened", "said_on", "given", "seen", *_AHEAD)
#: The reason in the history for other units: nothing was wrong.
_NOT_ASKED = "in what people are told of it"
#: Rows of a list that are shown at first.
NEWEST = 50


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Builds and revisions", start, builds, use, status, revise)
    to.add(_WHOLE, listing, name="list")
    to.add(_WHOLE, show, history, amend, withdraw)


def start(
    name: Annotated[str | None, typer.Argument(help="Name of the machine.")] = None,
    purpose: Annotated[str | None, typer.Option(help="What it is for.")] = None,
    region: Annotated[str | None, typer.Option(help="Kind of place, fit to be published.")] = None,
    place: Annotated[str | None, typer.Option(help="Exact place; private.")] = None,
    builder: Annotated[str | None, typer.Option(help="Who builds it; private.")] = None,
    contact: Annotated[str | None, typer.Option(help="Whom a neighbour should call; private.")] = None,
    title: Annotated[str | None, typer.Option(help="Title of the first revision.")] = None,
    units: Annotated[str | None, typer.Option(help="In what you are told of it: metric or feet.")] = None,
    changes: Annotated[
        list[str] | None, typer.Option("--set", metavar="NAME=VALUE", help="Value of its sheet; repeatable.")
    ] = None,
    answers: Annotated[Path | None, typer.Option("--answers", help="Values of its sheet from a TOML file.")] = None,
) -> None:
    """Begin a build, with its first revision; makes the journal if there is none.

    Run bare at a terminal, it is a conversation that ends in the first check.

    Example: galebook start "Shed wind generator" --purpose "light the shed"
    """
    from journal.book import builds, sheet

    talks = name is None and at_terminal()
    if talks and _gone_on_with():
        return
    values = _values(changes or [], answers)
    name = ask(name, "Name of the machine", flag='galebook start "Shed wind generator"', check=_unused)
    purpose = ask(purpose, "What is it for", flag="--purpose", optional=True)
    typed = builds.BuildTyped(name or "", purpose, region, place, builder, contact, title, units)
    builds.read_build(typed)
    made = _made_journal()
    with session(write=True) as s:
        build, first = builds.start(s, typed)
        if values:
            sheet.set_values(s, first, values)
    tell(first.ref)
    if made:
        say(f"Made the journal {made}.")
    if not talks or values:
        then = f"galebook check {first.ref}" if values else "galebook ask, or galebook sheet --edit"
        say(f"Began {build.name!r} with {first.ref}. Next: {then}")
        return
    from journal.cli.converse import first_talk

    say(f"Began {build.name!r} with {first.ref}.")
    first_talk(first.ref)


def _unused(name: str) -> None:
    """Hold that no build has a name, before the other questions."""
    from journal.book import builds, places, store

    if store.exists(places.place_of(meant.journal)):
        with session() as s:
            builds.unused_name(s, name)


def _made_journal() -> Place | None:
    """Make the journal that is meant, if there is none; where it was made.

    What is to go into it is read before, so that a mistake leaves no empty journal behind.
    """
    from journal.book import places, store

    journal = places.place_of(meant.journal)
    new = not store.exists(journal)
    if new:
        store.hold_new(journal)
    store.create(journal)
    return journal if new else None


def _gone_on_with() -> bool:
    """Offer to go on with a conversation about the build that is meant; whether it was."""
    from journal.book import places, records, store
    from journal.cli.converse import begun, first_talk

    if not store.exists(places.place_of(meant.journal)):
        return False
    with contextlib.suppress(NotFound):
        with session() as s:
            build, of = records.current_build(s).name, records.find_revision(s)
        if begun(of.ref).lines is not None and confirm(f"Go on with {build!r}", default=True):
            first_talk(of.ref)
            return True
    return False


def _values(changes: list[str], answers: Path | None) -> dict[str, dict[str, Any]]:
    """The values of a sheet that begins, of a file and of flags, held before anything is made."""
    from journal.book import sheet, sheet_toml
    from journal.cli.sheet import text_of

    values = sheet_toml.from_toml(text_of(answers), answers.name) if answers else {}
    for path, typed in pairs(changes).items():
        sheet.read_value(path, typed)
        values[path] = {"typed": typed}
    return values


def builds(as_json: Json = False) -> None:
    """List the builds in the journal.

    Example: galebook builds
    """
    from journal.screens.builds import gather_builds, show_builds

    with session() as s:
        show_builds(gather_builds(s), as_json)


def use(name: Annotated[str, typer.Argument(help="Name of a build.")]) -> None:
    """Choose the build that later commands mean.

    Example: galebook use "Shed wind generator"
    """
    from journal.book import builds

    with session(write=True) as s:
        say(f"Later commands mean {builds.use(s, name).name!r}.")


def status(as_json: Json = False) -> None:
    """Show the build on one screen: revisions, what is open, what to do next.

    Example: galebook status
    """
    from journal.review.next_step import status_of
    from journal.screens.status import show_status

    with session() as s:
        show_status(status_of(s), as_json)


def revise(
    old: Annotated[str | None, typer.Argument(help="Revision to start from; else the newest.")] = None,
    title: Annotated[str | None, typer.Option(help="Title of the new revision.")] = None,
    because: Annotated[str | None, typer.Option(help="Why it is made.")] = None,
) -> None:
    """Make a new revision from an earlier one: the sheet is copied, parts that still serve go on.

    Run bare at a terminal, it asks for all of that.

    Example: galebook revise r1 --title "Bigger and slower" --because "r1 hardly charged"
    """
    from journal.book import revisions
    from journal.book.tables import Revision
    from journal.cli.picking import pick
    from journal.review import weighing

    if old is None and title is None and because is None and at_terminal():
        flag = 'galebook revise r1 --title "Bigger" --because "r1 hardly charged"'
        title = ask(None, "Title of the new one", flag=flag, optional=True)
        because = ask(None, "Why it is made", flag=flag, optional=True)
        old = pick(None, Revision, "Made from which", flag=flag, optional=True, newest=True)
    with session(write=True) as s:
        new = revisions.revise(s, old, title=title, because=because)
        decided = weighing.carry_over(s, new)
    tell(new.ref)
    for line in decided:
        say(f"What was decided is on it. {line}.")
    say(f"Made {new.ref}. Change it with: galebook sheet {new.ref} --edit")


def show(
    ref: Annotated[str | None, typer.Argument(help="Reference, e.g. A3, F1 or D2.")] = None,
    as_json: Json = False,
) -> None:
    """Show one record with all that belongs to it.

    Example: galebook show F1
    """
    from journal.screens.record import gather_record, show_record

    ref = _which(ref, "galebook show A3")
    with session() as s:
        show_record(gather_record(s, ref), as_json)


def listing(
    kind: Annotated[str, typer.Argument(help=f"One of: {', '.join(KINDS)}.")],
    everything: Annotated[bool, typer.Option("--all", help=f"All, not only the newest {NEWEST}.")] = False,
    as_json: Json = False,
) -> None:
    """List the newest records of one kind; all of them as JSON.

    Example: galebook list failures
    """
    from journal.screens.listing import gather_listing, show_listing

    with session() as s:
        show_listing(gather_listing(s, kind, None if everything or as_json else NEWEST), as_json)


def history(
    ref: Annotated[
        str | None, typer.Argument(help="Reference, e.g. r1, or a value such as rotor.diameter; else everything.")
    ] = None,
    everything: Annotated[bool, typer.Option("--all", help=f"All, not only the newest {NEWEST}.")] = False,
    full: Annotated[
        bool, typer.Option("--full", help="With every value before and after, and in more than a line.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Show the newest changes, a line each: when, on what record, what was done, why; all of them as JSON.

    Example: galebook history r1

    Example: galebook history generator.emf_constant --full
    """
    from journal.screens.history import gather_history, show_history

    with session() as s:
        show_history(gather_history(s, ref, None if everything or as_json else NEWEST), as_json, full=full)


def amend(
    ref: Annotated[
        str | None,
        typer.Argument(help="Reference, e.g. A3; D1.2 is an option, F1.1 a cause, F1.e1 evidence; or the word build."),
    ] = None,
    change: Annotated[
        str | None, typer.Argument(metavar="FIELD=VALUE", help="What to correct, and what it should be.")
    ] = None,
    because: Annotated[str | None, typer.Option("--because", help="Why; kept in the history.")] = None,
    other: Annotated[str | None, typer.Argument(metavar="[VALUE]", help="The value, if no = was typed.")] = None,
) -> None:
    """Correct one field of a record; the history keeps what stood there.

    Example: galebook amend A3 wind="Bft 6" --because "the station reported more"

    Example: galebook amend M3 attempt=A2 --because "logged with the wrong run"

    Example: galebook amend D1.2 name="steel pipe" --because "misspelt"
    """
    from journal.book import corrections
    from journal.book.tables import Option
    from journal.review import loop

    ref = _which(ref, 'galebook amend A3 wind="Bft 6"')
    change = change if other is None else f"{change}={other}"
    field, value = _field(ask(change, "What to correct, like wind=Bft 6", flag="FIELD=VALUE", check=_field) or "")
    told = ref.strip().casefold() == "build" and field == "units"
    because = because or (_NOT_ASKED if told else ask(None, "Why", flag="--because")) or ""
    if field in _DAYS:
        value = (settled_ahead if field in _AHEAD else settled)(value) or value
    with session(write=True) as s:
        before = loop.all_loops(s)
        record = corrections.amend(s, ref, field, value, because)
        reopened = loop.opened_again(before, loop.all_loops(s))
        moved = [_MOVED[name] for name in s.info["moved"] if name in _MOVED and name != field]
        if isinstance(record, Option):
            from journal.review import weighing

            weighing.weigh_anew(s, record, field)
    if told:
        say(f"From now on you are told in {record.units}.")
    else:
        _corrected(f"{field} of {ref}", record, moved, list(s.info["went_along"] or ()), reopened)


def _corrected(what: str, record: Any, moved: list[str], along: list[str], reopened: list[str]) -> None:
    """Tell what was corrected, and what else that moved."""
    from journal.book.tables import Option

    say(f"Corrected {what}{', and with it its ' if moved else ''}{', '.join(moved)}.")
    if along:
        say(f"With it went the day of {', '.join(along)}.")
    for line in reopened:
        say(line)
    if isinstance(record, Option) and record.refused_because:
        say(f"It cannot be chosen, because people can be hurt. {record.refused_because}")


def withdraw(
    ref: Annotated[str | None, typer.Argument(help="Reference, e.g. M12; or D1.2, F1.1, F1.e1 as for amend.")] = None,
    because: Annotated[str | None, typer.Option("--because", help="Why; kept in the history.")] = None,
) -> None:
    """Take a record out of all reports; its number is not used again, the history keeps it.

    Example: galebook withdraw M12 --because "read on the wrong range"
    """
    from journal.book import corrections
    from journal.review import loop

    ref = _which(ref, 'galebook withdraw M12 --because "wrong range"')
    because = ask(because, "Why", flag="--because") or ""
    with session(write=True) as s:
        before = loop.all_loops(s)
        gone = corrections.withdraw(s, ref, because)
        reopened = loop.opened_again(before, loop.all_loops(s))
    say(f"{gone} is withdrawn.")
    for line in [*s.info.get("taken_back", ()), *reopened]:
        say(line)


def _which(ref: str | None, flag: str) -> str:
    """The record that is meant, asked for where it was not named."""
    from journal.book.tables import Attempt, Decision, Failure, Measurement
    from journal.cli.picking import pick_any

    return pick_any(ref, "Which record, like A3", (Attempt, Measurement, Failure, Decision), flag=flag)


def _field(change: str) -> tuple[str, str]:
    field, equals, value = change.partition("=")
    if not equals:
        raise BadInput(f"{change!r} names no value", 'Type it like wind="Bft 6"')
    return field.strip(), value
