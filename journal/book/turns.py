"""Turns per minute and per second in every spelling of data plates and manuals; never radians."""

from __future__ import annotations

import re

_PER = r"\s*(?:/|\bper\b|\ba\b)\s*"
_TURN = (
    r"(?:revolutions?|rotations?|turns?|revs?|rot|tr|r|u|umdr\.?|omw|giri|obr\.?|ot\.?|varv|kierr|о[бв]\.?"
    r"|(?<![\d.,])1)"
)
_MINUTE, _SECOND = r"(?:minutes?|minuto|mins?|mn|мин)\b\.?", r"(?:seconds?|secs?|s|сек)\b\.?"
_LESS_ONE = r"\s*(?:\^|\*\*)?\s*(?:\(\s*[-−]\s*1\s*\)|[-−]\s*1(?!\d)|⁻¹)"
_THOUSAND = r"(?:1[ ,.'’]?000|thousand|k)\s*"
#: What is written for one unit, each as a name of the table; the longer before those that they hold.
_SPELLINGS = tuple(
    (re.compile(rf"(?<![a-z]){pattern}", re.IGNORECASE), name)
    for pattern, name in (
        (rf"{_TURN}{_PER}{_MINUTE}|min{_LESS_ONE}|mn{_LESS_ONE}|r\.?\s?p\.?\s?m\b\.?|upm\b|umin\b", "rpm"),
        (rf"{_TURN}{_PER}{_SECOND}|s{_LESS_ONE}|r\.?p\.?s\b\.?|hz\b|hertz\b", "rps"),
        # A 1 before the stroke may belong to it; see spoken.py.
        (r"(?<=[02-9])\s*/\s*(?:min|mn)\b", " rpm"),
        (r"(?<=[02-9])\s*/\s*s\b", " rps"),
    )
)
_MINUTES_BELOW = re.compile(r"\b1\s*/\s*\(\s*(?:V[\s*·]*min|min[\s*·]*V)\s*\)", re.IGNORECASE)
_THOUSANDS = re.compile(rf"(?<=[/(r ]){_THOUSAND}rpm\b|\bk\s?rpm\b", re.IGNORECASE)
_OF_HOBBY_MOTORS = re.compile(r"(?<=[\d\s])[Kk][Vv]\b|\bkv\s*[=:]?\s*(?=\d)", re.IGNORECASE)
_PER_VOLT = re.compile(r"\s*\bper\b\s*", re.IGNORECASE)
_IN_BRACKETS = re.compile(r"\(\s*(k?rpm|rps)\s*\)")

#: Units of SI in which a speed of rotation, a back-EMF constant or a frequency is asked for.
SPEED, EMF, FREQUENCY = "rad/s", "V*s/rad", "1/s"
TURNING = (SPEED, EMF)


def in_turns(text: str, unit: str) -> str:
    """The text with its turns per minute or second in the names of our table, where turns are asked for.

    Parameters
    ----------
    text : str
        As it was typed, number and unit or a unit alone.
    unit : str
        The SI unit asked for. Where that is a frequency, turns per minute are cycles per minute.

    Examples
    --------
    >>> in_turns("900 1/min", SPEED), in_turns("60 1/min/V", EMF), in_turns("16 V per 1000 rpm", EMF)
    ('900 rpm', '60 rpm/V', '16 V/krpm')
    >>> in_turns("15 Hz", SPEED), in_turns("15 Hz", FREQUENCY), in_turns("360 rpm", FREQUENCY), in_turns("2 m", "m")
    ('15 rps', '15 Hz', '360 1/min', '2 m')
    """
    if unit not in (SPEED, EMF, FREQUENCY):
        return text
    told = _MINUTES_BELOW.sub("rpm/V", text) if unit == EMF else text
    for spelling, name in _SPELLINGS:
        told = spelling.sub(name, told)
    if unit == FREQUENCY:
        return re.sub(r"(?<![a-z])rps\b", " Hz", re.sub(r"(?<![a-z])rpm\b", " 1/min", told)).replace("  ", " ")
    if unit == EMF:
        told = _PER_VOLT.sub("/", _OF_HOBBY_MOTORS.sub("rpm/V", told)) if "rp" not in told else _PER_VOLT.sub("/", told)
        told = _THOUSANDS.sub("krpm", told)
        told = re.sub(r"\s*/\s*(?=k?rp[ms])|(?<=rp[ms])\s*/\s*", "/", _IN_BRACKETS.sub(r"\1", told))
    elif re.search(r"\dk\s?rpm|\d\s+(?:k|thousand)\s?rpm", told):
        told = re.sub(r"\s*(?:k|thousand)\s?rpm", " krpm", told)
    return told
