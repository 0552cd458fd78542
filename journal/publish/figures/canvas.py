"""What all pictures share: size, style, fonts, and how a figure becomes SVG and PNG, the same bytes every time."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache, cached_property
from html import escape
from typing import TYPE_CHECKING, Any

from calc.units import as_written, digits
from journal.book.shown import METRIC, head_told, in_units, number_told, system, unit_scale, written

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis
    from matplotlib.figure import Figure
    from matplotlib.text import Text

#: Width in inches and pixels for each, and the size of every letter: 11 pixels where a telephone makes it 360 wide.
WIDTH, PIXELS, SIZE = 7.2, 100, 16
INK, SOFT, FAINT = "#1c1c1c", "#5a5a5a", "#c9c9c9"
#: Dark, middle and light, so that they differ in grey as well as in colour: navy, ochre, mist.
DARK, MIDDLE, LIGHT = "#16365c", "#c07a12", "#b9cbd9"
#: Tints of dark and middle that lie under lines, and the darker ones that lie on those.
UNDER_DARK, ON_DARK, UNDER_MIDDLE, ON_MIDDLE = "#dde6ee", "#9db5ca", "#f6e6cb", "#e3b977"
#: Lines of the newest thing shown and of those before it.
DASHES: tuple[Any, ...] = ("solid", (0, (5, 2)), (0, (1, 1.5)))

_STYLE: Any = {
    "font.family": "DejaVu Sans",
    "font.size": SIZE,
    "axes.titlesize": SIZE,
    "axes.labelsize": SIZE,
    "xtick.labelsize": SIZE,
    "ytick.labelsize": SIZE,
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "hatch.linewidth": 0.8,
    "lines.linewidth": 2.2,
    "lines.solid_capstyle": "round",
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "text.color": INK,
    # What builders write holds dollar signs that are no formulas.
    "text.parse_math": False,
    "svg.fonttype": "path",
    "svg.hashsalt": "galebook",
    "figure.facecolor": "white",
    "path.simplify_threshold": 0.2,
}


@dataclass(frozen=True)
class Picture:
    """One picture for a write-up; drawn when its bytes are first asked for.

    Parameters
    ----------
    name : str
        File name without its ending, such as ``torque-r2``.
    title : str
        Caption.
    alt : str
        What it shows, with its numbers, for those who cannot see it.
    draw : callable
        Makes the figure.
    """

    name: str
    title: str
    alt: str
    draw: Callable[[], Figure] = field(repr=False, compare=False)

    def __post_init__(self) -> None:
        """Its words are in the units of the build, in the letters of people, whatever they are shown in."""
        for name in ("title", "alt"):
            object.__setattr__(self, name, written(getattr(self, name)))

    @cached_property
    def svg(self) -> str:
        """As SVG that refers to nothing outside itself."""
        out = io.BytesIO()
        with _styled():
            _drawn(self.draw).savefig(out, format="svg", metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")))
        return _lean(out.getvalue().decode(), self.title, self.alt)

    @cached_property
    def png(self) -> bytes:
        """As PNG, 720 pixels wide."""
        out = io.BytesIO()
        with _styled():
            _drawn(self.draw).savefig(out, format="png", dpi=PIXELS, metadata={"Software": None})
        return out.getvalue()

    @property
    def slender(self) -> float:
        """Its height over its width."""
        _, _, wide, high = re.findall(r'viewBox="([^"]+)"', self.svg)[0].split()
        return float(high) / float(wide)

    def filling(self, pixels: int) -> str:
        """The SVG so many pixels wide, to be looked at alone."""
        size = f'width="{pixels}" height="{pixels * self.slender:.0f}"'
        return re.sub(r'width="[^"]+"', lambda _: size, re.sub(r' height="[^"]+"', "", self.svg, count=1), count=1)

    @property
    def uri(self) -> str:
        """The SVG as a data URI, for the ``src`` of an image in a page that fetches nothing."""
        return "data:image/svg+xml;base64," + base64.b64encode(self.svg.encode()).decode()


@contextmanager
def _styled() -> Iterator[None]:
    import matplotlib

    with matplotlib.rc_context():
        # What a reader has set for pictures of their own must not change these.
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_STYLE)
        yield


def _drawn(draw: Callable[[], Figure]) -> Figure:
    """A figure in the units of the build: its words, and the numbers along its axes."""
    figure = draw()
    if system() != METRIC:
        _told(figure)
    layout = figure.get_layout_engine()
    if layout is not None:
        # Left to itself it would have everything drawn once more, only to be measured.
        layout.execute(figure)
        figure.set_layout_engine("none")
    return figure


def _told(figure: Figure) -> None:
    """Every word of a figure, and the numbers along its axes, in the units of the build."""
    from matplotlib.text import Annotation

    for axes in figure.axes:
        _axis_told(axes.xaxis, axes.xaxis.label)
        for words in (axes.yaxis.label, axes.title, axes._left_title):  # type: ignore[attr-defined]
            _axis_told(axes.yaxis, words)
        for text in (*axes.texts, *axes.findobj(Annotation)):
            text.set_text(in_units(text.get_text()))


def _axis_told(axis: Axis, words: Text) -> None:
    """Name the unit of the build along an axis, and set its marks at round numbers of that."""
    told, unit = head_told(words.get_text())
    if not unit:
        return
    from matplotlib.ticker import FixedLocator, MaxNLocator

    words.set_text(told)
    if isinstance(axis.get_major_locator(), FixedLocator):
        labels = [number_told(label.get_text(), unit) for label in axis.get_ticklabels()]
        axis.set_ticks(axis.get_majorticklocs(), labels)
        return
    low, high = axis.get_view_interval()
    size = unit_scale(unit)
    marks = MaxNLocator(nbins=8, steps=[1, 2, 2.5, 5, 10]).tick_values(low * size, high * size)
    inside = [mark for mark in marks if low * size <= mark <= high * size * (1 + 1e-9)]
    axis.set_ticks([mark / size for mark in inside], [digits(mark) for mark in inside])


_NUMBER = re.compile(r"-?\d+\.\d{3,}")


def _lean(svg: str, title: str, alt: str) -> str:
    """Without doctype and comments, coordinates to a hundredth of a point, with title and description."""
    svg = re.sub(r"<!--.*?-->\s*|<!DOCTYPE.*?>\s*|<metadata>.*?</metadata>\s*", "", svg, flags=re.DOTALL)
    head, body = svg.split("<defs>", 1)
    body = re.sub(r'(?<= d=")[^"]+', lambda m: _NUMBER.sub(_rounded, " ".join(m[0].split())), body)
    body = re.sub(r'(?<=[ "](?:x|y)=")[^"]+', lambda m: _NUMBER.sub(_rounded, m[0]), body)
    body = body.replace("DejaVuSans-Bold-", "b").replace("DejaVuSans-", "g")
    body = re.sub(r"(?<=translate\()[^)]+", lambda m: _NUMBER.sub(_rounded, m[0]), body)
    head = head.replace("<svg ", '<svg role="img" ', 1).rstrip()
    return f"{head}\n <title>{escape(title)}</title>\n <desc>{escape(alt)}</desc>\n <defs>{body}"


def _rounded(number: re.Match[str]) -> str:
    return f"{float(number[0]):.2f}".rstrip("0").rstrip(".")


def sheet(height: float, rows: int = 1, **how: Any) -> tuple[Figure, list[Axes]]:
    """A figure of our width with axes one below the other."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH, height))
    figure.set_layout_engine("constrained", w_pad=0.12, h_pad=0.08)
    axes = figure.subplots(rows, 1, squeeze=False, **how)
    return figure, list(axes[:, 0])


def label(axes: Axes, x: float, y: float, text: str, **how: Any) -> Any:
    """Text beside a thing, with a white edge so that lines do not run through it."""
    from matplotlib.patheffects import withStroke

    usual: dict[str, Any] = {
        "va": "center",
        "ha": "left",
        "color": INK,
        "xytext": (0, 0),
        "textcoords": "offset points",
    }
    made = axes.annotate(plain(text), (x, y), **(usual | how))
    made.set_path_effects([withStroke(linewidth=3, foreground="white")])
    return made


@cache
def _known() -> frozenset[int]:
    from matplotlib.font_manager import findfont, get_font

    return frozenset(get_font(findfont("DejaVu Sans")).get_charmap())


def plain(text: str, longest: int = 40) -> str:
    """A text as our font can write it, on one short line; what it cannot write becomes a question mark."""
    text = "".join(c if c.isprintable() and ord(c) in _known() else "?" for c in " ".join(as_written(text).split()))
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "…"


def spread(places: list[float], apart: float, low: float, high: float) -> list[float]:
    """Places for labels as near as can be to where they belong, in the same order, at least so far apart."""
    order = sorted(range(len(places)), key=lambda i: places[i])
    found = [min(max(places[i], low), high) for i in order]
    apart = min(apart, (high - low) / max(len(found) - 1, 1))
    for _ in range(100):
        for i in range(1, len(found)):
            lack = apart - (found[i] - found[i - 1])
            if lack > 0:
                found[i - 1], found[i] = found[i - 1] - lack / 2, found[i] + lack / 2
        found[0], found[-1] = max(found[0], low), min(found[-1], high)
    for i in range(1, len(found)):
        found[i] = max(found[i], found[i - 1] + apart)
    back = dict(zip(order, found, strict=True))
    return [back[i] for i in range(len(places))]
