"""What people type that is no quantity of the catalogues: texts, words, days, shares, money, wind."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, timedelta
from typing import Any, TypeVar

from journal.book.history import now
from journal.book.plain_text import alike, clean_text
from journal.book.quantity import Wanted, is_beaufort, parse
from journal.errors import BadInput, nearest

_CURRENCY = re.compile(r"[A-Z]{3}")
_OUR_TIME = (1900, 2999)
D = TypeVar("D", bound=date)
_HEIGHT = Wanted("m", "m", 0.5, 200.0, "2 m")


def text(value: str | None, what: str, *, limit: int = 10_000) -> str | None:
    """A text, cleaned; None stays None."""
    return None if value is None else clean_text(value, what, limit=limit)


def word(value: str | None, words: tuple[str, ...], what: str) -> str | None:
    """One of a closed set of words; an unmistakable beginning is enough.

    Raises
    ------
    BadInput
        With the nearest right word and the whole set.
    """
    if value is None:
        return None
    typed = clean_text(value, what, limit=200).casefold()
    exact = [w for w in words if alike(w) == alike(value)]
    begun = exact or [w for w in words if w.casefold().startswith(typed) or alike(w).startswith(alike(value))]
    if len(begun) == 1:
        return begun[0]
    close = nearest(value, words)
    hint = f"Did you mean {close!r}? " if close else ""
    raise BadInput(f"{what}: {value!r} is not one of its words", f"{hint}Accepted: {'; '.join(words)}")


def when(value: str | None, what: str = "Date") -> str:
    """A day, or a moment as UTC, in ISO 8601; without one, today.

    Accepts 2026-01-12, "2026-01-12 21:40" in local time, today, yesterday and now.
    """
    typed = "today" if value is None else value.strip().casefold()
    today = _today()
    days = {"today": today, "yesterday": today - timedelta(days=1)}
    if typed in days:
        return days[typed].isoformat()
    if typed == "now":
        return now()
    try:
        if len(typed) <= 10:
            return _in_our_time(date.fromisoformat(typed)).isoformat()
        moment = _in_our_time(datetime.fromisoformat(typed.upper()))
        return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%MZ")
    except (ValueError, OverflowError):
        raise BadInput(
            f"{what}: {value!r} is not a date",
            'Accepted: 2026-01-12, "2026-01-12 21:40", today, yesterday, now',
        ) from None


def _in_our_time(day: D) -> D:
    """A day or a moment, if somebody could have written it down who builds wind generators.

    Raises
    ------
    ValueError
        If it is none of these centuries: it was mistyped, and in the first and the last year of the calendar there is
        no other time zone.
    """
    if not _OUR_TIME[0] <= day.year <= _OUR_TIME[1]:
        raise ValueError("not in our time")
    return day


def day_of(moment: str) -> str:
    """The builder's day of a day or of a moment in UTC, ISO 8601: half past midnight belongs to the day begun."""
    if "T" not in moment:
        return moment
    return datetime.fromisoformat(moment.replace("Z", "+00:00")).astimezone().date().isoformat()


#: Days for which the calendars of two places on earth can differ.
_TIME_ZONES = timedelta(days=1)
_story_day: ContextVar[date | None] = ContextVar("_story_day", default=None)


@contextmanager
def told_on(day: date) -> Iterator[None]:
    """Take a day for today, whatever the clock says: an invented story can be told in any year."""
    token = _story_day.set(day)
    try:
        yield
    finally:
        _story_day.reset(token)


def _today() -> date:
    return _story_day.get() or datetime.now().astimezone().date()


def past(value: str | None, what: str = "Date") -> str:
    """As :func:`when`, of something that has happened.

    Raises
    ------
    BadInput
        If the day is yet to come.
    """
    found = when(value, what)
    if day_of(found) > (_today() + _TIME_ZONES).isoformat():
        raise BadInput(f"{what}: {value!r} is yet to come", "Accepted: today, or a day that has been")
    return found


def in_order(began: str, ended: str | None) -> None:
    """Hold that nothing ends before it begins; a day and a moment are compared as the builder's days.

    Raises
    ------
    BadInput
        If it does.
    """
    if ended is None:
        return
    both_moments = "T" in began and "T" in ended
    if ended < began if both_moments else day_of(ended) < day_of(began):
        raise BadInput(f"It ended ({ended}) before it began ({began})", "Give the dates in order")


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
    """A share typed as 0.7 or 70 %."""
    if value is None:
        return None
    typed = str(value).strip()
    try:
        number = float(typed.rstrip("% ")) / (100 if typed.endswith("%") else 1)
    except ValueError:
        number = float("nan")
    if not 0 <= number <= 1:
        raise BadInput(f"{what}: {value!r} is not a share", "Accepted: 0 to 1, or 0 % to 100 %")
    return number


def money(cost: str | None, currency: str | None) -> dict[str, Any]:
    """A cost with its currency, such as ``30`` and ``EUR``, or ``30 EUR`` in one."""
    if cost is None:
        return {}
    amount, _, unit = cost.strip().partition(" ")
    code = (unit or currency or "").strip().upper()
    try:
        number = float(amount)
    except ValueError:
        number = float("nan")
    if not 0 <= number < 1e9:
        raise BadInput(f"Cost: {cost!r} is not an amount", 'Type it like "30 EUR"')
    if not _CURRENCY.fullmatch(code):
        raise BadInput(f"Cost: {cost!r} has no currency", 'Type it like "30 EUR", with a three-letter code of ISO 4217')
    return {"cost": number, "currency": code}
