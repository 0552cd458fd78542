"""The battery: what fills it, what happens when it is full, and how long it lasts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
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
from calc.machine.solving import nothing_limits
from calc.physics import loads, storage
from calc.physics.calendar import DAY
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least, at_most
from calc.rules.kits import INVERTERS, held_earlier, larger_banks, shorter_use
from calc.rules.phrases import OVERCHARGED
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import Num, show, show_down
from calc.wording import number_of, with_article

#: Days without wind that a bank should carry, and the fewest that make sense. [s]
DAYS_GOOD, DAYS_LEAST = 3.0 * DAY, 1.0 * DAY
#: Share of a permitted current that should be left. Own choice.
RESERVE = 0.1
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
    level, margin = at_most(I, limit, marginal=RESERVE)

    def says() -> str:
        harm = "More overheats its cells." if has_lithium(x) else "More overheats it and boils off its water."
        return (
            f"Up to {source.said()} comes, and the {show(Q, 'Ah')} bank may be charged with {show(limit, 'A')}."
            f"{f' {harm}' if limit < I else ''}"
        )

    def ways() -> list[Way]:
        larger = change("Use a bank of {0} or more.", *larger_banks(x, Q * I / limit / (1.0 - RESERVE)))
        most = show_down(limit, "A", 2)
        held = f"Have a controller hold the charge current to {most} and send the rest to the dump load."
        # Where nothing holds the rotor back it is the storm's current that asks for a larger bank.
        both = [*held_earlier(x), larger] if nothing_limits(x) else [larger, *held_earlier(x)]
        return [*both, act(Act.DO, held)]

    return Judgement(level, says, ways, I, limit, "A", margin, lambda: f"What it may be charged with: {permitted.how}.")


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
        level,
        lambda: _voltage_says(x, found, V),
        lambda: _voltage_ways(found, fewest * storage.cell(x.storage.chemistry).charge_high if fewest else math.inf),
        V,
        high,
        "V",
        (high - V) / high,
        lambda: _voltage_more(x, found),
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
    """How a charge voltage fits both ends of the window, the end that decides first."""
    cells = f"{show(found.n, '')} cells of {x.storage.chemistry}"
    at = f" at {show(found.warm, 'degC')}", f" at {show(found.cold, 'degC')}"
    warm, cold = at if found.drifts else ("", "")
    summer, winter = (" in summer", " in winter") if found.drifts else ("", "")
    set_to, most, least = f"A charge voltage of {show(V, 'V', 4)}", show(found.high, "V", 4), show(found.low, "V", 4)
    over, under = found.high * SLACK < V, found.low / SLACK > V
    if found.rest >= V:
        return f"{set_to} never charges the battery: its {cells} have {show(found.rest, 'V', 4)} at rest."
    if over and found.gassing <= V * SLACK:
        said = f"{set_to} is far too high: the battery's {cells} take {most} at most{warm}."
        said += " It boils, and its gas explodes."
    elif over:
        fire = " and can set it on fire" if has_lithium(x) else ""
        said = f"{set_to} is too high{summer}: the battery's {cells} take {most} at most{warm}. More ruins it{fire}."
    elif under:
        said = f"{set_to} is too low to fill the battery{winter}: its {cells} need {least} or more{cold}."
    else:
        said = f"{set_to} suits the battery's {cells}: they take {least}{cold} to {most}{warm}."
    short = f" In winter it is not enough: {least} or more{cold}." if over and under else ""
    return f"{said}{short} {_corrects(x, found)}".strip()


def _corrects(x: Inputs, found: _Window) -> str:
    """Whether anything moves the charge voltage with the battery's temperature, where that matters."""
    told = x.maybe(Sheet.storage.compensated)
    if told:
        return "The charger corrects it for the battery's temperature."
    if not found.drifts:
        return ""
    nothing = "Nothing corrects" if told is False else "Nothing on the sheet corrects"
    return f"{nothing} it for the battery's temperature."


def _voltage_more(x: Inputs, found: _Window) -> str:
    if not found.drifts:
        bank = with_article(show(x.storage.voltage, "V")).capitalize()
        return f"{bank} bank has {number_of(float(found.n), 'such cell')} in series, at 25 degC."
    return (
        f"It needs {show(found.low, 'V', 4)} or more at {show(found.cold, 'degC')} and takes "
        f"{show(found.high, 'V', 4)} at most at {show(found.warm, 'degC')}. A charger that corrects is set to "
        f"{show(found.full, 'V', 4)} at most at 25 degC."
    )


def _voltage_ways(found: _Window, surely: float) -> list[Way]:
    """Voltages within the window, and no more than the fewest cells that there may be take [V]."""
    low, high, full = float(found.low), min(float(found.high), surely), float(found.full)
    least, most = show(low, "V", 4), show(high, "V", 4)
    # The middle first: makers' figures lie near it, and a meter may err to either side.
    tries = [v for v in (0.5 * (low + high), 0.9 * low + 0.1 * high, low, high) if low <= high]
    between = change(
        f"Set the charge voltage to {{0}}, or as its maker says between {least} and {most}.",
        *ladder(Sheet.storage.charge_voltage, tries),
    )
    if not found.drifts:
        return [between]
    top = math.floor(full * 10.0 + 1e-6) / 10.0
    corrected: list[Try] = [
        {Sheet.storage.charge_voltage: v, Sheet.storage.compensated: True} for v in (top, 0.98 * top, 0.96 * top)
    ]
    corrects = change("Let the charger correct for the battery's temperature, set to {0} at 25 degC.", *corrected)
    if low <= high:
        return [between, corrects]
    by_hand = f"Set the charge voltage by hand: {most} at most in summer, {least} or more in winter."
    return [corrects, act(Act.DO, by_hand)]


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
        good = "more than the three days of common practice"
        if t < DAYS_GOOD:
            good = "three days is common practice" if t >= DAYS_LEAST else "one is the least, three common practice"
        through = ", all through the inverter" if need.inverter else ""
        return (
            f"Without wind the bank runs the loads for {show(t, 'days', 2)}; {good}. They take "
            f"{show(need.mean * DAY, 'Wh', 2)} a day{through}. Of {show(Q, 'Ah')}, {show(usable, '%', 2)} is usable."
        )

    def more() -> str:
        return f"The usable {show(usable, '%', 2)}: {_how_usable(x, need, V)}."

    def ways() -> list[Way]:
        # Emptied over three days a bank gives more than in a hurry.
        slow = usable_share(x, Q * usable / DAYS_GOOD)
        share = usable if isinstance(slow, Unknown) else slow
        least = storage.capacity_for(DAYS_GOOD, V, share, need.mean)
        less = t / DAYS_GOOD * share / usable
        return [change("Use a bank of {0} or more.", *larger_banks(x, least)), *shorter_use(x, less)]

    return Judgement(level, says, ways, t, DAYS_LEAST, "days", margin, more)


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
    level, margin = at_most(I, limit, marginal=RESERVE)
    gives = rated_share(x, I)

    def says() -> str:
        return (
            f"Up to {show(I, 'A', 2)} is drawn, and the {show(Q, 'Ah')} bank may give {show(limit, 'A')} continuously. "
            f"At such a current a full, new bank gives {show(gives * Q, 'Ah', 2)} and is empty in "
            f"{show(gives * Q / I, 'h', 2)}."
        )

    def more() -> str:
        return f"The current is {source.how()}; the limit is {permitted.how}."

    def ways() -> list[Way]:
        larger = change("Use a bank of {0} or more.", *larger_banks(x, Q * I / limit / (1.0 - RESERVE)))
        if x.given(Sheet.inverter.power):
            return [larger, _smaller_inverter(x)]
        most = show_down(limit * x.storage.voltage, "W", 2)
        return [larger, act(Act.DO, f"Never run loads of more than {most} at once.")]

    return Judgement(level, says, ways, I, limit, "A", margin, more)


def _smaller_inverter(x: Inputs) -> Way:
    P, surge = float(x.need(Sheet.inverter.power)), x.maybe(Sheet.inverter.surge_power)
    tries: list[Try] = [
        {Sheet.inverter.power: size} | ({} if surge is None else {Sheet.inverter.surge_power: float(surge) * size / P})
        for size in reversed(INVERTERS)
        if size < P
    ]
    return change("Use an inverter of {0} at most, and run less at once.", *tries[:14], kind=Act.EXPECT)


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
