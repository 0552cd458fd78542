"""Risk of a hazard from its severity and probability, after MIL-STD-882E, 11 May 2012, Table III; from memory."""

from __future__ import annotations

_MATRIX = {
    "A": ("High", "High", "Serious", "Medium"),
    "B": ("High", "High", "Serious", "Medium"),
    "C": ("High", "Serious", "Medium", "Low"),
    "D": ("Serious", "Medium", "Medium", "Low"),
    "E": ("Medium", "Medium", "Medium", "Low"),
    "F": ("Eliminated", "Eliminated", "Eliminated", "Eliminated"),
}


def risk_of_hazard(severity: int, probability: str) -> str:
    """Risk of a cell of the matrix: High, Serious, Medium, Low or Eliminated.

    Parameters
    ----------
    severity : int
        Category, 1 (worst) to 4.
    probability : str
        Level, A (often) to F (cannot any more).

    Raises
    ------
    ValueError
        If there is no such cell.

    Examples
    --------
    >>> risk_of_hazard(1, "D")
    'Serious'
    """
    if severity not in (1, 2, 3, 4) or probability not in _MATRIX:
        raise ValueError("severity runs from 1 to 4, probability from A to F")
    return _MATRIX[probability][severity - 1]


def risk_code(severity: int, probability: str) -> str:
    """Risk code of the standard.

    Examples
    --------
    >>> risk_code(1, "D")
    '1D'
    """
    risk_of_hazard(severity, probability)
    return f"{severity}{probability}"
