"""A free-standing lattice mast of a sheet under its worst storm: wind on its members, and what presses its legs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import LATTICE, ROUND_MEMBERS
from calc.machine.inputs import Inputs, Unknown
from calc.machine.mast_loads import GRAVITY, METALS, Gust, gusts
from calc.machine.structure import TopLoads, top_loads
from calc.physics.arrays import Array, largest
from calc.physics.structure import ice, lattice, strut
from calc.physics.structure.tube import round_tube
from calc.units import Num

#: Width of a face at the foot over the height, and how many times more or less it may be. Common practice, no source.
SLENDER, SLENDER_WITHIN = 0.05, 1.8
#: Share of a face that is filled, and its range: broad towers of angle to narrow masts of tube. Common practice.
FILLED, FILLED_WITHIN = 0.25, (0.15, 0.40)
#: Mass by height: 5 of light masts of tube, 25 of towers of angle. Common practice, no source. [kg/m]
LIGHT, LIGHT_WITHIN = 10.0, 2.0
#: Bar on which ice is reckoned where the sheet names none; ISO 12494, from memory. [m]
USUAL_BAR = 0.03
#: Heights at which the mast is looked at, foot and head among them.
LOOKS = 9
#: What the legs need from the sheet.
LEG_NEEDS = (Sheet.mast.face_width, Sheet.mast.leg_diameter, Sheet.mast.leg_wall, Sheet.mast.panel)


@dataclass(frozen=True, slots=True)
class Lattice:
    """A lattice mast. Arrays have a last axis for heights.

    Parameters
    ----------
    L : float or array, shape (...,)
        From its foot to the rotor's centre. [m]
    legs : float or array, shape (...,)
        3 or 4.
    rounded : bool
        Whether of tubes and bars.
    z, b, phi : array, shape (..., heights)
        Heights above its foot and widths of a face there [m], and shares of it that are filled [].
    bar : float or array, shape (...,)
        Thickness of its bars as ice finds them. [m]
    mu : float or array, shape (...,)
        Mass by height. [kg/m]
    """

    L: Num
    legs: Num
    rounded: bool
    z: Array
    b: Array
    phi: Array
    bar: Num
    mu: Num

    def wind(self, gust: Gust) -> Array:
        """Wind on its members, over a corner where that is more, by height; shape (..., heights). [N/m]."""
        grown = np.minimum(self.phi * (1.0 + 2.0 * _last(gust.ice) / _last(self.bar)), lattice.MOST_SOLID)
        legs = _last(self.legs)
        drag = lattice.face_drag(grown, legs, rounded=self.rounded)
        over = lattice.cornerwise(grown, legs, rounded=self.rounded)
        return np.asarray(_last(gust.q) * drag * over * grown * self.b)

    def iced(self, gust: Gust) -> Num:
        """Mass by height with the ice on all faces. [kg/m]."""
        length = np.mean(self.phi * self.b, axis=-1) * self.legs / self.bar
        return cast(Num, self.mu + length * ice.ice_on(self.bar, gust.ice))


@dataclass(frozen=True, slots=True)
class LatticeCase:
    """A lattice mast in one gust, load factors not counted.

    Parameters
    ----------
    ice : float or array
        Thickness of the ice on everything. [m]
    on_mast : float or array
        Wind on all members. [N]
    down, side, moment : float or array
        What the base has to take: weight [N], force sideways [N], and moment [N m].
    bending, pressed : array, shape (..., heights)
        Moment [N m] and weight above [N], by height.
    """

    ice: Num
    on_mast: Num
    down: Num
    side: Num
    moment: Num
    bending: Array
    pressed: Array


@dataclass(frozen=True, slots=True)
class LatticeStorm:
    """A lattice mast in the strongest gust, and under ice where the place has it; the gust by itself first."""

    of: Lattice
    top: TopLoads
    cases: tuple[LatticeCase, ...]


def lattice_mast(x: Inputs) -> Lattice | Unknown:
    """The lattice mast of a sheet; what was not said of it is assumed with its range."""
    if x.mast.kind != LATTICE:
        return Unknown("The mast is no lattice")
    if missing := x.lacks(Sheet.mast.height):
        return Unknown("", missing)
    L = np.asarray(x.mast.height - x.mast.foot_height, dtype=float)
    if np.any(L <= 0):
        return Unknown("The mast's foot lies above the rotor's centre", impossible=L <= 0 if L.ndim else None)
    foot = x.else_assume(
        Sheet.mast.face_width, SLENDER * L, "a twentieth of the height; common practice, no source", SLENDER_WITHIN
    )
    top = x.else_assume(Sheet.mast.top_width, foot, "as wide as at its foot, the most wind", within=(0.4 * foot, foot))
    mass = x.else_assume(Sheet.mast.lattice_mass, LIGHT * L, "10 kg/m, 5 to 20; common practice", LIGHT_WITHIN)
    share = np.linspace(0.0, 1.0, LOOKS)
    b = _last(foot) + (_last(top) - _last(foot)) * share
    phi = _filled(x, b)
    given = x.maybe(Sheet.mast.leg_diameter)
    bar = USUAL_BAR if given is None else given
    legs, rounded = x.mast.lattice_legs, x.mast.members == ROUND_MEMBERS
    wrong = np.any(np.asarray(phi) > lattice.MOST_SOLID, axis=-1)
    if np.any(wrong):
        return Unknown(
            "Its members fill more of a face than drag is known for, four fifths",
            impossible=wrong if wrong.ndim else None,
        )
    return Lattice(L, legs, rounded, _last(L) * share, b, phi, bar, mass / L)


def _filled(x: Inputs, b: Array) -> Array:
    """Share of a face that is filled, by height: as stated, by the members, or as usual."""
    parts = (Sheet.mast.leg_diameter, Sheet.mast.brace_diameter, Sheet.mast.panel)
    if not x.given(Sheet.mast.solidity) and not x.lacks(*parts):
        leg, brace, panel = (_last(x.need(entry)) for entry in parts)
        return np.asarray(lattice.solidity(b, leg, brace, panel))
    why = "15 % of a broad tower to 40 % of a narrow mast; common practice, no source"
    return _last(x.else_assume(Sheet.mast.solidity, FILLED, why, within=FILLED_WITHIN)) + 0.0 * b


def lattice_storm(x: Inputs) -> LatticeStorm | Unknown:
    """The lattice mast in its strongest gust, or what the sheet must say first; computed once for all rules."""
    return x.shared("lattice storm", _storm)


def _storm(x: Inputs) -> LatticeStorm | Unknown:
    top = top_loads(x)
    if isinstance(top, Unknown):
        return top
    of = lattice_mast(x)
    if isinstance(of, Unknown):
        return of
    return LatticeStorm(of, top, tuple(_case(of, gust) for gust in gusts(x, top)))


def _case(of: Lattice, gust: Gust) -> LatticeCase:
    w, mu = of.wind(gust), of.iced(gust)
    dz = _last(of.L) / (LOOKS - 1.0)
    # Straight pieces of the wind between two heights, summed from the head down.
    pieces = (w[..., 1:] + w[..., :-1]) / 2.0 * dz
    above = np.concatenate([np.cumsum(pieces[..., ::-1], axis=-1)[..., ::-1], np.zeros((*pieces.shape[:-1], 1))], -1)
    shear = above + _last(gust.F)
    steps = (shear[..., 1:] + shear[..., :-1]) / 2.0 * dz
    M = np.concatenate([np.cumsum(steps[..., ::-1], axis=-1)[..., ::-1], np.zeros((*steps.shape[:-1], 1))], -1)
    pressed = GRAVITY * (_last(gust.head) + _last(mu) * (_last(of.L) - of.z))
    return LatticeCase(gust.ice, above[..., 0], pressed[..., 0], shear[..., 0], M[..., 0], M, pressed)


@dataclass(frozen=True, slots=True)
class Legs:
    """Legs of a lattice mast in its worst storm.

    Parameters
    ----------
    storm : LatticeStorm
        What they have to take.
    load : float or array
        Greatest load along a leg where it fails first. [N]
    holds : float or array
        What one carries between two cross bars. [N]
    reserve : float or array
        How often all loads could be as great. []
    z : float or array
        Height above the foot at which it fails first. [m]
    """

    storm: LatticeStorm
    load: Num
    holds: Num
    reserve: Num
    z: Num


def lattice_legs(x: Inputs) -> Legs | Unknown:
    """The legs in the worst storm, or what the sheet must say first."""
    if missing := x.lacks(*LEG_NEEDS):
        return Unknown("", missing)
    if x.mast.material not in METALS:
        return Unknown("There are no figures here for a mast of that material")
    storm = lattice_storm(x)
    if isinstance(storm, Unknown):
        return storm
    try:
        tube = round_tube(x.mast.leg_diameter, x.mast.leg_wall)
    except ValueError as e:
        return Unknown.because(f"The legs cannot be computed: {e}", e)
    E, _, usual, within, why = METALS[x.mast.material]
    fy = x.else_assume(Sheet.mast.yield_strength, usual, why, within=within)
    N_pl = tube.A * fy
    lam = strut.slenderness(N_pl, strut.euler_load(E, tube.I, x.mast.panel))
    holds = strut.reduction(lam, strut.IMPERFECTION[x.mast.making]) * N_pl
    of = storm.of
    loads = largest([lattice.leg_load(case.bending, case.pressed, of.b, _last(of.legs)) for case in storm.cases])
    at = np.argmax(loads, axis=-1)
    load = np.max(loads, axis=-1)
    z = np.take_along_axis(np.broadcast_to(of.z, loads.shape), at[..., None], axis=-1)[..., 0]
    return Legs(storm, load, holds, holds / np.maximum(load, 1e-9), z)


def _last(value: Num) -> Array:
    return np.asarray(value, dtype=float)[..., None]
