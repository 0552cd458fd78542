"""Lift and drag at every angle: no gaps, no jumps, doubt where it belongs."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.physics import polar
from calc.tables import table_rows
from tests.sections import tabulated

ANGLES = st.floats(-7, 7)
CAMBERS = st.floats(0.03, 0.25)
THICKNESSES = st.floats(0.02, 0.15)
REYNOLDS = st.floats(1e4, 1e6)


def coefficients(alpha, camber, thickness, Re, *factors):
    """Lift and drag of one arc plate."""
    return polar.arc_plate(camber, thickness).at(alpha, Re, *factors)


@settings(deadline=None)
@given(ANGLES, CAMBERS, THICKNESSES, REYNOLDS)
def test_every_point_has_a_value(alpha, camber, thickness, Re):
    """Finite everywhere, drag never negative, coefficients within what a plate can have."""
    cl, cd = coefficients(alpha, camber, thickness, Re)
    assert abs(cl) < 2.5
    assert -1e-12 < cd < 2.3


@settings(deadline=None)
@given(ANGLES, CAMBERS, THICKNESSES, REYNOLDS)
def test_no_jump_in_any_direction(alpha, camber, thickness, Re):
    """A small step in angle, camber, wall or Reynolds number makes a small step in lift and drag."""
    here = np.array(coefficients(alpha, camber, thickness, Re))
    e = 1e-6
    steps = [
        (alpha + e, camber, thickness, Re),
        (alpha, min(camber + e, 0.25), thickness, Re),
        (alpha, camber, min(thickness + e, 0.15), Re),
        (alpha, camber, thickness, min(Re * (1 + e), 1e6)),
    ]
    for there in steps:
        assert np.array(coefficients(*there)) == pytest.approx(here, abs=1e-4)


@settings(deadline=None)
@given(st.floats(0.63, np.pi - 0.53), CAMBERS, REYNOLDS)
def test_high_angles_are_those_of_a_flat_plate(alpha, camber, Re):
    """Flat plate: cl = 2 sin cos, cd = 2 sin^2 (D. Wood, Small Wind Turbines, sec. 4.4), both signs."""
    for a in (alpha, -alpha):
        plate = (2 * np.sin(a) * np.cos(a), 2 * np.sin(a) ** 2)
        assert coefficients(a, camber, 0.04, Re) == pytest.approx(plate, abs=1e-9)


# Rows of the table where the estimator is sure: camber, wall, Re, alpha [deg], cl, cd.
ROWS = [
    (0.05, 0.02, 1e5, 4, 0.8900, 0.0232),
    (0.08, 0.04, 2e5, 4, 0.9920, 0.0216),
    (0.14, 0.04, 1e6, 4, 1.5689, 0.0171),
]


@pytest.mark.parametrize(("camber", "thickness", "Re", "alpha", "cl", "cd"), ROWS)
def test_sure_rows_are_kept(camber, thickness, Re, alpha, cl, cd):
    """Regression: the rows come through reading, joining and looking up unchanged."""
    assert coefficients(np.radians(alpha), camber, thickness, Re) == pytest.approx((cl, cd), abs=1e-4)


def test_lift_of_a_plate_stays_below_theory():
    """Exact potential flow cl = 2 pi sin(a + b) / cos(b), b = atan(2 f/c), is an upper bound; from memory."""
    alpha = np.radians(np.arange(0.0, 9.0))
    for camber in (0.05, 0.08, 0.11, 0.17):
        b = np.arctan(2 * camber)
        cl, _ = coefficients(alpha, camber, 0.04, 1e5)
        assert np.all(cl < 2 * np.pi * np.sin(alpha + b) / np.cos(b))


def test_one_tenth_camber_near_its_best_angle():
    """10 % arc, Re 1e5, 5 to 7 deg: cl 1.2-1.4, cd 0.033-0.042 (NeuralFoil 0.3.3 run on another outline)."""
    cl, cd = coefficients(np.radians([5.0, 6.0, 7.0]), 0.10, 0.025, 1e5)
    assert np.all((cl > 1.08) & (cl < 1.54))
    assert np.all((cd > 0.026) & (cd < 0.050))


@pytest.mark.parametrize(("camber", "thickness"), [(0.029, 0.04), (0.26, 0.04), (0.1, 0.019), (0.1, 0.16)])
def test_outside_the_table_is_refused(camber, thickness):
    """Camber and wall are never held at the end of the table without a word."""
    with pytest.raises(ValueError, match="must lie between"):
        polar.arc_plate(camber, thickness)


def test_reynolds_numbers_outside_the_table_are_told():
    """There the last row holds, and whoever asks is told."""
    plate = polar.arc_plate(0.1, 0.04)
    assert plate.inside(np.array([9e3, 1e4, 1e6, 2e6])).tolist() == [False, True, True, False]
    assert plate.at(0.1, 2e6) == plate.at(0.1, 1e6)


def test_factors_scale():
    """Doubt enters as plain factors."""
    cl, cd = coefficients(0.1, 0.1, 0.04, 1e5)
    assert coefficients(0.1, 0.1, 0.04, 1e5, 0.9, 1.3) == pytest.approx((0.9 * cl, 1.3 * cd))


SYMMETRIC = tabulated(np.radians([-10.0, 0.0, 10.0]), np.array([-1.0, 0.0, 1.0]), np.array([0.02, 0.01, 0.02]))


@settings(deadline=None)
@given(ANGLES)
def test_given_section_has_no_gap_and_no_jump(alpha):
    """A table of ten degrees serves at every angle."""
    here, there = SYMMETRIC.at(alpha, 1e5), SYMMETRIC.at(alpha + 1e-6, 1e5)
    assert np.all(np.isfinite(here))
    assert there == pytest.approx(here, abs=2e-5)


def test_given_section_keeps_its_symmetry():
    """A section without camber lifts the same both ways up."""
    alpha = np.linspace(0.0, 3.1, 50)
    up, down = SYMMETRIC.at(alpha, 1e5), SYMMETRIC.at(-alpha, 1e5)
    assert up[0] == pytest.approx(-down[0], abs=1e-9)
    assert up[1] == pytest.approx(down[1], abs=1e-9)


#: Rows of ``arc_plate.csv``: every camber and every thickness that it has.
CAMBERS, THICKNESSES = (
    sorted({float(row[column]) for row in table_rows("arc_plate")}) for column in ("camber", "thickness")
)


@pytest.mark.parametrize("alpha", [-10.0, 4.0, 7.0])
def test_between_rows_of_the_table_lies_a_straight_line(alpha):
    """Of camber and of thickness: midway between two rows the mean of both, in the middle of four the mean of four."""

    def at(camber, thickness):
        return np.array(polar.arc_plate(camber, thickness).at(np.radians(alpha), 1e5))

    for c0, c1 in pairwise(CAMBERS):
        for t0, t1 in pairwise(THICKNESSES):
            corners = np.array([[at(c, t) for t in (t0, t1)] for c in (c0, c1)])
            c, t = (c0 + c1) / 2.0, (t0 + t1) / 2.0
            assert at(c, t) == pytest.approx(corners.mean(axis=(0, 1)), rel=1e-6)
            assert at(c0, t) == pytest.approx(corners[0].mean(axis=0), rel=1e-6)
            assert at(c, t0) == pytest.approx(corners[:, 0].mean(axis=0), rel=1e-6)
            assert at(c0, t0 + 0.25 * (t1 - t0)) == pytest.approx(0.75 * corners[0, 0] + 0.25 * corners[0, 1], rel=1e-6)
