"""What uses the power."""

from __future__ import annotations

from calc.units import Num


def mean_power(P: Num, share: Num) -> Num:
    """Power averaged over the day of a thing that draws ``P`` [W] for a share of the day, in [W].

    Examples
    --------
    60 W for 4 hours a day:

    >>> mean_power(60.0, 4 / 24)
    10.0
    """
    return P * share


def battery_current(P: Num, V: Num, eta: Num = 1.0) -> Num:
    r"""Current that an output power draws from the battery.

    .. math:: I = P / (V \eta)

    Parameters
    ----------
    P : float or array, shape (...,)
        Output power. [W]
    V : float or array, shape (...,)
        Voltage of the battery; the lowest gives the greatest current. [V]
    eta : float or array, shape (...,)
        Efficiency of what lies between. []

    Returns
    -------
    I : float or array, shape (...,)
        Current. [A]

    Examples
    --------
    >>> battery_current(2000.0, 24.0, 0.90)
    92.6
    """
    return P / (V * eta)
