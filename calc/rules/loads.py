"""What the loads need, and the wind that has to give it."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.site import MONTH_NAMES
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import MONTHLY, battery_need, monthly_means
from calc.machine.rotor_curves import LEAST_POWER, power_share
from calc.machine.site import AIR_NEEDS, HUB_NEEDS, air_density, hub_wind
from calc.physics import wind
from calc.physics.calendar import DAY, DAYS
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.sources import LOG_PROFILE
from calc.units import show


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
        through = ", all through the inverter" if need.inverter else ""
        source, there = (" from the battery", "the battery") if stored else ("", "them, and only while it blows")
        calm = (
            f" Three days without wind need {show(need.mean * 3 * DAY, 'Wh', 2)} of usable storage." if stored else ""
        )
        return (
            f"The loads take {show(need.mean * DAY, 'Wh', 2)} a day{source}{through}, "
            f"{show(need.mean, 'W', 2)} day and night. At its best the rotor takes {show(P, 'W', 2)} out of the wind, "
            f"averaged over the year, and less reaches {there}.{calm}"
        )

    def remedy() -> str:
        if Cp < LEAST_POWER:
            return "Put the rotor right first: blades of this shape, set at this angle, give no power."
        return (
            f"Manage with {show(0.5 * P * DAY, 'Wh', 2)} a day, half of what the rotor takes, or build a rotor "
            f"{show(D * (2.0 * need.mean / P) ** 0.5, 'm', 2)} across. A higher mast helps as well."
        )

    return Judgement(level, says, remedy, need.mean, P, "W", margin)


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
        calm = int(np.argmin([float(m) for m in months]))
        return (
            f"The twelve months have a mean of {show(mean, 'm/s')}, and the sheet's yearly mean is "
            f"{show(year, 'm/s')}. The calmest month is {MONTH_NAMES[calm]} with {show(months[calm], 'm/s')}."
        )

    def remedy() -> str:
        return (
            f"The two differ by {show(off, '%')}, so they are of different heights, places or years. Take both from "
            f"one source; with these months the yearly mean is {show(mean, 'm/s')}."
        )

    return Judgement(level, says, remedy, mean, year, "m/s", _MONTHS_DIFFER - off)


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
