"""A page as BBCode, for boards that know no Markdown.

Only tags that nearly every board has: b, i, u, size, url, list, quote and code. Few have tables, so these become
columns in a block of code, or lists where they are wide. There is no way of writing a square bracket that every board
takes for a mere letter, so those of texts become round ones.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from journal.publish.forms import nodes
from journal.publish.forms.columns import aligned, listed

if TYPE_CHECKING:
    from journal.publish.forms.nodes import Node

#: Letters that a block of code shows on a phone, or nearly.
WIDTH = 60
_RULE = "-" * 20
#: By level; sizes in per cent.
_HEADINGS = {1: "[b][size=150]{}[/size][/b]", 2: "[b][size=130]{}[/size][/b]", 3: "[b][u]{}[/u][/b]"}
_ROUND = str.maketrans("[]", "()")


def plain(text: str) -> str:
    """Words, in which no board finds a tag or a link."""
    return nodes.dead(text).translate(_ROUND)


def _wrap(node: Node, text: str) -> str:
    if node.type in ("strong", "em"):
        tag = "b" if node.type == "strong" else "i"
        return f"[{tag}]{text}[/{tag}]"
    address = nodes.address_of(node) if node.type == "link" else ""
    return f"[url={address}]{text}[/url]" if address else text


def _line(node: Node) -> str:
    return nodes.inline([node], _wrap, plain)


def _inside(node: Node) -> str:
    """What a block holds, where it is one line or several."""
    return "".join(_line(n) for n in node.children)


def page(blocks: list[Node], _lines: list[str]) -> str:
    """Blocks one after another; items of a list that stand alone are one again."""
    made: list[str] = []
    for of, group in groupby(blocks, lambda n: n.parent if n.type == "list_item" else n):
        each = list(group)
        made += [_list(of, each)] if of is not None and each[0].type == "list_item" else map(_block, each)
    return "\n\n".join(filter(None, made))


def _block(node: Node) -> str:
    if node.type == "heading":
        return _HEADINGS.get(nodes.level_of(node), "[b]{}[/b]").format(_inside(node))
    if node.type in ("code_block", "fence"):
        return _code(node.content.rstrip("\n").translate(_ROUND).split("\n"))
    if node.type == "table":
        return _table(node)
    if node.type in ("bullet_list", "ordered_list"):
        return _list(node, list(node.children))
    if node.type == "blockquote":
        return f"[quote]{page(list(node.children), [])}[/quote]"
    if node.type == "html_block":
        return plain(nodes.without_tags(node.content).strip())
    return _RULE if node.type == "hr" else _inside(node)


def _code(lines: list[str]) -> str:
    return "[code]\n{}\n[/code]".format("\n".join(lines))


def _list(of: Node, items: list[Node]) -> str:
    """A list; one that begins with another number than 1 tells its numbers itself."""
    texts = [page(list(item.children), []) for item in items]
    first = nodes.first_of(of, items[0]) if of.type == "ordered_list" else 0
    if first > 1:
        texts = [f"{number}. {text}" for number, text in enumerate(texts, first)]
    tag = "[list=1]" if first == 1 else "[list]"
    return "\n".join([tag, *(f"[*]{text}" for text in texts), "[/list]"])


def _table(node: Node) -> str:
    lines = aligned(nodes.rows_of(node, lambda cell: plain(nodes.words_of(cell)).replace("\n", " ")), WIDTH)
    if lines is not None:
        return _code(lines)
    head, rows = listed(nodes.rows_of(node, _inside))
    made = "\n".join(["[list]", *(f"[*]{row}" for row in rows), "[/list]"])
    return f"[i]{head}[/i]\n{made}" if head else made
