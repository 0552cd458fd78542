"""Energy of a year from a measured power curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.curve.bins import WIDTH, Bins
from calc.curve.uncertainty import Doubt
from calc.physics import wind
from calc.physics.arrays import Array
from calc.physics.calendar import YEAR

#: Wind up to which the last bin's power is taken to hold, where nothing is known of furling or stopping. [m/s]
CUT_OUT = 25.0
#: Share of the energy up to :data:`CUT_OUT` that the filled bins must hold, for a year to count as measured. IEC
#: 61400-12-1, from memory.
COMPLETE = 0.95


@dataclass(frozen=True, slots=True)
class YearAt:
    """Energy of a year in one mean wind, in [J].

    Parameters
    ----------
    mean : float
        Mean wind at the rotor. [m/s]
    measured : float
        From the bins that were filled, nothing above the last.
    held : float
        The same, the last bin's power taken to hold up to :data:`CUT_OUT`.
    doubt : float
        One standard deviation of ``measured``.
    """

    mean: float
    measured: float
    held: float
    doubt: float

    @property
    def complete(self) -> bool:
        """Whether what was measured is nearly all there could be."""
        return self.measured >= COMPLETE * self.held


def year_sum(V: Array, P: Array, mean: float, k: float = 2.0) -> float:
    """The same sum for any curve over winds that rise, with nothing above the last, in [J]; see :func:`year_at`."""
    share, _ = _shares(V, mean, k)
    return YEAR * float(np.sum(share * (np.concatenate([[0.0], P[:-1]]) + P) / 2.0))


def _shares(V: Array, mean: float, k: float) -> tuple[Array, Array]:
    """How often the wind lies between each bin's mean and that of the one before; and the distribution at each."""
    c = float(wind.weibull_scale(mean, k))
    F = np.asarray(wind.weibull_cdf(np.concatenate([[max(V[0] - WIDTH, 0.0)], V]), c, k))
    return np.diff(F), F


def year_at(bins: Bins, u: Doubt, mean: float, k: float = 2.0) -> YearAt:
    r"""Energy of a year with the wind spread about a mean.

    .. math:: E = N_h \sum_i [F(V_i) - F(V_{i-1})] \frac{P_{i-1} + P_i}{2}, \quad F(V) = 1 - e^{-(V/c)^k}

    Parameters
    ----------
    bins : Bins
        The curve; only bins with enough minutes count, and between them the power is taken to go straight.
    u : Doubt
        Its doubt: what scatters adds up at random over the bins, what the instruments add lies one way in all of them.
    mean : float
        Mean wind at the rotor. [m/s]
    k : float
        Weibull shape; 2 is the distribution of Rayleigh that the standard takes.

    Returns
    -------
    year : YearAt
        For a year of 8760 hours in which nothing is stopped.

    Raises
    ------
    ValueError
        If no bin holds enough.

    References
    ----------
    .. [1] IEC 61400-12-1, annual energy production and its uncertainty; from memory.
    """
    kept = bins.enough
    if not kept.any():
        raise ValueError("no bin of the measured curve holds ten minutes")
    V, P = bins.wind[kept], bins.power[kept]
    share, F = _shares(V, mean, k)
    measured = year_sum(V, P, mean, k) / YEAR
    top = float(wind.weibull_cdf(max(CUT_OUT, V[-1]), float(wind.weibull_scale(mean, k)), k))
    held = measured + float(P[-1]) * (top - float(F[-1]))
    off = np.sqrt(np.sum((share * u.a[kept]) ** 2) + np.sum(share * u.b[kept]) ** 2)
    return YearAt(mean, YEAR * measured, YEAR * held, YEAR * float(off))
