"""The generator: voltage, resistance, drag, torque, heat, and the brake made by shorting it.

Three-phase windings work through a six-pulse bridge, single-phase windings through a bridge of four diodes,
machines with brushes through one diode that keeps the battery from driving them.

``voltage``, ``load``, ``heat`` and ``brake`` each hold one of these chapters.
"""

from calc.physics.generator.brake import (
    brake_peak,
    brake_torque,
    brake_torque_brushes,
    brake_torque_single,
)
from calc.physics.generator.heat import (
    BURNT_WINDING,
    RATED_AIR,
    RISE,
    copper_loss,
    heat_limit,
    thermal_resistance,
    winding_resistance,
    winding_temperature,
)
from calc.physics.generator.load import (
    ASSUMED_COGGING,
    ASSUMED_EDDY,
    ASSUMED_FRICTION,
    assumed_drag,
    commutated_current,
    commutation_share,
    drag,
    short_circuit_current,
    torque,
)
from calc.physics.generator.pulses import PEAK, Pulses, pulses
from calc.physics.generator.voltage import (
    DIODES,
    MEAN_OVER_RMS,
    READING_OVER_RMS,
    charging_speed,
    emf_between_leads,
    emf_from_spin,
    emf_peak,
    emf_rectified,
    flux_linkage,
    inductance_from_short_circuit,
)

__all__ = [
    "ASSUMED_COGGING",
    "ASSUMED_EDDY",
    "ASSUMED_FRICTION",
    "BURNT_WINDING",
    "DIODES",
    "MEAN_OVER_RMS",
    "PEAK",
    "RATED_AIR",
    "READING_OVER_RMS",
    "RISE",
    "Pulses",
    "assumed_drag",
    "brake_peak",
    "brake_torque",
    "brake_torque_brushes",
    "brake_torque_single",
    "charging_speed",
    "commutated_current",
    "commutation_share",
    "copper_loss",
    "drag",
    "emf_between_leads",
    "emf_from_spin",
    "emf_peak",
    "emf_rectified",
    "flux_linkage",
    "heat_limit",
    "inductance_from_short_circuit",
    "pulses",
    "short_circuit_current",
    "thermal_resistance",
    "torque",
    "winding_resistance",
    "winding_temperature",
]
