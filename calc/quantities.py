"""The quantities a builder can measure: the one catalogue of measurements.

A name says what and where. Voltages with nothing connected and voltages under load are different quantities,
because reading one as the other is the commonest error of all.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

#: What can be connected to the generator while something is read.
LOAD_STATES = ("nothing connected", "battery", "battery and loads", "dump load", "short circuit", "not known")


class LookAnswer(StrEnum):
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
    Quantity("generator.resistance", "Resistance between two leads", "ohm", "ohm", 1e-4, 1e6, "0.24 ohm",
             open_ended=True),
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
    Quantity("blade.mass", "Mass of one blade", "kg", "kg", 0.01, 100, "0.35 kg"),
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
    Quantity(
        "generator.ac_voltage", "AC voltage between two leads with nothing connected", "V", "V", 0, 3000, "11.8 V",
        "one reading for each pair, all at one speed, on the bench; say with --where which pair",
    ),
    Quantity(
        "generator.frame_resistance", "Resistance from a lead to the generator's frame", "ohm", "kohm", 1, 1e13,
        "800 kohm", "all leads disconnected; a multimeter finds only a plain fault", open_ended=True,
    ),
    Quantity("generator.turning_torque", "Torque at which it begins to turn by hand, all leads off", "N*m", "Nm", 0,
             5000, "0.4 Nm", "a weight at a known arm, from its worst place"),
    Quantity("generator.shaft_speed", "Speed of the generator's own shaft, behind belt or gears", "rad/s", "rpm", 0,
             2000, "1200 rpm", "at the same moment as that of the rotor"),
    Quantity("generator.field_current", "Current of the field coil", "A", "A", 0, 100, "3.1 A"),
    Quantity("cable.end_to_end", "Resistance of a cable, brushes or switch from end to end", "ohm", "ohm", 0, 1e6,
             "0.3 ohm", "all sources off; less what the meter's own leads have", True),
    Quantity("brake.loop_resistance", "Resistance of the loop that the closed brake switch makes", "ohm", "ohm", 0, 1e6,
             "0.05 ohm", "the generator's leads off, the rotor stopped by something else and tied", True),
    Quantity("controller.dump_current", "Current into the dump load", "A", "A", 0, 1000, "8 A"),
    Quantity("controller.set_voltage", "Voltage at which the controller dumps or stops charging", "V", "V", 0, 1200,
             "28.8 V", "as it is set, or as it was seen to act"),
    Quantity("battery.night_current", "Current out of the battery with everything switched off", "A", "A", 0, 1000,
             "0.3 A", "in a calm, the rotor standing"),
    Quantity("battery.string_difference", "Voltage between the highest and the lowest battery, string or cell", "V",
             "V", 0, 100, "0.4 V", "all read within a few minutes"),
    Quantity("battery.string_current", "Current of one of several strings", "A", "A", -1000, 1000, "2.1 A",
             "all strings at one moment"),
    Quantity("battery.tested_capacity", "Charge that a full battery gave in a test", "A*s", "Ah", 0, 1e9, "62 Ah",
             "with the current and where the test was stopped"),
    Quantity("load.start_power", "Power drawn in a start", "W", "W", 0, 1e6, "900 W"),
    Quantity("load.daily_energy", "Energy that the loads took in a day", "J", "Wh", 0, 1e10, "340 Wh"),
    Quantity("blade.gauge_angle", "Angle of a blade by a gauge at a station", "rad", "deg", -1.6, 1.6, "8 deg",
             "say with --where at which distance from the shaft"),
    Quantity("blade.chord", "Chord of a blade at a mark, straight from edge to edge", "m", "mm", 0.005, 2.5, "92 mm",
             "a rule laid across the outside; say with --where which blade, and how far from the shaft"),
    Quantity("blade.balance_point", "Distance from the shaft at which a blade balances on an edge", "m", "mm", 0, 15,
             "548 mm", "as it is fitted; say with --where which blade"),
    Quantity("blade.scale_at_mark", "What a scale under a blade shows at a mark, its inner end on an edge", "kg", "kg",
             0.001, 100, "0.41 kg", "the blade level; say with --where which blade, and how far from the shaft"),
    Quantity("blade.tip_clearance", "Least distance of a blade's tip from the mast", "m", "mm", 0, 10, "180 mm"),
    Quantity("tail.fold_angle", "Angle by which the tail stands folded", "rad", "deg", 0, 3.2, "40 deg",
             "with the wind in which it was seen"),
    Quantity("tail.swing_force", "Pull at the end of the boom at which the tail begins to swing", "N", "N", 0, 1e4,
             "12 N"),
    Quantity("yaw.off_wind", "Angle between rotor and wind", "rad", "deg", 0, 3.2, "30 deg",
             "against a ribbon on a pole"),
    Quantity("yaw.turning_force", "Pull at the end of the boom at which the head begins to turn", "N", "N", 0, 1e4,
             "8 N"),
    Quantity("mast.own_frequency", "Frequency at which the mast swings by itself", "1/s", "Hz", 0.01, 100, "1.6 Hz",
             "pulled by a rope from the ground and let go, the rotor stopped"),
    Quantity("vibration.amplitude", "How far it shakes, to and fro", "m", "mm", 0, 5, "15 mm",
             "from a film against something that stands still"),
)  # fmt: skip

QUANTITIES: dict[str, Quantity] = {q.name: q for q in _ALL}
#: What whoever is licensed to tests on the wiring; nobody means these who does not name them.
ELECTRICAL_TESTS = ("wiring.insulation", "earth.electrode", "earth.continuity", "rcd.trip_time")
#: What only somebody who looks for a fault reads: nobody means these who does not name them.
NAMED_ONLY = frozenset({
    *ELECTRICAL_TESTS,
    "generator.ac_voltage", "generator.frame_resistance", "generator.turning_torque", "generator.shaft_speed",
    "generator.field_current", "cable.end_to_end", "brake.loop_resistance", "controller.dump_current",
    "controller.set_voltage", "battery.night_current", "battery.string_difference", "battery.string_current",
    "battery.tested_capacity", "load.start_power", "load.daily_energy", "blade.gauge_angle",
    "blade.chord", "blade.balance_point", "blade.scale_at_mark",
    "blade.tip_clearance",
    "tail.fold_angle", "tail.swing_force", "yaw.off_wind", "yaw.turning_force", "mast.own_frequency",
    "vibration.amplitude",
})  # fmt: skip
#: What is worth keeping and yet tells of no failure: it is not offered as evidence.
NO_EVIDENCE = frozenset({
    "noise.level", "run.hours", "blade.bolts", "blade.thrown", "earth.electrode", "earth.continuity",
    "rcd.trip_time", "blade.chord", "blade.balance_point", "blade.scale_at_mark",
})  # fmt: skip
#: Voltages without load, which are read in several forms: behind the rectifier, between two leads, to the star point.
FORMED = ("generator.emf", "generator.open_voltage")
#: Quantities that move with the wind.
WINDY = frozenset({
    "rotor.speed", "generator.open_voltage", "generator.loaded_voltage", "charge.current", "charge.power", "cable.drop",
    "vibration.frequency",
})  # fmt: skip
