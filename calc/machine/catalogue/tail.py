"""The tail that folds, and how the head turns into the wind."""

from __future__ import annotations

from calc.machine.catalogue.mast import STEEL_TUBE, TUBE_MATERIALS
from calc.machine.entry import DEG, Assumed, Group, choice, flag, number

HINGED, FIXED = "by a hinge, so that it can fold", "fixed, it cannot fold"
UPWIND, DOWNWIND = "ahead of the mast, as the wind sees it", "behind the mast, as the wind sees it"
SLIP_RINGS, UNTWISTED, TWISTS = (
    "slip rings",
    "it hangs free in the mast, and a plug at the foot lets it be untwisted",
    "it twists up, and nothing lets it untwist",
)
PLYWOOD, ALUMINIUM_SHEET, STEEL_SHEET, PLASTICS, LAMINATE = (
    "plywood",
    "aluminium sheet",
    "steel sheet",
    "PVC-U sheet",
    "glass-fibre",
)
VANE_MATERIALS = (PLYWOOD, ALUMINIUM_SHEET, STEEL_SHEET, PLASTICS, LAMINATE, "another")


class TailGroup(Group):
    """The tail: boom, vane and hinge."""

    said = ("vane", "furling")

    hinge = choice(
        "How the tail is joined to the head",
        HINGED,
        FIXED,
        also={HINGED: ("hinged", "folding", "furling", "hinge"), FIXED: ("rigid", "no hinge")},
    )
    area = number("Area of the tail's vane", "m**2", "m2", 0.005, 20.0, "0.3 m2")
    arm = number("Distance from the tail's hinge to the middle of its vane", "m", "m", 0.1, 12.0, "1.3 m")
    mass = number("Mass of the tail: boom, vane and all that swings with them", "kg", "kg", 0.1, 500.0, "6 kg")
    inclination = number("Angle of the tail's hinge to the upright", "rad", "deg", 0.0, 60 * DEG, "15 deg")
    mass_arm = number("Distance from the tail's hinge to where it balances on a finger", "m", "m", 0.02, 12.0, "0.9 m")
    hinge_direction = number(
        "Seen from above, angle from the boom at rest to where the hinge's top leans, away from the side of the fold",
        "rad",
        "deg",
        0.0,
        180 * DEG,
        "45 deg",
        Assumed(45 * DEG, "half backwards, half to the side; common practice, no source", 35 * DEG, 60 * DEG),
    )
    stop_angle = number("Fold at which a stop holds the tail", "rad", "deg", 0.0, 180 * DEG, "80 deg")
    rest_angle = number(
        "Angle by which the boom at rest stands off the line behind the rotor, away from the side to which it folds",
        "rad",
        "deg",
        -30 * DEG,
        60 * DEG,
        "10 deg",
        Assumed(0.0, "taken as straight behind the rotor", -3 * DEG, 3 * DEG),
    )
    vane_height = number("Height of the vane", "m", "m", 0.05, 6.0, "0.6 m")
    hinge_behind = number("Distance from the yaw axis back to the tail's hinge", "m", "mm", 0.0, 3.0, "120 mm")
    hinge_friction = number("Moment that moves the tail on its hinge, laid flat", "N*m", "Nm", 0.0, 500.0, "0.5 Nm")
    wake = number(
        "Dynamic pressure of the air at the vane, straight behind the rotor, as a share of the wind's",
        "",
        "",
        0.1,
        1.2,
        "0.6",
        Assumed(0.6, "between the slowed air behind a rotor and the wind beside it; own estimate", 0.4, 0.9),
    )
    lift_factor = number(
        "Force on the vane, compared with that of a flat plate",
        "",
        "",
        0.3,
        2.0,
        "1",
        Assumed(1.0, "a flat plate, from memory; ribs and edges change it", 0.8, 1.2),
    )
    side_force = number(
        "Force across the shaft of a rotor at right angles to the wind, over swept area and dynamic pressure",
        "",
        "",
        0.0,
        1.0,
        "0.1",
        Assumed(0.1, "blades and head seen from the side; own estimate, no source", 0.03, 0.2),
    )
    thrust_coefficient = number("Thrust coefficient of the rotor", "", "", 0.1, 2.0, "0.85")
    yaw_power = number(
        "Power of the cosine of the yaw angle with which the rotor's power falls",
        "",
        "",
        1.0,
        5.0,
        "2.5",
        Assumed(2.5, "3 by the wind along the shaft alone, 2 of many measured rotors; from memory", 1.9, 3.1),
    )
    boom_diameter = number("Outside diameter of the tail's boom", "m", "mm", 0.01, 0.5, "48.3 mm")
    boom_wall = number("Wall of the tail's boom", "m", "mm", 0.0005, 0.03, "3.2 mm")
    boom_material = choice(
        "Material of the tail's boom",
        *TUBE_MATERIALS,
        assumed=Assumed(STEEL_TUBE, "most booms are steel tube"),
    )
    boom_strength = number("Yield strength of the tail's boom", "Pa", "MPa", 30e6, 1e9, "235 MPa")
    vane_thickness = number("Thickness of the tail's vane", "m", "mm", 0.0005, 0.05, "6 mm")
    vane_material = choice(
        "Material of the tail's vane",
        *VANE_MATERIALS,
        assumed=Assumed(PLYWOOD, "the usual vane of hand-built machines; common practice, no source"),
    )
    vane_strength = number("Bending strength of the tail's vane", "Pa", "MPa", 1e6, 1e9, "25 MPa")
    vane_free = number(
        "Distance from the furthest edge of the vane to the boom or rib that holds it", "m", "mm", 0.02, 3.0, "250 mm"
    )
    cushioned = flag("Whether rubber or a spring catches the tail where it swings back to rest")


class YawGroup(Group):
    """How the head turns on the mast."""

    rotor_side = choice(
        "On which side of the mast the rotor runs",
        UPWIND,
        DOWNWIND,
        also={
            UPWIND: ("upwind", "in front of the mast", "front", "up wind"),
            DOWNWIND: ("downwind", "down wind", "rear", "back"),
        },
    )
    friction = number("Moment that turns the head on its bearing in a calm", "N*m", "Nm", 0.001, 2000.0, "1 Nm")
    inertia = number("Moment of inertia of the head about the yaw axis", "kg*m**2", "kg m2", 0.01, 1e5, "12 kg m2")
    cable = choice(
        "How the cable comes down past the yaw bearing",
        SLIP_RINGS,
        UNTWISTED,
        TWISTS,
        also={
            SLIP_RINGS: ("slip ring", "sliprings", "slipring"),
            UNTWISTED: ("hangs free", "free hanging", "untwisted by hand"),
            TWISTS: ("twists", "it twists"),
        },
    )
    bearing_distance = number(
        "Distance between the upper and the lower yaw bearing, or between the ends of the sleeve", "m", "mm", 0.01, 3.0,
        "250 mm",
    )  # fmt: skip
    bearing_rating = number(
        "Static load rating of the weaker yaw bearing across its axis (C0)", "N", "N", 50.0, 1e6, "9000 N"
    )
    shaft_height = number(
        "Height of the rotor's shaft above the upper yaw bearing", "m", "mm", 0.0, 2.0, "100 mm",
        Assumed(0.1, "a generator on a plate over the bearing; own estimate", 0.03, 0.25),
    )  # fmt: skip
