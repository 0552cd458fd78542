"""Sentences that several rules or mechanisms say alike."""

from __future__ import annotations

from calc.physics import loads
from calc.units import Num, show

THROWN = (
    "A rotor that runs away throws its blades, and a piece can fly further than the mast is tall many times "
    "over. Keep people and animals out of its reach, and never go near a rotor that is running away."
)


NO_DRIVE = (
    "Blades of this shape, set at this angle, drive nothing at any speed: the air pushes them backwards over most of "
    "their length."
)


#: The household that yearly sums are compared with, and its source.
HOUSEHOLD = "an average dwelling in the European Union"


def household_words(E: Num, household: str = HOUSEHOLD) -> str:
    """Plain comparison of a yearly energy [J] with what a household uses.

    Examples
    --------
    >>> household_words(360 * 3.6e6)
    '10 % of the 3600 kWh a year that an average dwelling in the European Union uses'
    """
    return (
        f"{show(loads.household_share(E, household), '%', 2)} of the {show(loads.households()[household], 'kWh')} a "
        f"year that {household} uses"
    )
