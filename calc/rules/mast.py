"""Where the mast stands and how high the rotor is."""

from __future__ import annotations

import numpy as np

from calc.finding import Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import ROOF
from calc.machine.inputs import Inputs
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.limits import CLEAR
from calc.rules.sources import SITING
from calc.units import Num, show

TWICE = Source("Wake of a building: disturbed up to twice its height", "", "from memory")


def _hub_for(building: Num, D: Num) -> Num:
    return building + CLEAR + D / 2.0


def _roof(x: Inputs) -> Judgement:
    building, D = x.maybe(Sheet.mast.building_height), x.maybe(Sheet.rotor.diameter)

    def says() -> str:
        return (
            "The air over a roof is turbulent, the building carries the vibration as noise, and its frame "
            "was not built for the load. 26 machines on buildings, measured for a year, gave 214 Wh a day "
            "on average, under 1 % of their rating with the times they stood still."
        )

    def remedy() -> str:
        if building is None or D is None:
            return (
                f"Put it on a mast of its own, with the rotor's lowest point {show(CLEAR, 'm', 2)} above the "
                "highest thing within 150 m."
            )
        return (
            f"Put it on a mast of its own, with the rotor's centre at {show(_hub_for(building, D), 'm', 2)} to "
            f"clear the {show(building, 'm')} building by {show(CLEAR, 'm', 2)}, or well away from the building."
        )

    return Judgement(FAIL, says, remedy)


def _height(x: Inputs) -> Judgement:
    h, building, D = x.mast.height, x.mast.building_height, x.rotor.diameter
    full = np.where(np.asarray(building) > 0, _hub_for(building, D), D / 2.0)
    # Low obstacles disturb the air to twice their height only; below both the rotor works in their wake.
    least = np.minimum(full, 2.0 * np.asarray(building) + D / 2.0)
    level = np.where(np.asarray(h) < least, FAIL, np.where(np.asarray(h) < full, MARGINAL, OK))

    def says() -> str:
        return (
            f"The rotor's lowest point is {show(h - D / 2.0, 'm', 2)} up, and the highest thing within 150 m is "
            f"{show(building, 'm')}. The usual rule is {show(CLEAR, 'm', 2)} above that, so a rotor's "
            f"centre at {show(full, 'm', 2)}. Below twice the obstacle's height, here a centre at "
            f"{show(2.0 * building + D / 2.0, 'm', 2)}, the air is disturbed."
        )

    def remedy() -> str:
        bottom = float(h - D / 2.0)
        allowed = bottom - CLEAR if level == MARGINAL else max(bottom - CLEAR, bottom / 2.0)
        move = f", or move the mast to where nothing within 150 m is higher than {show(allowed, 'm', 2)}"
        move = move if allowed > 0 else ""
        return f"Put the rotor's centre at {show(full, 'm', 2)}{move}. Count trees at full-grown height."

    return Judgement(level, says, remedy, h, least, "m", (h - least) / least)


RULES = (
    Rule(
        "mast.roof",
        "Mast on a building",
        "mast",
        (Sheet.mast.kind,),
        _roof,
        (
            Source("Warwick Wind Trials, final report 2009, as summarised in the press", "", "reproduction"),
            Source("Siting advice of two small-wind suppliers: no roof mounting", "", "reproduction"),
            SITING,
        ),
        "A machine that comes off a roof falls on whoever is below, and what it shakes loose may be the "
        "roof. Ask a structural engineer before anything that turns is fixed to a building.",
        applies=lambda x: x.maybe(Sheet.mast.kind) in (None, ROOF),
    ),
    Rule(
        "mast.height",
        "Height above buildings and trees",
        "mast",
        (Sheet.mast.height, Sheet.mast.building_height, Sheet.rotor.diameter),
        _height,
        (SITING, TWICE),
        applies=lambda x: x.maybe(Sheet.mast.kind) != ROOF,
    ),
)
