"""Small sheets for tests of rules, as values by name in SI. The machine is invented."""

from __future__ import annotations

from calc.design import AH, MM2, RPM, Value, build
from calc.finding import Finding
from calc.rules import RULES
from calc.rules.engine import run

#: A machine with which most rules are content; cases change what they need.
GOOD: dict[str, Value] = {
    "site.mean_wind": 5.5,
    "site.wind_height": 10.0,
    "site.ground": "open farmland",
    "site.storm_wind": 30.0,
    "site.wind_spread": 2.0,
    "site.air_temperature": 288.15,
    "site.altitude": 0.0,
    "rotor.diameter": 2.0,
    "rotor.tip_speed_ratio": 5.0,
    "rotor.free_tip_speed_ratio": 8.0,
    "rotor.power_coefficient": 0.2,
    "rotor.overspeed": "furling tail",
    "rotor.brake": "switch that shorts the generator",
    "blade.material": "PVC-U pipe",
    "generator.emf_constant": 1 / (40 * RPM),
    "generator.emf_form": "DC after the rectifier",
    "generator.phases": "three-phase",
    "generator.rated_current": 10.0,
    "generator.diode_drop": 0.9,
    "generator.rectifier_voltage": 1000.0,
    "cable.main.carries": "generator after the rectifier",
    "cable.main.length": 10.0,
    "cable.main.area": 10 * MM2,
    "cable.main.temperature": 293.15,
    "cable.main.fuse": 16.0,
    "cable.inv.carries": "battery to inverter",
    "cable.inv.length": 1.0,
    "cable.inv.area": 25 * MM2,
    "cable.inv.temperature": 293.15,
    "storage.chemistry": "LiFePO4",
    "storage.voltage": 12.0,
    "storage.capacity": 100 * AH,
    "storage.charge_voltage": 14.2,
    "storage.temperature": 298.15,
    "storage.coldest": 283.15,
    "storage.cell_monitor": True,
    "storage.alike": True,
    "storage.place": "shed, cellar or utility room with vents",
    "dump.kind": "switched by the charge controller",
    "dump.power": 200.0,
    "inverter.power": 400.0,
    "inverter.input_voltage_min": 10.0,
    "inverter.efficiency": 0.8,
    "inverter.fuse": 63.0,
    "house.feed": "own circuits, apart from the house",
    "mast.kind": "guyed tilt-up",
    "mast.height": 15.5,
    "mast.building_height": 5.0,
    "load.lamp.power": 12.0,
    "load.lamp.hours": 0.25,
    "claim.seller.power": 60.0,
    "claim.seller.wind_speed": 7.0,
}


def changed(changes: dict[str, Value | None]) -> dict[str, Value]:
    """The good machine with some values changed, or taken away where None."""
    values = GOOD | changes
    return {name: value for name, value in values.items() if value is not None}


def findings(changes: dict[str, Value | None]) -> dict[tuple[str, str], Finding]:
    """What the rule book says of the changed machine, by rule and subject."""
    return {f.key: f for f in run(RULES, build(changed(changes)))}
