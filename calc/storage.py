"""The battery: cells, charge voltage, and how long it carries the loads."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import cast

import numpy as np

from calc.tables import read
from calc.units import Num

#: Power of a dump load over that of the source (NEC 2017, 706.23(B)(2)).
DIVERSION = 1.5


@dataclass(frozen=True, slots=True)
class Cell:
    """One kind of cell; see ``calc/tables/cells.csv`` for the meaning and standing of each number."""

    nominal: float
    resting: float
    lowest: float
    charge_low: float
    charge_high: float
    rate: float
    usable: float
    drift: float
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
    row = next(row for row in read("cells") if row["chemistry"] == chemistry)
    names = ("nominal", "resting", "lowest", "charge_low", "charge_high", "rate", "usable", "drift")
    numbers = {name: float(row[name]) for name in names}
    return Cell(**numbers, standing=row["standing"], others=row["others"])


def cells_in_series(V: Num, chemistry: str) -> Num:
    """Cells in series in a bank of nominal voltage ``V`` [V].

    LiFePO4 banks are sold as 12, 24, 36 and 48 V with 4, 8, 12 and 16 cells of 3.2 V, so from 9 V they are
    counted in fours; 15 cells are not recognised.

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
    if np.any(np.asarray(P) <= 0):
        raise ValueError("the mean power must be positive")
    return Q * V * share / P


def capacity_for(t: Num, V: Num, share: Num, P: Num) -> Num:
    """Capacity that carries the mean power ``P`` for the time ``t``, reversing :func:`autonomy`, in [A s].

    Examples
    --------
    >>> capacity_for(3 * 86400.0, 24.0, 0.5, 1000 / 24) / 3600
    250.0
    """
    return t * P / (V * share)
