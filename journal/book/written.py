"""What people type that is no quantity of the catalogues: texts, words, days, shares, money, wind."""

from __future__ import annotations

import re
from typing import Any

from journal.book import spoken_days
from journal.book.choosing import word as word
from journal.book.coins import read_money
from journal.book.days import day_text, is_to_come, surely_before, today
from journal.book.plain_quantity import Wanted, is_beaufort
from journal.book.plain_text import clean_text
from journal.book.quantity import parse
from journal.errors import BadInput

_SHARE = re.compile(r"([0-9]{1,9}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})\s*(%|percent|per cent|in 100)?", re.IGNORECASE)
_HEIGHT = Wanted("m", "m", 0.5, 200.0, "2 m")


def text(value: str | None, what: str, *, limit: int = 10_000) -> str | None:
    """A text, cleaned; None stays None."""
    return None if value is None else clean_text(value, what, limit=limit)


def when(value: str | None, what: str = "Date") -> str:
    """A day, a moment as UTC or a vague day, as :mod:`journal.book.days` keeps them; without one, today.

    It may be yet to come; then it needs its year.
    """
    return today().isoformat() if value is None else spoken_days.read(value, what, ahead=True)


def past(value: str | None, what: str = "Date") -> str:
    """As :func:`when`, of something that has happened: without its year, the latest that has been.

    Raises
    ------
    BadInput
        If all of it is yet to come.
    """
    if value is None:
        return today().isoformat()
    found = spoken_days.read(value, what)
    if is_to_come(found):
        raise spoken_days.to_come(value, what)
    return found


def in_order(began: str, ended: str | None) -> None:
    """Hold that nothing ends before it begins; a day and a moment are compared as the builder's days.

    Raises
    ------
    BadInput
        If it surely does.
    """
    if ended is not None and surely_before(ended, began):
        raise BadInput(f"It ended ({day_text(ended)}) before it began ({day_text(began)})", "Give the dates in order")


def read_wind(value: str | None, height: str | None = None) -> dict[str, Any]:
    """Wind as typed, with its limits (``Bft 5``, ``6 to 8 m/s``, ``9 m/s``) and the height at which it blew.

    A Beaufort number holds at 10 m by its definition; any other wind of no height is that at the rotor.
    """
    if value is None:
        if height is not None:
            raise BadInput("A height was given but no wind", 'Add --wind, like --wind "6 m/s"')
        return {}
    from calc.quantities import QUANTITIES

    reading = parse(value, QUANTITIES["wind.speed"], "Wind")
    low = reading.value if reading.low is None else reading.low
    high = reading.value if reading.high is None else reading.high
    above = 10.0 if is_beaufort(value) else None
    if height is not None:
        above = read_wind_height(height)
    return {"wind": reading.typed, "wind_low": low, "wind_high": high, "wind_height": above}


def read_wind_height(typed: str) -> float:
    """Metres above ground from a text such as ``2 m``."""
    return parse(typed, _HEIGHT, "Height of the wind").value


def share(value: str | float | None, what: str) -> float | None:
    """A share typed as 0.7, 70 % or 70; above 1 it is one of a hundred.

    Raises
    ------
    BadInput
        If it is none; how sure one is is told in numbers.
    """
    if value is None:
        return None
    typed = re.sub(r"(?<=\d),(?=\d)", ".", str(value).strip())
    match = _SHARE.fullmatch(typed)
    number = float(match[1]) if match else float("nan")
    # Whole numbers above 1 are of a hundred; 1.1 is a slip of whoever meant one or the other.
    if match and (match[2] or (number > 1 and match[1].isdigit())):
        number /= 100
    if not 0 <= number <= 1:
        raise BadInput(f"{what}: {value!r} is not a share", "Accepted: 60 %, 60 or 0.6; 0 to 100 %")
    return number


def money(cost: str | None, currency: str | None) -> dict[str, Any]:
    """A cost with its currency, such as ``30`` and ``EUR``, or ``30 EUR`` in one."""
    if cost is None:
        return {}
    number, code = read_money(cost, currency)
    return {"cost": number, "currency": code}
