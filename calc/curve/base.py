"""Minute means of what a data logger wrote: what curves, winds and events are worked out from."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MinuteMeans:
    """Means over whole minutes, in order of time; one entry for each minute in which a row was kept.

    A minute in which nothing was kept has no entry, so ``time`` may jump. All arrays have shape (n,); what a logger
    does not read, or what was left out of a minute as a fault (stuck, a spike), is NaN there.

    Parameters
    ----------
    time : array of int, shape (n,)
        Beginning of the minute, seconds since 1970-01-01 UTC. [s]
    rows : array of int, shape (n,)
        Rows of the logger in it.
    wind, wind_sd, gust : array, shape (n,)
        Mean of the wind speed, its standard deviation among the rows of that minute (NaN of one row), and its
        highest row. [m/s]
    wind_low : array, shape (n,)
        Mean of a second anemometer, at another height. [m/s]
    direction : array, shape (n,)
        Where the wind comes from, mean of unit vectors, clockwise from north, 0 to 2 pi. [rad]
    power, dump : array, shape (n,)
        Power of the generator after the rectifier, and of the dump load. Where the logger read no power it is that of
        volts times amperes, row by row. [W]
    volts, amps : array, shape (n,)
        At the battery, and into it. [V], [A]
    rpm : array, shape (n,)
        Speed of the rotor. [rpm]
    temperature : array, shape (n,)
        Of the air. [K]
    pressure : array, shape (n,)
        Of the air, at the height of the logger. [Pa]
    height, height_low : float
        Of both anemometers above the ground; NaN where nobody said. [m]
    step : float
        Time from one row to the next, as most are. [s]
    """

    time: NDArray[np.int64]
    rows: NDArray[np.int64]
    wind: Floats
    wind_sd: Floats
    gust: Floats
    wind_low: Floats
    direction: Floats
    power: Floats
    dump: Floats
    volts: Floats
    amps: Floats
    rpm: Floats
    temperature: Floats
    pressure: Floats
    height: float = float("nan")
    height_low: float = float("nan")
    step: float = float("nan")

    def __len__(self) -> int:
        """How many minutes there are."""
        return len(self.time)

    def take(self, chosen: NDArray[np.bool_] | NDArray[np.int64]) -> MinuteMeans:
        """Some of the minutes.

        Parameters
        ----------
        chosen : array of bool, shape (n,), or of int
            Which, by mask or by number.

        Returns
        -------
        means : MinuteMeans
            Those alone.
        """
        arrays: dict[str, Any] = {f.name: getattr(self, f.name) for f in fields(self)}
        some: dict[str, Any] = {name: a[chosen] for name, a in arrays.items() if isinstance(a, np.ndarray)}
        return replace(self, **some)
