"""Where the tables of sections that a rotor is computed from end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import curves_from_shape
from calc.machine.site import air_viscosity
from calc.physics import air, polar
from calc.physics.arrays import Array
from calc.units import Num

#: Mach number of the tips from which lift and drag are no longer those of slow air, on which all tables rest: drag
#: rises steeply, sooner for a bent plate than for a wing. From memory.
FAST_TIPS = 0.6


@dataclass(frozen=True, slots=True)
class Extremes:
    """How far a turning rotor goes beyond what its sections were tabled for.

    Parameters
    ----------
    mach : array, shape (...,)
        Mach number of the tips.
    reynolds, least, most : float
        The Reynolds number of the outer half, where nine tenths of the power are made, that lies farthest out, and the
        ends of the table; all not numbers where the blades' shape is not known.
    """

    mach: Array
    reynolds: float
    least: float
    most: float

    @property
    def fast(self) -> bool:
        """Whether the tips are too fast for the tables."""
        return bool(np.any(self.mach > FAST_TIPS))

    @property
    def outside(self) -> bool:
        """Whether Reynolds numbers lie outside the table, whose last row is then used."""
        return self.reynolds < self.least or self.reynolds > self.most


def extremes(x: Inputs, V: Num, omega: Num) -> Extremes:
    """How far the rotor of a sheet goes, turning at a speed [rad/s] in a wind [m/s]; for single values only."""
    R = x.rotor.diameter / 2.0
    mach = np.asarray(omega * R / air.speed_of_sound(x.site.air_temperature))
    curves = None if x.given(Sheet.rotor.free_tip_speed_ratio) else curves_from_shape(x)
    if curves is None or curves.shape is None or np.any(np.asarray(omega) <= 0):
        return Extremes(mach, np.nan, np.nan, np.nan)
    shape = curves.shape
    plates = polar.arc_plate(shape.camber, shape.thickness) if curves.section is None else curves.section  # type: ignore[arg-type]
    outer = shape.r >= shape.R / 2.0
    Re = np.asarray(air.reynolds(V, omega * shape.r[outer] / V, shape.chord[outer], air_viscosity(x)))
    least, most = (float(end) for end in np.exp(plates.log_re[[0, -1]]))
    far = Re[~plates.inside(Re)]
    worst = Re.max() if not far.size else far[np.argmax(np.abs(np.log(far / np.sqrt(least * most))))]
    return Extremes(mach, float(worst), least, most)
