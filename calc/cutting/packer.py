"""Packers between flat plates and the root of a blade cut from pipe: one for its outside, one for its hollow."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array, refuse_if

#: Least thickness of a packer where it is thinnest. Common practice, no source. [m]
THINNEST = 0.006
#: The widest packer for the hollow, as a share of the bore: beyond it its sides stand almost upright.
_WIDEST = 0.8
#: What a bolt needs beyond what it holds, over its diameter: washers, nut and some threads. Common practice, no source.
BEYOND = 2.0
#: Bolts are sold in steps of 5 mm. [m]
STEP = 0.005


@dataclass(frozen=True, slots=True)
class Packers:
    """Two blocks as long as the clamp, seen along the blade: flat below, the line of the bolts at x = 0; in [m].

    Parameters
    ----------
    outer, inner : float
        Radius of the pipe's outside, that of the hollow cut into the one block, and of its bore, that of the other's
        round side.
    width : float
        Of both.
    behind, before : float
        Thickness under the bolts: of the block on the outside of the pipe, and of the one in its hollow.
    """

    outer: float
    inner: float
    width: float
    behind: float
    before: float

    @property
    def gap(self) -> float:
        """How far the outside of the pipe stands off a flat plate at the packer's edges, in [m]."""
        return float(_sagitta(self.outer, self.width / 2))

    @property
    def saddle(self) -> Array:
        """Section of the block on the outside: its hollow side up, against the clock, shape (n, 2), in [m]."""
        x = np.linspace(self.width / 2, -self.width / 2, 61)
        top = np.stack([x, self.behind + _sagitta(self.outer, x)], axis=-1)
        return np.concatenate([_foot(self.width), top])

    @property
    def half_moon(self) -> Array:
        """Section of the block in the hollow: its round side up, against the clock, shape (n, 2), in [m]."""
        x = np.linspace(self.width / 2, -self.width / 2, 61)
        top = np.stack([x, self.before - _sagitta(self.inner, x)], axis=-1)
        return np.concatenate([_foot(self.width), top])


def packers(D: float, t: float, width: float, thinnest: float = THINNEST) -> Packers:
    r"""The blocks that fill what lies between a pipe's wall and flat plates on both its sides.

    A circle of a radius :math:`r` leaves its tangent at a distance :math:`x` from where it touches by
    :math:`r - \sqrt{r^2 - x^2}`.

    Parameters
    ----------
    D, t : float
        Outside diameter and wall of the pipe. [m]
    width : float
        Of the plate under a blade; the packers are as wide as far as the bore has room. [m]
    thinnest : float
        Thickness where they are thinnest. [m]

    Raises
    ------
    ValueError
        If the wall fills the pipe, or there is no width.

    Examples
    --------
    >>> made = packers(0.250, 0.0062, 0.090)
    >>> round(made.gap * 1e3, 2), round(made.before * 1e3, 2)
    (8.38, 14.85)
    """
    refuse_if(not 0 < t < D / 2, "the wall fills the pipe")
    refuse_if(width <= 0, "the plate must have a width")
    inner = D / 2 - t
    wide = min(width, 2 * _WIDEST * inner)
    return Packers(D / 2, inner, wide, thinnest, thinnest + float(_sagitta(inner, wide / 2)))


def grip(of: Packers, t: float, plate: float, plates: int) -> float:
    """What a bolt of the blade holds together: plates, packers and the wall of the pipe, in [m].

    Parameters
    ----------
    of : Packers
        The packers.
    t, plate : float
        Wall of the pipe, and thickness of a plate. [m]
    plates : int
        How many there are.

    Examples
    --------
    >>> round(grip(packers(0.250, 0.0062, 0.090), 0.0062, 0.008, 2) * 1e3, 1)
    43.1
    """
    return plates * plate + t + of.behind + of.before


def bolt_length(held: float, d: float) -> float:
    """Shortest bolt that is sold and holds so much with washers and nut, in [m].

    Parameters
    ----------
    held, d : float
        What it holds together, and its diameter. [m]

    Examples
    --------
    >>> bolt_length(0.0431, 0.008)
    0.06
    """
    return round(math.ceil((held + BEYOND * d) / STEP - 1e-9) * STEP, 6)


def _sagitta(r: float, x: Array | float) -> Array:
    return np.asarray(r - np.sqrt(r**2 - np.square(x)))


def _foot(width: float) -> Array:
    return np.array([[-width / 2, 0.0], [width / 2, 0.0]])
