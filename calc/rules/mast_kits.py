"""A taller mast, with what goes with it: thicker tube, guys held higher, anchors further out, a longer gin pole."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from calc.finding import Act
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.guys import BURIED, ENDS, HINGE_BLOCK, ROPES, WHOLE
from calc.machine.catalogue.mast import GUYED
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.machine.mast_loads import FIRST_LEVEL, guy_labels, mast_model
from calc.rules.kits import NOT_CARRIED, TALLEST
from calc.rules.reserves import TUBES
from calc.rules.ways import Try, Way, change, ladder

#: How many tubes that are stiff enough are tried of each height, the lightest first.
TUBES_TRIED = 3
#: Of guys that are put to a mast: below the blades, distance of the anchors over their height, and earth over a block.
#: Common practice, no source. [m], [], [m]
BELOW, SPREAD, COVER = 0.6, 0.6, 0.3
#: Of each level of guys and of the gin pole: what grows with the mast.
_GUYS = (Sheet.guy.height, Sheet.guy.anchor_radius)
_GIN = (Sheet.gin.length, Sheet.gin.pull_distance, Sheet.gin.attach_height, Sheet.mast.joint_height)


def taller(x: Inputs, heights: Iterable[float]) -> list[Way]:
    """The rotor's centre at some heights [m], best first: as the mast is, and on a mast made for it where it is guyed.

    A mast of which the sheet tells nothing but its height is carried by nobody's sums, and that is said.
    """
    tried = list(heights)
    if isinstance(mast_model(x), Unknown):
        return [change(f"Raise the rotor's centre to {{0}}. {NOT_CARRIED}", *ladder(Sheet.mast.height, tried))]
    plain = change("Raise the rotor's centre to {0}.", *ladder(Sheet.mast.height, tried))
    if x.mast.kind != GUYED:
        return [plain]
    says = "Raise the rotor's centre to {0}, on tube of {1} x {2}, guys, anchors and gin pole in proportion."
    return [plain, change(says, *(kit for h in tried for kit in _in_proportion(x, h)))]


#: What :func:`guyed_instead` asks for, by the places of its values.
KIT_WORDS = "{0} guys {1} up and {2} of rope, anchors {3} out in blocks of {4}, the hinge on a block of {5}"


def guyed_instead(x: Inputs) -> list[Try]:
    """The mast held by four guys below the blades, on a hinge, and tilted up whole; the lightest first."""
    h, R = float(x.mast.height), float(x.rotor.diameter) / 2.0
    top = np.floor(2.0 * (h - R - BELOW)) / 2.0
    radius = np.ceil(2.0 * SPREAD * top) / 2.0
    if top < 1.0:
        return []
    return [
        _guyed(float(top), float(radius), rope, block) for rope in (0.006, 0.008, 0.01) for block in (0.6, 0.8, 1.0)
    ]


def _guyed(top: float, radius: float, rope: float, block: float) -> Try:
    guy, label = Sheet.guy, FIRST_LEVEL
    return {
        guy.ropes[label]: 4.0,
        guy.height[label]: top,
        guy.rope_diameter[label]: rope,
        guy.anchor_radius[label]: radius,
        guy.anchor_width[label]: block,
        Sheet.base.width: 0.6,
        guy.anchor_height[label]: block,
        guy.anchor_depth[label]: block + COVER,
        guy.anchor[label]: BURIED,
        guy.rope[label]: ROPES[2],
        guy.end[label]: ENDS[2],
        guy.clips[label]: 3.0,
        Sheet.base.kind: HINGE_BLOCK,
        Sheet.base.height: 0.8,
        Sheet.base.depth: 0.8,
        Sheet.mast.kind: GUYED,
        Sheet.gin.way: WHOLE,
        Sheet.gin.side_guys: Sheet.gin.side_guys.choices[0],
        Sheet.gin.back_guy: Sheet.gin.back_guy.choices[0],
    }


def taller_mast(x: Inputs) -> list[Way]:
    """The rotor higher up, by half metres to 10 m and by metres to the tallest mast that builders raise."""
    now = float(x.mast.height)
    steps = [h / 2.0 for h in range(1, 20)] + [float(h) for h in range(10, int(TALLEST) + 1)]
    higher = [h for h in steps if h > now]
    if not higher:
        return []
    if not isinstance(mast_model(x), Unknown):
        return taller(x, higher)
    says = f"Put the rotor {{0}} up or higher. {NOT_CARRIED}"
    return [change(says, *ladder(Sheet.mast.height, higher), kind=Act.MOVE)]


def _in_proportion(x: Inputs, height: float) -> list[Try]:
    """The same mast made so high, on tubes as they are sold."""
    now, foot = float(x.mast.height), float(x.mast.foot_height)
    ratio = (height - foot) / (now - foot)
    grown: dict[Entry[Any], Value] = {}
    for label in guy_labels(x):
        for entry in _GUYS:
            grown[entry[label]] = ratio * float(x.need(entry[label]))
    grown |= {entry: ratio * float(x.need(entry)) for entry in _GIN if x.given(entry)}
    D, t = float(x.mast.tube_diameter), float(x.mast.tube_wall)
    # Between guys that are so much further apart it buckles under as much where it is stiffer by the square of that.
    stiff = ratio**2 * (D**4 - (D - 2 * t) ** 4)
    fit = [(d, w) for d, w in TUBES if d**4 - (d - 2 * w) ** 4 >= stiff][:TUBES_TRIED]
    head = Sheet.mast.height, Sheet.mast.tube_diameter, Sheet.mast.tube_wall
    return [{**dict(zip(head, (height, *size), strict=True)), **grown} for size in fit]
