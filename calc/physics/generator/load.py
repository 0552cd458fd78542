"""Torque of the generator under load, what commutation leaves of its voltage, and its drag."""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from calc.units import Num

#: Drag taken when none was measured: friction and cogging over the motor constant k/sqrt(R) [N m/sqrt(W)], and
#: eddy drag over the damping k^2/R of the shorted winding. Own estimate, see assumed_drag.
ASSUMED_FRICTION, ASSUMED_COGGING, ASSUMED_EDDY = 0.1, 0.05, 0.001


def short_circuit_current(k: Num, L: Num, p: Num) -> Num:
    r"""Direct current behind a shorted six-pulse bridge, which no speed exceeds.

    .. math:: I_s = \pi k / (3 \sqrt{3}\, p L)

    Parameters
    ----------
    k : float or array, shape (...,)
        Mean voltage behind the rectifier per speed. [V s/rad]
    L : float or array, shape (...,)
        Inductance of one phase. [H]
    p : float or array, shape (...,)
        Pole pairs.

    Returns
    -------
    I_s : float or array, shape (...,)
        Current; infinite where there is no inductance. [A]

    Notes
    -----
    It is the peak of the phase current with all leads shorted, resistance left out.

    Examples
    --------
    >>> float(short_circuit_current(1.273, 0.2e-3, 23))
    167.3
    """
    X = np.multiply(p, L)
    with np.errstate(divide="ignore"):
        return cast(Num, math.pi * k / (3.0 * math.sqrt(3.0)) / X)


def commutation_share(u: Num) -> Num:
    r"""Share of the rectified voltage left when inductance delays the change from diode to diode.

    .. math::
        f = \begin{cases}
        1 - u/\sqrt{3} & u \le \sqrt{3}/4 \\
        \sqrt{3/4 - u^2} & u \le 3/4 \\
        \sqrt{3}\,(1 - u) & u \le 1
        \end{cases}

    Parameters
    ----------
    u : float or array, shape (...,)
        Direct current over :func:`short_circuit_current`.

    Returns
    -------
    f : float or array, shape (...,)
        Voltage over that without current.

    Raises
    ------
    ValueError
        If ``u`` lies outside 0 to 1.

    Notes
    -----
    Six-pulse bridge, smooth direct current, sinusoidal voltage, no resistance. The first line is the familiar
    drop of three times electrical speed, inductance and current over pi. The drop takes no power: the
    torque falls with the voltage.

    Examples
    --------
    >>> commutation_share(0.2), commutation_share(0.6), commutation_share(0.9)
    (0.88453, 0.6245, 0.1732)

    References
    ----------
    .. [1] IEEE 421.5, rectifier regulation characteristic; read in the open-source library Dynawo,
       RectifierRegulationCharacteristic.
    """
    if np.any(np.less(u, 0) | np.greater(u, 1)):
        raise ValueError("the current must lie between nothing and the short-circuit current")
    flat = np.atleast_1d(np.asarray(u, dtype=float))
    f = 1.0 - flat / math.sqrt(3.0)
    # Few machines are loaded so heavily that the other two lines are needed.
    heavy = flat > math.sqrt(3.0) / 4.0
    if heavy.any():
        x = flat[heavy]
        f[heavy] = np.where(x > 0.75, math.sqrt(3.0) * (1.0 - x), np.sqrt(np.maximum(0.75 - x * x, 0.0)))
    return float(f[0]) if np.ndim(u) == 0 else f


def commutated_current(f: Num) -> Num:
    """Direct current over :func:`short_circuit_current` that leaves a share of the voltage: the inverse of it.

    Parameters
    ----------
    f : float or array, shape (...,)
        Share of the voltage, see :func:`commutation_share`; 0 to 1.

    Returns
    -------
    u : float or array, shape (...,)
        Direct current over the short-circuit current.

    Examples
    --------
    >>> commutated_current(0.88453), commutated_current(0.6245), commutated_current(0.1732)
    (0.2, 0.6, 0.9)
    """
    root = math.sqrt(3.0)
    share = np.asarray(f, dtype=float)
    heavy = np.where(share < root / 4.0, 1.0 - share / root, np.sqrt(np.maximum(0.75 - share * share, 0.0)))
    u = np.where(share >= 0.75, root * (1.0 - share), heavy)
    return float(u) if np.ndim(f) == 0 else u


def torque(I: Num, k: Num, L: Num = 0.0, p: Num = 1.0) -> Num:
    r"""Torque that makes a direct current behind the rectifier, from the balance of power.

    .. math:: T = E f I / \omega = k f I

    Parameters
    ----------
    I : float or array, shape (...,)
        Direct current. [A]
    k : float or array, shape (...,)
        Mean voltage behind the rectifier per speed. [V s/rad]
    L, p : float or array, shape (...,)
        Inductance of one phase [H] and pole pairs; without them no share is lost to commutation.

    Returns
    -------
    T : float or array, shape (...,)
        Torque, without drag. [N m]

    Raises
    ------
    ValueError
        If the current lies outside nothing to the short-circuit current.

    Examples
    --------
    >>> float(torque(10.0, 1.273))
    12.73
    """
    return k * I * commutation_share(I / short_circuit_current(k, L, p))


def drag(omega: Num, T_0: Num, b: Num) -> Num:
    """Torque of bearings and iron of a turning machine, ``T_0 + b omega``, in [N m]; ``omega`` in [rad/s].

    Examples
    --------
    >>> drag(20.0, 0.26, 0.0068)
    0.396
    """
    return T_0 + b * omega


def assumed_drag(k: Num, R: Num) -> tuple[Num, Num, Num]:
    """Drag to take when none was measured.

    Parameters
    ----------
    k : float or array, shape (...,)
        Mean voltage behind the rectifier per speed. [V s/rad]
    R : float or array, shape (...,)
        Resistance between two leads. [ohm]

    Returns
    -------
    T_0, b, T_cog : float or array, shape (...,)
        Friction and hysteresis [N m], eddy drag per speed [N m s/rad], cogging at rest [N m].

    Notes
    -----
    Larger machines drag more. The size is read from the motor constant k/sqrt(R), which no rewinding changes.
    Own estimate, no source: a third to three times as much is possible.

    Examples
    --------
    A hub motor and a small servo motor:

    >>> [round(float(x), 4) for x in assumed_drag(1.273, 0.24)]
    [0.2599, 0.0068, 0.1299]
    >>> [round(float(x), 6) for x in assumed_drag(0.154, 0.42)]
    [0.023763, 5.6e-05, 0.011881]
    """
    constant = k / R**0.5
    return ASSUMED_FRICTION * constant, ASSUMED_EDDY * constant**2, ASSUMED_COGGING * constant
