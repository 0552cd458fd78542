"""Figures that rules quote, worked out by hand: on the worked machine of the turning points, and on the good one."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy

from calc.machine.design import build_design
from calc.machine.solving import WINDS
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc.sheets import GOOD, RPM
from tests.outside.turning_points import CP, WORKED, amps, cp, rayleigh

#: A winding with which the machine stalls in strong wind, on a mast as high as the wind was measured.
THIN = 0.3
STALLING = {
    **WORKED, "site.mean_wind": 5.0, "mast.height": 10.0, "rotor.overspeed": "none", "rotor.limit_wind": None,
    "generator.winding_resistance": THIN,
}  # fmt: skip
BEGIN, BEHIND = 26.4 + 1.8, 2 * 10.0 * 1.83e-3 + 0.010


def finding(rule, base=WORKED, **changes):
    """What one rule says of the machine, some values changed."""
    values = {**base, **{name.replace("__", "."): value for name, value in changes.items()}}
    design = build_design({name: value for name, value in values.items() if value is not None})
    return next(iter(judge_rules([one for one in RULES if one.id == rule], System(design))))


def ratio(V):
    """Tip-speed ratio with the thin winding, by the balance of torques."""
    return (BEGIN + amps(V, R=THIN) * (THIN + BEHIND)) / V


def energy(mean, winds=WINDS):
    """How much energy the wind carries at each of some winds, in a place of some mean wind; in any unit."""
    return np.array([rayleigh(V, mean) for V in winds]) * winds**3


def test_a_rotor_is_said_to_stall_from_a_tenth_of_the_wind_s_energy_on():
    """Stalled is below 0.6 of the best ratio of 5; Rayleigh winds of a place mean 5 m/s. Both shares own choice."""
    stalled = np.array([ratio(float(V)) < 0.6 * 5.0 for V in WINDS])
    turn = scipy.optimize.brentq(lambda mean: energy(mean)[stalled].sum() / energy(mean).sum() - 0.1, 3.0, 9.0)
    said = [finding("generator.match", STALLING, site__mean_wind=mean).says for mean in (0.997 * turn, 1.003 * turn)]
    assert ["stall" in says for says in said] == [False, True]
    first = float(WINDS[np.argmax(stalled)])
    assert f"From {first:.0f} m/s on" in said[1]
    assert f"the tip-speed ratio falls to {ratio(first):.1f}".removesuffix(".0") in said[1]


@pytest.mark.parametrize(("limit", "stalls"), [(11.0, False), (13.0, False), (25.0, True)])
def test_winds_in_which_it_is_held_back_count_for_no_stall(limit, stalls):
    """From 12 m/s on it would stall; a tail that furls it before or soon after leaves too little of that."""
    furled = {**STALLING, "rotor.overspeed": "furling tail", "rotor.limit_wind": limit}
    assert ("stall" in finding("generator.match", furled).says) is stalls


@pytest.mark.parametrize("limit", [6.0, 9.0])
def test_the_match_is_that_of_the_winds_in_which_it_is_let_work(limit):
    """Power of the rotor over what it could take at its best, up to where it is held back."""
    furled = {**STALLING, "rotor.overspeed": "furling tail", "rotor.limit_wind": limit}
    winds = np.array([V for V in WINDS if V <= limit and amps(float(V), R=THIN) > 0])
    taken = np.array([cp(ratio(float(V))) for V in winds])
    weights = energy(5.0, winds)
    found = finding("generator.match", furled)
    assert found.value / 100.0 == pytest.approx(float(np.sum(weights * taken) / (CP * np.sum(weights))), rel=3e-3)
    assert (found.limit, found.margin) == (75.0, pytest.approx(found.value / 75.0 - 1.0))


#: Kind of winding, how its 1/(40 rpm/V) was read, inductance and pole pairs, and the current of its leads when shorted.
#: Tips at 50 m/s turn 2 m at 50 rad/s, which is 11.94 V as read. A star's phase is half of 0.4 ohm and of 3 mH.
READ_V, REACTANCE = 50.0 / (40.0 * RPM), 50.0 * 8.0 * 3e-3
SHORTED = [
    ("three-phase", "between two leads, RMS", {}, READ_V / math.sqrt(3.0) / 0.2),
    ("three-phase", "between two leads, RMS", {"generator__inductance": 3e-3, "generator__pole_pairs": 8.0},
     READ_V / math.sqrt(3.0) / math.hypot(0.2, REACTANCE / 2.0)),
    ("three-phase", "lead to star point, RMS", {}, READ_V / 0.2),
    ("single-phase", "between two leads, RMS", {"generator__inductance": 3e-3, "generator__pole_pairs": 8.0},
     READ_V / math.hypot(0.4, REACTANCE)),
    ("single-phase", "between two leads, RMS", {"generator__inductance": 3e-3}, READ_V / 0.4),
    ("single-phase", "between two leads, RMS", {"generator__pole_pairs": 8.0}, READ_V / 0.4),
    ("DC with brushes", "DC after the rectifier", {"generator__inductance": 3e-3, "generator__pole_pairs": 8.0},
     READ_V / 0.4),
]  # fmt: skip


@pytest.mark.parametrize(("phases", "form", "coil", "amps"), SHORTED)
def test_a_shorted_generator_drives_its_voltage_over_its_impedance(phases, form, coil, amps):
    """U/Z of the leads, U/sqrt(3) over half of it in a star; a brushed machine's inductance takes nothing from DC."""
    found = finding("protection.brake-switch", GOOD, generator__phases=phases, generator__emf_form=form, **coil)
    assert found.limit == pytest.approx(amps, rel=1e-3)
    assert found.margin == pytest.approx(40.0 / amps - 1.0, rel=1e-3)
    held_back = len(coil) == 2 and phases != "DC with brushes"
    assert ("by its resistance and inductance" in found.says) is held_back
    assert ("by its resistance alone" in found.says) is not held_back


@pytest.mark.parametrize(("phases", "share"), [("three-phase", math.sqrt(2.0 / 3.0)), ("single-phase", 1.0)])
def test_a_brake_switch_must_carry_the_working_current(phases, share):
    """10 A behind the bridge: sqrt(2/3) of it in each of three leads (from memory), all of it in two."""
    kind = {"generator__phases": phases, "generator__rated_current": 10.0, "rotor__blades": None}
    said = [str(finding("protection.brake-switch", GOOD, protection__brake_current=10.0 * share * near, **kind).status)
            for near in (0.999, 1.001)]  # fmt: skip
    assert said == ["fail", "marginal"]
    alone = finding("protection.brake-switch", GOOD, protection__brake_current=9.0 * share, **kind)
    assert "less than even the working current" in alone.says
    assert f"In normal running it is {10.0 * share:.2g} A" in alone.says
    assert f"rated for {alone.limit:.2g} A or more" in alone.remedy
    slower = 50.0 / RPM * 9.0 * share / alone.limit
    assert f"brake below {round(slower, -1):.0f} rpm" in alone.remedy


def test_a_star_point_that_is_not_there_is_no_ground_for_a_current():
    """A single-phase winding has two leads."""
    star = {"generator__phases": "single-phase", "generator__emf_form": "lead to star point, RMS"}
    found = finding("protection.brake-switch", GOOD, **star)
    assert (found.status, "no star point" in found.says) == ("unknown", True)


#: Quantities that no solved machine shows, and one that it does, on machines with and without a battery.
@pytest.mark.parametrize(
    ("quantity", "chemistry", "judged"),
    [("charge.current", "LiFePO4", True), ("battery.voltage", "LiFePO4", False), ("generator.emf", "none", False),
     ("battery.density", "none", False)],
)  # fmt: skip
def test_a_reading_is_held_against_what_a_machine_with_a_battery_shows(quantity, chemistry, judged):
    """And against nothing else."""
    read = {"measured.M1.quantity": quantity, "measured.M1.value": 1.0}
    values = {**WORKED, **read, "storage.chemistry": chemistry}
    found = judge_rules([one for one in RULES if one.id == "measured.agrees"], System(build_design(values)))
    assert [f.subject for f in found] == (["measured.M1"] if judged else [])
