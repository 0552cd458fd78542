"""From where the wind came: how often, how hard and with how much energy, by eighths of the horizon."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.curve.wind import STANDS
from calc.physics.arrays import Array

#: Sectors, each about its point of the compass.
SECTORS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@dataclass(frozen=True, slots=True)
class Sectors:
    """The wind by where it came from, one number for each of :data:`SECTORS`.

    Parameters
    ----------
    share : array, shape (8,)
        Share of the time; with ``calm`` they make one.
    mean : array, shape (8,)
        Mean wind from there; not a number where it never came from there. [m/s]
    energy : array, shape (8,)
        Share of the energy in the wind, as the cube of it goes.
    calm : float
        Share of the time in which it was too weak to turn a vane, below :data:`calc.curve.wind.STANDS`.
    told : float
        Share of the minutes with wind in which the direction was recorded.
    """

    share: Array
    mean: Array
    energy: Array
    calm: float
    told: float


def by_sector(V: Array, direction: Array) -> Sectors | None:
    """Sort minutes by where the wind came from.

    Parameters
    ----------
    V : array, shape (minutes,)
        Wind. [m/s]
    direction : array, shape (minutes,)
        Where it came from, clockwise from north. [rad]

    Returns
    -------
    found : Sectors or None
        None where no minute has both, or all of them were calm.

    Notes
    -----
    A sector reaches from half its width before its point to just short of half behind it. Shares are of the minutes in
    which both were recorded.

    Examples
    --------
    A north wind of 4 m/s, a south wind of 2 m/s half as often:

    >>> s = by_sector(np.array([4.0, 4.0, 2.0]), np.array([0.0, 6.28, 3.1416]))
    >>> s.share.round(2).tolist(), s.energy[[0, 4]].round(3).tolist()
    ([0.67, 0.0, 0.0, 0.0, 0.33, 0.0, 0.0, 0.0], [0.941, 0.059])
    """
    blew = np.isfinite(V)
    both = blew & np.isfinite(direction)
    turning = both & (np.nan_to_num(V) >= STANDS)
    if not turning.any():
        return None
    width, many = 2 * np.pi / len(SECTORS), int(both.sum())
    at = np.floor(direction[turning] / width + 0.5).astype(int) % len(SECTORS)
    size = len(SECTORS)
    count, total, cube = (np.bincount(at, weights, size) for weights in (None, V[turning], V[turning] ** 3))
    mean = np.divide(total, count, out=np.full(size, np.nan), where=count > 0)
    return Sectors(count / many, mean, cube / cube.sum(), 1.0 - float(turning.sum()) / many, many / int(blew.sum()))
