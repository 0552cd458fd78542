"""Markdown as one HTML page that fetches nothing and runs nothing."""

from __future__ import annotations

import re
from itertools import count
from pathlib import Path

from journal.publish.inlays import Inlays
from journal.publish.sandbox import sandbox

#: What may stand in a page.
TAGS = {
    "h1", "h2", "h3", "h4", "p", "ul", "ol", "li", "table", "thead", "tbody", "tr", "th", "td", "em", "strong", "code",
    "pre", "blockquote", "hr", "br",
}  # fmt: skip


def html_page(text: str, own: Path | None, inlays: Inlays, *, one_page: bool = False, contents: bool = False) -> str:
    """Markdown as a page, with its pictures inside.

    Parameters
    ----------
    text : str
        Markdown, its first heading the title.
    own : Path or None
        Folder of templates that stand in for ours of the same name.
    inlays : Inlays
        The pictures that the text has places for, and what it has marks for.
    one_page : bool
        Whether it is set small, to be printed on one page.
    contents : bool
        Whether it begins with its contents, and is set small where it is printed.
    """
    import markdown
    import nh3
    from markupsafe import Markup

    body = nh3.clean(
        markdown.markdown(text, extensions=["tables", "sane_lists"], output_format="html"), tags=TAGS, attributes={}
    )
    # A wide table or diagram is scrolled sideways on a phone; by keyboard that takes a focus.
    body = _TABLE.sub(_with_hint, body).replace("<pre>", '<pre tabindex="0">')
    body = inlays.marks.into(inlays.into(body))
    if contents:
        body = _with_contents(body)
    title = re.sub(
        r"\\(.)", r"\1", next((line[2:] for line in text.splitlines() if line.startswith("# ")), "Build history")
    )
    shell = sandbox(own).get_template("page.html")
    made: str = shell.render(title=Markup(title), body=Markup(body), one_page=one_page, contents=contents)
    return made


_TABLE = re.compile(r"<table>(?=(.*?)</tr>)", re.DOTALL)
#: Columns from which on a table is taken to be wider than a phone.
WIDE = 4


def _with_hint(found: re.Match[str]) -> str:
    """A table that takes a focus; over a wide one it is said, on a narrow screen alone, that it goes on."""
    hint = '<p class="slide">Slide the table sideways: it goes on to the right.</p>\n'
    return f'{hint if found[1].count("<th") - found[1].count("<thead") >= WIDE else ""}<table tabindex="0">'


_CHAPTER = re.compile(r"<h2>(.*?)</h2>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")


def _with_contents(body: str) -> str:
    """A page whose chapters can be led to, with a list of them under its title."""
    chapters = [_TAG.sub("", m[1]) for m in _CHAPTER.finditer(body)]
    numbers = count(1)
    body = _CHAPTER.sub(lambda m: f'<h2 id="chapter-{next(numbers)}">{m[1]}</h2>', body)
    listed = "".join(f'<li><a href="#chapter-{n}">{title}</a></li>' for n, title in enumerate(chapters, 1))
    nav = f'<nav aria-label="Contents"><ul>{listed}</ul></nav>' if listed else ""
    return body.replace("</h1>", f"</h1>\n{nav}", 1)
