"""Balance of a set of blades: which of them, in which order, and which weight where."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, permutations

import numpy as np

from calc.physics.arrays import Array, refuse_if
from calc.physics.blade.shape import plain_number
from calc.units import Num

#: Blades beyond which no order is looked for: it would take too long.
MOST = 8
#: Sets and orders tried at most.
_TRIES = 60_000


@dataclass(frozen=True, slots=True)
class Matched:
    """A set of blades as it should be fitted.

    Parameters
    ----------
    order : tuple of int
        Which blade comes next, once around; the first of each is the place in what was given.
    unbalance : float
        What is left, mass times radius. [kg m]
    towards : float
        Angle of the heavy side from the first blade, towards the second. [rad]
    """

    order: tuple[int, ...]
    unbalance: float
    towards: float


def unbalance(moments: Array) -> tuple[Array, Array]:
    r"""What blades set evenly around leave, :math:`|\sum M_i e^{j 2 \pi i / B}|`, and the angle of the heavy side.

    Parameters
    ----------
    moments : array, shape (..., blades)
        Mass times distance of the balance point from the shaft, of each blade in order. [kg m]

    Returns
    -------
    left, towards : array, shape (...,)
        [kg m], and from the first blade towards the second [rad].

    Examples
    --------
    >>> left, towards = unbalance(np.array([1.01, 1.0, 1.0]))
    >>> round(float(left), 4), round(abs(float(towards)), 4)
    (0.01, 0.0)
    """
    B = np.shape(moments)[-1]
    total = np.sum(np.asarray(moments) * np.exp(2j * np.pi * np.arange(B) / B), axis=-1)
    return np.abs(total), np.angle(total)


def match(moments: Sequence[float] | Array, B: int) -> Matched:
    """The set and order of some blades that leaves least, and what it leaves.

    Parameters
    ----------
    moments : sequence of float
        Of each blade on hand, spare ones among them. [kg m]
    B : int
        How many the rotor has.

    Raises
    ------
    ValueError
        If there are fewer blades than the rotor has, or it has less than two or more than :data:`MOST`.

    Examples
    --------
    Four blades, of which two are heavy: these face each other.

    >>> match([1.02, 1.02, 1.0, 1.0], 4).order
    (0, 2, 1, 3)
    """
    refuse_if(not 2 <= B <= MOST, f"an order is looked for with 2 to {MOST} blades")
    refuse_if(len(moments) < B, "there are fewer blades than the rotor has")
    ways = math.comb(len(moments), B) * math.factorial(B - 1)
    refuse_if(ways > _TRIES, "there are too many blades on hand to try every set")
    orders: list[tuple[int, ...]] = []
    for some in combinations(range(len(moments)), B):
        for rest in permutations(some[1:]):
            orders.append((some[0], *rest))
    left, towards = unbalance(np.asarray(moments)[np.array(orders)])
    best = int(np.argmin(np.round(left, 12)))
    return Matched(orders[best], float(left[best]), float(towards[best]))


def weights(moments: Sequence[float], r: float) -> tuple[float, ...]:
    """What each blade needs at a radius [m] for the set to leave nothing, in [kg].

    Parameters
    ----------
    moments : sequence of float
        Once around, as they are fitted. [kg m]
    r : float
        Where weights can sit. [m]

    Notes
    -----
    Of an even number of blades each needs to weigh as much about the shaft as the one across from it, for that takes
    less than to weigh as much as the heaviest of all, which an odd number takes.

    Examples
    --------
    >>> [round(w, 4) for w in weights([0.150, 0.147, 0.150], 0.3)]
    [0.0, 0.01, 0.0]
    >>> [round(w, 4) for w in weights([0.150, 0.147, 0.153, 0.147], 0.3)]
    [0.01, 0.0, 0.0, 0.0]
    """
    refuse_if(r <= 0, "a weight must sit outside the shaft")
    many = len(moments)
    if many % 2 == 0:
        return tuple(max(moments[i - many // 2] - M, 0.0) / r for i, M in enumerate(moments))
    most = max(moments)
    return tuple((most - M) / r for M in moments)


def permitted(G: Num, omega: Num, m: Num) -> Num:
    """Unbalance that a grade of balancing permits, ``G m / omega``, in [kg m].

    Parameters
    ----------
    G, omega, m : float or array, shape (...,)
        Grade [m/s], speed [rad/s] and mass of the rotor [kg].

    Examples
    --------
    >>> permitted(0.016, 40.0, 5.0)
    0.002

    References
    ----------
    .. [1] ISO 21940-11, grade as speed of the centre of gravity; from memory.
    """
    return plain_number(G * m / np.maximum(omega, 1e-9))
