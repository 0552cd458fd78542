"""The generator against textbook values, a published characteristic and independent calculations."""

import math

import numpy as np
import pytest

from calc.physics import generator, wiring

RPM = math.pi / 30.0
ANGLES = np.linspace(0.0, 2.0 * np.pi, 36001)[:-1]
LINES = np.array([np.sin(ANGLES + a) for a in np.radians([0.0, 60.0, 120.0, 180.0, 240.0, 300.0])])


def test_six_pulse_mean():
    """V_dc = 1.3505 V_LL: average-value rectifier, mathworks.com; here also by averaging the six tops."""
    k = generator.emf_rectified(1.0, "between two leads, RMS")
    assert k == pytest.approx(1.3505, rel=1e-4)
    assert k == pytest.approx(np.mean(LINES.max(axis=0)) * math.sqrt(2.0), rel=1e-6)


def test_peak_reverse_voltage():
    """PIV = sqrt(2) V_LL (Modelica Standard Library, SMEE_Rectifier: sqrt(2*3) V_ph) = 1.047 V_dc (from memory)."""
    peak = generator.emf_peak(1.0, "lead to star point, RMS")
    assert peak == pytest.approx(math.sqrt(6.0))
    assert peak / generator.emf_rectified(1.0, "lead to star point, RMS") == pytest.approx(1.0472, rel=1e-4)


def test_currents_of_the_bridge():
    """Line RMS 0.8165 of the direct current (from memory), from 120 deg blocks."""
    top = LINES.argmax(axis=0)
    # Lines ab, -ca... in steps of 60 deg: lead a carries the current in two of the six blocks, returns it in two.
    lead = np.select([np.isin(top, (0, 1)), np.isin(top, (3, 4))], [1.0, -1.0], 0.0)
    assert pytest.approx(np.sqrt(np.mean(lead**2)), rel=1e-3) == wiring.PHASE_SHARE == pytest.approx(0.8165, rel=1e-4)


@pytest.mark.parametrize("kv", [7.5, 62.0, 206.0 / 36.0])
def test_torque_for_each_ampere(kv):
    """9.549/Kv for direct current (motor constants, tickerdossier.com); 206 rpm at 36 V is a measured hub motor."""
    assert float(generator.torque(1.0, 1.0 / (kv * RPM))) == pytest.approx(9.549 / kv, rel=1e-4)


def test_winding_temperature():
    """0.50 to 0.65 ohm from 20 degC gives 96.35 degC: (R2/R1)(234.5 + T1) - 234.5, worked by hand."""
    assert generator.winding_temperature(0.50, 0.65) - 273.15 == pytest.approx(96.35, abs=0.005)
    assert generator.winding_resistance(0.50, 273.15 + 96.35) == pytest.approx(0.65, rel=1e-6)


def test_winding_agrees_with_the_copper_standard():
    """Handbook of industrial power engineering p. 970: 0.00393 per kelvin, as used for cables."""
    ratio = generator.winding_resistance(1.0, 348.15)
    assert ratio == pytest.approx(1.0 + 0.00393 * 55.0, rel=1e-3)


@pytest.mark.parametrize(
    ("insulation", "rise", "limit"), [("B", 80.0, 130.0), ("F", 105.0, 155.0), ("H", 125.0, 180.0)]
)
def test_rise_of_the_insulation_classes(insulation, rise, limit):
    """IEC 60034-1 as printed in a maker's manual (tables 9 and 10): rise over 40 degC, 5 to 15 K left for hot spots."""
    assert generator.RISE[insulation] == rise
    assert 5.0 <= limit - 40.0 - rise <= 15.0
    R_th = generator.thermal_resistance(12.0, 0.3, insulation)
    T = 313.15
    for _ in range(1000):
        T = 313.15 + R_th * generator.copper_loss(12.0, generator.winding_resistance(0.3, T))
    assert pytest.approx(313.15 + rise) == T


# R 0.5 ohm, L 1 mH, 20 pole pairs, 0.02 Wb: peak at 500 rad/s electrical, 238.7 rpm, 6.00 N m; 4.80 at half and
# at twice that speed. Formula from memory, numbers worked by hand.
@pytest.mark.parametrize(("rpm", "T"), [(238.732, 6.0), (238.732 / 2, 4.8), (238.732 * 2, 4.8)])
def test_brake_worked_by_hand(rpm, T):
    """Torque of the shorted generator."""
    assert generator.brake_torque(rpm * RPM, 20, 0.02, 0.5, 1e-3) == pytest.approx(T, rel=1e-5)
    assert generator.brake_peak(20, 0.02, 0.5, 1e-3) == pytest.approx((6.0, 238.732 * RPM), rel=1e-5)


@pytest.mark.parametrize("omega", [1.0, 10.0, 100.0])
def test_brake_against_the_phasor_circuit(omega):
    """All braking power heats the three phases: T omega = 3 I^2 R with I = E / |R + jX|."""
    p, flux, R, L = 23, 0.0335, 0.12, 0.2e-3
    I = p * omega * flux / math.sqrt(2.0) / abs(complex(R, p * omega * L))
    assert generator.brake_torque(omega, p, flux, R, L) * omega == pytest.approx(3.0 * I**2 * R)
    k_ll = math.sqrt(3.0) * I * abs(complex(R, p * omega * L)) / omega
    assert generator.flux_linkage(k_ll, p) == pytest.approx(flux)
    assert generator.inductance_from_short_circuit(I, omega, R, k_ll, p) == pytest.approx(L, rel=1e-6)


def test_commutation_at_the_published_joints():
    """IEEE 421.5 rectifier regulation, as in the open-source library Dynawo: limits sqrt(3)/4 and 3/4, 1/sqrt(3)."""
    u = np.array([0.0, math.sqrt(3.0) / 4.0, 0.75, 1.0])
    assert generator.commutation_share(u) == pytest.approx([1.0, 0.75, math.sqrt(3.0) / 4.0, 0.0])
    assert 1.0 - generator.commutation_share(0.1) == pytest.approx(0.0577, rel=1e-3)


def bridge(I, X, steps=3000, turns=3):
    """Mean rectified voltage of an ideal bridge on peak phase voltage 1 with reactance X, simulated.

    The lead currents add up to zero and none can exceed the direct current, which is all the diodes enforce. Each
    step moves them by the voltages and then to the nearest permitted point (implicit Euler).
    """
    dt, pull = 2.0 * np.pi / steps, np.array([[1.0, -0.5, -0.5], [-0.5, 1.0, -0.5], [-0.5, -0.5, 1.0]])
    i, power = np.zeros((3, len(I))), np.zeros(len(I))
    for n in range(steps * turns):
        e = np.cos(n * dt - 2.0 * np.pi / 3.0 * np.arange(3))[:, None]
        i = i + e * dt / X
        worst = np.argmax(np.abs(i), axis=0)
        over = np.take_along_axis(i, worst[None], axis=0)[0]
        i = i - pull[worst].T * (over - np.clip(over, -I, I))
        # Whoever still carries too much has run into a corner, where the third lead carries nothing.
        corner = (np.abs(i) > I).any(axis=0)
        i = np.where(corner, np.where(np.abs(i) > 0.5 * I, np.sign(i) * I, 0.0), i)
        if n >= steps * (turns - 1):
            power += (e * i).sum(axis=0) / steps
    return power / I


def test_commutation_against_a_simulated_bridge():
    """Mean voltage in all three modes of the bridge, inductance only."""
    X = 0.5
    u = np.array([0.1, 0.3, 0.5, 0.7, 0.85])
    V = bridge(u / X, X)
    assert V / (3.0 * math.sqrt(3.0) / np.pi) == pytest.approx(generator.commutation_share(u), abs=2e-3)


def test_commutation_drop_is_the_first_mode():
    """3 omega_e L I / pi (from memory) equals what the share takes off while the current is small."""
    k, L, p, omega, I = 1.273, 0.2e-3, 23, 30.0, 10.0
    u = I / generator.short_circuit_current(k, L, p)
    lost = k * omega * (1.0 - generator.commutation_share(u))
    assert 3.0 * p * omega * L * I / math.pi == pytest.approx(lost)
