"""Forms in which a page is posted: a register of them, and a page in one of them, in parts where that is asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.publish.forms import bbcode, markdown, text
from journal.publish.forms.parts import SHORTEST, parts

if TYPE_CHECKING:
    from journal.publish.forms.nodes import Node

__all__ = ["FORMS", "SHORTEST", "SPELT", "PageForm", "posted"]


@dataclass(frozen=True, slots=True)
class PageForm:
    """A form in which a page is written.

    Parameters
    ----------
    ending : str
        How its file is called behind the name of the reader.
    where : str
        For whom it is, in words.
    page : callable or None
        Blocks in this form, of these and the lines of their source; None where a page is never posted in it.
    """

    ending: str
    where: str
    page: Callable[[list[Node], list[str]], str] | None = None


#: Every form by name.
FORMS: dict[str, PageForm] = {
    "markdown": PageForm(".md", "for boards that know Markdown", markdown.page),
    "html": PageForm(".html", "a page with its pictures inside, to open, print or send"),
    "bbcode": PageForm("-bbcode.txt", "for boards with tags in square brackets", bbcode.page),
    "text": PageForm(".txt", "for mail, and for boxes that know nothing else", text.page),
}
#: What is understood besides.
SPELT = {"md": "markdown"}


def posted(source: str, form: str, limit: int | None) -> list[str]:
    """A page in Markdown in a form, in parts of at most so many characters; in one piece without a limit.

    Raises
    ------
    BadInput
        As :func:`journal.publish.forms.parts.parts`.
    """
    page = FORMS[form].page
    if page is None:
        return [source]
    return [made.rstrip() + "\n" for made in parts(source, page, limit or 1 << 60)]
