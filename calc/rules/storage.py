"""The battery: what fills it, what happens when it is full, and how long it lasts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import (
    cells,
    charge_limit,
    discharge_limit,
    doubtful_counts,
    has_battery,
    has_lead,
    has_lithium,
    rated_share,
    usable_share,
)
from calc.machine.catalogue import Sheet
from calc.machine.currents import Current, charging_current, inverter_current
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import BatteryNeed, battery_need
from calc.physics import loads, storage
from calc.physics.calendar import DAY
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least, at_most
from calc.rules.phrases import OVERCHARGED
from calc.units import Num, show, show_down, show_up

#: Days without wind that a bank should carry, and the fewest that make sense. [s]
DAYS_GOOD, DAYS_LEAST = 3.0 * DAY, 1.0 * DAY
#: A thousandth of slack, for windows quoted to two decimals per cell.
SLACK = 1.001
#: At which windows are quoted. [K]
ROOM = 298.15
#: Voltage of a lead cell from which a controller cuts off whatever the kind: 16.0 V for 12 V, see OVER_VOLTAGE. [V]
BOILS = 16.0 / 6.0
CELLS = (
    Source("Trojan User's Guide", "Table 6: gel, 2.40 V a cell"),
    Source("EnerSys OPzV instructions", "p. 3: gel, 2.33 to 2.40 V a cell"),
    Source("rackbattery.com, LiFePO4 charging", "3.65 V a cell"),
)
CELLS_MEMORY = Source("Charge windows and rates of the other kinds of battery", "", "from memory")

OVER_VOLTAGE = Source(
    "BougeRV, 60 A controller manual, p. 28: over-voltage cut at 16.0 V for 12 V, all lead kinds", "", "reproduction"
)
CAPACITY = Source("Discover, How does temperature affect a battery's available capacity", "over 60 minutes")
PEUKERT = Source("Peukert's law, exponents by kind of battery", "", "from memory")


def _charge_current(x: Inputs) -> Judgement | Unknown:
    Q, source = x.storage.capacity, charging_current(x)
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
            f"Use a bank of {show_up(Q * I / limit, 'Ah', 2)} or more, or a controller that holds the charge "
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
    low, high : float or array, shape (...,)
        Least that fills it, at the cold end of the year, and most that it takes, at the warm end. [V]
    full, rest, gassing : float or array, shape (...,)
        What the charger should be set to at 25 degC at most, the voltage at rest, and that from which a lead battery
        boils (infinite for others). [V]
    cold, warm : float or array, shape (...,)
        Temperatures of the battery at the two ends. [K]
    drifts : bool
        Whether the window moves with the temperature of the battery and nothing moves the charge voltage with it.
    """

    n: Num
    low: Num
    high: Num
    full: Num
    rest: Num
    gassing: Num
    cold: Num
    warm: Num
    drifts: bool


def _window(x: Inputs) -> _Window:
    n, one = cells(x)
    low, high, rest = n * one.charge_low, n * one.charge_high, n * one.resting
    boils = n * BOILS if has_lead(x) else math.inf
    if not one.drift or x.maybe(Sheet.storage.compensated):
        return _Window(n, low, high, high, rest, boils, ROOM, ROOM, drifts=False)
    ends = x.storage.temperature, x.storage.summer_temperature
    cold, warm = cast(Num, np.minimum(*ends)), cast(Num, np.maximum(*ends))
    least, most = (storage.compensated(edge, n, one.drift, T) for edge, T in ((low, cold), (high, warm)))
    return _Window(n, least, most, high, rest, boils, cold, warm, drifts=True)


def _charge_voltage(x: Inputs) -> Judgement | Unknown:
    """Judge the charge voltage at both ends of the year.

    Beyond what lithium takes is a danger. A lead battery that is held at :data:`BOILS` or more boils off its gas, and a
    sealed one bursts: a danger too. Where the count of cells is open and decides, it is unknown.
    """
    V, found = x.storage.charge_voltage, _window(x)
    fewest = min(doubtful_counts(x), default=0)
    if fewest and np.any(fewest * storage.cell(x.storage.chemistry).charge_high * SLACK < V):
        return _count_first(x, V, fewest)
    low, high = found.low, found.high
    over, under = np.asarray(V) > high * SLACK, np.asarray(V) < low / SLACK
    above = DANGER if has_lithium(x) else np.where(np.asarray(V) >= found.gassing / SLACK, DANGER, FAIL)
    level = np.where(over, above, np.where(np.asarray(V) <= found.rest, FAIL, np.where(under, MARGINAL, OK)))
    return Judgement(
        level, lambda: _voltage_says(x, found, V), lambda: _voltage_remedy(found), V, high, "V", (high - V) / high
    )


def _count_first(x: Inputs, V: Num, fewest: int) -> Unknown:
    most = max(doubtful_counts(x))
    if np.ndim(V):
        return Unknown("", (Sheet.storage.cells,))
    return Unknown(
        f"{show(x.storage.voltage, 'V')} banks of {x.storage.chemistry} are sold with {fewest} and with {most} cells. "
        f"{show(V, 'V', 4)} is {show(V / fewest, 'V', 3)} for each of {fewest}, and they take "
        f"{show(storage.cell(x.storage.chemistry).charge_high, 'V', 3)}: count them first",
        (Sheet.storage.cells,),
    )


def _voltage_says(x: Inputs, found: _Window, V: Num) -> str:
    start = f"A {show(x.storage.voltage, 'V')} bank of {x.storage.chemistry} has {show(found.n, '')} cells in series"
    least, most = show(found.low, "V", 4), show(found.high, "V", 4)
    verdict = f"{show(V, 'V', 4)} is {_fits(x, found, V)}."
    if not found.drifts:
        told = x.maybe(Sheet.storage.compensated)
        how = ", and the charger corrects it for the battery's temperature" if told else ""
        return f"{start} and is charged to between {least} and {most} at 25 degC{how}. {verdict}"
    corrects = "The sheet does not say that the charger corrects it for the battery's temperature."
    if x.maybe(Sheet.storage.compensated) is False:
        corrects = "Nothing corrects it for the battery's temperature."
    return (
        f"{start}. It needs {least} or more at {show(found.cold, 'degC')} and takes {most} at most at "
        f"{show(found.warm, 'degC')}. {verdict} {corrects}"
    )


def _fits(x: Inputs, found: _Window, V: Num) -> str:
    """How a charge voltage fits both ends of the window, in words."""
    verdicts = []
    if found.high * SLACK < V:
        fire = " and can set it on fire" if has_lithium(x) else ""
        verdicts.append(f"too high{' in summer' if found.drifts else ''}, which ruins the battery{fire}")
        if found.gassing <= V * SLACK:
            verdicts = ["far too high: the battery boils, and its gas explodes"]
    if found.rest >= V:
        verdicts.append("no more than the battery has at rest, so it never charges")
    elif found.low / SLACK > V:
        low = "in winter not enough to fill it" if verdicts else "too low to fill it"
        verdicts.append(f"{low}{' in winter' if found.drifts and not verdicts else ''}")
    return ", and ".join(verdicts) or "within that"


def _voltage_remedy(found: _Window) -> str:
    least, most = show(found.low, "V", 4), show(found.high, "V", 4)
    if not found.drifts:
        return f"Set the charge voltage between {least} and {most}, as the battery's maker says within that."
    full = show(found.full, "V", 4)
    corrects = f"Let the charger correct for the battery's temperature, set to {full} at most at 25 degC"
    if np.any(np.asarray(found.low) > np.asarray(found.high)):
        return (
            f"No one voltage does for summer and winter. {corrects}; or set it by hand, {most} at most in summer and "
            f"{least} or more in winter."
        )
    return f"{corrects}; or set the charge voltage between {least} and {most} for the whole year."


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
            f"Three days need a bank of {show_up(storage.capacity_for(DAYS_GOOD, V, share, need.mean), 'Ah', 2)} at "
            f"{show(V, 'V')}, or loads of {show_down(Q * V * share / DAYS_GOOD * DAY, 'Wh', 2)} a day at most."
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
            f"Use a bank of {show_up(Q * I / limit, 'Ah', 2)} or more, or a higher voltage, or keep the draw below "
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
        (
            *CELLS,
            Source("EnerSys OPzV instructions", "p. 3: correct the voltage beyond 10 K"),
            OVER_VOLTAGE,
            Source("15 or 16 cells of LiFePO4, 13 or 14 of NMC: limits by count", "controller manuals", "reproduction"),
            CELLS_MEMORY,
        ),
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
