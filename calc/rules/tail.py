"""The folding tail: whether it folds, what it keeps the rotor to, whether it comes back, and where it stops."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import FURLING
from calc.machine.catalogue.tail import DOWNWIND, FIXED, HINGED
from calc.machine.entry import DEG, Entry, Value
from calc.machine.furling import EDGE_ON, FIRST, LEAST_FOLD, LEAST_LEAN, Furling, is_described, stuck, tail_of
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import is_vertical
from calc.machine.site import gust_wind
from calc.machine.solving import USUAL_LIMIT, Solved, described_furling, held_wind, nothing_limits, solve_machine
from calc.machine.storm import unloaded_held
from calc.physics import balance, tail
from calc.physics.arrays import Flags
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.kits import folds_earlier, folds_later, held_earlier, no_offset
from calc.rules.limits import usual_tip_speed
from calc.rules.phrases import THROWN, gust_words
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, show, show_down

#: How far the wind in which a tail is computed to fold may lie from that on the sheet. Own choice, no source.
APART = 1.25
#: Falling wind in which a tail should be back, as a share of that in which it began to fold. Own choice, no source.
BACK_BY = 0.6
#: Spare angle between stop and rotor, as a share of the angle at which the vane meets it. Own choice, no source.
CLEARANCE = 0.1
#: Folds at which a stop may be set, in degrees.
STOPS = (105.0, 100.0, 95.0, 90.0, 85.0, 80.0, 75.0, 70.0)

#: How many times as fast as such blades are kept a rotor has run away, whatever its tail does. Own choice, no source.
RUNS_AWAY = 2.0
#: Share of the wind in which the loaded rotor's tail folds, below which that of the bare one is told apart. Own choice.
STALLS = 0.85

STATICS = Source(
    "Moments about yaw axis and hinge in balance: thrust, vane, weight of the tail",
    "own statics",
    "own estimate",
)
VANE = Source(
    "Flat plates of low aspect ratio by potential and vortex lift",
    "after Polhamus; method named in arXiv 2601.11349 and Aerospace 10(7) 597, 2023; its numbers from memory",
    "from memory",
)
YAWED = Source(
    "Power of a yawed rotor falls with the cosine of the yaw angle, to a power of 2 to 3",
    "measured up to some 50 degrees; beyond it is carried on",
    "from memory",
)
STEADY = "Steady wind: how far the head swings past its balance in a gust is not computed."


def _furls(x: Inputs) -> bool:
    return x.maybe(Sheet.rotor.overspeed) == FURLING and not is_vertical(x)


def _described(x: Inputs) -> bool:
    return _furls(x) and is_described(x)


def _why_stuck(x: Inputs) -> str:
    if x.maybe(Sheet.tail.hinge) == FIXED:
        return "it has no hinge"
    if x.given(Sheet.tail.stop_angle) and np.all(np.less(x.tail.stop_angle, LEAST_FOLD)):
        return f"a stop holds it after {show(x.tail.stop_angle, 'deg')}"
    return "its hinge stands upright, so that no weight holds it or brings it back: its friction alone decides"


def _stuck_ways(x: Inputs) -> list[Way]:
    lean: dict[Entry[Any], Value] = {Sheet.tail.inclination: 15.0 * DEG}
    if x.maybe(Sheet.tail.hinge) == FIXED:
        hung = {Sheet.tail.hinge: HINGED, **lean}
        return [change("Hang the tail {0}, the hinge leaning by {1}.", hung)]
    if x.given(Sheet.tail.inclination) and np.all(np.less(x.tail.inclination, LEAST_LEAN)):
        return [change("Let the hinge lean by {0}.", *ladder(Sheet.tail.inclination, [15.0 * DEG, 20.0 * DEG]))]
    return [change("Set the stop so that the tail can fold by {0}.", *_stops())]


def _stops() -> list[dict[Entry[Any], Value]]:
    return [{Sheet.tail.stop_angle: angle * DEG} for angle in STOPS]


def _folds(x: Inputs) -> Judgement | Unknown:
    """Judge whether it folds at all, then whether in the wind that is meant."""
    bad = stuck(x)
    if np.all(bad):
        return Judgement(
            DANGER,
            lambda: f"This tail cannot fold, so nothing holds the rotor back in a storm: {_why_stuck(x)}.",
            lambda: _stuck_ways(x),
        )
    if x.maybe(Sheet.yaw.rotor_side) == DOWNWIND:
        return Unknown(
            "Whether a tail folds was computed only for rotors ahead of the mast; of one behind it nothing was checked"
        )
    if missing := x.lacks(*FIRST):
        return Unknown("", missing)
    found, solved = described_furling(x), solve_machine(x)
    if isinstance(found, Unknown) or isinstance(solved, Unknown):
        return found if isinstance(found, Unknown) else solved if isinstance(solved, Unknown) else Unknown("")
    begins, gust, stated = found.loaded.begins, gust_wind(x), x.maybe(Sheet.rotor.limit_wind)
    meant = USUAL_LIMIT if stated is None else stated
    level = np.where(begins > APART * np.asarray(meant), MARGINAL, OK)
    if stated is not None:
        early = (np.asarray(stated) > APART * begins) & ~_agrees(begins, found.loaded.ends, stated)
        level = np.where(early, MARGINAL, level)
    level = np.where(begins < solved.charging, FAIL, level)
    level = np.where((begins > np.asarray(gust)) | bad, DANGER, level)
    return Judgement(
        level,
        lambda: _folds_says(x, found, solved),
        lambda: _folds_ways(x, found, solved, early=bool(level == FAIL or _early(begins, meant))),
        begins,
        gust,
        "m/s",
        (np.asarray(gust) - begins) / np.asarray(gust),
        lambda: _folds_more(found),
    )


def _agrees(begins: Num, ends: Num, stated: Num) -> Flags:
    """Whether a wind stated is about that in which the fold begins, or lies between its begin and its end."""
    V = np.asarray(stated)
    near = (begins >= V / APART) & (np.asarray(begins) <= APART * V)
    return np.asarray(near | ((np.asarray(begins) <= V) & (ends >= V) & np.isfinite(ends)))


def _folds_ways(x: Inputs, found: Furling, solved: Solved, *, early: bool) -> list[Way]:
    """Later, where it folds too early; but no tail is made to fold later that lets the tips get too fast already."""
    if not early:
        return folds_earlier(x)
    if found.loaded.begins < solved.charging or _kept(x, found, solved).free_tip <= usual_tip_speed(x):
        return folds_later(x)
    kept = "Leave it folding so early: later, with the load lost, its tips would get faster yet"
    return [act(Act.DO, f"{kept}. Write on the sheet the wind in which you see it fold.")]


def _early(begins: Num, meant: Num) -> bool:
    return bool(np.all(np.asarray(begins) < meant))


def _folds_says(x: Inputs, found: Furling, solved: Solved) -> str:
    c, gust, stated = found.loaded, gust_wind(x), x.maybe(Sheet.rotor.limit_wind)
    if not c.begins <= gust and no_offset(x):
        beside = show(x.rotor.offset, "mm", 2)
        return (
            f"This tail does not fold even in {gust_words(gust)}: the rotor stands {beside} beside the yaw axis, and "
            "from so near its thrust does not turn the head. Nothing then holds the rotor back."
        )
    if not c.begins <= gust:
        return (
            f"This tail is too heavy for its vane: it does not fold even in {gust_words(gust)}. Nothing then holds the "
            "rotor back."
        )
    begins = show(c.begins, "m/s", 2)
    if c.begins < solved.charging:
        return f"The tail folds from {begins} on, before charging begins in {show(solved.charging, 'm/s', 2)}."
    ends = f"lies at its stop from {show(c.ends, 'm/s', 2)}" if c.ends <= gust else "never reaches its stop"
    head = f"The tail begins to fold in {begins} of wind and {ends}, by the balance of its moments."
    if stated is None:
        return f"{head} Tails are usually set to begin at {show(USUAL_LIMIT, 'm/s')} or before."
    agree = "; the two agree" if _agrees(c.begins, c.ends, stated) else "; the two do not agree"
    return f"{head} The sheet says that the rotor is held back from {show(stated, 'm/s')} on{agree}."


def _folds_more(found: Furling) -> str:
    free = found.free.begins
    bare = f" With nothing connected it begins in {show(free, 'm/s', 2)}." if np.isfinite(free) else ""
    if free < STALLS * found.loaded.begins:
        bare += " Held slow by its load the rotor pushes less, so the tail folds later."
    return f"{STEADY}{bare} What was measured on the machine itself stands above these sums."


@dataclass(frozen=True, slots=True)
class _Kept:
    """What the tail keeps the rotor to, up to the strongest gust: winds felt [m/s], speeds [rad/s], tips [m/s]."""

    wind: Num
    omega: Num
    tip: Num
    free_wind: Num
    free_omega: Num
    free_tip: Num


def _kept(x: Inputs, found: Furling, solved: Solved) -> _Kept:
    gust, m = gust_wind(x), solved.machine
    loaded = np.maximum(found.loaded.most(gust), EDGE_ON)
    omega = balance.operate(m, solved.every(loaded)).running.omega[..., 0]
    # The same speed as everywhere else: where a wind is stated too, that of the greater.
    free, held, R = np.maximum(held_wind(x), EDGE_ON), unloaded_held(x), np.asarray(m.R)
    turning = np.asarray(balance.unloaded(m, solved.every(free))[0][..., 0] if held is None else held.speed)
    return _Kept(loaded, omega, omega * R, free, turning, turning * R)


def _keeps(x: Inputs) -> Judgement | Unknown:
    found, solved = described_furling(x), solve_machine(x)
    if isinstance(solved, Unknown):
        return solved
    if isinstance(found, Unknown):
        return found
    kept, limit = _kept(x, found, solved), usual_tip_speed(x)
    level, margin = at_most(kept.tip, limit)
    level = np.where((level == OK) & (np.asarray(kept.free_tip) > limit), MARGINAL, level)
    runs_away = (np.asarray(kept.tip) > RUNS_AWAY * limit) | (found.loaded.begins > np.asarray(gust_wind(x)))
    level = np.where((level == FAIL) & runs_away, DANGER, level)

    def says() -> str:
        return (
            f"Up to {gust_words(gust_wind(x))} the tail keeps the tips to {show(kept.tip, 'm/s', 2)}, "
            f"{show(kept.omega, 'rpm', 2)}; such blades are kept below {show(limit, 'm/s')}. With the load lost they "
            f"reach {show(kept.free_tip, 'm/s', 2)}, {show(kept.free_omega, 'rpm', 2)}."
        )

    def more() -> str:
        turned = found.loaded.yaw[..., -1]
        return (
            f"It feels at most {show(kept.wind, 'm/s', 2)} square to it, unloaded {show(kept.free_wind, 'm/s', 2)}. "
            f"Folded, the head stands {show(turned, 'deg', 2)} out of the wind, and beyond that the rotor gets faster "
            f"with the wind again. {STEADY}"
        )

    def ways() -> list[Way]:
        folded = change("Let the tail fold further, by {0}.", *_further(x))
        looked = act(Act.MEASURE, "Read the speed with nothing connected in a known blow, from far off.")
        # Nobody is sent near a rotor that runs away.
        measured = [] if level == DANGER else [looked]
        stated = held_earlier(x) if x.given(Sheet.rotor.limit_wind) and not nothing_limits(x) else []
        return [*folds_earlier(x), *stated, *([folded] if folded.tries else []), *measured]

    return Judgement(level, says, ways, kept.tip, limit, "m/s", margin, more)


def _further(x: Inputs) -> list[dict[Entry[Any], Value]]:
    now = float(tail_of(x).stop)
    return [tried for tried in reversed(_stops()) if float(tried[Sheet.tail.stop_angle]) > now + DEG]


def _returns(x: Inputs) -> Judgement | Unknown:
    found = described_furling(x)
    if isinstance(found, Unknown):
        return found
    of, c = found.of.over(), found.loaded
    weight = np.min(tail.weight_moment(of, np.asarray(of.stop) * np.linspace(0.0, 1.0, 25)), axis=-1)
    rubs = np.asarray(found.of.rubbing)
    fixed = np.isinf(rubs)
    margin = np.where(fixed, -1.0, (weight - rubs) / np.where(fixed | (rubs <= 0), 1.0, rubs))
    late = c.back < BACK_BY * np.where(np.isfinite(c.begins), c.begins, 0.0)
    level = np.where(margin < 0, FAIL, np.where(late, MARGINAL, OK))

    def says() -> str:
        least, held = show(weight, "Nm", 2), show(rubs, "Nm", 2)
        if level == FAIL:
            return (
                f"Once folded this tail may stay there: its weight swings it back with {least} at the least, and its "
                f"hinge rubs with {held}. The rotor then stands out of the wind and gives nothing."
            )
        begins, back = show(c.begins, "m/s", 2), show(c.back, "m/s", 2)
        return (
            f"The weight brings the tail back, with {least} or more against {held} of friction: it is at rest again "
            f"once the wind has fallen to {back}; it began to fold at {begins}."
        )

    def ways() -> list[Way]:
        backwards = [a * DEG for a in (60.0, 50.0, 45.0, 40.0, 30.0) if x.tail.hinge_direction > a * DEG]
        return [
            change("Let the hinge lean more to the back, {0} from the boom, seen from above.",
                   *ladder(Sheet.tail.hinge_direction, backwards)),
            change("Stop the fold at {0} already.", *_earlier(x)),
            act(Act.DO, "Free and grease the hinge, and fold the tail by hand: it must swing back by itself."),
        ]  # fmt: skip

    return Judgement(level, says, ways, weight, rubs, "Nm", margin)


def _earlier(x: Inputs) -> list[dict[Entry[Any], Value]]:
    now = float(tail_of(x).stop)
    return [tried for tried in _stops() if float(tried[Sheet.tail.stop_angle]) < now - DEG]


def _stop(x: Inputs) -> Judgement | Unknown:
    """Judge the stop by the fold at which the end of the vane reaches the plane of the rotor."""
    of, stop = tail_of(x), x.tail.stop_angle
    reach = of.arm + np.asarray(of.area) / np.sqrt(np.asarray(of.aspect) * of.area) / 2.0
    ahead = (np.asarray(of.behind) + of.overhang) / reach
    # Counted, as the fold is, from where the boom rests.
    meets = np.where(ahead < 1.0, np.pi - np.arccos(np.minimum(ahead, 1.0)), np.pi) + of.rest
    level, margin = at_most(stop, meets, marginal=CLEARANCE, worst=DANGER)

    def says() -> str:
        verdict = "before" if stop < meets else "not before"
        return (
            f"A stop holds the tail after {show(stop, 'deg')} of fold, {verdict} the end of its vane reaches the "
            f"rotor at {show_down(meets, 'deg', 2)}. A boom that bends, or swings hard, reaches further."
        )

    def ways() -> list[Way]:
        lower = [tried for tried in _stops() if float(tried[Sheet.tail.stop_angle]) < stop]
        return [
            change("Set the stop at {0} of fold.", *lower),
            act(Act.DO, f"Put rubber on the stop, and see that it holds below {show_down(meets, 'deg', 2)}."),
        ]

    return Judgement(level, says, ways, stop, meets, "deg", margin)


STRUCK = (
    "A tail that swings into the rotor breaks blade and boom, and the pieces fly. Keep people out of reach of the "
    "fall and the throw."
)

RULES = (
    Rule(
        "tail.folds",
        "Whether the tail folds",
        "tail",
        (),
        _folds,
        (STATICS, VANE, YAWED, COMMON_PRACTICE),
        THROWN,
        applies=_furls,
    ),
    Rule(
        "tail.keeps",
        "Speed to which the tail keeps the rotor",
        "tail",
        FIRST,
        _keeps,
        (STATICS, VANE, YAWED),
        THROWN,
        applies=_described,
    ),
    Rule(
        "tail.returns",
        "Whether the tail comes back",
        "tail",
        FIRST,
        _returns,
        (STATICS, Source("Friction of a greased hinge", "", "own estimate")),
        applies=_described,
    ),
    Rule(
        "tail.stop",
        "Stop of the folding tail",
        "tail",
        (*FIRST, Sheet.tail.stop_angle),
        _stop,
        (STATICS, COMMON_PRACTICE),
        STRUCK,
        applies=_described,
    ),
)
