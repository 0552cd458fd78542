"""A winding behind a rectifier, instant by instant: what flows where, whole or broken.

Leads of a star with their back-EMF and resistance stand between a positive and a negative rail. A lead above the upper
rail feeds it, one below the lower rail draws from it, any other carries nothing; the star point floats so that the
currents add to nothing. That is all, and it holds as well with a lead broken, a phase the wrong way round, or a diode
open or shorted. Everything scales: with the rails one volt apart and one ohm in each lead, one table over the peak of
the back-EMF serves every speed, voltage and resistance of one pattern of faults.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: With the rails one volt apart: how far the emf in the table goes, in volts peak of a phase.
MOST = 12.0
#: Mean voltage behind a bridge of three whole phases with nothing connected, per volt peak of a phase.
MEAN_DC = 3.0 * np.sqrt(3.0) / np.pi


@dataclass(frozen=True)
class Pattern:
    """What is whole and what is not in winding and rectifier.

    ``gains`` is the share of its back-EMF that each phase has (negative: the wrong way round); ``leads`` tells which
    are whole; ``upper`` and ``lower`` the state of each diode, "ok", "open" or "short"; ``single`` that it is one
    winding between two leads.
    """

    gains: tuple[float, ...] = (1.0, 1.0, 1.0)
    leads: tuple[bool, ...] = (True, True, True)
    upper: tuple[str, ...] = ("ok", "ok", "ok")
    lower: tuple[str, ...] = ("ok", "ok", "ok")
    single: bool = False

    @property
    def shorted(self) -> bool:
        """Whether a diode passes both ways."""
        return "short" in (*self.upper, *self.lower)


def _emf(of: Pattern, theta: Array) -> Array:
    """Back-EMF of each lead against the star point for one volt peak, shape (angles, leads)."""
    if of.single:
        return np.stack([of.gains[0] * np.sin(theta), 0.0 * theta], axis=-1)
    return np.stack([g * np.sin(theta - 2.0 * np.pi * k / 3.0) for k, g in enumerate(of.gains)], axis=-1)


def _currents(of: Pattern, v: Array, rail: float) -> tuple[Array, Array]:
    """Current of each lead into the upper rail, and out to the lower, at potential ``v`` before its resistance."""
    ups, downs = [], []
    for k in range(v.shape[-1]):
        at = v[..., k]
        above, below = np.maximum(at - rail, 0.0), np.minimum(at, 0.0)
        # A shorted diode holds its lead at its rail, so that the other diode of the lead never conducts.
        up = {"ok": above, "open": 0.0 * at, "short": at - rail}["open" if of.lower[k] == "short" else of.upper[k]]
        down = {"ok": below, "open": 0.0 * at, "short": at}["open" if of.upper[k] == "short" else of.lower[k]]
        ups.append(up * float(of.leads[k]))
        downs.append(down * float(of.leads[k]))
    return np.stack(ups, axis=-1), np.stack(downs, axis=-1)


def instants(of: Pattern, emf: Array, rail: float, steps: int = 72) -> tuple[Array, Array, Array]:
    """Mean current into the upper rail, mean power converted, and mean square current of a lead, over one turn.

    One ohm in each lead; ``emf`` in volts peak of a phase, ``rail`` in volts.
    """
    theta = np.arange(steps) * 2.0 * np.pi / steps
    e = emf[:, None, None] * _emf(of, theta)
    low = np.full(e.shape[:-1], -(emf.max() + rail + 1.0))
    high = -low
    for _ in range(46):
        middle = 0.5 * (low + high)
        up, down = _currents(of, middle[..., None] + e, rail)
        over = (up + down).sum(-1) > 0.0
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    v = 0.5 * (low + high)[..., None] + e
    up, down = _currents(of, v, rail)
    i = up + down
    return up.sum(-1).mean(-1), (i * e).sum(-1).mean(-1), (i**2).mean(-1).mean(-1)


@cache
def table(of: Pattern) -> tuple[Array, Array, Array]:
    """Emf, current and power of a pattern with the rails one volt apart and one ohm in each lead."""
    x = np.concatenate([np.linspace(0.0, 2.0, 161), np.linspace(2.05, MOST, 100)])
    current, power, _ = instants(of, x, 1.0)
    return x, current, power


@cache
def open_circuit(of: Pattern) -> tuple[float, float]:
    """With nothing connected: volts between the rails, and power that circulates, per volt peak and ohm of a phase.

    The rails drift apart until nothing flows out; a shorted diode still lets current go round.
    """
    if not of.shorted:
        e = _emf(of, np.linspace(0.0, 2.0 * np.pi, 721))
        whole = [k for k in range(e.shape[-1]) if of.leads[k]]
        ups = [k for k in whole if of.upper[k] == "ok"]
        downs = [k for k in whole if of.lower[k] == "ok"]
        pairs = [float(np.max(e[:, i] - e[:, j])) for i in ups for j in downs if i != j]
        return max(pairs, default=0.0), 0.0
    low, high = 0.0, 4.0
    one = np.ones(1)
    for _ in range(30):
        rail = 0.5 * (low + high)
        low, high = (rail, high) if instants(of, one, rail)[0][0] > 1e-9 else (low, rail)
    return low, float(instants(of, one, low)[1][0])


def between_leads(of: Pattern) -> tuple[float, ...]:
    """RMS voltage between each pair of leads with nothing connected, per volt peak of a phase; 0 at a broken lead."""
    e = _emf(of, np.linspace(0.0, 2.0 * np.pi, 721)[:-1])
    n = e.shape[-1]
    pairs = [(0, 1)] if n == 2 else [(0, 1), (1, 2), (2, 0)]
    return tuple(
        float(np.sqrt(np.mean((e[:, i] - e[:, j]) ** 2))) if of.leads[i] and of.leads[j] else 0.0 for i, j in pairs
    )
