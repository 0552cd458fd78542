"""The tail's vane and the lines by which its hinge is set."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array, refuse_if


@dataclass(frozen=True, slots=True)
class VaneOutline:
    """A vane with an area and a height; its middle is nought, the boom comes from the left.

    Parameters
    ----------
    length, height : float
        Along the boom and upright. [m]
    corner : float
        Radius by which its corners are rounded. [m]
    """

    length: float
    height: float
    corner: float

    @property
    def outline(self) -> Array:
        """Corners against the clock, each rounded, shape (n, 2), in [m]."""
        a, b, c = self.length / 2 - self.corner, self.height / 2 - self.corner, self.corner
        quarter = np.linspace(0.0, np.pi / 2, 13)
        points = []
        for k, (x, y) in enumerate(((a, b), (-a, b), (-a, -b), (a, -b))):
            turn = quarter + k * np.pi / 2
            points.append(np.stack([x + c * np.cos(turn), y + c * np.sin(turn)], axis=-1))
        return np.concatenate(points)


def vane(area: float, height: float, corner: float = 0.03) -> VaneOutline:
    """A vane whose area is what the sheet says, its rounded corners counted.

    Parameters
    ----------
    area, height : float
        Of the vane. [m2], [m]
    corner : float
        Radius of its corners, as far as it has room for them. [m]

    Raises
    ------
    ValueError
        If there is nothing to cut.

    Examples
    --------
    >>> made = vane(0.36, 0.60)
    >>> round(made.length, 4)
    0.6013
    """
    refuse_if(area <= 0 or height <= 0, "the vane must have an area and a height")
    c = min(corner, height / 4, area / height / 4)
    return VaneOutline((area + (4 - np.pi) * c**2) / height, height, c)
