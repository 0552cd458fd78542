r"""The whole machine: rotor, generator, rectifier, cable and battery in balance at every wind speed.

The rotor turns at the speed at which its torque equals that of the generator and its drag, while the rectified
voltage equals that of the battery and of everything on the way to it:

.. math:: \tfrac{1}{2} \rho A R V^2 C_Q(\lambda) = T_0 + b\omega + k f I, \qquad
          k f \omega = V_{bat}(I) + V_d + I (R_w + R_c), \qquad I \ge 0

where ``f`` is the share of the voltage that commutation leaves and ``R_w`` the resistance of the warm winding.
For a given current the second equation gives the speed without any search, warm winding included. So the
current, not the speed, is what is looked for.

There can be several balances. A rotor that the battery holds too slow stalls: it turns at a low balance, although
at a higher one it would give more. All balances are found, and both ends are followed: from standstill and from
running.

``machine`` holds what is put in balance, ``results`` what comes out, ``sides`` the two sides of the balance,
``operating`` the search, ``limits`` what needs less of it (running free, starting, charging), and ``braking`` the
shorted generator.
"""

from calc.physics.balance.braking import Stop, brake_torque, braked, stop
from calc.physics.balance.limits import charging_wind, load_torque, spin, starting_wind, unloaded
from calc.physics.balance.machine import Machine, torque_curve
from calc.physics.balance.operating import operate
from calc.physics.balance.results import STALLED, Operation, Points

__all__ = [
    "STALLED",
    "Machine",
    "Operation",
    "Points",
    "Stop",
    "brake_torque",
    "braked",
    "charging_wind",
    "load_torque",
    "operate",
    "spin",
    "starting_wind",
    "stop",
    "torque_curve",
    "unloaded",
]
