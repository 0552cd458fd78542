"""Wind on lattice masts and ropes, ice on all, against other standards, sums rope by rope, and arcs by scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from calc.machine.design import build_design
from calc.machine.lattice_loads import LatticeStorm, lattice_storm
from calc.machine.mast_loads import MastStorm, mast_storm
from calc.machine.system import System
from calc.physics.structure import guys, ice, lattice
from tests.calc.masts import FREE_POLE, GUYED_MAST, LATTICE_MAST, TOP_FORCE, Q
from tests.outside import masts_by_hand as by_hand

G = 9.80665


def _storm(base, **changes):
    values = {**base, **{name.replace("__", "."): value for name, value in changes.items()}}
    x = System(build_design({k: v for k, v in values.items() if v is not None})).inputs()
    found = lattice_storm(x) if x.mast.kind == "lattice tower" else mast_storm(x)
    assert isinstance(found, LatticeStorm | MastStorm), found
    return found


# --- a lattice in the wind --------------------------------------------------------------------------------------------


def american(e, legs, rounded):
    """ASCE 7 and ANSI/TIA-222-F, trussed towers, from memory: on the area of the members of one face."""
    flat = 4.0 * e**2 - 5.9 * e + 4.0 if legs == 4 else 3.4 * e**2 - 4.7 * e + 3.4
    return flat * min(1.0, 0.51 * e**2 + 0.57) if rounded else flat


@pytest.mark.parametrize("e", [0.1, 0.2, 0.3, 0.4, 0.5, 0.6])
@pytest.mark.parametrize("legs", [3, 4])
@pytest.mark.parametrize("rounded", [True, False])
def test_two_standards_agree_on_the_drag_of_a_lattice(e, legs, rounded):
    """EN 1993-3-1 against the American formula, within a tenth."""
    got = float(lattice.face_drag(e, float(legs), rounded=rounded))
    assert got == pytest.approx(american(e, legs, rounded), rel=0.1)


@pytest.mark.parametrize("e", [0.15, 0.25, 0.3])
def test_two_standards_agree_on_the_wind_over_a_corner(e):
    """ASCE 7, from memory: 1 + 0.75 e, at most 1.2, for square towers; none of three legs.

    Beyond a third it counts less than EN 1993-3-1, which is taken.
    """
    for rounded in (True, False):
        got = float(lattice.cornerwise(e, 4.0, rounded=rounded))
        assert got == pytest.approx(min(1.2, 1 + 0.75 * e), rel=0.1)
        assert float(lattice.cornerwise(e, 3.0, rounded=rounded)) == 1.0


@pytest.mark.parametrize("e", [0.0, 0.81])
def test_a_face_that_is_empty_or_nearly_a_wall_is_refused(e):
    """The formula is for lattices."""
    with pytest.raises(ValueError, match="of a face"):
        lattice.face_drag(e, 3.0, rounded=True)


@given(st.floats(100.0, 1e5), st.floats(0.0, 1e4), st.floats(0.1, 3.0), st.sampled_from([3, 4]))
def test_no_wind_presses_a_leg_harder(M, N, b, n):
    """Plane sections over equal legs at their corners, the wind from every degree."""
    r = b / (2 * math.sin(math.pi / n))
    at = 2 * math.pi * np.arange(n) / n
    spread = n / 2 * r**2
    worst = max(
        float(np.max(N / n + M * r * np.cos(at - wind) / spread)) for wind in np.radians(np.arange(0.0, 360.0, 1.0))
    )
    assert float(lattice.leg_load(M, N, b, float(n))) == pytest.approx(worst, rel=1e-6)


def test_solidity_by_adding_up_the_bars():
    """Ten panels of 0.4 m of a face 0.3 m wide: two legs of 30 mm, ten diagonals of 0.5 m and ten bars of 10 mm."""
    bars = 2 * 4.0 * 0.03 + 10 * 0.5 * 0.01 + 10 * 0.3 * 0.01
    assert float(lattice.solidity(0.3, 0.03, 0.01, 0.4)) == pytest.approx(bars / (0.3 * 4.0))


def test_a_tapered_lattice_is_pushed_as_its_integral_says():
    """1.0 m at the foot, 0.4 m at the head, by quadrature over its height."""
    (case,) = _storm(LATTICE_MAST, mast__face_width=1.0, mast__top_width=0.4).cases
    each = by_hand.lattice_wind() / 0.5

    def width(z):
        return 1.0 - 0.6 * z / 9.0

    push = quad(lambda z: each * width(z), 0, 9)[0]
    tips = quad(lambda z: each * width(z) * z, 0, 9)[0]
    assert float(case.on_mast) == pytest.approx(push, rel=1e-4)
    assert float(case.side) == pytest.approx(push + TOP_FORCE, rel=1e-4)
    assert float(case.moment) == pytest.approx(tips + TOP_FORCE * 9.0, rel=5e-3)
    assert float(case.down) == pytest.approx(G * (20.0 + 120.0))


def test_bars_on_the_sheet_go_before_what_is_usual_and_a_stated_solidity_before_both():
    """Legs of 42.4 mm and braces of 12 mm in panels of 0.4 m, 0.5 m wide."""
    told = [
        float(np.mean(_storm(LATTICE_MAST, **changes).of.phi))
        for changes in (
            {"mast__solidity": None, "mast__brace_diameter": 0.012},
            {"mast__solidity": None},
            {"mast__brace_diameter": 0.012},
        )
    ]
    bars = (2 * 0.4 * 0.0424 + 0.012 * (math.hypot(0.5, 0.4) + 0.5)) / (0.5 * 0.4)
    assert told == pytest.approx([bars, 0.25, 0.2])


# --- wind on ropes ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("n", [3, 4, 5])
@pytest.mark.parametrize("degrees", [20.0, 45.0, 70.0])
def test_no_wind_puts_more_on_the_ropes_of_a_level(n, degrees):
    """Drag by the square of the sine, its part along the wind, rope by rope and from every side."""
    theta, d, L = math.radians(degrees), 0.006, 12.0
    got = float(guys.drag_at_level(Q, d, L, theta, n))
    worst = 0.0
    for wind in np.radians(np.arange(0.0, 120.0, 2.0)):
        w, total = np.array([math.cos(wind), math.sin(wind), 0.0]), np.zeros(3)
        for turn in 2 * math.pi * np.arange(n) / n:
            u = np.array([math.cos(theta) * math.cos(turn), math.cos(theta) * math.sin(turn), math.sin(theta)])
            across = w - (w @ u) * u
            total += 0.5 * 1.2 * Q * d * L * np.linalg.norm(across) * across
        worst = max(worst, float(total @ w))
    assert worst <= got <= 1.25 * worst


@given(st.floats(100.0, 5e3), st.floats(2e5, 3e6), st.floats(4.0, 25.0), st.floats(0.5, 20.0))
def test_a_rope_that_is_loaded_along_is_pulled_as_its_arc_says(T, EA, L, w):
    """Length of the true parabola by quadrature against what the rope stretches, ends fixed; below a sag of a tenth."""

    def arc(S):
        return quad(lambda s: math.sqrt(1 + (w * (s - L / 2) / S) ** 2), 0, L)[0]

    # Held against, not closed: the parabola's own length is a little less than its first term says.
    S = brentq(lambda S: L * (1 + (S - T) / EA) - arc(S), T, T + EA * 0.2)
    got = float(guys.loaded_along(T, EA, L, w))
    if w * L / (8 * S) < 0.1:
        assert got == pytest.approx(S, rel=0.01)


def test_guys_of_the_mast_are_pulled_as_a_hand_works_out():
    """Statics, wind on four ropes, arcs by scipy."""
    assert float(_storm(GUYED_MAST).tension[0]) == pytest.approx(by_hand.guyed_pull(900.0), rel=1e-3)


# --- ice --------------------------------------------------------------------------------------------------------------

#: ISO 12494, glaze, from memory: class, thickness [mm], mass on bars of 10 and 100 mm [kg/m], share of the pressure.
GLAZE = [
    (10, 0.6, 3.1, 0.40),
    (20, 1.7, 6.8, 0.45),
    (30, 3.4, 11.0, 0.50),
    (40, 5.7, 15.8, 0.55),
    (50, 8.5, 21.2, 0.60),
]


@pytest.mark.parametrize(("mm", "thin", "thick", "k"), GLAZE)
def test_ice_weighs_what_the_standard_prints(mm, thin, thick, k):
    """To the last digit printed."""
    t = mm / 1e3
    assert float(ice.ice_on(0.01, t)) == pytest.approx(thin, abs=0.06)
    assert float(ice.ice_on(0.10, t)) == pytest.approx(thick, abs=0.06)
    assert float(ice.wind_share(t)) == pytest.approx(k)


def test_ice_is_a_case_of_its_own_only_where_the_place_has_it():
    """Nothing on the sheet, or none: one case; the gust by itself is as it was."""
    bare = _storm(FREE_POLE)
    none, iced = _storm(FREE_POLE, site__ice_thickness=0.0), _storm(FREE_POLE, site__ice_thickness=0.02)
    assert [len(storm.cases) for storm in (bare, none, iced)] == [1, 1, 2]
    assert float(iced.cases[0].moment) == float(bare.cases[0].moment)


def test_an_iced_pole_as_a_hand_works_out():
    """20 mm on a pole of 139.7 mm, and on blades and head from both sides; 0.45 of the pressure of the gust."""
    iced = _storm(FREE_POLE, site__ice_thickness=0.02).cases[1]
    stopped = TOP_FORCE / (1.5 * Q)
    force = 0.45 * 1.5 * Q * (stopped + 0.02 * 2.0 * 3)
    force = max(force, 0.45 * TOP_FORCE)
    w = 0.45 * by_hand.CD * (0.1397 + 0.04) * Q
    head = 20.0 + 2 * 900.0 * 0.02 * stopped
    steel = by_hand.STEEL * by_hand.tube(0.1397, 0.005)[0]
    on_pole = 900.0 * math.pi * (0.1397 + 0.02) * 0.02
    assert float(iced.side) == pytest.approx(force + w * 8.0, rel=1e-3)
    assert float(iced.moment) == pytest.approx(force * 8.0 + w * 32.0, rel=1e-3)
    assert float(iced.down) == pytest.approx(G * (head + (steel + on_pole) * 8.0), rel=1e-3)


def test_iced_guys_as_a_hand_works_out():
    """Pull by the arc under ice and wind, upright to each other; the mast carries half of the ice on its ropes."""
    t, d, L = 0.02, 0.006, math.hypot(8.0, 8.0)
    bare, iced = (_storm(GUYED_MAST, site__ice_thickness=t).cases[i] for i in (0, 1))
    weight = G * 900.0 * math.pi * (d + t) * t
    wind = 1.2 * (d + 2 * t) * 0.45 * Q
    H = float(iced.sideways[0])
    pull = max(H / by_hand.COS45, 900.0 + H / by_hand.COS45 / 2)
    along = math.hypot(wind, weight * by_hand.COS45)
    assert float(iced.tension[0]) == pytest.approx(by_hand.sags(pull, d, along), rel=1e-3)
    tight = by_hand.sags(900.0, d, weight * by_hand.COS45)
    pressed = max(H * math.sqrt(2), H + 2 * tight * by_hand.COS45, 4 * tight * by_hand.COS45) + 2 * weight * L
    stopped = TOP_FORCE / (1.5 * Q)
    mast = by_hand.STEEL * by_hand.tube(0.0889, 0.004)[0] + 900.0 * math.pi * (0.0889 + t) * t
    assert float(iced.down) == pytest.approx(pressed + G * (20.0 + 2 * 900.0 * t * stopped + mast * 9.2), rel=2e-3)
    assert float(bare.tension[0]) == pytest.approx(by_hand.guyed_pull(900.0), rel=1e-3)


@given(st.floats(0.001, 0.05), st.floats(0.001, 0.05))
def test_more_ice_weighs_more_and_leaves_less(a, b):
    """Of any mast."""
    low, high = sorted((a, b))
    for base in (GUYED_MAST, FREE_POLE, LATTICE_MAST):
        one, other = (_storm(base, site__ice_thickness=t).cases[1] for t in (low, high))
        assert float(other.down) >= float(one.down) - 1e-6
