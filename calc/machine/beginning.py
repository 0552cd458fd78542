"""Where the generator begins to give current."""

from __future__ import annotations

from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.converter import charging_voltage, converter_lacks
from calc.machine.drive import drive_lacks, rectifier_drop, rotor_emf
from calc.machine.inputs import Inputs
from calc.physics import generator
from calc.units import Num


def first_speed(x: Inputs) -> Num | None:
    """Speed of the rotor at which current begins to flow into the battery at rest, in [rad/s]; None if not known.

    A speed that is not to be passed is no use as advice where the machine charges only above it.
    """
    k, form, phases = x.maybe(Sheet.generator.emf_constant), x.generator.emf_form, x.generator.phases
    known = x.maybe(Sheet.storage.voltage) is not None and x.maybe(Sheet.storage.chemistry) is not None
    if k is None or not known or not has_battery(x) or drive_lacks(x) or converter_lacks(x):
        return None
    if phases == "single-phase" and form == "lead to star point, RMS":
        return None
    # A bridge on one phase conducts at the peak, far above the mean; on three phases the two differ by 5 %
    # and the mean is what a DC meter shows.
    of_speed = generator.emf_peak if phases == "single-phase" else generator.emf_rectified
    k = of_speed(rotor_emf(x), form, phases)
    return generator.charging_speed(charging_voltage(x), rectifier_drop(x), k, diodes=1)


def worth_holding(x: Inputs, omega: Num) -> bool:
    """Whether a machine that is held below a speed [rad/s] still works, as far as the sheet tells."""
    begins = first_speed(x)
    return begins is None or bool(omega > begins)
