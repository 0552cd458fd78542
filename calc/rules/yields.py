"""What a year brings, against what the loads need."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import battery_need
from calc.machine.site import YEAR_NEEDS, hub_wind, yearly
from calc.machine.solving import NEEDS, Solved
from calc.physics import energy, loads
from calc.rules.engine import OK, Judgement, Rule, at_least, with_machine
from calc.rules.phrases import household_words
from calc.rules.sources import BALANCE, HOUSEHOLD_SOURCE, SECTION_TABLE, WEIBULL
from calc.units import Num, show


def _year(x: Inputs, solved: Solved) -> Judgement | Unknown:
    Vm = hub_wind(x)
    if isinstance(Vm, Unknown):
        return Vm
    points = solved.operation.running
    E = yearly(x, solved.winds, points.charge, Vm)
    lost = yearly(x, solved.winds, points.cable, Vm)
    asked = battery_need(x) if x.labels(Sheet.load) else Unknown("")
    need = None if isinstance(asked, Unknown) else asked.mean * loads.YEAR
    level: NDArray[np.int_] | int = OK
    margin: Num | None = None
    if need is not None:
        level, margin = at_least(E, need, marginal=0.5)

    def says() -> str:
        peak, best = np.max(points.charge), solved.winds[int(np.argmax(points.charge))]
        text = (
            f"With {show(Vm, 'm/s', 2)} on average at the rotor, {show(E, 'kWh', 2)} a year reach the battery's end of "
            f"the cable, {show(E / energy.YEAR, 'W', 2)} on average, and {show(lost, 'kWh', 2)} are lost in the cable. "
            f"The most it brings is {show(peak, 'W', 2)}, in {show(best, 'm/s', 2)}. The year's energy equals "
            f"{household_words(E)}."
        )
        if need is None:
            return text
        asks = f"The loads take {show(need, 'kWh', 2)} a year from the battery"
        if 2.0 * need < E:
            return f"{text} {asks}: it brings {show(E / need, '', 2)} times that."
        return f"{text} {asks}: it covers {show(E / need, '%', 2)} of that."

    def remedy() -> str:
        assert need is not None
        if E <= 0:
            return "As it is it never charges; see what is said of the wind in which charging begins."
        if need > E:
            gap = float(need / E)
            return (
                f"{show(gap, '', 2)} times as much is needed: a rotor of about "
                f"{show(x.rotor.diameter * gap**0.5, 'm', 2)} if generator and battery follow, or loads of "
                f"{show(E / 365.0, 'Wh', 2)} a day."
            )
        return (
            "In the average year it covers the loads, with little to spare for calm weeks; see how many days the "
            "battery lasts."
        )

    return Judgement(level, says, remedy, E, need, "kWh", margin)


RULES = (
    Rule(
        "energy.year",
        "Energy in a year",
        "energy",
        (*NEEDS, *YEAR_NEEDS),
        with_machine(_year),
        (
            BALANCE,
            SECTION_TABLE,
            WEIBULL,
            HOUSEHOLD_SOURCE,
        ),
        applies=has_battery,
    ),
)
