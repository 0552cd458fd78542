"""The wind alone, as a logger wrote it: how it is spread, its day and season, turbulence, how it grows with height."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.curve.base import MinuteMeans
from calc.physics.arrays import Array
from calc.physics.calendar import DAY, HOUR
from calc.physics.wind import weibull_cdf

#: Below this a cup stands: of such minutes only that is known. Own choice. [m/s]
STANDS = 0.5
#: Turbulence is told of winds from here on; below it depends on the cup. Own choice. [m/s]
TURBULENCE_FROM = 4.0
#: Shear is told of winds from here on at the upper height. Own choice. [m/s]
SHEAR_FROM = 4.0
#: Minutes over which turbulence is told. IEC 61400-1, from memory.
TEN = 10
#: How much yearly means differ, and monthly means from that of the year, one standard deviation as a share. The first
#: from memory (6 %), the second own estimate for temperate places.
YEARS_DIFFER, MONTHS_DIFFER = 0.06, 0.15


@dataclass(frozen=True, slots=True)
class Weibull:
    """A Weibull distribution fitted to winds.

    Parameters
    ----------
    c, k : float
        Scale [m/s] and shape.
    mean, cube : float
        Mean wind [m/s] and mean of its cube [m3/s3] of the fitted distribution over those of the winds.
    apart : float
        Greatest distance between the fitted share below any wind and the one that was found.
    """

    c: float
    k: float
    mean: float
    cube: float
    apart: float


@dataclass(frozen=True, slots=True)
class Spread:
    """How often each whole metre a second blew: lower ends of the steps [m/s], and share of the time in each."""

    low: Array
    share: Array


@dataclass(frozen=True, slots=True)
class Turbulence:
    """How gusty it was over ten minutes.

    Parameters
    ----------
    winds, mean, high : array, shape (steps,)
        Middle of each metre a second [m/s], mean of standard deviation over mean wind there, and what nine in ten stay
        below; only steps with ten such spells.
    count : array, shape (steps,)
        Spells of ten minutes.
    within : bool
        Whether what happens within a minute is in it; else it is told too low.
    """

    winds: Array
    mean: Array
    high: Array
    count: Array
    within: bool


@dataclass(frozen=True, slots=True)
class Shear:
    """How the wind grows with height: exponent of the power law, roughness length [m], minutes, and its scatter."""

    exponent: float
    roughness: float
    minutes: int
    scatter: float


def spread(V: Array) -> Spread:
    """Share of the time in each whole metre a second.

    Examples
    --------
    >>> spread(np.array([0.2, 1.5, 1.6, 3.0])).share.tolist()
    [0.25, 0.5, 0.0, 0.25]
    """
    V = V[np.isfinite(V)]
    count = np.bincount(np.floor(V).astype(int))
    return Spread(np.arange(len(count), dtype=float), count / max(len(V), 1))


def laid_through(V: Array, c: float, k: float) -> Weibull:
    """How well a Weibull distribution holds for winds.

    Parameters
    ----------
    V : array, shape (minutes,)
        Winds. [m/s] Of those below :data:`STANDS` only their number counts, for there the cup stands.
    c, k : float
        Scale [m/s] and shape of the distribution.

    Examples
    --------
    Winds at even steps of the distribution itself:

    >>> V = 5.0 * (-np.log1p(-(np.arange(1000) + 0.5) / 1000)) ** 0.5
    >>> w = laid_through(V, 5.0, 2.0)
    >>> round(w.mean, 2), round(w.cube, 2), round(w.apart, 4)
    (1.0, 1.0, 0.0)
    """
    blows = np.sort(V[V >= STANDS])
    found = (V.size - blows.size + np.arange(blows.size) + 0.5) / V.size
    return Weibull(
        c, k,
        float(c * math.gamma(1 + 1 / k) / V.mean()),
        float(c**3 * math.gamma(1 + 3 / k) / np.mean(V**3)),
        float(np.max(np.abs(weibull_cdf(blows, c, k) - found))),
    )  # fmt: skip


def by_hour(means: MinuteMeans, ahead: float = 0.0) -> Array:
    """Mean wind of each hour of the day of a place whose clock is ``ahead`` of UTC [s], shape (24,), in [m/s]."""
    hour = np.floor((means.time + ahead) % DAY / HOUR).astype(int)
    return _means_by(hour, means.wind, 24)


def by_month(means: MinuteMeans, ahead: float = 0.0) -> tuple[Array, Array]:
    """Mean wind of each month, shape (12,), in [m/s], and the share of it that was recorded, of the months seen."""
    days = np.floor((means.time + ahead) / DAY).astype("datetime64[D]")
    months = days.astype("datetime64[M]")
    month = months.astype(int) % 12
    seen = np.zeros(12)
    for m in np.unique(months):
        length = int(((m + 1).astype("datetime64[D]") - m.astype("datetime64[D]")).astype(int))
        seen[int(m.astype(int)) % 12] += length * DAY / 60.0
    told = np.bincount(month[np.isfinite(means.wind)], minlength=12)
    return _means_by(month, means.wind, 12), np.divide(told, seen, out=np.zeros(12), where=seen > 0)


def _means_by(at: Array, V: Array, size: int) -> Array:
    told = np.isfinite(V)
    count = np.bincount(at[told], minlength=size)
    total = np.bincount(at[told], V[told], minlength=size)
    return np.asarray(np.divide(total, count, out=np.full(size, np.nan), where=count > 0))


def turbulence(means: MinuteMeans) -> Turbulence | None:
    r"""Turbulence of ten minutes, by steps of wind.

    .. math:: \sigma^2 = \overline{\sigma_1^2} + \overline{(V_1 - V)^2}, \quad I = \sigma / V

    Parameters
    ----------
    means : MinuteMeans
        With the wind; where it has the deviation within each minute that is counted too.

    Returns
    -------
    found : Turbulence or None
        None where no metre a second from :data:`TURBULENCE_FROM` on has ten whole spells of ten minutes.

    References
    ----------
    .. [1] IEC 61400-1 and -2, turbulence over ten minutes; from memory. The law of total variance joins the minutes.
    """
    told = np.isfinite(means.wind)
    time, V, sd = means.time[told], means.wind[told], means.wind_sd[told]
    if not len(V):
        return None
    within = bool(np.isfinite(sd).mean() > 0.5)
    spell = np.floor(time / (TEN * 60.0)).astype(np.int64)
    _, at = np.unique(spell, return_inverse=True)
    count = np.bincount(at)
    mean = np.bincount(at, V) / count
    variance = np.bincount(at, (V - mean[at]) ** 2) / count
    if within:
        known = np.maximum(np.bincount(at, np.isfinite(sd).astype(float)), 1.0)
        variance = variance + np.bincount(at, np.nan_to_num(sd) ** 2) / known
    good = (count == TEN) & (mean >= TURBULENCE_FROM)
    steps = np.floor(mean[good]).astype(int)
    I = np.sqrt(variance[good]) / mean[good]
    kept = [s for s in np.unique(steps) if np.sum(steps == s) >= TEN]
    if not kept:
        return None
    each = [I[steps == s] for s in kept]
    return Turbulence(
        np.array(kept) + 0.5,
        np.array([x.mean() for x in each]),
        np.array([np.percentile(x, 90.0) for x in each]),
        np.array([float(len(x)) for x in each]),
        within,
    )


def shear(high: Array, z_high: float, low: Array, z_low: float) -> Shear:
    r"""How the wind grows from one height to another.

    .. math:: \alpha = \frac{\ln(V_2 / V_1)}{\ln(z_2 / z_1)}, \quad
              \ln z_0 = \frac{V_2 \ln z_1 - V_1 \ln z_2}{V_2 - V_1}

    Parameters
    ----------
    high, low : array, shape (minutes,)
        Winds at both heights. [m/s]
    z_high, z_low : float
        The heights. [m]

    Returns
    -------
    found : Shear
        From the means of both over all minutes with at least :data:`SHEAR_FROM` above; the roughness is not a number
        where the wind does not grow. ``scatter`` is the standard deviation of the exponent of single minutes.

    Raises
    ------
    ValueError
        If the heights do not differ by a fifth, or fewer than 60 such minutes have both winds.

    Examples
    --------
    >>> s = shear(np.full(60, 6.9031), 20.0, np.full(60, 6.0), 10.0)
    >>> round(s.exponent, 4), round(s.roughness, 3)
    (0.2023, 0.1)
    """
    if not z_high >= 1.2 * z_low > 0:
        raise ValueError("the upper height must be at least a fifth above the lower one")
    both = np.isfinite(high) & np.isfinite(low) & (np.nan_to_num(high) >= SHEAR_FROM) & (np.nan_to_num(low) > STANDS)
    if both.sum() < 60:
        raise ValueError("fewer than 60 minutes of 4 m/s or more have both winds")
    V_2, V_1 = float(np.mean(high[both])), float(np.mean(low[both]))
    each = np.log(high[both] / low[both]) / np.log(z_high / z_low)
    rough = (V_2 * np.log(z_low) - V_1 * np.log(z_high)) / (V_2 - V_1) if V_2 > V_1 else np.nan
    return Shear(
        float(np.log(V_2 / V_1) / np.log(z_high / z_low)), float(np.exp(rough)), int(both.sum()), float(each.std())
    )


def long_term(mean: float, station_years: float, station_then: float) -> float:
    """Mean wind of many years, from a mean of some weeks and a station's means over many years and over the same days.

    .. math:: V = V_{site} V_{station,years} / V_{station,then}

    Examples
    --------
    >>> long_term(4.2, 5.0, 4.0)
    5.25

    References
    ----------
    .. [1] Measure, correlate, predict by the ratio of means; common practice, no source.
    """
    return mean * station_years / station_then


def mean_doubt(months: float, *, corrected: bool = False, cup: float = 0.03) -> float:
    """How far the mean of so many months may be off that of many years, one standard deviation as a share.

    Parameters
    ----------
    months : float
        Months of the year that were seen, 12 at most, or more years of them.
    corrected : bool
        Whether a station told how those days stood to many years; half of the doubt is then taken as gone. Own choice.
    cup : float
        Doubt of the anemometer and where it stands.

    Examples
    --------
    A month, a year, four years:

    >>> round(mean_doubt(1.0), 3), round(mean_doubt(12.0), 3), round(mean_doubt(48.0), 3)
    (0.164, 0.067, 0.042)
    """
    m = min(max(months, 0.25), 12.0)
    season = MONTHS_DIFFER * np.sqrt((12.0 - m) / 11.0 / m)
    years = YEARS_DIFFER / np.sqrt(max(months / 12.0, 1.0))
    weather = float(np.hypot(season, years)) * (0.5 if corrected else 1.0)
    return float(np.hypot(weather, cup))
