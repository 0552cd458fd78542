"""What the loads of a sheet take from the battery."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.machine.inputs import Inputs, Unknown
from calc.physics import loads
from calc.units import Num

DAY = 86400.0


@dataclass(frozen=True, slots=True)
class Need:
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


def battery_need(x: Inputs) -> Need | Unknown:
    """What all loads on the sheet take from the battery, the inverter's losses included where there is one."""
    needed: list[tuple[Num, Num, Num | None]] = []
    missing: list[str] = []
    for label in x.labels("load"):
        P, share = x.maybe(f"load.{label}.power"), x.maybe(f"load.{label}.hours")
        if P is not None and share is not None:
            needed.append((P, share, x.maybe(f"load.{label}.from_hour")))
        missing += [n for n, v in ((f"load.{label}.power", P), (f"load.{label}.hours", share)) if v is None]
    if missing or not needed:
        return Unknown("", tuple(missing) or ("load.main.power", "load.main.hours"))
    inverter = x.get("inverter.power") is not None
    eta = x.num("inverter.efficiency") if inverter else 1.0
    powers = [loads.mean_power(P, share) for P, share, _ in needed]
    hours = [loads.by_hour(P, share, start) for P, share, start in needed]
    mean = sum(powers[1:], powers[0]) / eta
    if np.any(np.asarray(mean) <= 0):
        return Unknown("The loads on the sheet never run, so they ask nothing of the wind or the battery")
    return Need(mean, sum(hours[1:], hours[0]) / np.asarray(eta)[..., None], inverter)


def daily_need(x: Inputs) -> Num | None:
    """Energy that all loads together take from the battery in a day. [J] ``None`` where the sheet does not tell."""
    need = battery_need(x)
    return None if isinstance(need, Unknown) else need.mean * DAY


def monthly_means(x: Inputs) -> tuple[Num, ...] | None:
    """Mean wind of the twelve months if the sheet has them all, in [m/s]."""
    found = tuple(v for path in month_paths() if (v := x.maybe(path)) is not None)
    return found if len(found) == 12 else None


def month_paths() -> tuple[str, ...]:
    """Names of the twelve monthly winds."""
    return tuple(f"site.month_{i:02d}" for i in range(1, 13))
