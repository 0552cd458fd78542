"""Everything behind the rotor: generator, rectifier, cable and battery, as speed, torque and powers at a current."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any, Protocol, TypeVar, cast

import numpy as np

from calc.physics import generator
from calc.physics.arrays import Array
from calc.physics.balance.machine import Flat
from calc.physics.roots import bracketed_root

#: Nearest to a current that no speed reaches, as a share of it.
_ALMOST = 1.0 - 1e-9

C = TypeVar("C", bound="Battery")


@dataclass(frozen=True, slots=True)
class Flow:
    """What flows at a point of work. Every array has the shape of the point.

    Parameters
    ----------
    current, voltage : array
        Mean direct current behind the rectifier [A] and mean voltage of the battery [V].
    copper, diodes, cable, inside_battery, stored, dump, converter, field : array
        Powers, as in :class:`calc.physics.balance.results.Points`. [W]
    """

    current: Array
    voltage: Array
    copper: Array
    diodes: Array
    cable: Array
    inside_battery: Array
    stored: Array
    dump: Array
    converter: Array
    field: Array


class Circuit(Protocol):
    """What is put in balance with a rotor, followed along one number ``x`` that rises with the speed.

    It is the current where that tells the speed without a search, else the speed itself.
    """

    @property
    def begin(self) -> Array:
        """Speed at which current begins to flow, in [rad/s]."""

    def drag(self, omega: Array) -> Array:
        """Torque of bearings and iron."""

    def only(self, which: Any) -> Circuit:
        """Some of it, or with another axis."""

    def bound(self, omega: Array) -> Array:
        """An ``x`` that is not exceeded at a speed, and not far from it."""

    def turn(self, x: Array) -> tuple[Array, Array]:
        """Speed, and the torque at the rotor's shaft with it, drag included."""

    def at(self, omega: Array) -> Array:
        """The ``x`` of a speed; nothing below :attr:`begin`."""

    def flow(self, x: Array) -> Flow:
        """What flows."""


@dataclass(frozen=True, slots=True)
class Battery:
    """Winding, cable, battery and drag as arrays of one shape: what all circuits have in common."""

    k: Array
    p: Array
    L: Array
    V_oc: Array
    V_d: Array
    V_max: Array
    R_b: Array
    R_c: Array
    R_air: Array
    T_0: Array
    b: Array
    heat: Array

    @classmethod
    def behind(cls: type[C], x: Flat) -> C:
        """Circuit of flat numbers."""
        names = ("k", "p", "L", "V_oc", "V_d", "V_max", "R_b", "R_c", "T_0", "b")
        return cls(
            R_air=cast(Array, generator.winding_resistance(x["R_w"], x["T_air"])),
            heat=1.0 / np.square(generator.heat_limit(x["R_w"], x["R_th"])),
            **cls._more(x),
            **{name: x[name] for name in names},
        )

    @classmethod
    def _more(cls, x: Flat) -> dict[str, Array]:
        return {}

    def only(self: C, which: Any) -> C:
        """Some of it, or with another axis."""
        return type(self)(**{f.name: getattr(self, f.name)[which] for f in fields(self)})

    def drag(self, omega: Array) -> Array:
        """Torque of bearings and iron."""
        return self.T_0 + self.b * omega

    def winding(self, I: Array) -> Array:
        """Resistance of the warm winding at a current, RMS where it flows in pulses."""
        return self.R_air / (1.0 - self.heat * I * I)

    def voltage(self, I: Array) -> Array:
        """Voltage at the battery."""
        return np.minimum(self.V_oc + I * self.R_b, self.V_max)

    def taken(self, I: Array) -> Array:
        """What of a current the battery takes; the dump load takes the rest."""
        with np.errstate(divide="ignore", over="ignore"):
            return np.minimum(I, (self.V_max - self.V_oc) / self.R_b)


@dataclass(frozen=True, slots=True)
class Steady(Battery):
    """Three phases or brushes: the current behind them is steady, and tells the speed."""

    per_short: Array

    @classmethod
    def _more(cls, x: Flat) -> dict[str, Array]:
        return {"per_short": np.asarray(1.0 / generator.short_circuit_current(x["k"], x["L"], x["p"]))}

    @property
    def begin(self) -> Array:
        """Speed at which current begins to flow."""
        return (self.V_oc + self.V_d) / self.k

    def most(self) -> Array:
        """Current that no speed exceeds, by inductance or by heat."""
        with np.errstate(divide="ignore"):
            return np.asarray(1.0 / np.maximum(self.per_short, np.sqrt(self.heat)))

    def bound(self, omega: Array) -> Array:
        """Current that is not exceeded at a speed, and is nearly reached where one thing alone limits it."""
        spare = np.maximum(self.k * omega - self.V_oc - self.V_d, 0.0)
        cold = spare / (self.R_air + self.R_c)
        # The warm winding alone: I R / (1 - heat I^2) = spare.
        warm = 2.0 * spare / (self.R_air + np.sqrt(np.square(self.R_air) + 4.0 * self.heat * np.square(spare)))
        # Commutation alone leaves the voltage of battery and diodes.
        with np.errstate(divide="ignore", invalid="ignore"):
            left = np.minimum((self.V_oc + self.V_d) / (self.k * omega), 1.0)
            short = np.asarray(generator.commutated_current(left)) / self.per_short
        short = np.where(self.per_short > 0, short, np.inf)
        return np.asarray(np.minimum(np.minimum(cold, warm), np.minimum(short, self.most() * _ALMOST)))

    def turn(self, x: Array) -> tuple[Array, Array]:
        """Speed at which a current flows, and the torque with it."""
        kf = self.k * np.asarray(generator.commutation_share(x * self.per_short))
        omega = (self.voltage(x) + self.V_d + x * (self.winding(x) + self.R_c)) / kf
        return omega, kf * x + self.T_0 + self.b * omega

    def at(self, omega: Array) -> Array:
        """Current at a speed."""
        most, none = self.bound(omega), np.zeros(omega.shape)

        def lag(I: Array) -> Array:
            return self.turn(I)[0] - omega

        f_low, f_high = np.minimum(lag(none), 0.0), np.maximum(lag(most), 0.0)
        return np.asarray(bracketed_root(lag, none, most, f_low=f_low, f_high=f_high))

    def flow(self, x: Array) -> Flow:
        """What flows at a current."""
        V, taken = self.voltage(x), self.taken(x)
        return Flow(
            current=x,
            voltage=V,
            copper=x * x * self.winding(x),
            diodes=self.V_d * x,
            cable=x * x * self.R_c,
            inside_battery=taken * taken * self.R_b,
            stored=taken * self.V_oc,
            dump=(x - taken) * V,
            converter=np.zeros(np.shape(x)),
            field=np.zeros(np.shape(x)),
        )


@dataclass(frozen=True, slots=True)
class Capped(Steady):
    """The same with a greatest current: ``x`` is the current up to it, and beyond it rises with the speed alone."""

    I_most: Array

    def _knee(self) -> tuple[Array, Array, Array]:
        """Greatest current, the speed at which it is reached, and speed for each unit of ``x`` beyond it."""
        I = np.minimum(self.I_most, self.most() * (1.0 - 1e-6))
        I = np.where(np.isfinite(I), I, 1e9)
        omega = super(Capped, self).turn(I)[0]
        return I, omega, omega / I

    def bound(self, omega: Array) -> Array:
        """Current that is not exceeded at a speed, and beyond the greatest one the speed above its own."""
        I, knee, slope = self._knee()
        below = np.minimum(super(Capped, self).bound(omega), I)
        return np.asarray(np.where(omega > knee, I + (omega - knee) / slope, below), dtype=float)

    def turn(self, x: Array) -> tuple[Array, Array]:
        """Speed and torque; beyond the greatest current the torque stays, but for the drag."""
        I, _, slope = self._knee()
        omega, T = super(Capped, self).turn(np.minimum(x, I))
        more = np.maximum(x - I, 0.0) * slope
        return np.asarray(omega + more), np.asarray(T + self.b * more)


@dataclass(frozen=True, slots=True)
class Excited(Capped):
    """Three phases with a field coil: its regulator weakens the field once the battery's voltage is reached.

    Up to there the field is full, and beyond it the power stays and the torque falls with the speed. The coil is fed by
    the battery while current flows.
    """

    P_field: Array

    @classmethod
    def _more(cls, x: Flat) -> dict[str, Array]:
        with np.errstate(divide="ignore"):
            most = np.where(x["R_b"] > 0, (x["V_reg"] - x["V_oc"]) / x["R_b"], np.inf)
        short = np.asarray(1.0 / generator.short_circuit_current(x["k"], x["L"], x["p"]))
        return {"per_short": short, "I_most": most, "P_field": x["P_field"]}

    def turn(self, x: Array) -> tuple[Array, Array]:
        """Speed and torque."""
        I, knee, _ = self._knee()
        omega, T = super(Excited, self).turn(x)
        # What the weaker field leaves is the power, not the torque.
        weaker = self.drag(omega) + (T - self.drag(omega)) * np.minimum(knee / np.maximum(omega, 1e-12), 1.0)
        return omega, np.asarray(np.where(x > I, weaker, T))

    def flow(self, x: Array) -> Flow:
        """What flows; the coil's share comes off what is stored."""
        at = super(Excited, self).flow(np.minimum(x, self._knee()[0]))
        field = np.where(x > 0, self.P_field, 0.0)
        return replace(at, stored=at.stored - field, field=field)
