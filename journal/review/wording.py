"""Days, winds and money of the records as a person would say them, on screens and in write-ups alike."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from calc.units import UPSIDE_DOWN, show, to_shown
from journal.book.days import day_text as day_text
from journal.book.plain_quantity import is_beaufort
from journal.book.tables import Attempt, Measurement, PartUse

if TYPE_CHECKING:
    from calc.machine.system import KeyFigure, Sampling


def days_text(began: str, ended: str | None) -> str:
    """A day, or the first and last of several."""
    return day_text(began) if not ended or ended == began else f"{day_text(began)} to {day_text(ended)}"


def wind_text(record: Attempt | Measurement) -> str:
    """Wind as typed, with its limits in m/s."""
    if record.wind is None or record.wind_low is None or record.wind_high is None:
        return ""
    if record.wind_low == record.wind_high:
        limits = show(record.wind_low, "m/s")
    else:
        limits = f"{show(record.wind_low, '')} to {show(record.wind_high, 'm/s')}"
    if record.wind_height is not None and not is_beaufort(record.wind):
        limits += f", {show(record.wind_height, 'm')} above ground"
    same = record.wind.replace(" ", "") == limits.replace(" ", "")
    return record.wind if same else f"{record.wind} ({limits})"


def cost_text(costs: dict[str, float]) -> str:
    """Money by currency, such as ``120 EUR and 10 GBP``."""
    return " and ".join(f"{amount:.2f}".rstrip("0").rstrip(".") + f" {currency}" for currency, amount in costs.items())


def sampling_text(sampling: Sampling | None) -> str:
    """How many of the ways in which the doubtful values could turn out cannot exist; empty where all can."""
    if sampling is None or sampling.left == sampling.drawn:
        return ""
    gone = f"{sampling.drawn - sampling.left} of {sampling.drawn} ways in which your values could turn out"
    why = sampling.why.partition(": ")[2] or sampling.why
    if not sampling.enough:
        return f"No range is known: {gone} cannot be computed ({why}). Measure the blades, or state their doubt."
    return f"Left out of the ranges: {gone} cannot be computed ({why})."


def fitted_text(use: PartUse) -> str:
    """Who fitted a part and when, as far as that was said."""
    day = day_text(use.fitted_on) if use.fitted_on else ""
    by = f"by {use.fitted_by}" if use.fitted_by else ""
    return f"fitted {', '.join(filter(None, [by, day]))}" if by or day else ""


def range_text(low: float, high: float, unit: str, figures: int = 2) -> str:
    """A range with its unit once, from small to great as shown; one number where both ends are shown alike.

    Examples
    --------
    >>> range_text(3.2, 4.6, "m/s"), range_text(1.0, 1.0, "%"), range_text(4.0, math.inf, "m/s")
    ('3.2 to 4.6 m/s', '100 %', '4 m/s to never')
    """
    ends = ["never" if math.isinf(v) else show(v, unit, figures) for v in (low, high)]
    if unit == UPSIDE_DOWN:
        ends.reverse()
    if ends[0] == ends[1]:
        return ends[0]
    return f"{ends[0].removesuffix(f' {unit}') if 'never' not in ends else ends[0]} to {ends[1]}"


def figure_data(f: KeyFigure) -> dict[str, Any]:
    """A figure with its numbers in the unit that it names."""
    value, low, high = (float(to_shown(v, f.unit)) for v in (f.value, f.low, f.high))
    return {"name": f.name, "meaning": f.meaning, "value": value, "low": low, "high": high, "unit": f.unit}


def lower_first(text: str) -> str:
    """A title within a sentence; an abbreviation such as LiFePO4 keeps its capitals.

    Examples
    --------
    >>> lower_first("What stops the rotor"), lower_first("LiFePO4 cells"), lower_first("F2"), lower_first("A roar")
    ('what stops the rotor', 'LiFePO4 cells', 'F2', 'a roar')
    >>> lower_first("Back-EMF constant")
    'back-EMF constant'
    """
    first = text.partition(" ")[0].partition("-")[0]
    return text[:1].lower() + text[1:] if first == "A" or first[1:].islower() else text
