"""The hub's plate: where its holes are drilled, how far from the edges, and what it looks like."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array, refuse_if

#: Least distance from the middle of a hole in steel or aluminium to an edge, and to the next hole, over the hole.
#: EN 1993-1-8, Table 3.3: 1.2 d0 at ends and sides, 2.2 d0 from hole to hole along the force; from memory.
EDGE, PITCH = 1.2, 2.2
#: Radius of the inner corners between two arms. Common practice, no source. [m]
FILLET = 0.008


@dataclass(frozen=True, slots=True)
class HubPlate:
    """A hub plate with an arm under each blade; the middle of the shaft is nought, the first blade points upwards.

    Parameters
    ----------
    blades : int
        How many arms.
    radii : tuple of float
        Of the bolts of one blade, from the shaft. [m]
    hole : float
        Diameter of the holes. [m]
    width, reach : float
        Width of an arm, and its end from the shaft. [m]
    outline : array, shape (n, 2)
        Corners, against the clock. [m]
    """

    blades: int
    radii: tuple[float, ...]
    hole: float
    width: float
    reach: float
    outline: Array

    @property
    def holes(self) -> Array:
        """Middles of all holes, blade by blade from the inner to the outer, shape (holes, 2), in [m]."""
        turns = math.pi / 2 + 2 * math.pi * np.arange(self.blades) / self.blades
        r = np.asarray(self.radii)
        return np.stack([np.outer(np.cos(turns), r).ravel(), np.outer(np.sin(turns), r).ravel()], axis=-1)

    @property
    def corners(self) -> Array:
        """Middles of the holes in which cuts between two arms end, shape (corners, 2), in [m]; none where none does."""
        half = math.pi / self.blades
        inner = _corner(self.width, half)
        if self.blades < 3 or _is_round(half, inner, self.reach):
            return np.zeros((0, 2))
        turns = math.pi / 2 + half * (2 * np.arange(self.blades) + 1)
        return inner * np.stack([np.cos(turns), np.sin(turns)], axis=-1)

    @property
    def across(self) -> float:
        """Between bolts of the same place on two neighbouring blades, by which the pattern is checked, in [m]."""
        return 2 * self.radii[-1] * math.sin(math.pi / self.blades)


def plate(blades: int, radii: tuple[float, ...], hole: float, width: float, shaft: float) -> HubPlate:
    """The plate whose arms have the width that the sheet says, and end where the last bolt has its edge distance.

    Parameters
    ----------
    blades : int
        How many; two or more.
    radii : tuple of float
        Of the bolts of one blade, from the shaft, rising. [m]
    hole : float
        Diameter of a hole. [m]
    width : float
        Of the plate under one blade. [m]
    shaft : float
        Diameter of the shaft. [m]

    Raises
    ------
    ValueError
        If holes come too near to an edge, to each other, or to the shaft.

    Examples
    --------
    >>> made = plate(3, (0.157, 0.192, 0.227), 0.009, 0.090, 0.025)
    >>> round(made.reach, 4), round(made.across, 4), made.holes.shape
    (0.245, 0.3932, (9, 2))
    >>> round(float(np.hypot(*(made.holes[2] - made.holes[5]))), 4)
    0.3932
    """
    refuse_if(blades < 2, "a hub plate is drawn for two blades or more")
    refuse_if(width < 2 * EDGE * hole, f"the plate is narrower than {2 * EDGE:g} times a hole")
    apart = np.diff(radii)
    refuse_if(bool(np.any(apart < PITCH * hole)), f"the bolts sit closer than {PITCH:g} times a hole")
    refuse_if(radii[0] - shaft / 2 < 2 * EDGE * hole, "the innermost bolt sits too near to the shaft")
    reach = beyond_last(radii[-1], hole)
    return HubPlate(blades, radii, hole, width, reach, _outline(blades, width, reach))


def hold_apart(blades: int, root: float, radius: float, width: float, shaft: float) -> None:
    """Hold that roots have room beside each other, and that the shaft leaves the plate whole.

    Parameters
    ----------
    blades : int
        How many.
    root, radius : float
        Width of a root at its inner end, and where that is. [m]
    width, shaft : float
        Width of an arm of the plate, and diameter of the shaft. [m]

    Raises
    ------
    ValueError
        If a single blade would need a weight against it, roots would lie on each other, or the hole for the shaft would
        cut the arms apart.

    Examples
    --------
    >>> hold_apart(3, 0.12, 0.132, 0.09, 0.025)
    """
    refuse_if(blades < 2, "a single blade needs a weight on the other side, which is not drawn")
    half = math.pi / blades
    refuse_if(
        blades > 2 and root / 2 > radius * math.tan(half),
        f"{blades} roots of {root * 1e3:.0f} mm have no room beside each other at {radius * 1e3:.0f} mm",
    )
    refuse_if(
        shaft / 2 + EDGE * FILLET > _corner(width, half) - FILLET,
        "the hole for the shaft reaches the corners between the arms",
    )


def beyond_last(last: float, hole: float) -> float:
    """Where a plate ends beyond its last bolt: twice the hole, a round figure and more than the standard asks, in [m].

    Parameters
    ----------
    last, hole : float
        Radius of that bolt, and diameter of its hole. [m]

    Examples
    --------
    >>> round(beyond_last(0.227, 0.009), 3)
    0.245
    """
    return last + max(2 * hole, EDGE * hole)


def _corner(width: float, half: float) -> float:
    """How far from the shaft the fillet between two arms has its middle, half the angle between them given, in [m]."""
    return (width / 2 + FILLET) / math.sin(half)


def _is_round(half: float, inner: float, reach: float) -> bool:
    """Whether so many arms lie so close that nothing is left between them."""
    return inner * math.cos(half) >= reach or inner >= reach


def _outline(blades: int, width: float, reach: float) -> Array:
    half = math.pi / blades
    inner = _corner(width, half)
    if _is_round(half, inner, reach):
        # So many arms that nothing is left between them: a round plate.
        turns = 2 * math.pi * np.arange(360) / 360
        out = math.hypot(reach, width / 2)
        return np.stack([out * np.cos(turns), out * np.sin(turns)], axis=-1)
    points: list[tuple[float, float]] = []
    for i in range(blades):
        along = math.pi / 2 + 2 * math.pi * i / blades
        points += [_turned((reach, -width / 2), along), _turned((reach, width / 2), along)]
        if blades > 2:
            # The fillet touches both arms: its middle lies half way between them.
            middle = along + half
            sweep = math.pi / 2 - half
            for s in np.linspace(-sweep, sweep, 13):
                at = (inner - FILLET * math.cos(s), -FILLET * math.sin(-s))
                points.append(_turned(at, middle))
    return np.array(points)


def _turned(at: tuple[float, float], angle: float) -> tuple[float, float]:
    c, s = math.cos(angle), math.sin(angle)
    return at[0] * c - at[1] * s, at[0] * s + at[1] * c
