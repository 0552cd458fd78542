"""Severity, probability and risk of a hazard, after MIL-STD-882E, with money scaled to a hobby.

The words on injury are those of the standard in our own words. Its bands of money, from 100,000 dollars up, mean
nothing in a shed: the bands here are a proposal of our own, in whatever money the builder counts.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc.finding import Source

STANDARD = Source("MIL-STD-882E, 11 May 2012", "Tables I to III, Appendix A", "from memory")
#: Least loss of categories 1, 2 and 3, in the builder's money. Own proposal, no source.
MONEY = (10_000.0, 1_000.0, 100.0)


@dataclass(frozen=True, slots=True)
class Category:
    """A severity category: its number, name, and the injury that puts a mishap there."""

    number: int
    name: str
    injury: str


CATEGORIES = (
    Category(1, "Catastrophic", "death, or a disability that is total and lasts"),
    Category(2, "Critical", "a disability that is partial and lasts, or three or more people in hospital"),
    Category(3, "Marginal", "an injury that costs a day of work or more"),
    Category(4, "Negligible", "an injury that costs no day of work, or none"),
)

#: Probability levels: name, and for one item over its life the least probability. Example bands, not mandatory.
LEVELS: dict[str, tuple[str, str, float | None]] = {
    "A": ("Frequent", "often in its life", 1e-1),
    "B": ("Probable", "several times in its life", 1e-2),
    "C": ("Occasional", "some time in its life", 1e-3),
    "D": ("Remote", "unlikely, but possible", 1e-6),
    "E": ("Improbable", "assumed not to happen", 0.0),
    "F": ("Eliminated", "the hazard is no longer there", None),
}

_MATRIX = {
    "A": ("High", "High", "Serious", "Medium"),
    "B": ("High", "High", "Serious", "Medium"),
    "C": ("High", "Serious", "Medium", "Low"),
    "D": ("Serious", "Medium", "Medium", "Low"),
    "E": ("Medium", "Medium", "Medium", "Low"),
    "F": ("Eliminated", "Eliminated", "Eliminated", "Eliminated"),
}

#: Ways to meet a hazard, the best first; only the first can make it be gone.
MEASURES = (
    "eliminated by design",
    "reduced by design",
    "device that acts by itself",
    "device that warns",
    "signs, training or protective gear",
)


def category(injury: int | None = None, loss: float | None = None) -> int:
    """Severity category of a mishap: the worse of injury and loss.

    Parameters
    ----------
    injury : int, optional
        Category of the injury, see :data:`CATEGORIES`.
    loss : float, optional
        What it cost, in the builder's money, by :data:`MONEY`.

    Returns
    -------
    number : int
        1 is the worst.

    Raises
    ------
    ValueError
        If neither is known, the category is none, or the loss is negative.

    Examples
    --------
    >>> category(injury=4, loss=2500.0), category(loss=40.0)
    (2, 4)
    """
    if injury is None and loss is None:
        raise ValueError("neither injury nor loss is known")
    if injury is not None and injury not in (1, 2, 3, 4):
        raise ValueError("severity categories run from 1 (worst) to 4")
    if loss is not None and not loss >= 0:
        raise ValueError("a loss is not negative")
    by_money = 4 if loss is None else next((i for i, least in enumerate(MONEY, 1) if loss >= least), 4)
    return min(by_money, injury or 4)


def level(p: float) -> str:
    """Probability level of a mishap over the life of one item, by the example bands; never F.

    Raises
    ------
    ValueError
        If it is no probability.

    Examples
    --------
    >>> level(0.02), level(1e-6), level(0.0)
    ('B', 'D', 'E')
    """
    if not 0 <= p <= 1:
        raise ValueError("a probability lies between 0 and 1")
    return next(key for key, (_, _, least) in LEVELS.items() if least is not None and p >= least)


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


def reduced(before: str, after: str, measure: str) -> str:
    """Probability level that a measure may be claimed to reach.

    Parameters
    ----------
    before, after : str
        Levels before and as claimed.
    measure : str
        One of :data:`MEASURES`.

    Returns
    -------
    level : str
        The claimed one.

    Raises
    ------
    ValueError
        If Eliminated is claimed by anything but a design in which the hazard is gone, or the words are unknown.

    Examples
    --------
    >>> reduced("B", "D", "device that acts by itself")
    'D'
    """
    if before not in LEVELS or after not in LEVELS or measure not in MEASURES:
        raise ValueError("levels run from A to F, measures are those of MEASURES")
    if after == "F" and before != "F" and measure != MEASURES[0]:
        raise ValueError(f"{measure} does not eliminate a hazard; only a design without it does")
    return after
