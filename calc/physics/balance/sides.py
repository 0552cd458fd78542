"""The two sides of the balance: what the wind does to the rotor, and everything behind the rotor."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array, Index
from calc.physics.balance.circuit import Circuit, Excited, Steady
from calc.physics.balance.converted import Converted
from calc.physics.balance.machine import Flat, Machine
from calc.physics.balance.pulsed import Pulsed

#: Steps from the speed at which charging begins to the fastest one at which the balance is looked at, as exponents of
#: their ratio; a short one first, since there the current may rise steeply.
_STEPS: Array = np.insert(np.linspace(0.0, 1.0, 96), 1, 0.001)


def curve_weights(winds: Array, V: Array) -> Array:
    """Weights of the rotor's curves at winds ``V``; one more axis, of levels."""
    place = np.interp(np.log(V), np.log(winds), np.arange(len(winds)))
    return np.maximum(0.0, 1.0 - np.abs(place[..., None] - np.arange(len(winds))))


def circuit_behind(machine: Machine, x: Flat) -> Circuit:
    """Everything behind the rotors of some variants, whose flat numbers are given."""
    if machine.converter:
        return Converted.behind(x)
    if machine.excited:
        return Excited.behind(x)
    return Pulsed.behind(x) if machine.winding == "single-phase" else Steady.behind(x)


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
    """Currents, or what else the circuit follows, from none to the most that speeds up to ``omega_max`` give.

    Of shape (n, currents). The speeds that belong to them rise by about the same share from one to the next, also where
    hardly more current flows the faster the rotor turns. The last lies at or above ``omega_max`` where current flows at
    all.
    """
    begin = circuit.begin
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
