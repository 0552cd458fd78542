"""Guys: where they hold, what they and their ends withstand, and whether their anchors stay in the ground."""

from __future__ import annotations

import math

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.guys import (
    CLIPPED,
    NO_TURNBUCKLE,
    TURNBUCKLES,
)
from calc.machine.catalogue.mast import GUYED
from calc.machine.inputs import Inputs, Unknown
from calc.machine.mast_loads import (
    LEVEL,
    GuyPull,
    guy_angle,
    guy_labels,
    guy_pull,
    levels_missing,
    pretension,
    tight_pull,
)
from calc.machine.rotor_curves import overhang
from calc.physics.structure import guys
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.reserves import (
    DRAG,
    FACTORS,
    FALLS,
    ICE,
    ROPE,
    ROPE_DRAG,
    TOP,
    by_reserve,
    newtons,
    reserve_words,
    thicker_ropes,
    times_as_much,
)
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import Num, digits, rounded_up, show
from calc.wording import number_of

#: Distance of anchors over the height of the guys: usual, and the least. Suppliers' advice, 50 to 75 %.
WIDE, NARROW = 0.5, 0.35
#: Pull without wind over what breaks the rope: least and most. Common practice: 8 to 15 % of thin strand, less of rope
#: that is thicker than it need be.
LOOSE, TIGHT = 0.03, 0.20
#: Moderate blow in which no guy may hang slack, a fresh breeze of the Beaufort scale, as it comes every week [m/s]; and
#: pull below which a guy was not tightened at all [N]. Common practice, no source.
BLOW, LEAST_PULL = 10.0, 10.0
#: Clips that are advised for any eye, whatever the table of their kind is content with.
GOOD_CLIPS = 3.0
#: Clearance between blades and guys with which a rule is content. Common practice, no source. [m]
CLEARANCE = 0.3
#: What tells where the guys of a level stand.
_PLACED = (Sheet.guy.height, Sheet.guy.anchor_radius, Sheet.guy.ropes)
#: Threads of turnbuckles that are tabled. [m]
_THREADS = (0.005, 0.006, 0.008, 0.012)
#: Radii for anchors, as shares of the guys' height.
_RADII = (0.5, 0.6, 0.7, 0.8, 1.0)

STATICS = Source(
    "Balance of ropes that cannot push, wind from any side", "T = H / (cos a sin 120 deg) with three", "derived"
)
ROPE_TABLE = Source("ASTM A1023, Table C.1; EN 12385-4; -10 for 1x19, from memory", "", "reproduction")
END_TABLE = Source("TM 5-3810-305-10, Table 4, ends of wire rope", "", "reproduction")
ROPE_RESERVE = Source("EIA-222-E: 2.0 on what breaks a guy", "as told in a forum", "reproduction")

PULLED = f"A guy or an anchor that lets go brings the whole mast down. {FALLS}"


# --- layout -----------------------------------------------------------------------------------------------------------


def _layout(x: Inputs) -> Judgement | Unknown:
    if not guy_labels(x):
        return Unknown("", levels_missing(x))
    if missing := x.lacks(*(e[label] for label in guy_labels(x) for e in _PLACED)):
        return Unknown("", missing)
    level, ratio = np.asarray(OK), np.asarray(np.inf)
    few = None
    for label in guy_labels(x):
        guy = x.guy[label]
        share = np.asarray(guy.anchor_radius / guy.height)
        own = np.select([np.asarray(guy.ropes) < 3, share < NARROW, share < WIDE], [DANGER, FAIL, MARGINAL], OK)
        few = label if np.any(np.asarray(guy.ropes) < 3) else few
        level, ratio = np.maximum(level, own), np.minimum(ratio, share)

    def says() -> str:
        if few is not None:
            n = "one guy holds" if x.guy[few].ropes < 2 else "two guys hold"
            return f"Only {n} the mast at level {few}: with fewer than three it falls to the side that has none."
        return (
            f"The anchors stand at {show(ratio, '%', 2)} of the guys' height: {show(WIDE, '%')} to 75 % is usual. "
            "The nearer they stand, the harder guys and mast are pulled."
        )

    return Judgement(level, says, lambda: _layout_ways(x, few), ratio, NARROW, "%", (ratio - NARROW) / NARROW)


def _layout_ways(x: Inputs, few: str | None) -> list[Way]:
    if few is not None:
        return [
            change(
                "Hold it with {0} guys, evenly spread, each to an anchor of its own.",
                *ladder(Sheet.guy.ropes[few], (4.0, 3.0)),
            )
        ]
    label = min(guy_labels(x), key=lambda k: float(x.guy[k].anchor_radius / x.guy[k].height))
    return [_wider(x, label)]


def _wider(x: Inputs, label: str) -> Way:
    """Anchors of a level further out."""
    now, h = float(x.guy[label].anchor_radius), float(x.guy[label].height)
    further = [
        math.ceil(2.0 * share * h - 1e-9) / 2.0 for share in _RADII if math.ceil(2.0 * share * h) / 2.0 > 1.02 * now
    ]
    return change(
        f"Put the anchors of level {label} {{0}} from the mast.", *ladder(Sheet.guy.anchor_radius[label], further)
    )


# --- blades against guys ----------------------------------------------------------------------------------------------


def _blades(x: Inputs) -> Judgement | Unknown:
    guy, R, e = x.guy[x.label or ""], x.rotor.diameter / 2.0, overhang(x)
    slope = guy.height / guy.anchor_radius
    # Where the guy passes the rotor's plane, beside the lowest point of the blades.
    passes, tips = guy.height - e * slope, x.mast.height - R
    clear, highest = tips - passes, np.maximum(tips - CLEARANCE, 0.01)
    level = np.select([np.asarray(clear) < 0, np.asarray(clear) < CLEARANCE], [DANGER, FAIL], OK)

    def says() -> str:
        where = f"The guys of level {x.label} pass the rotor {show(passes, 'm', 2)} up"
        if clear < 0:
            return f"{where}, and the blades come down to {show(tips, 'm', 2)}: they strike the guys."
        text = f"{where}, {show(clear, 'm', 2)} below the blades, which bend towards the mast in a gust"
        if clear < CLEARANCE:
            return f"{text}: too near to let it turn; keep {show(CLEARANCE, 'm', 2)}."
        return f"{text}."

    def ways() -> list[Way]:
        lower = [math.floor(10.0 * float(x.mast.height - R - c)) / 10.0 for c in (CLEARANCE, 0.0)]
        return [
            change(
                "Hold the mast {0} up or lower, below the blades.",
                *ladder(Sheet.guy.height[x.label or ""], [h for h in lower if h > 0.5]),
            )
        ]

    return Judgement(level, says, ways, passes, highest, "m", (highest - passes) / highest)


# --- ropes ------------------------------------------------------------------------------------------------------------


def _rope(x: Inputs) -> Judgement | Unknown:
    found, guy = guy_pull(x, x.label), x.guy[x.label or ""]
    if isinstance(found, Unknown):
        return found
    breaks = guys.breaking_load(guy.rope, guy.rope_diameter)
    holds = breaks * guys.end_share(guy.end)
    eta = holds / found.tension
    level, margin = by_reserve(eta, ROPE)

    def says() -> str:
        return (
            f"With its ends the guy breaks at {newtons(holds)}, {times_as_much(eta)} the worst storm's "
            f"{newtons(found.tension)}: {reserve_words(eta, ROPE)}. The rope alone would break at "
            f"{newtons(breaks)}; its ends ({guy.end}) leave {show(guys.end_share(guy.end), '%', 2)}."
        )

    def ways() -> list[Way]:
        better = [e for e in ("thimble and pressed sleeve",) if guys.end_share(e) > guys.end_share(guy.end)]
        return [
            *thicker_ropes(x.label or "", float(guy.rope_diameter), clipped=guy.end in CLIPPED),
            *(change("Make the ends with a {0}.", {Sheet.guy.end[x.label or ""]: e}) for e in better),
            _wider(x, x.label or ""),
        ]

    return Judgement(level, says, ways, eta, ROPE.enough, "", margin, lambda: _rope_more(x, found))


def _rope_more(x: Inputs, found: GuyPull) -> str:
    guy = x.guy[x.label or ""]
    angle = show(guy_angle(x, x.label or ""), "deg", 2)
    square = " With three guys the worst wind is not that over an anchor but one square to the next guy."
    worst = square if guy.ropes < 4 else ""
    t = x.maybe(Sheet.site.ice_thickness)
    iced = " and, in a lesser gust, their ice" if t is not None and t > 0 else "; ice is not, the sheet names none"
    return (
        f"The level holds {newtons(found.sideways)} sideways, the guy stands at {angle}, and is pulled with "
        f"{newtons(pretension(x, x.label or ''))} without wind.{worst} Wind on the guys is counted{iced}."
    )


# --- clips and turnbuckles --------------------------------------------------------------------------------------------


def _clips(x: Inputs) -> Judgement | Unknown:
    guy, label = x.guy[x.label or ""], x.label or ""
    needed = np.asarray(guys.clips_needed(guy.clip_kind, guy.rope_diameter))
    if np.any(np.isnan(needed)):
        why = "No figures were found for clips of that kind on so thick a rope; their maker has them"
        return Unknown(why, impossible=np.isnan(needed) if needed.ndim else None)
    strand = guys.is_strand(guy.rope)
    n, good = guy.clips, np.maximum(needed, GOOD_CLIPS)
    level = np.select([n < np.minimum(needed, 2.0), n < needed, n < good], [DANGER, FAIL, MARGINAL], OK)
    level = np.maximum(level, FAIL) if strand else level
    kept = np.asarray((guy.clips - needed) / needed)
    margin = np.minimum(kept, -1e-3) if strand else kept

    def says() -> str:
        if strand:
            return "Clips do not hold spiral strand such as 1x19: it takes swaged ends."
        least = digits(float(needed))
        three = f" Makers' tables are content with {least}; at least three are advised for any eye."
        return (
            f"Each end has {number_of(float(n), 'clip')}, and {show(guy.rope_diameter, 'mm')} rope takes "
            f"{least} of this kind "
            f"({guy.clip_kind}), every saddle on the part that is pulled.{three if needed <= n < good else ''}"
        )

    def ways() -> list[Way]:
        swaged = [change("Have the ends made as a {0}.", {Sheet.guy.end[label]: "swaged or poured socket"})]
        more = [] if strand else [change("Fit {0} clips at each end.", {Sheet.guy.clips[label]: float(good)})]
        return [*more, *swaged]

    return Judgement(level, says, ways, guy.clips, needed, "", margin)


def _turnbuckle(x: Inputs) -> Judgement | Unknown:
    found, guy = guy_pull(x, x.label), x.guy[x.label or ""]
    if isinstance(found, Unknown):
        return found
    yields = np.asarray(guys.turnbuckle_load(guy.turnbuckle, guy.turnbuckle_size))
    if np.any(np.isnan(yields)):
        why = "No figures were found for so small a turnbuckle"
        return Unknown(why, impossible=np.isnan(yields) if yields.ndim else None)
    hook = guy.turnbuckle == TURNBUCKLES[1]
    eta = yields / found.tension
    level, margin = by_reserve(eta, ROPE)
    # However strong it is, a hook lets go as soon as the guy hangs slack for a moment.
    level, margin = (np.maximum(level, FAIL), np.minimum(margin, -1e-3)) if hook else (level, margin)

    def says() -> str:
        load, pull = newtons(yields), newtons(found.tension)
        if hook:
            return (
                f"A turnbuckle with a hook opens at about {load} and lets go when the guy hangs slack; the worst storm "
                f"pulls with {pull}."
            )
        ratio = times_as_much(eta)
        return f"The turnbuckle deforms at about {load}, {ratio} the worst storm's {pull}: {reserve_words(eta, ROPE)}."

    return Judgement(level, says, lambda: _turnbuckle_ways(x, found, hook), eta, ROPE.enough, "", margin)


def _turnbuckle_ways(x: Inputs, found: GuyPull, hook: bool) -> list[Way]:
    label, guy = x.label or "", x.guy[x.label or ""]
    kind, size, pull = Sheet.guy.turnbuckle[label], Sheet.guy.turnbuckle_size[label], Sheet.guy.pretension[label]
    fitted: list[Try] = [{kind: TURNBUCKLES[0], size: s} for s in _THREADS if hook or s > guy.turnbuckle_size]
    breaks = float(guys.breaking_load(guy.rope, guy.rope_diameter))
    looser = [round(breaks * share, -1) for share in (0.1, 0.08, 0.05)]
    less = [T for T in looser if x.given(pull) and float(x.need(pull)) > T]
    wanted = newtons(rounded_up(float(ROPE.good * found.tension)))
    return [
        change("Fit turnbuckles with {0}, thread {1}, and lock them with wire.", *fitted),
        *([change("Slacken each guy to {0} without wind.", *ladder(pull, less))] if less else []),
        act(Act.ASK, f"Buy turnbuckles that their maker rates to break at {wanted}."),
    ]


# --- pretension -------------------------------------------------------------------------------------------------------


def _tight(x: Inputs) -> Judgement | Unknown:
    label = x.label or ""
    guy, T_0 = x.guy[label], x.guy[label].pretension
    breaks, found = guys.breaking_load(guy.rope, guy.rope_diameter), tight_pull(x, label, BLOW)
    # Without the mast only this is known of a guy that nobody pulled: any wind lets one hang.
    least = np.maximum(LEAST_PULL if isinstance(found, Unknown) else found, LEAST_PULL)
    share, slack = np.asarray(T_0 / breaks), np.asarray(least > T_0)
    loose = slack | (share < LOOSE)
    level = np.select([slack, loose | (share > TIGHT)], [FAIL, MARGINAL], OK)
    limit = np.where(loose, least, TIGHT * breaks)
    margin = np.where(loose, T_0 - limit, limit - T_0) / limit

    def says() -> str:
        start = f"Each guy is pulled with {newtons(T_0)} without wind, {show(share, '%', 2)} of what breaks it"
        if slack:
            tight = f" They stay tight in {show(BLOW, 'm/s')} from {newtons(least)} on."
            return (
                f"{start}: those to leeward hang slack from {_slack_from(T_0, least)} on, and the mast jerks its ends "
                f"and anchors loose.{'' if isinstance(found, Unknown) else tight}"
            )
        if share < LOOSE:
            return f"{start}: those to leeward hang slack in a gust, and the mast jerks."
        if share > TIGHT:
            return f"{start}: more than is usual, it presses the mast and takes from the rope's reserve."
        return f"{start}: 3 to 20 % will do, 8 to 15 % is usual."

    def ways() -> list[Way]:
        pulls = (float(np.maximum(breaks * s, 1.2 * least)) for s in (0.1, 0.08, 0.15))
        wanted = [round(pull, -1) for pull in pulls]
        return [
            change(
                "Tighten each guy to {0} without wind, on a day without sun on one side.",
                *ladder(Sheet.guy.pretension[label], wanted),
            )
        ]

    return Judgement(level, says, ways, T_0, limit, "N", margin)


def _slack_from(T_0: Num, least: Num) -> str:
    """Wind in which guys that need so much in :data:`BLOW` hang slack; loads go with its square."""
    V = BLOW * np.sqrt(T_0 / np.asarray(least))
    return "the first wind" if V < 1.0 else show(V, "m/s", 2)


def _of_level(x: Inputs) -> bool:
    return x.maybe(Sheet.mast.kind) is not None and not x.lacks(*(e[x.label or ""] for e in LEVEL))


RULES = (
    Rule(
        "guy.layout",
        "Where the guys stand",
        "guy",
        (Sheet.mast.kind,),
        _layout,
        (
            Source("Two suppliers: anchors at 50 to 75 % of the height", "", "reproduction"),
            COMMON_PRACTICE,
        ),
        FALLS,
        applies=lambda x: x.maybe(Sheet.mast.kind) == GUYED or bool(guy_labels(x)),
        deadly=True,
    ),
    Rule(
        "guy.blades",
        "Blades against the guys",
        "guy",
        (Sheet.mast.height, Sheet.rotor.diameter, Sheet.guy.height, Sheet.guy.anchor_radius),
        _blades,
        (Source("Distance of a guy from the rotor's plane, by geometry", "", "derived"), COMMON_PRACTICE),
        "A blade that strikes a guy breaks off and flies; the guy may go with it.",
        each=True,
        applies=_of_level,
    ),
    Rule(
        "guy.rope",
        "Strength of the guys",
        "guy",
        (*LEVEL, Sheet.guy.end),
        _rope,
        (TOP, DRAG, ROPE_DRAG, ICE, STATICS, ROPE_TABLE, END_TABLE, ROPE_RESERVE, FACTORS),
        PULLED,
        each=True,
        deadly=True,
    ),
    Rule(
        "guy.clips",
        "Clips of the guys",
        "guy",
        (Sheet.guy.rope, Sheet.guy.rope_diameter, Sheet.guy.clips, Sheet.guy.clip_kind),
        _clips,
        (
            Source("A rigging firm's table of clips, and a maker's sheet", "", "reproduction"),
            Source("WorkSafeNB, cable clips: at least three in any loop, though its table has 2", "", "reproduction"),
            Source("EN 13411-5, type A", "numbers", "from memory"),
            Source("EN 13411-5: not for spiral strand", "summary of its scope", "reproduction"),
        ),
        PULLED,
        each=True,
        applies=lambda x: x.maybe(Sheet.guy.end) in CLIPPED,
    ),
    Rule(
        "guy.turnbuckle",
        "Turnbuckles of the guys",
        "guy",
        (*LEVEL, Sheet.guy.turnbuckle_size),
        _turnbuckle,
        (
            TOP,
            STATICS,
            Source("A rigging catalogue, loads at which stainless turnbuckles deformed", "", "reproduction"),
            FACTORS,
        ),
        PULLED,
        each=True,
        applies=lambda x: x.maybe(Sheet.guy.turnbuckle) not in (None, NO_TURNBUCKLE),
    ),
    Rule(
        "guy.pretension",
        "How tight the guys are",
        "guy",
        (Sheet.guy.rope_diameter, Sheet.guy.rope, Sheet.guy.pretension),
        _tight,
        (
            Source("Pull of 8 to 15 % of what breaks the guy", "told in two forums", "common practice"),
            Source("Guys tight in a fresh breeze, the rotor's thrust by Betz", "", "common practice"),
            STATICS,
        ),
        PULLED,
        each=True,
        applies=lambda x: _of_level(x) and x.given(Sheet.guy.pretension[x.label or ""]),
    ),
)
