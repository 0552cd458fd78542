"""The generator with nothing connected in the strongest wind."""

from __future__ import annotations

from dataclasses import dataclass

from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import free_ratio
from calc.physics import generator, wind
from calc.units import Num


@dataclass(frozen=True, slots=True)
class UnloadedInStorm:
    """The generator with nothing connected in the strongest wind: speed [rad/s] and voltages [V]."""

    speed: Num
    peak: Num
    mean: Num
    between_leads: Num


def unloaded_in_storm(x: Inputs) -> UnloadedInStorm | None:
    """What the generator gives with nothing connected in the strongest wind, or None where the sheet cannot tell."""
    return x.shared("storm", _storm)


def _storm(x: Inputs) -> UnloadedInStorm | None:
    k, D = x.maybe(Sheet.generator.emf_constant), x.maybe(Sheet.rotor.diameter)
    form, phases = str(x.maybe(Sheet.generator.emf_form)), str(x.maybe(Sheet.generator.phases))
    if k is None or D is None or (phases == "single-phase" and form == "lead to star point, RMS"):
        return None
    V = x.site.storm_wind
    omega = wind.rotor_speed(V, D, free_ratio(x, V))
    return UnloadedInStorm(
        omega,
        omega * generator.emf_peak(k, form, phases),
        omega * generator.emf_rectified(k, form, phases),
        omega * generator.emf_between_leads(k, form, phases),
    )
