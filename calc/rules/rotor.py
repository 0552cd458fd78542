"""What holds the rotor's speed, and what stops it."""

from __future__ import annotations

from collections.abc import Sequence

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import FURLING, MECHANICAL_BRAKE, SHORTING_SWITCH, WORKED_BY_SPEED
from calc.machine.catalogue.wiring import AHEAD_OF_RECTIFIER, GENERATOR_SWITCHES
from calc.machine.furling import is_described
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import NOT_VERTICAL, free_ratio, is_vertical
from calc.machine.site import gust_wind
from calc.machine.storm import follows, read_in_wind
from calc.physics import wind
from calc.rules.engine import DANGER, OK, Judgement, Rule
from calc.rules.kits import holding
from calc.rules.limits import SWITCHES, usual_tip_speed
from calc.rules.phrases import THROWN, beyond, gust_words
from calc.rules.sources import GUST
from calc.rules.ways import Try, Way, change
from calc.units import Num, show, show_down

#: Tip speed beyond which nothing computed here can be believed: the air there holds a blade back, or it has left. [m/s]
PLAUSIBLE = 200.0


def _tip(x: Inputs) -> tuple[Num, Num, Num, float]:
    V = gust_wind(x)
    free = free_ratio(x, V)
    return V, free, V * free, usual_tip_speed(x)


def _upright(named: str, none: str, ways: Sequence[Way]) -> Judgement:
    """What is left to say where the speed of the rotor is not known: whether there is such a means at all."""
    if named == "none":
        return Judgement(DANGER, lambda: none, lambda: ways, more=lambda: f"{NOT_VERTICAL}.")
    said = f"The sheet names one ({named}); whether it works was not checked."
    return Judgement(OK, lambda: said, more=lambda: f"{NOT_VERTICAL}.")


def _overspeed(x: Inputs) -> Judgement:
    if is_vertical(x):
        by_speed = change("Fit a means that acts by itself, a {0}.", {Sheet.rotor.overspeed: WORKED_BY_SPEED})
        return _upright(x.rotor.overspeed, "Nothing holds the rotor back in a storm.", [by_speed])
    V, free, tip, limit = _tip(x)
    D, means = x.rotor.diameter, x.rotor.overspeed

    def says() -> str:
        speed = show(tip, "m/s", 2) if tip <= PLAUSIBLE else f"more than {show(PLAUSIBLE, 'm/s')}"
        heads = (
            f"in {gust_words(V)} with the load lost the tips head for {speed}, and such blades are kept below "
            f"{show(limit, 'm/s')}"
        )
        if means == "none":
            return f"Nothing holds the rotor back: {heads}."
        told = "whether it works, and at what speed, was not checked"
        if is_described(x):
            told = "whether it folds, and what it keeps the rotor to, is told under the tail"
        elif read_in_wind(x):
            told = "whether it works is told by what a speed read in a blow proves"
        return f"The sheet names a means that holds the rotor back by itself ({means}); {told}. Without it, {heads}."

    def more() -> str:
        lag = follows(x)
        quick = "" if lag is None else f" The bare rotor follows a gust within {show(lag, 's', 1)}."
        return f"{beyond(x, V, 2.0 * tip / D)}{quick}".strip()

    def ways() -> list[Way]:
        slow = show_down(wind.wind_for_speed(2.0 * limit / D, D, free), "m/s", 2)
        unloaded = f" Prove it without load: turning freely, the tips pass {show(limit, 'm/s')} in only {slow}."
        return [
            change(f"Fit a {{0}} set to hold the rotor back from {{1}} of wind.{unloaded}", *holding(means_of))
            for means_of in (FURLING, WORKED_BY_SPEED)
        ]

    if means == "none":
        return Judgement(DANGER, says, ways, tip, limit, "m/s", more=more)
    return Judgement(OK, says, more=more)


def _brake_named(brake: str) -> str:
    """What the sheet says of a brake, and who judges whether it holds."""
    told = "was not checked"
    if brake == SHORTING_SWITCH:
        told = "is judged under: whether the shorted generator stops the rotor"
    return f"The sheet names a brake ({brake}); whether it stops the rotor at full speed {told}."


def _brake(x: Inputs) -> Judgement:
    brake = x.rotor.brake
    none = (
        "Nothing can stop the rotor: nobody can go near it in any wind, and when it runs away nobody can do anything."
    )
    if is_vertical(x):
        on_shaft = change("Fit a {0}, best on the shaft itself.", {Sheet.rotor.brake: MECHANICAL_BRAKE})
        return _upright(brake, none, [on_shaft])
    D = x.rotor.diameter
    _, free, _, limit = _tip(x)

    def says() -> str:
        return none if brake == "none" else _brake_named(brake)

    def ways() -> list[Way]:
        early = " Shut it down ahead of a storm, and see that it holds with the battery off."
        shorting: list[Try] = [
            {
                Sheet.rotor.brake: SHORTING_SWITCH,
                Sheet.protection.brake_current: size,
                Sheet.protection.brake_place: AHEAD_OF_RECTIFIER,
                Sheet.protection.generator_switch: GENERATOR_SWITCHES[1],
            }
            for size in SWITCHES
        ]
        return [
            change(f"Fit a {{0}}, for {{1}}, at the foot of the mast, {{2}}.{early}", *shorting),
            change(f"Fit a {{0}}.{early}", {Sheet.rotor.brake: MECHANICAL_BRAKE}),
        ]

    def more() -> str:
        speed, slow = 2.0 * limit / D, wind.wind_for_speed(2.0 * limit / D, D, free)
        return (
            f"Turning freely the tips reach {show(limit, 'm/s')} at {show_down(speed, 'rpm', 2)}, in "
            f"{show_down(slow, 'm/s', 2)} of wind; a brake is used before."
        )

    return Judgement(DANGER if brake == "none" else OK, says, ways, more=more)


NEC_SECOND_SPEED = Source(
    "NEC 2017", "694.7(C): a dump load that limits speed needs a second, independent means", "reproduction"
)
IEC_MEANS = Source("IEC 61400-2", "protection against overspeed, also after loss of load", "from memory")

RULES = (
    Rule(
        "rotor.overspeed",
        "What limits the speed in a storm",
        "rotor",
        (Sheet.rotor.overspeed, Sheet.rotor.diameter, Sheet.site.storm_wind),
        _overspeed,
        (NEC_SECOND_SPEED, IEC_MEANS, GUST, COMMON_PRACTICE),
        THROWN,
        deadly=True,
    ),
    Rule(
        "rotor.brake",
        "What stops the rotor",
        "rotor",
        (Sheet.rotor.brake, Sheet.rotor.diameter, Sheet.site.storm_wind),
        _brake,
        (
            Source("NEC 2017", "694.28: means to disable the turbine", "reproduction"),
            Source("NEC 2017, 694.23: stop by hand, required from 50 m2 of swept area on", "", "from memory"),
            IEC_MEANS,
            COMMON_PRACTICE,
        ),
        THROWN,
        deadly=True,
    ),
)
