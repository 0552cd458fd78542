"""What a year gives, against what the loads need."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import battery_need
from calc.machine.site import YEAR_NEEDS, hub_wind
from calc.machine.solving import SOLVING_NEEDS, Solved
from calc.machine.year import YearOfWind, year_of_wind
from calc.physics.calendar import YEAR
from calc.rules.engine import OK, Judgement, Rule, at_least, with_machine
from calc.rules.phrases import beyond, household_words
from calc.rules.sources import BALANCE, HOUSEHOLD_SOURCE, SECTION_TABLE, WEIBULL
from calc.units import Num, show


@dataclass(frozen=True, slots=True)
class _Year:
    """What an average year gives.

    Parameters
    ----------
    mean : float or array, shape (...,)
        Mean wind at the rotor. [m/s]
    energy : YearOfWind
        Energy out of the cable. [J]
    lost : float or array, shape (...,)
        Lost in the cable. [J]
    need : float or array, shape (...,), or None
        Energy that the loads take from the battery, where there are any. [J]
    """

    mean: Num
    energy: YearOfWind
    lost: Num
    need: Num | None


def _brought(x: Inputs, solved: Solved) -> _Year | Unknown:
    Vm = hub_wind(x)
    if isinstance(Vm, Unknown):
        return Vm
    E = year_of_wind(x, solved, Vm, lambda p: p.charge)
    lost = year_of_wind(x, solved, Vm, lambda p: p.cable).likely
    asked = battery_need(x) if x.labels(Sheet.load) else Unknown("")
    return _Year(Vm, E, lost, None if isinstance(asked, Unknown) else asked.mean * YEAR)


def _year(x: Inputs, solved: Solved) -> Judgement | Unknown:
    year = _brought(x, solved)
    if isinstance(year, Unknown):
        return year
    level: NDArray[np.int_] | int = OK
    margin: Num | None = None
    if year.need is not None:
        level, margin = at_least(year.energy.likely, year.need, marginal=0.5)
    return Judgement(
        level,
        lambda: _year_says(x, year, solved),
        lambda: _year_remedy(x, year),
        year.energy.likely,
        year.need,
        "kWh",
        margin,
    )


def _year_says(x: Inputs, year: _Year, solved: Solved) -> str:
    points, E, need = solved.operation.running, year.energy.likely, year.need
    at = int(np.argmax(points.charge))
    peak, best = points.charge[at], solved.winds[at]
    text = (
        f"With {show(year.mean, 'm/s', 2)} on average at the rotor, {show(E, 'kWh', 2)} a year reach the battery's end "
        f"of the cable, {show(E / YEAR, 'W', 2)} on average, and {show(year.lost, 'kWh', 2)} are lost in the "
        f"cable. The most it gives is {show(peak, 'W', 2)}, in {show(best, 'm/s', 2)}. The year's energy equals "
        f"{household_words(E)}.{beyond(x, best, points.omega[at])}"
    )
    if year.energy.differs:
        text += (
            " In some winds it charges only if stronger wind brought it up to speed: always kept running it would give "
            f"{show(year.energy.running, 'kWh', 2)} a year, started from rest in each wind "
            f"{show(year.energy.from_rest, 'kWh', 2)}."
        )
    if need is None:
        return text
    taken = f"The loads take {show(need, 'kWh', 2)} a year from the battery"
    if 2.0 * need < E:
        return f"{text} {taken}: it gives {show(E / need, '', 2)} times that."
    return f"{text} {taken}: it covers {show(E / need, '%', 2)} of that."


def _year_remedy(x: Inputs, year: _Year) -> str:
    E, need = year.energy.likely, year.need
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


RULES = (
    Rule(
        "energy.year",
        "Energy in a year",
        "energy",
        (*SOLVING_NEEDS, *YEAR_NEEDS),
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
