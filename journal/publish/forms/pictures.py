"""Pictures of a page that is pasted somewhere: numbered in order, each with a place in the text that names it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal.publish.environment import markdown_text
from journal.publish.forms import nodes

if TYPE_CHECKING:
    from journal.publish.forms.nodes import Node


@dataclass(frozen=True, slots=True)
class Placed:
    """A picture as it stands in a page.

    Parameters
    ----------
    number : int
        Which one it is, counted through the page.
    name : str
        Name of its file, which begins with the number.
    was : str
        Name of its file as it was made.
    shows : str
        What it shows.
    source : str
        How the page sets it in, in Markdown.
    label : str
        What it shows, in Markdown.
    part : int
        In which part of the page it stands; 0 where that is in one piece.
    """

    number: int
    name: str
    was: str
    shows: str
    source: str
    label: str
    part: int = 0

    @property
    def called(self) -> str:
        """How the text calls it."""
        return f"(Picture {self.number}: "


def placed(text: str, folder: str, files: Mapping[str, bytes]) -> list[Placed]:
    """The pictures of a page, in the order in which they stand in it."""
    found: dict[str, Placed] = {}
    for image in _images(nodes.parse(text)):
        source = str(image.attrs.get("src", ""))
        name = source.removeprefix(f"{folder}/")
        if name in files and name != source and name not in found:
            number = len(found) + 1
            shows = nodes.inline(image.children, lambda _, words: words, lambda words: words)
            whole = f"![{image.content}]({source})"
            found[name] = Placed(number, f"{number:02d}-{name}", name, shows, whole, image.content)
    return list(found.values())


def _images(blocks: Iterable[Node]) -> list[Node]:
    return [n for block in blocks for n in ([block] if block.type == "image" else _images(block.children))]


def with_places(text: str, pictures: Iterable[Placed]) -> str:
    """A page with a place for each picture instead, and what it shows under it."""
    for p in pictures:
        text = text.replace(p.source, f"**{markdown_text(p.called + p.name)})**  \n{p.label}")
    return text


def with_links(text: str, pictures: Iterable[Placed], folder: str) -> str:
    """A page with its pictures in a folder beside it, by their numbered names."""
    for p in pictures:
        text = text.replace(p.source, f"![{p.label}]({folder}/{p.name})")
    return text


def in_parts(pictures: Iterable[Placed], parts: tuple[str, ...]) -> list[Placed]:
    """Pictures with the part of the page in which each has its place."""
    return [replace(p, part=next((n for n, t in enumerate(parts, 1) if p.called in t), 0)) for p in pictures]
