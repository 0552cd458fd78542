"""Cables: resistance, voltage lost, power lost, and the current they can carry."""

from __future__ import annotations

import math
from functools import cache
from typing import cast

import numpy as np

from calc.physics.arrays import Array, refuse_if
from calc.physics.metals import COLD, DENSITY, RESISTIVITY, warm_share
from calc.tables import table_rows
from calc.units import Num, show

#: Kinds of insulation and of stranding that the tables know.
INSULATIONS = ("PVC, 70 degC", "XLPE or rubber, 90 degC", "marked 60 degC", "marked 75 degC")
STRANDS = ("solid or coarse strands", "fine strands")
#: Hottest conductor that the insulation bears. [K]
HOTTEST = dict(zip(INSULATIONS, (343.15, 363.15, 333.15, 348.15), strict=True))
#: Column of NEC Table 310.16 for each insulation. [degC]
COLUMN = dict(zip(INSULATIONS, (60, 90, 60, 75), strict=True))
#: American gauges of the tables, thin to thick; 0 to -3 stand for 1/0 to 4/0.
GAUGES = (18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3)
#: Allowance for current that flows for hours (NEC 694.12(B), 706.21(B)).
CONTINUOUS = 1.25
#: RMS current in each of three wires ahead of a six-pulse bridge, over the direct current behind it.
PHASE_SHARE = math.sqrt(2.0 / 3.0)
#: An area this near to a standard size is taken as a cable of that size.
NEAR = 0.06


def awg_diameter(n: int) -> float:
    """Diameter of a solid wire of American gauge ``n``; 0, -1, -2, -3 stand for 1/0 to 4/0, in [m].

    Examples
    --------
    >>> awg_diameter(12)
    0.002053
    """
    return 0.127e-3 * float(92.0 ** ((36 - n) / 39))


def awg_area(n: int) -> float:
    """Cross-section of American gauge ``n``, see :func:`awg_diameter`, in [m2].

    Examples
    --------
    >>> round(awg_area(12) * 1e6, 3)
    3.309
    """
    return math.pi / 4.0 * awg_diameter(n) ** 2


def gauge_name(n: int) -> str:
    """Name of an American gauge.

    Examples
    --------
    >>> gauge_name(12), gauge_name(-1)
    ('12 AWG', '2/0 AWG')
    """
    return f"{n} AWG" if n > 0 else f"{1 - n}/0 AWG"


def size_name(A: float) -> str:
    """Name of a cross-section: its American gauge where it is exactly one, else square millimetres.

    Examples
    --------
    >>> size_name(10e-6), size_name(awg_area(8))
    ('10 mm2', '8 AWG')
    """
    near = [n for n in GAUGES if abs(A / awg_area(n) - 1.0) < 0.002]
    return gauge_name(near[0]) if near else show(A, "mm2")


@cache
def resistance_table(conductor: str = "copper class 2") -> tuple[Array, Array]:
    """Standard areas [m2] and greatest resistance per length at 20 degC [ohm/m], IEC 60228.

    Examples
    --------
    >>> A, r = resistance_table()
    >>> A[:3] * 1e6, r[:3] * 1e3
    (array([0.5 , 0.75, 1.  ]), array([36. , 24.5, 18.1]))
    """
    rows = [row for row in table_rows("resistance") if row["conductor"] == conductor]
    areas = np.array([float(row["area"]) * 1e-6 for row in rows])
    return areas, np.array([float(row["resistance"]) * 1e-3 for row in rows])


@cache
def gauge_table(conductor: str = "copper stranded") -> tuple[Array, Array]:
    """Areas of American gauges [m2] and resistance per length at 75 degC [ohm/m], NEC Chapter 9 Table 8.

    Examples
    --------
    >>> A, r = gauge_table()
    >>> size_name(A[0]), float(r[0]) * 304.8
    ('18 AWG', 7.95)
    """
    rows = [row for row in table_rows("gauges") if row["conductor"] == conductor]
    areas = np.array([awg_area(int(row["gauge"])) for row in rows])
    return areas, np.array([float(row["resistance"]) / 304.8 for row in rows])


@cache
def sizes(material: str = "copper", strands: str = STRANDS[0], practice: str | None = None) -> tuple[Array, Array]:
    """Sizes in which cable is sold, rising [m2], and their resistance per length at 20 degC [ohm/m].

    Parameters
    ----------
    material, strands : str
        As in the catalogue of inputs. Fine strands make a difference to copper in square millimetres only.
    practice : str, optional
        ``"IEC"`` for square millimetres, ``"NEC"`` for American gauges; both when left out.

    Examples
    --------
    >>> areas, r = sizes(practice="NEC")
    >>> size_name(areas[0]), float(r[0]) * 1000
    ('18 AWG', 21.4)
    """
    fine = strands == STRANDS[1] and material == "copper"
    metric = resistance_table(f"{material} class {5 if fine else 2}")
    areas, r75 = gauge_table(f"{material} stranded")
    gauges = areas, r75 / warm_share(348.15, material)
    tables = {"IEC": [metric], "NEC": [gauges]}.get(practice or "", [metric, gauges])
    A, r = (np.concatenate(column) for column in zip(*tables, strict=True))
    order = np.argsort(A)
    return A[order], r[order]


def resistance(A: Num, material: str = "copper", T: Num = COLD, strands: str = STRANDS[0]) -> Num:
    r"""Resistance of one conductor per length.

    .. math:: r = r_{20} (1 + \alpha (T - 293.15))

    Parameters
    ----------
    A : float or array, shape (...,)
        Cross-section. [m2]
    material, strands : str
        As in the catalogue of inputs.
    T : float or array, shape (...,)
        Temperature of the conductor. [K]

    Returns
    -------
    r : float or array, shape (...,)
        Resistance per length. [ohm/m]

    Raises
    ------
    ValueError
        If an area is not positive.

    Notes
    -----
    An area within 6 % of a standard size (for the true area of a cable is never known better) takes the
    resistance of the nearest size, in proportion to its area: the greatest that IEC 60228 permits, or NEC
    Table 8, stranded, for an American gauge. That is 2 to 12 % more than the nominal area suggests. Any other
    area is taken as that much standard metal.

    Examples
    --------
    >>> float(resistance(10e-6)) * 1000
    1.83
    >>> float(resistance(awg_area(10), T=348.15)) * 304.8
    1.24

    References
    ----------
    .. [1] IEC 60228, maximum resistance, class 2 and class 5.
    .. [2] NEC 2017, Chapter 9 Table 8.
    .. [3] IEC 60028, standard of resistance for copper; :func:`calc.physics.metals.warm_share`.
    """
    if np.any(np.asarray(A) <= 0):
        raise ValueError("the area of a conductor must be positive")
    areas, r20 = sizes(material, strands)
    nearest = np.argmin(np.abs(np.log(np.asarray(A)[..., None] / areas)), axis=-1)
    standard = np.abs(np.asarray(A) / areas[nearest] - 1.0) <= NEAR
    rho = np.where(standard, (r20 * areas)[nearest], RESISTIVITY[material])
    return cast(Num, rho / A * warm_share(T, material))


def metal_mass(A: Num, L: Num, wires: int = 2, material: str = "copper") -> Num:
    """Mass of the bare conductors of a run, in [kg].

    Parameters
    ----------
    A : float or array, shape (...,)
        Cross-section of one conductor. [m2]
    L : float or array, shape (...,)
        Length one way. [m]
    wires : int
        Conductors side by side.
    material : str
        ``"copper"`` or ``"aluminium"``.

    Examples
    --------
    >>> metal_mass(10e-6, 34.0)
    6.09
    """
    return DENSITY[material] * A * L * wires


def voltage_drop_dc(I: Num, L: Num, r: Num, R_joints: Num = 0.0) -> Num:
    r"""Voltage lost in a two-conductor cable carrying direct current.

    .. math:: \Delta V = I (2 L r + R_{joints})

    Parameters
    ----------
    I : float or array, shape (...,)
        Current. [A]
    L : float or array, shape (...,)
        One-way length; the return conductor is counted here. [m]
    r : float or array, shape (...,)
        Resistance of one conductor per length, at its temperature. [ohm/m]
    R_joints : float or array, shape (...,)
        Resistance of all joints of both conductors taken together. [ohm]

    Returns
    -------
    dV : float or array, shape (...,)
        Voltage between source and load. [V]

    Raises
    ------
    ValueError
        If ``L`` is negative or ``r`` is not positive.

    Notes
    -----
    Direct current, uniform temperature. It also holds for three wires ahead of a six-pulse
    bridge with ``I`` the direct current behind it, for two of the three carry that current at any moment.

    Examples
    --------
    20 A over 30 m of 10 mm2 class 2 copper (1.83 ohm/km at 20 degC):

    >>> voltage_drop_dc(I=20.0, L=30.0, r=1.83e-3)
    2.196

    References
    ----------
    .. [1] IEC 60228, Conductors of insulated cables, maximum resistance table, class 2.
    """
    if np.any(np.asarray(L) < 0) or np.any(np.asarray(r) <= 0):
        raise ValueError("length must not be negative and resistance must be positive")
    return I * (2.0 * L * r + R_joints)


#: Share of the voltage that may be lost behind a supply of one's own, to lighting and to other uses: IEC 60364-5-52,
#: Table G.52.1 B. Row A, 3 and 5 %, is for the public supply.
DROP_LIGHTING, DROP_OTHER = 0.06, 0.08


def drop_limit(L: Num, *, lighting: bool = False) -> Num:
    """Greatest share of the voltage that a run behind a supply of one's own may lose.

    Parameters
    ----------
    L : float or array, shape (...,)
        Length of the run one way. [m]
    lighting : bool
        Whether it feeds lights.

    Returns
    -------
    share : float or array, shape (...,)
        6 % to lights and 8 % to other uses, and 0.005 % more for each metre beyond 100 m, at most 0.5 %. []

    Examples
    --------
    >>> float(drop_limit(200.0)), float(drop_limit(10.0, lighting=True))
    (0.085, 0.06)

    References
    ----------
    .. [1] IEC 60364-5-52:2009, Table G.52.1 B and its note.
    """
    share = DROP_LIGHTING if lighting else DROP_OTHER
    return cast(Num, share + np.clip(np.asarray(L) - 100.0, 0.0, 100.0) * 5e-5)


@cache
def ampacity_table(insulation: str, laid: str, loaded: int) -> tuple[Array, Array, tuple[str, ...]]:
    """Areas [m2], currents [A] and standing of each row, IEC 60364-5-52, copper, air at 30 degC.

    The standard has columns for 70 and 90 degC; the other two kinds of insulation take the 70 degC column,
    which :func:`ampacity` corrects for what they bear.

    Examples
    --------
    >>> A, I, standing = ampacity_table("PVC, 70 degC", "in conduit or duct", 2)
    >>> float(A[0]) * 1e6, float(I[0]), standing[0]
    (1.5, 16.5, 'reproduction')
    """
    column = insulation if insulation in INSULATIONS[:2] else INSULATIONS[0]
    rows = [
        row
        for row in table_rows("ampacity")
        if (row["insulation"], row["laid"], row["loaded"]) == (column, laid, str(loaded))
    ]
    areas = np.array([float(row["area"]) * 1e-6 for row in rows])
    return areas, np.array([float(row["ampacity"]) for row in rows]), tuple(row["standing"] for row in rows)


@cache
def nec_table(column: int, material: str = "copper") -> tuple[Array, Array, tuple[str, ...]]:
    """Areas [m2], currents [A] and standing of each row of a column of NEC Table 310.16, air at 30 degC.

    Examples
    --------
    >>> A, I, standing = nec_table(60)
    >>> size_name(A[0]), float(I[0]), standing[0]
    ('14 AWG', 15.0, 'reproduction')
    """
    rows = [row for row in table_rows("ampacity_nec") if (row["column"], row["material"]) == (str(column), material)]
    areas = np.array([awg_area(int(row["gauge"])) for row in rows])
    return areas, np.array([float(row["ampacity"]) for row in rows]), tuple(row["standing"] for row in rows)


def _between(A: Num, areas: Array, currents: Array, name: str) -> Num:
    # A tenth of a thousandth of slack, so that unit conversion does not push a size off the table.
    refuse_if(np.asarray(A) > areas[-1] * 1.0001, f"the {name} ends at {size_name(areas[-1])}")
    tabled = np.exp(np.interp(np.log(A), np.log(areas), np.log(currents)))
    # Thinner cables than are tabled bear less; in proportion is rather too little, and never nothing said.
    return cast(Num, tabled * np.minimum(np.asarray(A) / areas[0], 1.0))


def nec_ampacity(A: Num, column: int, material: str = "copper") -> Num:
    """Greatest lasting current by NEC Table 310.16, air at 30 degC, not more than three loaded wires, in [A].

    Parameters
    ----------
    A : float or array, shape (...,)
        Cross-section. [m2]
    column : int
        Temperature that insulation or terminal bears: 60, 75 or 90. [degC]
    material : str
        ``"copper"`` or ``"aluminium"``.

    Raises
    ------
    ValueError
        Outside the gauges of the column.

    Notes
    -----
    Between gauges a straight line of the logarithms.

    Examples
    --------
    >>> float(nec_ampacity(awg_area(8), 75))
    50.0

    References
    ----------
    .. [1] NEC, Table 310.16.
    """
    areas, currents, _ = nec_table(column, material)
    return _between(A, areas, currents, "table of permitted current")


def grouping_factor(practice: str, count: Num) -> Num:
    """Share of the permitted current that is left when cables lie together.

    Parameters
    ----------
    practice : str
        ``"IEC"``, which counts circuits, or ``"NEC"``, which counts wires that carry current.
    count : float or array, shape (...,)
        How many there are, this one included.

    Returns
    -------
    k : float or array, shape (...,)
        Factor. []

    Raises
    ------
    ValueError
        If a count is less than one.

    Examples
    --------
    >>> float(grouping_factor("IEC", 2)), float(grouping_factor("NEC", 6))
    (0.8, 0.8)
    """
    refuse_if(np.asarray(count) < 1, "a cable is at least one")
    rows = [row for row in table_rows("grouping") if row["practice"] == practice]
    starts = np.array([float(row["from"]) for row in rows])
    factors = np.array([float(row["factor"]) for row in rows])
    return cast(Num, factors[np.searchsorted(starts, count, side="right") - 1])


def ambient_factor(T: Num, T_max: Num = 343.15) -> Num:
    r"""Share of the ampacity at 30 degC that is left in other air.

    .. math:: k = \sqrt{(T_{max} - T) / (T_{max} - 303.15)}

    Parameters
    ----------
    T : float or array, shape (...,)
        Temperature of the air. [K]
    T_max : float or array, shape (...,)
        Hottest conductor that the insulation bears. [K]

    Returns
    -------
    k : float or array, shape (...,)
        Factor. []

    Raises
    ------
    ValueError
        If the air is not cooler than the hottest conductor.

    Examples
    --------
    >>> float(ambient_factor(313.15))
    0.866
    """
    refuse_if(np.asarray(T) >= T_max, "the air is as hot as the insulation withstands")
    return cast(Num, ((T_max - T) / (T_max - 303.15)) ** 0.5)


def ampacity(
    A: Num,
    insulation: str = "PVC, 70 degC",
    laid: str = "in conduit or duct",
    loaded: int = 2,
    T: Num = 303.15,
) -> Num:
    """Greatest lasting current of a copper conductor by IEC 60364-5-52.

    Parameters
    ----------
    A : float or array, shape (...,)
        Cross-section. [m2]
    insulation, laid : str
        As in the catalogue of inputs.
    loaded : int
        Wires that carry current, 2 or 3.
    T : float or array, shape (...,)
        Temperature of the air. [K]

    Returns
    -------
    I_z : float or array, shape (...,)
        Current in each wire. [A]

    Raises
    ------
    ValueError
        Outside 1.5 to 120 mm2, where the table ends, or in air as hot as the insulation bears.

    Notes
    -----
    One cable by itself; for bundles see :func:`grouping_factor`. Between standard sizes a straight line of the
    logarithms, which the standard's own formulas follow closely. Which rows are from memory stands in the
    table. Insulation marked 60 degC takes the 70 degC column times the root of what is left of the rise in
    temperature; that marked 75 degC takes the 70 degC column as it is.

    Examples
    --------
    >>> float(ampacity(4e-6))
    30.0

    References
    ----------
    .. [1] IEC 60364-5-52:2009, Tables B.52.2 to B.52.5, methods B2 and C.
    """
    areas, currents, _ = ampacity_table(insulation, laid, loaded)
    at_30 = _between(A, areas, currents, "table of permitted current")
    return at_30 * iec_ambient(T, insulation)


def iec_ambient(T: Num, insulation: str) -> Num:
    """Factor on the column that :func:`ampacity_table` gives for an insulation in air of ``T`` [K].

    Examples
    --------
    >>> float(iec_ambient(303.15, "marked 60 degC"))
    0.866
    """
    if insulation == INSULATIONS[1]:
        return ambient_factor(T, HOTTEST[insulation])
    hottest = min(HOTTEST[insulation], HOTTEST[INSULATIONS[0]])
    # The first factor is 1 at 30 degC; the second takes a hottest wire of 60 instead of 70 degC into account.
    return ambient_factor(T, hottest) * math.sqrt((hottest - 303.15) / 40.0)
