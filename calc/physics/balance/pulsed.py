"""A single-phase winding behind a bridge, solved in time average over its half waves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from calc.physics.arrays import Array
from calc.physics.balance.circuit import Battery, Flow
from calc.physics.generator import PEAK, Pulses, pulses
from calc.physics.roots import bracketed_root

#: Nodes of the table by which the warmth of the winding is found: voltage over amplitude, and reactance over
#: resistance. The current itself is never read off it.
_U, _Q = np.linspace(0.0, 1.0, 81), np.geomspace(1e-3, 1e4, 61)


@cache
def _rms_table() -> Array:
    """RMS current over amplitude and impedance."""
    got = pulses(_U[:, None], _Q)
    return np.asarray(np.sqrt(got.square * (1.0 + _Q * _Q)))


def _rms(u: Array, q: Array) -> Array:
    """RMS current over amplitude and impedance, near enough for how warm it makes the winding."""
    table = _rms_table()
    i, j = (np.clip(v, 0.0, n - 1.000001) for v, n in (
        (u * (len(_U) - 1), len(_U)),
        (np.log(np.maximum(q, _Q[0]) / _Q[0]) * ((len(_Q) - 1) / math.log(_Q[-1] / _Q[0])), len(_Q)),
    ))  # fmt: skip
    a, b = i.astype(np.intp), j.astype(np.intp)
    s, t = i - a, j - b
    low = table[a, b] * (1.0 - t) + table[a, b + 1] * t
    return np.asarray(low * (1.0 - s) + (table[a + 1, b] * (1.0 - t) + table[a + 1, b + 1] * t) * s)


@dataclass(frozen=True, slots=True)
class Pulsed(Battery):
    """One phase: what flows is found for a speed, so the speed is what is followed.

    The battery's own resistance lies in the way of the pulses. A dump load is taken to hold the mean voltage.
    """

    @property
    def begin(self) -> Array:
        """Speed at which the tops of the wave reach battery and diodes."""
        return (self.V_oc + self.V_d) / (self.k * PEAK)

    def bound(self, omega: Array) -> Array:
        """The speed itself."""
        return omega

    def at(self, omega: Array) -> Array:
        """The speed, where current flows."""
        return np.where(omega > self.begin, omega, 0.0)

    def _solved(self, omega: Array) -> tuple[Array, Array, Array, Pulses]:
        """Amplitude, resistance of the warm winding and of the whole circuit, and the pulses."""
        E = self.k * PEAK * omega
        with np.errstate(divide="ignore", invalid="ignore"):
            u = np.where(E > 0, np.minimum((self.V_oc + self.V_d) / E, 1.0), 1.0)
        X, rest = self.p * omega * self.L, self.R_c + self.R_b

        def rms(R_w: Array) -> Array:
            R = R_w + rest
            return E * _rms(u, X / R) / np.sqrt(R * R + X * X)

        def more(I: Array) -> Array:
            return I - rms(self.winding(I))

        R_w = self.R_air + 0.0 * omega
        if np.any(self.heat > 0):
            with np.errstate(divide="ignore"):
                limit = (1.0 - 1e-9) / np.sqrt(self.heat)
            most, none = np.minimum(rms(R_w), limit), np.zeros(omega.shape)
            f_low, f_high = np.minimum(more(none), 0.0), np.maximum(more(most), 0.0)
            R_w = self.winding(np.asarray(bracketed_root(more, none, most, f_low=f_low, f_high=f_high, rtol=1e-9)))
        R = R_w + rest
        return E, R_w, R, pulses(u, X / R)

    def turn(self, x: Array) -> tuple[Array, Array]:
        """The speed, and the mean torque that makes what the pulses carry."""
        E, _, R, p = self._solved(x)
        I, I_2 = p.mean * E / R, p.square * np.square(E / R)
        with np.errstate(divide="ignore", invalid="ignore"):
            T = np.where(x > 0, ((self.V_oc + self.V_d) * I + I_2 * R) / x, 0.0)
        return x, T + self.T_0 + self.b * x

    def flow(self, x: Array) -> Flow:
        """What flows at a speed."""
        E, R_w, R, p = self._solved(x)
        I, I_2 = p.mean * E / R, p.square * np.square(E / R)
        taken = self.taken(I)
        with np.errstate(divide="ignore", invalid="ignore"):
            inside = np.where(I > 0, I_2 * np.square(taken / I), 0.0) * self.R_b
        stored = taken * self.V_oc
        return Flow(
            current=I,
            voltage=self.voltage(I),
            copper=I_2 * R_w,
            diodes=self.V_d * I,
            cable=I_2 * self.R_c,
            inside_battery=inside,
            stored=stored,
            dump=np.maximum(self.V_oc * I + self.R_b * I_2 - stored - inside, 0.0),
            converter=np.zeros(np.shape(x)),
            field=np.zeros(np.shape(x)),
        )
