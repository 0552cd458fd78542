"""Severity, probability and risk of a hazard, after MIL-STD-882E, with money scaled to a hobby.

The words on injury are those of the standard in our own words. Its bands of money, from 100,000 dollars up, mean
nothing in a shed: the bands here are a proposal of our own, in whatever money the builder counts.
"""

from __future__ import annotations

_MATRIX = {
    "A": ("High", "High", "Serious", "Medium"),
    "B": ("High", "High", "Serious", "Medium"),
    "C": ("High", "Serious", "Medium", "Low"),
    "D": ("Serious", "Medium", "Medium", "Low"),
    "E": ("Medium", "Medium", "Medium", "Low"),
    "F": ("Eliminated", "Eliminated", "Eliminated", "Eliminated"),
}


def risk(severity: int, probability: str) -> str:
    """Risk of a cell of the matrix: High, Serious, Medium, Low or Eliminated.

    Raises
    ------
    ValueError
        If there is no such cell.

    Examples
    --------
    >>> risk(1, "D")
    'Serious'
    """
    if severity not in (1, 2, 3, 4) or probability not in _MATRIX:
        raise ValueError("severity runs from 1 to 4, probability from A to F")
    return _MATRIX[probability][severity - 1]


def code(severity: int, probability: str) -> str:
    """Risk code, such as ``1D``."""
    risk(severity, probability)
    return f"{severity}{probability}"
