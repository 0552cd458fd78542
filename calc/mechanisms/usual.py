"""What is taken of a machine of which its sheet says too little to be solved: the usual, with wide limits.

Failed machines are seldom written down whole, and a reading tells something all the same: two voltages with a current
between them need no blade. So for weighing, and for nothing else, what the solver lacks is put in: what follows from a
reading or from the rest of the sheet, else what such machines usually have. Own estimates from common practice, no
source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.design import build_design
from calc.machine.entry import Value
from calc.machine.inputs import Inputs
from calc.machine.solving import BATTERY_NEEDS, SOLVING_NEEDS
from calc.machine.system import System

#: Voltages that banks of such machines have, and what reads them. [V]
BANKS, READ_AT_BATTERY = (
    (12.0, 24.0, 36.0, 48.0),
    ("battery.voltage", "inverter.input_voltage", "generator.loaded_voltage"),
)
#: Tip-speed ratio and wind at which such a machine begins to charge. [1, m/s]
RATIO, BEGINS = 5.5, 3.5
#: Share of a bank's voltage that the winding takes at the current of 9 m/s and a quarter of the wind's power.
LOST, POWER_PER_AREA = 0.15, 110.0


@dataclass(frozen=True)
class Completed:
    """A machine that can be solved, and the names of what was put in for that."""

    system: System
    names: tuple[str, ...] = ()


def completed(system: System) -> Completed:
    """The machine with what its sheet lacks to be solved, by the usual, each with limits of its own.

    Parameters
    ----------
    system : System
        The design and its doubts; it is left as it is.
    """
    x = system.inputs()
    battery = () if x.maybe(Sheet.storage.chemistry) == "none" else BATTERY_NEEDS
    lacking = [e for e in (*SOLVING_NEEDS, *battery) if x.maybe(e) is None]
    usual = _usual(x)
    put = {e.path: usual[e.path] for e in lacking if e.path in usual}
    if not put:
        return Completed(system)
    values: dict[str, Value] = {**system.design.values, **{name: value for name, (value, _) in put.items()}}
    doubts = dict(system.doubts or {})
    for name, (value, factor) in put.items():
        if factor > 1.0 and isinstance(value, float):
            doubts[name] = (value / factor, value * factor)
    return Completed(System(build_design(values, system.design.assumed), doubts, system.samples), tuple(put))


def _usual(x: Inputs) -> dict[str, tuple[Value, float]]:
    """By name, what is usual, and the factor by which it may be more or less."""
    U = x.maybe(Sheet.storage.voltage)
    bank = _bank_read(x) if U is None else float(np.mean(U))
    D = x.maybe(Sheet.rotor.diameter)
    span = 2.0 if D is None else float(np.mean(D))
    k = bank / (RATIO * BEGINS / (0.5 * span))
    amps = POWER_PER_AREA * np.pi / 4.0 * span**2 / bank
    return {
        Sheet.rotor.diameter.path: (span, 1.5),
        Sheet.rotor.blades.path: (3.0, 1.0),
        Sheet.generator.emf_constant.path: (k, 1.5),
        Sheet.generator.winding_resistance.path: (float(LOST * bank / amps), 2.5),
        Sheet.storage.chemistry.path: ("flooded lead-acid", 1.0),
        Sheet.storage.voltage.path: (bank, 1.0),
        Sheet.storage.capacity.path: (100.0 * 3600.0, 2.0),
    }


def _bank_read(x: Inputs) -> float:
    """The usual voltage nearest to what was read at the battery; 12 V where nothing was."""
    for label in x.labels(Sheet.measured):
        V = x.maybe(Sheet.measured.value[label])
        if str(x.maybe(Sheet.measured.quantity[label])) in READ_AT_BATTERY and V is not None:
            read = float(np.mean(V))
            return min(BANKS, key=lambda U: abs(np.log(max(read, 1.0) / (1.05 * U))))
    return BANKS[0]
