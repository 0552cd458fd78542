"""The power curve that loggers measured, as the sheet carries it, beside the computed one."""

from __future__ import annotations

import numpy as np

from calc.curve.shape import CurvePoint
from calc.machine.catalogue import Sheet
from calc.machine.design import Design
from calc.machine.solving import Solved
from calc.physics.arrays import Array


def measured_bins(design: Design) -> tuple[Array, Array, Array, Array]:
    """Wind [m/s], power [W], its doubt [W] and minutes of each bin with enough, by wind, shape (..., bins)."""
    at = Sheet.curve
    labels = sorted(design.labels(at), key=lambda label: float(np.mean(design.get(at.wind[label]) or 0.0)))
    columns = (at.wind, at.power, at.doubt, at.count)
    V, P, u, n = (
        np.stack(np.broadcast_arrays(*(np.asarray(design.get(entry[label]), dtype=float) for label in labels)), axis=-1)
        if labels
        else np.empty(0)
        for entry in columns
    )
    return V, P, u, n


def measured_points(design: Design) -> tuple[CurvePoint, ...]:
    """The same of one design, bin by bin; none where no logger wrote of the machine."""
    return tuple(CurvePoint(*map(float, row)) for row in np.stack(measured_bins(design), axis=-1))


def computed_at(solved: Solved, winds: Array) -> Array:
    """Power out of the cable in the winds of the bins, shape (..., bins), in [W]."""
    return np.asarray(solved.running(np.maximum(winds, 0.3)).charge)
