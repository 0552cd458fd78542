"""Energy over a year or a month from a power curve and how often each wind blows."""

from __future__ import annotations

import math

import numpy as np

from calc.physics.arrays import Array
from calc.physics.calendar import YEAR
from calc.units import Num

#: What a machine does in winds above a limit.
ABOVE = ("held", "zero")
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(16)


def _hours_above(a: Array, b: Array, c: Array, k: Array) -> Array:
    """Integral of the share of time above a wind, from ``a`` to ``b``."""
    half = (b - a)[..., None] / 2.0
    V = (a + b)[..., None] / 2.0 + half * _POINTS
    return np.asarray(np.sum(np.exp(-((V / c[..., None]) ** k[..., None])) * half * _WEIGHTS, axis=-1))


def mean_power(V: Array, P: Array, c: Num, k: Num, V_limit: Num = math.inf, above: str = "held") -> Num:
    r"""Mean power over all winds, from a power curve and a Weibull distribution.

    .. math:: \bar{P} = P_0 S(V_0) + \sum_i \frac{P_{i+1} - P_i}{V_{i+1} - V_i} \int_{V_i}^{V_{i+1}} S \,dV,
              \qquad S = e^{-(V/c)^k}

    Parameters
    ----------
    V : array, shape (winds,)
        Wind speeds of the power curve, rising. [m/s]
    P : array, shape (..., winds)
        Power, in straight lines between them and zero below the first. [W]
    c, k : float or array, shape (...,)
        Scale [m/s] and shape of the distribution.
    V_limit : float or array, shape (...,)
        Wind in which the machine furls or is stopped. [m/s]
    above : {"held", "zero"}
        Above the limit, or above the last wind of the curve, the power is held, or it is zero.

    Returns
    -------
    P_mean : float or array, shape (...,)
        Mean power. [W]

    Raises
    ------
    ValueError
        If the winds do not rise from zero or more, or ``above`` is none of the two.

    Notes
    -----
    There are no bins: the curve is integrated against the distribution as it stands. A furling tail does neither
    hold the power nor drop it at one wind; the two choices bound it. Gusts and turbulence are left out.

    Examples
    --------
    100 W in any wind above 5 m/s, mean wind 5 m/s: the share of time above it, 0.456.

    >>> float(mean_power(np.array([5.0, 20.0]), np.array([100.0, 100.0]), 5.641896, 2.0))
    45.59
    """
    if above not in ABOVE:
        raise ValueError(f"above must be one of: {', '.join(ABOVE)}")
    if not np.all(V >= 0) or not np.all(np.diff(V) > 0):
        raise ValueError("the winds of a power curve must rise from zero or more")
    c, k, limit = (np.asarray(x, dtype=float)[..., None] for x in (c, k, V_limit))
    slope = np.diff(P, axis=-1) / np.diff(V)
    a, b = np.minimum(V[:-1], limit), np.minimum(V[1:], limit)
    end = np.minimum(V[-1], limit)
    runs = end >= V[0]
    grown = slope * (b - a)
    held = np.exp(-((V[0] / c) ** k))[..., 0] * P[..., 0] + np.sum(slope * _hours_above(a, b, c, k), axis=-1)
    if above == "held":
        mean = np.where(runs[..., 0], held, 0.0)
    else:
        last = P[..., 0] + np.sum(grown, axis=-1)
        mean = np.where(runs[..., 0], held - last * np.exp(-((end / c) ** k))[..., 0], 0.0)
    return float(mean) if mean.ndim == 0 else mean


def annual_energy(P_mean: Num, losses: Num = 0.0, availability: Num = 1.0) -> Num:
    """Energy in a year of 8760 hours.

    Parameters
    ----------
    P_mean : float or array, shape (...,)
        Mean power, see :func:`mean_power`. [W]
    losses : float or array, shape (...,)
        Share lost behind the point where the power was taken.
    availability : float or array, shape (...,)
        Share of the time in which the machine is ready to run.

    Returns
    -------
    E : float or array, shape (...,)
        Energy. [J]

    Raises
    ------
    ValueError
        If a share lies outside 0 to 1.

    Examples
    --------
    >>> annual_energy(100.0, 0.1, 0.95) / 3.6e6
    748.98
    """
    for share in (losses, availability):
        if np.any(np.less(share, 0) | np.greater(share, 1)):
            raise ValueError("losses and availability must lie between 0 and 1")
    return P_mean * YEAR * (1.0 - losses) * availability


def capacity_factor(P_mean: Num, P_rated: Num) -> Num:
    """Mean power over rated power.

    Raises
    ------
    ValueError
        If the rated power is not positive.

    Examples
    --------
    >>> capacity_factor(60.0, 400.0)
    0.15
    """
    if np.any(np.less_equal(P_rated, 0)):
        raise ValueError("the rated power must be positive")
    return P_mean / P_rated
