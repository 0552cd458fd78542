"""A drawn picture read back: its words and where they stand, its lines and marks in the units of its axes."""

from functools import cached_property

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.patches import Polygon, Rectangle
from matplotlib.text import Annotation, Text

from journal.publish.figures import canvas


class Seen:
    """What somebody sees who looks at a picture with a ruler."""

    def __init__(self, picture):
        with canvas._styled():
            self.figure = picture.draw()
            self.figure.draw_without_rendering()
        self.all_axes = self.figure.axes
        self.axes = self.all_axes[0]

    @cached_property
    def texts(self):
        """Every word that is seen: what it says, and the box around it in pixels."""
        renderer, found = self.figure._get_renderer(), []
        outside = {t for axes in self.all_axes for t in self._beyond(axes)}
        for text in self.figure.findobj(Text):
            if text.get_text().strip() and text.get_visible() and text not in outside:
                found.append((text.get_text(), Text.get_window_extent(text, renderer)))
        return found

    @staticmethod
    def _beyond(axes):
        """Words of ticks that lie past the ends of their axis, which are not drawn."""
        for axis, (low, high) in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
            for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
                if not min(low, high) <= tick.get_loc() <= max(low, high):
                    yield from (tick.label1, tick.label2)

    def word(self, text, axes=None):
        """The one text that says this, as drawn."""
        (found,) = [t for t in (axes or self.axes).texts if t.get_text() == text]
        return found

    def box(self, text):
        """Where a text stands, in the units of the axes: left, bottom, right, top."""
        (box,) = [b for said, b in self.texts if said == text]
        ((left, bottom), (right, top)) = self.axes.transData.inverted().transform(box.get_points())
        return left, bottom, right, top

    def lines(self, axes=None, marks=False):
        """Lines without marks, or marks without lines, each as its points."""
        some = (axes or self.axes).lines
        wanted = [x for x in some if (x.get_marker() not in ("", "None", None)) == marks and x.get_visible()]
        return [x.get_xydata() for x in wanted]

    def marks(self, marker=None):
        """Where marks stand, with their fill: of one kind, or all."""
        return [
            (float(x), float(y), line.get_markerfacecolor())
            for line in self.axes.lines
            if line.get_marker() not in ("", "None", None) and marker in (None, line.get_marker())
            for x, y in line.get_xydata()
        ]

    @property
    def areas(self):
        """Corners of each filled outline."""
        return [p.get_xy() for p in self.axes.patches if isinstance(p, Polygon)]

    @property
    def bars(self):
        """Left, bottom, width and height of each bar."""
        return [(*p.get_xy(), p.get_width(), p.get_height()) for p in self.axes.patches if isinstance(p, Rectangle)]

    def bands(self, axes=None):
        """Corners of each area between two curves."""
        found = [c for c in (axes or self.axes).collections if isinstance(c, PolyCollection)]
        return [np.vstack([p.vertices for p in c.get_paths()]) for c in found]

    @property
    def arrows(self):
        """Ends of each arrow, without words of its own, in the units of the axes."""
        return [(t.xyann, t.xy) for t in self.axes.texts if isinstance(t, Annotation) and not t.get_text()]


def at(line, x):
    """Height of a line where it passes a place."""
    kept = line[~np.isnan(line[:, 1])]
    return float(np.interp(x, kept[:, 0], kept[:, 1], left=np.nan, right=np.nan))


def on_the_sheet(seen):
    """Texts of which a part is cut off."""
    whole = seen.figure.bbox
    return [
        text
        for text, box in seen.texts
        if not (whole.x0 <= box.x0 and whole.y0 <= box.y0 and box.x1 <= whole.x1 and box.y1 <= whole.y1)
    ]


def over_each_other(seen):
    """Pairs of texts that cover each other, so that neither can be read."""
    boxes = [(text, box.shrunk(0.96, 0.8)) for text, box in seen.texts]
    return [(a, b) for i, (a, one) in enumerate(boxes) for b, two in boxes[i + 1 :] if one.overlaps(two)]
