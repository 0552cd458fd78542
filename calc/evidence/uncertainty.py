"""Uncertainty of readings: what a data sheet states, as a standard uncertainty, combined after the GUM (JCGM 100:2008).

A limit is not a standard deviation: it is divided by the square root of three before it is combined (4.3.7).
Limits of data sheets hold in the maker's band of temperature (often 18 to 28 degC) and for a year after
calibration; outdoors in winter they do not.

The law of propagation, correlations included, is that of the library ``uncertainties``. It takes 10 ms to load, so
only the functions that propagate load it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

import numpy as np

from calc.physics.arrays import Array
from calc.units import Num

if TYPE_CHECKING:
    from uncertainties import AffineScalarFunc

#: Half-width of limits over the standard deviation of a truth that lies anywhere between them alike (GUM 4.3.7).
RECTANGULAR = math.sqrt(3.0)
#: Expanded over standard uncertainty: about 95 in 100 where the distribution is near normal (GUM 6.2).
COVERAGE = 2.0
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


@dataclass(frozen=True, slots=True)
class LimitedReading:
    """What was read, in SI, with limits that are taken as certain.

    Parameters
    ----------
    low, value, high : float
        Lower limit, reading, upper limit. Limits that lie unevenly count with half the distance between them.
    meter : str
        Readings of one meter share its error, which does not average away; without a name none is shared.
    """

    low: float
    value: float
    high: float
    meter: str = ""


def standard(a: Num) -> Num:
    """Standard uncertainty of a value known to lie within ``a`` on either side.

    Raises
    ------
    ValueError
        If the limit is negative.

    Examples
    --------
    120.0 V by a meter of 1 % + 3 digits, so within 1.5 V:

    >>> round(standard(1.5), 3)
    0.866
    """
    if np.any(np.asarray(a) < 0):
        raise ValueError("a limit is not negative")
    return a / RECTANGULAR


def mean_with_scatter(x: Sequence[float] | Array) -> tuple[float, float]:
    """Mean of repeated readings, and its standard uncertainty ``s / sqrt(n)`` (GUM 4.2).

    Raises
    ------
    ValueError
        With fewer than two readings.

    Examples
    --------
    Voltages of the GUM's example H.2:

    >>> mean_with_scatter([5.007, 4.994, 5.005, 4.990, 4.999])
    (4.9990, 0.0032)
    """
    if len(x) < 2:
        raise ValueError("the scatter of readings takes two or more of them")
    return float(np.mean(x)), float(np.std(x, ddof=1) / math.sqrt(len(x)))


def with_errors(readings: Sequence[LimitedReading]) -> list[AffineScalarFunc]:
    """Readings as numbers of the library ``uncertainties``; those of one meter err together.

    Examples
    --------
    Two voltages added, read by one meter and by two:

    >>> for meter in ("I1", "I2"):
    ...     both = [LimitedReading(9.9, 10.0, 10.1, "I1"), LimitedReading(9.9, 10.0, 10.1, meter)]
    ...     print(round(sum(with_errors(both)).std_dev, 4))
    0.1155
    0.0816
    """
    from uncertainties import ufloat

    meters: dict[str, AffineScalarFunc] = {}
    numbers = []
    for r in readings:
        own = ufloat(0.0, float(standard(1.0)))
        error = meters.setdefault(r.meter, own) if r.meter else own
        numbers.append(r.value + (r.high - r.low) / 2.0 * error)
    return numbers


def propagated(f: Callable[..., float], readings: Sequence[LimitedReading]) -> tuple[float, float]:
    """Value of a function of readings, and its expanded uncertainty (k = 2, about 95 in 100), to first order.

    Parameters
    ----------
    f : callable
        Takes the readings' values in order.
    readings : sequence of LimitedReading
        With their limits.

    Returns
    -------
    y, U : float

    Notes
    -----
    First order: a function that bends within the limits needs samples instead.

    Examples
    --------
    The power in the wind goes with its cube: 10 % in the wind is 30 % in the power.

    >>> y, U = propagated(lambda v: v**3, [LimitedReading(4.5, 5.0, 5.5)])
    >>> round(U / COVERAGE / y / (0.1 / RECTANGULAR), 6)
    3.0

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.1.2 and 5.2.2, from memory.
    """
    from uncertainties import wrap

    y = wrap(f)(*with_errors(readings))
    return float(y.nominal_value), COVERAGE * float(y.std_dev)
