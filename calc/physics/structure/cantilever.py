"""Arms and plates held at one end: what bends them, how far they give way, and how they swing."""

from __future__ import annotations

import math

import numpy as np

from calc.physics.arrays import refuse_if
from calc.physics.blade.shape import plain_number
from calc.units import Num

#: Share of its own mass with which an arm swings beside a mass at its end, and of the first shape of a plain one.
OWN_SHARE, PLAIN = 33.0 / 140.0, 3.516


def plate_stress(p: Num, c: Num, t: Num) -> Num:
    r"""Bending stress at the held edge of a plate that stands off it, under an even pressure.

    .. math:: \sigma = \frac{p c^2 / 2}{t^2 / 6} = 3 p \left(\frac{c}{t}\right)^2

    Parameters
    ----------
    p : float or array, shape (...,)
        Pressure. [Pa]
    c, t : float or array, shape (...,)
        How far it stands off, and how thick it is. [m]

    Returns
    -------
    S : float or array, shape (...,)
        Stress. [Pa]

    Raises
    ------
    ValueError
        If the plate has no thickness.

    Examples
    --------
    A kilopascal on 6 mm that stands off by 300 mm:

    >>> round(float(plate_stress(1000.0, 0.3, 0.006)) / 1e6, 2)
    7.5
    """
    refuse_if(np.less_equal(t, 0), "a plate must have some thickness")
    return 3.0 * p * np.square(np.asarray(c) / t)


def plate_frequency(E: Num, rho: Num, t: Num, c: Num) -> Num:
    r"""First natural frequency of the same plate, as a strip of it swings, in [Hz].

    .. math:: f = \frac{3.516}{2\pi} \sqrt{\frac{E t^2}{12 \rho c^4}}

    Parameters
    ----------
    E, rho : float or array, shape (...,)
        Modulus of elasticity [Pa], and density [kg/m3].
    t, c : float or array, shape (...,)
        Thickness, and how far it stands off. [m]

    Examples
    --------
    2 mm of aluminium that stands off by 300 mm:

    >>> round(plate_frequency(70e9, 2700.0, 0.002, 0.3), 1)
    18.3
    """
    refuse_if(np.less_equal(t, 0), "a plate must have some thickness")
    return plain_number(PLAIN / (2.0 * math.pi) * np.sqrt(E * np.square(t) / (12.0 * rho)) / np.square(c))


def arm_frequency(EI: Num, L: Num, m: Num, own: Num = 0.0) -> Num:
    r"""First natural frequency of an arm with a mass at its end, in [Hz].

    .. math:: f = \frac{1}{2\pi} \sqrt{\frac{3 E I}{L^3 (m + \frac{33}{140} m_\mathrm{own})}}

    Parameters
    ----------
    EI : float or array, shape (...,)
        Stiffness against bending. [N m2]
    L : float or array, shape (...,)
        Length. [m]
    m, own : float or array, shape (...,)
        Mass at the end, and of the arm itself. [kg]

    Notes
    -----
    Rayleigh's quotient with the shape that a force at the end gives: never lower than the true one, by 1.5 % at most.

    Examples
    --------
    >>> round(arm_frequency(1000.0, 1.0, 3.0), 2)
    5.03
    """
    return plain_number(np.sqrt(3.0 * EI / (np.asarray(L) ** 3 * (m + OWN_SHARE * own))) / (2.0 * math.pi))


def stopped_moment(U: Num, EI: Num, L: Num) -> Num:
    r"""Bending moment at the root of an arm that is stopped there while it swings with an energy, its mass at the end.

    .. math:: U = \frac{M^2 L}{6 E I} \quad\Rightarrow\quad M = \sqrt{6 U E I / L}

    Parameters
    ----------
    U : float or array, shape (...,)
        Energy of its motion. [J]
    EI, L : float or array, shape (...,)
        Stiffness [N m2] and length [m].

    Notes
    -----
    All of the energy goes into bending the arm, nothing into the stop.

    Examples
    --------
    >>> round(stopped_moment(10.0, 1000.0, 1.2), 1)
    223.6
    """
    return plain_number(np.sqrt(6.0 * np.maximum(U, 0.0) * EI / L))
