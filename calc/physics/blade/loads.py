"""Loads on a blade's root beside its own pull: thrust, and yawing; the simplified load cases of IEC 61400-2.

The standard itself was not read; each formula says where it was. Cases go by the standard's letters. What is here is B
(yawing); others go beside it.
"""

from __future__ import annotations

import math

import numpy as np

from calc.physics.arrays import refuse_if
from calc.physics.blade.shape import plain_number
from calc.units import Num

#: A design wind is 1.4 times the class's mean over the year, which is a fifth of its reference wind. The gust of fifty
#: years is 1.4 times the reference wind.
DESIGN_SHARE, GUST_FACTOR = 1.4 * 0.2, 1.4
#: Standard gravity, rounded. [m/s2]
GRAVITY = 9.81
#: Largest swept area for which the simplified cases are written. [m2]
LARGEST_AREA = 200.0


def design_wind(V_ref: Num) -> Num:
    """Wind in which the design speed and torque hold, ``1.4 V_ave`` with ``V_ave = 0.2 V_ref``, in [m/s].

    Examples
    --------
    Class IV:

    >>> round(design_wind(30.0), 6)
    8.4

    References
    ----------
    .. [1] W. Tong (ed.), Wind Power Generation and Wind Turbine Design, Table 2 and eq. 5, after IEC 61400-2.
    """
    return DESIGN_SHARE * V_ref


def gust(V_ref: Num) -> Num:
    """Strongest gust of three seconds in fifty years, from the ten-minute mean of such a storm, in [m/s].

    Examples
    --------
    Class IV:

    >>> gust(30.0)
    42.0

    References
    ----------
    .. [1] IEC 61400-2 as used in a design of a small turbine of class IV (42 m/s for 30 m/s); the factor stands in
       P. Jain, Wind Energy Engineering, eq. 9-5 as well.
    """
    return GUST_FACTOR * V_ref


def yaw_rate(R: Num) -> Num:
    r"""Rate at which a rotor is taken to yaw in case B.

    .. math:: \omega_\mathrm{yaw} = 3 - 0.01 (\pi R^2 - 2), \quad 3 \text{ below 2 m}^2

    Parameters
    ----------
    R : float or array, shape (...,)
        Radius of the rotor. [m]

    Returns
    -------
    w_yaw : float or array, shape (...,)
        Yaw rate. [rad/s]

    Raises
    ------
    ValueError
        Above 200 m2 of swept area, where the simplified cases end.

    Notes
    -----
    The rule for less than 2 m2 is from memory. A rotor of 1 m was measured at 3.84 rad/s in 10 m/s.

    Examples
    --------
    >>> round(yaw_rate(0.97), 4)
    2.9904

    References
    ----------
    .. [1] IEC 61400-2 as used in an engineering thesis on a furling turbine of class IV.
    """
    area = math.pi * np.square(R)
    refuse_if(area > LARGEST_AREA, "the simplified load cases end at 200 m2 of swept area")
    return plain_number(np.minimum(3.0, 3.0 - 0.01 * (area - 2.0)))


def design_thrust(tsr: Num, Q: Num, R: Num) -> Num:
    r"""Thrust on the shaft in case A, which case B takes a share of.

    .. math:: \Delta F_x = 1.5 \lambda Q / R

    Parameters
    ----------
    tsr : float or array, shape (...,)
        Design tip-speed ratio.
    Q : float or array, shape (...,)
        Design torque. [N m]
    R : float or array, shape (...,)
        Radius of the rotor. [m]

    Returns
    -------
    F : float or array, shape (...,)
        Thrust. [N]

    Examples
    --------
    A published machine of 500 W at 73.30 rad/s, of which the shaft takes 500 / (0.6025 x 73.30) N m:

    >>> round(design_thrust(6.77, 500 / (0.6025 * 73.30), 0.97), 2)
    118.53

    References
    ----------
    .. [1] Formula from memory; it gives the 118.55 N printed in D. Wood, Small Wind Turbines, Springer 2011,
       sec. 9.4.2.
    """
    return 1.5 * tsr * Q / R


def gyroscopic_moment(I: Num, w_yaw: Num, omega: Num) -> Num:
    r"""Greatest bending moment at the root of a rigid blade that turns while the rotor yaws.

    .. math:: M = 2\, \omega_\mathrm{yaw}\, I_B\, \omega

    Parameters
    ----------
    I : float or array, shape (...,)
        Moment of inertia of the blade about the shaft. [kg m2]
    w_yaw, omega : float or array, shape (...,)
        Yaw rate and rotational speed. [rad/s]

    Returns
    -------
    M : float or array, shape (...,)
        Moment, once up- and once downwind in each turn. [N m]

    Examples
    --------
    >>> round(gyroscopic_moment(0.0633, 2.99, 73.30), 2)
    27.75

    References
    ----------
    .. [1] T. Burton et al., Wind Energy Handbook: acceleration 2 w w_yaw r cos(azimuth) of a point at radius r.
    """
    return 2.0 * w_yaw * I * omega


def yawing_moment(m: Num, r_cog: Num, I: Num, w_yaw: Num, omega: Num, overhang: Num, F: Num, R: Num) -> Num:
    r"""Bending moment at a blade's root in case B of the simplified load model, yawing.

    .. math:: M_y = m_B \omega_\mathrm{yaw}^2 L_{rt} R_\mathrm{cog} + 2\, \omega_\mathrm{yaw} I_B\, \omega
              + \frac{R}{9} \Delta F_x

    Parameters
    ----------
    m, r_cog, I : float or array, shape (...,)
        Mass [kg], distance of the centre of gravity from the shaft [m] and inertia [kg m2] of one blade.
    w_yaw, omega : float or array, shape (...,)
        Yaw rate, and rotational speed of the design. [rad/s]
    overhang : float or array, shape (...,)
        From the rotor's centre to the yaw axis. [m]
    F : float or array, shape (...,)
        Thrust of case A, see :func:`design_thrust`. [N]
    R : float or array, shape (...,)
        Radius of the rotor. [m]

    Returns
    -------
    M : float or array, shape (...,)
        Moment. [N m]

    Notes
    -----
    A rigid blade: a soft one bends out of the way, and its pull straightens it. The moment is that of the standard's
    simplified model, which asks a load factor of 3 on top of it.

    Examples
    --------
    The published machine of 500 W, for which 40.83 N m are printed:

    >>> round(yawing_moment(0.4, 0.379, 0.0633, 2.99, 73.30, 0.218, 118.55, 0.97), 2)
    40.82

    References
    ----------
    .. [1] D. Wood, Small Wind Turbines, Springer 2011, eq. 9.45.
    """
    return m * w_yaw**2 * overhang * r_cog + gyroscopic_moment(I, w_yaw, omega) + R / 9.0 * F


def thrust_moment(cm: Num, rho: Num, V: Num, R: Num) -> Num:
    r"""Bending moment of the thrust at the root of one blade, from its coefficient.

    .. math:: M = C_M\, \rho\, \pi R^3 V^2 / 2

    Parameters
    ----------
    cm : float or array, shape (...,)
        Of one blade; see :class:`calc.physics.rotor.RotorCurve`.
    rho : float or array, shape (...,)
        Air density. [kg/m3]
    V : float or array, shape (...,)
        Wind speed. [m/s]
    R : float or array, shape (...,)
        Radius of the rotor. [m]

    Returns
    -------
    M : float or array, shape (...,)
        Moment, downwind. [N m]

    Examples
    --------
    >>> round(thrust_moment(0.2, 1.225, 10.0, 1.0), 2)
    38.48
    """
    return cm * 0.5 * rho * math.pi * R**3 * V**2


def throw_distance(v: Num, h: Num = 0.0, g: float = GRAVITY) -> Num:
    r"""How far a piece could fly from a height, thrown at the worst angle with no air to slow it.

    .. math:: d = \frac{v^2}{g} \sqrt{1 + \frac{2 g h}{v^2}}

    Parameters
    ----------
    v : float or array, shape (...,)
        Speed at which it leaves. [m/s]
    h : float or array, shape (...,)
        Height from which. [m]
    g : float
        Gravity. [m/s2]

    Returns
    -------
    d : float or array, shape (...,)
        Distance over level ground; an upper bound, as air slows every piece. [m]

    Examples
    --------
    60 m/s on the flat:

    >>> round(throw_distance(60.0))
    367

    References
    ----------
    .. [1] T. Matilsky, Basic kinematics of blade and ice throws, Rutgers University, for v^2 / g; the height from
       memory.
    """
    return plain_number(v * np.sqrt(np.square(v) + 2.0 * g * h) / g)
