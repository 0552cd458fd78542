"""Pictures and photos set into a write-up: files beside Markdown, or inside one HTML page."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

from journal.book.tables import Attachment
from journal.errors import BadInput
from journal.publish import figures, photos
from journal.publish.figures import Picture
from journal.publish.story import Story

_TOKEN = re.compile(r"<p>\s*GALEBOOKINLAY(\d+)\s*</p>")


class Inlays:
    """Gives templates their pictures, and keeps what must be written beside the text.

    Parameters
    ----------
    tale : Story
        Whose pictures.
    reader, form : str
        As for :func:`journal.publish.writeup.render`.
    folder : str or None
        Folder beside a Markdown file in which its pictures lie; None where there is no place for any.
    escape : callable
        How a text is made harmless for Markdown.
    """

    def __init__(self, tale: Story, reader: str, form: str, folder: str | None, escape: Callable[[Any], str]) -> None:
        self.tale = tale
        self.form = form
        self.folder = folder
        self.escape = escape
        self.files: dict[str, bytes] = {}
        self._pictures = {p.name: p for p in figures.pictures(tale, reader)} if form == "html" or folder else {}
        self._places: list[str] = []

    def picture(self, name: str) -> Any:
        """One picture by name, or by the beginning of its name all of them; nothing if there is none."""
        from markupsafe import Markup

        found = [p for key, p in self._pictures.items() if key == name or key.startswith(f"{name}-")]
        return Markup("\n\n").join(self._set(p) for p in found)

    def _set(self, p: Picture) -> Any:
        from markupsafe import Markup

        if self.form == "html":
            return self._place(p.uri, p.alt, p.title)
        self.files[f"{p.name}.png"] = p.png
        return Markup(f"![{self.escape(p.alt)}]({self.folder}/{p.name}.png)")

    def photo(self, a: Attachment) -> Any:
        """One attached photo; for any other file its name, and nothing for a private one."""
        from markupsafe import Markup

        if a.private:
            return Markup("")
        caption = a.caption or ""
        named = Markup(f"File {a.ref}: {self.escape(a.filename)}{f' ({self.escape(caption)})' if caption else ''}.")
        if not a.media_type.startswith("image/") or (self.form == "md" and self.folder is None):
            return named
        try:
            shot = photos.publish(a, self.tale.stored[a.ref])
            if self.form == "html":
                return self._place(photos.data_uri(shot), caption or f"Photo {a.ref}", caption)
        except (BadInput, OSError):
            # A picture that cannot be opened is named like any other file.
            return named
        self.files[shot.name] = shot.data
        return Markup(f"![{self.escape(caption or a.ref)}]({self.folder}/{shot.name})")

    def _place(self, uri: str, alt: str, caption: str) -> Any:
        from markupsafe import Markup

        words = f"<figcaption>{html.escape(caption)}</figcaption>" if caption else ""
        self._places.append(f'<figure><img src="{uri}" alt="{html.escape(alt)}">{words}</figure>')
        return Markup(f"GALEBOOKINLAY{len(self._places) - 1}")

    def into(self, body: str) -> str:
        """Set pictures into the cleaned HTML, where their places are."""
        return _TOKEN.sub(lambda m: self._places[int(m[1])] if int(m[1]) < len(self._places) else "", body)
