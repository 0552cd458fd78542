"""A sheet without axes, in points from its top left corner: boxes, lines, and words of which the width is known."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any

from journal.book.shown import written
from journal.publish.figures.canvas import INK, PIXELS, SIZE, WIDTH, plain

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: Width of the sheet, and the room of a line of words. [points]
WIDE, LINE = 72.0 * WIDTH, 1.25 * SIZE


#: Between a number and its unit no line ends.
_WITH_UNIT = re.compile(r"(?<=\d) (?=[A-Za-zΩ%°]{1,3}\b|rpm|mm)")


@cache
def _advance(letter: str, bold: bool) -> float:
    from matplotlib.font_manager import FontProperties, findfont, get_font
    from matplotlib.ft2font import LoadFlags

    font = get_font(findfont(FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")))
    font.set_size(SIZE, PIXELS)
    # Each picture sets its own size before it draws.
    return float(font.load_char(ord(letter), flags=LoadFlags.NO_HINTING).linearHoriAdvance) / 65536.0 * 72.0 / PIXELS


def width(words: str, *, bold: bool = False) -> float:
    """How wide a line of words is, in points."""
    return sum(_advance(c, bold) for c in words)


def wrapped(words: str, wide: float, *, bold: bool = False, most: int = 4) -> list[str]:
    """Words on as many lines as they need, none wider than it may be; what goes beyond the most lines is cut."""
    lines: list[str] = []
    for word in _WITH_UNIT.sub("\u00a0", plain(written(words), 400)).split(" "):
        while width(word, bold=bold) > wide:
            cut = next(n for n in range(len(word), 0, -1) if n == 1 or width(word[:n], bold=bold) <= wide)
            lines.append(word[:cut])
            word = word[cut:]
            if len(lines) > most:
                break
        if lines and word and width(f"{lines[-1]} {word}", bold=bold) <= wide:
            lines[-1] = f"{lines[-1]} {word}"
        elif word:
            lines.append(word)
    lines = [line.replace("\u00a0", " ") for line in lines]
    if len(lines) <= most:
        return lines
    last = lines[most - 1]
    while last and width(f"{last}…", bold=bold) > wide:
        last = last[:-1].rstrip()
    return [*lines[: most - 1], f"{last}…"]


def _with(how: dict[str, Any], **usual: Any) -> dict[str, Any]:
    """How something is drawn: as usual, but for what is said."""
    return usual | how


class PointSheet:
    """A sheet that is drawn on by points.

    Parameters
    ----------
    height : float
        Height of the sheet. [points]
    """

    def __init__(self, height: float) -> None:
        from matplotlib.figure import Figure

        self.figure: Figure = Figure(figsize=(WIDTH, height / 72.0))
        self.axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.axes.set_xlim(0, WIDE)
        self.axes.set_ylim(height, 0)
        self.axes.axis("off")

    def words(self, x: float, y: float, lines: list[str] | str, *, bold: bool = False, **how: Any) -> float:
        """Lines of words below a height; gives where the next ones can begin."""
        some = [lines] if isinstance(lines, str) else lines
        usual: dict[str, Any] = {"ha": "left", "va": "baseline", "color": INK, "weight": "bold" if bold else "normal"}
        for line in some:
            self.axes.text(x, y + 0.95 * SIZE, written(line), fontsize=SIZE, **(usual | how))
            y += LINE
        return y

    def line(self, *points: tuple[float, float], **how: Any) -> None:
        """A line through some points."""
        self.axes.plot(*zip(*points, strict=True), **_with(how, color=INK, linewidth=1.8))

    def box(self, x: float, y: float, wide: float, high: float, **how: Any) -> None:
        """A box by its upper left corner."""
        from matplotlib.patches import Rectangle

        usual = _with(how, facecolor="white", edgecolor=INK, linewidth=1.8, zorder=3)
        self.axes.add_patch(Rectangle((x, y), wide, high, **usual))

    def circle(self, x: float, y: float, radius: float, **how: Any) -> None:
        """A circle by its middle."""
        from matplotlib.patches import Circle

        usual = _with(how, facecolor="white", edgecolor=INK, linewidth=1.8, zorder=3)
        self.axes.add_patch(Circle((x, y), radius, **usual))

    def area(self, *points: tuple[float, float], **how: Any) -> None:
        """A filled outline."""
        self.axes.fill(*zip(*points, strict=True), **_with(how, facecolor=INK, edgecolor=INK, linewidth=1.0))

    def arrow(self, x: float, y: float, to: float, **how: Any) -> None:
        """An arrow straight down."""
        self.line((x, y), (x, to - 4.0), **how)
        self.axes.plot(x, to - 4.0, "v", color=INK, markersize=8, zorder=4)
