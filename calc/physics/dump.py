"""The dump load: a resistance that takes the generator's power when the battery is full."""

from __future__ import annotations

import math

from calc.units import Num

#: Power of a dump load over that of the source, and current of its circuit over that of its controller
#: (NEC 2017, 706.23(B)(2)).
DIVERSION = 1.5


def current(V: Num, R: Num) -> Num:
    """Current of a resistance [ohm] at the charge voltage [V], in [A].

    Examples
    --------
    >>> current(28.8, 1.2)
    24.0
    """
    return V / R


def power(V: Num, R: Num) -> Num:
    r"""Heat in a dump load.

    .. math:: P = V^2 / R

    Parameters
    ----------
    V : float or array, shape (...,)
        Voltage at which it is switched on, the highest charge voltage. [V]
    R : float or array, shape (...,)
        Resistance, hot. [ohm]

    Returns
    -------
    P : float or array, shape (...,)
        Power. [W]

    Raises
    ------
    ValueError
        If ``R`` is not positive.

    Examples
    --------
    1.2 ohm at 28.8 V:

    >>> power(28.8, 1.2)
    691.2
    """
    if not (R > 0 if isinstance(R, float | int) else (R > 0).all()):
        raise ValueError("a dump load needs some resistance")
    return V**2 / R


def resistance_for(V: Num, P: Num) -> Num:
    """Resistance [ohm] that takes the power ``P`` [W] at the voltage ``V`` [V], reversing :func:`power`.

    Examples
    --------
    >>> resistance_for(28.8, 720.0)
    1.152
    """
    return V**2 / P


#: Preferred numbers in which resistors are made, twelve a decade (IEC 60063, E12).
E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)


def preferred_between(low: float, high: float) -> list[float]:
    """Resistances in which resistors are made (E12) between two [ohm], rising.

    Examples
    --------
    >>> preferred_between(0.09, 0.2), preferred_between(1.0, 1.42)
    ([0.1, 0.12, 0.15, 0.18], [1.0, 1.2])
    """
    decades = range(math.floor(math.log10(low)) - 1, math.floor(math.log10(high)) + 2)
    every = (float(f"{e}e{d}") for d in decades for e in E12)
    return [R for R in every if low * (1 - 1e-9) <= R <= high * (1 + 1e-9)]
