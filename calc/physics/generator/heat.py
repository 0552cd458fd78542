"""Resistance and temperature of the winding, each depending on the other."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.physics.metals import COLD, COPPER_ZERO
from calc.units import Num

#: Rise of a winding over air of 40 degC that an insulation class bears (IEC 60034-1). [K]
RISE = {"A": 60.0, "E": 75.0, "B": 80.0, "F": 105.0, "H": 125.0}
#: No winding lasts beyond this; what is computed above it is not the machine's any more. From memory. [K]
BURNT_WINDING = 673.15
#: Air for which the rating of a machine holds. [K]
RATED_AIR = 313.15


def winding_resistance(R_1: Num, T_2: Num, T_1: Num = COLD) -> Num:
    r"""Resistance of a copper winding at another temperature.

    .. math:: R_2 = R_1 (234.5 + t_2) / (234.5 + t_1)

    Parameters
    ----------
    R_1 : float or array, shape (...,)
        Resistance at ``T_1``. [ohm]
    T_2, T_1 : float or array, shape (...,)
        Temperatures. [K]

    Returns
    -------
    R_2 : float or array, shape (...,)
        Resistance at ``T_2``. [ohm]

    Raises
    ------
    ValueError
        If a temperature lies below -100 degC, where the straight line ends.

    Examples
    --------
    >>> winding_resistance(0.50, 369.5)
    0.65
    """
    if np.any(np.less(T_1, 173.15)) or np.any(np.less(T_2, 173.15)):
        raise ValueError("the resistance of copper follows a straight line only above -100 degC")
    return R_1 * (COPPER_ZERO - 273.15 + T_2) / (COPPER_ZERO - 273.15 + T_1)


def winding_temperature(R_1: Num, R_2: Num, T_1: Num = COLD) -> Num:
    """Temperature of a copper winding from its resistance cold, ``R_1`` at ``T_1``, and hot, ``R_2``, in [K].

    Examples
    --------
    0.50 ohm at 20 degC that has become 0.65 ohm:

    >>> winding_temperature(0.50, 0.65) - 273.15
    96.35
    """
    return R_2 / R_1 * (COPPER_ZERO - 273.15 + T_1) - (COPPER_ZERO - 273.15)


def copper_loss(I: Num, R: Num) -> Num:
    """Power lost in a winding of resistance ``R`` between leads at direct current ``I`` behind it, in [W].

    Two of three phases carry the current at any moment, so it is I^2 R also for three-phase windings.
    For a single-phase winding ``I`` is the RMS current.

    Examples
    --------
    >>> copper_loss(10.0, 0.24)
    24.0
    """
    return I**2 * R


def heat_limit(R_20: Num, R_th: Num) -> Num:
    """Direct current above which no lasting temperature exists, since the copper heats faster than it cools.

    ``R_20`` is the resistance between leads at 20 degC [ohm], ``R_th`` the thermal resistance [K/W]; in [A].

    Examples
    --------
    >>> float(heat_limit(0.24, 1.0))
    32.6
    """
    with np.errstate(divide="ignore", over="ignore"):
        return cast(Num, np.sqrt((COPPER_ZERO + 20.0) / np.multiply(R_20, R_th)))


def thermal_resistance(I: Num, R_20: Num, insulation: str = "B") -> Num:
    """Thermal resistance that gives the rated current the rise its insulation class allows.

    Parameters
    ----------
    I : float or array, shape (...,)
        Rated current, as direct current; rated torque over ``k`` where only the torque is stated. [A]
    R_20 : float or array, shape (...,)
        Resistance between two leads at 20 degC. [ohm]
    insulation : str
        Class, a key of :data:`RISE`.

    Returns
    -------
    R_th : float or array, shape (...,)
        Rise of the winding per watt lost in its copper. [K/W]

    Raises
    ------
    KeyError
        If the class is not known.

    Notes
    -----
    A maker may stay below the class to spare magnets and bearings, so the true value is often lower. A rating
    holds with the cooling it was made with: a motor that was bolted to a steel frame or rode in the wind runs
    hotter elsewhere.

    Examples
    --------
    >>> thermal_resistance(15.0, 0.24, "B")
    1.064

    References
    ----------
    .. [1] IEC 60034-1, limits of temperature rise, air of 40 degC; B, F and H read in a maker's manual,
       A and E from memory.
    """
    rise = RISE[insulation]
    return rise / copper_loss(I, winding_resistance(R_20, RATED_AIR + rise))
