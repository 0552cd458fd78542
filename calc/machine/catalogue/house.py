"""The inverter, the connection to the house, and the loads."""

from __future__ import annotations

from calc.machine.entry import Assumed, Group, choice, count, flag, number

FEEDS = (
    NOTHING_FED,
    OWN_CIRCUITS,
    TRANSFER_SWITCH,
    OWN_TRANSFER_SWITCH,
    TWO_PLUGS,
    MAIN_SWITCH_BY_HAND,
    BREAKER_BY_HAND,
    BESIDE_GRID,
) = (
    "nothing in the house",
    "own circuits, apart from the house",
    "transfer switch fitted by an electrician",
    "transfer switch fitted by the builder",
    "inverter into a socket by a lead with two plugs",
    "inverter wired into the house panel, main switch turned off by hand",
    "inverter wired into one circuit of the house, its breaker turned off by hand",
    "inverter in parallel with the grid",
)
NEUTRALS = ONE_PLACE, TWO_PLACES, NOT_EARTHED = (
    "joined to earth at one place",
    "joined to earth at inverter and house both",
    "not joined to earth",
)
WAVES = SINE, STEPPED = ("sine", "stepped (modified sine)")
#: Loads that are a plain resistance, which a generator can feed without a battery.
RESISTANCES = ("filament lamp", "heater or other resistance")
MOTOR = "motor, pump or compressor"
LOAD_KINDS = (*RESISTANCES, MOTOR, "electronics, LED lamp or charger")
#: What a load that no inverter feeds hangs on.
HANGS_ON = ON_DC, ON_LEADS = (
    "direct current, behind the rectifier",
    "the generator's own leads, ahead of the rectifier",
)


class InverterGroup(Group):
    """The inverter."""

    power = number("Rated output of the inverter", "W", "W", 5.0, 1e5, "800 W")
    input_voltage_min = number("Lowest battery voltage at which it runs", "V", "V", 1.0, 1000.0, "21 V")
    efficiency = number(
        "Efficiency at full load",
        "",
        "%",
        0.3,
        1.0,
        "90 %",
        Assumed(0.88, "small stand-alone inverters reach 0.85 to 0.92; from memory", 0.83, 0.93),
    )
    fuse = number("Rating of the fuse at the battery", "A", "A", 0.5, 2000.0, "63 A", exact=True)
    input_voltage_max = number("Highest voltage its input withstands", "V", "V", 1.0, 1000.0, "32 V", exact=True)
    wave = choice(
        "Shape of its output",
        *WAVES,
        also={SINE: ("pure sine", "true sine", "pure", "sinus"), STEPPED: ("modified", "square", "quasi sine")},
    )
    appliances = count(
        "Appliances that can be plugged into its output at one time", 1, 100, "1", of=("appliance", "socket", "plug")
    )
    outdoors = flag("Whether anything it feeds is used outdoors or in a wet place")
    surge_power = number("Power the inverter gives for the seconds of a start", "W", "W", 5.0, 1e6, "1600 W")
    grid_listed = flag("Whether the inverter is listed to feed the grid and stops by itself when the grid fails")


class HouseGroup(Group):
    """The connection to house wiring."""

    feed = choice(
        "How the house is fed",
        *FEEDS,
        also={
            NOTHING_FED: ("nothing", "none"),
            OWN_CIRCUITS: ("separate circuits", "separate"),
            TRANSFER_SWITCH: ("transfer switch", "changeover switch"),
            OWN_TRANSFER_SWITCH: ("transfer switch", "changeover switch"),
            TWO_PLUGS: ("two plugs", "2 plugs", "suicide cord", "suicide lead", "backfeed", "back feed", "double plug"),
            BESIDE_GRID: ("grid tie", "grid tied", "in parallel", "feeding the grid"),
        },
    )
    neutral = choice(
        "How the neutral of the inverter's circuits meets earth",
        *NEUTRALS,
        also={
            ONE_PLACE: ("one place", "once"),
            TWO_PLACES: ("two places", "both", "twice"),
            NOT_EARTHED: ("floating", "not earthed", "not grounded"),
        },
    )
    rcd = flag(
        "Whether a residual-current device (RCD or GFCI) of 30 mA or less protects every socket the inverter feeds"
    )
    labels = flag(
        "Whether labels and a one-line diagram hang where the supply is switched off, and the steps to stop "
        "the rotor at the mast"
    )


class LoadGroup(Group):
    """One thing that uses power."""

    said = ("appliance", "consumer")

    power = number("Power it draws", "W", "W", 0.01, 1e5, "12 W")
    hours = number("Hours a day it runs", "", "h/day", 0.0, 1.0, "6 h/day")
    kind = choice(
        "What kind of load it is",
        *LOAD_KINDS,
        also={
            LOAD_KINDS[0]: ("bulb", "light bulb", "incandescent", "halogen", "light"),
            LOAD_KINDS[1]: ("kettle", "heating", "resistor"),
            MOTOR: ("fridge", "freezer", "fan", "refrigerator", "drill"),
            LOAD_KINDS[3]: ("led", "laptop", "phone", "router", "radio", "television", "light"),
        },
    )
    hangs_on = choice(
        "What it hangs on, where no inverter feeds it",
        *HANGS_ON,
        also={
            ON_DC: ("dc", "rectifier", "battery", "direct current"),
            ON_LEADS: ("ac", "generator", "leads", "wild ac", "raw ac", "alternating current"),
        },
    )
    voltage = number(
        "Voltage for which it is made, where no inverter feeds it", "V", "V", 1.0, 1000.0, "12 V", exact=True
    )
    voltage_max = number(
        "Highest voltage it withstands, where no inverter feeds it", "V", "V", 1.0, 2000.0, "30 V", exact=True
    )
    surge = number("Power it draws while starting", "W", "W", 0.01, 1e6, "900 W")
    from_hour = number(
        "Time of day at which it is switched on; left out, its use is spread over the whole day",
        "s",
        "h",
        0.0,
        86400.0,
        "18 h",
    )
