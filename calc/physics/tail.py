r"""A tail that folds: the balance of moments about the yaw axis and about the tail's hinge.

The rotor's centre lies aside from the yaw axis, so that its thrust turns the head out of the wind; the tail, held at
its stop by its own weight on a leaning hinge, turns it back. Once the wind on the vane lifts that weight the tail folds
and the rotor turns away. All moments of the air go with the square of the wind. So the yaw angle that goes with a fold
follows from the balance about the yaw axis alone, and the wind that goes with it from that about the hinge [1]_:

.. math::
    A \left(e\,C_T \cos^{2p/3}\theta + d\,C_Y \sin\theta\right) = \kappa A_v C_N(\alpha)\, L, \qquad
    q\,\kappa A_v C_N(\alpha)\, l \cos\psi = M_w(\varphi)

with ``theta`` the yaw angle, ``phi`` the fold, ``alpha`` the angle at which the wind meets the vane, ``L`` its arm
about the yaw axis, and ``M_w`` the weight's moment about a hinge that leans by ``psi``.

A yawed rotor works as one that faces a lighter wind, ``V cos^(p/3) theta``: its power falls with ``cos^p`` and its
thrust with the square of that wind. ``p`` is 3 where the part of the wind along the shaft alone counts; measured rotors
lie between 2 and 3.

Steady wind, no springs, rigid boom; how the head swings past its balance in a gust is not computed.

References
----------
.. [1] Own statics; the vane by potential and vortex lift, as M. M. Hammam and D. H. Wood use them for tail fins
   (arXiv 2601.11349, abstract). Coefficients of the vane and the powers of the cosine from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np

from calc.physics.arrays import Array, Flags, Index
from calc.physics.roots import bracketed_root
from calc.units import Num

GRAVITY = 9.80665
#: Normal force of a plate square to the wind over its area and dynamic pressure; from memory.
SQUARE = 1.2
#: Vortex lift of the side edges of a plate as tall as it is long, and the most of any plate; from memory.
_EDGES, _MOST_EDGES = 1.75, np.pi
#: Yaw angles between which a balance is looked for. [rad]
_LEAST, _MOST = -np.pi / 4.0, np.pi / 2.0
#: Folds along the way from stop to stop, thrusts for which yaw angles are looked for, and winds that a rotor feels: not
#: in even steps, for a rotor that a battery stalls pushes hardly more in twice the wind. [m/s]
FOLDS, _THRUSTS = 25, 6
_FELT: Array = np.geomspace(1.0, 60.0, 40)
#: Stands for a wind that never comes where arrays are searched. [m/s]
_NEVER = 1e6

#: Thrust coefficient of the rotor by the wind that it feels [m/s], both of shape (..., m).
Thrust = Callable[[Array], Array]


def vane_normal(alpha: Num, aspect: Num, lift: Num = 1.0) -> Num:
    r"""Coefficient of the force square to a flat vane.

    .. math:: C_N = \min\left(K_p \sin\alpha\cos\alpha + K_v \sin^2\alpha,\ 1.2\right), \quad
              K_p = \frac{2\pi \Lambda}{2 + \sqrt{4 + \Lambda^2}}, \quad K_v = \min(1.75 / \Lambda, \pi)

    Parameters
    ----------
    alpha : float or array, shape (...,)
        Angle between wind and vane, up to a right angle. [rad]
    aspect : float or array, shape (...,)
        Height squared over area.
    lift : float or array, shape (...,)
        Doubt about it, as a factor.

    Returns
    -------
    cn : float or array, shape (...,)
        Force / (rho A V^2 / 2), with the sign of the angle.

    Notes
    -----
    Aspect ratios from 0.5 to 3; beyond these the straight parts of both formulas are less sure.

    Examples
    --------
    A square vane at 10 degrees, and across the wind:

    >>> [round(float(vane_normal(np.radians(a), 1.0)), 3) for a in (10.0, 90.0)]
    [0.306, 1.2]

    References
    ----------
    .. [1] E. C. Polhamus, leading-edge suction analogy; Helmbold's lift slope; side edges only, without a vortex along
       the leading edge (Aerospace 10(7), 597, 2023, abstract). The numbers from memory.
    """
    s, c = np.sin(alpha), np.cos(alpha)
    aspect = np.asarray(aspect, dtype=float)
    K_p = 2.0 * np.pi * aspect / (2.0 + np.sqrt(4.0 + np.square(aspect)))
    K_v = np.minimum(_EDGES / aspect, _MOST_EDGES)
    most = np.minimum(K_p * np.abs(s) * c + K_v * np.square(s), SQUARE)
    return np.asarray(np.sign(s) * lift * most)


@dataclass(frozen=True, slots=True)
class Tail:
    """Rotor, yaw axis and tail of a head. Every number has shape (...,).

    Parameters
    ----------
    swept, offset, overhang : float or array
        Swept area [m2]; from the yaw axis to the rotor's centre, sideways and along the shaft [m].
    area, aspect, arm : float or array
        Area of the vane [m2], height squared over area, and from the hinge to the middle of the vane [m].
    mass, mass_arm : float or array
        Mass of all that hangs on the hinge [kg], and from the hinge to its centre [m].
    behind : float or array
        From the yaw axis to the hinge. [m]
    inclination, direction : float or array
        Angle of the hinge to the upright, and, seen from above, from the boom at rest to where the hinge's top leans,
        away from the side to which the tail folds. [rad]
    rest, stop : float or array
        Angle by which the boom at rest stands off the line behind the rotor, away from the side to which it folds; and
        the fold at which a stop holds it. [rad]
    rubbing : float or array
        Moment that the hinge's friction holds. [N m]
    wake : float or array
        Dynamic pressure at the vane behind an unyawed rotor, as a share of that of the wind.
    side : float or array
        Force across the shaft at a right angle of yaw / (rho A V^2 / 2).
    power : float or array
        Power of the cosine of the yaw angle with which the rotor's power falls.
    lift : float or array
        Doubt about the vane's force, as a factor.
    rho : float or array
        Density of the air. [kg/m3]
    """

    swept: Num
    offset: Num
    overhang: Num
    area: Num
    aspect: Num
    arm: Num
    mass: Num
    mass_arm: Num
    behind: Num
    inclination: Num
    direction: Num
    stop: Num
    rest: Num = 0.0
    rubbing: Num = 0.0
    wake: Num = 1.0
    side: Num = 0.0
    power: Num = 3.0
    lift: Num = 1.0
    rho: Num = 1.225

    def over(self) -> Tail:
        """The same with a last axis, for folds or winds."""
        return Tail(**{f.name: np.asarray(getattr(self, f.name), dtype=float)[..., None] for f in fields(self)})

    @property
    def variants(self) -> tuple[int, ...]:
        """Shape of the leading axes."""
        return np.broadcast_shapes(*(np.shape(getattr(self, f.name)) for f in fields(self)))


def weight_moment(tail: Tail, phi: Num) -> Num:
    r"""Moment with which the tail's weight swings it back from a fold, in [N m].

    .. math:: M_w = m g r \sin\psi\, (\sin\delta \cos\varphi + \cos\psi \cos\delta \sin\varphi)

    Examples
    --------
    6 kg, 1 m behind a hinge that leans by 20 degrees, straight to the side: most at rest, nothing at a right angle.

    >>> t = Tail(3.8, 0.1, 0.2, 0.3, 1.0, 1.2, 6.0, 1.0, 0.1, np.radians(20.0), np.pi / 2.0, np.pi / 2.0)
    >>> [round(float(weight_moment(t, np.radians(a))), 2) for a in (0.0, 60.0, 90.0)]
    [20.12, 10.06, 0.0]
    """
    s, c = np.sin(tail.inclination), np.cos(tail.inclination)
    leans = np.sin(tail.direction) * np.cos(phi) + c * np.cos(tail.direction) * np.sin(phi)
    return np.asarray(tail.mass * GRAVITY * tail.mass_arm * s * leans)


def fall_energy(tail: Tail, phi: Num) -> Num:
    r"""Energy that the tail's weight has given it on its way back from a fold to its rest, in [J].

    .. math:: U = m g r \sin\psi\, (\sin\delta \sin\varphi + \cos\psi \cos\delta\, (1 - \cos\varphi))

    Air and friction, which hold it back, are left out.

    Examples
    --------
    >>> t = Tail(3.8, 0.1, 0.2, 0.3, 1.0, 1.2, 6.0, 1.0, 0.1, np.radians(20.0), np.pi / 2.0, np.pi / 2.0)
    >>> round(float(fall_energy(t, np.radians(90.0))), 2)
    20.12
    """
    s, c = np.sin(tail.inclination), np.cos(tail.inclination)
    rises = np.sin(tail.direction) * np.sin(phi) + c * np.cos(tail.direction) * (1.0 - np.cos(phi))
    return np.asarray(tail.mass * GRAVITY * tail.mass_arm * s * rises)


def _pose(tail: Tail, phi: Num) -> tuple[Num, Num, Num, Num]:
    """Boom and vane's normal of a folded tail, seen from above, as parts along and across the boom at rest."""
    s, c = np.sin(tail.inclination), np.cos(tail.inclination)
    h_x, h_y = -s * np.cos(tail.direction), -s * np.sin(tail.direction)
    across, left = np.sin(phi), 1.0 - np.cos(phi)
    return (
        -np.cos(phi) - np.square(h_x) * left,
        c * across - h_x * h_y * left,
        c * across + h_x * h_y * left,
        np.cos(phi) + np.square(h_y) * left,
    )


def _behind_rotor(tail: Tail, theta: Num) -> Num:
    """Share of the wind's dynamic pressure at the vane: it leaves the wake as the head turns. Own estimate."""
    return 1.0 - (1.0 - np.asarray(tail.wake)) * np.square(np.cos(theta))


def _on_vane(tail: Tail, theta: Num, phi: Num) -> tuple[Num, Num]:
    """Force square to the vane over the wind's dynamic pressure, and its arm about the yaw axis."""
    boom_x, boom_y, n_x, n_y = _pose(tail, phi)
    met = np.asarray(theta) + tail.rest
    alpha = np.arcsin(np.clip(np.sin(met) * n_y - np.cos(met) * n_x, -1.0, 1.0))
    x = tail.arm * boom_x - tail.behind * np.cos(tail.rest)
    y = tail.arm * boom_y + tail.behind * np.sin(tail.rest)
    force = _behind_rotor(tail, theta) * tail.area * vane_normal(alpha, tail.aspect, tail.lift)
    return force, y * n_x - x * n_y


def felt_share(tail: Tail, theta: Num) -> Num:
    """Wind that a rotor that faces it would feel alike, as a share of the wind, at a yaw angle [rad]."""
    return np.asarray(np.maximum(np.cos(theta), 0.0) ** (np.asarray(tail.power) / 3.0))


def yaw_moment(tail: Tail, theta: Num, phi: Num, C_T: Num) -> Num:
    """Moment about the yaw axis that turns the head into the wind, over the wind's dynamic pressure, in [m3].

    ``C_T`` is the rotor's thrust coefficient in the wind that it feels; angles in [rad].
    """
    force, arm = _on_vane(tail, theta, phi)
    thrust = tail.offset * np.asarray(C_T) * np.square(felt_share(tail, theta))
    return np.asarray(force * arm - tail.swept * (thrust + tail.overhang * np.asarray(tail.side) * np.sin(theta)))


def yaw_angle(tail: Tail, phi: Array, C_T: Array) -> Array:
    """Yaw angle at which the head stands with the tail at a fold, in [rad].

    Parameters
    ----------
    tail : Tail
        With a last axis, see :meth:`Tail.over`.
    phi, C_T : array, shape (..., m)
        Folds [rad], and thrust coefficients of the rotor.

    Returns
    -------
    theta : array, shape (..., m)
        A right angle where nothing stops it before; the least that is looked for, -45 degrees, where nothing turns it
        out of the wind before.

    Examples
    --------
    Without an offset nothing turns the rotor out of the wind:

    >>> t = Tail(3.8, 0.0, 0.2, 0.3, 1.0, 1.2, 6.0, 1.0, 0.1, np.radians(20.0), np.pi / 2.0, np.pi / 2.0)
    >>> yaw_angle(t.over(), np.zeros(1), np.full(1, 0.8)).round(6) + 0.0
    array([0.])
    """
    shape = np.broadcast_shapes((*tail.variants[:-1], 1), np.shape(phi), np.shape(C_T))

    def back(theta: Array) -> Array:
        return np.broadcast_to(yaw_moment(tail, theta, phi, C_T), shape)

    low, high = np.full(shape, _LEAST), np.full(shape, _MOST)
    f_low, f_high = np.minimum(back(low), 0.0), np.maximum(back(high), 0.0)
    return np.asarray(bracketed_root(back, low, high, f_low=f_low, f_high=f_high, rtol=1e-6))


@dataclass(frozen=True, slots=True)
class Course:
    """How a head stands in each wind.

    Parameters
    ----------
    winds : array, shape (m,)
        Winds, rising. [m/s]
    yaw, fold, share : array, shape (..., m)
        Yaw angle and fold [rad], and the wind that the rotor feels as a share of the wind, all as the wind rises.
    begins, ends : array, shape (...,)
        Wind in which the tail leaves its rest and in which it lies at its stop, as the wind rises; infinite where it
        never does. [m/s]
    leaves, back : array, shape (...,)
        Wind in which the tail leaves its stop and in which it lies at rest again, as the wind falls; nothing where it
        does not come back, infinite where it is never held there. [m/s]
    """

    winds: Array
    yaw: Array
    fold: Array
    share: Array
    begins: Array
    ends: Array
    leaves: Array
    back: Array

    def felt(self, V: Array) -> Array:
        """Wind [m/s] that the rotor feels in winds of shape (..., k): the lighter one that it would face squarely."""
        place = np.interp(V, self.winds, np.arange(len(self.winds)))
        shape = (*np.broadcast_shapes(place.shape[:-1], self.share.shape[:-1]), place.shape[-1])
        low = np.minimum(place.astype(np.intp), len(self.winds) - 2)
        rows = np.broadcast_to(self.share, (*shape[:-1], len(self.winds)))
        left, right = (np.take_along_axis(rows, np.broadcast_to(low + i, shape), axis=-1) for i in (0, 1))
        return np.asarray(V * (left + (place - low) * (right - left)))

    def most(self, V: Num) -> Array:
        """Greatest wind [m/s] that the rotor feels in any wind up to one of shape (...,)."""
        top = np.asarray(V, dtype=float)[..., None]
        within = np.where(self.winds <= top, self.winds * self.share, 0.0)
        return np.asarray(np.maximum(within.max(axis=-1), self.felt(top)[..., 0]))


def _rows(x: Array, xp: Array, fp: Array) -> Array:
    """Interpolation row by row: ``x`` of shape (m,), the others (..., f); gives (..., m)."""
    lead = np.broadcast_shapes(xp.shape[:-1], fp.shape[:-1])
    flat_x, flat_f = (np.broadcast_to(a, (*lead, a.shape[-1])).reshape(-1, a.shape[-1]) for a in (xp, fp))
    found = [np.interp(x, *row) for row in zip(flat_x, flat_f, strict=True)]
    return np.asarray(found).reshape(*lead, len(x))


@dataclass(frozen=True, slots=True)
class _Ways:
    """Every fold with every wind felt: the wind that goes with both, the yaw angle, and what lifts the tail.

    Arrays of shape (..., folds, felt); ``lift`` is the vane's moment about the hinge. [m/s], [rad], [N m]
    """

    V: Array
    theta: Array
    lift: Array

    @classmethod
    def of(cls, tail: Tail, phi: Array, thrust: Thrust) -> _Ways:
        """Ways of a head with one last axis; the yaw angle is looked up between those at a few thrusts."""
        # Rotors may vary where tails do not.
        C_T = np.asarray(thrust(_FELT))
        C_T = np.broadcast_to(C_T, (*np.broadcast_shapes(tail.variants[:-1], C_T.shape[:-1]), len(_FELT)))
        least, most = C_T.min(axis=-1, keepdims=True), C_T.max(axis=-1, keepdims=True)
        width = np.maximum(most - least, 1e-9)
        over = tail.over()
        angles = yaw_angle(over, phi[..., None], (least + width * np.linspace(0.0, 1.0, _THRUSTS))[..., None, :])
        place = ((C_T - least) / width * (_THRUSTS - 1))[..., None, :]
        low = np.minimum(place.astype(np.intp), _THRUSTS - 2)
        shape = (*angles.shape[:-1], len(_FELT))
        left, right = (np.take_along_axis(angles, np.broadcast_to(low + n, shape), axis=-1) for n in (0, 1))
        theta = left + (place - low) * (right - left)
        with np.errstate(divide="ignore"):
            V = np.minimum(_FELT / felt_share(over, theta), _NEVER)
        force, _ = _on_vane(over, theta, phi[..., None])
        return cls(V, theta, np.asarray(0.5 * over.rho * V * V * force * over.arm * np.cos(over.inclination)))

    def first(self, moment: Array) -> tuple[Array, Array]:
        """Least wind that lifts the tail against a moment at each fold, and the yaw angle then, shape (..., folds)."""
        lifts = self.lift >= moment[..., None]
        return self._at(np.argmax(lifts, axis=-1), np.asarray(lifts.any(axis=-1)), moment)

    def last(self, moment: Array) -> Array:
        """Greatest wind in which it sinks against a moment, as the wind falls; nothing where it never does."""
        sinks = self.lift < moment[..., None]
        n = self.lift.shape[-1]
        after = np.where(sinks.any(axis=-1), n - np.argmax(sinks[..., ::-1], axis=-1), 0)
        V, _ = self._at(np.minimum(after, n - 1), np.asarray(after < n), moment)
        return np.where(moment > 0, V, 0.0)

    def _at(self, place: Index, there: Flags, moment: Array) -> tuple[Array, Array]:
        """Wind and yaw angle between two of the winds felt: moments go with the square of the wind."""
        right = place[..., None]
        left = np.maximum(right - 1, 0)
        low, high = (np.take_along_axis(self.lift, at, axis=-1)[..., 0] for at in (left, right))
        V_l, V_r = (np.take_along_axis(self.V, at, axis=-1)[..., 0] for at in (left, right))
        t_l, t_r = (np.take_along_axis(self.theta, at, axis=-1)[..., 0] for at in (left, right))
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(high > low, np.clip((moment - low) / (high - low), 0.0, 1.0), 1.0)
            # Below the least wind felt it still goes with the square of the wind.
            under = V_r * np.sqrt(np.maximum(moment, 0.0) / np.where(high > 0, high, 1.0))
        V = np.where(place == 0, under, np.sqrt(V_l**2 + share * (V_r**2 - V_l**2)))
        return np.where(there, V, _NEVER), t_l + share * (t_r - t_l)


def course(tail: Tail, thrust: Thrust, winds: Array, folds: int = FOLDS) -> Course:
    """Follow a head through rising winds, and say when its tail comes back.

    Parameters
    ----------
    tail : Tail
        The head.
    thrust : callable
        Thrust coefficient by the wind that the rotor feels.
    winds : array, shape (m,)
        Winds, positive and rising. [m/s]
    folds : int
        Number of folds looked at from stop to stop.

    Returns
    -------
    course : Course
        Where more wind is needed to hold a lesser fold than a greater one, the tail swings over at once, and comes back
        in less wind.

    Raises
    ------
    ValueError
        If the winds are not positive and rising.

    Examples
    --------
    >>> t = Tail(3.8, 0.1, 0.2, 0.3, 1.0, 1.2, 6.0, 1.0, 0.1, np.radians(15.0), np.radians(45.0), np.radians(75.0))
    >>> found = course(t, lambda V: np.full(np.shape(V), 0.8), np.array([5.0, 10.0, 15.0, 40.0]))
    >>> found.begins, found.ends, found.yaw * 180.0 / np.pi
    (array(8.6), array(33.3), array([20.1, 29.3, 51.5, 75.5]))
    """
    if not np.all(winds > 0) or not np.all(np.diff(winds) > 0):
        raise ValueError("the winds must be positive and rise")
    over = tail.over()
    phi = np.asarray(over.stop) * np.linspace(0.0, 1.0, folds)
    ways, weight = _Ways.of(over, phi, thrust), weight_moment(over, phi)
    shape = ways.V.shape[:-1]
    heavier, lighter = (np.broadcast_to(weight + rubs, shape) for rubs in (over.rubbing, -np.asarray(over.rubbing)))
    rising, theta = ways.first(heavier)
    falling = ways.last(lighter)
    up = np.maximum.accumulate(rising, axis=-1)
    down = np.minimum.accumulate(falling[..., ::-1], axis=-1)[..., ::-1]
    fold, moving = _rows(winds, up, np.broadcast_to(phi, shape)), _rows(winds, up, theta)
    resting, folded = (
        _rows(winds, np.maximum.accumulate(ways.V[..., at, :], axis=-1), ways.theta[..., at, :]) for at in (0, -1)
    )
    yaw = np.where(winds < up[..., :1], resting, np.where(winds > up[..., -1:], folded, moving))
    return Course(
        winds,
        yaw,
        fold,
        np.asarray(felt_share(over, yaw)),
        *(np.where(V < _NEVER, V, np.inf) for V in (up[..., 0], up[..., -1], falling[..., -1], down[..., 0])),
    )
