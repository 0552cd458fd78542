"""The back-EMF constant from a generator spun at several speeds with nothing connected, as with a drill."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import TYPE_CHECKING, Any

from calc.evidence.uncertainty import COVERAGE, LimitedReading, mean_with_scatter, with_errors
from calc.physics.generator import emf_from_spin

if TYPE_CHECKING:
    from uncertainties import AffineScalarFunc

#: Speeds that lie within this factor of each other are one speed read again and again. Own choice.
ONE_SPEED = 1.2


@dataclass(frozen=True, slots=True)
class SpinTest:
    """What a spin test tells.

    Parameters
    ----------
    k, U_k : float
        Back-EMF constant in the form in which the voltages were read, and its expanded uncertainty. [V s/rad]
    kept, U_kept : float or None
        Voltage that is kept from the meter at every speed, as by the diodes of a rectifier, and its expanded
        uncertainty; none where there was but one speed. [V]
    off : tuple of int
        Pairs, by their number from 0, that lie further from the rest than the limits of their readings allow: the one
        that does so where the others agree without it, else all that lie off the line.
    """

    k: float
    U_k: float
    kept: float | None = None
    U_kept: float | None = None
    off: tuple[int, ...] = ()

    @property
    def sound(self) -> bool:
        """Whether a generator could do so: its voltage rises with speed, and it gives none at standstill."""
        return self.k > self.U_k and (self.kept is None or self.U_kept is None or self.kept + self.U_kept >= 0.0)


def constant_from_spins(speeds: Sequence[LimitedReading], voltages: Sequence[LimitedReading]) -> SpinTest:
    r"""Back-EMF constant from pairs of speed and voltage, by the straight line through them.

    .. math:: V = k \omega - V_d

    Parameters
    ----------
    speeds, voltages : sequence of LimitedReading, length n
        Taken together, with nothing connected. [rad/s], [V]

    Returns
    -------
    test : SpinTest
        Without a line where all speeds are about the same: then ``k`` is the mean of the ratios, in which what the
        diodes keep is not made up for.

    Raises
    ------
    ValueError
        With fewer than two pairs, or a speed that is not positive.

    Notes
    -----
    Least squares. Readings of one meter err together, so its error does not average away; the scatter about the line
    comes on top, and takes three pairs.

    Examples
    --------
    A drill at 300, 600 and 900 rpm, 3.9, 8.7 and 13.6 V behind a bridge, all within 1 %: 62 rpm a volt, and 1 V kept
    by the diodes.

    >>> rpm = math.pi / 30.0
    >>> speeds = [LimitedReading(0.99 * n * rpm, n * rpm, 1.01 * n * rpm, "tachometer") for n in (300.0, 600.0, 900.0)]
    >>> got = constant_from_spins(speeds, [LimitedReading(0.99 * V, V, 1.01 * V, "meter") for V in (3.9, 8.7, 13.6)])
    >>> round(1.0 / got.k / rpm, 1), round(got.U_k / got.k, 3), round(got.kept, 1)
    (61.9, 0.02, 1.0)
    """
    if len(speeds) != len(voltages) or len(speeds) < 2:
        raise ValueError("a spin test takes two or more pairs of speed and voltage")
    if min(r.value for r in speeds) <= 0:
        raise ValueError("the speed must be positive")
    return replace(_fitted(speeds, voltages), off=_astray(speeds, voltages))


def slope_in_the_middle(speeds: Sequence[float], voltages: Sequence[float]) -> float:
    r"""Back-EMF constant as the median of the slopes between all pairs, which a few wrong readings do not move.

    Parameters
    ----------
    speeds, voltages : sequence of float, length n
        Taken together, with nothing connected. [rad/s], [V]

    Returns
    -------
    k : float
        [V s/rad]

    Raises
    ------
    ValueError
        If there are no two speeds.

    Notes
    -----
    Holds until about 29 in 100 of the readings are wrong [1]_.

    Examples
    --------
    One voltage of five misread by a digit:

    >>> slope_in_the_middle([10.0, 20.0, 30.0, 40.0, 50.0], [1.0, 2.0, 3.0, 40.0, 5.0])
    0.1

    References
    ----------
    .. [1] P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, J. Amer. Statist. Assoc. 63 (1968)
       1379-1389; the share of wrong readings from memory.
    """
    points = list(zip(speeds, voltages, strict=True))
    slopes = [(V - U) / (w - u) for i, (u, U) in enumerate(points) for w, V in points[i + 1 :] if w != u]
    if not slopes:
        raise ValueError("a slope takes two speeds")
    return median(slopes)


def constant_through_standstill(speeds: Sequence[LimitedReading], voltages: Sequence[LimitedReading]) -> SpinTest:
    r"""Back-EMF constant by the straight line through the origin: where nothing is kept from the meter.

    .. math:: k = \sum \omega V / \sum \omega^2

    Parameters
    ----------
    speeds, voltages : sequence of LimitedReading, length n
        As for :func:`constant_from_spins`.

    Returns
    -------
    test : SpinTest

    Raises
    ------
    ValueError
        With fewer than two pairs, or no speed.

    Examples
    --------
    >>> spun = [LimitedReading(x, x, x, "t") for x in (10.0, 20.0)], [LimitedReading(x, x, x, "m") for x in (1.1, 2.0)]
    >>> round(constant_through_standstill(*spun).k, 3)
    0.102
    """
    errors = with_errors([*speeds, *voltages])
    w, v = errors[: len(speeds)], errors[len(speeds) :]
    k, scatter = _through_origin(w, v)
    return SpinTest(k.nominal_value, COVERAGE * math.hypot(k.std_dev, scatter))


def _through_origin(x: Sequence[Any], y: Sequence[Any]) -> tuple[AffineScalarFunc, float]:
    """Slope of least squares through the origin, and the standard deviation that its scatter gives it."""
    if len(x) != len(y) or len(x) < 2:
        raise ValueError("a line through the origin takes two or more pairs")
    across = sum(a * a for a in x)
    if not across.nominal_value > 0:
        raise ValueError("there is nothing but zeros to fit to")
    slope = sum(a * b for a, b in zip(x, y, strict=True)) / across
    off = sum(float((b - slope * a).nominal_value) ** 2 for a, b in zip(x, y, strict=True))
    return slope, math.sqrt(off / (len(x) - 1) / float(across.nominal_value))


def resistance_from_load(
    test: SpinTest,
    speeds: Sequence[LimitedReading],
    voltages: Sequence[LimitedReading],
    currents: Sequence[LimitedReading],
) -> tuple[float, float]:
    r"""Resistance by which a generator's voltage falls under load, from what it gives with nothing connected.

    .. math:: R = \sum I (k \omega - V_d - V) / \sum I^2

    Parameters
    ----------
    test : SpinTest
        Of the same generator, read in the same way.
    speeds, voltages, currents : sequence of LimitedReading, length n
        Taken together under load. [rad/s], [V], [A]

    Returns
    -------
    R, U : float
        And its expanded uncertainty (k = 2, about 95 in 100). [ohm]

    Raises
    ------
    ValueError
        With fewer than two of each, or no current.

    Notes
    -----
    Behind a rectifier it holds what the winding's inductance takes as well, so it is more than the resistance between
    two leads at all but low speed; and the winding is warm. Errors of constant and kept voltage are taken to be
    independent, which makes the doubt larger than it is.

    Examples
    --------
    0.154 V s/rad, and 0.5 ohm between that and what is read:

    >>> at = lambda *values: [LimitedReading(x, x, x) for x in values]
    >>> got = resistance_from_load(SpinTest(0.154, 0.0), at(50.0, 80.0), at(6.7, 10.32), at(2.0, 4.0))
    >>> round(got[0], 3)
    0.5
    """
    from uncertainties import ufloat

    if not len(speeds) == len(voltages) == len(currents):
        raise ValueError("speeds, voltages and currents are as many as each other")
    errors = with_errors([*speeds, *voltages, *currents])
    n = len(speeds)
    k = test.k + test.U_k / COVERAGE * ufloat(0.0, 1.0)
    kept = (test.kept or 0.0) + (test.U_kept or 0.0) / COVERAGE * ufloat(0.0, 1.0)
    lost = [k * w - kept - v for w, v in zip(errors[:n], errors[n : 2 * n], strict=True)]
    R, scatter = _through_origin(errors[2 * n :], lost)
    return float(R.nominal_value), COVERAGE * math.hypot(float(R.std_dev), scatter)


def _fitted(speeds: Sequence[LimitedReading], voltages: Sequence[LimitedReading]) -> SpinTest:
    errors = with_errors([*speeds, *voltages])
    w, v = errors[: len(speeds)], errors[len(speeds) :]
    omega, V = [r.value for r in speeds], [r.value for r in voltages]
    if max(omega) < ONE_SPEED * min(omega):
        ratios = [float(emf_from_spin(a, b)) for a, b in zip(V, omega, strict=True)]
        mean = sum(a / b for a, b in zip(v, w, strict=True)) / len(w)
        return SpinTest(mean.nominal_value, COVERAGE * math.hypot(mean.std_dev, mean_with_scatter(ratios)[1]))
    return _line(w, v)


def _off(test: SpinTest, speeds: Sequence[LimitedReading], voltages: Sequence[LimitedReading]) -> tuple[int, ...]:
    """Pairs that a line passes by further than the limits of their readings."""
    kept = test.kept or 0.0
    return tuple(
        i
        for i, (w, v) in enumerate(zip(speeds, voltages, strict=True))
        if abs(v.value - test.k * w.value + kept) > (v.high - v.low + abs(test.k) * (w.high - w.low)) / 2.0
    )


def _astray(speeds: Sequence[LimitedReading], voltages: Sequence[LimitedReading]) -> tuple[int, ...]:
    """The one pair without which all others agree, if there is just one; else all that lie off the line through all."""
    off = _off(_fitted(speeds, voltages), speeds, voltages)
    if not off or len(speeds) < 4:
        # Any two pairs lie on a line, so of three nobody can say which is wrong.
        return off
    without = [([*speeds[:i], *speeds[i + 1 :]], [*voltages[:i], *voltages[i + 1 :]]) for i in range(len(speeds))]
    alone = [i for i, rest in enumerate(without) if not _off(_fitted(*rest), *rest)]
    return tuple(alone) if len(alone) == 1 else off


def _line(w: list[AffineScalarFunc], v: list[AffineScalarFunc]) -> SpinTest:
    """Straight line of least squares through points whose both numbers are uncertain."""
    n = len(w)
    w_mean, v_mean = sum(w) / n, sum(v) / n
    across = sum((a - w_mean) ** 2 for a in w)
    k = sum((a - w_mean) * (b - v_mean) for a, b in zip(w, v, strict=True)) / across
    kept = k * w_mean - v_mean
    wide, middle = across.nominal_value, w_mean.nominal_value
    off = [(b - k * a + kept).nominal_value for a, b in zip(w, v, strict=True)]
    scatter = math.sqrt(sum(x * x for x in off) / (n - 2)) if n > 2 else 0.0
    return SpinTest(
        k.nominal_value,
        COVERAGE * math.hypot(k.std_dev, scatter / math.sqrt(wide)),
        kept.nominal_value,
        COVERAGE * math.hypot(kept.std_dev, scatter * math.sqrt(1.0 / n + middle * middle / wide)),
    )
