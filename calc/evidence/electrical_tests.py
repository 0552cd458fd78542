"""Results of electrical tests held against what the standards ask for.

References
----------
.. [1] IEC 61008-1, longest break times of residual-current devices of the general type: 300 ms at the rated residual
   current, 40 ms at five times it. Read in a reproduction, the manual of a tester.
.. [2] IEC 60364-6, least insulation resistance: 0.5 Mohm of an extra-low-voltage circuit, 1 Mohm above, also beyond
   500 V. Read in a reproduction, a railway's rules for low-voltage installations. Its first edition asked for half.
.. [3] IEC 60364-4-41, TT system: the resistance of the electrode times the rated residual current at most 50 V. From
   memory.
"""

from __future__ import annotations

import re

from calc.units import show

#: Longest trip time at the rated residual current, and at five times it. [s]
TRIP_AT_RATED, TRIP_AT_FIVE = 0.3, 0.04
#: Least insulation of an extra-low-voltage circuit, and of any above. [ohm]
INSULATION_LOW, INSULATION = 0.5e6, 1.0e6
#: Voltage that an earthed part may reach [V], and the rated residual current of the device that ends it [A].
TOUCHED, RESIDUAL = 50.0, 0.03
_FIVE = re.compile(r"(?:\b5\s*(?:x|×|times)|(?:x|×)\s*5\b|\bfive\b|\b5\s*I|\b150\s*mA)", re.IGNORECASE)


def shortfall(quantity: str, low: float, high: float, *, extra_low: bool = False, conditions: str = "") -> str:
    """Why a test result is not what a standard asks for, in words; empty where it is, or where none is named.

    Parameters
    ----------
    quantity : str
        One of :data:`calc.quantities.ELECTRICAL_TESTS`.
    low, high : float
        The limits of what was read. [ohm] or [s] A result fails where all of it does.
    extra_low : bool
        Whether no conductor of the circuit can exceed extra-low voltage, also in a storm.
    conditions : str
        What was said of the test: five times the rated current, of a trip time.

    Examples
    --------
    >>> shortfall("rcd.trip_time", 0.34, 0.34)
    'longer than the 300 ms of IEC 61008-1'
    >>> shortfall("wiring.insulation", 200e6, 1e13), shortfall("earth.continuity", 0.1, 0.1)
    ('', '')
    """
    if quantity == "rcd.trip_time":
        five = _FIVE.search(conditions) is not None
        most = TRIP_AT_FIVE if five else TRIP_AT_RATED
        at = " at five times its rated current" if five else ""
        return f"longer than the {show(most, 'ms')} of IEC 61008-1{at}" if low > most else ""
    if quantity == "wiring.insulation":
        least = INSULATION_LOW if extra_low else INSULATION
        return f"below what IEC 60364-6 asks, {show(least, 'Mohm')}" if high < least else ""
    if quantity == "earth.electrode":
        most = TOUCHED / RESIDUAL
        asked = f"{show(most, 'ohm', 4)} with a device of {show(RESIDUAL, 'mA')}"
        return f"above what IEC 60364-4-41 asks, {asked}, from memory" if low > most else ""
    return ""
