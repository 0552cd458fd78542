"""What a year gives, against what the loads need."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.finding import Act
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import battery_need
from calc.machine.site import YEAR_NEEDS, hub_wind
from calc.machine.solving import SOLVING_NEEDS, Solved
from calc.machine.year import YearOfWind, year_of_wind
from calc.physics.calendar import DAY, YEAR
from calc.rules.engine import OK, Judgement, Rule, at_least, with_machine
from calc.rules.kits import FEWER_TURNS, MORE_TURNS, geared_up, rewound, rotors, shorter_use
from calc.rules.mast_kits import taller_mast
from calc.rules.phrases import beyond, household_words
from calc.rules.sources import BALANCE, HOUSEHOLD_SOURCE, SECTION_TABLE, WEIBULL
from calc.rules.ways import Way, act
from calc.units import Num, show, show_down

#: A kilowatt-hour. [J]
KWH = 3.6e6


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
        lambda: _year_says(year, solved),
        lambda: _year_ways(x, year),
        year.energy.likely,
        year.need,
        "kWh",
        margin,
        lambda: _year_more(x, year, solved),
    )


def _year_says(year: _Year, solved: Solved) -> str:
    points, E, need = solved.operation.running, year.energy.likely, year.need
    at = int(np.argmax(points.charge))
    if need is None:
        first = f"It brings {show(E, 'kWh', 2)} a year to the battery, {show(E / YEAR, 'W', 2)} on average."
    else:
        times = f"gives {show(E / need, '', 2)} times that" if 2.0 * need < E else f"covers {show(E / need, '%', 2)}"
        first = (
            f"It brings {show(E, 'kWh', 2)} a year to the battery, {show(E / YEAR, 'W', 2)} on average; the loads take "
            f"{show(need, 'kWh', 2)}: it {times}{'' if 2.0 * need < E else ' of that'}."
        )
    best = f"The most it gives is {show(points.charge[at], 'W', 2)}, in {show(solved.winds[at], 'm/s', 2)}."
    return f"{first} {best if E > 0 else 'It never charges.'} {show(year.lost, 'kWh', 2)} are lost in the cable."


def _year_more(x: Inputs, year: _Year, solved: Solved) -> str:
    points = solved.operation.running
    at = int(np.argmax(points.charge))
    text = (
        f"With {show(year.mean, 'm/s', 2)} on average at the rotor. The year's energy equals "
        f"{household_words(year.energy.likely)}.{beyond(x, solved.winds[at], points.omega[at])}"
    )
    if year.energy.differs:
        text += (
            " In some winds it charges only if stronger wind brought it up to speed: always kept running it would give "
            f"{show(year.energy.running, 'kWh', 2)} a year, started from rest in each wind "
            f"{show(year.energy.from_rest, 'kWh', 2)}."
        )
    return text


def _year_ways(x: Inputs, year: _Year) -> list[Way]:
    daily = year.energy.likely / YEAR * DAY
    ways = [rewound(x, MORE_TURNS), *geared_up(x), *shorter_use(x), rotors(x, larger=True), *taller_mast(x)]
    ways.append(rewound(x, FEWER_TURNS))
    if daily > 0:
        most = show_down(daily, "Wh" if daily < KWH else "kWh", 2)
        ways.append(act(Act.EXPECT, f"Plan for {most} a day, and no more."))
    return ways


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
