r"""A small wind generator after the textbooks, for holding the program against: nothing here comes from ``calc``.

Only lift and drag of the sections are read from the same two tables of data as the program reads
(``calc/tables/arc_plate.csv`` and ``named_sections.csv``), and joined to a flat plate where the head of
``calc/physics/polar.py`` says that the tables end; what is compared is what is made of them.

Rotor: blade element momentum theory with wake rotation, Prandtl's loss at tip and root, Buhl's relation above
a = 0.4, each strip a root of one equation in its inflow angle [1]_ [2]_ [3]_. Drag counts in the balance of the rings,
as Hansen has it. Each strip is solved in the very wind and at the very speed asked for, at the Reynolds number of the
air that meets it, solved twice for that.

Generator: sinusoidal voltage, resistance and inductance in each phase, six diodes, a battery behind a cable, in two
ways. In the mean over time with a smooth current, as power-electronics books have it [4]_:

.. math:: V_{dc} = \frac{3\sqrt2}{\pi} V_{LL} - \frac{3}{\pi}\,\omega_e L\,I

up to where the overlap of the diodes reaches 60 degrees, beyond that by the regulation curve of IEEE 421.5. And step
by step in time, without any smoothing, as a battery straight behind a bridge has it.

References
----------
.. [1] T. Burton, N. Jenkins, D. Sharpe, E. Bossanyi, Wind Energy Handbook, ch. 3: blade element momentum theory, loss
   at tip and root.
.. [2] M. O. L. Hansen, Aerodynamics of Wind Turbines, ch. 6; S. A. Ning, Wind Energy 17 (2014): one unknown a strip.
.. [3] M. L. Buhl, NREL/TP-500-36834, 2005: thrust above a = 0.4.
.. [4] N. Mohan, T. M. Undeland, W. P. Robbins, Power Electronics, ch. 5: three-phase bridge, commutation. All of these
   from memory.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.ndimage import map_coordinates
from scipy.optimize import brentq
from scipy.optimize.elementwise import find_root

TABLES = Path(__file__).parents[2] / "calc" / "tables"
#: Strips of a blade, and tip-speed ratios at which the torque is computed before it is joined by a smooth curve.
STRIPS, RATIOS = 16, np.concatenate([np.arange(0.5, 3.0, 0.2), np.arange(3.0, 9.0, 0.4), np.arange(9.0, 16.1, 1.0)])
#: Steps of a period of the voltage, and periods until the currents repeat.
STEPS, PERIODS = 240, 5


# Sections -----------------------------------------------------------------------------------------------------------


def _to_plate(degrees, cl, cd, last):
    """Lift and drag at every whole degree from -180 to 180: the table, 20 degrees of going over, a flat plate."""
    every = np.arange(-180, 181)
    a = np.radians(every)
    plate = np.array([2 * np.sin(a) * np.cos(a), 2 * np.sin(a) ** 2])
    used = np.array([cl, cd])[:, : last + 1]
    first, end = int(degrees[0]), int(degrees[last])
    i, j = first + 180, end + 180
    out = plate.copy()
    out[:, i : j + 1] = used
    for sign, at in ((-1, i), (1, j)):
        off = used[:, 0 if sign < 0 else -1] - plate[:, at]
        for n in range(1, 20):
            x = n / 20
            out[:, at + sign * n] += off * (1 - 3 * x**2 + 2 * x**3)
    return out


def _last_good(degrees, sure):
    """Where the table ends: before the first row from 8 degrees up that is less than half sure, 8 degrees at least."""
    for n, (angle, s) in enumerate(zip(degrees, sure, strict=True)):
        if angle >= 8 and s < 0.5:
            return max(n - 1, int(np.flatnonzero(degrees == 8)[0]))
    return len(degrees) - 1


@cache
def _plates():
    """Arc plates: nodes of camber, wall and Reynolds number, and values of shape (2, camber, wall, Re, 361)."""
    rows = np.loadtxt((line for line in _lines("arc_plate") if line[0].isdigit()), delimiter=",")
    nodes = [np.unique(rows[:, n]) for n in range(4)]
    cl, cd, sure = (rows[:, n].reshape([len(x) for x in nodes]) for n in (4, 5, 6))
    values = np.empty((2, *cl.shape[:3], 361))
    for at in np.ndindex(cl.shape[:3]):
        values[(slice(None), *at)] = _to_plate(nodes[3], cl[at], cd[at], _last_good(nodes[3], sure[at]))
    return nodes, values


@cache
def _named(name):
    """A named section: Reynolds numbers, and values of shape (2, Re, 361)."""
    rows = [r for r in csv.DictReader(_lines("named_sections")) if r["section"] == name]
    reynolds = np.unique([float(r["reynolds"]) for r in rows])
    values = []
    for Re in reynolds:
        own = [r for r in rows if float(r["reynolds"]) == Re]
        degrees, cl, cd, sure = (np.array([float(r[k]) for r in own]) for k in ("alpha", "cl", "cd", "confidence"))
        values.append(_to_plate(degrees, cl, cd, _last_good(degrees, sure)))
    return reynolds, np.stack(values, axis=1)


def _lines(table):
    text = (TABLES / f"{table}.csv").read_text(encoding="utf-8").splitlines()
    return [line for line in text if not line.startswith("#")]


# Blades and rotor ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Blades:
    """Blades as strips: radii, chords, twists of shape (strips,), and values (2, strips, Re, 361) over log(Re)."""

    B: int
    R: float
    r_root: float
    r: np.ndarray
    dr: float
    chord: np.ndarray
    twist: np.ndarray
    log_re: np.ndarray
    values: np.ndarray


def pipe_blades(B, R, r_root, D, t, chord_root, chord_tip, mounting, n=STRIPS):
    """Blades cut from pipe along a straight trailing edge: the arc narrows evenly, and turns by half of what it loses.

    With the arc's half angle b: chord 2 Rm sin b, camber (1 - cos b) / (2 sin b) of it, Rm to the middle of the wall.
    """
    share = (np.arange(n) + 0.5) / n
    Rm = (D - t) / 2
    root, tip = math.asin(chord_root / (2 * Rm)), math.asin(chord_tip / (2 * Rm))
    half = root + (tip - root) * share
    chord = 2 * Rm * np.sin(half)
    nodes, values = _plates()
    at = [
        np.interp(x, node, np.arange(len(node)))
        for x, node in (((1 - np.cos(half)) / (2 * np.sin(half)), nodes[0]), (t / chord, nodes[1]))
    ]
    own = np.stack([_blend(values, i, j) for i, j in zip(*at, strict=True)], axis=1)
    r = r_root + (R - r_root) * share
    return Blades(B, R, r_root, r, (R - r_root) / n, chord, mounting - (root - half), np.log(nodes[2]), own)


def _blend(values, i, j):
    """Section between four neighbours of the table, at fractional places of camber and wall."""
    p, q = min(int(i), values.shape[1] - 2), min(int(j), values.shape[2] - 2)
    u, v = i - p, j - q
    return (
        (1 - u) * (1 - v) * values[:, p, q]
        + (1 - u) * v * values[:, p, q + 1]
        + u * (1 - v) * values[:, p + 1, q]
        + u * v * values[:, p + 1, q + 1]
    )


def carved_blades(B, R, radii, chords, twists, section, n=STRIPS):
    """Blades of a table of chord and twist, one named section from root to tip."""
    reynolds, values = _named(section)
    r = radii[0] + (R - radii[0]) * (np.arange(n) + 0.5) / n
    own = np.repeat(values[:, None], n, axis=1)
    chord, twist = np.interp(r, radii, chords), np.interp(r, radii, twists)
    return Blades(B, R, radii[0], r, (R - radii[0]) / n, chord, twist, np.log(reynolds), own)


def _forces(phi, blades, strip, Re):
    """Coefficients of force along the shaft and along the path of each strip."""
    angle = np.degrees(phi - blades.twist[strip])
    level = np.interp(np.log(Re), blades.log_re, np.arange(len(blades.log_re)))
    place = np.stack([strip.astype(float), level, (angle + 180.0) % 360.0])
    cl, cd = (map_coordinates(v, place, order=1, mode="nearest", prefilter=False) for v in blades.values)
    s, c = np.sin(phi), np.cos(phi)
    return cl * c + cd * s, cl * s - cd * c


def _loss(blades, r, s):
    """Prandtl's loss at tip and root."""
    tip, root = (blades.B / 2 * gap / s for gap in ((blades.R - r) / r, (r - blades.r_root) / blades.r_root))
    return (2 / np.pi) ** 2 * np.arccos(np.exp(-tip)) * np.arccos(np.exp(-root))


def _axial(load, F):
    """Axial induction of a ring with sigma cn / sin^2 phi = ``load``: 4 F a (1 - a) or Buhl = load (1 - a)^2."""
    light = load / (4 * F + load)
    # 8/9 + (4F - 40/9) a + (50/9 - 4F) a^2 = load (1 - a)^2, as A a^2 + B a + C = 0; the lesser root is the flow's.
    A, B, C = 50 / 9 - 4 * F - load, 4 * F - 40 / 9 + 2 * load, 8 / 9 - load
    root = np.sqrt(np.maximum(B * B - 4 * A * C, 0.0))
    heavy = 2 * C / np.where(-B - root != 0, -B - root, 1.0)
    return np.where(load > 8 / 3 * F, heavy, light)


def _ring(phi, blades, strip, speed, Re):
    """What a strip leaves unbalanced at an inflow angle, and its a, a' and force along the path."""
    s, c = np.sin(phi), np.cos(phi)
    cn, ct = _forces(phi, blades, strip, Re)
    r = blades.r[strip]
    sigma, F = blades.B * blades.chord[strip] / (2 * np.pi * r), _loss(blades, r, s)
    a = _axial(sigma * cn / s**2, F)
    # tan(phi) = (1 - a) / (speed (1 + a')), with a' / (1 + a') = sigma ct / (4 F sin cos).
    left = s / (1 - a) - (c - sigma * ct / (4 * F * s)) / speed
    return left, a, cn, ct


def _solve_strips(blades, strip, speed, Re):
    """Inflow angle of every strip; not a number where there is none between 0 and 90 degrees."""

    def left(phi, strip, speed, Re):
        return _ring(phi, blades, strip.astype(int), speed, Re)[0]

    free = np.arctan(1 / speed)
    low, high = np.full_like(free, 1e-5), np.full_like(free, np.pi / 2)
    # The rotor slows the wind and so lowers the angle, unless the strip drives the air.
    up = left(free, strip, speed, Re) < 0
    got = find_root(
        left,
        (np.where(up, free, low), np.where(up, high, free)),
        args=(strip.astype(float), speed, Re),
        tolerances={"xrtol": 1e-7, "xatol": 1e-9},
    )
    return np.where(got.success, got.x, np.nan)


def rotor_torque(blades, V, omega, rho, nu):
    """Torque of the rotor at winds and speeds, arrays of one shape (n,), in [N m]."""
    V, omega = (np.asarray(x, dtype=float) for x in (V, omega))
    n = len(blades.r)
    strip = np.tile(np.arange(n), len(V))
    v, w = np.repeat(V, n), np.repeat(omega, n)
    r, chord = blades.r[strip], blades.chord[strip]
    speed = w * r / v
    W = np.hypot(2 / 3 * v, w * r)
    for _ in range(2):
        phi = _solve_strips(blades, strip, speed, W * chord / nu)
        _, a, _, ct = _ring(phi, blades, strip, speed, W * chord / nu)
        # Where a strip would turn the wind round there is no such balance.
        met = np.where(a < 1, v * (1 - a) / np.sin(phi), np.nan)
        W = np.where(np.isfinite(met), met, W)
    each = blades.B * 0.5 * rho * met**2 * chord * ct * r * blades.dr
    return each.reshape(-1, n).sum(axis=1)


def torques_over_speed(blades, winds, rho, nu, ratios=RATIOS):
    """The rotor's torque in each wind as a smooth curve of its speed, and the speeds it was computed at."""
    winds = np.asarray(winds, dtype=float)
    omega = winds[:, None] * ratios / blades.R
    V = np.broadcast_to(winds[:, None], omega.shape)
    Q = rotor_torque(blades, V.ravel(), omega.ravel(), rho, nu).reshape(omega.shape)
    good = np.isfinite(Q)
    return [(PchipInterpolator(w[g], q[g], extrapolate=False), w[g]) for w, q, g in zip(omega, Q, good, strict=True)]


# Generator, bridge, cable and battery -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Electric:
    """What the rotor drives.

    ``k_ll``: volts RMS between two leads per rad/s; ``R_ll``, ``L_ll``: ohm and henry between two leads, at 20 degC;
    ``pairs``: pole pairs; ``drop``: volts in both diodes; ``E``, ``R_b``: battery; ``R_c``: cable there and back;
    ``V_hold``: volts at which a dump load holds the battery; ``T_0``, ``b``: drag; ``R_th``: K/W; ``air``: degC.
    """

    k_ll: float
    R_ll: float
    L_ll: float
    pairs: float
    drop: float
    E: float
    R_b: float
    R_c: float
    V_hold: float
    T_0: float
    b: float
    R_th: float
    air: float

    def cold(self):
        """The same with a winding that stays as warm as the air."""
        return replace(self, R_th=0.0)

    def warm(self, I):
        """Winding in lasting balance of heat; endless where the copper heats faster than it cools.

        R = R_20 (234.5 + t) / 254.5 with t = air + R_th I^2 R, solved for R.
        """
        per = self.R_ll / 254.5
        rest = 1 - per * self.R_th * I * I
        return per * (234.5 + self.air) / rest if rest > 0 else math.inf

    def battery(self, I):
        """Volts at the battery, and the current that goes into it; a dump load takes the rest."""
        into = min(I, (self.V_hold - self.E) / self.R_b)
        return self.E + into * self.R_b, into


def bridge_volts(V_LL, X, I):
    """Mean voltage of a six-pulse bridge: voltage between leads [V RMS], reactance of a phase [ohm], current [A]."""
    V0 = 3 * math.sqrt(2) / math.pi * V_LL
    # Current of a shorted bridge: the peak of a phase's short-circuit current, sqrt(2) V_LL / (sqrt(3) X).
    u = I * X / (math.sqrt(2 / 3) * V_LL)
    if u <= math.sqrt(3) / 4:
        return V0 - 3 / math.pi * X * I
    if u <= 0.75:
        return V0 * math.sqrt(0.75 - u * u)
    return V0 * math.sqrt(3) * max(1 - u, 0.0)


def smooth(el, omega):
    """Direct current [A] and torque [N m] at a speed, the current behind the bridge taken as smooth."""
    drag = el.T_0 + el.b * omega
    V_LL, X = el.k_ll * omega, el.pairs * omega * el.L_ll / 2

    def spare(I):
        R = el.warm(I)
        if not math.isfinite(R):
            return -math.inf
        return bridge_volts(V_LL, X, I) - el.drop - el.battery(I)[0] - I * (R + el.R_c)

    if spare(0.0) <= 0:
        return 0.0, drag
    most = 1.35 * V_LL / el.R_ll * 254.5 / (234.5 + el.air)
    if el.R_th > 0:
        # Just below the current that has no lasting temperature.
        most = min(most, math.sqrt(254.5 / (el.R_ll * el.R_th)) * (1 - 1e-12))
    I = brentq(spare, 0.0, most, xtol=1e-10, rtol=1e-12)
    # What the winding gives to the direct current, it takes from the shaft; inductance takes no power.
    return I, bridge_volts(V_LL, X, I) * I / omega + drag


def stepped(el, omega):
    """Direct current [A] and torque [N m] in the mean over a period, at speeds of shape (n,), followed in time.

    Implicit Euler: each step is a bridge without inductance whose voltages and resistance hold what the inductance
    remembers. The winding is as warm as the air; a dump load is not counted.
    """
    omega = np.asarray(omega, dtype=float)
    R = el.R_ll / 2 * (234.5 + el.air) / 254.5
    peak, keep = math.sqrt(2 / 3) * el.k_ll * omega, el.L_ll / 2 * STEPS * el.pairs * omega / (2 * np.pi)
    i = np.zeros((3, *omega.shape))
    I, P = np.zeros(omega.shape), np.zeros(omega.shape)
    for step in range(STEPS * PERIODS):
        e = peak * np.cos(2 * np.pi * (step / STEPS - np.arange(3)[:, None] / 3))
        i = _bridge(e + keep * i, R + keep, el)
        if step >= STEPS * (PERIODS - 1):
            I += np.maximum(i, 0.0).sum(axis=0) / STEPS
            P += (e * i).sum(axis=0) / STEPS
    return I, P / omega + el.T_0 + el.b * omega


def stepped_curves(el, speeds):
    """:func:`stepped` at some speeds, for :func:`balances`: a way to give current and torque at any speed between."""
    begin = (el.E + el.drop) / (math.sqrt(2) * el.k_ll)
    fine = np.unique(np.concatenate([speeds, begin * np.linspace(0.98, 1.2, 12)]))
    I, T = (PchipInterpolator(fine, x) for x in stepped(el, fine))
    return lambda _, omega: (float(I(omega)), float(T(omega)))


def _bridge(e, R, el):
    """Currents of three phases of voltage ``e`` and resistance ``R`` through six diodes into the battery."""
    order = np.argsort(e, axis=0)
    low, mid, high = np.take_along_axis(e, order, axis=0)
    V, tail = el.E + el.drop, el.R_c + el.R_b
    two = np.maximum(high - low - V, 0.0) / (2 * R + tail)
    # The middle phase joins the upper or the lower one where it passes the rail.
    up, down = mid > high - R * two, mid < low + R * two
    pair = np.where(up, (high + mid) / 2 - low, high - (low + mid) / 2)
    three = np.maximum(pair - V, 0.0) / (1.5 * R + tail)
    total = np.where((two > 0) & (up | down), three, two)
    split = np.where(up, (high - mid), (mid - low)) / (2 * R)
    both = (two > 0) & (up | down)
    first = np.where(both & up, total / 2 + split, total)
    last = np.where(both & ~up & down, -total / 2 - split, -total)
    out = np.empty_like(e)
    for n, part in ((0, last), (1, -first - last), (2, first)):
        np.put_along_axis(out, order[n : n + 1], part[None], axis=0)
    return out


# Balance ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Balance:
    """A speed at which both torques are the same, the current there, the power into the battery, and if it lasts."""

    omega: float
    current: float
    power: float
    stable: bool


def balances(torque, speeds, el, way=smooth):
    """All speeds at which rotor and generator agree, slowest first: each change of sign closed in by ``brentq``."""

    def spare(omega):
        return float(torque(omega)) - way(el, omega)[1]

    # The generator's torque bends where charging begins, and near a root of the rotor's own the curves lie close.
    begin = (el.E + el.drop) / (3 * math.sqrt(2) / math.pi * el.k_ll)
    fine = np.unique(np.concatenate([np.linspace(speeds[0], speeds[-1], 2 * len(speeds)), [begin, begin * 1.001]]))
    fine = fine[(fine >= speeds[0]) & (fine <= speeds[-1])]
    left = np.array([spare(w) for w in fine])
    found = []
    for n in np.flatnonzero((left[:-1] > 0) != (left[1:] > 0)):
        omega = brentq(spare, fine[n], fine[n + 1], xtol=1e-9)
        I = float(way(el, omega)[0])
        volts, into = el.battery(I)
        found.append(Balance(omega, I, volts * into, bool(left[n] > 0)))
    return found


def running(found):
    """The fastest balance that lasts: where a rotor stays that was fast before; None where it stands still."""
    return next((b for b in reversed(found) if b.stable), None)
