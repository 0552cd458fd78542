"""The mast."""

from __future__ import annotations

from calc.machine.entry import Group, choice, number

ROOF, GUYED = "on a roof or gable", "guyed tilt-up"
MAST_KINDS = (GUYED, "free-standing pole", "lattice tower", ROOF, "other")


class MastGroup(Group):
    """The mast and what it stands on."""

    kind = choice("Kind of mast", *MAST_KINDS)
    height = number("Height of the rotor's centre above ground", "m", "m", 0.5, 100.0, "8 m")
    building_height = number("Height of the highest building or tree within 150 m", "m", "m", 0.0, 100.0, "5 m")
    line_distance = number(
        "Distance from the foot of the mast to the nearest overhead line; 1 km if there is none nearer",
        "m",
        "m",
        0.0,
        1000.0,
        "60 m",
    )
    tube_diameter = number("Outside diameter of the mast tube", "m", "mm", 0.01, 1.0, "60.3 mm")
    tube_wall = number("Wall of the mast tube", "m", "mm", 0.0005, 0.05, "3.0 mm")
