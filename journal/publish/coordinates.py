"""Coordinates in a text, in whatever form people and maps write them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

#: How far two places are apart at most that are told as one, beside the rounding of what is written. [degrees]
NEAR = 0.005

_NUMBER = r"[-+−]?\d{1,3}[.,]\d{1,10}"
#: Two numbers close together, with what maps and people put between them.
_BETWEEN = r"(?:\s*°?\s*[NSEWO]?\b)?[\s,;:/|&=!a-z34%_()\[\]°-]{1,14}?"
_PAIR = re.compile(
    rf"(?<![\w.,])(?P<a>{_NUMBER})(?P<ah>\s*°?\s*[NSEWO]\b)?{_BETWEEN}(?<![\d.])(?P<b>{_NUMBER})(?P<bh>\s*°?\s*[NSEWO]\b)?",
    re.IGNORECASE,
)
_URL_PAIR = re.compile(rf"(?<=[@=/,!a-z])(?P<a>{_NUMBER})(?P<ah>){_BETWEEN}(?<![\d.])(?P<b>{_NUMBER})(?P<bh>)")
_DEGREES = (
    r"(?P<{n}h>[NSEWO]\s*)?(?P<{n}d>\d{{1,3}})(?:\s*[°ºd]\s*|[ :](?=[\d]))"
    r"(?P<{n}m>\d{{1,2}}(?:[.,]\d+)?)(?:\s*['′’m]\s*|[ :](?=\d)|\s*(?=[NSEWO\"″”]))?"
    r"(?:(?P<{n}s>\d{{1,2}}(?:[.,]\d+)?)\s*(?:[\"″”s]|''|′′)?)?(?({n}h)|(?P<{n}e>\s*[NSEWO]\b)?)"
)
_SEXAGESIMAL = re.compile(
    rf"(?<![\w.,]){_DEGREES.format(n='a')}[\s,;/]{{0,3}}{_DEGREES.format(n='b')}(?![\w.,]\d)", re.IGNORECASE
)
_COMPACT = re.compile(r"(?<!\w)(\d{2})(\d{2})(\d{2})([NS])[\s,;/]*(\d{3})(\d{2})(\d{2})([EW])\b", re.IGNORECASE)
#: A single number as finely as maps write it, and how near it tells one of a place. [degrees]
_ALONE = re.compile(r"(?<![\d.,])\d{1,3}[.,]\d{3,10}(?![.,]?\d)")
ALONE = 0.001
_SAID = re.compile(
    r"(?<!\d)(\d{1,3})\s*(?:deg\w*|grad)\W{1,3}(\d{1,2})\s*min\w*(?:\W{1,3}(\d{1,2}(?:[.,]\d+)?)\s*sec\w*)?",
    re.IGNORECASE,
)
_DIGITS = "23456789CFGHJMPQRVWX"
_PLUS = re.compile(rf"(?<![A-Z0-9])([{_DIGITS}]{{4,8}})\+([{_DIGITS}]{{2,3}})(?![A-Z0-9])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Position:
    """A place on earth as it is written somewhere, to half a unit of its last digit, in degrees."""

    north: float
    east: float
    doubt: float
    begin: int = 0
    end: int = 0


def positions(text: str) -> Iterator[Position]:
    """Every pair of numbers that can be a place on earth; pairs without three decimals or a mark are told too."""
    for pattern in (_PAIR, _URL_PAIR):
        for m in pattern.finditer(text):
            yield _decimal(m)
    for m in _SEXAGESIMAL.finditer(text):
        if re.search("[°º]", m[0]) or _headed(m):
            yield _sexagesimal(m)
    for m in _COMPACT.finditer(text):
        north = int(m[1]) + int(m[2]) / 60 + int(m[3]) / 3600
        east = int(m[5]) + int(m[6]) / 60 + int(m[7]) / 3600
        yield Position(_signed(north, m[4]), _signed(east, m[8]), 1 / 3600, m.start(), m.end())
    for m in _PLUS.finditer(text):
        if len(m[1]) == 8:
            yield _area(m)


def _headed(m: re.Match[str]) -> bool:
    return bool((m["ah"] or m["ae"]) and (m["bh"] or m["be"]))


def _value(written: str) -> float:
    return float(written.replace(",", ".").replace("−", "-"))


def _signed(value: float, heading: str | None) -> float:
    return -abs(value) if heading and heading.strip(" °").upper() in ("S", "W") else value


def _decimal(m: re.Match[str]) -> Position:
    shown = min(len(re.split("[.,]", m[g])[1]) for g in ("a", "b"))
    a, b = _signed(_value(m["a"]), m["ah"]), _signed(_value(m["b"]), m["bh"])
    if (m["ah"] or "").strip(" °").upper() in ("E", "W", "O"):
        a, b = b, a
    return Position(a, b, 0.5 * 10.0**-shown, m.start(), m.end())


def _sexagesimal(m: re.Match[str]) -> Position:
    found = []
    doubt = 0.0
    for n in "ab":
        minutes, seconds = _value(m[f"{n}m"]), _value(m[f"{n}s"] or "0")
        heading = m[f"{n}h"] or m[f"{n}e"]
        value = int(m[f"{n}d"]) + minutes / 60 + seconds / 3600
        found.append((_signed(value, heading), (heading or "").strip().upper()))
        fine = m[f"{n}s"] or re.search("[.,]", m[f"{n}m"])
        doubt = max(doubt, 1 / 3600 if fine else 0.5 / 60)
    (a, first), (b, _) = found
    if first in ("E", "W", "O"):
        a, b = b, a
    return Position(a, b, doubt, m.start(), m.end())


def _area(m: re.Match[str]) -> Position:
    """The middle of the area of a full plus code, by the specification of Open Location Code."""
    north, east, step = -90.0, -180.0, 400.0
    code = (m[1] + m[2]).upper()[:10]
    for k in range(0, 10, 2):
        step /= 20
        north += _DIGITS.index(code[k]) * step
        east += _DIGITS.index(code[k + 1]) * step
    return Position(north + step / 2, east + step / 2, step / 2, m.start(), m.end())


def plus_code(north: float, east: float) -> str:
    """The last six digits of the plus code of a place, which go out with the name of a town before them.

    Examples
    --------
    The worked example of the specification, 47.365590, 8.524997 is 8FVC9G8F+6X:

    >>> plus_code(47.365590, 8.524997)
    '9G8F6X'
    """
    n, e = int((north + 90) * 8000), int((east + 180) * 8000)
    pairs = []
    for _ in range(3):
        pairs.append(_DIGITS[n % 20] + _DIGITS[e % 20])
        n, e = n // 20, e // 20
    return "".join(reversed(pairs))


class Hidden:
    """Places on earth that may not be told."""

    def __init__(self, texts: list[str]) -> None:
        self._at = [p for text in texts for p in positions(text) if fine_enough(p)]
        self._codes = {plus_code(p.north, p.east)[:6] for p in self._at}
        for text in texts:
            self._codes |= {(m[1] + m[2]).upper()[-6:] for m in _PLUS.finditer(text)}

    def __bool__(self) -> bool:
        return bool(self._at or self._codes)

    def spots(self, text: str) -> Iterator[tuple[int, int]]:
        """Where a text tells one of them: either first, with or without its signs, rounded or not; or half of it."""
        pairs = [(p.begin, p.end) for p in positions(text)]
        for m in _ALONE.finditer(text):
            value = abs(_value(m[0]))
            if not any(b <= m.start() and m.end() <= e for b, e in pairs) and any(
                abs(value - abs(own)) <= ALONE for at in self._at for own in (at.north, at.east)
            ):
                yield m.start(), m.end()
        for m in _SAID.finditer(text):
            value = int(m[1]) + int(m[2]) / 60 + _value(m[3] or "0") / 3600
            if any(abs(value - abs(own)) <= NEAR + 1 / 60 for at in self._at for own in (at.north, at.east)):
                yield m.start(), m.end()
        for p in positions(text):
            marked = p.doubt <= 0.01 or re.search("[°,NSEWO]", text[p.begin : p.end])
            if marked and any(_same(p, at) for at in self._at):
                yield p.begin, p.end
        for m in _PLUS.finditer(text):
            if (m[1] + m[2]).upper()[:10][-6:] in self._codes:
                yield m.start(), m.end()


def _same(p: Position, at: Position) -> bool:
    reach = NEAR + p.doubt + at.doubt
    a, b = abs(p.north), abs(p.east)
    north, east = abs(at.north), abs(at.east)
    return (abs(a - north) <= reach and abs(b - east) <= reach) or (abs(a - east) <= reach and abs(b - north) <= reach)


def fine_enough(p: Position) -> bool:
    """Whether numbers can be a place at all, and so finely that a house could be meant."""
    return abs(p.north) <= 180 and abs(p.east) <= 180 and p.doubt <= 0.01
