"""The design of one machine: the one catalogue of inputs.

Each dataclass is a group of the design sheet and each of its fields an input. A field's metadata gives its
unit, permitted range, one-line meaning, and the assumption used when it is left out. Sheets, dialogues, help
and rules are all made from this catalogue, so a new input is added here and nowhere else.

Names of inputs are ``group.field``, or ``group.label.field`` where there can be several (cable runs, loads,
claims).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal, TypeAlias, cast

from calc.physics.wiring import INSULATIONS, STRANDS
from calc.quantities import LOAD_STATES, QUANTITIES
from calc.units import Num, show

Word: TypeAlias = "str | None"
Value: TypeAlias = "Num | str | bool"
Kind = Literal["number", "choice", "flag"]


@dataclass(frozen=True, slots=True)
class Assumed:
    """What is taken when an input is left out, and why.

    Parameters
    ----------
    value : float, str or bool
        In SI, or one of the choices.
    why : str
        The reason, shown to the builder; names its standing.
    low, high : float, optional
        The range in which the true value may well lie. [SI]
    """

    value: float | str | bool
    why: str
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One input of the catalogue.

    Parameters
    ----------
    group, name : str
        Group and field.
    kind : {"number", "choice", "flag"}
        What it holds.
    meaning : str
        One line.
    unit, shown : str
        SI unit as the unit parser reads it, and the unit in which it is shown (see :mod:`calc.units`).
    low, high : float
        Permitted range, in SI.
    choices : tuple of str
        Permitted words.
    assumed : Assumed or None
        What is taken when it is left out.
    labelled : bool
        Whether the group holds several things by label.
    recorded : bool
        Whether it comes from a record of its own instead of the sheet.
    exact : bool
        Whether it is a count or a nominal value, without doubt of its own unless one is typed.
    example : str
        How a builder would type it.
    """

    group: str
    name: str
    kind: Kind
    meaning: str
    unit: str = ""
    shown: str = ""
    low: float = float("-inf")
    high: float = float("inf")
    choices: tuple[str, ...] = ()
    assumed: Assumed | None = None
    labelled: bool = False
    recorded: bool = False
    exact: bool = False
    example: str = ""

    @property
    def path(self) -> str:
        """Name without a label, such as ``cable.length``."""
        return f"{self.group}.{self.name}"

    def named(self, label: str | None = None) -> str:
        """Name with a label where the group has labels."""
        return f"{self.group}.{label}.{self.name}" if self.labelled and label else self.path

    def text(self, value: Value) -> str:
        """Write a value of this input for people."""
        if self.kind == "number":
            return show(cast(Num, value), self.shown)
        if self.kind == "flag":
            return "yes" if value else "no"
        return str(value)

    @property
    def accepts(self) -> str:
        """What would be accepted, in one phrase."""
        if self.kind == "choice":
            return "one of: " + "; ".join(self.choices)
        if self.kind == "flag":
            return "yes or no"
        return f"{show(self.low, self.shown)} to {show(self.high, self.shown)}"


def number(
    meaning: str,
    unit: str,
    shown: str,
    low: float,
    high: float,
    example: str,
    assumed: Assumed | None = None,
    *,
    exact: bool = False,
) -> Any:
    """Declare a number: meaning, SI unit, shown unit, permitted range in SI, and how one would type it."""
    return field(
        default=None,
        metadata={
            "kind": "number",
            "meaning": meaning,
            "unit": unit,
            "shown": shown,
            "low": low,
            "high": high,
            "example": example,
            "assumed": assumed,
            "exact": exact,
        },
    )


def choice(meaning: str, *choices: str, assumed: Assumed | None = None) -> Any:
    """Declare one word out of a closed set."""
    return field(
        default=None,
        metadata={
            "kind": "choice",
            "meaning": meaning,
            "choices": choices,
            "example": choices[0],
            "assumed": assumed,
        },
    )


def flag(meaning: str, assumed: Assumed | None = None) -> Any:
    """Declare a yes or no."""
    return field(default=None, metadata={"kind": "flag", "meaning": meaning, "example": "yes", "assumed": assumed})


AH = 3600.0
MM2 = 1e-6
RPM = 0.10471975511965977

ROUGHNESS = (
    "open water",
    "smooth open ground",
    "open farmland",
    "farmland with scattered hedges",
    "farmland with hedges",
    "farmland with many hedges and houses",
    "villages, small towns or forest",
    "larger towns",
)
MAST_KINDS = ("guyed tilt-up", "free-standing pole", "lattice tower", "on a roof or gable", "other")
OVERSPEED = (
    "none",
    "furling tail",
    "pitching blades",
    "mechanical brake worked by speed",
    "other, worked by speed",
)
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
PLACES = (
    "room where people live or sleep",
    "stairs, hall or other way out",
    "shed, cellar or utility room with vents",
    "closet, cellar or room without vents",
    "box or cabinet outdoors with vents",
)
CHEMISTRIES = ("flooded lead-acid", "gel lead-acid", "AGM lead-acid", "LiFePO4", "NMC lithium", "none")
FEEDS = (
    "nothing in the house",
    "own circuits, apart from the house",
    "transfer switch fitted by an electrician",
    "transfer switch fitted by the builder",
    "inverter into a socket by a lead with two plugs",
    "inverter wired into the house panel, main switch turned off by hand",
    "inverter wired into one circuit of the house, its breaker turned off by hand",
    "inverter in parallel with the grid",
)
DUMPS = ("none", "switched by the charge controller", "switched by a relay on voltage", "always connected")
CARRIES = (
    "generator before the rectifier",
    "generator after the rectifier",
    "battery to inverter",
    "battery to loads",
    "to the dump load",
)
FORMS = (
    "DC after the rectifier",
    "between two leads, RMS",
    "between two leads, peak",
    "lead to star point, RMS",
)
LAID = ("in conduit or duct", "clipped to a surface")
DUMP_PLACES = (
    "on the rectifier's side of whatever can disconnect the battery",
    "on the battery's side of whatever can disconnect it",
)
SECOND_MEANS = (
    "none",
    "the battery's own electronics disconnect it",
    "a second dump load with a control of its own",
    "a control that brakes the rotor",
)
GENERATOR_SWITCHES = ("none", "shorts the generator as it opens the circuit", "only opens the circuit")
MAST_EARTHS = (
    "earth electrode, joined to the earth of the system",
    "earth electrode of its own, not joined",
    "none",
)
NEUTRALS = (
    "joined to earth at one place",
    "joined to earth at inverter and house both",
    "not joined to earth",
)
MATERIALS = ("PVC-U pipe", "wood", "glass-fibre", "other")
EDGES = ("trailing", "leading", "neither")
SECTIONS = ("arc of the pipe", "NACA 4412", "NACA 4415")
INSULATION = ("A", "E", "B", "F", "H")
DEG = 0.017453292519943295


def month_wind(name: str) -> Any:
    """Declare the mean wind of one month."""
    return number(f"Mean wind speed in {name}", "m/s", "m/s", 0.1, 30.0, "5.1 m/s")


@dataclass(frozen=True, slots=True)
class Site:
    """The place, its wind and its wiring rules."""

    mean_wind: Num | None = number("Mean wind speed over the year", "m/s", "m/s", 0.5, 20.0, "4.6 m/s")
    wind_height: Num | None = number(
        "Height above ground at which the mean wind holds",
        "m",
        "m",
        1.0,
        200.0,
        "10 m",
        Assumed(10.0, "wind maps and weather stations usually quote 10 m"),
    )
    ground: Word = choice(
        "Kind of ground around the mast",
        *ROUGHNESS,
        assumed=Assumed("farmland with hedges", "the commonest setting of a home machine"),
    )
    storm_wind: Num | None = number(
        "Strongest wind to be survived, at the rotor",
        "m/s",
        "m/s",
        10.0,
        100.0,
        "30 m/s",
        Assumed(30.0, "reference wind of the mildest class of IEC 61400-2", 25.0, 37.5),
    )
    wind_spread: Num | None = number(
        "Weibull shape factor of the wind (2 at most sites)",
        "",
        "",
        1.0,
        4.0,
        "2",
        Assumed(2.0, "Rayleigh distribution, true at most sites", 1.7, 2.3),
    )
    air_temperature: Num | None = number(
        "Mean air temperature",
        "kelvin",
        "degC",
        223.15,
        323.15,
        "10 degC",
        Assumed(288.15, "standard atmosphere, 15 degC", 273.15, 298.15),
    )
    availability: Num | None = number(
        "Share of the year in which the machine is ready to run",
        "",
        "%",
        0.05,
        1.0,
        "90 %",
        Assumed(0.9, "repairs, storms and lowering take their time; common practice, no source", 0.75, 0.98),
    )
    altitude: Num | None = number(
        "Height above the sea",
        "m",
        "m",
        -430.0,
        6000.0,
        "120 m",
        Assumed(0.0, "sea level"),
    )
    wiring_practice: Word = choice(
        "Wiring practice, IEC (mm2) or NEC (American gauges)",
        "IEC",
        "NEC",
        assumed=Assumed("IEC", "the rules of most countries grow from it"),
    )
    month_01: Num | None = month_wind(MONTHS[0])
    month_02: Num | None = month_wind(MONTHS[1])
    month_03: Num | None = month_wind(MONTHS[2])
    month_04: Num | None = month_wind(MONTHS[3])
    month_05: Num | None = month_wind(MONTHS[4])
    month_06: Num | None = month_wind(MONTHS[5])
    month_07: Num | None = month_wind(MONTHS[6])
    month_08: Num | None = month_wind(MONTHS[7])
    month_09: Num | None = month_wind(MONTHS[8])
    month_10: Num | None = month_wind(MONTHS[9])
    month_11: Num | None = month_wind(MONTHS[10])
    month_12: Num | None = month_wind(MONTHS[11])


@dataclass(frozen=True, slots=True)
class Rotor:
    """The rotor as a whole."""

    diameter: Num | None = number("Diameter, tip to tip", "m", "m", 0.2, 15.0, "2.2 m")
    blades: Num | None = number("Number of blades", "", "", 1.0, 24.0, "3", exact=True)
    tip_speed_ratio: Num | None = number(
        "Tip-speed ratio at which it works best",
        "",
        "",
        0.8,
        15.0,
        "5",
        Assumed(5.0, "three blades cut from pipe; common practice, no source", 4.0, 6.5),
    )
    free_tip_speed_ratio: Num | None = number(
        "Tip-speed ratio with nothing connected",
        "",
        "",
        0.8,
        25.0,
        "8",
        Assumed(8.0, "about 1.6 times the working value; common practice, no source", 6.5, 10.0),
    )
    power_coefficient: Num | None = number(
        "Share of the wind's power the rotor takes",
        "",
        "",
        0.01,
        0.7,
        "0.2",
        Assumed(0.22, "blades cut from pipe reach 0.15 to 0.30; from memory, weak", 0.15, 0.30),
    )
    overspeed: Word = choice("What limits the rotor's speed by itself in a storm", *OVERSPEED)
    limit_wind: Num | None = number("Wind from which the rotor is held back", "m/s", "m/s", 3.0, 40.0, "11 m/s")
    brake: Word = choice(
        "What stops the rotor on demand",
        "none",
        "switch that shorts the generator",
        "mechanical brake",
        "other",
    )


@dataclass(frozen=True, slots=True)
class Blade:
    """One blade."""

    material: Word = choice("Material of the blades", *MATERIALS)
    pipe_diameter: Num | None = number("Outside diameter of the pipe", "m", "mm", 0.03, 1.2, "160 mm")
    pipe_wall: Num | None = number("Wall of the pipe", "m", "mm", 0.001, 0.05, "4.0 mm")
    chord_root: Num | None = number("Chord at the root", "m", "mm", 0.01, 1.0, "95 mm")
    chord_tip: Num | None = number("Chord at the tip", "m", "mm", 0.01, 1.0, "45 mm")
    mass: Num | None = number("Mass of one blade", "kg", "kg", 0.01, 100.0, "0.35 kg")
    root_radius: Num | None = number(
        "Distance from the shaft at which the blade begins", "m", "mm", 0.005, 3.0, "80 mm"
    )
    mounting_angle: Num | None = number(
        "Angle of the root chord to the plane of the rotor",
        "rad",
        "deg",
        -20 * DEG,
        60 * DEG,
        "21 deg",
        Assumed(
            21 * DEG, "as when bolted along a line a quarter of the way in from the trailing edge", 15 * DEG, 26 * DEG
        ),
    )
    straight_edge: Word = choice(
        "Edge that lies along the pipe",
        *EDGES,
        assumed=Assumed("trailing", "the cut that turns the tip into the plane of the rotor, as it must be"),
    )
    section: Word = choice(
        "Shape of the blade's section",
        *SECTIONS,
        assumed=Assumed("arc of the pipe", "blades of this sheet are described as cut from pipe"),
    )
    lift_factor: Num | None = number(
        "Lift of the section, compared with the table",
        "",
        "",
        0.3,
        1.7,
        "1",
        Assumed(
            1.0, "no measured table was to be had; the estimate may be a fifth too high or a tenth too low", 0.8, 1.1
        ),
    )
    drag_factor: Num | None = number(
        "Drag of the section, compared with the table",
        "",
        "",
        0.3,
        3.0,
        "1",
        Assumed(1.0, "no measured table was to be had; rough cut edges add drag", 0.8, 1.5),
    )


@dataclass(frozen=True, slots=True)
class Station:
    """Chord and twist of a carved blade at one radius."""

    radius: Num | None = number("Distance of the station from the shaft", "m", "mm", 0.005, 8.0, "300 mm")
    chord: Num | None = number("Chord there", "m", "mm", 0.005, 1.5, "140 mm")
    twist: Num | None = number(
        "Angle of the chord there to the plane of the rotor", "rad", "deg", -20 * DEG, 80 * DEG, "12 deg"
    )


@dataclass(frozen=True, slots=True)
class Generator:
    """The generator and its rectifier."""

    emf_constant: Num | None = number(
        "Back-EMF constant, or speed per volt with nothing connected",
        "V*s/rad",
        "rpm/V",
        1e-3,
        60.0,
        "7.5 rpm/V",
    )
    emf_form: Word = choice(
        "How the back-EMF constant was read",
        *FORMS,
        assumed=Assumed("DC after the rectifier", "a builder usually reads it with a DC meter"),
    )
    winding_resistance: Num | None = number("Resistance between two leads, cold", "ohm", "ohm", 1e-3, 500.0, "0.24 ohm")
    phases: Word = choice(
        "Kind of winding",
        "three-phase",
        "single-phase",
        "DC with brushes",
        assumed=Assumed("three-phase", "usual for hub, servo and stepper-like motors"),
    )
    rated_current: Num | None = number(
        "Greatest lasting current of the winding, DC side", "A", "A", 0.05, 500.0, "15 A"
    )
    rated_torque: Num | None = number("Rated torque", "N*m", "Nm", 0.01, 5000.0, "4 Nm")
    pole_pairs: Num | None = number("Pole pairs", "", "", 1.0, 200.0, "23", exact=True)
    inductance: Num | None = number("Inductance between two leads", "H", "mH", 1e-6, 1.0, "0.3 mH")
    drag_torque: Num | None = number(
        "Torque to keep it turning slowly with nothing connected", "N*m", "Nm", 1e-4, 500.0, "0.25 Nm"
    )
    cogging_torque: Num | None = number(
        "Torque to start it from its worst position", "N*m", "Nm", 1e-4, 500.0, "0.3 Nm"
    )
    insulation: Word = choice(
        "Insulation class of the winding",
        *INSULATION,
        assumed=Assumed("B", "usual for small motors; the weakest in common use since long"),
    )
    thermal_resistance: Num | None = number(
        "Rise of the winding per watt lost in it", "K/W", "K/W", 0.01, 50.0, "1.2 K/W"
    )
    diode_drop: Num | None = number(
        "Voltage lost in one diode of the rectifier",
        "V",
        "V",
        0.1,
        2.0,
        "0.9 V",
        Assumed(0.9, "silicon bridge, 0.7 to 1.1 V a diode", 0.7, 1.1),
    )
    rectifier_voltage: Num | None = number(
        "Greatest reverse voltage of the rectifier (PIV)", "V", "V", 10.0, 5000.0, "1000 V"
    )
    rectifier_current: Num | None = number("Rated current of the rectifier", "A", "A", 0.5, 1000.0, "35 A")
    enclosed: bool | None = flag(
        "Whether every bare part at generator voltage is behind a cover that needs a tool to open"
    )


@dataclass(frozen=True, slots=True)
class Cable:
    """One cable run."""

    carries: Word = choice("What the run carries", *CARRIES)
    length: Num | None = number("Length one way", "m", "m", 0.05, 2000.0, "34 m")
    area: Num | None = number("Cross-section of one conductor", "m^2", "mm2", 0.05 * MM2, 400 * MM2, "10 mm2")
    material: Word = choice(
        "Metal of the conductors",
        "copper",
        "aluminium",
        assumed=Assumed("copper", "nearly all small cables are copper"),
    )
    insulation: Word = choice(
        "Insulation",
        *INSULATIONS,
        assumed=Assumed("PVC, 70 degC", "the weaker of the two common kinds"),
    )
    temperature: Num | None = number(
        "Temperature of the conductor at work",
        "kelvin",
        "degC",
        223.15,
        393.15,
        "40 degC",
        Assumed(313.15, "a cable that carries current is warmer than the air", 283.15, 343.15),
    )
    current: Num | None = number("Greatest lasting current in this run", "A", "A", 0.01, 2000.0, "20 A")
    fuse: Num | None = number("Rating of the fuse or breaker in this run", "A", "A", 0.1, 2000.0, "40 A", exact=True)
    fused: bool | None = flag("Whether there is a fuse or breaker at the battery end of this run")
    laid: Word = choice(
        "How the run is laid",
        *LAID,
        assumed=Assumed("in conduit or duct", "the warmer of the two, so the lower current"),
    )
    ambient: Num | None = number(
        "Hottest air around the run",
        "kelvin",
        "degC",
        283.15,
        333.15,
        "30 degC",
        Assumed(303.15, "tables of permitted current hold at 30 degC", 293.15, 313.15),
    )
    strands: Word = choice(
        "How the conductor is made",
        *STRANDS,
        assumed=Assumed("solid or coarse strands", "usual for cable that stays in its place"),
    )
    joints: Num | None = number(
        "Resistance of all joints, connectors and slip rings in this run, there and back",
        "ohm",
        "mohm",
        0.0,
        5.0,
        "10 milliohm",
        Assumed(0.0, "left out until it is measured"),
    )
    together: Num | None = number(
        "Other loaded cables in the same bundle or conduit",
        "",
        "",
        0.0,
        20.0,
        "2",
        Assumed(0.0, "taken as running by itself"),
        exact=True,
    )
    terminals: Word = choice(
        "Temperature for which the terminals at both ends are marked (counts in NEC practice)",
        "60 degC",
        "75 degC",
        "90 degC",
        assumed=Assumed("60 degC", "what the NEC takes up to 100 A where nothing is marked"),
    )
    price: Num | None = number(
        "Price of a metre of this cable, all its conductors, in your money", "", "", 0.001, 100000.0, "4.80", exact=True
    )
    fuse_distance: Num | None = number(
        "Length of cable from the battery's terminal to the fuse", "m", "m", 0.0, 200.0, "15 cm"
    )
    fuse_voltage: Num | None = number(
        "Direct voltage for which the fuse is marked", "V", "V", 1.0, 5000.0, "80 V", exact=True
    )
    fuse_breaking: Num | None = number(
        "Greatest current the fuse can break (breaking capacity)", "A", "A", 10.0, 1e6, "10000 A", exact=True
    )


@dataclass(frozen=True, slots=True)
class Storage:
    """The battery bank."""

    chemistry: Word = choice("Kind of battery", *CHEMISTRIES)
    voltage: Num | None = number("Nominal voltage of the bank", "V", "V", 1.0, 1000.0, "24 V", exact=True)
    capacity: Num | None = number("Capacity at the nominal voltage", "A*s", "Ah", 0.5 * AH, 20000 * AH, "100 Ah")
    charge_voltage: Num | None = number("Voltage at which charging is ended or held", "V", "V", 1.0, 1200.0, "28.8 V")
    charge_current_limit: Num | None = number(
        "Greatest charge current the maker permits", "A", "A", 0.05, 5000.0, "50 A"
    )
    internal_resistance: Num | None = number("Internal resistance of the bank", "ohm", "mohm", 1e-5, 10.0, "20 mohm")
    usable_share: Num | None = number("Share of the capacity that may be used", "", "%", 0.05, 1.0, "80 %")
    capacity_left: Num | None = number(
        "Share of the stated capacity that the battery still has",
        "",
        "%",
        0.1,
        1.1,
        "90 %",
        Assumed(1.0, "as good as new; a bank counts as worn out at 80 %, common practice", 0.8, 1.0),
    )
    rated_hours: Num | None = number(
        "Hours of discharge for which the capacity is stated",
        "s",
        "h",
        3600.0,
        360000.0,
        "20 h",
        Assumed(72000.0, "capacity is usually stated for 20 hours"),
        exact=True,
    )
    discharge_current_limit: Num | None = number(
        "Greatest lasting discharge current the maker permits", "A", "A", 0.05, 5000.0, "100 A"
    )
    temperature: Num | None = number(
        "Usual temperature of the battery in the cold season",
        "kelvin",
        "degC",
        233.15,
        323.15,
        "8 degC",
        Assumed(288.15, "a shed out of the wind in a mild climate", 273.15, 298.15),
    )
    coldest: Num | None = number(
        "Lowest temperature where the battery stands", "kelvin", "degC", 213.15, 313.15, "-8 degC"
    )
    compensated: bool | None = flag("Whether the charger corrects its voltage for the battery's temperature")
    cold_charge_block: bool | None = flag("Whether charging is blocked by itself when the battery is too cold")
    cell_monitor: bool | None = flag(
        "Whether electronics watch the voltage of every cell and the temperature, and can disconnect the battery"
    )
    reused: bool | None = flag("Whether the cells had a first life in a vehicle or elsewhere")
    strings: Num | None = number(
        "Strings of cells or batteries in parallel",
        "",
        "",
        1.0,
        100.0,
        "1",
        Assumed(1.0, "one string is the usual bank"),
        exact=True,
    )
    alike: bool | None = flag("Whether all cells or batteries of the bank are of one make, kind, size and age")
    place: Word = choice("Where the battery stands", *PLACES)
    vent_area: Num | None = number(
        "Free area of each of two vents where the battery stands, one low and one high",
        "m^2",
        "cm2",
        0.0,
        10.0,
        "150 cm2",
    )


@dataclass(frozen=True, slots=True)
class Dump:
    """Where the power goes when the battery is full."""

    kind: Word = choice("How surplus power is taken", *DUMPS)
    power: Num | None = number("Power the dump load can take for hours", "W", "W", 1.0, 1e5, "600 W")
    resistance: Num | None = number("Resistance of the dump load", "ohm", "ohm", 1e-3, 1e4, "1.2 ohm")
    voltage: Num | None = number("Voltage for which the dump load is made", "V", "V", 1.0, 2000.0, "48 V", exact=True)
    controller_current: Num | None = number(
        "Rated current of the controller or relay that switches the dump load",
        "A",
        "A",
        0.1,
        2000.0,
        "40 A",
        exact=True,
    )
    place: Word = choice("Where the dump load is connected", *DUMP_PLACES)
    second_means: Word = choice("What keeps the battery from overcharge if the dump load fails", *SECOND_MEANS)


@dataclass(frozen=True, slots=True)
class Inverter:
    """The inverter."""

    power: Num | None = number("Rated output of the inverter", "W", "W", 5.0, 1e5, "800 W")
    input_voltage_min: Num | None = number("Lowest battery voltage at which it runs", "V", "V", 1.0, 1000.0, "21 V")
    efficiency: Num | None = number(
        "Efficiency at full load",
        "",
        "%",
        0.3,
        1.0,
        "90 %",
        Assumed(0.88, "small stand-alone inverters reach 0.85 to 0.92; from memory", 0.83, 0.93),
    )
    fuse: Num | None = number("Rating of the fuse at the battery", "A", "A", 0.5, 2000.0, "63 A", exact=True)
    surge_power: Num | None = number(
        "Power the inverter gives for the seconds of a start", "W", "W", 5.0, 1e6, "1600 W"
    )
    grid_listed: bool | None = flag(
        "Whether the inverter is listed to feed the grid and stops by itself when the grid fails"
    )


@dataclass(frozen=True, slots=True)
class House:
    """The connection to house wiring."""

    feed: Word = choice("How the house is fed", *FEEDS)
    neutral: Word = choice("How the neutral of the inverter's circuits meets earth", *NEUTRALS)
    rcd: bool | None = flag(
        "Whether a residual-current device (RCD or GFCI) of 30 mA or less protects every socket the inverter feeds"
    )
    labels: bool | None = flag(
        "Whether labels and a one-line diagram hang where the supply is switched off, and the steps to stop "
        "the rotor at the mast"
    )


@dataclass(frozen=True, slots=True)
class Protection:
    """Switches, surge arresters and earthing."""

    brake_place: Word = choice(
        "Where the brake switch shorts the generator", "ahead of the rectifier, all leads", "after the rectifier"
    )
    brake_current: Num | None = number(
        "Current for which the brake switch is rated", "A", "A", 0.5, 5000.0, "63 A", exact=True
    )
    generator_switch: Word = choice("What the switch in the generator's circuit does", *GENERATOR_SWITCHES)
    battery_switch: bool | None = flag("Whether one switch within sight of the battery parts it from everything else")
    covered: bool | None = flag("Whether the battery's terminals and every bare part joined to them are covered")
    surge: Word = choice(
        "Where surge arresters are fitted",
        "none",
        "where the generator's cable enters the building",
        "at both ends of the generator's cable",
    )
    surge_voltage: Num | None = number(
        "Highest lasting voltage the surge arresters bear, as marked", "V", "V", 5.0, 5000.0, "320 V", exact=True
    )
    mast_earth: Word = choice("How the mast is earthed", *MAST_EARTHS)
    earth_area: Num | None = number(
        "Cross-section of the copper earth wire of the mast", "m^2", "mm2", 0.5 * MM2, 400 * MM2, "16 mm2"
    )
    polarity: Word = choice(
        "What helps if the battery is connected the wrong way round",
        "none",
        "connectors that fit one way only",
        "a diode, contactor or fuse chosen to act on it",
    )


@dataclass(frozen=True, slots=True)
class Mast:
    """The mast and what it stands on."""

    kind: Word = choice("Kind of mast", *MAST_KINDS)
    height: Num | None = number("Height of the rotor's centre above ground", "m", "m", 0.5, 100.0, "8 m")
    building_height: Num | None = number(
        "Height of the highest building or tree within 150 m", "m", "m", 0.0, 100.0, "5 m"
    )
    tube_diameter: Num | None = number("Outside diameter of the mast tube", "m", "mm", 0.01, 1.0, "60.3 mm")
    tube_wall: Num | None = number("Wall of the mast tube", "m", "mm", 0.0005, 0.05, "3.0 mm")


@dataclass(frozen=True, slots=True)
class Load:
    """One thing that uses power."""

    power: Num | None = number("Power it draws", "W", "W", 0.01, 1e5, "12 W")
    hours: Num | None = number("Hours a day it runs", "", "h/day", 0.0, 1.0, "6 h/day")
    surge: Num | None = number("Power it draws while starting", "W", "W", 0.01, 1e6, "900 W")
    from_hour: Num | None = number(
        "Time of day at which it is switched on; left out, its use is spread over the whole day",
        "s",
        "h",
        0.0,
        86400.0,
        "18 h",
    )


@dataclass(frozen=True, slots=True)
class Claim:
    """What somebody said the machine, or a part of it, would do."""

    power: Num | None = number("Power claimed", "W", "W", 0.01, 1e6, "400 W")
    wind_speed: Num | None = number("Wind speed of the claim", "m/s", "m/s", 0.5, 60.0, "9 m/s")


@dataclass(frozen=True, slots=True)
class Measured:
    """One reading, as the rules see it."""

    quantity: Word = choice("What was read", *(q.name for q in QUANTITIES.values()))
    value: Num | None = number("Value read, in SI", "", "", -1e15, 1e15, "1")
    low: Num | None = number("Lower limit of the reading, in SI", "", "", -1e15, 1e15, "1")
    high: Num | None = number("Upper limit of the reading, in SI", "", "", -1e15, 1e15, "1")
    wind_low: Num | None = number("Lowest wind during the reading", "m/s", "m/s", 0.0, 100.0, "5 m/s")
    wind_high: Num | None = number("Highest wind during the reading", "m/s", "m/s", 0.0, 100.0, "8 m/s")
    wind_height: Num | None = number("Height above ground at which that wind holds", "m", "m", 0.5, 200.0, "10 m")
    load: Word = choice("What was connected", *LOAD_STATES)


@dataclass(frozen=True, slots=True)
class Design:
    """One machine. Every number may be an array with a leading axis of variants."""

    site: Site = Site()
    rotor: Rotor = Rotor()
    blade: Blade = Blade()
    station: Mapping[str, Station] = field(default_factory=dict)
    generator: Generator = Generator()
    cable: Mapping[str, Cable] = field(default_factory=dict)
    storage: Storage = Storage()
    dump: Dump = Dump()
    inverter: Inverter = Inverter()
    house: House = House()
    protection: Protection = Protection()
    mast: Mast = Mast()
    load: Mapping[str, Load] = field(default_factory=dict)
    claim: Mapping[str, Claim] = field(default_factory=dict)
    measured: Mapping[str, Measured] = field(default_factory=dict)
    #: Assumptions made for this sheet, by full name, in place of the catalogue's.
    assumed: Mapping[str, Assumed] = field(default_factory=dict)


GROUPS: dict[str, type[Any]] = {
    "site": Site,
    "rotor": Rotor,
    "blade": Blade,
    "station": Station,
    "generator": Generator,
    "cable": Cable,
    "storage": Storage,
    "dump": Dump,
    "inverter": Inverter,
    "house": House,
    "protection": Protection,
    "mast": Mast,
    "load": Load,
    "claim": Claim,
    "measured": Measured,
}
LABELLED = frozenset({"station", "cable", "load", "claim", "measured"})
#: Groups whose values come from records of their own, not from the sheet.
RECORDED = frozenset({"claim", "measured"})


@cache
def catalogue() -> dict[str, Entry]:
    """All inputs by name without label, in the order of the sheet.

    Examples
    --------
    >>> catalogue()["rotor.diameter"].accepts
    '0.2 m to 15 m'
    """
    return {
        f"{group}.{f.name}": Entry(
            group=group,
            name=f.name,
            labelled=group in LABELLED,
            recorded=group in RECORDED,
            **f.metadata,
        )
        for group, cls in GROUPS.items()
        for f in dataclasses.fields(cls)
    }


def split(path: str) -> tuple[str, str | None]:
    """Split a name into the name without label, and the label.

    Raises
    ------
    KeyError
        If the catalogue has no such name; the argument is the name as given.

    Examples
    --------
    >>> split("cable.main.length"), split("rotor.diameter")
    (('cable.length', 'main'), ('rotor.diameter', None))
    """
    group, _, rest = path.partition(".")
    label: str | None = None
    if group in LABELLED:
        label, _, rest = rest.rpartition(".")
    bare = f"{group}.{rest}"
    if bare not in catalogue() or (group in LABELLED and not label):
        raise KeyError(path)
    return bare, label


def build(values: Mapping[str, Value], assumed: Mapping[str, Assumed] | None = None) -> Design:
    """Make a design from values by name.

    Parameters
    ----------
    values : mapping of str to float, array, str or bool
        SI numbers (shape ``()`` or ``(n,)``), words and flags, by full name.
    assumed : mapping, optional
        Assumptions made for this sheet, by full name, in place of the catalogue's.

    Returns
    -------
    design : Design
        With None where nothing was given.

    Raises
    ------
    KeyError
        If the catalogue has no such name.

    Examples
    --------
    >>> build({"rotor.diameter": 2.2, "cable.main.length": 34.0}).cable["main"].length
    34.0
    """
    plain: dict[str, dict[str, Value]] = {}
    labelled: dict[str, dict[str, dict[str, Value]]] = {}
    for path, value in values.items():
        bare, label = split(path)
        group, name = bare.split(".")
        if label is None:
            plain.setdefault(group, {})[name] = value
        else:
            labelled.setdefault(group, {}).setdefault(label, {})[name] = value
    parts: dict[str, Any] = {group: GROUPS[group](**fields) for group, fields in plain.items()}
    for group, things in labelled.items():
        parts[group] = {label: GROUPS[group](**fields) for label, fields in things.items()}
    return Design(**parts, assumed=assumed or {})


def values(design: Design) -> Iterator[tuple[str, Entry, Value]]:
    """Every value that is set, with its full name and entry, in the order of the catalogue."""
    for entry in catalogue().values():
        group = getattr(design, entry.group)
        holders = group.items() if entry.labelled else [(None, group)]
        for label, holder in holders:
            value = getattr(holder, entry.name)
            if value is not None:
                yield entry.named(label), entry, value


def stated(design: Design, group: str) -> bool:
    """Whether anything of a group is set."""
    return any(entry.group == group for _, entry, _ in values(design))
