"""A template cut out on a pipe of numbers: paper wrapped around a cylinder, kept where it lies inside the outline.

Nothing here knows how the outline was found. It is read from the PDF's own lines; a cylinder of many points is kept
where it lies under the paper's outline (matplotlib's ray casting); chord, camber and twist are measured in space on
what is left, and held against the blade from which `calc` computes power and loads.
"""

import numpy as np
import pytest
from matplotlib.path import Path as Outline

from calc.machine.blade_root import ARC
from calc.machine.catalogue import Sheet
from calc.machine.rotor_curves import curves_from_shape, root_radius
from calc.physics.blade import cut_from_pipe
from journal.drawing import blade
from tests.drawn import FIRST, SECOND, papers, pdf_of, subject, tiles

#: What the job allows: 0.1 mm, and 0.1 degrees.
LENGTH, ANGLE = 0.1, 0.1


def cut_out(data):
    """Outline and holes on the paper in mm, nought at the root on the line of the holes: from the sheet that has it."""
    sheet = tiles(papers(data))[-1]
    thick = [line for line in sheet.lines if line.thick]
    outline = max((line for line in thick if line.closed), key=lambda line: np.ptp(line.points[:, 1]))
    holes = [line.points[:-1].mean(axis=0) for line in thick if np.ptp(line.points[:, 1]) < 20.0]
    begins = [np.mean(holes, axis=0)[0], outline.points[:, 1].min()]
    return outline.points - begins, np.array(holes) - begins


def measured(outline, holes, D, t, y, way):
    """Chord, camber [mm] and twist [degrees] of what is left of the pipe at some places along it.

    The paper is seen from outside, tip up, by somebody downwind at negative Y; the wind comes from positive Y, the
    hollow side. The wall at the holes lies flat on the hub, so the rotor's plane is the one that touches it there.
    """
    line = holes[:, 0].mean()
    assert np.ptp(holes[:, 0]) < 1e-6, "the bolts sit in a row along the pipe"
    around = np.arange(-np.pi * D / 2, np.pi * D / 2, 0.004)
    found = []
    for at in y:
        kept = around[Outline(outline).contains_points(np.stack([around, np.full_like(around, at)], axis=-1))]
        phi = (kept - line) / (D / 2)
        points = (D - t) / 2 * np.stack([np.sin(phi), -np.cos(phi)], axis=-1)
        ends = points[[0, -1]]
        # Whoever stands downwind sees a rotor that turns clockwise for the wind go to the left at the top.
        trailing, leading = ends[::-1] if way == "clockwise" else ends
        chord = leading - trailing
        length = np.hypot(*chord)
        off = np.abs(chord[0] * (points[:, 1] - trailing[1]) - chord[1] * (points[:, 0] - trailing[0])) / length
        found.append((length, off.max(), np.degrees(np.arctan2(chord[1], abs(chord[0])))))
    return np.array(found).T


def shape_of(of):
    """The blade from which `calc` computes: that of its rotor, or where no section is tabled so curved, its shape."""
    if (curves := curves_from_shape(of.x)) is not None:
        return curves.shape
    x = of.x
    given = (x.need(entry) for entry in ARC)
    return cut_from_pipe(*given, x.rotor.diameter / 2, float(root_radius(x)), x.blade.mounting_angle)


CASES = {
    "the demo's second": (SECOND, {}, "clockwise"),
    "its first": (FIRST, {}, "clockwise"),
    "the other way round": (SECOND, {}, "anticlockwise"),
    "leading edge along the pipe": (SECOND, {"blade__straight_edge": "leading"}, "clockwise"),
    "both edges slanted": (FIRST, {"blade__straight_edge": "neither"}, "anticlockwise"),
    "nearly half the pipe": (FIRST, {"blade__chord_root": 0.150, "blade__mounting_angle": np.radians(35)}, "clockwise"),
    "wider at the tip": (FIRST, {"blade__chord_tip": 0.110}, "clockwise"),
}


@pytest.mark.parametrize(("name", "paper"), [*((name, "a4") for name in CASES), ("the demo's second", "letter")])
def test_what_is_left_of_the_pipe_is_the_blade_of_which_power_is_computed(name, paper):
    """Chord, camber and twist at each of its stations, within 0.1 mm and 0.1 degrees."""
    values, changes, way = CASES[name]
    of = subject(values, turns=way, **changes)
    outline, holes = cut_out(pdf_of(blade.drawings, of, paper))
    shape = shape_of(of)
    y = (shape.r - shape.r_root) * 1e3
    D, t = (of.x.need(entry) * 1e3 for entry in (Sheet.blade.pipe_diameter, Sheet.blade.pipe_wall))
    chord, camber, twist = measured(outline, holes, D, t, y, way)
    assert chord == pytest.approx(shape.chord * 1e3, abs=LENGTH)
    assert camber == pytest.approx(shape.camber * shape.chord * 1e3, abs=LENGTH)
    assert twist == pytest.approx(np.degrees(shape.twist), abs=ANGLE)


def test_the_outline_is_as_long_as_the_blade():
    """From where it begins to the tip."""
    of = subject()
    outline, holes = cut_out(pdf_of(blade.drawings, of))
    shape = shape_of(of)
    assert np.ptp(outline[:, 1]) == pytest.approx((shape.R - shape.r_root) * 1e3, abs=0.01)
    assert sorted(holes[:, 1]) == pytest.approx([25.0, 60.0, 95.0], abs=0.01)


def test_a_chord_taken_for_the_width_on_paper_would_be_told():
    """The check itself: paper as wide as the chord gives a blade that is millimetres too narrow."""
    of = subject()
    outline, holes = cut_out(pdf_of(blade.drawings, of))
    shape = shape_of(of)
    narrow = outline * [0.150 / 0.1657, 1.0]
    chord, *_ = measured(narrow, holes * [0.150 / 0.1657, 1.0], 250.0, 6.2, (shape.r - shape.r_root) * 1e3, "clockwise")
    assert np.abs(chord - shape.chord * 1e3).max() > 5.0
