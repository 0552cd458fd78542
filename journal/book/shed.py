"""Raw readings taken with what a shed has, turned into values of the sheet with their doubt.

A string round the pipe is a circumference, a drill and a voltmeter tell the back-EMF constant, a current and a voltage
the resistance. What was read stays beside the value as its note.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from calc.evidence.spin_test import constant_from_spins
from calc.evidence.uncertainty import LimitedReading
from calc.machine.catalogue import Sheet, split
from calc.units import show
from journal.book.plain_quantity import Wanted
from journal.book.quantity import parse
from journal.errors import BadInput

_LENGTH = Wanted("m", "m", 1e-4, 1e3, "50.3 cm")
_SPEED = Wanted("rad/s", "rpm", 1e-2, 1e4, "300 rpm")
_VOLTAGE = Wanted("V", "V", 1e-4, 1e4, "4.8 V")
_CURRENT = Wanted("A", "A", 1e-4, 1e4, "2.1 A")

#: Shares by which such readings are off, where their last digit does not say more: a tape or string, the speed of a
#: drill by its own display or a bicycle computer, a pocket multimeter's volts and amps. From memory.
TAPE, TACHOMETER, VOLTS, AMPS = 0.005, 0.02, 0.01, 0.02

#: Half of what the diodes of a rectifier may keep from the meter, which one spin alone does not tell. [V], from memory.
KEPT = 0.7

_NUMBER = r"\d+(?:[.,]\d+)?"
_AMOUNT = re.compile(rf"({_NUMBER})\s*(rpm|r/min|1/min|min-1|mV|V|mA|A|mm|cm|m|in|ft)(?![\w/])", re.IGNORECASE)
_BETWEEN = re.compile(r"[\s,;:/@]+|\band\b|\bat\b")
_UNITS = {"v": "V", "mv": "mV", "a": "A", "ma": "mA", "r/min": "rpm", "1/min": "rpm", "min-1": "rpm"}


class Read(NamedTuple):
    """A value made of raw readings: as one would type it, its doubt, and what was done, in a sentence."""

    typed: str
    doubt: str
    says: str


@dataclass(frozen=True, slots=True)
class RawReading:
    """One way of taking a value with what a shed has: how it begins if it has a word of its own, how it is typed."""

    words: tuple[str, ...]
    like: str
    read: Callable[[str, Sequence[_Amount]], Read | None]


class _Amount(NamedTuple):
    value: float
    unit: str
    digit: float


def ways_of(path: str) -> tuple[RawReading, ...]:
    """The ways in which a value of the sheet can be read raw."""
    return _WAYS.get(split(path)[0], ())


def read_raw(path: str, text: str) -> Read | None:
    """A value from raw readings as typed; None where the text is no raw reading of it.

    Raises
    ------
    BadInput
        If the readings cannot be of such a thing.

    Examples
    --------
    >>> read_raw("blade.pipe_diameter", "string 50.3 cm").typed
    '160 mm'
    """
    typed = text.strip()
    amounts = [_amount(number, unit) for number, unit in _AMOUNT.findall(typed)]
    bare = " ".join(w for w in _BETWEEN.split(_AMOUNT.sub(" ", typed).casefold()) if w)
    for way in ways_of(path):
        if bare in way.words and (found := way.read(path, amounts)) is not None:
            return found
        if bare and bare in way.words:
            raise BadInput(f"{text!r} lacks a reading", f"Type it like {way.like}")
    return None


def _amount(number: str, unit: str) -> _Amount:
    plain, known = number.replace(",", "."), _UNITS.get(unit.casefold(), unit.casefold())
    asked = {"rpm": _SPEED, "V": _VOLTAGE, "mV": _VOLTAGE, "A": _CURRENT, "mA": _CURRENT}.get(known, _LENGTH)
    digit = 10.0 ** -len(plain.partition(".")[2])
    value = parse(f"{plain} {known}", asked, "Reading").value
    return _Amount(value, asked.unit, digit * value / float(plain))


def _doubt(*readings: tuple[_Amount, float]) -> float:
    """Share by which what is made of readings may be off: of each its own, and half of its last digit."""
    return math.hypot(*(max(share, 0.5 * a.digit / a.value) for a, share in readings))


def _percent(share: float) -> str:
    return f"{100 * share:.2g} %"


def _lengths(amounts: Sequence[_Amount], count: int) -> list[_Amount] | None:
    return list(amounts) if len(amounts) == count and all(a.unit == "m" for a in amounts) else None


def _round(path: str, amounts: Sequence[_Amount]) -> Read | None:
    if (found := _lengths(amounts, 1)) is None:
        return None
    across = found[0].value / math.pi
    text = show(across, "m" if across >= 1.0 else "mm", 4 if across >= 1.0 else 3)
    return Read(text, _percent(_doubt((found[0], TAPE))), f"{show(found[0].value, 'm', 4)} round is {text} across")


def _half(path: str, amounts: Sequence[_Amount]) -> Read | None:
    if (found := _lengths(amounts, 1)) is None:
        return None
    text = show(2.0 * found[0].value, "m", 4)
    return Read(text, _percent(_doubt((found[0], TAPE))), f"twice {show(found[0].value, 'm', 4)} is {text}")


def _wire(path: str, amounts: Sequence[_Amount]) -> Read | None:
    if (found := _lengths(amounts, 1)) is None:
        return None
    area = math.pi * found[0].value ** 2 / 4.0
    # A thickness goes into the area twice.
    share = 2.0 * _doubt((found[0], TAPE))
    text = show(area, "mm2", 3)
    return Read(text, _percent(share), f"a solid wire {show(found[0].value, 'mm', 3)} thick has {text}")


def _spins(path: str, amounts: Sequence[_Amount]) -> Read | None:
    """Pairs of speed and voltage: their ratio, or by two speeds and more the line through them."""
    speeds = [a for a in amounts if a.unit == "rad/s"]
    volts = [a for a in amounts if a.unit == "V"]
    if not speeds or len(speeds) != len(volts) or len(amounts) != 2 * len(speeds):
        return None
    if len(speeds) == 1:
        k = volts[0].value / speeds[0].value
        share = math.hypot(_doubt((volts[0], VOLTS), (speeds[0], TACHOMETER)), KEPT / volts[0].value)
    else:
        test = constant_from_spins([_limited(a, TACHOMETER) for a in speeds], [_limited(a, VOLTS) for a in volts])
        k, share = test.k, test.U_k / abs(test.k)
        if not test.sound:
            raise BadInput("Such voltages at such speeds make no sense", "Type them like 300 rpm 4.8 V, 600 rpm 9.7 V")
    text = show(k, "rpm/V", 3)
    kept = "" if len(speeds) > 1 else "; a second speed makes up for what diodes keep"
    return Read(text, _percent(share), f"{len(speeds)} {'spin is' if len(speeds) == 1 else 'spins are'} {text}{kept}")


def _limited(a: _Amount, share: float) -> LimitedReading:
    half = max(share * a.value, 0.5 * a.digit)
    return LimitedReading(a.value - half, a.value, a.value + half, a.unit)


def _resistance(path: str, amounts: Sequence[_Amount]) -> Read | None:
    """A voltage over a current; of two voltages, without and with the current, what is lost."""
    volts, amps = [a for a in amounts if a.unit == "V"], [a for a in amounts if a.unit == "A"]
    if len(amps) != 1 or len(volts) not in (1, 2) or len(amounts) != len(volts) + 1:
        return None
    lost = abs(volts[0].value - volts[-1].value) if len(volts) == 2 else volts[0].value
    if not lost:
        raise BadInput("Both voltages are the same", "Type them like 12.60 V 12.45 V 5 A: without, and with a current")
    # Errors of the same meter's scale go out of a difference; what its last digit hides does not.
    least = math.hypot(*(0.5 * v.digit for v in volts))
    share = math.hypot(max(VOLTS, least / lost), AMPS)
    ohm = lost / amps[0].value
    text = show(ohm, "mohm" if ohm < 0.1 else "ohm", 3)
    return Read(text, _percent(share), f"{show(lost, 'V', 3)} at {show(amps[0].value, 'A', 3)} are {text}")


_ROUND = RawReading(("string", "round", "around", "circumference", "girth"), "string 50.3 cm", _round)
_RESISTANCE = ("", "through", "with", "without")
_WAYS: dict[str, tuple[RawReading, ...]] = {
    Sheet.rotor.diameter.path: (RawReading(("half", "radius", "one blade"), "half 1.1 m", _half),),
    Sheet.blade.pipe_diameter.path: (_ROUND,),
    Sheet.mast.tube_diameter.path: (_ROUND,),
    Sheet.generator.emf_constant.path: (RawReading(("", "drill", "spin"), "300 rpm 4.8 V, 600 rpm 9.7 V", _spins),),
    Sheet.generator.winding_resistance.path: (RawReading(_RESISTANCE, "2.1 V 5 A", _resistance),),
    Sheet.storage.internal_resistance.path: (RawReading(_RESISTANCE, "12.60 V 12.45 V 5 A", _resistance),),
    Sheet.cable.area.path: (RawReading(("wire", "strand", "thick"), "wire 1.78 mm", _wire),),
}
