"""How loud a rotor is, and how loud it still is at a distance."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.physics.arrays import refuse_if
from calc.units import Num

#: What air swallows on the way, over all frequencies of such sound. [dB/m]
ABSORPTION = 0.005
#: Distance up to which the propagation holds. [m]
FARTHEST = 1000.0
#: How much louder than the relation small rotors with blunt edges, cut by hand, may well be. Own estimate. [dB]
ROUGH_EDGES = 6.0


def sound_power(v_tip: Num, D: Num) -> Num:
    r"""A-weighted sound power level of a rotor from its tip speed and diameter.

    .. math:: L_{WA} = 50 \lg v_{tip} + 10 \lg D - 4

    Parameters
    ----------
    v_tip : float or array, shape (...,)
        Speed of the tips. [m/s]
    D : float or array, shape (...,)
        Diameter. [m]

    Returns
    -------
    L_WA : float or array, shape (...,)
        Sound power level. [dB(A) re 1 pW]

    Raises
    ------
    ValueError
        If a speed or a diameter is not positive.

    Notes
    -----
    Fitted to machines much larger than those here, of 10 to 50 m and tips of 40 to 80 m/s; it scatters by 3 dB or so.
    Blunt or rough edges, and a blade that stalls, are louder. Noise of generator, gears and mast is not in it.

    Examples
    --------
    A rotor of 2 m with tips at 40 m/s, and at twice that, 15 dB louder:

    >>> round(float(sound_power(40.0, 2.0)), 1), round(float(sound_power(80.0, 2.0)), 1)
    (79.1, 94.2)

    References
    ----------
    .. [1] F. Hagg, 1990, as given in J. Manwell et al., Wind Energy Explained, section on noise; from memory.
    """
    refuse_if(np.less_equal(v_tip, 0) | np.less_equal(D, 0), "tip speed and diameter must be positive")
    return cast(Num, 50.0 * np.log10(v_tip) + 10.0 * np.log10(D) - 4.0)


def sound_pressure(L_W: Num, r: Num) -> Num:
    r"""Sound pressure level at a distance over hard, open ground: half a sphere, and what the air swallows.

    .. math:: L_p = L_W - 10 \lg (2 \pi r^2) - 0.005 r

    Parameters
    ----------
    L_W : float or array, shape (...,)
        Sound power level. [dB(A) re 1 pW]
    r : float or array, shape (...,)
        Straight distance from the rotor's centre. [m]

    Returns
    -------
    L_p : float or array, shape (...,)
        Sound pressure level. [dB(A) re 20 uPa]

    Raises
    ------
    ValueError
        Nearer than 1 m or beyond :data:`FARTHEST`.

    Notes
    -----
    Downwind, without anything between. The guideline rounds :math:`10 \lg 2 \pi = 7.98` to 8.

    Examples
    --------
    100 dB(A) at 400 m:

    >>> round(float(sound_pressure(100.0, 400.0)), 1)
    38.0

    References
    ----------
    .. [1] Swedish guideline for noise of wind power, as written out by a maker of noise software:
       LpA = LWA - 8 - 20 lg r - 0.005 r up to 1000 m over land.
    """
    refuse_if(np.less(r, 1.0) | np.greater(r, FARTHEST), f"the relation holds from 1 m to {FARTHEST:g} m")
    return cast(Num, L_W - 10.0 * np.log10(2.0 * np.pi * np.square(r)) - ABSORPTION * np.asarray(r))


def distance_for(L_W: float, L_p: float) -> float:
    """Distance at which a sound power level [dB(A)] has fallen to a pressure level [dB(A)], in [m].

    Found by halving; :data:`FARTHEST` where it is louder even there, 1 m where it is never so loud.

    Examples
    --------
    >>> round(distance_for(100.0, sound_pressure(100.0, 400.0)))
    400
    """
    low, high = 1.0, FARTHEST
    for _ in range(60):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if float(sound_pressure(L_W, middle)) > L_p else (low, middle)
    return high
