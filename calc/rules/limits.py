"""Limits that several rules or mechanisms hold values against, each beside its source."""

from __future__ import annotations

import numpy as np

from calc.machine.beginning import worth_holding
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs
from calc.units import Num

#: Share of the battery's voltage that a run should lose at most; for what is too much see wiring.drop_limit.
GOOD_DROP = 0.03

#: Voltages in which battery banks are made up. Common practice, no source. [V]
BANKS = (12.0, 24.0, 36.0, 48.0, 72.0, 96.0)

#: Tip speed above which blades are seldom run, by material; from memory, common practice. [m/s]
TIP_PIPE, TIP_OTHER = 50.0, 70.0

#: Height of the rotor's lowest point above the highest obstacle within 150 m: 30 ft; see sources.SITING. [m]
CLEAR = 30 * 0.3048

#: Charging should begin below this many times the mean wind. With Rayleigh winds it blows harder than that
#: during one hour in six, and those hours hold six tenths of the year's energy.
BEGIN_SHARE = 1.5

#: Currents for which switches and isolators are rated. Common practice, no source. [A]
SWITCHES = (16.0, 20.0, 25.0, 32.0, 40.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 630.0)

#: Highest winding temperature by insulation class. [K]
HOTTEST_WINDING = {"A": 378.15, "E": 393.15, "B": 403.15, "F": 428.15, "H": 453.15}


def worth_advising(x: Inputs, omega: Num) -> bool:
    """Whether to advise that the rotor be held below a speed [rad/s].

    Not where the machine would charge only above it, and not where that lets the tips run faster than such blades
    usually do: who follows one advice must not be led past another.
    """
    D = x.maybe(Sheet.rotor.diameter)
    mild = D is None or bool(np.all(np.asarray(omega) * D / 2.0 <= usual_tip_speed(x)))
    return mild and worth_holding(x, omega)


def usual_tip_speed(x: Inputs) -> float:
    """Tip speed above which blades of the sheet's material are seldom run, in [m/s]; pipe where it is not stated."""
    return TIP_PIPE if x.maybe(Sheet.blade.material) in (None, "PVC-U pipe") else TIP_OTHER
