"""What a meter would show on the worked machine of the turning points, and the wind carried to its rotor."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calc.machine.design import build_design
from calc.machine.inputs import Inputs, Unknown
from calc.machine.meter import PREDICTED, meter_values
from calc.machine.site import at_hub, hub_wind
from calc.machine.solving import Solved, solve_machine
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc.test_rules_machine import PIPE
from tests.outside.turning_points import AMPS, CABLE, CHARGED, INSIDE, REST, SPEED, UP, WINDING, WORKED

BATTERY, NOTHING = "battery", "nothing connected"
WINDS = np.array([3.0, 8.0])


def inputs(base=WORKED, **changes):
    """The sheet, some values changed."""
    values = {**base, **{name.replace("__", "."): value for name, value in changes.items()}}
    return Inputs(build_design({name: value for name, value in values.items() if value is not None}))


@pytest.fixture(scope="module")
def worked():
    """The machine solved once."""
    solved = solve_machine(inputs())
    assert isinstance(solved, Solved)
    return solved


#: In 3 m/s it turns freely at a ratio of 8 and nothing flows; in 8 m/s at 5.
SHOWN = [
    ("charge.current", BATTERY, [0.0, AMPS]),
    ("charge.power", BATTERY, [0.0, CHARGED]),
    ("rotor.speed", BATTERY, [24.0, SPEED]),
    ("rotor.speed", NOTHING, [24.0, 64.0]),
    ("generator.open_voltage", BATTERY, [24.0, 64.0]),
    ("generator.open_voltage", NOTHING, [24.0, 64.0]),
    ("cable.drop", "battery and loads", [0.0, AMPS * CABLE]),
    # At the generator's end of the cable; with no current the rotor's own volts less the diodes, or the battery's.
    ("generator.loaded_voltage", BATTERY, [None, REST + AMPS * (INSIDE + CABLE)]),
    ("generator.emf", "not known", [1.0]),
    ("generator.resistance", "not known", [WINDING]),
]


@pytest.mark.parametrize(("quantity", "load", "values"), SHOWN, ids=[f"{row[0]}-{row[1]}" for row in SHOWN])
def test_a_meter_shows_what_was_worked_out(worked, quantity, load, values):
    """In each wind; one number for what the wind does not move."""
    found = meter_values(worked, quantity, load, WINDS if len(values) == 2 else None)
    assert found.shape == (len(values),)
    for got, wanted in zip(found, values, strict=True):
        assert wanted is None or got == pytest.approx(wanted, rel=5e-3, abs=1e-6)


def test_every_quantity_that_is_predicted_is_tried():
    """Here, or on blades of pipe."""
    assert set(PREDICTED) == {row[0] for row in SHOWN} | {"blade.mass"}


@pytest.mark.parametrize(
    ("quantity", "load", "winds", "says"),
    [
        ("rotor.speed", BATTERY, None, "only when the wind"),
        ("rotor.speed", BATTERY, Unknown("The wind is not known"), "The wind is not known"),
        ("rotor.speed", "dump load", WINDS, "What was connected"),
        ("charge.current", NOTHING, WINDS, "What was connected"),
        ("charge.current", "not known", WINDS, "What was connected"),
        ("battery.voltage", BATTERY, WINDS, "What was connected"),
        ("blade.mass", BATTERY, WINDS, "blades cut from pipe only"),
    ],
)
def test_what_no_meter_can_be_held_against(worked, quantity, load, winds, says):
    """Said with its reason."""
    found = meter_values(worked, quantity, load, winds)
    assert isinstance(found, Unknown)
    assert says in found.why


def test_a_blade_weighs_what_its_pipe_does():
    """1.4 g/cm3 of PVC (from memory) times wall, developed width and length, less what is cut away near the tip."""
    (mass,) = meter_values(solve_machine(inputs(PIPE)), "blade.mass", "not known", None)
    # 0.15 m wide at the root and 0.07 m at the tip, over 1.1 m less an eighth of it; an arc is longer than its chord.
    flat = 1400.0 * 0.0062 * (0.15 + 0.07) / 2.0 * 1.1 * 7.0 / 8.0
    assert flat < mass < 1.25 * flat


def test_a_wind_is_carried_to_the_rotor_by_the_logarithmic_profile():
    """ln(15.5/0.03) / ln(10/0.03) over open farmland (P. Jain, Table 3-5); as it is where no height is known."""
    assert at_hub(inputs(), 5.0, 10.0) == pytest.approx(5.0 * UP)
    assert at_hub(inputs(), 5.0, 3.0) == pytest.approx(5.0 * math.log(15.5 / 0.03) / math.log(3.0 / 0.03))
    assert at_hub(inputs(), 5.0, None) == 5.0
    assert at_hub(inputs(mast__height=None), 5.0, 10.0) == 5.0
    assert hub_wind(inputs()) == pytest.approx(5.5 * UP)


@pytest.mark.parametrize("heights", [(0.3, 15.5), (10.0, 0.3)])
def test_near_the_ground_the_wind_follows_no_rule(heights):
    """Hedges of 0.4 m roughness reach higher than either."""
    x = inputs(mast__height=heights[1], site__ground="farmland with hedges", site__wind_height=heights[0])
    assert isinstance(at_hub(x, 5.0, heights[0]), Unknown)
    assert isinstance(hub_wind(x), Unknown)


def test_a_reading_is_held_against_the_wind_at_the_rotor():
    """5 m/s at 10 m are 5.4 at 15.5 m: the free rotor turns at 8 times that, over 1 m."""
    read = {"quantity": "generator.open_voltage", "value": 43.0, "low": 42.0, "high": 44.0, "load": NOTHING,
            "wind_low": 5.0, "wind_high": 5.0}  # fmt: skip
    said = []
    for height in (10.0, None):
        values = WORKED | {f"measured.M1.{k}": v for k, v in (read | {"wind_height": height}).items() if v is not None}
        book = [rule for rule in RULES if rule.id == "measured.agrees"]
        said.append(judge_rules(book, System(build_design(values)))[0])
    assert [str(f.status) for f in said] == ["ok", "marginal"]
    assert "43 V computed in 5.4 m/s" in said[0].says
    assert said[1].margin == pytest.approx(-(42.0 - 40.0) / 43.0, rel=0.02)
