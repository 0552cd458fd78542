"""The battery: what fills it, what happens when it is full, and how long it lasts."""

from __future__ import annotations

import numpy as np

from calc import loads, storage
from calc.finding import COMMON_PRACTICE, Source
from calc.rules.common import generator_current
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Inputs, Judgement, Rule, Unknown, at_least, at_most
from calc.units import Num, show

DAY = 86400.0
#: Days without wind that a bank should carry, and the fewest that make sense. [s]
DAYS_GOOD, DAYS_LEAST = 3.0 * DAY, 1.0 * DAY

GAS = (
    "An overcharged lead battery gives off gas that explodes; an overcharged lithium battery can burn. Keep "
    "the room aired, and let nothing take the load off the rotor that cannot hold its speed."
)
CELLS = (
    Source("Trojan User's Guide", "Table 6: gel, 2.40 V a cell"),
    Source("EnerSys OPzV instructions", "p. 3: gel, 2.33 to 2.40 V a cell"),
    Source("rackbattery.com, LiFePO4 charging", "3.65 V a cell"),
)
CELLS_MEMORY = Source("Charge windows and rates of the other kinds of battery", "", "from memory")


def _has_battery(x: Inputs) -> bool:
    return x.get("storage.chemistry") != "none"


def _lithium(chemistry: str) -> bool:
    return chemistry in ("LiFePO4", "NMC lithium")


def _charge_current(x: Inputs) -> Judgement | Unknown:
    chemistry, Q, source = x.word("storage.chemistry"), x.num("storage.capacity"), generator_current(x)
    if isinstance(source, Unknown):
        return source
    I, given = source.amps, x.maybe("storage.charge_current_limit")
    rate = storage.cell(chemistry).rate
    limit = rate * Q / 3600.0 if given is None else given
    level, margin = at_most(I, limit, marginal=0.1)

    def says() -> str:
        whence = f"{show(rate, '%')} of the capacity, usual for {chemistry}" if given is None else "the maker's limit"
        return (
            f"The generator brings up to {show(I, 'A')} ({source.how()}). The {show(Q, 'Ah')} bank may be "
            f"charged with {show(limit, 'A')} ({whence})."
        )

    def remedy() -> str:
        return (
            f"Take a bank of {show(Q * I / limit, 'Ah')} or more, or a controller that holds the charge "
            f"current to {show(limit, 'A')} and sends the rest to the dump load."
        )

    return Judgement(level, says, remedy, I, limit, "A", margin)


def _charge_voltage(x: Inputs) -> Judgement:
    chemistry, V, bank = (
        x.word("storage.chemistry"),
        x.num("storage.charge_voltage"),
        x.num("storage.voltage"),
    )
    one, n = storage.cell(chemistry), storage.cells_in_series(bank, chemistry)
    low, high, rest = n * one.charge_low, n * one.charge_high, n * one.resting
    above = DANGER if _lithium(chemistry) else FAIL
    # A thousandth of slack, for windows quoted to two decimals per cell.
    over, under = np.asarray(V) > high * 1.001, np.asarray(V) < low * 0.999
    level = np.where(over, above, np.where(np.asarray(V) <= rest, FAIL, np.where(under, MARGINAL, OK)))

    def says() -> str:
        effect = "within that"
        if over:
            effect = "too high, which spoils the battery" + (" and can set it on fire" if above == DANGER else "")
        elif rest >= V:
            effect = "no more than the battery has at rest, so it never charges"
        elif under:
            effect = "too low to fill it"
        return (
            f"A {show(bank, 'V')} bank of {chemistry} has {show(n, '')} cells in series and is charged to "
            f"between {show(low, 'V', 4)} and {show(high, 'V', 4)} at 25 degC. {show(V, 'V', 4)} is {effect}."
        )

    def remedy() -> str:
        return (
            f"Set the charge voltage between {show(low, 'V', 4)} and {show(high, 'V', 4)}, as the battery's "
            "maker says within that."
        )

    return Judgement(level, says, remedy, V, high, "V", (high - V) / high)


def _autonomy(x: Inputs) -> Judgement | Unknown:
    chemistry, Q, V = x.word("storage.chemistry"), x.num("storage.capacity"), x.num("storage.voltage")
    powers: list[Num] = []
    missing: list[str] = []
    for label in x.labels("load"):
        P, share = x.maybe(f"load.{label}.power"), x.maybe(f"load.{label}.hours")
        if P is not None and share is not None:
            powers.append(loads.mean_power(P, share))
        missing += [n for n, v in ((f"load.{label}.power", P), (f"load.{label}.hours", share)) if v is None]
    if missing:
        return Unknown("", tuple(missing))
    with_inverter = x.get("inverter.power") is not None
    eta = x.num("inverter.efficiency") if with_inverter else 1.0
    mean = sum(powers[1:], powers[0]) / eta
    if np.any(np.asarray(mean) <= 0):
        return Unknown("The loads on the sheet never run, so they say nothing of how long the battery lasts")
    given = x.maybe("storage.usable_share")
    usable = storage.cell(chemistry).usable if given is None else given
    t = storage.autonomy(Q, V, usable, mean)
    level, margin = at_least(t, DAYS_LEAST, marginal=DAYS_GOOD / DAYS_LEAST - 1.0)

    def says() -> str:
        share = "usual for its kind" if given is None else "as the sheet states"
        through = ", all through the inverter" if with_inverter else ""
        return (
            f"The loads take {show(mean * DAY, 'Wh')} a day from the battery{through}. The usable "
            f"{show(usable, '%')} ({share}) of {show(Q, 'Ah')} at {show(V, 'V')} carries them for "
            f"{show(t, 'days')} without wind; three days are common practice."
        )

    def remedy() -> str:
        return (
            f"Three days take a bank of {show(storage.capacity_for(DAYS_GOOD, V, usable, mean), 'Ah')} at "
            f"{show(V, 'V')}, or loads of {show(Q * V * usable / DAYS_GOOD * DAY, 'Wh')} a day at most."
        )

    return Judgement(level, says, remedy, t, DAYS_LEAST, "days", margin)


RULES = (
    Rule(
        "storage.charge-current",
        "Charge current",
        "storage",
        ("storage.chemistry", "storage.capacity"),
        _charge_current,
        (Source("EnerSys OPzV instructions, gel: 0.4 of the capacity", "p. 3"), CELLS_MEMORY),
        GAS,
        applies=_has_battery,
    ),
    Rule(
        "storage.charge-voltage",
        "Charge voltage",
        "storage",
        ("storage.chemistry", "storage.voltage", "storage.charge_voltage"),
        _charge_voltage,
        (*CELLS, CELLS_MEMORY),
        GAS,
        applies=_has_battery,
    ),
    Rule(
        "storage.autonomy",
        "Days without wind",
        "storage",
        ("storage.chemistry", "storage.capacity", "storage.voltage"),
        _autonomy,
        (
            Source("IEEE 1013-2007, sizing of lead-acid batteries", "6.1 to 6.4", "from memory"),
            COMMON_PRACTICE,
        ),
        applies=lambda x: _has_battery(x) and bool(x.labels("load")),
    ),
)
