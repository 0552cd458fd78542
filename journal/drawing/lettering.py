"""Lines and words of a drawing that is told from above to below, and the dangers that were met on it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from calc.finding import Status
from journal.book.plain_text import harmless
from journal.book.shown import written
from journal.drawing import symbols
from journal.drawing.letters import width_of, wrapped
from journal.drawing.model import Line, Part, Pen, Point, Words, box
from journal.review.wired import Hung, Weak

#: Heights of letters [mm]: of names and of facts; and what a line of facts takes.
NAME, FACT, LEAD = 2.3, 2.0, 3.1
#: The space between a number and its unit, and what holds them together while a text is folded.
_WITH_UNIT, _HELD = re.compile(r"(?<=\d) (?=[^\W\d]|%)"), "\0"


@dataclass
class Slate:
    """What has been drawn, and the dangers that were met, in order."""

    parts: list[Part] = field(default_factory=list)
    dangers: list[Weak] = field(default_factory=list)

    def line(self, *points: Point, pen: Pen = Pen.THIN) -> None:
        """A line through some points."""
        self.parts.append(Line(points, pen=pen))

    def words(self, at: Point, text: str, height: float = FACT) -> None:
        """One line of words."""
        self.parts.append(Words(at, text, height))

    def paragraph(self, at: Point, text: str, wide: float, height: float = FACT) -> float:
        """A text folded to a width, its first line below a place; where it ends."""
        x, y = at
        for line in fold(text, wide, height):
            y -= LEAD * height / FACT
            self.words((x, y), line, height)
        return y

    def told(self, at: Point, h: Hung, wide: float) -> float:
        """Name, facts and weak spots of a device below a place; where they end."""
        x, y = at
        y = self.paragraph((x, y), h.name, wide, NAME)
        if h.facts:
            y = self.paragraph((x, y), ", ".join(h.facts), wide)
        for weak in h.weak:
            y = self._weak((x, y), weak, wide)
        return self.paragraph((x, y), f"and {h.more} more", wide) if h.more else y

    def _weak(self, at: Point, weak: Weak, wide: float) -> float:
        x, y = at
        if weak.status is Status.DANGER:
            if weak not in self.dangers:
                self.dangers.append(weak)
            y -= 0.6
            self.parts += symbols.warning((x + 2.5, y - 5.4), 4.6)
            end = self.paragraph((x + 6.0, y - 0.6), f"DANGER {self.dangers.index(weak) + 1}: {weak.title}", wide - 8.0)
            end = min(end - 1.2, y - 6.2)
            self.parts.append(box(x - 1.0, end, wide, y - 0.6 - end, Pen.CUT))
            return end - 0.6
        if weak.status is Status.MARGINAL and not weak.over:
            return y
        head = "FAILS: " if weak.status is Status.FAIL else ""
        return self.paragraph((x, y), f"{head}{weak.title}" if head else weak.words.capitalize(), wide)


def fold(text: str, wide: float, height: float) -> list[str]:
    """A text, in the units and letters of people, as lines that fit a width; no number is parted from its unit."""
    told = _WITH_UNIT.sub(_HELD, written(harmless(text)))
    lines: list[str] = []
    for line in wrapped(told, wide, height):
        while width_of(line, height) > wide:
            cut = next(n for n in range(len(line), 0, -1) if n == 1 or width_of(line[:n], height) <= wide)
            lines.append(line[:cut])
            line = line[cut:]
        lines.append(line)
    return [line.replace(_HELD, " ") for line in lines]
