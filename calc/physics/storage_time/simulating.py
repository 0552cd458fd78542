"""A battery taken through a series of winds: added up by years, or told hour by hour."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from calc.physics.arrays import Array
from calc.physics.calendar import HOUR
from calc.physics.storage_time.bank import Bank, Hours, Outcome
from calc.physics.storage_time.running import Run


def on_grid(V_grid: Array, V: Array, P: Array) -> Array:
    """Power curves on another grid of wind speeds, for variants that were worked out on grids of their own.

    Parameters
    ----------
    V_grid : array, shape (m,)
        The common grid, in the wind that all variants share. [m/s]
    V : array, shape (j,) or (n, j)
        Wind speeds of each curve, in the same wind: for a higher mast, the speeds at its rotor over the ratio of
        the two winds. [m/s]
    P : array, shape (n, j)
        Power at those speeds. [W]

    Returns
    -------
    P_grid : array, shape (n, m)
        Power on the common grid. [W]

    Raises
    ------
    ValueError
        If a curve does not reach over the whole grid.

    Examples
    --------
    A rotor so high that it has 1.25 times the wind gives at 4 m/s what it would give at 5:

    >>> on_grid(np.array([0.0, 4.0]), np.array([0.0, 5.0, 10.0]) / 1.25, np.array([[0.0, 50.0, 90.0]]))
    array([[ 0., 50.]])
    """
    V = np.broadcast_to(V, P.shape)
    if np.any(V[:, 0] > V_grid[0]) or np.any(V[:, -1] < V_grid[-1]):
        raise ValueError("a power curve ends inside the grid of wind speeds")
    return np.stack([np.interp(V_grid, v, p) for v, p in zip(V, P, strict=True)])


def simulate(
    V: Array, V_grid: Array, P: Array, load: Array, bank: Bank, tell: Callable[[float], None] | None = None
) -> Outcome:
    """Take a battery through a series of winds.

    Parameters
    ----------
    V : array, shape (hours,)
        Mean wind of each hour at the rotor, made up or measured; whole days,
        beginning on 1 January at midnight. [m/s]
    V_grid : array, shape (m,)
        Rising wind speeds of the power curve. [m/s]
    P : array, shape (m,) or (n, m)
        Power at the battery at those speeds, straight lines between. [W]
    load : array, shape (24,) or (n, 24)
        Power the loads take from the battery in each hour of the day, losses of an inverter included. [W]
    bank : Bank
        The battery.
    tell : callable, optional
        Called now and then with the share of the hours that is done.

    Returns
    -------
    outcome : Outcome
        Year by year; with a leading axis of variants if anything given has one.

    Raises
    ------
    ValueError
        If the wind leaves the power curve's grid, the series is not whole days, a power is negative, or the loads
        never run.

    Notes
    -----
    The power curve is taken at the mean wind of the hour; gusts within the hour are not seen. The loads come first,
    then the battery, then the dump load. The bank does not lose charge by itself, and its usable part is the same
    in all seasons.

    Examples
    --------
    A steady 50 W against a steady 60 W, from a full battery of 240 Wh: it lasts a day, then 50 of 60 are met.

    >>> out = simulate(
    ...     np.full(48, 5.0), np.array([0.0, 10.0]), np.array([50.0, 50.0]), np.full(24, 60.0), Bank(240 * 3600.0)
    ... )
    >>> float(out.met[0] / 3600), float(out.dark[0] / 3600), float(out.cycles[0])
    (2640.0, 24.0, 1.0)
    """
    V, V_grid, P, load = (np.asarray(x, dtype=float) for x in (V, V_grid, P, load))
    _check(V, V_grid, P, load)
    shape = np.broadcast_shapes(
        P.shape[:-1], load.shape[:-1], *(np.shape(getattr(bank, name)) for name in Bank.__dataclass_fields__)
    )
    if len(shape) > 1:
        raise ValueError("variants lie along one leading axis")
    n = shape[0] if shape else 1
    run = Run(n, V, V_grid, P, load, bank)
    for begin in range(0, V.size, run.hours):
        end = min(begin + run.hours, V.size)
        run.through(begin, end)
        if tell is not None:
            tell(end / V.size)
    return run.outcome(shape)


def hour_by_hour(V: Array, V_grid: Array, P: Array, load: Array, bank: Bank) -> Hours:
    """What :func:`simulate` adds up, hour by hour, for one variant.

    Parameters
    ----------
    V, V_grid, P, load, bank
        As for :func:`simulate`, without an axis of variants.

    Returns
    -------
    hours : Hours
        The whole series.

    Raises
    ------
    ValueError
        As :func:`simulate`, and if anything given has an axis of variants.

    Examples
    --------
    A steady 50 W against a steady 60 W, from a full battery of 240 Wh:

    >>> got = hour_by_hour(
    ...     np.full(48, 5.0), np.array([0.0, 10.0]), np.array([50.0, 50.0]), np.full(24, 60.0), Bank(240 * 3600.0)
    ... )
    >>> got.stored[[0, 12, 24, 48]] / 3600, got.unmet[[0, 47]]
    (array([240., 120.,   0.,   0.]), array([ 0., 10.]))
    """
    V, V_grid, P, load = (np.asarray(x, dtype=float) for x in (V, V_grid, P, load))
    _check(V, V_grid, P, load)
    if P.ndim > 1 or load.ndim > 1 or any(np.ndim(getattr(bank, name)) for name in Bank.__dataclass_fields__):
        raise ValueError("the hours are told for one variant only")
    run = Run(1, V, V_grid, P, load, bank, hours=V.size)
    run.flow(0, V.size)
    came, asked = np.interp(V, V_grid, P), np.tile(load, V.size // 24)
    return Hours(V, came, asked, run.hourly_unmet()[:, 0] / HOUR, run.level[:, 0], float(run.energy[0]))


def _check(V: Array, V_grid: Array, P: Array, load: Array) -> None:
    if V.ndim != 1 or V.size == 0 or V.size % 24:
        raise ValueError("the series of winds must be whole days, hour by hour")
    if V_grid.ndim != 1 or V_grid.size < 2 or np.any(np.diff(V_grid) <= 0) or P.shape[-1] != V_grid.size:
        raise ValueError("the power curve needs one power for each of its rising wind speeds")
    if not (V.min() >= V_grid[0] and V.max() <= V_grid[-1]):
        raise ValueError(
            f"the wind runs from {V.min():.1f} to {V.max():.1f} m/s, the power curve only from {V_grid[0]:g} to "
            f"{V_grid[-1]:g} m/s"
        )
    if load.shape[-1] != 24 or not np.all(load >= 0) or not np.all(load.sum(-1) > 0):
        raise ValueError("the loads need a power for each of 24 hours, none negative and not all zero")
    if not np.all(P >= 0):
        raise ValueError("the power at the battery cannot be negative")
