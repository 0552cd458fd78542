"""What uses the power."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.physics.arrays import Array
from calc.tables import table_rows
from calc.units import Num


def mean_draw(P: Num, share: Num) -> Num:
    """Power averaged over the day of a thing that draws ``P`` [W] for a share of the day, in [W].

    Examples
    --------
    60 W for 4 hours a day:

    >>> mean_draw(60.0, 4 / 24)
    10.0
    """
    return P * share


def battery_current(P: Num, V: Num, eta: Num = 1.0) -> Num:
    r"""Current that an output power draws from the battery.

    .. math:: I = P / (V \eta)

    Parameters
    ----------
    P : float or array, shape (...,)
        Output power. [W]
    V : float or array, shape (...,)
        Voltage of the battery; the lowest gives the greatest current. [V]
    eta : float or array, shape (...,)
        Efficiency of what lies between. []

    Returns
    -------
    I : float or array, shape (...,)
        Current. [A]

    Examples
    --------
    >>> battery_current(2000.0, 24.0, 0.90)
    92.6
    """
    return P / (V * eta)


def resistance(P: Num, V: Num) -> Num:
    """Resistance of a lamp or heater made for a power [W] at a voltage [V], hot, in [ohm].

    Examples
    --------
    A lamp of 12 V and 55 W:

    >>> resistance(55.0, 12.0)
    2.618
    """
    return V**2 / P


def by_hour(P: Num, share: Num, start: Num | None = None) -> Array:
    """Mean power of a thing in each hour of the day.

    Parameters
    ----------
    P : float or array, shape (...,)
        Power while it runs. [W]
    share : float or array, shape (...,)
        Share of the day it runs. []
    start : float or array, shape (...,), optional
        Time of day at which it is switched on; it may run past midnight. Left out, it is spread evenly. [s]

    Returns
    -------
    L : array, shape (..., 24)
        Power in the hour from 0 to 1, 1 to 2, and so on. [W]

    Raises
    ------
    ValueError
        If the share lies outside 0 to 1, or the start outside the day.

    Examples
    --------
    12 W for two and a half hours from 22:30:

    >>> L = by_hour(12.0, 2.5 / 24, 22.5 * 3600.0)
    >>> [float(L[h]) for h in (21, 22, 23, 0, 1)]
    [0.0, 6.0, 12.0, 12.0, 0.0]
    """
    P, share = np.asarray(P, dtype=float)[..., None], np.asarray(share, dtype=float)[..., None]
    if np.any(share < 0) or np.any(share > 1):
        raise ValueError("a share of the day lies between 0 and 1")
    if start is None:
        return P * share * np.ones(24)
    begin = np.asarray(start, dtype=float)[..., None] / 3600.0
    if np.any(begin < 0) or np.any(begin > 24):
        raise ValueError("a time of day lies between 0 and 24 h")
    end, hour = begin + 24.0 * share, np.arange(24.0)
    # What of an hour lies between begin and end, on this day and, past midnight, on the next.
    on = sum(
        np.clip(np.minimum(end, hour + 1.0 + day) - np.maximum(begin, hour + day), 0.0, 1.0) for day in (0.0, 24.0)
    )
    return cast(Array, P * on)


def households() -> dict[str, float]:
    """What households use in a year, by their name, in [J].

    Examples
    --------
    >>> households()["an average dwelling in the European Union"] / 3.6e6
    3600.0
    """
    return {row["household"]: float(row["kwh"]) * 3.6e6 for row in table_rows("households")}


def household_share(E: Num, household: str) -> Num:
    """Share of a household's yearly electricity that a yearly yield ``E`` [J] equals.

    Notes
    -----
    A comparison of two yearly sums. It does not say that the household could run from it: that also takes storage
    and an inverter for its peaks.

    Examples
    --------
    >>> household_share(360 * 3.6e6, "an average dwelling in the European Union")
    0.1
    """
    return E / households()[household]
