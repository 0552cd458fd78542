"""The generator: conversions there and back, what must hold whatever the numbers, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.physics import generator

FORMS = ("DC after the rectifier", *generator.READING_OVER_RMS)
SINGLE = tuple(f for f in FORMS if "star" not in f)
K = st.floats(0.01, 20.0)
R = st.floats(0.01, 50.0)
CURRENT = st.floats(0.1, 100.0)


@given(K, st.sampled_from(FORMS), st.sampled_from(FORMS))
def test_any_form_and_back(k, a, b):
    """Reading in one form, converted to another and back, gives the same constant."""
    there = generator.emf_as_read(generator.emf_between_leads(k, a), b)
    assert generator.emf_as_read(generator.emf_between_leads(there, b), a) == pytest.approx(k)


@given(K, st.sampled_from(SINGLE))
def test_single_phase_and_back(k, form):
    """The same for one phase, which has no star point."""
    k_ll = generator.emf_between_leads(k, form, "single-phase")
    assert generator.emf_as_read(k_ll, form, "single-phase") == pytest.approx(k)


@given(st.floats(1.0, 500.0))
def test_speed_per_volt_and_volts_per_speed(n):
    """Speed per volt and volts at 1000 rpm name the same machine."""
    assert generator.emf_from_rpm_per_volt(n) == pytest.approx(generator.emf_from_volts_per_krpm(1000.0 / n))


def test_brushes_give_direct_voltage():
    """No form and no factor applies to a machine with brushes."""
    for form in FORMS:
        assert generator.emf_rectified(0.3, form, "DC with brushes") == 0.3
        assert generator.emf_peak(0.3, form, "DC with brushes") == 0.3


@given(K, st.floats(1.0, 400.0), st.floats(0.0, 2.0))
def test_spin_test_and_back(k, omega, V_d):
    """The diodes hide some of the voltage."""
    assert generator.emf_from_spin(k * omega - V_d, omega, V_d) == pytest.approx(k)


@given(K, st.floats(1.0, 400.0), R, st.floats(1e-5, 1e-2), st.integers(1, 30))
def test_short_circuit_test_and_back(k_ll, omega, R, L, p):
    """Current from the circuit, constant and flux back from the current."""
    I = k_ll * omega / math.sqrt(3.0) / abs(complex(R, p * omega * L))
    assert generator.emf_from_short_circuit(I, omega, R, L, p) == pytest.approx(k_ll)
    if p * omega * L > 1e-3 * R:
        assert generator.inductance_from_short_circuit(I, omega, R, k_ll, p) == pytest.approx(L, rel=1e-6)


@given(R, st.floats(240.0, 450.0), st.floats(240.0, 450.0))
def test_resistance_and_temperature_and_back(R_1, T_1, T_2):
    """A winding is a thermometer."""
    R_2 = generator.winding_resistance(R_1, T_2, T_1)
    assert generator.winding_temperature(R_1, R_2, T_1) == pytest.approx(T_2)
    assert pytest.approx(T_2) == T_1 or (R_2 > R_1) == (T_2 > T_1)


@given(st.floats(0.0, 0.9), R, st.floats(0.05, 3.0), st.floats(250.0, 310.0))
def test_warm_winding_is_where_repeating_ends(share, R_20, R_th, T_air):
    """Resistance and temperature in turn settle at what comes out at once."""
    I = share * generator.heat_limit(R_20, R_th)
    T = T_air
    for _ in range(300):
        T = T_air + R_th * I**2 * generator.winding_resistance(R_20, T)
    got = generator.heated_winding(I, R_20, R_th, T_air)
    assert got == (pytest.approx(generator.winding_resistance(R_20, T)), pytest.approx(T))


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_more_current_never_leaves_more_voltage(a, b):
    """Commutation takes more the more current flows, and never more than all."""
    low, high = sorted((a, b))
    assert 1.0 >= generator.commutation_share(low) >= generator.commutation_share(high) >= 0.0


@given(CURRENT, K, st.floats(1.0, 400.0))
def test_torque_times_speed_is_the_power(I, k, omega):
    """Without inductance all shaft power goes into voltage times current."""
    assert generator.torque(I, k) * omega == pytest.approx(k * omega * I)


@given(st.integers(1, 30), st.floats(1e-3, 1.0), R, st.floats(1e-5, 1e-2), st.floats(0.01, 100.0))
def test_no_speed_brakes_harder_than_the_peak(p, flux, R, L, share):
    """The peak is the peak, and the torque falls alike on both sides of it."""
    T, omega = generator.brake_peak(p, flux, R, L)
    assert generator.brake_torque(share * omega, p, flux, R, L) <= T * (1 + 1e-12)
    assert generator.brake_torque(share * omega, p, flux, R, L) == pytest.approx(
        generator.brake_torque(omega / share, p, flux, R, L)
    )


@given(st.floats(1.0, 200.0), st.floats(1.0, 200.0), R)
def test_pulses_heat_more_than_their_mean(E, V, R):
    """RMS is never below the mean, and nothing flows below the battery's voltage."""
    mean, rms = generator.pulse_charging(E, V, R)
    assert rms >= mean * (1 - 1e-6) - 1e-9
    assert mean >= -1e-12
    assert E > V or (mean == pytest.approx(0.0, abs=1e-9) and rms == pytest.approx(0.0, abs=1e-6))


def test_arrays_go_through():
    """Variants on a leading axis come out as they go in."""
    k = np.array([0.5, 1.0, 2.0])
    got = generator.torque(5.0, k, 1e-4, 10.0)
    assert got == pytest.approx([float(generator.torque(5.0, x, 1e-4, 10.0)) for x in k])


@pytest.mark.parametrize(
    "call",
    [
        lambda: generator.emf_between_leads(1.0, "between the ears"),
        lambda: generator.emf_as_read(1.0, "lead to star point, peak", "single-phase"),
        lambda: generator.emf_from_spin(10.0, 0.0),
        lambda: generator.emf_from_short_circuit(1.0, 0.0, 0.1, 0.0, 10),
        lambda: generator.inductance_from_short_circuit(100.0, 1.0, 1.0, 1.0, 10),
        lambda: generator.commutation_share(1.1),
        lambda: generator.commutation_share(np.array([0.5, -0.1])),
        lambda: generator.torque(1e4, 1.0, 1e-3, 20.0),
        lambda: generator.winding_resistance(1.0, 100.0),
        lambda: generator.heated_winding(100.0, 1.0, 1.0, 293.15),
        lambda: generator.pulse_charging(10.0, 0.0, 1.0),
        lambda: generator.brake_peak(10, 0.02, 0.5, 0.0),
    ],
)
def test_out_of_range_is_refused(call):
    """Nothing is clipped in silence."""
    with pytest.raises(ValueError, match=r"\w"):
        call()


def test_unknown_insulation_class():
    """Only classes of the table have a rise."""
    with pytest.raises(KeyError):
        generator.thermal_resistance(10.0, 0.3, "Z")
