"""The build history rendered for a reader: gathered, redacted, put into words by a template, and into a page."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from journal.publish import environment, gate, redact
from journal.publish.finds import Find
from journal.publish.forms import SPELT, nodes, pictures, posted
from journal.publish.forms.pictures import Placed
from journal.publish.inlays import Inlays
from journal.publish.page import html_page
from journal.publish.readers import READERS
from journal.publish.redact import Redacted
from journal.publish.saving import Made
from journal.publish.story import Tale

#: What a page has only where it is asked for; a template sees of each whether it is.
EXTRAS = ("appendix",)


@dataclass(frozen=True, slots=True)
class Posting:
    """What is asked for of a page that is to be pasted, or carried somewhere.

    Parameters
    ----------
    own : Path, optional
        As for :func:`render`.
    include, passed : frozenset of str
        As for :func:`render`.
    folder : str, optional
        Folder beside the text in which its pictures are to lie; without one they are only named.
    limit : int, optional
        Characters that a part may have.
    linked : bool
        Whether Markdown in one piece sets its pictures in from that folder, rather than naming each in its place.
    extra : frozenset of str
        Which of :data:`EXTRAS` are let in.
    """

    own: Path | None = None
    include: frozenset[str] = frozenset()
    passed: frozenset[str] = frozenset()
    folder: str | None = None
    limit: int | None = None
    linked: bool = False
    extra: frozenset[str] = frozenset()


def render(
    tale: Tale,
    reader: str,
    form: str,
    own: Path | None = None,
    include: frozenset[str] = frozenset(),
    folder: str | None = None,
    passed: frozenset[str] = frozenset(),
    extra: frozenset[str] = frozenset(),
) -> Made:
    """Render the tale of a build for a reader, as one text.

    Parameters
    ----------
    tale : Tale
        What :func:`journal.publish.story.tell` gathered.
    reader : str
        Who reads it: one of :data:`journal.publish.readers.READERS`.
    form : str
        One of :data:`journal.publish.forms.FORMS`, or another spelling of it: Markdown with links to its pictures, one
        self-contained HTML page, or what :func:`posts` makes.
    own : Path, optional
        Folder of templates that stand in for ours of the same name.
    include : frozenset of str
        Which of :data:`journal.publish.private.PRIVATE` are let in.
    folder : str, optional
        Folder in which the pictures of a Markdown file lie, as it names it; without one it has none.
    passed : frozenset of str
        By their :attr:`journal.publish.finds.Find.key`, words that only looked private and may be told.
    extra : frozenset of str
        Which of :data:`EXTRAS` are let in.

    Raises
    ------
    Refused
        If something private would stand in the page or a picture all the same.
    BadInput
        If a template cannot be used, with its file and line.
    """
    form = SPELT.get(form, form)
    if form not in ("markdown", "html"):
        return posts(tale, reader, [form], Posting(own, include, passed, folder))[0]
    who = READERS[reader]
    told = redact.for_reader(tale, who.shows | include, passed)
    at = folder and _folder(told, reader, folder)
    return _html(told, reader, own, extra) if form == "html" else _page(told, reader, own, at, extra)[0]


def posts(tale: Tale, reader: str, forms: Sequence[str], asked: Posting) -> list[Made]:
    """Render the tale of a build to be pasted somewhere, in several forms at once.

    Every picture has a number, and in the text a place that names it.

    Raises
    ------
    Refused, BadInput
        As :func:`render`; and if the limit is too little for something that is never cut.
    """
    told = redact.for_reader(tale, READERS[reader].shows | asked.include, asked.passed)
    folder = _folder(told, reader, asked.folder or f"{reader}-upload")
    made: list[Made] = []
    if set(forms) != {"html"}:
        page, inlays = _page(told, reader, asked.own, folder, asked.extra, drawn=asked.folder is not None)
        found = pictures.placed(page.text, folder, inlays.files)
        made = [_post(page, form, found, told, asked) for form in forms if form != "html"]
    if "html" in forms:
        made.insert(list(forms).index("html"), _html(told, reader, asked.own, asked.extra))
    return made


def _page(
    told: Redacted, reader: str, own: Path | None, folder: str | None, extra: frozenset[str], *, drawn: bool = True
) -> tuple[Made, Inlays]:
    """The page in Markdown, looked through."""
    inlays = Inlays(told, READERS[reader], "md", folder, drawn=drawn)
    text, more = _markdown(told, reader, own, inlays, extra)
    _look_at(inlays, told)
    return Made(text, told.left_out, inlays.files, inlays.folder or "", (*told.finds, *more), told.suspects), inlays


def _html(told: Redacted, reader: str, own: Path | None, extra: frozenset[str]) -> Made:
    """The page as HTML, looked through."""
    who = READERS[reader]
    inlays = Inlays(told, who, "html", None)
    text, more = _markdown(told, reader, own, inlays, extra)
    with environment.errors_told(own):
        text = html_page(text, own, inlays, one_page=who.one_page, contents=who.contents)
    gate.page(text, told.scrub)
    _look_at(inlays, told)
    return Made(text, told.left_out, inlays.files, "", (*told.finds, *more), told.suspects, form="html")


def _markdown(
    told: Redacted, reader: str, own: Path | None, inlays: Inlays, extra: frozenset[str]
) -> tuple[str, list[Find]]:
    with environment.errors_told(own):
        templates = environment.for_markdown(own)
        templates.globals.update(picture=inlays.picture, photo=inlays.photo, **inlays.marks.names)
        template = templates.get_template(f"{reader}.md")
        names = READERS[reader].names(told) | {name: name in extra for name in EXTRAS}
        text = template.render(story=told.story, build=told.story.build, shown=told.shown, **names)
        return gate.markdown(re.sub(r"\n{3,}", "\n\n", text).strip() + "\n", told.scrub)


def _look_at(inlays: Inlays, told: Redacted) -> None:
    for name, data in inlays.files.items():
        gate.picture(data, name, told.scrub)


def _post(page: Made, form: str, found: list[Placed], told: Redacted, asked: Posting) -> Made:
    """The page in one form, its pictures under their numbered names, looked through as it is now."""
    source = pictures.with_places(page.text, found)
    if asked.linked and form == "markdown" and asked.limit is None:
        source = pictures.with_links(page.text, found, page.folder)
    parts = tuple(posted(source, form, asked.limit))
    gate.post(parts, nodes.pieces(nodes.parse(source)), told.scrub)
    return replace(
        page,
        text="\n".join(parts),
        files={p.name: page.files[p.was] for p in found},
        form=form,
        parts=parts if asked.limit else (),
        pictures=tuple(pictures.in_parts(found, parts) if len(parts) > 1 else found),
    )


def _folder(told: Redacted, reader: str, folder: str) -> str:
    """The folder as it may be named in the text: the name of the file that is written is the builder's word too."""
    return folder if told.scrub(folder) == folder else f"{reader}-pictures"
