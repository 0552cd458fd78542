"""Overhead lines near the mast."""

from __future__ import annotations

import numpy as np

from calc.finding import Source
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs
from calc.machine.system import FALL_RESERVE
from calc.rules.engine import DANGER, MARGINAL, OK, Judgement, Rule
from calc.units import show_down, show_up

#: Distance of a mast from lines, over its height to the tip of the blades.
USUAL = 1.5


def _overhead(x: Inputs) -> Judgement:
    away, tip = x.mast.line_distance, x.mast.height + x.rotor.diameter / 2.0
    reach, usual = FALL_RESERVE * tip, USUAL * tip
    level = np.where(np.asarray(away) < reach, DANGER, np.where(np.asarray(away) < usual, MARGINAL, OK))

    def says() -> str:
        verdict = "out of its reach"
        if away < reach:
            verdict = "within its reach, while it is raised and lowered too"
        elif away < usual:
            verdict = f"nearer than the usual one and a half times its height, {show_up(usual, 'm', 2)}"
        return (
            f"If mast and rotor fall they reach {show_up(reach, 'm', 2)}. The nearest overhead line is "
            f"{show_down(away, 'm')} away, {verdict}."
        )

    def remedy() -> str:
        return (
            f"Put the mast {show_up(usual, 'm', 2)} or more from every overhead line, counted from its foot; guys and "
            "ropes count as well. Where that cannot be, the line's owner has to move or switch it off before any work."
        )

    return Judgement(level, says, remedy, away, reach, "m", (away - reach) / reach)


RULES = (
    Rule(
        "mast.overhead-lines",
        "Overhead lines near the mast",
        "mast",
        (Sheet.mast.line_distance, Sheet.mast.height, Sheet.rotor.diameter),
        _overhead,
        (
            Source("Colorado State University, anemometer loan programme, mast safety", "1.5 heights", "reproduction"),
            Source("A mast falls no further than its height; a tenth to spare", "", "common practice"),
        ),
        "A mast, a guy or a rope that touches an overhead line kills whoever holds it, and those who come to help. "
        "Call the line's owner before any mast is raised or lowered near one.",
        deadly=True,
    ),
)
