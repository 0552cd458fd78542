"""Wind made up hour by hour, with the distribution, persistence, season and daily swing of a site.

For questions that a yearly distribution cannot answer, such as how long a battery is empty. A measured series is
better where there is one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import accumulate
from typing import cast

import numpy as np

from calc.physics.arrays import Array
from calc.physics.calendar import DAYS, HOURS
from calc.physics.roots import bracketed_root

#: Month, 0 to 11, of each hour of a year of 365 days.
MONTH = np.repeat(np.arange(12), np.array(DAYS) * 24)

# Ends of the table of the normal distribution: less than one hour in a million years lies beyond them.
_END, _POINTS = 9.0, 18001


@dataclass(frozen=True, slots=True)
class Climate:
    """The wind of a site, at the height of the rotor.

    Parameters
    ----------
    mean : float
        Mean over the years. [m/s]
    shape : float
        Weibull shape of all the hours of many years. []
    persistence : float
        Correlation of the wind in one hour with that in the next, season and time of day apart. 0.9 is an assumption;
        windy, open sites lie higher.
    months : tuple of 12 float, optional
        Mean wind of each month. Only their ratios count; the level is that of ``mean``. [m/s]
    swing : float
        Half the difference between the windiest and the calmest time of day, as a share of the mean. []
    windiest : float
        Time of day at which it blows hardest. [s]
    years_differ : float
        Standard deviation of yearly means as a share of the mean. 0.05 is from memory. []
    """

    mean: float
    shape: float = 2.0
    persistence: float = 0.9
    months: tuple[float, ...] | None = None
    swing: float = 0.0
    windiest: float = 54000.0
    years_differ: float = 0.05

    def __post_init__(self) -> None:
        """Refuse what no wind is like."""
        if not self.mean > 0 or not 1.0 <= self.shape <= 4.0:
            raise ValueError("the mean wind must be positive and the Weibull shape between 1 and 4")
        if not 0.0 <= self.persistence <= 0.99:
            raise ValueError("the correlation from hour to hour must lie between 0 and 0.99")
        if self.months is not None and (len(self.months) != 12 or min(self.months) <= 0):
            raise ValueError("monthly means must be twelve positive numbers")
        if not 0.0 <= self.swing < 1.0 or not 0.0 <= self.years_differ <= 0.3:
            raise ValueError("the daily swing must lie between 0 and 1, the difference of years between 0 and 0.3")


def _spread(k: float) -> float:
    """Mean of the square over the square of the mean, Weibull."""
    return math.gamma(1.0 + 2.0 / k) / math.gamma(1.0 + 1.0 / k) ** 2


def seasons(climate: Climate) -> Array:
    """Factor on the mean wind in each hour of a year, shape (8760,), with a mean of one.

    Examples
    --------
    A fifth more at the windiest time, three in the afternoon, a fifth less twelve hours apart:

    >>> seasons(Climate(5.0, swing=0.2))[[2, 3, 14, 15]]
    array([0.802, 0.802, 1.198, 1.198])
    """
    clock = np.arange(HOURS) % 24 + 0.5
    day = 1.0 + climate.swing * np.cos(2.0 * np.pi * (clock - climate.windiest / 3600.0) / 24.0)
    if climate.months is None:
        return cast(Array, day)
    months = np.array(climate.months)[MONTH]
    return cast(Array, months / months.mean() * day)


def inner_shape(climate: Climate) -> float:
    """Weibull shape about the mean of the season, the time of day and the year, so that all hours keep their spread.

    Raises
    ------
    ValueError
        If season and daily swing alone spread the wind more than the Weibull shape of the site allows.

    Examples
    --------
    A wind that blows 30 % harder by day than on average spreads by itself, so less is left for the rest:

    >>> inner_shape(Climate(5.0, 2.0, years_differ=0.0)), inner_shape(Climate(5.0, 2.0, swing=0.3))
    (2.0, 2.28)
    """
    season = float(np.mean(seasons(climate) ** 2)) * (1.0 + climate.years_differ**2)
    wanted = _spread(climate.shape) / season
    low, high = 0.9, 20.0
    if wanted < _spread(high):
        raise ValueError("the seasons and the time of day spread the wind more than its Weibull shape allows")
    return float(bracketed_root(lambda k: np.array(_spread(float(k)) - wanted), low, high))


@cache
def _table() -> tuple[Array, Array]:
    """A normal variable, and the exponential one of the same rank: ``-ln(1 - Phi(z))``."""
    z = np.linspace(-_END, _END, _POINTS)
    # log1p keeps the digits of the smallest; erfc those of the greatest.
    w = [
        -math.log1p(-0.5 * math.erfc(-x / math.sqrt(2))) if x < 0 else -math.log(0.5 * math.erfc(x / math.sqrt(2)))
        for x in z
    ]
    return z, np.array(w)


@cache
def normal_persistence(r: float, k: float) -> float:
    """Correlation of the underlying normal variable that gives Weibull winds of shape ``k`` the correlation ``r``.

    Notes
    -----
    The transform to Weibull is expanded in Hermite polynomials; the correlation of the wind is the sum of their
    squared weights times powers of that of the normal variable.

    Examples
    --------
    Bending the normal variable into a Weibull one costs a little of its correlation:

    >>> normal_persistence(0.9, 2.0)
    0.903
    """
    if r == 0:
        return 0.0
    z, w = _table()
    density = np.exp(-(z**2) / 2.0) / math.sqrt(2.0 * math.pi) * (z[1] - z[0])
    g = w ** (1.0 / k)
    power, polynomial, last = [], np.ones_like(z), np.zeros_like(z)
    for n in range(1, 25):
        polynomial, last = (z * polynomial - math.sqrt(n - 1) * last) / math.sqrt(n), polynomial
        power.append(float(np.sum(g * polynomial * density)) ** 2)
    weight = np.array(power) / sum(power)
    return float(bracketed_root(lambda phi: np.asarray(np.sum(weight * phi ** np.arange(1, 25)) - r), 0.0, 1.0))


def hourly(climate: Climate, years: int, seed: int = 20240229) -> Array:
    """Make up the mean wind of every hour.

    Parameters
    ----------
    climate : Climate
        The wind of the site.
    years : int
        Years of 365 days, beginning with January.
    seed : int
        The same seed gives the same weather.

    Returns
    -------
    V : array, shape (8760 * years,)
        Wind speed. [m/s]

    Raises
    ------
    ValueError
        If ``years`` is not positive; see also :class:`Climate` and :func:`inner_shape`.

    Notes
    -----
    A normal variable that follows itself from hour to hour (autoregressive, first order) is turned into a Weibull
    one by rank, then scaled by season, time of day and year. Means and spread come out exactly over many years; the
    shape of all hours together is close to Weibull, as it is a mixture. What the wind remembers fades within a day.
    Real weather remembers longer, so real calms can last longer than these.

    Examples
    --------
    >>> V = hourly(Climate(5.0, years_differ=0.0), years=20)
    >>> V.size, abs(float(V.mean()) - 5.0) < 0.1
    (175200, True)
    """
    if years < 1:
        raise ValueError("at least one year is needed")
    k = inner_shape(climate)
    rng = np.random.default_rng(seed)
    phi = normal_persistence(climate.persistence, k)
    shocks = rng.standard_normal(HOURS * years) * math.sqrt(1.0 - phi**2)
    shocks[0] /= math.sqrt(1.0 - phi**2)
    z = np.fromiter(accumulate(shocks.tolist(), lambda before, shock: phi * before + shock), float, shocks.size)
    speed: Array = np.interp(z, *_table()) ** (1.0 / k) / math.gamma(1.0 + 1.0 / k)
    spread = math.log1p(climate.years_differ**2)
    level = np.exp(math.sqrt(spread) * rng.standard_normal(years) - spread / 2.0)
    by_year = speed.reshape(years, HOURS) * seasons(climate) * (climate.mean * level[:, None])
    return by_year.ravel()


def from_days(V: Array) -> Array:
    """Hourly series out of a daily one, each hour having the mean of its day.

    Notes
    -----
    The wind within a day is lost, so a machine that needs more than the mean to begin charging is sold short.

    Examples
    --------
    >>> from_days(np.array([4.0, 6.0]))[[0, 23, 24]]
    array([4., 4., 6.])
    """
    return np.repeat(V, 24)
