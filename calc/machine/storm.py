"""The rotor and its generator with nothing connected: in the strongest gust, and where something holds it back."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.drive import drive_lacks, rotor_emf
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import curves_from_shape, free_ratio, is_vertical
from calc.machine.site import air_density, gust_wind
from calc.machine.solving import held_wind, nothing_limits
from calc.physics import generator, wind
from calc.units import Num


@dataclass(frozen=True, slots=True)
class Unloaded:
    """The generator with nothing connected: wind [m/s], speed [rad/s] and voltages [V]."""

    wind: Num
    speed: Num
    peak: Num
    mean: Num
    between_leads: Num


def unloaded_in_storm(x: Inputs) -> Unloaded | None:
    """What the generator gives with nothing connected in the strongest gust, or None where the sheet cannot tell."""
    return x.shared("storm", lambda x: _unloaded(x, gust_wind))


def unloaded_held(x: Inputs) -> Unloaded | None:
    """The same where the rotor begins to be held back by itself; None where nothing is said to do that.

    This is what it gives in operation, open circuit included; the gust is for when that means fails.
    """
    return None if nothing_limits(x) else x.shared("held", lambda x: _unloaded(x, _held_wind))


def _held_wind(x: Inputs) -> Num:
    return cast(Num, np.minimum(held_wind(x), gust_wind(x)))


def _unloaded(x: Inputs, blows: Callable[[Inputs], Num]) -> Unloaded | None:
    k, D = x.maybe(Sheet.generator.emf_constant), x.maybe(Sheet.rotor.diameter)
    form, phases = str(x.maybe(Sheet.generator.emf_form)), str(x.maybe(Sheet.generator.phases))
    if k is None or D is None or (phases == "single-phase" and form == "lead to star point, RMS"):
        return None
    if drive_lacks(x) or is_vertical(x):
        return None
    k, V = rotor_emf(x), blows(x)
    omega = wind.rotor_speed(V, D, free_ratio(x, V))
    return Unloaded(
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


def read_in_wind(x: Inputs) -> bool:
    """Whether the rotor's speed was read while the wind was on record."""
    at = Sheet.measured
    return any(
        x.maybe(at.quantity[n]) == "rotor.speed" and x.maybe(at.wind_low[n]) is not None
        for n in x.labels(Sheet.measured)
    )
