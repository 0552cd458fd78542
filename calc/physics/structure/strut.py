"""Struts: how much a tube carries along its axis before it buckles, alone and together with bending."""

from __future__ import annotations

import math

import numpy as np

from calc.units import Num

#: Imperfection factor by how a tube was made: curves a and c of EN 1993-1-1, Table 6.1; read in reproductions.
IMPERFECTION = {"hot finished": 0.21, "cold formed": 0.49}
#: Slenderness up to which a strut does not buckle. EN 1993-1-1, 6.3.1.2, from memory.
STOCKY = 0.2


def euler_load(E: Num, I: Num, L: Num) -> Num:
    r"""Load at which a straight elastic strut buckles.

    .. math:: N_{cr} = \pi^2 E I / L^2

    Parameters
    ----------
    E : float or array, shape (...,)
        Modulus of elasticity. [Pa]
    I : float or array, shape (...,)
        Second moment of area. [m4]
    L : float or array, shape (...,)
        Buckling length: of the half wave, twice the length of a strut that is held at its foot only. [m]

    Returns
    -------
    N_cr : float or array, shape (...,)
        Load. [N]

    Examples
    --------
    Scaffold tube 48.3 x 4.0 (13.8 cm4), 3 m, hinged at both ends; worked by hand 31.7 kN:

    >>> float(euler_load(210e9, 13.8e-8, 3.0) / 1e3)
    31.8
    """
    return math.pi**2 * E * I / np.square(L)


def slenderness(N_pl: Num, N_cr: Num) -> Num:
    """Slenderness: square root of the load that squashes [N] over that which buckles [N]."""
    return np.sqrt(N_pl / np.asarray(N_cr, dtype=float))


def reduction(lam: Num, alpha: Num) -> Num:
    r"""Share of what squashes it that a real strut carries, by the European buckling curves.

    .. math:: \Phi = \tfrac12 (1 + \alpha (\lambda - 0.2) + \lambda^2), \quad
              \chi = 1 / (\Phi + \sqrt{\Phi^2 - \lambda^2}) \le 1

    Parameters
    ----------
    lam : float or array, shape (...,)
        Slenderness. []
    alpha : float or array, shape (...,)
        Imperfection factor, see :data:`IMPERFECTION`. []

    Returns
    -------
    chi : float or array, shape (...,)
        Share. []

    Examples
    --------
    A worked example prints Phi 1.4694 for a slenderness of 1.203 and 0.49, which is 0.4323:

    >>> float(reduction(1.203, 0.49))
    0.4323

    References
    ----------
    .. [1] EN 1993-1-1, 6.3.1.2, read in a reproduction.
    """
    lam = np.asarray(lam, dtype=float)
    phi = 0.5 * (1.0 + alpha * (lam - STOCKY) + lam**2)
    chi = 1.0 / (phi + np.sqrt(np.maximum(phi**2 - lam**2, 0.0)))
    return np.where(lam <= STOCKY, 1.0, np.minimum(chi, 1.0))


def safe_load(A: Num, I: Num, fy: Num, E: Num, L: Num, alpha: Num, factor: Num) -> Num:
    """Load that a strut carries with a factor of reserve, in [N].

    Parameters
    ----------
    A, I : float or array, shape (...,)
        Area [m2] and second moment of area [m4].
    fy, E : float or array, shape (...,)
        Yield strength and modulus of elasticity. [Pa]
    L : float or array, shape (...,)
        Buckling length. [m]
    alpha, factor : float or array, shape (...,)
        Imperfection factor; load and material factor together. []

    Examples
    --------
    Scaffold tube 48.3 x 4.0 of 3 m, cold formed, with the 1.65 of the scaffolders' guide, which prints 15.2 kN:

    >>> float(safe_load(5.567e-4, 13.77e-8, 235e6, 210e9, 3.0, 0.49, 1.65) / 1e3)
    15.1
    """
    N_pl = A * fy
    return reduction(slenderness(N_pl, euler_load(E, I, L)), alpha) * N_pl / factor


def reserve(N: Num, M: Num, N_pl: Num, N_cr: Num, M_el: Num, alpha: Num) -> Num:
    r"""How many times all loads of a tube that is pressed and bent could grow before it fails.

    .. math:: \frac{\eta N}{\chi N_{pl}} + \frac{\eta M}{(1 - \eta N / N_{cr}) M_{el}} = 1

    Parameters
    ----------
    N : float or array, shape (...,)
        Load along the axis. [N]
    M : float or array, shape (...,)
        Bending moment, without what the load along the axis adds as the tube bends. [N m]
    N_pl, N_cr : float or array, shape (...,)
        Loads that squash it, and at which it buckles as if perfect. [N]
    M_el : float or array, shape (...,)
        Moment at which it gives way by bending alone. [N m]
    alpha : float or array, shape (...,)
        Imperfection factor. []

    Returns
    -------
    eta : float or array, shape (...,)
        Reserve; infinite without load. []

    Notes
    -----
    The simple engineering form, in which bending grows as the load nears the buckling load; it is on the careful side
    of EN 1993-1-1, 6.3.3, which lets it grow less. From memory. Solved as the lesser root of
    :math:`a c\, \eta^2 - (a + b + c)\, \eta + 1 = 0`, with :math:`a = N / (\chi N_{pl})`, :math:`b = M / M_{el}` and
    :math:`c = N / N_{cr}`.

    Examples
    --------
    >>> float(reserve(5e3, 1.2e3, 202.5e3, 102.6e3, 4.188e3, 0.49))
    2.515
    """
    a = N / (reduction(slenderness(N_pl, N_cr), alpha) * N_pl)
    b, c = M / np.asarray(M_el, dtype=float), N / np.asarray(N_cr, dtype=float)
    s = a + b + c
    root = s + np.sqrt(np.maximum(s**2 - 4.0 * a * c, 0.0))
    return np.where(root > 0, 2.0 / np.where(root > 0, root, 1.0), np.inf)
