"""What a logger's file is, before a value of it is read: packed or plain, its letters, separators, heads and units."""

from __future__ import annotations

import codecs
import gzip
import hashlib
import io
import re
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, cast

from calc.wording import number_of
from journal.book.safe_files import open_given
from journal.errors import BadInput, NotFound

#: So much is read at a time, and looked at to tell how a file is written. [bytes]
BLOCK = 8 << 20
_LOOKED_AT = 1 << 18
#: Readings of which the units in their cells are looked at.
_SOME = 2000
#: A line that is longer is no line of a logger. [bytes]
_LONGEST_LINE = 1 << 20
_ACCEPTED = "Accepted: text with a line for each reading (CSV, also packed with gzip)"
_SEPARATORS = (";", "\t", "|", ",", " ")
SEPARATORS = {";": "semicolons", "\t": "tabs", "|": "strokes", ",": "commas", " ": "spaces"}
_NUMBER = re.compile(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)([eE][-+]?\d+)?")
#: A number with its unit behind it, as in "3.0 kn".
WITH_UNIT = re.compile(
    r"([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?)\s*((?!m$)[A-Za-z°µ%Ω][A-Za-z°/%²]{0,9}(?:-1)?)"
)
_MISSING = re.compile(r"|nan|n/?a|null|none|-+|#n/a|inf|ovf|ol|err(or)?", re.IGNORECASE)
#: What loggers write for no reading.
_NONE = re.compile(r"-9{3,5}(?:[.,]0*)?")
_HAS_DATE = re.compile(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}|\d{1,2}:\d{2}|\d{4}-?\d{2}-?\d{2}T?")
#: All of a cell that holds a time; one that holds other readings besides was cut at the wrong mark.
_OF_TIME = re.compile(r"(?:[\d\s:./+-]|[A-Za-z]{1,3}(?![A-Za-z]))+(?:,\d{1,6})?(?: ?[A-Z]{1,3})?")


class LoggerSource:
    """A logger's file as a stream of text in UTF-8, with its hash and how far it was read.

    Parameters
    ----------
    file : Path
        Where it is.

    Raises
    ------
    NotFound
        If there is no such file.
    BadInput
        If it is no file of text.
    """

    def __init__(self, file: Path) -> None:
        if not file.exists():
            raise NotFound(f"There is no file {file}")
        if not file.is_file():
            raise BadInput(f"{file} is not a plain file", _ACCEPTED)
        self.file, self.size = file, file.stat().st_size
        self.read_bytes = 0
        self._digest = hashlib.sha256()

    @property
    def sha256(self) -> str:
        """The hash of all that was read."""
        return self._digest.hexdigest()

    @property
    def far(self) -> float:
        """What share of the file was read."""
        return min(self.read_bytes / self.size, 1.0) if self.size else 1.0

    def blocks(self, size: int = BLOCK) -> Iterator[bytes]:
        """The text in pieces that end with a line, in UTF-8, each line ended by a newline.

        Raises
        ------
        BadInput
            If it cannot be read to its end, or is no text.
        """
        rest = b""
        for piece in self._decoded(size):
            cut = piece.rfind(b"\n") + 1
            if not cut and len(rest) + len(piece) > _LONGEST_LINE:
                raise BadInput(f"{self.file.name} is no text in lines", _ACCEPTED)
            # Copied once: a piece is most of what is handled at a time.
            block = b"".join((rest, memoryview(piece)[:cut]))
            rest = piece[cut:] if cut else rest + piece
            if cut:
                yield block
        if rest:
            yield rest + b"\n"

    def _decoded(self, size: int) -> Iterator[bytes]:
        decoder: codecs.IncrementalDecoder | None = None
        first, latin = True, False
        for piece in self._bytes(size):
            data = piece
            if first:
                first = False
                data, decoder = self._begun(data)
            if decoder is not None:
                data = decoder.decode(data).encode()
            elif latin or not _is_utf8(data):
                # Older loggers write one byte a letter: a degree sign in a head must not end the reading.
                latin = True
                data = data.decode("cp1252", errors="replace").encode()
            if b"\r" in data:
                data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n" if b"\n" not in data else b"")
            yield data

    def _begun(self, data: bytes) -> tuple[bytes, codecs.IncrementalDecoder | None]:
        if data.startswith(b"PK\x03\x04"):
            raise BadInput(f"{self.file.name} is a zip or a workbook", "Unpack it, or save the sheet as CSV")
        if data.startswith(b"\x1f\x8b"):
            raise BadInput(f"{self.file.name} was packed with gzip twice", "Unpack it once; nothing was kept")
        if data.startswith((b"PAR1", b"SQLite format 3\x00", b"%PDF")):
            raise BadInput(f"{self.file.name} is no text", _ACCEPTED)
        for mark, name in ((codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be")):
            if data.startswith(mark):
                return data[2:], codecs.getincrementaldecoder(name)(errors="replace")
        data = data.removeprefix(codecs.BOM_UTF8)
        some = data[:4096]
        if sum(b < 9 or 13 < b < 32 for b in some) > 0.3 * len(some) and some.count(0) < len(some):
            raise BadInput(f"{self.file.name} is no text", _ACCEPTED)
        return data, None

    def _bytes(self, size: int) -> Iterator[bytes]:
        try:
            with open_given(self.file) as raw:
                counted = _Counted(raw, self)
                packed = raw.peek(2)[:2] == b"\x1f\x8b" if isinstance(raw, io.BufferedReader) else False
                plain = cast(IO[bytes], counted)
                stream = gzip.GzipFile(fileobj=plain, mode="rb") if packed else plain
                while data := stream.read(size):
                    yield data
                if packed:
                    while counted.read(size):
                        pass
        except (EOFError, gzip.BadGzipFile, zlib.error) as e:
            what = "is cut off: it was packed with gzip, and its end is missing" if isinstance(e, EOFError) else (
                "was packed with gzip, and is damaged")  # fmt: skip
            raise BadInput(f"{self.file.name} {what}", "Fetch it from the logger again; nothing was kept") from None
        except OSError as e:
            raise BadInput(f"{self.file} cannot be read ({e.strerror})", _ACCEPTED) from e

    def noted(self, data: bytes) -> None:
        """Count and hash what was read."""
        self.read_bytes += len(data)
        self._digest.update(data)


class _Counted:
    """A stream that tells its source what passes."""

    def __init__(self, stream: IO[bytes], source: LoggerSource) -> None:
        self._stream, self._source = stream, source

    def read(self, size: int = -1) -> bytes:
        """The next bytes."""
        data = self._stream.read(size)
        self._source.noted(data)
        return data


def _is_utf8(data: bytes) -> bool:
    """Whether a piece is UTF-8, but for a letter that its ends may cut."""
    if data.isascii():
        return True
    try:
        data[data.find(b"\n") + 1 : data.rfind(b"\n") + 1].decode()
    except UnicodeDecodeError:
        return False
    return True


@dataclass(frozen=True)
class Layout:
    """How a file is written.

    Parameters
    ----------
    separator : str
        What parts the cells.
    comma : bool
        Whether decimals have a comma.
    heads, units : list of str
        What stands above the columns; units where a line of them does.
    first : int
        The line with the first reading, from 1.
    quoted : bool
        Whether cells stand in quotes.
    unlike : str
        Where its heads are more or fewer than its cells: that, in a sentence; the heads are then numbers.
    begins : str
        The line with the first reading, to be shown.
    cell_units : tuple of str
        The unit that all cells of a column end with, as named in ``channels.py``; empty where they are plain numbers.
    odd_cells : dict of int to str
        Of columns whose cells end with several units, with one that is not known, or only some with one: such a cell.
    short : tuple of (int, int, str)
        Lines between the heads and the first whole reading that have other than so many cells: which, how many they
        have, and how they begin.
    """

    separator: str
    comma: bool
    heads: list[str]
    units: list[str]
    first: int
    quoted: bool
    unlike: str = ""
    begins: str = ""
    short: tuple[tuple[int, int, str], ...] = ()
    cell_units: tuple[str, ...] = ()
    odd_cells: dict[int, str] = field(default_factory=dict)

    def cells(self, line: str) -> list[str]:
        """The cells of a line."""
        return _cells(line, self.separator)


def _cells(line: str, separator: str) -> list[str]:
    if '"' in line and separator != " ":
        line = re.sub(r'"([^"]*)"', lambda m: m[1].replace(separator, "\0"), line)
    parts = line.split() if separator == " " else line.split(separator)
    return [p.replace("\0", ",").strip() for p in parts]


def sample_of(file: Path) -> list[str]:
    """The first lines of a file.

    Raises
    ------
    BadInput
        If it is empty.
    """
    source = LoggerSource(file)
    data = b""
    for block in source.blocks(_LOOKED_AT):
        data += block
        if len(data) >= _LOOKED_AT:
            break
    if not data.strip():
        raise BadInput(f"{file.name} is empty", _ACCEPTED)
    return data.decode(errors="replace").split("\n")[:-1]


def layout_of(lines: list[str], name: str) -> Layout:
    """How a file is written, from its first lines.

    Raises
    ------
    BadInput
        If it holds no lines of readings.
    """
    separator, width = _separator(lines, name)
    split = [_cells(line, separator) for line in lines]
    first = next((i for i, c in enumerate(split) if _is_data(c, width) and _goes_on(split, i, width)), None)
    if first is None:
        raise BadInput(f"{name} holds no lines of readings", _ACCEPTED)
    data = [c for c in split[first:] if len(c) == width]
    above = _widened(split[:first], data, width)
    heads, units = _heads(above, width)
    return Layout(
        separator, _comma(data, separator), heads, units, first + 1, any('"' in x for x in lines),
        _unlike(above, width, name), lines[first].strip()[:60], tuple(_short(lines, above, width)),
        *_cell_units(data[:_SOME]),
    )  # fmt: skip


def _cell_units(data: list[list[str]]) -> tuple[tuple[str, ...], dict[int, str]]:
    """The unit with which the cells of each column end, and a cell of those that do not all end with a known one."""
    from journal.logger.channels import unit_named

    units, odd = [], {}
    for i in range(len(data[0])):
        cells = [row[i] for row in data if not _is_gap(row[i])]
        ends = [found[2] if (found := WITH_UNIT.fullmatch(c)) else "" for c in cells]
        named = [unit_named(end) or f"?{end}" if end else "" for end in ends]
        same = len(set(named)) == 1 and not named[0].startswith("?")
        units.append(named[0] if same else "")
        if any(ends) and not same:
            # Shown is one that is unlike most.
            usual = Counter(named).most_common(1)[0][0]
            odd[i] = next((c for c, name in zip(cells, named, strict=True) if name != usual), cells[0])
    return tuple(units), odd


def _is_gap(cell: str) -> bool:
    """Whether a cell has no reading, with or without a unit."""
    from journal.logger.channels import unit_named

    bare, _, end = cell.rpartition(" ")
    return any(_MISSING.fullmatch(c) or _NONE.fullmatch(c) for c in ([cell, bare] if unit_named(end) else [cell]))


def _short(lines: list[str], above: list[list[str]], width: int) -> Iterator[tuple[int, int, str]]:
    """Readings below the heads that are not whole, though none above them is."""
    heads = [i for i, row in enumerate(above) if len(row) == width]
    for i in range(heads[-1] + 1 if heads else len(above), len(above)):
        if any(_NUMBER.fullmatch(c) or _HAS_DATE.search(c) for c in above[i]):
            yield i + 1, len(above[i]), lines[i]


def _separator(lines: list[str], name: str) -> tuple[str, int]:
    """What parts the cells, and into how many: what does so alike in most lines, the least usual first."""
    told = [x for x in lines if x.strip()]
    told = told[:: max(1, len(told) // 1000)]
    best, score = None, 0.0
    for separator in _SEPARATORS:
        counts = Counter(len(_cells(x, separator)) for x in told)
        counts.pop(1, None)
        for width, many in counts.most_common(3):
            good = sum(_is_data(_cells(x, separator), width) for x in told) / len(told)
            if (fits := good * many / len(told)) > score * 1.2 + 1e-9:
                best, score = (separator, width), fits
    if best is None or score < 0.05:
        raise BadInput(f"{name} is no table of readings; it begins {told[0].strip()[:60]!r}", _ACCEPTED)
    return best


def _is_data(cells: list[str], width: int) -> bool:
    """Whether it is a line of readings: numbers, times and gaps, at least one number or time."""
    if len(cells) != width:
        return False
    good = [
        bool(_NUMBER.fullmatch(c) or WITH_UNIT.fullmatch(c)) or bool(_HAS_DATE.search(c) and _OF_TIME.fullmatch(c))
        for c in cells
    ]
    return any(good) and sum(g or bool(_MISSING.fullmatch(c)) for g, c in zip(good, cells, strict=True)) * 2 > width


def _goes_on(split: list[list[str]], at: int, width: int) -> bool:
    following = [_is_data(c, width) for c in split[at : at + 8] if c != [""]]
    return sum(following) * 2 >= len(following)


def _widened(above: list[list[str]], data: list[list[str]], width: int) -> list[list[str]]:
    """Lines above the readings; where each reading's line ends with a mark that those above lack, they get it too."""
    if any(len(row) == width for row in above) or any(row[-1] for row in data):
        return above
    return [[*row, ""] if len(row) == width - 1 else row for row in above]


def _unlike(above: list[list[str]], width: int, name: str) -> str:
    """In which way the heads do not fit the lines below them; empty where they do, or where there are none."""
    named = [row for row in above if sum(bool(c) and not _NUMBER.fullmatch(c) for c in row) > 1]
    if not named or any(len(row) == width for row in above):
        return ""
    return (
        f"The heads of {name} name {number_of(len(named[-1]), 'column')}, most of its lines have "
        f"{number_of(width, 'cell')}"
    )


def _heads(above: list[list[str]], width: int) -> tuple[list[str], list[str]]:
    """Heads and units, of the lines above the first reading."""
    from journal.logger.channels import unit_named

    rows = [[c.lstrip("#").strip().strip('"') for c in row] for row in above if len(row) == width]
    if not rows:
        return [f"column {i}" for i in range(1, width + 1)], [""] * width
    plain = [r for r in rows if sum(bool(c) and not unit_named(c) for c in r) * 2 > width] or rows
    heads = plain[-1] if len(plain) == 1 else max(plain, key=lambda r: (len(set(filter(None, r))), -plain.index(r)))
    below = rows[rows.index(heads) + 1 :]
    units = next((r for r in below if any(unit_named(c) for c in r)), [""] * width)
    seen: set[str] = set()
    told = []
    for i, head in enumerate(heads, 1):
        # Of two alike each must have a name by which it can be asked for.
        again = head.casefold() in seen
        seen.add(head.casefold())
        told.append(f"{head} (column {i})" if head and again else head or f"column {i}")
    return told, units


def _comma(data: list[list[str]], separator: str) -> bool:
    """Whether decimals have a comma: more cells do so than have a point."""
    bare = (found[1] if (found := WITH_UNIT.fullmatch(c)) else c for row in data[:500] for c in row)
    cells = [c for c in bare if _NUMBER.fullmatch(c)]
    return (separator != "," or any("," in c for c in cells)) and (
        sum("," in c for c in cells) > sum("." in c for c in cells)
    )
