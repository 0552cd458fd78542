"""What was found in the texts of a story that is private, or looks so, and how that is told to the builder."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from journal.publish import private
from journal.publish.words import letters

#: Letters of a find that are shown, and how many of a kind are listed unless all are asked for.
SHOWN, LISTED = 60, 10


@dataclass(frozen=True, slots=True)
class Find:
    """One place in the journal, or on a page, where something private stands, or looks as if it did.

    Parameters
    ----------
    what : str
        One of :data:`journal.publish.private.KINDS`; or, where nobody marked it private, what it looks like.
    where : str
        The record and its field, such as ``A3, saw``.
    line : int
        The line in it, from one.
    words : str
        As it stands there.
    certain : bool
        Whether it is the very thing, in whatever way it is written; else it is only like it.
    """

    what: str
    where: str
    line: int
    words: str
    certain: bool = True

    @property
    def key(self) -> str:
        """What the same words have in common wherever they stand."""
        return letters(self.words).text

    @property
    def said(self) -> str:
        """Words and place, on one line."""
        words = " ".join(self.words.split())
        words = words if len(words) <= SHOWN else f"{words[: SHOWN - 1]}…"
        return f"“{words}” ({self.where}{f', line {self.line}' if self.line > 1 else ''})"


def told(finds: Iterable[Find], *, every: bool = False) -> list[str]:
    """Finds as lines, by kind."""
    lines: list[str] = []
    by_kind: dict[str, list[Find]] = {}
    for find in finds:
        by_kind.setdefault(find.what, []).append(find)
    for kind, found in by_kind.items():
        shown = found if every else found[:LISTED]
        lines.append(f"{private.KINDS.get(kind, kind)}:")
        lines += [f"  {f.said}{'' if f.certain else ', like it only'}" for f in shown]
        if len(shown) < len(found):
            lines.append(f"  and {len(found) - len(shown)} more; see all with --try")
    return lines
