"""What the ground holds: anchors that are pulled, blocks that are tipped, poles that stand in it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import cast

import numpy as np

from calc.tables import table_rows
from calc.units import Num

#: Weight of plain concrete. [N/m3]
CONCRETE = 24e3
#: Bearing of a screw in clay over its undrained strength. From memory; a worked example prints it.
SCREW_FACTOR = 9.0


@dataclass(frozen=True, slots=True)
class Soil:
    """One kind of ground.

    Parameters
    ----------
    bearing : float
        What it bears. [Pa]
    lateral : float
        What it bears sideways, per depth. [Pa/m]
    weight : float
        [N/m3]
    friction : float
        Angle of inner friction. [rad]
    cohesion : float
        Undrained strength; zero where it has none. [Pa]
    sliding : float
        Friction of concrete on it.
    low, high : float
        Most of what goes by the name lies between these shares of the above.
    """

    bearing: float
    lateral: float
    weight: float
    friction: float
    cohesion: float
    sliding: float
    low: float
    high: float


@cache
def soils() -> dict[str, Soil]:
    """Kinds of ground by name.

    Examples
    --------
    >>> soils()["firm clay or silt"].lateral
    15700.0
    """
    return {
        row["kind"]: Soil(
            float(row["bearing"]) * 1e3, float(row["lateral"]) * 1e3, float(row["weight"]) * 1e3,
            math.radians(float(row["friction"])), float(row["cohesion"]) * 1e3, float(row["sliding"]),
            float(row["low"]), float(row["high"]),
        )
        for row in table_rows("soils")
    }  # fmt: skip


def passive(phi: Num) -> Num:
    """Passive earth pressure over the weight of the earth, by its angle of friction [rad]; Rankine."""
    return cast(Num, np.tan(math.pi / 4.0 + np.asarray(phi) / 2.0) ** 2)


def screw_holds(soil: Soil, d: Num, depth: Num) -> Num:
    r"""Pull along its rod at which a screw anchor comes out.

    .. math:: Q = A (9 c + q N_q)

    Parameters
    ----------
    soil : Soil
        The ground at the depth of the screw.
    d : float or array, shape (...,)
        Diameter of the screw. [m]
    depth : float or array, shape (...,)
        Depth of the screw. [m]

    Returns
    -------
    Q : float or array, shape (...,)
        Pull, without reserve. [N]

    Notes
    -----
    ``N_q`` is taken as the square of the passive pressure over the weight, which is that of Meyerhof within a fifth
    for 25 to 35 degrees (from memory), and as nothing where the ground holds by its cohesion. Screws shallower than
    five diameters lift a cone of earth instead, and hold less: the smaller of both is given.

    Examples
    --------
    150 mm in firm clay of 50 kPa, deep enough; worked by hand 7.95 kN:

    >>> float(screw_holds(soils()["firm clay or silt"], 0.15, 1.2) / 1e3)
    7.95
    """
    A = math.pi / 4.0 * np.square(d)
    deep = SCREW_FACTOR * soil.cohesion if soil.cohesion else soil.weight * depth * passive(soil.friction) ** 2
    return np.minimum(A * deep, cone_holds(soil, d, depth))


def cone_holds(soil: Soil, d: Num, depth: Num) -> Num:
    r"""Weight of the cone of earth above a plate, and the cohesion along its side, in [N].

    The cone opens at half the angle of friction, as the trade takes it. From memory.
    """
    spread = np.tan(soil.friction / 2.0)
    r, R = np.asarray(d) / 2.0, np.asarray(d) / 2.0 + depth * spread
    volume = math.pi / 3.0 * depth * (r**2 + r * R + R**2)
    side = math.pi * (r + R) * np.hypot(depth, R - r)
    return np.asarray(soil.weight * volume + soil.cohesion * side)


def rod_holds(soil: Soil, d: Num, depth: Num) -> Num:
    r"""Pull sideways at its head at which a driven rod or post moves, after Broms, short rod free at its head.

    .. math:: P = \tfrac12 \gamma d L^2 K_p \quad\text{or}\quad P = 9 c d L (\sqrt2 - 1)

    Parameters
    ----------
    soil, d, depth : as :func:`screw_holds`
        ``d`` is the width of the rod. [m]

    Returns
    -------
    P : float or array, shape (...,)
        Pull, without reserve; of a rod driven at a right angle to it. [N]

    Notes
    -----
    Both from memory, pulled at the ground. In clay the topmost one and a half widths are left out.

    Examples
    --------
    >>> float(rod_holds(soils()["sand, silty or clayey sand"], 0.05, 1.0))
    1350.0
    """
    if soil.cohesion:
        L = np.maximum(np.asarray(depth) - 1.5 * np.asarray(d), 0.0)
        return 9.0 * soil.cohesion * d * L * (math.sqrt(2.0) - 1.0)
    return 0.5 * soil.weight * d * np.square(depth) * passive(soil.friction)


@dataclass(frozen=True, slots=True)
class Block:
    """What a buried block withstands. Every array has shape (...,), forces in [N].

    Parameters
    ----------
    weight : float or array
        Of the block and of the earth straight above it.
    front : float or array
        Passive less active pressure of the earth before it.
    sliding : float
        Friction under it.
    """

    weight: Num
    front: Num
    sliding: float

    def holds(self, theta: Num) -> Num:
        """Pull of a rope at an angle above the ground [rad] at which it lifts or slides, in [N]."""
        lifts = self.weight / np.maximum(np.sin(theta), 1e-9)
        slides = (self.front + self.sliding * self.weight) / (np.cos(theta) + self.sliding * np.sin(theta))
        return np.minimum(lifts, slides)


def buried_block(soil: Soil, width: Num, height: Num, base: Num, length: Num | None = None) -> Block:
    r"""A block of concrete in the ground.

    .. math:: \Delta P = \tfrac12 \gamma (H^2 - (H - h)^2) (K_p - K_a) B

    Parameters
    ----------
    soil : Soil
        The ground around it.
    width, height : float or array, shape (...,)
        Width across the pull, and height. [m]
    base : float or array, shape (...,)
        Depth of its underside; what of it stands above ground counts as weight alone. [m]
    length : float or array, shape (...,), optional
        Along the pull; as wide as it is if left out. [m]

    Returns
    -------
    block : Block

    Examples
    --------
    A cube of 0.6 m, its base 1.0 m deep, in ground of 18 kN/m3 and 30 deg; worked by hand 5.184, 2.592 and 12.10 kN:

    >>> block = buried_block(soils()["sand, silty or clayey sand"], 0.6, 0.6, 1.0)
    >>> [float(v) for v in (block.weight / 1e3, block.front / 1e3)]
    [7.776, 12.10]

    References
    ----------
    .. [1] Rankine's pressures, from memory.
    """
    length = width if length is None else length
    above = np.maximum(np.asarray(base) - height, 0.0)
    weight = np.asarray(width) * length * (CONCRETE * height + soil.weight * above)
    Kp = passive(soil.friction)
    front = 0.5 * soil.weight * (np.square(base) - np.square(above)) * (Kp - 1.0 / Kp) * width
    return Block(weight, front, soil.sliding)


def pole_depth(P: Num, h: Num, b: Num, lateral: Num) -> Num:
    r"""Depth to which a free-standing pole must be set into the ground, not held at its surface.

    .. math:: d = \tfrac12 A (1 + \sqrt{1 + 4.36 h / A}), \quad A = 2.34 P / (S_1 b), \quad S_1 = \sigma d / 3

    Parameters
    ----------
    P, h : float or array, shape (...,)
        Force sideways [N], and how high above the ground it acts [m].
    b : float or array, shape (...,)
        Width of the pole or of the concrete around it. [m]
    lateral : float or array, shape (...,)
        What the ground bears sideways per depth. [Pa/m]

    Returns
    -------
    d : float or array, shape (...,)
        Depth. [m]

    Notes
    -----
    The pressure grows to 12 ft of depth and no further. Solved by halving, as the depth stands on both sides.

    Examples
    --------
    A worked example prints 5.02 ft for 510 lb at 4 ft, 1 ft wide, 266 psf/ft:

    >>> float(pole_depth(2268.6, 1.2192, 0.3048, 41785.0) / 0.3048)
    5.02

    References
    ----------
    .. [1] IBC 1807.3.2.1, read in a reproduction.
    """
    P, h, b, S = (np.asarray(v, dtype=float) for v in np.broadcast_arrays(P, h, b, lateral))
    low, high = np.zeros(P.shape), np.full(P.shape, 40.0)
    for _ in range(50):
        d = (low + high) / 2.0
        A = 2.34 * P / (S * np.minimum(d, 12 * 0.3048) / 3.0 * b)
        short = d < 0.5 * A * (1.0 + np.sqrt(1.0 + 4.36 * h / A))
        low, high = np.where(short, d, low), np.where(short, high, d)
    return high


def pole_holds(d: Num, h: Num, b: Num, lateral: Num) -> Num:
    """Force sideways at a height that a pole set so deep withstands, in [N]; arguments as :func:`pole_depth`.

    Examples
    --------
    >>> float(pole_holds(1.529, 1.2192, 0.3048, 41785.0))
    2269.2
    """
    # d = A/2 (1 + sqrt(1 + 4.36 h/A)) gives A = d^2 / (d + 1.09 h).
    A = np.square(d) / (np.asarray(d) + 1.09 * np.asarray(h))
    return A * lateral * np.minimum(d, 12 * 0.3048) / 3.0 * b / 2.34
