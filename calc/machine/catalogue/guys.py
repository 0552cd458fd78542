"""Guys, base and gin pole: what holds the mast, what it stands on, and how it is raised."""

from __future__ import annotations

from collections.abc import Iterator

from calc.machine.entry import Assumed, Group, choice, count, number
from calc.physics.structure import ground, guys

ROPES, ENDS, CLIPS = guys.rope_kinds(), guys.rope_ends(), guys.clip_kinds()
CLIPPED = tuple(end for end in ENDS if "clips" in end)
#: What is said of clips says nothing of a thimble.
CLIP_WORDS = (
    "bulldog clips",
    "bulldog grips",
    "rope clips",
    "rope grips",
    "cable clamps",
    "u bolts",
    "clips",
    "clamps",
)
NO_TURNBUCKLE = "none"
TURNBUCKLES = (*guys.turnbuckle_kinds(), NO_TURNBUCKLE)
TURNBUCKLE_WORDS = {
    TURNBUCKLES[1]: ("hook", "hooks", "hook and eye", "hook and hook", "hook and jaw"),
    NO_TURNBUCKLE: ("no", "nothing"),
}
BURIED, SCREW, ROD, ROCK, LYING, TREE, AT_HAND = (
    "block of concrete in the ground",
    "screw anchor",
    "driven rod or post, square to the guy",
    "bolt in rock or in a foundation",
    "block lying on the ground",
    "tree",
    "vehicle, fence post or another thing at hand",
)
ANCHORS = (BURIED, SCREW, ROD, ROCK, LYING, TREE, AT_HAND)
SOILS = tuple(ground.soils())

SOIL_WORDS = {
    SOILS[0]: ("bedrock", "solid rock", "granite", "ledge"),
    SOILS[1]: ("gravel",),
    SOILS[2]: ("sand", "sandy"),
    SOILS[3]: ("clay", "silt", "loam"),
    SOILS[4]: ("soft clay", "wet clay", "peat", "bog", "mud", "fill", "marsh"),
}

HINGE_BLOCK, PLATE, POST_IN_GROUND, SPREAD_BLOCK = (
    "hinge on a block of concrete in the ground",
    "plate or hinge lying on the ground",
    "pole set in the ground, in concrete or rammed",
    "flange bolted to a block of concrete",
)
BASES = (HINGE_BLOCK, PLATE, POST_IN_GROUND, SPREAD_BLOCK)

WHOLE, AFTERWARDS, CRANE = (
    "whole machine at once, tilted up",
    "mast and machine first, blades afterwards on the mast",
    "lifted by a crane",
)
WAYS_UP = (WHOLE, AFTERWARDS, CRANE)
PLATFORM, SCAFFOLD, HARNESS, LADDER = (
    "lifting platform",
    "scaffold with guard rails",
    "climbing the mast in a harness",
    "ladder",
)
ACCESS = (PLATFORM, SCAFFOLD, HARNESS, LADDER)


def _said_of(rope: str) -> Iterator[str]:
    """What else a make of rope is called: metal and coat go by other words."""
    make, _, metal = rope.rpartition(", ")
    for other in {"stainless": ("inox", "ss", "a4", "a2"), "galvanised": ("galvanized", "galv", "zinc")}.get(metal, ()):
        yield f"{make} {other}"


class GuyGroup(Group):
    """The guys of one level."""

    said = ("guy wire", "guy rope", "anchor")

    height = number("Height above ground at which the guys hold the mast", "m", "m", 0.5, 100.0, "6.5 m")
    anchor_radius = number("Distance from the mast to the anchors", "m", "m", 0.5, 100.0, "5 m")
    ropes = count("Number of guys around the mast at that height", 1, 12, "4", of=("rope", "guy", "wire", "line"))
    rope_diameter = number("Diameter of the guy's rope", "m", "mm", 0.002, 0.03, "5 mm", exact=True)
    rope = choice("Make of the guy's rope", *ROPES, also={rope: tuple(_said_of(rope)) for rope in ROPES})
    end = choice("How the ends of the guy are made", *ENDS, also=dict.fromkeys(CLIPPED, CLIP_WORDS))
    clips = count("Clips at each end of the guy", 0, 12, "3", of=("clip",))
    clip_kind = choice(
        "Kind of clips",
        *CLIPS,
        assumed=Assumed(CLIPS[-1], "clips without a mark are taken as those that need most"),
    )
    turnbuckle = choice("Kind of turnbuckle in the guy", *TURNBUCKLES, also=TURNBUCKLE_WORDS)
    turnbuckle_size = number("Thread of the turnbuckle", "m", "mm", 0.004, 0.05, "10 mm", exact=True, thread=True)
    pretension = number("Pull in each guy without wind", "N", "N", 0.0, 50e3, "800 N")
    anchor = choice(
        "What the guys are fixed to",
        *ANCHORS,
        also={
            BURIED: ("buried block", "deadman", "dead man", "concrete", "concrete block"),
            SCREW: ("earth screw", "ground screw", "auger"),
            ROD: ("stake", "peg", "post"),
            ROCK: ("rock", "rock bolt"),
            LYING: ("concrete", "concrete block"),
            AT_HAND: ("car", "truck", "tractor", "fence", "post"),
        },
    )
    anchor_width = number("Width of the anchor: of the block, screw or rod", "m", "mm", 0.01, 3.0, "600 mm")
    anchor_height = number(
        "Height of the anchor's block; as high as it is wide if left out", "m", "mm", 0.05, 3.0, "600 mm"
    )
    anchor_depth = number("Depth of the anchor's lowest part", "m", "m", 0.0, 5.0, "1.0 m")


class BaseGroup(Group):
    """What the mast stands on, and the ground around it and its anchors."""

    said = ("foundation", "foot")

    kind = choice("What the mast stands on", *BASES)
    width = number("Width of the base, its shorter side", "m", "mm", 0.05, 6.0, "600 mm")
    depth = number("Depth of the base in the ground", "m", "m", 0.0, 6.0, "0.8 m")
    height = number("Height of the block, from its underside to its top", "m", "m", 0.02, 6.0, "0.8 m")
    soil = choice(
        "Kind of ground",
        *SOILS,
        assumed=Assumed(SOILS[3], "the weaker of what is built on; dig a hole and look"),
        also=SOIL_WORDS,
    )
    soil_strength = number(
        "Strength of the ground beside what its kind usually has, where it was tested", "", "", 0.1, 5.0, "1"
    )


class GinGroup(Group):
    """How the mast is raised and lowered."""

    said = ("gin pole", "raising", "lifting")

    way = choice(
        "How the machine is raised",
        *WAYS_UP,
        also={
            WHOLE: ("tilt up", "all at once", "in one piece"),
            AFTERWARDS: ("blades later", "blades afterwards"),
            CRANE: ("crane",),
        },
    )
    access = choice(
        "What whoever works on the raised mast stands on",
        *ACCESS,
        also={PLATFORM: ("cherry picker", "boom lift"), HARNESS: ("harness", "climb", "climbing")},
    )
    length = number("Length of the gin pole", "m", "m", 0.3, 30.0, "4 m")
    pull_distance = number("Distance from the hinge to the winch or pulling point", "m", "m", 0.5, 100.0, "7 m")
    attach_height = number("Height on the mast at which the lifting rope holds it", "m", "m", 0.3, 60.0, "6.5 m")
    tube_diameter = number("Outside diameter of the gin pole", "m", "mm", 0.01, 0.5, "48.3 mm")
    tube_wall = number("Wall of the gin pole", "m", "mm", 0.0005, 0.03, "3.2 mm")
    winch = number("Rated pull of the winch, on its full drum", "N", "N", 100.0, 500e3, "8000 N")
    rope_breaking = number("Breaking load of the pulling rope", "N", "N", 100.0, 1e6, "20000 N")
    falls = count(
        "Times the rope runs between pulling point and gin pole",
        1,
        12,
        "1",
        Assumed(1.0, "a rope straight to the winch"),
        of=("fall", "time"),
    )
    side_guys = choice(
        "What keeps the mast from falling sideways while it is raised",
        "side guys, their anchors in line with the hinge",
        "side guys, their anchors not in line with the hinge",
        "nothing",
    )
    back_guy = choice(
        "What stops the mast as it passes the vertical",
        "a back guy of the right length, or a rope paid out",
        "nothing",
    )
