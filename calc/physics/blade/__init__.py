"""Blades: shape, mass and root section of blades cut from pipe, and plain tables for carved ones.

Axes at a section: the chord runs from the trailing edge to the leading edge. The concave side of a piece of
pipe faces the wind. The angle of the chord (twist) is measured from the plane of the rotor, positive when the
leading edge is turned into the wind.

``shape`` is what the air sees, ``strength`` what holds it together, ``solid`` the same for carved and moulded blades,
``loads`` what its root must bear beside its own pull.
"""

from calc.physics.blade.loads import (
    GRAVITY,
    design_thrust,
    design_wind,
    gust,
    gyroscopic_moment,
    throw_distance,
    thrust_moment,
    yaw_rate,
    yawing_moment,
)
from calc.physics.blade.shape import (
    STATIONS,
    Blade,
    Edge,
    angle_when_bolted,
    blade_from_table,
    cut_from_pipe,
    half_angle,
)
from calc.physics.blade.solid import PlainRoot, shell_areas, shell_root, solid_areas, solid_root
from calc.physics.blade.strength import (
    PVC_DENSITIES,
    PVC_DENSITY,
    PVC_DERATING,
    PVC_STRENGTH,
    WALL_MORE,
    Masses,
    RootSection,
    beam_masses,
    centrifugal_force,
    mean_wall,
    pipe_masses,
    pipe_sizes,
    pvc_factor,
    root_section,
    root_stress,
)

__all__ = [
    "GRAVITY",
    "PVC_DENSITIES",
    "PVC_DENSITY",
    "PVC_DERATING",
    "PVC_STRENGTH",
    "STATIONS",
    "WALL_MORE",
    "Blade",
    "Edge",
    "Masses",
    "PlainRoot",
    "RootSection",
    "angle_when_bolted",
    "beam_masses",
    "blade_from_table",
    "centrifugal_force",
    "cut_from_pipe",
    "design_thrust",
    "design_wind",
    "gust",
    "gyroscopic_moment",
    "half_angle",
    "mean_wall",
    "pipe_masses",
    "pipe_sizes",
    "pvc_factor",
    "root_section",
    "root_stress",
    "shell_areas",
    "shell_root",
    "solid_areas",
    "solid_root",
    "throw_distance",
    "thrust_moment",
    "yaw_rate",
    "yawing_moment",
]
