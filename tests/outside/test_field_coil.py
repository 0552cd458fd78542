"""The field coil of a car alternator against a maker's figure."""

from __future__ import annotations

import numpy as np
import pytest

from calc.finding import Status
from calc.machine.design import build_design
from calc.machine.field import NO_COIL
from calc.machine.inputs import Unknown
from calc.machine.solving import Solved
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc.sheets import GOOD

COIL = {"generator.field": "a coil on slip rings, as in a car alternator", "generator.field_resistance": 2.9,
        "generator.field_supply": "always on", "storage.voltage_charging": 14.0, "rotor.blades": 3.0}  # fmt: skip


def _found(**more):
    return {f.rule: f for f in judge_rules(RULES, System(build_design(GOOD | COIL | more)))}


def test_the_coil_of_a_car():
    """2.9 ohm: 4.83 A at 14 V cold, 3.67 A at 100 degC, so 51.4 W and 1.2 kWh a day (machine facts 3.4)."""
    found = _found()["generator.field"]
    assert found.status is Status.FAIL
    assert found.value == pytest.approx(3.673 * 14.0, rel=1e-3)
    assert "4.8 A cold" in found.more
    assert "51 W" in found.says
    assert "1.2 kWh a day" in found.says
    assert "even without wind" in found.says


def test_the_machine_is_solved_and_its_brake_is_not_called_good():
    """The coil's power is missing from the charge; shorted leads hold only while the battery feeds it."""
    more = {"cable.main.fuse": 60.0, "generator.inductance": 1e-5}
    solved = System(build_design(GOOD | COIL | more)).solved
    assert isinstance(solved, Solved)
    at = solved.operation.running
    assert np.all(at.field[at.current > 0] == pytest.approx(51.4, abs=0.1))
    assert np.any(at.current > 0)
    found = _found(**more)["rotor.brake-holds"]
    assert found.status is not Status.OK
    assert "only while the battery feeds" in found.says


def test_less_current_makes_less_field():
    """Read at twice the current that the battery gives, the constant counts half; beyond that the iron is full."""
    k = [float(System(build_design(GOOD | COIL | {"generator.field_current": I})).solved.machine.k)
         for I in (2.0 * 3.673, 3.673, 1.0)]  # fmt: skip
    assert k[1] == pytest.approx(2.0 * k[0], rel=1e-3)
    assert k[2] == pytest.approx(k[1], rel=1e-3)


@pytest.mark.parametrize("more", [{"generator.phases": "DC with brushes"},
                                  {"converter.kind": "a converter that looks for the best power",
                                   "converter.input_lowest": 20.0, "converter.input_highest": 90.0,
                                   "converter.input_current": 9.0}])  # fmt: skip
def test_what_is_not_covered_says_so(more):
    """In one sentence."""
    got = System(build_design(GOOD | COIL | more)).solved
    assert isinstance(got, Unknown)
    assert got.why == NO_COIL


def test_a_generator_of_magnets_has_no_coil_to_judge():
    """Nor one of which nothing is said."""
    assert "generator.field" not in _found(**{"generator.field": "permanent magnets"})
