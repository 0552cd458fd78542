"""Fatigue by one straight line of stress against cycles, and the linear sum of damage; both with their doubt."""

from __future__ import annotations

import numpy as np

from calc.physics.arrays import refuse_if
from calc.physics.blade.shape import plain_number
from calc.units import Num


def equal_amplitude(S_a: Num, S_m: Num, S_u: Num) -> Num:
    r"""Amplitude about nought that wears as much as one about a mean, :math:`S_a / (1 - S_m / S_u)`, in [Pa].

    Parameters
    ----------
    S_a, S_m, S_u : float or array, shape (...,)
        Amplitude, mean, and strength. [Pa]

    Returns
    -------
    S : float or array, shape (...,)
        Infinite where the mean reaches the strength.

    Examples
    --------
    >>> equal_amplitude(5e6, 10e6, 50e6)
    6250000.0

    References
    ----------
    .. [1] Goodman's line; from memory.
    """
    left = 1.0 - np.asarray(S_m) / S_u
    return plain_number(np.where(left > 0, S_a / np.where(left > 0, left, 1.0), np.inf))


def cycles_to_failure(S: Num, S_u: Num, m: Num) -> Num:
    r"""Cycles that a material bears, :math:`N = (S_u / S)^m`.

    Parameters
    ----------
    S, S_u : float or array, shape (...,)
        Amplitude about nought, and strength. [Pa]
    m : float or array, shape (...,)
        Slope of the line.

    Examples
    --------
    >>> cycles_to_failure(5e6, 50e6, 7.0)
    10000000.0

    Notes
    -----
    The line goes through the strength at one cycle. A sum of damages along it does not foretell tests of glass-fibre
    under mixed loads well (Sutherland and Mandell, 2004): life is known within a factor of some tens, no better.
    """
    refuse_if(np.less_equal(m, 0) | np.less_equal(S_u, 0), "slope and strength must be greater than zero")
    # What would take longer than 10^300 turns never comes; an infinite stress breaks at once.
    ratio = np.maximum(np.asarray(S_u) / np.maximum(np.asarray(S, dtype=float), 1e-30), 1e-30)
    return plain_number(np.power(10.0, np.minimum(np.asarray(m) * np.log10(ratio), 300.0)))


def life_stress(N: Num, S_u: Num, m: Num) -> Num:
    """Amplitude that a material bears for so many cycles, in [Pa]; :func:`cycles_to_failure` turned round.

    Examples
    --------
    >>> round(life_stress(1e7, 50e6, 7.0))
    5000000
    """
    return plain_number(S_u * np.power(N, -1.0 / np.asarray(m)))
