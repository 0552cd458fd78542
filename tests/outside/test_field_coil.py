"""The field coil of a car alternator against a maker's figure."""

from __future__ import annotations

import pytest

from calc.finding import Status
from calc.machine.design import build_design
from calc.machine.inputs import Unknown
from calc.machine.solving import NO_COIL
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
    assert "4.8 A cold" in found.says
    assert "51 W" in found.says
    assert "1.2 kWh a day" in found.says
    assert "even without wind" in found.says


def test_the_rest_of_the_sheet_is_still_judged():
    """The machine is not solved, and says so in one sentence; its brake is not called good."""
    system = System(build_design(GOOD | COIL))
    assert isinstance(system.solved, Unknown)
    assert system.solved.why == NO_COIL
    found = _found()
    assert found["generator.match"].status is found["rotor.brake-holds"].status is Status.UNKNOWN
    assert found["wiring.voltage-drop"].status is not Status.UNKNOWN


def test_a_generator_of_magnets_has_no_coil_to_judge():
    """Nor one of which nothing is said."""
    assert "generator.field" not in _found(**{"generator.field": "permanent magnets"})
