"""The units that people write: words, plurals, other letters, each as a name of the table of units."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from calc.units import UNITS, kind_of, plain_unit
from journal.book.turns import in_turns

#: What people write that is no spelling of the table, in small letters, whole words of several parts before those
#: that they hold. Where it stands for units of several kinds, that of the kind asked for is taken.
PHRASES: tuple[tuple[str, str], ...] = (
    (r"(?:square|sq\.?|q)\s?(?:mm|millimet(?:re|er)s?)\b|mm\s?(?:sq\.?|squared|q)\b", "mm2"),
    (r"(?:square|sq\.?)\s?(?:cm|centimet(?:re|er)s?)\b|cm\s?(?:sq\.?|squared)\b", "cm2"),
    (r"(?:square|sq\.?)\s?(?:m|met(?:re|er)s?)\b|m\s?(?:sq\.?|squared)\b|\bsqm\b|\bqm\b", "m2"),
    (r"(?:square|sq\.?)\s?(?:ft|foot|feet)\b|\bsqft\b", "ft2"),
    (r"(?:square|sq\.?)\s?(?:in|inch|inches)\b", "in2"),
    (r"(?:ampere?|amp|a)s?[\s-]?h(?:ou)?rs?\b", "Ah"),
    (r"(?:kilo[\s-]?watt|kw)s?[\s-]?h(?:ou)?rs?\b", "kWh"),
    (r"(?:watt|w)s?[\s-]?h(?:ou)?rs?\b", "Wh"),
    (r"milli[\s-]?(?=volt|amp|ohm|met|henr)", "milli"),
    (r"newton[\s-]?met(?:re|er)s?\b|n[\s·*.-]m\b", "Nm"),
    (r"(?:degrees?|deg\.?|°|º)\s?(?:c|celsius|centigrade)\b|celsius|centigrade", "degC"),
    (r"(?:degrees?|deg\.?|°|º)\s?(?:f|fahrenheit)\b|fahrenheit", "degF"),
    (r"per\s?cent\b|\bpct\b", "%"),
    (r"(?:kilomet(?:re|er)s?|km)\s?/?\s?(?:hours?|hr|std|h)\b|\bkph\b|\bkmph\b", "km/h"),
    (r"(?:miles|mi)\s?/\s?(?:hours?|hr|h)\b", "mph"),
    (r"(?:met(?:re|er)s?|m)\s?/\s?sec(?:ond)?s?\b|\bmps\b", "m/s"),
    (r"(?:lbf?|pounds?)[\s·*-]?(?:ft|foot|feet)\b|(?:ft|foot)[\s·*.-]?(?:lbf?s?|pounds?)\b", "lbf ft"),
    (r"(?:lbf?|pounds?)[\s·*-]?in\b|in[\s·*.-]?(?:lbf?s?|pounds?)\b", "lbf in"),
    (r"\bkgf?[\s·*-]?m\b(?!\w)|\bkpm\b", "kgf m"),
    (r"\bkgf?[\s·*.-]?cm\b(?!\w)|\bkpcm\b", "kgf cm"),
    (r"\bdb\s?\(?a?\)?(?!\w)", "dB(A)"),
)  # fmt: skip
_PHRASES = tuple((re.compile(rf"(?<![a-zµ]){pattern}", re.IGNORECASE), name) for pattern, name in PHRASES)
#: Single words.
WORDS = {
    "volts": "V", "voltage": "V", "amps": "A", "amperes": "A", "watts": "W", "kilowatts": "kW", "ohms": "ohm",
    "metres": "m", "meters": "m", "mtr": "m", "mtrs": "m", "millimetres": "mm", "millimeters": "mm",
    "centimetres": "cm", "centimeters": "cm", "kilometres": "km", "kilometers": "km", "inches": "in", "ins": "in",
    "yards": "yd", "miles": "mi", "kilo": "kg", "kilos": "kg", "kgs": "kg", "kilogram": "kg", "kilogramme": "kg",
    "kilograms": "kg", "kilogrammes": "kg", "grams": "g", "gramme": "g", "grammes": "g", "gr": "g",
    "tonnes": "t", "pounds": "lb", "newtons": "N", "kilonewtons": "kN", "hrs": "h",
    "std": "h",
    "minutes": "min", "mins": "min", "secs": "s", "seconds": "s", "degrees": "deg", "knots": "kn", "kts": "kn",
    "hertz": "Hz", "c": "degC", "f": "degF", "kp": "kgf", "ounces": "oz", "wk": "week",
    "wks": "week", "weeks": "week", "radians": "rad", "º": "deg",
}  # fmt: skip
#: What cannot be meant as it stands, by the unit asked for: a stroke forgotten, or one too many.
_SLIPS: dict[str, dict[str, tuple[str, ...]]] = {
    "m/s": {
        "ms": ("m/s",),
        "m.s": ("m/s",),
        "ms-1": ("m/s",),
        "ms^-1": ("m/s",),
        "k": ("km/h", "kn"),
        "ks": ("km/h", "kn"),
    },
    "Wh": {"w/h": ("Wh",), "kw/h": ("kWh",)},
    "Ah": {"a/h": ("Ah",), "ma/h": ("mAh",)},
}
#: Behind volts and amperes, what they are of; the quantity says it already.
_DIRECT = re.compile(r"(?<=[va])\s?\(?(?:dc|ac|rms)\)?(?!\w)|(?<=volts|.amps)\s(?:dc|ac|rms)\b", re.IGNORECASE)
_PER = re.compile(r"\s*\b(?:per|a|an|each)\b\s*(?=[a-z])", re.IGNORECASE)
_NAME = re.compile(r"[^\W\d_]+|%")
#: Prefixes that differ by their case alone, a million times a million apart: no other letter is taken for them.
_MILLI = frozenset(["mV", "mA", "mW", "mohm", "mH", "mAh"])


_SYMBOLS = {name: unit.symbol for unit in UNITS for name in unit.spellings}


@cache
def _by_small_letters() -> dict[str, list[str]]:
    """Names of the table by their small letters."""
    found: dict[str, list[str]] = {}
    for unit in UNITS:
        for name in (unit.symbol, *unit.spellings):
            found.setdefault(name.casefold(), []).append(unit.symbol)
    return found


def _meanings(word: str) -> list[str]:
    """The names of the table that a word can stand for, the likeliest first."""
    exact = plain_unit(word)
    small = word.casefold()
    others = _by_small_letters().get(small, []) or _by_small_letters().get(small.removesuffix("s"), [])
    # Of a word all in capitals the lock was on; two letters are a unit of their own.
    locked = word.isupper() and len(word) > len("MW")
    milli_at_most = [name for name in others if locked or not (word[:1] == "M" and name in _MILLI)]
    named = [WORDS[small]] if small in WORDS else []
    return list(dict.fromkeys([*([exact] if exact else []), *named, *milli_at_most]))


def units_meant(typed: str, asked_unit: str, shown: str) -> Iterator[str]:
    """What a unit as people write it can be, as the table has it, the likeliest first; only such as can be read.

    Parameters
    ----------
    typed : str
        Behind the number.
    asked_unit, shown : str
        The SI unit asked for and that in which it is shown.

    Examples
    --------
    >>> [next(units_meant(u, "m^2", "mm2")) for u in ("sq mm", "square", "mm²")]
    ['mm2', 'mm2', 'mm2']
    >>> next(units_meant("kn", "N", "N")), next(units_meant("kn", "m/s", "m/s"))
    ('kN', 'kn')
    """
    wanted = plain_unit(asked_unit)
    text = in_turns(typed.strip().rstrip(".").replace("²", "2").replace("³", "3"), asked_unit)
    if wanted is None:
        return
    for spelt in _spelt(text, shown):
        found = plain_unit(_NAME.sub(lambda m: _SYMBOLS.get(m[0], m[0]), spelt))
        if found is not None and kind_of(found) in _kinds(wanted, shown):
            yield _SYMBOLS.get(found, found)


def units_anyhow(typed: str) -> Iterator[str]:
    """What a unit as people write it can be, of whatever kind."""
    for spelt in _spelt(typed.strip().rstrip("."), ""):
        found = plain_unit(_NAME.sub(lambda m: _SYMBOLS.get(m[0], m[0]), spelt))
        if found:
            yield _SYMBOLS.get(found, found)


#: What is typed without a unit, where these are all in which it is said, by the unit in which it is shown.
_UNSAID = {
    "m": ("m", "ft", "cm", "mm"),
    "mm": ("mm", "in"),
    "V": ("V",),
    "A": ("A", "mA"),
    "W": ("W", "kW"),
    "Ah": ("Ah", "mAh"),
    "ohm": ("ohm", "mohm"),
    "degC": ("degC", "degF"),
    "m/s": ("m/s", "km/h", "mph", "kn"),
    "mm2": ("mm2", "AWG"),
    "m2": ("m2", "ft2"),
    "cm2": ("cm2", "in2"),
    "kg": ("kg", "g", "lb"),
    "N": ("N", "kN", "kgf", "lbf"),
    "rpm": ("rpm",),
    "deg": ("deg",),
    "s": ("s", "min"),
    "h": ("h", "day"),
    "min": ("min", "s"),
    "h/day": ("h/day", "min/day"),
    "Wh": ("Wh", "kWh"),
    "Hz": ("Hz",),
    "Nm": ("Nm", "lbf ft", "kgf cm"),
    "MPa": ("MPa", "psi", "ksi"),
    "%": ("%",),
}


def units_unsaid(number: str, asked_unit: str, shown: str, example: str) -> tuple[str, ...]:
    """The units in which a number without one may be meant; each is still to lie in the range.

    Examples
    --------
    >>> units_unsaid("12.6", "V", "V", "12.1 V"), units_unsaid("1.4", "V", "V", "1.4 V")
    (('V',), ('V', 'mV'))
    """
    if shown == "%" and not (number.isdecimal() and float(number) > 1):
        # 1.1 is a slip of whoever meant one or the other.
        return ()
    # Where a volt or so is usual, millivolts are read too.
    small = shown == "V" and float(example.partition(" ")[0]) < _FEW_VOLTS
    return ("V", "mV") if small else _UNSAID.get(shown, ())


_FEW_VOLTS = 5.0


def _kinds(wanted: str, shown: str) -> list[tuple[tuple[str, int], ...]]:
    """The kind that is wanted, its reciprocal, and for a force a mass that weighs as much."""
    kind = kind_of(wanted)
    return [kind, *([tuple((base, -power) for base, power in kind)] if shown == "rpm/V" else [])]


def _spelt(text: str, shown: str) -> Iterator[str]:
    text = _DIRECT.sub("", text).strip()
    if (slips := _SLIPS.get(shown, {}).get(text.casefold().replace(" ", ""))) is not None:
        yield from slips
    if shown == "mm2" and text.casefold() in ("square", "sq", "squares", "sq."):
        yield "mm2"
    if shown == "h/day":
        text = re.sub(r"\s*(?:/|\bper\b|\ba\b|\beach\b)\s*d(?:ay)?\b|\s+daily\b", "", text, flags=re.IGNORECASE)
        yield from (f"{name}/day" for name in _meanings(text))
    told = text
    for phrase, name in _PHRASES:
        told = phrase.sub(name, told)
    if told in ("°", "º", "deg", "degrees", "degree") and shown == "degC":
        yield from ("degC", "degF")
    yield told
    yield from _meanings(told)
    told = _PER.sub("/", told)
    yield re.sub(r"\s*/\s*", "/", _NAME.sub(lambda m: next(iter(_meanings(m[0])), m[0]), told))
