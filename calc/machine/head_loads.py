"""What the whole head puts on its yaw bearing in each load case: thrust, weight, and the moment that overturns it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.machine.blade_beam import blade_beam
from calc.machine.catalogue import Sheet
from calc.machine.furling import hinge_behind, tail_mass_arm
from calc.machine.inputs import Inputs, Unknown
from calc.machine.structure import top_loads
from calc.physics.structure import simple_loads as simple
from calc.physics.structure.simple_loads import ShaftLoad, Turbine
from calc.units import Num


@dataclass(frozen=True, slots=True)
class HeadLoad:
    """One case on the yaw bearing. Shape (...,).

    Parameters
    ----------
    case : str
        Letter of the standard.
    side : float or array
        Force across the yaw axis, at the height of the shaft. [N]
    down : float or array
        Weight of the head. [N]
    moment : float or array
        What overturns the head besides ``side``: of weights that do not balance, and of yawing. [N m]
    equations : tuple of str
        Keys of :data:`calc.physics.structure.simple_loads.EQUATIONS`.
    """

    case: str
    side: Num
    down: Num
    moment: Num
    equations: tuple[str, ...]


def head_loads(x: Inputs) -> tuple[HeadLoad, ...] | Unknown:
    """Loads of cases A to H on the yaw bearing, load factors not counted; computed once for all rules."""
    return x.shared("head loads", _loads)


def _loads(x: Inputs) -> tuple[HeadLoad, ...] | Unknown:
    beam, top = blade_beam(x), top_loads(x)
    if isinstance(beam, Unknown):
        return beam
    if isinstance(top, Unknown):
        return top
    t, tail = beam.turbine, _tail_moment(x)
    down = top.head_mass * simple.GRAVITY
    # The rotor hangs ahead of the axis and the tail behind it; generator and frame are taken to stand over it.
    still = np.abs(t.m_r * simple.GRAVITY * t.L_rt - tail)
    found = by_case(t, down, still)
    # Stopped, the wind is on generator, head and tail as well.
    found["H parked"] = HeadLoad("H parked", top.braked, down, still, ("H shaft Fx, parked", "H part F"))
    return tuple(found.values())


def by_case(t: Turbine, down: Num, still: Num) -> dict[str, HeadLoad]:
    """Cases of a turbine by their letters; the head has a weight [N], and a moment while it stands still [N m]."""
    return {load.case: _of_shaft(load, t, down, still) for load in simple.shaft_cases(t)}


def _tail_moment(x: Inputs) -> Num:
    """Moment of the tail's weight about the yaw axis; nought where there is none, in [N m]."""
    if x.lacks(Sheet.tail.mass, Sheet.tail.arm):
        return 0.0
    return x.tail.mass * simple.GRAVITY * (tail_mass_arm(x) + hinge_behind(x))


def _of_shaft(load: ShaftLoad, t: Turbine, down: Num, still: Num) -> HeadLoad:
    """The case of the shaft at the yaw axis, which stands further back than the shaft's first bearing."""
    if load.case == "A":
        # Half of the range, as against strength.
        return HeadLoad("A", load.thrust / 2.0, down, still + t.R * t.thrust / 12.0, load.equations)
    if load.case == "B":
        # What the standard bends the shaft with, its own weight at the first bearing taken off.
        whirls = load.bending - t.m_r * simple.GRAVITY * t.L_rb
        return HeadLoad("B", load.thrust, down, still + whirls, load.equations)
    if load.case == "E":
        return HeadLoad("E", load.thrust, down, still + t.m_r * t.e_r * np.square(t.omega_max) * t.L_rt, load.equations)
    return HeadLoad(load.case, load.thrust, down, still, load.equations)


def reactions(load: HeadLoad, h: Num, above: Num) -> tuple[Num, Num]:
    r"""Forces across the upper and the lower yaw bearing, in [N].

    .. math:: R_u = F (a + h)/h + M/h, \quad R_l = F a/h + M/h

    Parameters
    ----------
    load : HeadLoad
        The case.
    h, above : float or array, shape (...,)
        Distance between the bearings, and height of the shaft above the upper one. [m]

    Examples
    --------
    100 N of thrust 0.1 m above bearings 0.2 m apart, 20 N m beside it:

    >>> [float(R) for R in reactions(HeadLoad("D", 100.0, 280.0, 20.0, ()), 0.2, 0.1)]
    [250.0, 150.0]
    """
    lower = np.asarray((load.side * above + load.moment) / h)
    return lower + load.side, lower
