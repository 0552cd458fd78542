"""The quantities a builder can measure: the one catalogue of measurements.

A name says what and where. Voltages with nothing connected and voltages under load are different quantities,
because reading one as the other is the commonest error of all.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

#: What can be connected to the generator while something is read.
LOAD_STATES = ("nothing connected", "battery", "battery and loads", "dump load", "short circuit", "not known")


class Answer(StrEnum):
    """What somebody found who looked for something that has no number."""

    YES = "yes"
    NO = "no"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Quantity:
    """One thing that can be measured.

    Parameters
    ----------
    name : str
        Short name.
    meaning : str
        One line.
    unit, shown : str
        SI unit as the unit parser reads it, and the unit in which it is shown.
    low, high : float
        Plausible range. [SI]
    example : str
        How one would type it.
    note : str
        What people get wrong about it.
    open_ended : bool
        Whether a meter that reads beyond its range tells all there is to know: ``over 200 Mohm``.
    """

    name: str
    meaning: str
    unit: str
    shown: str
    low: float
    high: float
    example: str
    note: str = ""
    open_ended: bool = False


_ALL = (
    Quantity("wind.speed", "Wind speed", "m/s", "m/s", 0, 100, "6.5 m/s", "say at what height, and how it was known"),
    Quantity("rotor.speed", "Speed of the rotor", "rad/s", "rpm", 0, 1000, "320 rpm"),
    Quantity(
        "generator.open_voltage", "Generator voltage with nothing connected", "V", "V", 0, 3000, "31 V",
        "proves the speed and the windings, not any output",
    ),
    Quantity(
        "generator.loaded_voltage", "Generator voltage under load, after the rectifier", "V", "V", 0, 3000, "27.2 V"
    ),
    Quantity("generator.short_current", "Current with the leads shorted", "A", "A", 0, 1000, "6 A"),
    Quantity("generator.emf", "Back-EMF constant from a spin test", "V*s/rad", "rpm/V", 1e-3, 60, "7.6 rpm/V"),
    Quantity("generator.resistance", "Resistance between two leads", "ohm", "ohm", 1e-4, 1e6, "0.24 ohm"),
    Quantity("generator.temperature", "Temperature of the winding", "kelvin", "degC", 200, 700, "65 degC"),
    Quantity(
        "charge.current", "Current into the battery", "A", "A", -500, 1000, "4.2 A",
        "read at the same moment as the voltage",
    ),
    Quantity("charge.power", "Power into the battery", "W", "W", -1e4, 1e5, "110 W"),
    Quantity("charge.energy", "Energy put into the battery", "J", "Wh", 0, 1e12, "420 Wh"),
    Quantity("battery.voltage", "Voltage at the battery", "V", "V", 0, 1200, "12.1 V"),
    Quantity("battery.temperature", "Temperature of the battery", "kelvin", "degC", 200, 400, "4 degC"),
    Quantity("battery.density", "Specific gravity of the acid", "", "", 1.0, 1.4, "1.21"),
    Quantity("cable.drop", "Voltage lost in the cable", "V", "V", 0, 500, "1.4 V", "both ends read at the same moment"),
    Quantity("load.power", "Power drawn by the loads", "W", "W", 0, 1e5, "36 W"),
    Quantity("inverter.input_voltage", "Voltage at the inverter's input", "V", "V", 0, 1200, "22.8 V"),
    Quantity("noise.level", "Sound level", "", "dB(A)", 0, 150, "41 dB(A)", "a telephone is not a sound level meter"),
    Quantity("vibration.frequency", "Frequency of a shake or hum", "1/s", "Hz", 0.01, 1e4, "6 Hz"),
    Quantity("blade.mass", "Mass of one blade", "kg", "kg", 0.001, 1000, "0.35 kg"),
    Quantity(
        "blade.bolts", "Around the outside of the pipe, from the straight edge to the bolts", "m", "mm", 0, 2, "22 mm"
    ),
    Quantity(
        "blade.thrown", "How far from the mast a thrown piece was found", "m", "m", 0, 5000, "31 m",
        "from the foot of the mast, however it got there",
    ),
    Quantity("air.temperature", "Air temperature", "kelvin", "degC", 200, 340, "3 degC"),
    Quantity("stop.time", "Time from braking to standstill", "s", "s", 0, 3600, "4 s"),
    Quantity("run.hours", "Hours it turned", "s", "h", 0, 1e9, "480 h"),
    Quantity(
        "wiring.insulation", "Insulation resistance", "ohm", "Mohm", 100, 1e13, "200 Mohm",
        "read with an insulation tester and everything electronic unplugged; a multimeter tells nothing of it",
        open_ended=True,
    ),
    Quantity(
        "earth.electrode", "Resistance of the earth electrode", "ohm", "ohm", 0.01, 1e5, "35 ohm",
        "read with an earth tester, the electrode off from all else",
    ),
    Quantity(
        "earth.continuity", "Resistance of the protective conductor, end to end", "ohm", "ohm", 0, 1e3, "0.12 ohm",
        "the leads of the meter taken off",
    ),
    Quantity("rcd.trip_time", "Trip time of the residual-current device", "s", "ms", 0.001, 10, "24 ms",
             "at its rated current; the test button tells no time"),
)  # fmt: skip

QUANTITIES: dict[str, Quantity] = {q.name: q for q in _ALL}
#: What whoever is licensed to tests on the wiring; nobody means these who does not name them.
ELECTRICAL_TESTS = ("wiring.insulation", "earth.electrode", "earth.continuity", "rcd.trip_time")
#: Quantities that move with the wind.
WINDY = frozenset({
    "rotor.speed", "generator.open_voltage", "generator.loaded_voltage", "charge.current", "charge.power", "cable.drop",
    "vibration.frequency",
})  # fmt: skip
