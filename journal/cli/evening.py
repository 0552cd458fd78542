"""What an evening brings after the attempt itself: readings one a line, what went wrong, photos; each saved at once."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import typer

from journal.cli.common import ask, confirm, in_turn, meant, say, session, tell
from journal.cli.talk import told
from journal.cli.typed import Unfinished, front
from journal.errors import BadInput, GalebookError

if TYPE_CHECKING:
    from journal.book.measurements import MeasurementTyped

LIKE = "12.1 V battery.voltage"


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
    told("Readings, each on a line of its own: value and quantity. An empty line ends them.")
    count, last = 0, ""
    # A line is all that one can lose here, so that none is kept apart.
    while found := in_turn((), partial(_reading, count + 1, last, common)):
        count, last = count + 1, found
    return count


def _reading(number: int, last: str, common: MeasurementTyped) -> str | None:
    """One reading, saved; what it is of, or None where there is no more."""
    from calc.quantities import QUANTITIES
    from journal.book import measurements

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


def read_line(text: str, last: str = "") -> tuple[str, str]:
    """Quantity and value of a line such as ``12.1 V battery.voltage``, in either order.

    Parameters
    ----------
    last : str
        What a value alone is of.

    Raises
    ------
    BadInput
        If it has no quantity that is known, or the value is none of it.
    """
    from calc.quantities import QUANTITIES
    from journal.book.measurements import read_measurement
    from journal.book.plain_quantity import in_unit_of

    name, value = _parted(text.split(), text) or _by_meaning(text, last) or (last, text)
    if not name:
        raise BadInput(f"{text.strip()!r} does not say what was read", f"Type it like {LIKE}")
    value = in_unit_of(QUANTITIES[name], value)
    read_measurement(name, value)
    return name, value


def _parted(words: list[str], text: str) -> tuple[str, str] | None:
    """The quantity at the end or the beginning of some words, and the rest; None where none of them looks like one."""
    from calc.quantities import QUANTITIES
    from journal.book.measurements import quantity_named
    from journal.errors import by_last_part

    wrong: GalebookError | None = None
    for count in (2, 1):
        for name, rest in ((words[-count:], words[:-count]), (words[:count], words[count:])):
            # A name with its dot is whole; a word beside it is none of it.
            if not rest or (count > 1 and any("." in word for word in name)):
                continue
            try:
                found = quantity_named(".".join(name))
                if by_last_part(".".join(name), QUANTITIES) or _reads(found, " ".join(rest), bare=True):
                    return found, " ".join(rest)
            except GalebookError as e:
                wrong = e if "." in name[0] and name[0][0].isalpha() and count == 1 else wrong
    if wrong is not None:
        raise wrong
    return None


def _by_meaning(text: str, last: str) -> tuple[str, str] | None:
    """The quantity that words around a value mean, or that its unit alone can be; None where there is no such one.

    Raises
    ------
    BadInput
        If several can be meant, naming them.
    """
    from calc.quantities import QUANTITIES
    from journal.book.heard import hear

    words = text.split()
    for count in range(len(words), 0, -1):
        for value, said in ((words[:count], words[count:]), (words[-count:], words[:-count])):
            named = _meant(" ".join(said)) if said else [last] if last else list(QUANTITIES)
            fit = [name for name in named if _reads(name, " ".join(value), bare=bool(said or last))]
            # What is shown in the very unit goes before what can be converted from it.
            fit = [n for n in fit if QUANTITIES[n].example.endswith(f" {value[-1]}")] or fit
            if len(fit) == 1:
                if said or not last:
                    hear(f"{text.strip()} = {fit[0]}")
                return fit[0], " ".join(value)
            if fit:
                some = ", ".join(fit[:5]) + (" ..." if fit[5:] else "")
                raise BadInput(f"{text.strip()!r} can be {some}", f"Add which, like {LIKE}")
    return _by_meaning(text, "") if last else None


def _meant(said: str) -> list[str]:
    """Quantities of which some words are said; of those that are the name of a group, the quantities of that."""
    from journal.book import naming

    known = naming.quantities()
    of_group = [k.name for k in known if frozenset(naming.stems(said)) == k.group]
    return of_group or naming.about(said, known)


def _reads(name: str, value: str, *, bare: bool) -> bool:
    """Whether a value can be one of a quantity; a number alone only where words say which."""
    from calc.quantities import QUANTITIES
    from journal.book.heard import unheard
    from journal.book.measurements import read_measurement
    from journal.book.plain_quantity import in_unit_of

    try:
        with unheard():
            read_measurement(name, in_unit_of(QUANTITIES[name], value) if bare else value)
    except GalebookError:
        return False
    return True


def take_photos(ref: str) -> None:
    """Take files one line after the other until an empty one, and attach them."""
    while in_turn([*front(), "attach", "--to", ref], lambda: attach_asked(ref)):
        pass


def attach_asked(ref: str, *, private: bool = False) -> bool:
    """Ask for files and what they show, and attach them to a record; whether there were any."""
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
    say(f"Attached {len(files)} file{'s' if len(files) != 1 else ''} to {ref}.")
    return True
