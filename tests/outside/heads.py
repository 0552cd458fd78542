"""The head of a machine by vectors in space, apart from the program: moments about yaw axis and hinge."""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import brentq

DEG = math.pi / 180.0
G = 9.80665


def crossed(a, b):
    """Cross product of two vectors."""
    return np.array((a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]))


def turned(v, axis, angle):
    """A vector turned about an axis: Rodrigues."""
    v, axis = np.asarray(v, float), np.asarray(axis, float)
    return v * math.cos(angle) + crossed(axis, v) * math.sin(angle) + axis * (axis @ v) * (1.0 - math.cos(angle))


class Head:
    """The head in its own frame: x ahead along the shaft, y to the side of the rotor, z up. Everything by vectors."""

    def __init__(self, t, C_T):
        self.t, self.C_T = t, C_T
        boom = turned((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), t.rest)
        self.boom = boom
        # Where the hinge's top leans: from the boom, away from the side of the fold, which is that of the rotor.
        lean = turned(boom, (0.0, 0.0, 1.0), t.direction)
        self.axis = lean * math.sin(t.inclination) + np.array((0.0, 0.0, math.cos(t.inclination)))
        self.across = crossed(boom, (0.0, 0.0, 1.0))
        self.hinge = np.array((-t.behind, 0.0, 0.0))

    def folded(self, v, phi):
        """A vector of the tail after a fold, towards the rotor's side."""
        return turned(v, self.axis, -phi)

    def height(self, phi):
        """How high the tail's centre of mass stands."""
        return self.folded(self.t.mass_arm * self.boom, phi)[2]

    def on_vane(self, theta, phi, V):
        """Force on the vane and where it acts."""
        t = self.t
        wind = V * np.array((-math.cos(theta), math.sin(theta), 0.0))
        normal = self.folded(-self.across, phi)
        s = float(np.clip(normal @ wind / V, -1.0, 1.0))
        alpha = math.asin(s)
        K_p = 2.0 * math.pi * t.aspect / (2.0 + math.sqrt(4.0 + t.aspect**2))
        K_v = min(1.75 / t.aspect, math.pi)
        c_n = t.lift * math.copysign(min(K_p * abs(s) * math.cos(alpha) + K_v * s * s, 1.2), s)
        slowed = 1.0 - (1.0 - t.wake) * math.cos(theta) ** 2
        force = 0.5 * t.rho * V * V * slowed * t.area * c_n * normal
        return force, self.hinge + self.folded(t.arm * self.boom, phi)

    def yaw(self, theta, phi, V):
        """Moment of rotor and vane about the yaw axis; it turns the rotor out of the wind where positive."""
        t = self.t
        felt = V * max(math.cos(theta), 0.0) ** (t.power / 3.0)
        q = 0.5 * t.rho * t.swept
        push = np.array((-q * felt**2 * self.C_T, q * V * V * t.side * math.sin(theta), 0.0))
        at = np.array((t.overhang, t.offset, 0.0))
        force, place = self.on_vane(theta, phi, V)
        return (crossed(at, push) + crossed(place, force))[2]

    def fold(self, theta, phi, V, rubs=0.0):
        """Moment about the hinge that folds the tail further: the vane's, less what the weight's height asks for."""
        force, place = self.on_vane(theta, phi, V)
        step = 1e-5
        weight = self.t.mass * G * (self.height(phi + step) - self.height(phi - step)) / (2.0 * step)
        return -crossed(place - self.hinge, force) @ self.axis - weight - rubs

    def stands(self, phi, V):
        """Yaw angle at which it stands with the tail at a fold; a right angle where nothing holds it before."""
        if self.yaw(math.pi / 2.0 - 1e-9, phi, V) > 0:
            return math.pi / 2.0 - 1e-9
        return brentq(self.yaw, -math.pi / 4.0, math.pi / 2.0 - 1e-9, args=(phi, V), xtol=1e-11)
