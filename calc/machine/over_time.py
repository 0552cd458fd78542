"""The machine on a sheet, hour by hour through the years: where the sheet's words become arrays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from calc.machine.battery import charge_limit, usable_share
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import battery_need, monthly_means
from calc.machine.site import hub_wind
from calc.physics import storage as cells
from calc.physics import storage_time
from calc.physics.arrays import Array
from calc.physics.storage_time import Bank, Hours, Outcome
from calc.physics.synthetic_wind import Climate, hourly

#: Winds of the power curve; the last is beyond any hourly mean that places where people live have seen. [m/s]
GRID = np.arange(0.0, 60.5, 0.5)
#: What :func:`through_years` looks for on the sheet, beside what the power curve was made from.
YEARS_NEEDS = (
    Sheet.site.mean_wind,
    Sheet.site.wind_height,
    Sheet.site.ground,
    Sheet.site.wind_spread,
    Sheet.mast.height,
    Sheet.storage.chemistry,
    Sheet.storage.voltage,
    Sheet.storage.capacity,
)


def climate(x: Inputs) -> Climate | Unknown:
    """The wind at the rotor; of sampled designs, the mean of them, as all variants share one weather."""
    hub, months = hub_wind(x), monthly_means(x)
    if isinstance(hub, Unknown):
        return hub
    seasons = None if months is None else tuple(float(np.mean(m)) for m in months)
    return Climate(float(np.mean(hub)), float(np.mean(x.site.wind_spread)), months=seasons)


def usable_bank(x: Inputs) -> Bank | Unknown:
    """The battery as the hours see it: usable energy after depth, cold and age, limits of charging, dump load."""
    Q, V, need = x.storage.capacity, x.storage.voltage, battery_need(x)
    if isinstance(need, Unknown):
        return need
    usable = usable_share(x, need.mean / V)
    if isinstance(usable, Unknown):
        return usable
    dump = 0.0 if x.maybe(Sheet.dump.kind) in (None, "none") else x.maybe(Sheet.dump.power)
    return Bank(
        energy=Q * V * usable,
        efficiency=cells.cell(x.storage.chemistry).efficiency,
        charge_power=V * charge_limit(x).amps,
        dump_power=0.0 if dump is None else dump,
    )


def through_years(
    x: Inputs,
    V_grid: Array,
    P: Array,
    years: int = 20,
    seed: int = 20240229,
    wind: Array | None = None,
    tell: Callable[[float], None] | None = None,
    storage: float = 1.0,
) -> Outcome | Unknown:
    """Take the machine on the sheet through years of wind.

    Parameters
    ----------
    x : Inputs
        A sheet, or samples of one, that has :data:`YEARS_NEEDS` and loads.
    V_grid : array, shape (m,)
        Wind speeds at the rotor, from 0 to beyond any wind that comes. [m/s]
    P : array, shape (m,) or (n, m)
        Power at the battery at those speeds. [W]
    years, seed : int
        Length and seed of the made-up weather.
    wind : array, shape (hours,), optional
        A measured series at the height of the rotor in place of it. [m/s]
    tell : callable, optional
        Called now and then with the share of the hours that is done.
    storage : float, optional
        Size of the battery, as so many times that of the sheet, to see what another would do. []

    Returns
    -------
    outcome : Outcome or Unknown
        Year by year, with a leading axis of variants where the sheet or the power curve has one.

    Notes
    -----
    Samples that differ in mean wind share the rise and fall of one weather, each at its own level. A made-up wind
    beyond the end of the grid is an error, as nothing says what the machine does there.
    """
    weather, battery, need = climate(x), usable_bank(x), battery_need(x)
    if isinstance(weather, Unknown):
        return weather
    if isinstance(battery, Unknown):
        return battery
    if isinstance(need, Unknown):
        return need
    battery = replace(battery, energy=storage * battery.energy, charge_power=storage * battery.charge_power)
    level = np.asarray(hub_wind(x)) / weather.mean
    if wind is None and level.ndim:
        common = V_grid[V_grid * level.max() <= V_grid[-1]]
        P = storage_time.on_grid(common, V_grid / level[:, None], np.broadcast_to(P, (level.size, V_grid.size)))
        V_grid = common
    series: NDArray[np.float64] = hourly(weather, years, seed) if wind is None else wind
    return storage_time.simulate(series, V_grid, P, need.by_hour, battery, tell)


def every_hour(
    x: Inputs, V_grid: Array, P: Array, years: int = 1, seed: int = 20240229, wind: Array | None = None
) -> Hours | Unknown:
    """Take the machine on a sheet, not on samples of one, through its years and tell every hour.

    Parameters
    ----------
    x : Inputs
        A sheet that has :data:`YEARS_NEEDS` and loads.
    V_grid, P, years, seed, wind
        As for :func:`through_years`.

    Returns
    -------
    hours : Hours or Unknown
        The whole series.
    """
    weather, battery, need = climate(x), usable_bank(x), battery_need(x)
    if isinstance(weather, Unknown):
        return weather
    if isinstance(battery, Unknown):
        return battery
    if isinstance(need, Unknown):
        return need
    series: NDArray[np.float64] = hourly(weather, years, seed) if wind is None else wind
    return storage_time.hour_by_hour(series, V_grid, P, need.by_hour, battery)
