"""The field coil of a sheet, as a car alternator has it: what it takes, and how much field it makes."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.machine.battery import has_battery, voltage_charging
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import COIL
from calc.machine.converter import has_converter
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.physics import generator
from calc.units import Num

#: Why some machines with a coil are not solved.
NO_COIL = "A field coil is computed for three-phase generators that charge a battery without a converter between"
#: A coil at work; own choice, no source. [K]
WARM = 373.15


def has_coil(x: Inputs) -> bool:
    """Whether the sheet says that a coil makes the generator's field."""
    return x.maybe(Sheet.generator.field) == COIL


def coil_lacks(x: Inputs) -> tuple[Entry[Num], ...]:
    """What the sheet must say of the coil before the machine can be solved."""
    return x.lacks(Sheet.generator.field_resistance) if has_coil(x) else ()


def coil_refused(x: Inputs) -> Unknown | None:
    """Why a machine with its coil is not solved, if it is not."""
    if has_coil(x) and (x.generator.phases != "three-phase" or not has_battery(x) or has_converter(x)):
        return Unknown(NO_COIL)
    return None


def field_current(x: Inputs) -> Num:
    """Current that the battery drives through the warm coil at full field, in [A]."""
    return voltage_charging(x) / generator.winding_resistance(x.generator.field_resistance, WARM)


def field_power(x: Inputs) -> Num:
    """What the warm coil takes from the battery at full field, in [W]."""
    return field_current(x) * voltage_charging(x)


def field_share(x: Inputs) -> Num:
    """Field over that with which the back-EMF constant was read; no more than that, for there the iron is full.

    One where nothing is said of the current of the coil then, or there is no battery to feed it.
    """
    read = x.maybe(Sheet.generator.field_current)
    if not has_coil(x) or read is None or not has_battery(x) or x.lacks(Sheet.storage.chemistry, Sheet.storage.voltage):
        return 1.0
    share: Num = np.minimum(field_current(x) / read, 1.0)
    return share


def coil_numbers(x: Inputs) -> dict[str, Any]:
    """Numbers of the coil as :class:`calc.physics.balance.Machine` takes them; empty without one."""
    if not has_coil(x):
        return {}
    held, V = x.maybe(Sheet.storage.charge_voltage), voltage_charging(x)
    # A regulator set below the resting voltage is the charge-voltage rule's to judge.
    V_reg = np.inf if held is None else np.where(np.asarray(held) > V, held, np.inf)
    return {"excited": True, "V_reg": V_reg, "P_field": field_power(x)}
