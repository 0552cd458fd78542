"""A blade as a beam that turns: how far it bends, what its pull straightens, and how fast it swings.

The blade is a chain of stiff links with a spring at each joint (Hencky's bar chain). Every step is a sum or the
elimination of a band of three, so that hundreds of variants cost little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array, refuse_if
from calc.units import Num

#: Rounds of inverse iteration; each takes the share of the second mode down forty times for a plain cantilever.
_ROUNDS = 3


@dataclass(frozen=True, slots=True)
class Beam:
    """A blade clamped at its root. Every array has shape (..., links), from root to tip.

    Parameters
    ----------
    r, dr : array
        Middle and length of each link; links of one blade are equally long. [m]
    mass : array
        Mass of each link. [kg]
    EI : array
        Bending stiffness out of the plane of the rotor, in the middle of each link. [N m2]
    """

    r: Array
    dr: Array
    mass: Array
    EI: Array


@dataclass(frozen=True, slots=True)
class BentBlade:
    """What a load does to it.

    Parameters
    ----------
    root : array, shape (...,)
        Moment at the clamped end. [N m]
    moment : array, shape (..., links)
        Moment in the middle of each link. [N m]
    tip : array, shape (...,)
        How far the tip goes. [m]
    along : array, shape (..., links)
        How far the middle of each link goes. [m]
    """

    root: Array
    moment: Array
    tip: Array
    along: Array


def pull_along(beam: Beam, omega: Num) -> Array:
    """Centrifugal force in the middle of each link, shape (..., links), in [N].

    Examples
    --------
    A bar of 0.9 kg and 1 m, from the shaft, at 50 rad/s; its root pulls 1125 N:

    >>> r = (np.arange(100) + 0.5) / 100
    >>> bar = Beam(r, np.full(100, 0.01), np.full(100, 0.009), np.ones(100))
    >>> round(float(pull_along(bar, 50.0)[0]))
    1125
    """
    own = beam.mass * beam.r * np.square(np.asarray(omega))[..., None]
    return np.asarray(_outboard(own) + own / 2.0)


def _outboard(loads: Array) -> Array:
    """Sum of the loads on all links further out."""
    return np.asarray(np.cumsum(loads[..., ::-1], axis=-1)[..., ::-1] - loads)


def moments(beam: Beam, q: Array) -> tuple[Array, Array]:
    """Moments of a rigid blade under a force on each link [N]: at the clamped end, and in the middle of each link.

    Shapes (...,) and (..., links), in [N m].

    Examples
    --------
    10 N at the end of two links of 0.5 m, as if in the middle of the outer one:

    >>> r = np.array([0.25, 0.75])
    >>> bar = Beam(r, np.full(2, 0.5), np.ones(2), np.ones(2))
    >>> [v.tolist() for v in moments(bar, np.array([0.0, 10.0]))]
    [7.5, [5.0, 1.25]]
    """
    begins = beam.r - beam.dr / 2.0
    joint = _from(q * beam.r) - begins * _from(q)
    outer = np.concatenate([joint[..., 1:], 0.0 * joint[..., :1]], axis=-1)
    return joint[..., 0], (joint + outer) / 2.0


def _from(loads: Array) -> Array:
    """Sum of the loads on a link and all further out."""
    return np.asarray(np.cumsum(loads[..., ::-1], axis=-1)[..., ::-1])


def bend(beam: Beam, omega: Num, q: Array) -> BentBlade:
    """Bend a turning blade by forces square to its plane of turning.

    Parameters
    ----------
    beam : Beam
        The blade.
    omega : float or array, shape (...,)
        Speed; nought leaves out what the pull straightens. [rad/s]
    q : array, shape (..., links)
        Force on each link. [N]

    Returns
    -------
    bent : BentBlade

    Raises
    ------
    ValueError
        If a stiffness is not positive.

    Notes
    -----
    Small angles; the pull of what bends out of the plane stays square to the shaft. Error below 1 % from 12 links on.
    """
    refuse_if(np.less_equal(beam.EI, 0), "a blade must have some stiffness")
    dr, EI = np.broadcast_arrays(beam.dr, beam.EI)
    soft = dr / EI / 2.0
    k = np.concatenate([1.0 / soft[..., :1], 1.0 / (soft[..., :-1] + soft[..., 1:])], axis=-1)
    after = np.concatenate([k[..., 1:], 0.0 * k[..., :1]], axis=-1)
    slope = _three_bands(-k, k + after + pull_along(beam, omega) * dr, -after, dr * (_outboard(q) + q / 2.0))
    before = np.concatenate([0.0 * slope[..., :1], slope[..., :-1]], axis=-1)
    joint = k * (slope - before)
    outer = np.concatenate([joint[..., 1:], 0.0 * joint[..., :1]], axis=-1)
    steps = slope * dr
    ends = np.cumsum(steps, axis=-1)
    return BentBlade(joint[..., 0], (joint + outer) / 2.0, ends[..., -1], ends - steps / 2.0)


def _three_bands(low: Array, mid: Array, up: Array, f: Array) -> Array:
    """Solve a band of three, along the last axis, by elimination; the matrix is dominated by its diagonal."""
    low, mid, up, f = (np.moveaxis(v, -1, 0) for v in np.broadcast_arrays(low, mid, up, f))
    n = len(f)
    ratio, right = [up[0] / mid[0]], [f[0] / mid[0]]
    for i in range(1, n):
        rest = mid[i] - low[i] * ratio[-1]
        right.append((f[i] - low[i] * right[-1]) / rest)
        ratio.append(up[i] / rest)
    found = [right[-1]]
    for i in range(n - 2, -1, -1):
        found.append(right[i] - ratio[i] * found[-1])
    return np.asarray(np.stack(found[::-1], axis=-1))


def first_frequency(beam: Beam, omega: Num = 0.0) -> Array:
    """Lowest natural frequency out of the plane of turning, shape (...,), in [Hz].

    Parameters
    ----------
    beam : Beam
        The blade.
    omega : float or array, shape (...,)
        Speed; the pull makes it swing faster. [rad/s]

    Examples
    --------
    A plain cantilever of 1 m, 100 N m2 and 2 kg: 3.516/(2 pi) sqrt(100/2) = 3.957 Hz

    >>> r = (np.arange(40) + 0.5) / 40
    >>> bar = Beam(r, np.full(40, 0.025), np.full(40, 0.05), np.full(40, 100.0))
    >>> round(float(first_frequency(bar)), 2)
    3.95

    References
    ----------
    .. [1] Inverse iteration with Rayleigh's quotient; the plain cantilever by 3.516 sqrt(E I / mu L^4).
    """
    w = np.square(np.cumsum(np.broadcast_to(beam.dr, np.broadcast_shapes(beam.dr.shape, beam.mass.shape)), axis=-1))
    square: Array = np.ones(())
    for _ in range(_ROUNDS):
        moved = bend(beam, omega, beam.mass * w).along
        square = np.sum(beam.mass * w * moved, axis=-1) / np.sum(beam.mass * moved * moved, axis=-1)
        w = moved / np.max(np.abs(moved), axis=-1, keepdims=True)
    return np.asarray(np.sqrt(square) / (2.0 * np.pi))
