"""Raising a mast with a gin pole: the pull, and the loads in pole and mast, through the whole lift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array
from calc.units import Num

_GRAVITY = 9.80665
#: Angles of the mast above the ground at which a lift is worked out. [rad]
LIFT = np.radians(np.arange(0.0, 90.0, 5.0))


@dataclass(frozen=True, slots=True)
class Lift:
    """A mast on its way up. Every array has shape (..., angles).

    Parameters
    ----------
    angle : array
        Of the mast above the ground. [rad]
    moment : array
        About the hinge, of all that is lifted. [N m]
    pull : array
        In the rope between gin pole and winch or pulling point. [N]
    gin : array
        Load along the gin pole. [N]
    back : array
        In the rope between the gin pole's head and the mast. [N]
    """

    angle: Array
    moment: Array
    pull: Array
    gin: Array
    back: Array


def lifted_moment(mu: Num, L: Num, mass: Num, phi: Num) -> Num:
    r"""Moment about the hinge of a mast with a mass at its head.

    .. math:: M = g \left(\tfrac12 \mu L^2 + m L\right) \cos\varphi

    Parameters
    ----------
    mu, L : float or array, shape (...,)
        Mass per length [kg/m], and length [m].
    mass : float or array, shape (...,)
        Mass at the head. [kg]
    phi : float or array, shape (...,)
        Angle above the ground. [rad]

    Returns
    -------
    M : float or array, shape (...,)
        Moment. [N m]

    Examples
    --------
    216 lb of tube, 36 ft long, with 60 lb at its head: the owner's worked calculation has 6048 ft lb.

    >>> float(lifted_moment(216 * 0.45359237 / 10.9728, 10.9728, 60 * 0.45359237, 0.0) / 1.3558179)
    6048.0
    """
    return _GRAVITY * (mu * np.square(L) / 2.0 + mass * np.asarray(L)) * np.cos(phi)


def gin_lift(mu: Num, L: Num, mass: Num, gin: Num, anchor: Num, attach: Num, angles: Array = LIFT) -> Lift:
    r"""A lift with a gin pole that stands square to the mast at its hinge, and turns with it.

    Parameters
    ----------
    mu, L, mass : float or array, shape (...,)
        Mass of the mast per length [kg/m], its length [m], and the mass at its head [kg].
    gin : float or array, shape (...,)
        Length of the gin pole. [m]
    anchor : float or array, shape (...,)
        Distance from the hinge to winch or pulling point, on the ground. [m]
    attach : float or array, shape (...,)
        Height on the mast at which the rope from the gin pole's head holds it. [m]
    angles : array, shape (angles,)
        Of the mast above the ground. [rad]

    Returns
    -------
    lift : Lift

    Raises
    ------
    ValueError
        If a length is not positive.

    Notes
    -----
    Weight of gin pole and ropes, friction of pulleys and wind are left out. Where the rope's line would pass below the
    hinge it no longer lifts: the pull is infinite there.

    Examples
    --------
    9 m of mast, 6.76 kg/m, 40 kg, gin pole 4.5 m, pulling point 7.0 m out; by hand (g 9.81) 1642.5 N at the start:

    >>> gin_lift(6.76, 9.0, 40.0, 4.5, 7.0, 8.0).pull[[0, 2, 9, 17]].round(1)
    array([1641.9, 1506.7, 980.7, 502.6])
    """
    if any(np.any(np.asarray(v) <= 0) for v in (L, gin, anchor, attach)):
        raise ValueError("lengths of a lift must be positive")
    phi = np.asarray(angles)
    mu, L, mass, gin, anchor, attach = (
        np.asarray(v, dtype=float)[..., None] for v in (mu, L, mass, gin, anchor, attach)
    )
    M = np.asarray(lifted_moment(mu, L, mass, phi))
    # Head of the gin pole, the mast leaning away from the pulling point; x towards it.
    x, y = gin * np.sin(phi), gin * np.cos(phi)
    to_x, to_y = anchor - x, -y
    long = np.hypot(to_x, to_y)
    arm = anchor * y / long
    pull = np.where(arm > 0, M / np.where(arm > 0, arm, 1.0), np.inf)
    # The rope from the head of the gin pole to the mast takes the same moment about the hinge.
    back = M / (gin * attach / np.hypot(gin, attach))
    along = np.where(np.isfinite(pull), pull, 0.0) * -(to_x * np.sin(phi) + to_y * np.cos(phi)) / long
    return Lift(phi + 0.0 * M, M, pull, along + back * gin / np.hypot(gin, attach), back)


def lying_moment(mu: Num, L: Num, mass: Num, attach: Num) -> Num:
    r"""Greatest bending moment in a mast held at its hinge and where the rope holds it, just off the ground, in [N m].

    .. math:: M = g \left(m (L - a) + \tfrac12 \mu (L - a)^2\right)

    at the rope, or between it and the hinge where the mast sags there.

    Examples
    --------
    10 m of 5 kg/m, 30 kg at its head, held 8 m up: (30 x 2 + 5 x 2^2 / 2) x 9.807 = 686.5 N m.

    >>> float(lying_moment(5.0, 10.0, 30.0, 8.0))
    686.5
    """
    over = np.asarray(L) - attach
    at_rope = _GRAVITY * (mass * over + mu * np.square(over) / 2.0)
    # Reaction at the hinge, and the sag where the shear is zero.
    R = (_GRAVITY * mu * L * (attach - np.asarray(L) / 2.0) - _GRAVITY * mass * over) / attach
    sag = np.where(R > 0, np.square(R) / (2.0 * _GRAVITY * np.maximum(mu, 1e-9)), 0.0)
    return np.maximum(np.abs(at_rope), sag)
