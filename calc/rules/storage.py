"""The battery: what fills it, what happens when it is full, and how long it lasts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import (
    cells,
    charge_limit,
    discharge_limit,
    has_battery,
    has_lithium,
    rated_share,
    usable_share,
)
from calc.machine.catalogue import Sheet
from calc.machine.currents import Current, generator_current, inverter_current
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import BatteryNeed, battery_need
from calc.physics import loads, storage
from calc.physics.calendar import DAY
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least, at_most
from calc.rules.phrases import OVERCHARGED
from calc.units import Num, show

#: Days without wind that a bank should carry, and the fewest that make sense. [s]
DAYS_GOOD, DAYS_LEAST = 3.0 * DAY, 1.0 * DAY
CELLS = (
    Source("Trojan User's Guide", "Table 6: gel, 2.40 V a cell"),
    Source("EnerSys OPzV instructions", "p. 3: gel, 2.33 to 2.40 V a cell"),
    Source("rackbattery.com, LiFePO4 charging", "3.65 V a cell"),
)
CELLS_MEMORY = Source("Charge windows and rates of the other kinds of battery", "", "from memory")

CAPACITY = Source("Discover, How does temperature affect a battery's available capacity", "over 60 minutes")
PEUKERT = Source("Peukert's law, exponents by kind of battery", "", "from memory")


def _charge_current(x: Inputs) -> Judgement | Unknown:
    Q, source = x.storage.capacity, generator_current(x)
    if isinstance(source, Unknown):
        return source
    I, permitted = source.amps, charge_limit(x)
    limit = permitted.amps
    level, margin = at_most(I, limit, marginal=0.1)

    def says() -> str:
        return (
            f"The generator gives up to {source.said()}. The {show(Q, 'Ah')} bank may be "
            f"charged with {show(limit, 'A')} ({permitted.how})."
        )

    def remedy() -> str:
        return (
            f"Use a bank of {show(Q * I / limit, 'Ah', 2)} or more, or a controller that holds the charge "
            f"current to {show(limit, 'A')} and sends the rest to the dump load."
        )

    return Judgement(level, says, remedy, I, limit, "A", margin)


@dataclass(frozen=True, slots=True)
class _Window:
    """Voltages to which a bank is charged.

    Parameters
    ----------
    n : float or array, shape (...,)
        Cells in series.
    low, high, rest : float or array, shape (...,)
        Ends of the window, and the voltage at rest. [V]
    drift : float or array, shape (...,)
        Change of both ends with the temperature of the battery where the charger does not correct for it. [V/K]
    where : str
        At what temperature the window holds.
    """

    n: Num
    low: Num
    high: Num
    rest: Num
    drift: Num
    where: str

    @property
    def drifts(self) -> bool:
        """Whether the window moves with the temperature of the battery."""
        return bool(np.any(np.asarray(self.drift) != 0))


def _window(x: Inputs) -> _Window:
    n, one = cells(x)
    low, high, rest = n * one.charge_low, n * one.charge_high, n * one.resting
    if not one.drift:
        return _Window(n, low, high, rest, 0.0, "at 25 degC")
    if x.maybe(Sheet.storage.compensated):
        corrected = "at 25 degC, and the charger corrects it for the battery's temperature"
        return _Window(n, low, high, rest, 0.0, corrected)
    T = x.storage.temperature
    low, high = (storage.compensated(edge, n, one.drift, T) for edge in (low, high))
    return _Window(n, low, high, rest, n * one.drift, "at the temperature of the battery")


def _charge_voltage(x: Inputs) -> Judgement:
    V, found = x.storage.charge_voltage, _window(x)
    low, high = found.low, found.high
    above = DANGER if has_lithium(x) else FAIL
    # A thousandth of slack, for windows quoted to two decimals per cell.
    over, under = np.asarray(V) > high * 1.001, np.asarray(V) < low * 0.999
    level = np.where(over, above, np.where(np.asarray(V) <= found.rest, FAIL, np.where(under, MARGINAL, OK)))

    def says() -> str:
        effect = "within that"
        if over:
            effect = "too high, which ruins the battery" + (" and can set it on fire" if above == DANGER else "")
        elif found.rest >= V:
            effect = "no more than the battery has at rest, so it never charges"
        elif under:
            effect = "too low to fill it"
        where = f"{found.where}, {show(x.storage.temperature, 'degC')}" if found.drifts else found.where
        return (
            f"A {show(x.storage.voltage, 'V')} bank of {x.storage.chemistry} has {show(found.n, '')} cells in series "
            f"and is charged to between {show(low, 'V', 4)} and {show(high, 'V', 4)} {where}. {show(V, 'V', 4)} "
            f"is {effect}."
        )

    def remedy() -> str:
        colder = ""
        if found.drifts:
            colder = (
                f" It takes {show(-10.0 * found.drift, 'V')} more for every 10 degC colder, or let the charger correct "
                "it for the battery's temperature."
            )
        return (
            f"Set the charge voltage between {show(low, 'V', 4)} and {show(high, 'V', 4)}, as the battery's "
            f"maker says within that.{colder}"
        )

    return Judgement(level, says, remedy, V, high, "V", (high - V) / high)


def _autonomy(x: Inputs) -> Judgement | Unknown:
    Q, V, need = x.storage.capacity, x.storage.voltage, battery_need(x)
    if isinstance(need, Unknown):
        return need
    usable = usable_share(x, need.mean / V)
    if isinstance(usable, Unknown):
        return usable
    t = storage.autonomy(Q, V, usable, need.mean)
    level, margin = at_least(t, DAYS_LEAST, marginal=DAYS_GOOD / DAYS_LEAST - 1.0)

    def says() -> str:
        through = ", all through the inverter" if need.inverter else ""
        return (
            f"The loads take {show(need.mean * DAY, 'Wh', 2)} a day from the battery{through}. The usable "
            f"{show(usable, '%', 2)} ({_how_usable(x, need, V)}) of {show(Q, 'Ah')} at {show(V, 'V')} runs them "
            f"for {show(t, 'days', 2)} without wind; three days is common practice."
        )

    def remedy() -> str:
        # Emptied over three days a bank gives more than in a hurry.
        slow = usable_share(x, Q * usable / DAYS_GOOD)
        share = usable if isinstance(slow, Unknown) else slow
        return (
            f"Three days need a bank of {show(storage.capacity_for(DAYS_GOOD, V, share, need.mean), 'Ah', 2)} at "
            f"{show(V, 'V')}, or loads of {show(Q * V * share / DAYS_GOOD * DAY, 'Wh', 2)} a day at most."
        )

    return Judgement(level, says, remedy, t, DAYS_LEAST, "days", margin)


def _how_usable(x: Inputs, need: BatteryNeed, V: Num) -> str:
    chemistry, T, left = x.storage.chemistry, x.storage.temperature, x.storage.capacity_left
    given = x.maybe(Sheet.storage.usable_share)
    whence = "usual for its kind" if given is None else "as the sheet states"
    cold, fast = storage.cold_share(T, chemistry), rated_share(x, need.mean / V)
    factors = [f"times {show(cold, '%')} at {show(T, 'degC')}"] if cold < 1 else []
    factors += [f"times {show(left, '%')} left by age"] if left != 1 else []
    factors += [f"times {show(fast, '%')} at such a current"] if fast < 1 else []
    if not factors:
        return whence
    depth = storage.cell(chemistry).usable if given is None else given
    return ", ".join([f"{show(depth, '%')}, {whence}", *factors])


def _greatest_draw(x: Inputs) -> Current | Unknown:
    """Greatest continuous current out of the battery: the inverter at full load, else all loads together."""
    if x.given(Sheet.inverter.power):
        return inverter_current(x)
    powers = [P for label in x.labels(Sheet.load) if (P := x.maybe(Sheet.load.power[label])) is not None]
    V = x.maybe(Sheet.storage.voltage)
    if not powers or V is None:
        return Unknown("", (Sheet.inverter.power,) if V is not None else (Sheet.storage.voltage,))
    P = sum(powers[1:], powers[0])
    return Current(loads.battery_current(P, V), lambda: f"all loads together, {show(P, 'W')} at {show(V, 'V')}")


def _discharge_current(x: Inputs) -> Judgement | Unknown:
    Q, source = x.storage.capacity, _greatest_draw(x)
    if isinstance(source, Unknown):
        return source
    I, permitted = source.amps, discharge_limit(x)
    limit = permitted.amps
    level, margin = at_most(I, limit, marginal=0.1)
    gives = rated_share(x, I)

    def says() -> str:
        return (
            f"Up to {source.said()} is drawn. The {show(Q, 'Ah')} bank may give {show(limit, 'A')} "
            f"continuously ({permitted.how}). At such a current a full, new bank gives {show(gives * Q, 'Ah', 2)} and "
            f"is empty in {show(gives * Q / I, 'h', 2)}."
        )

    def remedy() -> str:
        return (
            f"Use a bank of {show(Q * I / limit, 'Ah', 2)} or more, or a higher voltage, or keep the draw below "
            f"{show(limit, 'A')}."
        )

    return Judgement(level, says, remedy, I, limit, "A", margin)


RULES = (
    Rule(
        "storage.charge-current",
        "Charge current",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.capacity),
        _charge_current,
        (Source("EnerSys OPzV instructions, gel: 0.4 of the capacity", "p. 3"), CELLS_MEMORY),
        OVERCHARGED,
        applies=has_battery,
    ),
    Rule(
        "storage.charge-voltage",
        "Charge voltage",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.voltage, Sheet.storage.charge_voltage),
        _charge_voltage,
        (*CELLS, Source("EnerSys OPzV instructions", "p. 3: correct the voltage beyond 10 K"), CELLS_MEMORY),
        OVERCHARGED,
        applies=has_battery,
    ),
    Rule(
        "storage.autonomy",
        "Days without wind",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.capacity, Sheet.storage.voltage),
        _autonomy,
        (
            Source("IEEE 1013-2007, sizing of lead-acid batteries", "6.1 to 6.4", "from memory"),
            CAPACITY,
            PEUKERT,
            COMMON_PRACTICE,
        ),
        applies=lambda x: has_battery(x) and bool(x.labels(Sheet.load)),
    ),
    Rule(
        "storage.discharge-current",
        "Discharge current",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.capacity),
        _discharge_current,
        (PEUKERT, CELLS_MEMORY),
        "A current beyond what cells and connections were made for heats them until something burns.",
        applies=lambda x: has_battery(x) and (x.given(Sheet.inverter.power) or bool(x.labels(Sheet.load))),
    ),
)
