"""How far a measured power curve may be off: what scatters within a bin, and what is wrong with all of it alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.curve.bins import Bins
from calc.physics.arrays import Array


@dataclass(frozen=True, slots=True)
class Instruments:
    """Doubt of what was read, one standard deviation each; category B of IEC 61400-12-1.

    The values by default are own estimates for what builders use, from common practice, no source.

    Parameters
    ----------
    wind_share, wind_least : float
        Doubt of the wind: the cup, how it is mounted, and how far the rotor's wind differs from that at the cup; as a
        share, and what is there in any wind. [m/s]
    power_share, power_least : float
        Doubt of the power, as a share, and in any wind. [W]
    temperature : float
        Doubt of the air's temperature. [K]
    pressure : float
        Doubt of its pressure. [Pa]
    """

    wind_share: float = 0.03
    wind_least: float = 0.15
    power_share: float = 0.02
    power_least: float = 1.0
    temperature: float = 2.0
    pressure: float = 300.0


#: Part of the wind's doubt that nothing said of a cup covers: how it is mounted, and how far the rotor's wind differs
#: from that at the cup. One standard deviation as a share. Own estimate.
MOUNTED = 0.02
#: Doubt of air that was not recorded: the seasons' swing of temperature, the weather's of pressure; from memory.
ASSUMED_TEMPERATURE, ASSUMED_PRESSURE = 8.0, 1000.0


@dataclass(frozen=True, slots=True)
class Doubt:
    """Doubt of the mean power of each bin, one standard deviation, in [W].

    Parameters
    ----------
    a : array, shape (bins,)
        What scatters: it goes with more minutes.
    wind, power, temperature, pressure : array, shape (bins,)
        What each instrument adds, alike in all bins: it stays.
    """

    a: Array
    wind: Array
    power: Array
    temperature: Array
    pressure: Array

    @property
    def b(self) -> Array:
        """What the instruments add together."""
        return np.sqrt(self.wind**2 + self.power**2 + self.temperature**2 + self.pressure**2)

    @property
    def total(self) -> Array:
        """Both kinds together."""
        return np.sqrt(self.a**2 + self.b**2)


def steepness(bins: Bins) -> Array:
    r"""How much power a metre a second more brings in each bin, from the bin before it, in [W s/m].

    .. math:: c_{V,i} = \left| \frac{P_i - P_{i-1}}{V_i - V_{i-1}} \right|

    The bin before the first is half a metre a second below it, without power; empty bins are passed over.

    References
    ----------
    .. [1] IEC 61400-12-1, sensitivity of the power to the wind; from memory.
    """
    found = np.full(len(bins.centre), np.nan)
    V, P = np.nan, 0.0
    for at in np.flatnonzero(np.isfinite(bins.power)):
        if np.isnan(V):
            V = bins.wind[at] - 0.5
        found[at] = abs((bins.power[at] - P) / (bins.wind[at] - V))
        V, P = bins.wind[at], bins.power[at]
    return found


def doubt(bins: Bins, by: Instruments, T: float = 288.15, p: float = 101325.0) -> Doubt:
    r"""Doubt of each bin.

    .. math:: s_i = \sigma_i / \sqrt{N_i}, \quad
              u_i^2 = s_i^2 + u_P^2 + (c_{V,i} u_V)^2 + (P_i u_T / T)^2 + (P_i u_p / p)^2

    Parameters
    ----------
    bins : Bins
        The curve.
    by : Instruments
        Doubt of what was read.
    T, p : float
        Mean temperature [K] and pressure [Pa] of the air.

    Returns
    -------
    u : Doubt
        Not a number where a bin is empty; a bin of one minute has no scatter, so its ``a`` is not a number either.

    Notes
    -----
    Minutes that follow each other are taken to be independent, as the standard takes them. They are not quite.

    Examples
    --------
    Five minutes of 90 to 110 W:

    >>> from calc.curve.bins import binned
    >>> b = binned(np.full(5, 6.0), np.array([100.0, 110.0, 90.0, 105.0, 95.0]))
    >>> float(doubt(b, Instruments()).a[0])
    3.536

    References
    ----------
    .. [1] IEC 61400-12-1, evaluation of uncertainty; from memory.
    """
    a = bins.scatter / np.sqrt(np.maximum(bins.count / bins.held, 1.0))
    u_V = np.hypot(by.wind_share * bins.wind, by.wind_least)
    return Doubt(
        a,
        steepness(bins) * u_V,
        np.hypot(by.power_share * bins.power, by.power_least),
        np.abs(bins.power) * by.temperature / T,
        np.abs(bins.power) * by.pressure / p,
    )
