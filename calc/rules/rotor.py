"""What holds the rotor's speed, and what stops it."""

from __future__ import annotations

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import NOT_VERTICAL, free_ratio, is_vertical
from calc.machine.site import gust_wind
from calc.machine.storm import follows
from calc.physics import wind
from calc.rules.engine import DANGER, OK, Judgement, Rule
from calc.rules.limits import usual_tip_speed
from calc.rules.phrases import THROWN, beyond, gust_words
from calc.rules.sources import GUST
from calc.units import Num, show, show_down


def _tip(x: Inputs) -> tuple[Num, Num, Num, float]:
    V = gust_wind(x)
    free = free_ratio(x, V)
    return V, free, V * free, usual_tip_speed(x)


def _upright(named: str, none: str, remedy: str) -> Judgement:
    """What is left to say where the speed of the rotor is not known: whether there is such a means at all."""
    if named == "none":
        return Judgement(DANGER, lambda: f"{none} {NOT_VERTICAL}.", lambda: remedy)
    return Judgement(OK, lambda: f"The sheet names one ({named}); whether it works was not checked. {NOT_VERTICAL}.")


def _overspeed(x: Inputs) -> Judgement:
    if is_vertical(x):
        none = "Nothing on the sheet limits the speed by itself."
        return _upright(x.rotor.overspeed, none, "Fit a means that acts by itself, such as a brake worked by speed.")
    V, free, tip, limit = _tip(x)
    D, means = x.rotor.diameter, x.rotor.overspeed

    def says() -> str:
        text = (
            f"With nothing connected in {gust_words(V)} the blade tips are driven towards "
            f"{show(tip, 'm/s', 2)}; such blades are usually kept below {show(limit, 'm/s')}."
            f"{beyond(x, V, 2.0 * tip / D)}"
        )
        lag = follows(x)
        if lag is not None:
            text += f" The bare rotor follows a gust within {show(lag, 's', 1)}."
        if means == "none":
            return f"{text} Nothing on the sheet limits the speed by itself."
        return (
            f"{text} The sheet names a means that limits the speed by itself ({means}); whether it works, "
            "and at what speed, was not checked."
        )

    def remedy() -> str:
        speed = 2.0 * limit / D
        return (
            "Fit a means that acts by itself, such as a furling tail, set to hold the rotor below "
            f"{show_down(speed, 'rpm', 2)}, where the tips run at {show(limit, 'm/s')}. Turning freely the rotor "
            f"gets there in {show_down(wind.wind_for_speed(speed, D, free), 'm/s', 2)} of wind."
        )

    if means == "none":
        return Judgement(DANGER, says, remedy, tip, limit, "m/s")
    return Judgement(OK, says, remedy)


def _brake(x: Inputs) -> Judgement:
    brake = x.rotor.brake
    if is_vertical(x):
        none = "Nothing on the sheet can stop the rotor."
        return _upright(brake, none, "Fit a brake that works with the battery disconnected, best on the shaft itself.")
    D = x.rotor.diameter
    _, free, _, limit = _tip(x)

    def says() -> str:
        if brake == "none":
            return (
                "Nothing on the sheet can stop the rotor. It cannot be approached in any wind, and when it "
                "runs away nobody can do anything about it."
            )
        return (
            f"The sheet names a brake ({brake}). Whether it stops the rotor from full speed, or holds it in "
            "a storm, was not checked."
        )

    def remedy() -> str:
        speed = 2.0 * limit / D
        return (
            "Fit a brake that works with the battery disconnected, such as a switch that shorts all leads "
            "of the generator ahead of the rectifier, and use it before the rotor reaches "
            f"{show_down(speed, 'rpm', 2)} ({show_down(wind.wind_for_speed(speed, D, free), 'm/s', 2)} of wind, "
            "turning freely)."
        )

    return Judgement(DANGER if brake == "none" else OK, says, remedy)


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
