"""Weighted comparison of options, and whether its outcome stands when the weights move.

A must is never a weight: what rules an option out is decided before it gets here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array

#: How far each weight is moved, up and down, to see whether the leader stays. Own choice.
SHIFT = 0.2


@dataclass(frozen=True, slots=True)
class Ranking:
    """Totals of options, and how firmly the first leads.

    Parameters
    ----------
    totals : array, shape (options,)
        Weighted mean of the marks; not a number where a mark is missing.
    leader : int or None
        The option with the greatest total; None where all totals are missing.
    turning : tuple of (int, float)
        Criteria whose weight, moved by this share, would bring another option level with the leader or past it.
    """

    totals: Array
    leader: int | None
    turning: tuple[tuple[int, float], ...]


def marks(values: Array, more_is_better: bool) -> Array:
    """Marks from 0 to 10 for a computed figure: the best option gets 10, the worst 0, the rest in proportion.

    Parameters
    ----------
    values : array, shape (options,)
        The figure of each option; not a number where it is not known, which is not the same as nothing.

    Returns
    -------
    marks : array, shape (options,)

    Examples
    --------
    >>> marks(np.array([100.0, 150.0, 200.0]), more_is_better=True).tolist()
    [0.0, 5.0, 10.0]
    >>> marks(np.array([3.0, 3.0]), more_is_better=False).tolist()
    [10.0, 10.0]
    """
    known = values[np.isfinite(values)]
    if len(known) == 0:
        return np.full_like(values, np.nan)
    span = np.ptp(known)
    if span == 0:
        return np.where(np.isfinite(values), 10.0, np.nan)
    share = (values - known.min()) / span
    return np.asarray(10.0 * (share if more_is_better else 1.0 - share))


def rank(scores: Array, weights: Array, shift: float = SHIFT) -> Ranking:
    r"""Rank options by their weighted marks.

    .. math:: S_i = \sum_j w_j s_{ij} / \sum_j w_j

    Parameters
    ----------
    scores : array, shape (options, criteria)
        Marks.
    weights : array, shape (criteria,)
        Weights, all positive.
    shift : float
        Share by which each weight is moved.

    Returns
    -------
    ranking : Ranking

    Raises
    ------
    ValueError
        If the shapes do not fit or a weight is not positive.

    Examples
    --------
    >>> r = rank(np.array([[3.0, 4.0, 5.0], [4.0, 4.0, 2.0]]), np.array([5.0, 3.0, 2.0]))
    >>> r.totals.tolist(), r.leader, len(r.turning)
    ([3.7, 3.6], 0, 2)
    """
    if scores.ndim != 2 or scores.shape[1] != len(weights) or np.any(weights <= 0):
        raise ValueError("one positive weight for each criterion is needed")
    totals = _totals(scores, weights)
    if not np.any(np.isfinite(totals)):
        return Ranking(totals, None, ())
    leader = int(np.nanargmax(totals))
    turning = []
    for j in range(len(weights)):
        for change in (-shift, shift):
            moved = weights.copy()
            moved[j] *= 1.0 + change
            others = np.delete(_totals(scores, moved), leader)
            if np.any(others >= _totals(scores, moved)[leader] - 1e-9):
                turning.append((j, change))
    return Ranking(totals, leader, tuple(turning))


def _totals(scores: Array, weights: Array) -> Array:
    return np.asarray(scores @ weights / np.sum(weights))
