"""How well somebody's odds came true: Brier score, calibration, bias."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array

#: Fewer resolved predictions than this give no table of calibration. Own choice, no source.
FEWEST = 20


def _pairs(p: Sequence[float], o: Sequence[float]) -> tuple[Array, Array]:
    odds, came = np.asarray(p, dtype=float), np.asarray(o, dtype=float)
    if odds.shape != came.shape or odds.ndim != 1 or odds.size == 0:
        raise ValueError("one outcome for each prediction, and at least one")
    if np.any((odds < 0) | (odds > 1)) or not np.all(np.isin(came, (0.0, 1.0))):
        raise ValueError("odds lie between 0 and 1, outcomes are 0 or 1")
    return odds, came


def brier(p: Sequence[float], o: Sequence[float]) -> float:
    r"""Brier score of predictions of a yes or no: 0 is best.

    .. math:: \frac1n \sum (p - o)^2

    Parameters
    ----------
    p : sequence of float, length n
        Odds given, 0 to 1.
    o : sequence of int, length n
        1 where it came true, else 0.

    Returns
    -------
    score : float
        Always saying 0.5 scores 0.25.

    Raises
    ------
    ValueError
        If odds and outcomes do not fit.

    Notes
    -----
    Brier's own form of 1950 [1]_ is summed over yes and no, which is twice this.

    Examples
    --------
    0.09, 0.01 and 0.16, on average:

    >>> round(brier([0.7, 0.9, 0.4], [1, 1, 0]), 6)
    0.086667

    References
    ----------
    .. [1] G. W. Brier, Verification of forecasts expressed in terms of probability, Monthly Weather Review 78 (1950);
       from memory.
    """
    odds, came = _pairs(p, o)
    return float(np.mean((odds - came) ** 2))


def bias(p: Sequence[float], o: Sequence[float]) -> float:
    """Mean odds less the share that came true: above zero is too sure of good things.

    Examples
    --------
    >>> round(bias([0.9, 0.9], [1, 0]), 3)
    0.4
    """
    odds, came = _pairs(p, o)
    return float(np.mean(odds) - np.mean(came))


@dataclass(frozen=True, slots=True)
class Bin:
    """Predictions of like odds: limits, how many, mean odds, and the share that came true."""

    low: float
    high: float
    count: int
    odds: float
    came_true: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """How many predictions are resolved; and, once they are :data:`FEWEST`, how each kind of odds came true."""

    count: int
    bins: tuple[Bin, ...]


def calibration(p: Sequence[float], o: Sequence[float], bins: int = 5) -> Calibration:
    """Table of odds against how often they came true; no bins with fewer than :data:`FEWEST` resolved.

    Parameters
    ----------
    p, o : sequence, length n
        As for :func:`brier`; may be empty.
    bins : int
        Number of equal ranges from 0 to 1; a bin holds its lower limit, the last one both.

    Returns
    -------
    calibration : Calibration
        Empty ranges are left out.

    Examples
    --------
    >>> calibration([0.9] * 3, [1, 1, 0])
    Calibration(count=3, bins=())
    """
    if bins < 1:
        raise ValueError("at least one bin")
    if len(p) == 0 == len(o):
        return Calibration(0, ())
    odds, came = _pairs(p, o)
    if odds.size < FEWEST:
        return Calibration(odds.size, ())
    # Shares such as 0.6 lie a hair beside the edge that they name.
    place = np.minimum((odds * bins + 1e-9).astype(int), bins - 1)
    rows = tuple(
        Bin(i / bins, (i + 1) / bins, int(np.sum(place == i)), float(np.mean(odds[place == i])),
            float(np.mean(came[place == i])))
        for i in range(bins)
        if np.any(place == i)
    )  # fmt: skip
    return Calibration(odds.size, rows)
