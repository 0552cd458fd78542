"""Pictures and photos set into a write-up: files beside Markdown, or inside one HTML page."""

from __future__ import annotations

import html
import re
from typing import Any

from calc.finding import first_sentence
from journal.book.plain_text import harmless
from journal.book.tables import Attachment
from journal.errors import BadInput
from journal.publish import figures, photos
from journal.publish.environment import markdown_text
from journal.publish.figures import Picture
from journal.publish.marks import Marks
from journal.publish.readers import Reader
from journal.publish.redact import Redacted
from journal.publish.telling import brief, words_in

_TOKEN = re.compile(r"<p>\s*GALEBOOKINLAY(\d+)\s*</p>")


def _named(filename: str, caption: str) -> str:
    """A file in words: its name where it may be told, and what it shows."""
    told = [markdown_text(text) for text in (filename, caption) if text]
    return f": {told[0]} ({told[1]})" if len(told) > 1 else f": {told[0]}" if told else ""


def _as_far(alt: str, most: int) -> str:
    """The first sentences of what a picture shows, the first of them whole however long it is."""
    first = first_sentence(alt)
    return first if words_in(first) >= most else brief(alt, most)


#: What a picture is called in the page's style that is so many times as high as wide: on paper it may be higher than
#: others, lest its letters become too small.
_TALL = (("tallest", 2.4), ("tall", 1.6))


class Inlays:
    """Gives templates their pictures, and keeps what must be written beside the text.

    Parameters
    ----------
    told : Redacted
        Whose pictures.
    reader : Reader
        Which of them, and of which revision.
    form : str
        As for :func:`journal.publish.writeup.render`.
    folder : str or None
        Folder beside a Markdown file in which its pictures lie; None where there is no place for any.
    drawn : bool
        Whether its files are drawn; where they are only named, that can be spared.
    """

    def __init__(self, told: Redacted, reader: Reader, form: str, folder: str | None, *, drawn: bool = True) -> None:
        self._told = told
        self._reader = reader
        self._form = form
        self.folder = folder
        self._drawn = drawn
        #: What else may be set into the page.
        self.marks = Marks(live=form == "html")
        self._made: dict[str, list[Picture]] = {}
        self._places: list[str] = []
        self._alts: dict[str, str] = {}
        self.files: dict[str, bytes] = {}

    def picture(self, name: str, most: int | None = None) -> Any:
        """One picture by name, or by the beginning of its name all of them; nothing if this machine has none.

        What it shows is told in whole sentences of at most so many words, where that is asked for.

        Raises
        ------
        LookupError
            If no picture is called so.
        """
        from markupsafe import Markup

        return Markup("\n\n").join(self._set(p, _as_far(p.alt, most) if most else p.alt) for p in self._named(name))

    def _named(self, name: str) -> list[Picture]:
        entry = self._entry(name)
        if (self._form != "html" and not self.folder) or not self._reader.pictures(entry):
            return []
        # A whole entry may hold the pictures of the newest machine alone.
        known = self._of(name, self._made.get(entry, []))
        if not known and name not in self._made:
            about = name.removeprefix(entry).removeprefix("-").partition("-")[0]
            self._made[name] = figures.pictures_named(
                self._told, entry, built_only=self._reader.built_only, about=about
            )
        return known or self._of(name, self._made[name])

    @staticmethod
    def _of(name: str, some: list[Picture]) -> list[Picture]:
        return [p for p in some if p.name == name or p.name.startswith(f"{name}-")]

    def _entry(self, name: str) -> str:
        for entry in figures.FIGURES:
            chapters = self._told.story.chapters
            about = [c.revision.ref for c in chapters] + [f.failure.ref for c in chapters for f in c.failed]
            about += [t.attempt.ref for c in chapters for t in c.tried]
            if (
                name == entry
                or name in {f"{entry}-{ref}" for ref in about}
                or name.startswith(tuple(f"{entry}-{ref}-" for ref in about))
            ):
                return entry
        known = ", ".join(figures.FIGURES)
        raise LookupError(f"there is no picture called {name!r}; there are {known}, and some of a revision: torque-r1")

    def _set(self, p: Picture, alt: str) -> Any:
        from markupsafe import Markup

        # What goes by two texts could not be found again in the page.
        alt = self._alts.setdefault(p.name, alt)
        if self._form == "html":
            return self._place(p.uri, alt, p.title, next((n for n, over in _TALL if p.slender > over), ""))
        self.files[f"{p.name}.png"] = p.png if self._drawn else b""
        return Markup(f"![{markdown_text(alt)}]({self.folder}/{p.name}.png)")

    def photo(self, a: Attachment) -> Any:
        """One attached photo; for any other file its reference and caption, and nothing for a private one."""
        from markupsafe import Markup

        if a.private:
            return Markup("")
        caption = a.caption or ""
        named = f"File {a.ref}{_named(a.filename, caption)}."
        kept = self._told.photos.get(a.ref)
        if kept is None or not a.media_type.startswith("image/") or (self._form == "md" and self.folder is None):
            return Markup(named)
        try:
            shot = photos.publish(a, kept)
            if self._form == "html":
                return self._place(photos.data_uri(shot), caption or f"Photo {a.ref}", caption)
        except (BadInput, OSError):
            # A picture that cannot be opened is named like any other file.
            return Markup(named)
        self.files[shot.name] = shot.data
        return Markup(f"![{markdown_text(caption or a.ref)}]({self.folder}/{shot.name})")

    def _place(self, uri: str, alt: str, caption: str, kind: str = "") -> Any:
        from markupsafe import Markup

        alt, caption = harmless(alt), harmless(caption)
        words = f"<figcaption>{html.escape(caption)}</figcaption>" if caption else ""
        of = f' class="{kind}"' if kind else ""
        self._places.append(f'<figure{of}><img src="{uri}" alt="{html.escape(alt)}">{words}</figure>')
        return Markup(f"GALEBOOKINLAY{len(self._places) - 1}")

    def into(self, body: str) -> str:
        """Set pictures into the cleaned HTML, where their places are."""
        return _TOKEN.sub(lambda m: self._places[int(m[1])] if int(m[1]) < len(self._places) else "", body)
