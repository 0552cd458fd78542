"""What a template may set into its page beside text: places to be led to, what leads there, and parts that fold.

In Markdown they are nothing, or plain words. In HTML each is a mark in the text while that is cleaned, and becomes what
it is afterwards. A mark holds letters that are drawn anew for every page, so that no text of a record can be one.
"""

from __future__ import annotations

import html
import re
import secrets
import string
from collections.abc import Callable
from typing import Any

from journal.publish.environment import markdown_text

#: What can be led to: a reference, or the number of an assumption or a source.
_PLACE = re.compile(r"[A-Za-z]{1,2}\d{1,9}(?:\.[a-z]?\d{1,6})?")
#: Kinds of parts, each with what begins and what ends it in HTML.
_PARTS = {
    "first": ('<section class="first">', "</section>"),
    "dense": ('<div class="dense">', "</div>"),
    "columns": ('<div class="columns">', "</div>"),
    "pair": ('<div class="pair">', "</div>"),
    "fold": ("<details><summary>{words}</summary>", "</details>"),
}


class Marks:
    """Gives a template its marks, and puts what they stand for into the cleaned page.

    Parameters
    ----------
    live : bool
        Whether the page can be led through at all: HTML can.
    """

    def __init__(self, *, live: bool) -> None:
        self._live = live
        self._name = "GALEBOOKMARK" + "".join(secrets.choice(string.ascii_uppercase) for _ in range(16))
        self._made: list[tuple[Callable[[], str] | str, str]] = []
        self._places: dict[str, None] = {}

    @property
    def names(self) -> dict[str, Any]:
        """What a template calls them."""
        return {"here": self.here, "to": self.to, "opens": self.opens, "closes": self.closes}

    def here(self, place: str) -> Any:
        """The place to which whatever names it leads; of two of one name the first.

        Raises
        ------
        LookupError
            If nothing can be called so.
        """
        if not _PLACE.fullmatch(place):
            raise LookupError(f"{place!r} is no reference")
        known = place in self._places
        self._places[place] = None
        return self._mark(lambda: "" if known else f'<span id="{place}"></span>')

    def to(self, place: str) -> Any:
        """A reference, which leads to its place where the page has it."""
        said = markdown_text(place)
        led = f'<a href="#{place}">{place}</a>'
        return self._mark(lambda: led if place in self._places else html.escape(place), said)

    def opens(self, kind: str, words: str = "") -> Any:
        """The beginning of a part, alone in its paragraph; ``words`` tell what a folded one holds.

        Raises
        ------
        LookupError
            If there is no such kind.
        """
        if kind not in _PARTS:
            raise LookupError(f"there is no part {kind!r}; there are {', '.join(_PARTS)}")
        return self._mark(kind, words)

    def closes(self) -> Any:
        """The end of the part that was begun last, alone in its paragraph."""
        return self._mark("")

    def _mark(self, made: Callable[[], str] | str, said: str = "") -> Any:
        """A mark: what gives the text it stands for, or the kind of part that begins there, empty where one ends."""
        from markupsafe import Markup

        if not self._live:
            return Markup("" if isinstance(made, str) else said)
        self._made.append((made, said))
        return Markup(f"{self._name}{len(self._made) - 1}Z")

    def into(self, body: str) -> str:
        """Put what marks stand for into a cleaned page; each part that was begun ends."""
        open_: list[str] = []

        def alone(match: re.Match[str]) -> str:
            made, words = self._made[int(match[1])]
            if not isinstance(made, str):
                return match[0]
            if made:
                open_.append(made)
                return _PARTS[made][0].format(words=html.escape(words))
            return _PARTS[open_.pop()][1] if open_ else ""

        def within(match: re.Match[str]) -> str:
            made, _ = self._made[int(match[1])]
            return "" if isinstance(made, str) else made()

        body = re.sub(rf"<p>\s*{self._name}(\d+)Z\s*</p>", alone, body)
        body = re.sub(rf"{self._name}(\d+)Z", within, body)
        return body + "".join(_PARTS[kind][1] for kind in reversed(open_))
