"""Two invented masts for tests of rules, as values by name in SI, on the good machine of ``tests.calc.sheets``.

Loads on their heads are such that a hand can work them out: the rotor is held to 40 rad/s, so that stopped in a gust of
30 m/s it is pushed hardest.
"""

from __future__ import annotations

import math

from calc.machine.catalogue.guys import ANCHORS, BASES, ENDS, ROPES, SOILS, TURNBUCKLES, WAYS_UP, GinGroup
from calc.machine.catalogue.mast import FREE, JOINTS, LATTICE, ROUND_MEMBERS
from calc.machine.entry import Value
from tests.calc.sheets import GOOD

RHO, GUST = 1.225, 30.0
#: Pressure of the gust. [Pa]
Q = 0.5 * RHO * GUST**2
#: A tenth of the swept area for the blades, from memory, and what is stated for the rest; IEC 61400-2, case H, Cd 1.5.
SIDE_AREA, HEAD_MASS = 0.2, 20.0
TOP_FORCE = 1.5 * Q * (0.1 * math.pi + SIDE_AREA)

HEAD: dict[str, Value] = {
    "rotor.blades": 3.0,
    "rotor.greatest_speed": 40.0,
    "rotor.overhang": 0.2,
    "hub.side_area": SIDE_AREA,
    "hub.head_mass": HEAD_MASS,
}
#: One level of four guys, 45 degrees to the ground: what it holds follows from statics alone.
GUYED_MAST: dict[str, Value] = GOOD | HEAD | {
    "mast.height": 9.2,
    "mast.building_height": 0.0,
    "mast.tube_diameter": 0.0889,
    "mast.tube_wall": 0.004,
    "mast.yield_strength": 235e6,
    "mast.joint": JOINTS[1],
    "guy.top.height": 8.0,
    "guy.top.anchor_radius": 8.0,
    "guy.top.ropes": 4.0,
    "guy.top.rope_diameter": 0.006,
    "guy.top.rope": ROPES[0],
    "guy.top.end": ENDS[2],
    "guy.top.clips": 3.0,
    "guy.top.clip_kind": "EN 13411-5, type A",
    "guy.top.turnbuckle": TURNBUCKLES[0],
    "guy.top.turnbuckle_size": 0.012,
    "guy.top.pretension": 900.0,
    "guy.top.anchor": ANCHORS[0],
    "guy.top.anchor_width": 0.6,
    "guy.top.anchor_height": 0.6,
    "guy.top.anchor_depth": 1.0,
    "base.kind": BASES[0],
    "base.width": 0.6,
    "base.depth": 0.6,
    "base.height": 0.6,
    "base.soil": SOILS[2],
    "base.soil_strength": 1.0,
    "gin.way": WAYS_UP[0],
    "gin.length": 4.5,
    "gin.pull_distance": 7.0,
    "gin.tube_diameter": 0.0603,
    "gin.tube_wall": 0.004,
    "gin.rope_breaking": 20e3,
    "gin.winch": 8e3,
    "gin.side_guys": GinGroup.side_guys.choices[0],
    "gin.back_guy": GinGroup.back_guy.choices[0],
}  # fmt: skip

#: Held at its foot alone, in a hole filled with concrete.
FREE_POLE: dict[str, Value] = GOOD | HEAD | {
    "mast.kind": FREE,
    "mast.height": 8.0,
    "mast.building_height": 0.0,
    "mast.tube_diameter": 0.1397,
    "mast.tube_wall": 0.005,
    "mast.yield_strength": 235e6,
    "mast.joint": JOINTS[0],
    "base.kind": BASES[2],
    "base.width": 0.5,
    "base.depth": 2.0,
    "base.soil": SOILS[2],
    "base.soil_strength": 1.0,
    "gin.way": WAYS_UP[2],
}  # fmt: skip

#: Three legs of tube, braced with round bar, on a block.
LATTICE_MAST: dict[str, Value] = GOOD | HEAD | {
    "mast.kind": LATTICE,
    "mast.height": 9.0,
    "mast.building_height": 0.0,
    "mast.yield_strength": 235e6,
    "mast.lattice_legs": 3.0,
    "mast.face_width": 0.5,
    "mast.top_width": 0.5,
    "mast.members": ROUND_MEMBERS,
    "mast.solidity": 0.2,
    "mast.leg_diameter": 0.0424,
    "mast.leg_wall": 0.0032,
    "mast.panel": 0.4,
    "mast.lattice_mass": 120.0,
    "base.kind": BASES[3],
    "base.width": 1.8,
    "base.depth": 1.2,
    "base.height": 1.2,
    "base.soil": SOILS[2],
    "base.soil_strength": 1.0,
    "gin.way": WAYS_UP[2],
}  # fmt: skip
