"""A page with all that goes with it, in one zip or folder: every form, the pictures in order, and what goes where."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from pathlib import Path

from calc.wording import number_of
from journal.book.places import Place
from journal.book.safe_files import OwnFiles, make_folder
from journal.errors import Refused
from journal.publish.forms import FORMS
from journal.publish.forms.pictures import Placed
from journal.publish.saving import PICTURES, Made, hold, texts_of

#: The first moment that a zip can tell.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
_PLAIN_FILE = 0o100644 << 16


def files_of(reader: str, made: Sequence[Made]) -> dict[str, bytes]:
    """Every file that is carried, by its name.

    Parameters
    ----------
    reader : str
        For whom the page is; its files are called so.
    made : sequence of Made
        The page in one form or several.
    """
    texts = {name: text for page in made for name, text in _texts(reader, page).items()}
    pictures = {f"{page.folder}/{p.name}": page.files[p.name] for page in made for p in page.pictures}
    return {
        name: text.encode() for name, text in {_readme_of(reader): _readme(reader, made), **texts}.items()
    } | pictures


def _texts(reader: str, page: Made) -> dict[str, str]:
    """The files of the page in one form."""
    out = Path(f"{reader}{FORMS[page.form].ending}")
    return {file.name: text for file, text in texts_of(page, out).items()}


def summary(reader: str, made: Sequence[Made]) -> str:
    """What is carried, in a line."""
    texts = ", ".join(name for page in made for name in _texts(reader, page))
    count = max(len(page.pictures) for page in made)
    pictures = f", {number_of(count, 'picture')}" if count else ""
    return f"{texts}{pictures}; {_readme_of(reader)} tells what goes where"


def carry(made: Sequence[Made], reader: str, out: Path, journal: Place, *, folder: bool, over: bool) -> list[Path]:
    """Write a page with all that goes with it.

    Parameters
    ----------
    made : sequence of Made
        The page in one form or several.
    reader : str
        For whom it is.
    out : Path
        The zip or folder.
    journal : Path or Address
        As for :func:`journal.publish.saving.save`.
    folder : bool
        Whether it is a folder.
    over : bool
        As for :func:`journal.publish.saving.save`.

    Returns
    -------
    stay : list of Path
        As of :func:`journal.publish.saving.save`.

    Raises
    ------
    BadInput, Refused
        As :func:`journal.publish.saving.save`.
    """
    own, files = OwnFiles(journal), files_of(reader, made)
    try:
        if folder:
            return _into_folder(own, out, reader, files, over=over)
        hold(out, own, over=over)
        own.fill(out, lambda stream: stream.write(_zip(files)), over=over)
    except OSError as e:
        raise Refused(f"{out} cannot be written ({e.strerror})", "Name another with --out") from e
    return []


def _zip(files: dict[str, bytes]) -> bytes:
    """The same files give the same bytes."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, _NO_TIME)
            entry.create_system, entry.external_attr, entry.compress_type = 3, _PLAIN_FILE, zipfile.ZIP_DEFLATED
            archive.writestr(entry, data)
    return made.getvalue()


def _into_folder(own: OwnFiles, out: Path, reader: str, files: dict[str, bytes], *, over: bool) -> list[Path]:
    hold(out / _readme_of(reader), own, over=over, made=out)
    # Nothing is written before everything may be.
    for name in files:
        own.may_write(out / name, over=over)
    for name, data in files.items():
        make_folder((out / name).parent)
        own.put(out / name, data, over=over)
    gone = [p for p in _earlier(out, reader) if str(p.relative_to(out)) not in files]
    return [p for p in gone if not own.remove(p)]


def _earlier(out: Path, reader: str) -> list[Path]:
    """Parts and pictures of this reader's page that an earlier writing may have left."""
    parts = [
        p
        for form in FORMS.values()
        for p in out.glob(f"{Path(reader + form.ending).stem}-*{Path(form.ending).suffix or form.ending}")
        if p.stem.rpartition("-")[2].isdigit()
    ]
    pictures = [p for f in out.glob(f"{reader}-upload") if not f.is_symlink() for p in f.iterdir()]
    return sorted({*parts, *(p for p in pictures if p.suffix in PICTURES)})


def _readme_of(reader: str) -> str:
    return f"README-{reader}.txt"


def _readme(reader: str, made: Sequence[Made]) -> str:
    """What to upload where."""
    lines = [f"What is in here, of the page for: {reader}", ""]
    for page in made:
        lines.append(f"  {', '.join(_texts(reader, page))}: {FORMS[page.form].where}.")
    shown = next((page for page in made if page.pictures), None)
    if shown is None:
        return "\n".join([*lines, "", "Paste the text of one of them. There are no pictures to upload.", ""])
    how = [
        "Paste the text of one of them; its parts, if there are several, one after another.",
        f"Upload the pictures from {shown.folder} in this order, and put each where the",
        "text names it, in place of the words (Picture 1: ...):",
    ]
    lines += ["", *how, "", *listing(shown.pictures, [page for page in made if page.pictures])]
    if any(page.form == "bbcode" for page in made):
        lines += [
            "",
            "BBCode: sizes are in per cent. Where a board counts them from 1 to 7, write 5",
            "in place of 150.",
        ]
    return "\n".join([*lines, ""])


def listing(pictures: Sequence[Placed], pages: Sequence[Made]) -> list[str]:
    """The pictures in order, each with the part in which it stands, in every form that has parts."""
    lines = []
    for at, p in enumerate(pictures):
        parts = {page.form: page.pictures[at].part for page in pages if page.pictures[at].part}
        if len(set(parts.values())) == 1 and len(parts) == len(pages):
            where = f"  (part {next(iter(parts.values()))})"
        else:
            where = f"  ({', '.join(f'{form}: part {part}' for form, part in parts.items())})" if parts else ""
        lines.append(f"  {p.name}{where}")
    return lines
