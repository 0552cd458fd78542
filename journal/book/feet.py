"""What a builder who works in feet is told: the metric numbers of a text in feet, inches, pounds and Fahrenheit.

It works on the words in which a number is told, not on the number: what is computed, kept and given to scripts stays
metric. Loaded only where a build is told in feet.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from calc.units import UNITS, si_size

#: What each metric unit is told in, in the plain letters of both.
FEET = {
    "m": "ft", "mm": "in", "cm": "in", "km": "mi", "m2": "ft2", "cm2": "in2", "m3": "ft3", "m/s": "mph", "km/h": "mph",
    "m/s2": "ft/s2", "m3/h": "ft3/h", "degC": "degF", "K": "degF", "g": "oz", "kg": "lb", "t": "lb", "kg/m": "lb/ft",
    "kg/m3": "lb/ft3", "kg m2": "lb ft2", "N": "lbf", "kN": "lbf", "daN": "lbf", "kgf": "lbf", "N/m": "lbf/ft",
    "Nm": "lbf ft", "MPa": "psi", "GPa": "ksi",
}  # fmt: skip
#: What is told in metric units on every build, because data plates, meters and shops have it so everywhere; a
#: cross-section of copper has its gauge beside it.
KEPT = (
    "", "%", "mm2", "A", "mA", "kA", "V", "mV", "kV", "W", "kW", "Wh", "kWh", "Ah", "ohm", "mohm", "kohm", "Mohm",
    "ohm/km", "mH", "deg", "rpm", "rpm/V", "Hz", "s", "ms", "min", "h", "h/day", "dB(A)", "K/W", "W/m2",
)  # fmt: skip
#: Less of a larger unit than this is told in the smaller one.
_SMALLER = {"ft": (1.0, "in")}

#: At least so many steps make a number: 8 m may be 8.00 m, and one digit would round that away.
_STEPS = 50.0
#: From so many digits on a number is one that was rounded, and is told as the rounder one that it may have been.
_ROUNDED = 3
#: By how much what was converted may miss a round number, as a share of one step.
_HAIR = 1e-6

_CONTEXT = 40
_UP_BEFORE = re.compile(r"(?:at least|(?:no|not) (?:less|nearer|closer|thinner) than|a minimum of|min\.) $", re.I)
_UP_AFTER = re.compile(
    r"^(?: (?:of )?[\w²-]+){0,3}? (?:or|and) (?:more|higher|longer|thicker|wider|larger|deeper|further|farther|heavier|"
    r"stronger|above|up)\b|^ at least\b", re.I,
)  # fmt: skip
_DOWN_BEFORE = re.compile(
    r"(?:at most|(?:no|not) (?:more|higher|further|longer) than|(?:below|under|less than|not (?:above|over|exceed)|"
    r"never (?:above|over))(?: about)?|a maximum of|max\.) $", re.I,
)  # fmt: skip
_DOWN_AFTER = re.compile(
    r"^(?: (?:of )?[\w²-]+){0,3}? or (?:less|lower|shorter|nearer|thinner|smaller|lighter|below|under|colder)\b"
    r"|^(?: of \w+)? at most\b", re.I,
)  # fmt: skip
_DIFFERENCE_BEFORE = re.compile(r"(?:±|\+-|\bby|(?:rise|fall|drop|difference) of|\bdoubt [^;.]{0,20}?) ?$", re.I)
_DIFFERENCE_AFTER = re.compile(r"^ (?:warmer|colder|hotter|cooler|apart|(?:above|below) (?:the|its|freezing))\b")
#: Goods that are sold by their metric sizes: those stay, with inches behind them.
_SOLD_BEFORE = re.compile(r"(?:\b(?:pipe|tube)(?: of)?|\bwall(?: of)?|\d mm(?: \([\d.]+ in\))? [x×]) $", re.I)
_SOLD_AFTER = re.compile(r"^(?: [x×] \d|,? wall\b| (?:PVC\S* |steel )?(?:pipe|tube)\b)", re.I)


#: What was told in both already.
_BESIDE = re.compile(r" \([\d. ]+ in\)")


@dataclass(frozen=True, slots=True)
class _Way:
    """How a number of one unit becomes one of another: so many times, and so much more."""

    unit: str
    size: float
    zero: float = 0.0

    def of(self, number: float) -> float:
        return number * self.size + self.zero


@cache
def _way(unit: str, *, difference: bool = False) -> _Way:
    told = FEET[unit]
    zeros = {u.symbol: u.zero for u in UNITS}
    zero = 0.0
    if zeros.get(told) and unit != "K" and not difference:
        zero = (zeros[unit] - zeros[told]) / si_size(told)
    return _Way(told, si_size(unit) / si_size(told), zero)


def _figures(number: str) -> tuple[int, float]:
    """How many digits of a number mean something, and what the last of them is worth."""
    whole, _, part = number.lstrip("-").partition(".")
    if part:
        return max(len((whole + part).lstrip("0")), 1), 10.0 ** -len(part)
    bare = whole.rstrip("0")
    # Of 50 and 200 the second digit means something, of 27000 too.
    idle = min(len(whole) - len(bare), max(len(whole) - 2, 0))
    return len(whole) - idle, 10.0**idle


def told_number(
    number: str, unit: str, bound: int = 0, *, difference: bool = False, smaller: bool = True, exact: bool = False
) -> tuple[str, str]:
    """A metric number with its unit as a builder in feet reads it.

    Parameters
    ----------
    number : str
        As it is written; its digits say how exact it is.
    unit : str
        One of :data:`FEET`.
    bound : {-1, 0, 1}
        1 where it is the least that will do, -1 where it is the most: rounding then does no harm.
    difference : bool
        Whether it is a difference of temperatures.
    smaller : bool
        Whether less than a foot is told in inches.
    exact : bool
        Whether every digit counts, as on a drawing: 900 mm is no 890, and nobody typed it in inches.

    Returns
    -------
    number, unit : str
        With as many digits as the metric one has meaning in.

    Examples
    --------
    >>> told_number("2.2", "m"), told_number("6.1", "m"), told_number("50", "m/s", -1), told_number("2", "degC")
    (('7.2', 'ft'), ('20', 'ft'), ('111', 'mph'), ('36', 'degF'))
    >>> told_number("968", "mm"), told_number("968", "mm", exact=True), told_number("900", "mm", exact=True)
    (('38.125', 'in'), ('38.11', 'in'), ('35.43', 'in'))
    >>> told_number("2", "degC", difference=True), told_number("9.52", "mm", 1), told_number("0.15", "m")
    (('3.6', 'degF'), ('0.375', 'in'), ('5.9', 'in'))
    """
    way = _way(unit, difference=difference)
    value = way.of(float(number))
    if smaller and value and abs(value) < _SMALLER.get(way.unit, (0.0, ""))[0]:
        way = _Way(_SMALLER[way.unit][1], way.size * si_size(way.unit) / si_size(_SMALLER[way.unit][1]))
        value = way.of(float(number))
    figures, worth = _figures(number) if not exact else (0, 10.0 ** -len(number.partition(".")[2]))
    return _written(value, figures, worth * way.size, bound, scale=bool(way.zero), inches=way.unit == "in"), way.unit


def _written(value: float, figures: int, doubt: float, bound: int, *, scale: bool, inches: bool) -> str:
    """A number with the digits that a doubt of its last one leaves it."""
    exponent = math.floor(math.log10(doubt) + _HAIR)
    while not scale and value and 10.0**exponent > abs(value) / _STEPS:
        exponent -= 1
    if figures >= _ROUNDED and not bound and (typed := _round_near(value, doubt / 2, inches=inches)) is not None:
        return f"{typed:.4f}".rstrip("0").rstrip(".")
    text = f"{_nearest(value, exponent, bound):.{max(-exponent, 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _round_near(value: float, doubt: float, *, inches: bool) -> float | None:
    """The round number that somebody may have typed who is told this one: a half, or of inches a sixteenth."""
    for part in (1, 2, 16) if inches else (1, 2):
        near = round(value * part) / part
        if near and abs(near - value) <= doubt * (1 + _HAIR):
            return near
    return None


def _nearest(value: float, exponent: int, bound: int) -> float:
    """The nearest of the numbers with some digits, or the next above or below."""
    steps = value / 10.0**exponent
    whole = math.ceil(steps - _HAIR) if bound > 0 else math.floor(steps + _HAIR) if bound < 0 else round(steps)
    return whole * 10.0**exponent


#: Gauges of the American wire table, thickest first; by what ASTM B258 defines: each is so many times as thick as the
#: next, 0.46 in for 4/0 and 0.005 in for 36.
_GAUGES = {g: math.pi / 4 * (0.127 * 92.0 ** ((36 - g) / 39)) ** 2 for g in range(-3, 31)}
#: Sizes in which wire is commonly sold: those of NEC table 310.16, and thinner even ones.
_SOLD = (-3, -2, -1, 0, 1, 2, 3, *range(4, 31, 2))
#: Closer than this share, a cross-section is that of the gauge.
_SAME = 0.015


def gauge(area: float, bound: int = 0) -> str:
    """The gauge of a cross-section in square millimetres: the nearest, or the next that is sold on one side of it.

    Examples
    --------
    >>> gauge(2.5), gauge(16, 1), gauge(3.31), gauge(53.5), gauge(240)
    ('about 13 AWG', '4 AWG', '12 AWG', '1/0 AWG', '')
    """
    if not _GAUGES[30] * (1 - _SAME) <= area <= _GAUGES[-3] * (1 + _SAME):
        return ""
    if bound:
        fit = [g for g in _SOLD if (_GAUGES[g] - area) * bound >= -_SAME * area]
        if not fit:
            return ""
        return _named(min(fit, key=lambda g: abs(_GAUGES[g] - area)))
    near = min(_GAUGES, key=lambda g: abs(math.log(_GAUGES[g] / area)))
    return ("" if abs(_GAUGES[near] / area - 1) <= _SAME else "about ") + _named(near)


def _named(gauge: int) -> str:
    return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"


def _letters(unit: str) -> str:
    """A unit in plain and in written letters, as part of a pattern."""
    part = re.escape(unit).replace("degC", "(?:deg|°)C")
    return re.sub(r"(?<=m|s)([23])", lambda m: f"[{m[1]}{'²³'[int(m[1]) - 2]}]", part)


_UNITS = "|".join(_letters(u) for u in sorted([*FEET, "mm2"], key=len, reverse=True))
_NUMBER = r"-?\d+(?:\.\d+)?"
#: A number behind a name, a path, an equals sign, a comma or a group of digits is part of that.
FOUND = re.compile(
    r"(?<![\w.,/=#])(?<!\w-)(?<!\d )(?<!Bft )"
    rf"(?:(?P<first>{_NUMBER})(?P<to> to |(?<=\d)[-–](?=\d)| – |(?<=between \d) and |(?<=between \d\d) and |"
    r"(?<=between \d\.\d) and ))?"
    rf"(?P<number>{_NUMBER}) (?P<unit>{_UNITS})(?![\w(/²³·]|\.\w|-\w)"
)
#: What is quoted or was typed, a command to copy, code and addresses: told as they stand.
_LEFT = re.compile(
    r"""(?<!\w)"[^"\n]{1,200}"|“[^”\n]{1,200}”|(?<!\w)'[^'\n]{1,200}'(?!\w)|`[^`\n]*`|\w+://\S+"""
    r"""|\btyped:? [^;\n]*|\bgalebook (?:"[^"\n]*"|'[^'\n]*'|[^"'\n;])*?(?=[.:)](?:\s|$)|[;\n]|$)"""
)
#: The same told twice, once as it was typed.
_TWICE = re.compile(r"(?P<told>-?[\d.]+ (?:ft|in|mph|lb|lbf|°F|degF))(?: \((?P=told)\)| = (?P=told)(?! ?[\w.]))")


def in_feet(text: str, own: Iterable[str] = (), *, difference: bool = False, exact: bool = False) -> str:
    """Tell the metric numbers of a text in the units of a builder who works in feet.

    Parameters
    ----------
    text : str
        As it would be told on a metric build.
    own : iterable of str
        What people have written themselves: it stays wherever it stands in the text.
    difference : bool
        Whether its temperatures are differences, as those of doubts are.
    exact : bool
        Whether every digit of its numbers counts, as on a drawing.

    Returns
    -------
    text : str
        The same, with what is quoted and every command to copy as they were.

    Examples
    --------
    >>> in_feet("5 to 7 m/s, 10 mm or more, 2.2 m +- 1 cm, 16 mm2 or more, 20 degC +- 2 degC")
    '11.2 to 15.7 mph, 0.4 in or more, 7.2 ft +- 0.39 in, 16 mm2 (4 AWG) or more, 68 degF +- 3.6 degF'
    >>> in_feet("type '8 m', or: galebook set mast.height=8 m")
    "type '8 m', or: galebook set mast.height=8 m"
    """
    if not FOUND.search(text):
        return text
    left = [m.span() for m in _LEFT.finditer(text)] + list(_own_spans(text, own))

    def told(found: re.Match[str]) -> str:
        if any(start < found.end() and found.start() < end for start, end in left):
            return found[0]
        return _told(found, difference, exact)

    return _TWICE.sub(lambda m: m["told"], FOUND.sub(told, text))


def _own_spans(text: str, own: Iterable[str]) -> Iterable[tuple[int, int]]:
    lowered = text.casefold()
    if len(lowered) != len(text):
        return
    for phrase in own:
        at = lowered.find(phrase)
        while at >= 0:
            yield at, at + len(phrase)
            at = lowered.find(phrase, at + 1)


def has_metric(text: str) -> bool:
    """Whether something in a text would be told otherwise on a build in feet."""
    return bool(FOUND.search(text))


def _told(found: re.Match[str], difference: bool, exact: bool) -> str:
    """One number with its unit, or two, as they are told."""
    before = found.string[max(found.start() - _CONTEXT, 0) : found.start()]
    after = found.string[found.end() : found.end() + _CONTEXT]
    unit = found["unit"].replace("°", "deg").replace("²", "2").replace("³", "3")
    up = _UP_AFTER.search(after) or (not found["first"] and _UP_BEFORE.search(before))
    down = _DOWN_AFTER.search(after) or (not found["first"] and _DOWN_BEFORE.search(before))
    bound = 1 if up else -1 if down else 0
    numbers = [n for n in (found["first"], found["number"]) if n]
    between = found["to"] or ""
    if unit == "mm2":
        names = [gauge(float(n), bound if n == numbers[-1] else 0) for n in numbers]
        beside = between.join(names) if all(names) and "AWG" not in after[:20] else ""
        return f"{found[0]} ({beside})" if beside else found[0]
    difference = difference or bool(_DIFFERENCE_BEFORE.search(before) or _DIFFERENCE_AFTER.search(after))
    each = [told_number(n, unit, bound if n is numbers[-1] else 0, difference=difference, exact=exact) for n in numbers]
    last = each[-1][1]
    if len(each) > 1 and each[0][1] != last:
        # Both in the unit of the larger, or with a unit each.
        told = f"{each[0][0]} {each[0][1]}{between}{each[1][0]} {last}"
    else:
        told = f"{between.join(n for n, _ in each)} {last}"
    if _BESIDE.match(after):
        return found[0]
    sold = unit == "mm" and (_SOLD_BEFORE.search(before) or _SOLD_AFTER.search(after))
    return f"{found[0]} ({told})" if sold else told
