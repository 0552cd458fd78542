"""Tables as people have them, as lines of cells: CSV with any separator, a spreadsheet's paste, a spreadsheet.

The separator is the one by which the lines have as many cells as the header, which ``csv.Sniffer`` does not ask for: it
takes the comma of ``12,1`` for one.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from calc.wording import number_of
from journal.book.plain_text import steering
from journal.errors import BadInput, NotFound

#: Bounds of a table, far beyond what anybody has; a cell is as long as a text of the record may be.
MOST_BYTES, MOST_LINES, MOST_COLUMNS, LONGEST_CELL = 50_000_000, 200_000, 500, 10_000
#: What parts cells, each with its name, those first that stand in no number and no text.
SEPARATORS = {"\t": "tabs", ";": "semicolons", "|": "bars", ",": "commas"}
#: Lines by which the separator is found.
_LOOKED_AT = 200
_XLSX = b"PK\x03\x04"
_ACCEPTED = "A table in UTF-8 is accepted, cells separated by commas, semicolons, tabs or bars"
_RULE = re.compile(r"[\s|:+=-]*-[\s|:+=-]*")
_ENDS = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class TableLine:
    """One line of a table, with the number of its first line in the text."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TableText:
    """A table as it is written.

    Parameters
    ----------
    header : tuple of str
        Heads of the columns, as they stand.
    lines : tuple of TableLine
        Those that are not empty, each with as many cells as the header.
    parted : str
        By what its cells are parted, in words.
    decoded : str
        Letters in which it is written, where these are not UTF-8.
    """

    header: tuple[str, ...]
    lines: tuple[TableLine, ...]
    parted: str
    decoded: str = ""


def read_bytes(file: Path) -> bytes:
    """The bytes of a file, one more at most than a table may have.

    Raises
    ------
    NotFound
        If there is none.
    BadInput
        If it cannot be read.
    """
    try:
        with file.open("rb") as stream:
            return stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise NotFound(f"There is no file {file}") from None
    except (OSError, ValueError) as e:
        raise BadInput(f"{file} cannot be read ({getattr(e, 'strerror', None) or e})", _ACCEPTED) from None


def table_of(given: bytes, name: str) -> TableText:
    """Read a table from the bytes of a file, or of a paste.

    Raises
    ------
    BadInput
        Saying what is wrong, and in which line.
    """
    if len(given) > MOST_BYTES:
        raise BadInput(f"{name} is larger than {MOST_BYTES // 1_000_000} MB", "Split it into several tables")
    if given.startswith(_XLSX):
        from journal.book.table_workbook import workbook_lines

        lines = (TableLine(number, cells) for number, cells in workbook_lines(given, name))
        return _headed(_bounded(lines), name, "the cells of a spreadsheet")
    text, decoded = _decoded(given, name)
    text, told = _separator_told(text)
    separator = told or _separator(text)
    return _headed(_bounded(_split(text, separator, 1 if told else 0)), name, SEPARATORS[separator], decoded)


def _decoded(given: bytes, name: str) -> tuple[str, str]:
    """The text, and in which letters it is written where that is not UTF-8."""
    marked = given.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ["utf-16"] if marked else ["utf-8-sig", "cp1252"]:
        try:
            text = given.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        return _ENDS.sub("\n", text), "Windows-1252" if encoding == "cp1252" else ""
    line = given[: given.find(b"\0")].count(b"\n") + 1 if b"\0" in given else 1
    raise BadInput(f"{name}, line {line}: this is no text", _ACCEPTED)


def _separator_told(text: str) -> tuple[str, str]:
    """The text without a first line ``sep=;`` as spreadsheets write it, and the separator that it names."""
    match = re.match(r"sep=([\t;|,])\n", text)
    return (text[match.end() :], match[1]) if match else (text, "")


def _separator(text: str) -> str:
    """The separator by which most lines have as many cells as the first; of several, the one with most cells."""
    first = "\n".join(text.split("\n", _LOOKED_AT)[:_LOOKED_AT])
    best, found = (0.0, 0), ","
    for separator in SEPARATORS:
        try:
            counts = [len(line.cells) for line in _split(first, separator, strict=False)]
        except BadInput:
            continue
        if counts and counts[0] > 1:
            even = sum(n == counts[0] for n in counts) / len(counts)
            score = (round(even, 2), counts[0])
            best, found = (score, separator) if score > best else (best, found)
    return found


def _split(text: str, separator: str, before: int = 0, *, strict: bool = True) -> Iterator[TableLine]:
    """Lines that are not empty, as cells; ``before`` are lines that stood ahead of the text."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True, strict=strict)
    number = 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as e:
            raise _broken(e, before + number) from None
        told, number = number, reader.line_num + 1
        if separator == "|":
            cells = _within_bars(cells)
        if any(cell.strip() for cell in cells):
            yield TableLine(before + told, tuple(cell.strip() for cell in cells))


def _broken(error: csv.Error, line: int) -> BadInput:
    if "unexpected end" in str(error):
        return BadInput(f"Line {line}: a quote is opened here and never closed", "Close it, or write '' for inches")
    if "field larger" in str(error):
        return BadInput(f"Line {line}: a cell is too long", f"At most {LONGEST_CELL} characters are kept")
    return BadInput(f"Line {line}: something stands behind a closed quote", 'Write a quote within a cell twice: ""')


def _within_bars(cells: list[str]) -> list[str]:
    """Cells between bars: those at both ends are drawn around a table, and a line of dashes below its header."""
    if cells and all(_RULE.fullmatch(cell) or not cell.strip() for cell in cells):
        return []
    if len(cells) > 2 and not cells[0].strip() and not cells[-1].strip():
        return cells[1:-1]
    return cells


def _bounded(lines: Iterable[TableLine]) -> Iterator[TableLine]:
    """Lines within bounds, in which nothing steers a terminal or turns the order of letters round."""
    for count, line in enumerate(lines):
        if count > MOST_LINES:
            raise BadInput(f"The table has more than {MOST_LINES} lines", "Split it into several")
        if len(line.cells) > MOST_COLUMNS:
            raise BadInput(f"Line {line.number} has {len(line.cells)} cells", f"At most {MOST_COLUMNS} are read")
        for column, cell in enumerate(line.cells, 1):
            if len(cell) > LONGEST_CELL:
                raise BadInput(
                    f"Line {line.number}, column {column}: a cell of {len(cell)} characters",
                    f"At most {LONGEST_CELL} are kept",
                )
            if odd := steering(cell):
                what = f"a character that nobody sees, U+{ord(odd):04X}"
                raise BadInput(f"Line {line.number}, column {column}: {what}", "Plain text is accepted")
        yield line


def _headed(lines: Iterator[TableLine], name: str, parted: str, decoded: str = "") -> TableText:
    """A table whose first line is its header, all lines as long as that."""
    first = next((line for line in lines if not line.cells[0].startswith("#")), None)
    if first is None:
        raise BadInput(f"{name} is empty", 'A first line with the heads of the columns is wanted, like "rpm, volts"')
    header = first.cells
    while len(header) > 1 and not header[-1]:
        header = header[:-1]
    if all(not re.search(r"[^\W\d]", head) for head in header if head):
        raise BadInput(
            f"{name}, line {first.number}: the first line heads no columns",
            'Put their heads above it, like "rpm, volts (V)"',
        )
    same = [head for head in header if head and header.count(head) > 1]
    if same:
        raise BadInput(f"{name}: two columns are headed {same[0]!r}", "Give each a head of its own")
    return TableText(header, tuple(_fitted(line, len(header), parted) for line in lines), parted, decoded)


def _fitted(line: TableLine, width: int, parted: str) -> TableLine:
    """A line with as many cells as the header has; empty ones beyond it are let go."""
    cells = line.cells
    while len(cells) > width and not cells[-1]:
        cells = cells[:-1]
    if len(cells) == width:
        return TableLine(line.number, cells)
    hint = "Each line has as many as the header, an empty one where nothing was read"
    if len(cells) > width and parted == "commas":
        hint = "If a comma stands in a number or a text, put that in quotes, or part cells by semicolons"
    raise BadInput(f"Line {line.number}: {number_of(len(cells), 'cell')} where the header has {width}", hint)
