"""The units in which numbers are shown to people, and how many digits they get.

``calc`` computes in SI. This module turns an SI number into the words a builder reads, such as
``"10 mm2"`` or ``"62 rpm/V"``. Reading what people type is the journal's work, not done here.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

# The journal reads this module at every command, and numpy is slow to load where nothing is computed.
if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Num: TypeAlias = "float | NDArray[np.float64]"
"""A number or an array of variants. What ``calc`` takes and gives."""

#: Shown unit -> size of one such unit in SI. Temperatures and reciprocals are handled in :func:`to_shown`.
FACTORS: dict[str, float] = {
    "": 1.0,
    "%": 0.01,
    "m": 1.0,
    "mm": 1e-3,
    "m2": 1.0,
    "cm2": 1e-4,
    "mm2": 1e-6,
    "m/s": 1.0,
    "rpm": 2 * math.pi / 60,
    "V": 1.0,
    "mV": 1e-3,
    "A": 1.0,
    "W": 1.0,
    "kW": 1e3,
    "W/m2": 1.0,
    "Wh": 3600.0,
    "kWh": 3.6e6,
    "Ah": 3600.0,
    "h": 3600.0,
    "h/day": 3600.0 / 86400.0,
    "days": 86400.0,
    "ohm": 1.0,
    "mohm": 1e-3,
    "ohm/km": 1e-3,
    "mH": 1e-3,
    "mm/s": 1e-3,
    "kg": 1.0,
    "kg/m3": 1.0,
    "m3/h": 1.0 / 3600.0,
    "kg m2": 1.0,
    "K/W": 1.0,
    "N": 1.0,
    "kN": 1e3,
    "Nm": 1.0,
    "MPa": 1e6,
    "GPa": 1e9,
    "K": 1.0,
    "deg": math.pi / 180,
    "V/krpm": 60.0 / (2 * math.pi * 1000.0),
    "s": 1.0,
    "Hz": 1.0,
    "dB(A)": 1.0,
}


def to_shown(value: Num, unit: str) -> Num:
    """Convert an SI number to the unit in which it is shown.

    Parameters
    ----------
    value : float or array, shape (...,)
        The number in SI.
    unit : str
        A shown unit: a key of :data:`FACTORS`, ``"degC"``, or ``"rpm/V"`` for a back-EMF constant in V s/rad.

    Returns
    -------
    shown : float or array, shape (...,)
        The number in ``unit``.

    Raises
    ------
    KeyError
        If the unit is not known here.

    Examples
    --------
    >>> to_shown(10e-6, "mm2")
    10.0
    >>> to_shown(293.15, "degC")
    20.0
    >>> to_shown(0.15402, "rpm/V")
    62.0
    """
    if unit == "degC":
        return value - 273.15
    if unit == "rpm/V":
        return 60.0 / (2 * math.pi) / value
    return value / FACTORS[unit]


def digits(value: float, figures: int = 3) -> str:
    """Write a number with a sensible count of figures and no exponent.

    Examples
    --------
    >>> digits(2.19612), digits(1234.5), digits(0.04567), digits(12.0), digits(0.0)
    ('2.2', '1230', '0.0457', '12', '0')
    """
    if value == 0:
        return "0"
    if not math.isfinite(value):
        return "unlimited" if value > 0 else "unlimited below"
    places = figures - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    text = f"{rounded:.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def show(value: Num, unit: str, figures: int = 3) -> str:
    """Write an SI number in a shown unit, for people.

    Examples
    --------
    >>> show(2.2, "m"), show(10e-6, "mm2"), show(0.125, "%")
    ('2.2 m', '10 mm2', '12.5 %')
    """
    return " ".join(filter(None, [digits(float(to_shown(value, unit)), figures), unit]))
