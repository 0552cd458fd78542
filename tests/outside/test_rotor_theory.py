"""The rotor solver against closed theory, published relations and an independent root finder."""

import numpy as np
import pytest
from scipy.optimize import brentq

from calc.machine.catalogue import Sheet
from calc.machine.spread import draw
from calc.physics import rotor
from calc.physics.blade import blade_from_table, cut_from_pipe
from calc.physics.momentum import blocking, prandtl
from calc.physics.polar import arc_plate, named_section
from tests.sections import tabulated

DESIGN_ANGLE = np.radians(7.0)
_RISE = np.radians(np.arange(-20.0, 20.5, 0.5))
#: Section without drag that lifts 1.0 at 7 degrees and 2 pi more per radian.
IDEAL = tabulated(_RISE, 1 + 2 * np.pi * (_RISE - DESIGN_ANGLE), np.zeros_like(_RISE))

# Glauert's rotor with wake rotation: exact solution, worked out from the closed form
# lambda^2 = (1-a)(1-4a)^2/(1-3a) and checked by direct maximisation in each ring. The table printed in
# textbooks is rounded and differs by up to 0.004.
GLAUERT = [
    (1.0, 0.4155),
    (1.5, 0.4772),
    (2.0, 0.5112),
    (3.0, 0.5454),
    (4.0, 0.5615),
    (5.0, 0.5704),
    (6.0, 0.5759),
    (7.0, 0.5795),
    (10.0, 0.5852),
]


@pytest.mark.parametrize(("tsr", "cp"), GLAUERT)
def test_optimum_blade_reaches_glauert(tsr, cp):
    """No drag, no losses, chord and angle of the optimum rotor: the exact Cp within 0.0003."""
    r = np.linspace(0.005, 1.0, 2000)
    phi = 2 / 3 * np.arctan(1 / (tsr * r))
    blade = blade_from_table(r, 8 * np.pi * r * (1 - np.cos(phi)) / 3, phi - DESIGN_ANGLE, 1.0, 0.005, n=200)
    got = rotor.curve(blade, 8.0, tip_speed_ratio=np.array([tsr]), section=IDEAL, losses=False)
    assert got.solved.all()
    assert got.cp[0] == pytest.approx(cp, abs=3e-4)


# Betz blade, 3 blades, TSR 7, cl 1.0 at 7 deg: r/R, pitch [deg], c/R. Manwell, McGowan and Rogers, Wind
# Energy Explained, Betz-optimum example; from memory, and it agrees with phi = atan(2 / 3 lambda_r).
BETZ = np.array(
    [
        (0.1, 36.60, 0.2751),
        (0.2, 18.46, 0.1715),
        (0.3, 10.61, 0.1207),
        (0.4, 6.39, 0.0924),
        (0.5, 3.78, 0.0746),
        (0.6, 2.02, 0.0625),
        (0.7, 0.75, 0.0538),
        (0.8, -0.21, 0.0472),
        (0.9, -0.96, 0.0420),
        (1.0, -1.56, 0.0378),
    ]
)


def test_betz_blade_comes_near_the_limit():
    """The Betz blade at its design point lies within 3 % of the exact optimum of 0.5795, and not above."""
    blade = blade_from_table(BETZ[:, 0] * 5, BETZ[:, 2] * 5, np.radians(BETZ[:, 1]), 5.0, 0.5, n=60)
    got = rotor.curve(blade, 8.0, tip_speed_ratio=np.array([7.0]), section=IDEAL, losses=False)
    assert 0.97 * 0.5795 < got.cp[0] < 0.5795


def induction(k, F):
    """Share of the wind's speed taken off by a ring of loading k = sigma c_n / (4 F sin^2 phi), as solved."""
    return 1 - 1 / float(blocking(np.array(1.0), np.array(4.0 * F * k), np.array(F)))


def buhl(a, F):
    """Thrust coefficient above a = 0.4 (Buhl, NREL/TP-500-36834, 2005; coefficients from memory)."""
    return 8 / 9 + (4 * F - 40 / 9) * a + (50 / 9 - 4 * F) * a * a


@pytest.mark.parametrize("F", [1.0, 0.9, 0.6, 0.3])
@pytest.mark.parametrize("k", [0.7, 0.8, 1.2, 3.0, 50.0])
def test_heavy_loading_is_buhls(F, k):
    """The induction found puts the blade's thrust on Buhl's curve."""
    a = induction(k, F)
    assert 4 * F * k * (1 - a) ** 2 == pytest.approx(buhl(a, F), rel=1e-9)


@pytest.mark.parametrize("F", [1.0, 0.8, 0.5])
def test_buhl_end_points(F):
    """CT = 0.96 F where a = 0.4, CT = 2 where the wind is stopped, and one slope at the join."""
    a = induction(2 / 3, F)
    assert a == pytest.approx(0.4)
    assert 4 * F * (2 / 3) * (1 - a) ** 2 == pytest.approx(0.96 * F)
    k = 1e12
    assert 4 * F * k * (1 - induction(k, F)) ** 2 == pytest.approx(2.0, rel=1e-4)
    below, at, above = (induction(2 / 3 + e, F) for e in (-1e-5, 0.0, 1e-5))
    assert (above - at) == pytest.approx(at - below, rel=1e-3)


# Ning's closed form, spot values: k, F, a.
SPOTS = [(0.8, 1.0, 0.442005), (1.2, 1.0, 0.524773), (3.0, 1.0, 0.671824), (1.2, 0.9, 0.523147)]


@pytest.mark.parametrize(("k", "F", "a"), SPOTS)
def test_induction_spot_values(k, F, a):
    """The form without division by zero gives the same numbers as the gamma form."""
    g1, g2, g3 = 2 * F * k - (10 / 9 - F), 2 * F * k - F * (4 / 3 - F), 2 * F * k - (25 / 9 - 2 * F)
    assert induction(k, F) == pytest.approx(a, abs=5e-7)
    assert induction(k, F) == pytest.approx((g1 - np.sqrt(g2)) / g3, rel=1e-9)


def test_light_loading_is_momentum_theory():
    """Below 0.4 the induction is k / (1 + k)."""
    assert induction(0.5, 0.9) == pytest.approx(1 / 3)


def test_prandtl_worked_value():
    """Three blades, r/R = 0.9, phi = 6 deg: f = 1.5945, F = 0.8699."""
    f = 1.5 * 0.1 / (0.9 * np.sin(np.radians(6.0)))
    assert f == pytest.approx(1.5945, abs=5e-4)
    assert float(prandtl(np.array(f))) == pytest.approx(0.8699, abs=5e-5)


def textbook_cp(blade, V, B, tsr, n):
    """Cp by Ning's residual as published, one strip after another, root by scipy's brentq."""
    section = arc_plate(blade.camber, blade.thickness)
    cp = 0.0
    for i in range(n):
        r, c, theta = blade.r[i], blade.chord[i], blade.twist[i]
        speed, sigma = tsr * r / blade.R, B * c / (2 * np.pi * r)
        Re = V * np.hypot(speed, 2 / 3) * c / rotor.AIR_VISCOSITY

        def parts(phi, r=r, theta=theta, sigma=sigma, Re=Re, i=i):
            cl, cd = (x[i] for x in section.at(phi - theta, Re))
            s, co = np.sin(phi), np.cos(phi)
            cn, ct = cl * co + cd * s, cl * s - cd * co
            tip = B / 2 * (blade.R - r) / (r * s)
            hub = B / 2 * (r - blade.r_root) / (blade.r_root * s)
            F = (2 / np.pi) ** 2 * np.arccos(np.exp(-tip)) * np.arccos(np.exp(-hub))
            k, kk = sigma * cn / (4 * F * s * s), sigma * ct / (4 * F * s * co)
            if k <= 2 / 3:
                return k / (1 + k), kk / (1 - kk), ct
            g1, g2, g3 = 2 * F * k - (10 / 9 - F), 2 * F * k - F * (4 / 3 - F), 2 * F * k - (25 / 9 - 2 * F)
            return (g1 - np.sqrt(g2)) / g3, kk / (1 - kk), ct

        def residual(phi, speed=speed, parts=parts):
            a, aa, _ = parts(phi)
            return np.sin(phi) / (1 - a) - np.cos(phi) / (speed * (1 + aa))

        phi = brentq(residual, 1e-4, np.pi / 2 - 1e-9, xtol=1e-12)
        a, _, ct = parts(phi)
        flow = ((1 - a) / np.sin(phi)) ** 2
        cp += 2 * sigma * flow * ct * r * r * blade.dr[i] / blade.R**3 * tsr
    return cp


@pytest.mark.parametrize("tsr", [4.5, 5.5, 6.5])
def test_solver_agrees_with_an_independent_root_finder(tsr):
    """All strips at once give the same as textbook equations solved one by one."""
    blade = cut_from_pipe(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(22.0), n=8)
    got = rotor.curve(blade, 8.0, tip_speed_ratio=np.array([tsr]))
    assert got.cp[0] == pytest.approx(textbook_cp(blade, 8.0, 3, tsr, 8), abs=1e-5)


# NREL/TP-500-29955, Table A-1, standard tip: r [m], chord [m], twist [deg].
PHASE_VI = np.array(
    [
        (1.2575, 0.7370, 20.040),
        (1.3430, 0.7280, 18.074),
        (1.5100, 0.7110, 14.292),
        (1.6480, 0.6970, 11.909),
        (1.9520, 0.6660, 7.979),
        (2.2570, 0.6360, 5.308),
        (2.5620, 0.6050, 3.425),
        (2.8670, 0.5740, 2.083),
        (3.1720, 0.5430, 1.150),
        (3.4760, 0.5120, 0.494),
        (3.7810, 0.4820, -0.015),
        (4.0860, 0.4510, -0.475),
        (4.3910, 0.4200, -0.920),
        (4.6960, 0.3890, -1.352),
        (5.0290, 0.3551, -1.815),
    ]
)
# S809, Re about 1e6, same report, Tables: alpha [deg], cl, cd.
S809 = np.array(
    [
        (-8.2, -0.580, 0.027),
        (-6.2, -0.610, 0.019),
        (-4.1, -0.400, 0.013),
        (-2.1, -0.160, 0.009),
        (0.0, 0.070, 0.009),
        (2.1, 0.300, 0.009),
        (4.1, 0.550, 0.009),
        (6.1, 0.790, 0.009),
        (8.2, 0.900, 0.017),
        (10.1, 0.940, 0.049),
        (12.2, 0.970, 0.064),
        (14.2, 1.020, 0.083),
        (16.2, 1.010, 0.143),
        (18.1, 0.900, 0.185),
        (20.0, 0.670, 0.321),
        (22.1, 0.700, 0.370),
        (26.1, 0.910, 0.536),
    ]
)
# Wind [m/s], torque [N m], thrust [N]. Regression: our own output, attached flow. The measured torque at
# 7 m/s is about 770 N m, from memory.
ATTACHED = [(5.0, 266.0, 592.0), (7.0, 751.0, 1112.0)]


@pytest.mark.parametrize(("V", "torque", "thrust"), ATTACHED)
def test_phase_vi_rotor(V, torque, thrust):
    """Two blades, 71.63 rpm, tip at 3 deg: geometry and section of a rotor that was measured."""
    blade = blade_from_table(PHASE_VI[:, 0], PHASE_VI[:, 1], np.radians(PHASE_VI[:, 2] + 4.815), 5.029, 1.2575, n=40)
    section = tabulated(np.radians(S809[:, 0]), S809[:, 1], S809[:, 2])
    got = rotor.curve(blade, V, B=2, tip_speed_ratio=np.array([37.72 / V]), section=section)
    force = 0.5 * 1.225 * np.pi * 5.029**2 * V**2
    assert got.solved.all()
    assert got.cq[0] * force * 5.029 == pytest.approx(torque, rel=0.01)
    assert got.ct[0] * force == pytest.approx(thrust, rel=0.01)


#: Measured torque of that rotor (Sequence S, upwind, 3 deg), read off published figures: from memory, within 5 %.
MEASURED = {7.0: 780.0, 10.0: 1340.0, 13.0: 1280.0, 15.0: 1170.0, 20.0: 1080.0}
STALLED = (13.0, 15.0, 20.0)


def _torque(V, **doubts):
    blade = blade_from_table(PHASE_VI[:, 0], PHASE_VI[:, 1], np.radians(PHASE_VI[:, 2] + 4.815), 5.029, 1.2575, n=40)
    section = tabulated(np.radians(S809[:, 0]), S809[:, 1], S809[:, 2])
    got = rotor.curve(blade, V, B=2, tip_speed_ratio=np.array([37.72 / V]), section=section, **doubts)
    return got.cq[..., 0] * 0.5 * 1.225 * np.pi * 5.029**2 * V**2 * 5.029


@pytest.mark.parametrize("V", MEASURED)
def test_doubt_of_the_stall_holds_the_measured_rotor(V):
    """Plain theory misses the torque by 25 to 65 % once the blades stall; the range that verdicts use holds it.

    A measured section, as here, is far better known than a plate: lift within 9 %, drag within 16 %.
    """
    entry = Sheet.blade.stall_later
    later = entry.assumed.low + draw(200, "later") * (entry.assumed.high - entry.assumed.low)
    lift, drag = ((1 + share) ** (2 * draw(200, name) - 1) for name, share in (("l", 0.09), ("d", 0.16)))
    low, high = np.percentile(_torque(V, stall_later=later, lift_factor=lift, drag_factor=drag), [5, 95])
    assert low < MEASURED[V] < high
    missed = 1 - _torque(V) / MEASURED[V]
    assert (0.25 < missed < 0.65) if V in STALLED else abs(missed) < 0.10


def test_a_later_stall_changes_nothing_before_the_stall():
    assert _torque(5.0, stall_later=np.radians(6.0)) == pytest.approx(_torque(5.0), rel=1e-3)
    assert (
        _torque(13.0, stall_later=np.radians(-2.0))
        < 0.9 * _torque(13.0)
        < 0.9 * _torque(13.0, stall_later=np.radians(2.0))
    )


def test_named_section_has_the_zero_lift_angle_of_thin_aerofoil_theory():
    """NACA 4412: thin-aerofoil theory gives no lift at -4.15 deg (Abbott and von Doenhoff, from memory)."""
    section = named_section("NACA 4412")
    degrees = np.linspace(-6.0, 0.0, 61)
    cl, _ = section.at(np.radians(degrees), 1e6)
    assert np.interp(0.0, cl, degrees) == pytest.approx(-4.15, abs=0.5)
