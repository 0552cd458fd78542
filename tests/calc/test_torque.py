"""Both sides of the torque balance, held against the balances that the machine finds."""

from dataclasses import replace

import numpy as np
import pytest

from calc.physics import balance, torque
from calc.physics.balance import Machine

TSR = np.linspace(0.0, 8.0, 81)
CQ = 0.0167 * (1.0 + TSR) * (1.0 - TSR / 8.0)
#: A rotor of two curves, with everything that a balance knows of.
ONE = Machine(
    TSR, np.array([4.0, 10.0]), np.stack([CQ, 1.1 * CQ]), R=1.1, rho=1.225, k=1.273, R_w=0.24, V_d=1.8, V_oc=26.4,
    L=0.2e-3, p=23.0, T_0=0.2, b=0.01, R_c=0.1, R_b=0.02, R_th=0.5,
)  # fmt: skip


@pytest.mark.parametrize("V", [3.0, 4.0, 6.0, 9.0, 14.0])
def test_the_lines_cross_where_the_machine_runs(V):
    """At each balance both torques are equal, and that of the rotor is its power over its speed."""
    points = balance.operate(ONE, np.array([V])).running
    drives = torque.rotor_torque(ONE, np.array([V]), points.omega)[0]
    assert drives == pytest.approx(torque.generator_torque(ONE, points.omega), rel=1e-6)
    assert drives == pytest.approx(points.rotor / points.omega, rel=1e-6)


def test_most_power_lies_at_the_best_tip_speed_ratio():
    """As the machine names it, and nowhere along the curve is there more."""
    winds = np.array([4.0, 8.0])
    omega, held = torque.best_torque(ONE, winds)
    assert omega * 1.1 / winds == pytest.approx(balance.operate(ONE, winds).running.best_tsr)
    speeds = np.linspace(0.0, 50.0, 501)
    power = torque.rotor_torque(ONE, winds, speeds) * speeds
    assert np.all(np.nanmax(power, axis=1) <= omega * held * (1 + 1e-9))


def test_beyond_the_curve_nothing_is_known():
    """No number past the last tip-speed ratio: 8 x 4 m/s / 1.1 m is 29.1 rad/s."""
    got = torque.rotor_torque(ONE, np.array([4.0]), np.array([29.0, 29.2]))[0]
    assert np.isnan(got).tolist() == [False, True]


@pytest.mark.parametrize(
    ("V", "omega", "of"),
    [(0.0, 1.0, ONE), (5.0, -1.0, ONE), (5.0, 1.0, replace(ONE, R=np.array([1.0, 1.1])))],
    ids=["no wind", "backwards", "variants"],
)
def test_what_has_no_lines_is_refused(V, omega, of):
    """A wind, speeds forwards, one machine."""
    with pytest.raises(ValueError, match="must"):
        torque.rotor_torque(of, np.array([V]), np.array([omega]))
