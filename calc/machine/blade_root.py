"""Mass and root of the blades of a sheet, by what they are made of."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, TypeAlias

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import TYPED_SECTION
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs
from calc.physics import blade
from calc.physics.arrays import Array
from calc.physics.blade.materials import ALUMINIUM, MATERIALS, PVC_U, Material, warm_share
from calc.units import Num

#: Root of one blade: a piece of pipe, or a plain section.
Root: TypeAlias = "blade.RootSection | blade.PlainRoot"

ARC = (Sheet.blade.pipe_diameter, Sheet.blade.pipe_wall, Sheet.blade.chord_root, Sheet.blade.chord_tip)
#: What tells the shape of a carved blade, at two radii at least.
STATION = (Sheet.station.radius, Sheet.station.chord, Sheet.station.twist)


def material_of(x: Inputs) -> Material | None:
    """What the blades are made of; pipe where it is not stated, None for what has no figures here."""
    stated = x.maybe(Sheet.blade.material)
    return PVC_U if stated is None else MATERIALS.get(stated)


def strength_of(x: Inputs, of: Material) -> Num:
    """What the material bears at the site's air temperature, as stated or as usual, in [Pa]."""
    usual = x.else_assume(Sheet.blade.strength, of.strength, of.why, within=of.strengths)
    return usual * warm_share(of, x.site.air_temperature)


def _density(x: Inputs, of: Material) -> Num:
    return x.else_assume(Sheet.blade.density, of.density, of.weight_why, within=of.densities)


def _as_weighed(x: Inputs, masses: blade.Masses) -> blade.Masses:
    """The same blade at the mass that the scale showed, where it was weighed."""
    measured = x.maybe(Sheet.blade.mass)
    if measured is None:
        return masses
    return blade.Masses(measured, masses.r_cog, masses.inertia * (measured / masses.mass))


def wall_of(x: Inputs) -> Num:
    """Mean wall of the pipe, in [m]: as measured, or from the wall by which it is sold."""
    t = x.need(Sheet.blade.pipe_wall)
    if material_of(x) is ALUMINIUM:
        return x.else_assume(Sheet.blade.wall_mean, t, "sheet and tube of aluminium are as thick as they are sold")
    share, more = blade.WALL_MORE
    return x.else_assume(
        Sheet.blade.wall_mean,
        blade.mean_wall(t),
        "pipe is sold by its least wall; EN 1401 allows a tenth and 0.2 mm more, from memory",
        within=(t, t * (1.0 + share) + more),
    )


def pipe_root(x: Inputs, R: Num, r_root: Num, angle: Num, edge: Any) -> tuple[blade.Masses, Root]:
    """Mass and root of a blade cut from pipe."""
    D, t, root, tip = (x.need(entry) for entry in ARC)
    wall = wall_of(x)
    # The middle of the wall stays where the chord was measured on it.
    D = D + (wall - t)
    masses = blade.pipe_masses(D, wall, root, tip, R, r_root, _density(x, material_of(x) or PVC_U))
    return _as_weighed(x, masses), blade.root_section(D, wall, root, tip, angle, edge)


def _whole(shape: blade.Blade) -> tuple[Array, Array]:
    """Radii and chords of a blade with its two ends, which the middles of its strips leave out."""
    lead = shape.r.shape[:-1]
    ends = [np.broadcast_to(end, lead)[..., None] for end in (shape.r_root, shape.R)]
    c = np.broadcast_to(shape.chord, shape.r.shape)
    first, last = c[..., :1] - (c[..., 1:2] - c[..., :1]) / 2, c[..., -1:] + (c[..., -1:] - c[..., -2:-1]) / 2
    return np.concatenate([ends[0], shape.r, ends[1]], axis=-1), np.concatenate([first, c, last], axis=-1)


def carved_root(x: Inputs, shape: blade.Blade, section: str) -> tuple[blade.Masses, Root] | None:
    """Mass and root of a carved or moulded blade; None where the sheet does not tell what is needed."""
    of = material_of(x)
    if of is None or of is PVC_U or section == TYPED_SECTION:
        return None
    r, chords = _whole(shape)
    chord = chords[..., 0]
    root: blade.PlainRoot
    if x.maybe(Sheet.blade.material) == "glass-fibre":
        skin = x.maybe(Sheet.blade.laminate)
        if skin is None:
            return None
        areas, root = blade.shell_areas(section, chords, skin), blade.shell_root(section, chord, skin)
    else:
        areas, root = blade.solid_areas(section, chords), blade.solid_root(section, chord)
        thick = x.maybe(Sheet.blade.thickness_root)
        if thick is not None:
            # A plank as it leaves the hub.
            root = blade.PlainRoot(chord * thick, chord * np.square(thick) / 6.0, Z_edge=np.square(chord) * thick / 6.0)
    masses = _as_weighed(x, blade.beam_masses(r, areas, _density(x, of)))
    twist = np.broadcast_to(shape.twist, shape.r.shape)
    return masses, replace(root, twist=1.5 * twist[..., 0] - 0.5 * twist[..., 1])


def not_told(x: Inputs) -> tuple[Entry[Any], ...]:
    """Inputs without which mass and root of the blades cannot be computed, and of which there is no value."""
    material = x.maybe(Sheet.blade.material)
    arc = material == "aluminium" and not x.labels(Sheet.station)
    if arc or material in (None, "PVC-U pipe"):
        return x.lacks(*ARC)
    missing: tuple[Entry[Any], ...] = () if x.given(Sheet.blade.section) else (Sheet.blade.section,)
    labels = x.labels(Sheet.station) or ("root", "tip")
    labels = labels if len(labels) > 1 else (*labels, "tip")
    missing += x.lacks(*(column[label] for label in labels for column in STATION))
    return missing + (x.lacks(Sheet.blade.laminate) if material == "glass-fibre" else ())
