"""Fuses, short circuits, and the voltages a person may meet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from calc.physics.wiring import awg_area
from calc.tables import table_rows
from calc.units import Num

#: Voltage that may be touched in the dry, and the end of extra-low voltage, direct and alternating (RMS). [V]
TOUCHABLE_DC, EXTRA_LOW_DC = 60.0, 120.0
TOUCHABLE_AC, EXTRA_LOW_AC = 25.0, 50.0
#: The same where people or the parts are wet; from memory. [V]
WET_DC, WET_AC = 30.0, 12.0
#: NEC 240.4(D): thickest gauge of each step, and the largest fuse it may have, copper and aluminium. [A]
#: 18 and 16 AWG are known from a poor copy only.
SMALL_WIRES = {
    "copper": ((18, 7.0), (16, 10.0), (14, 15.0), (12, 20.0), (10, 30.0)),
    "aluminium": ((12, 15.0), (10, 25.0)),
}


#: NEC 110.14(C)(1): temperature for which terminals count that are not marked, for circuits up to 100 A of wire up to
#: 1 AWG, and above either. [degC]
UNMARKED_SMALL, UNMARKED_LARGE = 60, 75
_SMALL_CIRCUIT = 100.0


def large_circuit(A: Num, rating: Num) -> NDArray[np.bool_]:
    """Whether NEC 110.14(C)(1)(b) holds: a circuit rated above 100 A, or wire larger than 1 AWG.

    Parameters
    ----------
    A : float or array, shape (...,)
        Cross-section. [m2] A hundredth of slack covers rounding.
    rating : float or array, shape (...,)
        What the circuit is rated for. [A]

    Examples
    --------
    >>> bool(large_circuit(awg_area(1), 100.0)), bool(large_circuit(awg_area(0), 90.0))
    (False, True)
    """
    return (np.asarray(A) > awg_area(1) * 1.01) | (np.asarray(rating) > _SMALL_CIRCUIT)


@dataclass(frozen=True, slots=True)
class FuseKind:
    """What a kind of fuse is usually rated for: direct voltage [V] and breaking capacity [A], None where as marked."""

    volts: float | None
    breaks: float | None
    standing: str


@cache
def fuse_kind(kind: str) -> FuseKind:
    """A kind of fuse of the catalogue.

    Examples
    --------
    >>> fuse_kind("blade, ATC").volts, fuse_kind("class T").breaks
    (32.0, 20000.0)
    """
    row = next(row for row in table_rows("fuse_kinds") if row["kind"] == kind)
    volts, breaks = (float(row[name]) if row[name] else None for name in ("volts", "breaks"))
    return FuseKind(volts, breaks, row["standing"])


@cache
def fuse_ratings(practice: str | None = None) -> tuple[float, ...]:
    """Standard ratings of fuses and breakers, rising, of one series (``"IEC"``, ``"NEC"``) or of both, in [A].

    Examples
    --------
    >>> fuse_ratings("IEC")[:6]
    (1.0, 2.0, 4.0, 6.0, 10.0, 16.0)
    """
    return tuple(sorted({float(row["rating"]) for row in table_rows("fuses") if practice in (None, row["series"])}))


def small_wire_limit(A: Num, material: str = "copper") -> Num:
    """Largest fuse that NEC 240.4(D) lets a thin wire have, infinite for a thicker one, in [A].

    Parameters
    ----------
    A : float or array, shape (...,)
        Cross-section. [m2] Between two gauges the thinner counts; 2 % of slack covers rounding.
    material : str
        ``"copper"`` or ``"aluminium"``.

    Examples
    --------
    >>> float(small_wire_limit(awg_area(12))), float(small_wire_limit(awg_area(8)))
    (20.0, inf)
    """
    steps = SMALL_WIRES[material]
    after = [awg_area(n - 2) for n, _ in steps]
    limits = np.array([amps for _, amps in steps] + [math.inf])
    return cast(Num, limits[np.searchsorted(np.array(after) * 0.98, A, side="right")])


def next_rating(I: Num) -> Num:
    """Smallest NEC standard rating that is not below ``I`` [A], or ``I`` itself beyond the list, in [A].

    Examples
    --------
    >>> float(next_rating(65.0)), float(next_rating(70.0))
    (70.0, 70.0)
    """
    ratings = np.array(fuse_ratings("NEC"))
    index = np.searchsorted(ratings, np.asarray(I) * (1.0 - 1e-9))
    return cast(Num, np.where(index < len(ratings), ratings[np.minimum(index, len(ratings) - 1)], I))


def fuse_limit(I_z: Num, A: Num, practice: str, material: str = "copper") -> Num:
    """Largest fuse that protects a cable.

    Parameters
    ----------
    I_z : float or array, shape (...,)
        Current the cable may carry, corrected for air and company. [A]
    A : float or array, shape (...,)
        Cross-section. [m2]
    practice : str
        ``"IEC"``: the fuse must not exceed ``I_z``. ``"NEC"``: where ``I_z`` is no standard rating the next
        one up will do (240.4(B)), and thin wires have limits of their own (240.4(D)).
    material : str
        ``"copper"`` or ``"aluminium"``.

    Returns
    -------
    I_n : float or array, shape (...,)
        Rating. [A]

    Examples
    --------
    >>> float(fuse_limit(65.0, awg_area(6), "IEC")), float(fuse_limit(65.0, awg_area(6), "NEC"))
    (65.0, 70.0)

    References
    ----------
    .. [1] IEC 60364-4-43, 433.1.
    .. [2] NEC 2017, 240.4(B) and 240.4(D).
    """
    if practice == "IEC":
        return I_z
    return cast(Num, np.minimum(next_rating(I_z), small_wire_limit(A, material)))


def fault_current(V: Num, R: Num) -> Num:
    r"""Current that a battery drives into a short circuit.

    .. math:: I = V / R

    Parameters
    ----------
    V : float or array, shape (...,)
        Voltage with nothing connected. [V]
    R : float or array, shape (...,)
        Internal resistance and that of the cable up to the fault, there and back. [ohm]

    Returns
    -------
    I : float or array, shape (...,)
        Current, inductance and arc left out, so an upper bound. [A]

    Raises
    ------
    ValueError
        If ``R`` is not positive.

    Examples
    --------
    >>> fault_current(12.8, 5e-3), fault_current(25.6, 4e-3)
    (2560.0, 6400.0)
    """
    if np.any(np.asarray(R) <= 0):
        raise ValueError("a short circuit needs some resistance")
    return V / R


def shorted_current(E: Num, R: Num, X: Num = 0.0) -> Num:
    r"""RMS current in each lead of a star-wound generator whose three leads are joined.

    .. math:: I = E / (\sqrt{3} \sqrt{R^2 + X^2})

    Parameters
    ----------
    E : float or array, shape (...,)
        Voltage between two leads with nothing connected, RMS. [V]
    R, X : float or array, shape (...,)
        Resistance and reactance of one phase, which is half of that between two leads. [ohm]

    Returns
    -------
    I : float or array, shape (...,)
        Steady current. With ``X`` left out an upper bound, far above the truth at high speed. [A]

    Raises
    ------
    ValueError
        If ``R`` is not positive.

    Examples
    --------
    17.3 V between leads, 0.1 ohm a phase:

    >>> shorted_current(math.sqrt(3) * 10.0, 0.1)
    100.0
    """
    if np.any(np.asarray(R) <= 0):
        raise ValueError("a winding has some resistance")
    return cast(Num, E / (math.sqrt(3.0) * (R**2 + X**2) ** 0.5))


def band(V: Num, *, alternating: bool = False) -> NDArray[np.int_]:
    """How far a voltage is from what may be touched.

    Parameters
    ----------
    V : float or array, shape (...,)
        Voltage, RMS if it alternates. [V]
    alternating : bool
        Whether it alternates.

    Returns
    -------
    band : array of int, shape (...,)
        0: up to 60 V DC or 25 V AC, bare parts may be touched in the dry. 1: up to 120 V DC or 50 V AC, still
        extra-low voltage, but bare parts have to be covered. 2: above, where a shock can kill.

    Notes
    -----
    Direct voltage with no more than 10 % RMS ripple; a six-pulse bridge has 4 %. Where people or parts are wet the
    first limit is half of that, 30 V DC or 12 V AC (from memory).

    Examples
    --------
    >>> int(band(58.4)), int(band(70.0)), int(band(206.0, alternating=True))
    (0, 1, 2)

    References
    ----------
    .. [1] IEC 61140; EN 60204-1, 6.4; IEC 61558-1, 3.7.16, which defines SELV (read as an excerpt).
    """
    low, high = (TOUCHABLE_AC, EXTRA_LOW_AC) if alternating else (TOUCHABLE_DC, EXTRA_LOW_DC)
    return np.where(np.asarray(V) > high, 2, np.where(np.asarray(V) > low, 1, 0))
