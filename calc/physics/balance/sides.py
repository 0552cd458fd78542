"""The two sides of the balance: what the wind does to the rotor, and everything behind the rotor."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from calc.physics import generator
from calc.physics.arrays import Array, Index
from calc.physics.balance.machine import Flat, Machine

#: Steps from the speed at which charging begins to the fastest one at which the balance is looked at, as exponents of
#: their ratio; a short one first, since there the current may rise steeply.
_STEPS: Array = np.insert(np.linspace(0.0, 1.0, 96), 1, 0.001)
#: Nearest to a current that no speed reaches, as a share of it.
_ALMOST = 1.0 - 1e-9


def curve_weights(winds: Array, V: Array) -> Array:
    """Weights of the rotor's curves at winds ``V``; one more axis, of levels."""
    place = np.interp(np.log(V), np.log(winds), np.arange(len(winds)))
    return np.maximum(0.0, 1.0 - np.abs(place[..., None] - np.arange(len(winds))))


@dataclass(frozen=True, slots=True)
class Circuit:
    """Everything behind the rotor, as arrays of one shape; gives speed and torque for a current."""

    k: Array
    V_oc: Array
    V_d: Array
    V_max: Array
    R_b: Array
    R_c: Array
    R_air: Array
    R_th: Array
    T_air: Array
    T_0: Array
    b: Array
    per_short: Array
    heat: Array

    @classmethod
    def behind(cls, x: Flat) -> Circuit:
        """Circuit of flat numbers."""
        return cls(
            R_air=cast(Array, generator.winding_resistance(x["R_w"], x["T_air"])),
            per_short=np.asarray(1.0 / generator.short_circuit_current(x["k"], x["L"], x["p"])),
            heat=1.0 / np.square(generator.heat_limit(x["R_w"], x["R_th"])),
            **{name: x[name] for name in ("k", "V_oc", "V_d", "V_max", "R_b", "R_c", "R_th", "T_air", "T_0", "b")},
        )

    def only(self, which: Any) -> Circuit:
        """Some of it, or with another axis."""
        return Circuit(**{name: getattr(self, name)[which] for name in self.__slots__})

    def most(self) -> Array:
        """Current that no speed exceeds, by inductance or by heat."""
        with np.errstate(divide="ignore"):
            return np.asarray(1.0 / np.maximum(self.per_short, np.sqrt(self.heat)))

    def bound(self, omega: Array) -> Array:
        """Current that is not exceeded at a speed, and is nearly reached where one thing alone limits it."""
        spare = np.maximum(self.k * omega - self.V_oc - self.V_d, 0.0)
        cold = spare / (self.R_air + self.R_c)
        # The warm winding alone: I R / (1 - heat I^2) = spare.
        warm = 2.0 * spare / (self.R_air + np.sqrt(np.square(self.R_air) + 4.0 * self.heat * np.square(spare)))
        # Commutation alone leaves the voltage of battery and diodes.
        with np.errstate(divide="ignore", invalid="ignore"):
            left = np.minimum((self.V_oc + self.V_d) / (self.k * omega), 1.0)
            short = np.asarray(generator.commutated_current(left)) / self.per_short
        short = np.where(self.per_short > 0, short, np.inf)
        return np.asarray(np.minimum(np.minimum(cold, warm), np.minimum(short, self.most() * _ALMOST)))

    def winding(self, I: Array) -> Array:
        """Resistance of the warm winding."""
        return self.R_air / (1.0 - self.heat * I * I)

    def battery(self, I: Array) -> Array:
        """Voltage at the battery."""
        return np.minimum(self.V_oc + I * self.R_b, self.V_max)

    def turn(self, I: Array) -> tuple[Array, Array]:
        """Speed at which the current flows, and the torque with it, drag included."""
        kf = self.k * np.asarray(generator.commutation_share(I * self.per_short))
        omega = (self.battery(I) + self.V_d + I * (self.winding(I) + self.R_c)) / kf
        return omega, kf * I + self.T_0 + self.b * omega


def look_up(table: Array, start: Index, place: Array) -> Array:
    """Interpolate rows of a flat table; ``start`` is where a row begins, ``place`` where in it, in nodes.

    Beyond the end of a row its last value holds.
    """
    last = table.shape[-1] - 1
    place = np.minimum(place, last)
    left = np.minimum(place.astype(np.intp), last - 1)
    share: Array = place - left
    left += start
    flat = table.reshape(-1)
    low = flat.take(left)
    left += 1
    share *= flat.take(left) - low
    share += low
    return share


def currents_up_to(circuit: Circuit, omega_max: Array) -> Array:
    """Currents from none to the most that speeds up to ``omega_max`` give, shape (n, currents).

    The speeds that belong to them rise by about the same share from one to the next, also where hardly more current
    flows the faster the rotor turns. The last lies at or above ``omega_max`` where current flows at all.
    """
    begin = (circuit.V_oc + circuit.V_d) / circuit.k
    speed = begin[:, None] * (np.maximum(omega_max, begin) / begin)[:, None] ** _STEPS
    over = circuit.only((slice(None), None))
    bound = over.bound(speed)
    # Straight lines between bounds and the speeds that they would need lead close to the speeds that are wanted.
    needed, _ = over.turn(bound)
    near = np.stack([np.interp(*row) for row in zip(speed, needed, bound, strict=True)])
    return np.concatenate([near, bound[:, -1:]], axis=1)


@dataclass(frozen=True, slots=True)
class Drive:
    """What the wind does to the rotor of each variant, shape (n, winds), and ``cq`` at each wind.

    ``push`` turns a torque coefficient into the torque that a drive passes on, ``per_node`` is the speed of one step of
    tip-speed ratio, ``start`` where the row of ``cq`` begins in the flat table.
    """

    cq: Array
    V: Array
    push: Array
    per_node: Array
    start: Index

    @classmethod
    def in_winds(cls, machine: Machine, x: Flat, V: Array) -> Drive:
        """Drive of flat numbers."""
        return cls(
            cq=np.matmul(curve_weights(machine.winds, V), x["cq"]),
            V=V,
            push=(0.5 * math.pi * x["rho"] * x["R"] ** 3 * x["eta"])[:, None] * V**2,
            per_node=V * machine.tsr[1] / x["R"][:, None],
            start=(np.arange(V.size) * len(machine.tsr)).reshape(V.shape),
        )

    def free(self, x: Flat) -> Array:
        """Torque coefficient left over at each ratio when only drag holds the rotor back."""
        left = self.cq - (x["T_0"][:, None] / self.push)[..., None]
        left -= (x["b"][:, None] * self.per_node / self.push)[..., None] * np.arange(self.cq.shape[-1])
        return left

    def loaded(self, circuit: Circuit) -> tuple[Array, Array, Array, Array]:
        """Currents, their speeds and the torques they take, shape (n, currents), and the rotor's torque there.

        The last has shape (n, winds, currents).
        """
        currents = currents_up_to(circuit, (self.cq.shape[-1] - 1) * self.per_node.max(axis=1))
        speeds, torques = circuit.only((slice(None), None)).turn(currents)
        cq = look_up(self.cq, self.start[..., None], speeds[:, None, :] * (1.0 / self.per_node)[..., None])
        cq *= self.push[..., None]
        return currents, speeds, torques, cq


def torque_in_winds(x: Flat, machine: Machine, V: Array, omega: Array) -> Array:
    """Torque of the rotor that its drive passes on, at winds and speeds of shape (n, m)."""
    V, omega = np.broadcast_arrays(V, omega)
    R = x["R"][:, None]
    place = omega * R / V / machine.tsr[1]
    weights = curve_weights(machine.winds, V)
    levels, nodes = x["cq"].shape[1:]
    rows = np.arange(len(V))[:, None] * levels
    cq = sum(
        weights[..., i] * look_up(x["cq"], np.broadcast_to((rows + i) * nodes, V.shape), place) for i in range(levels)
    )
    return np.asarray((0.5 * math.pi * x["rho"] * x["eta"])[:, None] * R**3 * V**2 * cq)
