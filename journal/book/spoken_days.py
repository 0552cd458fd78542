"""Days as people write them: a small grammar of our own, in which nothing has two meanings.

Here the time of day is told from the day; the day is read by :mod:`journal.book.day_grammar`.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, time

from journal.book import days, spoken_calendar
from journal.book.day_grammar import ACCEPTED, OUR_TIME, Grammar, NoDateError
from journal.book.day_grammar import TwoDays as TwoDays
from journal.book.day_grammar import monthly as monthly
from journal.book.plain_text import harmless
from journal.errors import BadInput

#: What is longer is no date.
_LONGEST = 80

_MOMENT = re.compile(r"\d{4}-\d\d-\d\d[ t]\d.*")
_CLOCK = r"(\d{1,2})(?::(\d\d)|\.(\d\d)(?= ?[ap]))?(?::\d\d)? ?([ap])?\.?(?:m\b\.?)?"
_AT_END = re.compile(rf"(?:(.*) )?{_CLOCK}")
_AT_BEGIN = re.compile(rf"{_CLOCK} (.*)")
_CHOSEN = re.compile(r"(.{1,80}?) = (.{1,80})")
_ORDINAL = re.compile(r"\b(\d{1,2})(?:st|nd|rd|th)\b")
#: The day of a month alone is told from a count by its ending.
_THE_DAY = re.compile(r"^(?:on )?(?:the )?(\d{1,2})(?:st|nd|rd|th)$")
_FILLERS = re.compile(r"[,]| (?:of|on|at|in|the)(?= )|^(?:on|at|in|the) ")


def read(typed: str, what: str = "Date", *, ahead: bool = False) -> str:
    """A day, a moment as UTC or a vague day as it is kept, from what somebody typed.

    Parameters
    ----------
    ahead : bool
        Whether it may be yet to come; then a day needs its year.

    Raises
    ------
    BadInput
        If it is no date; :class:`TwoDays` if it can be two.
    """
    given = " ".join(typed.split())
    if (match := _CHOSEN.fullmatch(given)) is not None:
        return _chosen(match[1], match[2], what, ahead)
    plain = _plain(given) if len(given) <= _LONGEST else ""
    if not ahead and spoken_calendar.is_yet(given):
        raise to_come(given, what)
    no_date = BadInput(f"{what}: {harmless(given)!r} is not a date", ACCEPTED)
    try:
        return _read_plain(plain, what, given, ahead)
    except (ValueError, OverflowError):
        right = spoken_calendar.spelt_right(plain)
    try:
        # What was kept is told by whoever asked.
        return _read_plain(right, what, given, ahead)
    except (ValueError, OverflowError):
        raise no_date from None


def to_come(given: str, what: str) -> BadInput:
    """What is said where something that has happened is yet to come."""
    return BadInput(
        f"{what}: {harmless(given)!r} is yet to come", "Accepted: today, or a day that has been; none in the future"
    )


def _read_plain(plain: str, what: str, given: str, ahead: bool) -> str:
    if not plain or len(plain) > _LONGEST:
        raise NoDateError
    return _in_our_time(_moment(plain, ahead) or _with_time(plain, what, given, ahead))


def _chosen(typed: str, chosen: str, what: str, ahead: bool) -> str:
    """What can be two days, with the one behind it that is meant: as it is kept after somebody was asked."""
    try:
        found = read(typed, what, ahead=ahead)
    except TwoDays as e:
        if chosen in e.readings.values():
            return read(chosen, what, ahead=ahead)
        raise
    raise BadInput(f"{what}: {harmless(typed)!r} is {days.day_text(found)}", "Type one of them")


def _plain(given: str) -> str:
    """Small letters without fillers, ordinals and stops of abbreviations."""
    text = _THE_DAY.sub(r"day \1", given.casefold().replace("’", "'"))
    text = _ORDINAL.sub(r"\1", text)
    text = re.sub(r"\bnoon\b", "12:00", text)
    text = re.sub(r"\b([^\W\d_]{3,6})\.(?= |$)", r"\1", text)
    text = re.sub(r"^(?:about|around|circa|ca\.?|c\.|approximately|approx|roughly|~) ?(?=\S)", "about ", text)
    text = re.sub(r"^(?!about )(.*\S) ?(?:or so|or thereabouts|roughly|approx)$", r"about \1", text)
    text = " ".join(_FILLERS.sub(" ", text).split())
    about = "about " if text.startswith("about ") else ""
    return text if _MOMENT.fullmatch(text) else about + spoken_calendar.told_plainly(text.removeprefix(about))


def _in_our_time(kept: str) -> str:
    for year in (kept[:4], days.latest(kept)[:4]):
        if not OUR_TIME[0] <= int(year) <= OUR_TIME[1]:
            raise NoDateError
    return kept


def _moment(plain: str, ahead: bool) -> str | None:
    """A moment in ISO 8601, or now."""
    if plain == "now":
        return f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"
    if _MOMENT.fullmatch(plain) is None:
        return None
    try:
        return _in_utc(datetime.fromisoformat(plain.upper()))
    except ValueError:
        return None


def _in_utc(moment: datetime) -> str:
    if not OUR_TIME[0] <= moment.year <= OUR_TIME[1]:
        raise NoDateError
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%MZ")


def _with_time(plain: str, what: str, given: str, ahead: bool) -> str:
    """A day, with the time of day where one stands behind or before it; a time alone is of today."""
    grammar = Grammar(what, given, ahead)
    for pattern, day_group, clock in ((_AT_END, 1, 2), (_AT_BEGIN, 5, 1)):
        match = pattern.fullmatch(plain)
        at = _time(match.groups()[clock - 1 : clock + 3]) if match else None
        if match is None or at is None:
            continue
        span = grammar.span(match[day_group] or "today")
        if span.first != span.last:
            raise BadInput(f"{what}: {given!r} has a time but no day that is known", 'Type it like "2023-03-14 9:30"')
        return _in_utc(datetime.combine(span.first, at))
    return days.kept_as(grammar.span(plain))


def _time(parts: tuple[str | None, ...]) -> time | None:
    hour, minute, dotted, half = parts
    minute = minute or dotted
    if hour is None or (minute is None and half is None):
        return None
    if half is None:
        return time(int(hour), int(minute or 0))
    if not 1 <= int(hour) <= 12:
        raise NoDateError
    return time(int(hour) % 12 + (12 if half == "p" else 0), int(minute or 0))
