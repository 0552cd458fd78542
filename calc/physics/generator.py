"""The generator: voltage, resistance, drag, torque, heat, and the brake made by shorting it.

Three-phase windings work through a six-pulse bridge, single-phase windings through a bridge of four diodes,
machines with brushes through one diode that keeps the battery from driving them.
"""

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
#: Rise of a winding over air of 40 degC that an insulation class bears (IEC 60034-1). [K]
RISE = {"A": 60.0, "E": 75.0, "B": 80.0, "F": 105.0, "H": 125.0}
#: Air for which the rating of a machine holds. [K]
RATED_AIR = 313.15
#: The resistance of copper is in proportion to its temperature in degC plus this. [K]
COPPER = 234.5
#: Temperature at which resistances are stated. [K]
COLD = 293.15
#: Drag taken when none was measured: friction and cogging over the motor constant k/sqrt(R) [N m/sqrt(W)], and
#: eddy drag over the damping k^2/R of the shorted winding. Own estimate, see assumed_drag.
ASSUMED_FRICTION, ASSUMED_COGGING, ASSUMED_EDDY = 0.1, 0.05, 0.001


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


def emf_as_read(k_ll: Num, form: str, phases: str = "three-phase") -> Num:
    """Back-EMF constant as it would be read; the reverse of :func:`emf_between_leads`, in [V s/rad].

    Examples
    --------
    >>> emf_as_read(1.0, "DC after the rectifier"), emf_as_read(1.0, "lead to star point, peak")
    (1.3505, 0.8165)
    """
    return k_ll * _reading_over_rms(form, phases)


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


def emf_from_rpm_per_volt(n: Num) -> Num:
    """Back-EMF constant of a machine that turns ``n`` revolutions per minute for each volt, in [V s/rad].

    The same number is the torque for each ampere of direct current, in [N m/A].

    Examples
    --------
    >>> emf_from_rpm_per_volt(62.0)
    0.154021
    """
    return 30.0 / math.pi / n


def emf_from_volts_per_krpm(u: Num) -> Num:
    """Back-EMF constant of a machine that gives ``u`` volts at 1000 rpm, in [V s/rad].

    Examples
    --------
    >>> emf_from_volts_per_krpm(1000.0 / 62.0)
    0.154021
    """
    return 30.0 / math.pi / 1000.0 * u


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


def emf_from_short_circuit(I: Num, omega: Num, R: Num, L: Num, p: Num) -> Num:
    r"""Back-EMF constant from the current with all three leads shorted.

    .. math:: k_{LL} = \sqrt{3}\, I \sqrt{R^2 + (p \omega L)^2} / \omega

    Parameters
    ----------
    I : float or array, shape (...,)
        RMS current in a lead. [A]
    omega : float or array, shape (...,)
        Speed. [rad/s]
    R, L : float or array, shape (...,)
        Resistance [ohm] and inductance [H] of one phase, star; half of what is read between two leads.
    p : float or array, shape (...,)
        Pole pairs.

    Returns
    -------
    k_ll : float or array, shape (...,)
        RMS volts between two leads per speed. [V s/rad]

    Raises
    ------
    ValueError
        If the speed is not positive.

    Examples
    --------
    At low speed the resistance alone holds the current back: 2 A, 0.12 ohm, 5 rpm.

    >>> float(emf_from_short_circuit(2.0, 5.0 * math.pi / 30.0, 0.12, 0.0, 23))
    0.794
    """
    if np.any(np.less_equal(omega, 0)):
        raise ValueError("the speed must be positive")
    return cast(Num, math.sqrt(3.0) * I * np.hypot(R, p * omega * L) / omega)


def inductance_from_short_circuit(I: Num, omega: Num, R: Num, k_ll: Num, p: Num) -> Num:
    """Inductance of one phase from the current with all leads shorted and a known back-EMF, in [H].

    Arguments and reverse: :func:`emf_from_short_circuit`.

    Raises
    ------
    ValueError
        If the current is more than the resistance alone would let through, or the speed is not positive.

    Examples
    --------
    >>> k_ll = emf_from_short_circuit(20.0, 30.0, 0.12, 0.2e-3, 23)
    >>> float(inductance_from_short_circuit(20.0, 30.0, 0.12, k_ll, 23)) * 1e3
    0.2
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


def torque_per_phase_ampere(k_ll: Num) -> Num:
    r"""Torque for each ampere of amplitude of sinusoidal phase current in step with the voltage, in [N m/A].

    .. math:: T/\hat{I} = \tfrac{3}{2} \hat{k}_{ph} = \tfrac{3}{2} \sqrt{2/3}\, k_{LL}

    Examples
    --------
    A machine of 100 rpm per volt, peak between leads:

    >>> torque_per_phase_ampere(emf_between_leads(emf_from_rpm_per_volt(100.0), "between two leads, peak"))
    0.0827
    """
    return math.sqrt(1.5) * k_ll


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


def commutation_drop(I: Num, omega: Num, L: Num, p: Num) -> Num:
    r"""Voltage missing behind a six-pulse bridge because current cannot change diodes at once, in [V].

    .. math:: \Delta V = 3 p \omega L I / \pi

    ``I`` is the direct current [A], ``omega`` the speed [rad/s], ``L`` the inductance of a phase [H], ``p`` the
    pole pairs. It holds while the drop stays below a quarter of the voltage; :func:`commutation_share` goes on.

    Examples
    --------
    >>> commutation_drop(10.0, 30.0, 0.2e-3, 23)
    1.3178
    """
    return 3.0 / math.pi * p * omega * L * I


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
    """Torque of bearings and iron of a turning machine, ``T_0 + b omega``, in [N m]; ``omega`` in [rad/s]."""
    return T_0 + b * omega


def drag_from_no_load(I: Num, k: Num) -> Num:
    """Drag of a machine that runs as a motor on direct current ``I`` [A] with a free shaft, in [N m].

    ``k`` is the voltage behind the rectifier per speed [V s/rad]. Two readings at two speeds give both parts.

    Examples
    --------
    >>> drag_from_no_load(0.5, 1.273)
    0.6365
    """
    return k * I


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


def winding_resistance(R_1: Num, T_2: Num, T_1: Num = COLD) -> Num:
    r"""Resistance of a copper winding at another temperature.

    .. math:: R_2 = R_1 (234.5 + t_2) / (234.5 + t_1)

    Parameters
    ----------
    R_1 : float or array, shape (...,)
        Resistance at ``T_1``. [ohm]
    T_2, T_1 : float or array, shape (...,)
        Temperatures. [K]

    Returns
    -------
    R_2 : float or array, shape (...,)
        Resistance at ``T_2``. [ohm]

    Raises
    ------
    ValueError
        If a temperature lies below -100 degC, where the straight line ends.

    Examples
    --------
    >>> winding_resistance(0.50, 369.5)
    0.65
    """
    if np.any(np.less(T_1, 173.15)) or np.any(np.less(T_2, 173.15)):
        raise ValueError("the resistance of copper follows a straight line only above -100 degC")
    return R_1 * (COPPER - 273.15 + T_2) / (COPPER - 273.15 + T_1)


def winding_temperature(R_1: Num, R_2: Num, T_1: Num = COLD) -> Num:
    """Temperature of a copper winding from its resistance cold, ``R_1`` at ``T_1``, and hot, ``R_2``, in [K].

    Examples
    --------
    0.50 ohm at 20 degC that has become 0.65 ohm:

    >>> winding_temperature(0.50, 0.65) - 273.15
    96.35
    """
    return R_2 / R_1 * (COPPER - 273.15 + T_1) - (COPPER - 273.15)


def copper_loss(I: Num, R: Num) -> Num:
    """Power lost in a winding of resistance ``R`` between leads at direct current ``I`` behind it, in [W].

    Two of three phases carry the current at any moment, so it is I^2 R also for three-phase windings.
    For a single-phase winding ``I`` is the RMS current.
    """
    return I**2 * R


def heat_limit(R_20: Num, R_th: Num) -> Num:
    """Direct current above which no lasting temperature exists, since the copper heats faster than it cools.

    ``R_20`` is the resistance between leads at 20 degC [ohm], ``R_th`` the thermal resistance [K/W]; in [A].

    Examples
    --------
    >>> float(heat_limit(0.24, 1.0))
    32.6
    """
    with np.errstate(divide="ignore", over="ignore"):
        return cast(Num, np.sqrt((COPPER + 20.0) / np.multiply(R_20, R_th)))


def heated_winding(I: Num, R_20: Num, R_th: Num, T_air: Num) -> tuple[Num, Num]:
    r"""Resistance and temperature a winding settles at, each depending on the other.

    .. math:: T = T_{air} + R_{th} I^2 R(T)

    Parameters
    ----------
    I : float or array, shape (...,)
        Direct current behind the rectifier. [A]
    R_20 : float or array, shape (...,)
        Resistance between two leads at 20 degC. [ohm]
    R_th : float or array, shape (...,)
        Rise of the winding per watt lost in its copper. [K/W]
    T_air : float or array, shape (...,)
        Air around the machine. [K]

    Returns
    -------
    R, T : float or array, shape (...,)
        Resistance [ohm] and temperature [K] of the winding.

    Raises
    ------
    ValueError
        At or above :func:`heat_limit`.

    Notes
    -----
    What is reached when it goes on for an hour or more. Resistance rises in a straight line with temperature, so
    both follow at once and nothing has to be repeated until it settles. Heat of the iron is left out.

    Examples
    --------
    >>> R, T = heated_winding(10.0, 0.24, 1.0, 293.15)
    >>> R, T - 273.15
    (0.265, 46.5)
    """
    share = R_th * R_20 / (COPPER + 20.0)
    if np.any(np.greater_equal(I**2 * share, 1.0)):
        raise ValueError("with this current the winding never stops heating up")
    R = winding_resistance(R_20, T_air) / (1.0 - I**2 * share)
    return R, T_air + R_th * I**2 * R


def thermal_resistance(I: Num, R_20: Num, insulation: str = "B") -> Num:
    """Thermal resistance that gives the rated current the rise its insulation class allows.

    Parameters
    ----------
    I : float or array, shape (...,)
        Rated current, as direct current; rated torque over ``k`` where only the torque is stated. [A]
    R_20 : float or array, shape (...,)
        Resistance between two leads at 20 degC. [ohm]
    insulation : str
        Class, a key of :data:`RISE`.

    Returns
    -------
    R_th : float or array, shape (...,)
        Rise of the winding per watt lost in its copper. [K/W]

    Raises
    ------
    KeyError
        If the class is not known.

    Notes
    -----
    A maker may stay below the class to spare magnets and bearings, so the true value is often lower. A rating
    holds with the cooling it was made with: a motor that was bolted to a steel frame or rode in the wind runs
    hotter elsewhere.

    Examples
    --------
    >>> thermal_resistance(15.0, 0.24, "B")
    1.063

    References
    ----------
    .. [1] IEC 60034-1, limits of temperature rise, air of 40 degC; B, F and H read in a maker's manual,
       A and E from memory.
    """
    rise = RISE[insulation]
    return rise / copper_loss(I, winding_resistance(R_20, RATED_AIR + rise))


def diode_currents(I: Num, phases: str = "three-phase") -> tuple[Num, Num]:
    """Mean and RMS current in each diode of a bridge behind which the smooth direct current ``I`` flows, in [A].

    Examples
    --------
    >>> diode_currents(30.0)
    (10.0, 17.32)
    """
    n = {"three-phase": 3.0, "single-phase": 2.0, "DC with brushes": 1.0}[phases]
    return I / n, I / n**0.5


def pulse_charging(E: Num, V: Num, R: Num) -> tuple[Num, Num]:
    r"""Current of a single-phase winding into a battery, which flows only around the tops of the voltage.

    .. math:: \bar{I} = \frac{2 E \cos\theta - V (\pi - 2\theta)}{\pi R},
              \quad \sin\theta = V / E

    Parameters
    ----------
    E : float or array, shape (...,)
        Peak of the back-EMF. [V]
    V : float or array, shape (...,)
        Voltage of the battery and the diodes. [V]
    R : float or array, shape (...,)
        Resistance of winding and cable. [ohm]

    Returns
    -------
    I_mean, I_rms : float or array, shape (...,)
        The mean charges the battery, the RMS value heats the copper; both zero below the battery's voltage. [A]

    Raises
    ------
    ValueError
        If ``V`` or ``R`` is not positive.

    Notes
    -----
    Sinusoidal voltage, inductance left out: at high speed the true current is lower.

    Examples
    --------
    >>> I_mean, I_rms = pulse_charging(20.0, 14.0, 1.0)
    >>> float(I_mean), float(I_rms)
    (2.00, 3.09)
    """
    if np.any(np.less_equal(V, 0)) or np.any(np.less_equal(R, 0)):
        raise ValueError("voltage and resistance must be positive")
    E = np.maximum(E, V)
    theta = np.arcsin(V / E)
    open_ = math.pi - 2.0 * theta
    mean = (2.0 * E * np.cos(theta) - V * open_) / math.pi
    square = (open_ + np.sin(2.0 * theta)) / 2.0 * E**2 - 4.0 * V * E * np.cos(theta) + V**2 * open_
    return mean / R, cast(Num, np.sqrt(np.maximum(square, 0.0) / math.pi) / R)


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

    Arguments as for :func:`brake_torque`; the inductance must be positive. Faster than that the brake gets
    weaker the faster the rotor turns, and warmer wires do not change the peak, only its place.

    Raises
    ------
    ValueError
        If the inductance is not positive.

    Examples
    --------
    >>> brake_peak(20, 0.02, 0.5, 1e-3)
    (6.0, 25.0)
    """
    if np.any(np.less_equal(L, 0)):
        raise ValueError("without inductance the torque has no peak")
    return 0.75 * p * flux**2 / L, R / (p * L)
