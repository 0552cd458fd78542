"""Where the mast stands and how high the rotor is."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import GUYED, ROOF
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import is_vertical
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.kits import NOT_CARRIED
from calc.rules.limits import CLEAR
from calc.rules.mast_kits import taller
from calc.rules.sources import SITING
from calc.rules.ways import Try, Way, change, ladder
from calc.units import Num, show, show_down, show_up

TWICE = Source("Wake of a building: disturbed up to twice its height", "", "from memory")


REACH = Source("ISO 13857, reach upwards: 2.7 m where the risk is high", "rounded up for uneven ground", "from memory")
#: Height of the blades' lowest point from which nobody who walks there reaches them. [m]
OVERHEAD = 3.0
#: Heights by which masts differ. Common practice, no source. [m]
STEP = 0.5
#: Heights that are tried at most.
MOST_TRIED = 12


def _hub_for(building: Num, D: Num) -> Num:
    return building + CLEAR + D / 2.0


def _heights(best: Num, least: float) -> list[float]:
    """Heights of the rotor's centre to try: the best, rounded up to what masts come in, then ever lower ones."""
    top = STEP * np.ceil(float(best) / STEP - 1e-9)
    return [float(h) for h in np.arange(top, least - 1e-9, -2 * STEP)[:MOST_TRIED]]


def _lower_things(bottom: float, *shares: float) -> list[float]:
    """Heights of the highest thing nearby that leave a rotor's lowest point [m] clear, rounded down."""
    return [float(STEP * np.floor(h / STEP + 1e-9)) for h in shares if h >= STEP and bottom > 0]


def _roof(x: Inputs) -> Judgement:
    kind, building, D = x.mast.kind, x.maybe(Sheet.mast.building_height), x.maybe(Sheet.rotor.diameter)
    if kind != ROOF:
        return Judgement(OK, lambda: f"It stands on a mast of its own ({kind}), by the sheet.")

    def says() -> str:
        return (
            "On a roof the air is turbulent: 26 machines on buildings gave under 1 % of their rating over a year. The "
            "building carries the shaking as noise, and its frame was not built for the load."
        )

    def ways() -> list[Way]:
        if building is None or D is None:
            above = f"with the rotor's lowest point {show(CLEAR, 'm', 2)} above the highest thing within 150 m"
            return [
                change(
                    f"Put it on a mast of its own, {{0}}, {above}. {NOT_CARRIED}",
                    {Sheet.mast.kind: GUYED},
                    kind=Act.MOVE,
                )
            ]
        high: list[Try] = [
            {Sheet.mast.height: hub, Sheet.mast.kind: GUYED} for hub in _heights(_hub_for(building, D), 4.0)
        ]
        return [
            change(
                f"Put it on a mast of its own, {{1}}, the rotor's centre {{0}} up. {NOT_CARRIED}", *high, kind=Act.MOVE
            )
        ]

    return Judgement(
        FAIL, says, ways, more=lambda: "They gave 214 Wh a day on average, with the times they stood still."
    )


def _height(x: Inputs) -> Judgement:
    h, building, D = x.mast.height, x.mast.building_height, x.rotor.diameter
    full = np.where(np.asarray(building) > 0, _hub_for(building, D), D / 2.0)
    # Low obstacles disturb the air to twice their height only; below both the rotor works in their wake.
    least = np.minimum(full, 2.0 * np.asarray(building) + D / 2.0)
    level = np.where(np.asarray(h) < least, FAIL, np.where(np.asarray(h) < full, MARGINAL, OK))

    def says() -> str:
        bottom = f"The rotor's lowest point is {show(h - D / 2.0, 'm', 2)} up"
        if not building > 0:
            return f"{bottom}, with nothing higher than the ground within 150 m."
        wake = f"it disturbs the air up to {show(least - D / 2.0, 'm', 2)}, and " if h < least else ""
        usual = f"{show(full - D / 2.0, 'm', 2)} is usual, {show(CLEAR, 'm', 2)} above it"
        return f"{bottom}, and something within 150 m is {show(building, 'm')} high: {wake}{usual}."

    def more() -> str:
        return (
            f"So the rotor's centre belongs {show_up(full, 'm', 2)} up. Low things disturb the air to twice their "
            f"height, here up to a centre at {show(2.0 * building + D / 2.0, 'm', 2)}. Trees count full-grown."
        )

    def ways() -> list[Way]:
        bottom = float(h - D / 2.0)
        higher = [hub for hub in _heights(full, float(least)) if hub > h]
        lower = _lower_things(bottom, bottom - CLEAR, *((bottom / 2.0,) if level == FAIL else ()))
        return [
            *taller(x, higher),
            change(
                "Move the mast to where nothing within 150 m is or will grow higher than {0}.",
                *ladder(Sheet.mast.building_height, lower),
                kind=Act.MOVE,
            ),
        ]

    return Judgement(level, says, ways, h, least, "m", (h - least) / least, more)


def _over_ground(x: Inputs) -> Judgement:
    h, R = x.mast.height, x.rotor.diameter / 2.0
    bottom = np.asarray(h) - R
    level = np.where(bottom < OVERHEAD, DANGER, OK)

    def says() -> str:
        if bottom <= 0:
            return (
                f"By the sheet the rotor's centre is {show(h, 'm', 2)} up and its blades are {show(R, 'm', 2)} long: "
                "they would turn in the ground. One of the two is wrong."
            )
        start = f"The blades come down to {show_down(bottom, 'm')} above the ground"
        if bottom < OVERHEAD:
            return f"{start}, among people: whoever walks there can be struck. {show(OVERHEAD, 'm')} is the least."
        return f"{start}, out of reach of whoever walks there."

    def ways() -> list[Way]:
        least = STEP * float(np.ceil((OVERHEAD + R) / STEP))
        return taller(x, [least, least + STEP, least + 2 * STEP])

    return Judgement(level, says, ways, bottom, OVERHEAD, "m", (bottom - OVERHEAD) / OVERHEAD)


RULES = (
    Rule(
        "mast.over-ground",
        "Blades above the ground",
        "mast",
        (Sheet.mast.height, Sheet.rotor.diameter),
        _over_ground,
        (REACH, COMMON_PRACTICE),
        "A blade that turns among people kills. Until it is out of reach, tie the rotor and fence it off so that "
        "nobody can come near, children least of all.",
        applies=lambda x: x.maybe(Sheet.mast.kind) != ROOF and not is_vertical(x),
        at_once=True,
    ),
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
        deadly=True,
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
