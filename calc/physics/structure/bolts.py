"""Bolts: what they bear in shear and tension, and what the part around them bears."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import refuse_if
from calc.physics.blade.shape import plain_number
from calc.units import Num

#: Pitch of the coarse thread by nominal diameter. [m] ISO 261, from memory.
PITCHES = {
    0.003: 0.5e-3, 0.004: 0.7e-3, 0.005: 0.8e-3, 0.006: 1.0e-3, 0.008: 1.25e-3, 0.010: 1.5e-3, 0.012: 1.75e-3,
    0.014: 2.0e-3, 0.016: 2.0e-3, 0.018: 2.5e-3, 0.020: 2.5e-3, 0.022: 2.5e-3, 0.024: 3.0e-3, 0.027: 3.0e-3,
    0.030: 3.5e-3,
}  # fmt: skip
#: Partial factor of EN 1993-1-8 for bolts and what they bear on.
GAMMA_M2 = 1.25


@dataclass(frozen=True, slots=True)
class BoltClass:
    """Strength of a class of bolts [Pa], and the share of it in shear with the thread in the plane."""

    f_u: float
    shear: float


#: EN 1993-1-8, Table 3.4, read in reproductions; which class has 0.5 from memory.
CLASSES = {
    "4.6": BoltClass(400e6, 0.6), "4.8": BoltClass(400e6, 0.5), "5.6": BoltClass(500e6, 0.6),
    "5.8": BoltClass(500e6, 0.5), "8.8": BoltClass(800e6, 0.6), "10.9": BoltClass(1000e6, 0.5),
    "A2-70": BoltClass(700e6, 0.5),
}  # fmt: skip


def stress_area(d: Num) -> Num:
    r"""Area of a thread that bears, :math:`(\pi/4)(d - 0.9382 p)^2`, in [m2].

    Parameters
    ----------
    d : float or array, shape (...,)
        Nominal diameter; between two sizes of the table the pitch is taken between theirs. [m]

    Examples
    --------
    >>> round(stress_area(0.012) * 1e6, 1)
    84.3
    """
    refuse_if(np.less_equal(d, 0), "a bolt must have some thickness")
    p = np.interp(d, list(PITCHES), list(PITCHES.values()))
    return plain_number(np.pi / 4.0 * np.square(np.asarray(d) - 0.9382 * p))


def shear_strength(d: Num, name: str) -> Num:
    """What one bolt bears in shear in one plane, thread in the plane, in [N].

    Examples
    --------
    >>> round(shear_strength(0.012, "4.6") / 1e3, 1)
    16.2

    References
    ----------
    .. [1] EN 1993-1-8, Table 3.4, read in reproductions.
    """
    of = CLASSES[name]
    return of.shear * of.f_u * stress_area(d) / GAMMA_M2


def tension_strength(d: Num, name: str) -> Num:
    """What one bolt bears in tension, in [N].

    Examples
    --------
    >>> round(tension_strength(0.012, "4.6") / 1e3, 1)
    24.3

    References
    ----------
    .. [1] EN 1993-1-8, Table 3.4, read in reproductions.
    """
    return 0.9 * CLASSES[name].f_u * stress_area(d) / GAMMA_M2


def bearing_strength(
    d: Num, d_0: Num, e_1: Num, e_2: Num, t: Num, f_u: Num, f_ub: Num, p_1: Num = np.inf, p_2: Num = np.inf
) -> Num:
    r"""What a metal part bears around one bolt, :math:`k_1 \alpha_b f_u d t / 1.25`, in [N].

    Parameters
    ----------
    d, d_0 : float or array, shape (...,)
        Bolt and hole. [m]
    e_1, e_2 : float or array, shape (...,)
        From the middle of the hole to the end, along the force, and to the edge. [m]
    t, f_u, f_ub : float or array, shape (...,)
        Thickness of the part [m], strength of the part and of the bolt [Pa].
    p_1, p_2 : float or array, shape (...,)
        From bolt to bolt along and across the force; none if left out. [m]

    Examples
    --------
    M12 4.6 in 5 mm of S355 (470 MPa): 30.3 kN printed.

    >>> round(bearing_strength(0.012, 0.014, 0.025, 0.020, 0.005, 470e6, 400e6, 0.035, 0.040) / 1e3, 1)
    30.3

    References
    ----------
    .. [1] EN 1993-1-8, Table 3.4, read in reproductions.
    """
    least = np.minimum(np.minimum(e_1 / (3.0 * d_0), p_1 / (3.0 * d_0) - 0.25), np.minimum(f_ub / f_u, 1.0))
    k_1 = np.minimum(np.minimum(2.8 * e_2 / d_0 - 1.7, 1.4 * p_2 / d_0 - 1.7), 2.5)
    return plain_number(np.maximum(k_1, 0.0) * np.maximum(least, 0.0) * f_u * d * t / GAMMA_M2)


def timber_bearing(d: Num, rho_k: Num) -> Num:
    r"""Stress under a bolt along the grain at which timber gives, :math:`0.082 (1 - 0.01 d) \rho_k`, in [Pa].

    Examples
    --------
    M10 in C24:

    >>> round(timber_bearing(0.010, 350.0) / 1e6, 2)
    25.83

    References
    ----------
    .. [1] EN 1995-1-1, eq. 8.32; from memory.
    """
    return 0.082e6 * (1.0 - 10.0 * d) * rho_k


def tear_out(e_1: Num, d: Num, t: Num, tau: Num) -> Num:
    """Force at which one bolt tears a plug out of the end: two planes of shear, ``2 (e_1 - d/2) t tau``, in [N].

    Examples
    --------
    >>> round(tear_out(0.024, 0.008, 0.006, 30e6))
    7200
    """
    return plain_number(2.0 * np.maximum(np.asarray(e_1) - np.asarray(d) / 2.0, 0.0) * t * tau)
