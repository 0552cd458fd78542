"""Single-phase windings: the closed form against worked examples, a measured machine, and the waveform by scipy."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
import scipy

from calc.physics import balance, generator
from calc.physics.balance import Machine
from calc.physics.torque import rotor_torque

TSR = np.linspace(0.0, 8.0, 81)
CQ = (0.0167 * (1.0 + TSR) * (1.0 - TSR / 8.0))[None, :]
WINDS = np.arange(3.0, 21.0)
ONE = Machine(TSR, np.array([6.0]), CQ, 1.1, 1.225, 1.0, 0.5, 1.8, 13.2, L=1e-3, p=8.0, T_0=0.2, b=0.002, T_cog=0.1,
              R_c=0.04, R_b=0.02, R_th=0.8, winding="single-phase")  # fmt: skip


def _half_wave(E, V, R, X, begin):
    """Current from the angle at which it begins until it has died away: angles and values."""

    def slope(t, i):
        return (E * np.sin(t) - V - R * i) / X

    def dead(t, i):
        return i[0] if t > begin + 1e-6 else 1.0

    dead.terminal, dead.direction = True, -1.0
    ran = scipy.integrate.solve_ivp(slope, (begin, begin + 2.0 * math.pi), [0.0], events=dead, rtol=1e-9, atol=1e-12,
                                    dense_output=True)  # fmt: skip
    angle = np.linspace(begin, ran.t[-1], 4001)
    return angle, ran.sol(angle)[0]


def _waveform(E, V, R, X):
    """Mean and mean square of the current behind the bridge, half wave after half wave until it repeats."""
    rises = math.asin(V / E)
    if X == 0.0:
        angle = np.linspace(rises, math.pi - rises, 4001)
        i = (E * np.sin(angle) - V) / R
    else:
        begin = rises
        for _ in range(60):
            angle, i = _half_wave(E, V, R, X, begin)
            following = max(angle[-1] - math.pi, rises)
            if abs(following - begin) < 1e-7:
                break
            begin = following
    return np.trapezoid(i, angle) / math.pi, np.trapezoid(i**2, angle) / math.pi


# E, V, R, L in mH, f: I_avg, I_rms (machine facts, section 3.1, first integrated there).
ROWS = [(20, 14, 0.5, 0.0, 100, 4.0072, 6.1882), (30, 14, 0.5, 0.0, 100, 14.437, 19.142),
        (20, 14, 0.5, 0.2, 100, 3.78, 5.69), (20, 14, 0.5, 1.0, 100, 2.38, 3.34), (20, 14, 0.5, 3.0, 100, 1.15, 1.56),
        (30, 14, 0.5, 1.0, 150, 8.22, 9.80)]  # fmt: skip


@pytest.mark.parametrize(("E", "V", "R", "L", "f", "mean", "rms"), ROWS)
def test_the_table_of_pulses(E, V, R, L, f, mean, rms):
    """To the digits printed."""
    got = generator.pulses(V / E, 2e-3 * math.pi * f * L / R)
    assert float(got.mean) * E / R == pytest.approx(mean, rel=3e-3)
    assert math.sqrt(float(got.square)) * E / R == pytest.approx(rms, rel=3e-3)


def test_a_charger_from_a_textbook():
    """40 V RMS, 12 V and 1 V of drop, 6 A: 3.99 ohm, from 13.28 degrees (converter exercise of a school publisher)."""
    got = generator.pulses(13.0 / (40.0 * math.sqrt(2.0)))
    assert float(got.mean) * 40.0 * math.sqrt(2.0) / 3.99 == pytest.approx(6.0, rel=3e-3)
    assert math.degrees(float(got.begin)) == pytest.approx(13.28, abs=0.01)


@pytest.mark.parametrize("u", [0.05, 0.3, 0.6, 0.9, 0.99])
@pytest.mark.parametrize("q", [0.0, 0.1, 0.7, 2.0, 8.0])
def test_the_closed_form_against_the_waveform(u, q):
    """Mean and mean square, in pulses and flowing all the time."""
    mean, square = _waveform(1.0, u, 1.0, q)
    got = generator.pulses(u, q)
    assert float(got.mean) == pytest.approx(mean, rel=1e-4, abs=1e-7)
    assert float(got.square) == pytest.approx(square, rel=1e-4, abs=1e-7)


def test_inductance_that_vanishes_leaves_the_textbook():
    """I = 2/(pi R) (E cos a - V (pi/2 - a)), a = asin(V/E)."""
    u = np.linspace(0.0, 0.999, 200)
    a = np.arcsin(u)
    book = 2.0 / math.pi * (np.cos(a) - u * (math.pi / 2.0 - a))
    for q in (0.0, 1e-6, 1e-4):
        assert generator.pulses(u, q).mean == pytest.approx(book, rel=1e-3, abs=1e-7)
    assert np.all(generator.pulses(np.array([1.0, 1.5]), 0.3).mean == 0.0)


@pytest.mark.parametrize("u", [0.2, 0.7])
def test_more_inductance_never_gives_more_current(u):
    """And the mean never passes the root of the mean square."""
    got = generator.pulses(u, np.linspace(0.0, 30.0, 400))
    assert np.all(np.diff(got.mean) <= 1e-9)
    assert np.all(got.mean**2 <= got.square + 1e-12)


def test_the_measured_home_built_machine():
    """Coils of about 8 ohm: 40 W into 12 V for about 140 W in, about 30 % (windandwet.com, machine facts 3.2).

    A single phase does worse than that for the same mean current, since its pulses heat more: 22 to 30 %.
    """
    speeds = np.linspace(5.0, 200.0, 4000)
    m = Machine(TSR, np.array([6.0]), CQ, 1.0, 1.225, 1.0, 8.0, 1.4, 12.0, winding="single-phase")
    I, V = balance.spin(m, speeds)
    at = int(np.argmin(np.abs(I * V - 40.0)))
    share = 40.0 / (balance.load_torque(m, speeds)[at] * speeds[at])
    assert 0.22 < share < 0.30


@pytest.mark.parametrize("omega", [12.0, 20.0, 40.0, 90.0])
def test_a_generator_that_is_spun_against_the_waveform(omega):
    """Current, torque, and the heat of the winding that its own warmth feeds."""
    I, _ = balance.spin(ONE, np.array([omega]))
    T = balance.load_torque(ONE, np.array([omega]))
    E, X = omega * math.pi / 2.0, 8.0 * omega * 1e-3

    def warm(R_w):
        _, square = _waveform(E, 15.0, R_w + 0.06, X)
        return R_w - 0.5 * (1.0 + 0.8 * square * R_w / 254.5)

    if E <= 15.0:
        assert (I[0], T[0]) == (0.0, pytest.approx(0.2 + 0.002 * omega))
        return
    R_w = scipy.optimize.brentq(warm, 0.5, 5.0, xtol=1e-4)
    mean, square = _waveform(E, 15.0, R_w + 0.06, X)
    assert I[0] == pytest.approx(mean, rel=5e-3)
    assert (T[0] - 0.2 - 0.002 * omega) * omega == pytest.approx(15.0 * mean + square * (R_w + 0.06), rel=5e-3)


@pytest.mark.parametrize("seed", range(4))
def test_energy_is_kept_and_both_torques_meet(seed):
    """Random machines in all winds: what the rotor takes is lost or stored, and it settles where its torque is held."""
    rng = np.random.default_rng(seed)
    m = dataclasses.replace(ONE, k=rng.uniform(0.3, 2.0, 8), L=rng.uniform(0.0, 4e-3, 8), R_w=rng.uniform(0.1, 1.0, 8),
                            V_max=14.4, ratio=rng.uniform(1.0, 2.0, 8), eta=0.95)  # fmt: skip
    at = balance.operate(m, WINDS).running
    gone = at.drive + at.drag + at.copper + at.diodes + at.cable + at.inside_battery + at.stored + at.dump
    assert gone == pytest.approx(at.rotor, rel=1e-6, abs=1e-6)
    assert np.any(at.dump > 0)
    i = int(rng.integers(8))
    alone = dataclasses.replace(m, k=m.k[i], L=m.L[i], R_w=m.R_w[i], ratio=m.ratio[i])
    held = balance.load_torque(alone, at.omega[i])
    drives = np.diag(rotor_torque(alone, WINDS, at.omega[i]))
    assert drives == pytest.approx(held, rel=1e-4, abs=1e-6)


def test_charging_begins_where_the_tops_of_the_wave_reach_the_battery():
    """Far below where the mean would."""
    m = dataclasses.replace(ONE, T_0=0.0, b=0.0)
    begin = 15.0 / (math.pi / 2.0)
    assert float(m.begins) == pytest.approx(begin)
    assert float(balance.charging_wind(m)) == pytest.approx(begin * 1.1 / 8.0, rel=1e-3)


def test_a_resistance_alone_takes_what_ohm_says():
    """No battery and no diodes: mean 2/pi, RMS 1/sqrt(2) of the amplitude over the resistance."""
    m = Machine(TSR, np.array([6.0]), CQ, 1.0, 1.225, 1.0, 0.5, 0.0, 1e-6, R_b=2.0, winding="single-phase")
    omega = np.array([10.0])
    amps = 10.0 * math.pi / 2.0 / 2.5
    assert balance.spin(m, omega)[0] == pytest.approx(2.0 / math.pi * amps, rel=1e-4)
    assert balance.load_torque(m, omega) * 10.0 == pytest.approx(amps**2 / 2.0 * 2.5, rel=1e-4)
