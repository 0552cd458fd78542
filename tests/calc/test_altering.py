"""What ways of failing alter in the solved machine, and how evidence adds up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from calc.evidence.likelihood import BLUNDERS, FREEDOM, log_fit
from calc.machine.design import build_design
from calc.machine.system import System
from calc.mechanisms import ALL, MECHANISMS
from calc.mechanisms.altering import bridge_share
from calc.mechanisms.base import Circumstances, Note, Verdict
from calc.mechanisms.judge import FailedMachine
from calc.mechanisms.look import CaseLook
from calc.mechanisms.stepping import READINGS, next_steps
from calc.mechanisms.verdicts import judged_causes
from calc.mechanisms.weighing import Bench, weigh_mechanisms
from calc.physics.generator import MEAN_OVER_RMS
from calc.quantities import QUANTITIES
from tests.outside.turning_points import WORKED

HARDLY, LESS = "turns but hardly charges", "less power than promised"


def read(label, quantity, value, load="battery", wind=(8.0, 8.0)):
    """One reading as values of a sheet."""
    parts = {"quantity": quantity, "value": value, "low": value, "high": value, "load": load}
    if wind:
        parts |= {"wind_low": wind[0], "wind_high": wind[1]}
    return {f"measured.{label}.{k}": v for k, v in parts.items()}


def failed(readings=None, symptoms=(LESS,), **c):
    """The worked machine, failed in 8 m/s with its battery."""
    values = {k: v for k, v in (WORKED | (readings or {})).items() if v is not None}
    return FailedMachine(System(build_design(values), {}, 100), Circumstances(8.0, 8.0, "battery", symptoms, **c))


def test_a_robust_likelihood_is_students_t_with_blunders():
    """Against scipy's t distribution of four degrees of freedom."""
    for z in (0.0, 1.0, -3.0, 12.0):
        want = (1 - BLUNDERS) * stats.t.pdf(z, FREEDOM) / 0.5 + BLUNDERS / 40.0
        assert float(log_fit(2.0 + 0.5 * z, 2.0, 0.5, 40.0)) == pytest.approx(math.log(want))
    with pytest.raises(ValueError, match="positive"):
        log_fit(1.0, 1.0, 0.0, 1.0)


def test_what_a_bridge_lets_through():
    """Means over a turn: one lead open leaves 2/pi of the peak for 3/pi; one phase reversed, worked out by hand.

    With one phase reversed the phasors lie 60 degrees apart: the greatest less the least is the larger of root three
    and one times two sines. One pair has the whole voltage, the other two that of a phase.
    """
    assert bridge_share((1, 1, 1)) == pytest.approx(1.0)
    assert bridge_share((1, 1, 1), (True, True, False)) == pytest.approx(2.0 / 3.0, rel=1e-3)
    t = np.linspace(0.0, 2.0 * np.pi, 7200)
    pairs = [math.sqrt(3.0) * np.sin(t + np.pi / 6), np.sin(t + np.pi / 3), np.sin(t)]
    by_hand = np.mean(np.max(np.abs(pairs), axis=0)) / (3.0 * math.sqrt(3.0) / math.pi)
    assert bridge_share((1, 1, -1)) == pytest.approx(float(by_hand), rel=0.02)


@pytest.mark.parametrize("name", [m.id for m in ALL if m.alters and m.applies(failed().system.inputs())])
def test_every_alteration_leaves_a_machine_that_can_be_read(name):
    """Speeds, currents and volts stay numbers, whatever is wrong."""
    bench = Bench(failed())
    for alter in MECHANISMS[name].alters:
        (w,) = bench.altered((alter,))
        assert w.n == bench.sound.n
        for shown in (w.speed, w.into_battery("battery"), w.free[0]):
            assert np.all(np.isfinite(shown))


def test_the_form_of_a_voltage_goes_with_its_reading():
    """RMS to the star point taken for direct volts reads 1/2.34 of them: the reading is doubted beside the magnets."""
    low = WORKED["generator.emf_constant"] / (MEAN_OVER_RMS["three-phase"] * math.sqrt(3.0))
    rows, _ = judged_causes(failed(read("M1", "generator.emf", low, "nothing connected", None)), ALL)
    found = {r.id: r for r in rows}
    assert found["reading.wrong"].verdict is not Verdict.CONTRADICTED
    assert found["reading.wrong"].belief > 0.1


def test_what_was_read_together_names_the_magnets():
    """Half the volts per speed and a rotor that runs faster: weak magnets, and not the cable."""
    taken = read("M1", "generator.emf", 0.5, "nothing connected", None) | read("M2", "rotor.speed", 66.0)
    beliefs = weigh_mechanisms(failed(taken, (HARDLY,)), ALL)
    assert beliefs.group(MECHANISMS["generator.weak-magnets"]) > 0.5
    assert beliefs.share["charging.cable-loss"] < 0.05


def test_nothing_read_contradicts_nothing():
    """With the sheet alone no way of failing is contradicted."""
    rows, _ = judged_causes(failed(symptoms=(HARDLY, LESS)), ALL)
    assert [r.id for r in rows if r.verdict is Verdict.CONTRADICTED] == []


def test_a_look_moves_belief_as_its_shares_say():
    """By Bayes' rule with the shares of the catalogue: the odds of two move by the ratio of their likelihoods."""
    from calc.mechanisms.looks import LOOKS

    before = weigh_mechanisms(failed(), ALL).share
    after = weigh_mechanisms(failed(looks=(CaseLook("edges-worn", "yes"),)), ALL).share
    look = LOOKS["edges-worn"]
    ratio = look.likelihood("yes", "blade.worn") / look.likelihood("yes", "furling.early")
    odds = [s["blade.worn"] / s["furling.early"] for s in (before, after)]
    assert odds[1] / odds[0] == pytest.approx(ratio, rel=0.02)


def test_two_leads_swapped_are_harmless_and_said_so():
    """Believed at most; never supported."""
    rows, _ = judged_causes(failed(told="I swapped two leads at the rectifier"), ALL)
    swapped = next(r for r in rows if r.id == "generator.leads-swapped")
    assert swapped.verdict is Verdict.CANNOT_TELL
    assert "harmless" in swapped.title


def test_a_drill_gives_the_speed_at_which_volts_were_read():
    """Volts of a bench test are held against the speed of the same visit, not against the wind."""
    taken = read("M1", "rotor.speed", 30.0, "nothing connected", None)
    taken |= read("M2", "generator.open_voltage", 28.2, "nothing connected", None)
    notes = tuple(Note(label, "A2", True) for label in ("M1", "M2"))
    beliefs = weigh_mechanisms(failed(taken, (HARDLY,), notes=notes), ALL)
    # 30 rad/s at 1 V s/rad, less 1.8 V of diodes: as built.
    weak = next(w for w in beliefs.rows if w.mechanism.id == "generator.weak-magnets")
    assert weak.read < -1.0


def test_steps_forbid_what_a_caution_forbids():
    """Nothing asked for unloads or shorts a rotor in the wind, and what broke is not run again."""
    assert not {name for name, *_ in READINGS} & {"generator.open_voltage", "generator.short_current"}
    assert {name.split("/")[0] for name, *_ in READINGS} <= set(QUANTITIES)
    of = failed(symptoms=("blade lost or broken",))
    steps = next_steps(weigh_mechanisms(of, ALL), of.system.inputs(), ("blade lost or broken",))
    assert steps
    assert not {s.name for s in steps} & {"rotor.speed", "charge.current", "cable.drop"}
    assert all(s.means for s in steps)
