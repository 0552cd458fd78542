"""Whether the mast's tube and its joints hold in a storm, and whether it swings with the rotor."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import COUPLER, FREE, GUYED, LATTICE, ONE_PIECE, OTHER, ROOF, SLEEVE, THREAD
from calc.machine.inputs import Inputs, Unknown
from calc.machine.mast_loads import (
    GRAVITY,
    TUBE_NEEDS,
    MastModel,
    MastStorm,
    guy_labels,
    mast_model,
    mast_storm,
)
from calc.machine.structure import TOP_NEEDS, design_winds, top_loads
from calc.machine.swinging import Campbell, campbell
from calc.physics.structure.tube import round_tube, thread_depth
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.mast_kits import KIT_WORDS, guyed_instead
from calc.rules.reserves import (
    DRAG,
    FACTORS,
    FALLS,
    STEEL,
    TOP,
    WIND_FACTOR,
    by_reserve,
    newtons,
    reserve_words,
    storm_words,
    thicker_tubes,
    times_as_much,
)
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, rounded_up, show

#: Bending that a sleeve coupler of scaffold tube withstands, class B of EN 74-1; from memory. [N m]
COUPLER_MOMENT = 1400.0
#: So near the speed at which it turns for most hours the rotor must not shake the mast, as in certification; and so
#: near the ends of its working speeds a crossing counts as within, a hand-built mast not being known better. From
#: memory.
NEAR, ABOUT = 0.10, 0.15
#: Width of a tube over that of the present one, beyond which a pole is rather held by guys. Own choice, no source.
WIDER = 1.4
#: Distance of the guys below the lowest point of the blades. Common practice, no source. [m]
BELOW_BLADES = 0.3

STRUT = Source("EN 1993-1-1, 6.3.1.2, buckling curves a and c", "", "reproduction")
BENT_STRUT = Source(
    "Bending that grows as a strut nears its buckling load, N/Nb + M/((1 - N/Ncr) Mel)", "", "from memory"
)
BEAM = Source("Beam with cubic pieces, a mass at its head and springs at the guys", "closed-form beams", "derived")
RESONANCE = Source("Distance from a resonance: a tenth for certification, more for hand-built", "", "from memory")
NOT_BUILT = Source("Suppliers' siting advice: roofs were not built for such loads", "", "reproduction")


def _computed(x: Inputs) -> bool:
    """Whether a mast of one tube was begun on the sheet: guyed ones with their guys, which are asked for first."""
    kind = x.maybe(Sheet.mast.kind)
    if kind == GUYED:
        return bool(guy_labels(x))
    # An engineer's word is on the building; what stands on it is computed like any other mast.
    begun = x.given(Sheet.mast.tube_diameter) or x.maybe(Sheet.mast.engineer) is True
    return kind == FREE or (kind == ROOF and begun)


def _tube(x: Inputs) -> Judgement | Unknown:
    of, storm = mast_model(x), mast_storm(x)
    if isinstance(of, Unknown):
        return of
    if isinstance(storm, Unknown):
        return storm
    level, margin = by_reserve(storm.reserve, STEEL)

    def says() -> str:
        case, V = storm.worst, design_winds(x).V_e50
        iced = f" With {show(case.ice, 'mm', 2)} of ice on all" if case.ice > 0 else ""
        wind = f"{iced} and a lesser gust," if iced else f" The wind puts {storm_words(storm.top.worst, V)};"
        return (
            f"The mast's tube could take {times_as_much(storm.reserve, STEEL.enough)} the worst storm's load: "
            f"{reserve_words(storm.reserve, STEEL)}.{wind} the tube fails first {_where(of, storm)}."
        )

    return Judgement(
        level,
        says,
        lambda: _tube_ways(x, of, storm),
        storm.reserve,
        STEEL.enough,
        "",
        margin,
        lambda: _tube_more(of, storm),
    )


def _fails_at(storm: MastStorm) -> int:
    """Span in which the tube fails first, lowest 0."""
    return int(np.argmin(storm.worst.reserves))


def _where(of: MastModel, storm: MastStorm) -> str:
    i, breaks = _fails_at(storm), of.beam.breaks
    if i == breaks.shape[-1] - 2:
        return "above its highest guys" if of.guys is not None else "at its foot"
    return f"between {show(breaks[i], 'm', 2)} and {show(breaks[i + 1], 'm', 2)} above its foot"


def _tube_more(of: MastModel, storm: MastStorm) -> str:
    most, top, case = float(storm.bending), storm.top, storm.worst
    running, braked, parked = (newtons(F) for F in (top.running, top.braked, top.parked))
    return (
        f"Turning as fast as it can the rotor pushes with {running}, stopped facing the gust with {braked}, stopped "
        f"across the storm's mean with {parked}; a metre of tube catches {newtons(case.w)}. It is bent by up to "
        f"{show(most, 'Nm', 2)} (it gives way at {show(of.yields, 'Nm', 2)}) and pressed with "
        f"{newtons(case.down)} at its foot. Wind on a cable outside it was left out."
    )


def _tube_ways(x: Inputs, of: MastModel, storm: MastStorm) -> list[Way]:
    now = float(x.mast.tube_diameter), float(x.mast.tube_wall)
    ways = thicker_tubes(Sheet.mast.tube_diameter, Sheet.mast.tube_wall, now, "mast")
    if of.guys is not None and _fails_at(storm) == of.beam.breaks.shape[-1] - 2:
        top, lowest = of.guys.labels[-1], float(x.mast.height - x.rotor.diameter / 2.0) - BELOW_BLADES
        higher = math.floor(10.0 * lowest) / 10.0
        if higher > float(x.guy[top].height) + 0.05:
            ways.append(change("Set the highest guys {0} up, just below the blades.", {Sheet.guy.height[top]: higher}))
    now_high = float(x.mast.height)
    lower = [h for h in np.arange(math.floor(2.0 * now_high) / 2.0 - 0.5, 0.5 * now_high, -0.5) if h > 3.0]
    if x.mast.kind == FREE and ways:
        # A tube much wider than this one is another mast; guys hold what there is.
        wide = [float(tried[Sheet.mast.tube_diameter]) > WIDER * now[0] for tried in ways[0].tries or ()]
        split = next((i for i, w in enumerate(wide) if w), len(wide))
        near, far = ((ways[0].tries or ())[:split], (ways[0].tries or ())[split:])
        kits = guyed_instead(x)
        guyed = change(f"Hold it with guys, on a hinge, {KIT_WORDS}.", *kits)
        ways = [replace(ways[0], tries=near if kits else (*near, *far)), guyed]
    if of.guys is None and x.mast.kind != ROOF:
        ways.append(change("Keep the rotor's centre at {0} or lower.", *ladder(Sheet.mast.height, map(float, lower))))
    return ways


# --- joints -----------------------------------------------------------------------------------------------------------


def _joints(x: Inputs) -> Judgement | Unknown:
    of, storm, kind = mast_model(x), mast_storm(x), x.mast.joint
    if isinstance(of, Unknown):
        return of
    if isinstance(storm, Unknown):
        return storm
    if kind == ONE_PIECE:
        return Judgement(OK, lambda: "The mast is one piece, by the sheet.")
    at = x.maybe(Sheet.mast.joint_height)
    M = storm.bending if at is None else storm.bending_at(at - x.mast.foot_height)
    where = "where it is bent most" if at is None else f"{show(at, 'm', 2)} up" if np.ndim(at) == 0 else ""
    if kind in (COUPLER, THREAD):
        return _weak_joint(of, M, where, thread=kind == THREAD)

    def says() -> str:
        return (
            f"The mast's joint ({kind.split(',')[0]}), {where}, takes {show(M, 'Nm', 2)} of bending; it is as strong "
            "as the tube, by the sheet."
        )

    return Judgement(OK, says)


def _weak_joint(of: MastModel, M: Num, where: str, *, thread: bool) -> Judgement:
    """A joint that is weaker than the tube."""
    whole = of.yields
    holds = _threaded(of) * of.fy if thread else np.minimum(whole, COUPLER_MOMENT)
    eta = holds / np.maximum(M, 1e-9)
    level, margin = by_reserve(eta, STEEL)

    def says() -> str:
        what = "A thread cut into the pipe" if thread else "A scaffold coupler"
        return (
            f"{what} {where} could take {times_as_much(eta)} the {show(M, 'Nm', 2)} that bend it in the worst storm: "
            f"{reserve_words(eta, STEEL)}. It fails at {show(holds, 'Nm', 2)}, the tube at {show(whole, 'Nm', 2)}."
        )

    ways = [
        change("Join the lengths by a {0}.", {Sheet.mast.joint: SLEEVE}),
        change("Use one piece of tube.", {Sheet.mast.joint: ONE_PIECE}),
    ]
    return Judgement(level, says, lambda: ways, eta, STEEL.enough, "", margin)


def _threaded(of: MastModel) -> Num:
    """Elastic modulus at the root of a thread that is cut into the tube; none where it cuts through."""
    depth = thread_depth(of.tube.D)
    left = np.maximum(of.tube.t - depth, 1e-6)
    # A thread is a notch: its edge yields first.
    return round_tube(of.tube.D - 2.0 * depth, left).W_el


# --- masts that are not computed --------------------------------------------------------------------------------------


def _rating_asked(x: Inputs) -> bool:
    """A lattice mast whose legs are on the sheet is judged by them; what its maker says of it counts all the same."""
    kind = x.maybe(Sheet.mast.kind)
    by_legs = kind == LATTICE and x.given(Sheet.mast.leg_diameter) and not x.given(Sheet.mast.rated_load)
    return kind in (LATTICE, OTHER) and not by_legs


def _rated(x: Inputs) -> Judgement | Unknown:
    top = top_loads(x)
    if isinstance(top, Unknown):
        return top
    rated = x.mast.rated_load
    eta = rated / top.worst
    level, margin = by_reserve(eta, STEEL)

    def says() -> str:
        return (
            f"The maker rates this mast for {newtons(rated)} at its top, {times_as_much(eta)} the worst storm's: "
            f"{reserve_words(eta, STEEL)}. The wind puts {storm_words(top.worst, design_winds(x).V_e50)}."
        )

    def ways() -> list[Way]:
        enough = rounded_up(float(STEEL.good * top.worst))
        return [change("Use a mast that its maker rates for {0} at the top.", {Sheet.mast.rated_load: enough})]

    return Judgement(
        level, says, ways, eta, STEEL.enough, "", margin, lambda: "Its own wind load is the maker's to count."
    )


# --- swinging ---------------------------------------------------------------------------------------------------------


def _frequency(x: Inputs) -> Judgement | Unknown:
    of = campbell(x)
    if isinstance(of, Unknown):
        return of
    once, each = of.crossings()
    low, high, usual = (np.asarray(v, dtype=float) for v in (of.low, of.high, of.usual))
    inside = [(w > (1.0 - ABOUT) * low) & (w < (1.0 + ABOUT) * high) for w in (once, each)]
    # How far the crossing lies from the speed at which the rotor turns for most hours. Once a turn an unbalanced rotor
    # shakes with all its mass; each blade's passing is far weaker.
    away = np.where(usual > 0, np.abs(once / np.where(usual > 0, usual, 1.0) - 1.0), 1.0)
    level = np.select([of.mast <= 0, away < NEAR, inside[0] | inside[1]], [DANGER, FAIL, MARGINAL], OK)
    return Judgement(
        level,
        lambda: _frequency_says(of, int(level)),
        lambda: _frequency_ways(x),
        away,
        NEAR,
        "%",
        away / NEAR - 1.0,
        lambda: _frequency_more(of),
    )


def _frequency_says(of: Campbell, level: int) -> str:
    f = show(of.mast, "Hz", 2)
    if level == DANGER:
        return "Its own weight and the guys' pull press the mast beyond what it can stand upright under."
    once, each = (show(w, "rpm", 2) for w in of.crossings())
    start = f"By itself the mast swings at {f}, and the rotor shakes it so once a turn at {once}"
    if level == FAIL:
        usual = show(of.usual, "rpm", 2)
        return f"{start}, where it turns for most hours ({usual}). Mast and rotor shake themselves to pieces there."
    if level == MARGINAL:
        return f"{start} and by each blade at {each}: it passes through that while it works, and must not stay there."
    return f"{start}: outside the {show(of.low, 'rpm', 2)} to {show(of.high, 'rpm', 2)} at which it works."


def _frequency_more(of: Campbell) -> str:
    return (
        f"It works from {show(of.low, 'rpm', 2)} to {show(of.high, 'rpm', 2)}. Guys that sag and ground that yields "
        "make the frequency lower than computed. A rotor whose speed follows the wind crosses such a speed again and "
        "again; what matters is that it is well balanced and does not stay."
    )


def _frequency_ways(x: Inputs) -> list[Way]:
    now = float(x.mast.tube_diameter), float(x.mast.tube_wall)
    listen = act(
        Act.MEASURE,
        f"Balance the rotor to a gram, and write down at which speed the mast shakes; within {show(ABOUT, '%')} of it "
        "the machine must not stay.",
    )
    return [*thicker_tubes(Sheet.mast.tube_diameter, Sheet.mast.tube_wall, now, "mast"), listen]


# --- on a building ----------------------------------------------------------------------------------------------------


def _building(x: Inputs) -> Judgement | Unknown:
    top, word = top_loads(x), x.mast.engineer
    if isinstance(top, Unknown):
        return top
    arm = x.mast.height - x.mast.foot_height
    M, down = top.worst * arm, GRAVITY * top.head_mass

    def says() -> str:
        force = (
            f"The worst storm pushes the machine with {newtons(top.worst)} and bends the building at the mast's "
            f"foot by {show(M, 'Nm', 2)}"
        )
        if word:
            return (
                f"{force}; a structural engineer has confirmed in writing that it carries that, by the sheet. The mast "
                "on it is judged under its own headings."
            )
        return f"{force}, and no structural engineer has said that it carries that."

    def ways() -> list[Way]:
        return [
            change("Put it on a mast of its own, {0}.", {Sheet.mast.kind: GUYED}, kind=Act.MOVE),
            act(
                Act.ASK,
                f"Ask a structural engineer, with {newtons(rounded_up(float(3.0 * top.worst)))} at the head (the "
                "standard's factor of 3 counted) and the shaking of each turn; take the machine down before.",
            ),
        ]

    def more() -> str:
        return (
            f"It weighs {newtons(down)} besides. It shakes with every turn and with every blade that passes the "
            "mast, and where that meets the frequency of a floor or rafter it is heard in every room; rubber helps "
            "against what is heard only."
        )

    return Judgement(OK if word else DANGER, says, ways, None if word else M, None, "Nm", None, more)


ENGINEER = (
    "Only a structural engineer can tell what a building carries. Until one has, nothing that turns belongs on it."
)

RULES = (
    Rule(
        "mast.tube-strength",
        "Strength of the mast's tube in a storm",
        "mast",
        (*TUBE_NEEDS, *TOP_NEEDS),
        _tube,
        (TOP, DRAG, STRUT, BENT_STRUT, WIND_FACTOR, FACTORS),
        FALLS,
        applies=_computed,
        deadly=True,
    ),
    Rule(
        "mast.joints",
        "Joints of the mast",
        "mast",
        (*TUBE_NEEDS, *TOP_NEEDS, Sheet.mast.joint),
        _joints,
        (
            TOP,
            Source("ISO 7-1, depth of a pipe thread", "", "from memory"),
            Source("EN 74-1, sleeve coupler of class B: 1.4 kN m", "", "from memory"),
            WIND_FACTOR,
            FACTORS,
        ),
        FALLS,
        applies=lambda x: _computed(x) and x.given(Sheet.mast.joint),
    ),
    Rule(
        "mast.rated-load",
        "What the mast's maker rates it for",
        "mast",
        (Sheet.mast.rated_load, *TOP_NEEDS),
        _rated,
        (TOP, WIND_FACTOR, FACTORS),
        FALLS,
        applies=_rating_asked,
        deadly=True,
    ),
    Rule(
        "mast.frequency",
        "Swinging of the mast with the rotor",
        "mast",
        (*TUBE_NEEDS, *TOP_NEEDS),
        _frequency,
        (BEAM, RESONANCE, COMMON_PRACTICE),
        FALLS,
        applies=lambda x: _computed(x) and x.given(Sheet.mast.tube_diameter),
    ),
    Rule(
        "mast.building",
        "Forces into the building",
        "mast",
        (Sheet.mast.engineer, Sheet.mast.height, *TOP_NEEDS),
        _building,
        (TOP, NOT_BUILT, COMMON_PRACTICE),
        f"{FALLS} {ENGINEER}",
        applies=lambda x: x.maybe(Sheet.mast.kind) == ROOF,
        deadly=True,
    ),
)  # fmt: skip
