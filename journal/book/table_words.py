"""Words by which builders head the columns of their tables, and what each may mean.

A head that can mean several things names all of them: it is asked about, or settled by what else stands in the table,
never guessed. Own choice, from how such notes are kept; no source.
"""

from __future__ import annotations

from calc.quantities import QUANTITIES

#: Targets that are no column of a record: what is left out; a voltage that is read open where no current flows and
#: loaded where one does; the frequency of the generator's own voltage.
LEFT_OUT, EITHER_VOLTAGE, FREQUENCY = "none", "generator.voltage", "generator.frequency"

_SHARED = {
    "on": ("revision", "rev", "design"),
    "private_note": ("note", "notes", "remark", "remarks", "comment", "comments", "private note"),
    LEFT_OUT: ("no", "nr", "#", "row", "line", "index", "id"),
}
_WHEN = ("date", "day", "when", "datetime", "date time", "date and time", "timestamp", "moment")
_WIND = {"wind": ("wind", "wind speed", "windspeed", "beaufort", "bft", "force"),
         "wind_height": ("wind height", "height of wind", "height of the wind")}  # fmt: skip
_LOAD = ("load", "load state", "connected", "connected to", "what was connected")
_ATTEMPT = ("attempt", "try", "test")

#: By kind of table, what its columns can be, and how these are headed.
HEADS: dict[str, dict[str, tuple[str, ...]]] = {
    "readings": {
        "quantity": ("quantity", "what", "what was read", "measured", "parameter", "variable", "channel"),
        "value": ("value", "reading", "read", "result"),
        "unit": ("unit", "units"),
        "attempt": _ATTEMPT,
        "taken": (*_WHEN, "taken"),
        "time": ("time", "clock", "time of day", "hour"),
        **_WIND,
        "load_state": _LOAD,
        "where": ("where", "place", "point"),
        "instrument": ("instrument", "meter", "read with"),
        "conditions": ("conditions", "weather"),
        "form": ("form", "read as", "ac or dc"),
        "doubt": ("doubt", "uncertainty", "+-", "±", "tolerance"),
        "missing": ("missing", "why missing", "why not", "reason"),
    },
    "attempts": {
        "did": ("did", "what was done", "what i did", "done", "what", "attempt", "try", "test", "action"),
        "kind": ("kind", "type", "sort"),
        "began": (*_WHEN, "began", "begin", "start", "started", "from"),
        "ended": ("ended", "end", "until", "to", "finished"),
        "outcome": ("outcome", "result", "how it went", "how did it go"),
        "saw": ("saw", "seen", "what was seen", "observed", "observation", "observations", "happened", "what happened"),
        **_WIND,
        "wind_how": ("wind how", "how the wind was known"),
        "load_state": _LOAD,
        "hours": ("hours", "duration", "how long", "run time"),
    },
    "parts": {
        "name": ("name", "part", "item", "component", "thing", "what"),
        "role": ("role", "used for", "use", "used as", "function"),
        "quantity": ("quantity", "qty", "count", "number", "how many", "pieces", "pcs", "amount"),
        "condition": ("condition", "state", "new or used"),
        "source": ("source", "from", "bought at", "supplier", "shop", "where from"),
        "cost": ("cost", "price", "paid"),
        "currency": ("currency",),
        "mass": ("mass", "weight"),
        "rating": ("rating", "rated", "data plate"),
        "history": ("history", "earlier life"),
        "serial": ("serial", "serial number", "serial no"),
    },
    "failures": {
        "saw": ("saw", "seen", "failure", "what failed", "what went wrong", "symptom", "what", "fault", "problem"),
        "attempt": _ATTEMPT,
        "happened": (*_WHEN, "happened", "failed on"),
        "item": ("item", "thing", "what broke"),
        "part": ("part",),
        "effect": ("effect", "consequence"),
        "harm": ("harm", "hurt", "anybody hurt", "injury"),
        "severity": ("severity", "level"),
        "likelihood": ("likelihood", "how likely"),
        "contained": ("contained", "done at once", "what was done at once"),
        "caused_by": ("caused by", "after failure"),
        "cause": ("cause", "believed cause", "why"),
        "symptoms": ("symptoms", "looks like"),
        "mechanism": ("mechanism", "way of failing"),
        "sure": ("sure", "how sure"),
        "evidence": ("evidence", "on what evidence"),
    },
    "claims": {
        "said": ("claim", "claimed", "said", "what was claimed", "what was said"),
        "who": ("who", "by", "who said it", "said by", "claimed by", "seller", "source"),
        "power": ("power", "watts", "watt", "w"),
        "wind": ("wind", "wind speed", "at wind", "at"),
    },
}  # fmt: skip
for _heads in HEADS.values():
    _heads |= _SHARED

#: What each quantity is headed by, beside its name, its last part and its meaning. One head may stand at several.
READ: dict[str, tuple[str, ...]] = {
    "wind.speed": ("wind speed", "wind"),
    "rotor.speed": ("speed", "rotor", "revs", "revolutions", "turns", "rotor rpm", "shaft speed", "generator speed"),
    "generator.open_voltage": (
        "open volts", "volts open", "voltage open", "open circuit voltage", "open circuit volts", "no load voltage",
        "no load volts", "noload voltage", "unloaded voltage", "unloaded volts", "voc", "generator voltage", "voltage",
    ),
    "generator.loaded_voltage": (
        "loaded volts", "volts loaded", "voltage loaded", "voltage under load", "volts under load",
        "rectifier voltage", "generator voltage", "voltage",
    ),
    "generator.short_current": (
        "short circuit current", "shorted current", "short circuit amps", "isc", "current", "generator current",
    ),
    "generator.resistance": ("winding resistance", "ohms", "resistance between leads", "resistance between two leads"),
    "generator.temperature": ("winding temperature", "generator temp", "winding temp", "temperature"),
    "charge.current": (
        "charging current", "charge amps", "charging amps", "battery current", "battery amps", "current",
        "generator current",
    ),
    "charge.power": ("charging power", "charge watts", "battery power", "power"),
    "charge.energy": ("charged energy", "energy"),
    "battery.voltage": ("battery volts", "battery", "bank voltage", "bank volts", "voltage"),
    "battery.temperature": ("battery temp", "temperature"),
    "battery.density": ("specific gravity", "gravity", "sg"),
    "cable.drop": ("cable drop", "voltage drop", "cable loss"),
    "load.power": ("load watts", "power"),
    "inverter.input_voltage": ("inverter voltage", "inverter volts", "inverter input"),
    "noise.level": ("noise", "sound", "sound level"),
    "vibration.frequency": ("vibration", "hum", "shake", "frequency"),
    FREQUENCY: ("frequency", "electrical frequency", "generator frequency"),
    "blade.mass": ("blade weight", "weight of blade"),
    "air.temperature": ("air temp", "outside temperature", "temperature"),
    "stop.time": ("stopping time", "time to stop"),
    "run.hours": ("running hours", "hours"),
    "wiring.insulation": ("insulation", "insulation resistance", "megger"),
    "earth.electrode": ("earth resistance", "ground resistance", "earth electrode", "ground rod"),
    "earth.continuity": ("continuity", "protective conductor"),
    "rcd.trip_time": ("rcd time", "trip time", "rcd trip time", "gfci trip time"),
}  # fmt: skip

#: Heads that are a unit, and name with it what was read: the unit, and the head that stands for it.
UNIT_HEADS = {
    **dict.fromkeys(("v", "volt", "volts"), ("V", "voltage")),
    **dict.fromkeys(("a", "amp", "amps", "ampere", "amperes"), ("A", "current")),
    **dict.fromkeys(("w", "watt", "watts"), ("W", "power")),
    **dict.fromkeys(("rpm", "u/min", "1/min", "r/min", "rev/min", "min-1", "min^-1"), ("rpm", "speed")),
    **dict.fromkeys(("hz", "hertz"), ("Hz", "frequency")),
    **dict.fromkeys(("wh", "kwh"), ("Wh", "energy")),
    **dict.fromkeys(("db", "dba", "db(a)"), ("dB(A)", "noise")),
    **dict.fromkeys(("ohm", "ohms"), ("ohm", "winding resistance")),
}
#: Units as heads give them, by what the reader of units takes for them.
UNIT_WORDS = {
    "volt": "V", "volts": "V", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A", "watt": "W", "watts": "W",
    "u/min": "rpm", "1/min": "rpm", "r/min": "rpm", "rev/min": "rpm", "min-1": "rpm", "kmh": "km/h", "kph": "km/h",
    "knots": "kn", "ohms": "ohm", "hours": "h", "c": "degC", "f": "degF", "°c": "degC", "°f": "degF",
    "beaufort": "Bft", "bft": "Bft", "force": "Bft", "rpm": "rpm", "db": "dB(A)",
}  # fmt: skip


def plain_head(head: str) -> str:
    """A head as these tables have it: small letters, words parted by one blank, no stop."""
    return " ".join(head.casefold().replace("_", " ").replace("-", " ").rstrip(".:").split()) or head.strip()


def quantities_headed(head: str) -> list[str]:
    """The quantities that a plain head can mean, in the order of the catalogue."""
    dotted = head.replace(" ", "_")
    named = [q for q in QUANTITIES if dotted in (q, q.replace(".", "_")) or head == QUANTITIES[q].meaning.casefold()]
    return named or [
        q for q in (*QUANTITIES, FREQUENCY)
        if head in READ.get(q, ()) or head == q.replace(".", " ").replace("_", " ")
        or dotted == q.split(".")[-1]
    ]  # fmt: skip
