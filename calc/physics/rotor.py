r"""Power, thrust and torque of a rotor by blade-element momentum theory.

Each strip of each blade is balanced against the ring of air it sweeps, with rotation of the wake, Prandtl's
loss at tip and root, and Buhl's relation where the thrust is high. The one unknown of a strip is its inflow
angle, which lies between known bounds [1]_. With :math:`\phi` the inflow angle, :math:`\sigma = B c / 2\pi r`
and :math:`\lambda_r = \omega r / V` the balance is written without any division that could fail, what the wake's
spin asks for against what holds up the air, see :func:`calc.physics.momentum.blocking`:

.. math:: \frac{\sin^2\phi}{1 - a} = \frac{1}{\lambda_r}
          \left(\sin\phi\cos\phi - \frac{\sigma c_t}{4F}\right)

References
----------
.. [1] S. A. Ning, A simple solution method for the blade element momentum equations with guaranteed
   convergence, Wind Energy 17 (2014) 1327-1345.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from calc.physics.air import reynolds
from calc.physics.arrays import Array, Flags
from calc.physics.blade import Blade
from calc.physics.momentum import blocking, prandtl
from calc.physics.polar import Section, arc_plate, refuse_untabled
from calc.physics.roots import bracketed_root
from calc.physics.stall import Stall, stall_delay
from calc.units import Num

T = TypeVar("T", bound=np.generic)

#: How fast doubt about a section fades with the drag of a flat plate, 2 sin^2 of the angle: it is gone at 30 degrees.
ATTACHED = 2.0

#: Kinematic viscosity of air at 15 degC. [m2/s]
AIR_VISCOSITY = 1.461e-5
#: Tip-speed ratios of a curve unless others are given.
TIP_SPEED_RATIOS: Array = np.linspace(0.5, 14.0, 40)

#: Strips solved at once, so that what they need stays in the cache of one core.
_TOGETHER = 12800
#: Lowest tan(phi / 2) looked at.
_LOWEST = 1e-6
#: Width of the bracket, as a share of tan(phi / 2), within which a strip is taken as solved. The solution itself is
#: much nearer: power coefficients come out within 1e-4, mostly 1e-5.
_CLOSE = 3e-4


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
    stall: Stall | None

    def only(self, which: NDArray[np.intp]) -> _Strips:
        """Some of the strips."""
        whole = ("section", "stall")
        rest = {name: getattr(self, name)[which] for name in self.__slots__ if name not in whole}
        stall = None if self.stall is None else self.stall.only(which)
        return _Strips(section=self.section, stall=stall, **rest)

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
        alpha = 2 * np.arctan(t) - self.theta
        looked_up = alpha if self.stall is None else self.stall.moved(alpha)
        excess = self.section.look_up(looked_up, self.start, self.share)
        twice_sin = 2 * (s * self.cos_theta - c * self.sin_theta)
        plate = twice_sin * twice_sin / 2
        cl = excess.real + twice_sin * (c * self.cos_theta + s * self.sin_theta)
        cd = excess.imag + plate
        # What is doubtful of the section is not of a flat plate, into which it goes over.
        attached = np.maximum(1 - ATTACHED * plate, 0.0)
        cl *= 1 + (self.lift - 1) * attached
        cd *= 1 + (self.drag - 1) * attached
        cn, ct = cl * c + cd * s, cl * s - cd * c
        F = prandtl(self.tip / s)
        F *= prandtl(self.hub / s)
        held = blocking(s, self.solidity * cn, F)
        spin = s * c - self.solidity * ct / (4 * F)
        return held - spin * self.inverse_speed, cn, ct, held

    def imbalance(self, t: Array) -> Array:
        """The first of :meth:`balance`."""
        return self.balance(t)[0]

    def imbalance_from_behind(self, p: Array) -> Array:
        """The same over p = 1 / tan(phi / 2), for blades that the air meets from behind."""
        return self.imbalance(1 / p)


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
    t = _between(strips, np.flatnonzero(solved), low, high, f_low, f_high)
    back = np.flatnonzero(above & (at_other < 0))
    if len(back):
        t[back], solved[back] = _from_behind(strips.only(back))
    _, cn, ct, blocking = strips.balance(t)
    solved &= blocking > 0
    s = 2 * t / (1 + t * t)
    flow = np.square(s / np.where(solved, blocking, 1.0))
    return cn, ct, flow, solved


def _between(strips: _Strips, who: NDArray[np.intp], low: Array, high: Array, f_low: Array, f_high: Array) -> Array:
    """Solve the strips ``who`` between two bounds; the others get the upper one."""
    t = high.copy()
    every = len(who) == len(t)
    part, ends = (strips, (low, high)) if every else (strips.only(who), (low[who], high[who]))
    f_ends = (f_low, f_high) if every else (f_low[who], f_high[who])
    t[who] = bracketed_root(
        part.imbalance, *ends, f_low=f_ends[0], f_high=f_ends[1], only=lambda w: part.only(w).imbalance, rtol=_CLOSE
    )
    return t


def _from_behind(strips: _Strips) -> tuple[Array, Flags]:
    """Solve strips that push the air round faster than they move, so that it meets them from behind.

    This happens only to blades that are set backwards. The inflow angle lies between 90 and 169 degrees; what is
    looked for is 1 / t = 1 / tan(phi / 2).
    """
    low, high = np.full(len(strips.theta), 0.1), np.ones(len(strips.theta))
    f_low, f_high = strips.imbalance_from_behind(low), strips.imbalance_from_behind(high)
    solved = f_low >= 0
    p = bracketed_root(
        strips.imbalance_from_behind,
        low,
        high,
        f_low=np.maximum(f_low, 0.0),
        f_high=np.minimum(f_high, 0.0),
        only=lambda which: strips.only(which).imbalance_from_behind,
        rtol=_CLOSE,
    )
    return 1 / np.asarray(p), solved


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
    stall_later: Num = 0.0,
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
        One section for all stations, or one for each, ``excess`` of shape (..., stations, reynolds, angles). Without it
        the stations are plates bent to a circular arc.
    lift_factor, drag_factor : float or array, shape (...,)
        Doubt about the section, as factors on lift and drag.
    viscosity : float or array, shape (...,)
        Kinematic viscosity of the air. [m2/s]
    losses : bool
        Whether losses at tip and root are counted. Without them the theory can be held against ideal rotors.
    stall_later : float or array, shape (...,)
        Angle by which the tips stall later than the table of the section has it; earlier where negative. The parts
        nearer to the shaft stall later still, see :func:`calc.physics.stall.stall_delay`. [rad]

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
    Three blades cut from 160 mm pipe, 1.3 m across, in 6 m/s (our own numbers, for comparison):

    >>> from calc.physics.blade import cut_from_pipe
    >>> b = cut_from_pipe(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(22.0))
    >>> got = curve(b, V=6.0, tip_speed_ratio=np.array([3.0, 4.0]))
    >>> got.cp, got.ct, got.solved
    (array([0.168, 0.292]), array([0.355, 0.547]), array([ True,  True]))
    """
    ratios = np.asarray(tip_speed_ratio, dtype=float)
    _refuse(blade, V, ratios, section)
    numbers = (V, B, lift_factor, drag_factor, viscosity, stall_later)
    variants = np.broadcast_shapes(
        blade.r.shape[:-1],
        blade.chord.shape[:-1],
        blade.twist.shape[:-1],
        *(np.shape(x) for x in (*numbers, blade.R, blade.r_root)),
    )
    flat = [_flat(x, variants) for x in numbers]
    whole = _part(blade, lambda x, axes: _flat(x, variants, axes))
    sums = []
    together = max(1, _TOGETHER // (blade.r.shape[-1] * len(ratios)))
    for some in (slice(first, first + together) for first in range(0, len(flat[0]), together)):
        few = _part(whole, partial(_rows, some))
        own = _sections(few) if section is None else _given(section, variants, some)
        sums.append(_together(few, [x[some] for x in flat], ratios, own, losses))
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


def _refuse(blade: Blade, V: Num, ratios: Array, section: Section | None) -> None:
    """Refuse what cannot be computed, before the variants are solved a few at a time, so that all are named at once."""
    if np.any(np.less_equal(V, 0)) or np.any(ratios <= 0) or np.any(np.diff(ratios) <= 0):
        raise ValueError("wind speed and tip-speed ratios must be greater than zero, and the ratios must rise")
    if section is None and blade.camber is not None and blade.thickness is not None:
        refuse_untabled(blade.camber, blade.thickness)


#: Sections, and the number of each station's own, shape (..., stations) or ().
_Own: TypeAlias = "tuple[Section, NDArray[np.intp]]"


def _numbered(section: Section) -> NDArray[np.intp]:
    """Numbers of sections in the order of their flattened ``excess``."""
    sections = section.excess.shape[:-2]
    return np.arange(int(np.prod(sections))).reshape(sections)


def _given(section: Section, variants: tuple[int, ...], some: slice) -> _Own:
    """Sections that were given, and the numbers of those that the stations of some variants have."""
    numbers = np.atleast_1d(_numbered(section))
    stations = numbers.shape[-1]
    return section, np.broadcast_to(numbers, (*variants, stations)).reshape(-1, stations)[some]


def _sections(blade: Blade) -> _Own:
    """Sections of plates bent to an arc."""
    if blade.camber is None or blade.thickness is None:
        raise ValueError("a blade without camber needs a section")
    plates = arc_plate(blade.camber, blade.thickness)
    return plates, _numbered(plates)


def _together(
    blade: Blade, numbers: list[Array], ratios: Array, own: _Own, losses: bool
) -> tuple[Array, Array, Array, Flags, Flags]:
    """Solve a few variants and add up their strips: thrust, torque, bending, solved, inside the table."""
    strips, Re = _all_strips(blade, numbers, ratios, own, losses)
    R, r_root = (np.asarray(x)[:, None, None] for x in (blade.R, blade.r_root))
    r, dr = blade.r[..., None], blade.dr[..., None]
    speed = np.broadcast_to(ratios * r / R, Re.shape)
    cn, ct, flow, solved = (x.reshape(Re.shape) for x in _solve(strips, speed.reshape(-1)))
    strength = np.where(solved, flow, 0.0) * (2 * strips.solidity.reshape(Re.shape) * r * dr / R**2)
    push = strength * cn
    return (
        push.sum(axis=1),
        (strength * ct * (r / R)).sum(axis=1),
        (push * ((r - r_root) / R)).sum(axis=1) / numbers[1][:, None],
        np.asarray(solved.all(axis=1)),
        np.asarray(strips.section.inside(Re).all(axis=1)),
    )


def _all_strips(blade: Blade, numbers: list[Array], ratios: Array, own: _Own, losses: bool) -> tuple[_Strips, Array]:
    """Every strip of a few variants at every ratio, flattened, and their Reynolds numbers with all axes."""
    plates, first = own
    R, r_root = (np.asarray(x)[:, None, None] for x in (blade.R, blade.r_root))
    V, B, lift, drag, viscosity, later = (x[:, None, None] for x in numbers)
    r, chord, twist = (x[..., None] for x in (blade.r, blade.chord, blade.twist))
    speed = ratios * r / R
    Re = np.asarray(reynolds(V, speed, chord, viscosity))
    row, share = plates.rows(Re)
    rows, width = plates.excess.shape[-2:]

    def spread(x: NDArray[T]) -> NDArray[T]:
        return np.broadcast_to(x, Re.shape).reshape(-1)

    endless = np.full_like(r, np.inf)
    delay = np.asarray(stall_delay(later, chord, r))
    strips = _Strips(
        section=plates,
        start=spread((first[..., None] * rows + row) * width),
        share=spread(share),
        inverse_speed=spread(1 / speed),
        solidity=spread(B * chord / (2 * np.pi * r)),
        theta=spread(twist),
        sin_theta=spread(np.sin(twist)),
        cos_theta=spread(np.cos(twist)),
        tip=spread(B / 2 * (R - r) / r if losses else endless),
        hub=spread(B / 2 * (r - r_root) / r_root if losses else endless),
        lift=spread(lift),
        drag=spread(drag),
        stall=Stall.by(spread(delay)) if np.any(later) else None,
    )
    return strips, Re


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
    plates = _sections(blade)[0] if section is None else section
    Re = np.asarray(V)[..., None] * blade.chord / np.asarray(viscosity)[..., None]
    cl, _ = plates.at(np.pi / 2 - blade.twist, Re)
    cq = B / (np.pi * np.power(blade.R, 3)) * np.sum(blade.chord * cl * blade.r * blade.dr, axis=-1) * lift_factor
    return float(cq) if np.ndim(cq) == 0 else cq
