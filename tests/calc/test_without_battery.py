"""Machines without a battery: no rule asks for a battery's values, none speaks of one that is not there."""

import pytest

from calc.finding import Status
from calc.machine.catalogue.house import BESIDE_GRID, ON_LEADS
from calc.machine.catalogue.storage import DUMP_PLACES, DUMPS
from calc.machine.currents import run_current
from calc.machine.design import build_design
from calc.machine.inputs import Unknown
from calc.machine.need import battery_need
from calc.machine.system import System
from calc.rules import RULES, engine, plan

GENERATOR = {
    "storage.chemistry": "none", "rotor.diameter": 1.8, "rotor.blades": 3.0, "generator.emf_constant": 1.2732,
    "generator.winding_resistance": 0.6, "generator.phases": "three-phase", "generator.rated_current": 15.0,
    "rotor.brake": "switch that shorts the generator", "mast.height": 9.0, "site.mean_wind": 4.8,
    "cable.mast.carries": "generator after the rectifier", "cable.mast.length": 34.0, "cable.mast.area": 6e-6,
    "generator.rectifier_current": 35.0,
}  # fmt: skip
HEATER = {"load.heater.power": 600.0, "load.heater.voltage": 48.0, "load.heater.hours": 0.5,
          "load.heater.kind": "heater or other resistance"}  # fmt: skip
MACHINES = {
    "heater": {**GENERATOR, **HEATER},
    "heater by a cable": {**GENERATOR, **HEATER, "cable.h.carries": "battery to loads", "cable.h.length": 3.0,
                          "cable.h.area": 6e-6},
    "winding too hot": {**GENERATOR, **HEATER, "generator.rated_current": 3.0},
    "grid": {**GENERATOR, "inverter.power": 1000.0, "inverter.input_voltage_max": 400.0, "house.feed": BESIDE_GRID,
             "inverter.grid_listed": True, "dump.kind": DUMPS[2], "dump.power": 1500.0, "dump.resistance": 40.0,
             "cable.d.carries": "to the dump load", "cable.d.length": 2.0, "cable.d.area": 2.5e-6,
             "cable.i.carries": "battery to inverter", "cable.i.length": 2.0, "cable.i.area": 2.5e-6},
    "leads": {**GENERATOR, **HEATER, "load.heater.hangs_on": ON_LEADS,
              "cable.mast.carries": "generator before the rectifier"},
    "claimed": {**{k: v for k, v in GENERATOR.items() if k != "generator.rated_current"},
                "claim.C1.power": 400.0, "claim.C1.wind_speed": 9.0},
}  # fmt: skip


@pytest.mark.parametrize("name", MACHINES)
def test_no_rule_asks_for_what_only_a_battery_has(name):
    """Every rule is run, and every remedy tried."""
    system = System(build_design(MACHINES[name]))
    found = plan.advise(RULES, system, engine.judge_rules(RULES, system, {})).findings
    assert len(found) > 20
    for f in found:
        assert not [path for path in map(str, f.missing) if path.startswith("storage.") or "battery" in path], f
        told = " ".join([f.says, *(r.says for r in f.remedies)]).casefold()
        # That there is none may be told.
        for words in ("without a battery", "without the battery"):
            told = told.replace(words, "")
        assert "batter" not in told, f
        assert " bank" not in told, f


def test_the_winding_of_a_machine_that_is_too_hot_is_answered():
    """No bank of more volts is offered where there is none."""
    system = System(build_design(MACHINES["winding too hot"]))
    found = plan.advise(RULES, system, engine.judge_rules(RULES, system, {})).findings
    (hot,) = [f for f in found if f.rule == "generator.heat"]
    assert hot.status in (Status.FAIL, Status.DANGER)
    assert hot.remedies


def test_what_cannot_be_solved_says_why():
    """An inverter is no lamp, and a load ahead of the rectifier is not behind it."""
    for name, why in (("grid", "An inverter straight at the rectifier"), ("leads", "ahead of the rectifier (heater)")):
        solved = System(build_design(MACHINES[name])).solved
        assert isinstance(solved, Unknown)
        assert why in solved.why
        assert not solved.missing


def test_a_load_on_the_leads_takes_nothing_from_a_battery():
    """Its power counts neither as what the battery gives, nor in the cables from it."""
    stored = {**GENERATOR, "storage.chemistry": "LiFePO4", "storage.voltage": 24.0, "storage.capacity": 360000.0,
              "load.lamp.power": 24.0, "load.lamp.hours": 0.25, "cable.l.carries": "battery to loads",
              "cable.l.length": 3.0, "cable.l.area": 2.5e-6}  # fmt: skip
    for extra, watts, amps in (({}, 6.0, 1.0), (HEATER, 306.0, 26.0),
                               ({**HEATER, "load.heater.hangs_on": ON_LEADS}, 6.0, 1.0)):  # fmt: skip
        x = System(build_design({**stored, **extra})).inputs("l")
        assert battery_need(x).mean == pytest.approx(watts)
        assert run_current(x, "l").amps == pytest.approx(amps)


def _inverter(**more):
    system = System(build_design({**MACHINES["grid"], **more}))
    findings = plan.advise(RULES, system, engine.judge_rules(RULES, system, {})).findings
    return next(f for f in findings if f.rule == "inverter.input-voltage")


def test_an_inverter_meets_the_free_rotor_when_the_grid_fails():
    """What it withstands against the peak of the generator without a load in a storm, far above 400 V."""
    free = _inverter()
    assert free.status is Status.FAIL
    assert "that come if the grid fails, or it lets go by itself" in free.says
    assert free.limit > 400.0
    sound = _inverter(**{"inverter.input_voltage_max": 1000.0, "generator.emf_constant": 0.3})
    assert sound.status is Status.OK
    held = _inverter(**{"dump.place": DUMP_PLACES[0]})
    assert held.status is Status.MARGINAL
    assert "dump load on the rectifier's side holds it lower" in held.says
