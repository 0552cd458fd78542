"""A battery hour by hour through the years: what it carries, how long it is empty, what is thrown away.

All variants share one weather, the fair way to compare them and the only one that fits into memory. Everything but
the charge of the battery is worked out for many hours at once; only the charge goes from hour to hour.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

from calc.physics.synthetic_wind import HOURS
from calc.units import Num

Array: TypeAlias = "NDArray[np.float64]"

HOUR = 3600.0
# Hours worked out at once for few and for many variants: a year is a whole number of them, and the arrays stay within
# the processor's cache, which makes four times the difference.
_CHUNKS, _MANY = (120, 24), 200
#: Tenths of the usable part of the battery.
TENTHS = 10
# A shortfall below this share of the demand, or a surplus below this share of the supply, is rounding.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Bank:
    """A battery as the hours see it. Every number may be an array of variants.

    Parameters
    ----------
    energy : float or array, shape (...,)
        Usable energy, after depth of discharge, cold and age. [J]
    efficiency : float or array, shape (...,)
        Energy given back over energy put in; all of the loss is counted while charging. []
    charge_power : float or array, shape (...,)
        Greatest power into the battery. [W]
    discharge_power : float or array, shape (...,)
        Greatest power out of it. [W]
    dump_power : float or array, shape (...,)
        Power the dump load takes when the battery cannot. [W]
    start : float or array, shape (...,)
        Share of the usable energy in it at the beginning. []
    """

    energy: Num
    efficiency: Num = 0.85
    charge_power: Num = np.inf
    discharge_power: Num = np.inf
    dump_power: Num = np.inf
    start: Num = 1.0

    def __post_init__(self) -> None:
        """Refuse what no battery is like."""
        for name in ("energy", "charge_power", "discharge_power", "dump_power"):
            if not np.all(np.asarray(getattr(self, name)) >= 0):
                raise ValueError(f"{name} of a battery cannot be negative")
        if not np.all((np.asarray(self.efficiency) > 0) & (np.asarray(self.efficiency) <= 1)):
            raise ValueError("the efficiency of a battery lies between 0 and 1")
        if not np.all((np.asarray(self.start) >= 0) & (np.asarray(self.start) <= 1)):
            raise ValueError("the share at the beginning lies between 0 and 1")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of the energy, year by year; the last year may be shorter. Arrays of shape (..., years).

    Parameters
    ----------
    generated, demanded, met : array
        Energy from the machine at the battery; asked for by the loads there; given to them. [J]
    charged, drawn : array
        Energy into the battery, and out of it. [J]
    dumped, refused : array
        Surplus that the dump load took, and surplus that neither battery nor dump load could take, which the
        machine must be kept from making. [J]
    unmet : array
        Time in which some of the demand was not met. [s]
    dark : array
        Longest spell without full supply, from the first unmet hour to the last before an hour is met in full.
        A spell that began in the year before counts with its whole length. [s]
    depth : array, shape (..., years, 10)
        Days by how deep the battery was discharged in them, in tenths of its usable part.
    cycles : array
        Energy drawn over the usable energy: equivalent full cycles, none where there is no battery. []
    stored : array, shape (..., 2)
        Energy in the battery at the beginning and at the end. [J]
    lost : array
        Energy lost while charging. [J]
    """

    generated: Array
    demanded: Array
    met: Array
    charged: Array
    drawn: Array
    dumped: Array
    refused: Array
    unmet: Array
    dark: Array
    depth: Array
    cycles: Array
    stored: Array
    lost: Array

    @property
    def share_met(self) -> Array:
        """Share of the demand that was met."""
        return self.met / self.demanded

    @property
    def imbalance(self) -> Array:
        """Energy that came and did not go, as a share of what came: rounding only, shape (...,)."""
        came = self.generated.sum(-1) + self.stored[..., 0]
        went = (self.met + self.dumped + self.refused + self.lost).sum(-1) + self.stored[..., 1]
        return cast(Array, (came - went) / np.where(came > 0, came, 1.0))


def over_years(x: Array) -> tuple[Array, Array, Array]:
    """Low, middle and high of a yearly result: a tenth, half and nine tenths of the years lie below.

    Examples
    --------
    >>> [float(q) for q in over_years(np.arange(11.0))]
    [1.0, 5.0, 9.0]
    """
    low, middle, high = np.quantile(x, (0.1, 0.5, 0.9), axis=-1)
    return low, middle, high


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
    run = _Run(n, V, V_grid, P, load, bank)
    step = _CHUNKS[n > _MANY]
    for begin in range(0, V.size, step):
        run.chunk(begin, min(begin + step, V.size))
        if tell is not None:
            tell(min(begin + step, V.size) / V.size)
    return run.outcome(shape)


@dataclass(frozen=True, slots=True)
class Hours:
    """One variant hour by hour. Arrays of shape (hours,) but for ``stored``.

    Parameters
    ----------
    wind : array
        Mean wind of the hour. [m/s]
    generated, demanded, unmet : array
        Power from the machine at the battery, asked for by the loads there, and not given to them. [W]
    stored : array, shape (hours + 1,)
        Energy in the battery at the beginning of each hour and at the end of the last. [J]
    energy : float
        Usable energy of the battery. [J]
    """

    wind: Array
    generated: Array
    demanded: Array
    unmet: Array
    stored: Array
    energy: float

    def worst(self, hours: int) -> int:
        """First hour of the whole days, ``hours`` long, that leave most unmet; where none do, that are emptiest.

        Raises
        ------
        ValueError
            If the series is shorter.
        """
        first = np.arange(0, self.wind.size - hours + 1, 24)
        if not first.size:
            raise ValueError("the series is shorter than what is looked for in it")

        def over(x: Array) -> Array:
            total = np.concatenate([[0.0], np.cumsum(x)])
            return cast(Array, total[first + hours] - total[first])

        unmet = over(self.unmet)
        return int(first[np.argmax(unmet) if unmet.any() else np.argmin(over(self.stored[:-1]))])


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
    run = _Run(1, V, V_grid, P, load, bank)
    came, asked, _, deficit, level = run.flows(0, V.size)
    drawn = np.maximum(-np.diff(level, axis=0), 0.0)
    unmet = run.short(asked, deficit, drawn)
    return Hours(V, came[:, 0] / HOUR, asked[:, 0] / HOUR, unmet[:, 0] / HOUR, level[:, 0], float(run.energy[0]))


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


class _Run:
    """The tallies of one run, with variants along the last axis, where they lie side by side in memory."""

    def __init__(self, n: int, V: Array, V_grid: Array, P: Array, load: Array, bank: Bank) -> None:
        def wide(x: Num) -> Array:
            return np.array(np.broadcast_to(np.asarray(x, dtype=float), (n,)))

        self.V, self.V_grid = V, V_grid
        self.P = np.ascontiguousarray(np.broadcast_to(P, (n, V_grid.size)).T)
        self.load = np.ascontiguousarray(np.broadcast_to(load, (n, 24)).T)
        self.energy, self.efficiency = wide(bank.energy), wide(bank.efficiency)
        # What one hour can add to the battery, and take from it. [J]
        self.most_in = wide(bank.charge_power) * self.efficiency * HOUR
        self.most_out = wide(bank.discharge_power) * HOUR
        self.dump = wide(bank.dump_power) * HOUR
        self.stored = wide(bank.start) * self.energy
        self.first = self.stored.copy()
        years = -(-V.size // HOURS)
        names = ("generated", "demanded", "met", "charged", "drawn", "dumped", "refused", "unmet", "dark", "lost")
        self.tally = {name: np.zeros((years, n)) for name in names}
        self.depth = np.zeros((years, TENTHS, n))
        self.spell = np.zeros(n)

    def chunk(self, begin: int, end: int) -> None:
        """Take the hours from ``begin`` to ``end`` further, all in one year."""
        year = begin // HOURS
        came, asked, surplus, deficit, level = self.flows(begin, end)
        moved = np.diff(level, axis=0)
        kept = np.maximum(moved, 0.0)
        drawn = np.subtract(kept, moved, out=moved)
        short = self.short(asked, deficit, drawn)
        spare = np.subtract(surplus, kept / self.efficiency, out=surplus)
        np.maximum(spare, 0.0, out=spare)
        refused = np.maximum(spare - self.dump, 0.0)
        dark = short > 0
        put, passed, demanded = kept.sum(axis=0), refused.sum(axis=0), asked.sum(axis=0)
        for name, x in (
            ("generated", came.sum(axis=0)),
            ("demanded", demanded),
            ("met", demanded - short.sum(axis=0)),
            ("charged", put / self.efficiency),
            ("drawn", drawn.sum(axis=0)),
            ("dumped", spare.sum(axis=0) - passed),
            ("refused", passed),
            ("unmet", dark.sum(axis=0) * HOUR),
            ("lost", put / self.efficiency - put),
        ):
            self.tally[name][year] += x
        self._darkness(year, dark, ~dark & (asked > 0))
        self._depth(year, level[1:])

    def flows(self, begin: int, end: int) -> tuple[Array, Array, Array, Array, Array]:
        """Energy that came, was asked for, was over and was wanting in each hour, and the battery's at its ends."""
        came = self._generated(self.V[begin:end])
        asked = np.tile(self.load, ((end - begin) // 24, 1)) * HOUR
        surplus = came - asked
        deficit = np.maximum(-surplus, 0.0)
        np.maximum(surplus, 0.0, out=surplus)
        change = np.minimum(surplus * self.efficiency, self.most_in)
        change -= np.minimum(deficit, self.most_out)
        return came, asked, surplus, deficit, self._charge(change)

    def short(self, asked: Array, deficit: Array, drawn: Array) -> Array:
        """Energy that was asked for and not given, in place of ``deficit``."""
        short = np.subtract(deficit, drawn, out=deficit)
        short[short < _ROUNDING * asked] = 0.0
        return short

    def _generated(self, V: Array) -> Array:
        """Energy from the machine in each hour, by straight lines between the points of the power curve."""
        right = np.clip(np.searchsorted(self.V_grid, V, side="right"), 1, self.V_grid.size - 1)
        low, high = self.V_grid[right - 1], self.V_grid[right]
        share = ((V - low) / (high - low))[:, None]
        return (self.P[right - 1] * (1.0 - share) + self.P[right] * share) * HOUR

    def _charge(self, change: Array) -> Array:
        """Energy in the battery before and after each hour: the one thing that goes from hour to hour."""
        level = np.empty((change.shape[0] + 1, change.shape[1]))
        level[0] = self.stored
        for before, after, step in zip(level[:-1], level[1:], change, strict=True):
            np.add(before, step, out=after)
            np.maximum(after, 0.0, out=after)
            np.minimum(after, self.energy, out=after)
        self.stored = level[-1].copy()
        return level

    def _darkness(self, year: int, dark: NDArray[np.bool_], bright: NDArray[np.bool_]) -> None:
        """Lengthen or end the spells in which the demand is not met; hours without demand do neither."""
        if not dark.any() and bright.any(axis=0).all():
            self.spell[:] = 0.0
            return
        longest = self.tally["dark"][year]
        for is_dark, lit in zip(dark, ~bright, strict=True):
            self.spell += is_dark | (self.spell > 0)
            self.spell *= lit
            np.maximum(longest, self.spell * is_dark * HOUR, out=longest)

    def _depth(self, year: int, level: Array) -> None:
        lowest = level.reshape(-1, 24, level.shape[1]).min(axis=1)
        with np.errstate(invalid="ignore"):
            depth = np.where(self.energy > 0, 1.0 - lowest / self.energy, 1.0)
        tenth = np.minimum((depth * TENTHS).astype(int), TENTHS - 1)
        for i in range(TENTHS):
            self.depth[year, i] += (tenth == i).sum(axis=0)

    def outcome(self, shape: tuple[int, ...]) -> Outcome:
        """Give the tallies with variants first again, or without that axis if there was none."""

        def turned(x: Array) -> Array:
            x = np.moveaxis(x, -1, 0)
            return x if shape else x[0]

        drawn = self.tally["drawn"]
        cycles = np.divide(drawn, self.energy, out=np.zeros_like(drawn), where=self.energy > 0)
        return Outcome(
            depth=turned(self.depth),
            cycles=turned(cycles),
            stored=turned(np.stack([self.first, self.stored])),
            **{name: turned(x) for name, x in self.tally.items()},
        )
