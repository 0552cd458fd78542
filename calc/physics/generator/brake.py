"""The brake made by shorting the three leads of the generator."""

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
