"""How the head turns: the tail against the rotor, friction, how fast it swings, which way it runs, the cable."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import FURLING
from calc.machine.catalogue.tail import DOWNWIND, SLIP_RINGS, TWISTS, UNTWISTED, UPWIND
from calc.machine.entry import DEG, Entry
from calc.machine.furling import head_of, tail_mass_arm, working_thrust
from calc.machine.head_loads import head_loads, reactions
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import curves_from_shape, is_vertical
from calc.machine.solving import USUAL_LIMIT
from calc.physics import blade, tail
from calc.physics.arrays import largest
from calc.physics.structure import simple_loads
from calc.rules.blade_kits import BLADE_NEEDS, blade_known
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.reserves import LeastReserve, by_reserve, newtons, reserve_words, times_as_much
from calc.rules.sources import YAWING
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, as_shown, rounded_up, show, show_down

#: Yaw angle at which a rotor should stand in working winds at most: a seventh of its power is lost there, at half of it
#: a twenty-fifth. Own choice, no source. [rad]
ASKEW = 20 * DEG
#: Wind in which a head should follow, and how far friction may hold it off. Own choice, no source. [m/s], [rad]
LIGHT_WIND, HELD_OFF = 4.0, 15 * DEG
#: Sudden change of the wind's direction, as in a squall. Own choice, no source. [rad]
SQUALL = 45 * DEG
#: Shares by which vanes and booms are made larger, and friction less.
LARGER, LESS = (1.15, 1.3, 1.5, 1.75, 2.0, 2.5, 3.0), (0.7, 0.5, 0.3, 0.2, 0.1)
#: Share of the swept area that a vane has at most, by builders' pages.
USUAL_VANE = 0.10
#: Share of rotor and tail in the inertia of a head, generator and frame included. Own estimate.
WITH_GENERATOR = 1.3

#: Bearings that stand still or swing: 1.5 with jerks (ISO 76), and the load factor of the standard. From memory.
BEARING = LeastReserve(1.5, 3.0, "of IEC 61400-2")

VANED = (Sheet.tail.area, Sheet.tail.arm)
FLAT_VANE = Source("Flat plates of low aspect ratio by potential and vortex lift, after Polhamus", "", "from memory")
SHARE = Source("Vane of 5 to 10 % of the swept area", "builders' pages", "reproduction")
RATIO = Source("Swept area times offset below twice the vane's area times its arm", "builders' forum", "reproduction")
MEASURED_RATE = Source("3.84 rad/s measured on a rotor 1 m across in 10 m/s", "abstract of a paper on passive yaw")


def _vaned(x: Inputs) -> bool:
    """Whether a vane holds the rotor into the wind, ahead of the mast."""
    given = all(x.given(entry) for entry in VANED)
    return given and x.maybe(Sheet.yaw.rotor_side) != DOWNWIND and not is_vertical(x)


def _resting(x: Inputs) -> tuple[tail.Tail, Num, Num]:
    """The head, its thrust coefficient, and the yaw angle [rad] at which it stands with the tail at rest."""
    head, C_T = head_of(x), np.asarray(working_thrust(x))
    theta = tail.yaw_angle(head.over(), np.zeros(1), C_T[..., None])[..., 0]
    return head, C_T, theta


def _at_best(x: Inputs, head: tail.Tail, C_T: Num, theta: Num) -> Num:
    """Yaw angle at which the head would stand where the air behind the rotor pushes the vane as hard as it may."""
    assumed = Sheet.tail.wake.assumed
    # Of samples each has an air of its own.
    if x.given(Sheet.tail.wake) or x.drawn is not None or assumed is None or assumed.high is None:
        return theta
    found = tail.yaw_angle(replace(head, wake=assumed.high).over(), np.zeros(1), np.asarray(C_T)[..., None])[..., 0]
    return np.where(np.abs(found) < np.abs(theta), found, theta)


def _size(x: Inputs) -> Judgement:
    """Judge the angle at which the rotor stands; it fails where no air behind it that there may be would help."""
    head, C_T, theta = _resting(x)
    best = _at_best(x, head, C_T, theta)
    level, _ = at_most(np.abs(theta), ASKEW, marginal=0.5, worst=MARGINAL)
    level = np.where(np.abs(best) > ASKEW, FAIL, level)
    lost, margin = 1.0 - tail.felt_share(head, theta) ** 3, (ASKEW - np.abs(best)) / ASKEW

    def says() -> str:
        if best >= 80 * DEG:
            return "This vane does not hold the rotor into the wind: the rotor swings round behind the mast."
        stands = f"{show(np.abs(theta), 'deg', 2)} out of the wind" if theta < 80 * DEG else "behind the mast"
        if theta > ASKEW >= best:
            return (
                f"In working winds the rotor stands {stands}, or only {show(np.abs(best), 'deg', 2)}: how hard the air "
                f"behind it pushes the vane is assumed. Up to {show(ASKEW, 'deg')} is bearable, half of it good."
            )
        return (
            f"In working winds the rotor stands {stands}, which takes {show(lost, '%', 2)} of its power; up to "
            f"{show(ASKEW, 'deg')} is bearable, half of it good."
        )

    def more() -> str:
        share = head.area / np.asarray(head.swept)
        ratio = head.swept * np.asarray(head.offset) / (head.area * np.asarray(head.arm))
        return (
            f"The vane has {show(share, '%', 2)} of the swept area; 5 to 10 % is common, and a published machine has "
            f"18 %. Swept area times offset is {show(ratio, '', 2)} times vane times arm; builders keep it below 2."
        )

    def ways() -> list[Way]:
        watch = act(
            Act.MEASURE,
            "Watch from aside, in a steady working wind, how far the rotor stands from a ribbon above it: that shows "
            "more than these sums.",
        )
        return [*([watch] if theta > ASKEW >= best else []), *_size_ways(x, head)]

    return Judgement(level, says, ways, np.abs(theta), ASKEW, "deg", margin, more)


def _size_ways(x: Inputs, head: tail.Tail) -> list[Way]:
    A, arm, rest = float(x.tail.area), float(x.tail.arm), float(x.tail.rest_angle)
    turned = [a * DEG for a in (5.0, 8.0, 10.0, 12.0, 15.0, 18.0, 20.0, 25.0, 30.0) if a * DEG > rest + DEG]
    nearer = [as_shown(float(np.asarray(head.offset)) * s, "mm", 2) for s in (0.8, 0.6, 0.5, 0.4, 0.3)]
    ways = [
        change("Make the vane larger, {0}.", *ladder(Sheet.tail.area, [as_shown(A * s, "m2", 2) for s in LARGER])),
        change("Put the vane further out, {0} from the hinge.",
               *ladder(Sheet.tail.arm, [as_shown(arm * s, "m", 2) for s in LARGER])),
    ]  # fmt: skip
    if np.any(np.asarray(head.offset) <= 0):
        return ways
    boom = change(
        "Let the boom at rest stand off by {0}, away from the side to which it folds.",
        *ladder(Sheet.tail.rest_angle, turned),
    )
    # What a vane smaller than is common wants is a larger one.
    large = bool(np.all(head.area >= USUAL_VANE * np.asarray(head.swept)))
    closer = change("Set the rotor only {0} beside the yaw axis.", *ladder(Sheet.rotor.offset, nearer))
    return [*ways, *([boom] if large else []), closer]


def _stiffness(head: tail.Tail, theta: Num, C_T: Num, step: float) -> Num:
    """Moment that turns the head back from a step [rad] off its balance, for each radian and over q, in [m3]."""
    return np.maximum(tail.yaw_moment(head, np.asarray(theta) + step, 0.0, C_T) / step, 1e-9)


def _friction(x: Inputs) -> Judgement:
    head, C_T, theta = _resting(x)
    q = 0.5 * np.asarray(head.rho) * LIGHT_WIND**2
    off = np.minimum(x.yaw.friction / (q * _stiffness(head, theta, C_T, HELD_OFF)), np.pi)
    level, margin = at_most(off, HELD_OFF, marginal=0.5)

    def says() -> str:
        held = (
            f"anywhere up to {show(off, 'deg', 2)} out of the wind" if off < np.pi / 2 else "wherever it happens to be"
        )
        return (
            f"In {show(LIGHT_WIND, 'm/s')} the friction of {show(x.yaw.friction, 'Nm')} holds the head {held}; up to "
            f"{show(HELD_OFF, 'deg')} is bearable."
        )

    def ways() -> list[Way]:
        free = [as_shown(float(x.yaw.friction) * share, "Nm", 2) for share in LESS]
        eased = change("Ease the yaw bearing to {0}: grease, or rollers in place of pipe on pipe.",
                       *ladder(Sheet.yaw.friction, free))  # fmt: skip
        return [eased, *_size_ways(x, head)[:2]]

    return Judgement(level, says, ways, off, HELD_OFF, "deg", margin)


def _inertia(x: Inputs, head: tail.Tail) -> Num | Unknown:
    """Inertia of the head about the yaw axis, in [kg m2]: as stated, or of blades and tail and a share more."""
    if x.given(Sheet.yaw.inertia):
        return x.yaw.inertia
    curves = curves_from_shape(x)
    if curves is None or curves.masses is None or x.lacks(Sheet.tail.mass):
        return Unknown("", (Sheet.yaw.inertia,))
    m = curves.masses
    r = tail_mass_arm(x)
    rotor = x.rotor.blades * (m.inertia / 2.0 + m.mass * (np.square(head.overhang) + np.square(head.offset)))
    swings = x.tail.mass * np.square(np.asarray(r) + head.behind)
    usual = WITH_GENERATOR * (rotor + swings)
    return x.else_assume(Sheet.yaw.inertia, usual, "blades and tail, and a third more; own estimate", 1.5)


def _rate(x: Inputs) -> Judgement | Unknown:
    r"""Judge how fast the head swings after a squall against the rate of the standard.

    A vane turned aside swings back as a damped spring of frequency sqrt(K q / I), damped by its own motion.
    """
    head, C_T, theta = _resting(x)
    inertia = _inertia(x, head)
    if isinstance(inertia, Unknown):
        return inertia
    V = x.maybe(Sheet.rotor.limit_wind)
    V = USUAL_LIMIT if V is None else V
    K = 0.5 * np.asarray(head.rho) * np.square(V) * _stiffness(head, theta, C_T, SQUALL)
    natural = np.sqrt(K / np.asarray(inertia))
    damping = np.minimum((np.asarray(head.arm) + head.behind) / (2.0 * np.asarray(V)) * natural, 0.95)
    root = np.sqrt(1.0 - np.square(damping))
    rate = SQUALL * natural * np.exp(-damping / root * np.arccos(damping))
    limit = np.asarray(blade.yaw_rate(x.rotor.diameter / 2.0))
    level = np.where(rate > limit, MARGINAL, OK)

    def says() -> str:
        than = "faster" if rate > limit else "no faster"
        return (
            f"When {show(V, 'm/s')} turn by {show(SQUALL, 'deg')} at once the head swings at up to "
            f"{show(rate, '', 2)} rad/s, {than} than the {show(limit, '', 2)} rad/s that IEC 61400-2 reckons with."
        )

    def more() -> str:
        return (
            "Blades, shaft and bearing are bent in proportion to it. A light head swings faster: 3.84 rad/s was "
            "measured on a rotor 1 m across in 10 m/s."
        )

    def ways() -> list[Way]:
        less = [as_shown(float(x.tail.area) * s, "m2", 2) for s in (0.8, 0.7, 0.6, 0.5)]
        return [
            change("Make the vane smaller, {0}.", *ladder(Sheet.tail.area, less)),
            act(Act.DO, f"Damp the yaw bearing, so that the head swings at {show_down(limit, '', 2)} rad/s at most."),
        ]

    return Judgement(level, says, ways, rate, limit, "", (limit - rate) / limit, more)


def _side(x: Inputs) -> Judgement:
    if x.yaw.rotor_side == UPWIND:
        told = "is judged under: tips and mast" if blade_known(x) else "is told once the sheet has their shape"
        head = "The rotor runs ahead of the mast, out of its wake; whether the blades clear it when they bend"
        return Judgement(OK, lambda: f"{head} {told}.")
    folds = x.maybe(Sheet.rotor.overspeed) == FURLING

    def says() -> str:
        wake = "The rotor runs behind the mast: each blade passes its wake in each turn, which shakes and thumps."
        fold = " A tail cannot fold such a rotor out of the wind." if folds else ""
        return f"{wake}{fold} How it follows the wind, and a vane on it, were not checked."

    ahead = change("Run the rotor {0}, with a vane.", {Sheet.yaw.rotor_side: UPWIND})
    look = act(Act.LOOK, "Look at the blade roots for cracks each month, and watch which way it faces after a calm.")
    return Judgement(FAIL if folds else MARGINAL, says, lambda: [ahead, look])


def _cable(x: Inputs) -> Judgement:
    way = x.yaw.cable
    said = {
        SLIP_RINGS: "Slip rings let the head turn on and on. Brushes wear: look at them each year.",
        UNTWISTED: "The cable hangs free and can be untwisted at a plug. Look after it, at first each month.",
        TWISTS: "The cable twists up as the head turns, until it tears off, and then the rotor has no load.",
    }
    ways: list[dict[Entry[Any], Any]] = [{Sheet.yaw.cable: UNTWISTED}, {Sheet.yaw.cable: SLIP_RINGS}]
    return Judgement(
        FAIL if way == TWISTS else OK,
        lambda: said[way],
        lambda: [
            change("Let it hang free and untwist it at a plug at the foot, the rotor braked first.", ways[0]),
            change("Fit {0}.", ways[1]),
        ],
        more=lambda: "A plug pulled while the rotor turns takes its load away: short the leads above it first.",
    )


# --- what the bearing takes -------------------------------------------------------------------------------------------


def _bearing(x: Inputs) -> Judgement | Unknown:
    loads = head_loads(x)
    if isinstance(loads, Unknown):
        return loads
    h, above, C_0 = x.yaw.bearing_distance, x.yaw.shaft_height, x.yaw.bearing_rating
    pushed = [reactions(load, h, above)[0] for load in loads]
    eta = C_0 / largest(pushed)
    level, margin = by_reserve(eta, BEARING)
    # Beyond its static rating a bearing is dented and runs rough; it does not let go.
    level = np.minimum(level, FAIL)

    def says() -> str:
        i = int(np.argmax([float(R) for R in pushed]))
        return (
            f"The yaw bearing could take {times_as_much(eta)} what pushes it at worst: "
            f"{reserve_words(eta, BEARING, 'it is dented and runs rough')}. Load case {loads[i].case} puts "
            f"{newtons(pushed[i])} across its upper one, and the head's weight {newtons(loads[i].down)} along it."
        )

    def more() -> str:
        each = "; ".join(
            f"{load.case} thrust {newtons(load.side)}, overturning {show(load.moment + load.side * above, 'Nm', 2)}"
            for load in loads
        )
        return f"At the upper bearing, with {newtons(loads[0].down)} of weight: {each}. Load factors are not counted."

    def ways() -> list[Way]:
        further = [as_shown(float(h) * s, "mm", 2) for s in (1.25, 1.5, 2.0, 2.5, 3.0)]
        rated = rounded_up(float(BEARING.good * largest(pushed)))
        return [
            change("Set the two yaw bearings {0} apart.", *ladder(Sheet.yaw.bearing_distance, further)),
            change("Use yaw bearings rated for {0} standing still.", {Sheet.yaw.bearing_rating: rated}),
        ]

    return Judgement(level, says, ways, eta, BEARING.enough, "", margin, more)


UNLOADS = (
    "A cable that tears off or is unplugged while the rotor turns takes its load away, and it runs away. Brake it "
    "first, and see that it stands."
)

RULES = (
    Rule(
        "yaw.tail-size",
        "Vane and boom against the rotor",
        "yaw",
        (*VANED, Sheet.rotor.diameter),
        _size,
        (FLAT_VANE, SHARE, RATIO),
        applies=_vaned,
    ),
    Rule(
        "yaw.friction",
        "Friction of the yaw bearing",
        "yaw",
        (*VANED, Sheet.rotor.diameter, Sheet.yaw.friction),
        _friction,
        (FLAT_VANE, COMMON_PRACTICE),
        applies=lambda x: _vaned(x) and x.given(Sheet.yaw.friction),
    ),
    Rule(
        "yaw.rate",
        "How fast the head swings",
        "yaw",
        (*VANED, Sheet.rotor.diameter),
        _rate,
        (YAWING, MEASURED_RATE, FLAT_VANE),
        applies=_vaned,
    ),
    Rule(
        "yaw.side",
        "Rotor ahead of the mast or behind it",
        "yaw",
        (Sheet.yaw.rotor_side,),
        _side,
        (COMMON_PRACTICE,),
        applies=lambda x: x.given(Sheet.yaw.rotor_side) and not is_vertical(x),
    ),
    Rule(
        "yaw.cable",
        "Cable past the yaw bearing",
        "yaw",
        (Sheet.yaw.cable,),
        _cable,
        (COMMON_PRACTICE,),
        UNLOADS,
        applies=lambda x: not is_vertical(x),
    ),
    Rule(
        "yaw.bearing",
        "Load on the yaw bearing",
        "yaw",
        (*BLADE_NEEDS, Sheet.yaw.bearing_distance, Sheet.yaw.bearing_rating),
        _bearing,
        (
            *simple_loads.sources_of("A shaft Fx", "B shaft M", "D shaft Fx", "H shaft Fx, parked", "H part F"),
            Source("Two bearings that hold a force and a moment", "statics", "derived"),
            Source("ISO 76, static load rating, 1.5 with jerks", "", "from memory"),
            simple_loads.FACTORS,
        ),
        "A head that jams out of the wind or comes off its mast falls. Keep people out of the circle of the fall.",
        applies=lambda x: (
            not is_vertical(x) and (x.given(Sheet.yaw.bearing_distance) or x.given(Sheet.yaw.bearing_rating))
        ),
    ),
)
