"""The tail as a thing that can break: plates, arms and blows against independent sums and integrations."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import eigh

from calc.machine.head_loads import HeadLoad, by_case, reactions
from calc.physics import tail
from calc.physics.structure import cantilever, simple_loads
from tests.outside.heads import DEG, G, Head
from tests.outside.test_structure import WOOD


def _bar(n, L, EI, mu, m):
    """Stiffness and mass of a clamped arm of n pieces with cubic shapes and a mass at its end (any textbook)."""
    a = L / n
    k = np.array([[12, 6 * a, -12, 6 * a], [6 * a, 4 * a * a, -6 * a, 2 * a * a],
                  [-12, -6 * a, 12, -6 * a], [6 * a, 2 * a * a, -6 * a, 4 * a * a]]) * EI / a**3  # fmt: skip
    o = np.array([[156, 22 * a, 54, -13 * a], [22 * a, 4 * a * a, 13 * a, -3 * a * a],
                  [54, 13 * a, 156, -22 * a], [-13 * a, -3 * a * a, -22 * a, 4 * a * a]]) * mu * a / 420  # fmt: skip
    K, M = np.zeros((2 * n + 2, 2 * n + 2)), np.zeros((2 * n + 2, 2 * n + 2))
    for i in range(n):
        at = slice(2 * i, 2 * i + 4)
        K[at, at] += k
        M[at, at] += o
    M[-2, -2] += m
    return K[2:, 2:], M[2:, 2:]


@pytest.mark.parametrize(("mu", "m"), [(1.0, 0.5), (2.0, 2.0), (3.0, 0.2), (0.01, 4.0)])
def test_an_arm_swings_as_finite_elements_of_scipy_have_it(mu, m):
    """Rayleigh's 33/140 is never lower, and by 1.5 % at most too high."""
    f = math.sqrt(eigh(*_bar(12, 1.4, 15e3, mu, m), eigvals_only=True)[0]) / (2 * math.pi)
    got = cantilever.arm_frequency(15e3, 1.4, m, mu * 1.4)
    assert f * 0.9999 <= got <= 1.015 * f


def test_a_plate_swings_as_a_plain_cantilever():
    """The same elements, a strip of 1 m width: 6 mm of plywood, 300 mm off its hold."""
    EI, mu = 6e9 * 0.006**3 / 12, 600 * 0.006
    f = math.sqrt(eigh(*_bar(12, 0.3, EI, mu, 0.0), eigvals_only=True)[0]) / (2 * math.pi)
    assert cantilever.plate_frequency(6e9, 600.0, 0.006, 0.3) == pytest.approx(f, rel=1e-3)


def test_a_plate_bends_as_an_even_load_on_a_cantilever_does():
    """W L^2/2 over t^2/6 of each metre of its edge (textbook)."""
    assert cantilever.plate_stress(1620.0, 0.3, 0.006) == pytest.approx(1620 * 0.3**2 / 2 / (0.006**2 / 6))


def test_a_blow_bends_the_arm_as_a_mass_on_a_spring():
    """A mass at the end of an arm that is stopped at its root, integrated in time: its greatest bending moment."""
    EI, L, m, v = 12e3, 1.4, 3.0, 2.5
    k = 3 * EI / L**3
    swing = solve_ivp(lambda _, y: (y[1], -k * y[0] / m), (0, 0.2), (0.0, v), max_step=1e-4, rtol=1e-9)
    most = 3 * EI / L**2 * np.max(swing.y[0])
    assert cantilever.stopped_moment(m * v * v / 2, EI, L) == pytest.approx(most, rel=1e-4)


@pytest.mark.parametrize(("lean", "direction", "fold"), [(20, 45, 95), (15, 90, 80), (10, 10, 60), (25, 60, 110)])
def test_a_falling_tail_has_the_energy_of_its_height(lean, direction, fold):
    """Its centre turned about the leaning hinge by vectors: weight times how far it has come down."""
    of = {
        "swept": 3.8, "offset": 0.1, "overhang": 0.2, "area": 0.3, "aspect": 1.0, "arm": 1.2, "mass": 4.4,
        "mass_arm": 0.95, "behind": 0.1, "inclination": lean * DEG, "direction": direction * DEG, "stop": fold * DEG,
        "rest": 0.2,
    }  # fmt: skip
    own = Head(SimpleNamespace(**of), 0.8)
    falls = own.height(fold * DEG) - own.height(0.0)
    assert tail.fall_energy(tail.Tail(**of), fold * DEG) == pytest.approx(4.4 * G * falls)


def test_the_load_on_a_tail_is_the_printed_one():
    """Cf 1.5, 42 m/s and 1.04 m2 (an engineering thesis after IEC 61400-2, p. 135) come to 1685 N at 1.225 kg/m3."""
    assert simple_loads.pressure_force(simple_loads.CF_TAIL, 1.225, 42.0, 1.04) == pytest.approx(1685, abs=1)


def test_a_head_on_its_bearings_by_hand():
    """The published machine of 500 W (D. Wood): cases B and D on bearings 200 mm apart, the shaft 100 mm above."""
    (D,) = (load for load in simple_loads.shaft_cases(WOOD) if load.case == "D")
    hangs = 3.98 * 9.81 * 0.218
    upper, lower = reactions(HeadLoad("D", D.thrust, 280.0, hangs, ()), 0.2, 0.1)
    # Moments about the lower bearing and about the upper one.
    assert upper * 0.2 == pytest.approx(318.25 * 0.3 + hangs, rel=1e-4)
    assert lower * 0.2 == pytest.approx(318.25 * 0.1 + hangs, rel=1e-4)
    B = by_case(WOOD, 280.0, hangs)["B"]
    assert B.moment == pytest.approx(61.81 - 3.98 * 9.81 * 0.026 + hangs, rel=1e-3)
