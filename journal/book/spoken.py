"""What people type for a number with its unit, turned into what :mod:`journal.book.quantity` reads.

Loaded only where something was not typed in its plain form. Where two readings are left that lie in the range asked
for, neither is taken.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from calc.units import UPSIDE_DOWN, plain_unit, show, si_size, to_shown
from journal.book.plain_quantity import NOT_KNOWN, Amount, NumberAsked, OutOfRange, Unclear, plainly, within
from journal.book.spoken_asides import asides
from journal.book.spoken_numbers import in_digits, in_thousands, mended, number_forms
from journal.book.spoken_trade import trade_forms
from journal.book.spoken_units import units_meant, units_unsaid
from journal.errors import BadInput

#: The doubt that "about" means, as a share of the number; of a temperature at least so many kelvin.
ABOUT, ABOUT_KELVIN = 0.1, 2.0
_SOFT = r"about|approx(?:imately|\.)?|ca\.?|circa|c\.|roughly|around|some|maybe|say|more or less|give or take|~|≈|∼"
_ABOUT = re.compile(
    rf"\s*(?:{_SOFT})(?![a-z])\s*(.+?)\s*|\s*(.+?)\s*(?:or so|ish|roughly|approx\.?|~|\(?about\)?)\s*", re.I
)
_LEAST = re.compile(
    r"\s*(?:>=?|≥|over|above|more than|at least|min(?:imum|\.)?(?![a-z])|from)\s*(.+?)\s*"
    r"|\s*(.+?)\s*(?:\+|or more|and up|and more|at least)\s*",
    re.I,
)
_MOST = re.compile(
    r"\s*(?:<=?|≤|under|below|less than|at most|up to|max(?:imum|\.)?(?![a-z])|not over)\s*(.+?)\s*"
    r"|\s*(.+?)\s*(?:or less|at most|max\.?)\s*",
    re.I,
)
_PLUS_MINUS = re.compile(r"\s*(?:\+\s*/\s*[-−]|\+[-−]|±|plus\s*(?:or\s*|/\s*)?minus|give or take)\s*", re.I)
_ENDS = (
    re.compile(r"\s*between\s+(.+?)\s+(?:and|to)\s+(.+?)\s*", re.I),
    re.compile(r"\s*(?:from\s+)?(.+?)\s*(?:\.\.\.?|…|–|—|\bto\b|\buntil\b|\btill\b)\s*(.+?)\s*", re.I),
    re.compile(r"\s*([-−]?[\d.,]+[^-\d]*?)\s*-\s*(-?[\d.,½¼¾]+.*?)\s*"),
)
_PIECE = re.compile(r"\s*([+-]?(?:\d[\d.]*|\.\d+)(?:e[+-]?\d+)?)\s*(.*?)\s*", re.I)
_PART = re.compile(r"\s*(\d+(?:\.\d+)?)\s*([^\d\s.,][^\d]*?|)\s*(?=\d|$)")
#: The next smaller unit, where the last number of several has none: 5'6 and 2 m 20.
_SMALLER = {"ft": ("in", 12.0), "m": ("cm", 100.0), "h": ("min", 60.0), "min": ("s", 60.0), "lb": ("oz", 16.0)}
_THREAD = re.compile(r"\s*M\s?(\d{1,2}(?:[.,]\d)?)(?:\s*[x×]\s*[\d.,]+)*\s*(?:bolts?|thread)?\s*", re.I)
_PIECES = ("pcs", "pc", "piece", "off", "unit", "no", "nos", "x", "×", "in total", "total", "of them", "each")
#: Units in which numbers run to the thousands, so that a stop before three digits may part them.
_BY_THOUSANDS = re.compile(r"\d\s*(?:[Ww]h?|N|rpm|h)\b(?!/)")
_POINTED = re.compile(r"(?<![\d.])\d+\.\d+(?![\d.])")
_FIGURE = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")
_HAS_UNIT = re.compile(r"[^\W\d_]|[%°\"']")
_STRANGE = str.maketrans(
    {
        "−": "-",
        "\u00a0": " ",
        "\u202f": " ",
        "\u2009": " ",
        "’": "'",
        "′": "'",
        "‘": "'",
        "″": '"',
        "”": '"',
        "“": '"',
        "º": "°",
        "×": "x",
    }
)


def understood(text: str, asked: NumberAsked, what: str, refused: BadInput) -> Amount:
    """Read what was not typed in its plain form.

    Parameters
    ----------
    refused : BadInput
        Why it could not be read as it stands; raised where no other reading is found.

    Raises
    ------
    BadInput
        Naming what would be accepted.
    Unclear
        Where two readings lie in the range; naming both.
    """
    if NOT_KNOWN.fullmatch(text):
        raise BadInput(f"{what}: {text!r} is no value", f"Leave it out, what is not known stays so; or {_like(asked)}")
    told = text.translate(_STRANGE).strip().removesuffix(".").removeprefix("=").strip()
    _one_of_two(told, asked, what, text)
    found, error = _tried(told, asked, what, refused)
    if len(found) > 1:
        raise _unclear(text, found, what)
    if found:
        return replace(found[0], typed=text)
    if not _HAS_UNIT.search(re.sub(_SOFT, "", told, flags=re.I)) and re.search(r"\d", told) and asked.unit:
        raise BadInput(f"{what}: {text} has no unit", f"Type it like {asked.example}")
    raise _named(error, refused, text)


def _one_of_two(told: str, asked: NumberAsked, what: str, text: str) -> None:
    """Refuse two values with an "or" between them, and name both.

    Raises
    ------
    Unclear
        If it is so.
    """
    two = re.fullmatch(r"(.*\d.*?)\s+(?:or|oder)\s+(.*\d.*)", told, re.I)
    if two is None:
        return
    ends = list(_between(two[1], two[2], asked))
    if ends:
        numbers, _, unit = ends[0].rpartition(" ") if asked.unit or " to " not in ends[0][-6:] else (ends[0], "", "")
        first, _, last = numbers.partition(" to ")
        between = tuple(f"{number} {unit}".strip() for number in (first, last))
        raise Unclear(f"{what}: {text!r} can be {' or '.join(between)}", between)


def also_meant(reading: Amount, asked: NumberAsked, what: str) -> Amount:
    """A reading in the plain form, where the same text cannot mean another: thousands, or minutes of an hour.

    Raises
    ------
    Unclear
        Where it can; naming both.
    """
    text = reading.typed
    clock = list(trade_forms(text, asked)) if asked.shown == "h" else []
    if clock and not re.fullmatch(r"\d+\.\d0\s*h?", text):
        # Nobody writes the nought of a decimal; without one it is read as decimals, and told as a time of day.
        minutes = round(reading.value / 60)
        return replace(reading, plain=f"{minutes // 60}:{minutes % 60:02}")
    if clock:
        others = [_read(plain, asked, what) for plain in clock]
    else:
        others = [reading, *_by_the_thousand(text, [reading], asked, what)]
    if len(others) > 1:
        raise _unclear(text, [replace(one, plain=one.plain or text) for one in others], what)
    return replace(others[0], typed=text)


def _tried(told: str, asked: NumberAsked, what: str, refused: BadInput) -> tuple[list[Amount], BadInput]:
    """What a text can mean, by the strictest way in which it means anything; and why not."""
    error = refused
    for text in dict.fromkeys((told, mended(told))):
        digits = in_digits(text)
        found, error = _all_read(digits, asked, what, error)
        found += _by_the_thousand(digits, found, asked, what)
        if found:
            return found, error
        for aside in asides(digits, asked):
            found, _ = _all_read(aside.text, asked, what, error)
            found += _by_the_thousand(aside.text, found, asked, what)
            turned = [_turned(one, aside.times, asked, what) for one in found]
            if turned:
                return [replace(one, aside=aside.said) for one in turned], error
    return [], error


def _all_read(text: str, asked: NumberAsked, what: str, error: BadInput) -> tuple[list[Amount], BadInput]:
    """All that a text may mean and that lies in the range, each once; and the best reason where there is none."""
    found: list[Amount] = []
    first = error
    for reading in _readings(text, asked, what):
        try:
            one = reading()
        except Unclear:
            raise
        except BadInput as e:
            error = e if isinstance(e, OutOfRange | _Told) or error is first else error
            continue
        if all(not math.isclose(one.value, other.value, rel_tol=1e-9) for other in found):
            found.append(one)
    return found, error


def _by_the_thousand(text: str, found: list[Amount], asked: NumberAsked, what: str) -> list[Amount]:
    """The readings in which a stop parts thousands: where there is no other, or the unit is one of large numbers."""
    apart = in_thousands(text)
    if apart == text or (found and not all(_BY_THOUSANDS.search(one.plain or text) for one in found)):
        return []
    return _all_read(apart, asked, what, BadInput(what))[0]


def _unclear(text: str, found: list[Amount], what: str) -> Unclear:
    """What it can be, each so that it is read in one way when it is typed."""
    between = tuple(_POINTED.sub(lambda m: f"{float(m[0]):g}", one.plain.partition(" = ")[0]) for one in found)
    if _HAS_UNIT.search(re.sub(_SOFT, "", text, flags=re.I)):
        return Unclear(f"{what}: {text!r} can be {' or '.join(between)}", between)
    return Unclear(f"{what}: {text} has no unit", between, f"Type it like {' or '.join(between)}")


def _turned(one: Amount, times: float, asked: NumberAsked, what: str) -> Amount:
    """A reading times what the words beside it say."""
    if times == 1.0:
        return one
    number, plus_minus, doubt = one.plain.partition(" = ")[0].partition(" +- ")
    turned = _FIGURE.sub(lambda m: f"{float(m[0]) * times:.6g}", number)
    if plus_minus:
        turned += f" +- {doubt if '%' in doubt else _FIGURE.sub(lambda m: f'{abs(float(m[0]) * times):.6g}', doubt)}"
    return _read(turned, asked, what)


class _Told(BadInput):
    """Read, and not to be taken so; what would be accepted is told."""


def _named(error: BadInput, refused: BadInput, text: str) -> BadInput:
    """Why nothing could be read: in the words that were typed."""
    if isinstance(error, OutOfRange) and text not in error.what and not isinstance(refused, OutOfRange):
        return BadInput(error.what.replace(": ", f": {text} = ", 1), error.accepted)
    return error if isinstance(error, OutOfRange | _Told) else refused


def _like(asked: NumberAsked) -> str:
    return f"type it like {asked.example}"


def _readings(text: str, asked: NumberAsked, what: str) -> Iterator[Callable[[], Amount]]:
    """All that a text may mean, to be tried one by one."""
    limit = next(((m, sign) for p, sign in ((_LEAST, 1), (_MOST, -1)) if (m := p.fullmatch(text))), None)
    ends = next((m for p in _ENDS if (m := p.fullmatch(text))), None)
    if about := _ABOUT.fullmatch(text):
        body = about[1] or about[2]
        yield from (_about(reading, asked, what) for reading in _readings(body, asked, what))
    elif len(halves := _PLUS_MINUS.split(text)) == 2:
        for plain in _forms(halves[0], asked):
            yield partial(_read, f"{plain} +- {_half(halves[1], asked)}", asked, what)
    elif limit is not None and not (ends and limit[0][0].casefold().startswith("from")):
        bound = limit[0][1] or limit[0][2]
        yield from (_limit(plain, limit[1], asked, what, text) for plain in _forms(bound, asked))
    else:
        single = list(_forms(text, asked))
        for plain in single or (_between(ends[1], ends[2], asked) if ends else ()):
            yield partial(_read, plain, asked, what)


def _read(plain: str, asked: NumberAsked, what: str) -> Amount:
    """A plain text read, with what it was read as."""
    reading = plainly(plain, asked, what)
    if getattr(asked, "whole", False) and reading.low is not None:
        raise _Told(f"{what} is a count and has no doubt", f"Count it, and {_like(asked)}")
    weight = " kgf" in plain or " lbf" in plain
    as_force = f" = {show(reading.value, 'kN' if abs(reading.value) >= 1e3 else 'N')}, its weight"
    told = plain + (as_force if weight and asked.unit == "N" else "")
    return replace(reading, plain=told)


def _about(reading: Callable[[], Amount], asked: NumberAsked, what: str) -> Callable[[], Amount]:
    """A reading with the doubt that "about" means, where none was typed."""

    def with_doubt() -> Amount:
        one = reading()
        if one.low is not None:
            return one
        if getattr(asked, "whole", False):
            raise _Told(f"{what} is a count and has no doubt", f"Count it, and {_like(asked)}")
        if asked.unit == "kelvin":
            half = max(ABOUT * abs(float(to_shown(one.value, asked.shown))), ABOUT_KELVIN)
            doubt = f"{half:g} K"
        else:
            half, doubt = ABOUT * abs(one.value), f"{100 * ABOUT:g} %"
        low, high = max(one.value - half, asked.low), min(one.value + half, asked.high)
        return replace(one, low=low, high=high, doubt=doubt, plain=f"{one.plain} +- {doubt}")

    return with_doubt


def _limit(plain: str, sign: int, asked: NumberAsked, what: str, text: str) -> Callable[[], Amount]:
    """A limit as an interval, where what is asked for has an end near enough on the other side."""

    def interval() -> Amount:
        one = _read(plain, asked, what)
        end = asked.high if sign > 0 else max(asked.low, 0.0) if asked.low > -1e-9 else -math.inf
        if sign > 0 and getattr(asked, "open_ended", False):
            return within(Amount(text, one.value, one.value, end, "over its range"), asked, what)
        near = end <= 2 * one.value if sign > 0 else math.isfinite(end)
        if getattr(asked, "exact", False) or asked.unit == "kelvin" or not near or asked.shown == UPSIDE_DOWN:
            raise _Told(
                f"{what}: {text!r} is a limit", f"Type the range in which it lies, like {_beyond(one, sign, asked)}"
            )
        low, high = sorted((one.value, end))
        told = f"{show(low, asked.shown)} to {show(high, asked.shown)}"
        return within(Amount(text, (low + high) / 2, low, high, "a limit", told), asked, what)

    return interval


def _beyond(one: Amount, sign: int, asked: NumberAsked) -> str:
    """An example of a range that begins or ends at a limit."""
    shown = float(to_shown(one.value, asked.shown))
    ends = sorted((shown, shown * (1.5 if sign > 0 else 0.5)))
    return f"{ends[0]:.3g} to {ends[1]:.3g} {asked.shown}".strip()


def _between(first: str, last: str, asked: NumberAsked) -> Iterator[str]:
    """An interval; its first end has the unit of its last where it has none."""
    for end in _forms(last, asked):
        number, _, unit = end.partition(" ")
        starts = list(_forms(first if _HAS_UNIT.search(first) else f"{first} {unit}", asked))
        for start in starts:
            if start.partition(" ")[2] == unit:
                yield f"{start.partition(' ')[0]} to {number} {unit}".strip()
            elif unit and start.partition(" ")[2]:
                scaled = float(start.partition(" ")[0]) * si_size(start.partition(" ")[2]) / si_size(unit)
                yield f"{scaled:.6g} to {number} {unit}"


def _half(text: str, asked: NumberAsked) -> str:
    """An uncertainty in its plain form; as it was typed where it cannot be read."""
    bare = text.strip()
    for number in number_forms(bare):
        found = _PIECE.fullmatch(number)
        if found and re.fullmatch(r"%|per\s?cent|percent", found[2], re.I):
            return f"{found[1]} %"
        if found and not found[2]:
            return found[1]
    return next(_forms(bare, asked), bare)


def _forms(text: str, asked: NumberAsked) -> Iterator[str]:
    """What a single number with its unit may be, each in its plain form."""
    special = list(_special(text, asked))
    yield from special
    for said in number_forms(text, lengths=asked.unit == "m") if not special else ():
        found = _PIECE.fullmatch(said)
        if found is None:
            continue
        number, unit = found[1], found[2]
        if not unit and plain_unit(asked.unit) == "":
            yield number
        for unsaid in units_unsaid(number, asked.unit, asked.shown, asked.example) if not unit else ():
            yield f"{number} {unsaid}"
        for meant in dict.fromkeys(_units(unit, asked)) if unit else ():
            yield f"{number} {meant}".strip()
        if total := _compound(said, asked):
            yield total


def _units(unit: str, asked: NumberAsked) -> Iterator[str]:
    """Units that fit; the thing itself behind a count; and a mass where its weight is asked for."""
    nouns = (*getattr(asked, "nouns", ()), *(_PIECES if getattr(asked, "whole", False) else ()))
    bare = unit.casefold().strip().rstrip(".")
    if bare in nouns or bare.removesuffix("s") in nouns:
        yield ""
    yield from units_meant(unit, asked.unit, asked.shown)
    if asked.unit == "N":
        weighed = {"kg": "kgf", "lb": "lbf", "t": "kgf"}
        for mass in units_meant(unit, "kg", "kg"):
            if mass in weighed and mass != "t":
                yield weighed[mass]


def _compound(text: str, asked: NumberAsked) -> str:
    """A number in several units, such as 5 ft 6 in or 1 h 30 min, in the smallest of them; empty if it is none."""
    # Where a length is asked for, 7ft2 is no area.
    text = re.sub(r"^(\d+)ft(?=\d{1,2}$)", r"\1 ft ", text) if asked.unit == "m" else text
    parts = _PART.findall(text)
    if (
        len(parts) < 2
        or re.search(r"[^\W\d][23](?!\d)", text)
        or "".join("".join(p) for p in parts).replace(" ", "") != text.replace(" ", "")
    ):
        return ""
    total, unit = 0.0, ""
    for number, name in parts:
        last = unit
        meant = next(units_meant(name, asked.unit, asked.shown), "") if name else _SMALLER.get(last, ("", 0))[0]
        if not meant or (last and si_size(meant) >= si_size(last)):
            return ""
        if not name and float(number) >= _SMALLER[last][1]:
            return ""
        total = total * (si_size(last) / si_size(meant) if last else 1.0) + float(number)
        unit = meant
    return f"{total:.6g} {unit}"


def _special(text: str, asked: NumberAsked) -> Iterator[str]:
    """Threads, and what else the trade writes for it: each only where it is asked for."""
    if getattr(asked, "thread", False) and (thread := _THREAD.fullmatch(text.strip())):
        yield f"{thread[1].replace(',', '.')} mm"
    yield from trade_forms(text, asked)
