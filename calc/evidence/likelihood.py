"""How well what was read fits what was to be expected: a robust likelihood, and shares of belief from several.

A reading is held against a prediction by Student's t distribution with few degrees of freedom, mixed with a small share
of blunders that may read anything. So one slip of the hand never settles a question, and many readings that agree do.
"""

from __future__ import annotations

import math

import numpy as np

from calc.physics.arrays import Array
from calc.units import Num

#: Degrees of freedom: few, so that the tails are heavy. Own choice, in the usual range of robust regression.
FREEDOM = 4.0
#: Share of readings that are blunders: of another thing, on another range, written down wrongly. Own estimate.
BLUNDERS = 0.03


def log_fit(y: float, expected: Num, scale: Num, reach: float, blunders: float = BLUNDERS) -> Array:
    r"""Logarithm of the density of a reading under a prediction.

    .. math:: p(y) = (1 - \epsilon)\, \frac{t_\nu((y - \mu) / s)}{s} + \frac{\epsilon}{w}

    Parameters
    ----------
    y : float
        What was read.
    expected : float or array, shape (...,)
        What was to be expected.
    scale : float or array, shape (...,)
        Doubt of meter and model together. Positive.
    reach : float
        Over what range a blunder may lie. Positive.
    blunders : float, optional
        Share of readings that are blunders.

    Returns
    -------
    log_p : array, shape (...,)

    Raises
    ------
    ValueError
        If a scale or the reach is not positive.

    Notes
    -----
    A prediction that is not a number tells nothing: it has the density of a blunder.

    Examples
    --------
    A reading ten scales off costs no more than what a blunder would:

    >>> near, far = log_fit(1.0, 1.0, 0.1, 10.0), log_fit(2.0, 1.0, 0.1, 10.0)
    >>> round(float(near), 2), round(float(far), 2)
    (1.29, -5.51)

    References
    ----------
    .. [1] Gelman et al., Bayesian Data Analysis, 3rd ed., 17.2: t in place of normal for robust inference. From memory.
    """
    s = np.asarray(scale, dtype=float)
    if not (np.all(s > 0) and reach > 0):
        raise ValueError("scale and reach must be positive")
    z = (y - np.asarray(expected, dtype=float)) / s
    norm = math.lgamma((FREEDOM + 1) / 2) - math.lgamma(FREEDOM / 2) - 0.5 * math.log(FREEDOM * math.pi)
    log_t = norm - np.log(s) - (FREEDOM + 1) / 2 * np.log1p(z**2 / FREEDOM)
    log_t = np.where(np.isnan(z), -np.inf, log_t)
    return np.asarray(np.logaddexp(math.log(1 - blunders) + log_t, math.log(blunders / reach)))


def log_mean(log_p: Array, weights: Array | None = None) -> float:
    """Logarithm of the mean of what is given as logarithms, evenly or by weights that add up to one.

    Examples
    --------
    >>> round(log_mean(np.log(np.array([0.1, 0.3]))), 4) == round(math.log(0.2), 4)
    True
    """
    top = float(np.max(log_p))
    if not math.isfinite(top):
        return -math.inf
    p = np.exp(np.asarray(log_p) - top)
    return top + math.log(float(np.mean(p) if weights is None else np.sum(weights * p)))


def normalised(log_p: Array) -> Array:
    """Shares that add up to one from logarithms of what they are proportional to, along the last axis.

    Examples
    --------
    >>> normalised(np.log(np.array([1.0, 3.0]))).tolist()
    [0.25, 0.75]
    """
    p = np.exp(np.asarray(log_p) - np.max(log_p, axis=-1, keepdims=True))
    return np.asarray(np.round(p / np.sum(p, axis=-1, keepdims=True), 12))
