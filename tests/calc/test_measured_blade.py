"""Blades measured back: what was cut as drawn changes nothing, and another blade is found again from its marks."""

import math

import numpy as np
import pytest

from calc.machine.design import build_design
from calc.machine.inputs import Inputs, Unknown
from calc.machine.measured_blade import (
    BladeRead,
    MarkRead,
    balance_from_scale,
    by_sheet,
    fitting,
    measured_values,
    push,
)
from calc.physics.blade import cut_from_pipe
from tests.calc.sheets import changed

PIPE = {
    "rotor.diameter": 2.2, "rotor.blades": 3.0, "rotor.power_coefficient": None, "rotor.tip_speed_ratio": None,
    "rotor.free_tip_speed_ratio": None, "blade.material": "PVC-U pipe", "blade.pipe_diameter": 0.250,
    "blade.pipe_wall": 0.0062, "blade.chord_root": 0.150, "blade.chord_tip": 0.070, "blade.root_radius": 0.132,
    "blade.mounting_angle": math.radians(22.0),
}  # fmt: skip
RADII = (0.2, 0.4, 0.6, 0.8, 1.0)


def sheet(changes=None):
    """A sheet with blades of pipe, or what replaces them."""
    return Inputs(build_design(changed({**PIPE, **(changes or {})})), None, {})


def read_of(chord_root, chord_tip, angle, radii=RADII, name="a"):
    """What a rule and a gauge show of a blade cut from that pipe, by plain geometry: an arc of a circle."""
    marks = []
    for r in radii:
        share = (r - 0.132) / (1.1 - 0.132)
        root, tip = (math.asin(c / (0.250 - 0.0062)) for c in (chord_root, chord_tip))
        beta = root + (tip - root) * share
        marks.append(MarkRead(r, 0.250 * math.sin(beta), angle - (root - beta)))
    return BladeRead(name, tuple(marks))


def test_a_blade_cut_as_drawn_changes_nothing():
    """Its marks give the sheet's own numbers."""
    values = measured_values(sheet(), [read_of(0.150, 0.070, math.radians(22.0))])
    assert values["blade.chord_root"] == pytest.approx(0.150, abs=1e-6)
    assert values["blade.chord_tip"] == pytest.approx(0.070, abs=1e-6)
    assert values["blade.mounting_angle"] == pytest.approx(math.radians(22.0), abs=1e-9)


@pytest.mark.parametrize(("root", "tip", "angle"), [(0.140, 0.075, 20.0), (0.160, 0.060, 25.0), (0.150, 0.070, 18.0)])
def test_another_blade_is_found_again_from_its_marks(root, tip, angle):
    """Chords within a tenth of a millimetre, angle within a tenth of a degree."""
    values = measured_values(sheet(), [read_of(root, tip, math.radians(angle))])
    assert values["blade.chord_root"] == pytest.approx(root, abs=1e-4)
    assert values["blade.chord_tip"] == pytest.approx(tip, abs=1e-4)
    assert math.degrees(values["blade.mounting_angle"]) == pytest.approx(angle, abs=0.1)


def test_the_sheet_at_a_mark_is_the_blade_that_is_computed():
    """Chord in the middle of the wall and twist as the solver has them, the rule's chord over the outside."""
    r = np.array([0.3, 0.9])
    chord, twist = by_sheet(sheet(), r)
    solved = cut_from_pipe(0.250, 0.0062, 0.150, 0.070, 1.1, 0.132, math.radians(22.0), n=400)
    assert chord * (0.250 - 0.0062) / 0.250 == pytest.approx(np.interp(r, solved.r, solved.chord), abs=1e-4)
    assert twist == pytest.approx(np.interp(r, solved.r, solved.twist), abs=1e-3)


def test_one_mark_moves_the_whole_blade_and_not_its_taper():
    """Two marks side by side say nothing of the tip."""
    near = measured_values(sheet(), [read_of(0.140, 0.070, math.radians(22.0), radii=(0.3, 0.35))])
    assert near["blade.chord_root"] < 0.150
    assert 0.060 < near["blade.chord_tip"] < 0.070


def test_several_blades_count_with_their_middle_and_each_is_weighed():
    """A set as the sheet has it: the mean mass, and each blade for the balance."""
    blades = [BladeRead("a", mass=1.0, balance_point=0.55), BladeRead("b", mass=1.1, balance_point=0.54)]
    design = fitting(sheet({"weighed.x.mass": 2.0, "weighed.x.balance_point": 0.5}), blades)
    assert design.values["blade.mass"] == pytest.approx(1.05)
    assert design.values["weighed.b.balance_point"] == 0.54
    assert "weighed.x.mass" not in design.values


def test_a_carved_blade_takes_its_marks_as_they_are():
    """Between them, the sheet's own shape moved like the nearest."""
    table = {"blade.material": "wood", "blade.section": "NACA 4412", "blade.pipe_diameter": None}
    for i, (r, c, t) in enumerate(((0.15, 0.16, 20.0), (0.6, 0.12, 8.0), (1.1, 0.07, 2.0))):
        table |= {f"station.s{i}.radius": r, f"station.s{i}.chord": c, f"station.s{i}.twist": math.radians(t)}
    design = fitting(sheet(table), [BladeRead("a", (MarkRead(0.6, 0.11, None), MarkRead(0.8, 0.098, None)))])
    rows = [[design.values[f"station.mark{i}.{name}"] for name in ("radius", "chord")] for i in range(4)]
    found = {round(r, 3): chord for r, chord in rows}
    # At 0.8 m the sheet has 0.12 less four tenths of 0.05, which is 0.1: both marks are smaller, by 10 mm and 2 mm.
    assert found == {0.15: pytest.approx(0.15), 0.6: pytest.approx(0.11), 0.8: pytest.approx(0.098),
                     1.1: pytest.approx(0.068)}  # fmt: skip
    assert design.values["station.mark1.twist"] == pytest.approx(math.radians(8.0))


def test_a_chord_that_its_pipe_cannot_have_is_told():
    """Not clipped."""
    found = measured_values(sheet(), [BladeRead("a", (MarkRead(0.3, 0.3, None),))])
    assert isinstance(found, Unknown)
    assert "wider than its pipe" in found.why


@pytest.mark.parametrize(("shown", "r"), [(0.4, 0.1), (1.2, 0.9), (0.0, 0.9)])
def test_a_scale_that_cannot_be_is_refused(shown, r):
    """A mark at the edge, more than the blade weighs, nothing at all."""
    with pytest.raises(ValueError, match="scale"):
        balance_from_scale(1.0, shown, r, 0.1)


def test_a_scale_at_the_balance_point_shows_all_of_it():
    """The lever of a body on two supports, from any textbook: shown / mass = (point - edge) / (mark - edge)."""
    for point in (0.4, 0.55, 0.7):
        shown = 1.2 * (point - 0.132) / (0.9 - 0.132)
        assert balance_from_scale(1.2, shown, 0.9, 0.132) == pytest.approx(point)


def test_a_wider_blade_pushes_more():
    """More blade in the same wind; all together below a thrust coefficient of 1.2."""
    narrow = push(Inputs(fitting(sheet(), [read_of(0.130, 0.055, math.radians(22.0))]), None, {}))
    wide = push(Inputs(fitting(sheet(), [read_of(0.170, 0.085, math.radians(22.0))]), None, {}))
    assert narrow < wide
    assert 3 * wide < 1.2 * 0.5 * 1.225 * 100.0 * math.pi * 1.1**2
