"""A mast as a beam: bending moments under wind, how far it gives way, and how it swings with a mass at its head.

The mast stands on a hinge or is held at its foot, and is held sideways at levels by springs. It is cut into straight
pieces with cubic shapes, which is exact for loads at their ends and for even loads between them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.physics.arrays import Array
from calc.units import Num

#: Pieces between two levels; the first frequency is then right to a thousandth.
PIECES = 4
_GRAVITY = 9.80665

_K = np.array([[12.0, 6.0, -12.0, 6.0], [6.0, 4.0, -6.0, 2.0], [-12.0, -6.0, 12.0, -6.0], [6.0, 2.0, -6.0, 4.0]])
_M = np.array([
    [156.0, 22.0, 54.0, -13.0], [22.0, 4.0, 13.0, -3.0], [54.0, 13.0, 156.0, -22.0], [-13.0, -3.0, -22.0, 4.0],
]) / 420.0  # fmt: skip
#: Softening by a load along the axis.
_G = np.array([
    [36.0, 3.0, -36.0, 3.0], [3.0, 4.0, -3.0, -1.0], [-36.0, -3.0, 36.0, -3.0], [3.0, -1.0, -3.0, 4.0],
]) / 30.0  # fmt: skip
#: Which of the four shapes of a piece are turns, and go with its length.
_TURN = np.array([0, 1, 0, 1])


@dataclass(frozen=True, slots=True)
class Bent:
    """A mast under wind. Nodes go from the foot to the head; the last axis is theirs.

    Parameters
    ----------
    z : array, shape (..., nodes)
        Height above the foot. [m]
    moment : array, shape (..., nodes)
        Greatest amount of the bending moment at or just below and above the node. [N m]
    away : array, shape (..., nodes)
        How far it has moved sideways. [m]
    held : array, shape (..., levels)
        Force of each level, lowest first. [N]
    foot : array, shape (...,)
        Force sideways on the foot. [N]
    """

    z: Array
    moment: Array
    away: Array
    held: Array
    foot: Array

    def moment_at(self, z: Num) -> Array:
        """Bending moment at a height above the foot [m], in [N m]; between nodes along a straight line."""
        L = np.diff(self.z)
        share = np.clip((np.asarray(z)[..., None] - self.z[..., :-1]) / L, 0.0, 1.0)
        return np.asarray(self.moment[..., 0] + np.sum(share * np.diff(self.moment), axis=-1))

    def greatest(self) -> Array:
        """Greatest bending moment between two levels each, lowest first, shape (..., levels + 1). [N m]."""
        n = (self.z.shape[-1] - 1) // PIECES
        spans = [self.moment[..., PIECES * i : PIECES * (i + 1) + 1].max(axis=-1) for i in range(n)]
        return np.stack(spans, axis=-1)

    def between(self) -> Array:
        """Bending moment in the middle between two levels each, lowest first, shape (..., levels + 1). [N m]."""
        return self.moment[..., PIECES // 2 :: PIECES]


class Mast:
    """A mast of one tube.

    Parameters
    ----------
    H : float or array, shape (...,)
        Height from foot to head. [m]
    EI : float or array, shape (...,)
        Stiffness against bending. [N m2]
    levels, k : array, shape (..., levels)
        Heights at which it is held sideways, in rising order and below the head [m], and how stiffly [N/m].
    fixed : bool
        Whether the foot is held against turning; else it stands on a hinge.

    Raises
    ------
    ValueError
        If levels do not rise or do not lie below the head, or nothing holds a hinged mast.
    """

    def __init__(self, H: Num, EI: Num, levels: Array | None = None, k: Array | None = None, *, fixed: bool) -> None:
        self.H, self.EI = np.asarray(H, dtype=float), np.asarray(EI, dtype=float)
        at = np.empty((*self.H.shape, 0)) if levels is None else np.asarray(levels, dtype=float)
        if at.shape[-1] == 0 and not fixed:
            raise ValueError("a mast on a hinge must be held at one level at least")
        stiff = np.zeros(at.shape) if k is None else np.asarray(k, dtype=float)
        lead = np.broadcast_shapes(self.H.shape, self.EI.shape, at.shape[:-1], stiff.shape[:-1])
        edges = [np.zeros(lead), *(at[..., i] for i in range(at.shape[-1])), self.H]
        self.breaks = np.stack([np.broadcast_to(edge, lead) for edge in edges], axis=-1)
        if np.any(np.diff(self.breaks) <= 0):
            raise ValueError("levels must rise, and lie below the head")
        share = np.arange(PIECES) / PIECES
        parts = self.breaks[..., :-1, None] + np.diff(self.breaks)[..., None] * share
        self.z = np.concatenate([parts.reshape(*lead, -1), self.breaks[..., -1:]], axis=-1)
        self.k = np.broadcast_to(stiff, (*lead, at.shape[-1]))
        self.fixed, self.lead, self.level_nodes = fixed, lead, PIECES * np.arange(1, at.shape[-1] + 1)

    def _with(self, *loads: Num) -> Mast:
        """The same mast for each variant of its loads."""
        lead = np.broadcast_shapes(self.lead, *(np.shape(load) for load in loads))
        if lead == self.lead:
            return self
        H, EI = np.broadcast_to(self.H, lead), np.broadcast_to(self.EI, lead)
        return Mast(H, EI, self.breaks[..., 1:-1], self.k, fixed=self.fixed)

    def _assembled(self, kernel: Array, each: Array, turns: bool = True) -> Array:
        """A matrix of all nodes from that of one piece, times a factor of each piece, shape (..., pieces)."""
        L, n = np.diff(self.z), self.z.shape[-1]
        whole = np.zeros((*self.lead, 2 * n, 2 * n))
        power = _TURN[:, None] + _TURN[None, :] if turns else np.zeros((4, 4))
        for i in range(n - 1):
            place = slice(2 * i, 2 * i + 4)
            whole[..., place, place] += kernel * (each * 1.0)[..., i, None, None] * L[..., i, None, None] ** power
        return whole

    def _stiffness(self) -> Array:
        L = np.diff(self.z)
        K = self._assembled(_K, self.EI[..., None] / L**3)
        for j, node in enumerate(self.level_nodes):
            K[..., 2 * node, 2 * node] += self.k[..., j]
        return K

    def _free(self) -> Array:
        """Places of what can move: not the foot, which turns unless it is held."""
        return np.arange(2 if self.fixed else 1, 2 * self.z.shape[-1])

    def under(self, F: Num, w: Num) -> Bent:
        """Bending under a force at the head [N] and an even wind load along it [N/m], both of shape (...,)."""
        return self._with(F, w)._under(F, w)

    def _under(self, F: Num, w: Num) -> Bent:
        L, n = np.diff(self.z), self.z.shape[-1]
        w = np.broadcast_to(np.asarray(w, dtype=float), self.lead)[..., None]
        load = np.zeros((*self.lead, 2 * n))
        load[..., 0:-2:2] += w * L / 2.0
        load[..., 2::2] += w * L / 2.0
        load[..., 1:-2:2] += w * L**2 / 12.0
        load[..., 3::2] -= w * L**2 / 12.0
        load[..., -2] += F
        K, free = self._stiffness(), self._free()
        u = np.zeros(load.shape)
        u[..., free] = np.linalg.solve(K[..., free[:, None], free], load[..., free, None])[..., 0]
        held = self.k * u[..., 2 * self.level_nodes]
        foot = np.broadcast_to(F, self.lead) + w[..., 0] * self.H - held.sum(axis=-1)
        return Bent(self.z, self._moments(F, w[..., 0], held), u[..., ::2], held, foot)

    def _moments(self, F: Num, w: Array, held: Array) -> Array:
        """Bending moment by statics of all that lies above each node; at the foot it is what the foot must take."""
        above = self.H[..., None] - self.z
        M = np.asarray(F)[..., None] * above + w[..., None] * above**2 / 2.0
        for j, node in enumerate(self.level_nodes):
            M = M - held[..., j, None] * np.maximum(self.z[..., node, None] - self.z, 0.0)
        return cast(Array, np.abs(M))

    def frequency(self, mu: Num, mass: Num, pressed: Num = 0.0) -> Array:
        """First natural frequency with a mass at the head.

        Parameters
        ----------
        mu : float or array, shape (...,)
            Mass of the mast per length. [kg/m]
        mass : float or array, shape (...,)
            Mass at the head. [kg]
        pressed : float or array, shape (...,)
            Load along the axis, which softens it, besides its own weight and the head's. [N]

        Returns
        -------
        f : array, shape (...,)
            Frequency [Hz]; zero where the mast buckles under its load.
        """
        return self._with(mu, mass, pressed)._frequency(mu, mass, pressed)

    def _frequency(self, mu: Num, mass: Num, pressed: Num) -> Array:
        lead, n = self.lead, self.z.shape[-1]
        mu, mass = np.broadcast_to(mu, lead), np.broadcast_to(mass, lead)
        L = np.diff(self.z)
        middle = (self.z[..., 1:] + self.z[..., :-1]) / 2.0
        N = (mass[..., None] + mu[..., None] * (self.H[..., None] - middle)) * _GRAVITY
        # What the guys press, they press on all that stands below the highest of them.
        top = self.breaks[..., -2, None] if len(self.level_nodes) else self.H[..., None]
        N = N + np.where(middle < top, np.broadcast_to(pressed, lead)[..., None], 0.0)
        K = self._stiffness() - self._assembled(_G, N / L)
        M = self._assembled(_M, mu[..., None] * L)
        M[..., 2 * n - 2, 2 * n - 2] += mass
        free = self._free()
        return _first(K[..., free[:, None], free], M[..., free[:, None], free])


def _first(K: Array, M: Array) -> Array:
    """Lowest frequency of a stiffness and a mass matrix, in [Hz]; zero where it does not stand."""
    inverse = np.linalg.inv(np.linalg.cholesky(M))
    squares = np.linalg.eigvalsh(inverse @ K @ np.swapaxes(inverse, -1, -2))
    return np.asarray(np.sqrt(np.maximum(squares[..., 0], 0.0)) / (2.0 * math.pi))
