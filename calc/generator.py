"""The generator as a voltage source behind a rectifier: what its back-EMF gives with nothing connected."""

from __future__ import annotations

import math

import numpy as np

from calc.units import Num

#: Mean of the rectified voltage over the RMS voltage between leads: three-phase bridge, single-phase bridge.
MEAN_OVER_RMS = {
    "three-phase": 3.0 * math.sqrt(2.0) / math.pi,
    "single-phase": 2.0 * math.sqrt(2.0) / math.pi,
}


def emf_between_leads(k: Num, form: str, phases: str = "three-phase") -> Num:
    """Back-EMF constant as RMS voltage between two leads.

    Parameters
    ----------
    k : float or array, shape (...,)
        Constant as it was read. [V s/rad]
    form : str
        How it was read, as in the catalogue of inputs.
    phases : str
        Kind of winding. For a machine with brushes the voltage is direct and ``k`` comes back as it is.

    Returns
    -------
    k_ll : float or array, shape (...,)
        RMS volts between two leads per speed. [V s/rad]

    Raises
    ------
    ValueError
        If a star point is named for a winding that has none.

    Notes
    -----
    Sinusoidal voltage. A DC meter behind an unloaded bridge without capacitor shows the mean.

    Examples
    --------
    >>> emf_between_leads(1.3505, "DC after the rectifier")
    1.0
    """
    if phases == "DC with brushes":
        return k
    if form == "DC after the rectifier":
        return k / MEAN_OVER_RMS[phases]
    if form == "between two leads, RMS":
        return k
    if form == "between two leads, peak":
        return k / math.sqrt(2.0)
    if phases == "single-phase":
        raise ValueError("a single-phase winding has no star point")
    return k * math.sqrt(3.0)


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

    Examples
    --------
    12.6 V, two diodes of 0.9 V, 62 rpm per volt: 62 x 14.4 = 893 rpm.

    >>> charging_speed(12.6, 0.9, 0.154022) * 60 / (2 * math.pi)
    892.8
    """
    if np.any(np.asarray(k) <= 0):
        raise ValueError("the back-EMF constant must be positive")
    return (V + diodes * V_f) / k
