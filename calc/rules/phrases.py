"""Sentences that several rules or mechanisms say alike."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from calc.machine.entry import Entry
from calc.machine.inputs import Inputs
from calc.machine.validity import FAST_TIPS, extremes
from calc.physics import loads
from calc.units import Num, digits, show
from calc.wording import number_of

THROWN = (
    "A rotor that runs away throws its blades, and a piece can fly further than the mast is tall many times "
    "over. Keep people and animals out of its reach, and never go near a rotor that is running away."
)

#: Of whatever fills a battery.
OVERCHARGED = (
    "An overcharged lead battery gives off gas that explodes; an overcharged lithium battery can burn. Keep "
    "the room ventilated, and never unload a rotor whose speed nothing else limits."
)

#: Of lithium cells.
FIRE = (
    "A lithium battery that fails burns for hours, reignites, and its smoke is poisonous. Keep it away from "
    "where people sleep and from ways out; the fire service and local rules have the last word."
)

ELECTRICIAN = "Local rules come first; a licensed electrician has the last word."

NO_DRIVE = (
    "Blades of this shape, set at this angle, give no power at any speed: the air pushes them backwards over most of "
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


def gust_words(V: Num) -> str:
    """A wind of three seconds, told apart from the storm's mean.

    Examples
    --------
    >>> gust_words(42.0)
    'a gust of 42 m/s'
    """
    return f"a gust of {show(V, 'm/s')}"


def beyond(x: Inputs, V: Num, omega: Num) -> str:
    """A sentence, with a space ahead of it, where a rotor's speed [rad/s] lies outside the tables of sections."""
    found = extremes(x, V, omega)
    fast = f" Tips pass Mach {FAST_TIPS:g}, where the air holds them back more: an upper figure." if found.fast else ""
    if not found.outside:
        return fast
    most = found.reynolds > found.most
    end = show((found.most if most else found.least) / 1e6, "", 2)
    way = "reach" if most else "fall to"
    reached = show(found.reynolds / 1e6, "", 2)
    return f"{fast} Reynolds numbers {way} {reached} million, past the end of the sections' table ({end} million)."


def inside(text: str) -> str:
    """A meaning or a title as it stands inside a sentence; abbreviations such as PIV keep their capitals.

    Examples
    --------
    >>> inside("Greatest reverse voltage of the rectifier (PIV)")
    'greatest reverse voltage of the rectifier (PIV)'
    >>> inside("AC voltage between two leads")
    'AC voltage between two leads'
    """
    return text if text[1:2].isupper() else text[0].lower() + text[1:]


def not_stated(missing: Iterable[Entry[Any]]) -> str:
    """What the sheet does not say, each with its name; one article serves for things in a row, a question has none."""
    said, article = [], "the "
    for e in missing:
        text = inside(e.meaning)
        question = text.split()[0] in ("what", "where", "whether", "how")
        said.append(f"{'' if question else article}{text} ({e.full})")
        article = "the " if question else ""
    return "the sheet does not say " + ", ".join(said)


def life_words(years: float) -> str:
    """How long something lasts that is known within a factor of tens.

    Examples
    --------
    >>> life_words(0.001), life_words(3.21), life_words(1e6)
    ('days', '3.2 years', 'over 1000 years')
    """
    return "over 1000 years" if years > 1000 else "days" if years < 0.02 else number_of(float(digits(years, 2)), "year")
