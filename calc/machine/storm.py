"""The rotor and its generator with nothing connected in the strongest gust."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.drive import drive_lacks, rotor_emf
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import curves_from_shape, free_ratio, is_vertical
from calc.machine.site import air_density, gust_wind
from calc.physics import generator, wind
from calc.units import Num


@dataclass(frozen=True, slots=True)
class UnloadedInStorm:
    """The generator with nothing connected in the strongest gust: wind [m/s], speed [rad/s] and voltages [V]."""

    wind: Num
    speed: Num
    peak: Num
    mean: Num
    between_leads: Num


def unloaded_in_storm(x: Inputs) -> UnloadedInStorm | None:
    """What the generator gives with nothing connected in the strongest gust, or None where the sheet cannot tell."""
    return x.shared("storm", _storm)


def _storm(x: Inputs) -> UnloadedInStorm | None:
    k, D = x.maybe(Sheet.generator.emf_constant), x.maybe(Sheet.rotor.diameter)
    form, phases = str(x.maybe(Sheet.generator.emf_form)), str(x.maybe(Sheet.generator.phases))
    if k is None or D is None or (phases == "single-phase" and form == "lead to star point, RMS"):
        return None
    if drive_lacks(x) or is_vertical(x):
        return None
    k, V = rotor_emf(x), gust_wind(x)
    omega = wind.rotor_speed(V, D, free_ratio(x, V))
    return UnloadedInStorm(
        V,
        omega,
        omega * generator.emf_peak(k, form, phases),
        omega * generator.emf_rectified(k, form, phases),
        omega * generator.emf_between_leads(k, form, phases),
    )


def follows(x: Inputs) -> Num | None:
    r"""How quickly the bare rotor follows a gust with nothing connected, or None where its blades are not known.

    .. math:: \tau = \frac{B I_B}{\rho \pi R^4 V\, |dC_Q / d\lambda| / 2}

    Time in which it makes up two thirds of what it lags behind, in the strongest gust; the generator's own inertia is
    not counted. A gust lasts three seconds, so a rotor is taken to follow it fully: light ones do, and for heavy ones
    the speed is then rather too high.
    """
    curves = curves_from_shape(x)
    if curves is None or curves.masses is None:
        return None
    V, R = gust_wind(x), x.rotor.diameter / 2.0
    cq, at = curves.cq[..., -1, :], np.asarray(curves.free(V))[..., None]
    step = float(curves.tsr[1])
    before = np.clip(np.round(at / step).astype(int) - 5, 0, len(curves.tsr) - 1)
    rows = np.broadcast_to(cq, (*before.shape[:-1], cq.shape[-1]))
    slope = np.take_along_axis(rows, before, axis=-1)[..., 0] / np.maximum(at[..., 0] - before[..., 0] * step, step)
    stiffness = 0.5 * air_density(x) * math.pi * R**4 * V * np.maximum(slope, 1e-6)
    return np.asarray(x.rotor.blades * curves.masses.inertia / stiffness)
