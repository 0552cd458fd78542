"""What the hub must take: how its bolts hold a blade, and what bends and twists its shaft."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.machine.blade_beam import LOST, BladeBeam, blade_beam
from calc.machine.blade_root import wall_of
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.hub import NOTCHES, SHAFT_STEELS, TWO_PLATES, UNMARKED
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import root_radius
from calc.physics.arrays import largest
from calc.physics.blade import matching
from calc.physics.blade.materials import ALUMINIUM, WOOD, Material
from calc.physics.structure import bolts
from calc.units import Num

#: Yield strength of a shaft by its steel, EN 10025, EN ISO 683 and A2 as turned; from memory. [Pa]
YIELDS = dict(zip(SHAFT_STEELS, (235e6, 355e6, 430e6, 210e6, 235e6), strict=True))
#: Tensile strength of the same, from memory. [Pa]
BREAKS = dict(zip(SHAFT_STEELS, (360e6, 470e6, 650e6, 500e6, 360e6), strict=True))
#: How many times as much a notch wears as the stress beside it; Peterson's factors, rounded, from memory.
NOTCHED = dict(zip(NOTCHES, (1.3, 2.2, 3.0), strict=True))
#: Slope of the line of stress against cycles of steel from its strength at one turn, and its range: 14 leaves 0.37 of
#: it at a million turns, as a turned bar has in dry air; 8 leaves 0.1 of it at a hundred million, as in rust. From
#: memory.
SHAFT_SLOPE, SHAFT_SLOPES = 10.0, (8.0, 14.0)
#: Characteristic density of softwood C24, by which timber is judged under bolts; EN 338. [kg/m3]
RHO_K = 350.0
#: By how much a hole is wider than its bolt. Common practice, no source. [m]
LOOSE = 1e-3


@dataclass(frozen=True, slots=True)
class Held:
    """How the bolts hold one blade, as shares used of what gives way; 1 is used up. Shape (...,).

    Parameters
    ----------
    pull, moment : float or array
        On the blade's root. [N], [N m]
    bolts : float or array
        Bolts in shear and tension together.
    bearing, tearing : float or array
        The blade around a bolt, squeezed and torn out at its end.
    end, side : float or array
        Distances over the least that is usual.
    material : str
        What the blade is made of, as a sentence names it.
    """

    pull: Num
    moment: Num
    bolts: Num
    bearing: Num
    tearing: Num
    end: Num
    side: Num
    material: str


def root_loads(beam: BladeBeam) -> tuple[Num, Num]:
    """Greatest pull [N] and flap moment as the blade bends [N m] at the root over the standard's cases."""
    t = beam.turbine
    pull = t.m * t.r_cog * np.square(t.omega_max)
    moments = [seen.moment for seen in beam.seen if seen.case != LOST]
    return pull, largest(moments)


def outermost_bolt(x: Inputs) -> float | None:
    """Distance of the outermost bolt of a blade from the shaft [m]; None where a sheet does not tell, all scalar."""
    H = Sheet.hub
    n, end, spacing = x.maybe(H.bolts), x.maybe(H.end_distance), x.maybe(H.bolt_spacing)
    if n is None or end is None or (spacing is None and n > 1):
        return None
    return float(root_radius(x)) + float(end) + (float(n) - 1.0) * float(0.0 if spacing is None else spacing)


def held(x: Inputs) -> Held | Unknown:
    """How the bolts hold one blade; computed once for all rules."""
    return x.shared("bolts of a blade", _held)


def _held(x: Inputs) -> Held | Unknown:
    beam = blade_beam(x)
    if isinstance(beam, Unknown):
        return beam
    pull, moment = root_loads(beam)
    of, n, d = beam.root.material, x.hub.bolts, x.hub.bolt_diameter
    t = _thickness(x)
    if isinstance(t, Unknown):
        return t
    name = x.hub.bolt_class
    name = "4.6" if name == UNMARKED else name
    planes = 2.0 if x.hub.held == TWO_PLATES else 1.0
    # The moment lifts the bolts at one end of the row; with a single bolt it has the bolt's own width for an arm.
    arm = np.maximum(x.hub.bolt_spacing * (n - 1.0), 1.5 * d)
    lifted = 0.0 * np.asarray(moment) if planes == 2.0 else moment / arm
    shear, tension = planes * bolts.shear_strength(d, name), bolts.tension_strength(d, name)
    each = pull / n
    strength = beam.root.strength
    under = _under_bolt(x, of, strength, t, name)
    return Held(
        pull,
        moment,
        each / shear + lifted / (1.4 * tension),
        each / under,
        each / np.maximum(bolts.tear_out(x.hub.end_distance, d, t, of.shear * strength), 1.0),
        x.hub.end_distance / (of.end * d),
        x.hub.side_distance / (2.0 * d),
        of.name,
    )


def _under_bolt(x: Inputs, of: Material, strength: Num, t: Num, name: str) -> Num:
    """Force that squeezes the blade under one bolt, in [N]."""
    d = x.hub.bolt_diameter
    if of is WOOD:
        return bolts.timber_bearing(d, RHO_K) * d * t
    if of is ALUMINIUM:
        ends, sides, f_ub = x.hub.end_distance, x.hub.side_distance, bolts.CLASSES[name].f_u
        p_1 = np.where(np.greater(x.hub.bolts, 1.0), x.hub.bolt_spacing, np.inf)
        return bolts.bearing_strength(d, d + LOOSE, ends, sides, t, strength, f_ub, p_1)
    return of.tension * strength * d * t


def _thickness(x: Inputs) -> Num | Unknown:
    """Thickness of the blade under its bolts, as stated or from what else the sheet says of it."""
    for entry in (Sheet.hub.root_thickness, Sheet.blade.thickness_root, Sheet.blade.laminate):
        stated = x.maybe(entry)
        if stated is not None:
            return stated
    return wall_of(x) if x.given(Sheet.blade.pipe_wall) else Unknown("", (Sheet.hub.root_thickness,))


@dataclass(frozen=True, slots=True)
class FittedSet:
    """A set of blades in the order that leaves least.

    Parameters
    ----------
    names : tuple of str
        Labels, once around; of the first variant where there are several.
    moments : tuple of float
        Mass times balance point of each. [kg m]
    left : float or array, shape (...,)
        Unbalance that is left. [kg m]
    """

    names: tuple[str, ...]
    moments: tuple[float, ...]
    left: Num


def fitted_set(x: Inputs) -> FittedSet | Unknown:
    """The blades that were weighed as they should be fitted, or what stands in the way."""
    labels, mass, point = x.labels(Sheet.weighed), Sheet.weighed.mass, Sheet.weighed.balance_point
    if missing := x.lacks(*(column[label] for label in labels for column in (mass, point))):
        return Unknown("", missing)
    each = [x.need(mass[label]) * x.need(point[label]) for label in labels]
    rows = np.stack(np.broadcast_arrays(*each, x.rotor.blades), axis=-1)
    moments, B = rows[..., :-1], np.round(rows[..., -1])
    try:
        if x.drawn is None:
            # Every variant is a set of its own.
            chosen = [matching.match(M, int(b)) for M, b in zip(moments.reshape(-1, len(labels)), B.flat, strict=True)]
            left: Num = np.array([match.unbalance for match in chosen]).reshape(B.shape)
        else:
            # Doubtful readings are of one set, fitted by what the scale showed.
            chosen = [matching.match(np.mean(moments.reshape(-1, len(labels)), axis=0), int(B.flat[0]))]
            left = matching.unbalance(moments[..., list(chosen[0].order)])[0]
    except ValueError as e:
        return Unknown(f"The set cannot be matched: {e}")
    first = chosen[0].order
    told = moments.reshape(-1, len(labels))[0]
    return FittedSet(tuple(labels[i] for i in first), tuple(float(told[i]) for i in first), left)
