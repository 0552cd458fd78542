"""A page as plain text, for a box that knows nothing else, and for mail."""

from __future__ import annotations

import textwrap
from itertools import groupby
from typing import TYPE_CHECKING

from journal.publish.forms import nodes
from journal.publish.forms.columns import aligned, listed

if TYPE_CHECKING:
    from journal.publish.forms.nodes import Node

#: Letters in a line, as in mail.
WIDTH = 72
_UNDER = {1: "=", 2: "-", 3: "~"}


def _line(node: Node) -> str:
    return nodes.inline([node], _wrap, nodes.dead)


def _wrap(node: Node, text: str) -> str:
    address = nodes.address_of(node) if node.type == "link" else ""
    return f"{text} ({address})" if address and address != text else text


def _wrapped(text: str, width: int) -> list[str]:
    """Lines of at most so many letters; a word is never broken."""
    return [
        line
        for part in text.split("\n")
        for line in textwrap.wrap(part, width, break_long_words=False, break_on_hyphens=False) or [""]
    ]


def page(blocks: list[Node], _lines: list[str]) -> str:
    """Blocks one after another."""
    return "\n".join(_page(blocks, WIDTH))


def _page(blocks: list[Node], width: int) -> list[str]:
    """The lines of blocks; items of a list that stand alone are one again."""
    made: list[list[str]] = []
    for of, group in groupby(blocks, lambda n: n.parent if n.type == "list_item" else n):
        for node in group:
            if node.type == "list_item" and of is not None:
                made.append(_item(of, node, width))
            else:
                made.append(_block(node, width))
    return [line for block in filter(None, made) for line in (*block, "")][:-1]


def _block(node: Node, width: int) -> list[str]:
    if node.type in ("code_block", "fence"):
        return [line for given in node.content.rstrip("\n").split("\n") for line in _code(given, width)]
    if node.type == "table":
        return _table(node, width)
    if node.type in ("bullet_list", "ordered_list"):
        return _list(node, width)
    if node.type == "blockquote":
        return [f"    {line}".rstrip() for line in _page(list(node.children), width - 4)]
    if node.type == "html_block":
        text = nodes.dead(nodes.without_tags(node.content).strip())
        return _wrapped(text, width) if text else []
    if node.type == "hr":
        return ["-" * 20]
    lines = _wrapped("".join(_line(n) for n in node.children), width)
    if node.type == "heading":
        lines.append(_UNDER.get(nodes.level_of(node), ".") * max(map(len, lines)))
    return lines


def _code(line: str, width: int) -> list[str]:
    """A line of a drawing; what is too long for it goes on below, further in."""
    line = nodes.dead(line)
    if len(line) <= width:
        return [line]
    further = " " * (len(line) - len(line.lstrip(" |+-")) + 4)
    return textwrap.wrap(line, width, subsequent_indent=further, break_long_words=False, break_on_hyphens=False)


def _list(of: Node, width: int) -> list[str]:
    items = [_item(of, item, width) for item in of.children]
    # Long items are told apart by a line between them.
    apart = [""] if any(len(item) > 1 for item in items) else []
    return [line for at, item in enumerate(items) for line in (*(apart if at else []), *item)]


def _item(of: Node, item: Node, width: int) -> list[str]:
    sign = f"{nodes.first_of(of, item)}. " if of.type == "ordered_list" else "- "
    lines = _page(list(item.children), width - len(sign))
    return [f"{sign if not at else ' ' * len(sign)}{line}".rstrip() for at, line in enumerate(lines or [""])]


def _table(node: Node, width: int) -> list[str]:
    rows = nodes.rows_of(node, lambda cell: nodes.dead(nodes.words_of(cell)).replace("\n", " "))
    lines = aligned(rows, width)
    if lines is not None:
        return lines
    head, said = listed(rows)
    made = _wrapped(head, width) if head else []
    for row in said:
        first, *more = _wrapped(row, width - 2)
        made += [f"- {first}", *(f"  {line}" for line in more)]
    return made
