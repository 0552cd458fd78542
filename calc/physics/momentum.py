r"""Momentum theory of a ring of the rotor: how far it holds up the air, and what its ends lose.

References
----------
.. [1] M. L. Buhl, New empirical relationship between thrust coefficient and induction factor for the
   turbulent windmill state, NREL/TP-500-36834, 2005.
"""

from __future__ import annotations

import numpy as np

from calc.physics.arrays import Array


def blocking(s: Array, push: Array, F: Array) -> Array:
    r"""How far a ring of the rotor holds up the air: momentum theory up to a = 0.4, Buhl's relation above.

    .. math:: \frac{\sin^2\phi}{1 - a} = \begin{cases}
              \sin^2\phi + \sigma c_n / 4F & a \le 0.4 \\
              \sin^2\phi\,(5/3 - F) + \sin\phi \sqrt{\sin^2\phi\,(F^2 - 4F/3) + \sigma c_n / 2} & a > 0.4
              \end{cases}

    Parameters
    ----------
    s : array, shape (...,)
        Sine of the inflow angle.
    push : array, shape (...,)
        Solidity times the force coefficient along the shaft.
    F : array, shape (...,)
        Loss factor.

    Returns
    -------
    blocking : array, shape (...,)
        The square of the sine over what is left of the wind's speed at the rotor.

    Examples
    --------
    Square to the wind, sigma c_n = 3.2 and no loss, the rotor takes off 0.442 of the wind's speed:

    >>> 1 - 1 / float(blocking(np.array(1.0), np.array(3.2), np.array(1.0)))
    0.442005
    """
    s2 = s * s
    # The square root is only used where its argument is at least F^2 s^2.
    heavy = s2 * (5 / 3 - F) + s * np.sqrt(np.maximum(s2 * F * (F - 4 / 3) + push / 2, 0.0))
    return np.where(push > (8 / 3) * F * s2, heavy, s2 + push / (4 * F))


def prandtl(f: Array) -> Array:
    r"""Prandtl's loss factor.

    .. math:: F = \frac{2}{\pi} \arccos e^{-f}, \quad f = \frac{B}{2} \frac{R - r}{r \sin\phi}

    Parameters
    ----------
    f : array, shape (...,)
        Distance from the end of the blade over the spacing of the wake's sheets; infinite for no loss.

    Returns
    -------
    F : array, shape (...,)
        1 far from the end, 0 at the end.

    Examples
    --------
    Three blades, r/R = 0.9, phi = 6 deg:

    >>> float(prandtl(3 / 2 * (1 - 0.9) / (0.9 * np.sin(np.radians(6.0)))))
    0.8699
    """
    return np.asarray((2 / np.pi) * np.arccos(np.exp(-f)))
