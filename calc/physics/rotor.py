r"""Power, thrust and torque of a rotor by blade-element momentum theory.

Each strip of each blade is balanced against the ring of air it sweeps, with rotation of the wake, Prandtl's
loss at tip and root, and Buhl's relation where the thrust is high. The one unknown of a strip is its inflow
angle, which lies between known bounds [1]_. With :math:`\phi` the inflow angle, :math:`\sigma = B c / 2\pi r`
and :math:`\lambda_r = \omega r / V` the balance is written without any division that could fail:

.. math:: \frac{\sin^2\phi}{1 - a} = \frac{1}{\lambda_r}
          \left(\sin\phi\cos\phi - \frac{\sigma c_t}{4F}\right)

.. math:: \frac{\sin^2\phi}{1 - a} = \begin{cases}
          \sin^2\phi + \sigma c_n / 4F & a \le 0.4 \\
          \sin^2\phi\,(5/3 - F) + \sin\phi \sqrt{\sin^2\phi\,(F^2 - 4F/3) + \sigma c_n / 2} & a > 0.4
          \end{cases}

References
----------
.. [1] S. A. Ning, A simple solution method for the blade element momentum equations with guaranteed
   convergence, Wind Energy 17 (2014) 1327-1345.
.. [2] M. L. Buhl, New empirical relationship between thrust coefficient and induction factor for the
   turbulent windmill state, NREL/TP-500-36834, 2005.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from calc.physics.blade import Blade
from calc.physics.polar import Section, arc_plate
from calc.units import Num

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
T = TypeVar("T", bound=np.generic)

#: Kinematic viscosity of air at 15 degC. [m2/s]
AIR_VISCOSITY = 1.461e-5
#: Tip-speed ratios of a curve unless others are given.
TIP_SPEED_RATIOS: Array = np.linspace(0.5, 14.0, 40)

#: Strips solved at once, so that what they need stays in the cache of one core.
_TOGETHER = 12800
#: Steps of false position before each look at which strips are done, then halvings of what is still left.
_ROUNDS, _HALVINGS = (6, 2, 2, 2, 2), 40
#: Lowest tan(phi / 2) looked at.
_LOWEST = 1e-6
#: A strip is done when its last step, or the distance of its bounds, is this share of tan(phi / 2). A step is
#: much longer than the error it leaves: power coefficients come out within 1e-4.
_CLOSE, _MET = 1e-4, 1e-6


@dataclass(frozen=True, slots=True)
class RotorCurve:
    """Coefficients of a rotor over tip-speed ratio.

    Parameters
    ----------
    tip_speed_ratio : array, shape (..., ratios)
        Speed of the tip over speed of the wind.
    cp, ct, cq : array, shape (..., ratios)
        Power / (rho A V^3 / 2), thrust / (rho A V^2 / 2), torque / (rho A V^2 R / 2).
    cm : array, shape (..., ratios)
        Bending moment of the thrust of one blade at its root / (rho A V^2 R / 2).
    solved : array of bool, shape (..., ratios)
        Whether every strip has a solution. Where not, the strips without one are left out of the sums and the
        coefficients must not be used.
    in_table : array of bool, shape (..., ratios)
        Whether every strip's Reynolds number lies inside the section's table. Where not, the values at the
        end of the table are used.
    """

    tip_speed_ratio: Array
    cp: Array
    ct: Array
    cq: Array
    cm: Array
    solved: Flags
    in_table: Flags


@dataclass(frozen=True, slots=True)
class _Strips:
    """Strips at given tip-speed ratios, flattened: what the balance of each needs."""

    section: Section
    start: NDArray[np.intp]
    share: Array
    inverse_speed: Array
    solidity: Array
    theta: Array
    sin_theta: Array
    cos_theta: Array
    tip: Array
    hub: Array
    lift: Array
    drag: Array

    def only(self, which: NDArray[np.intp]) -> _Strips:
        """Some of the strips."""
        rest = {name: getattr(self, name)[which] for name in self.__slots__ if name != "section"}
        return _Strips(section=self.section, **rest)

    def balance(self, t: Array) -> tuple[Array, Array, Array, Array]:
        """Imbalance of the strips at inflow angles phi given as t = tan(phi / 2).

        The half-angle form gives sine and cosine without calling either.

        Returns
        -------
        imbalance : array
            Below zero where the true inflow angle is greater.
        cn, ct : array
            Coefficients of force along the shaft and along the path of the blade.
        blocking : array
            sin^2(phi) / (1 - a).
        """
        square = t * t
        over = 1 / (1 + square)
        s, c = 2 * t * over, (1 - square) * over
        excess = self.section.look_up(2 * np.arctan(t) - self.theta, self.start, self.share)
        sin_alpha = s * self.cos_theta - c * self.sin_theta
        cos_alpha = c * self.cos_theta + s * self.sin_theta
        cl = (excess.real + 2 * sin_alpha * cos_alpha) * self.lift
        cd = (excess.imag + 2 * sin_alpha * sin_alpha) * self.drag
        cn, ct = cl * c + cd * s, cl * s - cd * c
        F = prandtl(self.tip / s) * prandtl(self.hub / s)
        s2, push = s * s, self.solidity * cn
        light = s2 + push / (4 * F)
        # The square root is only used where its argument is at least F^2 s^2.
        heavy = s2 * (5 / 3 - F) + s * np.sqrt(np.maximum(s2 * F * (F - 4 / 3) + push / 2, 0.0))
        blocking = np.where(push > (8 / 3) * F * s2, heavy, light)
        spin = s * c - self.solidity * ct / (4 * F)
        return blocking - spin * self.inverse_speed, cn, ct, blocking


def prandtl(f: Array) -> Array:
    r"""Prandtl's loss factor.

    .. math:: F = \frac{2}{\pi} \arccos e^{-f}, \quad f = \frac{B}{2} \frac{R - r}{r \sin\phi}

    Parameters
    ----------
    f : array, shape (...,)
        Distance from the end of the blade over the spacing of the wake's sheets; infinite for no loss.

    Returns
    -------
    F : array, shape (...,)
        1 far from the end, 0 at the end.

    Examples
    --------
    Three blades, r/R = 0.9, phi = 6 deg:

    >>> float(prandtl(3 / 2 * (1 - 0.9) / (0.9 * np.sin(np.radians(6.0)))))
    0.8699
    """
    return np.asarray((2 / np.pi) * np.arccos(np.exp(-f)))


def induction(k: Num, F: Num) -> Num:
    r"""Axial induction of a ring of the rotor from its loading.

    .. math:: k = \frac{\sigma c_n}{4 F \sin^2\phi}

    Parameters
    ----------
    k : float or array, shape (...,)
        Loading; greater than -1.
    F : float or array, shape (...,)
        Loss factor.

    Returns
    -------
    a : float or array, shape (...,)
        Share of the wind's speed taken off at the rotor: momentum theory up to 0.4, Buhl's relation above.

    Raises
    ------
    ValueError
        If ``k`` is not greater than -1.

    Examples
    --------
    >>> induction(0.8, 1.0), induction(1.2, 1.0)
    (0.442005, 0.524773)
    """
    if np.any(np.less_equal(k, -1)):
        raise ValueError("the loading must be greater than -1")
    heavy = 5 / 3 - F + np.sqrt(np.maximum(np.square(F) + 2 * np.multiply(F, np.subtract(k, 2 / 3)), 0.0))
    a = 1 - 1 / np.where(np.less_equal(k, 2 / 3), 1 + np.asarray(k), heavy)
    return float(a) if a.ndim == 0 else a


def _solve(strips: _Strips, speed: Array) -> tuple[Array, Array, Array, Flags]:
    """Find the inflow angle of every strip.

    Parameters
    ----------
    strips : _Strips
        n strips.
    speed : array, shape (n,)
        Local speed ratio.

    Returns
    -------
    cn, ct : array, shape (n,)
        Force coefficients at the solution.
    flow : array, shape (n,)
        Square of the relative speed over the square of the wind speed.
    solved : array of bool, shape (n,)
    """
    # Without induction tan(phi) = 1 / speed. A strip that brakes the wind lies below that, else above.
    free = 1 / (np.sqrt(1 + speed * speed) + speed)
    at_free = strips.balance(free)[0]
    above = at_free < 0
    other = np.where(above, 1.0, _LOWEST)
    at_other = strips.balance(other)[0]
    low, high = np.where(above, free, other), np.where(above, other, free)
    f_low, f_high = np.where(above, at_free, at_other), np.where(above, at_other, at_free)
    solved = (f_low <= 0) & (f_high >= 0) & (f_high > f_low)
    t = _refine(strips, low, high, f_low, f_high, solved)
    back = np.flatnonzero(above & (at_other < 0))
    if len(back):
        t[back], solved[back] = _from_behind(strips.only(back))
    _, cn, ct, blocking = strips.balance(t)
    solved &= blocking > 0
    s = 2 * t / (1 + t * t)
    flow = np.square(s / np.where(solved, blocking, 1.0))
    return cn, ct, flow, solved


def _from_behind(strips: _Strips) -> tuple[Array, Flags]:
    """Solve strips that push the air round faster than they move, so that it meets them from behind.

    This happens only to blades that are set backwards. The inflow angle lies between 90 and 169 degrees; its
    1 / t = 1 / tan(phi / 2) is found by halving.
    """
    low, high = np.full(len(strips.theta), 0.1), np.ones(len(strips.theta))
    solved = strips.balance(1 / low)[0] >= 0
    for _ in range(_HALVINGS):
        p = (low + high) / 2
        up = strips.balance(1 / p)[0] < 0
        low, high = np.where(up, low, p), np.where(up, p, high)
    return 2 / (low + high), solved


def _refine(strips: _Strips, low: Array, high: Array, f_low: Array, f_high: Array, bracketed: Flags) -> Array:
    """Close the bounds: false position in rounds for those not yet done, then halving for the few left."""
    t = high.copy()
    who = np.flatnonzero(bracketed)
    part = strips if len(who) == len(t) else strips.only(who)
    bounds = [x[who] for x in (low, high, f_low, f_high)]
    bounds.append(np.zeros(len(who)))
    for steps in _ROUNDS:
        if not len(who):
            return t
        t[who], moved, bounds = _false_position(part, bounds, steps)
        left = np.flatnonzero(moved > _CLOSE * t[who])
        who, part, bounds = who[left], part.only(left), [x[left] for x in bounds]
    t[who] = _halve(part, bounds[0], bounds[1])
    return t


def _false_position(strips: _Strips, bounds: list[Array], steps: int) -> tuple[Array, Array, list[Array]]:
    """Take some steps of false position after Anderson and Bjorck.

    A bound that is kept twice running has its value scaled down, so that both bounds close in.

    Returns
    -------
    t : array
        Last point of each strip.
    moved : array
        How far the last step went.
    bounds : list of array
        Lower and upper bound, the imbalance at each, and which of them moved last (-1 the lower).
    """
    low, high, f_low, f_high, side = bounds
    t = high
    for _ in range(steps):
        before = t
        # Both values are zero only where both bounds already are the solution.
        gap = f_high - f_low
        t = high - f_high * (high - low) / np.where(gap > 0, gap, 1.0)
        f = strips.balance(t)[0]
        up = f < 0
        # The bound on this point's side gives way; the other is kept, and its value scaled if kept before.
        gone, kept = np.where(up, f_low, f_high), np.where(up, f_high, f_low)
        now = np.where(up, -1.0, 1.0)
        factor = 1 - f / np.where(gone == 0, 1.0, gone)
        kept *= np.where(side == now, np.where(factor > 0, factor, 0.5), 1.0)
        low, high = np.where(up, t, low), np.where(up, high, t)
        f_low, f_high = np.where(up, f, kept), np.where(up, kept, f)
        side = now
    return t, np.abs(t - before), [low, high, f_low, f_high, side]


def _halve(strips: _Strips, low: Array, high: Array) -> Array:
    """Halve the bounds until they meet."""
    for _ in range(_HALVINGS):
        if np.all(high - low <= _MET * low):
            break
        t = (low + high) / 2
        up = strips.balance(t)[0] < 0
        low, high = np.where(up, t, low), np.where(up, high, t)
    return (low + high) / 2


def _flat(x: Num, shape: tuple[int, ...], axes: int = 0) -> Array:
    """Give an array all its variants, in one axis; the last axes stay."""
    kept = np.shape(x)[np.ndim(x) - axes :]
    return np.broadcast_to(np.asarray(x, dtype=float), (*shape, *kept)).reshape(-1, *kept)


def _rows(some: slice, x: Num, axes: int) -> Array:
    """Take some variants of an array."""
    return np.asarray(x)[some]


def _part(blade: Blade, change: Callable[[Num, int], Array]) -> Blade:
    """Change every array of a blade; the second argument counts its axes beside the variants."""
    return Blade(
        R=change(blade.R, 0),
        r_root=change(blade.r_root, 0),
        r=change(blade.r, 1),
        dr=change(blade.dr, 1),
        chord=change(blade.chord, 1),
        twist=change(blade.twist, 1),
        camber=None if blade.camber is None else change(blade.camber, 1),
        thickness=None if blade.thickness is None else change(blade.thickness, 1),
    )


def curve(
    blade: Blade,
    V: Num,
    B: Num = 3,
    tip_speed_ratio: Array = TIP_SPEED_RATIOS,
    section: Section | None = None,
    lift_factor: Num = 1.0,
    drag_factor: Num = 1.0,
    viscosity: Num = AIR_VISCOSITY,
    losses: bool = True,
) -> RotorCurve:
    """Coefficients of a rotor over tip-speed ratio at a wind speed.

    Parameters
    ----------
    blade : Blade
        Stations, shape (..., stations).
    V : float or array, shape (...,)
        Wind speed; it matters only through the Reynolds number. [m/s]
    B : float or array, shape (...,)
        Number of blades.
    tip_speed_ratio : array, shape (ratios,)
        Tip-speed ratios, rising, greater than zero.
    section : Section, optional
        One section for all stations. Without it the stations are plates bent to a circular arc.
    lift_factor, drag_factor : float or array, shape (...,)
        Doubt about the section, as factors on lift and drag.
    viscosity : float or array, shape (...,)
        Kinematic viscosity of the air. [m2/s]
    losses : bool
        Whether losses at tip and root are counted. Without them the theory can be held against ideal rotors.

    Returns
    -------
    curve : RotorCurve
        Shape (..., ratios).

    Raises
    ------
    ValueError
        If a wind speed or tip-speed ratio is not greater than zero, the ratios do not rise, or camber or wall
        of an arc plate lie outside the table.

    Notes
    -----
    Steady wind square to the rotor, no tower, rigid blades. The Reynolds number of a strip is taken from the
    speed made of its own speed and two thirds of the wind. Near the tip, where most power is made, this is
    right within 1 %, near the root within a tenth or two, and it needs no iteration.

    Examples
    --------
    >>> from calc.physics.blade import cut_from_pipe
    >>> b = cut_from_pipe(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(22.0))
    >>> got = curve(b, V=6.0, tip_speed_ratio=np.array([3.0, 4.0]))
    >>> got.solved.tolist(), got.cp.shape
    ([True, True], (2,))
    """
    ratios = np.asarray(tip_speed_ratio, dtype=float)
    if np.any(np.less_equal(V, 0)) or np.any(ratios <= 0) or np.any(np.diff(ratios) <= 0):
        raise ValueError("wind speed and tip-speed ratios must be greater than zero, and the ratios must rise")
    numbers = (V, B, lift_factor, drag_factor, viscosity)
    variants = np.broadcast_shapes(
        blade.r.shape[:-1],
        blade.chord.shape[:-1],
        blade.twist.shape[:-1],
        *(np.shape(x) for x in (*numbers, blade.R, blade.r_root)),
    )
    flat = [_flat(x, variants) for x in numbers]
    whole = _part(blade, lambda x, axes: _flat(x, variants, axes))
    sums = []
    few_variants = max(1, _TOGETHER // (blade.r.shape[-1] * len(ratios)))
    for first in range(0, len(flat[0]), few_variants):
        some = slice(first, first + few_variants)
        few = _part(whole, partial(_rows, some))
        sums.append(_together(few, [x[some] for x in flat], ratios, section, losses))
    shape = (*variants, len(ratios))
    thrust, torque, bending, solved, inside = (np.concatenate(x).reshape(shape) for x in zip(*sums, strict=True))
    return RotorCurve(
        tip_speed_ratio=np.broadcast_to(ratios, shape),
        cp=torque * ratios,
        ct=thrust,
        cq=torque,
        cm=bending,
        solved=solved,
        in_table=inside,
    )


def _sections(blade: Blade, section: Section | None) -> tuple[Section, NDArray[np.intp]]:
    """Sections of the stations, and the number of each station's own, shape (..., stations) or ()."""
    if section is not None:
        return section, np.zeros((), dtype=np.intp)
    if blade.camber is None or blade.thickness is None:
        raise ValueError("a blade without camber needs a section")
    plates = arc_plate(blade.camber, blade.thickness)
    sections = plates.excess.shape[:-2]
    return plates, np.arange(int(np.prod(sections))).reshape(sections)


def _together(
    blade: Blade, numbers: list[Array], ratios: Array, section: Section | None, losses: bool
) -> tuple[Array, Array, Array, Flags, Flags]:
    """Solve a few variants and add up their strips: thrust, torque, bending, solved, inside the table."""
    plates, first = _sections(blade, section)
    R, r_root = (np.asarray(x)[:, None, None] for x in (blade.R, blade.r_root))
    V, B, lift, drag, viscosity = (x[:, None, None] for x in numbers)
    r, dr, chord, twist = (x[..., None] for x in (blade.r, blade.dr, blade.chord, blade.twist))
    solidity = B * chord / (2 * np.pi * r)
    speed = ratios * r / R
    Re = V * np.sqrt(speed * speed + 4 / 9) * chord / viscosity
    row, share = plates.rows(Re)
    rows, width = plates.excess.shape[-2:]
    shape = Re.shape

    def spread(x: NDArray[T]) -> NDArray[T]:
        return np.broadcast_to(x, shape).reshape(-1)

    endless = np.full_like(r, np.inf)
    strips = _Strips(
        section=plates,
        start=spread((first[..., None] * rows + row) * width),
        share=spread(share),
        inverse_speed=spread(1 / speed),
        solidity=spread(solidity),
        theta=spread(twist),
        sin_theta=spread(np.sin(twist)),
        cos_theta=spread(np.cos(twist)),
        tip=spread(B / 2 * (R - r) / r if losses else endless),
        hub=spread(B / 2 * (r - r_root) / r_root if losses else endless),
        lift=spread(lift),
        drag=spread(drag),
    )
    cn, ct, flow, solved = (x.reshape(shape) for x in _solve(strips, spread(speed)))
    strength = np.where(solved, flow, 0.0) * (2 * solidity * r * dr / R**2)
    push = strength * cn
    return (
        push.sum(axis=1),
        (strength * ct * (r / R)).sum(axis=1),
        (push * ((r - r_root) / R)).sum(axis=1) / B[:, 0],
        np.asarray(solved.all(axis=1)),
        np.asarray(plates.inside(Re).all(axis=1)),
    )


def starting_cq(
    blade: Blade,
    B: Num = 3,
    section: Section | None = None,
    lift_factor: Num = 1.0,
    V: Num = 4.0,
    viscosity: Num = AIR_VISCOSITY,
) -> Num:
    r"""Torque coefficient of a rotor at rest.

    .. math:: C_Q = \frac{B}{\pi R^3} \int c\, c_l(90^\circ - \theta)\, r \,dr

    Parameters
    ----------
    blade, B, section, lift_factor, V, viscosity
        See :func:`curve`. The drag of a blade at rest has no part in its torque.

    Returns
    -------
    cq : float or array, shape (...,)
        Torque / (rho A V^2 R / 2).

    Notes
    -----
    A rotor at rest hardly slows the wind, so none is taken off.

    Examples
    --------
    >>> from calc.physics.blade import cut_from_pipe
    >>> b = cut_from_pipe(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(22.0))
    >>> round(starting_cq(b), 4)
    0.0156
    """
    plates, _ = _sections(blade, section)
    Re = np.asarray(V)[..., None] * blade.chord / np.asarray(viscosity)[..., None]
    cl, _ = plates.at(np.pi / 2 - blade.twist, Re)
    cq = B / (np.pi * np.power(blade.R, 3)) * np.sum(blade.chord * cl * blade.r * blade.dr, axis=-1) * lift_factor
    return float(cq) if np.ndim(cq) == 0 else cq


def best(curve: RotorCurve) -> tuple[Num, Num]:
    """Tip-speed ratio and power coefficient of the best point, by a parabola through three points.

    Parameters
    ----------
    curve : RotorCurve
        Shape (..., ratios), evenly spaced, at least three.

    Returns
    -------
    tip_speed_ratio, cp : float or array, shape (...,)

    Examples
    --------
    >>> x = np.array([3.0, 4.0, 5.0])
    >>> yes = np.ones(3, dtype=bool)
    >>> best(RotorCurve(x, 0.3 - 0.01 * (x - 4.2) ** 2, x, x, x, yes, yes))
    (4.2, 0.3)
    """
    cp = np.where(curve.solved, curve.cp, -np.inf)
    middle = np.clip(np.argmax(cp, axis=-1), 1, cp.shape[-1] - 2)[..., None]
    left, peak, right = (np.take_along_axis(curve.cp, middle + k, axis=-1)[..., 0] for k in (-1, 0, 1))
    bend = left - 2 * peak + right
    shift = np.clip(np.where(bend < 0, (left - right) / np.where(bend < 0, 2 * bend, 1.0), 0.0), -1, 1)
    x = np.take_along_axis(curve.tip_speed_ratio, middle, axis=-1)[..., 0]
    step = np.take_along_axis(curve.tip_speed_ratio, middle + 1, axis=-1)[..., 0] - x
    top = peak - (left - right) * shift / 4
    at = x + shift * step
    return (float(at), float(top)) if np.ndim(at) == 0 else (at, top)


def runaway(curve: RotorCurve, cq_drag: Num = 0.0) -> tuple[Num, Flags | bool]:
    """Tip-speed ratio at which a rotor that drives nothing settles.

    Parameters
    ----------
    curve : RotorCurve
        Shape (..., ratios).
    cq_drag : float or array, shape (...,)
        Torque that still holds it back / (rho A V^2 R / 2).

    Returns
    -------
    tip_speed_ratio : float or array, shape (...,)
        The greatest at which the torque falls through ``cq_drag``. Where there is none: the last ratio of the
        curve if the rotor is still driven there, else the first.
    found : bool or array of bool, shape (...,)
        Whether there is such a point.

    Examples
    --------
    >>> x = np.array([2.0, 4.0, 6.0, 8.0])
    >>> yes = np.ones(4, dtype=bool)
    >>> runaway(RotorCurve(x, x * 0, x * 0, (7.0 - x) / 100, x * 0, yes, yes))
    (7.0, True)
    """
    torque = curve.cq - np.asarray(cq_drag)[..., None]
    x = curve.tip_speed_ratio
    falls = (torque[..., :-1] > 0) & (torque[..., 1:] <= 0) & curve.solved[..., :-1] & curve.solved[..., 1:]
    found = falls.any(axis=-1) & (torque[..., -1] <= 0)
    i = (falls.shape[-1] - 1 - np.argmax(falls[..., ::-1], axis=-1))[..., None]
    p, q = (np.take_along_axis(torque, i + k, axis=-1)[..., 0] for k in (0, 1))
    low, high = (np.take_along_axis(x, i + k, axis=-1)[..., 0] for k in (0, 1))
    at = low + (high - low) * p / np.where(found, p - q, 1.0)
    at = np.where(found, at, np.where(torque[..., -1] > 0, x[..., -1], x[..., 0]))
    return (float(at), bool(found)) if np.ndim(at) == 0 else (at, found)
