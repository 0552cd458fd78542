"""What rules of blades share: what they need, and stronger blades as builders can have them."""

from __future__ import annotations

from typing import Any

from calc.machine.catalogue import Sheet
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.machine.root_load import blade_root
from calc.machine.site import AIR_NEEDS
from calc.physics import blade
from calc.rules.ways import Way, change, ladder

#: Shares by which a root is made wider or thicker.
STRONGER = (1.1, 1.2, 1.3, 1.4, 1.5, 1.75, 2.0)

#: What every rule of blades needs that computes them as beams.
BLADE_NEEDS = (
    Sheet.rotor.diameter,
    Sheet.rotor.blades,
    Sheet.blade.mounting_angle,
    Sheet.site.storm_wind,
    *AIR_NEEDS,
)


def blade_known(x: Inputs) -> bool:
    """Whether the sheet tells enough of the blades; what is missing is asked for by the rule of the roots."""
    return not x.lacks(*BLADE_NEEDS) and not isinstance(blade_root(x), Unknown)


def stronger_blades(x: Inputs) -> list[Way]:
    """Other pipe, a wider chord at the root, a thicker root or laminate: what the sheet tells of the blades."""
    ways: list[Way] = []
    if x.given(Sheet.blade.pipe_wall):
        ways += other_pipe(x)
    if x.given(Sheet.blade.chord_root):
        chords = [float(x.blade.chord_root) * share for share in STRONGER]
        ways.append(change("Cut the blades wider, {0} of chord at the root.", *ladder(Sheet.blade.chord_root, chords)))
    for entry, what in ((Sheet.blade.thickness_root, "roots"), (Sheet.blade.laminate, "laminate at the roots")):
        if x.given(entry):
            thick = [float(x.need(entry)) * share for share in STRONGER]
            ways.append(change(f"Make the {what} {{0}} thick.", *ladder(entry, thick)))
    return ways


def other_pipe(x: Inputs) -> list[Way]:
    """Pipe of the same width with a thicker wall, and wider pipe."""
    D, t = float(x.need(Sheet.blade.pipe_diameter)), float(x.need(Sheet.blade.pipe_wall))

    def of(width: float, wall: float) -> dict[Entry[Any], Value]:
        kit: dict[Entry[Any], Value] = {Sheet.blade.pipe_diameter: width, Sheet.blade.pipe_wall: wall}
        if x.given(Sheet.blade.wall_mean):
            kit[Sheet.blade.wall_mean] = float(blade.mean_wall(wall))
        if x.given(Sheet.blade.mass):
            kit[Sheet.blade.mass] = float(x.need(Sheet.blade.mass)) * wall / t
        return kit

    stronger = [of(width, wall) for width, wall in blade.pipe_sizes() if 0.999 * D < width < 2.1 * D and wall > t]
    return [change("Cut the blades from pipe of {0}, wall {1}.", *stronger)] if stronger else []
