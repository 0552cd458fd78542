"""What a year of wind brings, the rotor's two ways of working in the same wind counted.

Where a rotor that was fast keeps on charging, one that comes from rest in the same wind may stay slow. Which of the two
it does depends on the wind before: above the winds with two ways it runs, below them it has come to rest.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from calc.machine.inputs import Inputs, Unknown
from calc.machine.site import YEAR_NEEDS, energy_of_year, hub_wind, over_winds
from calc.machine.solving import Solved, solve_machine
from calc.physics import wind
from calc.physics.arrays import Array
from calc.physics.balance import Operation, Points
from calc.units import Num

#: Share of a year's energy that may depend on how the rotor came to run before it is told. Own choice.
TWO_WAYS = 0.02


@dataclass(frozen=True, slots=True)
class YearOfWind:
    """Energy of a year, shape (...,), in [J].

    Parameters
    ----------
    likely : float or array
        The rotor running as often as the wind makes likely.
    running, from_rest : float or array
        Always kept running by stronger wind before; and started from rest in every wind.
    """

    likely: Num
    running: Num
    from_rest: Num

    @property
    def differs(self) -> bool:
        """Whether it depends on how the rotor came to run, by more than :data:`TWO_WAYS`."""
        return bool(np.any(np.subtract(self.running, self.from_rest) > TWO_WAYS * np.asarray(self.running)))


def running_share(x: Inputs, winds: Array, operation: Operation, Vm: Num) -> Array:
    """How often the rotor runs in winds with two ways of working, as a share, shape (...,).

    It came from above them or from below, and the oftener the wind blows there, the likelier: the time above over the
    time above and below. Own reasoning, no source.
    """
    forked = operation.forked
    first, last = np.argmax(forked, axis=-1), forked.shape[-1] - 1 - np.argmax(forked[..., ::-1], axis=-1)
    k = x.site.wind_spread
    c = wind.weibull_scale(Vm, k)
    below, up_to = (np.asarray(wind.weibull_cdf(winds[at], c, k)) for at in (first, last))
    share = (1.0 - up_to) / np.maximum(1.0 - up_to + below, 1e-12)
    return np.asarray(np.where(forked.any(axis=-1), share, 1.0))


def likely(
    x: Inputs, solved: Solved, winds: Array, operation: Operation, Vm: Num, of: Callable[[Points], Array]
) -> Array:
    """What the machine does in each wind on average, both ways of working counted, shape (..., winds).

    A rotor whose torque at rest is not known is taken as running.
    """
    running, from_rest = of(operation.running), of(operation.standstill)
    if not solved.rotor.starts:
        return running
    share = over_winds(running_share(x, winds, operation, Vm))
    return np.asarray(np.where(operation.forked, from_rest + share * (running - from_rest), running))


def year_of_wind(x: Inputs, solved: Solved, Vm: Num, of: Callable[[Points], Array]) -> YearOfWind:
    """A year of something that the machine does in each wind, such as ``lambda p: p.charge``."""
    operation = solved.operation
    mixed = likely(x, solved, solved.winds, operation, Vm, of)
    still = of(operation.standstill if solved.rotor.starts else operation.running)
    return YearOfWind(*(energy_of_year(x, solved.winds, P, Vm) for P in (mixed, of(operation.running), still)))


def yearly_energy(x: Inputs) -> Num | Unknown:
    """Energy that comes out of the cable in a year [J], or why it cannot be told."""
    solved = solve_machine(x)
    if isinstance(solved, Unknown):
        return solved
    if missing := x.lacks(*YEAR_NEEDS):
        return Unknown("", missing)
    Vm = hub_wind(x)
    return Vm if isinstance(Vm, Unknown) else year_of_wind(x, solved, Vm, lambda p: p.charge).likely
