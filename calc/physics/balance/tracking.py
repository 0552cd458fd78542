"""A converter that looks for the best power: at each wind the best of all speeds that it can hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array, Flags
from calc.physics.balance.converted import Converted
from calc.physics.balance.sides import Drive, look_up

#: Around the best speed the way to its neighbours is cut into so many parts, so often.
_PARTS, _CLOSER = np.linspace(-1.0, 1.0, 17), 5


@dataclass(frozen=True, slots=True)
class Tracked:
    """The best that a tracker can hold at each wind, shape (n, winds).

    Parameters
    ----------
    omega, current : array
        Speed [rad/s] and current into the converter [A].
    holds : array of bool
        Whether there is such a speed at all.
    """

    omega: Array
    current: Array
    holds: Flags


def track(circuit: Converted, drive: Drive) -> Tracked:
    """Follow the best power of each rotor in each wind.

    The converter is taken to be as good at finding it as can be; the wind is steady.
    """
    over = circuit.only((slice(None), None, None))
    per_node = drive.per_node[..., None]

    def spare(place: Array) -> tuple[Array, Array]:
        cq = look_up(drive.cq, drive.start[..., None], place)
        omega = place * per_node
        return drive.push[..., None] * cq - over.drag(omega), omega

    nodes = np.broadcast_to(np.arange(drive.cq.shape[-1], dtype=float), drive.cq.shape)
    # Where next to nothing flows, the rotor runs all but freely, within a step of where it does.
    drives = spare(nodes)[0] > 0
    last = drives.shape[-1] - 1 - np.argmax(drives[..., ::-1], axis=-1)
    tried = np.concatenate([nodes, last[..., None] + (_PARTS + 1.0) / 2.0], axis=-1)
    best, width = np.zeros((*drive.V.shape, 1)), 1.0
    for _ in range(_CLOSER + 1):
        T, omega = spare(tried)
        power = over.power(T, omega)
        at = np.argmax(power, axis=-1)[..., None]
        best = np.take_along_axis(tried, at, axis=-1)
        tried = np.clip(best + width * _PARTS, 0.0, nodes[..., -1:])
        width *= _PARTS[1] - _PARTS[0]
    T, omega = spare(best)
    holds = over.power(T, omega) > 0
    I = np.where(holds, over.current_for(np.where(T > 0, T, 0.0)), 0.0)
    return Tracked(omega[..., 0], I[..., 0], holds[..., 0])
