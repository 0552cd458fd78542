"""The machine that is put in balance, and the curve of its rotor."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import TypeAlias

import numpy as np

from calc.physics.arrays import Array
from calc.physics.generator import PEAK
from calc.physics.metals import COLD
from calc.units import Num

#: All numbers of a machine by name, each of shape (n,), and ``cq`` of shape (n, levels, ratios).
Flat: TypeAlias = dict[str, Array]

#: Variants worked on at once, so that what they need stays in the cache of one core.
_TOGETHER = 32


@dataclass(frozen=True, slots=True)
class Machine:
    """A rotor, a generator and what it charges. Numbers may be arrays with a leading axis of variants.

    Parameters
    ----------
    tsr : array, shape (ratios,)
        Tip-speed ratios, evenly spaced from zero; see :func:`torque_curve`.
    winds : array, shape (levels,)
        Wind speeds at which the rotor was computed, rising. Between them the curves are joined in a straight line
        over the logarithm of the wind; beyond them the nearest holds, since there a rotor changes little. [m/s]
    cq : array, shape (..., levels, ratios)
        Torque coefficient, torque / (rho A V^2 R / 2); the first is that of the rotor at rest, the last must not
        be positive.
    R : float or array, shape (...,)
        Radius of the rotor. [m]
    rho : float or array, shape (...,)
        Air density. [kg/m3]
    k : float or array, shape (...,)
        Mean voltage behind the rectifier per speed, nothing connected. [V s/rad]
    R_w : float or array, shape (...,)
        Resistance of the winding between two leads at 20 degC. [ohm]
    V_d : float or array, shape (...,)
        Voltage lost in all diodes on the way. [V]
    V_oc : float or array, shape (...,)
        Voltage of the battery without current. [V]
    L, p : float or array, shape (...,)
        Inductance of one phase of three, or between the leads of a single phase [H], and pole pairs; zero inductance
        for a machine with brushes.
    T_0, b : float or array, shape (...,)
        Drag of bearings and iron, ``T_0 + b omega``. [N m], [N m s/rad]
    T_cog : float or array, shape (...,)
        Cogging torque, which holds the rotor only at rest. [N m]
    R_c : float or array, shape (...,)
        Resistance of the cable there and back; three wires ahead of a six-pulse bridge count the same. [ohm]
    R_b : float or array, shape (...,)
        Internal resistance of the battery. [ohm]
    V_max : float or array, shape (...,)
        Voltage that the dump load holds: it takes the current that would drive the battery higher. Infinite
        without one. It counts only where the battery has an internal resistance. [V]
    R_th : float or array, shape (...,)
        Rise of the winding per watt lost in its copper; zero keeps it at the temperature of the air. [K/W]
    T_air : float or array, shape (...,)
        Air around the generator. [K]
    V_brush : float or array, shape (...,)
        What of ``V_d`` is lost in brushes, which stay in the circuit when the leads are shorted. [V]
    ratio, eta : float or array, shape (...,)
        Turns of the generator to one of the rotor, and the share of the power that belt, chain or gears pass on. All
        that is told of the generator holds at its own shaft.
    converter : {"", "holds", "tracks"}
        What lies between cable and battery: nothing, or a converter whose input is held at ``V_low``, or that looks for
        the best power at input voltages from ``V_low`` up to ``V_high``.
    V_low, V_high, I_most : float or array, shape (...,)
        Its input voltages [V], and the greatest current into it [A].
    eta_c : float or array, shape (...,)
        Share of the power that it passes on.
    V_reg, P_field : float or array, shape (...,)
        With a field coil: battery voltage from which its regulator weakens the field [V], and what the full field takes
        from the battery while current flows [W]. ``k`` is that of the full field.
    winding : {"three-phase", "single-phase", "DC with brushes"}
        Kind of winding.
    excited : bool
        Whether a coil makes the field of its three phases.

    Raises
    ------
    ValueError
        If a number lies outside its range or the curve of the rotor cannot be used.

    Notes
    -----
    Steady wind. Three-phase winding behind a six-pulse bridge, single-phase winding behind a bridge in time average, or
    a machine with brushes behind a diode.
    """

    tsr: Array
    winds: Array
    cq: Array
    R: Num
    rho: Num
    k: Num
    R_w: Num
    V_d: Num
    V_oc: Num
    L: Num = 0.0
    p: Num = 1.0
    T_0: Num = 0.0
    b: Num = 0.0
    T_cog: Num = 0.0
    R_c: Num = 0.0
    R_b: Num = 0.0
    V_max: Num = math.inf
    R_th: Num = 0.0
    T_air: Num = COLD
    V_brush: Num = 0.0
    ratio: Num = 1.0
    eta: Num = 1.0
    V_low: Num = 1.0
    V_high: Num = math.inf
    I_most: Num = math.inf
    eta_c: Num = 1.0
    V_reg: Num = math.inf
    P_field: Num = 0.0
    winding: str = "three-phase"
    converter: str = ""
    excited: bool = False

    def __post_init__(self) -> None:
        for name in ("R", "rho", "k", "R_w", "V_oc", "ratio", "eta", "V_low", "V_high", "I_most", "eta_c"):
            if not np.all(np.greater(getattr(self, name), 0)):
                raise ValueError(f"{name} must be positive")
        for name in ("V_d", "L", "p", "T_0", "b", "T_cog", "R_c", "R_b", "R_th", "V_brush", "P_field"):
            if not np.all(np.greater_equal(getattr(self, name), 0)):
                raise ValueError(f"{name} must not be negative")
        if not (np.all(np.less_equal(self.eta, 1.0)) and np.all(np.less_equal(self.eta_c, 1.0))):
            raise ValueError("no drive and no converter passes on more than it is given")
        if self.converter and self.winding == "single-phase":
            raise ValueError("what a converter does behind a single-phase winding is not covered")
        if not np.all(np.greater(self.V_max, self.V_oc)):
            raise ValueError("the dump load must switch above the voltage of the battery")
        if not np.all(np.greater_equal(self.T_air, 173.15)):
            raise ValueError("the air around the generator must be warmer than -100 degC")
        if self.excited and not np.all(np.greater(self.V_reg, self.V_oc)):
            raise ValueError("the regulator must work above the voltage of the battery")
        self._check_rotor()

    def _check_rotor(self) -> None:
        tsr, winds, cq = self.tsr, self.winds, self.cq
        even = len(tsr) > 1 and np.allclose(tsr, np.linspace(0.0, tsr[-1], len(tsr)), rtol=1e-9, atol=1e-9)
        if not even or tsr[-1] <= 0:
            raise ValueError("the tip-speed ratios must be evenly spaced from zero")
        if winds.ndim != 1 or not np.all(winds > 0) or not np.all(np.diff(winds) > 0):
            raise ValueError("the winds of the rotor's curves must be positive and rise")
        if cq.shape[-2:] != (len(winds), len(tsr)) or not np.all(np.isfinite(cq)):
            raise ValueError("the torque coefficients must be finite, with axes for winds and tip-speed ratios")
        if np.any(cq[..., -1] > 0):
            raise ValueError("the curve must reach the tip-speed ratio at which the rotor gives no torque")

    @property
    def breakaway(self) -> Num:
        """Torque at the rotor's shaft that moves bearings, iron and cogging from rest, in [N m]."""
        return (self.T_0 + self.T_cog) * self.ratio / self.eta

    @property
    def begins(self) -> Num:
        """Speed of the rotor at which current begins to flow, in [rad/s]."""
        top = PEAK if self.winding == "single-phase" else 1.0
        V = self.V_low if self.converter else self.V_oc
        return (V + self.V_d) / (top * self.k * self.ratio)

    @property
    def variants(self) -> tuple[int, ...]:
        """Shape of the leading axes."""
        return np.broadcast_shapes(self.cq.shape[:-2], *(np.shape(getattr(self, name)) for name in _NUMBERS))


_NUMBERS = tuple(
    f.name for f in fields(Machine) if f.name not in {"tsr", "winds", "cq", "winding", "converter", "excited"}
)


def torque_curve(tsr: Array, cp: Array, cq_rest: Num, step: float = 0.1) -> tuple[Array, Array]:
    """Torque coefficients on an even grid from a rotor's power coefficients.

    Parameters
    ----------
    tsr : array, shape (ratios,)
        Tip-speed ratios, positive and rising.
    cp : array, shape (..., ratios)
        Power coefficients.
    cq_rest : float or array, shape (...,)
        Torque coefficient at rest.
    step : float
        Widest spacing of the even grid.

    Returns
    -------
    even : array, shape (nodes,)
        Ratios from zero to the last of ``tsr``.
    cq : array, shape (..., nodes)
        Torque coefficients, in straight lines between those given and the one at rest.

    Raises
    ------
    ValueError
        If the ratios are not positive and rising.

    Examples
    --------
    >>> even, cq = torque_curve(np.array([1.0, 2.0]), np.array([0.1, 0.3]), 0.05, 0.5)
    >>> even, cq
    (array([0. , 0.5, 1. , 1.5, 2. ]), array([0.05 , 0.075, 0.1  , 0.125, 0.15 ]))
    """
    if not np.all(tsr > 0) or not np.all(np.diff(tsr) > 0):
        raise ValueError("the tip-speed ratios must be positive and rise")
    given = np.concatenate([[0.0], tsr])
    rest = np.broadcast_to(np.asarray(cq_rest, dtype=float)[..., None], (*cp.shape[:-1], 1))
    cq = np.concatenate([rest, cp / tsr], axis=-1)
    even = np.linspace(0.0, tsr[-1], math.ceil(tsr[-1] / step - 1e-9) + 1)
    right = np.clip(np.searchsorted(given, even, side="right"), 1, len(given) - 1)
    share = (even - given[right - 1]) / (given[right] - given[right - 1])
    left = cq[..., right - 1]
    return even, np.asarray(left + share * (cq[..., right] - left))


def flat_numbers(machine: Machine) -> Flat:
    """All numbers with shape (n,), and ``cq`` with shape (n, levels, ratios), the generator seen from the rotor.

    A generator behind a drive is as one of ``ratio`` times its volts per speed, pole pairs and drag on the shaft
    itself; what the drive loses is taken off the rotor's torque.
    """
    shape = machine.variants
    n = math.prod(shape)
    flat = {name: np.broadcast_to(getattr(machine, name), shape).astype(float).reshape(n) for name in _NUMBERS}
    for name in ("k", "p", "T_0", "T_cog", "b", "b"):
        flat[name] = flat[name] * flat["ratio"]
    ends = machine.cq.shape[-2:]
    flat["cq"] = np.broadcast_to(machine.cq, (*shape, *ends)).reshape(n, *ends)
    return flat


def few_together(x: Flat) -> Iterator[tuple[slice, Flat]]:
    """Flat numbers, a few variants at a time, and which variants they are."""
    for first in range(0, len(x["R"]), _TOGETHER):
        few = slice(first, first + _TOGETHER)
        yield few, {name: value[few] for name, value in x.items()}


def with_winds(a: Array, shape: tuple[int, ...]) -> tuple[Array, tuple[int, ...]]:
    """Winds or speeds with shape (n, winds), and the shape of what comes out."""
    if np.ndim(a) == 0:
        raise ValueError("winds and speeds must be arrays")
    if not shape:
        # One machine may stand in winds of any shape, such as those of variants that differ in the wind only.
        return np.asarray(a, dtype=float).reshape(1, -1), np.shape(a)
    full = np.broadcast_shapes((*shape, 1), np.shape(a))
    if full[:-1] != shape:
        raise ValueError("winds and speeds must fit the variants of the machine")
    return np.broadcast_to(a, full).astype(float).reshape(math.prod(shape), full[-1]), full


def positive_winds(V: Array, shape: tuple[int, ...]) -> tuple[Array, tuple[int, ...]]:
    """Winds as :func:`with_winds` gives them, refused where one is not positive."""
    if not np.all(np.greater(V, 0)):
        raise ValueError("the winds must be positive")
    return with_winds(V, shape)
