"""Whether the legs of a free-standing lattice mast hold in a storm."""

from __future__ import annotations

import numpy as np

from calc.finding import Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import LATTICE
from calc.machine.inputs import Inputs, Unknown
from calc.machine.lattice_loads import LEG_NEEDS, Legs, lattice_legs
from calc.machine.structure import TOP_NEEDS, design_winds
from calc.rules.engine import Judgement, Rule
from calc.rules.reserves import (
    FACTORS,
    FALLS,
    ICE,
    LATTICE_DRAG,
    STEEL,
    TOP,
    TUBES,
    WIND_FACTOR,
    by_reserve,
    newtons,
    reserve_words,
    storm_words,
    times_as_much,
)
from calc.rules.ways import Way, change, ladder
from calc.units import show

#: Tubes for legs that are thinner than masts, lightest first: EN 10255 and EN 10219; common practice. [m]
_THIN = ((0.0213, 0.0026), (0.0269, 0.0026), (0.0337, 0.0032), (0.0424, 0.0032))
#: Heights between cross bars, as shares of the present one.
_CLOSER = (0.8, 0.67, 0.5, 0.33)

STATICS = Source("Three or four pinned legs, wind over a corner; a leg between two cross bars", "", "derived")
STRUT = Source("EN 1993-1-1, 6.3.1.2, buckling curves a and c", "", "reproduction")


def _legs(x: Inputs) -> Judgement | Unknown:
    found = lattice_legs(x)
    if isinstance(found, Unknown):
        return found
    level, margin = by_reserve(found.reserve, STEEL)

    def says() -> str:
        at = "at its foot" if found.z <= 0 else f"{show(found.z, 'm', 2)} above its foot"
        wind = storm_words(found.storm.top.worst, design_winds(x).V_e50)
        return (
            f"The lattice mast's legs could take {times_as_much(found.reserve)} the worst storm's load: "
            f"{reserve_words(found.reserve, STEEL)}. The wind puts {wind}, and a leg fails first {at}."
        )

    return Judgement(
        level, says, lambda: _leg_ways(x), found.reserve, STEEL.enough, "", margin, lambda: _legs_more(found)
    )


def _legs_more(found: Legs) -> str:
    of, bare = found.storm.of, found.storm.cases[0]
    filled = show(float(np.mean(of.phi)), "%", 2)
    return (
        f"The wind on its own members makes {newtons(bare.on_mast)} of the {newtons(bare.side)} at its foot; they fill "
        f"{filled} of a face. A leg is pressed with {newtons(found.load)} and buckles between two cross bars at "
        f"{newtons(found.holds)}. Braces, welds, joints and the bolts at its foot were not checked."
    )


def _leg_ways(x: Inputs) -> list[Way]:
    D, t, panel = (float(x.need(e)) for e in (Sheet.mast.leg_diameter, Sheet.mast.leg_wall, Sheet.mast.panel))
    stiff = D**4 - (D - 2 * t) ** 4
    fit = [(d, w) for d, w in (*_THIN, *TUBES) if d <= 2.3 * D and d**4 - (d - 2 * w) ** 4 > 1.02 * stiff]
    legs = [{Sheet.mast.leg_diameter: d, Sheet.mast.leg_wall: w} for d, w in fit]
    wider = [round(float(x.mast.face_width) * k, 2) for k in (1.25, 1.5, 2.0, 2.5)]
    closer = [round(panel * k, 2) for k in _CLOSER]
    high = float(x.mast.height)
    lower = [h for h in np.arange(np.floor(2.0 * high) / 2.0 - 0.5, 0.5 * high, -0.5) if h > 3.0]
    return [
        change("Make the legs of the lattice mast of tube {0} x {1}.", *legs),
        change("Make the lattice mast {0} wide at its foot.", *ladder(Sheet.mast.face_width, wider)),
        change("Set its cross bars {0} apart.", *ladder(Sheet.mast.panel, closer)),
        change("Keep the rotor's centre at {0} or lower.", *ladder(Sheet.mast.height, map(float, lower))),
    ]


def _begun(x: Inputs) -> bool:
    return x.maybe(Sheet.mast.kind) == LATTICE and x.given(Sheet.mast.leg_diameter)


RULES = (
    Rule(
        "mast.legs",
        "Legs of the lattice mast in a storm",
        "mast",
        (Sheet.mast.height, *LEG_NEEDS, *TOP_NEEDS),
        _legs,
        (TOP, LATTICE_DRAG, ICE, STATICS, STRUT, WIND_FACTOR, FACTORS),
        FALLS,
        applies=_begun,
    ),
)
