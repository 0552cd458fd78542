"""A battery as the hours see it, and what became of the energy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.physics.arrays import Array
from calc.units import Num

#: Tenths of the usable part of the battery.
TENTHS = 10


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


def over_years(x: Array) -> tuple[Array, Array, Array]:
    """Low, middle and high of a yearly result: a tenth, half and nine tenths of the years lie below.

    Examples
    --------
    >>> [float(q) for q in over_years(np.arange(11.0))]
    [1.0, 5.0, 9.0]
    """
    low, middle, high = np.quantile(x, (0.1, 0.5, 0.9), axis=-1)
    return low, middle, high
