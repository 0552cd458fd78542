"""Small sheets for tests of rules, as values by name in SI. The machine is invented."""

from __future__ import annotations

import math
from functools import cache, lru_cache

from calc.finding import Finding, Remedy, Status
from calc.machine.catalogue.storage import DUMP_PLACES, MOUNTS
from calc.machine.catalogue.wiring import MAST_EARTHS
from calc.machine.design import Design, build_design
from calc.machine.entry import AH, MM2, Value
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.board import Board
from calc.rules.engine import ABSENT, STATUS, judge_rules
from calc.rules.proving import MARGINAL, of_readings, prove, remedied

#: A turn a minute. [rad/s]
RPM = math.pi / 30.0

#: A machine with which most rules are content; cases change what they need.
GOOD: dict[str, Value] = {
    "site.mean_wind": 5.5,
    "site.wind_height": 10.0,
    "site.ground": "open farmland",
    "site.storm_wind": 30.0,
    "site.gust": 30.0,
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
    "generator.rectifier_current": 35.0,
    "generator.winding_resistance": 0.4,
    "cable.main.carries": "generator after the rectifier",
    "cable.main.length": 10.0,
    "cable.main.area": 10 * MM2,
    "cable.main.temperature": 293.15,
    "cable.main.fuse": 16.0,
    "cable.main.fuse_distance": 0.15,
    "cable.main.fuse_voltage": 80.0,
    "cable.main.fuse_breaking": 10000.0,
    "cable.inv.carries": "battery to inverter",
    "cable.inv.length": 1.0,
    "cable.inv.area": 25 * MM2,
    "cable.inv.temperature": 293.15,
    "cable.inv.fuse_distance": 0.15,
    "cable.inv.fuse_voltage": 32.0,
    "cable.inv.fuse_breaking": 10000.0,
    "cable.dump.carries": "to the dump load",
    "cable.dump.area": 10 * MM2,
    "cable.dump.fuse": 40.0,
    "cable.dump.fuse_distance": 0.15,
    "cable.dump.fuse_voltage": 32.0,
    "cable.dump.fuse_breaking": 10000.0,
    "storage.chemistry": "LiFePO4",
    "storage.voltage": 12.0,
    "storage.capacity": 100 * AH,
    "storage.charge_voltage": 14.2,
    "storage.temperature": 298.15,
    "storage.coldest": 283.15,
    "storage.cell_monitor": True,
    "storage.monitor_voltage": 100.0,
    "storage.alike": True,
    "storage.place": "shed, cellar or utility room with vents",
    "dump.kind": "switched by the charge controller",
    "dump.power": 200.0,
    "dump.mounted": MOUNTS[0],
    "dump.controller_voltage": 100.0,
    "dump.resistance": 1.2,
    "dump.voltage": 24.0,
    "dump.controller_current": 20.0,
    "dump.place": DUMP_PLACES[0],
    "dump.second_means": "a control that brakes the rotor",
    "inverter.power": 400.0,
    "inverter.input_voltage_min": 10.0,
    "inverter.efficiency": 0.8,
    "inverter.fuse": 63.0,
    "inverter.surge_power": 800.0,
    "inverter.input_voltage_max": 100.0,
    "inverter.wave": "sine",
    "house.feed": "own circuits, apart from the house",
    "house.neutral": "joined to earth at one place",
    "house.rcd": True,
    "house.labels": True,
    "protection.brake_place": "ahead of the rectifier, all leads",
    "protection.brake_current": 40.0,
    "protection.main_fuse": "class T",
    "protection.main_fuse_rating": 63.0,
    "protection.main_fuse_distance": 0.15,
    "protection.generator_switch": "shorts the generator as it opens the circuit",
    "protection.battery_switch": True,
    "protection.surge": "at both ends of the generator's cable",
    "protection.surge_voltage": 100.0,
    "protection.mast_earth": MAST_EARTHS[0],
    "protection.earth_area": 16 * MM2,
    "protection.polarity": "connectors that fit one way only",
    "mast.kind": "guyed tilt-up",
    "mast.height": 15.5,
    "mast.building_height": 5.0,
    "mast.line_distance": 60.0,
    "load.lamp.power": 12.0,
    "load.lamp.hours": 0.25,
    "claim.seller.power": 60.0,
    "claim.seller.wind_speed": 7.0,
}


def changed(changes: dict[str, Value | None]) -> dict[str, Value]:
    """The good machine with some values changed, or taken away where None."""
    values = GOOD | changes
    return {name: value for name, value in values.items() if value is not None}


def findings(changes: dict[str, Value | None], *only: str) -> dict[tuple[str, str], Finding]:
    """What the rule book, or only some rules of it, say of the changed machine, by rule and subject."""
    book = [rule for rule in RULES if not only or rule.id in only]
    return {f.key: f for f in judge_rules(book, System(build_design(changed(changes))))}


def with_remedies(design: Design, *only: str) -> list[Finding]:
    """Findings of some rules with their remedies, each tried on the whole rule book; without what to do first.

    What to do first takes much longer to work out, and a remedy does not hang upon it.
    """
    found = judge_rules([rule for rule in RULES if not only or rule.id in only], System(design))
    board = board_of(design)
    tried = prove(board, [f.key for f in found if f.key in board.rows and board.badness(f.key) >= MARGINAL])
    readings = of_readings([rule for rule in RULES if not only or rule.id in only], System(design))
    return remedied(found, tried | dict(readings), {key: row.rule.title for key, row in board.rows.items()})


def board_of(design: Design) -> Board:
    """What all rules say of a machine, asked from the beginning; the last few are kept for who asks again."""
    return _board_of(tuple(design.values.items()))


@lru_cache(maxsize=16)
def _board_of(values: tuple[tuple[str, Value], ...]) -> Board:
    return Board(RULES, build_design(dict(values)))


def statuses(design: Design) -> dict[tuple[str, str], Status]:
    """Status of every finding on the machine itself, each judged from the beginning."""
    return _statuses(tuple(design.values.items()))


@cache
def _statuses(values: tuple[tuple[str, Value], ...]) -> dict[tuple[str, str], Status]:
    return {key: STATUS[row.code] for key, row in _board_of(values).rows.items() if row.code != ABSENT}


def applied(design: Design, remedy: Remedy) -> dict[tuple[str, str], Status]:
    """Status of every finding on the machine with a remedy put onto its sheet."""
    return statuses(build_design({**design.values, **{c.path: c.value for c in remedy.changes}}))


def dangers(found: dict[tuple[str, str], Status]) -> set[tuple[str, str]]:
    """Which of these findings are dangers."""
    return {key for key, status in found.items() if status is Status.DANGER}


def advised(changes: dict[str, Value | None], *only: str) -> dict[tuple[str, str], Finding]:
    """Findings of the changed machine with their remedies."""
    return {f.key: f for f in with_remedies(build_design(changed(changes)), *only)}
