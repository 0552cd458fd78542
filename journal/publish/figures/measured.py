"""The one picture of a measured curve, written into a file."""

from __future__ import annotations

from pathlib import Path

from journal.book.safe_files import OwnFiles
from journal.book.sheet import RevisionSheet
from journal.errors import BadInput, Refused
from journal.publish.figures.machine import power
from journal.publish.numbers import MachineTold
from journal.review.logged import Measured

#: Endings of the files that a picture can be written to.
ENDINGS = (".svg", ".png")


def machine_of(ref: str, sheet: RevisionSheet) -> MachineTold:
    """A revision as its picture of power by wind needs it: with what was measured, claimed and logged of it.

    Parameters
    ----------
    ref : str
        The revision.
    sheet : RevisionSheet
        Its sheet.
    """
    return MachineTold(ref, sheet.system, sheet.readings, sheet.claims)


def write_picture(m: Measured, to: Path, own: OwnFiles, *, over: bool = False) -> None:
    """Write the picture of the measured curve, the computed one, its doubt and the claims.

    Raises
    ------
    BadInput
        If the file's name ends in neither .svg nor .png.
    Refused
        If nothing can be computed to stand beside it, or the file is not ours to replace.
    """
    if to.suffix.lower() not in ENDINGS:
        raise BadInput(f"{to} is no name of a picture", f"Accepted: {' or '.join(ENDINGS)} at its end")
    own.may_write(to, over=over)
    made = power((machine_of(m.revision.ref, m.sheet),))
    if made is None:
        raise Refused(f"{m.revision.ref} cannot be computed, so there is no picture of both", "See: galebook missing")
    own.put(to, made.svg.encode() if to.suffix.lower() == ".svg" else made.png, over=over)
