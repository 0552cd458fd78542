"""Days, winds and money of the records as a person would say them, on screens and in write-ups alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calc.units import show
from journal.book.quantity import is_beaufort
from journal.book.tables import Attempt, Measurement

if TYPE_CHECKING:
    from calc.machine.system import Sampling


def day_text(moment: str | None) -> str:
    """A date or UTC time, in local time."""
    from datetime import datetime

    if not moment:
        return ""
    if "T" not in moment:
        return moment
    return datetime.fromisoformat(moment.replace("Z", "+00:00")).astimezone().strftime("%Y-%m-%d %H:%M")


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


def lower_first(text: str) -> str:
    """A title within a sentence; an abbreviation such as LiFePO4 keeps its capitals.

    Examples
    --------
    >>> lower_first("What stops the rotor"), lower_first("LiFePO4 cells"), lower_first("F2"), lower_first("A roar")
    ('what stops the rotor', 'LiFePO4 cells', 'F2', 'a roar')
    """
    first = text.partition(" ")[0]
    return text[:1].lower() + text[1:] if first == "A" or first[1:].islower() else text
