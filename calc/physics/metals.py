"""Copper and aluminium: the constants of the standards, and what warmth does to their resistance."""

from __future__ import annotations

from calc.units import Num

#: Temperature at which resistances are stated. [K]
COLD = 293.15
#: Resistivity at 20 degC [ohm m]: annealed copper standard (IEC 60028, 1/58), aluminium of 61 % of that (1/34.8).
RESISTIVITY = {"copper": 1e-6 / 58.0, "aluminium": 1e-6 / 34.8}
#: Change of resistance with temperature, referred to 20 degC: copper IEC 60028, aluminium IEC 60889 (from memory).
#: [1/K]
ALPHA = {"copper": 3.93e-3, "aluminium": 4.03e-3}
#: The resistance of copper windings goes with their temperature in degC plus this: American practice; IEC 60034-1
#: has 235 (from memory). It is the same line as that of :data:`ALPHA`, 1 / (234.5 + 20) = 3.929e-3. [K]
COPPER_ZERO = 234.5
#: Density. [kg/m3]
DENSITY = {"copper": 8960.0, "aluminium": 2700.0}


def warm_share(T: Num, material: str = "copper") -> Num:
    r"""Resistance of a conductor at a temperature over that at 20 degC.

    .. math:: 1 + \alpha (T - 293.15)

    Parameters
    ----------
    T : float or array, shape (...,)
        Temperature. [K]
    material : str
        ``"copper"`` or ``"aluminium"``.

    Returns
    -------
    share : float or array, shape (...,)

    Examples
    --------
    A cable rated for 75 degC, as warm as it may get:

    >>> warm_share(348.15)
    1.216

    References
    ----------
    .. [1] IEC 60028, standard of resistance for copper.
    """
    return 1.0 + ALPHA[material] * (T - COLD)
