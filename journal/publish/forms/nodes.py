"""A page in Markdown as a tree of what stands in it: a parser's tokens, so that nothing is guessed from signs."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from markdown_it.tree import SyntaxTreeNode

    Node = SyntaxTreeNode

#: Of what boards and mail programs make a link or a mention by themselves: a blank in it keeps them from it.
_LIVE = re.compile(
    r"(?<=/)(?=/)|(?<=mailto)(?=:)|(?<=www)(?=\d{0,3}\.)|(?<=\S)(?=@)|(?<=@)(?=\S)"
    r"|(?<=\w)(?=\.(?:[a-z]{2,4}/|(?:[a-z]{2}|com|net|org|edu|gov|biz|pro|web|xxx|aero|asia|coop|info|museum|name|shop)\b))",
    re.IGNORECASE,
)
#: Addresses that may become a link: of the web, and with nothing in them that ends a tag.
_ADDRESS = re.compile(r"https?://[^\s\[\]()<>\"']+")


def parse(markdown: str) -> list[Node]:
    """What stands in a page, block by block."""
    from markdown_it import MarkdownIt
    from markdown_it.tree import SyntaxTreeNode

    return list(SyntaxTreeNode(MarkdownIt("commonmark").enable("table").parse(markdown)).children)


def source_of(node: Node, lines: list[str]) -> str:
    """The lines of the page in which a block stands, as they are there."""
    begin, end = node.map or (0, 0)
    return "\n".join(lines[begin:end]).rstrip()


def level_of(node: Node) -> int:
    """Of a heading its level; 0 of anything else."""
    return int(node.tag[1:]) if node.type == "heading" else 0


def dead(text: str) -> str:
    """A text of which no board and no mail program makes a link or a mention.

    Examples
    --------
    >>> dead("see http://example.org, and ask @somebody")
    'see http:/ /example .org, and ask @ somebody'
    """
    return _LIVE.sub(" ", text)


def address_of(node: Node) -> str:
    """Where a link leads, if it may become one elsewhere too; else nothing."""
    found = str(node.attrs.get("href") or node.attrs.get("src") or "")
    return found if _ADDRESS.fullmatch(found) else ""


def without_tags(source: str) -> str:
    """What is to be read of HTML that a template has."""
    import nh3

    return html.unescape(nh3.clean(source, tags=set(), attributes={}))


def inline(nodes: Iterable[Node], wrap: Callable[[Node, str], str], plain: Callable[[str], str]) -> str:
    """Text within a line.

    Parameters
    ----------
    nodes : iterable of Node
        Its pieces.
    wrap : callable
        What becomes of the text of a node that marks it, such as ``strong`` or ``link``.
    plain : callable
        What becomes of words.
    """
    made = ""
    for node in nodes:
        if node.type in ("text", "code_inline"):
            made += plain(node.content)
        elif node.type in ("softbreak", "hardbreak"):
            made += " " if node.type == "softbreak" else "\n"
        elif node.type == "html_inline":
            made += "\n" if node.content.startswith("<br") else ""
        else:
            made += wrap(node, inline(node.children, wrap, plain))
    return made


def words_of(node: Node) -> str:
    """What is read in a block, without anything that marks it."""
    return inline([node], lambda _, text: text, lambda text: text)


def pieces(nodes: Iterable[Node]) -> list[str]:
    """Every text of a page as it is read: of a paragraph, a heading, a cell, a line of code."""
    found: list[str] = []
    for node in nodes:
        if node.type == "inline":
            found += words_of(node).split("\n")
        elif node.type == "html_block":
            found += without_tags(node.content).split("\n")
        elif node.type in ("code_block", "fence"):
            found += node.content.split("\n")
        else:
            found += pieces(node.children)
    return found


def rows_of(table: Node, cell: Callable[[Node], str]) -> list[list[str]]:
    """The cells of a table, its head first."""
    return [[cell(d) for d in row.children] for part in table.children for row in part.children]


def first_of(items: Node, at: Node) -> int:
    """The number of an item in a list that is numbered."""
    return int(items.attrs.get("start") or 1) + list(items.children).index(at)
