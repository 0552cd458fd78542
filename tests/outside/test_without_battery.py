"""A machine that feeds lamps and no battery, against a balance written from the textbook and solved by scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy

from calc.machine.design import build_design
from calc.machine.solving import Solved
from calc.machine.system import System
from calc.physics import loads
from tests.outside.turning_points import AREA, CABLE, DIODES, RHO_20, WINDING, WORKED, cp


def _machine(**more):
    values = {k: v for k, v in WORKED.items() if not k.startswith(("storage.", "dump.", "inverter."))}
    values |= {"storage.chemistry": "none", "load.lamp.hours": 0.2, "load.lamp.kind": "filament lamp"}
    return System(build_design(values | more))


def _balance(V, R):
    """Speed at which k (k w - V_d) / R of the generator meets the rotor's torque; 1 V s/rad, drag left out."""

    def left(omega):
        return cp(omega / V) * 0.5 * RHO_20 * AREA * V**3 - omega * max(omega - DIODES, 0.0) / R

    return scipy.optimize.brentq(left, DIODES, 8.0 * V)


# Lamp of 12 V and 55 W: 4.583 A, 2.618 ohm (machine facts, section 6: arithmetic).
@pytest.mark.parametrize(("P", "V_made"), [(55.0, 12.0), (100.0, 24.0), (40.0, 48.0)])
@pytest.mark.parametrize("V", [4.0, 6.0, 8.0, 10.0])
def test_a_rotor_that_lights_lamps(P, V_made, V):
    """Speed, current and power of the lamps, to 1 %: the program's rotor curve is drawn in steps."""
    R_lamp = V_made**2 / P
    solved = _machine(**{"load.lamp.power": P, "load.lamp.voltage": V_made}).solved
    assert isinstance(solved, Solved)
    omega = _balance(V, WINDING + CABLE + R_lamp)
    I = (omega - DIODES) / (WINDING + CABLE + R_lamp)
    at = solved.at(V)
    assert float(at.omega) == pytest.approx(omega, rel=0.01)
    assert float(at.current) == pytest.approx(I, rel=0.01)
    assert float(at.charge) == pytest.approx(I**2 * R_lamp, rel=0.02)
    assert float(at.voltage) == pytest.approx(I * R_lamp, rel=0.01)


def test_lamps_beside_each_other_share_the_current():
    """Two lamps are one of half the resistance; the lower of their voltages counts."""
    one = _machine(**{"load.lamp.power": 110.0, "load.lamp.voltage": 12.0}).solved
    two = {"load.lamp.power": 55.0, "load.lamp.voltage": 12.0, "load.other.hours": 0.1, "load.other.power": 55.0,
           "load.other.voltage": 12.0, "load.other.kind": "heater or other resistance"}  # fmt: skip
    pair = _machine(**two).solved
    assert isinstance(one, Solved)
    assert isinstance(pair, Solved)
    assert np.allclose(one.operation.running.current, pair.operation.running.current)


def test_the_lamp_of_the_handbook():
    """12 V and 55 W: 4.583 A through 2.618 ohm."""
    R = loads.resistance(55.0, 12.0)
    assert (pytest.approx(2.618, abs=5e-4), pytest.approx(4.583, abs=5e-4)) == (R, 12.0 / R)
    assert math.isclose(R * (55.0 / 12.0) ** 2, 55.0)
