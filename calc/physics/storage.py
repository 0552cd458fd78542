"""The battery: cells, charge voltage, capacity, cold, gas, and how long it carries the loads."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import cast

import numpy as np

from calc.physics.arrays import Array, Flags, refuse_if
from calc.tables import table_rows
from calc.units import Num, show


@dataclass(frozen=True, slots=True)
class Cell:
    """One kind of cell; see ``calc/tables/cells.csv`` for the meaning and standing of each number."""

    nominal: float
    resting: float
    emptied: float
    lowest: float
    charge_low: float
    charge_high: float
    rate: float
    discharge: float
    usable: float
    drift: float
    cold: float
    hot: float
    peukert: float
    efficiency: float
    gas: float
    standing: str
    others: str


@cache
def cell(chemistry: str) -> Cell:
    """Cell of a chemistry in the catalogue.

    Examples
    --------
    >>> cell("gel lead-acid").charge_high
    2.4
    """
    row = next(row for row in table_rows("cells") if row["chemistry"] == chemistry)
    numbers = {name: float(text) for name, text in row.items() if name not in ("chemistry", "standing", "others")}
    return Cell(**numbers, standing=row["standing"], others=row["others"])


def lithium(chemistry: str) -> bool:
    """Whether a chemistry of the catalogue is a lithium one.

    Examples
    --------
    >>> lithium("LiFePO4"), lithium("AGM lead-acid")
    (True, False)
    """
    return chemistry in ("LiFePO4", "NMC lithium")


def _column(table: str, column: str, **where: str) -> Array:
    rows = (row for row in table_rows(table) if all(row[name] == word for name, word in where.items()))
    return np.array([float(row[column]) for row in rows])


def _outside(x: Num, low: float, high: float) -> Flags:
    return np.asarray((np.asarray(x) < low) | (np.asarray(x) > high))


def cells_in_series(V: Num, chemistry: str) -> Num:
    """Cells in series in a bank of nominal voltage ``V`` [V].

    LiFePO4 banks are sold as 12, 24, 36 and 48 V with 4, 8, 12 and 16 cells of 3.2 V, so from 9 V they are
    counted in fours. A count that is in doubt has others beside it, see :func:`other_counts`.

    Examples
    --------
    >>> int(cells_in_series(12.0, "AGM lead-acid")), int(cells_in_series(48.0, "LiFePO4"))
    (6, 16)
    """
    one = cell(chemistry).nominal
    count = np.rint(np.asarray(V) / one)
    if chemistry == "LiFePO4":
        count = np.where(np.asarray(V) < 9.0, count, 4.0 * np.rint(np.asarray(V) / (4.0 * one)))
    return cast(Num, np.maximum(count, 1.0))


#: Counts of cells that are sold under one nominal voltage, by chemistry: from and below which voltage, and the counts.
SOLD_ALIKE = {"LiFePO4": ((46.0, 50.0, (15, 16)),), "NMC lithium": ((20.0, 26.5, (6, 7)), (46.0, 52.0, (13, 14)))}


def other_counts(V: float, chemistry: str) -> tuple[int, ...]:
    """Counts of cells that are sold under a nominal voltage [V] where there are several, rising; else none.

    Examples
    --------
    >>> other_counts(48.0, "LiFePO4"), other_counts(51.2, "LiFePO4"), other_counts(24.0, "LiFePO4")
    ((15, 16), (), ())
    """
    steps = SOLD_ALIKE.get(chemistry, ())
    return next((counts for low, high, counts in steps if low <= V < high), ())


def compensated(V: Num, n: Num, drift: Num, T: Num, T_ref: Num = 298.15) -> Num:
    """Charge voltage at another battery temperature.

    Parameters
    ----------
    V : float or array, shape (...,)
        Charge voltage of the bank at ``T_ref``. [V]
    n : float or array, shape (...,)
        Cells in series.
    drift : float or array, shape (...,)
        Change of a cell's charge voltage. [V/K]
    T, T_ref : float or array, shape (...,)
        Temperature of the battery, and the one at which ``V`` holds. [K]

    Returns
    -------
    V_T : float or array, shape (...,)
        Charge voltage at ``T``. [V]

    Examples
    --------
    24 V gel bank at 35 degC:

    >>> compensated(28.8, 12, -0.005, 308.15)
    28.2
    """
    return V + n * drift * (T - T_ref)


@dataclass(frozen=True, slots=True)
class Resistance:
    """Internal resistance of a bank that is in order: least, likely and most [ohm], and how the three are known."""

    least: Num
    likely: Num
    most: Num
    standing: str

    @property
    def how(self) -> str:
        """How the three are known, in words: who tells one of them tells between which it lies."""
        ends = [show(v, "mohm", 2) for v in (self.least, self.most) if not np.ndim(v)]
        between = f"{ends[0].removesuffix(' mohm')} to {ends[1]}" if len(ends) == 2 else ""
        memory = "from memory" if self.standing == "from memory" else ""
        return ", ".join(filter(None, ["usual for its kind and size", between, memory]))


def usual_resistance(V: Num, Q: Num, chemistry: str) -> Resistance:
    r"""Internal resistance of a bank by its kind and size, from a table for 12 V and 100 Ah.

    .. math:: R = R_{12,100} \frac{V}{12\,\text{V}} \, \frac{100\,\text{Ah}}{Q}

    Parameters
    ----------
    V : float or array, shape (...,)
        Nominal voltage. [V]
    Q : float or array, shape (...,)
        Capacity. [A s]
    chemistry : str
        A chemistry of the catalogue.

    Returns
    -------
    R : Resistance
        The least gives the strongest short circuit, the most the deepest sag. [ohm]

    Notes
    -----
    Charged, at room temperature, links between the cells included. Cold, age or an empty state may double it.

    Examples
    --------
    100 Ah of lead-acid at 12 V (12.6 V at rest) drive 1000 to 4000 A into a short circuit:

    >>> R = usual_resistance(12.0, 100 * 3600.0, "flooded lead-acid")
    >>> round(12.6 / R.most), round(12.6 / R.likely), round(12.6 / R.least)
    (1000, 2000, 4000)
    """
    kind = "lithium" if lithium(chemistry) else "lead"
    row = next(row for row in table_rows("battery_resistance") if row["kind"] == kind)
    scale = 1e-3 * (V / 12.0) * (100.0 * 3600.0 / Q)
    least, likely, most = (float(row[name]) * scale for name in ("least", "likely", "most"))
    return Resistance(least, likely, most, row["standing"])


def autonomy(Q: Num, V: Num, share: Num, P: Num) -> Num:
    """Time for which the usable part of a battery carries a mean power.

    Parameters
    ----------
    Q : float or array, shape (...,)
        Capacity. [A s]
    V : float or array, shape (...,)
        Nominal voltage. [V]
    share : float or array, shape (...,)
        Part of the capacity that may be used. []
    P : float or array, shape (...,)
        Mean power taken from the battery. [W]

    Returns
    -------
    t : float or array, shape (...,)
        Time. [s]

    Raises
    ------
    ValueError
        If the power is not positive.

    Notes
    -----
    No charge coming in, a battery as good as new, neither cold nor discharged fast.

    Examples
    --------
    250 Ah at 24 V, half of it usable, 1000 Wh a day: 3 days.

    >>> autonomy(250 * 3600.0, 24.0, 0.5, 1000 / 24) / 86400
    3.0
    """
    refuse_if(np.asarray(P) <= 0, "the mean power must be positive")
    return Q * V * share / P


def capacity_for(t: Num, V: Num, share: Num, P: Num) -> Num:
    """Capacity that carries the mean power ``P`` for the time ``t``, reversing :func:`autonomy`, in [A s].

    Examples
    --------
    >>> capacity_for(3 * 86400.0, 24.0, 0.5, 1000 / 24) / 3600
    250.0
    """
    return t * P / (V * share)


def discharge_time(I: Num, C: Num, k: Num, H: Num = 72000.0) -> Num:
    r"""Time for which a full battery gives a current, Peukert's law with the capacity of a stated time.

    .. math:: t = H \left(\frac{C}{I H}\right)^k

    Parameters
    ----------
    I : float or array, shape (...,)
        Current. [A]
    C : float or array, shape (...,)
        Capacity when discharged evenly in the time ``H``. [A s]
    k : float or array, shape (...,)
        Peukert's exponent, 1 for a battery that gives the same at every current. []
    H : float or array, shape (...,)
        The time for which ``C`` is stated, usually 20 h. [s]

    Returns
    -------
    t : float or array, shape (...,)
        Time to empty. [s]

    Raises
    ------
    ValueError
        If the current is not positive, or the exponent lies outside 1 to 2.

    Notes
    -----
    Found for lead-acid at 25 degC and steady currents, from about ``C/H`` to ten times that (from memory). With
    currents that rest now and then a battery gives more. Many texts write the law as ``t = C_1 / I^k`` without
    ``H``; ``C_1`` is what the battery gives at one ampere, another number than the capacity of a data plate, and
    mixing the two is the usual error.

    Examples
    --------
    100 Ah for 20 h, k = 1.2, at 20 A: 3.79 h, so 75.8 Ah.

    >>> t = discharge_time(20.0, 100 * 3600.0, 1.2)
    >>> round(t / 3600, 3), round(20.0 * t / 3600, 1)
    (3.789, 75.8)
    """
    wrong = (np.asarray(I) <= 0) | _outside(k, 1.0, 2.0)
    refuse_if(wrong, "Peukert's law asks for a positive current and an exponent from 1 to 2")
    return H * (C / (I * H)) ** k


def cold_share(T: Num, chemistry: str) -> Num:
    """Capacity at a battery temperature ``T`` [K] over that at 25 degC, from a table.

    Raises
    ------
    ValueError
        Outside the table's -18 to 40 degC.

    Notes
    -----
    For discharges longer than an hour. Below 0 degC, and for lithium throughout, the table is from memory.

    Examples
    --------
    >>> float(cold_share(283.15, "flooded lead-acid"))
    0.9
    """
    kind = "lithium" if lithium(chemistry) else "lead"
    t, share = (_column("cold_capacity", name, kind=kind) for name in ("celsius", "share"))
    # A thousandth of a kelvin of slack for limits typed in other units.
    refuse_if(
        _outside(T, t[0] + 273.149, t[-1] + 273.151), "the table of capacity and temperature runs from -18 to 40 degC"
    )
    return cast(Num, np.interp(np.asarray(T) - 273.15, t, share))


#: Least doubt of a state of charge read from a voltage at rest: publications differ by 0.3 V in 12 V.
STATE_DOUBT = 0.15


def state_of_charge(V: Num, chemistry: str) -> tuple[Num, Num, Num]:
    """State of charge from the voltage of a lead cell at rest, with the doubt that publications leave.

    Parameters
    ----------
    V : float or array, shape (...,)
        Voltage of one cell, neither charged nor discharged for 8 hours, better 24. [V]
    chemistry : str
        A lead-acid chemistry of the catalogue.

    Returns
    -------
    least, likely, most : tuple of float or array, shape (...,)
        Shares of the full charge: the mean of what publications say, and the limits within which they and 15 % to
        either side lie. []

    Raises
    ------
    ValueError
        For lithium, whose voltage hardly changes between a tenth and nine tenths; and below 1.5 or above 2.3 V,
        where no cell rests.

    Notes
    -----
    Above or below the voltages of a publication its first or last state is taken.

    Examples
    --------
    12.1 V at rest: between a quarter and almost three fifths.

    >>> [round(float(s), 2) for s in state_of_charge(12.1 / 6, "flooded lead-acid")]
    [0.25, 0.44, 0.59]
    """
    if lithium(chemistry):
        raise ValueError("the voltage at rest does not tell the charge of a lithium cell")
    refuse_if(_outside(V, 1.5, 2.3), "no lead cell rests below 1.5 V or above 2.3 V")
    kind = "flooded" if chemistry.startswith("flooded") else "sealed"
    names = dict.fromkeys(row["source"] for row in table_rows("rest_voltage") if row["kind"] == kind)
    readings = []
    for name in names:
        volts, states = (_column("rest_voltage", c, kind=kind, source=name) for c in ("volts", "state"))
        readings.append(np.interp(V, volts[::-1], states[::-1]))
    likely = sum(readings[1:], readings[0]) / len(readings)
    least = np.minimum(np.minimum.reduce(readings), likely - STATE_DOUBT)
    most = np.maximum(np.maximum.reduce(readings), likely + STATE_DOUBT)
    return cast("tuple[Num, Num, Num]", (np.maximum(least, 0.0), likely, np.minimum(most, 1.0)))


def resting_voltage(density: Num) -> Num:
    """Voltage of a lead cell at rest from the specific gravity of its acid, ``density + 0.84``, in [V].

    Examples
    --------
    A full 12 V battery:

    >>> 6 * resting_voltage(1.265)
    12.63
    """
    return density + 0.84


def acid_density(state: Num) -> Num:
    """Least specific gravity of the acid of a flooded cell at a state of charge, from a maker's table.

    Raises
    ------
    ValueError
        If the state lies outside 0 to 1.

    Notes
    -----
    Sealed cells hold a stronger acid, so for them this is on the weak side.

    Examples
    --------
    >>> float(acid_density(0.5)), float(acid_density(0.0))
    (1.18, 1.11)
    """
    refuse_if(_outside(state, 0.0, 1.0), "a state of charge lies between 0 and 1")
    return cast(Num, np.interp(state, _column("acid_state", "state"), _column("acid_state", "least")))


def freezing_point(density: Num) -> Num:
    """Temperature at which battery acid of a specific gravity freezes, in [K].

    Raises
    ------
    ValueError
        Outside the table's 1.050 to 1.280.

    Examples
    --------
    >>> float(freezing_point(1.15)) - 273.15
    -15.0
    """
    table, celsius = _column("acid", "density"), _column("acid", "celsius")
    refuse_if(
        _outside(density, table[0], table[-1]),
        "the table of freezing acid runs from a specific gravity of 1.050 to 1.280",
    )
    return cast(Num, 273.15 + np.interp(density, table, celsius))


def fresh_air(n: Num, Q: Num, gas: Num) -> Num:
    r"""Fresh air that carries off the gas of a lead-acid bank.

    .. math:: Q_{air} = 0.05\, n\, I_{gas}\, C \cdot 10^{-3} \text{ m}^3/\text{h}

    Parameters
    ----------
    n : float or array, shape (...,)
        Cells in series.
    Q : float or array, shape (...,)
        Capacity of the bank, all its strings together. [A s]
    gas : float or array, shape (...,)
        Current that makes gas, for each ampere-hour. [mA/Ah]

    Returns
    -------
    q : float or array, shape (...,)
        Flow of air. [m3/s]

    Notes
    -----
    Keeps hydrogen at a fifth of the 4 % from which it explodes: 0.05 is 24 parts of air, times 0.42e-3 m3/h of
    hydrogen for an ampere, times five.

    Examples
    --------
    24 cells of 200 Ah at 20 mA/Ah: 4.8 m3 an hour.

    >>> fresh_air(24, 200 * 3600.0, 20.0) * 3600
    4.8

    References
    ----------
    .. [1] EN 50272-2 (now EN IEC 62485-2), ventilation of battery rooms, read in reproductions.
    """
    return 0.05 * n * gas * (Q / 3600.0) * 1e-3 / 3600.0


def fresh_air_unheld(n: Num, I: Num) -> Num:
    r"""Fresh air that carries off the gas of a full lead-acid bank whose voltage nothing holds.

    .. math:: Q_{air} = 0.05\, n\, I \text{ m}^3/\text{h}

    Parameters
    ----------
    n : float or array, shape (...,)
        Cells in series.
    I : float or array, shape (...,)
        Charging current, all of which makes gas once the bank is full. [A]

    Returns
    -------
    q : float or array, shape (...,)
        Flow of air. [m3/s]

    Examples
    --------
    10 A into 6 full cells: 3 m3 an hour, five times what a charger that holds the voltage asks of 100 Ah.

    >>> fresh_air_unheld(6, 10.0) * 3600
    3.0

    References
    ----------
    .. [1] The formula of EN 50272-2 with the whole current in place of the share that is left at a held voltage.
    """
    return 0.05 * n * I / 3600.0


def vent_area(q: Num) -> Num:
    """Free area of an inlet, and again of an outlet, that lets a flow of air ``q`` [m3/s] pass by itself, in [m2].

    By EN 50272-2, 28 cm2 for each m3/h, air at 0.1 m/s.

    Examples
    --------
    >>> vent_area(4.8 / 3600) * 1e4
    134.4
    """
    return 28e-4 * (q * 3600.0)
