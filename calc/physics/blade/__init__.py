"""Blades: shape, mass and root section of blades cut from pipe, and plain tables for carved ones.

Axes at a section: the chord runs from the trailing edge to the leading edge. The concave side of a piece of
pipe faces the wind. The angle of the chord (twist) is measured from the plane of the rotor, positive when the
leading edge is turned into the wind.

``shape`` is what the air sees, ``strength`` what holds it together.
"""

from calc.physics.blade.shape import (
    STATIONS,
    Blade,
    Edge,
    angle_when_bolted,
    blade_from_table,
    cut_from_pipe,
    half_angle,
)
from calc.physics.blade.strength import (
    PVC_DENSITY,
    PVC_DERATING,
    PVC_STRENGTH,
    Masses,
    RootSection,
    beam_masses,
    centrifugal_force,
    pipe_masses,
    pvc_factor,
    pvc_strength,
    root_section,
    root_stress,
)

__all__ = [
    "PVC_DENSITY",
    "PVC_DERATING",
    "PVC_STRENGTH",
    "STATIONS",
    "Blade",
    "Edge",
    "Masses",
    "RootSection",
    "angle_when_bolted",
    "beam_masses",
    "blade_from_table",
    "centrifugal_force",
    "cut_from_pipe",
    "half_angle",
    "pipe_masses",
    "pvc_factor",
    "pvc_strength",
    "root_section",
    "root_stress",
]
