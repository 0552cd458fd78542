"""How many times all loads could grow before something fails, and how many times is enough."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.finding import Source
from calc.machine.catalogue import Sheet
from calc.machine.entry import Value
from calc.physics.structure import guys
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK
from calc.rules.ways import Try, Way, change
from calc.units import Num, digits, show


@dataclass(frozen=True, slots=True)
class LeastReserve:
    """How many times the load is the least that will do, and from how many on nobody asks for more; whose that is."""

    enough: float
    good: float
    whose: str


#: Steel: wind 1.5 (EN 1990) times 1.1; the simplified loads of IEC 61400-2 ask for 3.0 times 1.1 where the material is
#: well known.
STEEL = LeastReserve(1.65, 3.3, "of IEC 61400-2")
#: Ropes: 2.0 on what breaks them (EIA-222-E, told in a forum); the standard's loads ask for as much as of steel.
ROPE = LeastReserve(2.0, 3.3, "of IEC 61400-2")
#: Ground: 1.5 against lifting, sliding and tipping; 3 as foundations are designed with, from memory.
GROUND = LeastReserve(1.5, 3.0, "usual for foundations")
#: Steel on its way up: weights are well known, jerks are not. From memory.
LIFTED = LeastReserve(1.65, 2.5, "usual for lifting")

FACTORS = Source("IEC 61400-2", "load factor 3.0 on simplified loads, material 1.1", "reproduction")
WIND_FACTOR = Source("EN 1990 and EN 1993-1-1: 1.5 on wind, 1.1 on steel that buckles", "", "reproduction")
TOP = Source(
    "IEC 61400-2, simplified load cases D, H and I", "thrust on the rotor, running and stopped", "reproduction"
)
DRAG = Source("Drag of a round tube, coefficient 1.2", "EN 1991-1-4, 7.9", "from memory")
LATTICE_DRAG = Source(
    "EN 1993-3-1, B.2.2, wind on a lattice by its solidity",
    "read in a public program; flat members from memory",
    "reproduction",
)
ROPE_DRAG = Source(
    "Drag of a rope, coefficient 1.2, by the square of the sine of its angle", "EN 1993-3-1", "from memory"
)
ICE = Source("ISO 12494, glaze of 900 kg/m3 with 0.40 to 0.60 of the gust's pressure", "", "from memory")
GROUND_TABLE = Source("IBC Table 1806.2, presumptive values of the ground", "", "reproduction")
GROUND_MEMORY = Source("Friction, cohesion and weight of the ground by its kind", "", "from memory")

FALLS = (
    "A mast that falls kills whoever stands under it. Keep people out of the circle it can fall in, and stay away from "
    "mast, guys and anchors in a storm."
)

#: Tubes that are sold, lightest first: outside diameter and wall. EN 10219 and EN 39 sizes; common practice. [m]
TUBES = (
    (0.0483, 0.0032), (0.0483, 0.0040), (0.0603, 0.0032), (0.0603, 0.0040), (0.0761, 0.0032), (0.0761, 0.0040),
    (0.0889, 0.0032), (0.0889, 0.0040), (0.1016, 0.0040), (0.1143, 0.0036), (0.1143, 0.0050), (0.1397, 0.0050),
    (0.1683, 0.0050), (0.1937, 0.0063), (0.2191, 0.0063), (0.2730, 0.0063), (0.3239, 0.0080), (0.4064, 0.0088),
)  # fmt: skip
#: Diameters in which wire rope is sold. Common practice. [m]
ROPE_SIZES = (0.003, 0.004, 0.005, 0.006, 0.008, 0.010, 0.012, 0.013, 0.016)
#: Sides of blocks that are cast by hand. Common practice. [m]
BLOCKS = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.5, 3.0)


def by_reserve(eta: Num, wanted: LeastReserve) -> tuple[NDArray[np.int_], Num]:
    """Level and margin of a reserve against the least and the good one; without any it is a danger.

    Examples
    --------
    >>> [int(v) for v in by_reserve(np.array([0.9, 1.2, 2.0, 5.0]), STEEL)[0]]
    [3, 2, 1, 0]
    """
    eta = np.asarray(eta, dtype=float)
    level = np.select([eta < 1.0, eta < wanted.enough, eta < wanted.good], [DANGER, FAIL, MARGINAL], OK)
    return level, (np.minimum(eta, 1e6) - wanted.enough) / wanted.enough


def times_as_much(eta: Num, least: float | None = None) -> str:
    """A reserve in words; near the least that is wanted with a digit more, so that it is seen on which side it lies.

    Examples
    --------
    >>> times_as_much(2.04), times_as_much(0.61), times_as_much(50.0), times_as_much(1.58, 1.65)
    ('2 times', '0.61 times', 'more than 20 times', '1.58 times')
    """
    if np.all(np.asarray(eta) > 20.0):
        return "more than 20 times"
    near = least is not None and abs(float(eta) / least - 1.0) < 0.1
    return f"{digits(float(eta), 3 if near else 2)} times"


def reserve_words(eta: Num, wanted: LeastReserve, gone: str = "it gives way before the storm is at its worst") -> str:
    """What a reserve comes to, after a colon or a comma.

    Examples
    --------
    >>> reserve_words(1.2, STEEL), reserve_words(2.0, GROUND)
    ('less than the least, 1.65', 'more than the least, 1.5, less than the 3 usual for foundations')
    """
    if eta < 1.0:
        return gone
    if eta < wanted.enough:
        return f"less than the least, {digits(wanted.enough)}"
    if eta < wanted.good:
        return f"more than the least, {digits(wanted.enough)}, less than the {digits(wanted.good)} {wanted.whose}"
    return f"at least the {digits(wanted.good)} {wanted.whose}"


def thicker_tubes(diameter: Any, wall: Any, now: tuple[float, float], what: str) -> list[Way]:
    """Tubes as they are sold that are stiffer than the present one, lightest first."""
    D, t = now
    stiff = D**4 - (D - 2 * t) ** 4
    # Of more than twice the width it would be another mast, too heavy for what raises this one.
    fit = [(d, w) for d, w in TUBES if d <= 2.3 * D and d**4 - (d - 2 * w) ** 4 > 1.02 * stiff]
    tries: list[Try] = [{diameter: d, wall: w} for d, w in fit]
    return [change(f"Make the {what} of tube {{0}} x {{1}}.", *tries)] if tries else []


def thicker_ropes(label: str, now: float, *, clipped: bool) -> list[Way]:
    """Thicker ropes with what hangs on their size."""

    def fitted(d: float) -> Try:
        size: dict[Any, Value] = {Sheet.guy.rope_diameter[label]: d}
        return {**size, Sheet.guy.clips[label]: _most_clips(d)} if clipped else size

    sizes = [fitted(d) for d in ROPE_SIZES if d > 1.01 * now]
    return [change("Use guys of {0} rope, ends and turnbuckles to match.", *sizes)] if sizes else []


def _most_clips(d: float) -> float:
    needed = [float(guys.clips_needed(kind, d)) for kind in guys.clip_kinds()]
    return max([5.0, *(n for n in needed if not np.isnan(n))])


def newtons(F: Num) -> str:
    """A force in words, in two figures.

    Examples
    --------
    >>> newtons(1460.0), newtons(43150.0)
    ('1500 N', '43 kN')
    """
    return show(F, "kN" if np.all(np.asarray(F) >= 1e4) else "N", 2)


def storm_words(force: Num, V: Num) -> str:
    """The force at the head and the gust it comes from."""
    return f"{newtons(force)} at the head in a gust of {show(V, 'm/s', 2)}"


def ice_words(t: Num) -> str:
    """The ice that goes with a gust, after what it is on; nothing without.

    Examples
    --------
    >>> ice_words(0.02), ice_words(0.0)
    (', 20 mm of ice on it,', '')
    """
    return f", {show(t, 'mm', 2)} of ice on it," if np.any(np.greater(t, 0.0)) else ""
