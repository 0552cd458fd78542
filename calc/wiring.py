"""Cables: resistance, voltage lost, power lost, and the current they can carry."""

from __future__ import annotations

import math
from functools import cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from calc.tables import read
from calc.units import Num

#: Resistivity at 20 degC [ohm m]: annealed copper standard (1/58), aluminium of 61 % of that (1/34.8).
RESISTIVITY = {"copper": 1e-6 / 58.0, "aluminium": 1e-6 / 34.8}
#: Change of resistance with temperature, referred to 20 degC. [1/K]
ALPHA = {"copper": 3.93e-3, "aluminium": 4.03e-3}
#: Hottest conductor that the insulation bears. [K]
HOTTEST = {"PVC, 70 degC": 343.15, "XLPE or rubber, 90 degC": 363.15}
#: Allowance for current that flows for hours (NEC 694.12(B), 706.21(B)).
CONTINUOUS = 1.25
#: RMS current in each of three wires ahead of a six-pulse bridge, over the direct current behind it.
PHASE_SHARE = math.sqrt(2.0 / 3.0)
#: An area this near to a standard size is taken as a cable of that size.
NEAR = 0.06


def awg_diameter(n: int) -> float:
    """Diameter of a solid wire of American gauge ``n``; 0, -1, -2, -3 stand for 1/0 to 4/0, in [m].

    Examples
    --------
    >>> awg_diameter(12)
    0.002053
    """
    return 0.127e-3 * float(92.0 ** ((36 - n) / 39))


def awg_area(n: int) -> float:
    """Cross-section of American gauge ``n``, see :func:`awg_diameter`, in [m2].

    Examples
    --------
    >>> round(awg_area(12) * 1e6, 3)
    3.309
    """
    return math.pi / 4.0 * awg_diameter(n) ** 2


@cache
def resistance_table(conductor: str = "copper class 2") -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Standard areas [m2] and greatest resistance per length at 20 degC [ohm/m], IEC 60228."""
    rows = [row for row in read("resistance") if row["conductor"] == conductor]
    areas = np.array([float(row["area"]) * 1e-6 for row in rows])
    return areas, np.array([float(row["resistance"]) * 1e-3 for row in rows])


def resistance(A: Num, material: str = "copper", T: Num = 293.15) -> Num:
    r"""Resistance of one conductor per length.

    .. math:: r = r_{20} (1 + \alpha (T - 293.15))

    Parameters
    ----------
    A : float or array, shape (...,)
        Cross-section. [m2]
    material : str
        ``"copper"`` or ``"aluminium"``.
    T : float or array, shape (...,)
        Temperature of the conductor. [K]

    Returns
    -------
    r : float or array, shape (...,)
        Resistance per length. [ohm/m]

    Raises
    ------
    ValueError
        If an area is not positive.

    Notes
    -----
    A standard size (within 6 %, since the true area of a cable is never known better) has the greatest
    resistance IEC 60228 class 2 permits for it, in proportion to its area. That is 4 to 12 % more than its
    nominal area suggests. Any other area, such as an American gauge, is taken as that much standard copper.

    Examples
    --------
    >>> float(resistance(10e-6)) * 1000
    1.83

    References
    ----------
    .. [1] IEC 60228, maximum resistance, class 2.
    .. [2] IEC 60028, standard of resistance for copper.
    """
    if np.any(np.asarray(A) <= 0):
        raise ValueError("the area of a conductor must be positive")
    areas, r20 = resistance_table(f"{material} class 2")
    nearest = np.argmin(np.abs(np.log(np.asarray(A)[..., None] / areas)), axis=-1)
    standard = np.abs(np.asarray(A) / areas[nearest] - 1.0) <= NEAR
    rho = np.where(standard, (r20 * areas)[nearest], RESISTIVITY[material])
    return cast(Num, rho / A * (1.0 + ALPHA[material] * (T - 293.15)))


def voltage_drop_dc(I: Num, L: Num, r: Num) -> Num:
    r"""Voltage lost in a two-conductor cable carrying direct current.

    .. math:: \Delta V = 2 I L r

    Parameters
    ----------
    I : float or array, shape (...,)
        Current. [A]
    L : float or array, shape (...,)
        One-way length; the return conductor is counted here. [m]
    r : float or array, shape (...,)
        Resistance of one conductor per length, at its temperature. [ohm/m]

    Returns
    -------
    dV : float or array, shape (...,)
        Voltage between source and load. [V]

    Raises
    ------
    ValueError
        If ``L`` is negative or ``r`` is not positive.

    Notes
    -----
    Direct current, uniform temperature, joints excluded. It also holds for three wires ahead of a six-pulse
    bridge with ``I`` the direct current behind it, for two of the three carry that current at any moment.

    Examples
    --------
    20 A over 30 m of 10 mm2 class 2 copper (1.83 ohm/km at 20 degC):

    >>> voltage_drop_dc(I=20.0, L=30.0, r=1.83e-3)
    2.196

    References
    ----------
    .. [1] IEC 60228, Conductors of insulated cables, maximum resistance table, class 2.
    """
    if np.any(np.asarray(L) < 0) or np.any(np.asarray(r) <= 0):
        raise ValueError("length must not be negative and resistance must be positive")
    return 2.0 * I * L * r


def voltage_drop_three_phase(I: Num, L: Num, r: Num) -> Num:
    r"""Line-to-line voltage lost in three wires with sinusoidal current and a resistive load.

    .. math:: \Delta V = \sqrt{3} I L r

    Parameters
    ----------
    I : float or array, shape (...,)
        RMS current of one wire. [A]
    L, r : float or array, shape (...,)
        As for :func:`voltage_drop_dc`.

    Returns
    -------
    dV : float or array, shape (...,)
        RMS voltage between two wires. [V]

    Examples
    --------
    >>> voltage_drop_three_phase(20.0, 200.0, 1.1e-3)
    7.62
    """
    return math.sqrt(3.0) / 2.0 * voltage_drop_dc(I, L, r)


def three_phase_loss(I: Num, L: Num, r: Num) -> Num:
    """Power turned to heat in three wires carrying the RMS current ``I`` each, in [W].

    Examples
    --------
    The wires ahead of a bridge lose what two wires behind it would lose, 43.9 W at 20 A direct current:

    >>> three_phase_loss(20.0 * PHASE_SHARE, 30.0, 1.83e-3)
    43.92
    """
    return 3.0 * I**2 * L * r


@cache
def ampacity_table(
    insulation: str, laid: str, loaded: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], tuple[str, ...]]:
    """Areas [m2], currents [A] and standing of each row, IEC 60364-5-52, copper, air at 30 degC."""
    rows = [
        row
        for row in read("ampacity")
        if (row["insulation"], row["laid"], row["loaded"]) == (insulation, laid, str(loaded))
    ]
    areas = np.array([float(row["area"]) * 1e-6 for row in rows])
    return areas, np.array([float(row["ampacity"]) for row in rows]), tuple(row["standing"] for row in rows)


def ambient_factor(T: Num, T_max: Num = 343.15) -> Num:
    r"""Share of the ampacity at 30 degC that is left in other air.

    .. math:: k = \sqrt{(T_{max} - T) / (T_{max} - 303.15)}

    Parameters
    ----------
    T : float or array, shape (...,)
        Temperature of the air. [K]
    T_max : float or array, shape (...,)
        Hottest conductor that the insulation bears. [K]

    Returns
    -------
    k : float or array, shape (...,)
        Factor. []

    Raises
    ------
    ValueError
        If the air is not cooler than the hottest conductor.

    Examples
    --------
    >>> float(ambient_factor(313.15))
    0.866
    """
    if np.any(np.asarray(T) >= T_max):
        raise ValueError("the air is as hot as the insulation bears")
    return cast(Num, ((T_max - T) / (T_max - 303.15)) ** 0.5)


def ampacity(
    A: Num,
    insulation: str = "PVC, 70 degC",
    laid: str = "in conduit or duct",
    loaded: int = 2,
    T: Num = 303.15,
) -> Num:
    """Greatest lasting current of a copper conductor.

    Parameters
    ----------
    A : float or array, shape (...,)
        Cross-section. [m2]
    insulation, laid : str
        As in the catalogue of inputs.
    loaded : int
        Wires that carry current, 2 or 3.
    T : float or array, shape (...,)
        Temperature of the air. [K]

    Returns
    -------
    I_z : float or array, shape (...,)
        Current in each wire. [A]

    Raises
    ------
    ValueError
        Outside 1.5 to 120 mm2, where the table ends.

    Notes
    -----
    One cable by itself; bundles carry less. Between standard sizes a straight line of the logarithms, which
    the standard's own formulas follow closely. Which rows are from memory stands in the table.

    Examples
    --------
    >>> float(ampacity(4e-6))
    30.0

    References
    ----------
    .. [1] IEC 60364-5-52:2009, Tables B.52.2 to B.52.5, methods B2 and C.
    """
    areas, currents, _ = ampacity_table(insulation, laid, loaded)
    # A tenth of a thousandth of slack, so that unit conversion does not push 1.5 mm2 off the table.
    if np.any(np.asarray(A) < areas[0] * 0.9999) or np.any(np.asarray(A) > areas[-1] * 1.0001):
        raise ValueError("the ampacity table runs from 1.5 to 120 mm2")
    at_30 = np.exp(np.interp(np.log(A), np.log(areas), np.log(currents)))
    return cast(Num, at_30 * ambient_factor(T, HOTTEST[insulation]))


@cache
def fuse_ratings() -> tuple[float, ...]:
    """Standard ratings of fuses and breakers, both series, rising, in [A]."""
    return tuple(sorted({float(row["rating"]) for row in read("fuses")}))
