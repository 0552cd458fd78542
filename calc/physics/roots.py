"""Roots of functions of one number, for many variants at once: the one root finder of ``calc``.

False position after Anderson and Bjorck [1]_: of the two bounds the one that is kept twice running has its value
scaled down, so that both close in on the root. Every fourth step halves the brackets that have not shrunk to half
since the one before, so that no function, however bent, takes more than 250 steps.

It stands in for :func:`scipy.optimize.elementwise.find_root` (Chandrupatla's method, scipy 1.17), which was measured
in its place: the machine's balance took 1.05 times as long for 300 variants and twice as long for one, the strips
of a rotor twice as long; importing it adds 0.3 to 0.4 s to a command, and 140 MB to what has to be installed.

References
----------
.. [1] N. Anderson, A. Bjorck, A new high order method of regula falsi type for computing a root of an equation,
   BIT 13 (1973) 253-264.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from calc.physics.arrays import Array, Index
from calc.units import Num

Function: TypeAlias = Callable[[Array], Array]

#: Steps from one look at whether the brackets have shrunk to half to the next.
_ROUND = 4
#: Share of its first width at which a bracket is closed wherever the root lies, and the steps that always suffice.
_CLOSED, _STEPS = 2.0**-60, 250
#: Steps before which no look is taken at which roots are found, but for bounds that are one.
_FIRST = 5
#: Roots that are found are dropped from the work once fewer than this share are left.
_DROP = 0.75


@dataclass(slots=True)
class _Brackets:
    """Brackets that are being closed, one entry for each root.

    ``new`` is the point tried last, ``old`` the bound on the other side of the root; ``f_old`` may be scaled down.
    ``wide`` is the width at the last look, ``least`` the width that always counts as closed.
    """

    old: Array
    new: Array
    f_old: Array
    f_new: Array
    wide: Array
    least: Array
    ftol: Array

    @classmethod
    def between(cls, low: Array, high: Array, f_low: Array, f_high: Array, ftol: Array) -> _Brackets:
        """Brackets as they are given, begun from a bound that already is the root where one is."""
        first = np.abs(f_low) <= ftol
        old, new = np.where(first, high, low), np.where(first, low, high)
        f_old, f_new = np.where(first, f_high, f_low), np.where(first, f_low, f_high)
        wide = np.abs(high - low)
        return cls(old, new, f_old, f_new, wide, wide * _CLOSED, ftol)

    def only(self, which: Index) -> _Brackets:
        """Some of them."""
        return _Brackets(*(getattr(self, name)[which] for name in self.__slots__))

    def step(self, gap: Array) -> Array:
        """Way from the newest point to where the straight line between the bounds is zero."""
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            step: Array = self.f_new / (self.f_new - self.f_old)
            step *= gap
        return step

    def move(self, x: Array, fx: Array) -> None:
        """Take in a new point between the bounds."""
        crossed = (fx < 0) != (self.f_new < 0)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            share = 1.0 - fx / self.f_new
        share = np.where(share > 0, share, 0.5)
        share *= self.f_old
        self.f_old = np.where(crossed, self.f_new, share)
        self.old = np.where(crossed, self.new, self.old)
        self.new, self.f_new = x, fx


def bracketed_root(
    f: Function,
    low: Num,
    high: Num,
    *,
    f_low: Array | None = None,
    f_high: Array | None = None,
    only: Callable[[Index], Function] | None = None,
    rtol: float = 1e-12,
    ftol: Num = 0.0,
) -> Num:
    """Where a function that changes sign between two bounds is zero, for each variant.

    Parameters
    ----------
    f : callable
        Takes and gives arrays of the shape of the bounds, each entry by itself.
    low, high : float or array, shape (...,)
        Bounds, in either order. Where they are the same, that is the answer.
    f_low, f_high : array, shape (...,), optional
        The function at the bounds, where it is known.
    only : callable, optional
        Takes the places of some variants in the flattened bounds and gives the function of those alone, so that
        roots already found cost nothing; bounds of one axis then.
    rtol : float
        A root is found when its bracket is this share of it; what is given lies far nearer, by the straight line
        through the ends of the bracket.
    ftol : float or array, shape (...,)
        A root is also found where the function comes this near to zero.

    Returns
    -------
    x : float or array, shape (...,)
        Roots, each between its bounds.

    Raises
    ------
    ValueError
        If somewhere the function has the same sign at both bounds, or is not a number there.

    Notes
    -----
    Any function that has no gaps; smooth ones take 6 to 10 steps. Where several roots lie between the bounds, one of
    them is found.

    Examples
    --------
    The cubes 2 and 27 have the roots 1.26 and 3:

    >>> cubes = np.array([2.0, 27.0])
    >>> bracketed_root(lambda x: x**3 - cubes, np.zeros(2), np.full(2, 10.0))
    array([1.259921, 3.      ])
    """
    ends = np.broadcast_arrays(np.asarray(low, dtype=float), np.asarray(high, dtype=float))
    shape = ends[0].shape

    def flat(x: Array) -> Array:
        return np.asarray(f(x.reshape(shape)), dtype=float).reshape(-1)

    a, b = (end.reshape(-1) for end in ends)
    f_a, f_b = (
        flat(end) if known is None else np.asarray(known).reshape(-1) for end, known in ((a, f_low), (b, f_high))
    )
    if not np.all((a == b) | ((f_a <= 0) & (f_b >= 0)) | ((f_a >= 0) & (f_b <= 0))):
        raise ValueError("the function must change sign between the bounds")
    allowed = np.broadcast_to(np.asarray(ftol, dtype=float), shape).reshape(-1)
    found = _closed(flat, _Brackets.between(a, b, f_a, f_b, allowed), only, rtol)
    return float(found[0]) if not shape else found.reshape(shape)


def _closed(f: Function, part: _Brackets, only: Callable[[Index], Function] | None, rtol: float) -> Array:
    """Close brackets until every root is found."""
    found = part.new.copy()
    who, searching = np.arange(len(found)), np.ones(len(found), dtype=bool)
    for count in range(_STEPS):
        gap = part.old - part.new
        step = part.step(gap)
        if count == 0 or count >= _FIRST:
            width = np.abs(gap)
            least = np.maximum(np.abs(part.new) * rtol, part.least)
            exact = np.abs(part.f_new) <= part.ftol
            done = exact | (width <= least)
            done &= searching
            if done.any():
                found[who[done]] = np.where(exact | (width == 0), part.new, part.new + step)[done]
                searching &= ~done
                left = np.flatnonzero(searching)
                if not len(left):
                    break
                if only is not None and len(left) < _DROP * len(who):
                    who, searching, part, f = who[left], searching[left], part.only(left), only(who[left])
                    gap, width, least, step = gap[left], width[left], least[left], step[left]
            least *= 0.5
            # A step just long enough to pass a root that is very near closes the bracket from the other side.
            step = np.where(np.abs(step) >= least, step, np.copysign(least, gap))
            if count % _ROUND == _ROUND - 1:
                slow = width > part.wide / 2.0
                step = np.where(slow, gap / 2.0, step)
                part.wide = np.where(slow, width / 2.0, width)
        step += part.new
        # What is found already waits where it is until it is dropped.
        x = step if len(who) == np.count_nonzero(searching) else np.where(searching, step, part.new)
        part.move(x, f(x))
    return found
