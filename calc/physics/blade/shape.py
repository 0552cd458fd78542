"""Shape of blades cut from pipe, and plain tables for carved ones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from calc.physics.arrays import Array, refuse_if
from calc.units import Num

Edge = Literal["trailing", "leading", "neither"]
STATIONS = 20


@dataclass(frozen=True, slots=True)
class Blade:
    """One blade as seen by the air.

    Parameters
    ----------
    R, r_root : float or array, shape (...,)
        Radius of the tip, and radius at which the blade begins. [m]
    r, dr : array, shape (..., stations)
        Middle and length of each strip. [m]
    chord : array, shape (..., stations)
        Chord. [m]
    twist : array, shape (..., stations)
        Angle between chord and plane of the rotor. [rad]
    camber, thickness : array, shape (..., stations), or None
        Height of the arc and wall, both as a share of the chord. None for a blade whose section is a table.
    """

    R: Num
    r_root: Num
    r: Array
    dr: Array
    chord: Array
    twist: Array
    camber: Array | None = None
    thickness: Array | None = None


def plain_number(x: Num) -> Num:
    """Turn an array without axes back into a float."""
    return float(x) if np.ndim(x) == 0 else x


def as_column(x: Num) -> Array:
    """Give a number per variant a last axis for the stations."""
    return np.asarray(x, dtype=float)[..., None]


def _strips(R: Num, r_root: Num, n: int) -> tuple[Array, Array]:
    """Middles and lengths of n equal strips, shape (..., n)."""
    share = (np.arange(n) + 0.5) / n
    span = as_column(R) - as_column(r_root)
    return as_column(r_root) + share * span, np.broadcast_to(span / n, (*span.shape[:-1], n))


def half_angle(D: Num, t: Num, chord: Num) -> Num:
    r"""Half the angle of the piece of pipe that has a given chord.

    .. math:: \beta = \arcsin(c / 2 R_m), \quad R_m = (D - t) / 2

    Parameters
    ----------
    D, t : float or array, shape (...,)
        Outside diameter and wall of the pipe. [m]
    chord : float or array, shape (...,)
        Straight distance from edge to edge, in the middle of the wall. [m]

    Returns
    -------
    beta : float or array, shape (...,)
        Half the angle that the arc spans, at most a quarter turn. [rad]

    Raises
    ------
    ValueError
        If the wall does not fit the pipe, or the chord is wider than half the pipe gives.

    Examples
    --------
    >>> round(float(np.degrees(half_angle(D=0.160, t=0.004, chord=0.095))), 2)
    37.52
    """
    refuse_if(np.less_equal(t, 0) | np.greater_equal(t, np.divide(D, 2)), "the wall must fit the pipe")
    refuse_if(np.less_equal(chord, 0), "the chord must be greater than zero")
    refuse_if(
        np.greater(chord, np.subtract(D, t)),
        "the chord is wider than the pipe: half a pipe is the most that can be used",
    )
    return plain_number(np.arcsin(np.divide(chord, np.subtract(D, t))))


def angle_when_bolted(D: Num, t: Num, chord_root: Num, s: Num, straight_edge: Edge = "trailing") -> Num:
    r"""Angle of the root chord when the blade is bolted to a flat hub along a line.

    The wall under the bolts lies flat on the hub. A line over the middle of the root arc therefore gives no
    angle at all; a line nearer to the trailing edge turns the leading edge into the wind.

    Parameters
    ----------
    D, t, chord_root : float or array, shape (...,)
        Pipe and chord at the root. [m]
    s : float or array, shape (...,)
        Distance from the straight edge (from the trailing edge if neither is straight) to the bolt line,
        measured around the outside of the pipe. [m]
    straight_edge : {"trailing", "leading", "neither"}
        See :func:`cut_from_pipe`.

    Returns
    -------
    angle : float or array, shape (...,)
        Mounting angle for :func:`cut_from_pipe`. [rad]

    Raises
    ------
    ValueError
        If the line lies off the blade.

    Examples
    --------
    >>> round(float(np.degrees(angle_when_bolted(0.160, 0.004, 0.095, 0.022))), 1)
    21.8
    """
    beta = half_angle(D, t, chord_root)
    gamma = np.divide(s, np.divide(D, 2))
    refuse_if(np.less(gamma, 0) | np.greater(gamma, np.multiply(2, beta)), "the bolt line is not on the blade")
    return plain_number(np.subtract(gamma, beta) if straight_edge == "leading" else np.subtract(beta, gamma))


def cut_from_pipe(
    D: Num,
    t: Num,
    chord_root: Num,
    chord_tip: Num,
    R: Num,
    r_root: Num,
    mounting_angle: Num,
    straight_edge: Edge = "trailing",
    n: int = STATIONS,
) -> Blade:
    r"""Blade cut from pipe along two lines that are straight on the sheet wrapped around it.

    One edge lies along the axis of the pipe, the other runs straight to the tip, so the half angle of the arc
    falls evenly from root to tip. The chord is square to the bisector of the arc; as the arc narrows from one
    side the bisector turns by half the angle lost. With the trailing edge along the axis this turns the chord
    towards the plane of the rotor on the way to the tip, as a blade needs. With the leading edge along the
    axis it turns the wrong way.

    .. math:: \theta(r) = \theta_\mathrm{root} \mp (\beta_\mathrm{root} - \beta(r)), \quad
              c(r) = 2 R_m \sin\beta(r)

    Parameters
    ----------
    D, t : float or array, shape (...,)
        Outside diameter and wall of the pipe. [m]
    chord_root, chord_tip : float or array, shape (...,)
        Chord where the blade begins and at the tip. [m]
    R, r_root : float or array, shape (...,)
        Radius of the tip, and radius at which the blade begins. [m]
    mounting_angle : float or array, shape (...,)
        Angle between the chord at ``r_root`` and the plane of the rotor, leading edge into the wind positive.
        :func:`angle_when_bolted` gives it from the place of the bolts. [rad]
    straight_edge : {"trailing", "leading", "neither"}
        The edge along the axis of the pipe; "neither" is a taper from both sides and gives no twist.
    n : int
        Number of stations.

    Returns
    -------
    blade : Blade
        With arrays of shape (..., n).

    Raises
    ------
    ValueError
        If the pipe cannot give such a blade, or the root does not lie inside the tip.

    Notes
    -----
    Chord and camber are those of the middle of the wall. Rounded edges are not taken off.

    Examples
    --------
    >>> b = cut_from_pipe(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(21.0), n=3)
    >>> np.degrees(b.twist).round(2).tolist()
    [17.54, 10.63, 3.71]
    """
    refuse_if(np.less_equal(r_root, 0), "the blade must begin outside the shaft")
    refuse_if(np.greater_equal(r_root, R), "the blade must begin inside the tip")
    refuse_if(np.greater(np.abs(mounting_angle), np.pi / 2), "the mounting angle must lie within a quarter turn")
    turn = {"trailing": -1.0, "leading": 1.0, "neither": 0.0}[straight_edge]
    numbers = (D, t, chord_root, chord_tip, R, r_root, mounting_angle)
    variants = np.broadcast_shapes(*(np.shape(x) for x in numbers))
    r, dr = _strips(np.broadcast_to(R, variants), np.broadcast_to(r_root, variants), n)
    root, tip = as_column(half_angle(D, t, chord_root)), as_column(half_angle(D, t, chord_tip))
    beta = root + (tip - root) * (np.arange(n) + 0.5) / n
    chord = (as_column(D) - as_column(t)) * np.sin(beta)
    twist = as_column(mounting_angle) + turn * (root - beta)
    return Blade(R, r_root, r, dr, chord, twist, np.tan(beta / 2) / 2, as_column(t) / chord)


def blade_from_table(r: Array, chord: Array, twist: Array, R: Num, r_root: Num, n: int = STATIONS) -> Blade:
    """Blade from a table of chord and twist, for carved blades with a named section.

    Parameters
    ----------
    r, chord, twist : array, shape (points,)
        Radius [m], chord [m] and angle of the chord [rad]; straight lines between the points.
    R, r_root : float or array, shape (...,)
        Radius of the tip, and radius at which the blade begins. [m]
    n : int
        Number of stations.

    Returns
    -------
    blade : Blade
        Without camber and thickness: its section must be given as a table.

    Raises
    ------
    ValueError
        If the table does not rise in radius, does not reach from root to tip, or holds a chord of nothing.

    Examples
    --------
    >>> r = np.array([0.1, 1.0])
    >>> blade_from_table(r, chord=np.array([0.2, 0.1]), twist=np.array([0.3, 0.0]), R=1.0, r_root=0.1, n=2).chord
    array([0.175, 0.125])
    """
    refuse_if(np.diff(r) <= 0, "the radii of the table must rise")
    refuse_if(np.asarray(chord) <= 0, "the chord must be greater than zero")
    refuse_if(np.less_equal(r_root, 0) | np.greater_equal(r_root, R), "the blade must begin inside the tip")
    refuse_if(np.less(r_root, r[0]) | np.greater(R, r[-1]), "the table must reach from root to tip")
    where, dr = _strips(R, r_root, n)
    return Blade(R, r_root, where, dr, np.interp(where, r, chord), np.interp(where, r, twist))
