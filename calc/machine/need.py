"""What the loads of a sheet take from the battery."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from calc.machine.battery import has_battery, on_leads
from calc.machine.catalogue import Sheet, catalogue
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.physics import inverter, loads
from calc.physics.calendar import DAY
from calc.units import Num

#: The twelve monthly winds of the sheet.
MONTHLY: tuple[Entry[Num], ...] = tuple(e for e in catalogue().values() if e.path.startswith("site.month_"))


@dataclass(frozen=True, slots=True)
class BatteryNeed:
    """What all loads together take from the battery.

    Parameters
    ----------
    mean : float or array, shape (...,)
        Mean power over the day. [W]
    by_hour : array, shape (..., 24)
        Mean power in each hour of the day. [W]
    inverter : bool
        Whether all of it was taken to pass the inverter.
    """

    mean: Num
    by_hour: NDArray[np.float64]
    inverter: bool


def battery_need(x: Inputs) -> BatteryNeed | Unknown:
    """What all loads on the sheet take from the battery, the inverter's losses included where there is one.

    What hangs on the generator's own leads takes nothing from a battery.
    """
    needed: list[tuple[Num, Num, Num | None]] = []
    missing: list[Entry[Num]] = []
    apart = on_leads(x) if has_battery(x) else ()
    if apart and len(apart) == len(x.labels(Sheet.load)):
        return Unknown("All loads on the sheet hang on the generator's own leads, and take nothing from the battery")
    for label in (label for label in x.labels(Sheet.load) if label not in apart):
        P, share = x.maybe(Sheet.load.power[label]), x.maybe(Sheet.load.hours[label])
        if P is not None and share is not None:
            needed.append((P, share, x.maybe(Sheet.load.from_hour[label])))
        missing += [n for n, v in ((Sheet.load.power[label], P), (Sheet.load.hours[label], share)) if v is None]
    if missing or not needed:
        return Unknown("", tuple(missing) or (Sheet.load.power["main"], Sheet.load.hours["main"]))
    inverter = x.maybe(Sheet.inverter.power) is not None
    eta = x.inverter.efficiency if inverter else 1.0
    powers = [loads.mean_draw(P, share) for P, share, _ in needed]
    hours = [loads.by_hour(P, share, start) for P, share, start in needed]
    mean = sum(powers[1:], powers[0]) / eta
    idle = np.asarray(mean) <= 0
    if np.any(idle):
        never = "The loads on the sheet never run, so they need nothing from the wind or the battery"
        return Unknown(never, impossible=idle if idle.ndim else None)
    return BatteryNeed(mean, sum(hours[1:], hours[0]) / np.asarray(eta)[..., None], inverter)


def daily_need(x: Inputs) -> Num | None:
    """Energy that all loads together take from the battery in a day. [J] ``None`` where the sheet does not tell."""
    need = battery_need(x)
    return None if isinstance(need, Unknown) else need.mean * DAY


def monthly_means(x: Inputs) -> tuple[Num, ...] | None:
    """Mean wind of the twelve months if the sheet has them all, in [m/s]."""
    found = tuple(v for month in MONTHLY if (v := x.maybe(month)) is not None)
    return found if len(found) == 12 else None


def running_and_starting(x: Inputs) -> tuple[list[Num], list[Num]] | Unknown:
    """Power of each load while it runs, and while it starts, in [W]."""
    running: list[Num] = []
    starting: list[Num] = []
    missing = []
    for name in x.labels(Sheet.load):
        P, surge = x.maybe(Sheet.load.power[name]), x.maybe(Sheet.load.surge[name])
        if P is None:
            missing.append(Sheet.load.power[name])
            continue
        running.append(P)
        starting.append(P if surge is None else cast(Num, np.maximum(P, surge)))
    return Unknown("", tuple(missing)) if missing else (running, starting)


def hardest_start(x: Inputs) -> Num | Unknown:
    """Power of the hardest start while all other loads run, in [W]."""
    found = running_and_starting(x)
    if isinstance(found, Unknown):
        return found
    return inverter.worst_start(*found) if found[0] else Unknown("", (Sheet.load.power["main"],))
