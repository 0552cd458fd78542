"""Where the sun stands, how far things throw their shadow, and how long a rotor's blades cut through it."""

from __future__ import annotations

from datetime import date
from typing import cast

import numpy as np

from calc.physics.arrays import Array, refuse_if
from calc.physics.blade.shape import plain_number
from calc.units import Num

DEG = np.pi / 180.0
#: Diameter of the sun as seen from here: 1.39 million km at 150 million km. [rad]
SUN = 1.39e6 / 149.6e6
#: Lowest sun whose flickering shadow counts.
LOWEST = 3.0 * DEG
#: Width, in diameters of the sun, of a strip across its middle that covers a fifth of the disc: the root of
#: 2/pi (asin u + u sqrt(1 - u^2)) = 0.2.
_STRIP = 0.157736
#: Height of a window's middle, of which the flicker is told. [m]
WINDOW = 2.0


def days_since_2000(year: int, month: int, day: int, hour: float = 12.0) -> float:
    """Days since noon of 1 January 2000, for a date and an hour of universal time.

    Examples
    --------
    >>> days_since_2000(2000, 1, 1), days_since_2000(2026, 6, 21, 0.0)
    (0.0, 9667.5)
    """
    return float((date(year, month, day) - date(2000, 1, 1)).days) + (hour - 12.0) / 24.0


def ephemeris(n: Num) -> tuple[Num, Num]:
    r"""Declination of the sun, and by how much a sundial is ahead of the clock.

    Parameters
    ----------
    n : float or array, shape (...,)
        Days since noon of 1 January 2000; see :func:`days_since_2000`. [day]

    Returns
    -------
    declination : float or array, shape (...,)
        [rad]
    equation_of_time : float or array, shape (...,)
        Apparent less mean solar time. [h]

    Notes
    -----
    Good to 0.02 degrees and a few seconds from 1950 to 2050.

    Examples
    --------
    Midsummer 2026, when the sun stands over the northern tropic, 23.44 degrees:

    >>> round(float(ephemeris(9668.0)[0] / DEG), 2)
    23.44

    References
    ----------
    .. [1] Astronomical Almanac, low-precision formulas for the sun; from memory, held against a library in the tests.
    """
    n = np.asarray(n, dtype=float)
    L, g = 280.460 + 0.9856474 * n, (357.528 + 0.9856003 * n) * DEG
    lam = (L + 1.915 * np.sin(g) + 0.020 * np.sin(2.0 * g)) * DEG
    eps = (23.439 - 4e-7 * n) * DEG
    right = np.arctan2(np.cos(eps) * np.sin(lam), np.cos(lam)) / DEG
    ahead = (L - right + 180.0) % 360.0 - 180.0
    return cast(Num, np.arcsin(np.sin(eps) * np.sin(lam))), cast(Num, ahead / 15.0)


def elevation(latitude: Num, declination: Num, H: Num) -> Num:
    r"""Height of the sun over the horizon, without refraction.

    .. math:: \sin e = \sin \varphi \sin \delta + \cos \varphi \cos \delta \cos H

    Parameters
    ----------
    latitude, declination, H : float or array, shape (...,)
        Latitude, declination, hour angle. [rad]

    Returns
    -------
    e : float or array, shape (...,)
        Negative below the horizon. [rad]

    Examples
    --------
    At noon of the equinox it stands as far below the zenith as the place lies from the equator:

    >>> round(float(elevation(52 * DEG, 0.0, 0.0) / DEG), 6)
    38.0
    """
    s = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(H)
    return cast(Num, np.arcsin(np.clip(s, -1.0, 1.0)))


def azimuth(latitude: Num, declination: Num, H: Num) -> Num:
    """Direction of the sun from north over east, for latitude, declination and hour angle [rad], in [rad], 0 to 2 pi.

    Examples
    --------
    >>> round(float(azimuth(52 * DEG, 0.0, 0.0) / DEG)), round(float(azimuth(52 * DEG, 0.0, 90 * DEG) / DEG))
    (180, 270)
    """
    south = np.arctan2(np.sin(H), np.cos(H) * np.sin(latitude) - np.tan(declination) * np.cos(latitude))
    return cast(Num, (south + np.pi) % (2.0 * np.pi))


def above(latitude: Num, declination: Num, e: float = LOWEST) -> Num:
    """Hour angle up to which, and from the negative of which on, the sun stands higher than ``e`` [rad], in [rad].

    Nothing where it does not on that day, half a turn where it always does.

    Examples
    --------
    On the equator, at the equinox, it is up for a quarter turn to either side of noon:

    >>> round(float(above(0.0, 0.0, 0.0) / DEG), 6)
    90.0
    """
    return _half_width(
        np.asarray(np.sin(e) - np.sin(latitude) * np.sin(declination)),
        np.asarray(np.cos(latitude) * np.cos(declination)),
    )


def shadow_length(height: Num, e: Num) -> Num:
    """Length of the shadow of something so high [m] on level ground, the sun so high over the horizon [rad], in [m].

    Infinite where the sun is down.

    Examples
    --------
    >>> round(float(shadow_length(10.0, 45 * DEG)), 6)
    10.0
    """
    up = np.asarray(e) > 0
    return plain_number(np.where(up, height / np.tan(np.where(up, e, 1.0)), np.inf))


def noon_shadow(height: Num, latitude: Num, n: Num) -> Num:
    """Length of a shadow at noon, when it is shortest, on a day since 2000, in [m].

    Examples
    --------
    10 m at 52 degrees north, in midsummer and in midwinter:

    >>> [round(float(noon_shadow(10.0, 52 * DEG, days_since_2000(2026, m, 21))), 1) for m in (6, 12)]
    [5.4, 38.5]
    """
    return shadow_length(height, elevation(latitude, ephemeris(n)[0], 0.0))


def flicker_reach(chord: Num) -> Num:
    """Distance up to which a blade of a chord [m] covers a fifth of the sun, so that its shadow is noticed, in [m].

    Examples
    --------
    >>> round(flicker_reach(0.15))
    102

    References
    ----------
    .. [1] German guideline on the shadow of wind turbines: a fifth of the sun; P. Jain, Wind Energy Engineering,
       p. 258.
    """
    return chord / (_STRIP * SUN)


def flicker(latitude: Num, direction: Num, distance: Num, hub: Num, R: Num, n: Array, window: float = WINDOW) -> Array:
    r"""Time in which the sun stands behind the rotor, day by day, as seen from a window.

    Seen from the window the rotor is a disc; the sun runs through it while the angle between sun and hub is less than
    that disc's radius. With the hub's hour angle :math:`H_0` and declination :math:`\delta_0` that is while

    .. math:: \cos(H - H_0) > \frac{\cos \rho - \sin \delta \sin \delta_0}{\cos \delta \cos \delta_0}

    and while the sun stands higher than :data:`LOWEST`.

    Parameters
    ----------
    latitude, direction : float or array, shape (...,)
        Latitude, and direction from the mast to the window, from north over east. [rad]
    distance, hub, R : float or array, shape (...,)
        Distance on the ground, height of the rotor's centre, its radius. [m]
    n : array, shape (days,)
        Days since 2000; see :func:`days_since_2000`.
    window : float
        Height of the window. [m]

    Returns
    -------
    t : array, shape (..., days)
        Time of each day. [s]

    Raises
    ------
    ValueError
        If the window is not outside the rotor.

    Notes
    -----
    The worst that can be: always sunny, always turning, the rotor always facing the sun, nothing in between.

    References
    ----------
    .. [1] German guideline on the shadow of wind turbines: sun above 3 degrees; 30 hours a year, 30 minutes a day;
       P. Jain, Wind Energy Engineering, p. 258.
    """
    phi, to, d, h, radius = (np.asarray(v, dtype=float)[..., None] for v in (latitude, direction, distance, hub, R))
    away = np.hypot(d, h - window)
    refuse_if((away <= radius)[..., 0], "the window must lie outside the rotor")
    e, A, rho = np.arctan2(h - window, d), to + np.pi, np.arcsin(radius / away) + SUN / 2.0
    dec0 = np.arcsin(np.sin(phi) * np.sin(e) + np.cos(phi) * np.cos(e) * np.cos(A))
    H0 = np.arctan2(-np.sin(A) * np.cos(e), np.sin(e) * np.cos(phi) - np.cos(e) * np.cos(A) * np.sin(phi))
    dec = np.asarray(ephemeris(n)[0])
    half = _half_width((np.cos(rho) - np.sin(dec) * np.sin(dec0)), np.cos(dec) * np.cos(dec0))
    light = np.asarray(above(phi, dec))
    both = sum(
        np.maximum(np.minimum(H0 + turn + half, light) - np.maximum(H0 + turn - half, -light), 0.0)
        for turn in (-2.0 * np.pi, 0.0, 2.0 * np.pi)
    )
    return np.asarray(both) * 12.0 / np.pi * 3600.0


def _half_width(over: Array, under: Array) -> Array:
    """Half the range of angles whose cosine is greater than a quotient: nothing where none is, all where all are."""
    return np.arccos(np.clip(over / np.maximum(under, 1e-12), -1.0, 1.0))
