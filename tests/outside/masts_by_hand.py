"""Where rules of masts, guys, bases and lifts turn, worked out from statics and the European buckling curves.

For the two masts of ``tests.calc.masts``; scipy finds the places, nothing is taken from the program.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import brentq

from tests.calc.masts import HEAD_MASS, RHO, TOP_FORCE, Q

G, E, STEEL = 9.80665, 210e9, 7850.0
#: Drag coefficient of a round tube, from memory (EN 1991-1-4).
CD = 1.2
#: K d2 R of 6x7 rope with fibre core (ASTM A1023, Table C.1), in [Pa]; what clips leave (TM 5-3810-305-10, Table 4).
ROPE, CLIPPED = 0.332 * 1770e6, 0.80
#: A stainless turnbuckle M12 with eyes deforms at 4400 kg, by a rigging catalogue.
TURNBUCKLE = 4400 * G
COS45 = math.cos(math.radians(45.0))
#: Of a guy, from 8 m up to its anchor 8 m away. [m]
LENGTH = math.hypot(8.0, 8.0)


def tube(D, t):
    """Area, second moment, plastic modulus of a round tube."""
    d = D - 2 * t
    return math.pi / 4 * (D**2 - d**2), math.pi / 64 * (D**4 - d**4), (D**3 - d**3) / 6


def chi(lam, alpha):
    """EN 1993-1-1, 6.3.1.2."""
    phi = 0.5 * (1 + alpha * (lam - 0.2) + lam**2)
    return min(1.0, 1 / (phi + math.sqrt(phi**2 - lam**2)))


def buckles(A, I, fy, L, alpha=0.49):
    """Load at which a strut hinged at both ends buckles, cold formed."""
    return chi(math.sqrt(A * fy / (math.pi**2 * E * I / L**2)), alpha) * A * fy


def on_ropes(d, L=LENGTH, n=4):
    """Half the wind on four ropes at 45 degrees: drag by the square of the sine of the angle to it, rope by rope."""
    wind = np.array([1.0, 0.0, 0.0])
    turns = np.arange(n) * 2 * math.pi / n
    along = [np.array([COS45 * math.cos(a), COS45 * math.sin(a), COS45]) for a in turns]
    return sum(0.5 * CD * Q * d * L * float(np.sum(np.cross(wind, u) ** 2)) for u in along)


def sags(T, d, w, L=LENGTH):
    """Pull in a taut 6x7 rope once so much lies along it: what its arc is longer, w2 L3/(24 S2), it must stretch.

    75 GPa as a rope, from memory, and 0.369 d2 of steel (EN 12385-4, read in two reproductions).
    """
    EA = 75e9 * 0.369 * d**2
    return brentq(lambda S: (S - T) / EA - w**2 * L**2 / (24 * S**2), max(T, 1e-3), T + 1e6)


def guyed_pull(T_0, d=0.006):
    """Pull in the hardest pulled of four guys at 8 m, 45 degrees, of the mast of 9.2 m and 88.9 mm."""
    w = CD * 0.0889 * Q
    alone = ((TOP_FORCE * 9.2 + w * 9.2**2 / 2) / 8.0 + on_ropes(d)) / COS45
    return sags(max(alone, T_0 + alone / 2), d, CD * d * Q)


def rope_for(times, T_0=900.0):
    """Diameter of 6x7 rope with clips that could take so many times the pull."""
    return brentq(lambda d: ROPE * d**2 * CLIPPED - times * guyed_pull(T_0, d), 5e-4, 0.03)


def pretension_for(load):
    """Pull without wind at which the hardest pulled guy sees a load."""
    return brentq(lambda T_0: guyed_pull(T_0) - load, 0.0, load)


def tight_in(V, D=2.0):
    """Pull without wind with which the leeward one of its four guys just hangs slack, the thrust by Betz, 8/9."""
    q = 0.5 * RHO * V**2
    alone = (8 / 9 * q * math.pi / 4 * D**2 * 9.2 + CD * 0.0889 * q * 9.2**2 / 2) / 8.0 / COS45
    return alone / 2


def pole_yield(times):
    """Yield strength with which the free-standing pole of 8 m, 139.7 x 5, could take so many times the storm's load."""
    A, I, W = tube(0.1397, 0.005)
    w, mu = CD * 0.1397 * Q, STEEL * A
    N, M = times * G * (HEAD_MASS + mu * 8.0), times * (TOP_FORCE * 8.0 + w * 8.0**2 / 2)
    N_cr = math.pi**2 * E * I / 16.0**2

    def over(fy):
        return N / buckles(A, I, fy, 16.0) + M / (1 - N / N_cr) / (W * fy) - 1.0

    return brentq(over, 20e6, 2e9)


def pole_depth(times):
    """Depth of the pole's hole, 0.5 m wide, in sand (IBC Table 1806.2: 23.6 kPa/m), by IBC 1807.3.2.1.

    What the code permits has half of what gives way, from memory.
    """
    w = CD * 0.1397 * Q
    side, moment = TOP_FORCE + w * 8.0, TOP_FORCE * 8.0 + w * 8.0**2 / 2
    P, h = times * side / 2.0, moment / side

    def short(d):
        A = 2.34 * P / (23.6e3 * min(d, 3.6576) / 3 * 0.5)
        return d - 0.5 * A * (1 + math.sqrt(1 + 4.36 * h / A))

    return brentq(short, 0.01, 20.0)


def lying_block(times):
    """Width of a flat block 0.5 m high that lies on sand (friction 0.4) and is pulled at 45 degrees."""
    held = 0.4 * 24e3 * 0.5 / (COS45 + 0.4 * COS45)
    return math.sqrt(times * guyed_pull(900.0) / held)


def lift_moment():
    """Moment about the hinge of the guyed mast as it leaves the ground."""
    mu = STEEL * tube(0.0889, 0.004)[0]
    return G * (mu * 9.2**2 / 2 + HEAD_MASS * 9.2)


def lift_pull():
    """Pull with a gin pole of 4.5 m, 7.0 m to the pulling point: the moment over the rope's distance from the hinge."""
    return lift_moment() * math.hypot(7.0, 4.5) / (7.0 * 4.5)


def gin_length(times):
    """Length at which the gin pole of 60.3 x 4 buckles under so many times the load that the lift puts on it.

    The rope to the mast (held at 8.0 m) and the pulling rope each press it with the moment over their own distance.
    """
    A, I, _ = tube(0.0603, 0.004)
    N = lift_moment() * (1 / 8.0 + 1 / 7.0)
    return brentq(lambda g: buckles(A, I, 235e6, g) - times * N, 0.5, 60.0)


def lying_yield(times):
    """Yield strength of the guyed mast that takes so many times its bending on its way up: 80 kg, held at 5.0 m."""
    A, _, W = tube(0.0889, 0.004)
    mu, over = STEEL * A, 9.2 - 5.0
    return times * G * (80.0 * over + mu * over**2 / 2) / W


def standing_mass():
    """Mass at the head at which a free-standing tube of 60.3 x 3, 8 m, buckles: Euler less 0.3 of its own weight."""
    A, I, _ = tube(0.0603, 0.003)
    return math.pi**2 * E * I / (4 * 8.0**2) / G - 0.3 * STEEL * A * 8.0


def lattice_wind():
    """Wind along the lattice mast of 9 m, 0.5 m wide, three legs of round members that fill 0.2 (EN 1993-3-1)."""
    return Q * (1.9 * (1 - 1.4 * 0.2) + (1.9 + 0.875) * 0.2**2) * 0.2 * 0.5


def lattice_foot():
    """Weight of machine and mast, and moment, at its foot."""
    return G * (HEAD_MASS + 120.0), TOP_FORCE * 9.0 + lattice_wind() * 9.0**2 / 2


def leg_yield(times):
    """Yield strength with which a leg of 42.4 x 3.2, cross bars 0.4 m apart, takes so many times the storm's load."""
    N, M = lattice_foot()
    A, I, _ = tube(0.0424, 0.0032)
    load = M / (0.5 * math.sin(math.radians(60.0))) + N / 3
    return brentq(lambda fy: buckles(A, I, fy, 0.4) - times * load, 1e6, 2e9)


def lattice_block(times):
    """Width of a block 1.2 m high that lies on the ground and does not tip over under the lattice mast."""
    N, M = lattice_foot()
    return brentq(lambda b: (N + 24e3 * 1.2 * b**2) * b / 2 - times * M, 0.05, 6.0)
