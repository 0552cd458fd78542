"""What the loads need, and the wind that has to give it."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Act
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.site import MONTH_NAMES
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import MONTHLY, BatteryNeed, battery_need, monthly_means
from calc.machine.rotor_curves import LEAST_POWER, power_share
from calc.machine.site import AIR_NEEDS, HUB_NEEDS, air_density, hub_wind
from calc.physics import wind
from calc.physics.calendar import DAY, DAYS
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.kits import rotors, shorter_use
from calc.rules.mast_kits import taller_mast
from calc.rules.sources import LOG_PROFILE
from calc.rules.ways import Way, act
from calc.units import Num, show


def _need(x: Inputs) -> Judgement | Unknown:
    need, hub = battery_need(x), hub_wind(x)
    if isinstance(need, Unknown):
        return need
    if isinstance(hub, Unknown):
        return hub
    D, (Cp, _) = x.rotor.diameter, power_share(x)
    P = Cp * wind.swept_area(D) * wind.mean_power_density(air_density(x), hub, x.site.wind_spread)
    level, margin = at_most(need.mean, P, marginal=0.5)

    stored = has_battery(x)

    def says() -> str:
        source, through = (" from the battery" if stored else ""), ", all through the inverter" if need.inverter else ""
        there = "the battery" if stored else "them, and only while it blows"
        return (
            f"The loads take {show(need.mean, 'W', 2)} day and night{source}, and at its best the rotor takes "
            f"{show(P, 'W', 2)} out of the wind, averaged over the year. That is {show(need.mean * DAY, 'Wh', 2)} a "
            f"day{through}. Less than the rotor takes reaches {there}."
        )

    def more() -> str:
        return f"Three days without wind need {show(need.mean * 3 * DAY, 'Wh', 2)} of usable storage." if stored else ""

    return Judgement(level, says, lambda: _need_ways(x, need, P, float(Cp)), need.mean, P, "W", margin, more)


def _need_ways(x: Inputs, need: BatteryNeed, P: Num, Cp: float) -> list[Way]:
    if Cp < LEAST_POWER:
        return [act(Act.DO, "Put the rotor right first: blades of this shape, set at this angle, give no power.")]
    return [*shorter_use(x, 0.5 * P / need.mean), *taller_mast(x), rotors(x, larger=True)]


#: Share by which the months' mean may differ from the year's before the two must be of different winds.
_MONTHS_DIFFER = 0.2


def _months(x: Inputs) -> Judgement | Unknown:
    months, year = monthly_means(x), x.site.mean_wind
    if months is None:
        return Unknown("", x.lacks(*MONTHLY))
    mean = sum((m * d for m, d in zip(months, DAYS, strict=True)), 0.0) / 365.0
    off = np.abs(np.asarray(mean) - year) / year
    level = np.where(off > _MONTHS_DIFFER, FAIL, np.where(off > 0.5 * _MONTHS_DIFFER, MARGINAL, OK))

    def says() -> str:
        return (
            f"The twelve months have a mean of {show(mean, 'm/s')}, and the sheet's yearly mean is "
            f"{show(year, 'm/s')}: {show(off, '%', 2)} apart."
        )

    def more() -> str:
        calm = int(np.argmin([float(m) for m in months]))
        return f"The calmest month is {MONTH_NAMES[calm]} with {show(months[calm], 'm/s')}."

    def ways() -> list[Way]:
        # Which of the two is wrong only their source can tell.
        one = "Take year and months from one source, at one height and of the same years"
        return [act(Act.LOOK, f"{one}; these months make a yearly mean of {show(mean, 'm/s')}.")]

    return Judgement(level, says, ways, mean, year, "m/s", _MONTHS_DIFFER - off, more)


RULES = (
    Rule(
        "loads.need",
        "What the loads need from the wind",
        "load",
        (*HUB_NEEDS, *AIR_NEEDS, Sheet.rotor.diameter, Sheet.site.wind_spread),
        _need,
        (LOG_PROFILE, COMMON_PRACTICE),
        applies=lambda x: bool(x.labels(Sheet.load)),
    ),
    Rule(
        "site.months",
        "Monthly winds against the yearly mean",
        "site",
        (Sheet.site.mean_wind,),
        _months,
        (COMMON_PRACTICE,),
        applies=lambda x: any(x.given(month) for month in MONTHLY),
    ),
)
