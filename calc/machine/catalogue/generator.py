"""The generator and its rectifier."""

from __future__ import annotations

from calc.machine.entry import Assumed, Group, choice, count, flag, number

EMF_FORMS = (
    "DC after the rectifier",
    "between two leads, RMS",
    "between two leads, peak",
    "lead to star point, RMS",
)
#: What makes its field; a coil has a supply of its own.
COIL = "a coil on slip rings, as in a car alternator"
FIELD_ON, FIELD_SWITCHED = "always on", "switched on only while the rotor turns fast enough"
#: What drives the generator. A belt without teeth slips, which none of the others does.
DIRECT, BELT, TOOTHED = "the rotor, on one shaft", "flat or V belt", "toothed belt"
DRIVES = (DIRECT, BELT, TOOTHED, "chain", "gears")
INSULATION = ("A", "E", "B", "F", "H")


class GeneratorGroup(Group):
    """The generator and its rectifier."""

    said = ("alternator", "motor", "dynamo", "winding")

    emf_constant = number(
        "Back-EMF constant, or speed per volt with nothing connected",
        "V*s/rad",
        "rpm/V",
        1e-3,
        60.0,
        "7.5 rpm/V",
    )
    emf_form = choice(
        "How the back-EMF constant was read",
        *EMF_FORMS,
        assumed=Assumed("DC after the rectifier", "a builder usually reads it with a DC meter"),
        also={
            EMF_FORMS[0]: ("dc", "rectified"),
            EMF_FORMS[1]: ("line to line", "phase to phase", "lead to lead", "ac", "rms"),
            EMF_FORMS[2]: ("peak", "ac"),
            EMF_FORMS[3]: ("line to neutral", "phase to neutral", "star point", "rms", "ac"),
        },
    )
    winding_resistance = number("Resistance between two leads, cold", "ohm", "ohm", 1e-3, 500.0, "0.24 ohm")
    phases = choice(
        "Kind of winding",
        "three-phase",
        "single-phase",
        "DC with brushes",
        assumed=Assumed("three-phase", "usual for hub, servo and stepper-like motors"),
        also={
            "three-phase": ("3 phase", "3 phases", "three phases", "3ph", "3", "bldc", "brushless", "pmsm"),
            "single-phase": ("1 phase", "one phase", "single", "1ph", "1", "2 wires"),
            "DC with brushes": ("dc", "dc motor", "brushed", "brushed dc", "brushes"),
        },
    )
    field = choice(
        "What makes the generator's field",
        "permanent magnets",
        COIL,
        also={
            "permanent magnets": ("magnets", "magnet", "pm", "neodymium", "ferrite"),
            COIL: ("coil", "field coil", "wound field", "car alternator", "alternator", "electromagnet"),
        },
    )
    field_resistance = number(
        "Resistance of the field coil between its slip rings, cold", "ohm", "ohm", 0.1, 500.0, "2.9 ohm"
    )
    field_current = number("Current of the field coil as the back-EMF constant was read", "A", "A", 0.05, 50.0, "4 A")
    field_supply = choice("How the field coil is fed", FIELD_ON, FIELD_SWITCHED)
    brush_drop = number(
        "Voltage lost in a pair of brushes",
        "V",
        "V",
        0.0,
        4.0,
        "1.2 V",
        Assumed(1.2, "0.5 to 1 V with metal in them, from memory; 1.6 to 2 V of plain carbon", 0.5, 2.0),
    )
    drive = choice(
        "What drives the generator",
        *DRIVES,
        also={
            DIRECT: ("direct", "direct drive", "one shaft", "none", "nothing"),
            BELT: ("belt", "v belt", "vbelt", "vee belt", "wedge belt", "poly v", "flat belt"),
            TOOTHED: ("timing belt", "cog belt", "belt"),
            "gears": ("gearbox", "gear"),
        },
    )
    ratio = number("Turns of the generator to one turn of the rotor", "", "", 0.1, 100.0, "4", exact=True)
    drive_efficiency = number("Share of the power that belt, chain or gears pass on", "", "%", 0.3, 1.0, "95 %")
    belt_torque = number("Torque on the generator's pulley at which the belt slips", "N*m", "Nm", 0.01, 2000.0, "6 Nm")
    rated_current = number("Greatest continuous current of the winding, DC side", "A", "A", 0.05, 500.0, "15 A")
    rated_torque = number("Rated torque", "N*m", "Nm", 0.01, 5000.0, "4 Nm")
    pole_pairs = count("Pole pairs", 1, 200, "23", of=("pole pair", "pair", "pair of poles"))
    inductance = number("Inductance between two leads", "H", "mH", 1e-6, 1.0, "0.3 mH")
    drag_torque = number("Torque to keep it turning slowly with nothing connected", "N*m", "Nm", 1e-4, 500.0, "0.25 Nm")
    cogging_torque = number("Torque to start it from its worst position", "N*m", "Nm", 1e-4, 500.0, "0.3 Nm")
    insulation = choice(
        "Insulation class of the winding",
        *INSULATION,
        assumed=Assumed("B", "usual for small motors; the lowest in common use"),
    )
    thermal_resistance = number("Temperature rise of the winding per watt", "K/W", "K/W", 0.01, 50.0, "1.2 K/W")
    diode_drop = number(
        "Voltage lost in one diode of the rectifier",
        "V",
        "V",
        0.1,
        2.0,
        "0.9 V",
        Assumed(0.9, "silicon bridge, 0.7 to 1.1 V a diode", 0.7, 1.1),
    )
    rectifier_voltage = number("Greatest reverse voltage of the rectifier (PIV)", "V", "V", 10.0, 5000.0, "1000 V")
    rectifier_current = number("Rated current of the rectifier", "A", "A", 0.5, 1000.0, "35 A")
    enclosed = flag("Whether every bare part at generator voltage is behind a cover that needs a tool to open")
    heat_time = number(
        "Time in which the winding makes up two thirds of a rise",
        "s",
        "min",
        10.0,
        36000.0,
        "10 min",
        Assumed(600.0, "small motors take 5 to 20 minutes; from memory", 300.0, 1200.0),
    )
