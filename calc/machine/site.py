"""Air and wind at the rotor."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.physics import air, blade, energy, wind
from calc.physics.arrays import Array
from calc.units import Num, show


def over_winds(x: Num) -> Array:
    """A number per variant with a last axis for the winds."""
    return np.asarray(x, dtype=float)[..., None]


def how_often(x: Inputs, winds: Array, Vm: Num) -> Array:
    """Density with which each wind blows, shape (..., winds)."""
    k = x.site.wind_spread
    return np.asarray(wind.weibull_pdf(winds, over_winds(wind.weibull_scale(Vm, k)), over_winds(k)))


def energy_of_year(x: Inputs, winds: Array, power: Array, Vm: Num) -> Num:
    """Energy of a year from a power over winds, shape (..., winds), in [J]."""
    k = x.site.wind_spread
    mean = energy.mean_power(winds, power, wind.weibull_scale(Vm, k), k + 0.0 * np.asarray(Vm))
    return energy.annual_energy(mean, 0.0, x.site.availability)


AIR_NEEDS = (Sheet.site.air_temperature, Sheet.site.altitude)


HUB_NEEDS = (Sheet.site.mean_wind, Sheet.site.wind_height, Sheet.site.ground, Sheet.mast.height)
#: What a year's energy needs from the sheet.
YEAR_NEEDS = (Sheet.site.wind_spread, Sheet.site.availability, *HUB_NEEDS)


def air_density(x: Inputs) -> Num:
    """Air density at the site, in [kg/m3]."""
    return air.density(x.site.air_temperature, air.pressure(x.site.altitude))


def air_viscosity(x: Inputs) -> Num:
    """Kinematic viscosity of the air at the site, in [m2/s]."""
    return air.viscosity(x.site.air_temperature, air_density(x))


def gust_wind(x: Inputs) -> Num:
    """Strongest gust of three seconds at the rotor, in [m/s]: as stated, or from the storm's ten-minute mean.

    What has no load is taken to follow it fully: a rotor of hand-made blades does within a second, see
    :func:`calc.machine.storm.follows`. What heats up, such as a cable, does not, and is judged in the storm's mean.
    """
    gust = x.else_assume(
        Sheet.site.gust,
        blade.gust(x.site.storm_wind),
        "1.4 times the storm's ten-minute mean, as in IEC 61400-2; read in a reproduction",
    )
    # No gust is lighter than the mean of its storm, whatever the sheet says.
    return cast(Num, np.maximum(gust, x.site.storm_wind))


def hub_wind(x: Inputs) -> Num | Unknown:
    """Mean wind at the rotor's centre, in [m/s]; needs :data:`HUB_NEEDS`."""
    ratio = _up_to_hub(x, x.site.wind_height, x.mast.height)
    return ratio if isinstance(ratio, Unknown) else x.site.mean_wind * ratio


def at_hub(x: Inputs, V: Num, height: Num | None) -> Num | Unknown:
    """A wind known at a height, carried to the rotor's centre; without a height it is taken as that at the rotor."""
    hub = x.maybe(Sheet.mast.height)
    if height is None or hub is None:
        return V
    ratio = _up_to_hub(x, height, hub)
    return ratio if isinstance(ratio, Unknown) else V * float(np.mean(ratio))


def _up_to_hub(x: Inputs, z1: Num, z2: Num) -> Num | Unknown:
    z0 = wind.roughness_length(x.site.ground)
    low = wind.lowest_height(z0)
    below = (np.asarray(z1) < low) | (np.asarray(z2) < low)
    if np.any(below):
        why = f"Over this kind of ground the wind below {show(low, 'm')} follows no known rule"
        return Unknown(why, impossible=below if below.ndim else None)
    return wind.log_profile(1.0, z1, z2, z0)
