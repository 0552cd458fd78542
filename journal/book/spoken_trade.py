"""What the trade writes for a number: sizes of cable and pipe, grades of steel, breakers, strings of batteries, clocks.

Each is read only where the question is such that it can mean nothing else; of two meanings both are given.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator

from calc.units import plain_unit, si_size
from journal.book.plain_quantity import NumberAsked
from journal.book.spoken_numbers import number_forms
from journal.book.spoken_units import units_meant
from journal.book.turns import EMF, SPEED

_N = r"(\d[\d.,]*(?:\s?\d/\d)?|\d/\d)"
#: Outside diameters of pipes by their nominal size. [in] ASME B36.10M, table 1, from memory.
_PIPES = {
    0.5: 0.84, 0.75: 1.05, 1.0: 1.315, 1.25: 1.66, 1.5: 1.9, 2.0: 2.375, 2.5: 2.875, 3.0: 3.5, 3.5: 4.0, 4.0: 4.5,
    5.0: 5.563, 6.0: 6.625, 8.0: 8.625, 10.0: 10.75, 12.0: 12.75,
}  # fmt: skip
#: Nominal diameters in millimetres of the same pipes. ISO 6708 beside ASME B36.10M, from memory.
_DN = {15: 0.5, 20: 0.75, 25: 1.0, 32: 1.25, 40: 1.5, 50: 2.0, 65: 2.5, 80: 3.0, 90: 3.5, 100: 4.0, 125: 5.0, 150: 6.0,
       200: 8.0, 250: 10.0, 300: 12.0}  # fmt: skip
_NOMINAL = re.compile(
    rf"\s*(?:nps\s*{_N}\s*(?:in\w*)?|{_N}\s*(?:in(?:ch(?:es)?)?)?\s*(?:sch(?:ed(?:ule)?)?\.?\s*\d+s?|nps|nominal)"
    r"|dn\s?(\d+))(?:\s*(?:steel\s*)?(?:pipe|tube))?\s*",
    re.I,
)
_INCH_PIPE = re.compile(rf"\s*{_N}\s*in(?:ch(?:es)?)?\s*(?:steel\s*|water\s*|gas\s*)*pipe\s*", re.I)
#: Diameters of wires of the British standard gauge, from 0 on. [in] BS 3737, from memory.
_SWG = (0.324, 0.3, 0.276, 0.252, 0.232, 0.212, 0.192, 0.176, 0.16, 0.144, 0.128, 0.116, 0.104, 0.092, 0.08, 0.072,
        0.064, 0.056, 0.048, 0.04, 0.036, 0.032, 0.028, 0.024, 0.022, 0.02, 0.018, 0.0164, 0.0148, 0.0136,
        0.0124)  # fmt: skip
_CORES = re.compile(rf"\s*[1-7]\s*[x×g*]\s*{_N}\s*(?:mm\S*|sq\S*)?\s*(?:cable)?\s*", re.I)
_CALLED_MM = re.compile(
    rf"\s*{_N}\s*(?:mm|mil)\s*(?:twin(?:\s*(?:and|&|\+)\s*earth)?|t\s?(?:&|and|\+)\s?e|flex|\d?\s*-?core|armou?red|swa)\b"
    r"(?:\s*(?:cable|flex|armou?red|swa|core))*\s*",
    re.I,
)
_TIMES = re.compile(
    r"\s*(\d+)\s*(?:[x×*]|times|of|off)\s*(\d[\d.,]*\s*[^\W\d]+\.?)\s*"
    r"(?:batter(?:y|ies)|cells?)?[\s,(]*(in series|series|in parallel|parallel|each|in total|total)?\)?\s*",
    re.I,
)
_BY = re.compile(r"\s*(\d[\d.,]*)\s*([^\W\d]+)?\s*(?:[x×*]|by)\s*(\d[\d.,]*)\s*([^\W\d]+)\s*", re.I)
_FOR_POINT = {"V": ("V", "V"), "A": ("A", "A"), "ohm": ("RrΩ", "ohm"), "W": ("W", "W")}
_FIRST_COMES = re.compile(r"(\d[\d.]*)\s*(?::|to|in)\s*(\d[\d.]*)")
_CLOCK = re.compile(r"\s*(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm|a\.m|p\.m|o'?\s?clock|h|hrs?|uhr)?\s*", re.I)
_CURVE = re.compile(r"(?:type\s*|curve\s*)?[BCDKZ]\s?-?\s?(\d{1,3})\s?A?", re.I)
_COMPASS = {p: 22.5 * i for i, p in enumerate(
    ["n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw"])}  # fmt: skip
_PLACES = {"site.altitude": (re.compile(r"(?:at\s+)?(?:mean\s+)?sea[\s-]?level|at the sea", re.I), "0 m")}
_FREEZING = re.compile(r"(?:at\s+|about\s+)?(?:freezing(?:\s+point)?|melting (?:ice|point)|zero)", re.I)
_SHARES = {"half": "50 %", "a half": "50 %", "one half": "50 %", "half of it": "50 %", "a third": "33.3333 %",
           "a quarter": "25 %", "all": "100 %", "all of it": "100 %", "full": "100 %", "two thirds": "66.6667 %",
           "2 thirds": "66.6667 %", "3 quarters": "75 %", "0.25": "25 %", "1 third": "33.3333 %",
           "1 half": "50 %"}  # fmt: skip


def trade_forms(text: str, asked: NumberAsked) -> Iterator[str]:
    """What the trade means by a text, each in its plain form; nothing where it says nothing of its own."""
    bare = text.strip()
    for told in _READERS:
        found = list(told(bare, asked))
        if found:
            yield from found
            return


def _meaning(asked: NumberAsked) -> str:
    return str(getattr(asked, "meaning", ""))


def _path(asked: NumberAsked) -> str:
    name = str(getattr(asked, "name", ""))
    group = getattr(asked, "group", "")
    return f"{group}.{name}" if group else name


def _numbers(text: str) -> Iterator[float]:
    for form in number_forms(text):
        try:
            yield float(form)
        except ValueError:
            continue


def _values(text: str, asked: NumberAsked) -> Iterator[tuple[float, str]]:
    """What a number with its unit can be."""
    found = re.fullmatch(r"\s*(\d[\d.,]*)\s*(.*?)\s*", text)
    for number in _numbers(found[1]) if found else ():
        for unit in dict.fromkeys(units_meant(found[2], asked.unit, asked.shown)) if found else ():
            yield number, unit


def _turning(bare: str, asked: NumberAsked) -> Iterator[str]:
    """Constants by one reading, and a stroke before minutes."""
    if asked.unit == EMF and (
        at := re.fullmatch(r"(.+?)\s*V\w*\s*(?:@|at|/|per)\s*([\d.,]+)\s*(k?rpm|rps)", bare, re.I)
    ):
        for volts in number_forms(at[1]):
            yield f"{float(at[2].replace(',', '')) / float(volts):.6g} {at[3]}/V"
    if asked.unit in (SPEED, "1/s") and (stroke := re.fullmatch(r"(\d+)1\s*/\s*(min|s)\w*", bare)):
        for number in (f"{stroke[1]}1", stroke[1]):
            yield f"{number} {'rpm' if stroke[2] == 'min' else 'rps'}"
    if asked.unit == SPEED and (
        turns := re.fullmatch(r"(\d[\d.,]*)\s*(?:revs|turns|revolutions|rotations)", bare, re.I)
    ):
        # Workshop talk: a minute is meant.
        yield from (f"{number:g} rpm" for number in _numbers(turns[1]))


def _times_and_angles(bare: str, asked: NumberAsked) -> Iterator[str]:
    """Times of day, minutes and seconds by their strokes, points of the compass, and where on earth."""
    if asked.shown == "h" and asked.high == 86400.0:
        yield from _hours(bare)
    elif asked.unit == "s" and (short := re.fullmatch(r"(\d+)'\s*(?:(\d+)(?:\"|''))?", bare)):
        yield f"{60 * int(short[1]) + int(short[2] or 0)} s"
    elif asked.shown == "h/day" and re.fullmatch(
        r"24\s?/\s?7|round the clock|all day(?: long)?|always|non-?stop", bare, re.I
    ):
        yield "24 h/day"
    if asked.unit != "rad":
        return
    if math.isclose(asked.high, math.tau):
        points = bare.casefold().replace("north", "n").replace("south", "s").replace("east", "e").replace("west", "w")
        point = re.sub(r"[\s-]", "", points).rstrip("ern") if points.endswith("ern") else re.sub(r"[\s-]", "", points)
        if point in ("o", "0"):
            # East in German; west in French, Spanish and Italian; and a zero for north.
            yield from ("90 deg", "270 deg", "0 deg") if point == "o" else ("0 deg",)
        elif point in _COMPASS:
            yield f"{_COMPASS[point]:g} deg"
    at = re.fullmatch(
        r"([NS])?\s*(\d[\d.,]*)\s*(?:°|deg\w*)?\s*(?:(\d[\d.,]*)\s*(?:'|min\w*)?)?\s*(?:(\d[\d.,]*)\s*(?:\"|'')?)?\s*([NS]\w*)?",
        bare, re.I,
    )  # fmt: skip
    if at and asked.low == -asked.high and (at[1] or at[5] or at[3]):
        side = (at[1] or at[5] or "n")[:1].casefold()
        parts = [float((part or "0").replace(",", ".")) for part in (at[2], at[3], at[4])]
        if parts[1] < 60 and parts[2] < 60:
            yield f"{'-' if side == 's' else ''}{parts[0] + parts[1] / 60 + parts[2] / 3600:.6g} deg"


def _hours(bare: str) -> Iterator[str]:
    """A time of day in hours; what clocks and decimals share is both."""
    clock = _CLOCK.fullmatch(bare)
    if clock is None or not (clock[2] or clock[3]):
        return
    hour, minute, half = int(clock[1]), int(clock[2] or 0), (clock[3] or "").casefold().replace(".", "")
    if minute >= 60:
        return
    if half in ("am", "pm"):
        if 1 <= hour <= 12:
            yield f"{hour % 12 + (12 if half == 'pm' else 0) + minute / 60:.6g} h"
        return
    yield f"{hour + minute / 60:.6g} h"
    if "clock" in half and 1 <= hour <= 12:
        yield f"{(hour + 12) % 24 + minute / 60:.6g} h"
    if "." in bare and minute in (25, 50, 75):
        yield f"{hour}.{minute} h"


def _ratio(bare: str, asked: NumberAsked) -> Iterator[str]:
    """So many to one is taken as it is asked for, where that can be; one to so many can be either."""
    if asked.unit or asked.shown or not (ratio := _FIRST_COMES.fullmatch(bare)):
        return
    over, under = float(ratio[1]), float(ratio[2])
    if 1.0 in (over, under) and over and under:
        yield f"{over / under:.6g}"
        if under != 1.0 or not asked.low <= over <= asked.high:
            yield f"{under / over:.6g}"


def _steel_and_fuses(bare: str, asked: NumberAsked) -> Iterator[str]:
    """Grades, breakers with their curve, hours of a discharge, and the gravity of acid as hydrometers are marked."""
    meaning = _meaning(asked).casefold()
    if asked.unit == "Pa" and "yield" in meaning and (grade := re.fullmatch(r"S\s?(\d{3})\s?(?:[JKNMQLH]\w*)?", bare)):
        yield f"{grade[1]} MPa"
    fuse = asked.unit == "A" and re.search(r"fuse|breaker", meaning) and "breaking" not in meaning
    if fuse and (curve := _CURVE.fullmatch(bare)):
        yield f"{curve[1]} A"
    if (
        "discharge" in meaning
        and asked.shown == "h"
        and (rate := re.fullmatch(r"C\s?/?\s?(\d+)|0[.,](\d+)\s?C", bare, re.I))
    ):
        yield f"{rate[1]} h" if rate[1] else f"{1 / float('0.' + rate[2]):.6g} h"
    if "gravity" in meaning:
        found = re.fullmatch(
            r"(?:sg\s*)?(\d[\d.,]*)\s*(?:sg|kg\s?/\s?(?:l|lit(?:re|er)|dm3|m3|dm³|m³)|g\s?/\s?(?:ml|cm3|cm³|cc|l))?",
            bare,
            re.I,
        )
        for number in _numbers(found[1]) if found else ():
            yield f"{number / 1000 if number > 100 else number:g}"


def _batteries(bare: str, asked: NumberAsked) -> Iterator[str]:
    """Several of one kind in series or side by side; cells and strings; energy at a voltage; poles for their pairs."""
    meaning = _meaning(asked).casefold()
    if getattr(asked, "whole", False):
        sp = re.fullmatch(r"(?:(\d+)\s*s)?\s*(?:(\d+)\s*p)?", bare, re.I)
        if "cells in series" in meaning and sp and sp[1]:
            yield sp[1]
        elif "in parallel" in meaning and sp and sp[2]:
            yield sp[2]
        poles = re.fullmatch(r"(\d*[02468])[\s-]*(?:poles?|magnets?)", bare, re.I)
        if "pairs" in meaning and poles:
            yield f"{int(poles[1]) // 2}"
        return
    if asked.unit == "A*s" and (
        energy := re.fullmatch(r"(\d[\d.,]*)\s*(k?)wh?\s*(?:at|@|/|,|\()?\s*(\d[\d.,]*)\s*v\w*\)?", bare, re.I)
    ):
        for number in _numbers(energy[1]):
            for volts in _numbers(energy[3]):
                yield f"{number * (1000 if energy[2] else 1) / volts:.6g} Ah"
    if asked.unit in ("V", "A*s", "A", "W", "kg") and (several := _TIMES.fullmatch(bare)):
        yield from _several(int(several[1]), several[2], (several[3] or "").casefold(), asked)


def _several(count: int, one: str, how: str, asked: NumberAsked) -> Iterator[str]:
    """The sum and the single one; the word for how they are put together tells which."""
    adds = {"V": "series", "A*s": "parallel", "A": "parallel"}.get(asked.unit, "")
    for number, unit in _values(one, asked):
        both = f"{count * number:.6g} {unit}", f"{number:.6g} {unit}"
        if "series" in how or "parallel" in how:
            yield both[0] if adds in how else both[1]
        elif "total" in how and not adds:
            yield both[0]
        else:
            yield from both


def _cables(bare: str, asked: NumberAsked) -> Iterator[str]:
    """Cross-sections by cores, gauges and the trade's millimetres; areas by their sides."""
    if plain_unit(asked.unit) != "m2":
        return
    if asked.shown == "mm2":
        for pattern in (_CORES, _CALLED_MM):
            if found := pattern.fullmatch(bare):
                yield from (f"{number:g} mm2" for number in _numbers(found[1]))
        if gauge := re.fullmatch(r"(14|12|10|8|6)\s?[-/]\s?[2-4](?:\s?(?:romex|nm|w/?g|cable))*", bare, re.I):
            # American, gauge and conductors.
            yield f"{gauge[1]} AWG"
        if aught := re.fullmatch(r"([1-4])/0|(0{2,4})", bare):
            yield f"{aught[1] or len(aught[2])}/0 AWG"
        if (swg := re.fullmatch(r"(\d{1,2})\s*-?\s*swg|swg\s*(\d{1,2})", bare, re.I)) and int(swg[1] or swg[2]) < len(
            _SWG
        ):
            yield f"{math.pi / 4 * (_SWG[int(swg[1] or swg[2])] * 25.4) ** 2:.6g} mm2"
    elif sides := _BY.fullmatch(bare):
        for unit in units_meant(sides[4], "m", "m"):
            other = next(units_meant(sides[2], "m", "m"), "") if sides[2] else unit
            for one in _numbers(sides[1]) if other else ():
                for two in _numbers(sides[3]):
                    yield f"{one * two * si_size(unit) * si_size(other):.6g} m2"
            return


def _pipes(bare: str, asked: NumberAsked) -> Iterator[str]:
    """Pipes by their nominal size; a pipe of so many inches can be measured or nominal."""
    if asked.unit != "m" or not re.search(r"diameter of the .*(?:tube|pipe|pole|boom)", _meaning(asked).casefold()):
        return
    if found := _NOMINAL.fullmatch(bare):
        sizes = [_DN.get(int(found[3]))] if found[3] else list(_numbers(found[1] or found[2]))
        yield from (f"{_PIPES[size] * 25.4:.4g} mm" for size in sizes if size in _PIPES)
    elif found := _INCH_PIPE.fullmatch(bare):
        for size in _numbers(found[1]):
            yield f"{size:g} in"
            if size in _PIPES:
                yield f"{_PIPES[size] * 25.4:.4g} mm"


def _masses(bare: str, asked: NumberAsked) -> Iterator[str]:
    """Tons, of which there are two in use; and stones."""
    found = re.fullmatch(
        r"(\d[\d.,]*)[\s-]*(metric tons?|tonnes?|tons?|st|stones?)\.?(?:\s*(\d[\d.,]*)\s*(?:lbs?|pounds?))?", bare, re.I
    )
    if asked.unit not in ("N", "kg") or found is None:
        return
    name, force = found[2].casefold(), "f" if asked.unit == "N" else ""
    for number in _numbers(found[1]):
        if name.startswith("st"):
            yield f"{14 * number + float(found[3] or 0):.6g} lb{force}"
        elif not found[3]:
            yield f"{1000 * number:.6g} kg{force}"
            if name.startswith("ton") and not name.startswith("tonne"):
                yield f"{2000 * number:.6g} lb{force}"


def _plain_words(bare: str, asked: NumberAsked) -> Iterator[str]:
    """Words that are numbers by themselves, and a unit that stands where the point would."""
    place = _PLACES.get(_path(asked))
    if place and place[0].fullmatch(bare):
        yield place[1]
    if asked.shown == "degC" and _FREEZING.fullmatch(bare):
        yield "0 degC"
    if asked.shown == "%" and bare.casefold() in _SHARES:
        yield _SHARES[bare.casefold()]
    letters, unit = _FOR_POINT.get(plain_unit(asked.unit) or "", ("", ""))
    if letters and (found := re.fullmatch(rf"(\d+)([{letters}{letters.lower()}k])(\d+)", bare)):
        yield f"{found[1]}.{found[3]} {'k' if found[2] == 'k' else ''}{unit}"


_READERS: tuple[Callable[[str, NumberAsked], Iterator[str]], ...] = (
    _turning, _times_and_angles, _ratio, _steel_and_fuses, _batteries, _cables, _pipes, _masses, _plain_words,
)  # fmt: skip
