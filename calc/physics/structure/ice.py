"""Glaze on masts, ropes and blades: how thick it makes them, what it weighs, and how much wind goes with it."""

from __future__ import annotations

import math

import numpy as np

from calc.units import Num

#: Density of glaze; ISO 12494, from memory. [kg/m3]
GLAZE = 900.0
#: Thickness and share of the wind's pressure that goes with it, ice classes G1 and G5; ISO 12494, from memory.
_THIN, _THICK = (0.010, 0.40), (0.050, 0.60)


def ice_on(d: Num, t: Num) -> Num:
    r"""Mass of ice around a bar, :math:`\pi (d + t) t \rho`, in [kg/m].

    Parameters
    ----------
    d, t : float or array, shape (...,)
        Diameter of the bar, and thickness of the ice on it. [m]

    Examples
    --------
    ISO 12494, class G1, prints 0.6 kg/m for a bar of 10 mm and 3.1 for one of 100 mm (from memory):

    >>> [round(float(ice_on(d, 0.010)), 1) for d in (0.01, 0.1)]
    [0.6, 3.1]
    """
    return math.pi * (np.asarray(d) + t) * t * GLAZE


def wind_share(t: Num) -> Num:
    """Share of the strongest gust's pressure that goes with all of the ice, by its thickness [m].

    0.40 at 10 mm and below, a twentieth more with each 10 mm, 0.60 at 50 mm and beyond.

    Examples
    --------
    >>> float(wind_share(0.02))
    0.45

    References
    ----------
    .. [1] ISO 12494, combination of ice and wind, factor k of glaze; from memory.
    """
    (t_1, k_1), (t_2, k_2) = _THIN, _THICK
    return np.asarray(np.interp(t, (t_1, t_2), (k_1, k_2)))
