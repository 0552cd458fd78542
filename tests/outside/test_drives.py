"""Belts, brushes and upright axes: against worked examples, a balance solved by scipy, and what cannot be otherwise."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
import scipy

from calc.finding import Status
from calc.machine.design import build_design
from calc.machine.inputs import Unknown
from calc.machine.rotor_curves import NOT_VERTICAL
from calc.machine.solving import Solved
from calc.machine.system import System
from calc.physics import balance, generator
from calc.physics.balance import Machine
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc.sheets import GOOD, RPM
from tests.outside.turning_points import WORKED

TSR = np.linspace(0.0, 8.0, 81)
CQ = (0.0167 * (1.0 + TSR) * (1.0 - TSR / 8.0))[None, :]
WINDS = np.arange(3.0, 20.0)
PLAIN = Machine(TSR, np.array([6.0]), CQ, 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, L=2e-4, p=23.0, T_0=0.26, b=0.0068,
                T_cog=0.13, R_c=0.05, R_b=0.02, R_th=1.0)  # fmt: skip


def _parts(at):
    return at.drive + at.drag + at.copper + at.diodes + at.cable + at.inside_battery + at.stored + at.dump


def _fields(points):
    return {f.name: getattr(points, f.name) for f in dataclasses.fields(points)}


def test_a_drive_of_one_to_one_without_loss_is_none():
    """To the last digit."""
    geared = dataclasses.replace(PLAIN, ratio=1.0, eta=1.0)
    one, two = (_fields(balance.operate(m, WINDS).running) for m in (PLAIN, geared))
    assert all(np.array_equal(one[name], two[name]) for name in one)


@pytest.mark.parametrize("n", [0.5, 3.0, 8.0])
def test_a_lossless_drive_is_a_generator_of_as_many_times_the_volts(n):
    """Volts per speed, pole pairs and drag times the ratio, eddy drag times its square."""
    built = {"k": n * PLAIN.k, "p": n * PLAIN.p, "T_0": n * PLAIN.T_0, "T_cog": n * PLAIN.T_cog, "b": n**2 * PLAIN.b}
    geared, direct = dataclasses.replace(PLAIN, ratio=n), dataclasses.replace(PLAIN, **built)
    for one, two in zip(*(dataclasses.astuple(balance.operate(m, WINDS)) for m in (geared, direct)), strict=True):
        assert np.allclose(np.asarray(one, dtype=float), np.asarray(two, dtype=float), rtol=1e-9)
    assert balance.braked(geared, WINDS)[0] == pytest.approx(balance.braked(direct, WINDS)[0])
    assert balance.starting_wind(geared) == pytest.approx(float(balance.starting_wind(direct)))


def test_two_stages_lose_as_the_handbook_has_it():
    """0.96 x 0.95 = 0.912; 300 rpm x 5 = 1500 rpm (machine facts, section 3.5: arithmetic).

    The speed of generator and battery are found by scipy from the rotor's own torque.
    """
    eta, n, k = 0.96 * 0.95, 5.0, 0.25
    m = Machine(TSR, np.array([6.0]), CQ, 1.1, 1.225, k, 0.24, 1.8, 26.4, ratio=n, eta=eta)
    at = balance.operate(m, np.array([8.0])).running

    def left(omega):
        cq = np.interp(omega * 1.1 / 8.0, TSR, CQ[0])
        arrives = eta * 0.5 * 1.225 * math.pi * 1.1**3 * 64.0 * cq / n
        return arrives - k * max(k * n * omega - 26.4 - 1.8, 0.0) / 0.24

    omega = scipy.optimize.brentq(left, 28.2 / (k * n), 8.0 * 8.0 / 1.1)
    assert at.omega[0] == pytest.approx(omega, rel=1e-6)
    assert at.current[0] == pytest.approx((k * n * omega - 28.2) / 0.24, rel=1e-5)
    assert at.drive[0] == pytest.approx((1.0 - 0.912) * at.rotor[0])


@pytest.mark.parametrize("seed", range(6))
def test_what_the_rotor_takes_is_lost_or_stored(seed):
    """Random drives and brushes, all winds: energy is kept to one in a million."""
    rng = np.random.default_rng(seed)
    m = dataclasses.replace(
        PLAIN, k=PLAIN.k / 4 * rng.uniform(0.5, 2.0, 20), ratio=rng.uniform(0.5, 8.0, 20),
        eta=rng.uniform(0.5, 1.0, 20), V_brush=1.0, V_d=1.9, L=0.0, winding="DC with brushes", T_0=0.02, b=1e-4,
        V_max=28.0,
    )  # fmt: skip
    for at in dataclasses.astuple(balance.operate(m, WINDS))[:2]:
        assert len(at)
    for at in (balance.operate(m, WINDS).running, balance.operate(m, WINDS).standstill):
        assert _parts(at) == pytest.approx(at.rotor, rel=1e-6, abs=1e-6)


def test_the_motor_of_the_worked_example():
    """25 rpm/V, 0.8 ohm, 2 V in the brushes, 13.5 V, 0.05 N m, 600 rpm: 10.625 A, 143.4 W, 4.108 N m, 258.1 W.

    Machine facts, section 3.3: I = (E - V_brush - V) / R, T = Ke I + friction; arithmetic.
    """
    k, omega = 1.0 / (25.0 * RPM), 600.0 * RPM
    m = Machine(TSR, np.array([6.0]), CQ, 0.5, 1.225, k, 0.8, 2.0, 13.5, T_0=0.05, V_brush=2.0,
                winding="DC with brushes")  # fmt: skip
    I, V = balance.spin(m, np.array([omega]))
    T = balance.load_torque(m, np.array([omega]))
    assert (I[0], I[0] * V[0], T[0], T[0] * omega) == pytest.approx((10.625, 143.4, 4.108, 258.1), rel=4e-4)


def test_shorted_brushes_hold_with_all_their_voltage():
    """The torque is what the shaft needs for the heat of winding and brushes: P = E I."""
    omega = np.array([10.0, 40.0, 160.0])
    E = 0.4 * omega
    I = np.maximum(E - 1.5, 0.0) / 0.5
    assert generator.brake_torque_brushes(omega, 0.4, 0.5, 1.5) * omega == pytest.approx(I**2 * 0.5 + 1.5 * I)


def test_a_shorted_single_phase_against_its_waveform():
    """Mean of e i over a turn, the current integrated by scipy until it repeats."""
    p, k_rms, R, L, omega = 6.0, 0.5, 0.8, 3e-3, 40.0
    w, E = p * omega, k_rms * omega * math.sqrt(2.0)
    t = np.linspace(0.0, 40 * 2 * math.pi / w, 8001)
    ran = scipy.integrate.solve_ivp(lambda t, i: (E * math.sin(w * t) - R * i) / L, (0.0, t[-1]), [0.0],
                                    t_eval=t, rtol=1e-9, atol=1e-9)  # fmt: skip
    last = t >= t[-1] - 2 * math.pi / w - 1e-12
    P = np.trapezoid((E * np.sin(w * t) * ran.y[0])[last], t[last]) / (2 * math.pi / w)
    assert float(generator.brake_torque_single(omega, p, k_rms, R, L)) == pytest.approx(P / omega, rel=2e-3)


BRUSHED = {"generator.phases": "DC with brushes", "generator.emf_constant": 0.4, "generator.winding_resistance": 0.5,
           "rotor.brake": "switch that shorts the generator"}  # fmt: skip


def test_the_simplest_machine_is_no_longer_refused():
    """A brushed motor on the rotor's shaft: power, brake and switch are told."""
    found = {f.rule: f for f in judge_rules(RULES, System(build_design(WORKED | BRUSHED)))}
    assert found["rotor.brake-holds"].status is not Status.UNKNOWN
    assert found["protection.brake-switch"].status is not Status.UNKNOWN
    assert isinstance(System(build_design(WORKED | BRUSHED)).solved, Solved)


def test_a_brake_that_works_through_a_belt_is_never_plainly_ok():
    """A belt that comes off takes it along."""
    geared = {"generator.drive": "flat or V belt", "generator.ratio": 3.0, "generator.inductance": 1e-5}
    values = WORKED | geared | {"rotor.brake": "switch that shorts the generator"}
    found = {f.rule: f for f in judge_rules(RULES, System(build_design(values)))}["rotor.brake-holds"]
    assert found.status is not Status.OK
    assert "nothing brakes" in found.says


@pytest.mark.parametrize("provenance", [None, "sampled"])
def test_an_upright_axis_is_refused_in_one_sentence_that_says_what_is_left(provenance):
    """Nothing is computed of its rotor; battery, wiring and house are judged, and that nothing stops it is danger."""
    values = GOOD | {"rotor.axis": "vertical axis", "rotor.brake": "none"}
    system = System(build_design(values), {"generator.winding_resistance": (0.3, 0.5)} if provenance else None, 40)
    assert isinstance(system.solved, Unknown)
    assert system.solved.why == NOT_VERTICAL
    found = {f.rule: f for f in judge_rules(RULES, system)}
    for rule in ("generator.match", "generator.storm-voltage", "generator.touch-voltage", "generator.charging-begins",
                 "claim.betz", "energy.year", "blade.root-strength"):  # fmt: skip
        assert found[rule].status is Status.UNKNOWN, rule
        assert found[rule].says == f"{NOT_VERTICAL}.", rule
    assert found["rotor.brake"].status is Status.DANGER
    kept = ("wiring.voltage-drop", "wiring.ampacity", "protection.fuse", "storage.cold-charge", "inverter.start")
    assert all(found[rule].status is not Status.UNKNOWN for rule in kept if rule in found)


def test_a_belt_without_its_ratio_is_asked_for_it():
    """By name, wherever it counts."""
    sheet = GOOD | {"generator.drive": "chain", "rotor.blades": 3.0}
    found = {f.rule: f for f in judge_rules(RULES, System(build_design(sheet)))}
    for rule in ("generator.match", "generator.storm-voltage", "generator.charging-begins"):
        assert found[rule].missing == ("generator.ratio",), rule
