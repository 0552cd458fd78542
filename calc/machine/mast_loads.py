"""The mast of a sheet under its worst storm, on its way up, and as it swings.

The greatest force of :func:`calc.machine.structure.top_loads` acts at its head, whichever way the wind blows, and the
same gust along its tube. Guys are springs at their levels; a guyed mast stands on a hinge, every other is held at its
foot.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import ALUMINIUM, FREE, GUYED, ROOF, STEEL_TUBE
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.machine.site import air_density
from calc.machine.structure import TopLoads, design_winds, top_loads
from calc.physics import wind
from calc.physics.arrays import Array, largest
from calc.physics.structure import guys, ice, lifting, simple_loads, strut
from calc.physics.structure.beams import Bent, Mast
from calc.physics.structure.tube import STEEL, STEEL_E, Tube, round_tube
from calc.units import Num, show

#: Drag coefficient of a round tube below a Reynolds number of about 200 000, so of masts up to 115 mm in a gust; from
#: memory, EN 1991-1-4, 7.9.
CD_TUBE = 1.2
#: Thrust coefficient of a rotor that takes all that it can from the wind; Betz.
WORKING_THRUST = 8.0 / 9.0
GRAVITY = 9.80665
#: Share with which a moment at one end of a span, none at the other, counts towards its middle.
END_SHARE = 0.6
#: Modulus of elasticity [Pa], density [kg/m3], and yield strength with its range [Pa], by material. Steel: S235, and
#: pipe of no class; aluminium: 6060 to 6082, T6. Strengths of what is not marked are from memory.
METALS = {
    STEEL_TUBE: (STEEL_E, STEEL, 235e6, (195e6, 275e6), "steel tube without a mark, S235 as a rule; from memory"),
    ALUMINIUM: (70e9, 2700.0, 160e6, (140e6, 250e6), "aluminium tube, 6060 to 6082, T6; from memory"),
}
#: Pull of guys without wind, as a share of what breaks them. Common practice: 8 to 15 % of thin strand, less of rope
#: that is thicker than it need be.
PRETENSION = 0.08
#: What the tube needs from the sheet, and each level of guys.
TUBE_NEEDS = (Sheet.mast.kind, Sheet.mast.height, Sheet.mast.tube_diameter, Sheet.mast.tube_wall)
LEVEL = (
    Sheet.guy.height,
    Sheet.guy.anchor_radius,
    Sheet.guy.ropes,
    Sheet.guy.rope_diameter,
    Sheet.guy.rope,
)  # fmt: skip
#: Where a sheet names no level yet, what a first one would be called.
FIRST_LEVEL = "top"


@dataclass(frozen=True, slots=True)
class Guys:
    """The guys of a mast, lowest first. Every array has shape (..., levels).

    Parameters
    ----------
    labels : tuple of str
        Names of the levels.
    z : array
        Height above the mast's foot. [m]
    theta : array
        Angle above the ground. [rad]
    n : array
        Number of guys of the level.
    T_0 : array
        Pull without wind. [N]
    k : array
        How stiffly the level holds. [N/m]
    d, L, EA : array
        Diameter and length of a rope [m], and how stiff it is [N].
    """

    labels: tuple[str, ...]
    z: Array
    theta: Array
    n: Array
    T_0: Array
    k: Array
    d: Array
    L: Array
    EA: Array


@dataclass(frozen=True, slots=True)
class MastModel:
    """A mast as it is computed. Shape (...,).

    Parameters
    ----------
    tube : Tube
        Its section.
    L : float or array
        From the foot to the rotor's centre. [m]
    E, fy : float or array
        Modulus of elasticity and yield strength. [Pa]
    mu : float or array
        Mass per length. [kg/m]
    alpha : float
        Imperfection factor.
    guys : Guys or None
        What holds it on its way up.
    beam : Mast
        The same, to be bent.
    """

    tube: Tube
    L: Num
    E: Num
    fy: Num
    mu: Num
    alpha: float
    guys: Guys | None
    beam: Mast

    @property
    def yields(self) -> Num:
        """Moment at which the tube gives way, in [N m]."""
        return self.tube.bends(self.fy) * self.fy


@dataclass(frozen=True, slots=True)
class MastCase:
    """A mast in one strongest gust, load factors not counted. Arrays of levels and spans have a last axis for them.

    Parameters
    ----------
    ice : float or array
        Thickness of the ice on everything. [m]
    F : float or array
        Force at its head. [N]
    w : float or array
        Wind load along the tube. [N/m]
    bent : Bent
        How it bends.
    sideways, tension : array, shape (..., levels)
        Force that each level of guys holds, the wind on them counted, and pull in its hardest pulled guy. [N]
    reserves : array, shape (..., spans)
        How often all loads could be as great before the tube fails there, lowest span first. []
    down, side, moment : float or array
        What the base has to take: weight and guys' pull [N], force sideways [N], and moment [N m].
    """

    ice: Num
    F: Num
    w: Num
    bent: Bent
    sideways: Array
    tension: Array
    reserves: Array
    down: Num
    side: Num
    moment: Num


@dataclass(frozen=True, slots=True)
class MastStorm:
    """A mast in the strongest gust, and under ice where the place has it.

    Parameters
    ----------
    top : TopLoads
        Forces at its head, without ice.
    cases : tuple of MastCase
        The gust by itself first.
    """

    top: TopLoads
    cases: tuple[MastCase, ...]

    @property
    def reserve(self) -> Num:
        """How often all loads could be as great before the tube fails."""
        return -largest([-np.min(case.reserves, axis=-1) for case in self.cases])

    @property
    def tension(self) -> Array:
        """Greatest pull in any guy of each level, shape (..., levels), in [N]."""
        return largest([case.tension for case in self.cases])

    @property
    def sideways(self) -> Array:
        """Greatest force that each level holds, shape (..., levels), in [N]."""
        return largest([case.sideways for case in self.cases])

    @property
    def worst(self) -> MastCase:
        """The case in which a single mast's tube fails first."""
        return min(self.cases, key=lambda case: float(np.min(case.reserves)))

    @property
    def bending(self) -> Num:
        """The greatest bending moment anywhere, in [N m]."""
        return largest([np.max(case.bent.moment, axis=-1) for case in self.cases])

    def bending_at(self, z: Num) -> Num:
        """The greatest bending moment at a height above the foot [m], in [N m]."""
        return largest([case.bent.moment_at(z) for case in self.cases])


def guy_labels(x: Inputs) -> tuple[str, ...]:
    """Levels of guys that the sheet names."""
    return tuple(x.labels(Sheet.guy))


def levels_missing(x: Inputs) -> tuple[Entry[Any], ...]:
    """What the sheet does not say of its guys; of a first level where it names none."""
    return x.lacks(*(entry[label] for label in guy_labels(x) or (FIRST_LEVEL,) for entry in LEVEL))


def mast_model(x: Inputs) -> MastModel | Unknown:
    """The mast of a sheet, or what the sheet must say first; computed once for all rules."""
    return x.shared("mast model", _model)


def _model(x: Inputs) -> MastModel | Unknown:
    if missing := x.lacks(*TUBE_NEEDS):
        return Unknown("", missing)
    if x.mast.kind not in (GUYED, FREE, ROOF):
        return Unknown("Only masts of one tube are computed; take the load for which its maker rates it")
    if x.mast.material not in METALS:
        return Unknown("There are no figures here for a mast of that material")
    if (x.mast.kind == GUYED or guy_labels(x)) and (missing := levels_missing(x)):
        return Unknown("", missing)
    E, rho, usual, within, why = METALS[x.mast.material]
    fy = x.else_assume(Sheet.mast.yield_strength, usual, why, within=within)
    L = np.asarray(x.mast.height - x.mast.foot_height, dtype=float)
    held = _guys(x) if guy_labels(x) else None
    wrong = np.asarray(L <= 0)
    if held is not None:
        rises = np.stack(np.broadcast_arrays(0.0, *np.moveaxis(held.z, -1, 0), L), axis=-1)
        wrong = np.any(np.diff(rises) <= 0, axis=-1)
    if np.any(wrong):
        return Unknown(_misplaced(x), impossible=wrong if wrong.ndim else None)
    try:
        tube = round_tube(x.mast.tube_diameter, x.mast.tube_wall)
    except ValueError as e:
        return Unknown.because(f"The mast cannot be computed: {e}", e)
    EI = E * tube.I
    fixed = x.mast.kind != GUYED
    beam = Mast(L, EI, fixed=fixed) if held is None else Mast(L, EI, held.z, held.k, fixed=fixed)
    return MastModel(tube, L, E, fy, tube.mass(rho), strut.IMPERFECTION[x.mast.making], held, beam)


def _misplaced(x: Inputs) -> str:
    """What is not right about the heights of foot, guys and rotor, with what the sheet says of them."""
    rule = "Guys hold the mast between its foot and the rotor's centre, each level above the last"
    heights = [x.mast.foot_height, x.mast.height, *(x.guy[label].height for label in guy_labels(x))]
    if any(np.ndim(h) for h in heights):
        return rule
    foot, centre, *levels = (show(h, "m") for h in heights)
    if heights[0] >= heights[1]:
        return (
            f"The mast's foot is {foot} up by the sheet, and the rotor's centre {centre}, measured from the ground too"
        )
    held = " and ".join(f"{label} {h}" for label, h in zip(guy_labels(x), levels, strict=True))
    return f"{rule}; by the sheet the foot is {foot} up, the rotor's centre {centre}, and guys hold it at {held}"


def _guys(x: Inputs) -> Guys:
    """Levels as arrays, lowest first."""
    labels = sorted(guy_labels(x), key=lambda label: float(np.mean(x.guy[label].height)))
    rows = [_level(x, label) for label in labels]
    return Guys(tuple(labels), *(np.stack(np.broadcast_arrays(*column), axis=-1) for column in zip(*rows, strict=True)))


def _level(x: Inputs, label: str) -> tuple[Num, ...]:
    """What :class:`Guys` has of one level."""
    guy = x.guy[label]
    theta, length = guy_angle(x, label), np.hypot(guy.height, guy.anchor_radius)
    E, A = guys.rope_stretch(guy.rope, guy.rope_diameter)
    n = np.maximum(guy.ropes, 3.0)
    k = guys.level_stiffness(E, A, length, theta, n)
    return guy.height - x.mast.foot_height, theta, n, pretension(x, label), k, guy.rope_diameter, length, E * A


def guy_angle(x: Inputs, label: str) -> Num:
    """Angle of the guys of a level above the ground, in [rad]."""
    return cast(Num, np.arctan2(x.guy[label].height, x.guy[label].anchor_radius))


def pretension(x: Inputs, label: str) -> Num:
    """Pull of the guys of a level without wind, in [N]."""
    breaks = guys.breaking_load(x.guy[label].rope, x.guy[label].rope_diameter)
    why = "a twelfth of what breaks the rope; common practice"
    return x.else_assume(Sheet.guy.pretension[label], PRETENSION * breaks, why, 1.8)


def mast_storm(x: Inputs) -> MastStorm | Unknown:
    """The mast in its strongest gust, or what the sheet must say first; computed once for all rules."""
    return x.shared("mast storm", _storm)


def _storm(x: Inputs) -> MastStorm | Unknown:
    of, top = mast_model(x), top_loads(x)
    if isinstance(of, Unknown):
        return of
    if isinstance(top, Unknown):
        return top
    return MastStorm(top, tuple(_case(of, gust) for gust in gusts(x, top)))


@dataclass(frozen=True, slots=True)
class Gust:
    """A gust on the head: its pressure [Pa], force [N] and mass [kg] there, thickness of the ice on all [m]."""

    q: Num
    F: Num
    head: Num
    ice: Num


def gusts(x: Inputs, top: TopLoads) -> tuple[Gust, ...]:
    """The strongest gust, and where the place has ice, the lesser one that comes with all of it."""
    q = 0.5 * air_density(x) * np.square(design_winds(x).V_e50)
    bare = Gust(q, top.worst, top.head_mass, 0.0)
    t = x.maybe(Sheet.site.ice_thickness)
    if t is None or not np.any(np.greater(t, 0.0)):
        return (bare,)
    k, stopped = ice.wind_share(t), top.braked / (simple_loads.CD_PARKED * q)
    # Edges of the blades grow by the ice, and both sides of blades, head and tail carry it.
    edges = t * x.rotor.diameter * x.rotor.blades
    F = k * np.maximum(top.worst, top.braked * (1.0 + edges / stopped))
    return bare, Gust(k * q, F, top.head_mass + 2.0 * ice.GLAZE * t * stopped, t)


def _case(of: MastModel, gust: Gust) -> MastCase:
    w = CD_TUBE * (of.tube.D + 2.0 * np.asarray(gust.ice)) * gust.q
    bent = of.beam.under(gust.F, w)
    sideways = tension = pressed = np.zeros((*np.shape(of.L), 0))
    if of.guys is not None:
        sideways, tension, pressed = _pulled(of.guys, bent, gust)
    mu = of.mu + ice.ice_on(of.tube.D, gust.ice)
    reserves = _reserves(of, mu, gust.head, bent, pressed)
    down = GRAVITY * (gust.head + mu * of.L) + np.sum(pressed, axis=-1)
    moment = bent.moment[..., 0] if of.beam.fixed else 0.0 * bent.foot
    return MastCase(gust.ice, gust.F, w, bent, sideways, tension, reserves, down, np.abs(bent.foot), moment)


def _pulled(of: Guys, bent: Bent, gust: Gust) -> tuple[Array, Array, Array]:
    """What each level holds sideways, its greatest pull, and what it presses onto the mast, each in [N].

    What the wind puts on the ropes of a level goes straight into them: the mast gives way there by hardly anything.
    """
    q, t = _last(gust.q), _last(gust.ice)
    thick, weight = of.d + 2.0 * t, GRAVITY * ice.ice_on(of.d, t)
    sideways = np.abs(bent.held) + guys.drag_at_level(q, thick, of.L, of.theta, of.n)
    across = weight * np.cos(of.theta)
    along = np.hypot(guys.CD_ROPE * thick * q, across)
    pull = guys.loaded_along(guys.hardest(sideways, of.theta, of.n, of.T_0), of.EA, of.L, along)
    tight = guys.loaded_along(of.T_0, of.EA, of.L, across)
    pressed = guys.pressed(sideways, of.theta, of.n, tight) + of.n / 2.0 * weight * of.L
    return np.asarray(sideways), np.asarray(pull), np.asarray(pressed)


def _reserves(of: MastModel, mu: Num, head: Num, bent: Bent, pressed: Array) -> Array:
    """Reserve of each span, lowest first; the last is free at its head and buckles as if twice as long."""
    spans = np.diff(of.beam.breaks)
    free = np.ones(spans.shape[-1])
    free[-1] = 2.0
    # Weight above the foot of each span, and the pull of the guys from its upper end on.
    weight = GRAVITY * (
        np.asarray(head)[..., None] + np.asarray(mu)[..., None] * (_last(of.L) - of.beam.breaks[..., :-1])
    )
    none = np.zeros((*pressed.shape[:-1], 1))
    guyed = np.concatenate([np.cumsum(pressed[..., ::-1], axis=-1)[..., ::-1], none], axis=-1)
    N_cr = strut.euler_load(_last(of.E), _last(of.tube.I), free * spans)
    N, N_pl, M_pl = weight + guyed, _last(of.tube.A * of.fy), _last(of.yields)
    ends, middle = bent.greatest(), bent.between()
    # Held at both ends it is bent most at one of them, where the load along it adds nothing; towards its middle that
    # end counts as six tenths (EN 1993-1-1, Table B.3, from memory). Free at its head it counts in full.
    grows = np.maximum(np.where(free > 1.0, 1.0, END_SHARE) * ends, middle)
    section = 1.0 / np.maximum(N / N_pl + ends / M_pl, 1e-12)
    return np.asarray(np.minimum(strut.reserve(N, grows, N_pl, N_cr, M_pl, of.alpha), section))


def _last(value: Num) -> Array:
    return np.asarray(value, dtype=float)[..., None]


@dataclass(frozen=True, slots=True)
class GuyPull:
    """Pull in the hardest pulled guy of a level in the worst storm, and the force sideways that it holds, in [N]."""

    tension: Num
    sideways: Num


def guy_pull(x: Inputs, label: str | None) -> GuyPull | Unknown:
    """Pull in the guys of a level in the worst storm, or what the sheet must say first."""
    of, storm = mast_model(x), mast_storm(x)
    if isinstance(of, Unknown):
        return of
    if isinstance(storm, Unknown):
        return storm
    assert of.guys is not None, "who asks names a level of guys"
    i = of.guys.labels.index(str(label))
    return GuyPull(np.maximum(storm.tension[..., i], 1e-9), storm.sideways[..., i])


def tight_pull(x: Inputs, label: str | None, V: Num) -> Num | Unknown:
    """Pull without wind [N] below which the leeward guys of a level hang slack in a wind [m/s], the rotor working."""
    of = mast_model(x)
    if isinstance(of, Unknown):
        return of
    if missing := x.lacks(Sheet.rotor.diameter):
        return Unknown("", missing)
    assert of.guys is not None, "who asks names a level of guys"
    q, i = 0.5 * air_density(x) * np.square(V), of.guys.labels.index(str(label))
    bent = of.beam.under(WORKING_THRUST * q * wind.swept_area(x.rotor.diameter), CD_TUBE * of.tube.D * q)
    return guys.keeps_tight(np.abs(bent.held[..., i]), of.guys.theta[..., i], of.guys.n[..., i])


def lift_of(x: Inputs) -> lifting.Lift | Unknown:
    """The mast on its way up, from the ground to the vertical, or what the sheet must say first."""
    return x.shared("mast lift", _lift)


def attach_height(x: Inputs) -> Num:
    """Height on the mast at which the lifting rope holds it, in [m]: as stated, or at its highest guys."""
    heights = [x.guy[label].height for label in guy_labels(x) if not x.lacks(Sheet.guy.height[label])]
    if x.given(Sheet.gin.attach_height) or not heights:
        return x.gin.attach_height
    highest = np.max(np.stack(np.broadcast_arrays(*heights)), axis=0)
    return x.else_assume(Sheet.gin.attach_height, highest, "where the highest guys hold the mast")


def lifted(x: Inputs) -> tuple[MastModel, TopLoads, Num] | Unknown:
    """The mast with what is on its head, and how far above its hinge [m] the lifting rope holds it."""
    of, top = mast_model(x), top_loads(x)
    if isinstance(of, Unknown):
        return of
    if isinstance(top, Unknown):
        return top
    attach = attach_height(x) - x.mast.foot_height
    beyond = np.asarray(attach >= of.L) | np.asarray(attach <= 0)
    if np.any(beyond):
        why = "The lifting rope holds the mast between its hinge and the rotor's centre"
        if not beyond.ndim:
            foot, centre, held = (show(h, "m") for h in (x.mast.foot_height, x.mast.height, attach_height(x)))
            why += f"; by the sheet the hinge is {foot} up, the centre {centre}, and the rope holds it at {held}"
        return Unknown(why, impossible=beyond if beyond.ndim else None)
    return of, top, attach


def _lift(x: Inputs) -> lifting.Lift | Unknown:
    found = lifted(x)
    if missing := x.lacks(Sheet.gin.length, Sheet.gin.pull_distance):
        return Unknown("", missing)
    if isinstance(found, Unknown):
        return found
    of, top, attach = found
    return lifting.gin_lift(of.mu, of.L, top.head_mass, x.gin.length, x.gin.pull_distance, attach)
