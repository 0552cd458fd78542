"""Round hollow sections: what they weigh, and what their sections bear."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import refuse_if
from calc.units import Num

#: Mass of steel [kg/m3], and how it stretches [Pa]; EN 1993-1-1, 3.2.6, read in a reproduction.
STEEL, STEEL_E = 7850.0, 210e9


@dataclass(frozen=True, slots=True)
class Tube:
    """A round hollow section. Every array has shape (...,).

    Parameters
    ----------
    D, t : float or array
        Outside diameter and wall. [m]
    A : float or array
        Area of the steel. [m2]
    I : float or array
        Second moment of area. [m4]
    W_el, W_pl : float or array
        Elastic and plastic section modulus. [m3]
    """

    D: Num
    t: Num
    A: Num
    I: Num
    W_el: Num
    W_pl: Num

    @property
    def radius(self) -> Num:
        """Radius of gyration, in [m]."""
        return np.sqrt(self.I / self.A)

    def bends(self, fy: Num) -> Num:
        r"""Modulus against bending that a steel of a yield strength [Pa] can make use of, in [m3].

        Tubes of classes 1 and 2, whose diameter is at most 70 times their wall for 235 MPa, yield all through before
        they dent; thinner ones dent once their edge yields. EN 1993-1-1, Table 5.2, from memory.
        """
        return np.where(self.D / self.t <= 70.0 * 235e6 / np.asarray(fy), self.W_pl, self.W_el)

    def mass(self, rho: Num = STEEL) -> Num:
        """Mass per length of a material of so much density [kg/m3], in [kg/m]."""
        return rho * self.A


def round_tube(D: Num, t: Num) -> Tube:
    r"""Section values of a round tube.

    .. math:: I = \frac{\pi}{64} (D^4 - d^4), \quad W_{el} = 2 I / D, \quad W_{pl} = (D^3 - d^3) / 6

    Parameters
    ----------
    D : float or array, shape (...,)
        Outside diameter. [m]
    t : float or array, shape (...,)
        Wall. [m]

    Returns
    -------
    tube : Tube

    Raises
    ------
    ValueError
        If the wall does not fit into the tube.

    Examples
    --------
    60.3 x 3.0: 5.40 cm2, 22.2 cm4, 7.37 and 9.86 cm3, 4.24 kg/m (table of cold formed sections):

    >>> tube = round_tube(0.0603, 0.0030)
    >>> [float(v) for v in (tube.A * 1e4, tube.I * 1e8, tube.W_el * 1e6, tube.W_pl * 1e6, tube.mass())]
    [5.40, 22.2, 7.37, 9.86, 4.24]
    """
    D, t = np.asarray(D, dtype=float), np.asarray(t, dtype=float)
    refuse_if((t <= 0) | (2.0 * t > D), "the wall must fit into the tube")
    d = D - 2.0 * t
    second = math.pi / 64.0 * (D**4 - d**4)
    return Tube(D, t, math.pi / 4.0 * (D**2 - d**2), second, 2.0 * second / D, (D**3 - d**3) / 6.0)


#: Depth of the thread cut into a tube, by its outside diameter up to so much [m]; ISO 7-1, from memory: 0.640 of the
#: pitch, which is 1/14 in up to a half-inch tube and 1/11 in above.
_THREADS = ((0.0225, 0.6403 * 0.0254 / 14.0), (math.inf, 0.6403 * 0.0254 / 11.0))


def thread_depth(D: Num) -> Num:
    """Depth to which a pipe thread is cut into a tube of an outside diameter [m], in [m].

    Examples
    --------
    >>> float(thread_depth(0.0603) * 1e3)
    1.479
    """
    return np.select([np.asarray(D) <= most for most, _ in _THREADS], [depth for _, depth in _THREADS])
