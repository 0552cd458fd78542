"""Drawings read back from their files, the way a person with a rule would: nothing of the program is asked."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
import pikepdf
import pypdfium2

from calc.machine.design import build_design
from calc.machine.inputs import Inputs
from journal.drawing.pdf import write_pdf
from journal.drawing.subject import Subject, drawn

#: A millimetre in points of a PDF: 1 in is 72 of them and 25.4 mm.
POINT = 72 / 25.4
#: What the demo's second machine says of its blades, hub and tail, in SI.
SECOND = {
    "rotor.diameter": 2.2, "rotor.blades": 3, "blade.material": "PVC-U pipe", "blade.pipe_diameter": 0.250,
    "blade.pipe_wall": 0.0062, "blade.chord_root": 0.150, "blade.chord_tip": 0.070,
    "blade.mounting_angle": np.radians(22.0), "hub.bolts": 3, "hub.bolt_diameter": 0.008, "hub.bolt_spacing": 0.035,
    "hub.end_distance": 0.025, "hub.side_distance": 0.040, "hub.held": "clamped between two plates",
    "hub.plate_thickness": 0.008, "hub.plate_width": 0.090, "hub.shaft_diameter": 0.025, "tail.area": 0.36,
    "tail.vane_height": 0.60, "tail.arm": 1.4, "tail.inclination": np.radians(20.0), "tail.boom_diameter": 0.060,
    "tail.hinge_direction": np.radians(45.0), "tail.rest_angle": np.radians(12.0), "tail.stop_angle": np.radians(95.0),
    "rotor.offset": 0.090, "rotor.overhang": 0.310, "tail.hinge_behind": 0.120,
    "weighed.a.mass": 1.042, "weighed.a.balance_point": 0.548, "weighed.b.mass": 1.078,
    "weighed.b.balance_point": 0.551, "weighed.c.mass": 1.061, "weighed.c.balance_point": 0.546,
}  # fmt: skip
#: The same of the first.
FIRST = SECOND | {
    "rotor.diameter": 1.3, "blade.pipe_diameter": 0.160, "blade.pipe_wall": 0.004, "blade.chord_root": 0.095,
    "blade.chord_tip": 0.045, "hub.bolts": 2, "hub.bolt_diameter": 0.006, "hub.bolt_spacing": 0.030,
    "hub.end_distance": 0.012, "hub.side_distance": 0.022, "hub.held": "bolted to one plate", "hub.plate_width": 0.060,
    "hub.shaft_diameter": 0.014,
}  # fmt: skip


def subject(values=SECOND, *, turns="clockwise", pipe=None, **changes):
    """A sheet to be drawn; changes are named with two underscores, None takes a value away."""
    said = dict(values) | {name.replace("__", "."): value for name, value in changes.items()}
    design = build_design({name: value for name, value in said.items() if value is not None})
    return Subject("r2", "r2 Bigger and slower", Inputs(design), turns, pipe)


@dataclass(frozen=True)
class Drawn:
    """One line of a page: its width, dashes and points in mm, whether it closes, and the box that it is clipped to."""

    width: float
    dashes: tuple[float, ...]
    points: np.ndarray
    closed: bool
    window: tuple[float, float, float, float] | None

    @property
    def thick(self):
        """Whether it is one to cut by."""
        return self.width > 0.3


@dataclass(frozen=True)
class Paper:
    """One page: size in mm, its lines, its words, and where each capital that stands alone begins."""

    width: float
    height: float
    lines: list[Drawn]
    words: str
    letters: list[tuple[str, tuple[float, float]]]

    def joins(self):
        """Crosses by which sheets are joined, 9 mm wide and high, by the letter that stands beside them."""
        middles = {}
        for line in self.lines:
            if len(line.points) == 2 and abs(np.hypot(*(line.points[1] - line.points[0])) - 9.0) < 1e-3:
                at = tuple(np.round(line.points.mean(axis=0), 3))
                middles[at] = middles.get(at, 0) + 1
        found = {}
        for at in sorted(at for at, n in middles.items() if n == 2):
            beside = [letter for letter, place in self.letters if np.hypot(place[0] - at[0], place[1] - at[1]) < 4.4]
            assert len(beside) == 1, (at, beside)
            found.setdefault(beside[0], []).append(at)
        return {letter: np.array(places) for letter, places in found.items()}

    @property
    def window(self):
        """What is seen of the drawing; None where the whole is on the page."""
        return next((line.window for line in self.lines if line.window is not None), None)


def pdf_of(make, of, paper="a4"):
    """The bytes of a PDF."""
    stream = io.BytesIO()
    write_pdf(drawn(make, of), stream, paper)
    return stream.getvalue()


def papers(data):
    """Every page of a PDF, from its own content stream."""
    reader = pypdfium2.PdfDocument(io.BytesIO(data))
    with pikepdf.open(io.BytesIO(data)) as pdf:
        found = [_paper(page, reader[i].get_textpage()) for i, page in enumerate(pdf.pages)]
    reader.close()
    return found


def _letters(text):
    """Capitals with nothing but white around them."""
    whole = f" {text.get_text_range()} "
    for i in range(1, len(whole) - 1):
        if whole[i].isupper() and whole[i - 1].isspace() and whole[i + 1].isspace():
            left, bottom, _, _ = text.get_charbox(i - 1)
            yield whole[i], (left / POINT, bottom / POINT)


def _paper(page, text):
    lines, stack, path, clip = [], [], [], None
    state = {"ctm": np.eye(3), "width": 1.0, "dashes": (), "window": None}
    for operands, operator in pikepdf.parse_content_stream(page):
        name, given = str(operator), operands
        if name == "q":
            stack.append(dict(state))
        elif name == "Q":
            state = stack.pop()
        elif name == "cm":
            a, b, c, d, e, f = map(float, given)
            state["ctm"] = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ state["ctm"]
        elif name == "w":
            state["width"] = float(given[0]) / POINT
        elif name == "d":
            state["dashes"] = tuple(float(n) / POINT for n in given[0])
        elif name in ("m", "l", "c"):
            at = _at(state, *map(float, given[-2:]))
            if name == "m":
                path.append([[at], False])
            else:
                path[-1][0].append(at)
        elif name == "re":
            x, y, w, h = map(float, given)
            corners = [_at(state, *p) for p in ((x, y), (x + w, y), (x + w, y + h), (x, y + h))]
            path.append([corners, True])
        elif name == "h":
            path[-1][1] = True
        elif name in ("W", "W*"):
            points = np.array(path[-1][0])
            clip = (*points.min(axis=0), *points.max(axis=0))
        elif name in ("S", "s", "n", "f", "B", "b", "f*", "B*"):
            if name in ("S", "s", "B", "b"):
                lines += [
                    Drawn(state["width"], state["dashes"], np.array(points), closed or name == "s", state["window"])
                    for points, closed in path
                ]
            if clip is not None:
                state["window"], clip = clip, None
            path = []
    box = [float(n) for n in page.mediabox]
    size = (box[2] - box[0]) / POINT, (box[3] - box[1]) / POINT
    return Paper(*size, lines, text.get_text_range(), list(_letters(text)))


def _at(state, x, y):
    return (np.array([x, y, 1.0]) @ state["ctm"])[:2] / POINT


def tiles(pages):
    """Those pages that show a part of something larger."""
    return [page for page in pages if page.window is not None]
