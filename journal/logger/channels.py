"""What a logger can have written: each channel with its unit, what it can be, and the words by which heads name it."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass

_DEG = math.pi / 180
#: Units by channel kind: what a reading is multiplied by, and what is added then. The first is assumed where none is
#: named.
_SPEED = {"m/s": (1.0, 0.0), "km/h": (1 / 3.6, 0.0), "mph": (0.44704, 0.0), "kn": (1852 / 3600, 0.0),
          "ft/s": (0.3048, 0.0)}  # fmt: skip
_POWER = {"W": (1.0, 0.0), "kW": (1e3, 0.0), "mW": (1e-3, 0.0)}
_VOLTS = {"V": (1.0, 0.0), "mV": (1e-3, 0.0)}
_AMPS = {"A": (1.0, 0.0), "mA": (1e-3, 0.0)}
_TURNS = {"rpm": (1.0, 0.0), "Hz": (60.0, 0.0), "rad/s": (30 / math.pi, 0.0)}
_HEAT = {"degC": (1.0, 273.15), "K": (1.0, 0.0), "degF": (5 / 9, 459.67 * 5 / 9)}
_PRESS = {"hPa": (100.0, 0.0), "Pa": (1.0, 0.0), "kPa": (1e3, 0.0), "inHg": (3386.389, 0.0), "mmHg": (133.322, 0.0)}
_ENERGY = {"Wh": (3600.0, 0.0), "kWh": (3.6e6, 0.0), "J": (1.0, 0.0)}
#: How heads and units lines write them, in small letters.
_WRITTEN = {
    "m/s": "m/s", "ms": "m/s", "mps": "m/s", "ms-1": "m/s", "m s-1": "m/s", "meters/second": "m/s", "km/h": "km/h",
    "kmh": "km/h", "kph": "km/h", "mph": "mph", "kn": "kn", "kt": "kn", "kts": "kn", "knots": "kn", "ft/s": "ft/s",
    "w": "W", "watt": "W", "watts": "W", "kw": "kW", "v": "V", "volt": "V", "volts": "V", "vdc": "V", "mv": "mV",
    "a": "A", "amp": "A", "amps": "A", "ampere": "A", "adc": "A", "ma": "mA", "rpm": "rpm", "1/min": "rpm",
    "u/min": "rpm", "min-1": "rpm", "rev/min": "rpm", "r/min": "rpm", "hz": "Hz", "rps": "Hz", "1/s": "Hz",
    "rad/s": "rad/s", "degc": "degC", "°c": "degC", "c": "degC", "deg c": "degC", "celsius": "degC", "k": "K",
    "kelvin": "K", "degf": "degF", "°f": "degF", "f": "degF", "deg f": "degF", "hpa": "hPa", "mbar": "hPa", "mb": "hPa",
    "pa": "Pa", "kpa": "kPa", "inhg": "inHg", "mmhg": "mmHg", "torr": "mmHg", "deg": "deg", "°": "deg",
    "degrees": "deg", "rad": "rad", "wh": "Wh", "kwh": "kWh", "j": "J",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Channel:
    """One thing that a logger reads.

    Parameters
    ----------
    name, meaning : str
        How it is named on the command line and among the columns that are kept, and in words.
    unit : str
        In which it is kept.
    units : dict
        Factor and what is added, from each unit in which it may stand in a file.
    low, high : float
        What it can be, in the unit in which it is kept; what is beyond is no reading.
    jump : float
        Least step to one row and back that no such quantity takes, in the unit in which it is kept. Common practice, no
        source.
    share : float
        The same as a share of what is usual in that file; the larger of both counts.
    still : float
        How long it may stay exactly the same before it counts as stuck. Common practice, no source. [s]
    words : str
        What names it in a head, as a regular expression over words in small letters.
    prefers : str
        What tells which of several such columns is meant.
    """

    name: str
    meaning: str
    unit: str
    units: dict[str, tuple[float, float]]
    low: float
    high: float
    jump: float
    share: float
    still: float
    words: str
    prefers: str = ""

    def told(self, value: float) -> str:
        """A value in the unit in which people know it."""
        unit, (factor, added) = next(iter(self.units.items()))
        return f"{(value - added) / factor:.4g} {unit}"


_ALL = (
    Channel("wind", "wind speed", "m/s", _SPEED, 0, 75, 12, 0, 1200,
            r"wind|ws\d*|anemo\w*|windspeed|windgeschwindigkeit|vent|viento|vwind", r"hub|mast|top"),
    Channel("wind_low", "wind speed of a second, lower anemometer", "m/s", _SPEED, 0, 75, 12, 0, 1200, r"(?!)"),
    Channel("direction", "where the wind comes from", "rad", {"deg": (_DEG, 0.0), "rad": (1.0, 0.0)}, 0, 2 * math.pi,
            math.inf, 0, 3600, r"wd|vane|winddir\w*|direction|dir|windrichtung|richtung|azimuth"),
    Channel("power", "power of the generator", "W", _POWER, -1e4, 1e5, 20, 3.0, 1800,
            r"power|p|pgen|pdc|pout|watts?|leistung|puissance|potencia|wattage", r"gen|wind|turbine|dc|out"),
    Channel("dump", "power of the dump load", "W", _POWER, -1e3, 1e5, 20, 3.0, 1e9, r"dump\w*|diversion|divert\w*"),
    Channel("volts", "voltage at the battery", "V", _VOLTS, 0, 1200, 2, 0.15, 21600,
            r"volts?|voltage|vbatt?|ubatt?|vdc|u|spannung|tension|batt?v|vb", r"bat|batt|battery|vbat\w*|ubat\w*"),
    Channel("amps", "current into the battery", "A", _AMPS, -1000, 1000, 2, 3.0, 1800,
            r"amps?|current|ibatt?|idc|i|strom|courant|amperes?|batta", r"bat|batt|battery|charge|charging|ibat\w*"),
    Channel("rpm", "speed of the rotor", "rpm", _TURNS, 0, 10000, 60, 1.5, 1800,
            r"rpm|drehzahl|revs?|turns|rotorspeed|speed|umin|rotor", r"rotor|rpm"),
    Channel("temperature", "temperature of the air", "K", _HEAT, 200, 340, 8, 0, 43200,
            r"temp\w*|tair|ta|airtemp|lufttemperatur", r"air|ambient|out\w*|tair|luft\w*"),
    Channel("pressure", "pressure of the air", "Pa", _PRESS, 5e4, 1.1e5, 1500, 0, 43200,
            r"press\w*|baro\w*|bp|luftdruck|pair|qfe"),
    Channel("energy", "energy counted", "J", _ENERGY, 0, 1e15, math.inf, 0, 1e12,
            r"energy|ertrag|energie|kwh|wh|yield"),
)  # fmt: skip
CHANNELS: dict[str, Channel] = {c.name: c for c in _ALL}
#: A height in a head: ``v_10m``, ``wind 8 m``.
_HEIGHT = re.compile(r"(?<![\d.])(\d{1,3}(?:[.,]\d)?)\s*m(?![a-z/])", re.IGNORECASE)
_BRACKETS = re.compile(r"[\[(<{]\s*([^\])>}]*)\s*[\])>}]")
#: Words of what is no mean of a row: a gust or a scatter is no wind speed.
_OTHER = re.compile(
    r"^(max|maximum|min|minimum|std|sd|sdv|stdev|gust|gusts|boe|boen|peak|count|samples|error|status|bft|beaufort)$"
)
#: Temperatures that are not of the air.
_NOT_AIR = re.compile(r"^(gen\w*|winding|battery|batt?|bat|board|logger|case|mosfet|heatsink|panel|rectifier|stator)$")


def unit_named(written: str) -> str:
    """The unit that a head, a units line or a person means; empty where it is none.

    Examples
    --------
    >>> unit_named("km/h"), unit_named("°C"), unit_named("furlongs")
    ('km/h', 'degC', '')
    """
    plain = unicodedata.normalize("NFKC", written).strip().strip(".").casefold().replace("º", "°").replace("−", "-")
    if written.strip() == "mW":
        return "mW"
    return _WRITTEN.get(plain, _WRITTEN.get(plain.replace(" ", ""), ""))


def words_of(head: str) -> list[str]:
    """The words of a head, in small letters, where its letters and case part them.

    Examples
    --------
    >>> words_of("WindSpeed_10m_Avg"), words_of("P_gen (W)"), words_of("U/min")
    (['wind', 'speed', '10m', 'avg'], ['p', 'gen', 'w'], ['u', 'min'])
    """
    apart = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", head.replace("ö", "oe").replace("ä", "ae").replace("ü", "ue"))
    return re.findall(r"[^\W_]+", apart.casefold())


def height_in(head: str) -> float | None:
    """The height that a head names, such as 10 of ``v_10m``, in metres."""
    found = _HEIGHT.search(head.replace("_", " "))
    return float(found[1].replace(",", ".")) if found else None


def unit_in(head: str) -> str:
    """The unit that a head names: in brackets, behind a comma or stroke, or as its last word."""
    for inside in reversed(_BRACKETS.findall(head)):
        if unit := unit_named(inside):
            return unit
    behind = re.split(r"[,;:/]\s+|\s+in\s+|\s", head.strip())
    if len(behind) > 1 and (unit := unit_named(behind[-1])):
        return unit
    last = head.strip().rsplit("_", 1)
    return unit_named(last[-1]) if len(last) > 1 else unit_named(head) if len(head.strip()) > 1 else ""


@dataclass(frozen=True, slots=True)
class Guess:
    """What a column is taken to be: its channel, how well that fits, its unit, whether that was named, and a height."""

    channel: str
    fit: int
    unit: str
    named: bool
    height: float | None = None


def guess(head: str, unit_below: str = "") -> Guess | None:
    """What a head is taken to mean, by its words and its unit; None where it could be several things, or nothing.

    Parameters
    ----------
    head : str
        The head of a column.
    unit_below : str
        What stands below it in a line of units.
    """
    unit = unit_named(unit_below) or unit_in(head)
    words = words_of(_BRACKETS.sub(" ", head))
    if any(_OTHER.match(w) for w in words):
        return None
    found = [(name, fit) for name, c in CHANNELS.items() if (fit := _fit(c, words, unit))]
    if not found:
        return None
    name, fit = max(found, key=lambda f: f[1])
    if [f for _, f in found].count(fit) > 1:
        return None
    channel = CHANNELS[name]
    return Guess(name, fit, unit if unit in channel.units else next(iter(channel.units)), unit in channel.units,
                 height_in(_BRACKETS.sub(" ", head)) if name == "wind" else None)  # fmt: skip


def _fit(c: Channel, words: list[str], unit: str) -> int:
    """How well a head fits a channel: 0 not at all."""
    named = any(re.fullmatch(c.words, w) for w in words)
    fits = unit in c.units
    if unit and not fits:
        return 0
    if c.name == "temperature" and any(_NOT_AIR.match(w) for w in words):
        return 0
    if c.name == "dump":
        return 9 if named else 0
    if c.name == "direction" and named:
        return 8
    if c.name == "wind_low" or (not named and not (fits and len(unit) > 0)):
        return 0
    if c.name == "rpm" and "wind" in words:
        return 0
    preferred = bool(c.prefers) and any(re.fullmatch(c.prefers, w) for w in words)
    strong = named and not (c.name == "rpm" and set(words) & {"speed"} and not fits and "rotor" not in words)
    return 4 * strong + 2 * fits + preferred
