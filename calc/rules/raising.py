"""Raising and lowering the mast: how it is done, and what rope, winch, gin pole and mast must take on the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.guys import (
    AFTERWARDS,
    CRANE,
    HARNESS,
    LADDER,
    PLATFORM,
    WHOLE,
)
from calc.machine.catalogue.mast import FREE, GUYED, LATTICE, OTHER, ROOF
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.machine.mast_loads import (
    FIRST_LEVEL,
    TUBE_NEEDS,
    guy_labels,
    lift_of,
    lifted,
)
from calc.machine.structure import TOP_NEEDS
from calc.physics.arrays import Array
from calc.physics.structure import lifting, strut
from calc.physics.structure.tube import STEEL_E, round_tube
from calc.rules.engine import DANGER, MARGINAL, OK, Judgement, Rule
from calc.rules.mast_kits import KIT_WORDS, guyed_instead
from calc.rules.reserves import (
    LIFTED,
    WIND_FACTOR,
    LeastReserve,
    by_reserve,
    newtons,
    reserve_words,
    thicker_tubes,
    times_as_much,
)
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, digits, rounded_up, show

#: Least and good ratio of what a pulling rope breaks at to its pull; what a winch is rated for to its pull. From
#: memory: a rope factor of 5 for lifting, a winch rated for twice the pull at the start.
LIFTING_ROPE, WINCH = LeastReserve(2.0, 5.0, "usual for lifting"), LeastReserve(1.0, 2.0, "usual")
#: Height above which a fall is guarded against; OSHA 1926.501(b)(1), 6 ft. [m]
FALL_HEIGHT = 1.8288
#: Guys of each level with which a mast is tilted up: two in the line of the hinge, one to the pull, one against it.
#: Common practice, no source.
LIFTED_BY = 4
#: Lengths of gin poles. Common practice: from a third to half of the mast. [m]
_GINS = tuple(float(v) for v in np.arange(2.0, 9.1, 0.5))
#: Yield strength of a gin pole of steel tube without a mark. [Pa]
_GIN_YIELD = 235e6

ON_THE_WAY = (
    "A mast on its way up falls without warning. Nobody stands under it, astride a rope or in line with one that is "
    "pulled; the rotor is tied and the brake on. Not above 5 m/s of wind (from memory)."
)
HEIGHT = (
    "A fall from a few metres kills. Work at height belongs to people who are trained and equipped for it, by local "
    "rules; nobody goes near a rotor that can turn."
)
GIN_STATICS = Source("Pull of a gin pole, M / arm", "an owner's worked calculation", "reproduction")
LIFT_FACTORS = Source("Rope factor 5 for lifting; winch rated for twice the first pull", "", "from memory")
EDGE = Source("OSHA 1926.501(b)(1): guard above 6 ft; EU 2009/104/EC: ladders only when justified", "", "reproduction")
TILT = Source("Manuals of two tilt-up towers: side anchors in line with the hinge, rear guys held", "", "reproduction")


def _begun(x: Inputs) -> bool:
    """Whether a mast is tilted up with a gin pole, by the sheet."""
    return x.maybe(Sheet.gin.way) in (WHOLE, AFTERWARDS) and x.maybe(Sheet.mast.kind) in (GUYED, FREE)


def _is_raised(x: Inputs) -> bool:
    """Whether it is asked how the machine goes up; on a building once that is known to carry it."""
    kind = x.maybe(Sheet.mast.kind)
    return kind in (GUYED, FREE, LATTICE, OTHER) or (kind == ROOF and x.maybe(Sheet.mast.engineer) is True)


def _on_the_way(eta: Num) -> str:
    """What a reserve on the way up comes to."""
    return reserve_words(eta, LIFTED, "it fails on the way up")


# --- how --------------------------------------------------------------------------------------------------------------


def _first_questions(x: Inputs) -> tuple[Entry[Any], ...]:
    """What whoever raises a mast must have thought of first; of a guyed one also what holds it on its way up."""
    if x.maybe(Sheet.mast.kind) != GUYED:
        return x.lacks(Sheet.gin.way)
    anchors = (Sheet.guy.anchor[label] for label in guy_labels(x) or (FIRST_LEVEL,))
    return x.lacks(Sheet.gin.way, Sheet.gin.side_guys, Sheet.gin.back_guy, *anchors)


def _leaned_on(x: Inputs) -> str:
    return {GUYED: "a guyed tube", LATTICE: "a tower"}.get(x.mast.kind, "a pole")


def _way(x: Inputs) -> Judgement | Unknown:
    way = x.maybe(Sheet.gin.way)
    if way is None:
        return Unknown("", _first_questions(x))
    if way == CRANE:
        return Judgement(OK, lambda: "It is lifted by a crane, by the sheet: its driver decides, wind below his limit.")
    if way == WHOLE:
        return Judgement(
            OK, lambda: "The whole machine goes up at once, by the sheet: nobody works under or on the raised mast."
        )
    access = x.maybe(Sheet.gin.access)
    if access is None:
        return Unknown("", (Sheet.gin.access,))
    work = x.mast.height
    level = DANGER if access == LADDER else MARGINAL

    def says() -> str:
        at = show(work, "m", 2)
        start = f"Somebody fits the blades {at} up, with both hands, beside a rotor that wants to turn"
        if access == LADDER:
            return f"{start}, from a ladder: nothing holds who slips, and {_leaned_on(x)} is nothing to lean one on."
        if access == HARNESS:
            return f"{start}, in a harness: work for people who are trained for it, with a second to fetch them down."
        return f"{start}, from a {access}: brake on and shown to hold, rotor tied, no wind, nobody below."

    def more() -> str:
        return (
            f"Above {show(FALL_HEIGHT, 'm', 2)} a fall must be guarded against. Until the last is on, the rotor is out "
            "of balance, and one blade alone can set it turning; tools and bolts fall."
        )

    return Judgement(level, says, lambda: _way_ways(x, access), more=more)


def _way_ways(x: Inputs, access: str) -> list[Way]:
    # What is set in the ground, or bolted down, does not tilt: that takes a hinge, and guys.
    tilted = (
        change("Raise it as a {0}, blades fitted on the ground.", {Sheet.gin.way: WHOLE})
        if x.mast.kind == GUYED
        else change(f"Make it a guyed mast on a hinge, tilted up whole, {KIT_WORDS}.", *guyed_instead(x))
    )
    lifted = change("Work from a {0}.", {Sheet.gin.access: PLATFORM})
    both = [tilted, *([lifted] if access == LADDER else [])]
    return both if x.mast.kind == GUYED else both[::-1]


# --- pull -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Pull:
    """What whoever pulls the rope feels, blocks counted: through the lift, shape (..., angles), and at most, in [N]."""

    angle: Array
    each: Array
    falls: Num

    @property
    def most(self) -> Num:
        return cast(Num, np.max(self.each, axis=-1))

    @property
    def said(self) -> str:
        """The first pull, and in what."""
        head = f"Lifting the mast off the ground takes {newtons(self.most)} of pull"
        return head if self.falls == 1 else f"{head} in each of {digits(float(self.falls))} falls of rope"


def _pull(x: Inputs) -> _Pull | Unknown:
    lift = lift_of(x)
    if isinstance(lift, Unknown):
        return lift
    falls = x.gin.falls
    return _Pull(lift.angle, lift.pull / np.asarray(falls, dtype=float)[..., None], falls)


def _easier(x: Inputs) -> list[Way]:
    longer = [g for g in _GINS if 1.02 * x.gin.length < g < 0.7 * x.mast.height]
    falls = [n for n in (2.0, 3.0, 4.0) if n > x.gin.falls]
    return [
        change("Lengthen the gin pole to {0}.", *ladder(Sheet.gin.length, longer)),
        change("Reeve the rope {0} times through blocks.", *ladder(Sheet.gin.falls, falls)),
    ]


def _rope(x: Inputs) -> Judgement | Unknown:
    pull = _pull(x)
    if isinstance(pull, Unknown):
        return pull
    most = pull.most
    breaks = x.gin.rope_breaking
    eta = breaks / most
    level, margin = by_reserve(eta, LIFTING_ROPE)

    def says() -> str:
        word = (
            "it breaks on the way up"
            if eta < 1.0
            else f"{times_as_much(eta)} as much, where {LIFTING_ROPE.good:g} times is usual"
        )
        return f"{pull.said}, and the rope breaks at {newtons(breaks)}: {word}."

    def ways() -> list[Way]:
        stronger = {Sheet.gin.rope_breaking: rounded_up(float(LIFTING_ROPE.good * most))}
        return [change("Use a rope that breaks at {0} or more.", stronger), *_easier(x)]

    return Judgement(level, says, ways, eta, LIFTING_ROPE.enough, "", margin, lambda: _pull_more(pull))


def _winch(x: Inputs) -> Judgement | Unknown:
    pull = _pull(x)
    if isinstance(pull, Unknown):
        return pull
    most = pull.most
    rated = x.gin.winch
    eta = rated / most
    level, margin = by_reserve(eta, WINCH)

    def says() -> str:
        word = "less than that" if eta < 1.0 else f"{times_as_much(eta)} as much, where {WINCH.good:g} times is usual"
        return f"{pull.said}, and the winch is rated for {newtons(rated)}: {word}."

    def ways() -> list[Way]:
        stronger = {Sheet.gin.winch: rounded_up(float(WINCH.good * most))}
        brake = act(
            Act.LOOK,
            f"See that the winch has a brake that holds {newtons(rounded_up(float(WINCH.good * most)))} by itself.",
        )
        return [change("Use a winch rated for {0}.", stronger), *_easier(x), brake]

    return Judgement(level, says, ways, eta, WINCH.enough, "", margin, lambda: _pull_more(pull))


def _pull_more(pull: _Pull) -> str:
    some = [int(i) for i in np.searchsorted(np.degrees(pull.angle).ravel()[: pull.each.shape[-1]], (-0.1, 29.9, 59.9))]
    steps = ", ".join(f"{newtons(pull.each[..., i])} at {show(pull.angle[..., i], 'deg', 2)}" for i in some)
    what = "the pull" if pull.falls == 1 else "the pull in each fall"
    return (
        f"Through the lift {what} is {steps}; near the vertical there is hardly any, and the mast must be held back. "
        "Friction in pulleys adds a tenth for each. Lift it 0.3 m first, and look at everything."
    )


# --- gin pole ---------------------------------------------------------------------------------------------------------


def _gin(x: Inputs) -> Judgement | Unknown:
    lift = lift_of(x)
    if isinstance(lift, Unknown):
        return lift
    try:
        tube = round_tube(x.gin.tube_diameter, x.gin.tube_wall)
    except ValueError as e:
        return Unknown.because(f"The gin pole cannot be computed: {e}", e)
    N = np.max(lift.gin, axis=-1)
    alpha = strut.IMPERFECTION["cold formed"]
    holds = strut.safe_load(tube.A, tube.I, _GIN_YIELD, STEEL_E, x.gin.length, alpha, 1.0)
    eta = holds / np.maximum(N, 1e-9)
    level, margin = by_reserve(eta, LIFTED)

    def says() -> str:
        return (
            f"The lift presses the gin pole with {newtons(N)}, and it buckles at {newtons(holds)}, "
            f"{times_as_much(eta)} as much: {_on_the_way(eta)}."
        )

    def ways() -> list[Way]:
        now = float(x.gin.tube_diameter), float(x.gin.tube_wall)
        return thicker_tubes(Sheet.gin.tube_diameter, Sheet.gin.tube_wall, now, "gin pole")

    return Judgement(level, says, ways, eta, LIFTED.enough, "", margin)


# --- the mast, lying --------------------------------------------------------------------------------------------------


def _lying(x: Inputs) -> Judgement | Unknown:
    found = lifted(x)
    if isinstance(found, Unknown):
        return found
    of, top, attach = found
    M = lifting.lying_moment(of.mu, of.L, top.head_mass, attach)
    holds = of.yields
    eta = holds / np.maximum(M, 1e-9)
    level, margin = by_reserve(eta, LIFTED)

    def says() -> str:
        return (
            f"As it leaves the ground, held {show(attach, 'm', 2)} up, the mast is bent by {show(M, 'Nm', 2)}, and "
            f"yields at {show(holds, 'Nm', 2)}, {times_as_much(eta)} as much: {_on_the_way(eta)}."
        )

    def ways() -> list[Way]:
        now = float(x.mast.tube_diameter), float(x.mast.tube_wall)
        nearer = [
            h / 2.0 for h in range(4, int(2 * x.mast.height)) if h / 2.0 > float(attach) + 0.2 and h / 2.0 < float(of.L)
        ]
        return [
            change("Hold the mast {0} up with the lifting rope.", *ladder(Sheet.gin.attach_height, nearer)),
            *thicker_tubes(Sheet.mast.tube_diameter, Sheet.mast.tube_wall, now, "mast"),
        ]

    return Judgement(level, says, ways, eta, LIFTED.enough, "", margin)


# --- sideways, and past the vertical ----------------------------------------------------------------------------------

_IN_LINE, _ASKEW, _NOTHING = Sheet.gin.side_guys.choices
_HELD_BACK, _NOT_HELD = Sheet.gin.back_guy.choices


def _side(x: Inputs) -> Judgement | Unknown:
    kind = x.gin.side_guys
    counted = {label: x.guy[label].ropes for label in guy_labels(x) if not x.lacks(Sheet.guy.ropes[label])}
    fewest = np.min(np.stack(np.broadcast_arrays(np.inf, *counted.values())), axis=0)
    few = fewest < LIFTED_BY
    level = np.where(few, DANGER, OK) if kind == _IN_LINE else np.asarray(DANGER)

    def says() -> str:
        if kind == _IN_LINE and few:
            levels = " and ".join(label for label, n in counted.items() if n < LIFTED_BY)
            return (
                f"With fewer than four guys at level {levels} no two lie in line with the hinge while the others hold "
                "the mast fore and aft: on the way up one side guy goes slack or the other tears, and the mast falls."
            )
        if kind == _IN_LINE:
            return "Side guys hold the mast all the way up, their anchors in line with the hinge, by the sheet."
        if kind == _ASKEW:
            return (
                "Side guys whose anchors do not stand in line with the hinge go slack or tight on the way up, and let "
                "the mast fall aside or buckle it."
            )
        return "Nothing keeps the mast from falling sideways on its way up; a hinge alone twists off."

    def ways() -> list[Way]:
        four: dict[Entry[Any], Value] = {Sheet.guy.ropes[label]: 4.0 for label, n in counted.items() if n < LIFTED_BY}
        if not four:
            return [change("Raise it with {0}, as high as the hinge.", {Sheet.gin.side_guys: _IN_LINE})]
        whole = four | {Sheet.gin.side_guys: _IN_LINE}
        return [change("Hold it with {0} guys at each level, two of them in line with the hinge and as high.", whole)]

    return Judgement(level, says, ways)


def _back(x: Inputs) -> Judgement | Unknown:
    kind = x.gin.back_guy

    def says() -> str:
        if kind == _HELD_BACK:
            return "A back guy or a rope paid out stops the mast at the vertical, by the sheet."
        return (
            "Nothing stops the mast as it passes the vertical: the pull falls to nothing there, and it runs on over "
            "and falls onto the gin pole's side."
        )

    ways = [change("Hold it with {0}.", {Sheet.gin.back_guy: _HELD_BACK})]
    return Judgement(OK if kind == _HELD_BACK else DANGER, says, lambda: ways)


RULES = (
    Rule(
        "raising.way",
        "How the machine is raised",
        "gin",
        (),
        _way,
        (EDGE, Source("Self-builders: a light tilt-up guyed mast only", "", "reproduction"), COMMON_PRACTICE),
        HEIGHT,
        applies=_is_raised,
        deadly=True,
    ),
    Rule(
        "raising.rope",
        "Pull in the rope that raises the mast",
        "gin",
        (Sheet.gin.length, Sheet.gin.pull_distance, Sheet.gin.rope_breaking, *TUBE_NEEDS, *TOP_NEEDS),
        _rope,
        (GIN_STATICS, LIFT_FACTORS),
        ON_THE_WAY,
        applies=_begun,
    ),
    Rule(
        "raising.winch",
        "Pull on the winch",
        "gin",
        (Sheet.gin.length, Sheet.gin.pull_distance, Sheet.gin.winch, *TUBE_NEEDS, *TOP_NEEDS),
        _winch,
        (GIN_STATICS, LIFT_FACTORS),
        ON_THE_WAY,
        applies=lambda x: _begun(x) and x.given(Sheet.gin.winch),
    ),
    Rule(
        "raising.gin",
        "Load in the gin pole",
        "gin",
        (
            Sheet.gin.tube_diameter,
            Sheet.gin.tube_wall,
            Sheet.gin.length,
            Sheet.gin.pull_distance,
            *TUBE_NEEDS,
            *TOP_NEEDS,
        ),
        _gin,
        (GIN_STATICS, Source("EN 1993-1-1, 6.3.1.2, buckling curve c", "", "reproduction"), WIND_FACTOR),
        ON_THE_WAY,
        applies=lambda x: _begun(x) and x.given(Sheet.gin.length),
    ),
    Rule(
        "raising.bending",
        "Bending of the mast as it leaves the ground",
        "gin",
        (*TUBE_NEEDS, *TOP_NEEDS),
        _lying,
        (GIN_STATICS, WIND_FACTOR),
        ON_THE_WAY,
        applies=lambda x: _begun(x) and x.given(Sheet.gin.length),
    ),
    Rule(
        "raising.side-guys",
        "Side guys while it is raised",
        "gin",
        (Sheet.gin.side_guys,),
        _side,
        (TILT, COMMON_PRACTICE),
        ON_THE_WAY,
        applies=_begun,
        deadly=True,
    ),
    Rule(
        "raising.back-guy",
        "Passing the vertical",
        "gin",
        (Sheet.gin.back_guy,),
        _back,
        (TILT,),
        ON_THE_WAY,
        applies=_begun,
        deadly=True,
    ),
)
