"""What an evening brings after the attempt itself: readings one a line, what went wrong, photos; each saved at once."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import typer

from journal.cli.common import ask, confirm, in_turn, meant, say, session, tell
from journal.cli.talk import told
from journal.cli.typed import Unfinished, front

if TYPE_CHECKING:
    from journal.book.measurements import MeasurementTyped


def unfinished() -> Unfinished:
    """The note of the attempt of which more is to be told."""
    from journal.book import records

    with session() as s:
        return Unfinished(f"evening-{records.current_build(s).key}")


def offered() -> bool:
    """Offer to go on with an evening that was stopped; whether it was gone on with."""
    note = unfinished()
    if not (lines := note.lines):
        return False
    if confirm(f"There was more to tell of {lines[0]}. Go on with it", default=True):
        evening(lines[0])
        return True
    note.finish()
    return False


def evening(ref: str) -> None:
    """Ask for readings, failures and photos of an attempt."""
    from journal.book.measurements import MeasurementTyped
    from journal.cli.failures import fail

    note = unfinished()
    if not note.lines:
        note.note(ref)
    try:
        take_readings(MeasurementTyped("", attempt=ref))
        while confirm("Log something that went wrong"):
            in_turn([*front(), "fail", "--attempt", ref], lambda: fail(attempt=ref))
        take_photos(ref)
    except (typer.Abort, KeyboardInterrupt):
        meant.going_on = meant.going_on or f"There is more to tell of {ref}; go on with: galebook attempt"
        raise
    note.finish()


def take_readings(common: MeasurementTyped) -> int:
    """Take readings one a line until an empty one; how many.

    Parameters
    ----------
    common : MeasurementTyped
        What all of them have in common.
    """
    told("Readings, each on a line of its own: quantity and value. An empty line ends them.")
    count, last = 0, ""
    # A line is all that one can lose here, so that none is kept apart.
    while found := in_turn((), partial(_reading, count + 1, last, common)):
        count, last = count + 1, found
    return count


def _reading(number: int, last: str, common: MeasurementTyped) -> str | None:
    """One reading, saved; what it is of, or None where there is no more."""
    from calc.quantities import QUANTITIES
    from journal.book import measurements
    from journal.book.reading_line import LIKE, read_line

    typed = ask(
        None, f"Reading {number}, like {LIKE}", flag="", check=lambda text: read_line(text, last), optional=True,
        completions=tuple(QUANTITIES),
        help="Quantities: " + ", ".join(QUANTITIES) + ". A value alone is of the same quantity as the one before.",
    )  # fmt: skip
    if typed is None:
        return None
    name, value = read_line(typed, last)
    with session(write=True) as s:
        made = measurements.log_measurement(s, replace(common, quantity=name, value=value))
    tell(made.ref)
    say(f"Logged {made.ref}: {name}, {made.typed}.")
    return name


def take_photos(ref: str) -> None:
    """Take files one line after the other until an empty one, and attach them."""
    while in_turn([*front(), "attach", "--to", ref], lambda: attach_asked(ref)):
        pass


def attach_asked(ref: str, *, private: bool = False) -> bool:
    """Ask for files and what they show, and attach them to a record; whether there were any."""
    from calc.wording import number_of
    from journal.book import attachments
    from journal.cli.dropped import dropped

    typed = ask(None, "Photos or files, drag them here", flag="", optional=True, check=dropped,
                help="Drag files from a window into this line, several at once too, or type names.")  # fmt: skip
    if typed is None:
        return False
    files = dropped(typed)
    caption = ask(None, "What they show" if files[1:] else "What it shows", flag="--caption", optional=True)
    with session(write=True) as s:
        made = [attachments.attach(s, file, ref, caption=caption, private=private) for file in files]
    for attached in made:
        tell(attached.ref)
    say(f"Attached {number_of(len(files), 'file')} to {ref}.")
    return True
