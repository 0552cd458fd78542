"""The battery bank, and where power goes when it is full."""

from __future__ import annotations

from calc.machine.entry import AH, Assumed, Group, choice, count, flag, number

CHEMISTRIES = ("flooded lead-acid", "gel lead-acid", "AGM lead-acid", "LiFePO4", "NMC lithium", "none")
_SEALED = ("lead acid", "lead", "sealed", "sealed lead acid", "vrla", "sla", "maintenance free")
#: What is said of several is asked about: a lead-acid battery of which kind, a shed with vents or without.
CHEMISTRY_WORDS = {
    "flooded lead-acid": (
        "lead acid", "lead", "wet", "car battery", "starter battery", "truck battery", "tractor battery", "opzs",
        "traction battery", "golf cart", "golf cart battery",
    ),
    "gel lead-acid": ("opzv", *_SEALED),
    "AGM lead-acid": ("absorbed glass mat", *_SEALED),
    "LiFePO4": ("lfp", "lifepo4 battery", "lithium iron phosphate", "life po4", "lifepo", "lithium"),
    "NMC lithium": ("nmc", "li ion", "lithium ion", "lion", "lithium"),
    "none": ("no", "nothing", "no battery", "without"),
}  # fmt: skip
_VENTS_NOT_SAID = ("shed", "cellar", "basement", "utility room", "garage", "workshop", "barn", "outbuilding", "room")
PLACES = (
    "room where people live or sleep",
    "stairs, hall or other way out",
    "shed, cellar or utility room with vents",
    "closet, cellar or room without vents",
    "box or cabinet outdoors with vents",
)
PLACE_WORDS = {
    PLACES[0]: ("living room", "bedroom", "kitchen", "indoors", "room", "house"),
    PLACES[1]: ("hallway", "corridor", "landing", "staircase"),
    PLACES[2]: _VENTS_NOT_SAID,
    PLACES[3]: (*_VENTS_NOT_SAID, "box", "cabinet", "cupboard", "battery box", "outside", "outdoors"),
    PLACES[4]: ("box", "cabinet", "outside", "outdoors", "battery box"),
}
DUMPS = ("none", "switched by the charge controller", "switched by a relay on voltage", "always connected")
DUMP_PLACES = (
    "on the rectifier's side of whatever can disconnect the battery",
    "on the battery's side of whatever can disconnect it",
)
MOUNTS = (
    "stone, concrete or metal, with air around it",
    "wood or another thing that can burn",
    "a closed box or cupboard",
)
SECOND_MEANS = (
    "none",
    "the battery's own electronics disconnect it",
    "a second dump load with a control of its own",
    "a control that brakes the rotor",
)


class StorageGroup(Group):
    """The battery bank."""

    said = ("battery", "bank", "batteries")

    chemistry = choice("Kind of battery", *CHEMISTRIES, also=CHEMISTRY_WORDS)
    voltage = number("Nominal voltage of the bank", "V", "V", 1.0, 1000.0, "24 V", exact=True)
    cells = count("Cells in series in the bank", 1, 500, "16", of=("cell",))
    capacity = number("Capacity at the nominal voltage", "A*s", "Ah", 0.5 * AH, 20000 * AH, "100 Ah")
    voltage_charging = number("Voltage of the bank while a small current charges it", "V", "V", 1.0, 1200.0, "25.4 V")
    charge_voltage = number("Voltage at which charging ends or is held", "V", "V", 1.0, 1200.0, "28.8 V")
    charge_current_limit = number("Greatest charge current the maker permits", "A", "A", 0.05, 5000.0, "50 A")
    internal_resistance = number("Internal resistance of the bank", "ohm", "mohm", 1e-5, 10.0, "20 mohm")
    usable_share = number("Share of the capacity that may be used", "", "%", 0.05, 1.0, "80 %")
    capacity_left = number(
        "Share of the stated capacity that the battery still has",
        "",
        "%",
        0.1,
        1.1,
        "90 %",
        Assumed(1.0, "as good as new; a bank counts as worn out at 80 %, common practice", 0.8, 1.0),
    )
    rated_hours = number(
        "Hours of discharge for which the capacity is stated",
        "s",
        "h",
        3600.0,
        360000.0,
        "20 h",
        Assumed(72000.0, "capacity is usually stated for 20 hours"),
        exact=True,
    )
    discharge_current_limit = number(
        "Greatest continuous discharge current the maker permits", "A", "A", 0.05, 5000.0, "100 A"
    )
    temperature = number(
        "Usual temperature of the battery in the cold season",
        "kelvin",
        "degC",
        233.15,
        323.15,
        "8 degC",
        Assumed(288.15, "a shed out of the wind in a mild climate", 273.15, 298.15),
    )
    summer_temperature = number(
        "Usual temperature of the battery in the warm season",
        "kelvin",
        "degC",
        253.15,
        333.15,
        "25 degC",
        Assumed(303.15, "a shed in the sun in a mild climate; from memory", 293.15, 313.15),
    )
    coldest = number("Lowest temperature where the battery stands", "kelvin", "degC", 213.15, 313.15, "-8 degC")
    compensated = flag("Whether the charger corrects its voltage for the battery's temperature")
    cold_charge_block = flag("Whether charging is blocked by itself when the battery is too cold")
    cell_monitor = flag(
        "Whether electronics watch the voltage of every cell and the temperature, and can disconnect the battery"
    )
    monitor_voltage = number(
        "Highest voltage the electronics that watch the cells withstand", "V", "V", 1.0, 2000.0, "100 V", exact=True
    )
    starter = flag("Whether it is a starter battery, made for a car")
    reused = flag("Whether the cells had a first life in a vehicle or elsewhere")
    strings = count(
        "Strings of cells or batteries in parallel",
        1,
        100,
        "1",
        Assumed(1.0, "one string is the usual bank"),
        of=("string",),
    )
    alike = flag("Whether all cells or batteries of the bank are of one make, kind, size and age")
    place = choice("Where the battery stands", *PLACES, also=PLACE_WORDS)
    vent_area = number(
        "Free area of each of two vents where the battery stands, one low and one high",
        "m^2",
        "cm2",
        0.0,
        10.0,
        "150 cm2",
    )


#: What lies between rectifier and battery.
NO_CONVERTER = "nothing but the cable"
HOLDING, TRACKING = "a converter that holds its input at a set voltage", "a converter that looks for the best power"


class ConverterGroup(Group):
    """What stands between rectifier and battery, if anything: a charge controller that lowers the voltage."""

    said = ("charge controller", "mppt")

    kind = choice(
        "What lies between the rectifier and the battery",
        NO_CONVERTER,
        HOLDING,
        TRACKING,
        also={
            NO_CONVERTER: ("none", "nothing", "no converter", "direct"),
            HOLDING: ("buck converter", "dc dc converter"),
            TRACKING: ("mppt", "tracking", "tracker"),
        },
    )
    input_held = number("Voltage at which the converter holds its input", "V", "V", 1.0, 1000.0, "60 V")
    input_lowest = number(
        "Lowest input voltage at which the converter works", "V", "V", 1.0, 1000.0, "30 V", exact=True
    )
    input_highest = number(
        "Highest input voltage that the converter withstands", "V", "V", 1.0, 2000.0, "150 V", exact=True
    )
    input_current = number("Greatest input current of the converter", "A", "A", 0.1, 1000.0, "25 A", exact=True)
    efficiency = number(
        "Share of the power that the converter passes on",
        "",
        "%",
        0.5,
        1.0,
        "95 %",
        Assumed(0.95, "tracking converters lose 3 to 7 %; a maker's manual", 0.93, 0.97),
    )


class DumpGroup(Group):
    """Where the power goes when the battery is full."""

    said = ("dump load",)

    kind = choice(
        "How the dump load is switched",
        *DUMPS,
        also={
            "none": ("no", "nothing"),
            DUMPS[1]: ("charge controller", "controller", "diversion controller"),
            DUMPS[2]: ("relay",),
            DUMPS[3]: ("always on", "always", "permanent"),
        },
    )
    power = number("Power the dump load can take for hours", "W", "W", 1.0, 1e5, "600 W")
    resistance = number("Resistance of the dump load", "ohm", "ohm", 1e-3, 1e4, "1.2 ohm")
    voltage = number("Voltage for which the dump load is made", "V", "V", 1.0, 2000.0, "48 V", exact=True)
    controller_current = number(
        "Rated current of the controller or relay that switches the dump load",
        "A",
        "A",
        0.1,
        2000.0,
        "40 A",
        exact=True,
    )
    place = choice(
        "Where the dump load is connected",
        *DUMP_PLACES,
        also={DUMP_PLACES[0]: ("rectifier side", "rectifier"), DUMP_PLACES[1]: ("battery side",)},
    )
    mounted = choice(
        "What the dump load is mounted on or in",
        *MOUNTS,
        also={
            MOUNTS[0]: ("brick", "steel", "concrete wall"),
            MOUNTS[1]: ("plywood", "wooden wall"),
            MOUNTS[2]: ("box", "cupboard", "enclosure"),
        },
    )
    controller_voltage = number(
        "Highest voltage the charge controller withstands", "V", "V", 1.0, 2000.0, "150 V", exact=True
    )
    second_means = choice(
        "What keeps the battery from overcharge if the dump load fails",
        *SECOND_MEANS,
        also={
            "none": ("no", "nothing"),
            SECOND_MEANS[1]: ("bms",),
            SECOND_MEANS[2]: ("second dump load", "two dump loads"),
            SECOND_MEANS[3]: ("brake",),
        },
    )
