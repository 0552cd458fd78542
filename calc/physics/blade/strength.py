"""Mass, root section and strength of blades cut from pipe."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.arrays import Array, refuse_if
from calc.physics.blade.shape import Edge, as_column, half_angle, plain_number
from calc.tables import table_rows
from calc.units import Num

#: Density of PVC-U pipe, and its range. [kg/m3] Plain compound has 1400 (ASTM D792), pipe after EN 1401 1370 to 1500
#: (uPVC pipe sheets). With :func:`mean_wall` this value gives the published masses of such pipe within 2 %.
PVC_DENSITY, PVC_DENSITIES = 1465.0, (1370.0, 1500.0)
#: Tensile strength of PVC-U at 23 degC, short term, new material. [Pa] 7450 psi, ASTM D638.
PVC_STRENGTH = 51.4e6
#: What EN 1401 allows the wall above the printed one: a share of it, and a length [m]; from memory.
WALL_MORE = (0.1, 0.2e-3)
#: Temperature and share of the strength left: pipe makers' pressure derating, 73 to 140 degF.
PVC_DERATING = (
    (73.0, 1.00),
    (80.0, 0.88),
    (90.0, 0.75),
    (100.0, 0.62),
    (110.0, 0.51),
    (120.0, 0.40),
    (130.0, 0.31),
    (140.0, 0.22),
)


@dataclass(frozen=True, slots=True)
class Masses:
    """Mass, centre of gravity and inertia of one blade.

    Parameters
    ----------
    mass : float or array, shape (...,)
        Mass. [kg]
    r_cog : float or array, shape (...,)
        Distance of the centre of gravity from the shaft. [m]
    inertia : float or array, shape (...,)
        Moment of inertia about the shaft, the width of the blade neglected. [kg m2]
    """

    mass: Num
    r_cog: Num
    inertia: Num


@dataclass(frozen=True, slots=True)
class RootSection:
    """Root section of a blade cut from pipe, and where the pull of the rest of the blade goes through it.

    Parameters
    ----------
    area : float or array, shape (...,)
        Area. [m2]
    I_flat, I_edge : float or array, shape (...,)
        Second moments of area about the centroid, for bending square to the chord and along it. [m4]
    Z_flat : float or array, shape (...,)
        Lesser section modulus for bending square to the chord. [m3]
    arm_flat, arm_edge : float or array, shape (...,)
        Offset of the centre of gravity of the blade from the line through the root's centroid, towards the
        convex side and towards the leading edge: the arm of the centrifugal force. [m]
    R_inner, R_outer, beta, y : float or array, shape (...,)
        Radii of the pipe [m], half the angle of the arc [rad], and distance of the centroid from the axis of
        the pipe [m].
    twist : float or array, shape (...,)
        Angle between the root chord and the plane of the rotor. [rad]
    """

    area: Num
    I_flat: Num
    I_edge: Num
    Z_flat: Num
    arm_flat: Num
    arm_edge: Num
    R_inner: Num
    R_outer: Num
    beta: Num
    y: Num
    twist: Num


def beam_masses(r: Array, area: Array, density: Num) -> Masses:
    r"""Mass, centre of gravity and inertia of a blade whose section area runs straight between points.

    .. math:: m = \rho \int A \,dr, \quad m\,r_\mathrm{cog} = \rho \int A r \,dr, \quad
              I = \rho \int A r^2 \,dr

    Parameters
    ----------
    r, area : array, shape (..., points)
        Radius [m] and section area [m2], from root to tip.
    density : float or array, shape (...,)
        Density. [kg/m3]

    Returns
    -------
    masses : Masses
        Shape (...,).

    Notes
    -----
    Exact for the shape as given. The width of the blade is left out; it adds a share of about
    (chord / R)^2 / 4 to the inertia.

    Examples
    --------
    A bar of 0.9 kg from the shaft to 1.0 m:

    >>> beam_masses(np.array([0.0, 1.0]), np.array([1e-3, 1e-3]), 900.0)
    Masses(mass=0.9, r_cog=0.5, inertia=0.3)
    """
    refuse_if(np.diff(r) <= 0, "the radii must rise")
    refuse_if(np.asarray(area) < 0, "an area cannot be negative")
    refuse_if(np.less_equal(density, 0), "the density must be greater than zero")
    p, q = r[..., :-1], r[..., 1:]
    A, B = area[..., :-1], area[..., 1:]
    mass = density * np.sum((q - p) * (A + B) / 2, axis=-1)
    first = density * np.sum((q - p) * (A * (2 * p + q) + B * (p + 2 * q)) / 6, axis=-1)
    second = density * np.sum(
        (q - p) * (A * (3 * p * p + 2 * p * q + q * q) + B * (p * p + 2 * p * q + 3 * q * q)) / 12, axis=-1
    )
    return Masses(plain_number(mass), plain_number(first / mass), plain_number(second))


def pipe_sizes() -> tuple[tuple[float, float], ...]:
    """Outside diameters and walls in which PVC-U drain pipe is sold, narrow and thin ones first, in [m].

    Examples
    --------
    >>> [round(wall * 1e3, 1) for D, wall in pipe_sizes() if D == 0.160]
    [3.2, 4.0, 4.7]

    References
    ----------
    .. [1] EN 1401-1, classes of stiffness SN 2, 4 and 8; a pipe maker's table.
    """
    rows = table_rows("pipes")
    return tuple(sorted((float(row["outside"]) / 1e3, float(row["wall"]) / 1e3) for row in rows))


def mean_wall(t: Num) -> Num:
    r"""Mean wall of a pipe sold by its wall, which is the least that it may have.

    .. math:: t_\mathrm{mean} = t + (0.1 t + 0.2\,\mathrm{mm}) / 2

    Parameters
    ----------
    t : float or array, shape (...,)
        Wall by which the pipe is sold. [m]

    Returns
    -------
    mean : float or array, shape (...,)
        Half way between the least and the greatest wall permitted. [m]

    Examples
    --------
    >>> round(mean_wall(0.004) * 1e3, 2)
    4.3

    References
    ----------
    .. [1] EN 1401, tolerance of the wall; from memory. The published masses of such pipe agree with it.
    """
    share, more = WALL_MORE
    return t + (share * t + more) / 2.0


def pipe_masses(
    D: Num, t: Num, chord_root: Num, chord_tip: Num, R: Num, r_root: Num, density: Num = PVC_DENSITY
) -> Masses:
    """Mass, centre of gravity and inertia of one blade cut from pipe.

    Parameters
    ----------
    D, t, chord_root, chord_tip, R, r_root : float or array, shape (...,)
        See :func:`cut_from_pipe`. [m]
    density : float or array, shape (...,)
        Density. [kg/m3]

    Returns
    -------
    masses : Masses
        Of the part outside ``r_root``; exact, because the arc narrows evenly.

    Examples
    --------
    >>> m = pipe_masses(0.160, 0.004, 0.095, 0.045, 0.65, 0.08)
    >>> m.mass, m.r_cog, m.inertia
    (0.247, 0.329, 0.0331)
    """
    root, tip = half_angle(D, t, chord_root), half_angle(D, t, chord_tip)
    around = np.multiply(np.subtract(D, t), t)
    ends = np.broadcast_arrays(r_root, R, around * root, around * tip)
    return beam_masses(np.stack(ends[:2], axis=-1), np.stack(ends[2:], axis=-1), density)


def root_section(
    D: Num,
    t: Num,
    chord_root: Num,
    chord_tip: Num,
    mounting_angle: Num,
    straight_edge: Edge = "trailing",
) -> RootSection:
    r"""Root section of a blade cut from pipe, as a sector of a ring.

    Parameters
    ----------
    D, t, chord_root, chord_tip, mounting_angle, straight_edge
        See :func:`cut_from_pipe`.

    Returns
    -------
    section : RootSection
        Shape (...,).

    Notes
    -----
    A tapered piece of pipe is cut away from one side, so its centre of gravity does not lie over the middle
    of its root. The centrifugal force therefore also bends the root.

    Examples
    --------
    >>> s = root_section(0.160, 0.004, 0.095, 0.045, np.radians(21.0))
    >>> round(s.area * 1e6, 1), round(s.Z_flat * 1e9), round(s.arm_edge * 1e3, 1)
    (408.6, 817, -11.8)
    """
    beta, tip = half_angle(D, t, chord_root), half_angle(D, t, chord_tip)
    Ro = np.divide(D, 2)
    Ri = Ro - t
    area = beta * (Ro**2 - Ri**2)
    # Distance of the centroid from the axis is K sin(beta) / beta.
    K = (2 / 3) * (Ro**3 - Ri**3) / (Ro**2 - Ri**2)
    y = K * np.sin(beta) / beta
    I_edge = (Ro**4 - Ri**4) / 4 * (beta - np.sin(beta) * np.cos(beta))
    I_flat = (Ro**4 - Ri**4) / 4 * (beta + np.sin(beta) * np.cos(beta)) - area * y**2
    # Mean over the blade, each strip weighted by its arc; the bisector leans by the half angle lost.
    lean = {"trailing": -1.0, "leading": 1.0, "neither": 0.0}[straight_edge]
    strips = as_column(beta) + (as_column(tip) - as_column(beta)) * (np.arange(64) + 0.5) / 64
    delta = lean * (as_column(beta) - strips)
    whole = np.mean(strips, axis=-1)
    return RootSection(
        area=plain_number(area),
        I_flat=plain_number(I_flat),
        I_edge=plain_number(I_edge),
        Z_flat=plain_number(I_flat / np.maximum(Ro - y, y - Ri * np.cos(beta))),
        arm_flat=plain_number(K * np.mean(np.sin(strips) * np.cos(delta), axis=-1) / whole - y),
        arm_edge=plain_number(K * np.mean(np.sin(strips) * np.sin(delta), axis=-1) / whole),
        R_inner=plain_number(Ri),
        R_outer=plain_number(Ro),
        beta=beta,
        y=plain_number(y),
        twist=mounting_angle,
    )


def root_stress(section: RootSection, F: Num, M: Num, edge: Num = 0.0) -> Num:
    r"""Greatest tension in the root section of a pipe blade from centrifugal force and two moments.

    .. math:: \sigma = F / A + (F e_y - M \cos\theta - E \sin\theta)\, y / I_\mathrm{flat}
              + (F e_x + M \sin\theta - E \cos\theta)\, x / I_\mathrm{edge}

    Parameters
    ----------
    section : RootSection
        Section and arms.
    F : float or array, shape (...,)
        Centrifugal force of the blade, see :func:`centrifugal_force`. [N]
    M : float or array, shape (...,)
        Bending moment at the root, positive where it bends the blade downwind, as thrust does. [N m]
    edge : float or array, shape (...,)
        Bending moment in the plane of the rotor, positive where it bends the blade the way it turns. [N m]

    Returns
    -------
    stress : float or array, shape (...,)
        Greatest tensile stress of the plain section. [Pa]

    Notes
    -----
    Beam theory of a rigid blade. Not in it: bolt holes (the stress at the rim of a hole in a pulled strip is
    about three times that of the strip; from memory), notches. Nor is the relief as the pull
    straightens a bent blade, so bending is overstated for a soft blade at high speed.

    Examples
    --------
    >>> s = root_section(0.160, 0.004, 0.095, 0.045, np.radians(21.0))
    >>> round(root_stress(s, F=1000.0, M=5.0) / 1e6, 1)
    8.6
    """
    s, c = np.sin(section.twist), np.cos(section.twist)
    of_y = (F * section.arm_flat - M * c - edge * s) / section.I_flat
    of_x = (F * section.arm_edge + M * s - edge * c) / section.I_edge
    # A plane field is greatest at a corner, or on the outer arc where the field's slope points.
    there = np.clip(np.arctan2(of_x, of_y), -section.beta, section.beta)
    points = [
        (section.R_outer, there),
        (section.R_outer, -section.beta),
        (section.R_outer, section.beta),
        (section.R_inner, -section.beta),
        (section.R_inner, section.beta),
    ]
    bent = [of_y * (Rp * np.cos(psi) - section.y) + of_x * Rp * np.sin(psi) for Rp, psi in points]
    return plain_number(F / section.area + np.maximum.reduce(np.broadcast_arrays(*bent)))


def centrifugal_force(m: Num, r_cog: Num, omega: Num) -> Num:
    r"""Pull of one blade at its root.

    .. math:: F = m\, r_\mathrm{cog}\, \omega^2

    Parameters
    ----------
    m : float or array, shape (...,)
        Mass of the blade. [kg]
    r_cog : float or array, shape (...,)
        Distance of its centre of gravity from the shaft. [m]
    omega : float or array, shape (...,)
        Rotational speed. [rad/s]

    Returns
    -------
    F : float or array, shape (...,)
        Force. [N]

    Examples
    --------
    >>> centrifugal_force(0.9, 0.5, 50.0)
    1125.0

    References
    ----------
    .. [1] D. Wood, Small Wind Turbines, Springer 2011, eq. 9.49.
    """
    return m * r_cog * omega**2


def pvc_factor(T: Num) -> Num:
    """Share of the strength at 23 degC that PVC-U keeps at a temperature.

    Parameters
    ----------
    T : float or array, shape (...,)
        Temperature of the material; pipe in the sun can be 20 to 30 K warmer than the air. [K]

    Returns
    -------
    factor : float or array, shape (...,)
        1 up to 22.8 degC, then falling.

    Raises
    ------
    ValueError
        Above 60 degC, the highest service temperature, or not above 0 K.

    Notes
    -----
    The gain of strength in the cold is not counted: cold PVC-U is brittle. Years of sun make it brittle too,
    without a loss of strength that would show here.

    Examples
    --------
    >>> pvc_factor(273.15 + 48.9)
    0.40
    >>> pvc_factor(263.15)
    1.0

    References
    ----------
    .. [1] Temperature derating of Schedule 40 and 80 PVC pipe, 73 to 140 degF, harvel.com.
    """
    nodes = np.array([(F + 459.67) * 5 / 9 for F, _ in PVC_DERATING])
    refuse_if(np.less_equal(T, 0), "a temperature must be above 0 K")
    refuse_if(np.greater(T, nodes[-1] + 1e-6), "PVC-U must not be used above 60 degC")
    return plain_number(np.interp(T, nodes, [factor for _, factor in PVC_DERATING]))
