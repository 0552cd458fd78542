"""Cable runs, switches, surge arresters and earthing."""

from __future__ import annotations

from calc.machine.entry import MM2, Assumed, Group, choice, count, flag, number
from calc.physics.wiring import INSULATIONS, STRANDS

#: What a run carries, by name; the first two are the generator's.
FROM_GENERATOR = BEFORE_RECTIFIER, AFTER_RECTIFIER = (
    "generator before the rectifier",
    "generator after the rectifier",
)
TO_INVERTER, TO_LOADS, TO_DUMP = "battery to inverter", "battery to loads", "to the dump load"
CARRIES = (*FROM_GENERATOR, TO_INVERTER, TO_LOADS, TO_DUMP)
LAID = ("in conduit or duct", "clipped to a surface")
AHEAD_OF_RECTIFIER = "ahead of the rectifier, all leads"
GENERATOR_SWITCHES = ("none", "shorts the generator as it opens the circuit", "only opens the circuit")
#: What opens a circuit by itself; usual DC voltage and breaking capacity of each kind are in a table.
AC_BREAKER = "breaker for AC"
CLASS_T, CARTRIDGE = "class T", "cartridge, NH or BS 88"
FUSE_KINDS = (
    CLASS_T,
    CARTRIDGE,
    "ANL",
    "MEGA",
    "MIDI",
    "terminal fuse, MRBF",
    "blade, ATC",
    "small tube",
    "breaker marked for DC",
    AC_BREAKER,
)
#: A bare breaker is not said to be one for DC.
FUSE_WORDS = {
    CLASS_T: ("t class", "t fuse"),
    CARTRIDGE: ("nh", "bs88", "cartridge fuse", "hrc"),
    "blade, ATC": ("blade fuse", "ato", "car fuse", "automotive"),
    "small tube": ("glass", "glass fuse", "glass tube"),
    "breaker marked for DC": ("dc breaker", "breaker", "mcb", "circuit breaker"),
    AC_BREAKER: ("ac breaker", "breaker", "mcb", "circuit breaker", "household breaker"),
}
NO_MAIN_FUSE, FUSED_BY_RUN = "none", "none, each cable has its own at the battery"
SURGE_PLACES = (
    "none",
    "where the generator's cable enters the building",
    "at both ends of the generator's cable",
)
POLARITIES = ("none", "connectors that fit one way only", "a diode, contactor or fuse chosen to act on it")
MAST_EARTHS = (
    "earth electrode, joined to the earth of the system",
    "earth electrode of its own, not joined",
    "none",
)


class CableGroup(Group):
    """One cable run."""

    said = ("wire", "lead", "run")

    carries = choice(
        "What the cable carries",
        *CARRIES,
        also={
            BEFORE_RECTIFIER: ("before rectifier", "ac side", "ac", "wild ac", "3 phase", "raw ac"),
            AFTER_RECTIFIER: ("after rectifier", "dc side"),
            TO_INVERTER: ("inverter", "to the inverter"),
            TO_LOADS: ("loads", "load", "to the loads"),
            TO_DUMP: ("dump", "dump load", "heater"),
        },
    )
    length = number("Length one way", "m", "m", 0.05, 2000.0, "34 m")
    area = number("Cross-section of one conductor", "m^2", "mm2", 0.05 * MM2, 400 * MM2, "10 mm2", exact=True)
    material = choice(
        "Metal of the conductors",
        "copper",
        "aluminium",
        assumed=Assumed("copper", "nearly all small cables are copper"),
        also={"copper": ("cu",), "aluminium": ("aluminum", "alu", "al")},
    )
    insulation = choice(
        "Insulation",
        *INSULATIONS,
        assumed=Assumed("PVC, 70 degC", "the weaker of the two common kinds"),
    )
    temperature = number(
        "Temperature of the conductor under load",
        "kelvin",
        "degC",
        223.15,
        393.15,
        "40 degC",
        Assumed(313.15, "a cable that carries current is warmer than the air", 283.15, 343.15),
    )
    current = number("Greatest continuous current in this cable", "A", "A", 0.01, 2000.0, "20 A")
    fuse = number("Rating of the fuse or breaker in this cable", "A", "A", 0.1, 2000.0, "40 A", exact=True)
    fuse_kind = choice("Kind of the fuse or breaker in this cable", *FUSE_KINDS, also=FUSE_WORDS)
    fused = flag("Whether there is a fuse or breaker at the battery end of this cable")
    laid = choice(
        "How the cable is laid",
        *LAID,
        assumed=Assumed("in conduit or duct", "the warmer of the two, so the lower current"),
        also={
            LAID[0]: ("conduit", "duct", "buried", "underground", "trunking"),
            LAID[1]: ("clipped", "surface", "on the wall"),
        },
    )
    ambient = number(
        "Hottest air around the cable",
        "kelvin",
        "degC",
        283.15,
        333.15,
        "30 degC",
        Assumed(303.15, "tables of permitted current are for 30 degC", 293.15, 313.15),
    )
    strands = choice(
        "How the conductor is made",
        *STRANDS,
        assumed=Assumed("solid or coarse strands", "usual for fixed cable"),
        also={
            STRANDS[0]: ("stranded", "solid", "class 1", "class 2", "rigid"),
            STRANDS[1]: ("stranded", "welding cable", "flex", "flexible", "class 5", "class 6", "tri rated"),
        },
    )
    joints = number(
        "Resistance of all joints, connectors and slip rings in this cable, there and back",
        "ohm",
        "mohm",
        0.0,
        5.0,
        "10 milliohm",
        Assumed(0.0, "left out until it is measured"),
    )
    together = count(
        "Other loaded cables in the same bundle or conduit",
        0,
        20,
        "2",
        Assumed(0.0, "taken as not grouped"),
        of=("cable", "other", "other cable", "more"),
    )
    terminals = choice(
        "Temperature for which the terminals at both ends are marked (counts in NEC practice)",
        "60 degC",
        "75 degC",
        "90 degC",
    )
    price = number(
        "Price of a metre of this cable, all its conductors, in your money", "", "", 0.001, 100000.0, "4.80", exact=True
    )
    fuse_distance = number("Length of cable from the battery's terminal to the fuse", "m", "m", 0.0, 200.0, "15 cm")
    fuse_voltage = number("Voltage rating of the fuse (DC)", "V", "V", 1.0, 5000.0, "80 V", exact=True)
    fuse_breaking = number(
        "Greatest current the fuse can break (breaking capacity)", "A", "A", 10.0, 1e6, "10000 A", exact=True
    )


class ProtectionGroup(Group):
    """Switches, surge arresters and earthing."""

    brake_place = choice("Where the brake switch shorts the generator", AHEAD_OF_RECTIFIER, "after the rectifier")
    brake_current = number("Current for which the brake switch is rated", "A", "A", 0.5, 5000.0, "63 A", exact=True)
    generator_switch = choice(
        "What the switch in the generator's circuit does",
        *GENERATOR_SWITCHES,
        also={"none": ("no", "nothing", "without")},
    )
    main_fuse = choice(
        "Kind of the battery's main fuse, ahead of everything else",
        *FUSE_KINDS,
        FUSED_BY_RUN,
        NO_MAIN_FUSE,
        also={**FUSE_WORDS, NO_MAIN_FUSE: ("no", "nothing", "no fuse")},
    )
    main_fuse_rating = number("Rating of the main fuse", "A", "A", 0.5, 5000.0, "125 A", exact=True)
    main_fuse_distance = number(
        "Length of cable from the battery's terminal to the main fuse", "m", "m", 0.0, 200.0, "15 cm"
    )
    main_fuse_voltage = number("Voltage rating of the main fuse (DC)", "V", "V", 1.0, 5000.0, "125 V", exact=True)
    main_fuse_breaking = number(
        "Greatest current the main fuse can break (breaking capacity)", "A", "A", 10.0, 1e6, "20000 A", exact=True
    )
    battery_switch = flag("Whether one switch within sight of the battery disconnects it from everything else")
    covered = flag("Whether the battery's terminals and every bare part joined to them are covered")
    surge = choice(
        "Where surge arresters are fitted",
        *SURGE_PLACES,
        also={"none": ("no", "nothing", "without"), SURGE_PLACES[2]: ("both", "both ends")},
    )
    surge_voltage = number(
        "Highest continuous voltage marked on the surge arresters", "V", "V", 5.0, 5000.0, "320 V", exact=True
    )
    mast_earth = choice(
        "How the mast is earthed",
        *MAST_EARTHS,
        also={
            "none": ("no", "nothing", "without"),
            MAST_EARTHS[0]: ("earth rod", "ground rod", "earth electrode"),
            MAST_EARTHS[1]: ("earth rod", "ground rod", "earth electrode", "separate", "own"),
        },
    )
    earth_area = number(
        "Cross-section of the copper earth wire of the mast", "m^2", "mm2", 0.5 * MM2, 400 * MM2, "16 mm2", exact=True
    )
    polarity = choice(
        "What helps if the battery is connected the wrong way round",
        *POLARITIES,
        also={"none": ("no", "nothing", "without")},
    )
