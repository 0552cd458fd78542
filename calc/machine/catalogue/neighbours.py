"""What stands around the mast and who walks there, what shelters it, and where else it could stand."""

from __future__ import annotations

from calc.machine.entry import DEG, Assumed, Group, choice, number

HOUSE, OWN_HOUSE, ROAD, PATH, PLAY, LINE = (
    "somebody else's house",
    "own house",
    "road",
    "path",
    "play area or garden where people stay",
    "power line",
)
NEIGHBOURS = (HOUSE, OWN_HOUSE, ROAD, PATH, PLAY, LINE)
BUILDING, WALL, DENSE, OPEN = (
    "building",
    "wall or closed fence",
    "dense trees or hedge",
    "open trees or hedge",
)
OBSTACLES = (BUILDING, WALL, DENSE, OPEN)


class NeighbourGroup(Group):
    """One thing or one place around the mast, where people are or what must not be hit."""

    kind = choice(
        "What stands there, or who walks there",
        *NEIGHBOURS,
        also={
            HOUSE: ("neighbour", "neighbor", "neighbours house", "house"),
            OWN_HOUSE: ("my house", "our house", "home", "house"),
            ROAD: ("street", "lane"),
            PATH: ("footpath", "track"),
            PLAY: ("garden", "playground"),
            LINE: ("overhead line", "electric line"),
        },
    )
    distance = number("Distance from the foot of the mast to its nearest point", "m", "m", 0.0, 1000.0, "80 m")
    direction = number(
        "Direction from the mast, from north over east",
        "rad",
        "deg",
        0.0,
        360 * DEG,
        "225 deg",
    )
    noise_limit = number(
        "Sound level that may reach it outdoors",
        "",
        "dB(A)",
        20.0,
        80.0,
        "40 dB(A)",
        Assumed(
            40.0,
            "night-time guideline of the World Health Organization for Europe, 2009; local limits differ",
            35.0,
            45.0,
        ),
    )


class ObstacleGroup(Group):
    """One thing that shelters the rotor from some winds."""

    height = number("Height of the obstacle, of trees when full-grown", "m", "m", 0.5, 100.0, "6 m")
    distance = number("Distance from the foot of the mast to the obstacle", "m", "m", 0.5, 3000.0, "80 m")
    direction = number(
        "Direction from the mast, from north over east",
        "rad",
        "deg",
        0.0,
        360 * DEG,
        "225 deg",
    )
    kind = choice(
        "What shelters",
        *OBSTACLES,
        also={
            BUILDING: ("house", "barn"),
            WALL: ("fence",),
            DENSE: ("trees", "hedge", "conifers", "forest"),
            OPEN: ("trees", "hedge", "orchard"),
        },
        assumed=Assumed(BUILDING, "a closed obstacle shelters most"),
    )
    porosity = number("Share of the obstacle that the wind blows through", "", "%", 0.0, 0.95, "40 %")
    share = number(
        "Share of the year's wind that comes over it",
        "",
        "%",
        0.0,
        1.0,
        "20 %",
        Assumed(0.2, "a fifth of all directions, unless the wind favours some; own estimate", 0.05, 0.5),
    )


class PlaceGroup(Group):
    """One other place where the mast could stand."""

    mean_wind = number(
        "Mean wind there over the year, at the height of the site's mean wind; left out, it is that of the site",
        "m/s",
        "m/s",
        0.5,
        20.0,
        "4.9 m/s",
    )
    obstacle_height = number("Height of what shelters that place most", "m", "m", 0.5, 100.0, "6 m")
    obstacle_distance = number("Distance from there to what shelters it most", "m", "m", 0.5, 3000.0, "120 m")
