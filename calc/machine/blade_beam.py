"""A blade of the sheet all along: its sections, how it bends while it turns, and what it sees in each load case."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from calc.machine.blade_root import wall_of
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.root_load import BladeRoot, blade_root
from calc.machine.structure import free_wind, turbine_of, unfit_for_simple_loads
from calc.physics import blade
from calc.physics.arrays import Array
from calc.physics.blade.shape import as_column
from calc.physics.blade.solid import profile
from calc.physics.structure import simple_loads as simple
from calc.physics.structure import spinning
from calc.units import Num

#: Case of the machine's own: the load is lost in the strongest wind it turns freely in, while it yaws.
LOST = "load lost"
#: Cases that bend a blade in the plane of the rotor: short circuit, and braking.
IN_PLANE = ("F", "G")


@dataclass(frozen=True, slots=True)
class Seen:
    """What one load case does to a blade. Stresses in [Pa], shape (..., places): root first, then links outwards.

    Parameters
    ----------
    case : str
        Letter of the standard, or :data:`LOST`.
    rigid, soft : array
        Greatest stress at each place of a rigid blade, and of this one as it bends.
    tip, back : array, shape (...,)
        How far the tip goes downwind, and upwind; nought where nothing bends it that way. [m]
    moment : array, shape (...,)
        At the root as it bends. [N m]
    omega : float or array, shape (...,)
        Speed. [rad/s]
    """

    case: str
    rigid: Array
    soft: Array
    tip: Array
    back: Array
    moment: Array
    omega: Num


@dataclass(frozen=True, slots=True)
class BladeBeam:
    """A blade as a beam.

    Parameters
    ----------
    root : BladeRoot
        Its root, material and strength.
    beam : Beam
        Links from root to tip.
    section : RootSection or PlainRoot
        Section in the middle of each link.
    turbine : Turbine
        The machine as the standard's equations see it.
    seen : tuple of Seen
        Load cases in which it bends out of the plane of the rotor or in it, or is pulled.
    """

    root: BladeRoot
    beam: spinning.Beam
    section: blade.RootSection | blade.PlainRoot
    turbine: simple.Turbine
    seen: tuple[Seen, ...]

    def frequency(self, omega: Num) -> Array:
        """First natural frequency at a speed [rad/s], in [Hz]."""
        return spinning.first_frequency(self.beam, omega)

    def places(self) -> Array:
        """Radius of each place of the stresses, shape (..., places), in [m]."""
        first = self.beam.r[..., :1] - self.beam.dr[..., :1] / 2.0
        return np.concatenate([first, self.beam.r], axis=-1)


def blade_beam(x: Inputs) -> BladeBeam | Unknown:
    """The blade as a beam under every load case, or what the sheet must say first; computed once for all rules."""
    return x.shared("blade beam", _blade_beam)


def _blade_beam(x: Inputs) -> BladeBeam | Unknown:
    root = blade_root(x)
    if isinstance(root, Unknown):
        return root
    if unfit := unfit_for_simple_loads(x):
        return unfit
    turbine = turbine_of(x, root.curves)
    beam, section = _links(x, root)
    each = {load.case: load for load in simple.blade_cases(turbine)}
    each[LOST] = _lost(x, root, turbine)
    seen = (_see(root, beam, section, load) for case, load in each.items() if case not in (*IN_PLANE, "A"))
    sideways = (_see_in_plane(root, beam, section, each[case]) for case in IN_PLANE)
    return BladeBeam(root, beam, section, turbine, (*seen, *sideways))


def _links(x: Inputs, root: BladeRoot) -> tuple[spinning.Beam, blade.RootSection | blade.PlainRoot]:
    """The blade in links of the strips with which the air's forces were computed."""
    shape, m = root.curves.shape, root.masses
    assert shape is not None, "a blade with masses has a shape"
    E = x.else_assume(
        Sheet.blade.stiffness, root.material.stiffness, root.material.stiff_why, within=root.material.stiffnesses
    )
    section = _pipe_sections(x, shape) if isinstance(root.root, blade.RootSection) else _plain_sections(x, shape)
    if isinstance(section, blade.RootSection):
        soft = np.cos(shape.twist) ** 2 / section.I_flat + np.sin(shape.twist) ** 2 / section.I_edge
        I = np.asarray(1.0 / soft)
    else:
        # Along the chord it is stiffer by far; that this helps where it is twisted is left out.
        I = np.asarray(section.I_flat)
    area = np.asarray(section.area)
    weigh = area * shape.dr
    mass = weigh * (np.asarray(m.mass) / np.sum(weigh, axis=-1))[..., None]
    return spinning.Beam(shape.r, shape.dr, mass, as_column(E) * I), section


def _pipe_sections(x: Inputs, shape: blade.Blade) -> blade.RootSection:
    D, t, wall = x.need(Sheet.blade.pipe_diameter), x.need(Sheet.blade.pipe_wall), wall_of(x)
    ends = (D + (wall - t), wall)
    D, wall = (as_column(v) for v in ends)
    tip = np.minimum(as_column(x.need(Sheet.blade.chord_tip)), shape.chord)
    return blade.root_section(D, wall, shape.chord, tip, shape.twist, x.blade.straight_edge)  # type: ignore[arg-type]


def _plain_sections(x: Inputs, shape: blade.Blade) -> blade.PlainRoot:
    of, chord = profile(str(x.need(Sheet.blade.section))), shape.chord
    if x.maybe(Sheet.blade.material) == "glass-fibre":
        skin = as_column(x.need(Sheet.blade.laminate))
        I = of.I_around * chord**3 * skin
        Z_edge = of.Z_edge_around * chord**2 * skin
        return blade.PlainRoot(of.around * chord * skin, I / (of.out_around * chord), I, Z_edge, shape.twist)
    I = of.I_flat * chord**4
    return blade.PlainRoot(of.area * chord**2, I / (of.out * chord), I, of.Z_edge * chord**3, shape.twist)


def _lost(x: Inputs, root: BladeRoot, turbine: simple.Turbine) -> simple.BladeLoad:
    """The load is lost where the rotor turns freely fastest, and it yaws there."""
    omega, R, m = turbine.omega_max, turbine.R, root.masses
    V = free_wind(x)
    thrust = blade.thrust_moment(root.curves.bending(V, omega * R / V), turbine.rho, V, R)
    yawing = blade.yawing_moment(m.mass, m.r_cog, m.inertia, blade.yaw_rate(R), omega, turbine.L_rt, 0.0 * thrust, R)
    pull = blade.centrifugal_force(m.mass, m.r_cog, omega)
    return simple.BladeLoad(LOST, pull, 0.0 * pull, thrust + yawing, omega, yawing, ())


def _see(
    root: BladeRoot, beam: spinning.Beam, section: blade.RootSection | blade.PlainRoot, load: simple.BladeLoad
) -> Seen:
    """What one load does: the air's part spread as it grows with the radius, the blade's own by where its mass is."""
    air, own = as_column(np.subtract(load.flap, load.inertial)), as_column(load.inertial)
    push, pull = air * _spread(beam, beam.r * beam.dr), spinning.pull_along(beam, load.omega)
    swing = own * _spread(beam, beam.r * beam.mass)

    def under(omega: Num, q: Array) -> tuple[Array, Array, Array]:
        bent = spinning.bend(beam, omega, q)
        return _stresses(root, section, load, pull, (bent.root, bent.moment)), bent.tip, bent.root

    rigid, tip, moment = under(0.0, push + swing)
    if not np.any(load.omega):
        return Seen(load.case, rigid, rigid, tip, 0.0 * tip, moment, load.omega)
    if not np.any(load.inertial):
        soft, tip, moment = under(load.omega, push)
        return Seen(load.case, rigid, soft, tip, 0.0 * tip, moment, load.omega)
    # What swings once a turn finds a soft blade near its own frequency; what the air damps of it is not counted.
    share = np.square(np.asarray(load.omega) / (2.0 * np.pi * spinning.first_frequency(beam, load.omega)))
    swing = swing * as_column(1.0 / np.maximum(1.0 - share, 0.1))
    (down, tip, moment), (up, other, _) = under(load.omega, push + swing), under(load.omega, push - swing)
    back = np.maximum(-other, 0.0)
    return Seen(load.case, rigid, np.maximum(down, up), tip, back, moment, load.omega)


def _see_in_plane(
    root: BladeRoot, beam: spinning.Beam, section: blade.RootSection | blade.PlainRoot, load: simple.BladeLoad
) -> Seen:
    """What a case does that stops the rotor: the blade goes on by its own mass, and its weight hangs on it."""
    torque, weight = as_column(np.subtract(load.edge, load.hanging)), as_column(load.hanging)
    stops = torque * _spread(beam, beam.r * beam.mass) + weight * _spread(beam, beam.mass)
    pull = spinning.pull_along(beam, load.omega)
    S = _stresses(root, section, load, pull, (0.0, 0.0), spinning.moments(beam, stops))
    none = np.zeros(S.shape[:-1])
    return Seen(load.case, S, S, none, none, none, load.omega)


def each_turn(of: BladeBeam) -> tuple[Array, Array]:
    """Half the range of case A and its mean all along, shape (..., places): root first, its holes left out. [Pa].

    Pull and thrust go between nothing and their range, the torque drives evenly along the blade, the weight hangs to
    and fro. As of a rigid blade.
    """
    (load,) = (load for load in simple.blade_cases(of.turbine) if load.case == "A")
    beam, torque = of.beam, as_column(np.subtract(load.edge, load.hanging))
    drives = torque * _spread(beam, beam.dr + 0.0 * beam.r)
    hangs = as_column(load.hanging) * _spread(beam, beam.mass)
    flap = spinning.moments(beam, as_column(load.flap) * _spread(beam, beam.r * beam.dr))
    pull = 2.0 * spinning.pull_along(beam, load.omega)
    rises = _stresses(of.root, of.section, load, pull, flap, spinning.moments(beam, drives + hangs)) / 2.0
    half = replace(load, F=load.F / 2.0)
    stays = spinning.moments(beam, drives / 2.0)
    mean = _stresses(of.root, of.section, half, pull / 2.0, (flap[0] / 2.0, flap[1] / 2.0), stays)
    return rises, mean


def _spread(beam: spinning.Beam, along: Array) -> Array:
    """Forces in these proportions that make 1 N m at the root."""
    begins = beam.r[..., :1] - beam.dr[..., :1] / 2.0
    return np.asarray(along / np.sum(along * (beam.r - begins), axis=-1, keepdims=True))


def _stresses(
    root: BladeRoot,
    section: blade.RootSection | blade.PlainRoot,
    load: simple.BladeLoad,
    pull: Array,
    flap: tuple[Num, Num],
    edge: tuple[Num, Num] = (0.0, 0.0),
) -> Array:
    """Greatest stress at the root, with its bolt holes left out, and in the middle of each link."""
    first = root.stress(root.root, load.F, flap[0], edge[0])
    links = np.asarray(root.stress(section, pull, flap[1], edge[1]))
    whole = np.broadcast_shapes(np.shape(first), links.shape[:-1])
    first = np.broadcast_to(first, whole)[..., None]
    return np.concatenate([first, np.broadcast_to(links, (*whole, links.shape[-1]))], axis=-1)
