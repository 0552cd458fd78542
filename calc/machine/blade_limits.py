"""What can be read of a blade that was cut by a sheet: outside of it a reading is a slip, or of another blade."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.entry import DEG
from calc.machine.inputs import CannotTellError, Inputs, Unknown
from calc.machine.measured_blade import by_sheet, carved_table, cut_as_typed
from calc.machine.rotor_curves import RotorCurves, is_carved, root_radius, rotor_of

#: How many times wider or narrower than the sheet has it a blade may be at a mark, how much heavier or lighter, and how
#: far its chord may be turned: beyond, the reading is asked about. Own choices, no source.
CHORD_TIMES, MASS_TIMES, TURNED = 3.0, 4.0, 15.0 * DEG


@dataclass(frozen=True, slots=True)
class Plausible:
    """Between what a reading of one blade can lie.

    Parameters
    ----------
    low, high : float
        [SI]
    why : str
        What it is held against, as it ends a sentence.
    """

    low: float
    high: float
    why: str

    def holds(self, value: float) -> bool:
        """Whether a value lies within, to the last digit of a computer."""
        slack = 1e-9 * max(abs(self.low), abs(self.high))
        return self.low - slack <= value <= self.high + slack


def plausible_mark(x: Inputs) -> Plausible | None:
    """Between which distances from the shaft a mark lies on the blade [m]; None where the sheet tells no rotor."""
    if x.lacks(Sheet.rotor.diameter):
        return None
    low, high = float(root_radius(x)), float(x.rotor.diameter) / 2.0
    table = carved_table(x) if is_carved(x) else None
    if table is not None:
        low, high = float(table[0][0]), max(float(table[0][-1]), high)
    return Plausible(low, high, "from the blade's inner end to its tip")


def plausible_reading(x: Inputs, quantity: str, r: float | None) -> Plausible | None:
    """What a reading of a blade can be, by what the sheet says of it; None where it says too little.

    Parameters
    ----------
    x : Inputs
        The sheet, scalar.
    quantity : str
        ``blade.chord``, ``blade.gauge_angle``, ``blade.mass``, ``blade.balance_point`` or ``blade.scale_at_mark``.
    r : float, optional
        Distance of the mark from the shaft, on the blade. [m]
    """
    if quantity == "blade.balance_point":
        return plausible_mark(x)
    if quantity in ("blade.mass", "blade.scale_at_mark"):
        mass = _mass(x)
        if mass is None:
            return None
        low = mass / MASS_TIMES if quantity == "blade.mass" else 0.0
        return Plausible(low, mass * MASS_TIMES, f"up to {MASS_TIMES:g} times lighter or heavier than by the sheet")
    told = None if r is None else by_sheet(x, np.array([r]))
    if told is None or isinstance(told, Unknown):
        return None
    chord, twist = (float(column[0]) for column in told)
    if quantity == "blade.gauge_angle":
        return Plausible(twist - TURNED, twist + TURNED, f"{TURNED / DEG:g} degrees either way of the sheet")
    cut = cut_as_typed(x)
    wide = chord * CHORD_TIMES
    if cut is not None and wide > cut.D:
        return Plausible(chord / CHORD_TIMES, cut.D, "no wider than its pipe")
    return Plausible(chord / CHORD_TIMES, wide, f"up to {CHORD_TIMES:g} times narrower or wider than by the sheet")


def _mass(x: Inputs) -> float | None:
    """What one blade weighs, by the sheet or by its shape, in [kg]."""
    stated = x.maybe(Sheet.blade.mass)
    if stated is not None:
        return float(stated)
    try:
        curves = rotor_of(x)
    except (CannotTellError, ValueError):
        return None
    if not isinstance(curves, RotorCurves) or curves.masses is None:
        return None
    return float(np.asarray(curves.masses.mass))
