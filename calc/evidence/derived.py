"""What two readings taken together tell, with its combined uncertainty after the GUM (JCGM 100:2008)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from calc.evidence.uncertainty import LimitedReading, propagated


@dataclass(frozen=True, slots=True)
class Derivation:
    """A quantity that follows from two others.

    Parameters
    ----------
    meaning, unit : str
        What it is, and the unit in which it is shown.
    needs : tuple of str
        The two, by their names in :mod:`calc.quantities`.
    of : callable
        Takes both in SI, in that order.
    """

    meaning: str
    unit: str
    needs: tuple[str, str]
    of: Callable[[float, float], float]


DERIVED = (
    Derivation("Power into the battery", "W", ("battery.voltage", "charge.current"), lambda V, I: V * I),
    Derivation("Power out of the rectifier", "W", ("generator.loaded_voltage", "charge.current"), lambda V, I: V * I),
    Derivation(
        "Speed per volt with nothing connected", "rpm/V", ("generator.open_voltage", "rotor.speed"), lambda V, w: V / w
    ),
    Derivation("Resistance of the cable, there and back", "ohm", ("cable.drop", "charge.current"), lambda U, I: U / I),
    Derivation("Power lost in the cable", "W", ("cable.drop", "charge.current"), lambda U, I: U * I),
)  # fmt: skip


def derive(d: Derivation, first: LimitedReading, second: LimitedReading) -> tuple[float, float]:
    """Value of a derived quantity, and its expanded uncertainty (k = 2, about 95 in 100).

    Parameters
    ----------
    d : Derivation
        Which.
    first, second : LimitedReading
        In SI.

    Returns
    -------
    value, U : float
        In SI.

    Raises
    ------
    ZeroDivisionError
        If a reading by which is divided is zero.

    Notes
    -----
    The two are read on different functions of a meter, or with two meters, so their errors are not correlated
    unless both name the same meter.

    Examples
    --------
    12.1 V within 0.1 V and 0.3 A within 0.05 A: the current decides.

    >>> P, U = derive(DERIVED[0], LimitedReading(12.0, 12.1, 12.2), LimitedReading(0.25, 0.3, 0.35))
    >>> round(P, 2), round(U, 2)
    (3.63, 0.7)
    """
    return propagated(d.of, (first, second))
