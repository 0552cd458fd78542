"""A sheet for balancing: blades weighed, their moments, the order that leaves least, and weights for the rest."""

from __future__ import annotations

from dataclasses import dataclass

from calc.physics.blade import matching

#: What is too little to be added. [kg]
NOTHING = 5e-5


@dataclass(frozen=True, slots=True)
class WeighedBlade:
    """One blade: its name, mass [kg] and distance of its balance point [m]; None where that was not read."""

    name: str
    mass: float | None = None
    point: float | None = None

    @property
    def moment(self) -> float | None:
        """Mass times distance of the balance point, in [kg m]."""
        return None if self.mass is None or self.point is None else self.mass * self.point


@dataclass(frozen=True, slots=True)
class BalanceSheet:
    """What stands on the sheet.

    Parameters
    ----------
    rows : tuple of WeighedBlade
        Blades, blank ones to fill in among them.
    order : tuple of str
        Names once around, clockwise as it is fitted; empty where not all were weighed.
    left : float or None
        What that order leaves. [kg m]
    weights : tuple of float
        What each blade in that order needs at ``at`` to balance fully. [kg]
    at : float
        Radius of these weights. [m]
    """

    rows: tuple[WeighedBlade, ...]
    order: tuple[str, ...]
    left: float | None
    weights: tuple[float, ...]
    at: float


def balance_sheet(rows: tuple[WeighedBlade, ...], blades: int, at: float) -> BalanceSheet:
    """Fill in what can be computed of the blades that were weighed.

    Parameters
    ----------
    rows : tuple of WeighedBlade
        Blades that are known by name.
    blades : int
        How many the rotor has.
    at : float
        Radius at which weights could be fitted. [m]

    Raises
    ------
    ValueError
        As :func:`calc.physics.blade.matching.match`, where enough were weighed.

    Examples
    --------
    >>> set_ = (WeighedBlade("a", 1.00, 0.55), WeighedBlade("b", 1.02, 0.55), WeighedBlade("c", 1.01, 0.55))
    >>> made = balance_sheet(set_, 3, 0.2)
    >>> made.order, round(made.left, 5), [round(w, 4) for w in made.weights]
    (('a', 'b', 'c'), 0.00953, [0.055, 0.0, 0.0275])
    """
    known = [(row.name, row.moment) for row in rows if row.moment is not None]
    if len(known) < blades or blades < 2:
        blank = tuple(WeighedBlade("") for _ in range(max(blades + 1 - len(rows), 0)))
        return BalanceSheet((*rows, *blank), (), None, (), at)
    moments = [moment for _, moment in known]
    found = matching.match(moments, blades)
    fitted = [moments[i] for i in found.order]
    return BalanceSheet(
        rows, tuple(known[i][0] for i in found.order), found.unbalance, matching.weights(fitted, at), at
    )
