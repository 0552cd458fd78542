"""How a measured curve stands to the computed one: as it, in part of it, shifted to other winds, or cut off."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calc.curve.bins import Bins
from calc.curve.uncertainty import Doubt
from calc.physics.arrays import Array, Index

#: Doubt of the computed curve beside that of its inputs, as a share of it. Own estimate.
MODEL = 0.08
#: Doubt of the wind in all bins alike. Own estimate.
CUP = 0.04
#: Power below this share of the greatest computed tells nothing of how the curve stands. Own choice.
TOLD = 0.03
#: How much better than as computed, and than the next shape, one must fit, in halves of a chi-square. Own choice.
BETTER = 3.0
#: Bins with enough that it takes to tell one shape from another. Own choice.
BINS = 5


class CurveForm(StrEnum):
    """What sets the measured curve apart from the computed one."""

    AS_COMPUTED = "as computed"
    PART = "a share of it"
    SHIFTED = "shifted"
    CUT_OFF = "cut off"
    OTHER = "of another shape"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One bin with enough: wind [m/s], mean power [W], its doubt as one standard deviation [W], minutes."""

    wind: float
    power: float
    doubt: float
    count: float


@dataclass(frozen=True, slots=True)
class CurveShape:
    """How a measured curve stands to the computed one.

    Parameters
    ----------
    form : CurveForm
        What fits best.
    amount : float
        Share of the computed power; how many times the wind it needs for the same power; or the power that it does
        not pass [W]. Not a number where nothing is told.
    share, doubt : float
        Measured over computed power in the minutes that were recorded, and one standard deviation of it.
    low, middle, high : float
        The same in each third of the bins that tell; not a number where there are none.
    least, most : float
        Measured over computed power in the bin where that is least, and where it is most, of those that tell.
    """

    form: CurveForm
    amount: float
    share: float
    doubt: float
    low: float = float("nan")
    middle: float = float("nan")
    high: float = float("nan")
    least: float = float("nan")
    most: float = float("nan")


def points_of(bins: Bins, u: Doubt) -> tuple[CurvePoint, ...]:
    """The bins with enough of a curve, as the rules see them."""
    columns = (bins.wind, bins.power, u.total, bins.count)
    return tuple(CurvePoint(*map(float, row)) for row in np.stack(columns, axis=-1)[bins.enough])


def shape_of(points: tuple[CurvePoint, ...], winds: Array, computed: Array) -> CurveShape:
    """Hold a measured curve against the computed one.

    Parameters
    ----------
    points : tuple of CurvePoint
        The measured curve.
    winds, computed : array, shape (winds,)
        The computed curve, in air of the same density. [m/s], [W]

    Returns
    -------
    shape : CurveShape
        Each form has one number that is fitted by least squares; the simplest that explains as much as any is told.

    Notes
    -----
    Own reasoning, no source. The doubt of a bin and that of the model (:data:`MODEL`) count as if independent.
    """
    V, P, u, n = (np.array([getattr(p, name) for p in points]) for name in ("wind", "power", "doubt", "count"))
    there = np.interp(V, winds, computed) if V.size else V
    top = float(np.max(there, initial=0.0))
    tells = there > TOLD * top if top > 0 else np.zeros(V.size, dtype=bool)
    if not tells.any():
        return CurveShape(CurveForm.CANNOT_TELL, np.nan, np.nan, np.nan)
    weight = n[tells] / n[tells].sum()
    asked = float(np.sum(weight * there[tells]))
    share = float(np.sum(weight * P[tells])) / asked
    # What instruments add lies one way in all bins: the plain sum.
    doubt = float(np.sum(weight * u[tells])) / asked
    parts = [_share(P, there, n, at) for at in np.array_split(np.flatnonzero(tells), 3)]
    each = P[tells] / there[tells]
    parts += [float(each.min()), float(each.max())]
    if tells.sum() < BINS:
        return CurveShape(CurveForm.CANNOT_TELL, np.nan, share, doubt, *parts)
    form, amount = _form(V, P, u, there, winds, computed, share)
    return CurveShape(form, amount, share, doubt, *parts)


def _share(P: Array, there: Array, n: Array, at: Index) -> float:
    return float(np.sum(n[at] * P[at]) / np.sum(n[at] * there[at])) if at.size else float("nan")


def _form(
    V: Array, P: Array, u: Array, there: Array, winds: Array, computed: Array, share: float
) -> tuple[CurveForm, float]:
    scale = np.sqrt(u**2 + (MODEL * there) ** 2 + (0.01 * there.max()) ** 2)

    def off(shown: Array) -> float:
        return float(np.sum(np.minimum(((P - shown) / scale) ** 2, 25.0))) / 2.0

    # What is wrong with all bins alike, of the power or of the wind, sets no curve apart within its doubt.
    plain = min(
        off(f * np.interp(V / s, winds, computed)) + ((f - 1.0) / MODEL) ** 2 / 2.0 + ((s - 1.0) / CUP) ** 2 / 2.0
        for f in np.linspace(0.76, 1.24, 17)
        for s in np.linspace(0.88, 1.12, 13)
    )
    factors = np.geomspace(0.05, 3.0, 240)
    tops = np.linspace(0.05, 1.0, 96) * there.max()
    found = [
        min((off(f * there), CurveForm.PART, f) for f in factors),
        min((off(np.interp(V / f, winds, computed)), CurveForm.SHIFTED, f) for f in np.geomspace(0.5, 2.5, 240)),
        min((off(np.minimum(there, top)), CurveForm.CUT_OFF, top) for top in tops),
    ]
    best, form, amount = min(found)
    if plain - best < BETTER:
        return CurveForm.AS_COMPUTED, share
    # As many bins must be explained as there are: half a chi-square each, and a good deal to spare.
    if best > 2.0 * len(V):
        return CurveForm.OTHER, np.nan
    return form, float(amount)
