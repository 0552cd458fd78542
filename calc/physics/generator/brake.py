"""The brake made by shorting the leads of the generator."""

from __future__ import annotations

import numpy as np

from calc.units import Num


def brake_torque(omega: Num, p: Num, flux: Num, R: Num, L: Num) -> Num:
    r"""Torque of a three-phase generator with all leads shorted.

    .. math:: T = \tfrac{3}{2} p \psi^2 \frac{\omega_e R}{R^2 + \omega_e^2 L^2},
              \quad \omega_e = p \omega

    Parameters
    ----------
    omega : float or array, shape (...,)
        Speed. [rad/s]
    p : float or array, shape (...,)
        Pole pairs.
    flux : float or array, shape (...,)
        Peak flux linkage of one phase. [Wb]
    R, L : float or array, shape (...,)
        Resistance [ohm], with the wires up to the short, and inductance [H] of one phase.

    Returns
    -------
    T : float or array, shape (...,)
        Torque, without drag. [N m]

    Notes
    -----
    Sinusoidal voltage, steady speed, the same inductance in all positions of the rotor.

    Examples
    --------
    >>> brake_torque(25.0, 20, 0.02, 0.5, 1e-3), brake_torque(50.0, 20, 0.02, 0.5, 1e-3)
    (6.0, 4.8)
    """
    X = p * omega * L
    return 1.5 * p * flux**2 * p * omega * R / (R**2 + X**2)


def brake_torque_single(omega: Num, p: Num, k_rms: Num, R: Num, L: Num) -> Num:
    r"""Mean torque of a single-phase generator with its leads shorted.

    .. math:: T = \frac{k^2 \omega R}{R^2 + (p \omega L)^2}

    Parameters
    ----------
    omega, p : float or array, shape (...,)
        Speed [rad/s] and pole pairs.
    k_rms : float or array, shape (...,)
        RMS volts between the leads per speed. [V s/rad]
    R, L : float or array, shape (...,)
        Resistance [ohm], with the wires up to the short, and inductance [H] between the leads.

    Returns
    -------
    T : float or array, shape (...,)
        Torque over whole turns, without drag; it swings between nothing and twice that. [N m]

    Examples
    --------
    10 V RMS through 1 ohm turn 100 W into heat: 4 N m at 25 rad/s.

    >>> brake_torque_single(25.0, 10, 0.4, 1.0, 0.0)
    4.0
    """
    return k_rms**2 * omega * R / (R**2 + (p * omega * L) ** 2)


def brake_torque_brushes(omega: Num, k: Num, R: Num, V_brush: Num = 0.0) -> Num:
    r"""Torque of a machine with brushes whose leads are shorted.

    .. math:: T = k\, (k \omega - V_b) / R

    Parameters
    ----------
    omega : float or array, shape (...,)
        Speed. [rad/s]
    k : float or array, shape (...,)
        Volts per speed. [V s/rad]
    R : float or array, shape (...,)
        Resistance between the leads, with the wires up to the short. [ohm]
    V_brush : float or array, shape (...,)
        Voltage lost in the brushes; below it no current flows. [V]

    Returns
    -------
    T : float or array, shape (...,)
        Torque, without drag. Direct current knows no reactance: it rises with the speed without a peak. [N m]

    Examples
    --------
    Ke 0.38197 V s/rad and 0.8 ohm at 600 rpm: 24 V, of which brushes take 2 V, drive 27.5 A.

    >>> float(brake_torque_brushes(62.832, 0.38197, 0.8, 2.0))
    10.50
    """
    return k * np.maximum(k * omega - V_brush, 0.0) / R


def brake_peak(p: Num, flux: Num, R: Num, L: Num) -> tuple[Num, Num]:
    """Greatest torque of the shorted generator and the speed at which it has it, in [N m] and [rad/s].

    Arguments as for :func:`brake_torque`. Faster than that the brake gets weaker the faster the rotor turns, and
    warmer wires do not change the peak, only its place. Without inductance it has none: both are infinite.

    Examples
    --------
    >>> [float(x) for x in brake_peak(20, 0.02, 0.5, 1e-3)]
    [6.0, 25.0]
    """
    with np.errstate(divide="ignore"):
        return 0.75 * p * np.square(flux) / np.asarray(L), R / (p * np.asarray(L))
