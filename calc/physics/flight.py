"""How far a piece of a blade flies, air and wind counted; without air see :func:`calc.physics.blade.throw_distance`."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.physics.arrays import Array, refuse_if
from calc.physics.blade.loads import GRAVITY
from calc.physics.blade.shape import plain_number
from calc.units import Num

#: Drag of a flat plate across the flow; from memory.
PLATE = 1.2
#: A body that tumbles shows every side alike: on average a quarter of its surface (Cauchy), of a thin plate half of one
#: face. So much of its face, times the drag of a plate, holds a tumbling piece back.
TUMBLING = PLATE / 2.0
#: The same of a piece that flies edge first most of its way. Own estimate, no source.
EDGE_FIRST = TUMBLING / 4.0

_ANGLES = np.radians(np.linspace(0.0, 77.0, 10))
_STEPS = 48


def drag_length(area_mass: Num, drag: Num, rho: Num) -> Num:
    r"""Way through the air on which drag alone brings a speed down to a share of 1/e.

    .. math:: L = \frac{2 m}{\rho C_D A}

    Parameters
    ----------
    area_mass : float or array, shape (...,)
        Mass of the piece over the area of its face. [kg/m2]
    drag : float or array, shape (...,)
        Drag coefficient by that face, such as :data:`TUMBLING`.
    rho : float or array, shape (...,)
        Air density. [kg/m3]

    Returns
    -------
    L : float or array, shape (...,)
        [m]

    Examples
    --------
    Pipe of 6.2 mm, PVC-U, tumbling:

    >>> round(float(drag_length(8.8, TUMBLING, 1.225)), 1)
    23.9
    """
    return 2.0 * np.asarray(area_mass)[()] / (rho * drag)


def throw_in_air(v: Num, h: Num, L: Num, W: Num = 0.0, g: float = GRAVITY) -> Num:
    r"""How far a piece flies at the worst angle, thrown across a steady wind that carries it along.

    In the air's own frame the path lies in a plane, and with the slope :math:`p` of the path as the variable the
    horizontal speed :math:`u` is known in closed form,

    .. math:: \frac{1}{u^2} = \frac{1}{u_0^2} + \frac{\Phi(p_0) - \Phi(p)}{g L}, \quad
              \Phi(p) = p \sqrt{1 + p^2} + \mathrm{arsinh}\, p

    so that distance, height and time are plain sums over :math:`dp = -g\, dt / u`. Rotors face the wind: pieces leave
    across it.

    Parameters
    ----------
    v : float or array, shape (...,)
        Speed at which it leaves. [m/s]
    h : float or array, shape (...,)
        Height from which. [m]
    L : float or array, shape (...,)
        See :func:`drag_length`. [m]
    W : float or array, shape (...,)
        Wind. [m/s]
    g : float
        Gravity. [m/s2]

    Returns
    -------
    d : float or array, shape (...,)
        Distance on level ground from below where it left. [m]

    Raises
    ------
    ValueError
        If a speed, height or wind is negative, or the drag length is not positive.

    Notes
    -----
    Angles from level to 77 degrees. No lift: a piece that glides flies further. Sums good to 0.5 %.

    Examples
    --------
    60 m/s on the flat: hardly any air, and a tumbling piece of pipe:

    >>> round(throw_in_air(60.0, 0.0, 1e6)), round(throw_in_air(60.0, 0.0, 23.9))
    (367, 46)

    References
    ----------
    .. [1] Motion with drag by the square of the speed, hodograph; textbook mechanics, from memory. Held against an
       independent integration of the equations of motion in the tests.
    """
    bad = np.less(v, 0) | np.less(h, 0) | np.less(W, 0) | np.less_equal(L, 0)
    refuse_if(bad, "speed, height and wind must not be negative, and the drag length must be positive")
    v, h, L, W = np.broadcast_arrays(*(np.asarray(a, dtype=float) for a in (v, h, L, W)))
    d = _landing(v[..., None], h[..., None], L[..., None], W[..., None], g)
    return plain_number(_peak(d))


def _landing(v: Array, h: Array, L: Array, W: Array, g: float) -> Array:
    """Where it comes down for each angle, shape (..., angles)."""
    across, up = v * np.cos(_ANGLES), v * np.sin(_ANGLES)
    u0 = np.maximum(np.hypot(across, W), 1e-6)
    q0 = np.arcsinh(up / u0)
    s, fall, t = _path(u0, q0, _steepest(u0, q0, h, L, g), L, g)
    # Height falls without end along the path beyond its top, where it begins.
    at = _crossing(fall, h)
    s, t = _along(s, at), _along(t, at)
    return cast(Array, np.hypot(s * across / u0, W * (t - s / u0)))


def _steepest(u0: Array, q0: Array, h: Array, L: Array, g: float) -> Array:
    """A slope, as its arsinh, that is steeper than any with which the piece can land."""
    without_air = np.arcsinh(np.sqrt(np.sinh(q0) ** 2 + 2.0 * g * h / u0**2))
    top = u0**2 * np.sinh(q0) ** 2 / (2.0 * g)
    # Slowed to its last speed it falls by the drag length for each unit of that measure.
    return cast(Array, without_air + np.minimum((top + h) / L, 30.0) + 2.0)


def _path(u0: Array, q0: Array, q1: Array, L: Array, g: float) -> tuple[Array, Array, Array]:
    """Distance through the air, fall and time along the path, shape (..., angles, steps)."""
    # The harder air slows it at first, the finer the steps there.
    fine = np.minimum(g * L / (2.0 * (u0 * np.cosh(q0)) ** 2), 1.0)
    along, grown = np.linspace(0.0, 1.0, _STEPS), np.log1p((q0 + q1) / fine)[..., None]
    q = q0[..., None] - fine[..., None] * np.expm1(grown * along)
    step = fine[..., None] * grown * np.exp(grown * along) / (_STEPS - 1)
    sinh, cosh = np.sinh(q), np.cosh(q)
    phi = sinh * cosh + q
    uu = 1.0 / (1.0 / u0[..., None] ** 2 + (phi[..., :1] - phi) / (g * L[..., None]))
    dx = uu * cosh / g * step
    return _sum(dx), _sum(-dx * sinh), _sum(np.sqrt(uu) * cosh / g * step)


def _sum(f: Array) -> Array:
    """Running sum by trapezoids, corrected by the slopes at both ends of each."""
    slope = np.gradient(f, axis=-1)
    parts = 0.5 * (f[..., 1:] + f[..., :-1]) - (slope[..., 1:] - slope[..., :-1]) / 12.0
    whole = np.cumsum(parts, axis=-1)
    return np.concatenate([np.zeros_like(whole[..., :1]), whole], axis=-1)


def _crossing(fall: Array, h: Array) -> Array:
    """Place along the path, in steps, where it has fallen by the height from which it came."""
    below = fall >= h[..., None]
    # The path begins at the height from which it fell: only behind its top does it count.
    after = np.arange(_STEPS) > np.argmin(fall, axis=-1)[..., None]
    first = np.argmax(below & after, axis=-1)
    first = np.where((below & after).any(axis=-1), first, _STEPS - 1)
    low, high = (np.take_along_axis(fall, (first + i)[..., None], axis=-1)[..., 0] for i in (-1, 0))
    return cast(Array, first - 1 + np.clip((h - low) / np.maximum(high - low, 1e-12), 0.0, 1.0))


def _along(values: Array, at: Array) -> Array:
    first = np.minimum(at.astype(int), _STEPS - 2)
    low, high = (np.take_along_axis(values, (first + i)[..., None], axis=-1)[..., 0] for i in (0, 1))
    return cast(Array, low + (at - first) * (high - low))


def _peak(d: Array) -> Array:
    """The greatest over the angles, by a parabola through the three about it."""
    at = np.clip(np.argmax(d, axis=-1), 1, d.shape[-1] - 2)
    a, b, c = (np.take_along_axis(d, (at + i)[..., None], axis=-1)[..., 0] for i in (-1, 0, 1))
    bend = a - 2.0 * b + c
    moved = np.clip(0.5 * (a - c) / np.where(bend < 0, bend, -1e300), -1.0, 1.0)
    return np.asarray(np.maximum(np.maximum(b - 0.25 * (a - c) * moved, a), c))


def ice_throw(D: Num, hub: Num) -> Num:
    """How far ice from the blades of a turning rotor may fly, a rule for screening, for diameter and hub [m], in [m].

    Examples
    --------
    >>> ice_throw(2.2, 8.0)
    15.3

    References
    ----------
    .. [1] H. Seifert et al., Risk analysis of ice throw from wind turbines, 2003; read in a presentation that adds:
       pieces were found at up to two thirds of it.
    """
    return 1.5 * (D + hub)
