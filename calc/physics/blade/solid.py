"""Mass and root section of carved and moulded blades, whose section is a NACA profile of four digits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from calc.physics.arrays import Array, refuse_if
from calc.units import Num

#: Points along the chord, crowded at the nose.
_POINTS = 2001


@dataclass(frozen=True, slots=True)
class Profile:
    """A section of chord 1, solid, and as a line around it for a thin skin.

    Parameters
    ----------
    area : float
        Area.
    I_flat : float
        Second moment about the centroid, for bending square to the chord.
    out : float
        Distance of the outermost fibre from the centroid, square to the chord.
    around, I_around : float
        Length of the outline, and second moment of a skin of thickness 1 about the centroid of the outline.
    out_around : float
        Distance of the outermost fibre from the centroid of the outline.
    Z_edge, Z_edge_around : float
        Lesser section moduli for bending along the chord, of the solid and of the skin.
    """

    area: float
    I_flat: float
    out: float
    around: float
    I_around: float
    out_around: float
    Z_edge: float
    Z_edge_around: float


@dataclass(frozen=True, slots=True)
class PlainRoot:
    """Root section of which only area and modulus are known.

    Parameters
    ----------
    area : float or array, shape (...,)
        Area. [m2]
    Z_flat : float or array, shape (...,)
        Lesser section modulus for bending square to the chord. [m3]
    I_flat : float or array, shape (...,)
        Second moment of area for the same bending, where it is known. [m4]
    Z_edge : float or array, shape (...,)
        Lesser section modulus for bending along the chord; infinite where that is left out. [m3]
    twist : float or array, shape (...,)
        Angle between the chord and the plane of the rotor. [rad]
    """

    area: Num
    Z_flat: Num
    I_flat: Num = np.nan
    Z_edge: Num = np.inf
    twist: Num = 0.0


#: Sections that a NACA section of four digits with this camber, place and thickness comes near: area within 1 %.
#: Read off the outlines that AeroSandbox 4.2.10 holds.
LIKE = {"Clark Y": (0.034, 0.42, 0.117), "SG6043": (0.055, 0.5, 0.1)}


def digits(name: str) -> tuple[float, float, float]:
    """Camber, place of the camber and thickness of a section, as shares of the chord.

    Of NACA sections of four digits their name tells them; others are close to one of that family, see :data:`LIKE`.

    Examples
    --------
    >>> digits("NACA 4412")
    (0.04, 0.4, 0.12)
    """
    if name in LIKE:
        return LIKE[name]
    d = name.split()[-1]
    refuse_if(len(d) != 4 or not d.isdigit(), f"{name} is not a NACA section of four digits")
    return int(d[0]) / 100, int(d[1]) / 10, int(d[2:]) / 100


@cache
def profile(name: str) -> Profile:
    """Area and second moments of a section of chord 1, drawn as a NACA section of four digits.

    Parameters
    ----------
    name : str
        Such as ``"NACA 4412"``.

    Returns
    -------
    profile : Profile

    Notes
    -----
    The thickness is laid off square to the chord, not to the mean line, which changes nothing here.

    Examples
    --------
    >>> round(profile("NACA 4412").area, 4)
    0.0822

    References
    ----------
    .. [1] E. N. Jacobs, K. E. Ward, R. M. Pinkerton, NACA Report 460, 1933.
    """
    m, p, t = digits(name)
    x = (1 - np.cos(np.linspace(0.0, np.pi, _POINTS))) / 2
    half = 5 * t * (0.2969 * np.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
    line = np.where(x < p, m / p**2 * (2 * p * x - x**2), m / (1 - p) ** 2 * (1 - 2 * p + 2 * p * x - x**2))
    area = float(np.trapezoid(2 * half, x))
    y = float(np.trapezoid(2 * half * line, x)) / area
    I = float(np.trapezoid(2 * half * (line - y) ** 2 + 2 * half**3 / 3, x))
    outline = [line + half, line - half]
    steps = [np.hypot(np.diff(x), np.diff(side)) for side in outline]
    middles = [(side[1:] + side[:-1]) / 2 for side in outline]
    around = float(sum(s.sum() for s in steps))
    y_skin = float(sum((s * mid).sum() for s, mid in zip(steps, middles, strict=True))) / around
    I_skin = float(sum((s * (mid - y_skin) ** 2).sum() for s, mid in zip(steps, middles, strict=True)))
    far = [float(max(outline[0].max() - at, at - outline[1].min())) for at in (y, y_skin)]
    at, at_skin = float(np.trapezoid(2 * half * x, x)) / area, _along(steps, x) / around
    Z_edge = float(np.trapezoid(2 * half * (x - at) ** 2, x)) / max(at, 1 - at)
    Z_edge_skin = _along(steps, (x - at_skin) ** 2) / max(at_skin, 1 - at_skin)
    return Profile(area, I, far[0], around, I_skin, far[1], Z_edge, Z_edge_skin)


def _along(steps: list[Array], y: Array) -> float:
    """Sum of a value at the points of the chord over both sides of the outline."""
    return float(sum((s * (y[1:] + y[:-1]) / 2).sum() for s in steps))


def solid_areas(name: str, chord: Array) -> Array:
    """Area of a solid section at each chord [m], in [m2]."""
    return np.asarray(profile(name).area * chord**2)


def shell_areas(name: str, chord: Array, s: Num) -> Array:
    """Area of a skin of thickness s [m] around the section at each chord [m], in [m2]; what fills it not counted."""
    return np.asarray(profile(name).around * chord * np.asarray(s)[..., None])


def solid_root(name: str, chord: Num) -> PlainRoot:
    """Root of a blade carved from the solid.

    Examples
    --------
    >>> root = solid_root("NACA 4412", 0.2)
    >>> round(root.area * 1e4, 2), round(root.Z_flat * 1e6, 2)
    (32.88, 8.89)
    """
    of = profile(name)
    return PlainRoot(of.area * chord**2, of.I_flat / of.out * chord**3, Z_edge=of.Z_edge * chord**3)


def shell_root(name: str, chord: Num, s: Num) -> PlainRoot:
    """Root of a moulded blade, its skin of thickness s [m] alone.

    Raises
    ------
    ValueError
        If the skin is more than a third of the section's thickness, where it is not thin any more.
    """
    of = profile(name)
    refuse_if(np.greater(s, digits(name)[2] * np.asarray(chord) / 3), "the laminate is thicker than the section takes")
    Z_flat, Z_edge = of.I_around / of.out_around * chord**2 * s, of.Z_edge_around * chord**2 * s
    return PlainRoot(of.around * chord * s, Z_flat, Z_edge=Z_edge)
