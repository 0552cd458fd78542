"""Folding tails held against a balance of moments done anew: vectors in space, energy, and scipy's own search."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, fsolve

from calc.physics import tail
from tests.outside.heads import DEG, G, Head

RNG = np.random.default_rng(1704)

#: Ranges from which heads are drawn: lengths as shares of the rotor's radius, the vane of the swept area, the
#: tail's mass in kg for each m3 of the radius cubed; the others as the head has them.
RANGES = {
    "R": (0.5, 2.3), "offset": (0.04, 0.12), "overhang": (0.15, 0.3), "area": (0.06, 0.2), "aspect": (0.5, 3.0),
    "arm": (0.8, 1.6), "mass": (2.0, 8.0), "mass_arm": (0.5, 0.8), "behind": (0.0, 0.2),
    "inclination": (8 * DEG, 25 * DEG), "direction": (25 * DEG, 75 * DEG), "stop": (60 * DEG, 95 * DEG),
    "rest": (0.0, 20 * DEG), "rubbing": (0.0, 0.1), "wake": (0.4, 1.0), "side": (0.0, 0.1), "power": (2.0, 3.2),
    "lift": (0.8, 1.2), "rho": (1.1, 1.3),
}  # fmt: skip


def head_of(R, **of):
    """A head from numbers of these ranges."""
    lengths = {k: R * of[k] for k in ("offset", "overhang", "arm", "behind")}
    swept, mass, r = math.pi * R * R, of["mass"] * R**3, of["mass_arm"] * R * of["arm"]
    weighs = {"area": of["area"] * swept, "mass": mass, "mass_arm": r, "rubbing": of["rubbing"] * mass * G * r * 0.2}
    return tail.Tail(swept=swept, **{**of, **lengths, **weighs})


def drawn(n):
    """Some tails, and a thrust coefficient for each."""
    tails = [head_of(**{k: float(RNG.uniform(*ends)) for k, ends in RANGES.items()}) for _ in range(n)]
    return [(t, float(RNG.uniform(0.4, 1.0))) for t in tails]


TAILS = drawn(100)


def _same(t, C_T, winds):
    return tail.course(t, lambda V: np.full(np.shape(V), C_T), np.asarray(winds, float))


@pytest.mark.parametrize("i", range(100))
def test_begin_and_end_of_the_fold_agree_with_vectors_and_scipy(i):
    """Both winds, found by Brent's method; to begin, the head is balanced anew in each wind."""
    t, C_T = TAILS[i]
    head, found = Head(t, C_T), _same(t, C_T, np.linspace(1.0, 60.0, 60))

    def lifts(V):
        return head.fold(head.stands(0.0, V), 0.0, V, t.rubbing)

    if lifts(1000.0) <= 0:
        assert found.begins > 1000.0
        return
    assert float(found.begins) == pytest.approx(brentq(lifts, 0.01, 1000.0, xtol=1e-6), rel=1e-4)
    each = []
    for phi in np.linspace(0.0, t.stop, tail.FOLDS):
        # All moments of the air go with the square of the wind, so the yaw angle is the same in each.
        theta = head.stands(phi, 10.0)
        held = head.fold(theta, phi, 1e6, t.rubbing) > 0
        each.append(brentq(lambda V, a=theta, b=phi: head.fold(a, b, V, t.rubbing), 0.01, 1e6) if held else math.inf)
    assert float(found.ends) == pytest.approx(max(each), rel=2e-3)


@pytest.mark.parametrize("i", range(100))
def test_between_the_stops_both_moments_vanish(i):
    """In one wind halfway between begin and end, scipy's fsolve finds the same fold and yaw angle."""
    t, C_T = TAILS[i]
    ends = _same(t, C_T, [1.0, 2.0])
    if not (np.isfinite(ends.begins) and ends.begins < 100.0 and ends.ends > 1.02 * ends.begins):
        # It swings over at once, and stands nowhere between.
        return
    V = math.sqrt(float(ends.begins) * min(float(ends.ends), 2.0 * float(ends.begins)))
    found = tail.course(t, lambda W: np.full(np.shape(W), C_T), np.array([V, V + 1.0]), folds=400)
    head = Head(t, C_T)
    first = (float(found.yaw[0]), float(found.fold[0]))
    (theta, phi), _, ok, _ = fsolve(
        lambda a: (head.yaw(a[0], a[1], V), head.fold(a[0], a[1], V, t.rubbing)), first, full_output=True
    )
    assert ok == 1
    assert first == pytest.approx((theta, phi), abs=0.5 * DEG)


@pytest.mark.parametrize("i", range(20))
def test_the_weight_moment_is_the_slope_of_the_height(i):
    """The centre of mass is turned in space, its height by differences."""
    t, C_T = TAILS[i]
    head = Head(t, C_T)
    for phi in np.linspace(0.0, t.stop, 7):
        slope = t.mass * G * (head.height(phi + 1e-5) - head.height(phi - 1e-5)) / 2e-5
        assert float(tail.weight_moment(t, phi)) == pytest.approx(slope, rel=1e-6, abs=1e-6)


def test_a_builder_s_rule_for_the_balance():
    """Thrust times offset is the moment of the weight on the leaning hinge (wind 7.4, a builder's page; weak).

    A long boom whose hinge is at the yaw axis and leans to the side, the vane outside the wake, no friction.
    """
    V, C_T, A, e = 10.0, 0.85, 3.8, 0.09
    thrust = C_T * 0.5 * 1.225 * V**2 * A
    mass = thrust * e / (G * 1.0 * math.sin(15 * DEG))
    t = tail.Tail(A, e, 0.0, 0.9, 1.0, 2.5, mass, 1.0, 0.0, 15 * DEG, 90 * DEG, 80 * DEG, power=1e-9)
    # The vane's moment about a hinge that leans is less by its cosine.
    assert float(_same(t, C_T, [1.0, 2.0]).begins) == pytest.approx(V / math.sqrt(math.cos(15 * DEG)), rel=0.01)
    # The same page's thrust, D^2 V^2 / 24 kg, comes within a twentieth of that with a coefficient of 0.85.
    D = math.sqrt(4.0 * A / math.pi)
    assert thrust == pytest.approx(D**2 * V**2 / 24.0 * G, rel=0.05)


def test_a_flat_plate_is_a_slender_wing_at_small_angles_and_a_plate_across_the_wind_at_large_ones():
    """Helmbold's slope at aspect ratio 1: 2 pi / (2 + sqrt 5) a radian; a plate across the wind: 1.2 (from memory)."""
    small = 1e-4
    assert float(tail.vane_normal(small, 1.0)) / small == pytest.approx(
        2.0 * math.pi / (2.0 + math.sqrt(5.0)), rel=1e-3
    )
    assert float(tail.vane_normal(math.pi / 2.0, 1.0)) == 1.2
    assert float(tail.vane_normal(-0.2, 1.0)) == -float(tail.vane_normal(0.2, 1.0))


numbers = st.fixed_dictionaries({k: st.floats(*ends) for k, ends in RANGES.items()})


@settings(max_examples=60, deadline=None)
@given(numbers, st.floats(0.4, 1.0), st.floats(1.05, 2.0))
def test_a_heavier_tail_folds_later(of, C_T, more):
    """Begin, end and way back all come in stronger wind, by the root of the weight where nothing rubs."""
    t, heavy = (head_of(**{**of, "rubbing": 0.0, "mass": share * of["mass"]}) for share in (1.0, more))
    a, b = (_same(x, C_T, [1.0, 2.0]) for x in (t, heavy))
    for name in ("begins", "ends", "leaves", "back"):
        one, two = float(getattr(a, name)), float(getattr(b, name))
        if math.isfinite(one) and math.isfinite(two):
            assert two == pytest.approx(math.sqrt(more) * one, rel=1e-3)


@settings(max_examples=60, deadline=None)
@given(numbers, st.floats(0.4, 1.0))
def test_the_course_of_a_tail_is_bounded_and_comes_in_order(of, C_T):
    """The fold grows with the wind and stays between the stops; it comes back in no more wind than it folded in."""
    t = head_of(**of)
    found = _same(t, C_T, np.linspace(0.5, 60.0, 120))
    assert np.all(np.diff(found.fold) >= -1e-12)
    assert np.all((found.fold >= 0) & (found.fold <= t.stop + 1e-12))
    assert np.all((found.share >= 0) & (found.share <= 1.0))
    assert found.begins <= found.ends
    assert found.back <= found.leaves + 1e-9
    assert found.leaves <= found.ends + 1e-9
    assert found.back <= found.begins + 1e-9
    most = [float(found.most(V)) for V in (5.0, 10.0, 20.0, 40.0)]
    assert most == sorted(most)
    assert all(m <= V for m, V in zip(most, (5.0, 10.0, 20.0, 40.0), strict=True))


@settings(max_examples=40, deadline=None)
@given(numbers, st.floats(0.4, 1.0))
def test_without_lean_nothing_is_held_and_with_a_stuck_hinge_nothing_folds(of, C_T):
    """An upright hinge without friction folds in any wind that pushes it; one that sticks never does."""
    loose = _same(head_of(**{**of, "inclination": 0.0, "rubbing": 0.0}), C_T, [1.0, 2.0])
    assert loose.begins == 0.0
    stuck = _same(head_of(**{**of, "rubbing": math.inf}), C_T, np.linspace(1.0, 60.0, 20))
    assert np.isinf(stuck.begins)
    assert np.isinf(stuck.ends)
    assert np.all(stuck.fold == 0.0)
    assert stuck.back == 0.0


def test_many_tails_at_once_are_as_each_alone():
    """One code path for one and for a hundred."""
    of = [t for t, _ in TAILS]
    together = tail.Tail(**{k: np.array([getattr(t, k) for t in of]) for k in tail.Tail.__dataclass_fields__})
    C_T, winds = np.array([c for _, c in TAILS]), np.linspace(1.0, 50.0, 50)
    many = tail.course(together, lambda V: np.broadcast_to(C_T[:, None], (100, np.shape(V)[-1])), winds)
    for i, (t, c) in enumerate(TAILS):
        one = _same(t, c, winds)
        for name in ("begins", "ends", "leaves", "back"):
            assert float(getattr(many, name)[i]) == pytest.approx(float(getattr(one, name)), rel=3e-3), name
