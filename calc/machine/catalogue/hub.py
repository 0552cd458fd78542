"""The hub: how the blades are held, the shaft, and what each blade of the set weighs."""

from __future__ import annotations

from calc.machine.catalogue.rotor import YEARS
from calc.machine.entry import Assumed, Group, choice, count, number

RIGID = "rigid"
HUB_KINDS = (RIGID, "hinged, or on rubber, so that blades can flap")
ONE_PLATE, TWO_PLATES, WASHERS = "bolted to one plate", "clamped between two plates", "bolted with washers only"
HOLDS = (TWO_PLATES, ONE_PLATE, WASHERS)
#: Classes of bolts, and what stands on the head where nothing does.
UNMARKED = "not marked"
BOLT_CLASSES = ("4.6", "4.8", "5.6", "5.8", "8.8", "10.9", "A2-70", UNMARKED)
SHAFT_STEELS = (
    "plain steel (S235)",
    "construction steel (S355)",
    "heat-treated steel (C45 or better)",
    "stainless steel (A2)",
    "not known",
)
SMOOTH, KEYED, THREADED = (
    "turned smooth, rounded where it steps",
    "keyway, sharp step or cross hole",
    "thread or weld",
)
NOTCHES = (SMOOTH, KEYED, THREADED)


class HubGroup(Group):
    """The hub and its shaft."""

    kind = choice(
        "Whether the hub holds the blades rigidly",
        *HUB_KINDS,
        assumed=Assumed(RIGID, "nearly all hand-built hubs are"),
        also={HUB_KINDS[1]: ("flapping", "teetering", "rubber")},
    )
    held = choice(
        "How a blade is held on the hub",
        *HOLDS,
        assumed=Assumed(ONE_PLATE, "the usual way with blades cut from pipe; common practice, no source"),
        also={
            TWO_PLATES: ("two plates", "2 plates", "sandwiched", "between plates"),
            ONE_PLATE: ("one plate", "1 plate", "single plate"),
            WASHERS: ("washers",),
        },
    )
    bolts = count("Bolts that hold one blade", 1, 24, "3", of=("bolt", "screw"))
    bolt_diameter = number("Diameter of these bolts", "m", "mm", 0.003, 0.03, "8 mm", exact=True, thread=True)
    bolt_class = choice(
        "Class on the heads of these bolts",
        *BOLT_CLASSES,
        assumed=Assumed(UNMARKED, "a bolt without a mark is taken as the weakest that is sold, 4.6"),
        also={"A2-70": ("a2", "stainless"), UNMARKED: ("unmarked", "no mark", "none", "unknown")},
    )
    end_distance = number(
        "Distance from the middle of the innermost bolt to the end of the blade", "m", "mm", 0.003, 0.5, "25 mm"
    )
    side_distance = number(
        "Distance from the middle of a bolt to the nearer edge of the blade", "m", "mm", 0.003, 0.5, "30 mm"
    )
    bolt_spacing = number("Distance between two bolts along the blade", "m", "mm", 0.005, 1.0, "30 mm")
    root_thickness = number("Thickness of the blade under these bolts", "m", "mm", 0.0005, 0.3, "6 mm")
    plate_thickness = number("Thickness of the hub plate", "m", "mm", 0.001, 0.1, "8 mm")
    plate_width = number("Width of the hub plate under one blade", "m", "mm", 0.01, 1.0, "80 mm")
    plate_strength = number(
        "Yield strength of the hub plate",
        "Pa",
        "MPa",
        20e6,
        1.2e9,
        "235 MPa",
        Assumed(235e6, "steel plate S235; aluminium plate can have as little as 80 MPa", 80e6, 235e6),
    )
    shaft_diameter = number("Diameter of the shaft at its first bearing", "m", "mm", 0.004, 0.3, "25 mm")
    shaft_steel = choice(
        "Steel of the shaft",
        *SHAFT_STEELS,
        assumed=Assumed(SHAFT_STEELS[-1], "a salvaged shaft is seldom marked; then taken as the weakest, S235"),
        also={SHAFT_STEELS[0]: ("mild steel", "mild"), SHAFT_STEELS[-1]: ("unknown", "dont know")},
    )
    bearing_distance = number("Distance from the rotor's centre to the first bearing", "m", "mm", 0.001, 2.0, "40 mm")
    rotor_mass = number("Mass of the rotor, blades and hub together", "kg", "kg", 0.05, 500.0, "4 kg")
    head_mass = number(
        "Mass of all that sits on the mast: rotor, generator, head and tail", "kg", "kg", 0.2, 3000.0, "30 kg"
    )
    side_area = number("Area of generator, head and tail as seen from the side", "m**2", "m2", 0.001, 50.0, "0.3 m2")

    shaft_notch = choice(
        "What the shaft has at its first bearing, where it is bent most",
        *NOTCHES,
        assumed=Assumed(KEYED, "most shafts have a step or a keyway there"),
        also={SMOOTH: ("smooth", "rounded"), KEYED: ("keyway", "step", "hole"), THREADED: ("thread", "weld", "welded")},
    )
    shaft_years = number(
        "Years that the shaft is to run",
        "",
        "",
        0.1,
        40.0,
        "10",
        Assumed(10.0, "what a builder hopes for; common practice, no source", 5.0, 20.0),
        nouns=YEARS,
    )
    shaft_slope = number("Slope of the line of stress against cycles of the shaft's steel", "", "", 3.0, 25.0, "10")


class WeighedGroup(Group):
    """One blade of the set on the scale and on the edge; a spare one may be among them."""

    mass = number("Mass of the blade, weighed", "kg", "kg", 0.01, 100.0, "0.352 kg")
    balance_point = number(
        "Distance from the shaft at which the blade, as fitted, balances on an edge", "m", "mm", 0.005, 8.0, "412 mm"
    )
