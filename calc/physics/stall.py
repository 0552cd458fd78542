"""Stall of a blade's strips earlier or later than the table of their section has it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array, Index
from calc.units import Num

#: Angles from which a stall that comes later, or earlier, is told from the table: before it there is none. [rad]
LATER_FROM, EARLIER_FROM = np.radians(8.0), np.radians(5.0)
#: Delay of the stall near the shaft, where rotation keeps all lift, over that at the tips. Own choice.
ROTATION = 7.5


@dataclass(frozen=True, slots=True)
class Stall:
    """Stall of the strips at another angle than the table of their section has it.

    Parameters
    ----------
    begins : array, shape (n,)
        Angle from which the table is read at another angle. [rad]
    sign, width : array, shape (n,)
        Whether the stall comes later (1) or earlier (-1), and by how much. [], [rad]
    """

    begins: Array
    sign: Array
    width: Array

    @classmethod
    def by(cls, shift: Array) -> Stall:
        """Stall later by some angles, shape (n,), in [rad]; earlier where they are negative."""
        later = shift >= 0
        return cls(np.asarray(np.where(later, LATER_FROM, EARLIER_FROM)), np.where(later, 1.0, -1.0), np.abs(shift))

    def only(self, which: Index) -> Stall:
        """Some of the strips."""
        return Stall(self.begins[which], self.sign[which], self.width[which])

    def moved(self, alpha: Array) -> Array:
        """Angle at which the excess over a flat plate is looked up."""
        by = np.clip(alpha - self.begins, 0.0, self.width)
        by *= self.sign
        return alpha - by


def stall_delay(later: Num, chord: Num, r: Num) -> Num:
    r"""How much later a strip stalls than the table of its section has it.

    Parameters
    ----------
    later : float or array, shape (...,)
        At the tips, where the blade's turning does nothing; earlier where negative. [rad]
    chord, r : float or array, shape (...,)
        Chord and radius of the strip. [m]

    Returns
    -------
    delay : float or array, shape (...,)
        Angle. [rad]

    Notes
    -----
    Near the shaft rotation keeps a share of the lift that stall would take away, :math:`3 (c / r)^2`, at most all of
    it (Snel, Houwink and Bosschers, ECN-C--93-052, 1994, from memory). It is applied to the angle here, as that
    share of seven and a half times the delay at the tips: that is our own, so that the delays looked at hold
    a measured rotor in stall between them (``tests/outside``).

    Examples
    --------
    >>> np.degrees(stall_delay(np.radians(2.0), chord=0.1, r=np.array([0.1, 0.3, 1.0]))).round(1).tolist()
    [17.0, 7.0, 2.4]
    """
    return later + ROTATION * np.maximum(later, 0.0) * np.minimum(3.0 * np.square(np.divide(chord, r)), 1.0)
