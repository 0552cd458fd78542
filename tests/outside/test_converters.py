"""A converter ahead of the battery: against the machine without one, and an optimiser of scipy."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
import scipy

from calc.physics import balance
from calc.physics.balance import Machine
from tests.calc import scanned
from tests.outside.random_machines import draw

TSR = np.linspace(0.0, 8.0, 81)
CQ = (0.0167 * (1.0 + TSR) * (1.0 - TSR / 8.0))[None, :]
WINDS = np.arange(3.0, 21.0)
ONE = Machine(TSR, np.array([6.0]), CQ, 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, L=2e-4, p=23.0, T_0=0.26, b=0.0068,
              T_cog=0.13, R_c=0.05, R_b=0.02)  # fmt: skip
TRACKS = {"converter": "tracks", "V_low": 1.0, "eta_c": 1.0}


def _gone(at):
    return (at.drive + at.drag + at.copper + at.diodes + at.cable + at.converter + at.inside_battery + at.stored
            + at.dump)  # fmt: skip


@pytest.fixture(scope="module")
def many():
    """Random machines, three-phase, on random rotors."""
    return scanned.machines(7, 60, *scanned.rotors(draw(seed) for seed in range(8)))


def test_an_ideal_tracker_never_gives_less_than_the_battery_alone(many):
    """Holding the battery's voltage is one of the things that it could do."""
    alone = balance.operate(many, WINDS).running
    best = balance.operate(dataclasses.replace(many, **TRACKS), WINDS).running
    assert np.all(best.charge >= alone.charge * (1.0 - 1e-3) - 0.01)
    assert np.mean(best.charge > 1.05 * alone.charge + 1.0) > 0.2


@pytest.mark.parametrize("V", [5.0, 8.0, 12.0])
def test_a_tracker_finds_what_an_optimiser_finds(V):
    """Scipy's bounded search over the speed: torque of the rotor less drag, current, voltage, power."""
    m = dataclasses.replace(ONE, **TRACKS, L=0.0)

    def power(omega):
        T = 0.5 * 1.225 * math.pi * 1.1**3 * V**2 * np.interp(omega * 1.1 / V, TSR, CQ[0]) - 0.26 - 0.0068 * omega
        I = T / 1.273
        return I * (1.273 * omega - 1.8 - I * (0.24 + 0.05))

    found = scipy.optimize.minimize_scalar(lambda w: -power(w), bounds=(3.0 * V / 1.1, 7.8 * V / 1.1), method="bounded")
    at = balance.operate(m, np.array([V])).running
    assert at.charge[0] == pytest.approx(-found.fun, rel=2e-4)


def test_without_any_loss_it_takes_the_rotors_best():
    """Every wind at the best tip-speed ratio."""
    m = Machine(TSR, np.array([6.0]), CQ, 1.1, 1.225, 1.273, 1e-6, 0.0, 26.4, **TRACKS)
    at = balance.operate(m, WINDS).running
    assert at.stored == pytest.approx(at.wind * (CQ[0] * TSR).max(), rel=1e-3)
    assert at.tsr == pytest.approx(TSR[np.argmax(CQ[0] * TSR)], abs=0.1)


def test_a_converter_that_holds_its_input_is_a_battery_of_that_voltage():
    """A step down from 60 V that loses nothing; what it loses comes off the charge alone."""
    plain = balance.operate(dataclasses.replace(ONE, V_oc=60.0, R_b=0.0), WINDS).running
    held = dataclasses.replace(ONE, converter="holds", V_low=60.0)
    whole, less = (balance.operate(dataclasses.replace(held, eta_c=eta), WINDS).running for eta in (1.0, 0.93))
    assert whole.omega == pytest.approx(plain.omega, rel=1e-9)
    assert whole.charge == pytest.approx(plain.charge, rel=1e-9)
    assert less.charge == pytest.approx(0.93 * plain.charge, rel=1e-9)
    assert less.converter == pytest.approx(0.07 * plain.charge, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("kind", ["holds", "tracks"])
def test_its_limits_are_kept_and_energy_too(kind):
    """No more than 6 A into it; a tracker stays in its window; what the rotor takes is lost or stored."""
    m = dataclasses.replace(ONE, converter=kind, V_low=20.0, V_high=80.0, I_most=6.0, eta_c=0.95, V_max=27.0, eta=0.9)
    o = balance.operate(m, WINDS)
    for at in (o.running, o.standstill):
        assert np.all(at.current <= 6.0 + 1e-9)
        assert _gone(at) == pytest.approx(at.rotor, rel=1e-6, abs=1e-6)
    I, omega = o.running.current, o.running.omega
    V = o.running.charge + o.running.converter
    on = I > 0
    if kind == "tracks":
        assert np.all(V[on] / I[on] <= 80.0 + 1e-6)
        assert np.all(V[on] / I[on] >= 20.0 - 1e-6)
    else:
        assert I[-1] == pytest.approx(6.0)
        assert V[-1] / I[-1] > 40.0
        drives = 0.9 * 0.5 * 1.225 * math.pi * 1.1**3 * 400.0 * np.interp(omega[-1] * 1.1 / 20.0, TSR, CQ[0])
        assert balance.load_torque(m, omega[-1:])[0] * 0.9 == pytest.approx(drives, rel=1e-4)


def test_below_its_window_it_does_nothing():
    """The rotor turns freely until its voltage reaches the lowest at which the converter works."""
    m = dataclasses.replace(ONE, converter="tracks", V_low=40.0)
    begin = (40.0 + 1.8) / 1.273
    assert float(m.begins) == pytest.approx(begin)
    first = float(balance.charging_wind(m))
    at = balance.operate(m, np.array([0.97 * first, 1.03 * first])).running
    assert at.current[0] == 0.0
    assert at.current[1] > 0.0
    assert at.omega[0] == pytest.approx(balance.unloaded(m, np.array([0.97 * first]))[0][0])
