"""The dump load: a resistance that takes the generator's power when the battery is full."""

from __future__ import annotations

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
