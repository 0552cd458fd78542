"""The catalogue of how such machines fail: one file a family; this is where they come together.

The order is that in which mechanisms for which as much speaks stand on screens.
"""

from __future__ import annotations

from calc.mechanisms import (
    banks,
    charging,
    generating,
    inverting,
    reading,
    siting,
    storing,
    strength,
    turning,
    windings,
)
from calc.mechanisms.base import Mechanism

ALL: tuple[Mechanism, ...] = (
    *charging.MECHANISMS,
    *siting.MECHANISMS,
    *generating.MECHANISMS,
    *windings.MECHANISMS,
    *turning.MECHANISMS,
    *strength.MECHANISMS,
    *storing.MECHANISMS,
    *banks.MECHANISMS,
    *inverting.MECHANISMS,
    *reading.MECHANISMS,
)

MECHANISMS: dict[str, Mechanism] = {m.id: m for m in ALL}


def explaining(symptoms: tuple[str, ...]) -> list[Mechanism]:
    """Mechanisms that explain any of some symptoms.

    Examples
    --------
    >>> [m.id for m in explaining(("shock or a line that should be dead",))]
    ['generator.earthed', 'house.back-feed']
    """
    return [m for m in ALL if set(m.symptoms) & set(symptoms)]
