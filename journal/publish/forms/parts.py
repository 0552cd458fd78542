"""A page in parts that a board takes: each with its title, which part it is, and what came before.

A page is cut at its chapters; one that is too long alone, at its sub-chapters, then between paragraphs and between the
items of a list. Nothing else is ever cut.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.publish.environment import markdown_text
from journal.publish.forms import nodes

if TYPE_CHECKING:
    from journal.publish.forms.nodes import Node

#: The shortest that a part may be; its own head takes up to half of it.
SHORTEST = 1000
#: Letters of a title where it is told what came before.
_TITLE = 60
#: Chapters that are named there.
_NAMED = 3
#: After the levels of headings: between blocks, and between items.
_BLOCKS, _ITEMS = 5, 6

#: The empty line between two blocks, as :func:`size` counts.
_BETWEEN = 4
#: The end of the last line.
_END = 2


def size(text: str) -> int:
    r"""How long boards count a text: a line end as two letters, and a letter beyond the first plane as two.

    Examples
    --------
    >>> size("ab\nc")
    5
    """
    return len(text.encode("utf-16-le")) // 2 + text.count("\n")


def parts(text: str, page: Callable[[list[Node], list[str]], str], limit: int) -> list[str]:
    """A page in as few parts as its chapters allow; in one piece where that is short enough.

    Parameters
    ----------
    text : str
        The page in Markdown.
    page : callable
        Gives blocks in the form wanted, of these and the lines of their source.
    limit : int
        Letters that a part may have.

    Raises
    ------
    BadInput
        If something that is not cut is longer.
    """
    blocks, lines = nodes.parse(text), text.split("\n")

    def render(some: list[Node]) -> str:
        return page(some, lines)

    def as_head(markdown: str) -> str:
        return page(nodes.parse(markdown), markdown.split("\n"))

    if size(whole := render(blocks)) + _END <= limit:
        return [whole]
    begins = next((n for n, b in enumerate(blocks) if nodes.level_of(b) == 1), None)
    title = "Build history" if begins is None else nodes.words_of(blocks[begins].children[0])
    body = blocks if begins is None else blocks[:begins] + blocks[begins + 1 :]
    room, sizes = limit - _END, dict["Node", int]()
    while True:
        split = _Split(render, room, limit, sizes)
        split.add(body, 2)
        heads = [as_head(head) for head in _heads(title, split.made)]
        made = ["\n\n".join((head, render(some))) for head, some in zip(heads, split.made, strict=True)]
        over = max(map(size, made)) + _END - limit
        if over <= 0:
            return made
        room -= over


class _Split:
    """Fills one part after another."""

    def __init__(self, render: Callable[[list[Node]], str], room: int, limit: int, sizes: dict[Node, int]) -> None:
        self._render, self._room, self._limit, self._sizes = render, room, limit, sizes
        self.made: list[list[Node]] = [[]]

    def _size(self, some: list[Node]) -> int:
        """How long blocks are together, at most; each is written once for that."""
        for node in some:
            if node not in self._sizes:
                self._sizes[node] = size(self._render([node])) + _BETWEEN
        return sum(self._sizes[node] for node in some)

    def _fits(self, some: list[Node]) -> bool:
        return self._size(some) <= self._room

    def add(self, some: list[Node], level: int) -> None:
        """Put blocks where there is room; what is too long for any part is cut at the next lower level."""
        if self._fits([*self.made[-1], *some]):
            self.made[-1] += some
        elif self._fits(some) and level > 2:
            self.made.append(list(some))
        elif level > _ITEMS:
            long = self._size(some[-1:])
            raise BadInput(
                f"--limit {self._limit} is too little: a {_KINDS.get(some[-1].type, 'paragraph')} of {long} characters "
                "is never cut",
                f"Give --limit {self._limit - self._room + self._size(some) + 200} or more",
            )
        else:
            for piece in _cut(some, level):
                self.add(piece, level + 1)


_KINDS = {"list_item": "list item", "table": "table", "code_block": "drawing", "fence": "drawing"}


def _cut(some: list[Node], level: int) -> list[list[Node]]:
    """Blocks in pieces: before each heading of a level, between blocks, or between the items of the last of them."""
    if level == _ITEMS:
        *lead, last = some
        if last.type not in ("bullet_list", "ordered_list"):
            return [some]
        first, *more = last.children
        return [[*lead, first], *([item] for item in more)]
    made: list[list[Node]] = [[]]
    for node in some:
        if (level == _BLOCKS or nodes.level_of(node) == level) and not all(map(_leads, made[-1])):
            made.append([])
        made[-1].append(node)
    return made


def _leads(node: Node) -> bool:
    """Whether a block stands for what follows, so that it must not end a part."""
    return node.type == "heading" or (node.type == "paragraph" and nodes.words_of(node.children[0]).endswith(":"))


def _heads(title: str, made: list[list[Node]]) -> list[str]:
    """Of each part, in Markdown: the title, which part it is, and in a line what came before."""
    heads, chapters = [], list[str]()
    for number, some in enumerate(made, 1):
        head = f"# {_short(title)} (part {number} of {len(made)})"
        if number > 1:
            head += f"\n\n*{_before(chapters, within=nodes.level_of(some[0]) != 2)}*"
        heads.append(head)
        chapters += [nodes.words_of(n.children[0]) for n in some if nodes.level_of(n) == 2]
    return heads


def _before(chapters: list[str], *, within: bool) -> str:
    """What earlier parts told, and in which chapter this one goes on."""
    done = chapters[:-1] if within else chapters
    named = [f"“{_short(c)}”" for c in done[-_NAMED:]]
    if len(done) > _NAMED:
        named.insert(0, f"{len(done) - _NAMED} more chapter{'' if len(done) == _NAMED + 1 else 's'}")
    told = f"Before this: {', '.join(named)}." if named else "Before this: the beginning."
    return f"{told} This part goes on with “{_short(chapters[-1])}”." if within and chapters else told


def _short(title: str) -> str:
    """A title that is short enough to stand in a line, as Markdown."""
    if len(title) <= _TITLE:
        return markdown_text(title)
    # To a comma where there is one, so that it still says something; else to a word.
    whole = [end for end in (title.rfind(", ", 0, _TITLE), title.rfind(" ", 0, _TITLE)) if end > _TITLE // 3]
    return markdown_text(f"{title[: whole[0] if whole else _TITLE - 1].rstrip()} …")
