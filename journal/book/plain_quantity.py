"""Numbers with units in their plain form, that of the README, turned into SI numbers with their limits."""

from __future__ import annotations

import math
import re
import tokenize
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Protocol

from calc.units import UNITS, UPSIDE_DOWN, Unit, in_si, kind_of, plain_unit, show, si_size, to_shown
from journal.book.shown import in_units
from journal.book.turns import TURNING, in_turns
from journal.errors import BadInput, nearest

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
PLAIN = re.compile(rf"\s*({_NUMBER})\s*((?![\d.,]).*?|1/min)?\s*")
_DOUBT = re.compile(r"\s*(?:\+-|\+/-|±)\s*")
_RANGE = re.compile(rf"\s*({_NUMBER})\s*(?:to|\.\.|–)\s*({_NUMBER})\s*(.*?)\s*")
_BEAUFORT = re.compile(
    r"\s*(?:about\s+)?(?:(?:bft|beaufort|force)\s*(\d{1,2})(?:\s*(?:-|to|–)\s*(\d{1,2}))?"
    r"|(\d{1,2})(?:\s*(?:-|to|–)\s*(\d{1,2}))?\s*(?:bft|beaufort))\s*",
    re.IGNORECASE,
)
#: A gauge by the American table; the bare word gauge stands for it where a cross-section of copper is asked.
_AWG = re.compile(
    r"\s*#?\s*(?:(\d)/0|(0{1,4})|(\d{1,2}))[\s-]*(?:AWG|gauge|ga\.?)\s*"
    r"|\s*(?:AWG|gauge)[\s#]*(?:(\d)/0|(0{1,4})|(\d{1,2}))\s*|\s*#\s*(?:(\d)/0|(0{1,4})|(\d{1,2}))\s*",
    re.IGNORECASE,
)
#: What people type for a value that they have not.
NOT_KNOWN = re.compile(
    r"\s*(?:\?+|n/?a|unknown|not known|(?:i )?do(?:n'?|n’| no)t know|no (?:idea|clue)|dunno|tbd|not sure)\s*",
    re.IGNORECASE,
)
#: A power that is not one small digit: no unit at this work has it, and a tower of them would be computed for hours.
_RUNAWAY = re.compile(r"(?:\*\*|\^)(?!\s*-?\d(?!\s*[\d.(^]|\s*\*\*))")
#: A second number behind a unit, such as in 5 ft 6 in, is no product of units; and no unit has such signs.
_NO_UNIT = re.compile(r"[^\W\d]\s+\d|[:;,=<>?!'\"|@#&]")
#: What has no angle in it is no speed of rotation: of what goes by turns, nothing is taken for radians.
_TURNED = re.compile(r"rp[ms]|turn|rev|rad|deg|V\W*s\b|Wb|weber")
_POWER = re.compile(r"\b(m|mm|cm|ft|in|s)([23])\b")
_POWER_IN_TABLE = re.compile(r"(?<=[a-zA-Z])([23])\b")
_SIGNS = {"µ": "u", "μ": "u", "²": "2", "³": "3", "·": "*"}


#: A number alone, as somebody answers who sees the unit in the question.
_BARE = re.compile(r"\s*(?:(?:about|around|roughly|ca\.?|approx\.?)\s|~)?\s*[+-]?\d[\d.,' ]*", re.IGNORECASE)


class NumberAsked(Protocol):
    """What is asked for: an entry of the catalogue of inputs, or a quantity that can be measured."""

    @property
    def unit(self) -> str: ...  # noqa: D102
    @property
    def shown(self) -> str: ...  # noqa: D102
    @property
    def low(self) -> float: ...  # noqa: D102
    @property
    def high(self) -> float: ...  # noqa: D102
    @property
    def example(self) -> str: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Wanted:
    """A number asked for outside both catalogues."""

    unit: str
    shown: str
    low: float
    high: float
    example: str


@dataclass(frozen=True, slots=True)
class Amount:
    """A number as typed and in SI, with limits if any were typed.

    ``plain`` is the same in the plain form of the README, empty where it was typed so. ``aside``
    are words beside the number that were passed over.
    """

    typed: str
    value: float
    low: float | None = None
    high: float | None = None
    doubt: str | None = None
    plain: str = ""
    aside: str = ""


class Unclear(BadInput):
    """What was typed may mean several things; ``between`` are these, as one would type them."""

    def __init__(self, what: str, between: tuple[str, ...], accepted: str = "") -> None:
        super().__init__(what, accepted or f"Type {' or '.join(between)}")
        self.between = between


def _names(unit: Unit) -> list[str]:
    """What Pint can take for a name of a unit; the first is its own."""
    return [name for name in (unit.symbol, *unit.spellings) if name.isascii() and name.isidentifier()]


@cache
def _registry() -> Any:
    """Pint's registry with the units of our own table: the start stays quick, and what nobody means is refused."""
    import pint

    registry: Any = pint.UnitRegistry(None, autoconvert_offset_to_baseunit=True)
    for unit in UNITS:
        name, *others = _names(unit)
        of = _POWER_IN_TABLE.sub(r"**\1", unit.of).replace(" ", "*")
        size = of if of.startswith("[") else f"{unit.size!r} * {of or 1}"
        zero = f"; offset: {unit.zero!r}" if unit.zero or unit.of == "[temperature]" else ""
        registry.define(" = ".join([name, size + zero, "_", *others]))
    return registry


@cache
def _spellings() -> dict[str, str]:
    """Spellings that Pint can take for no name, the longest first, each with the name it stands for."""
    odd = {spelling: _names(unit) for unit in UNITS for spelling in (unit.symbol, *unit.spellings)}
    return {s: odd[s][0] for s in sorted(odd, key=len, reverse=True) if s not in odd[s]} | _SIGNS


def _unit(text: str) -> str:
    for spelling, unit in _spellings().items():
        text = text.replace(spelling, unit)
    return _POWER.sub(r"\1**\2", text)


def _tidy(number: float) -> float:
    """Take away what conversion adds beyond the twelfth figure, so that 10 mm2 is 1e-5 and no less."""
    return float(f"{number:.12g}")


#: What Pint raises where a text is no unit at all, beside its own errors.
_UNREADABLE = (
    SyntaxError, OverflowError, KeyError, ValueError, TypeError, AttributeError, AssertionError, tokenize.TokenError,
)  # fmt: skip


def _convert(number: float, unit: str, asked: NumberAsked, what: str, *, difference: bool = False) -> float:
    """One number with its unit, in the SI unit asked for."""
    like = f"Type it like {asked.example}"
    if not unit and _unit(asked.unit):
        raise BadInput(f"{what}: {number:g} has no unit", like)
    if _RUNAWAY.search(unit) or _NO_UNIT.search(unit) or (asked.unit in TURNING and not _TURNED.search(unit)):
        raise BadInput(f"{what}: cannot read the unit {unit!r}", like)
    ours, wanted = plain_unit(_by_sign(unit)), plain_unit(asked.unit)
    if ours is not None and wanted is not None:
        if not _fits(ours, wanted):
            return _wrong_kind(unit, asked, what)
        if not number and kind_of(ours) != kind_of(wanted):
            raise BadInput(f"{what}: this divides by zero", like)
        return _by_table(number, ours, wanted, difference)
    return _by_registry(number, unit, asked, what, difference)


def _by_sign(unit: str) -> str:
    for spelling, name in _spellings().items():
        unit = unit.replace(spelling, name)
    return unit


def _fits(unit: str, wanted: str) -> bool:
    """Whether a unit is of the kind that is wanted, or of its reciprocal."""
    return kind_of(unit) in (kind_of(wanted), tuple((base, -power) for base, power in kind_of(wanted)))


def _by_table(number: float, unit: str, wanted: str, difference: bool) -> float:
    """Convert by our own table, without loading a library of units."""
    if difference:
        # A difference of temperatures has no offset.
        return abs(number * si_size(unit))
    if kind_of(unit) != kind_of(wanted):
        return _tidy(1 / (number * si_size(unit)))
    return _tidy(in_si(number, unit) / si_size(wanted))


def _wrong_kind(unit: str, asked: NumberAsked, what: str) -> float:
    charge = "; divide Wh by the battery's voltage" if asked.unit == "A*s" else ""
    raise BadInput(
        f"{what}: {unit or 'a plain number'!s} is the wrong kind of unit", f"Type it like {asked.example}{charge}"
    )


def _by_registry(number: float, unit: str, asked: NumberAsked, what: str, difference: bool) -> float:
    """Convert what our table alone cannot read, such as a formula with brackets."""
    import pint

    like = f"Type it like {asked.example}"
    try:
        return _in_si(number, _unit(unit), asked.unit, difference=difference)
    except pint.UndefinedUnitError as e:
        unknown = str(e.unit_names if isinstance(e.unit_names, str) else next(iter(e.unit_names)))
        wanted = plain_unit(asked.unit)
        fitting = [n for u in UNITS for n in (u.symbol, *u.spellings) if wanted is not None and _fits(u.symbol, wanted)]
        known = nearest(unknown, fitting)
        close = f"Did you mean {known!r}? " if known else ""
        raise BadInput(f"{what}: unknown unit {unknown!r}", f"{close}{like}") from None
    except pint.DimensionalityError:
        return _wrong_kind(unit, asked, what)
    except ZeroDivisionError:
        raise BadInput(f"{what}: this divides by zero", like) from None
    except (pint.errors.PintError, *_UNREADABLE):
        raise BadInput(f"{what}: cannot read the unit {unit!r}", like) from None


def _in_si(number: float, unit: str, asked: str, *, difference: bool) -> float:
    """Convert; a reciprocal such as rpm/V for V s/rad is turned over."""
    registry = _registry()
    typed = registry.Quantity(number, unit)
    wanted = registry.Unit(asked)
    if difference:
        # A difference of temperatures has no offset.
        one = registry.Quantity(number + 1.0, unit).to(wanted).magnitude
        return abs(float(one - registry.Quantity(1.0, unit).to(wanted).magnitude))
    if typed.dimensionality == (1 / wanted).dimensionality != wanted.dimensionality:
        return _tidy(1 / typed.to(1 / wanted).magnitude)
    return _tidy(typed.to(wanted).magnitude)


def is_beaufort(text: str) -> bool:
    """Whether a wind was typed as a Beaufort number."""
    return _BEAUFORT.fullmatch(text) is not None


def in_unit_of(asked: NumberAsked, typed: str) -> str:
    """An answer to a question that shows its unit, with that unit where the answer has none.

    Examples
    --------
    >>> in_unit_of(Wanted("m", "m", 0.2, 15.0, "2.2 m"), "about 1,8")
    'about 1,8 m'
    """
    told = in_units(asked.example)
    # A gauge beside it is none that is asked for.
    parts = plain_number(asked.example if "(" in told else told)
    return f"{typed.strip()} {parts[1]}" if parts and parts[1] and _BARE.fullmatch(typed) else typed


def plain_number(text: str) -> tuple[str, str] | None:
    """The number and the unit of a value typed without limits, or ``None`` if it was typed otherwise."""
    match = PLAIN.fullmatch(text)
    return (match[1], match[2] or "") if match else None


def is_awg(text: str) -> bool:
    """Whether a cross-section was typed as an American gauge."""
    return _AWG.fullmatch(text) is not None


def _beaufort(text: str, asked: NumberAsked) -> Amount | None:
    match = _BEAUFORT.fullmatch(text)
    if not match or asked.unit != "m/s":
        return None
    from calc.physics.wind import beaufort

    first = int(match[1] or match[3])
    last = int(match[2] or match[4] or first)
    if first > last or last > 12:
        raise BadInput(f"{text!r} is not on the Beaufort scale", "Type Bft 0 to Bft 12, or Bft 4-5")
    low, high = beaufort(first)[0], beaufort(last)[1]
    if not math.isfinite(high):
        high = max(low, 40.0)
    return Amount(text, (low + high) / 2, low, high, "Beaufort number, an interval")


def _awg(text: str, asked: NumberAsked) -> Amount | None:
    match = _AWG.fullmatch(text)
    if not match or asked.unit != "m^2":
        return None
    from calc.physics.wiring import awg_area

    aught, zeros, gauge = next(found for i in (1, 4, 7) if any(found := match.group(i, i + 1, i + 2)))
    n = 1 - int(aught) if aught else 1 - len(zeros) if zeros else int(gauge)
    plain = f"{aught}/0 AWG" if aught else f"{zeros or gauge} AWG"
    return Amount(text, float(awg_area(n)), plain="" if "awg" in text.casefold() else plain)


def plainly(text: str, asked: NumberAsked, what: str) -> Amount:
    """Read a number in its plain form, within its range; see :func:`journal.book.quantity.parse`."""
    reading = _beaufort(text, asked) or _awg(text, asked) or _interval(text, asked, what) or _single(text, asked, what)
    return within(reading, asked, what)


class OutOfRange(BadInput):
    """A number that can be read and cannot be."""


def within(reading: Amount, asked: NumberAsked, what: str, typed: str | None = None) -> Amount:
    """The reading, if it and its limits are in the range that can be, and a count is whole."""
    # What is typed in other units may miss a bound by the last digit of a computer.
    slack = 1e-9 * max(abs(asked.low), abs(asked.high)) if math.isfinite(asked.high) else 0.0
    for value in (reading.value, reading.low, reading.high):
        if value is not None and not asked.low - slack <= value <= asked.high + slack:
            raise OutOfRange(f"{what}: {reading.typed} is out of range", f"Accepted: {_range(reading.typed, asked)}")
    if getattr(asked, "whole", False) and reading.value != round(reading.value):
        raise BadInput(
            f"{what}: {reading.typed} is no whole number", f"Accepted: a count, {asked.low:g} to {asked.high:g}"
        )
    return reading if typed is None else replace(reading, typed=typed)


def _range(typed: str, asked: NumberAsked) -> str:
    """The range that is accepted, in the unit that was typed too, where that is another."""
    ends = sorted((asked.low, asked.high), reverse=asked.shown == UPSIDE_DOWN)
    text = f"{show(ends[0], asked.shown)} to {show(ends[1], asked.shown)}"
    match = PLAIN.fullmatch(_DOUBT.split(in_turns(typed, asked.unit))[0])
    unit = plain_unit(_by_sign(match[2] or "")) if match else None
    wanted = plain_unit(asked.unit)
    if not unit or wanted is None or unit == asked.shown or kind_of(unit) != kind_of(wanted):
        return text
    return f"{show(ends[0], unit)} to {show(ends[1], unit)} ({text})"


def _interval(text: str, asked: NumberAsked, what: str) -> Amount | None:
    match = _RANGE.fullmatch(text)
    # 4 to 1 is a ratio, where such a number is asked for.
    if not match or (not asked.shown and getattr(asked, "exact", False) and "1" in match.groups()):
        return None
    ends = sorted(_convert(float(match[i]), match[3], asked, what) for i in (1, 2))
    return Amount(text, sum(ends) / 2, ends[0], ends[1], "an interval")


def _single(text: str, asked: NumberAsked, what: str) -> Amount:
    body, *doubts = _DOUBT.split(text)
    match = PLAIN.fullmatch(body)
    if len(doubts) > 1 or not match:
        hint = "Use a point for decimals, like 2.2 m" if re.search(r"\d,\d", text) else f"Type it like {asked.example}"
        raise BadInput(f"{what}: cannot read {text!r} as a number with a unit", hint)
    value = _convert(float(match[1]), match[2] or "", asked, what)
    if not math.isfinite(value):
        raise BadInput(f"{what}: {text!r} is not a usable number", f"Type it like {asked.example}")
    if not doubts:
        return Amount(text, value)
    half = half_width(doubts[0], value, match[2] or "", asked, what)
    return Amount(text, value, value - half, value + half, doubts[0])


def half_width(text: str, value: float, unit: str, asked: NumberAsked, what: str) -> float:
    """Read an uncertainty such as ``1 cm`` or ``5 %``; a plain number has the unit of its value. In SI."""
    match = PLAIN.fullmatch(text)
    if not match or float(match[1]) < 0:
        raise BadInput(f"{what}: cannot read the uncertainty {text!r}", "Type it like 5 % or 1 cm")
    own = match[2] or ""
    if _unit(own) == "percent" and asked.shown != "%":
        if asked.unit == "kelvin":
            scale = plain_unit(_by_sign(unit)) or asked.shown
            return abs(float(to_shown(value, scale))) * si_size(scale) * float(match[1]) / 100
        return abs(value) * float(match[1]) / 100
    if asked.shown == UPSIDE_DOWN:
        raise BadInput(f"{what}: the uncertainty of this one is read as a share", "Type it like 5 %")
    return _convert(float(match[1]), own or unit, asked, what, difference=True)
