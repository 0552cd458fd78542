"""The simplified loads of IEC 61400-2 for small machines, case by case, with the standing of each equation.

The standard itself was not read. What each equation rests on stands beside it as data (:data:`EQUATIONS`), so that a
finding can say so. Letters are the standard's: B blades of mass m and inertia I about the shaft, their centre of
gravity at r_cog; rotor mass m_r; L_rt and L_rb from the rotor's centre to the yaw axis and to the first bearing; e_r
offset of the rotor's centre of gravity; A_B area of one blade as seen from the front; omega, tsr and Q of the design.
Blade loads act at the root: z along the blade, x in the plane of the rotor (edge), y out of it (flap). Shaft loads act
at its first bearing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.finding import Source
from calc.physics.arrays import refuse_if
from calc.physics.blade.loads import (
    GRAVITY,
    GUST_FACTOR,
    LARGEST_AREA,
    design_thrust,
    design_wind,
    gust,
    gyroscopic_moment,
    yaw_rate,
    yawing_moment,
)
from calc.physics.blade.shape import plain_number
from calc.units import Num

#: Highest voltage of a machine that the standard covers. [V]
AC_LIMIT, DC_LIMIT = 1000.0, 1500.0
#: Greatest wind of a year as a share of that of fifty years; from memory, for small machines.
YEAR_SHARE = 0.75
#: Thrust coefficient of case D, lift coefficient of a blade in gusts, drag coefficients of a parked blade and of a
#: tail; those of D, C and the tail as used in worked designs, that of a parked blade from memory.
CT_D, CL_MAX, CD_PARKED, CF_TAIL = 0.5, 2.0, 1.5, 1.5
#: Offset of the rotor's centre of gravity as a share of its radius, where it was not balanced; from memory.
OFFSET_SHARE = 0.005
#: Short-circuit torque over the design torque where it was not measured; from memory.
SHORTED = 2.0
#: Load factors of the simplified model, and material factors by how much is known of the material.
LOAD_FATIGUE, LOAD_ULTIMATE = 1.0, 3.0
MATERIAL_KNOWN, MATERIAL_LITTLE = 1.1, 3.0
FATIGUE_KNOWN = 1.25


@dataclass(frozen=True, slots=True)
class WindClass:
    """A class of the standard: reference wind of ten minutes, mean of the year, turbulence, in [m/s]."""

    name: str
    V_ref: float
    I_15: float = 0.18
    slope: float = 2.0

    @property
    def V_ave(self) -> float:
        """Mean wind of the year, a fifth of the reference wind, in [m/s]."""
        return 0.2 * self.V_ref

    @property
    def V_design(self) -> float:
        """Wind of the design speed and torque, in [m/s]."""
        return float(design_wind(self.V_ref))

    @property
    def V_e50(self) -> float:
        """Strongest gust of fifty years, in [m/s]."""
        return float(gust(self.V_ref))

    @property
    def V_e1(self) -> float:
        """Strongest gust of a year, in [m/s]."""
        return YEAR_SHARE * self.V_e50


#: W. Tong (ed.), Wind Power Generation and Wind Turbine Design, Table 2 and eq. 5; the slope of 2 from memory.
CLASSES = {
    c.name: c for c in (WindClass("I", 50.0), WindClass("II", 42.5), WindClass("III", 37.5), WindClass("IV", 30.0))
}

_WOOD = "D. Wood, Small Wind Turbines, Springer 2011, sec. 9.4, {}"
_THESIS = "an engineering thesis on a furling turbine of class IV, {}"


@dataclass(frozen=True, slots=True)
class Equation:
    """One equation of the simplified model.

    Parameters
    ----------
    key : str
        Case, part and component, such as ``"B blade My"``.
    text : str
        The equation in plain letters.
    where : str
        Where it was read; empty where it was not.
    standing : str
        ``"reproduction"`` where another book or thesis prints it, ``"derived"`` where it is from memory and gives a
        printed number, else ``"from memory"``.
    """

    key: str
    text: str
    where: str
    standing: str

    @property
    def source(self) -> Source:
        """As a finding cites it."""
        standing = "from memory; gives a printed number" if self.standing == "derived" else self.standing
        return Source(f"IEC 61400-2, simplified load case {self.key}", self.where, standing)


MEMORY, DERIVED, PRINTED = "from memory", "derived", "reproduction"
EQUATIONS = {
    e.key: e
    for e in (
        Equation("A blade Fz", "2 m r_cog w^2", _THESIS.format("p. 131"), PRINTED),
        Equation("A blade Mx", "Q/B + 2 m g r_cog", _THESIS.format("p. 131 describes its two terms"), MEMORY),
        Equation("A blade My", "tsr Q/B", "", MEMORY),
        Equation("A shaft Fx", "1.5 tsr Q/R", _THESIS.format("p. 198, 204 N"), DERIVED),
        Equation("A shaft Mx", "Q + 2 m_r g e_r", _THESIS.format("p. 198, 38.6 N m"), DERIVED),
        Equation("A shaft M", "2 m_r g L_rb + R Fx/6", _THESIS.format("p. 198, 114.8 N m"), DERIVED),
        Equation("B yaw rate", "3 - 0.01 (pi R^2 - 2), 3 below 2 m2", _THESIS.format("p. 133"), PRINTED),
        Equation(
            "B blade My", "m w_yaw^2 L_rt r_cog + 2 w_yaw I w + R Fx/9", _WOOD.format("eq. 9.45"), PRINTED
        ),
        Equation("B shaft M", "B w_yaw w I + m_r g L_rb + R Fx/6", _WOOD.format("eq. 9.46"), PRINTED),
        Equation("B shaft M, two blades", "4 w_yaw w I + m_r g L_rb + R Fx/6", "", MEMORY),
        Equation(
            "C blade My", "rho A_B Cl R^3 w^2 (1 + 4/(3 tsr) + 1/tsr^2)/8", _WOOD.format("eq. 9.47"), PRINTED
        ),
        Equation("D shaft Fx", "CT 3.125 rho V_ave^2 pi R^2", _WOOD.format("eq. 9.48"), PRINTED),
        Equation("E blade Fz", "m r_cog w_max^2", _WOOD.format("eq. 9.49"), PRINTED),
        Equation("E shaft M", "m_r g L_rb + m_r e_r w_max^2 L_rb", "", MEMORY),
        Equation("F shaft Mx", "G Q, G = 2 unless measured", "", MEMORY),
        Equation("F blade Mx", "Mx of the shaft/B", "", MEMORY),
        Equation("G shaft Mx", "M_brake + Q", "", MEMORY),
        Equation("G blade Mx", "Mx of the shaft/B + m g r_cog", "", MEMORY),
        Equation("H blade My, parked", "Cd rho V_e50^2 A_B R/4, Cd = 1.5", "", MEMORY),
        Equation("H shaft Fx, parked", "B Cd rho V_e50^2 A_B/2", "", MEMORY),
        Equation("H blade My, turning", "Cl rho V_e50^2 A_B R/6", _THESIS.format("p. 135, eq. A.18"), PRINTED),
        Equation(
            "H shaft Fx, turning", "0.17 B A_B (w_max R/V_e50)^2 rho V_e50^2",
            _THESIS.format("p. 135, eqs. A.19, A.20"), PRINTED,
        ),
        Equation("H part F", "Cf rho V_e50^2 A/2, tail Cf = 1.5", _THESIS.format("p. 135"), PRINTED),
        Equation("I part F", "Cf rho V_ref^2 A/2", "", MEMORY),
        Equation("J lifting M", "2 (m_top + m_overhang/2) g L_lt", "", MEMORY),
    )
}  # fmt: skip

#: Factors, and how far the equations carry.
FACTORS = Source("IEC 61400-2, load factor 3.0 of the simplified model", "D. Wood, slides on certification", PRINTED)
MATERIAL_FACTORS = Source("IEC 61400-2, material factors 1.1 where it is known", _THESIS.format("p. 202"), PRINTED)
LITTLE_KNOWN = Source("IEC 61400-2, material factors 3.0 where little is known, and 1.25 in fatigue", "", MEMORY)
LIMITS = (
    Source("IEC 61400-2: up to 200 m2 swept, below 1000 V AC or 1500 V DC", "abstract of a paper", PRINTED),
    Source(
        "IEC 61400-2, simplified model: horizontal axis, propeller of two or more blades, cantilever, rigid hub",
        _THESIS.format("p. 127"), PRINTED,
    ),
    Source("W. Tong (ed.), Wind Power Generation and Wind Turbine Design", "Table 2 and eq. 5, classes", PRINTED),
)  # fmt: skip


def sources_of(*keys: str) -> tuple[Source, ...]:
    """Sources of some equations, each with its standing."""
    return tuple(EQUATIONS[key].source for key in keys)


@dataclass(frozen=True, slots=True)
class Turbine:
    """What the simplified equations need of a machine. Every number has shape (...,).

    Parameters
    ----------
    B, R : float or array
        Number of blades, and radius [m].
    m, r_cog, I, A_B : float or array
        Of one blade: mass [kg], centre of gravity [m], inertia about the shaft [kg m2], area from the front [m2].
    m_r, e_r : float or array
        Mass of the rotor [kg], and offset of its centre of gravity [m].
    L_rt, L_rb : float or array
        From the rotor's centre to the yaw axis and to the first bearing. [m]
    omega, Q : float or array
        Design speed [rad/s] and torque [N m].
    omega_max : float or array
        Greatest speed. [rad/s]
    V_design, V_ave, V_ref, V_e50 : float or array
        Winds: of the design point, mean of the year, storm of ten minutes, strongest gust. [m/s]
    rho : float or array
        Air density. [kg/m3]
    brake : float or array
        Torque of a mechanical brake, nought where there is none. [N m]
    short : float or array
        Short-circuit torque over the design torque.
    """

    B: Num
    R: Num
    m: Num
    r_cog: Num
    I: Num
    A_B: Num
    m_r: Num
    e_r: Num
    L_rt: Num
    L_rb: Num
    omega: Num
    Q: Num
    omega_max: Num
    V_design: Num
    V_ave: Num
    V_ref: Num
    V_e50: Num
    rho: Num
    brake: Num = 0.0
    short: Num = SHORTED

    @property
    def tsr(self) -> Num:
        """Tip-speed ratio of the design."""
        return self.omega * self.R / self.V_design

    @property
    def thrust(self) -> Num:
        """Thrust of case A, which B takes a share of, in [N]."""
        return design_thrust(self.tsr, self.Q, self.R)


@dataclass(frozen=True, slots=True)
class BladeLoad:
    """One case on the root of one blade. Shape (...,).

    Parameters
    ----------
    case : str
        Letter of the standard.
    F, edge, flap : float or array
        Pull [N], and moments in and out of the plane of the rotor [N m].
    omega : float or array
        Speed at which it comes, for the pull that straightens a soft blade. [rad/s]
    inertial : float or array
        How much of ``flap`` the blade's own mass makes, as in yawing; the rest is of the air. [N m]
    equations : tuple of str
        Keys of :data:`EQUATIONS`.
    hanging : float or array
        How much of ``edge`` the blade's weight makes; the rest is of the torque. [N m]
    """

    case: str
    F: Num
    edge: Num
    flap: Num
    omega: Num
    inertial: Num
    equations: tuple[str, ...]
    hanging: Num = 0.0


@dataclass(frozen=True, slots=True)
class ShaftLoad:
    """One case on the shaft at its first bearing: thrust [N], torque and bending [N m]. Shape (...,)."""

    case: str
    thrust: Num
    torque: Num
    bending: Num
    equations: tuple[str, ...]


def refuse_unfit(B: Num, R: Num) -> None:
    """Refuse what the simplified model is not written for: one blade, or more than 200 m2 of swept area."""
    refuse_if(np.less(B, 2), "the simplified load cases are for rotors of two or more blades")
    refuse_if(math.pi * np.square(R) > LARGEST_AREA, "the simplified load cases end at 200 m2 of swept area")


def yaw_error_moment(rho: Num, A_B: Num, R: Num, omega: Num, tsr: Num, Cl: Num = CL_MAX) -> Num:
    r"""Flap moment of case C, a gust from 30 degrees aside that meets a blade at its greatest lift.

    .. math:: M_y = \tfrac18 \rho A_B C_l R^3 \omega^2 \left[1 + \frac{4}{3\lambda} + \frac1{\lambda^2}\right]

    Examples
    --------
    The published machine of 500 W, for which 422.82 N m are printed:

    >>> round(yaw_error_moment(1.225, 0.231, 0.97, 73.30, 6.77), 1)
    422.8

    References
    ----------
    .. [1] D. Wood, Small Wind Turbines, Springer 2011, eq. 9.47.
    """
    return rho * A_B * Cl * R**3 * omega**2 / 8.0 * (1.0 + 4.0 / (3.0 * tsr) + 1.0 / tsr**2)


def greatest_thrust(rho: Num, V_ave: Num, R: Num, CT: Num = CT_D) -> Num:
    """Thrust of case D, in [N]: at 2.5 times the mean wind, ``CT 3.125 rho V_ave^2 pi R^2``.

    Examples
    --------
    >>> round(greatest_thrust(1.225, 7.5, 0.97), 2)
    318.25

    References
    ----------
    .. [1] D. Wood, Small Wind Turbines, Springer 2011, eq. 9.48.
    """
    return CT * 3.125 * rho * V_ave**2 * math.pi * R**2


def pressure_force(C: Num, rho: Num, V: Num, A: Num) -> Num:
    """Force of a wind on a part, cases H and I: ``C rho V^2 A / 2``, in [N]."""
    return C * 0.5 * rho * np.square(V) * A


def blade_cases(t: Turbine) -> tuple[BladeLoad, ...]:
    """Loads at the root of one blade, cases A to H; A is a range, for fatigue, the others are greatest loads.

    Raises
    ------
    ValueError
        Outside what the model is written for; see :func:`refuse_unfit`.
    """
    refuse_unfit(t.B, t.R)
    pull = t.m * t.r_cog * np.square(t.omega)
    weight = t.m * GRAVITY * t.r_cog
    at_most = t.m * t.r_cog * np.square(t.omega_max)
    w_yaw = yaw_rate(t.R)
    yawing = yawing_moment(t.m, t.r_cog, t.I, w_yaw, t.omega, t.L_rt, t.thrust, t.R)
    error = yaw_error_moment(t.rho, t.A_B, t.R, t.omega, t.tsr)
    press = t.rho * np.square(t.V_e50) * t.A_B * t.R
    zero = 0.0 * pull
    return (
        BladeLoad("A", 2.0 * pull, t.Q / t.B + 2.0 * weight, t.tsr * t.Q / t.B, t.omega, zero,
                  ("A blade Fz", "A blade Mx", "A blade My"), 2.0 * weight),
        BladeLoad("B", pull, zero, yawing, t.omega, yawing - t.R / 9.0 * t.thrust,
                  ("B yaw rate", "B blade My", "A shaft Fx")),
        BladeLoad("C", pull, zero, error, t.omega, zero, ("C blade My",)),
        BladeLoad("E", at_most, zero, zero, t.omega_max, zero, ("E blade Fz",)),
        BladeLoad("F", pull, t.short * t.Q / t.B, zero, t.omega, zero, ("F blade Mx",)),
        BladeLoad("G", pull, (t.brake + t.Q) / t.B + weight, zero, t.omega, zero, ("G blade Mx",),
                  weight),
        BladeLoad("H parked", zero, zero, CD_PARKED * press / 4.0, zero, zero, ("H blade My, parked",)),
        BladeLoad("H turning", at_most, zero, CL_MAX * press / 6.0, t.omega_max, zero, ("H blade My, turning",)),
    )  # fmt: skip


def shaft_cases(t: Turbine) -> tuple[ShaftLoad, ...]:
    """Loads on the shaft at its first bearing, cases A to H; A is a range, for fatigue."""
    refuse_unfit(t.B, t.R)
    hangs, push = t.m_r * GRAVITY * t.L_rb, t.R * t.thrust / 6.0
    turning = 2.0 * t.m_r * GRAVITY * t.e_r
    gyro = np.where(np.less(t.B, 3), 2.0, t.B / 2.0) * gyroscopic_moment(t.I, yaw_rate(t.R), t.omega)
    zero = 0.0 * hangs
    parked = t.B * pressure_force(CD_PARKED, t.rho, t.V_e50, t.A_B)
    spins = turning_thrust(t.B, t.A_B, t.rho, t.omega_max, t.R)
    whirl = t.m_r * t.e_r * np.square(t.omega_max) * t.L_rb
    return (
        ShaftLoad("A", t.thrust, t.Q + turning, 2.0 * hangs + push, ("A shaft Fx", "A shaft Mx", "A shaft M")),
        ShaftLoad("B", zero, zero, plain_number(gyro + hangs + push), ("B shaft M", "B shaft M, two blades")),
        ShaftLoad("D", greatest_thrust(t.rho, t.V_ave, t.R), zero, zero, ("D shaft Fx",)),
        ShaftLoad("E", zero, zero, hangs + whirl, ("E shaft M",)),
        ShaftLoad("F", zero, t.short * t.Q, zero, ("F shaft Mx",)),
        ShaftLoad("G", zero, t.brake + t.Q, zero, ("G shaft Mx",)),
        ShaftLoad("H parked", parked, zero, zero, ("H shaft Fx, parked",)),
        ShaftLoad("H turning", spins, zero, zero, ("H shaft Fx, turning",)),
    )  # fmt: skip


def turning_thrust(B: Num, A_B: Num, rho: Num, omega_max: Num, R: Num) -> Num:
    """Thrust on a rotor that turns at its greatest speed in the strongest gust, case H, in [N].

    ``0.17 B A_B L^2 rho V_e50^2`` with ``L = w_max R / V_e50``, so that the gust itself drops out.

    Examples
    --------
    >>> round(turning_thrust(3.0, 0.1, 1.225, 60.0, 1.0), 1)
    224.9
    """
    return 0.17 * B * A_B * rho * (omega_max * R) ** 2


__all__ = [
    "CLASSES",
    "EQUATIONS",
    "GRAVITY",
    "GUST_FACTOR",
    "BladeLoad",
    "Equation",
    "ShaftLoad",
    "Turbine",
    "WindClass",
    "blade_cases",
    "shaft_cases",
    "sources_of",
]
