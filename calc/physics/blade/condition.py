"""What sun, heat, cold, age, moisture, grain and knots leave of a blade's strength."""

from __future__ import annotations

import numpy as np

from calc.physics.arrays import refuse_if
from calc.physics.blade.shape import plain_number
from calc.units import Num

#: How much warmer than the air pipe gets in the sun: light, grey or brown, and dark pipe; dark 20 to 30 K, the others
#: weaker; from memory. [K]
SUN_WARMS = (10.0, 20.0, 30.0)
#: How much of that is left while the blade turns and the air rushes past; own estimate, no source.
WHILE_TURNING = 0.25
#: Highest temperature at which PVC-U may be used: 140 degF, plastics supplier's table. [K]
PVC_HOTTEST = 333.15
#: Temperature below which PVC-U is known to be brittle; no number was found, this is from memory. [K]
PVC_BRITTLE = 273.15
#: Years of bare sun after which PVC-U is taken to be brittle though as strong as before: tests lasted two.
PVC_SUN_YEARS = 2.0
#: Slope of the grain (rise over run) and share of the bending strength left: Wood Handbook; from memory.
GRAIN = ((0.0, 1.0), (1 / 25, 0.96), (1 / 20, 0.93), (1 / 15, 0.89), (1 / 10, 0.81), (1 / 5, 0.55))
#: Bending strength of green wood as a share of that at 12 %, and moisture from which nothing more is lost; from memory
#: (compression of white oak: 3560 to 7440 psi, 0.48, in a reproduction of the Wood Handbook).
GREEN, GREEN_FROM = 0.6, 0.25
#: What knots leave of the strength: none, small ones further out, and any near the root; common practice, no source.
KNOTS = (1.0, 0.8, 0.5)


def grain_share(slope: Num) -> Num:
    """Share of the bending strength that wood keeps where its grain runs out at a slope.

    Parameters
    ----------
    slope : float or array, shape (...,)
        Rise over run: 0.1 is one in ten.

    Raises
    ------
    ValueError
        Beyond one in five, where the table ends.

    Examples
    --------
    >>> grain_share(0.1)
    0.81
    """
    refuse_if(np.less(slope, 0) | np.greater(slope, GRAIN[-1][0] + 1e-9), "the table of sloping grain ends at 1 in 5")
    return plain_number(np.interp(slope, [at for at, _ in GRAIN], [share for _, share in GRAIN]))


def moisture_share(u: Num) -> Num:
    r"""Bending strength of wood at a moisture against that at 12 %, :math:`g^{(u - 0.12)/(0.25 - 0.12)}`, at most 1.

    Parameters
    ----------
    u : float or array, shape (...,)
        Water by mass of dry wood.

    Examples
    --------
    >>> moisture_share(0.12), round(moisture_share(0.25), 3), moisture_share(0.4)
    (1.0, 0.6, 0.6)

    References
    ----------
    .. [1] Wood Handbook, exponential between 12 % and green wood; from memory. Drier wood's gain is not counted.
    """
    refuse_if(np.less(u, 0), "moisture cannot be negative")
    return plain_number(np.power(GREEN, np.clip((np.asarray(u) - 0.12) / (GREEN_FROM - 0.12), 0.0, 1.0)))
