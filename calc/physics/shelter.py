"""The wake of a single obstacle: how much of the wind is missing behind it."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.physics.arrays import refuse_if
from calc.units import Num

KARMAN = 0.4
#: Exponent of the wind's profile over the obstacle.
EXPONENT = 0.14
#: From so many of its heights behind an obstacle the relation holds, and nearer above so many heights.
NEAREST, ABOVE = 5.0, 2.0
#: So many heights behind it a wake is taken as gone for turbulence. From memory: 10 to 20.
WAKE_ENDS = 20.0


def too_near(x: Num, z: Num, H: Num) -> Num:
    """Whether a point ``x`` [m] behind an obstacle of height ``H`` and ``z`` up is in what no simple relation tells.

    Examples
    --------
    >>> bool(too_near(20.0, 8.0, 5.0)), bool(too_near(20.0, 12.0, 5.0)), bool(too_near(30.0, 8.0, 5.0))
    (True, False, False)
    """
    return cast(Num, np.less(x, NEAREST * np.asarray(H)) & np.less(z, ABOVE * np.asarray(H)))


def wind_lost(x: Num, z: Num, H: Num, porosity: Num, z0: Num) -> Num:
    r"""Share of the wind's speed that is missing behind a long obstacle across the wind.

    .. math:: \frac{\Delta u}{u} = 9.75\, (1 - P)\, \frac{H}{x}\, \eta\, e^{-0.67 \eta^{1.5}}
              \left(\frac{z}{H}\right)^{-n}, \quad
              \eta = \frac{z}{H} \left(K \frac{x}{H}\right)^{-1/(n + 2)}, \quad K = \frac{2 \kappa^2}{\ln (H / z_0)}

    Parameters
    ----------
    x, z : float or array, shape (...,)
        Distance behind it, and height. [m]
    H : float or array, shape (...,)
        Height of the obstacle. [m]
    porosity : float or array, shape (...,)
        Share of it that is open: 0 for a wall.
    z0 : float or array, shape (...,)
        Roughness length of the ground. [m]

    Returns
    -------
    lost : float or array, shape (...,)
        Share of the undisturbed wind at that height, at most all of it.

    Raises
    ------
    ValueError
        Where :func:`too_near`; or where the obstacle is lower than ten roughness lengths, a part of the ground's own
        roughness.

    Notes
    -----
    A row that is long across the wind. A single house shelters less, the less the further away.

    Examples
    --------
    A wall of 5 m, 50 m away over open farmland, at its own height and at twice that:

    >>> [round(float(wind_lost(50.0, z, 5.0, 0.0, 0.03)), 2) for z in (5.0, 10.0)]
    [0.48, 0.16]

    References
    ----------
    .. [1] M. Perera, Shelter behind two-dimensional solid and porous fences, J. Wind Eng. 8 (1981), 93-104; read in a
       published program. It gives the loss over the wind at the obstacle's height; the last factor, that wind over the
       wind at the height asked for, is from memory of the European Wind Atlas.
    """
    H = np.asarray(H)
    refuse_if(too_near(x, z, H), "nearer than five heights, and lower than two, the shape of the obstacle decides")
    refuse_if(np.less(H, 10.0 * np.asarray(z0)), "an obstacle lower than ten roughness lengths is part of the ground")
    K = 2.0 * KARMAN**2 / np.log(H / z0)
    eta = z / H * (K * x / H) ** (-1.0 / (EXPONENT + 2.0))
    lost = 9.75 * (1.0 - porosity) * H / x * eta * np.exp(-0.67 * eta**1.5) * (z / H) ** (-EXPONENT)
    return cast(Num, np.minimum(lost, 1.0))
