"""A converter between rectifier and battery that holds its input at a voltage, or looks for the best power.

Its input is what the generator sees; what comes out of it charges the battery, less its own loss. It takes no more than
its greatest input current: from there on the rotor gets faster, and the voltage at the input rises.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics import generator
from calc.physics.arrays import Array
from calc.physics.balance.circuit import Capped, Flow
from calc.physics.balance.machine import Flat

#: Most that the commutated torque can be, as a share of volts per speed times the short-circuit current.
_MOST_TORQUE = 0.375


@dataclass(frozen=True, slots=True)
class Converted(Capped):
    """Three phases or brushes behind a converter; the battery's own numbers beside those that the generator sees.

    ``x`` is the current up to the greatest that the converter takes, and beyond it rises with the speed alone.
    """

    B_oc: Array
    B_R: Array
    B_max: Array
    V_high: Array
    eta: Array

    @classmethod
    def _more(cls, x: Flat) -> dict[str, Array]:
        names = {"B_oc": "V_oc", "B_R": "R_b", "B_max": "V_max", "V_high": "V_high", "I_most": "I_most", "eta": "eta_c"}
        more = {name: x[name] for name in ("V_high", "I_most")}
        return {
            "per_short": np.asarray(1.0 / generator.short_circuit_current(x["k"], x["L"], x["p"])),
            **{name: x[of] for name, of in names.items() if name not in more},
            **more,
        }

    @classmethod
    def behind(cls, x: Flat) -> Converted:
        """Circuit of flat numbers; what the generator sees is the input of the converter."""
        own = super(Converted, cls).behind(x)
        input_ = {"V_oc": x["V_low"], "V_max": np.full_like(x["V_low"], np.inf), "R_b": np.zeros_like(x["V_low"])}
        return cls(**{name: input_.get(name, getattr(own, name)) for name in cls.__dataclass_fields__})

    def flow(self, x: Array) -> Flow:
        """What flows: the voltage at the input is what speed and current leave of the generator's."""
        I = np.minimum(x, self._knee()[0])
        return self.converted(I, self.turn(x)[0])

    def input_voltage(self, I: Array, omega: Array) -> Array:
        """Voltage at the input of the converter."""
        kf = self.k * np.asarray(generator.commutation_share(np.minimum(I * self.per_short, 1.0)))
        return np.asarray(kf * omega - self.V_d - I * (self.winding(I) + self.R_c))

    def converted(self, I: Array, omega: Array) -> Flow:
        """What flows at an input current and a speed."""
        P = np.where(I > 0, I * self.input_voltage(I, omega), 0.0)
        out = self.eta * P
        with np.errstate(divide="ignore", invalid="ignore"):
            charge = 2.0 * out / (self.B_oc + np.sqrt(np.square(self.B_oc) + 4.0 * self.B_R * out))
            taken = np.minimum(charge, np.where(self.B_R > 0, (self.B_max - self.B_oc) / self.B_R, np.inf))
        stored, inside = taken * self.B_oc, taken * taken * self.B_R
        return Flow(
            current=I,
            voltage=np.minimum(self.B_oc + charge * self.B_R, self.B_max),
            copper=I * I * self.winding(I),
            diodes=self.V_d * I,
            cable=I * I * self.R_c,
            inside_battery=inside,
            stored=stored,
            dump=np.maximum(out - stored - inside, 0.0),
            converter=P - out,
            field=np.zeros(np.shape(I)),
        )

    def current_for(self, T: Array) -> Array:
        """Current that makes a torque, drag not counted; not a number where none does."""
        plain = T / self.k
        t = plain * self.per_short
        with np.errstate(invalid="ignore"):
            light = np.sqrt(3.0) / 2.0 * (1.0 - np.sqrt(1.0 - 4.0 * np.minimum(t, 0.433) / np.sqrt(3.0)))
            heavy = np.sqrt(_MOST_TORQUE - np.sqrt(_MOST_TORQUE**2 - np.square(t)))
        u = np.where(light <= np.sqrt(3.0) / 4.0, light, heavy)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.per_short > 0, u / self.per_short, plain)

    def power(self, T: Array, omega: Array) -> Array:
        """Power into the converter when it holds a torque at a speed; less than nothing where it cannot."""
        with np.errstate(invalid="ignore", divide="ignore"):
            I = np.where(T > 0, self.current_for(T), np.nan)
            warm = self.heat * I * I < 1.0 - 1e-9
            V = self.input_voltage(np.where(warm, I, 0.0), omega)
            fits = warm & (self.I_most >= I) & (self.V_oc * (1.0 - 1e-9) <= V) & (self.V_high >= V)
            return np.where(fits, I * V, -1.0)
