"""The battery of a sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import ON_LEADS, RESISTANCES
from calc.machine.inputs import Inputs, Unknown
from calc.machine.runs import conductor_resistance
from calc.physics import loads, protection, storage, wiring
from calc.units import Num, show

#: Voltage of a nearly full bank over that at which charging ends.
NEARLY = 0.99
#: How many times the likely resistance of a bank the most is, and the least a part of it, by the table of them.
RESISTANCE_DOUBT = 2.0


def has_battery(x: Inputs) -> bool:
    """Whether the sheet does not say that there is no battery."""
    return x.maybe(Sheet.storage.chemistry) != "none"


def has_lithium(x: Inputs) -> bool:
    """Whether the cells are lithium cells, as far as the sheet says."""
    return storage.lithium(str(x.maybe(Sheet.storage.chemistry)))


def has_lead(x: Inputs) -> bool:
    """Whether the cells are lead-acid cells, as far as the sheet says."""
    return "lead-acid" in str(x.maybe(Sheet.storage.chemistry))


def cells(x: Inputs) -> tuple[Num, storage.Cell]:
    """Cells in series of the bank, and one of them; its kind and voltage must be known."""
    chemistry = x.storage.chemistry
    return _count(x, x.storage.voltage, chemistry), storage.cell(chemistry)


def _count(x: Inputs, V: Num, chemistry: str) -> Num:
    """Cells in series as stated, else as a bank of that voltage usually has; the latter is named where it is in doubt.

    Samples share the count of the sheet, for a nominal voltage has no doubt.
    """
    if x.given(Sheet.storage.cells):
        return x.storage.cells
    usual = storage.cells_in_series(V, chemistry)
    others = doubtful_counts(x)
    if not others:
        return usual
    sold = " or ".join(map(str, others))
    return x.else_assume(Sheet.storage.cells, usual, f"such banks are sold with {sold} cells: count them")


def doubtful_counts(x: Inputs) -> tuple[int, ...]:
    """Counts of cells that the nominal voltage leaves open; none where the sheet states it, or only one is sold."""
    V, chemistry = x.maybe(Sheet.storage.voltage), str(x.maybe(Sheet.storage.chemistry))
    if V is None or x.given(Sheet.storage.cells) or np.ndim(V):
        return ()
    return storage.other_counts(float(V), chemistry)


def on_leads(x: Inputs) -> tuple[str, ...]:
    """Labels of loads on the generator's own leads, ahead of the rectifier; the battery gives them nothing."""
    return tuple(label for label in x.labels(Sheet.load) if x.maybe(Sheet.load.hangs_on[label]) == ON_LEADS)


def leads_refused(x: Inputs) -> Unknown | None:
    """Why a machine with loads on the generator's own leads cannot be solved; None where it has none."""
    if not (hung := on_leads(x)):
        return None
    each = " and ".join(hung)
    return Unknown(f"What loads the generator ahead of the rectifier ({each}) cannot be solved, so nothing of it was")


def is_loaded(x: Inputs) -> bool:
    """Whether the generator works on something: a battery, as far as the sheet says, or loads without one."""
    return has_battery(x) or bool(x.labels(Sheet.load))


@dataclass(frozen=True, slots=True)
class DirectLoad:
    """Lamps or heaters at the rectifier: their resistance together [ohm], and the lowest of their voltages [V]."""

    resistance: Num
    voltage: Num


def direct_load(x: Inputs) -> DirectLoad | Unknown:
    """What hangs at the rectifier of a machine without a battery, all of it switched on.

    Each counts as the resistance that it has at the voltage for which it is made. A filament lamp that is under-run has
    less, with the power 0.45 of the voltage: three quarters at half of it.
    """
    if not x.labels(Sheet.load):
        if x.given(Sheet.inverter.power):
            return Unknown("An inverter straight at the rectifier loads the rotor as it is set, which cannot be solved")
        return Unknown("Without a battery and without a load nothing holds the rotor", (Sheet.load.power["lamps"],))
    kinds = {label: x.maybe(Sheet.load.kind[label]) for label in x.labels(Sheet.load)}
    for label, kind in kinds.items():
        if kind is not None and kind not in RESISTANCES:
            return Unknown(f"Without a battery only lamps and heaters can be solved, and {label} is neither")
    conductance: Num = 0.0
    volts: list[Num] = []
    for label in kinds:
        if missing := x.lacks(Sheet.load.kind[label], Sheet.load.power[label], Sheet.load.voltage[label]):
            return Unknown("", missing)
        P, V = x.load[label].power, x.load[label].voltage
        conductance, volts = conductance + 1.0 / loads.resistance(P, V), [*volts, V]
    lowest: Num = volts[0]
    for other in volts[1:]:
        lowest = cast(Num, np.minimum(lowest, other))
    return DirectLoad(1.0 / conductance, lowest)


def bus_voltage(x: Inputs) -> Num | Unknown:
    """Nominal direct voltage that the generator feeds, in [V]: the battery's, or without one that of the lamps."""
    if has_battery(x):
        V = x.maybe(Sheet.storage.voltage)
        return Unknown("", (Sheet.storage.voltage,)) if V is None else V
    found = direct_load(x)
    return found if isinstance(found, Unknown) else found.voltage


def charge_top(x: Inputs) -> Num | None:
    """Highest voltage of the bank: as its charging is set, else the highest its kind takes, in [V].

    Never less than that at rest: a charge voltage of one battery of several is no voltage of the bank.
    """
    V = x.maybe(Sheet.storage.charge_voltage)
    bank, chemistry = x.maybe(Sheet.storage.voltage), x.maybe(Sheet.storage.chemistry)
    if bank is None or chemistry in (None, "none"):
        return V
    n, one = _count(x, bank, str(chemistry)), storage.cell(str(chemistry))
    return n * one.charge_high if V is None else cast(Num, np.maximum(V, n * one.resting))


def voltage_charging(x: Inputs) -> Num:
    """Voltage of the bank behind its own resistance while it charges: as stated, else charged and at rest, in [V].

    The machine meets every voltage from rest, half emptied, to where charging ends: samples are drawn over that.
    """
    (n, one), top = cells(x), charge_top(x)
    # Where charging ends, little current flows, and hardly any of the voltage is lost inside.
    usual = n * one.charge_high
    full = NEARLY * np.clip(usual if top is None else top, n * one.resting / NEARLY, 1.05 * usual)
    return x.else_assume(
        Sheet.storage.voltage_charging,
        n * one.resting,
        "charged and at rest; as it fills it rises to where charging ends",
        within=(n * one.emptied, full),
    )


@dataclass(frozen=True, slots=True)
class BatterySource:
    """The battery as a source: voltage at rest [V], internal resistance [ohm], and in words how that is known."""

    voltage: Num
    resistance: storage.Resistance
    how: str


def battery_source(x: Inputs) -> BatterySource | Unknown:
    """Rest voltage and internal resistance of the bank; the latter by kind and size where it is not stated."""
    chemistry, nominal = str(x.maybe(Sheet.storage.chemistry)), x.maybe(Sheet.storage.voltage)
    if nominal is None or chemistry in ("None", "none"):
        return Unknown("", x.lacks(Sheet.storage.chemistry, Sheet.storage.voltage))
    V = _count(x, nominal, chemistry) * storage.cell(chemistry).resting
    R, Q = x.maybe(Sheet.storage.internal_resistance), x.maybe(Sheet.storage.capacity)
    if R is not None:
        return BatterySource(V, storage.Resistance(R, R, R, "stated"), "as stated")
    if Q is None:
        return Unknown("", (Sheet.storage.internal_resistance,))
    usual = storage.usual_resistance(nominal, Q, chemistry)
    return BatterySource(V, usual, usual.how)


def internal_resistance(x: Inputs) -> Num:
    """Internal resistance of the bank as stated, else the likely one of its kind and size, in [ohm].

    Whoever wants the deepest sag or the strongest short circuit takes an end of its range: :func:`battery_source`.
    """
    if x.given(Sheet.storage.internal_resistance):
        return x.storage.internal_resistance
    usual = storage.usual_resistance(x.storage.voltage, x.storage.capacity, x.storage.chemistry)
    return x.else_assume(Sheet.storage.internal_resistance, usual.likely, usual.how, RESISTANCE_DOUBT)


@dataclass(frozen=True, slots=True)
class CurrentLimit:
    """Greatest current into or out of the bank [A], and in words how that is known."""

    amps: Num
    how: str


def charge_limit(x: Inputs) -> CurrentLimit:
    """Greatest charge current: what the maker permits, else what is usual for its kind and capacity."""
    given, rate = x.maybe(Sheet.storage.charge_current_limit), storage.cell(x.storage.chemistry).rate
    return _current_limit(x, given, rate)


def discharge_limit(x: Inputs) -> CurrentLimit:
    """Greatest discharge current: what the maker permits, else what is usual for its kind and capacity."""
    given, rate = x.maybe(Sheet.storage.discharge_current_limit), storage.cell(x.storage.chemistry).discharge
    return _current_limit(x, given, rate)


def _current_limit(x: Inputs, given: Num | None, rate: float) -> CurrentLimit:
    if given is not None:
        return CurrentLimit(given, "the maker's limit")
    usual = f"{show(rate, '%')} of the capacity, usual for {x.storage.chemistry}"
    return CurrentLimit(rate * x.storage.capacity / 3600.0, usual)


def usable_share(x: Inputs, I: Num) -> Num | Unknown:
    """Share of the stated capacity that can be used at a mean current ``I``: depth, age, cold and current together."""
    given, chemistry = x.maybe(Sheet.storage.usable_share), x.storage.chemistry
    depth = storage.cell(chemistry).usable if given is None else given
    try:
        cold = storage.cold_share(x.storage.temperature, chemistry)
    except ValueError as e:
        return Unknown.because(
            "How much a battery gives is known from -18 to 40 degC only, and this one is outside that", e
        )
    return depth * np.minimum(cold, 1.0) * x.storage.capacity_left * rated_share(x, I)


def rated_share(x: Inputs, I: Num) -> Num:
    """Capacity at a steady current over the stated one, by Peukert's law; no more than stated is counted."""
    k, Q, H = storage.cell(x.storage.chemistry).peukert, x.storage.capacity, x.storage.rated_hours
    share: Num = np.minimum(I * storage.discharge_time(I, Q, k, H) / Q, 1.0)
    return share


def fault_currents(x: Inputs, distance: Num) -> tuple[Num, Num, str] | Unknown:
    """Weakest and strongest short circuit behind a length of the run [A], and how the bank's resistance is known."""
    source = battery_source(x)
    if isinstance(source, Unknown):
        return source
    ahead = np.asarray(0.0)
    if x.label and x.maybe(Sheet.cable.area) is not None:
        # Volts lost at one ampere.
        ahead = np.asarray(wiring.voltage_drop_dc(1.0, distance, conductor_resistance(x, x.label)))
    weak, strong = (
        protection.fault_current(source.voltage, R + ahead) for R in (source.resistance.most, source.resistance.least)
    )
    return weak, strong, source.how
