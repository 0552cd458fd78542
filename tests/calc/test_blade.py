"""Blades cut from pipe: shape, mass, root section, material."""

import numpy as np
import pytest
import scipy
from hypothesis import given as cases
from hypothesis import settings
from hypothesis import strategies as st

from calc.physics import blade

# Pipe 160 x 4.0 mm, the first rotor of the demonstration.
PIPE = {"D": 0.160, "t": 0.004}
CUT = PIPE | {"chord_root": 0.095, "chord_tip": 0.045}
WHOLE = CUT | {"R": 0.65, "r_root": 0.08}

# Plain geometry: pipe OD, wall, chord, radius in the middle of the wall, height of the arc [mm].
ARCS = [
    (160, 4.0, 100, 78.0, 18.133),
    (160, 4.0, 80, 78.0, 11.037),
    (200, 4.9, 120, 97.55, 20.634),
    (250, 6.2, 150, 121.9, 25.803),
    (110, 3.2, 70, 53.4, 13.069),
]


@pytest.mark.parametrize(("D", "t", "chord", "R", "f"), ARCS)
def test_camber_is_that_of_the_arc(D, t, chord, R, f):
    """Height of the arc from the radius in the middle of the wall."""
    got = blade.cut_from_pipe(D / 1e3, t / 1e3, chord / 1e3, chord / 1e3, 10.0, 0.1, 0.0).camber
    assert got == pytest.approx(np.full(blade.STATIONS, f / chord), rel=1e-4)
    assert f == pytest.approx(R - np.sqrt(R**2 - chord**2 / 4), abs=6e-4)


def test_camber_of_a_tenth_needs_a_radius_of_1_3_chords():
    """10 % camber belongs to R / c = 1.3 exactly (3-4-5 geometry); the wall is made as thin as nothing."""
    got = blade.cut_from_pipe(2.6, 1e-12, 1.0, 1.0, 10.0, 0.1, 0.0)
    assert got.camber == pytest.approx(np.full(blade.STATIONS, 0.1), rel=1e-9)


def edges(beta_root, beta, straight_edge):
    """Points of the cut on a unit cylinder seen along its axis: trailing and leading edge.

    The piece bulges downwind (+z); the leading edge points along +y. The root's bisector is the z axis.
    """
    turn = {"trailing": beta - beta_root, "leading": beta_root - beta, "neither": 0.0}[straight_edge]
    at = [turn - beta, turn + beta]
    return [np.array([np.sin(a), np.cos(a)]) for a in at]


@pytest.mark.parametrize("straight_edge", ["trailing", "leading", "neither"])
def test_twist_follows_from_the_cut(straight_edge):
    """The chord between two points on a cylinder turns as the arc narrows from one side."""
    b = blade.cut_from_pipe(**WHOLE, mounting_angle=0.3, straight_edge=straight_edge, n=7)
    root = blade.half_angle(**PIPE, chord=0.095)
    for chord, twist in zip(b.chord, b.twist, strict=True):
        trailing, leading = edges(root, blade.half_angle(**PIPE, chord=chord), straight_edge)
        along = leading - trailing
        # Leading edge upwind (-z) is a positive angle.
        assert 0.3 + np.arctan2(-along[1], along[0]) == pytest.approx(twist, abs=1e-12)


def test_cut_edge_is_straight_on_the_unrolled_sheet():
    """The width around the pipe falls evenly from root to tip."""
    b = blade.cut_from_pipe(**WHOLE, mounting_angle=0.0, n=9)
    width = 2 * 0.078 * np.arcsin(b.chord / 0.156)
    assert np.diff(width, 2) == pytest.approx(np.zeros(7), abs=1e-12)


def test_wall_lies_flat_on_the_hub_under_the_bolts():
    """Bolts at the middle of the arc give no angle, bolts at the trailing edge half the angle of the arc."""
    beta = blade.half_angle(**PIPE, chord=0.095)
    assert blade.angle_when_bolted(**PIPE, chord_root=0.095, s=0.080 * beta) == pytest.approx(0.0, abs=1e-12)
    assert blade.angle_when_bolted(**PIPE, chord_root=0.095, s=0.0) == beta
    assert blade.angle_when_bolted(**PIPE, chord_root=0.095, s=0.0, straight_edge="leading") == -beta


@pytest.mark.parametrize(
    "wrong",
    [
        {"chord_root": 0.157},
        {"chord_tip": 0.0},
        {"t": 0.08},
        {"t": 0.0},
        {"r_root": 0.65},
        {"r_root": 0.0},
        {"mounting_angle": 1.6},
    ],
)
def test_ill_shaped_blade_is_refused(wrong):
    """More than half a pipe, a wall that does not fit, a root outside the tip: all refused."""
    with pytest.raises(ValueError, match=r"must|wider"):
        blade.cut_from_pipe(**(WHOLE | {"mounting_angle": 0.3} | wrong))


@pytest.mark.parametrize(
    "wrong",
    [
        {"r": np.array([1.0, 0.1])},
        {"chord": np.array([0.1, 0.0])},
        {"R": 1.1},
        {"r_root": 0.05},
        {"r_root": 1.0},
    ],
)
def test_ill_shaped_table_is_refused(wrong):
    """A table must rise, reach from root to tip, and hold real chords."""
    table = {"r": np.array([0.1, 1.0]), "chord": np.array([0.2, 0.1]), "twist": np.zeros(2), "R": 1.0}
    with pytest.raises(ValueError, match="must"):
        blade.blade_from_table(**(table | {"r_root": 0.1} | wrong))


def test_bolts_off_the_blade_are_refused():
    """The bolt line must lie on the blade."""
    with pytest.raises(ValueError, match="bolt"):
        blade.angle_when_bolted(**PIPE, chord_root=0.095, s=0.12)


def test_masses_agree_with_integration():
    """Mass, centre and inertia against scipy's quadrature over the section area."""
    root, tip = np.arcsin(0.095 / 0.156), np.arcsin(0.045 / 0.156)

    def line(r, power):
        beta = root + (tip - root) * (r - 0.08) / 0.57
        return 1465.0 * beta * (0.08**2 - 0.076**2) * r**power

    m0, m1, m2 = (scipy.integrate.quad(line, 0.08, 0.65, args=(p,))[0] for p in range(3))
    got = blade.pipe_masses(**WHOLE)
    assert [got.mass, got.r_cog, got.inertia] == pytest.approx([m0, m1 / m0, m2], rel=1e-10)


def test_uniform_blade_pull():
    """0.9 kg from hub centre to 1.0 m at 50 rad/s pulls 1125 N (Wood, Small Wind Turbines, eq. 9.49)."""
    m = blade.beam_masses(np.array([0.0, 1.0]), np.array([1e-3, 1e-3]), 900.0)
    assert blade.centrifugal_force(m.mass, m.r_cog, 50.0) == pytest.approx(1125.0)


def sector(beta, n=400):
    """Small pieces of the root section about its centroid: x along the chord, y to the convex side, area."""
    R, psi = np.meshgrid(
        0.076 + (np.arange(n) + 0.5) / n * 0.004, beta * (2 * (np.arange(n) + 0.5) / n - 1), indexing="ij"
    )
    area = R * (0.004 / n) * (2 * beta / n)
    x, y = R * np.sin(psi), R * np.cos(psi)
    return x, y - np.sum(y * area) / np.sum(area), area


def test_root_section_agrees_with_a_sum_over_small_pieces():
    """Area and second moments against summation."""
    s = blade.root_section(**CUT, mounting_angle=0.3)
    x, y, area = sector(s.beta)
    sums = [area.sum(), np.sum(y * y * area), np.sum(x * x * area)]
    assert [s.area, s.I_flat, s.I_edge] == pytest.approx(sums, rel=1e-4)
    assert s.Z_flat == pytest.approx(sums[1] / np.abs(y).max(), rel=2e-2)


def test_thin_half_ring():
    """Half ring: centroid 2R/pi, second moment (pi/2 - 4/pi) R^3 t; from memory."""
    s = blade.root_section(2.0 + 1e-4, 1e-4, 2.0, 2.0, 0.0)
    assert s.y == pytest.approx(2 / np.pi, rel=1e-4)
    assert s.I_flat == pytest.approx((np.pi / 2 - 4 / np.pi) * 1e-4, rel=1e-3)


def test_pull_acts_where_the_blade_is():
    """Arms of the pull against the centre of gravity of a blade cut into many pieces."""
    s = blade.root_section(**CUT, mounting_angle=0.3)
    root, tip = s.beta, blade.half_angle(**PIPE, chord=0.045)
    weight, first = 0.0, np.zeros(2)
    for share in (np.arange(500) + 0.5) / 500:
        beta = root + (tip - root) * share
        psi = np.linspace(-root, 2 * beta - root, 101)[:-1] + beta / 100
        first += np.array([np.sin(psi).mean(), np.cos(psi).mean()]) * beta
        weight += beta
    # Mean radius of a ring's area, 2/3 (Ro^3 - Ri^3) / (Ro^2 - Ri^2).
    x, y = first / weight * (2 / 3) * (0.08**3 - 0.076**3) / (0.08**2 - 0.076**2)
    assert [s.arm_edge, s.arm_flat] == pytest.approx([x, y - s.y], abs=2e-6)


@settings(deadline=None)
@cases(F=st.floats(0, 1e4), M=st.floats(-50, 50), angle=st.floats(-0.5, 0.8))
def test_greatest_stress_is_that_of_the_whole_section(F, M, angle):
    """The greatest tension is found wherever in the section it lies."""
    s = blade.root_section(**CUT, mounting_angle=angle)
    x, y, _ = sector(s.beta, n=60)
    field = (
        F / s.area
        + (F * s.arm_flat - M * np.cos(angle)) * y / s.I_flat
        + (F * s.arm_edge + M * np.sin(angle)) * x / s.I_edge
    )
    got = blade.root_stress(s, F, M)
    assert got >= field.max() - 1e-6
    assert got == pytest.approx(field.max(), rel=0.06, abs=1.0)


def test_thrust_pulls_on_the_side_that_faces_the_wind():
    """Thrust alone, chord in the plane of the rotor: tension at the edges of the arc, M / Z."""
    s = blade.root_section(**CUT, mounting_angle=0.0)
    lever = s.y - s.R_inner * np.cos(s.beta)
    assert blade.root_stress(s, 0.0, 10.0) == pytest.approx(10.0 * lever / s.I_flat)


# Pipe makers' temperature derating, 73 to 140 degF (harvel.com).
DERATING = [
    (73, 1.00),
    (80, 0.88),
    (90, 0.75),
    (100, 0.62),
    (110, 0.51),
    (120, 0.40),
    (130, 0.31),
    (140, 0.22),
]


@pytest.mark.parametrize(("F", "factor"), DERATING)
def test_pvc_derating_nodes(F, factor):
    """The factor at each printed temperature."""
    assert blade.pvc_factor((F + 459.67) * 5 / 9) == pytest.approx(factor, rel=1e-9)


def test_pvc_worked_use():
    """230 psi pipe at 120 degF is good for 92 psi (harvel.com)."""
    assert 230 * blade.pvc_factor((120 + 459.67) * 5 / 9) == pytest.approx(92.0)


def test_pvc_between_nodes_and_in_the_cold():
    """Straight lines between nodes; no gain below the first."""
    assert blade.pvc_factor((85 + 459.67) * 5 / 9) == pytest.approx(0.815)
    assert blade.pvc_factor(263.15) == 1.0


@pytest.mark.parametrize("T", [0.0, 273.15 + 60.1])
def test_pvc_beyond_its_range_is_refused(T):
    """PVC-U is not used above 60 degC."""
    with pytest.raises(ValueError, match=r"60 degC|0 K"):
        blade.pvc_factor(T)


def test_variants_go_through_together():
    """An array of variants gives the same as each alone."""
    chords = np.array([0.08, 0.09, 0.1])
    args = WHOLE | {"chord_root": chords}
    together = blade.cut_from_pipe(**args, mounting_angle=0.3)
    masses = blade.pipe_masses(**args)
    for i, chord in enumerate(chords):
        one = WHOLE | {"chord_root": chord}
        assert together.twist[i] == pytest.approx(blade.cut_from_pipe(**one, mounting_angle=0.3).twist)
        assert masses.inertia[i] == pytest.approx(blade.pipe_masses(**one).inertia)
