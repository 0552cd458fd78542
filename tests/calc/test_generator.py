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


#: Readings of a sinusoid of 1 V RMS between two leads, by averaging and looking for the top of it.
TURN = np.linspace(0.0, 2.0 * np.pi, 60001)[:-1]
LEADS = math.sqrt(2.0) * np.array([np.sin(TURN), np.sin(TURN - 2.0 * np.pi / 3.0), np.sin(TURN + 2.0 * np.pi / 3.0)])
READ = {
    "DC after the rectifier": np.abs(LEADS).max(axis=0).mean(),
    "between two leads, RMS": np.sqrt((LEADS[0] ** 2).mean()),
    "between two leads, peak": LEADS[0].max(),
    "lead to star point, RMS": np.sqrt((((LEADS[0] - LEADS[2]) / 3.0) ** 2).mean()),
    "lead to star point, peak": ((LEADS[0] - LEADS[2]) / 3.0).max(),
}


@given(K, st.sampled_from(FORMS))
def test_every_form_names_the_same_machine(k_ll, form):
    """What each meter would show, from the voltages as they run, comes back as volts between two leads."""
    assert generator.emf_between_leads(k_ll * READ[form], form) == pytest.approx(k_ll, rel=1e-6)


@given(K, st.sampled_from(SINGLE))
def test_single_phase_has_a_mean_of_its_own(k_ll, form):
    """A single-phase bridge gives the mean of one half wave, the other forms are the same."""
    read = np.abs(LEADS[0]).mean() if form.startswith("DC") else READ[form]
    assert generator.emf_between_leads(k_ll * read, form, "single-phase") == pytest.approx(k_ll, rel=1e-6)


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
    """Current from the circuit, inductance back from the current."""
    I = k_ll * omega / math.sqrt(3.0) / abs(complex(R, p * omega * L))
    if p * omega * L > 1e-3 * R:
        assert generator.inductance_from_short_circuit(I, omega, R, k_ll, p) == pytest.approx(L, rel=1e-6)


@given(R, st.floats(240.0, 450.0), st.floats(240.0, 450.0))
def test_resistance_and_temperature_and_back(R_1, T_1, T_2):
    """A winding is a thermometer."""
    R_2 = generator.winding_resistance(R_1, T_2, T_1)
    assert generator.winding_temperature(R_1, R_2, T_1) == pytest.approx(T_2)
    assert pytest.approx(T_2) == T_1 or (R_2 > R_1) == (T_2 > T_1)


@given(st.floats(0.5, 0.9), R, st.floats(0.05, 3.0), st.floats(250.0, 310.0))
def test_beyond_the_limit_no_temperature_lasts(share, R_20, R_th, T_air):
    """Resistance and temperature in turn settle below the limit of heat, and run away above it."""
    for times, lasts in ((share, True), (1.0 / share, False)):
        I, T = times * generator.heat_limit(R_20, R_th), T_air
        for _ in range(200):
            T = min(T_air + R_th * I**2 * generator.winding_resistance(R_20, T), 1e9)
        assert (T < 1e9) == lasts


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


def test_arrays_go_through():
    """Variants on a leading axis come out as they go in."""
    k = np.array([0.5, 1.0, 2.0])
    got = generator.torque(5.0, k, 1e-4, 10.0)
    assert got == pytest.approx([float(generator.torque(5.0, x, 1e-4, 10.0)) for x in k])


@pytest.mark.parametrize(
    "call",
    [
        lambda: generator.emf_between_leads(1.0, "between the ears"),
        lambda: generator.emf_between_leads(1.0, "lead to star point, peak", "single-phase"),
        lambda: generator.emf_from_spin(10.0, 0.0),
        lambda: generator.inductance_from_short_circuit(1.0, 0.0, 0.1, 1.0, 10),
        lambda: generator.inductance_from_short_circuit(100.0, 1.0, 1.0, 1.0, 10),
        lambda: generator.commutation_share(1.1),
        lambda: generator.commutation_share(np.array([0.5, -0.1])),
        lambda: generator.torque(1e4, 1.0, 1e-3, 20.0),
        lambda: generator.winding_resistance(1.0, 100.0),
    ],
)
def test_out_of_range_is_refused(call):
    """Nothing is clipped in silence."""
    with pytest.raises(ValueError, match=r"\w"):
        call()


def test_without_inductance_the_brake_has_no_peak():
    """It gets stronger without end."""
    assert generator.brake_peak(10, 0.02, 0.5, 0.0) == (math.inf, math.inf)


def test_unknown_insulation_class():
    """Only classes of the table have a rise."""
    with pytest.raises(KeyError):
        generator.thermal_resistance(10.0, 0.3, "Z")
