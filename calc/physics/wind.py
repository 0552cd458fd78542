"""The wind: its power, its change with height, and how often it blows."""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from calc.tables import table_rows
from calc.units import Num

#: Greatest share of the wind's power that a bare rotor can take (Betz).
BETZ = 16.0 / 27.0


def swept_area(D: Num) -> Num:
    """Area swept by a rotor of diameter ``D`` [m], in [m2].

    Examples
    --------
    >>> swept_area(2.0)
    3.14159
    """
    return math.pi / 4.0 * D**2


def power_in_wind(rho: Num, A: Num, V: Num) -> Num:
    r"""Power of the wind through an area.

    .. math:: P = \rho A V^3 / 2

    Parameters
    ----------
    rho : float or array, shape (...,)
        Air density. [kg/m3]
    A : float or array, shape (...,)
        Area across the wind. [m2]
    V : float or array, shape (...,)
        Wind speed. [m/s]

    Returns
    -------
    P : float or array, shape (...,)
        Power. [W]

    Examples
    --------
    >>> power_in_wind(1.225, swept_area(2.0), 8.0)
    985.203
    """
    return 0.5 * rho * A * V**3


def diameter_for(P: Num, Cp: Num, rho: Num, V: Num) -> Num:
    """Diameter of the rotor that takes a power out of a wind.

    Parameters
    ----------
    P : float or array, shape (...,)
        Power taken. [W]
    Cp : float or array, shape (...,)
        Share of the wind's power taken. []
    rho, V : float or array, shape (...,)
        Air density [kg/m3] and wind speed [m/s].

    Returns
    -------
    D : float or array, shape (...,)
        Diameter. [m]

    Examples
    --------
    >>> diameter_for(583.824, BETZ, 1.225, 8.0)
    2.0
    """
    return (8.0 * P / (math.pi * Cp * rho * V**3)) ** 0.5


def rotor_speed(V: Num, D: Num, tsr: Num) -> Num:
    """Speed of a rotor of diameter ``D`` [m] at tip-speed ratio ``tsr`` in a wind ``V`` [m/s], in [rad/s].

    Examples
    --------
    >>> rotor_speed(5.0, 2.0, 6.0)
    30.0
    """
    return 2.0 * tsr * V / D


def wind_for_speed(omega: Num, D: Num, tsr: Num) -> Num:
    """Wind in which the rotor turns at ``omega`` [rad/s]; the reverse of :func:`rotor_speed`, in [m/s].

    Examples
    --------
    >>> wind_for_speed(30.0, 2.0, 6.0)
    5.0
    """
    return omega * D / (2.0 * tsr)


def roughness_length(ground: str) -> float:
    """Roughness length of a kind of ground in the catalogue, in [m].

    Examples
    --------
    >>> roughness_length("farmland with hedges")
    0.1
    """
    return {row["ground"]: float(row["z0"]) for row in table_rows("roughness")}[ground]


def lowest_height(z0: Num) -> Num:
    """Height below which the logarithmic profile says nothing: ten roughness lengths, from memory, in [m].

    Examples
    --------
    >>> lowest_height(0.1)
    1.0
    """
    return 10.0 * z0


def log_profile(V1: Num, z1: Num, z2: Num, z0: Num) -> Num:
    r"""Mean wind at another height over even ground, logarithmic profile.

    .. math:: V_2 = V_1 \ln(z_2/z_0) / \ln(z_1/z_0)

    Parameters
    ----------
    V1 : float or array, shape (...,)
        Mean wind at ``z1``. [m/s]
    z1, z2 : float or array, shape (...,)
        Heights above ground. [m]
    z0 : float or array, shape (...,)
        Roughness length. [m]

    Returns
    -------
    V2 : float or array, shape (...,)
        Mean wind at ``z2``. [m/s]

    Raises
    ------
    ValueError
        If a height lies below :func:`lowest_height`.

    Notes
    -----
    Even ground without single obstacles, up to about 100 m; in the lee of a building the wind is weaker.

    Examples
    --------
    >>> float(log_profile(6.0, 10.0, 20.0, 0.1))
    6.9031
    """
    low = lowest_height(z0)
    if np.any(np.asarray(z1) < low) or np.any(np.asarray(z2) < low):
        raise ValueError("the logarithmic profile does not hold below ten roughness lengths")
    return cast(Num, V1 * np.log(z2 / z0) / np.log(z1 / z0))


def height_for(V2: Num, V1: Num, z1: Num, z0: Num) -> Num:
    """Height at which the mean wind reaches ``V2``; the reverse of :func:`log_profile`, in [m].

    Examples
    --------
    >>> float(height_for(6.9031, 6.0, 10.0, 0.1))
    20.0
    """
    return cast(Num, z0 * np.exp(np.log(z1 / z0) * V2 / V1))


def _gamma(x: Num) -> Num:
    if isinstance(x, float):
        return math.gamma(x)
    return cast(Num, np.vectorize(math.gamma, otypes=[float])(x))


def weibull_scale(Vm: Num, k: Num) -> Num:
    """Scale ``c`` of the Weibull distribution with mean ``Vm`` and shape ``k``, in [m/s].

    Examples
    --------
    >>> weibull_scale(5.0, 2.0)
    5.641896
    """
    return Vm / _gamma(1.0 + 1.0 / k)


def weibull_cdf(V: Num, c: Num, k: Num) -> Num:
    """Share of the time in which the wind is lighter than ``V``, for a Weibull distribution.

    Examples
    --------
    >>> round(float(weibull_cdf(5.0, 5.641896, 2.0)), 6)
    0.544062
    """
    return 1.0 - np.exp(-np.power(np.divide(V, c), k))


def weibull_pdf(V: Num, c: Num, k: Num) -> Num:
    """Density of the Weibull distribution at wind ``V``, in [s/m].

    Examples
    --------
    >>> float(weibull_pdf(5.0, 5.641896, 2.0))
    0.143237
    """
    return cast(Num, (k / c) * (V / c) ** (k - 1.0) * np.exp(-((V / c) ** k)))


def share_above(V: Num, c: Num, k: Num) -> Num:
    """Share of the time in which it blows harder than ``V``.

    Examples
    --------
    >>> float(share_above(10.0, 5.641896, 2.0))
    0.043214
    """
    return cast(Num, np.exp(-((V / c) ** k)))


def pattern_factor(k: Num) -> Num:
    r"""Mean of the cube over the cube of the mean, Weibull distribution.

    .. math:: \overline{V^3} / \overline{V}^3 = \Gamma(1 + 3/k) / \Gamma(1 + 1/k)^3

    Parameters
    ----------
    k : float or array, shape (...,)
        Shape of the distribution. []

    Returns
    -------
    K : float or array, shape (...,)
        Energy pattern factor, 6/pi for the Rayleigh distribution (k = 2). []

    Examples
    --------
    >>> pattern_factor(2.0)
    1.909859
    """
    return _gamma(1.0 + 3.0 / k) / _gamma(1.0 + 1.0 / k) ** 3


def mean_power_density(rho: Num, Vm: Num, k: Num) -> Num:
    """Yearly mean power of the wind through a square metre, in [W/m2].

    Examples
    --------
    >>> mean_power_density(1.225, 5.0, 2.0)
    146.224
    """
    return power_in_wind(rho, 1.0, Vm) * pattern_factor(k)


def beaufort(number: int) -> tuple[float, float]:
    """Lowest speed of a Beaufort number and that of the next, infinite for 12, in [m/s].

    Raises
    ------
    ValueError
        If the number is not one of 0 to 12.

    Examples
    --------
    >>> beaufort(5)
    (8.0, 10.8)
    """
    lows = [float(row["low"]) for row in table_rows("beaufort")] + [math.inf]
    if not 0 <= number <= 12:
        raise ValueError("the Beaufort scale runs from 0 to 12")
    return lows[number], lows[number + 1]
