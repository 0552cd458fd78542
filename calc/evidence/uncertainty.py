"""Uncertainty of readings: what a data sheet states, as a standard uncertainty, combined after the GUM (JCGM 100:2008).

A limit is not a standard deviation: it is divided by the square root of three before it is combined (4.3.7).
Limits of data sheets hold in the maker's band of temperature (often 18 to 28 degC) and for a year after
calibration; outdoors in winter they do not.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.physics.arrays import Array
from calc.units import Num

#: Divisor of the half-width of a distribution that gives its standard deviation (GUM 4.3.7, 4.3.9).
DIVISOR = {"rectangular": math.sqrt(3.0), "triangular": math.sqrt(6.0)}
_PART = re.compile(r"(?P<n>\d+(?:\.\d+)?)\s*(?P<kind>% of (?:full scale|range)|% of reading|%|digits?|counts?)?")


@dataclass(frozen=True, slots=True)
class Accuracy:
    """An instrument's accuracy as its data sheet states it.

    Parameters
    ----------
    of_reading : float
        Share of the reading.
    digits : float
        Counts of the last digit shown, on the range in use.
    of_range : float
        Share of the full scale of the range; the usual statement for instruments with a needle.
    """

    of_reading: float = 0.0
    digits: float = 0.0
    of_range: float = 0.0

    def limit(self, value: Num, resolution: float = 0.0, full_scale: float = 0.0) -> Num:
        """Half-width within which the true value lies.

        Parameters
        ----------
        value : float or array, shape (...,)
            What was read.
        resolution : float
            One count of the last digit on the range in use; needed where counts are stated.
        full_scale : float
            End of the range in use; needed where a share of it is stated.

        Returns
        -------
        a : float or array, shape (...,)
            In the unit of the reading.

        Raises
        ------
        ValueError
            If the statement needs a resolution or range that was not given.

        Examples
        --------
        120.0 V read by a meter of 1 % + 3 digits:

        >>> accuracy("1 % + 3 digits").limit(120.0, resolution=0.1)
        1.5
        """
        if self.digits and not resolution > 0:
            raise ValueError("counts are stated, so the last digit of the range in use is needed")
        if self.of_range and not full_scale > 0:
            raise ValueError("a share of the range is stated, so the end of the range in use is needed")
        size = cast(Num, abs(value))
        return self.of_reading * size + self.digits * resolution + self.of_range * full_scale


def accuracy(text: str) -> Accuracy:
    """Read an accuracy as data sheets state it.

    Raises
    ------
    ValueError
        If it cannot be read.

    Notes
    -----
    Understood are ``"0.8 % + 5 digits"`` (counts alike), ``"2.5 % of full scale"`` (or of range), and both mixed;
    a leading ± is dropped.

    Examples
    --------
    >>> accuracy("± (0.8 % + 5 digits)")
    Accuracy(of_reading=0.008, digits=5.0, of_range=0.0)
    >>> accuracy("2.5 % of full scale").of_range
    0.025
    """
    plain = re.sub(r"[±()]|\+-", " ", text.casefold()).strip()
    parts = {"of_reading": 0.0, "digits": 0.0, "of_range": 0.0}
    for piece in plain.split("+"):
        match = _PART.fullmatch(piece.strip())
        kind = match["kind"] if match else None
        if match is None or kind is None:
            raise ValueError(f"{text!r} is not an accuracy; like '0.8 % + 5 digits' or '2.5 % of full scale'")
        number = float(match["n"])
        if kind.startswith("%"):
            parts["of_range" if "full" in kind or "range" in kind else "of_reading"] += number / 100.0
        else:
            parts["digits"] += number
    return Accuracy(**parts)


def standard(a: Num, shape: str = "rectangular") -> Num:
    """Standard uncertainty of a value known to lie within ``a`` on either side.

    Raises
    ------
    ValueError
        If the limit is negative or the shape is neither rectangular nor triangular.

    Examples
    --------
    >>> round(standard(0.15), 4)
    0.0866
    """
    if np.any(np.asarray(a) < 0):
        raise ValueError("a limit is not negative")
    if shape not in DIVISOR:
        raise ValueError(f"{shape!r} is neither rectangular nor triangular")
    return a / DIVISOR[shape]


def of_mean(x: Sequence[float] | Array) -> tuple[float, float]:
    """Mean of repeated readings, and its standard uncertainty ``s / sqrt(n)`` (GUM 4.2).

    Raises
    ------
    ValueError
        With fewer than two readings.

    Examples
    --------
    >>> of_mean([5.007, 4.994, 5.005, 4.990, 4.999])
    (4.9990, 0.0032)
    """
    if len(x) < 2:
        raise ValueError("the scatter of readings takes two or more of them")
    return float(np.mean(x)), float(np.std(x, ddof=1) / math.sqrt(len(x)))


def correlations(*x: Sequence[float] | Array) -> Array:
    """Correlation coefficients of quantities read together, shape (quantities, quantities) (GUM 5.2.3)."""
    return np.asarray(np.corrcoef(np.asarray(x, dtype=float)))


def combined(c: Sequence[float] | Array, u: Sequence[float] | Array, r: Array | None = None) -> float:
    r"""Combined standard uncertainty, law of propagation.

    .. math:: u_c^2 = \sum_i \sum_j c_i c_j\, u_i u_j\, r_{ij}

    Parameters
    ----------
    c, u : array, shape (n,)
        Sensitivities, and standard uncertainties of the inputs.
    r : array, shape (n, n), optional
        Correlation coefficients; none where left out.

    Returns
    -------
    u_c : float

    Raises
    ------
    ValueError
        If an uncertainty is negative or the correlations are none.

    Notes
    -----
    Readings of one meter share its error: r is 1 for that part, and it does not average away.

    Examples
    --------
    >>> combined([1.0, 1.0], [3.0, 4.0]), combined([1.0, 1.0], [3.0, 4.0], np.ones((2, 2)))
    (5.0, 7.0)

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), equations 10 and 16, from memory.
    """
    part = np.asarray(c, dtype=float) * np.asarray(u, dtype=float)
    if np.any(np.asarray(u) < 0):
        raise ValueError("an uncertainty is not negative")
    R = np.eye(len(part)) if r is None else np.asarray(r, dtype=float)
    if R.shape != (len(part), len(part)) or not np.allclose(R, R.T) or np.any(np.abs(R) > 1 + 1e-9):
        raise ValueError("correlations lie between -1 and 1, the same both ways, one for each pair")
    return math.sqrt(max(float(part @ R @ part), 0.0))


def propagated(
    f: Callable[..., float], x: Sequence[float], u: Sequence[float], r: Array | None = None
) -> tuple[float, float]:
    """Value of a function of uncertain inputs, and its standard uncertainty to first order.

    Parameters
    ----------
    f : callable
        Takes the inputs in order.
    x, u : sequence of float, length n
        Inputs and their standard uncertainties.
    r : array, shape (n, n), optional
        Correlation coefficients.

    Returns
    -------
    y, u_c : float
        Value and combined standard uncertainty.

    Notes
    -----
    Sensitivities are taken half an uncertainty to either side, which is the function's own slope as long as it is
    nearly straight over that; a function that bends within the uncertainty needs samples instead.

    Examples
    --------
    The power in the wind goes with its cube: 10 % in the wind is 30 % in the power.

    >>> y, u_c = propagated(lambda v: v**3, [5.0], [0.5])
    >>> round(u_c / y, 2)
    0.3
    """
    c = []
    for i, (at, by) in enumerate(zip(x, u, strict=True)):
        if by == 0:
            c.append(0.0)
            continue
        up, down = list(x), list(x)
        up[i], down[i] = at + by / 2.0, at - by / 2.0
        c.append((f(*up) - f(*down)) / by)
    return f(*x), combined(c, u, r)


def expanded(u: Num, k: float = 2.0) -> Num:
    """Expanded uncertainty ``k u``; k = 2 covers about 95 in 100 where the distribution is near normal."""
    if k <= 0:
        raise ValueError("the coverage factor is positive")
    return k * u


def rounded(value: float, u: float) -> tuple[str, str]:
    """A value and its uncertainty as they are reported: two figures of the latter, the former to the same place.

    Raises
    ------
    ValueError
        If the uncertainty is negative or not finite.

    Examples
    --------
    >>> rounded(39.611, 1.504), rounded(0.928571, 0.0000148), rounded(1234.5, 123.0)
    (('39.6', '1.5'), ('0.928571', '0.000015'), ('1230', '120'))
    """
    if not (math.isfinite(u) and u >= 0 and math.isfinite(value)):
        raise ValueError("value and uncertainty must be finite, and the latter not negative")
    if u == 0:
        return f"{value:g}", "0"
    places = 1 - math.floor(math.log10(u))
    # 0.0996 rounds to 0.10, which has one place fewer.
    places = 1 - math.floor(math.log10(round(u, places)))
    return tuple(f"{round(x, places):.{max(places, 0)}f}" for x in (value, u))  # type: ignore[return-value]
