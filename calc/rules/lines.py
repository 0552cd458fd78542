"""Overhead lines near the mast."""

from __future__ import annotations

import numpy as np

from calc.finding import Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.falling import FALL_RESERVE, NearestLine, fall_reach, highest_point, nearest_line
from calc.machine.inputs import Inputs, Unknown
from calc.rules.engine import DANGER, MARGINAL, OK, Judgement, Rule
from calc.rules.ways import Way, act, change, ladder
from calc.units import rounded_up, show_down, show_up

#: Distance of a mast from lines, over its height to the tip of the blades.
USUAL = 1.5


def _overhead(x: Inputs) -> Judgement | Unknown:
    line, tall = nearest_line(x), x.lacks(Sheet.mast.height, Sheet.rotor.diameter)
    if isinstance(line, Unknown):
        return Unknown(line.why, (*line.missing, *tall))
    if tall:
        return Unknown("", tall)
    away, tip = line.away, highest_point(x)
    reach, usual = fall_reach(tip), USUAL * tip
    level = np.where(np.asarray(away) < reach, DANGER, np.where(np.asarray(away) < usual, MARGINAL, OK))

    def says() -> str:
        called = f" ({line.name})" if line.name else ""
        start = f"The nearest overhead line{called} is {show_down(away, 'm')} away"
        if away < reach:
            return (
                f"{start}, and mast and rotor reach {show_up(reach, 'm', 2)} if they fall: it is within their reach. "
                "That holds while the mast is raised and lowered too."
            )
        if away < usual:
            return (
                f"{start}, out of reach of a falling mast ({show_up(reach, 'm', 2)}), but nearer than one and a half "
                f"times its height, {show_up(usual, 'm', 2)}."
            )
        return f"{start}, and mast and rotor reach {show_up(reach, 'm', 2)} if they fall: it is out of their reach."

    return Judgement(
        level, says, lambda: _overhead_ways(x, line), away, reach, "m", (away - reach) / reach, by_limit=True
    )


def _overhead_ways(x: Inputs, line: NearestLine) -> list[Way]:
    away, usual = line.away, USUAL * highest_point(x)
    lower = [float(np.floor(2.0 * (away / share - x.rotor.diameter / 2.0)) / 2.0) for share in (USUAL, FALL_RESERVE)]
    far = rounded_up(float(usual))
    return [
        change(
            "Put the mast {0} or more from every overhead line, with its guys and ropes.",
            {place: far for place in line.places if x.need(place) < usual},
            kind=Act.MOVE,
        ),
        change("Keep the rotor's centre at {0} or lower.", *ladder(Sheet.mast.height, lower)),
        act(Act.ASK, "Ask the line's owner to move it, or to switch it off before any work."),
    ]


RULES = (
    Rule(
        "mast.overhead-lines",
        "Overhead lines near the mast",
        "mast",
        (),
        _overhead,
        (
            Source("Colorado State University, anemometer loan programme, mast safety", "1.5 heights", "reproduction"),
            Source("A mast falls no further than its height; a tenth to spare", "", "common practice"),
        ),
        "A mast, a guy or a rope that touches an overhead line kills whoever holds it, and those who come to help. "
        "Call the line's owner before any mast is raised or lowered near one.",
        deadly=True,
        at_once=True,
    ),
)
