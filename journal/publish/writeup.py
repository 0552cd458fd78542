"""The build history rendered for a reader: gathered, redacted, put into words by a template, and into a page."""

from __future__ import annotations

import re
from pathlib import Path

from journal.publish import environment, gate, redact
from journal.publish.inlays import Inlays
from journal.publish.page import html_page
from journal.publish.readers import READERS
from journal.publish.saving import Made
from journal.publish.story import Tale

FORMS = ("md", "html")


def render(
    tale: Tale,
    reader: str,
    form: str,
    own: Path | None = None,
    include: frozenset[str] = frozenset(),
    folder: str | None = None,
    passed: frozenset[str] = frozenset(),
) -> Made:
    """Render the tale of a build for a reader.

    Parameters
    ----------
    tale : Tale
        What :func:`journal.publish.story.tell` gathered.
    reader : str
        Who reads it: one of :data:`journal.publish.readers.READERS`.
    form : {"md", "html"}
        Markdown, or one self-contained HTML page.
    own : Path, optional
        Folder of templates that stand in for ours of the same name.
    include : frozenset of str
        Which of :data:`journal.publish.private.PRIVATE` are let in.
    folder : str, optional
        Folder in which the pictures of a Markdown file lie, as it names it; without one it has none.
    passed : frozenset of str
        By their :attr:`journal.publish.finds.Find.key`, words that only looked private and may be told.

    Raises
    ------
    Refused
        If something private would stand in the page or a picture all the same.
    BadInput
        If a template cannot be used, with its file and line.
    """
    who = READERS[reader]
    told = redact.for_reader(tale, who.shows | include, passed)
    inlays = Inlays(told, who, form, _folder(told, reader, folder) if form == "md" else None)
    with environment.errors_told(own):
        templates = environment.for_markdown(own)
        templates.globals.update(picture=inlays.picture, photo=inlays.photo)
        template = templates.get_template(f"{reader}.md")
        text = template.render(story=told.story, build=told.story.build, shown=told.shown, **who.names(told))
        text, more = gate.markdown(re.sub(r"\n{3,}", "\n\n", text).strip() + "\n", told.scrub)
        if form == "html":
            text = html_page(text, own, inlays, one_page=who.one_page)
            gate.page(text, told.scrub)
    for name, data in inlays.files.items():
        gate.picture(data, name, told.scrub)
    return Made(text, told.left_out, inlays.files, inlays.folder or "", (*told.finds, *more), told.suspects)


def _folder(told: redact.Redacted, reader: str, folder: str | None) -> str | None:
    """The folder as it may be named in the text: the name of the file that is written is the builder's word too."""
    return folder if folder is None or told.scrub(folder) == folder else f"{reader}-pictures"
