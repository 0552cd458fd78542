"""A page as Markdown, for boards that know it: the very lines that were written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.publish.forms.nodes import source_of

if TYPE_CHECKING:
    from journal.publish.forms.nodes import Node


def page(blocks: list[Node], lines: list[str]) -> str:
    """Blocks one after another."""
    return "\n\n".join(source_of(n, lines) for n in blocks)
