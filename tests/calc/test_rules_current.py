"""The current that flows is what the solved machine brings; what stands in where it cannot be solved."""

from __future__ import annotations

import numpy as np
import pytest

from calc.finding import Status
from calc.machine.catalogue import Sheet
from calc.machine.currents import generator_current, run_current
from calc.machine.design import build_design
from calc.machine.entry import Value
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import free_ratio, power_share, working_ratio
from calc.machine.runs import run_resistance
from calc.machine.solving import Solved, solve_machine
from calc.machine.spread import Draws, sample
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.dump import _who
from calc.rules.engine import judge_rules
from tests.calc.test_rules_machine import PIPE

CLAIM = {"claim.seller.power": 5000.0, "claim.seller.wind_speed": 12.0}


def inputs(changes: dict[str, Value | None] | None = None) -> Inputs:
    """The machine with blades of pipe, some values changed."""
    return Inputs(build_design({k: v for k, v in {**PIPE, **(changes or {})}.items() if v is not None}))


def findings(changes: dict[str, Value | None]):
    """All findings of the changed machine by rule and subject."""
    return {f.key: f for f in judge_rules(RULES, System(inputs(changes).design))}


@pytest.mark.parametrize("limit", [7.0, 9.0, 20.0])
def test_greatest_current_is_that_of_all_winds_let_work(limit):
    """No wind up to the limit brings more; where the rotor stalls it is not the strongest wind that brings most."""
    x = inputs({"rotor.limit_wind": limit})
    solved = solve_machine(x)
    assert isinstance(solved, Solved)
    amps, at = solved.greatest()
    along = [float(solved.at(v).current) for v in np.arange(3.0, limit + 0.1, 0.5)]
    assert amps == pytest.approx(max(along), rel=1e-6)
    assert at <= limit
    assert float(solved.at(at).current) == pytest.approx(amps, rel=1e-6)


@pytest.mark.parametrize("claim", [{}, CLAIM])
@pytest.mark.parametrize("rated", [None, 5.0, 500.0])
def test_neither_rating_nor_claim_moves_what_flows(claim, rated):
    """Cable, fuse, dump load and battery are judged by the solved machine, here with a winding of known cooling."""
    cooling = {"generator.thermal_resistance": 1.0}
    found, plain = (findings({"generator.rated_current": r, **c, **cooling}) for r, c in ((rated, claim), (15.0, {})))
    for key in (("wiring.ampacity", "cable.main"), ("wiring.fuse", "cable.main"), ("storage.dump", "storage")):
        assert found[key].says == plain[key].says
        assert "computed for 9 m/s" in f"{found[key].says} {found[key].more}"


def test_the_storm_is_named_where_nothing_holds_the_rotor():
    """Its current is that of the storm, or of the wind before it stalled."""
    how = generator_current(inputs({"rotor.overspeed": "none"})).said()
    assert "computed for" in how
    assert "A (" in how


@pytest.mark.parametrize(
    ("changes", "phrase"),
    [
        ({"rotor.blades": None}, "15 A (what its winding carries, until the machine can be computed)"),
        ({"rotor.blades": None, "generator.rated_current": None}, "derived from the largest claim, 100 W at 24 V"),
        ({"cable.main.current": 12.5}, "12.5 A (as the sheet states)"),
    ],
)
def test_what_stands_in(changes, phrase):
    """A stated current, else the machine, else the winding's rating, else claims."""
    assert phrase in run_current(inputs(changes), "main").said()


def test_nothing_at_all_stands_in():
    """Then the rating is what is asked for."""
    gone = dict.fromkeys(("rotor.blades", "generator.rated_current", *CLAIM))
    assert generator_current(inputs(gone)) == Unknown("", (Sheet.generator.rated_current,))


def test_a_machine_that_never_charges_is_still_judged():
    """Its current is as good as none, and nothing is divided by it."""
    found = findings({"generator.emf_constant": 2e-3})
    assert found["wiring.fuse", "cable.main"].status is Status.OK


def test_the_winding_is_judged_against_its_rating():
    """What it carries stands beside what it gets, at the wind that gives most."""
    says = findings({"generator.rated_current": 5.0})["generator.heat", "generator"].says
    assert "carries 5 A for hours" in says
    assert "9 m/s" in says


def test_joints_and_strands_count_in_the_solved_machine():
    """0.5 ohm of joints are in the balance as they are in the voltage lost."""
    plain, bad = inputs(), inputs({"cable.main.joints": 0.5})
    assert run_resistance(bad, "main") == pytest.approx(run_resistance(plain, "main") + 0.5)
    assert solve_machine(bad).greatest_current < solve_machine(plain).greatest_current


def test_year_in_the_cable_agrees_with_the_year_of_the_machine():
    """One run: what the cable's finding loses is what the year's finding loses."""
    found = findings({})
    lost = found["wiring.voltage-drop", "cable.main"].says.split(" loses ")[1].split(" a year")[0]
    assert f"{lost} are lost in the cable" in found["energy.year", "energy"].says


@pytest.mark.parametrize(
    ("changes", "share", "ratio", "how"),
    [
        # Wooden blades of unknown shape: 0.30 to 0.40 and 6, from memory.
        ({"blade.material": "wood", "blade.pipe_wall": None}, 0.35, 6.0, "assumed"),
        ({"blade.material": "PVC-U pipe", "blade.pipe_wall": None}, 0.28, 5.0, "assumed"),
        ({"rotor.power_coefficient": 0.3, "rotor.tip_speed_ratio": 4.5}, 0.3, 4.5, "as the sheet states"),
    ],
)
def test_share_that_the_rotor_takes(changes, share, ratio, how):
    """By the kind of blade where the shape is not known, unless stated."""
    x = inputs(changes)
    assert power_share(x) == (pytest.approx(share), how)
    assert working_ratio(x) == pytest.approx(ratio)


def test_share_of_a_known_shape_is_computed():
    """And quoted as computed, by the claim's finding and the site's."""
    x = inputs()
    turning = solve_machine(x).rotor
    assert power_share(x) == (turning.best()[1], "computed from its blades")
    found = findings({"claim.seller.power": 3000.0})
    for key in (("claim.betz", "claim.seller"), ("site.power", "site")):
        assert "computed from its blades" in f"{found[key].says} {found[key].more}"


def test_wooden_assumption_is_named_and_drawn():
    """With its reason, and over its range in samples; blades of wood are not said to be cut from pipe."""
    wooden = {"blade.material": "wood", "blade.pipe_wall": None}
    found = findings(wooden)["site.power", "site"]
    assert any("carved blades" in a for a in found.assumptions)
    assert not any("cut from pipe" in a for f in findings(wooden).values() for a in f.assumptions)
    drawing = Draws(300)
    many = Inputs(sample(inputs(wooden).design, {}, drawing), drawn=drawing)
    drawn = np.asarray(power_share(many)[0])
    assert drawn.min() == pytest.approx(0.30, abs=0.01)
    assert drawn.max() == pytest.approx(0.40, abs=0.01)
    assert free_ratio(inputs(wooden), 10.0) == pytest.approx(9.6)


@pytest.mark.parametrize(
    ("monitor", "phrase"), [(True, "which watch its cells"), (None, "if it has any"), (False, "a loose terminal")]
)
def test_what_can_part_the_battery(monitor, phrase):
    """Electronics that are there, that may be there, that are not."""
    assert phrase in _who(inputs({"storage.cell_monitor": monitor}))
