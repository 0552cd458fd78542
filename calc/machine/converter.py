"""The converter of a sheet: what the generator sees in place of the battery."""

from __future__ import annotations

from typing import Any

from calc.machine.battery import has_battery, voltage_charging
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.storage import HOLDING, NO_CONVERTER, TRACKING
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.units import Num

#: Why some machines with a converter are not solved.
NO_CONVERTER_HERE = "What a converter does is computed for three-phase windings and brushes that charge a battery"


def has_converter(x: Inputs) -> bool:
    """Whether the sheet names a converter between rectifier and battery."""
    return x.maybe(Sheet.converter.kind) not in (None, NO_CONVERTER)


def converter_lacks(x: Inputs) -> tuple[Entry[Num], ...]:
    """What the sheet must say of its converter before the machine can be solved."""
    if not has_converter(x):
        return ()
    low = Sheet.converter.input_held if x.converter.kind == HOLDING else Sheet.converter.input_lowest
    return x.lacks(low, Sheet.converter.input_highest, Sheet.converter.input_current)


def converter_refused(x: Inputs) -> Unknown | None:
    """Why a machine with its converter is not solved, if it is not."""
    if has_converter(x) and (x.generator.phases == "single-phase" or not has_battery(x)):
        return Unknown(NO_CONVERTER_HERE)
    return None


def converter_numbers(x: Inputs) -> dict[str, Any]:
    """Numbers of the converter as :class:`calc.physics.balance.Machine` takes them; empty without one."""
    if not has_converter(x):
        return {}
    kind = x.converter.kind
    return {
        "converter": "tracks" if kind == TRACKING else "holds",
        "V_low": x.converter.input_lowest if kind == TRACKING else x.converter.input_held,
        "V_high": x.converter.input_highest,
        "I_most": x.converter.input_current,
        "eta_c": x.converter.efficiency,
    }


def charging_voltage(x: Inputs) -> Num:
    """Voltage at which the generator begins to give current: of the converter's input, else of the battery, in [V]."""
    if not has_converter(x):
        return voltage_charging(x)
    return x.converter.input_lowest if x.converter.kind == TRACKING else x.converter.input_held
