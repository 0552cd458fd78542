"""Units: the one table of those that people type and those in which numbers are shown, and how many digits they get.

``calc`` computes in SI. This module turns an SI number into the words a builder reads, such as
``"10 mm2"`` or ``"62 rpm/V"``. Reading what people type is the journal's work, not done here; it takes the table.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, TypeAlias

# The journal reads this module at every command, and numpy is slow to load where nothing is computed.
if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Num: TypeAlias = "float | NDArray[np.float64]"
"""A number or an array of variants. What ``calc`` takes and gives."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit, as so many of another.

    Parameters
    ----------
    symbol : str
        As it is written in this program.
    size : float
        How many of ``of`` make one.
    of : str
        Units of this table multiplied and divided, such as ``"kg m/s2"``; a dimension in brackets, such as
        ``"[length]"``, for a unit of SI that is defined by itself; empty for a plain number.
    spellings : tuple of str
        What else people write for it.
    zero : float
        Where its scale begins. [K]
    sign : str
        The letters in which people write it, where those of this program are plainer; empty where they are the same.
    """

    symbol: str
    size: float
    of: str
    spellings: tuple[str, ...] = ()
    zero: float = 0.0
    sign: str = ""


#: Every unit, those that a line is made of before it. What is built from these, such as ``ohm/km``, needs no line.
#: A reader of units may take an s at the end for a plural, so whatever ends in s for seconds has a line too.
UNITS = (
    Unit("m", 1.0, "[length]", ("meter", "metre")),
    Unit("s", 1.0, "[time]", ("second", "sec")),
    Unit("A", 1.0, "[current]", ("ampere", "amp")),
    Unit("kg", 1.0, "[mass]", ("kilogram",)),
    Unit("K", 1.0, "[temperature]", ("kelvin",)),
    Unit("rad", 1.0, "[]", ("radian",)),
    Unit("%", 0.01, "", ("percent",)),
    Unit("dB(A)", 1.0, "", ("dBA",)),
    Unit("g", 1e-3, "kg", ("gram",)),
    Unit("mm", 1e-3, "m", ("millimeter", "millimetre")),
    Unit("cm", 1e-2, "m", ("centimeter", "centimetre")),
    Unit("km", 1e3, "m", ("kilometer", "kilometre")),
    Unit("in", 0.0254, "m", ("inch",)),
    Unit("ft", 0.3048, "m", ("foot", "feet")),
    Unit("yd", 0.9144, "m", ("yard",)),
    Unit("mi", 1609.344, "m", ("mile",)),
    Unit("ms", 1e-3, "s", ("millisecond",)),
    Unit("min", 60.0, "s", ("minute",)),
    Unit("h", 3600.0, "s", ("hour", "hours", "hr")),
    Unit("day", 86400.0, "s", ("d", "days")),
    Unit("week", 7.0, "day"),
    Unit("mph", 1.0, "mi/h"),
    Unit("kn", 1852.0, "m/h", ("knot", "kt")),
    Unit("turn", 2 * math.pi, "rad", ("revolution",)),
    Unit("deg", math.pi / 180, "rad", ("degree", "°"), sign="°"),
    Unit("rpm", 1.0, "turn/min"),
    Unit("krpm", 1e3, "rpm"),
    Unit("rps", 1.0, "turn/s"),
    Unit("Hz", 1.0, "1/s", ("hertz",)),
    Unit("N", 1.0, "kg m/s2", ("newton",)),
    Unit("kN", 1e3, "N", ("kilonewton",)),
    Unit("daN", 10.0, "N"),
    Unit("kgf", 9.80665, "N"),
    Unit("Nm", 1.0, "N m"),
    Unit("Pa", 1.0, "N/m2", ("pascal",)),
    Unit("hPa", 100.0, "Pa", ("hectopascal",)),
    Unit("MPa", 1e6, "Pa", ("megapascal",)),
    Unit("GPa", 1e9, "Pa", ("gigapascal",)),
    Unit("J", 1.0, "N m", ("joule",)),
    Unit("W", 1.0, "J/s", ("watt",)),
    Unit("mW", 1e-3, "W", ("milliwatt",)),
    Unit("kW", 1e3, "W", ("kilowatt",)),
    Unit("Wh", 1.0, "W h"),
    Unit("kWh", 1e3, "Wh"),
    Unit("Ws", 1.0, "W s"),
    Unit("kWs", 1e3, "Ws"),
    Unit("V", 1.0, "W/A", ("volt",)),
    Unit("mV", 1e-3, "V", ("millivolt",)),
    Unit("kV", 1e3, "V", ("kilovolt",)),
    Unit("mA", 1e-3, "A", ("milliampere", "milliamp")),
    Unit("kA", 1e3, "A", ("kiloampere",)),
    Unit("Ah", 1.0, "A h"),
    Unit("mAh", 1e-3, "Ah"),
    Unit("As", 1.0, "A s"),
    Unit("Vs", 1.0, "V s"),
    Unit("ohm", 1.0, "V/A", ("Ω", "\u2126"), sign="Ω"),
    Unit("mohm", 1e-3, "ohm", ("milliohm",), sign="mΩ"),
    Unit("kohm", 1e3, "ohm", ("kiloohm", "kΩ"), sign="kΩ"),
    Unit("Mohm", 1e6, "ohm", ("megohm", "megaohm", "MΩ"), sign="MΩ"),
    Unit("H", 1.0, "V s/A", ("henry",)),
    Unit("mH", 1e-3, "H", ("millihenry",)),
    Unit("uH", 1e-6, "H", ("microhenry",), sign="µH"),
    Unit("Wb", 1.0, "V s", ("weber",)),
    Unit("t", 1e3, "kg", ("tonne",)),
    Unit("lb", 0.45359237, "kg", ("pound", "lbs")),
    Unit("lbf", 0.45359237 * 9.80665, "N", ("force_pound",)),
    Unit("oz", 1 / 16, "lb", ("ounce",)),
    Unit("psi", 1.0, "lbf/in2"),
    Unit("ksi", 1e3, "psi"),
    Unit("degC", 1.0, "K", ("degree_Celsius", "°C"), zero=273.15, sign="°C"),
    Unit("degF", 5 / 9, "K", ("degree_Fahrenheit", "°F"), zero=459.67 * 5 / 9, sign="°F"),
)

_BY_NAME = {name: unit for unit in UNITS for name in (unit.symbol, *unit.spellings)}
_FACTOR = re.compile(r"(?P<over>/?) ?(?P<name>[^ /]+?)(?P<power>[23]?)(?=[ /]|$)")

#: Letters of a name beyond which an s behind it is a plural.
_SHORTEST_PLURAL = 3
#: As formulas of units write them, and as the table is read.
_POWER_SIGN = re.compile(r"(?:\*\*|\^)(?=[23](?!\d))")
_SIGNS_OF_FORMULAS = (("*", " "), ("²", "2"), ("³", "3"))

#: A back-EMF constant is kept in V s/rad and shown the other way up.
UPSIDE_DOWN = "rpm/V"


@cache
def si_size(unit: str) -> float:
    """Size of one of a unit in SI, scales that begin elsewhere left aside.

    Parameters
    ----------
    unit : str
        Units of :data:`UNITS` multiplied and divided, such as ``"ohm/km"`` or ``"kg m2"``; empty for a plain number.

    Returns
    -------
    size : float
        How many of the SI unit make one.

    Raises
    ------
    KeyError
        If one of its units is not in the table.

    Examples
    --------
    >>> si_size("kWh"), si_size("ohm/km"), si_size("m3/h")
    (3600000.0, 0.001, 0.000277777)
    """
    known = _BY_NAME.get(unit)
    if known is not None:
        return known.size * (1.0 if known.of.startswith("[") else si_size(known.of))
    size = 1.0
    for factor in _FACTOR.finditer(unit):
        one = 1.0 if factor["name"] == "1" else si_size(_BY_NAME[factor["name"]].symbol)
        many = one ** int(factor["power"] or 1)
        size = size / many if factor["over"] else size * many
    return size


@cache
def plain_unit(formula: str) -> str | None:
    """A unit as :func:`si_size` reads it, or None where this table alone cannot tell what it is.

    Examples
    --------
    >>> plain_unit("kg*m**2"), plain_unit("m^2"), plain_unit("m**-1"), plain_unit("parsec")
    ('kg m2', 'm2', None, None)
    """
    formula = _POWER_SIGN.sub("", formula)
    for sign, ours in _SIGNS_OF_FORMULAS:
        formula = formula.replace(sign, ours) if "**" not in formula else formula
    formula = " ".join(formula.replace(" /", "/").replace("/ ", "/").split())
    if formula in _BY_NAME or (formula[-1:] == "s" and len(formula) > _SHORTEST_PLURAL and formula[:-1] in _BY_NAME):
        return formula if formula in _BY_NAME else formula[:-1]
    spans = [factor.span() for factor in _FACTOR.finditer(formula)]
    whole = "".join(formula[a:b] for a, b in spans) == formula
    names = [factor["name"] for factor in _FACTOR.finditer(formula)]
    return formula if whole and all(name == "1" or name in _BY_NAME for name in names) else None


@cache
def kind_of(unit: str) -> tuple[tuple[str, int], ...]:
    """What a unit is of: the units of SI that it is made of, each with its power, in the order of their names.

    Raises
    ------
    KeyError
        As :func:`si_size`.

    Examples
    --------
    >>> kind_of("mm2"), kind_of("rpm"), kind_of("N m") == kind_of("Wh"), kind_of("%")
    ((('m', 2),), (('s', -1),), True, ())
    """
    powers: dict[str, int] = {}
    known = _BY_NAME.get(unit)
    if known is not None and known.of.startswith("["):
        return () if known.of == "[]" else ((known.symbol, 1),)
    for factor in _FACTOR.finditer(unit if known is None else known.of):
        if factor["name"] != "1":
            sign = (-1 if factor["over"] else 1) * int(factor["power"] or 1)
            for base, power in kind_of(_BY_NAME[factor["name"]].symbol):
                powers[base] = powers.get(base, 0) + sign * power
    return tuple(sorted((base, power) for base, power in powers.items() if power))


def in_si(number: float, unit: str) -> float:
    """A number of some unit in SI, on a scale of temperature from where that begins.

    Raises
    ------
    KeyError
        As :func:`si_size`.

    Examples
    --------
    >>> in_si(20.0, "degC"), in_si(10.0, "mm2")
    (293.15, 1e-05)
    """
    known = _BY_NAME.get(unit)
    return number * si_size(unit) + (known.zero if known else 0.0)


def to_shown(value: Num, unit: str) -> Num:
    """Convert an SI number to the unit in which it is shown.

    Parameters
    ----------
    value : float or array, shape (...,)
        The number in SI.
    unit : str
        Units of :data:`UNITS` multiplied and divided; ``"rpm/V"`` is that of a back-EMF constant in V s/rad.

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
    if unit == UPSIDE_DOWN:
        return 1 / si_size(unit) / value
    known = _BY_NAME.get(unit)
    return (value - known.zero if known and known.zero else value) / si_size(unit)


#: Below this a number in any unit that people are shown is what rounding has left of nothing.
NOTHING = 1e-9


def digits(value: float, figures: int = 3) -> str:
    """Write a number with a sensible count of figures and no exponent.

    Examples
    --------
    >>> digits(2.19612), digits(1234.5), digits(0.04567), digits(12.0), digits(1e-20)
    ('2.2', '1230', '0.0457', '12', '0')
    """
    if abs(value) < NOTHING:
        return "0"
    if not math.isfinite(value):
        return "unlimited" if value > 0 else "unlimited below"
    places = figures - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    text = f"{rounded:.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rounded_up(x: float, figures: int = 2) -> float:
    """The next number of so many figures that is not less: for what must be reached or kept away from.

    Examples
    --------
    >>> rounded_up(92.3), rounded_up(223.0), rounded_up(31.0), rounded_up(0.0)
    (93.0, 230.0, 31.0, 0.0)
    """
    if abs(x) < NOTHING or not math.isfinite(x):
        return x
    step = 10.0 ** (math.floor(math.log10(abs(x))) - figures + 1)
    # What is a hair more than a round number, for it was computed, is that number.
    return math.ceil(round(x / step, 6)) * step


def show_up(value: Num, unit: str, figures: int = 3) -> str:
    """Write what must be reached at least, never as less than it is; see :func:`show`.

    Examples
    --------
    >>> show_up(474.0, "V", 2), show_up(30.0, "A", 2)
    ('480 V', '30 A')
    """
    return _with_unit(rounded_up(float(to_shown(value, unit)), figures), unit, figures)


def show_down(value: Num, unit: str, figures: int = 3) -> str:
    """Write what must not be passed, never as more than it is; see :func:`show`.

    Examples
    --------
    >>> show_down(0.1778, "mm"), show_down(18.9, "m", 1)
    ('177 mm', '10 m')
    """
    return _with_unit(-rounded_up(-float(to_shown(value, unit)), figures), unit, figures)


_POWERS = {"2": "²", "3": "³"}


@cache
def _plain_letters() -> tuple[re.Pattern[str], re.Pattern[str], dict[str, str]]:
    """A number with its unit, one factor of a unit, and the sign of each unit that has one."""
    names = "|".join(sorted((re.escape(u.symbol) for u in UNITS), key=len, reverse=True))
    # Amperes are squared nowhere, and A2 is an attempt.
    powers = "(?<=m|n|s)[23]|(?<=ft|yd|mi)[23]"
    factor = f"(?:{names})(?:{powers})?"
    # Neither a name such as r2 is a number, nor what goes on as a name or a path a unit.
    number = re.compile(rf"(?<![\w.])(\d[\d.]*) ({factor}(?:/{factor}| (?:m|ft)[23])*)(?![\w(/²³]|\.\w)")
    return number, re.compile(rf"({names})([23]?)"), {u.symbol: u.sign for u in UNITS if u.sign}


def as_written(text: str, encoding: str | None = "utf-8") -> str:
    """Write the units behind the numbers of a text in the letters that people use, as far as these can be shown.

    Parameters
    ----------
    text : str
        With units in the plain letters of :data:`UNITS`, each behind a number and a space.
    encoding : str or None
        In what the text will be shown; a letter that it does not have stays plain.

    Returns
    -------
    text : str
        The same, to be shown and no longer to be read by this program, which takes either form.

    Examples
    --------
    >>> as_written("16 mm2 at 20 degC lose 1.2 ohm/km; 22 deg, 900 W/m2, 9.8 m/s2"), as_written("16 mm2", "ascii")
    ('16 mm² at 20 °C lose 1.2 Ω/km; 22°, 900 W/m², 9.8 m/s²', '16 mm2')
    """
    number, factor, signs = _plain_letters()

    def one(found: re.Match[str]) -> str:
        sign = signs.get(found[1], found[1])
        power = _POWERS.get(found[2], "")
        return (sign if can_show(sign, encoding) else found[1]) + (power if can_show(power, encoding) else found[2])

    def whole(found: re.Match[str]) -> str:
        unit = factor.sub(one, found[2])
        return f"{found[1]}{unit}" if unit == "°" else f"{found[1]} {unit}"

    return number.sub(whole, text)


def can_show(letters: str, encoding: str | None) -> bool:
    """Whether an encoding has some letters.

    Examples
    --------
    >>> can_show("mm²", "latin-1"), can_show("Ω", "latin-1"), can_show("mm", None)
    (True, False, True)
    """
    try:
        letters.encode(encoding or "ascii")
    except (LookupError, UnicodeEncodeError):
        return False
    return True


def with_unit(number: str, unit: str) -> str:
    """A number in words with its unit behind it; one of what is said as a word is one.

    Examples
    --------
    >>> with_unit("1", "days"), with_unit("8.4", "days"), with_unit("3", "")
    ('1 day', '8.4 days', '3')
    """
    return f"{number} {'day' if (number, unit) == ('1', 'days') else unit}".strip()


def _with_unit(shown: float, unit: str, figures: int) -> str:
    return with_unit(digits(shown, figures), unit)


def show(value: Num, unit: str, figures: int = 3) -> str:
    """Write an SI number in a shown unit, for people.

    Examples
    --------
    >>> show(2.2, "m"), show(10e-6, "mm2"), show(0.125, "%")
    ('2.2 m', '10 mm2', '12.5 %')
    """
    return _with_unit(float(to_shown(value, unit)), unit, figures)


def as_shown(value: float, unit: str, figures: int = 3) -> float:
    """The SI number that somebody means who types what is shown.

    Examples
    --------
    >>> as_shown(2.19612, "m"), show(as_shown(293.147, "degC"), "degC", 6), show(as_shown(0.3079, "rpm/V"), "rpm/V", 6)
    (2.2, '20 degC', '31 rpm/V')
    """
    typed = float(digits(float(to_shown(value, unit)), figures))
    if unit == UPSIDE_DOWN:
        return 1 / si_size(unit) / typed
    known = _BY_NAME.get(unit)
    return typed * si_size(unit) + (known.zero if known else 0.0)
