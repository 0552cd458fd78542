"""Days as they are kept, and what can be told of them.

A day is kept as ``2026-01-12``, a moment in UTC as ``2026-01-12T21:40Z``, and what was said vaguely as its first and
last day, ``2023-03-01/2023-05-31``; beside it stands what was typed. How people write them is read in
:mod:`journal.book.spoken_days`. Days are the builder's own: those of the clock where the program runs.

Whoever compares two days takes :func:`earliest` or :func:`latest` of each, by which less is claimed where the vague one
leaves it open.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
#: Seasons by their first month, as meteorologists of the northern half of the world have them.
SEASONS = {"spring": 3, "summer": 6, "autumn": 9, "winter": 12}
#: How far about a day reaches to each side.
ABOUT = timedelta(days=4)
_VAGUE = re.compile(r"(\d{4}-\d\d-\d\d)/(\d{4}-\d\d-\d\d)")
_ONE = timedelta(days=1)
_story_day: ContextVar[date | None] = ContextVar("_story_day", default=None)


class Span(NamedTuple):
    """The days from a first to a last one."""

    first: date
    last: date


@contextmanager
def told_on(day: date) -> Iterator[None]:
    """Take a day for today, whatever the clock says: an invented story can be told in any year."""
    token = _story_day.set(day)
    try:
        yield
    finally:
        _story_day.reset(token)


def today() -> date:
    """The builder's day."""
    return _story_day.get() or datetime.now().astimezone().date()


def is_to_come(kept: str) -> bool:
    """Whether no part of a day, or a moment, has been yet."""
    if "T" in kept and _story_day.get() is None:
        return datetime.fromisoformat(kept.replace("Z", "+00:00")) > datetime.now(UTC)
    return earliest(kept) > today().isoformat()


def is_vague(kept: str) -> bool:
    """Whether it is known only between which days something was."""
    return span_of(kept) is not None


def span_of(kept: str) -> Span | None:
    """The first and the last day of what was said vaguely; None for a day or a moment.

    Examples
    --------
    >>> span_of("2023-03-01/2023-05-31").last.isoformat(), span_of("2023-03-14")
    ('2023-05-31', None)
    """
    match = _VAGUE.fullmatch(kept)
    if match is None:
        return None
    try:
        return Span(date.fromisoformat(match[1]), date.fromisoformat(match[2]))
    except ValueError:
        return None


def kept_as(span: Span) -> str:
    """How a span is kept; one of one day is that day."""
    first, last = (day.isoformat() for day in span)
    return first if first == last else f"{first}/{last}"


def _local(moment: str) -> datetime:
    return datetime.fromisoformat(moment.replace("Z", "+00:00")).astimezone()


def earliest(kept: str) -> str:
    """The first day that it can have been, ISO 8601; of a moment the builder's day: half past midnight is the new one.

    Examples
    --------
    >>> earliest("2023-03-01/2023-05-31"), latest("2023-03-01/2023-05-31"), latest("2023-03-14")
    ('2023-03-01', '2023-05-31', '2023-03-14')
    """
    if (span := span_of(kept)) is not None:
        return span.first.isoformat()
    return _local(kept).date().isoformat() if "T" in kept else kept


def latest(kept: str) -> str:
    """The last day that it can have been, as :func:`earliest`."""
    span = span_of(kept)
    return earliest(kept) if span is None else span.last.isoformat()


def middle(kept: str) -> str:
    """The day in the middle of what was said vaguely, ISO 8601; else the day itself.

    Examples
    --------
    >>> middle("2023-03-01/2023-03-31"), middle("2023-03-14")
    ('2023-03-16', '2023-03-14')
    """
    span = span_of(kept)
    return earliest(kept) if span is None else (span.first + (span.last - span.first) / 2).isoformat()


def order(kept: str) -> str:
    """By what days and moments are put in order: the builder's day and time, of a vague one the middle."""
    return f"{_local(kept):%Y-%m-%d %H:%M}" if "T" in kept else middle(kept)


def surely_before(one: str, other: str) -> bool:
    """Whether the first was before the second on whatever days both were; two moments are compared to the minute.

    Examples
    --------
    >>> surely_before("2023-03-14", "2023-03-01/2023-03-31"), surely_before("2023-02-28", "2023-03-01/2023-03-31")
    (False, True)
    """
    return one < other if "T" in one and "T" in other else latest(one) < earliest(other)


def surely_within(days: list[str]) -> tuple[str, str]:
    """Between which days several were: the same vague one where all have it, else the first and the last possible."""
    if len(set(days)) == 1 and is_vague(days[0]):
        return days[0], days[0]
    return min(map(earliest, days)), max(map(latest, days))


def day_text(kept: str | None) -> str:
    """A day, a moment in the builder's time, or a vague day as people say it.

    Examples
    --------
    >>> day_text("2023-03-14"), day_text("2023-03-01/2023-05-31"), day_text("2022-12-01/2023-02-28"), day_text(None)
    ('2023-03-14', 'spring 2023', 'winter 2022-23', '')
    """
    if not kept:
        return ""
    if (span := span_of(kept)) is not None:
        return span_text(span)
    return f"{_local(kept):%Y-%m-%d %H:%M}" if "T" in kept else kept


_ISO = re.compile(r"(\d{4})-(\d\d)-(\d\d)")


def day_in_words(kept: str | None) -> str:
    """A day, a moment or a vague day as people write it where they tell a story.

    Examples
    --------
    >>> day_in_words("2026-01-08"), day_in_words("2023-03-01/2023-05-31"), day_in_words("2023-03-01/2023-03-15")
    ('8 January 2026', 'spring 2023', '1 March 2023 to 15 March 2023')
    """
    return _ISO.sub(lambda m: f"{int(m[3])} {MONTHS[int(m[2]) - 1]} {m[1]}", day_text(kept))


def days_in_words(began: str, ended: str | None) -> str:
    """A day, or the first and last of several, as people write them.

    Examples
    --------
    >>> days_in_words("2025-10-19", "2025-11-09"), days_in_words("2026-01-08", None)
    ('19 October to 9 November 2025', '8 January 2026')
    """
    first, last = day_in_words(began), day_in_words(ended)
    if not last or first == last:
        return first
    year = last[-5:]
    if first.endswith(year) and not is_vague(began):
        first = first.removesuffix(year)
        month = last.removesuffix(year).partition(" ")[2]
        first = first.removesuffix(f" {month}") if month else first
    return f"{first} to {last}"


def told(kept: str | None, typed: str | None = None) -> str | dict[str, str | None] | None:
    """A day for scripts: as it is kept, or of a vague one what was typed and the first and last day.

    Examples
    --------
    >>> told("2023-03-14"), told("2023-03-01/2023-03-31", "March 2023")["latest"]
    ('2023-03-14', '2023-03-31')
    """
    if kept is None or not is_vague(kept):
        return kept
    return {"typed": typed or day_text(kept), "earliest": earliest(kept), "latest": latest(kept)}


def span_text(span: Span) -> str:
    """A vague day in the words by which :mod:`journal.book.spoken_days` reads the very same one.

    Examples
    --------
    >>> span_text(Span(date(2023, 3, 11), date(2023, 3, 20))), span_text(Span(date(2018, 7, 1), date(2020, 6, 30)))
    ('mid March 2023', 'about 2019')
    >>> span_text(Span(date(2023, 3, 1), date(2023, 3, 15)))
    '2023-03-01 to 2023-03-15'
    """
    first = span.first
    if span == year_span(first.year):
        return str(first.year)
    # What holds the span's middle is all that it can be called by.
    within = first + (span.last - first) / 2
    if span == about_year(within.year):
        return f"about {within.year}"
    for part in ("early", "mid", "late"):
        if span == part_of(part, year_span(first.year)):
            return f"{part} {first.year}"
        if span == part_of(part, month_span(first.year, first.month)):
            return f"{part} {MONTHS[first.month - 1]} {first.year}"
    for season, month in SEASONS.items():
        if first.month == month and span == season_span(season, first.year):
            return f"{season} {first.year}" + (f"-{(first.year + 1) % 100:02}" if month == 12 else "")
    month_text = f"{MONTHS[within.month - 1]} {within.year}"
    if span == month_span(within.year, within.month):
        return month_text
    if span == about_month(within.year, within.month):
        return f"about {month_text}"
    if span == Span(within - ABOUT, within + ABOUT):
        return f"about {within.isoformat()}"
    return f"{first.isoformat()} to {span.last.isoformat()}"


def month_span(year: int, month: int) -> Span:
    """A month."""
    then = date(year + month // 12, month % 12 + 1, 1)
    return Span(date(year, month, 1), then - _ONE)


def year_span(year: int) -> Span:
    """A year."""
    return Span(date(year, 1, 1), date(year, 12, 31))


def season_span(season: str, year: int) -> Span:
    """A season of three months, by the year in which it begins."""
    first = SEASONS[season]
    last = (year + 1, first - 10) if first > 10 else (year, first + 2)
    return Span(date(year, first, 1), month_span(*last).last)


def about_month(year: int, month: int) -> Span:
    """A month with half a month to each side."""
    span = month_span(year, month)
    return Span((span.first - _ONE).replace(day=16), (span.last + _ONE).replace(day=15))


def about_year(year: int) -> Span:
    """A year with half a year to each side."""
    return Span(date(year - 1, 7, 1), date(year + 1, 6, 30))


def part_of(part: str, span: Span) -> Span:
    """The early, mid or late part of a month (ten days, the last with the rest) or of a year (four months)."""
    place = ("early", "mid", "late").index(part)
    if span == year_span(span.first.year):
        year = span.first.year
        return Span(date(year, 4 * place + 1, 1), month_span(year, 4 * place + 4).last)
    first = span.first.replace(day=10 * place + 1)
    return Span(first, span.last if place == 2 else span.first.replace(day=10 * place + 10))
