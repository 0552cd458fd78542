"""A write-up and the pictures beside it: written whole or not at all, and never over what somebody else made."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass, field
from pathlib import Path

from journal.book.places import Place
from journal.book.safe_files import OwnFiles, make_folder
from journal.errors import BadInput, Refused
from journal.publish.finds import Find
from journal.publish.forms.pictures import Placed

#: Endings of the pictures that are made for a write-up.
PICTURES = (".png", ".jpg")
_SURROGATE = re.compile("[\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Made:
    """A rendered write-up.

    Parameters
    ----------
    text : str
        The whole of it, in its form.
    left_out : tuple of str
        What was taken out for privacy, in words.
    files : dict of str to bytes
        Pictures to lie beside it, by file name.
    folder : str
        Name of the folder in which the text looks for them; empty where it has them inside, or none.
    finds : tuple of Find
        Private words that were taken out of texts.
    suspects : tuple of Find
        What stayed, though it looks private.
    form : str
        One of :data:`journal.publish.forms.FORMS`.
    parts : tuple of str
        The text in parts, where it was to be of a limited length.
    pictures : tuple of Placed
        Where each of the pictures has its place, in order, in a text that is to be pasted.
    """

    text: str
    left_out: tuple[str, ...]
    files: dict[str, bytes] = field(default_factory=dict)
    folder: str = ""
    finds: tuple[Find, ...] = ()
    suspects: tuple[Find, ...] = ()
    form: str = "markdown"
    parts: tuple[str, ...] = ()
    pictures: tuple[Placed, ...] = ()


def folder_of(out: Path) -> str:
    """Name of the folder for the pictures of a Markdown file."""
    return f"{out.stem}-pictures"


def uploads_of(out: Path) -> str:
    """Name of the folder for pictures that are to be uploaded, apart from those that a Markdown file looks for."""
    return f"{out.stem}-upload"


def hold(out: Path, own: OwnFiles, *, over: bool, made: Path | None = None) -> None:
    """Hold that a write-up may be written to a file, before it is made.

    Parameters
    ----------
    out : Path
        The file.
    own : OwnFiles
        What knows which files may be written.
    over : bool
        Whether any may be replaced that is not the program's.
    made : Path, optional
        The folder in which it lies, where that is made if it is not there.

    Raises
    ------
    BadInput
        If its name is no text.
    Refused
        If something is there that is not the program's, or no folder.
    """
    if _SURROGATE.search(str(out)):
        # The page names the folder of its pictures.
        raise BadInput(f"{out} is no name in UTF-8", "Name another file with --out")
    own.may_write(out, over=over)
    if made is not None and not os.path.lexists(made):
        out = made
    if not out.parent.is_dir():
        raise Refused(f"{out} cannot be written (there is no folder {out.parent})", "Name another file with --out")


def part_of(out: Path, number: int) -> Path:
    """The file of one part of a write-up."""
    return out.with_name(f"{out.stem}-{number}{out.suffix}")


def texts_of(made: Made, out: Path) -> dict[Path, str]:
    """The files of a write-up with what each holds: one, or one for each of its parts."""
    if len(made.parts) < 2:
        return {out: made.text}
    return {part_of(out, number): text for number, text in enumerate(made.parts, 1)}


def save(made: Made, out: Path, journal: Place, *, over: bool = False) -> list[Path]:
    """Write a write-up to a file, or its parts to several, and its pictures into the folder beside it first.

    Pictures of an earlier writing that are no longer in it are taken away, as a photo may have become private since;
    so are parts beyond the last.

    Parameters
    ----------
    made : Made
        What to write.
    out : Path
        The file; parts have their number behind its name.
    journal : Path or Address
        The journal it tells of, which keeps a register of what was written.
    over : bool
        Whether files may be replaced that the program did not write, or that were changed since.

    Returns
    -------
    stay : list of Path
        Of what is no longer in it, what was left because it is not as it was written.

    Raises
    ------
    BadInput
        If its name is no text.
    Refused
        If it cannot be written there, or something is there that is not the program's.
    """
    own = OwnFiles(journal)
    texts = texts_of(made, out)
    for file in texts:
        hold(file, own, over=over)
    beside = out.parent / made.folder
    try:
        # Nothing is written before everything may be.
        for name in made.files:
            own.may_write(beside / name, over=over)
        if made.files:
            make_folder(beside)
        for name, data in made.files.items():
            own.put(beside / name, data, over=over)
        for file, text in texts.items():
            own.put(file, text.encode(), over=over)
        return (_tidied(own, out, made) if made.folder else []) + (_parts_gone(own, out, texts) if made.parts else [])
    except OSError as e:
        raise Refused(f"{out} cannot be written ({e.strerror})", "Name another file with --out") from e


def _parts_gone(own: OwnFiles, out: Path, texts: dict[Path, str]) -> list[Path]:
    """Take away parts of an earlier writing that had more of them; those that stay are told."""
    number = len(texts) + 1 if out not in texts else 1
    stay = []
    while (file := part_of(out, number)).exists():
        if not own.remove(file):
            stay.append(file)
        number += 1
    return stay


def _tidied(own: OwnFiles, out: Path, made: Made) -> list[Path]:
    """Take away pictures that are no longer in a write-up; those that stay are told."""
    # The folder had another name while that of the file was not private yet.
    folders = [f for name in {made.folder, folder_of(out)} if (f := out.parent / name).is_dir()]
    new = {out.parent / made.folder / name for name in made.files}
    gone = [p for f in folders if not f.is_symlink() for p in f.iterdir() if p not in new and p.suffix in PICTURES]
    return sorted(p for p in gone if not own.remove(p))
