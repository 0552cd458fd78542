"""What a blade's root must bear: between its pull alone, and a rigid blade that is pushed and yaws as well.

A soft blade bends under thrust and yawing, and its pull straightens it again; what is left of both is computed in
``blade_beam``, which has the other load cases of IEC 61400-2 as well. They go by their letters; case B is here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.machine.blade_root import Root, material_of, not_told, strength_of
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import TYPED_SECTION
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import RotorCurves, overhang, rotor_of
from calc.machine.site import air_density
from calc.machine.structure import design_point
from calc.physics import blade
from calc.physics.blade.materials import Material
from calc.physics.structure import simple_loads
from calc.units import Num

#: Load and material factors of the simplified load model with data-sheet strength only.
IEC_FACTORS = simple_loads.LOAD_ULTIMATE * simple_loads.MATERIAL_LITTLE


@dataclass(frozen=True, slots=True)
class Loads:
    """Stresses of the plain root section. Every array has shape (...,), stresses in [Pa].

    Parameters
    ----------
    omega, force : float or array
        Speed [rad/s], and pull of one blade [N].
    bending : float or array
        Moment of a rigid blade, thrust and yawing together. [N m]
    pull, pushed, rigid : float or array
        Under the pull alone; with the thrust; and with the thrust and yawing, both of a rigid blade.
    """

    omega: Num
    force: Num
    bending: Num
    pull: Num
    pushed: Num
    rigid: Num


@dataclass(frozen=True, slots=True)
class BladeRoot:
    """A blade as far as its root is concerned: what it weighs, what it is made of, what that bears [Pa]."""

    curves: RotorCurves
    masses: blade.Masses
    root: Root
    material: Material
    strength: Num

    def loads(self, x: Inputs, V: Num, omega: Num) -> Loads:
        """Turning at a speed [rad/s] in a wind [m/s], and yawing at the rate of case B."""
        R = x.rotor.diameter / 2.0
        tsr = omega * R / np.asarray(V)
        thrust = blade.thrust_moment(self.curves.bending(V, tsr), air_density(x), V, R)
        return self._under(x, omega, thrust, self._yawing(x, omega, 0.0))

    def case_b(self, x: Inputs) -> Loads:
        """Case B of the standard: yawing at the design speed, the pull at that speed added to it."""
        R = x.rotor.diameter / 2.0
        V, omega, Q = design_point(x, self.curves)
        thrust = blade.design_thrust(omega * R / V, Q, R)
        return self._under(x, omega, 0.0 * omega, self._yawing(x, omega, thrust))

    def _yawing(self, x: Inputs, omega: Num, thrust: Num) -> Num:
        R, m = x.rotor.diameter / 2.0, self.masses
        return blade.yawing_moment(m.mass, m.r_cog, m.inertia, blade.yaw_rate(R), omega, overhang(x), thrust, R)

    def _under(self, x: Inputs, omega: Num, thrust: Num, yawing: Num) -> Loads:
        force = blade.centrifugal_force(self.masses.mass, self.masses.r_cog, omega)
        # Yawing bends it down- and upwind once in each turn.
        both = np.maximum(
            self.stress(self.root, force, thrust + yawing), self.stress(self.root, force, thrust - yawing)
        )
        pushed = self.stress(self.root, force, thrust)
        pull = self.stress(self.root, force, 0.0)
        return Loads(omega, force, thrust + yawing, pull, pushed, np.maximum(np.maximum(both, pushed), pull))

    def stress(self, section: Root, F: Num, M: Num, edge: Num = 0.0) -> Num:
        """Greatest stress of a section, as bending counts it, in [Pa].

        Under a pull [N], a moment out of the plane of the rotor and one in it, to and fro [N m].
        """
        if isinstance(section, blade.RootSection):
            there = blade.root_stress(section, F, M, edge)
            return np.maximum(there, blade.root_stress(section, F, M, -edge)) if np.any(edge) else there
        flap = F / section.area / self.material.tension + np.abs(M) / section.Z_flat
        if not np.any(edge):
            return flap
        # The corner of a rectangle sees both in full; of other sections that is more than they see.
        both = np.cos(section.twist) / section.Z_edge + np.sin(np.abs(section.twist)) / section.Z_flat
        return flap + np.abs(edge) * both


def blade_root(x: Inputs) -> BladeRoot | Unknown:
    """The blade's root, or what the sheet must say first."""
    curves, of = rotor_of(x), material_of(x)
    if of is None:
        return Unknown("There are no figures for the strength of blades of another material; have a spare one tested")
    if missing := not_told(x):
        return Unknown("", missing)
    if isinstance(curves, Unknown):
        return curves
    if x.maybe(Sheet.blade.section) == TYPED_SECTION:
        return Unknown(
            "A table of lift and drag does not tell how thick the section is, so mass and strength of the roots are "
            "not computed; to judge them, name the tabled section that comes nearest"
        )
    if curves.masses is None or curves.root is None:
        return Unknown(
            "The load on the roots is computed from the shape of the blades, which a stated share of the wind's power "
            f"({Sheet.rotor.power_coefficient.full}) puts aside: take that off the sheet"
        )
    return BladeRoot(curves, curves.masses, curves.root, of, strength_of(x, of))


def kindest_strength(x: Inputs, of: BladeRoot) -> Num:
    """What the strongest piece that there may be bears, in [Pa]; of samples each has a strength of its own."""
    if x.given(Sheet.blade.strength) or x.drawn is not None:
        return of.strength
    return of.strength / of.material.strength * of.material.strengths[1]
