"""Loads of IEC 61400-2, beams that turn, bolts, fatigue and balance, against published values and closed forms."""

from __future__ import annotations

import math
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp

from calc.machine.blade_beam import blade_beam
from calc.machine.design import build_design
from calc.machine.inputs import Inputs
from calc.machine.structure import TopLoads, design_winds, top_loads
from calc.physics import blade
from calc.physics.blade import condition, matching
from calc.physics.structure import bolts, fatigue, simple_loads, spinning
from tests.outside.plank import (
    CHORD,
    DENSITY,
    FRONT,
    MASS,
    PLANK,
    R_COG,
    R_ROOT,
    RHO,
    TENSION,
    TWIST,
    Z_FLAT,
    R,
    edgewise,
    parked_moment,
    tip_of,
)  # fmt: skip

# --- the published machine of 500 W -----------------------------------------------------------------------------------

#: D. Wood, Small Wind Turbines, Springer 2011, sec. 9.4.2 to 9.4.5: class III, three blades; thrust 118.55 N.
W_THRUST, W_TSR = 118.55, 6.77
WOOD = simple_loads.Turbine(
    B=3.0, R=0.97, m=0.4, r_cog=0.379, I=0.0633, A_B=0.231, m_r=3.98, e_r=0.005 * 0.97, L_rt=0.218, L_rb=0.0260,
    omega=73.30, Q=W_THRUST * 0.97 / (1.5 * W_TSR), omega_max=104.72, V_design=73.30 * 0.97 / W_TSR, V_ave=7.5,
    V_ref=37.5, V_e50=52.5, rho=1.225,
)  # fmt: skip


def _case(loads, letter):
    (load,) = (load for load in loads if load.case == letter)
    return load


def test_every_printed_number_of_the_worked_example():
    """B blade 40.83, B shaft 61.81, C blade 422.82 N m, D shaft 318.25 N, E blade 1662.48 N, each within 0.1 %."""
    blades, shaft = simple_loads.blade_cases(WOOD), simple_loads.shaft_cases(WOOD)
    got = (
        _case(blades, "B").flap, _case(shaft, "B").bending, _case(blades, "C").flap, _case(shaft, "D").thrust,
        _case(blades, "E").F,
    )  # fmt: skip
    assert got == pytest.approx((40.83, 61.81, 422.82, 318.25, 1662.48), rel=1e-3)
    assert _case(blades, "B").inertial / _case(blades, "B").flap > 2 / 3


def test_case_a_gives_the_sums_that_are_told():
    """Twice the pull; Q/B and twice the weight's moment; tsr Q/B; twice the hanging weight and R Fx/6 (the table)."""
    of, shaft = _case(simple_loads.blade_cases(WOOD), "A"), _case(simple_loads.shaft_cases(WOOD), "A")
    Q = 11.3237
    assert (of.F, of.edge, of.flap) == pytest.approx(
        (2 * 0.4 * 0.379 * 73.30**2, Q / 3 + 2 * 0.4 * 9.81 * 0.379, W_TSR * Q / 3), rel=1e-4
    )
    assert (shaft.thrust, shaft.torque, shaft.bending) == pytest.approx(
        (118.55, Q + 2 * 3.98 * 9.81 * 0.00485, 2 * 3.98 * 9.81 * 0.026 + 0.97 / 6 * 118.55), rel=1e-4
    )


def test_the_other_cases_by_hand():
    """E to H from the formulas as told; most of them from memory, so this holds arithmetic, not the standard."""
    blades, shaft = simple_loads.blade_cases(WOOD), simple_loads.shaft_cases(WOOD)
    push = 1.225 * 52.5**2 * 0.231
    assert _case(blades, "H parked").flap == pytest.approx(1.5 * push * 0.97 / 4)
    assert _case(blades, "H turning").flap == pytest.approx(2 * push * 0.97 / 6)
    assert _case(shaft, "H parked").thrust == pytest.approx(3 * 1.5 * push / 2)
    # 0.17 B A_B (w_max R/V_e50)^2 rho V_e50^2, the two gusts cancelling (a thesis, eqs. A.19, A.20).
    assert _case(shaft, "H turning").thrust == pytest.approx(0.17 * 3 * (104.72 * 0.97 / 52.5) ** 2 * push)
    assert _case(shaft, "F").torque == pytest.approx(2 * 11.3237, rel=1e-4)
    assert _case(blades, "F").edge == pytest.approx(2 * 11.3237 / 3, rel=1e-4)
    assert _case(shaft, "G").torque == pytest.approx(11.3237, rel=1e-4)
    assert _case(shaft, "E").bending == pytest.approx(3.98 * 0.026 * (9.81 + 0.00485 * 104.72**2))
    two = simple_loads.shaft_cases(_with(B=2.0))
    hangs, pushes = 3.98 * 9.81 * 0.026, 0.97 / 6 * 118.55
    assert _case(two, "B").bending == pytest.approx(4 * 2.9904 * 73.30 * 0.0633 + hangs + pushes, rel=1e-4)
    assert simple_loads.pressure_force(1.5, 1.225, 42.0, 1.04) == pytest.approx(0.75 * 1.225 * 42**2 * 1.04)


def _with(**changes):
    fields = {name: getattr(WOOD, name) for name in WOOD.__dataclass_fields__}
    return simple_loads.Turbine(**{**fields, **changes})


def test_many_machines_at_once_are_each_as_alone():
    """Two speeds and three winds, broadcast."""
    omega = np.array([[50.0], [73.30]])
    gust = np.array([42.0, 52.5, 70.0])
    many = _with(omega=omega, V_e50=gust)
    for loads in (simple_loads.blade_cases, simple_loads.shaft_cases):
        for load in loads(many):
            for name in ("flap", "F", "edge") if loads is simple_loads.blade_cases else ("thrust", "torque", "bending"):
                wide = np.broadcast_to(getattr(load, name), (2, 3))
                one = _case(loads(_with(omega=50.0, V_e50=70.0)), load.case)
                assert wide[0, 2] == pytest.approx(getattr(one, name))


#: Class, reference wind, mean, gust and design wind [m/s] (Tong, Table 2 and eq. 5; a thesis for class IV).
CLASSES = [("I", 50, 10, 70, 14), ("II", 42.5, 8.5, 59.5, 11.9), ("III", 37.5, 7.5, 52.5, 10.5), ("IV", 30, 6, 42, 8.4)]


@pytest.mark.parametrize(("name", "V_ref", "V_ave", "V_e50", "V_design"), CLASSES)
def test_classes_are_the_printed_ones(name, V_ref, V_ave, V_e50, V_design):
    """Their turbulence is 0.18 in all; the gust of a year is three quarters of that of fifty (from memory)."""
    c = simple_loads.CLASSES[name]
    assert (c.V_ref, c.V_ave, c.V_e50, c.V_design) == pytest.approx((V_ref, V_ave, V_e50, V_design))
    assert c.V_e1 == pytest.approx(0.75 * V_e50)
    w = design_winds(Inputs(build_design({"site.wind_class": name, "site.storm_wind": 20.0})))
    assert (w.V_ref, w.V_ave, w.V_e50, w.V_design) == pytest.approx((V_ref, V_ave, V_e50, V_design))


def test_without_a_class_the_site_gives_its_own_winds():
    """Storm and gust of the sheet, and shares of the storm for the rest."""
    w = design_winds(Inputs(build_design({"site.storm_wind": 32.0, "site.gust": 45.0})))
    assert (w.V_ref, w.V_e50, w.V_ave, w.V_design) == pytest.approx((32.0, 45.0, 6.4, 8.96))


def test_factors_are_the_printed_ones():
    """A tower of 510 MPa may see 155 (a thesis, p. 202): 1.1 for the material and 3.0 for the load."""
    assert pytest.approx(155, abs=0.5) == 510 / (simple_loads.MATERIAL_KNOWN * simple_loads.LOAD_ULTIMATE)


def test_each_equation_says_what_it_rests_on():
    """What no place is named for is from memory; each that a case names is in the table, and none is left over."""
    for equation in simple_loads.EQUATIONS.values():
        assert equation.standing in ("from memory", "derived", "reproduction")
        assert equation.where or equation.standing == "from memory"
        assert equation.source.standing.startswith("from memory" if equation.standing != "reproduction" else "repr")
    cases = (*simple_loads.blade_cases(WOOD), *simple_loads.shaft_cases(WOOD))
    named = {key for load in cases for key in load.equations}
    assert named <= simple_loads.EQUATIONS.keys()
    assert simple_loads.EQUATIONS.keys() - named == {"H part F", "I part F", "J lifting M"}


@pytest.mark.parametrize("wrong", [{"B": 1.0}, {"R": 8.0}])
def test_what_the_equations_are_not_for_is_refused(wrong):
    """One blade; more than 200 m2."""
    with pytest.raises(ValueError, match="simplified load cases"):
        simple_loads.blade_cases(_with(**wrong))
    with pytest.raises(ValueError, match="simplified load cases"):
        simple_loads.shaft_cases(_with(**wrong))


@given(
    st.floats(1.0, 300.0),
    st.floats(1.01, 3.0),
    st.sampled_from(["omega", "omega_max", "V_e50", "m", "R", "L_rt", "V_ave"]),
)
def test_no_load_falls_when_the_machine_is_larger_faster_or_windier(omega, more, what):
    """At one tip-speed ratio; every component of every case."""
    base = {"omega": omega, "V_design": omega * 0.97 / W_TSR, "omega_max": 1.2 * omega}
    small = _with(**base)
    grown = {what: getattr(small, what) * more}
    if what in ("omega", "R"):
        grown["V_design"] = small.V_design * more
    if what == "R":
        grown["Q"] = small.Q * more
    big = _with(**{**base, **grown})
    for loads, names in (
        (simple_loads.blade_cases, ("F", "edge", "flap")),
        (simple_loads.shaft_cases, ("thrust", "torque", "bending")),
    ):
        for a, b in zip(loads(small), loads(big), strict=True):
            for name in names:
                # A larger rotor is taken to yaw a little slower (3 - 0.01 (A - 2)).
                assert getattr(b, name) >= getattr(a, name) * (0.7 if what == "R" else 1.0) - 1e-9, (a.case, name)


# --- what the mast's top takes ----------------------------------------------------------------------------------------


def test_top_loads_by_hand():
    """Case D or H turning, whichever is more; stopped blades and a side of 0.3 m2; what it weighs, as stated."""
    more = {"site.storm_wind": 30.0, "site.gust": 42.0, "rotor.greatest_speed": 60.0, "hub.side_area": 0.3}
    got = top_loads(Inputs(build_design({**PLANK, **more, "hub.head_mass": 41.0})))
    assert isinstance(got, TopLoads)
    D, H = 0.5 * 3.125 * RHO * 6.0**2 * math.pi * R**2, 0.17 * 3 * FRONT * RHO * (60.0 * R) ** 2
    stopped = 1.5 * RHO / 2 * (3 * FRONT + 0.3)
    assert (got.running, got.braked, got.parked) == pytest.approx(
        (max(D, H), stopped * 42.0**2, stopped * 30.0**2), rel=1e-3
    )
    assert (got.head_mass, got.greatest) == (41.0, 60.0)
    assert got.worst == max(got.running, got.braked)


# --- beams that turn --------------------------------------------------------------------------------------------------


def _bar(n, L=1.0, r0=0.0, mass=2.0, EI=100.0):
    r = r0 + (np.arange(n) + 0.5) / n * L
    return spinning.Beam(r, np.full(n, L / n), np.full(n, mass / n), np.full(n, EI))


@pytest.mark.parametrize(("n", "within"), [(12, 1e-2), (20, 3e-3), (80, 2e-4)])
def test_a_plain_cantilever(n, within):
    """3.516/(2 pi) sqrt(E I/m L^3); an even push bends it q L^4/(8 E I), with q L^2/2 at the root."""
    bar = _bar(n)
    assert float(spinning.first_frequency(bar)) == pytest.approx(3.516 / 2 / math.pi * math.sqrt(50.0), rel=2 * within)
    bent = spinning.bend(bar, 0.0, np.full(n, 10.0 / n))
    assert (float(bent.root), float(bent.tip)) == pytest.approx((5.0, 10.0 / 800.0), rel=within)


def test_a_tapered_blade_at_rest_and_turning():
    """27.82 Hz; 28.13, 29.04, 30.48 Hz at 200, 400, 600 rpm: finite elements, f^2 = f0^2 + 1.55 n^2 (turns/s)."""
    n = 80
    s = (np.arange(n) + 0.5) / n
    c, t = 0.15 + (0.06 - 0.15) * s, 0.024 + (0.008 - 0.024) * s
    of = spinning.Beam(0.1 + s, np.full(n, 1 / n), 450.0 * c * t / n, 11e9 * c * t**3 / 12)
    speeds = np.array([0.0, 200.0, 400.0, 600.0]) * math.pi / 30
    got = spinning.first_frequency(of, speeds)
    assert got == pytest.approx([27.82, 28.13, 29.04, 30.48], abs=0.015)


@pytest.mark.parametrize("omega", [5.0, 20.0, 60.0])
def test_a_turning_blade_bends_as_the_differential_equation_says(omega):
    """(E I w'')'' - (T w')' = q by collocation (scipy), an even push on a bar that begins 0.2 m from the shaft."""
    L, r0, m, EI, q = 1.0, 0.2, 2.0, 100.0, 30.0

    def T(x):
        return m * omega**2 * ((r0 + L) ** 2 - (r0 + x) ** 2) / 2

    def slopes(x, y):
        return np.stack([y[1], y[2] / EI, y[3], T(x) * y[2] / EI - m * omega**2 * (r0 + x) * y[1] + q])

    def ends(a, b):
        return np.array([a[0], a[1], b[2], b[3]])

    x = np.linspace(0, L, 200)
    found = solve_bvp(slopes, ends, x, np.zeros((4, 200)), tol=1e-8, max_nodes=100000)
    bent = spinning.bend(_bar(100, L, r0, m, EI), omega, np.full(100, q / 100))
    assert found.success
    assert (float(bent.tip), float(bent.root)) == pytest.approx((found.y[0, -1], found.y[2, 0]), rel=5e-3)


def test_the_pull_of_a_bar():
    """0.9 kg over one metre at 50 rad/s pull 1125 N at the shaft (worked out from D. Wood, eq. 9.49)."""
    pull = spinning.pull_along(_bar(1000, mass=0.9), 50.0)
    assert pull[0] == pytest.approx(1125.0, rel=2e-3)
    assert np.all(np.diff(pull) < 0)


@given(st.floats(0.0, 80.0), st.floats(0.1, 20.0))
def test_a_faster_blade_bends_less_and_swings_faster(omega, more):
    """Whatever the speed, a little more of it straightens."""
    bar, push = _bar(12, r0=0.1), np.full(12, 1.0)
    slow, fast = (spinning.bend(bar, w, push) for w in (omega, omega + more))
    assert fast.tip < slow.tip
    assert fast.root < slow.root
    assert spinning.first_frequency(bar, omega + more) > spinning.first_frequency(bar, omega)


# --- bolts ------------------------------------------------------------------------------------------------------------

#: Class; shear and tension of M6, M8, M10, M12 [kN]: EN 1993-1-8 by arithmetic, 16.2 and 24.3 printed (a steel maker).
BOLTS = [
    ("4.6", (3.86, 7.03, 11.14, 16.19), (5.79, 10.54, 16.70, 24.28)),
    ("8.8", (7.72, 14.05, 22.27, 32.37), (11.58, 21.08, 33.41, 48.56)),
    ("A2-70", (5.63, 10.25, 16.24, 23.60), (10.13, 18.45, 29.23, 42.49)),
]


@pytest.mark.parametrize(("name", "shear", "tension"), BOLTS)
def test_bolts_are_as_strong_as_the_code_says(name, shear, tension):
    """Stress areas 20.1, 36.6, 58.0, 84.3 mm2."""
    d = np.array([6.0, 8.0, 10.0, 12.0]) * 1e-3
    assert bolts.stress_area(d) * 1e6 == pytest.approx([20.1, 36.6, 58.0, 84.3], rel=2e-3)
    assert bolts.shear_strength(d, name) / 1e3 == pytest.approx(shear, rel=1e-3)
    assert bolts.tension_strength(d, name) / 1e3 == pytest.approx(tension, rel=2e-3)


#: d, d0, e1, e2, p1, p2, f_u [mm, MPa]; printed kN for 5 mm (a steel maker's worked nodes).
BEARING = [
    (12, 14, 25, 20, 35, 40, 470, 30.3),
    (12, 14, 25, 20, 35, 40, 540, 34.8),
    (16, 18, 35, 25, 50, 50, 470, 42.7),
]


@pytest.mark.parametrize(("d", "d_0", "e_1", "e_2", "p_1", "p_2", "f_u", "kN"), BEARING)
def test_bearing_of_a_metal_part(d, d_0, e_1, e_2, p_1, p_2, f_u, kN):
    """EN 1993-1-8, Table 3.4."""
    mm = (v / 1e3 for v in (d, d_0, e_1, e_2))
    got = bolts.bearing_strength(*mm, 0.005, f_u * 1e6, 400e6, p_1 / 1e3, p_2 / 1e3)
    assert got / 1e3 == pytest.approx(kN, abs=0.06)


@given(st.floats(0.005, 0.2), st.floats(1.01, 3.0))
def test_a_bolt_further_in_tears_out_later(e_1, more):
    """And one at the very rim at once."""
    assert bolts.tear_out(e_1 * more, 0.008, 0.006, 30e6) > bolts.tear_out(e_1, 0.008, 0.006, 30e6)
    assert bolts.tear_out(0.004, 0.008, 0.006, 30e6) == 0.0


# --- what weather and wood leave --------------------------------------------------------------------------------------

#: Temperature [degF] and share left of PVC-U (pipe maker's table).
DERATED = [(73, 1.0), (80, 0.88), (90, 0.75), (100, 0.62), (110, 0.51), (120, 0.40), (130, 0.31), (140, 0.22)]


@pytest.mark.parametrize(("F", "share"), DERATED)
def test_warm_pvc(F, share):
    """At each node; 230 psi at 120 degF are 92."""
    assert blade.pvc_factor((F + 459.67) * 5 / 9) == pytest.approx(share, abs=1e-9)
    assert F != 120 or 230 * blade.pvc_factor((F + 459.67) * 5 / 9) == pytest.approx(92)


@given(st.floats(0.0, 0.19), st.floats(0.0, 0.5))
def test_steeper_grain_and_wetter_wood_are_weaker(slope, u):
    """And never stronger than clear, dry wood."""
    assert condition.grain_share(slope + 0.01) < condition.grain_share(slope) <= 1.0
    assert condition.moisture_share(u + 0.01) <= condition.moisture_share(u) <= 1.0


def test_wood_at_its_nodes():
    """One in ten keeps 0.81, one in five 0.55; green wood 0.6 (Wood Handbook, from memory); beyond, nothing is told."""
    assert [condition.grain_share(s) for s in (0.1, 0.2)] == pytest.approx([0.81, 0.55])
    assert [condition.moisture_share(u) for u in (0.08, 0.12, 0.25, 0.3)] == pytest.approx([1.0, 1.0, 0.6, 0.6])
    with pytest.raises(ValueError, match="1 in 5"):
        condition.grain_share(0.25)


# --- fatigue ----------------------------------------------------------------------------------------------------------


@given(st.floats(1e5, 4e7), st.floats(3.0, 15.0), st.floats(1.01, 2.0))
def test_a_line_of_stress_against_cycles(S, m, more):
    """(S_u/S)^m, and back; more stress is a shorter life."""
    N = fatigue.cycles_to_failure(S, 50e6, m)
    assert pytest.approx((50e6 / S) ** m, rel=1e-6) == N
    assert fatigue.life_stress(N, 50e6, m) == pytest.approx(S, rel=1e-6)
    assert fatigue.cycles_to_failure(S * more, 50e6, m) < N


def test_a_mean_stress_wears_as_goodman_says():
    """5 MPa about 10 of 50 are 6.25 about nought; nothing lasts about the strength itself."""
    assert fatigue.equal_amplitude(5e6, 10e6, 50e6) == pytest.approx(6.25e6)
    assert fatigue.equal_amplitude(5e6, 50e6, 50e6) == math.inf


# --- balance ----------------------------------------------------------------------------------------------------------

MOMENTS = st.lists(st.floats(0.1, 2.0), min_size=2, max_size=6)


@given(MOMENTS)
def test_unbalance_is_the_sum_of_vectors(moments):
    """Component by component."""
    angles = [2 * math.pi * i / len(moments) for i in range(len(moments))]
    x = sum(M * math.cos(a) for M, a in zip(moments, angles, strict=True))
    y = sum(M * math.sin(a) for M, a in zip(moments, angles, strict=True))
    left, _ = matching.unbalance(np.array(moments))
    assert float(left) == pytest.approx(math.hypot(x, y), abs=1e-12)


@given(MOMENTS)
def test_no_order_leaves_less(moments):
    """All orders of the whole set, and a weight on every lighter blade leaves nothing."""
    best = matching.match(moments, len(moments))
    every = [float(matching.unbalance(np.array(order))[0]) for order in permutations(moments)]
    assert best.unbalance == pytest.approx(min(every), abs=1e-9)
    added = [M + 0.3 * w for M, w in zip(moments, matching.weights(moments, 0.3), strict=True)]
    assert float(matching.unbalance(np.array(added))[0]) == pytest.approx(0.0, abs=1e-9)


def test_a_spare_blade_is_left_out_where_it_does_not_fit():
    """Three alike and one heavier: the heavier stays on the shelf."""
    best = matching.match([0.5, 0.56, 0.5, 0.5], 3)
    assert sorted(best.order) == [0, 2, 3]
    assert best.unbalance == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("moments", "B"), [([0.5, 0.5], 3), ([0.5], 1), ([0.5] * 14, 9)])
def test_what_cannot_be_matched_is_refused(moments, B):
    """Too few blades, a single one, too many to try."""
    with pytest.raises(ValueError, match="blades"):
        matching.match(moments, B)


def test_stopped_by_the_strongest_gust_a_plank_bends_as_by_hand():
    """The moment of case H in the table of turning points is that of the formula."""
    t = _with(A_B=FRONT, R=R, V_e50=42.0)
    assert _case(simple_loads.blade_cases(t), "H parked").flap == pytest.approx(parked_moment(42.0))


# --- edge and flap at once --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("flap", "edge"), [(10.0, 0.0), (0.0, 10.0), (8.0, 15.0), (8.0, -15.0), (-5.0, 20.0)])
def test_a_pipe_section_is_bent_in_both_directions_as_strips_of_it_say(flap, edge):
    """Unsymmetric bending of the arc cut into pieces, its axes those of the rotor and not of the section."""
    s = blade.root_section(0.160, 0.004, 0.095, 0.095, np.radians(21.0))
    s = type(s)(**{**{n: getattr(s, n) for n in s.__dataclass_fields__}, "arm_flat": 0.0, "arm_edge": 0.0})
    rho = np.linspace(s.R_inner, s.R_outer, 41)
    rho, psi = np.meshgrid((rho[1:] + rho[:-1]) / 2, np.linspace(-s.beta, s.beta, 4001))
    y, x, dA = rho * np.cos(psi), rho * np.sin(psi), rho
    y = y - np.sum(y * dA) / np.sum(dA)
    # Downwind, and the way it turns.
    at = np.stack([y * np.cos(s.twist) - x * np.sin(s.twist), y * np.sin(s.twist) + x * np.cos(s.twist)])
    I = np.einsum("aij,bij,ij->ab", at, at, dA) / np.sum(dA) * s.area
    curve = np.linalg.solve(I, [flap, edge])
    assert blade.root_stress(s, 0.0, flap, edge) == pytest.approx(np.max(-np.tensordot(curve, at, 1)), rel=0.01)


@pytest.mark.parametrize(("case", "torque", "hangs"), [("F", 2.0, 0.0), ("G", 1.0, 1.0)])
def test_a_stopped_plank_is_bent_edgewise_all_along(case, torque, hangs):
    """Its own mass goes on (r m), its weight hangs (m): moments of both by the integral, pull of a bar that turns."""
    Q, omega = 60.0, 20.0
    of = blade_beam(Inputs(build_design({**PLANK, "rotor.design_speed": omega, "rotor.design_torque": Q})))
    (seen,) = (seen for seen in of.seen if seen.case == case)
    r = of.places()
    going = ((R**3 - r**3) / 3 - r * (R**2 - r**2) / 2) / ((R**3 - R_ROOT**3) / 3 - R_ROOT * (R**2 - R_ROOT**2) / 2)
    hanging = ((R - r) / (R - R_ROOT)) ** 2
    M = torque * Q / 3 * going + hangs * MASS * 9.81 * R_COG * hanging
    pull = DENSITY * omega**2 * (R**2 - r**2) / 2 / TENSION
    twist = np.interp(r, [R_ROOT, R], [TWIST, 0.05])
    S = pull + M * (np.cos(twist) / (edgewise() * CHORD**3) + np.sin(twist) / Z_FLAT)
    assert seen.soft == pytest.approx(S, rel=0.02, abs=0.01 * S[0])


def test_yawing_bends_a_plank_as_far_upwind_as_downwind_but_for_its_thrust():
    """Case B, so slow that nothing straightens it: both differ by twice what R Fx/9 bends it (textbook)."""
    changes = {"rotor.design_speed": 2.0, "rotor.design_torque": 2.0, "rotor.greatest_speed": 3.0}
    of = blade_beam(Inputs(build_design({**PLANK, **changes})))
    (B,) = (seen for seen in of.seen if seen.case == "B")
    thrust = 1.5 * (2.0 * R / 2.8) * 2.0 / R
    assert B.tip - B.back == pytest.approx(2 * tip_of(R / 9 * thrust), rel=0.03)
    assert B.back > 0
