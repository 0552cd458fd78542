"""The measured power curve by the method of bins: one-minute means, one density of air, half a metre a second a bin."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.curve.base import MinuteMeans
from calc.physics import air, wind
from calc.physics.arrays import Array, Flags
from calc.units import Num

#: Density of the air at sea level, to which IEC 61400-12-1 refers. [kg/m3]
SEA_LEVEL = 1.225
#: Width of the bins, which lie about whole multiples of it. IEC 61400-12-1, from memory. [m/s]
WIDTH = 0.5
#: Minutes that a bin must hold: ten one-minute means. IEC 61400-12-1, Annex H, from memory.
LEAST = 10
#: Hours that all of them must hold, and the wind up to which the bins must be filled. The same, from memory.
LEAST_HOURS, UP_TO = 60.0, 14.0
#: How far below the wind in which charging begins the bins must be filled. The same, from memory. [m/s]
BELOW = 1.0
#: Relative humidity where none was recorded, as the standard takes it; from memory. It moves the density by 0.4 %.
HUMIDITY = 0.5


@dataclass(frozen=True, slots=True)
class Bins:
    """A measured power curve, one number a bin; not a number where a bin is empty.

    Parameters
    ----------
    centre : array, shape (bins,)
        Middle of each bin, from the first to the last that holds anything. [m/s]
    count : array, shape (bins,)
        Minutes in it.
    wind, power : array, shape (bins,)
        Means of what fell into it, the power at the density ``rho``. [m/s], [W]
    scatter : array, shape (bins,)
        Standard deviation of the power, over one less than the count. [W]
    low, high : array, shape (bins,)
        Least and greatest minute. [W]
    cp : array, shape (bins,)
        Power over that of the wind through the rotor; all not a number without its area.
    rho : float
        Density that the powers are told at. [kg/m3]
    held : float
        Minutes for which one row of the logger stands.
    """

    centre: Array
    count: Array
    wind: Array
    power: Array
    scatter: Array
    low: Array
    high: Array
    cp: Array
    rho: float
    held: float = 1.0

    @property
    def enough(self) -> Flags:
        """Which bins hold so many minutes that they count."""
        return np.asarray(self.count >= LEAST)

    @property
    def hours(self) -> float:
        """Hours of data."""
        return float(np.sum(self.count)) / 60.0


@dataclass(frozen=True, slots=True)
class Completeness:
    """Whether a curve holds as much as the standard asks for.

    Parameters
    ----------
    first, last : float
        Bins from which to which must be filled. [m/s]
    short : tuple of (float, int)
        Bins with too little, by their middle, and the minutes that they hold.
    hours : float
        Hours in all bins. [h]
    """

    first: float
    last: float
    short: tuple[tuple[float, int], ...]
    hours: float

    @property
    def whole(self) -> bool:
        """Whether nothing is missing."""
        return not self.short and self.hours >= LEAST_HOURS


def density(means: MinuteMeans, T: Num, p: Num) -> tuple[Array, bool, bool]:
    """Density of the air in each minute, from what was recorded of it.

    Parameters
    ----------
    means : MinuteMeans
        What was recorded.
    T, p : float
        Temperature [K] and pressure [Pa] that are taken where none was recorded.

    Returns
    -------
    rho : array, shape (minutes,)
        Density. [kg/m3]
    temperature, pressure : bool
        Whether any of it was recorded.

    Notes
    -----
    Air at half its humidity, as IEC 61400-12-1 takes it where none is recorded; from memory.
    """
    told = np.isfinite(means.temperature), np.isfinite(means.pressure)
    temperature = np.where(told[0], means.temperature, T)
    pressure = np.where(told[1], means.pressure, p)
    rho = np.asarray(air.density(temperature, pressure, HUMIDITY), dtype=float)
    return rho, bool(told[0].any()), bool(told[1].any())


def at_density(P: Array, rho: Num, rho_0: float = SEA_LEVEL) -> Array:
    r"""Power as it would be in air of another density.

    .. math:: P_n = P \rho_0 / \rho

    Parameters
    ----------
    P : array, shape (minutes,)
        Power. [W]
    rho, rho_0 : float or array
        Density in which it was read, and that it is wanted at. [kg/m3]

    Returns
    -------
    P_n : array, shape (minutes,)
        Power. [W]

    Notes
    -----
    For machines without active control of their power, such as those with a furling tail.

    Examples
    --------
    >>> float(at_density(np.array(500.0), 1.10))
    556.82

    References
    ----------
    .. [1] IEC 61400-12-1, normalisation of data, and Annex H; from memory.
    """
    return np.asarray(np.asarray(P) * rho_0 / np.asarray(rho))


def binned(V: Array, P: Array, rho: float = SEA_LEVEL, area: float | None = None, held: float = 1.0) -> Bins:
    """Sort minutes into bins of wind.

    Parameters
    ----------
    V, P : array, shape (minutes,)
        Wind at the rotor [m/s], and power [W] at the density ``rho``; a minute without either is left out.
    rho : float
        That density. [kg/m3]
    area : float, optional
        Swept area. [m2]
    held : float
        Minutes for which one row of the logger stands: many minutes of one row are no more than one to know.

    Returns
    -------
    bins : Bins
        From the first bin that holds anything to the last; none where no minute holds both.

    Notes
    -----
    A bin reaches from a quarter of a metre a second below its middle to just short of a quarter above.

    Examples
    --------
    >>> b = binned(np.array([5.8, 6.0, 6.2]), np.array([90.0, 100.0, 110.0]))
    >>> b.centre.tolist(), b.count.tolist(), b.power.tolist(), b.scatter.tolist()
    ([6.0], [3.0], [100.0], [10.0])

    References
    ----------
    .. [1] IEC 61400-12-1, method of bins; from memory.
    """
    told = np.isfinite(V) & np.isfinite(P)
    V, P = np.asarray(V, dtype=float)[told], np.asarray(P, dtype=float)[told]
    if not V.size:
        none = np.empty(0)
        return Bins(none, none, none, none, none, none, none, none, rho, held)
    which = np.floor(V / WIDTH + 0.5).astype(int)
    first = int(which.min())
    which -= first
    size = int(which.max()) + 1
    count = np.bincount(which, minlength=size).astype(float)
    some, more = np.maximum(count, 1.0), np.maximum(count - 1.0, 1.0)
    V_i, P_i = (np.bincount(which, x, size) / some for x in (V, P))
    squares = np.bincount(which, (P - P_i[which]) ** 2, size)
    low, high = np.full(size, np.inf), np.full(size, -np.inf)
    np.minimum.at(low, which, P)
    np.maximum.at(high, which, P)
    empty, one = count == 0, count < 2
    V_i, P_i, low, high = (np.where(empty, np.nan, x) for x in (V_i, P_i, low, high))
    scatter = np.where(one, np.nan, np.sqrt(squares / more))
    cp = np.full(size, np.nan)
    if area is not None:
        there = np.asarray(wind.power_in_wind(rho, area, V_i))
        # In a bin of calms there is no wind to take any from.
        np.divide(P_i, there, out=cp, where=there > 0)
    centre = (np.arange(size, dtype=float) + first) * WIDTH
    return Bins(np.asarray(centre, dtype=np.float64), count, V_i, P_i, scatter, low, high, np.asarray(cp), rho, held)


def completeness(bins: Bins, charging: float) -> Completeness:
    """What a curve lacks of what the standard asks for.

    Parameters
    ----------
    bins : Bins
        The curve.
    charging : float
        Wind in which power begins to flow. [m/s]

    Returns
    -------
    found : Completeness
        Bins with too little, from :data:`BELOW` under it to :data:`UP_TO`.

    Examples
    --------
    >>> completeness(binned(np.full(12, 6.0), np.ones(12)), 6.5).short[:3]
    ((5.5, 0), (6.5, 0), (7.0, 0))
    """
    first = max(math.floor((charging - BELOW) / WIDTH + 1e-9) * WIDTH, WIDTH)
    held = {round(float(v), 2): int(n) for v, n in zip(bins.centre, bins.count, strict=True)}
    asked = np.arange(first, UP_TO + WIDTH / 2, WIDTH)
    short = tuple((float(v), held.get(round(float(v), 2), 0)) for v in asked)
    return Completeness(first, UP_TO, tuple(s for s in short if s[1] < LEAST), bins.hours)
