"""Voltage of the generator: the back-EMF constant in all its forms, and tests that tell it."""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from calc.units import Num

#: Mean of the rectified voltage over the RMS voltage between leads: three-phase bridge, single-phase bridge.
MEAN_OVER_RMS = {
    "three-phase": 3.0 * math.sqrt(2.0) / math.pi,
    "single-phase": 2.0 * math.sqrt(2.0) / math.pi,
}
#: Reading of a sinusoidal voltage over its RMS value between two leads; a rectified reading is in MEAN_OVER_RMS.
READING_OVER_RMS = {
    "between two leads, RMS": 1.0,
    "between two leads, peak": math.sqrt(2.0),
    "lead to star point, RMS": 1.0 / math.sqrt(3.0),
    "lead to star point, peak": math.sqrt(2.0 / 3.0),
}
#: Diodes through which the current of a winding passes, one after the other.
DIODES = {"three-phase": 2, "single-phase": 2, "DC with brushes": 1}


def _reading_over_rms(form: str, phases: str) -> float:
    if phases == "DC with brushes":
        return 1.0
    if form == "DC after the rectifier":
        return MEAN_OVER_RMS[phases]
    if phases == "single-phase" and form.startswith("lead to star point"):
        raise ValueError("a single-phase winding has no star point")
    if form not in READING_OVER_RMS:
        raise ValueError(f"the back-EMF constant cannot be read as {form!r}")
    return READING_OVER_RMS[form]


def emf_between_leads(k: Num, form: str, phases: str = "three-phase") -> Num:
    """Back-EMF constant as RMS voltage between two leads.

    Parameters
    ----------
    k : float or array, shape (...,)
        Constant as it was read. [V s/rad]
    form : str
        How it was read: ``"DC after the rectifier"`` or a key of :data:`READING_OVER_RMS`.
    phases : str
        Kind of winding. For a machine with brushes the voltage is direct and ``k`` comes back as it is.

    Returns
    -------
    k_ll : float or array, shape (...,)
        RMS volts between two leads per speed. [V s/rad]

    Raises
    ------
    ValueError
        If a star point is named for a winding that has none, or the form is not known.

    Notes
    -----
    Sinusoidal voltage. A DC meter behind an unloaded bridge without capacitor shows the mean.

    Examples
    --------
    >>> emf_between_leads(1.3505, "DC after the rectifier")
    1.0
    """
    return k / _reading_over_rms(form, phases)


def emf_rectified(k: Num, form: str, phases: str = "three-phase") -> Num:
    """Mean voltage behind the rectifier per speed, nothing connected, in [V s/rad].

    Arguments as for :func:`emf_between_leads`.

    Examples
    --------
    >>> emf_rectified(1.0, "between two leads, RMS"), emf_rectified(1.0, "lead to star point, RMS")
    (1.3505, 2.339)
    """
    return emf_between_leads(k, form, phases) * MEAN_OVER_RMS.get(phases, 1.0)


def emf_peak(k: Num, form: str, phases: str = "three-phase") -> Num:
    """Highest voltage between two leads per speed, nothing connected, in [V s/rad].

    It is what a diode has to block, and what a capacitor behind the bridge charges to. Arguments as for
    :func:`emf_between_leads`.

    Examples
    --------
    >>> emf_peak(1.0, "between two leads, RMS")
    1.41421
    """
    return emf_between_leads(k, form, phases) * (1.0 if phases == "DC with brushes" else math.sqrt(2.0))


def emf_from_spin(V: Num, omega: Num, V_d: Num = 0.0) -> Num:
    """Back-EMF constant from a voltage read while the machine is spun with nothing connected.

    Parameters
    ----------
    V : float or array, shape (...,)
        Voltage read. [V]
    omega : float or array, shape (...,)
        Speed. [rad/s]
    V_d : float or array, shape (...,)
        Voltage lost in the diodes between winding and meter; about 1 V for a bridge with next to no current. [V]

    Returns
    -------
    k : float or array, shape (...,)
        Constant, in the form in which the voltage was read. [V s/rad]

    Raises
    ------
    ValueError
        If the speed is not positive.

    Examples
    --------
    3.83 V behind a bridge at 300 rpm:

    >>> 30.0 / math.pi / emf_from_spin(3.83, 300.0 * math.pi / 30.0, 1.0)
    62.1
    """
    if np.any(np.less_equal(omega, 0)):
        raise ValueError("the speed must be positive")
    return (V + V_d) / omega


def inductance_from_short_circuit(I: Num, omega: Num, R: Num, k_ll: Num, p: Num) -> Num:
    r"""Inductance of one phase from the current with all leads shorted and a known back-EMF.

    .. math:: p \omega L = \sqrt{(k_{LL} \omega / \sqrt{3} I)^2 - R^2}

    Parameters
    ----------
    I : float or array, shape (...,)
        RMS current in a lead. [A]
    omega : float or array, shape (...,)
        Speed. [rad/s]
    R : float or array, shape (...,)
        Resistance of one phase, star; half of what is read between two leads. [ohm]
    k_ll : float or array, shape (...,)
        RMS volts between two leads per speed. [V s/rad]
    p : float or array, shape (...,)
        Pole pairs.

    Returns
    -------
    L : float or array, shape (...,)
        Inductance. [H]

    Raises
    ------
    ValueError
        If the current is more than the resistance alone would let through, or the speed is not positive.

    Examples
    --------
    A hub motor of 0.12 ohm a phase and 0.2112 V s/rad drives 20 A at 286 rpm:

    >>> float(inductance_from_short_circuit(20.0, 30.0, 0.12, 0.2112, 23)) * 1e3
    0.200
    """
    if np.any(np.less_equal(omega, 0)):
        raise ValueError("the speed must be positive")
    square = np.square(k_ll * omega / math.sqrt(3.0) / I) - np.square(R)
    if np.any(square < 0):
        raise ValueError("the current is more than the resistance alone would let through")
    return cast(Num, np.sqrt(square) / (p * omega))


def flux_linkage(k_ll: Num, p: Num) -> Num:
    """Peak flux linked with one phase of a three-phase winding with ``p`` pole pairs, in [Wb].

    Examples
    --------
    >>> flux_linkage(20 * 0.02 * math.sqrt(1.5), 20)
    0.02
    """
    return math.sqrt(2.0 / 3.0) * k_ll / p


def charging_speed(V: Num, V_f: Num, k: Num, diodes: int = 2) -> Num:
    r"""Speed at which current begins to flow into a battery.

    .. math:: \omega_0 = (V + n V_f) / k

    Parameters
    ----------
    V : float or array, shape (...,)
        Voltage of the battery. [V]
    V_f : float or array, shape (...,)
        Voltage lost in one diode. [V]
    k : float or array, shape (...,)
        Voltage behind the rectifier per speed. [V s/rad]
    diodes : int
        Diodes in series.

    Returns
    -------
    omega : float or array, shape (...,)
        Speed. [rad/s]

    Raises
    ------
    ValueError
        If ``k`` is not positive.

    Notes
    -----
    The tops of a three-phase voltage stand 4.7 % above its mean, so a trickle flows a little earlier.

    Examples
    --------
    12.6 V, two diodes of 0.9 V, 62 rpm per volt: 62 x 14.4 = 893 rpm.

    >>> charging_speed(12.6, 0.9, 0.154022) * 60 / (2 * math.pi)
    892.8
    """
    if np.any(np.asarray(k) <= 0):
        raise ValueError("the back-EMF constant must be positive")
    return (V + diodes * V_f) / k
