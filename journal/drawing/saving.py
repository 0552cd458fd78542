"""Drawings in a folder, in the forms that were asked for: all of them or none."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from pathlib import Path

from journal.book.places import Place
from journal.book.safe_files import OwnFiles, make_folder
from journal.drawing.model import Drawing
from journal.errors import Refused

PDF, SVG, DXF = FORMS = ("pdf", "svg", "dxf")
#: Said with every drawing at true size.
PRINTED = "Print at 100 %, not fitted to the page, and measure the ruler on each sheet before you cut."
#: Sheets of a drawing in a form that has one page a file.
_SHEET = re.compile(r".*-sheet-\d+\.svg")


def files_of(name: str, drawings: Sequence[Drawing], paper: str, forms: Sequence[str]) -> dict[str, bytes]:
    """What goes into the folder, by name.

    Parameters
    ----------
    name : str
        Of the PDF, which holds all of them, without ending.
    drawings : sequence of Drawing
        At least one.
    paper : str
        One of :data:`journal.drawing.sheets.PAPERS`.
    forms : sequence of str
        Of :data:`FORMS`. Of SVG there is the whole and each sheet, of DXF the whole.
    """
    files: dict[str, bytes] = {}
    if PDF in forms:
        from journal.drawing.pdf import write_pdf

        stream = io.BytesIO()
        write_pdf(drawings, stream, paper)
        files[f"{name}.pdf"] = stream.getvalue()
    for drawing in drawings:
        if SVG in forms:
            files |= _svg(drawing, paper)
        if DXF in forms:
            from journal.drawing.dxf import dxf_of

            files[f"{drawing.name}.dxf"] = dxf_of(drawing).encode()
    return files


def _svg(drawing: Drawing, paper: str) -> dict[str, bytes]:
    from journal.drawing.sheets import pages
    from journal.drawing.svg import svg_of, svg_of_page

    sheets = {
        f"{drawing.name}-sheet-{i}.svg": svg_of_page(page).encode() for i, page in enumerate(pages(drawing, paper), 1)
    }
    return {f"{drawing.name}.svg": svg_of(drawing).encode(), **sheets}


def save(files: dict[str, bytes], folder: Path, journal: Place, *, over: bool = False) -> None:
    """Write drawings into a folder, which is made if it is not there; sheets that an earlier writing had more go.

    Raises
    ------
    Refused
        If one of them would lie over what somebody else made, or they cannot be written; nothing is written then that
        could be known before.
    """
    own = OwnFiles(journal, "Name another folder with --to")
    if (taken := next((f for f in (folder, *folder.parents) if f.exists() and not f.is_dir()), None)) is not None:
        raise Refused(f"--to {folder}: {taken} is a file, not a folder", "Accepted: a folder, there already or new")
    try:
        for name in files:
            own.may_write(folder / name, over=over)
        make_folder(folder)
        for name, data in files.items():
            own.put(folder / name, data, over=over)
        stems = {name.rpartition("-sheet-")[0] for name in files if _SHEET.fullmatch(name)}
        for old in folder.glob("*-sheet-*.svg"):
            if _SHEET.fullmatch(old.name) and old.name not in files and old.name.rpartition("-sheet-")[0] in stems:
                own.remove(old)
    except OSError as e:
        raise Refused(f"--to {folder} cannot be written ({e.strerror})", "Name another folder with --to") from e
