"""What the tail must take: wind on its vane and boom, its own weight, swinging with the head, falling onto its stop."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.tail import ALUMINIUM_SHEET, FIXED, LAMINATE, PLASTICS, PLYWOOD, STEEL_SHEET
from calc.machine.furling import hinge_behind, is_described, tail_mass_arm, tail_of, vane_height
from calc.machine.inputs import Inputs, Unknown
from calc.machine.mast_loads import CD_TUBE, METALS
from calc.machine.site import air_density
from calc.machine.structure import design_winds
from calc.physics import blade, tail
from calc.physics.blade.materials import ALUMINIUM, GLASS_FIBRE, PVC_U, Material
from calc.physics.structure import cantilever, simple_loads
from calc.physics.structure.tube import STEEL, STEEL_E, Tube, round_tube
from calc.units import Num

#: Angle over which the head is taken to swing at the yaw rate of load case B. Own estimate. [rad]
SWINGS = np.pi / 4.0


@dataclass(frozen=True, slots=True)
class Plate:
    """What a vane is made of: strength and its range, stiffness [Pa], density [kg/m3], and on what ground."""

    strength: float
    strengths: tuple[float, float]
    stiffness: float
    density: float
    why: str


def _like(of: Material) -> Plate:
    return Plate(of.strength, of.strengths, of.stiffness, of.density, of.why)


#: By the words of the catalogue.
PLATES = {
    PLYWOOD: Plate(25e6, (15e6, 45e6), 6e9, 600.0, "plywood, softwood to birch; from memory"),
    ALUMINIUM_SHEET: _like(ALUMINIUM),
    STEEL_SHEET: Plate(180e6, (140e6, 240e6), STEEL_E, STEEL, "soft deep-drawing sheet; from memory"),
    PLASTICS: _like(PVC_U),
    LAMINATE: _like(GLASS_FIBRE),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Boom:
    """The boom and what bends it at the hinge, load factors not counted. Moments in [N m], shape (...,).

    Parameters
    ----------
    tube : Tube
        Its section.
    L, EI, rho : float or array
        Length to the middle of the vane [m], stiffness [N m2], density [kg/m3].
    yields : float or array
        Moment at which it gives way.
    force : float or array
        Of the strongest gust on the vane, square to it; case H. [N]
    gust, weight, yawing : float or array
        Of that force and of the wind on the boom; of the tail's weight; of its mass as the head swings.
    slam : float or array
        As it falls back onto a hard stop, all of its energy bending the boom; nought where it does not fold.
    """

    tube: Tube
    L: Num
    EI: Num
    rho: Num
    yields: Num
    force: Num
    gust: Num
    weight: Num
    yawing: Num
    slam: Num

    @property
    def worst(self) -> Num:
        """Greatest moment of wind or swinging with the weight across it, in [N m]."""
        return np.hypot(np.maximum(self.gust, self.yawing), self.weight)

    @property
    def stopped(self) -> Num:
        """The moment of falling onto the stop, with the weight across it, in [N m]."""
        return np.where(np.asarray(self.slam) > 0, np.hypot(self.slam, self.weight), 0.0)

    @property
    def gives(self) -> Num:
        """How far the vane moves aside in the gust, in [m]."""
        return self.gust * self.L**2 / (3.0 * self.EI)

    def frequency(self, mass: Num) -> Num:
        """First natural frequency with a tail of a mass [kg], in [Hz]."""
        own = self.rho * self.tube.A * self.L
        return cantilever.arm_frequency(self.EI, self.L, np.maximum(np.asarray(mass) - own, 0.05 * mass), own)


def boom_of(x: Inputs) -> Boom | Unknown:
    """The boom, or what the sheet must say first; area, arm, mass, boom's diameter and wall must be known."""
    return x.shared("tail boom", _boom)


def _boom(x: Inputs) -> Boom | Unknown:
    if x.tail.boom_material not in METALS:
        return Unknown("There are no figures here for a boom of that material; hang a trial load on its end")
    E, rho, usual, within, why = METALS[x.tail.boom_material]
    try:
        tube = round_tube(x.tail.boom_diameter, x.tail.boom_wall)
    except ValueError as e:
        return Unknown.because(f"The boom cannot be computed: {e}", e)
    fy = x.else_assume(Sheet.tail.boom_strength, usual, why, within=within)
    L, EI, m, r = x.tail.arm, E * tube.I, x.tail.mass, tail_mass_arm(x)
    air, V = air_density(x), design_winds(x).V_e50
    force = simple_loads.pressure_force(simple_loads.CF_TAIL, air, V, x.tail.area)
    along = simple_loads.pressure_force(CD_TUBE, air, V, tube.D * L)
    # However its mass lies between hinge and vane, no more than this stands against being swung.
    inertia = m * r * (L + hinge_behind(x))
    swings = np.square(blade.yaw_rate(x.rotor.diameter / 2.0)) / SWINGS
    return Boom(
        tube, L, EI, rho, tube.bends(fy) * fy, force, force * L + along * L / 2.0, m * tail.GRAVITY * r,
        inertia * swings, _slam(x, EI, L),
    )  # fmt: skip


def _slam(x: Inputs, EI: Num, L: Num) -> Num:
    """Moment of a tail that falls from its stop back to its rest; nought where rubber catches it or nothing folds."""
    if x.maybe(Sheet.tail.cushioned) is True or x.maybe(Sheet.tail.hinge) == FIXED or not is_described(x):
        return 0.0 * np.asarray(L)
    of = tail_of(x)
    rubbed = np.where(np.isinf(of.rubbing), np.inf, of.rubbing) * np.asarray(of.stop)
    return cantilever.stopped_moment(np.maximum(tail.fall_energy(of, of.stop) - rubbed, 0.0), EI, L)


@dataclass(frozen=True, slots=True)
class Vane:
    """The vane between what holds it and its furthest edge. Shape (...,).

    Parameters
    ----------
    of : Plate
        What it is made of.
    free, t : float or array
        How far it stands off, and its thickness. [m]
    pressure, stress, strength : float or array
        Of the strongest gust, square to it; what it sees, and what it bears. [Pa]
    frequency : float or array
        Its first. [Hz]
    """

    of: Plate
    free: Num
    t: Num
    pressure: Num
    stress: Num
    strength: Num
    frequency: Num


def vane_of(x: Inputs) -> Vane | Unknown:
    """The vane, or what the sheet must say first; its area and thickness must be known."""
    return x.shared("tail vane", _vane)


def _vane(x: Inputs) -> Vane | Unknown:
    of = PLATES.get(x.tail.vane_material)
    if of is None:
        return Unknown("There are no figures here for a vane of that material; load a trial piece of it with sand")
    strength = x.else_assume(Sheet.tail.vane_strength, of.strength, of.why, within=of.strengths)
    half = vane_height(x) / 2.0
    free = x.else_assume(Sheet.tail.vane_free, half, "the boom runs along its middle, without ribs")
    p = simple_loads.pressure_force(simple_loads.CF_TAIL, air_density(x), design_winds(x).V_e50, 1.0)
    E, t = of.stiffness, x.tail.vane_thickness
    stress = cantilever.plate_stress(p, free, t)
    return Vane(of, free, t, p, stress, strength, cantilever.plate_frequency(E, of.density, t, free))
