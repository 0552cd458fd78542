"""Both sides of the machine's torque balance over the speed, for looking at rather than for solving.

Where the rotor's torque in a wind crosses that of the generator and its drag, the machine runs in that wind;
:func:`calc.physics.balance.operate` finds those points, this module gives the lines they lie on.
"""

from __future__ import annotations

import math

import numpy as np

from calc.physics import balance
from calc.physics.arrays import Array
from calc.physics.balance import Machine


def rotor_torque(one: Machine, V: Array, omega: Array) -> Array:
    """Torque of the rotor over its speed in some winds, of a machine without variants.

    Parameters
    ----------
    one : Machine
        The machine.
    V : array, shape (winds,)
        Wind speeds. [m/s]
    omega : array, shape (speeds,)
        Speeds. [rad/s]

    Returns
    -------
    T : array, shape (winds, speeds)
        Torque; not a number beyond the last tip-speed ratio of the rotor's curve. [N m]

    Raises
    ------
    ValueError
        If a wind is not positive, a speed is negative, or the machine has variants.

    Examples
    --------
    At rest, 0.0167 of rho A V^2 R / 2:

    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], R=1.1, rho=1.225, k=1.273, R_w=0.24, V_d=1.8, V_oc=26.4)
    >>> rotor_torque(m, np.array([6.0]), np.array([0.0]))
    array([[1.54]])
    """
    _only_one(one, omega)
    if not np.all(np.greater(V, 0)):
        raise ValueError("the winds must be positive")
    R = float(np.asarray(one.R))
    level = np.interp(np.log(V), np.log(one.winds), np.arange(len(one.winds)))
    weights = np.maximum(0.0, 1.0 - np.abs(level[:, None] - np.arange(len(one.winds))))
    push = 0.5 * math.pi * one.rho * R**3 * np.asarray(V) ** 2
    curves = [
        np.interp(omega * R / v, one.tsr, cq, right=np.nan)
        for v, cq in zip(V, weights @ one.cq.reshape(-1, len(one.tsr)), strict=True)
    ]
    return np.asarray(push[:, None] * np.stack(curves))


def generator_torque(one: Machine, omega: Array) -> Array:
    """Torque with which generator and drag hold a turning rotor, of a machine without variants.

    Parameters
    ----------
    one : Machine
        The machine.
    omega : array, shape (speeds,)
        Speeds. [rad/s]

    Returns
    -------
    T : array, shape (speeds,)
        Torque: drag alone until the voltage reaches that of battery and diodes. [N m]

    Raises
    ------
    ValueError
        If a speed is negative or the machine has variants.

    Examples
    --------
    Nothing flows at 20 rad/s; 7.5 A at 30 rad/s and 1 V s/rad take 7.5 N m:

    >>> tsr = np.array([0.0, 8.0])
    >>> m = Machine(tsr, np.array([6.0]), np.array([[0.1, -0.1]]), 1.1, 1.225, 1.0, 0.24, 1.8, 26.4)
    >>> generator_torque(m, np.array([20.0, 30.0]))
    array([0. , 7.5])
    """
    _only_one(one, omega)
    return balance.load_torque(one, omega)


def best_torque(one: Machine, V: Array) -> tuple[Array, Array]:
    """Speed and torque at which the rotor takes most power in some winds, of a machine without variants.

    Parameters
    ----------
    one : Machine
        The machine.
    V : array, shape (winds,)
        Wind speeds. [m/s]

    Returns
    -------
    omega, T : array, shape (winds,)
        Speed [rad/s] and torque [N m].

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], R=1.1, rho=1.225, k=1.273, R_w=0.24, V_d=1.8, V_oc=26.4)
    >>> omega, T = best_torque(m, np.array([5.0]))
    >>> omega * 1.1 / 5.0
    array([5.2])
    """
    R = float(np.asarray(one.R))
    omega, T = np.empty(len(V)), np.empty(len(V))
    for i, v in enumerate(V):
        speeds = one.tsr * v / R
        torque = rotor_torque(one, np.array([v]), speeds)[0]
        at = int(np.nanargmax(torque * speeds))
        omega[i], T[i] = speeds[at], torque[at]
    return omega, T


def _only_one(one: Machine, omega: Array) -> None:
    if one.variants:
        raise ValueError("the machine must have no variants")
    if not np.all(np.greater_equal(omega, 0)):
        raise ValueError("the speeds must not be negative")
