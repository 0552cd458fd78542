"""Resistance of the cable runs of a sheet."""

from __future__ import annotations

from calc.machine.inputs import Inputs
from calc.physics import wiring
from calc.units import Num


def conductor_resistance(x: Inputs, label: str) -> Num:
    """Resistance of one conductor of a run per length, at its temperature, in [ohm/m]; its size must be known."""
    run = x.cable[label]
    return wiring.resistance(run.area, run.material, run.temperature, run.strands)


def run_resistance(x: Inputs, label: str) -> Num:
    """Resistance of a cable run there and back with its joints, in [ohm]; its length and size must be known.

    Three wires ahead of a six-pulse bridge lose the same as a pair behind it.
    """
    # Volts lost at one ampere.
    r = conductor_resistance(x, label)
    return wiring.voltage_drop_dc(1.0, x.cable[label].length, r, x.cable[label].joints)
