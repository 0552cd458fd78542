"""What anchors and base of a sheet withstand, by its ground and the doubt of that."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.guys import BURIED, LYING, SCREW
from calc.machine.inputs import Inputs, Unknown
from calc.machine.mast_loads import guy_angle
from calc.physics.structure import ground
from calc.physics.structure.ground import Soil
from calc.units import Num


def soil_of(x: Inputs) -> tuple[Soil, Num]:
    """The ground of a sheet, and its strength beside what its kind usually has."""
    soil = ground.soils()[x.base.soil]
    why = "as the table has it; the same name covers weaker and stronger ground, from memory"
    return soil, x.else_assume(Sheet.base.soil_strength, 1.0, why, within=(soil.low, soil.high))


def anchor_holds(x: Inputs, label: str) -> Num | Unknown:
    """Pull along the guy at which the anchor of a level comes out, in [N], or what the sheet must say first."""
    guy, entry = x.guy[label], Sheet.guy
    lying = guy.anchor == LYING
    if missing := x.lacks(entry.anchor_width[label], *(() if lying else (entry.anchor_depth[label],))):
        return Unknown("", missing)
    soil, share = soil_of(x)
    theta = guy_angle(x, label)
    if guy.anchor in (BURIED, LYING):
        high = x.else_assume(entry.anchor_height[label], guy.anchor_width, "a cube")
        deep = 0.0 * guy.anchor_width if lying else guy.anchor_depth
        block = ground.buried_block(soil, guy.anchor_width, high, deep)
        # Weight is sure; what the ground holds is not.
        return replace(block, front=block.front * share).holds(theta)
    if guy.anchor == SCREW:
        return np.asarray(ground.screw_holds(soil, guy.anchor_width, guy.anchor_depth) * share)
    return np.asarray(ground.rod_holds(soil, guy.anchor_width, guy.anchor_depth) * share)
