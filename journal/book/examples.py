"""What a value is typed like, fitting the machine on the sheet: no voltage of another bank, no "none" for a brake."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from calc.machine.catalogue import Sheet
from calc.machine.entry import Entry, Value
from calc.units import digits

#: Inputs whose example is of a bank of so many volts; on a sheet it is that of the bank there. [V]
BANK = 24.0
OF_BANK = frozenset(
    entry.path
    for entry in (
        Sheet.storage.voltage_charging, Sheet.storage.charge_voltage, Sheet.inverter.input_voltage_min,
        Sheet.inverter.input_voltage_max, Sheet.load.voltage_max, Sheet.dump.voltage,
    )
)  # fmt: skip
#: Nominal voltage of a cell; makers' data sheets. [V]
CELL = {"lead": 2.0, "LiFePO4": 3.2, "NMC": 3.6}
_NOTHING = ("none", "nothing", "no ", "not known", "not marked")


def example_of(entry: Entry[Any], values: Mapping[str, Value]) -> str:
    """How a value would be typed on a sheet.

    Parameters
    ----------
    values : mapping of str to number, str or bool
        What the sheet states, by full name.
    """
    if entry.kind == "choice":
        said = [c for c in entry.choices if not c.startswith(_NOTHING)]
        return "one of: " + "; ".join([*said, *(c for c in entry.choices if c not in said)])
    bank = values.get(Sheet.storage.voltage.path)
    if not isinstance(bank, float) or entry.kind != "number":
        return entry.example
    if entry.path in OF_BANK:
        return re.sub(r"^[\d.]+", lambda m: digits(float(m[0]) * bank / BANK), entry.example)
    if entry.path == Sheet.load.voltage.path:
        return f"{digits(bank)} V"
    if entry.path == Sheet.storage.cells.path:
        kind = str(values.get(Sheet.storage.chemistry.path, ""))
        cell = next((volts for name, volts in CELL.items() if name in kind), None)
        return f"{max(1, round(bank / cell))}" if cell else entry.example
    return entry.example
