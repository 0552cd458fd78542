"""A lattice mast in the wind: drag on its members by how much of a face they fill, and what presses its legs.

Masts are of three or four legs, all faces alike; the reference area is that of the members of one face.
"""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from calc.physics.arrays import refuse_if
from calc.units import Num

#: Most of a face that its members may fill for the drag to hold. Own choice, within 0 to 1 of the standard.
MOST_SOLID = 0.8


def face_drag(phi: Num, legs: Num, *, rounded: bool) -> Num:
    r"""Force coefficient of a lattice mast, wind square to a face, on the area of the members of that face.

    .. math:: c_{flat} = 1.76\, C_1 (1 - C_2 \varphi + \varphi^2), \quad
              c_{round} = C_1 (1 - C_2 \varphi) + (C_1 + 0.875) \varphi^2

    Parameters
    ----------
    phi : float or array, shape (...,)
        Solidity: area of the members of a face over the area of the face. []
    legs : float or array, shape (...,)
        3 or 4 legs.
    rounded : bool
        Whether the members are tubes and bars, in slow flow; else angles and flats.

    Returns
    -------
    c_f : float or array, shape (...,)
        Coefficient of the whole mast, lee faces included. []

    Raises
    ------
    ValueError
        If the solidity is not between 0 and 0.8.

    Notes
    -----
    With C1, C2 of 2.25 and 1.5 for four legs, 1.9 and 1.4 for three. The formulas of ASCE 7 and of ANSI/TIA-222, from
    memory, agree within a tenth.

    Examples
    --------
    >>> float(face_drag(0.2, 4.0, rounded=False)), float(face_drag(0.2, 3.0, rounded=True))
    (2.9304, 1.479)

    References
    ----------
    .. [1] EN 1993-3-1, B.2.2.2: round members read in a public program, flat ones from memory.
    """
    phi = np.asarray(phi, dtype=float)
    refuse_if(
        (phi <= 0) | (phi > MOST_SOLID), f"a lattice mast fills more than none and up to {MOST_SOLID:g} of a face"
    )
    C_1, C_2 = (np.where(np.greater(legs, 3.5), *ends) for ends in ((2.25, 1.9), (1.5, 1.4)))
    if rounded:
        return C_1 * (1.0 - C_2 * phi) + (C_1 + 0.875) * phi**2
    return 1.76 * C_1 * (1.0 - C_2 * phi + phi**2)


def cornerwise(phi: Num, legs: Num, *, rounded: bool) -> Num:
    """How many times as much wind a mast of four legs catches over a corner; 1 with three, which catch no more so.

    ``1 + K1 K2``, K1 of 0.8 for round members and 0.55 for flat ones, K2 the solidity, but 0.2 where it is less and
    what is left of 1 where it is more than a half.

    Examples
    --------
    >>> float(cornerwise(0.3, 4.0, rounded=True)), float(cornerwise(0.3, 3.0, rounded=True))
    (1.24, 1.0)

    References
    ----------
    .. [1] EN 1993-3-1, B.2.2.3; from memory.
    """
    phi = np.asarray(phi, dtype=float)
    more = (0.8 if rounded else 0.55) * np.clip(np.minimum(phi, 1.0 - phi), 0.2, 0.5)
    return np.where(np.greater(legs, 3.5), 1.0 + more, 1.0)


def solidity(b: Num, leg: Num, brace: Num, panel: Num) -> Num:
    """Share of a face that two legs, one diagonal and one cross bar of each panel fill.

    Parameters
    ----------
    b, panel : float or array, shape (...,)
        Width of the face, and height between two cross bars. [m]
    leg, brace : float or array, shape (...,)
        Diameters of legs and of braces. [m]

    Examples
    --------
    >>> round(float(solidity(0.3, 0.03, 0.01, 0.4)), 4)
    0.2667
    """
    return (2.0 * leg * panel + brace * (np.hypot(b, panel) + b)) / (b * panel)


def leg_load(M: Num, N: Num, b: Num, legs: Num) -> Num:
    r"""Greatest load along a leg, whichever way the wind blows.

    .. math:: F = \frac{M}{b \cos 30°} + \frac{N}{3}, \quad F = \frac{M}{\sqrt 2\, b} + \frac{N}{4}

    Parameters
    ----------
    M, N : float or array, shape (...,)
        Bending moment [N m] and load along the mast [N] there.
    b : float or array, shape (...,)
        Width of a face, between the middles of its legs. [m]
    legs : float or array, shape (...,)
        3 or 4 legs.

    Notes
    -----
    One leg takes all: wind over a corner. Statics of legs that are pinned; their own bending is left out.

    Examples
    --------
    >>> float(leg_load(1000.0, 300.0, 0.5, 3.0)), float(leg_load(1000.0, 300.0, 0.5, 4.0))
    (2409.4, 1489.2)
    """
    four = np.greater(legs, 3.5)
    lever = np.where(four, math.sqrt(2.0), math.cos(math.pi / 6.0)) * b
    return cast(Num, M / lever + N / np.where(four, 4.0, 3.0))
