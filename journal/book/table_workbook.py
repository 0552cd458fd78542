"""The first sheet of a spreadsheet in Office Open XML (``.xlsx``), as lines of cells."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time
from typing import Any

from journal.errors import BadInput

#: Bytes of a spreadsheet once it is unpacked.
MOST_UNPACKED = 200_000_000


def workbook_lines(given: bytes, name: str) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Lines of the sheet that was open when it was saved, each with its number.

    A formula gives the value that was saved with it; where there is none, it stands as it is and can be named.

    Raises
    ------
    BadInput
        If it cannot be read, or the reader of such files is not installed.
    """
    try:
        import openpyxl
    except ImportError:
        raise BadInput(
            f"{name} is a spreadsheet, and what reads those is not installed",
            "Install it with: pip install 'galebook[tables]'; or save the table as CSV",
        ) from None
    _hold_size(given, name)
    try:
        with warnings.catch_warnings():
            # Of what it leaves out, such as colours, nothing is a cell.
            warnings.simplefilter("ignore")
            values, formulas = (
                openpyxl.load_workbook(io.BytesIO(given), read_only=True, data_only=only).active
                for only in (True, False)
            )
            if values is None or formulas is None:
                raise ValueError("it has no sheet")
            pairs = zip(values.iter_rows(values_only=True), formulas.iter_rows(values_only=True), strict=True)
            for number, (row, written) in enumerate(pairs, 1):
                cells = tuple(_cell(a, b) for a, b in zip(row, written, strict=True))
                if any(cells):
                    yield number, cells
    # A damaged file makes the reader fail in any way.
    except Exception as e:  # noqa: BLE001
        raise BadInput(f"{name} cannot be read as a spreadsheet ({e})", "Save the table as CSV") from None


def _hold_size(given: bytes, name: str) -> None:
    """Hold that what is packed in it is no larger than a table may be, so that nobody fills the memory with it."""
    try:
        with zipfile.ZipFile(io.BytesIO(given)) as packed:
            size = sum(info.file_size for info in packed.infolist())
    except zipfile.BadZipFile:
        raise BadInput(f"{name} cannot be read as a spreadsheet", "Save the table as CSV") from None
    if size > MOST_UNPACKED:
        raise BadInput(f"{name} is too large unpacked ({size // 1_000_000} MB)", "Save the table as CSV")


def _cell(value: Any, written: Any) -> str:
    """A cell as somebody would type it."""
    if value is None:
        return str(written).strip() if written is not None else ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ", "minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat("minutes")
    return f"{value:.15g}" if isinstance(value, float) else str(value).strip()
