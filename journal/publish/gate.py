"""The last look at a finished write-up, byte by byte, before it may leave the house.

What a story tells was redacted field by field. Yet a template may have words of its own, and two fields may tell
together what neither tells alone: so the text is looked through once more as it will be read, and a page with its
attributes, its comments and the sources of its pictures as well.
"""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser

from journal.errors import Refused
from journal.publish.finds import Find
from journal.publish.private import KINDS
from journal.publish.scrub import LEFT_OUT, Scrub

#: What begins a new piece of text when a page is read.
_INLINE = frozenset({"em", "strong", "code", "a", "b", "i", "span", "u", "s", "small", "sub", "sup"})
_CELL = re.compile(r"(\|)")
_COLUMNS = re.compile(r" {2,}")
#: Where a picture lies; its folder and name are made elsewhere, without anything private.
_LINK = re.compile(r"(?<=\]\()[^()\s]+(?=\))")
_HASHED = re.compile(r'(?:id|href)="#?[A-Za-z]?[0-9a-f]{5,12}"|url\(#[A-Za-z]?[0-9a-f]{5,12}\)')
_DATA = re.compile(r"data:(?P<kind>[\w/+.-]+);base64,(?P<data>[A-Za-z0-9+/=\s]+)")
#: Chunks of PNG that hold pixels and their size, and nothing in words.
_PNG_PLAIN = {b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND", b"pHYs"}


def markdown(text: str, scrub: Scrub) -> tuple[str, list[Find]]:
    """A finished text without what is certainly private, and where that stood.

    Parameters
    ----------
    text : str
        Markdown.
    scrub : Scrub
        What took private words out of the story.
    """
    finds: list[Find] = []
    lines = text.split("\n")
    for number, line in enumerate(lines, 1):
        lines[number - 1] = "".join(_clean(cell, number, scrub, finds) for cell in _CELL.split(line))
    return "\n".join(lines), finds


def _clean(cell: str, number: int, scrub: Scrub, finds: list[Find]) -> str:
    spots = [s for s in scrub.look(cell).spots if s.certain] if cell.strip(" |-#") else []
    links = [m.span() for m in _LINK.finditer(cell)] if spots else []
    for spot in reversed(spots):
        if not any(begin <= spot.begin and spot.end <= end for begin, end in links):
            finds.append(Find(spot.kind, "the finished text", number, cell[spot.begin : spot.end]))
            cell = cell[: spot.begin] + LEFT_OUT + cell[spot.end :]
    return cell


def post(parts: Iterable[str], read: Iterable[str], scrub: Scrub) -> None:
    """Hold that a text that is pasted somewhere tells nothing private.

    Parameters
    ----------
    parts : iterable of str
        The finished texts. What stands in columns is looked at cell by cell, as it is read.
    read : iterable of str
        What is read in them piece by piece, without anything that marks it, or breaks its lines.
    scrub : Scrub
        What took private words out of the story.

    Raises
    ------
    Refused
        If it does, with where.
    """
    for number, part in enumerate(parts, 1):
        for line, text in enumerate(part.split("\n"), 1):
            for cell in _COLUMNS.split(text):
                _hold(cell, scrub, f"line {line} of part {number}")
    for piece in read:
        _hold(piece, scrub, "the page")


def page(source: str, scrub: Scrub) -> None:
    """Hold that a finished page tells nothing private, read or not.

    Raises
    ------
    Refused
        If it does, with where.
    """
    reader = _Reader()
    reader.feed(source)
    reader.close()
    for line, piece in reader.pieces:
        _hold(piece, scrub, f"line {line} of the page")
    for m in _DATA.finditer(source):
        try:
            data = base64.b64decode(m["data"])
        except binascii.Error as e:
            raise Refused("A picture in the page cannot be read", "Nothing was written") from e
        picture(data, m["kind"], scrub)


def picture(data: bytes, name: str, scrub: Scrub) -> None:
    """Hold that a finished picture has pixels and drawn lines in it, and nothing private in words.

    Raises
    ------
    Refused
        If it has.
    """
    if data.startswith(b"\x89PNG"):
        if any(kind not in _PNG_PLAIN for kind in _chunks(data)):
            raise Refused(f"The picture {name} holds more than its pixels", "Nothing was written")
    elif b"<svg" in data[:2000]:
        # The names of its parts are hashes, in which any two letters meet.
        page(_HASHED.sub("", data.decode()), scrub)


def _chunks(data: bytes) -> Iterator[bytes]:
    at = 8
    while at + 8 <= len(data):
        yield data[at + 4 : at + 8]
        at += 12 + int.from_bytes(data[at : at + 4])


def _hold(piece: str, scrub: Scrub, where: str) -> None:
    spot = next((s for s in scrub.look(piece).spots if s.certain), None)
    if spot is not None:
        raise Refused(f"{KINDS[spot.kind].capitalize()} would stand in {where}", "Nothing was written")


class _Reader(HTMLParser):
    """Takes a page to pieces: texts as they are read, attributes, comments, and what else there is."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.pieces: list[tuple[int, str]] = []
        self._text: list[str] = []
        self._line = 1

    def _keep(self, text: str) -> None:
        if text.strip():
            self.pieces.append((self.getpos()[0], text))

    def _end(self) -> None:
        if self._text:
            self.pieces.append((self._line, "".join(self._text)))
            self._text = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Attributes; and a new piece of text, unless it goes on within a line."""
        if tag not in _INLINE:
            self._end()
        for _, value in attrs:
            if value and not _DATA.match(value):
                self._keep(value)

    def handle_endtag(self, tag: str) -> None:
        """The end of a piece of text."""
        if tag not in _INLINE:
            self._end()

    def handle_data(self, data: str) -> None:
        """Text."""
        if data.strip() and not self._text:
            self._line = self.getpos()[0]
        if self._text or data.strip():
            self._text.append(data)

    def handle_comment(self, data: str) -> None:
        """What nobody sees."""
        self._keep(data)

    def handle_decl(self, decl: str) -> None:
        """What stands before the page."""
        self._keep(decl)

    def handle_pi(self, data: str) -> None:
        """What is meant for other programs."""
        self._keep(data)

    def close(self) -> None:
        """The last piece too."""
        super().close()
        self._end()
