"""Values that change together, because whoever buys one of them gets the others with it."""

from __future__ import annotations

from typing import Any

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import TOOTHED
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs
from calc.rules.ways import Try

#: Winds from which a rotor may be held back, as builders set it; the usual ones first. [m/s]
HELD_FROM = (11.0, 10.0, 9.0, 8.0, 7.0, 6.0)

#: Of a bank made up of as many cells in another way: the power of the ratio of voltages with which each value goes.
_WITH_BANK: tuple[tuple[Entry[Any], int], ...] = (
    (Sheet.storage.capacity, -1),
    (Sheet.storage.cells, 1),
    (Sheet.storage.voltage_charging, 1),
    (Sheet.storage.charge_voltage, 1),
    (Sheet.storage.charge_current_limit, -1),
    (Sheet.storage.discharge_current_limit, -1),
    (Sheet.storage.internal_resistance, 2),
    (Sheet.storage.monitor_voltage, 1),
    (Sheet.dump.resistance, 2),
    (Sheet.dump.voltage, 1),
    (Sheet.inverter.input_voltage_min, 1),
    (Sheet.inverter.input_voltage_max, 1),
)
#: Of a load that hangs on the battery without an inverter.
_WITH_LOADS = (Sheet.load.voltage, Sheet.load.voltage_max)
#: Of a generator of the same size with more or fewer turns: the power of the ratio of turns.
_WITH_TURNS: tuple[tuple[Entry[Any], int], ...] = (
    (Sheet.generator.emf_constant, 1),
    (Sheet.generator.winding_resistance, 2),
    (Sheet.generator.inductance, 2),
    (Sheet.generator.rated_current, -1),
)


def _scaled(x: Inputs, entries: tuple[tuple[Entry[Any], int], ...], ratio: float) -> dict[Entry[Any], Value]:
    return {e: float(x.need(e)) * ratio**power for e, power in entries if x.given(e)}


def other_bank(x: Inputs, V: float) -> Try:
    """The same cells made up to another nominal voltage [V]; inverter, dump load and loads follow it."""
    ratio = V / float(x.storage.voltage)
    loads = tuple((e[label], 1) for label in x.labels(Sheet.load) for e in _WITH_LOADS)
    return {Sheet.storage.voltage: V, **_scaled(x, (*_WITH_BANK, *loads), ratio)}


def other_turns(x: Inputs, ratio: float) -> Try:
    """A generator of the same size with so many times the turns, of thinner wire; its first value is the constant."""
    return _scaled(x, _WITH_TURNS, ratio)


def geared(ratio: float) -> Try:
    """A toothed belt, which does not slip, between rotor and generator; its first value is the ratio."""
    return {Sheet.generator.ratio: ratio, Sheet.generator.drive: TOOTHED}


def holding(means: str) -> list[Try]:
    """A means that holds the rotor back by itself, set to the winds in which it may be."""
    return [{Sheet.rotor.overspeed: means, Sheet.rotor.limit_wind: V} for V in HELD_FROM]
