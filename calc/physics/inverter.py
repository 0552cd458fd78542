"""The inverter at the battery: how far the voltage sags, and what the loads ask of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

import numpy as np

from calc.units import Num


def sagged(V: Num, R: Num, P: Num) -> Num:
    r"""Voltage left at the inverter's input while it draws a power.

    .. math:: V_{in} = \tfrac12 \left( V + \sqrt{V^2 - 4 R P} \right)

    Parameters
    ----------
    V : float or array, shape (...,)
        Voltage of the battery before. [V]
    R : float or array, shape (...,)
        Internal resistance and that of the cable there and back, with its joints. [ohm]
    P : float or array, shape (...,)
        Power drawn at the inverter's input. [W]

    Returns
    -------
    V_in : float or array, shape (...,)
        Voltage at the input; zero where battery and cable cannot bring such a power at any voltage. [V]

    Notes
    -----
    The inverter draws constant power, so as the voltage sags the current grows.

    Examples
    --------
    900 W from 24 V through 20 milliohm: 23.2 V.

    >>> float(sagged(24.0, 0.02, 900.0))
    23.2
    """
    left = np.asarray(V) ** 2 - 4.0 * np.asarray(R) * P
    return cast(Num, np.where(left >= 0, 0.5 * (V + np.sqrt(np.maximum(left, 0.0))), 0.0))


def worst_start(running: Sequence[Num], starting: Sequence[Num]) -> Num:
    """Greatest power while one load starts and all others run.

    Parameters
    ----------
    running, starting : sequence of float or array, shape (...,)
        Power of each load in work and while it starts; never less than in work. [W]

    Returns
    -------
    P : float or array, shape (...,)
        Power. [W]

    Raises
    ------
    ValueError
        If there is no load.

    Examples
    --------
    24 W of light and a pump of 250 W that starts with 750 W:

    >>> float(worst_start([24.0, 250.0], [24.0, 750.0]))
    774.0
    """
    if not running:
        raise ValueError("there is no load")
    total: Num = sum(running[1:], running[0])
    extra: Num = 0.0
    for P, P_start in zip(running, starting, strict=True):
        extra = cast(Num, np.maximum(extra, np.asarray(P_start) - P))
    return total + extra
