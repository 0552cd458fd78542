"""The rotor solver: always an answer, the same alone and together, and its derived quantities."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.physics import rotor
from calc.physics.blade import cut_from_pipe
from calc.physics.polar import arc_plate
from tests.sections import tabulated

R1 = {"D": 0.160, "t": 0.004, "chord_root": 0.095, "chord_tip": 0.045, "R": 0.65, "r_root": 0.08}
R2 = {"D": 0.250, "t": 0.0062, "chord_root": 0.150, "chord_tip": 0.075, "R": 1.10, "r_root": 0.12}
ANGLE = np.radians(21.0)


@settings(max_examples=40, deadline=None)
@given(
    chord=st.floats(0.06, 0.12),
    taper=st.floats(0.5, 1.0),
    R=st.floats(0.4, 1.5),
    angle=st.floats(-1.0, 1.0),
    V=st.floats(3.0, 25.0),
    B=st.sampled_from([2, 3, 4, 6]),
    edge=st.sampled_from(["trailing", "leading", "neither"]),
    lift=st.floats(0.6, 1.4),
    drag=st.floats(0.4, 1.6),
)
def test_every_pipe_rotor_has_a_curve(chord, taper, R, angle, V, B, edge, lift, drag):
    """However badly a blade is cut and mounted: finite, solved, and below the Betz limit."""
    b = cut_from_pipe(0.160, 0.004, chord, chord * taper, R, 0.08, angle, edge)
    got = rotor.curve(b, V, B, lift_factor=lift, drag_factor=drag)
    assert got.solved.all()
    for x in (got.cp, got.ct, got.cq, got.cm):
        assert np.isfinite(x).all()
    assert got.cp.max() < 16 / 27
    assert np.isfinite(rotor.starting_cq(b, B)).all()


def test_curve_has_no_jump_near_its_best():
    """Where the flow is attached a small step in tip-speed ratio makes a small step in power."""
    x = np.linspace(3.5, 7.0, 701)
    got = rotor.curve(cut_from_pipe(**R1, mounting_angle=ANGLE), 8.0, tip_speed_ratio=x)
    assert np.abs(np.diff(got.cp)).max() < 0.004


def test_variants_go_through_together():
    """A stack of variants gives what each gives alone, in any number."""
    angles = np.radians(np.linspace(10.0, 30.0, 37))
    winds = np.linspace(4.0, 20.0, 37)
    together = rotor.curve(cut_from_pipe(**R1, mounting_angle=angles), winds)
    assert together.cp.shape == (37, 40)
    for i in (0, 15, 16, 36):
        alone = rotor.curve(cut_from_pipe(**R1, mounting_angle=angles[i]), winds[i])
        assert together.cp[i] == pytest.approx(alone.cp, abs=1e-9)
        assert together.cm[i] == pytest.approx(alone.cm, abs=1e-9)


def test_two_axes_of_variants():
    """Wind speeds against mounting angles in one call."""
    b = cut_from_pipe(**R1, mounting_angle=np.radians([18.0, 22.0, 26.0]))
    got = rotor.curve(b, np.array([[5.0], [9.0]]))
    assert got.cp.shape == (2, 3, 40)
    assert got.cp.max(axis=-1).shape == (2, 3)


def test_coefficients_hang_together():
    """Power is torque times speed; blade bending lies between half and all of thrust at the tip."""
    got = rotor.curve(cut_from_pipe(**R1, mounting_angle=ANGLE), 6.0)
    assert got.cp == pytest.approx(got.cq * got.tip_speed_ratio)
    lever = got.cm * 3 / got.ct
    assert np.all((lever > 0.4) & (lever < 0.88))


@pytest.mark.parametrize("shape", [R1, R2])
def test_pipe_rotor_reaches_what_pipe_rotors_reach(shape):
    """Best Cp 0.15 to 0.40 at a tip-speed ratio of 3 to 7: pipe and carved blades; from memory, weak."""
    got = rotor.curve(cut_from_pipe(**shape, mounting_angle=ANGLE), 7.0)
    at = got.cp.argmax()
    assert 0.15 < got.cp[at] < 0.40
    assert 3.0 < got.tip_speed_ratio[at] < 7.0


def test_pessimist_gets_less_than_optimist():
    """Less lift and more drag give less power, and a rotor that is driven less far."""
    b = cut_from_pipe(**R1, mounting_angle=ANGLE)
    got = rotor.curve(b, 7.0, lift_factor=np.array([0.8, 1.0, 1.2]), drag_factor=np.array([1.4, 1.0, 0.6]))
    assert np.all(np.diff(got.cp.max(axis=-1)) > 0.02)
    assert np.all(np.diff(np.count_nonzero(got.cq > 0, axis=-1)) > 0)


def test_leading_edge_along_the_pipe_spoils_the_blade():
    """The twist that follows from the cut then goes the wrong way."""
    good, bad = (
        rotor.curve(cut_from_pipe(**R1, mounting_angle=ANGLE, straight_edge=edge), 7.0).cp.max()
        for edge in ("trailing", "leading")
    )
    assert bad < 0.3 * good


def test_low_reynolds_number_is_flagged():
    """A breeze on a slow rotor lies below the table, a working rotor inside it."""
    b = cut_from_pipe(**R1, mounting_angle=ANGLE)
    assert not rotor.curve(b, 2.0).in_table[0]
    assert rotor.curve(b, 8.0).in_table.all()


def test_starting_torque_of_a_plain_blade():
    """Flat plate at rest, cl(90 deg - twist) = sin(2 twist), summed from root to tip by hand."""
    b = cut_from_pipe(0.160, 0.004, 0.08, 0.08, 0.65, 0.08, 0.4, n=200)
    expected = 3 * 0.08 * np.sin(0.8) * (0.65**2 - 0.08**2) / (2 * np.pi * 0.65**3)
    assert rotor.starting_cq(b) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    "wrong",
    [
        {"V": 0.0},
        {"tip_speed_ratio": np.array([0.0, 1.0])},
        {"tip_speed_ratio": np.array([2.0, 1.0])},
    ],
)
def test_wrong_input_is_refused(wrong):
    """Wind and tip-speed ratio must be real and in order."""
    with pytest.raises(ValueError, match="must"):
        rotor.curve(cut_from_pipe(**R1, mounting_angle=ANGLE), **({"V": 5.0} | wrong))


def test_strip_without_solution_is_said():
    """A section pushed forward instead of dragged has no balance: flagged, and still finite."""
    odd = tabulated(np.radians([-80.0, 80.0]), np.array([0.0, 0.0]), np.array([-9.0, -9.0]))
    got = rotor.curve(cut_from_pipe(**R1, mounting_angle=ANGLE), 8.0, section=odd)
    assert not got.solved.all()
    assert np.isfinite(got.cp).all()


def test_sections_looked_up_beforehand_change_nothing():
    """A section for each station of each variant gives what the blade's own camber and wall give."""
    b = cut_from_pipe(**R1, mounting_angle=np.array([[0.3], [0.4], [0.5]]))
    own = arc_plate(b.camber, b.thickness)
    winds = np.array([5.0, 9.0])
    assert np.array_equal(rotor.curve(b, winds, section=own).cp, rotor.curve(b, winds).cp)
    assert np.array_equal(rotor.starting_cq(b, 3, own), rotor.starting_cq(b, 3))
