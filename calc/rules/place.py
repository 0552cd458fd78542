"""The place: what shelters it, how the land lies, and whether another place is better."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.finding import Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.site import EDGE, FLAT, HOLLOW, RIDGE, SLOPE, VALLEY
from calc.machine.inputs import Inputs, Unknown
from calc.machine.sheltered import Wake, energy_in, obstacle_lacks, wake, wake_of, year_left
from calc.machine.site import YEAR_NEEDS, hub_wind
from calc.machine.solving import SOLVING_NEEDS, Solved
from calc.physics import shelter
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule, with_machine
from calc.rules.mast_kits import taller
from calc.rules.sources import BALANCE, WEIBULL
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import Num, rounded_up, show, show_down

#: Loss of a year's energy to obstacles from which it is told of, and from which the place is wrong. Own choice.
TOLD_LOSS, MOST_LOSS = 0.05, 0.2
#: How much more another place must give to be worth a move. Own choice.
BETTER = 0.1
#: Directions in words, from north over east.
COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
#: Steps in which masts are raised to get out of a wake. Common practice, no source. [m]
STEP, STEPS = 1.0, 8

WAKE = Source("Wake of a building: disturbed to twice its height, 10 to 20 heights downwind", "", "from memory")
PERERA = Source("M. Perera, Shelter behind two-dimensional solid and porous fences, 1981", "", "reproduction")
POROUS = Source("European Wind Atlas: how open hedges and trees are", "", "from memory")
HILLS = Source("P. Taylor and R. Lee, Simple guidelines for wind over small hills, 1984", "", "reproduction")
VALLEYS = Source("Wind in valleys, hollows and at cliff edges", "", "from memory")


# --- one obstacle -----------------------------------------------------------------------------------------------------


def _obstacle(x: Inputs) -> Judgement:
    at = x.obstacle[x.label or ""]
    told = wake_of(x, x.label or "")
    H, away, bottom = at.height, at.distance, x.mast.height - x.rotor.diameter / 2.0
    calm, behind = shelter.ABOVE * np.asarray(H), np.asarray(away) < shelter.WAKE_ENDS * np.asarray(H)
    low = np.asarray(bottom) < calm
    close = np.asarray(away) < shelter.NEAREST * np.asarray(H)
    level = np.where(low & close, FAIL, np.where(low & behind, MARGINAL, OK))

    def ways() -> list[Way]:
        need = float(calm + x.rotor.diameter / 2.0)
        far = [rounded_up(float(k * H)) for k in ((shelter.WAKE_ENDS, shelter.NEAREST) if level == FAIL else (20.0,))]
        here = Sheet.obstacle.distance[x.label or ""]
        return [
            *taller(x, [_step_up(need)] if need <= Sheet.mast.height.high else []),
            change(
                "Put the mast {0} or more from it.", *ladder(here, [d for d in far if d <= here.high]), kind=Act.MOVE
            ),
        ]

    more = (
        "As behind a long row; a single house or tree disturbs less, the less the further away. Trees count full-grown."
    )
    return Judgement(
        level, lambda: _obstacle_says(x, told), ways, bottom, calm, "m", (bottom - calm) / calm, lambda: more
    )


def compass(direction: float) -> str:
    """A direction from north over east [rad] in the words of a compass, to the eighth of a turn.

    Examples
    --------
    >>> compass(0.0), compass(4.1), compass(6.2)
    ('north', 'south-west', 'north')
    """
    return COMPASS[round(direction / (np.pi / 4.0)) % len(COMPASS)]


def _obstacle_says(x: Inputs, told: Wake) -> str:
    at = x.obstacle[x.label or ""]
    H, away, bottom = at.height, at.distance, x.mast.height - x.rotor.diameter / 2.0
    calm = shelter.ABOVE * H
    thing = (
        f"{x.label}, {show(H, 'm')} high and {show_down(away, 'm')} away, disturbs the air up to {show(calm, 'm', 2)}"
    )
    lowest = f"the rotor's lowest point is {show(bottom, 'm', 2)} up"
    if bottom >= calm:
        return f"{thing}; {lowest}: above it."
    times, to = f"{show(away / H, '', 2)} of its heights", x.maybe(Sheet.obstacle.direction)
    whence = "from there" if to is None else f"from the {compass(float(to))}"
    if away >= shelter.WAKE_ENDS * H:
        return f"{thing}; {lowest}. But {times} away its wake has calmed down."
    if told.near:
        return f"{thing}; {lowest}. Only {times} away, what is left of the wind {whence} cannot be told."
    return f"{thing}; {lowest}. Only {times} away, {show(told.lost, '%', 2)} of the wind {whence} is missing."


def _step_up(h: float) -> float:
    return float(STEP * np.ceil(h / STEP - 1e-9))


# --- all obstacles over a year ----------------------------------------------------------------------------------------


def _wakes(x: Inputs) -> list[Wake] | Unknown:
    found = []
    for name in x.labels(Sheet.obstacle):
        if missing := obstacle_lacks(x, name):
            return Unknown("", missing)
        found.append(wake_of(x, name))
    return found


def _shelter(x: Inputs, solved: Solved) -> Judgement | Unknown:
    wakes, Vm = _wakes(x), hub_wind(x)
    if isinstance(wakes, Unknown):
        return wakes
    if isinstance(Vm, Unknown):
        return Vm
    lost = 1.0 - np.asarray(year_left(x, solved, Vm, wakes))
    level = np.where(lost > MOST_LOSS, FAIL, np.where(lost > TOLD_LOSS, MARGINAL, OK))

    def says() -> str:
        start = f"What stands around takes about {show(lost, '%', 2)} of the year's energy"
        near = (
            " It stands so near to some of it that all wind from there was taken as lost."
            if any(np.any(w.near) for w in wakes)
            else ""
        )
        little, much = show(TOLD_LOSS, "%"), show(MOST_LOSS, "%")
        return f"{start}; up to {little} is little, more than {much} asks for a better place.{near}"

    def ways() -> list[Way]:
        h = float(np.asarray(x.mast.height))
        higher = [_step_up(h + i * STEP) for i in range(1, STEPS + 1)]
        return [
            *taller(x, higher),
            *_further(x),
            act(Act.MEASURE, "Measure the wind at the rotor's height for a few months, with its direction."),
        ]

    more = (
        "The mean wind on the sheet is taken as that without these obstacles. How much of the year's wind comes over "
        "each is the most doubtful part of it."
    )
    return Judgement(level, says, ways, lost, MOST_LOSS, "%", (MOST_LOSS - lost) / MOST_LOSS, lambda: more)


def _further(x: Inputs) -> list[Way]:
    """The mast twice as far from whatever shelters it, and further yet."""
    names, at = x.labels(Sheet.obstacle), Sheet.obstacle
    tries: list[Try] = []
    for times in (2.0, 3.0, 5.0):
        far = {at.distance[n]: rounded_up(times * float(np.asarray(x.obstacle[n].distance))) for n in names}
        if all(v <= at.distance.high for v in far.values()):
            tries.append(far)
    if len(names) != 1:
        return []
    return [change("Put the mast {0} or more from it.", *tries, kind=Act.MOVE)]


# --- the lie of the land ----------------------------------------------------------------------------------------------

_LAND = {
    FLAT: (OK, "The land is flat or gently rolling, by the sheet: the wind of a map holds as well as it can."),
    RIDGE: (
        OK,
        "It stands on a smooth ridge or hill, by the sheet: it blows harder there than the map says, by twice the "
        "slope as a share at most.",
    ),
    SLOPE: (OK, "It stands on the side of a slope, by the sheet: more wind comes up it than over it."),
    EDGE: (
        MARGINAL,
        "It stands at the edge of a cliff or steep bank: the wind comes up at an angle and tears off there, so a rotor "
        "near the ground is shaken and gives less.",
    ),
    VALLEY: (
        MARGINAL,
        "It stands on the floor of a valley: wind across it passes overhead, and the mean wind of a map is likely too "
        "high.",
    ),
    HOLLOW: (
        MARGINAL,
        "It stands in a hollow with higher ground all round: all wind passes overhead, and the mean wind of a map is "
        "far too high.",
    ),
}


def _terrain(x: Inputs) -> Judgement:
    level, text = _LAND[x.site.terrain]
    ways = [
        act(Act.MEASURE, "Measure the wind where the rotor would be, for a season, before anything is bought."),
        change(
            "Look for another place, {0}.",
            *ladder(Sheet.site.terrain, [RIDGE, FLAT]),
            kind=Act.MOVE,
        ),
    ]
    more = "Smooth slopes up to about 0.3: the gain at the crest is near twice the slope, and fades with height."
    return Judgement(level, lambda: text, lambda: ways, more=lambda: more)


# --- another place ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Place:
    """A place and the energy [J] of a year there."""

    name: str
    energy: Num


def _elsewhere(x: Inputs, solved: Solved, name: str, Vm: Num) -> _Place | Unknown:
    of, at = Sheet.place, x.place[name]
    own = x.maybe(of.mean_wind[name])
    V = Vm if own is None else Vm * (own / x.site.mean_wind)
    whole = energy_in(x, solved, V)
    H, away = x.maybe(of.obstacle_height[name]), x.maybe(of.obstacle_distance[name])
    if own is None and H is None:
        return Unknown("", (of.mean_wind[name], of.obstacle_height[name]))
    if H is None:
        return _Place(name, whole)
    if away is None:
        return Unknown("", (of.obstacle_distance[name],))
    share = Sheet.obstacle.share.assumed
    told = wake(x, at.obstacle_height, away, x.mast.height, 0.0, float(share.value) if share else 0.0)
    return _Place(name, whole * year_left(x, solved, V, [told]))


def _here(energy: Num) -> str:
    return f"this place {show(energy, 'kWh', 2)}, what stands around it counted"


def _places(x: Inputs, solved: Solved) -> Judgement | Unknown:
    Vm, wakes = hub_wind(x), _wakes(x)
    if isinstance(Vm, Unknown):
        return Vm
    if isinstance(wakes, Unknown):
        return wakes
    here = energy_in(x, solved, Vm) * year_left(x, solved, Vm, wakes)
    others = []
    for name in x.labels(Sheet.place):
        told = _elsewhere(x, solved, name, Vm)
        if isinstance(told, Unknown):
            return told
        others.append(told)
    most = np.max(np.broadcast_arrays(*(p.energy for p in others)), axis=0)
    margin = (here - most) / np.maximum(most, 1e-9)
    level = np.where(margin < -BETTER, MARGINAL, OK)

    def says() -> str:
        best = max(others, key=lambda p: float(p.energy))
        told = f"{best.name} would bring {show(best.energy, 'kWh', 2)} a year, {_here(here)}"
        if level == MARGINAL:
            return f"{told}: the mast belongs there, if nothing else speaks against it."
        return f"{told}: {'they differ by less than is known' if margin < 0 else 'it stands where it belongs'}."

    def more() -> str:
        return (
            "All places: "
            + ", ".join(f"{p.name} {show(p.energy, 'kWh', 2)}" for p in others)
            + (". The same machine at the same height; longer cable, neighbours and the way there are not in it.")
        )

    ways = [
        act(
            Act.MEASURE,
            "Measure the wind at both places at the same time, for 8 weeks or more, before the mast is moved.",
        )
    ]
    return Judgement(level, says, lambda: ways, here, most, "kWh", margin, more)


RULES = (
    Rule(
        "site.obstacle",
        "In the wake of an obstacle",
        "obstacle",
        (Sheet.obstacle.height, Sheet.obstacle.distance, Sheet.mast.height, Sheet.rotor.diameter, Sheet.site.ground),
        _obstacle,
        (WAKE, PERERA, POROUS),
        each=True,
    ),
    Rule(
        "site.shelter",
        "Energy lost to what stands around",
        "site",
        (*SOLVING_NEEDS, *YEAR_NEEDS),
        with_machine(_shelter),
        (PERERA, POROUS, BALANCE, WEIBULL),
        applies=lambda x: bool(x.labels(Sheet.obstacle)),
    ),
    Rule(
        "site.terrain",
        "Lie of the land",
        "site",
        (Sheet.site.terrain,),
        _terrain,
        (HILLS, VALLEYS),
        applies=lambda x: x.maybe(Sheet.site.terrain) is not None,
    ),
    Rule(
        "site.place",
        "The better place",
        "place",
        (*SOLVING_NEEDS, *YEAR_NEEDS),
        with_machine(_places),
        (PERERA, BALANCE, WEIBULL),
        applies=lambda x: bool(x.labels(Sheet.place)),
    ),
)
