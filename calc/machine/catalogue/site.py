"""The place, its wind and its wiring rules."""

from __future__ import annotations

from calc.machine.entry import DEG, Assumed, Entry, Group, choice, number
from calc.units import Num

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
FLAT, RIDGE, SLOPE, EDGE, VALLEY, HOLLOW = (
    "flat or gently rolling",
    "top of a smooth ridge or hill",
    "side of a slope",
    "edge of a cliff or steep bank",
    "floor of a valley",
    "hollow with higher ground all round",
)
TERRAINS = (FLAT, RIDGE, SLOPE, EDGE, VALLEY, HOLLOW)
MONTH_NAMES = (
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


def month_wind(name: str) -> Entry[Num]:
    """Declare the mean wind of one month."""
    return number(f"Mean wind speed in {name}", "m/s", "m/s", 0.1, 30.0, "5.1 m/s")


class SiteGroup(Group):
    """The place, its wind and its wiring rules."""

    said = ("place", "wind")

    mean_wind = number("Mean wind speed over the year", "m/s", "m/s", 0.5, 20.0, "4.6 m/s")
    wind_height = number(
        "Height above ground at which the mean wind holds",
        "m",
        "m",
        1.0,
        200.0,
        "10 m",
        Assumed(10.0, "wind maps and weather stations usually quote 10 m"),
    )
    ground = choice(
        "Kind of ground around the mast",
        *ROUGHNESS,
        assumed=Assumed("farmland with hedges", "the commonest setting of a home machine"),
        also={
            "open water": ("lake", "sea"),
            "smooth open ground": ("beach", "airfield", "snow"),
            "open farmland": ("fields", "open fields", "pasture", "meadow"),
            "villages, small towns or forest": ("village", "forest", "woods", "suburb", "town"),
            "larger towns": ("city", "big town", "town"),
        },
    )
    storm_wind = number(
        "Strongest storm to be survived, mean of ten minutes at the rotor",
        "m/s",
        "m/s",
        10.0,
        100.0,
        "30 m/s",
        Assumed(30.0, "reference wind of the mildest class of IEC 61400-2", 25.0, 37.5),
    )
    gust = number(
        "Strongest gust of three seconds in that storm, at the rotor",
        "m/s",
        "m/s",
        10.0,
        140.0,
        "42 m/s",
    )
    wind_spread = number(
        "Weibull shape factor of the wind (2 at most sites)",
        "",
        "",
        1.0,
        4.0,
        "2",
        Assumed(2.0, "Rayleigh distribution, true at most sites", 1.7, 2.3),
    )
    air_temperature = number(
        "Mean air temperature",
        "kelvin",
        "degC",
        223.15,
        323.15,
        "10 degC",
        Assumed(288.15, "standard atmosphere, 15 degC", 273.15, 298.15),
    )
    availability = number(
        "Share of the year in which the machine is ready to run",
        "",
        "%",
        0.05,
        1.0,
        "90 %",
        Assumed(0.9, "repairs, storms and lowering take time; common practice, no source", 0.75, 0.98),
    )
    altitude = number(
        "Height above the sea",
        "m",
        "m",
        -430.0,
        6000.0,
        "120 m",
        Assumed(0.0, "sea level"),
    )
    wiring_practice = choice(
        "Wiring practice, IEC (metric sizes) or NEC (American gauges)",
        "IEC",
        "NEC",
        assumed=Assumed("IEC", "the rules of most countries follow it"),
        also={"IEC": ("metric", "european", "europe"), "NEC": ("american", "us", "usa")},
    )
    month_01 = month_wind(MONTH_NAMES[0])
    month_02 = month_wind(MONTH_NAMES[1])
    month_03 = month_wind(MONTH_NAMES[2])
    month_04 = month_wind(MONTH_NAMES[3])
    month_05 = month_wind(MONTH_NAMES[4])
    month_06 = month_wind(MONTH_NAMES[5])
    month_07 = month_wind(MONTH_NAMES[6])
    month_08 = month_wind(MONTH_NAMES[7])
    month_09 = month_wind(MONTH_NAMES[8])
    month_10 = month_wind(MONTH_NAMES[9])
    month_11 = month_wind(MONTH_NAMES[10])
    month_12 = month_wind(MONTH_NAMES[11])
    wind_class = choice(
        "Wind class of IEC 61400-2 for which the machine is built",
        "I",
        "II",
        "III",
        "IV",
        also={"I": ("1",), "II": ("2",), "III": ("3",), "IV": ("4",)},
    )
    hottest_air = number(
        "Hottest air of a year",
        "kelvin",
        "degC",
        273.15,
        328.15,
        "32 degC",
        Assumed(305.15, "32 degC, a hot day in much of the world; common practice, no source", 301.15, 311.15),
    )
    coldest_air = number(
        "Coldest air of a year",
        "kelvin",
        "degC",
        213.15,
        303.15,
        "-8 degC",
        Assumed(263.15, "-10 degC, a cold night in much of the world; common practice, no source", 258.15, 273.15),
    )
    terrain = choice(
        "Lie of the land around the mast",
        *TERRAINS,
        also={
            FLAT: ("level", "plain"),
            RIDGE: ("ridge", "hilltop", "hill top", "hill"),
            SLOPE: ("slope", "hillside", "hill side"),
            EDGE: ("cliff", "bank"),
        },
    )
    latitude = number("Latitude, to the degree; south negative", "rad", "deg", -66 * DEG, 66 * DEG, "54 deg")
    boundary = number("Distance from the foot of the mast to the nearest boundary", "m", "m", 0.0, 1000.0, "25 m")
    setback = number(
        "Setback from the boundary that local rules ask for, in heights of the blades' highest point",
        "",
        "",
        0.5,
        20.0,
        "1.1",
        Assumed(1.1, "1.0 to 2 by the local rules that were read; ask yours", 1.0, 2.0),
    )
    ice_thickness = number(
        "Thickness of the ice that wires and twigs get in the worst winters; 0 where there is none",
        "m",
        "mm",
        0.0,
        0.06,
        "10 mm",
    )
