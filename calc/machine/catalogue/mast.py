"""The mast."""

from __future__ import annotations

from calc.machine.entry import Assumed, Group, choice, count, flag, number
from calc.physics.structure.strut import IMPERFECTION

ROOF, GUYED, FREE, LATTICE, OTHER = (
    "on a roof or gable", "guyed tilt-up", "free-standing pole", "lattice tower", "other",
)  # fmt: skip
MAST_KINDS = (GUYED, FREE, LATTICE, ROOF, OTHER)
STEEL_TUBE, ALUMINIUM = "steel", "aluminium"
TUBE_MATERIALS = (STEEL_TUBE, ALUMINIUM, "wood, plastic or another")
#: Tubes of both are sold for scaffolds.
_SCAFFOLD = ("scaffold tube", "scaffold", "scaffolding", "scaffold pole", "scaffold pipe")
ONE_PIECE, SLEEVE, FLANGE, WELDED, COUPLER, THREAD = (
    "none, the mast is one piece",
    "sleeve, three diameters long or more, bolted through",
    "flanges, bolted",
    "welded by somebody certified",
    "scaffold coupler or clamp",
    "thread cut into the pipe",
)
JOINTS = (ONE_PIECE, SLEEVE, FLANGE, WELDED, COUPLER, THREAD)
ROUND_MEMBERS, FLAT_MEMBERS = "tubes and round bars", "angles and flats"
MEMBERS = (ROUND_MEMBERS, FLAT_MEMBERS)


class MastGroup(Group):
    """The mast and what it stands on."""

    said = ("tower", "pole")

    kind = choice(
        "Kind of mast",
        *MAST_KINDS,
        also={
            GUYED: ("guyed", "guyed mast", "guyed pole", "tilt up", "tilting"),
            FREE: ("pole", "free standing", "freestanding", "self supporting", "monopole", "post"),
            LATTICE: ("lattice", "tower", "pylon", "truss"),
            ROOF: ("roof", "on the roof", "gable", "house", "chimney"),
        },
    )
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
    material = choice(
        "Material of the mast tube",
        *TUBE_MATERIALS,
        assumed=Assumed(STEEL_TUBE, "nearly all mast tubes are"),
        also={
            STEEL_TUBE: ("galvanised", "galvanized", "iron", *_SCAFFOLD),
            ALUMINIUM: ("aluminum", "alu", *_SCAFFOLD),
            TUBE_MATERIALS[2]: ("bamboo", "timber"),
        },
    )
    yield_strength = number("Yield strength of the mast tube", "Pa", "MPa", 50e6, 1e9, "235 MPa")
    making = choice(
        "How the mast tube was made",
        *IMPERFECTION,
        assumed=Assumed("cold formed", "most tube is welded from strip; it buckles earlier"),
        also={"hot finished": ("seamless",), "cold formed": ("welded from strip",)},
    )
    foot_height = number(
        "Height of the mast's foot above ground",
        "m",
        "m",
        0.0,
        60.0,
        "4 m",
        Assumed(0.0, "it stands on the ground"),
    )
    joint = choice(
        "How lengths of the mast tube are joined",
        *JOINTS,
        also={
            ONE_PIECE: ("no joint", "one piece"),
            SLEEVE: ("spigot",),
            COUPLER: ("clamp", "scaffold clamp"),
            THREAD: ("threaded", "screwed"),
            "": ("welded", "weld", "sleeve"),
        },
    )
    joint_height = number("Height above ground of the joint that is bent most", "m", "m", 0.0, 100.0, "3 m")
    rated_load = number(
        "Force sideways at its top for which the maker of the mast rates it", "N", "N", 10.0, 500e3, "2500 N"
    )
    engineer = flag("Whether a structural engineer has confirmed in writing that the building carries it")
    lattice_legs = count(
        "Legs of the lattice mast",
        3,
        4,
        "3",
        Assumed(3.0, "most small ones are triangles, and their legs are pressed harder"),
        of=("leg",),
    )
    face_width = number(
        "Width of a face of the lattice mast at its foot, middle to middle of its legs", "m", "m", 0.08, 10.0, "0.45 m"
    )
    top_width = number("The same at its top", "m", "m", 0.05, 10.0, "0.3 m")
    members = choice(
        "What the lattice mast is made of",
        *MEMBERS,
        assumed=Assumed(FLAT_MEMBERS, "they catch more wind than round ones"),
        also={ROUND_MEMBERS: ("tubes", "tube", "pipe", "round bar"), FLAT_MEMBERS: ("angle iron", "angle", "flat bar")},
    )
    solidity = number("Share of a face of the lattice mast that its members fill", "", "%", 0.03, 0.8, "20 %")
    leg_diameter = number("Outside diameter of a leg of the lattice mast", "m", "mm", 0.008, 0.5, "33.7 mm")
    leg_wall = number("Wall of that leg; half its diameter if it is solid", "m", "mm", 0.001, 0.25, "3.2 mm")
    panel = number("Height between two cross bars of the lattice mast", "m", "m", 0.05, 5.0, "0.4 m")
    brace_diameter = number("Diameter of the braces of the lattice mast", "m", "mm", 0.004, 0.2, "12 mm")
    lattice_mass = number("Mass of the lattice mast without the machine", "kg", "kg", 2.0, 20e3, "110 kg")
