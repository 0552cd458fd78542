"""The brake made by shorting the leads, on a rotor in the wind: where it settles, and what it does to the winding."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics import generator
from calc.physics.arrays import Array, Flags
from calc.physics.balance.limits import unloaded
from calc.physics.balance.machine import Flat, Machine, flat_numbers, positive_winds, with_winds
from calc.physics.balance.results import STALLED
from calc.physics.balance.sides import curve_weights, torque_in_winds
from calc.physics.roots import bracketed_root
from calc.units import Num


def braked(machine: Machine, V: Array, omega: Array | None = None) -> tuple[Array, Flags]:
    """Speed a rotor settles at after the leads are shorted at the foot of the cable.

    Parameters
    ----------
    machine : Machine
        The machine, its cable taken as ahead of the rectifier up to the short.
    V : array, shape (..., winds)
        Wind speeds. [m/s]
    omega : array, shape (..., winds), optional
        Speed at which the brake is thrown; with nothing connected if left out, which is the worst. [rad/s]

    Returns
    -------
    settled : array, shape (..., winds)
        Speed it comes to. [rad/s]
    holds : array of bool, shape (..., winds)
        Whether it is braked to a speed below that of the brake's greatest torque; with brushes, which have no such
        speed, to one below :data:`STALLED` of its best tip-speed ratio.

    Raises
    ------
    ValueError
        If a wind is not positive or the shapes do not fit.

    Notes
    -----
    Winding at the temperature of the air; a warm one has the same greatest torque, at a higher speed. The torques
    are compared at the steps of ``tsr``. Braking a fast rotor heats the winding and strains the blades.

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> for L in (0.2e-3, 2.0e-3):
    ...     m = Machine(tsr, np.array([6.0]), cq[None, :], 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, L=L, p=23)
    ...     settled, holds = braked(m, np.array([12.0]))
    ...     print(np.round(settled, 1), holds)
    [0.9] [ True]
    [86.3] [False]
    """
    winds, full = positive_winds(V, machine.variants)
    fast = unloaded(machine, V)[0] if omega is None else omega
    start, _ = with_winds(np.broadcast_to(fast, full), machine.variants)
    x = flat_numbers(machine)
    brake = _Brake.of(machine, x)

    def spare(omega: Array) -> Array:
        held = brake.torque(omega) + generator.drag(omega, x["T_0"][:, None], x["b"][:, None])
        return torque_in_winds(x, machine, winds, omega) - held

    up = spare(start) > 0
    low, high = _settling_between(machine, x, brake, winds, start, up)
    # Below the first step of speed the rotor may win nowhere: then it comes to rest.
    f_low, f_high = np.maximum(spare(low), 0.0), np.minimum(spare(high), 0.0)
    settled = np.asarray(bracketed_root(spare, low, high, f_low=f_low, f_high=f_high))
    peak = brake.peak_speed()
    if peak is None:
        best = np.argmax(np.matmul(curve_weights(machine.winds, winds), x["cq"]) * machine.tsr, axis=-1)
        peak = STALLED * machine.tsr[best] * winds / x["R"][:, None]
    return settled.reshape(full), (settled < peak).reshape(full)


@dataclass(frozen=True, slots=True)
class _Brake:
    """Shorted leads of each variant, as arrays of shape (n, 1), seen from the rotor's shaft."""

    winding: str
    k: Array
    p: Array
    R: Array
    L: Array
    V_brush: Array
    #: Share of the resistance that lies in the winding.
    inside: Array

    @classmethod
    def of(cls, machine: Machine, x: Flat) -> _Brake:
        """Winding at the temperature of the air; the volts per speed are RMS between two leads, direct with brushes."""
        k = x["k"] / generator.MEAN_OVER_RMS.get(machine.winding, 1.0)
        own = generator.winding_resistance(x["R_w"], x["T_air"])
        R = own + x["R_c"]
        return cls(machine.winding, *(np.asarray(a)[:, None] for a in (k, x["p"], R, x["L"], x["V_brush"], own / R)))

    def _three_phase(self) -> tuple[Num, Num, Num, Num]:
        return self.p, generator.flux_linkage(self.k, self.p), self.R / 2.0, self.L

    def torque(self, omega: Array) -> Num:
        """Torque at a speed of the rotor, shape (n, m)."""
        if self.winding == "DC with brushes":
            return generator.brake_torque_brushes(omega, self.k, self.R, self.V_brush)
        if self.winding == "single-phase":
            return generator.brake_torque_single(omega, self.p, self.k, self.R, self.L)
        return generator.brake_torque(omega, *self._three_phase())

    def amps(self, omega: Array) -> Array:
        """RMS current in each lead at a speed: what the brake takes turns into heat in the resistance."""
        P = np.maximum(np.asarray(self.torque(omega)) * omega, 0.0)
        return np.asarray(np.sqrt(P / (self.R * (1.5 if self.winding == "three-phase" else 1.0))))

    def peak_speed(self) -> Array | None:
        """Speed of the greatest torque, shape (n, 1); None with brushes, whose torque goes on rising."""
        if self.winding == "DC with brushes":
            return None
        if self.winding == "three-phase":
            return np.asarray(generator.brake_peak(*self._three_phase())[1])
        with np.errstate(divide="ignore"):
            return np.asarray(self.R / (self.p * self.L))


def brake_torque(machine: Machine, omega: Array) -> Array:
    """Greatest torque of the shorted generator at its own shaft, up to given speeds of the rotor.

    Parameters
    ----------
    machine : Machine
        The machine, see :func:`braked`.
    omega : array, shape (..., speeds)
        Speeds of the rotor. [rad/s]

    Returns
    -------
    T : array, shape (..., speeds)
        Torque, without drag. [N m]

    Examples
    --------
    >>> tsr = np.array([0.0, 8.0])
    >>> m = Machine(tsr, np.array([6.0]), np.array([[0.1, -0.1]]), 1.1, 1.225, 0.38197, 0.8, 2.9, 12.0, V_brush=2.0,
    ...             winding="DC with brushes", ratio=4.0)
    >>> brake_torque(m, np.array([15.708]))
    array([10.5])
    """
    x = flat_numbers(machine)
    speed, full = with_winds(omega, machine.variants)
    brake = _Brake.of(machine, x)
    peak = brake.peak_speed()
    at = speed if peak is None else np.minimum(speed, peak)
    return np.reshape(brake.torque(np.asarray(at)) / x["ratio"][:, None], full)


@dataclass(frozen=True, slots=True)
class Stop:
    """What a rotor shorted at a speed does to its winding, every array of shape (..., winds).

    Parameters
    ----------
    settled : array
        Speed it comes to. [rad/s]
    holds : array of bool
        Whether it is braked, as :func:`braked` says.
    amps : array
        RMS current in each lead at the first moment. [A]
    time, heat : array
        Time until it turns at no more than a twentieth above the settled speed [s], and heat that the winding takes up
        meanwhile [J]; both infinite where the brake does not hold.
    keeps : array
        Power that the winding turns into heat from then on. [W]
    """

    settled: Array
    holds: Flags
    amps: Array
    time: Array
    heat: Array
    keeps: Array


def stop(machine: Machine, V: Array, J: Num, omega: Array | None = None) -> Stop:
    r"""Short the leads of a running rotor and follow it until it is slow.

    .. math:: t = \int \frac{J \, d\omega}{T_b + T_d - T_w}, \qquad
              Q = s \int \frac{T_b\,\omega J \, d\omega}{T_b + T_d - T_w}

    with ``T_b``, ``T_d``, ``T_w`` the torques of the brake, of the drag and of the wind, and ``s`` the share of the
    resistance that lies in the winding.

    Parameters
    ----------
    machine, V, omega
        As for :func:`braked`.
    J : float or array, shape (...,)
        Moment of inertia of rotor and generator about the shaft. [kg m2]

    Returns
    -------
    stop : Stop
        Winding at the temperature of the air; a warm one has the same greatest torque at a higher speed.

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, L=0.2e-3, p=23)
    >>> found = stop(m, np.array([8.0]), 0.6)
    >>> found.holds, found.time, found.heat
    (array([ True]), array([2.14]), array([1076.]))
    """
    settled, holds = braked(machine, V, omega)
    winds, full = positive_winds(V, machine.variants)
    x = flat_numbers(machine)
    brake = _Brake.of(machine, x)
    fast = unloaded(machine, V)[0] if omega is None else omega
    start, low = (with_winds(np.broadcast_to(w, full), machine.variants)[0] for w in (fast, settled))
    end = np.minimum(1.05 * low + 1e-3, start)
    share = np.linspace(0.0, 1.0, 81)
    speeds = start[..., None] + (end - start)[..., None] * share
    each = (len(start), -1)
    turned, held, dragged = (
        np.broadcast_to(a, (len(start), speeds[0].size)).reshape(speeds.shape)
        for a in (
            torque_in_winds(x, machine, np.repeat(winds, len(share), axis=1), speeds.reshape(each)),
            np.asarray(brake.torque(speeds.reshape(each))),
            np.asarray(generator.drag(speeds.reshape(each), x["T_0"][:, None], x["b"][:, None])),
        )
    )
    net, ok = held + dragged - turned, holds.reshape(start.shape)
    slower = np.where(net > 0, 1.0 / np.where(net > 0, net, 1.0), np.inf)
    step = ((start - end) / (len(share) - 1))[..., None]
    inside = brake.inside
    with np.errstate(invalid="ignore"):
        time, heat = (_along(a * step) for a in (slower, slower * held * speeds * inside[..., None]))
    kept = np.asarray(brake.torque(low)) * low * inside
    found = (brake.amps(start), np.where(ok, time, np.inf), np.where(ok, heat, np.inf), kept)
    amps, time, heat, keeps = (np.broadcast_to(a, start.shape).reshape(full) for a in found)
    inertia = np.asarray(J, dtype=float)[..., None]
    return Stop(settled, holds, amps, time * inertia, heat * inertia, keeps)


def _along(y: Array) -> Array:
    """Sum of even steps along the last axis, halves at both ends."""
    return np.asarray(y.sum(axis=-1) - (y[..., 0] + y[..., -1]) / 2.0)


def _settling_between(
    machine: Machine, x: Flat, brake: _Brake, winds: Array, start: Array, up: Flags
) -> tuple[Array, Array]:
    """Speeds, a step of tip-speed ratio apart, between which a braked rotor settles that comes from ``start``.

    The rotor wins at the first and not at the second; ``up`` is whether it wins at ``start`` and so gets faster.
    """
    step = winds * machine.tsr[1] / x["R"][:, None]
    speeds = step[..., None] * np.arange(len(machine.tsr))
    push = (0.5 * np.pi * x["rho"] * x["eta"] * x["R"] ** 3)[:, None] * winds**2
    turned = push[..., None] * np.matmul(curve_weights(machine.winds, winds), x["cq"])
    each = speeds.reshape(len(speeds), -1)
    held = np.asarray(brake.torque(each)) + generator.drag(each, x["T_0"][:, None], x["b"][:, None])
    wins = turned > held.reshape(speeds.shape)
    faster = speeds > start[..., None]
    # The nearest node below the start at which the rotor wins, or above it at which it does not.
    high = np.where(~wins & faster, speeds, np.inf).min(axis=-1)
    gained = np.where(wins & faster & (speeds < high[..., None]), speeds, start[..., None]).max(axis=-1)
    lost = np.where(wins & (speeds < start[..., None]), speeds, 0.0).max(axis=-1)
    return np.where(up, gained, lost), np.where(up, high, np.minimum(start, lost + step))
