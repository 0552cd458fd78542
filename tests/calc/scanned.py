"""Every balance of two torque curves by looking at them at thousands of speeds, and random machines for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace

import numpy as np

from calc.machine.design import build_design
from calc.machine.entry import Value
from calc.machine.solving import Solved
from calc.machine.system import System
from calc.physics import generator
from calc.physics.arrays import Array
from calc.physics.balance import Machine, Operation, spin
from calc.physics.torque import rotor_torque

#: Speeds looked at, evenly over their logarithm, and at least so many for each wind.
SPEEDS = 4000


def variant(many: Machine, i: int) -> Machine:
    """One machine of many."""
    shape = many.variants
    numbers = {
        f.name: float(np.broadcast_to(getattr(many, f.name), shape)[i])
        for f in fields(Machine)
        if f.name not in ("tsr", "winds", "cq", "winding", "converter", "excited")
    }
    cq = np.broadcast_to(many.cq, (*shape, *many.cq.shape[-2:]))[i]
    return replace(many, cq=cq, **numbers)


@dataclass(frozen=True)
class Scan:
    """Stable balances in one wind: the speeds just below and above each, and whether the rotor starts from rest."""

    low: Array
    high: Array
    starts: bool


def scan(one: Machine, winds: Array) -> list[Scan]:
    """Stable balances in each wind: where the torque of a turning rotor falls to that of generator and drag.

    Between two of the speeds looked at two balances may hide that nearly are one.
    """
    most = one.tsr[-1] * winds.max() / one.R
    speeds = np.geomspace(most * 1e-4, most, SPEEDS)
    I, _ = spin(one, speeds)
    held = generator.torque(I, one.k, one.L, one.p) + generator.drag(speeds, one.T_0, one.b)
    found = []
    for V in winds:
        spare = rotor_torque(one, np.array([V]), np.concatenate([[0.0], speeds]))[0]
        wins = spare[1:] - held > 0
        at = np.flatnonzero(wins[:-1] & ~wins[1:])
        found.append(Scan(speeds[at], speeds[at + 1], bool(spare[0] > one.T_0 + one.T_cog)))
    return found


@dataclass(frozen=True)
class Lost:
    """A wind in which the solver says something else than the scan."""

    machine: int
    wind: float
    why: str


def lost(many: Machine, winds: Array, got: Operation) -> list[Lost]:
    """Winds in which a stable balance of the scan is missing from what was solved, shape (machines, winds)."""
    found = []
    for i in range(many.variants[0]):
        for j, one in enumerate(scan(variant(many, i), winds)):
            why = _missing(
                one, float(got.running.omega[i, j]), float(got.standstill.omega[i, j]), int(got.balances[i, j])
            )
            if why:
                found.append(Lost(i, float(winds[j]), why))
    return found


def _missing(one: Scan, running: float, standstill: float, count: int) -> str:
    if not len(one.low):
        return ""
    if running < one.low[-1] * (1 - 1e-6):
        return f"runs at {running:.2f}, and could at {one.low[-1]:.2f}"
    if one.starts and standstill > one.high[0] * (1 + 1e-6):
        return f"is said to settle at {standstill:.2f}, and does at {one.low[0]:.2f}"
    if count < len(one.low):
        return f"{count} stable balances of {len(one.low)}"
    return ""


def rotors(sheets: Iterable[Mapping[str, Value]]) -> tuple[Array, Array, Array, Array]:
    """Tip-speed ratios and winds of the rotors of some sheets, their curves and radii."""
    solved = [System(build_design(sheet)).solved for sheet in sheets]
    built = [one.machine for one in solved if isinstance(one, Solved)]
    first = built[0]
    return first.tsr, first.winds, np.stack([m.cq for m in built]), np.array([float(np.asarray(m.R)) for m in built])


def machines(seed: int, n: int, tsr: Array, winds: Array, curves: Array, R: Array) -> Machine:
    """Random machines: rotors of given curves, shape (rotors, levels, ratios), before all kinds of generators.

    A third have windings that hardly cool, a third much inductance.
    """
    rng = np.random.default_rng(seed)
    which = rng.integers(0, len(curves), n)
    size = R[which] * rng.uniform(0.7, 1.4, n)
    V_oc = rng.choice([12.6, 26.4, 52.8], n)
    k = V_oc / (rng.uniform(4.0, 9.0, n) * rng.uniform(2.0, 7.0, n) / size)
    amps = 0.2 * 0.6 * np.pi * size**2 * 1000.0 / V_oc
    R_w = V_oc / amps * 10.0 ** rng.uniform(-1.7, 0.3, n)
    constant = k / np.sqrt(R_w)
    return Machine(
        tsr,
        winds,
        curves[which],
        R=size,
        rho=rng.uniform(1.0, 1.35, n),
        k=k,
        R_w=R_w,
        V_d=rng.uniform(0.5, 2.0, n),
        V_oc=V_oc,
        L=R_w * 10.0 ** rng.uniform(-5.0, -2.3, n) * rng.choice([0.0, 1.0, 1.0], n),
        p=rng.integers(2, 24, n).astype(float),
        T_0=0.1 * constant * 10.0 ** rng.uniform(-1.0, 0.5, n),
        b=0.001 * constant**2 * rng.uniform(0.0, 3.0, n),
        T_cog=0.05 * constant * rng.uniform(0.0, 3.0, n),
        R_c=R_w * 10.0 ** rng.uniform(-2.0, 0.7, n),
        R_b=V_oc / amps * rng.uniform(0.005, 0.1, n),
        V_max=V_oc * rng.choice([1.08, 1.15, np.inf], n),
        # What twice to a fifth of the usual current heats by 100 K.
        R_th=100.0 / (R_w * (amps * 10.0 ** rng.uniform(-0.7, 0.3, n)) ** 2) * rng.choice([0.0, 1.0, 1.0], n),
        T_air=rng.uniform(263.0, 308.0, n),
    )
