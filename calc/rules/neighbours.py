"""Who and what stands around the mast: what falls on it, what flies there, noise, shadow, and the boundary."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from calc.finding import Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.neighbours import HOUSE, LINE, OWN_HOUSE, PATH, PLAY, ROAD
from calc.machine.falling import Flight, fall_reach, flying, highest_point
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import SOLVING_NEEDS, Solved, held_wind
from calc.physics import flight, noise, sun
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least, with_machine
from calc.rules.kits import held_earlier
from calc.rules.phrases import THROWN, inside, not_stated
from calc.rules.ways import Try, Way, act, change
from calc.units import Num, rounded_up, show, show_down, show_up

#: Whom a falling mast would hit who has no say in it; and where people stay, so that a piece would find them there.
OTHERS, STAYING = (HOUSE, ROAD, PATH, PLAY, LINE), (HOUSE, PLAY)
#: What is usually kept one and a half heights away.
SET_BACK = (HOUSE, LINE)
#: So many are named in one sentence.
MOST_NAMED = 4
HOUSES = (HOUSE, OWN_HOUSE)
#: Distance over the highest point below which others' things are near enough to be told of. From memory.
USUAL = 1.5
#: Wind at the rotor in which the noise is judged: beyond, the wind's own noise covers it. [m/s]
NOISE_WIND = 8.0
#: Flicker of a year and of a day that others need not bear, in [s], and the share of it from which it is told of.
YEARLY, DAILY, TOLD = 30 * 3600.0, 30 * 60.0, 0.5
#: The widest chord where the sheet does not tell it, as a share of the diameter. Common practice, no source.
CHORD = 1 / 12
#: Days for which the flicker is worked out: a whole year, 2030. [day]
_YEAR = sun.days_since_2000(2030, 1, 1) + np.arange(365.0)

MAST_FALLS = Source("A mast falls no further than its height; a tenth to spare", "", "common practice")
SETBACKS = Source("Setbacks of 1.0 to 2 heights in ordinances of three places; 1.5 from memory", "", "reproduction")
RUTGERS = Source("T. Matilsky, Basic kinematics of blade and ice throws, Rutgers University", "", "published")
DRAG = Source("Drag by the square of the speed; a tumbling plate shows half its face (Cauchy)", "", "from memory")
SPREAD = Source("Edge first a quarter of that drag; mass of carved blades over their face", "", "own estimate")
ICE = Source("H. Seifert et al., 2003: ice within 1.5 (D + H)", "", "reproduction")
TIP_NOISE = Source("F. Hagg, 1990: 50 lg of the tip speed + 10 lg D - 4, from large machines", "", "from memory")
SWEDISH = Source("Swedish guideline for noise of wind power", "LWA - 8 - 20 lg r - 0.005 r", "reproduction")
WHO = Source("WHO, Night Noise Guidelines for Europe, 2009: 40 dB(A) outdoors at night", "", "reproduction")
MASKED = Source("Beyond 8 m/s the wind's own noise covers the machine's; white paper on noise", "", "reproduction")
ROUGH = Source("Blunt edges cut by hand may be 6 dB louder", "", "own estimate")
GERMAN_SHADOW = Source(
    "German guideline on shadow: sun above 3 degrees, a fifth covered, 30 h a year, 30 min a day",
    "P. Jain, Wind Energy Engineering, p. 258",
    "reproduction",
)
ALMANAC = Source("Astronomical Almanac, low-precision formulas for the sun", "", "from memory")


def _name(x: Inputs) -> str:
    """What stands there, with the builder's word for it, as a sentence begins with it."""
    kind = x.neighbour[x.label or ""].kind
    return f"{kind[0].upper()}{kind[1:]} ({x.label})"


def _kind(x: Inputs) -> str | None:
    return x.maybe(Sheet.neighbour.kind)


def _apart(x: Inputs, distance: float) -> Way:
    """Another place for the mast, so far from this neighbour; whether it suits the others is tried with it."""
    at = Sheet.neighbour.distance[x.label or ""]
    tries = [{at: rounded_up(distance)}] if distance <= at.high else []
    return change("Put the mast {0} or more from it.", *tries, kind=Act.MOVE)


def _all_apart(names: tuple[str, ...], distance: float) -> Way:
    """The same of several at once."""
    far, at = rounded_up(distance), Sheet.neighbour.distance
    each: Try = {at[n]: far for n in names}
    whom = "each of them" if len(names) > 1 else f"the {names[0]}" if names else ""
    tries = [each] if names and far <= at.high else []
    return change(f"Put the mast {{0}} or more from {whom}.", *tries, kind=Act.MOVE)


@dataclass(frozen=True, slots=True)
class _Reached:
    """All who are around against what reaches them.

    Level, distance and limit [m] of whoever decides, shape (...,); and the names of those within reach, nearest first.
    """

    level: NDArray[np.int_]
    away: Num
    limit: Num
    margin: Num
    within: tuple[str, ...]


def _reached(x: Inputs, names: list[str], one: Callable[[str, Num], tuple[Num, Num]]) -> _Reached:
    """Judge them one by one, each by kind and distance to level and limit [m]."""
    away = [x.neighbour[n].distance for n in names]
    judged = [one(x.neighbour[n].kind, d) for n, d in zip(names, away, strict=True)]
    parts = (away, [level for level, _ in judged], [limit for _, limit in judged])
    shape = np.broadcast_shapes(*(np.shape(v) for part in parts for v in part))
    d, levels, limits = (np.array([np.broadcast_to(v, shape) for v in part]) for part in parts)
    margins = (d - limits) / limits
    # The worst decides, and of those the one with the least left between.
    decides = np.argmax(levels - margins / (1.0 + np.abs(margins)) / 4.0, axis=0)[None]
    level, at, limit, margin = (np.take_along_axis(part, decides, axis=0)[0] for part in (levels, d, limits, margins))
    within = [n for n, m in zip(names, margins, strict=True) if np.all(m < 0)]
    within.sort(key=lambda n: float(np.min(x.neighbour[n].distance)))
    return _Reached(np.asarray(level, dtype=int), at, limit, margin, tuple(within))


def _listed(x: Inputs, names: Sequence[str]) -> str:
    """Names with their distances, the first few of many."""
    told = ", ".join(f"{n} {show_down(x.neighbour[n].distance, 'm')}" for n in names[:MOST_NAMED])
    return told + (f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else "")


# --- what falls -------------------------------------------------------------------------------------------------------


def _fall(x: Inputs) -> Judgement | Unknown:
    names, at = list(x.labels(Sheet.neighbour)), Sheet.neighbour
    if not names:
        return Unknown("", (at.kind["nearest"], at.distance["nearest"]))
    missing = x.lacks(*(entry[n] for n in names for entry in (at.kind, at.distance)))
    names = [n for n in names if not x.lacks(at.kind[n], at.distance[n])]
    if not names:
        return Unknown("", missing[:MOST_NAMED])
    tip = highest_point(x)
    reach, usual = fall_reach(tip), USUAL * tip

    def one(kind: str, away: Num) -> tuple[Num, Num]:
        near = MARGINAL if kind in SET_BACK else OK
        hit = DANGER if kind in OTHERS else FAIL
        return np.where(np.asarray(away) < reach, hit, np.where(np.asarray(away) < usual, near, OK)), reach

    told = _reached(x, names, one)
    if missing and not np.any(told.level >= FAIL):
        # Whoever is known to stand within reach does so whatever is not known of others.
        return Unknown("", missing[:MOST_NAMED])
    return Judgement(
        told.level,
        lambda: _fall_says(x, told, reach, usual),
        lambda: _fall_ways(x, told, float(usual if told.level == MARGINAL else reach)),
        told.away,
        reach,
        "m",
        told.margin,
        by_limit=True,
        more=lambda: (
            f"By the sheet there stand or walk around it: {_listed(x, names)}. What is not named is not judged."
        ),
    )


def _fall_says(x: Inputs, told: _Reached, reach: Num, usual: Num) -> str:
    start = f"Mast and rotor reach {show_up(reach, 'm', 2)} if they fall"
    if told.within:
        return f"{start}; within that there is: {_listed(x, told.within)}. Most fall while raised or lowered."
    if told.level == MARGINAL:
        near = show_up(usual, "m", 2)
        return f"{start}; out of reach, but nearer than 1.5 heights, {near}: {_listed(x, _close(x, usual))}."
    nearest = min(float(np.asarray(x.neighbour[n].distance)) for n in x.labels(Sheet.neighbour))
    return f"{start}; what is nearest stands {show_down(nearest, 'm')} away: out of their reach."


def _close(x: Inputs, usual: Num) -> tuple[str, ...]:
    """Names of houses and lines nearer than is usual."""
    at = x.neighbour
    return tuple(n for n in x.labels(Sheet.neighbour) if at[n].kind in SET_BACK and at[n].distance < usual)


def _fall_ways(x: Inputs, told: _Reached, need: float) -> list[Way]:
    tip = float(highest_point(x))
    lower = float(np.floor(2.0 * (float(told.away) / (need / tip) - float(x.rotor.diameter) / 2.0)) / 2.0)
    near = told.within or _close(x, need)
    # From a line more is asked, and who moves the mast moves it once.
    line = any(x.neighbour[name].kind == LINE for name in near)
    return [
        _all_apart(near, USUAL * tip if line else need),
        change("Keep the rotor's centre at {0} or lower.", *([{Sheet.mast.height: lower}] if lower >= 2.0 else [])),
        act(Act.DO, "Until then keep people out of that circle whenever the mast is worked on and in every storm."),
    ]


# --- what flies -------------------------------------------------------------------------------------------------------


def _people(x: Inputs) -> list[str]:
    """Names of those of whom kind and distance are known, power lines left aside."""
    at = Sheet.neighbour
    known = (n for n in x.labels(at) if x.maybe(at.kind[n]) not in (None, LINE))
    return [n for n in known if x.maybe(at.distance[n]) is not None]


def _one_thrown(kind: str, away: Num, flown: Flight) -> tuple[Num, Num]:
    """Level, and the limit [m], of one of them."""
    limit = np.where(flown.held, flown.far if kind in STAYING else flown.likely, flown.far)
    within = np.asarray(away) < limit
    # Where a piece lay before, another may lie; and no wall stands between it and who plays outdoors.
    open_to = np.maximum(flown.found if kind in OTHERS else 0.0, flown.likely if kind == PLAY else 0.0)
    held = np.where(np.asarray(away) < open_to, FAIL, np.where(within, MARGINAL, OK))
    return np.where(flown.held, held, np.where(within, DANGER, MARGINAL)), limit


def _throw(x: Inputs) -> Judgement | Unknown:
    flown = flying(x)
    if isinstance(flown, Unknown):
        return flown
    told = _reached(x, _people(x), lambda kind, away: _one_thrown(kind, away, flown))
    # Whoever is within reach is told how far a piece flies at the most.
    limit = np.where(np.asarray(told.margin) < 0, flown.far, told.limit)
    return Judgement(
        told.level, lambda: _throw_says(x, flown, told), lambda: _throw_ways(x, flown, told), told.away, limit, "m",
        (told.away - limit) / limit, lambda: _throw_more(x, flown), by_limit=True,
    )  # fmt: skip


def _throw_says(x: Inputs, flown: Flight, told: _Reached) -> str:
    reached = (
        f"Within reach: {_listed(x, told.within)}."
        if told.within
        else f"The nearest of whom it could hit is {show_down(told.away, 'm')} away."
    )
    record = f" One lay {show_up(flown.found, 'm')} away." if flown.found else ""
    far = f"{show_up(flown.tumbling, 'm', 2)} tumbling and up to {show_up(flown.edge_first, 'm', 2)} edge first"
    speed = show(flown.speed, "m/s", 2)
    if not flown.held:
        return (
            f"Nothing holds the rotor back: in the storm's gust its tips could pass {speed}, and a torn piece flies "
            f"{far}.{record} {reached}"
        )
    held = "its load lost but the rotor held back"
    if told.level == FAIL and told.within:
        return f"{reached} A piece torn from a tip at {speed}, {held}, flies {far}.{record}"
    return f"A piece torn from a tip at {speed}, {held}, flies {far}.{record} {reached}"


def _throw_more(x: Inputs, flown: Flight) -> str:
    wind = f"In the storm's wind of {show(x.site.storm_wind, 'm/s')}, thrown at the worst angle from the hub's height."
    ice = f"Expect ice from the blades within {show_up(flight.ice_throw(x.rotor.diameter, x.mast.height), 'm', 2)}."
    if not flown.held:
        return f"{wind} A rotor that runs away may turn faster yet, and a piece that glides flies further. {ice}"
    return (
        f"{wind} With no air to slow it, it would fly {show_up(flown.no_air, 'm', 2)}, and "
        f"{show_up(flown.ordinary, 'm', 2)} at the greatest speed of ordinary running. A piece that glides flies "
        f"further than one that tumbles. {ice}"
    )


def _throw_ways(x: Inputs, flown: Flight, told: _Reached) -> list[Way]:
    stop = act(Act.DO, "Stop the rotor before a storm, and keep out of the plane in which it turns.")
    if not flown.held:
        return [*held_earlier(x), stop]
    play = tuple(name for name in told.within if x.neighbour[name].kind == PLAY)
    if told.level == FAIL and play:
        away = act(Act.DO, "Stop the rotor whenever somebody is there, and before a storm; keep out of its plane.")
        return [_all_apart(play, float(flown.likely)), *held_earlier(x), away]
    return [stop, *held_earlier(x), _all_apart(told.within, float(flown.far))]


# --- noise ------------------------------------------------------------------------------------------------------------


def _noise(x: Inputs, solved: Solved) -> Judgement:
    at = x.neighbour[x.label or ""]
    # What is a little further than the relation goes is no louder than where it ends.
    r = np.minimum(np.hypot(np.maximum(at.distance, 1.0), x.mast.height), noise.FARTHEST)
    D = x.rotor.diameter
    tips = solved.operation.running.tip_speed[..., int(np.argmin(np.abs(solved.winds - NOISE_WIND)))]
    power = noise.sound_power(np.maximum(tips, 1.0), D)
    heard, limit = np.maximum(noise.sound_pressure(power, r), 0.0), at.noise_limit
    beyond = FAIL if at.kind == HOUSE else MARGINAL
    level = np.where(heard > limit, beyond, np.where(heard > limit - noise.ROUGH_EDGES, MARGINAL, OK))

    def says() -> str:
        start = f"About {show(heard, 'dB(A)', 2)} reaches {inside(_name(x))} in {show(NOISE_WIND, 'm/s')} of wind"
        verdict = (
            "too much" if heard > limit else "little to spare" if heard > limit - noise.ROUGH_EDGES else "below it"
        )
        return (
            f"{start}, tips at {show(tips, 'm/s', 2)}; the limit is {show(limit, 'dB(A)', 2)}: {verdict}. Rough edges "
            f"may add {show(noise.ROUGH_EDGES, 'dB(A)')}."
        )

    def more() -> str:
        free = solved.unloaded(solved.every(np.minimum(NOISE_WIND, held_wind(x))))[0][..., 0] * D / 2.0
        loud = noise.sound_pressure(noise.sound_power(np.maximum(free, 1.0), D), r)
        return (
            f"The rotor gives {show(power, 'dB(A)', 2)} of sound power. With nothing connected its tips pass "
            f"{show(free, 'm/s', 2)}, and {show(np.maximum(loud, 0.0), 'dB(A)', 2)} arrive. Gears, a generator's hum "
            "and a mast that rings are not in it."
        )

    return Judgement(
        level, says, lambda: _noise_ways(x, power, limit), heard, limit, "dB(A)", (limit - heard) / limit, more
    )


def _noise_ways(x: Inputs, power: Num, limit: Num) -> list[Way]:
    r, h = noise.distance_for(float(power), float(limit - noise.ROUGH_EDGES)), float(np.asarray(x.mast.height))
    return [
        _apart(x, float(np.sqrt(max(r * r - h * h, 1.0)))),
        act(Act.MEASURE, "Measure it there with a sound level meter in that wind, the rotor turning and stopped."),
        act(Act.ASK, "Ask the local authority which limit holds there, by day and by night."),
    ]


# --- shadow -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Flicker:
    """Time [s] in which the rotor cuts through the sun, of a year and of the worst day; how far that is seen [m]."""

    year: Num
    day: Num
    reach: Num


def _flicker(x: Inputs) -> _Flicker | Unknown:
    at, chord = x.neighbour[x.label or ""], _widest(x)
    reach = sun.flicker_reach(chord)
    beyond = np.asarray(at.distance) >= reach
    if np.all(beyond):
        return _Flicker(0.0 * np.asarray(at.distance), 0.0 * np.asarray(at.distance), reach)
    if missing := x.lacks(Sheet.site.latitude, Sheet.neighbour.direction):
        why = f"The blades' shadow can reach {show_up(np.max(reach), 'm', 2)}: {not_stated(missing)}"
        return Unknown(why, missing)
    R = x.rotor.diameter / 2.0
    days = sun.flicker(x.site.latitude, at.direction, np.maximum(at.distance, 1.01 * R), x.mast.height, R, _YEAR)
    days = np.where(beyond[..., None], 0.0, days)
    return _Flicker(days.sum(axis=-1), days.max(axis=-1), reach)


def _widest(x: Inputs) -> Num:
    """The widest chord of the blades, in [m]."""
    chords = [x.maybe(Sheet.blade.chord_root)]
    chords += [x.maybe(Sheet.station.chord[n]) for n in x.labels(Sheet.station)]
    known = [c for c in chords if c is not None]
    if not known:
        why = "a twelfth of the diameter, wide for such blades; common practice, no source"
        return x.else_assume(Sheet.blade.chord_root, CHORD * x.rotor.diameter, why)
    return cast(Num, np.max(np.broadcast_arrays(*known), axis=0)) if len(known) > 1 else known[0]


def _shadow(x: Inputs) -> Judgement | Unknown:
    told = _flicker(x)
    if isinstance(told, Unknown):
        return told
    share = np.maximum(told.year / YEARLY, told.day / DAILY)
    beyond = FAIL if x.neighbour[x.label or ""].kind == HOUSE else MARGINAL
    level = np.where(share > 1.0, beyond, np.where(share > TOLD, MARGINAL, OK))

    def says() -> str:
        away = x.neighbour[x.label or ""].distance
        if away >= told.reach:
            return (
                f"{_name(x)} is {show_down(away, 'm')} away, and so narrow blades make no shadow that flickers beyond "
                f"{show_up(told.reach, 'm', 2)}."
            )
        return (
            f"The rotor stands before the sun for {show(told.year, 'h', 2)} a year as seen from {inside(_name(x))}, at "
            f"most {show(told.day, 'min', 2)} a day; in Germany the limits are {show(YEARLY, 'h')} "
            f"and {show(DAILY, 'min')}."
        )

    def ways() -> list[Way]:
        return [
            _apart(x, float(told.reach)),
            act(Act.DO, "Stop the rotor in those hours, or plant a hedge before those windows."),
        ]

    return Judgement(level, says, ways, told.year, YEARLY, "h", 1.0 - share, lambda: _shadow_more(x))


def _shadow_more(x: Inputs) -> str:
    text = "Always sunny, always turning, the rotor always facing the sun: the worst that can be."
    latitude = x.maybe(Sheet.site.latitude)
    if latitude is None:
        return text
    months = (6, 12) if float(np.asarray(latitude)) >= 0 else (12, 6)
    summer, winter = (sun.noon_shadow(highest_point(x), latitude, sun.days_since_2000(2030, m, 21)) for m in months)
    long = f"{show(winter, 'm', 2)} on the shortest" if np.isfinite(winter) else "no sun at all on the shortest"
    text += f" At noon the shadow of mast and rotor is {show(summer, 'm', 2)} on the longest day and {long}."
    low = sun.ephemeris(sun.days_since_2000(2030, months[1], 21))[0]
    H = sun.above(latitude, low)
    first, last = (float(sun.azimuth(latitude, low, s * H) + np.pi) % (2.0 * np.pi) for s in (-1.0, 1.0))
    if not float(H) > 0.0:
        return text
    return f"{text} On that day it wanders from {show(first, 'deg', 3)} to {show(last, 'deg', 3)} from north over east."


# --- the boundary -----------------------------------------------------------------------------------------------------


def _setback(x: Inputs) -> Judgement:
    away, tip, times = x.site.boundary, highest_point(x), x.site.setback
    asked = times * tip
    level: NDArray[np.int_]
    level, margin = at_least(away, asked)
    # Whatever the rules say, what falls over the boundary falls on somebody else's ground.
    level = np.where((level == OK) & (np.asarray(away) < fall_reach(tip)), MARGINAL, level)
    typed = x.given(Sheet.site.setback)

    def says() -> str:
        whose = "local rules ask for" if typed else "many rules ask for"
        start = (
            f"The boundary is {show_down(away, 'm')} away; {whose} {show(times, '')} times the {show(tip, 'm')} of "
            f"the blades' highest point, {show_up(asked, 'm', 2)}"
        )
        if away < asked:
            return f"{start}: too near."
        over = " But a mast that falls can reach across." if away < fall_reach(tip) else ""
        return f"{start}: far enough.{over}"

    def ways() -> list[Way]:
        need = max(float(asked), float(fall_reach(tip)))
        lower = float(np.floor(2.0 * (away / (need / tip) - x.rotor.diameter / 2.0)) / 2.0)
        far = rounded_up(need)
        return [
            change(
                "Put the mast {0} or more from the boundary.",
                *([{Sheet.site.boundary: far}] if far <= Sheet.site.boundary.high else []),
                kind=Act.MOVE,
            ),
            change("Keep the rotor's centre at {0} or lower.", *([{Sheet.mast.height: lower}] if lower >= 2.0 else [])),
            act(Act.ASK, "Ask the local authority for its setback, and whoever lives beyond it."),
        ]

    return Judgement(level, says, ways, away, asked, "m", margin, by_limit=True)


_AT = (Sheet.neighbour.kind, Sheet.neighbour.distance)
_TALL = (Sheet.mast.height, Sheet.rotor.diameter)

RULES = (
    Rule(
        "neighbour.fall",
        "Within reach of a falling mast",
        "neighbour",
        _TALL,
        _fall,
        (MAST_FALLS, SETBACKS),
        "A mast that falls kills whoever is under it, and most fall while they are raised or lowered. Nobody may be in "
        "that circle then. Name every house, road, path and power line within reach, and where children play; local "
        "rules may want more.",
    ),
    Rule(
        "neighbour.throw",
        "Within reach of a thrown piece",
        "neighbour",
        (*_TALL, Sheet.site.storm_wind, *SOLVING_NEEDS),
        _throw,
        (RUTGERS, DRAG, SPREAD, ICE),
        THROWN,
        applies=lambda x: bool(_people(x)),
    ),
    Rule(
        "neighbour.noise",
        "Noise that arrives",
        "neighbour",
        (*_AT, Sheet.neighbour.noise_limit, *_TALL, *SOLVING_NEEDS),
        with_machine(_noise),
        (TIP_NOISE, SWEDISH, WHO, MASKED, ROUGH),
        each=True,
        applies=lambda x: _kind(x) in HOUSES,
    ),
    Rule(
        "neighbour.shadow",
        "Shadow that flickers",
        "neighbour",
        (*_AT, *_TALL),
        _shadow,
        (GERMAN_SHADOW, ALMANAC),
        each=True,
        applies=lambda x: _kind(x) in HOUSES,
    ),
    Rule(
        "site.setback",
        "Distance from the boundary",
        "site",
        (Sheet.site.boundary, Sheet.site.setback, *_TALL),
        _setback,
        (SETBACKS, MAST_FALLS),
        "Local rules come first: ask before the mast is raised.",
        applies=lambda x: x.maybe(Sheet.site.boundary) is not None or x.given(Sheet.site.setback),
    ),
)
