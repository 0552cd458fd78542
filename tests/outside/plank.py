"""A wooden blade of one section from end to end, of which everything can be worked out by hand."""

from __future__ import annotations

import math

import numpy as np
from scipy.integrate import simpson

from calc.machine.entry import Value
from tests.calc.test_rules_machine import PIPE

#: Radii of both ends and chord [m], density [kg/m3], stiffness and strength [Pa], air of the good machine [kg/m3].
R, R_ROOT, CHORD, DENSITY, E, STRENGTH = 1.1, 0.2, 0.12, 450.0, 10e9, 40e6
SPAN, RHO, GRAVITY = R - R_ROOT, 1.225, 9.81


def section(camber: float = 0.04, place: float = 0.4, t: float = 0.12) -> tuple[float, float, float]:
    """Area, second moment and outermost fibre of a NACA 4412 of chord 1, a closed polygon by Green's theorem."""
    x = (1 - np.cos(np.linspace(0, np.pi, 1500))) / 2
    half = 5 * t * np.polyval([-0.1015, 0.2843, -0.3516, -0.1260, 0.0], x) + 5 * t * 0.2969 * np.sqrt(x)
    front, back = camber / place**2 * (2 * place * x - x * x), camber / (1 - place) ** 2
    line = np.where(x < place, front, back * (1 - 2 * place + 2 * place * x - x * x))
    px, py = np.concatenate([x[::-1], x]), np.concatenate([(line + half)[::-1], line - half])
    qx, qy = np.roll(px, -1), np.roll(py, -1)
    cross = px * qy - qx * py
    area = cross.sum() / 2
    y = ((py + qy) * cross).sum() / (6 * area)
    return area, ((py * py + py * qy + qy * qy) * cross).sum() / 12 - area * y * y, max(py.max() - y, y - py.min())


def edgewise(t: float = 0.12) -> float:
    """Lesser section modulus along the chord of the same section of chord 1, strips across it summed by Simpson."""
    x = np.linspace(0, 1, 20001)
    thick = 10 * t * (np.polyval([-0.1015, 0.2843, -0.3516, -0.1260, 0.0], x) + 0.2969 * np.sqrt(x))
    at = simpson(thick * x, x=x) / simpson(thick, x=x)
    return float(simpson(thick * (x - at) ** 2, x=x) / max(at, 1 - at))


_AREA, _I, _OUT = section()
AREA, I_FLAT, Z_FLAT = _AREA * CHORD**2, _I * CHORD**4, _I / _OUT * CHORD**3
#: Twist of its chord at the root [rad], and stress of each N m in the plane of the rotor there.
TWIST = 0.15
EDGE = math.cos(TWIST) / (edgewise() * CHORD**3) + math.sin(TWIST) / Z_FLAT
#: Of one blade.
MASS, R_COG = DENSITY * AREA * SPAN, (R + R_ROOT) / 2
INERTIA = MASS * (R**2 + R * R_ROOT + R_ROOT**2) / 3
FRONT = CHORD * SPAN
#: Tension counts as the strength of EN 338 in tension over that in bending.
TENSION = 14.5 / 24.0
YAW = 3 - 0.01 * (math.pi * R**2 - 2)

#: The sheet: a storm so light that nothing but what a row varies decides.
PLANK: dict[str, Value] = {k: v for k, v in PIPE.items() if not k.startswith("blade.")} | {
    "blade.material": "wood", "blade.section": "NACA 4412", "blade.density": DENSITY, "blade.strength": STRENGTH,
    "blade.stiffness": E, "blade.knots": "none", "rotor.overhang": 0.25, "rotor.limit_wind": 9.0,
    "site.storm_wind": 10.0, "site.gust": 10.0, "mast.tube_diameter": 0.06,
    "station.root.radius": R_ROOT, "station.root.chord": CHORD, "station.root.twist": TWIST,
    "station.tip.radius": R, "station.tip.chord": CHORD, "station.tip.twist": 0.05,
    "hub.bolts": 3.0, "hub.bolt_diameter": 0.008, "hub.bolt_class": "8.8", "hub.bolt_spacing": 0.04,
    "hub.end_distance": 0.08, "hub.side_distance": 0.04, "hub.held": "clamped between two plates",
    "hub.root_thickness": 0.03, "hub.rotor_mass": 4.0, "hub.bearing_distance": 0.05,
}  # fmt: skip


def parked_moment(V: float) -> float:
    """Case H, stopped: Cd rho V^2 A R/4 with Cd = 1.5 (from memory), in [N m]."""
    return 1.5 * RHO * V**2 * FRONT * R / 4


def tip_of(moment: float) -> float:
    """How far the tip goes under a push that grows with the radius and makes a moment at the root [N m], in [m]."""
    r = np.linspace(R_ROOT, R, 4001)
    push = moment / np.trapezoid(r * (r - R_ROOT), r)
    # Moment of all that is further out, and its sum twice along the blade.
    M = push * ((R**3 - r**3) / 3 - r * (R**2 - r**2) / 2)
    return float(np.trapezoid(M * (R - r), r)) / (E * I_FLAT)


def case_a(omega: float, Q: float, tsr: float) -> tuple[float, float]:
    """Half the range and the mean of the root's stress in case A, in [Pa].

    2 m r w^2, tsr Q/B and Q/B + 2 m g r; of the mean the weight's part is nought.
    """
    pull, flap = 2 * MASS * R_COG * omega**2, tsr * Q / 3
    edge = Q / 3 + 2 * MASS * GRAVITY * R_COG
    half = (pull / AREA / TENSION + flap / Z_FLAT + edge * EDGE) / 2
    return half, (pull / AREA / TENSION + flap / Z_FLAT + Q / 3 * EDGE) / 2


def case_b_shaft(omega: float, Q: float, tsr: float, m_r: float, L_rb: float) -> float:
    """B w_yaw w I + m_r g L_rb + R Fx/6 (D. Wood, eq. 9.46), Fx = 1.5 tsr Q/R, in [N m]."""
    return 3 * YAW * omega * INERTIA + m_r * GRAVITY * L_rb + R / 6 * 1.5 * tsr * Q / R


def case_a_shaft(omega: float, Q: float, m_r: float, L_rb: float, d: float) -> tuple[float, float]:
    """Half the range and the mean of the stress in a shaft [Pa]: thrust and torque go between nothing and their range.

    2 m_r g L_rb + R Fx/6 bends it to and fro, Q + 2 m_r g 0.005 R twists it, Fx = 1.5 tsr Q/R; von Mises.
    """
    thrust = 1.5 * (omega * R / 8.4) * Q / R
    bent = 32 * (2 * m_r * GRAVITY * L_rb + R * thrust / 6) / (math.pi * d**3)
    pulled, twisted = 4 * thrust / (math.pi * d**2), 16 * (Q + 2 * m_r * GRAVITY * 0.005 * R) / (math.pi * d**3)
    return math.sqrt((bent + pulled) ** 2 + 3 * twisted**2) / 2, math.sqrt(pulled**2 + 3 * twisted**2) / 2
