"""How the mast swings with the machine at its head, beside how often the rotor shakes it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.machine.inputs import Inputs, Unknown
from calc.machine.mast_loads import mast_model
from calc.machine.site import HUB_NEEDS, hub_wind
from calc.machine.solving import Solved, solve_machine
from calc.machine.structure import top_loads
from calc.physics.arrays import Array
from calc.units import Num

#: Speeds of the diagram from rest to the greatest.
_SPEEDS = 61


@dataclass(frozen=True, slots=True)
class Campbell:
    """Data of the Campbell diagram. Shape (...,) of variants, unless told otherwise.

    Parameters
    ----------
    speed : array, shape (..., speeds)
        Speed of the rotor from rest to its greatest. [rad/s]
    once, each : array, shape (..., speeds)
        How often it shakes the mast: once in each turn, and as each of its blades passes the mast. [Hz]
    blades : float or array
        Number of blades.
    mast : array, shape (...,)
        First natural frequency of the mast with its head. [Hz]
    low, usual, high : float or array
        Speeds at which charging begins, of the mean wind, and of the wind in which it is held back, or the greatest
        without. Low and usual are zero where the machine cannot be solved. [rad/s]
    """

    speed: Array
    once: Array
    each: Array
    blades: Num
    mast: Array
    low: Num
    usual: Num
    high: Num

    def crossings(self) -> tuple[Array, Array]:
        """Speeds at which the mast is shaken as it swings by itself: once a turn, and by each blade, in [rad/s]."""
        return 2.0 * math.pi * self.mast, 2.0 * math.pi * self.mast / np.asarray(self.blades)


def campbell(x: Inputs) -> Campbell | Unknown:
    """The mast's frequency against the rotor's over all its speeds; computed once for all rules and pictures."""
    return x.shared("campbell", _campbell)


def _campbell(x: Inputs) -> Campbell | Unknown:
    of, top = mast_model(x), top_loads(x)
    if isinstance(of, Unknown):
        return of
    if isinstance(top, Unknown):
        return top
    # What guys press without wind softens the mast as well.
    pressed = 0.0 if of.guys is None else np.sum(of.guys.n * of.guys.T_0 * np.sin(of.guys.theta), axis=-1)
    f = of.beam.frequency(of.mu, top.head_mass, pressed)
    low, usual, high = working_speeds(x, top.greatest)
    speed = np.asarray(top.greatest)[..., None] * np.linspace(0.0, 1.0, _SPEEDS)
    once, B = speed / (2.0 * math.pi), x.rotor.blades
    return Campbell(speed, once, np.asarray(B)[..., None] * once, B, f, low, usual, high)


def working_speeds(x: Inputs, greatest: Num) -> tuple[Num, Num, Num]:
    """Speeds [rad/s] at which charging begins, in the mean wind, and at most while it works.

    The first two are zero, and the last the greatest, where the machine cannot be solved.
    """
    solved = solve_machine(x)
    if not isinstance(solved, Solved):
        return 0.0, 0.0, greatest
    omega, winds = solved.operation.running.omega, solved.winds
    low = _at(omega, winds, np.nan_to_num(np.minimum(solved.charging, winds[-1]), nan=winds[0]))
    mean = Unknown("") if x.lacks(*HUB_NEEDS) else hub_wind(x)
    usual = np.zeros(()) if isinstance(mean, Unknown) else _at(omega, winds, mean)
    return low, usual, np.maximum(_at(omega, winds, np.minimum(solved.limit, winds[-1])), low)


def _at(omega: Array, winds: Array, V: Num) -> Array:
    """Speed in a wind between those that were solved; shape (...,)."""
    share = np.clip((np.asarray(V)[..., None] - winds[:-1]) / np.diff(winds), 0.0, 1.0)
    return np.asarray(omega[..., 0] + np.sum(share * np.diff(omega), axis=-1))
