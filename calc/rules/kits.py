"""Values that change together, because whoever buys one of them gets the others with it."""

from __future__ import annotations

from typing import Any

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import TOOTHED
from calc.machine.currents import inverter_lowest, inverter_run, run_capacity, wiring_practice
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.physics import loads, wiring
from calc.physics.protection import fuse_ratings
from calc.rules.ways import Try, shown

#: Winds from which a rotor may be held back, as builders set it; the usual ones first. [m/s]
HELD_FROM = (11.0, 10.0, 9.0, 8.0, 7.0, 6.0)

#: Direct voltages for which fuses are sold. Common practice, no source. [V]
FUSE_VOLTAGES = (32.0, 58.0, 80.0, 125.0, 170.0, 250.0, 500.0, 1000.0)

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
#: Of a bank of the same voltage made up of larger cells: the power of the ratio of capacities.
_WITH_CAPACITY: tuple[tuple[Entry[Any], int], ...] = (
    (Sheet.storage.charge_current_limit, 1),
    (Sheet.storage.discharge_current_limit, 1),
    (Sheet.storage.internal_resistance, -1),
)
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
    return {Sheet.storage.voltage: V, **_scaled(x, (*_WITH_BANK, *loads), ratio), **_fuses_for(x, ratio)}


def _fuses_for(x: Inputs, ratio: float) -> Try:
    """Fuses of a voltage rating that is so many times as high, as they are sold; none where it need not be higher."""
    entries = (
        Sheet.protection.main_fuse_voltage,
        *(Sheet.cable.fuse_voltage[label] for label in x.labels(Sheet.cable)),
    )
    wanted = [(e, ratio * float(x.need(e))) for e in entries if ratio > 1.0 and x.given(e)]
    sold = [(e, next((V for V in FUSE_VOLTAGES if least <= V), None)) for e, least in wanted]
    return {e: V for e, V in sold if V is not None}


def supplied_inverter(x: Inputs, P: float, V: float) -> Try | None:
    """Bank of a voltage [V], cable and fuse for an inverter of a power [W], where those on the sheet do not suit it.

    None where no single cable and fuse of the series carry its current.
    """
    bank = {} if x.maybe(Sheet.storage.voltage) == V else other_bank(x, V)
    label, lowest = inverter_run(x), inverter_lowest(x)
    if label is None or isinstance(lowest, Unknown) or x.lacks(Sheet.cable.area[label]):
        return bank
    amps = float(loads.battery_current(P, lowest[0] * V / x.storage.voltage, x.inverter.efficiency))
    fuse = next((r for r in fuse_ratings(wiring_practice(x)) if r >= wiring.CONTINUOUS * amps), None)
    capacity = run_capacity(x, label)
    area = None if fuse is None or isinstance(capacity, Unknown) else capacity.smallest_for(fuse / wiring.CONTINUOUS)
    if fuse is None or area is None:
        return None
    fuses = (Sheet.inverter.fuse, Sheet.cable.fuse[label])
    thin: Try = {Sheet.cable.area[label]: area} if float(x.cable[label].area) < area else {}
    return {**bank, **thin, **{e: fuse for e in fuses if x.given(e) and float(x.need(e)) < fuse}}


def supply_words(head: str, tried: Try, *, bank: bool = True) -> str:
    """What to do, with the bank, cable and fuse of :func:`supplied_inverter`."""
    said = {entry.path: shown(entry, value) for entry, value in tried.items()}
    fuse = said.get(Sheet.inverter.fuse.path) or said.get(Sheet.cable.fuse.path)
    V, area = said.get(Sheet.storage.voltage.path) if bank else None, said.get(Sheet.cable.area.path)
    parts = [V and f"a bank of {V}", area and f"{area} of cable", fuse and f"a fuse of {fuse}"]
    also = [part for part in parts if part]
    return f"{head}, with {' and '.join(also)}." if also else f"{head}."


def larger_bank(x: Inputs, Q: float) -> Try:
    """A bank of the same kind and voltage with another capacity [A s]."""
    return {Sheet.storage.capacity: Q, **_scaled(x, _WITH_CAPACITY, Q / float(x.storage.capacity))}


def other_turns(x: Inputs, ratio: float) -> Try:
    """A generator of the same size with so many times the turns, of thinner wire; its first value is the constant."""
    return _scaled(x, _WITH_TURNS, ratio)


def geared(ratio: float) -> Try:
    """A toothed belt, which does not slip, between rotor and generator; its first value is the ratio."""
    return {Sheet.generator.ratio: ratio, Sheet.generator.drive: TOOTHED}


def holding(means: str) -> list[Try]:
    """A means that holds the rotor back by itself, set to the winds in which it may be."""
    return [{Sheet.rotor.overspeed: means, Sheet.rotor.limit_wind: V} for V in HELD_FROM]
