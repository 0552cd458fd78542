"""The grammar of days without a time: numbers, months by name, seasons, what is told from today.

What could be two days is :class:`TwoDays`, which names both. A day without its year is the latest one that has been.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date, timedelta

from journal.book import days, spoken_calendar
from journal.book.days import MONTHS, SEASONS, Span
from journal.errors import BadInput

ACCEPTED = (
    'Accepted: 2026-01-12, "2026-01-12 21:40", "14 March 2023", "March 2023", "spring 2023", "about 2019", yesterday, '
    '"last Sunday", "3 days ago", "yesterday 9:30"'
)
#: Years in which somebody could have written it down who builds wind generators: else it was mistyped, and in the
#: first and the last year of the calendar there is no other time zone.
OUR_TIME = (1900, 2999)
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTH = {name.lower()[:n]: i for i, name in enumerate(MONTHS, 1) for n in range(3, len(name) + 1)}
_DAY = {name[:n]: i for i, name in enumerate(_WEEKDAYS) for n in range(3, len(name) + 1)}
_SEASON = {**{s: s for s in SEASONS}, "fall": "autumn"}
_COUNT = {
    "a": 1, "an": 1, "one": 1, "two": 2, "a couple": 2, "couple": 2, "three": 3, "four": 4, "five": 5, "six": 6,
    "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip

_NUMBERS = re.compile(r"(\d{1,2})([./-])(\d{1,2})(?:\2(\d{4}|\d{2})?)?")
_YEAR_FIRST = re.compile(r"(\d{4})([./-])(\d{1,2})(?:\2(\d{1,2}))?")
_MONTH_YEAR = re.compile(r"(\d{1,2})[./](\d{4})")
_AGO = re.compile(r"(\d{1,4}|[a-z ]+?) (day|week|month|year)s? ago")
_IN_WORDS = re.compile(r"(?:(\d{1,2}) )?([a-z]+)(?: (\d{1,2}))?(?: (\d{4}|'\d\d))?")
_PART = re.compile(r"(early|mid|late)[ -](.+)")
_RANGE = re.compile(r"(?:between |from )?(.+?)(?: to | until | till | and | or | ?– ?| - |/(?=\d{4}-))(.+)")
_WINTER = re.compile(r"winter (?:of )?(\d{4})(?:[-/](\d{4}|\d{2}))?")


class TwoDays(BadInput):
    """A date that can be read in two ways.

    Parameters
    ----------
    typed : str
        What was typed.
    readings : dict of str to str
        Each reading in words, and how it is typed so that it has one meaning.
    """

    def __init__(self, what: str, typed: str, readings: Mapping[str, str]) -> None:
        self.typed, self.readings = typed, dict(readings)
        super().__init__(f"{what}, {typed}: {' or '.join(readings)}?", f"Type {' or '.join(readings.values())}")


class NoDateError(ValueError):
    """It is none."""


class Grammar:
    """How a day without a time is read.

    Parameters
    ----------
    what, given : str
        What is asked for, and what was typed, for what is refused.
    ahead : bool
        Whether it may be yet to come.
    """

    def __init__(self, what: str, given: str, ahead: bool) -> None:
        self.what, self.given, self.ahead, self.today = what, given, ahead, days.today()

    def span(self, text: str) -> Span:
        """The days that a text can mean."""
        rules: tuple[Callable[[str], Span | None], ...] = (
            self._named, self._ago, self._weekday, self._calendar, self._numbers, self._about, self._season,
            self._in_words, self._part, self._range,
        )  # fmt: skip
        for rule in rules:
            if (found := rule(text)) is not None:
                return found
        raise NoDateError

    def _named(self, text: str) -> Span | None:
        """Days that have a name from today."""
        now, monday = self.today, self.today - timedelta(days=self.today.weekday())
        one = timedelta(days=1)
        last_month = monthly(now.year, now.month, -1)
        found = {
            "yesterday": Span(now - one, now - one),
            "day before yesterday": Span(now - 2 * one, now - 2 * one),
            "last night": Span(now - one, now),
            "this week": Span(monday, now),
            "last week": Span(monday - 7 * one, monday - one),
            "this month": Span(now.replace(day=1), now),
            "last month": days.month_span(*last_month),
            "this year": Span(now.replace(month=1, day=1), now),
            "last year": days.year_span(now.year - 1),
        }
        if self.ahead:
            found["tomorrow"] = Span(now + one, now + one)
        if text in ("today", "this morning", "this afternoon", "this evening", "tonight"):
            return Span(now, now)
        return found.get(re.sub(r"^(yesterday) (?:morning|afternoon|evening|night)$", r"\1", text))

    def _ago(self, text: str) -> Span | None:
        """Days are counted; weeks, months and years ago are about so long ago."""
        match = _AGO.fullmatch(text)
        if match is None:
            return None
        count = int(match[1]) if match[1].isdecimal() else _COUNT.get(match[1])
        if count is None:
            raise NoDateError
        if match[2] == "day":
            then = self.today - timedelta(days=count)
            return Span(then, then)
        if match[2] == "week":
            then = self.today - timedelta(weeks=count)
            return Span(then - days.ABOUT, min(then + days.ABOUT, self.today))
        if match[2] == "month":
            return days.about_month(*monthly(self.today.year, self.today.month, -count))
        return days.about_year(self.today.year - count)

    def _weekday(self, text: str) -> Span | None:
        """The latest day of a name; the last one is before today."""
        last, _, name = text.rpartition(" ")
        if name not in _DAY or last not in ("", "last", "this", "past"):
            return None
        back = (self.today.weekday() - _DAY[name]) % 7 or (7 if last in ("last", "past") else 0)
        if self.ahead:
            raise self._wants_year()
        then = self.today - timedelta(days=back)
        if last == "last" and 0 < back <= self.today.weekday():
            # Of this week or of the last one.
            both = (then, then - timedelta(days=7))
            raise TwoDays(self.what, self.given, {f"{d.day} {MONTHS[d.month - 1]}": d.isoformat() for d in both})
        return Span(then, then)

    def _calendar(self, text: str) -> Span | None:
        """The day of a month alone, weekends, weeks by their number, feasts, and eight digits."""
        if re.fullmatch(r"day \d{1,2}", text):
            return self._latest_day(int(text[4:]))
        if found := spoken_calendar.weekend(text, self.today) or spoken_calendar.week_of(text):
            return Span(*found)
        feast, _, year = text.partition(" 2") if re.search(r" 2\d{3}$", text) else (text, "", "")
        if feast in spoken_calendar.FEASTS:
            day, month = spoken_calendar.FEASTS[feast]
            return self._day_in(day, month, int(f"2{year}") if year else None)
        if not re.fullmatch(r"\d{8}", text):
            return None
        meant = spoken_calendar.eight_digits(text)
        if len(meant) > 1:
            raise TwoDays(
                self.what, self.given, {f"{d.day} {MONTHS[d.month - 1]} {d.year}": d.isoformat() for d in meant}
            )
        return _single(meant[0]) if meant else None

    def _latest_day(self, day: int) -> Span:
        """The latest day of that number, of this month or one before."""
        if self.ahead:
            raise self._wants_year()
        for back in range(3):
            year, month = monthly(self.today.year, self.today.month, -back)
            if day <= days.month_span(year, month).last.day and (then := date(year, month, max(day, 1))) <= self.today:
                return _single(then)
        raise NoDateError

    def _numbers(self, text: str) -> Span | None:
        """Days and months in digits; a year of four digits first is ISO's order, stops part day, month and year."""
        if re.fullmatch(r"\d{4}", text):
            return days.year_span(self._our_year(int(text)))
        if match := _YEAR_FIRST.fullmatch(text):
            if match[4] is None:
                return days.month_span(self._our_year(int(match[1])), _month(int(match[3])))
            return self._day_in(int(match[4]), int(match[3]), int(match[1]))
        if match := _MONTH_YEAR.fullmatch(text):
            return days.month_span(self._our_year(int(match[2])), _month(int(match[1])))
        match = _NUMBERS.fullmatch(text)
        if match is None or (match[2] == "-" and not match[4]):
            return None
        one, other, year = int(match[1]), int(match[3]), self._full_year(match[4])
        if match[2] == "." and (match[4] or other <= 12):
            return self._day_in(one, other, year)
        if year is None and other > 12 >= one:
            return self._month_or_day(one, other)
        if match[2] == "-" and len(match[4]) == 2:
            return self._year_first_or_last(one, other, match[4])
        return self._slashed(one, other, year)

    def _month_or_day(self, month: int, other: int) -> Span:
        """A month with a day, or with a year of two digits that has been."""
        year = self.today.year // 100 * 100 + other
        of_year = days.month_span(year, month) if year <= self.today.year else None
        the_day = self._day_in(other, month, None)
        if of_year is None:
            return the_day
        called = {f"{MONTHS[month - 1]} {year}": of_year, f"{other} {MONTHS[month - 1]}": the_day}
        raise TwoDays(self.what, self.given, {name: days.kept_as(span) for name, span in called.items()})

    def _year_first_or_last(self, one: int, other: int, last: str) -> Span:
        """Two digits for each with hyphens: the year stands first by ISO's order, or last."""
        as_last = self._full_year(last)
        try:
            first = _single(date(self._full_year(f"{one:02}") or 0, other, int(last)))
        except ValueError:
            return self._slashed(one, other, as_last)
        try:
            then = self._slashed(one, other, as_last)
        except TwoDays:
            raise
        except (ValueError, BadInput):
            return first
        if then == first:
            return first
        called = {f"{s.first.day} {MONTHS[s.first.month - 1]} {s.first.year}": days.kept_as(s) for s in (first, then)}
        raise TwoDays(self.what, self.given, called)

    def _slashed(self, one: int, other: int, year: int | None) -> Span:
        """Day and month in either order, where only one of them can be."""
        if one == other or one > 12 or other > 12:
            return (
                self._day_in(max(one, other), min(one, other), year) if one != other else self._day_in(one, one, year)
            )
        readings = {
            f"{d} {MONTHS[m - 1]}": days.kept_as(self._day_in(d, m, year)) for d, m in ((one, other), (other, one))
        }
        raise TwoDays(self.what, self.given, readings)

    def _in_words(self, text: str) -> Span | None:
        """A month by its name, with a day before or behind it, and a year."""
        match = _IN_WORDS.fullmatch(text)
        first, _, rest = text.partition(" ")
        if match is None or match[2] not in _MONTH:
            # A weekday before it must be that of the day.
            found = self._in_words(rest) if first in _DAY and rest else None
            if found and (found.first != found.last or found.first.weekday() != _DAY[first]):
                raise self._no_such(found, _DAY[first])
            return found if found else self._last_month(text)
        month, year = _MONTH[match[2]], self._full_year(match[4].lstrip("'")) if match[4] else None
        if match[1] and match[3]:
            if year is not None:
                raise NoDateError
            return self._day_in(int(match[1]), month, self._full_year(match[3]))
        day = match[1] or match[3]
        if day is not None:
            return self._day_in(int(day), month, year)
        return self._latest(lambda y: days.month_span(y, month), year)

    def _no_such(self, found: Span, weekday: int) -> BadInput:
        """That a day is none of that name; the nearest that is."""
        named = _WEEKDAYS[weekday].title()
        if found.first != found.last:
            return BadInput(f"{self.what}: {self.given!r} is no {named}", "Leave one out")
        near = found.first + timedelta(days=(weekday - found.first.weekday() + 3) % 7 - 3)
        other = _WEEKDAYS[found.first.weekday()].title()
        called = {f"{named} {near.day} {MONTHS[near.month - 1]}": near, f"{other} {found.first.day}": found.first}
        return TwoDays(self.what, self.given, {name: day.isoformat() for name, day in called.items()})

    def _last_month(self, text: str) -> Span | None:
        """Last March is one that is over."""
        last, _, name = text.partition(" ")
        if last != "last" or name not in _MONTH:
            return None
        return self._latest(lambda y: days.month_span(y, _MONTH[name]), None, over=True)

    def _season(self, text: str) -> Span | None:
        """A season with its year, or the latest that began; a winter is of two years."""
        if match := _WINTER.fullmatch(text):
            return self._winter(int(match[1]), match[2])
        match = re.fullmatch(r"(last )?(?:this )?(spring|summer|autumn|fall|winter)(?: (\d{4}))?", text)
        if match is None:
            return None
        season, year = _SEASON[match[2]], int(match[3]) if match[3] else None
        return self._latest(lambda y: days.season_span(season, y), year, over=bool(match[1]))

    def _winter(self, year: int, other: str | None) -> Span:
        self._our_year(year)
        if other is None:
            called = [f"winter {y}-{(y + 1) % 100:02}" for y in (year - 1, year)]
            raise TwoDays(self.what, self.given, {f"the {w}": w for w in called})
        if int(other[-2:]) != (year + 1) % 100 or (len(other) == 4 and int(other) != year + 1):
            raise NoDateError
        return days.season_span("winter", year)

    def _part(self, text: str) -> Span | None:
        """The early, mid or late part of a month or a year."""
        match = _PART.fullmatch(text)
        if match is None:
            return None
        if re.fullmatch(r"\d{4}", match[2]):
            return days.part_of(match[1], days.year_span(self._our_year(int(match[2]))))
        name, _, year = match[2].partition(" ")
        if name not in _MONTH or not re.fullmatch(r"(\d{4})?", year):
            raise NoDateError
        return self._latest(
            lambda y: days.part_of(match[1], days.month_span(y, _MONTH[name])), int(year) if year else None
        )

    def _about(self, text: str) -> Span | None:
        """About a day, a month or a year: wider by days, half a month, half a year."""
        if not text.startswith("about "):
            return None
        span = self.span(text.removeprefix("about "))
        year, month = span.first.year, span.first.month
        if span.first == span.last:
            return Span(span.first - days.ABOUT, span.last + days.ABOUT)
        if span == days.year_span(year):
            return days.about_year(year)
        if span == days.month_span(year, month):
            return days.about_month(year, month)
        return Span(span.first - timedelta(days=15), span.last + timedelta(days=15))

    def _range(self, text: str) -> Span | None:
        """From one to another; the first may leave out what the second says of both."""
        match = _RANGE.fullmatch(text)
        if match is None:
            return None
        begin, end = match[1], match[2]
        if re.fullmatch(r"\d{1,2}", begin) and (month := re.search(r"[a-z].*", end)):
            begin = f"{begin} {month[0]}"
        elif not re.search(r"\d{4}|ago|yesterday|today", begin) and (year := re.search(r" (\d{4})$", end)):
            begin = f"{begin} {year[1]}"
        first, last = self.span(begin), self.span(end)
        if first.first > last.first or first.last > last.last:
            raise BadInput(f"{self.what}: {self.given!r} ends before it begins", "Give the dates in order")
        if " or " in text and last.first - first.last > timedelta(days=1):
            called = {days.span_text(s) if s.first != s.last else s.first.isoformat(): s for s in (first, last)}
            raise TwoDays(self.what, self.given, {name: days.kept_as(span) for name, span in called.items()})
        return Span(first.first, last.last)

    def _day_in(self, day: int, month: int, year: int | None) -> Span:
        if not 1 <= month <= 12:
            raise BadInput(f"{self.what}: {self.given!r}: there is no month {month}", ACCEPTED)
        longest = days.month_span(2024 if year is None else self._our_year(year), month).last.day
        if not 1 <= day <= longest:
            of_year = f" {year}" if year and month == 2 else ""
            raise BadInput(
                f"{self.what}: {self.given!r}: {MONTHS[month - 1]}{of_year} has {longest} days",
                "Give a day that there is",
            )
        if year is not None:
            return _single(date(year, month, day))
        return self._latest(lambda y: _single(date(y, month, day)), None)

    def _latest(self, of_year: Callable[[int], Span], year: int | None, *, over: bool = False) -> Span:
        """What is meant in a year that was named, or else in the latest in which it has begun, or is over."""
        if year is not None:
            return of_year(self._our_year(year))
        if self.ahead:
            raise self._wants_year()
        for y in range(self.today.year, self.today.year - 9, -1):
            try:
                span = of_year(y)
            except ValueError:
                # There is no 29 February in most years.
                continue
            if (span.last < self.today) if over else (span.first <= self.today):
                return span
        raise NoDateError

    def _wants_year(self) -> BadInput:
        return BadInput(f"{self.what}: {self.given!r} has no year, and may be yet to come", "Add the year")

    def _our_year(self, year: int) -> int:
        if not OUR_TIME[0] <= year <= OUR_TIME[1]:
            raise NoDateError
        return year

    def _full_year(self, digits: str | None) -> int | None:
        """A year of two digits is the latest that has been; where it may be yet to come, one of this century."""
        if not digits:
            return None
        if len(digits) == 4:
            return int(digits)
        year = self.today.year // 100 * 100 + int(digits)
        return year if self.ahead or year <= self.today.year else year - 100


def _month(number: int) -> int:
    if not 1 <= number <= 12:
        raise NoDateError
    return number


def _single(day: date) -> Span:
    return Span(day, day)


def monthly(year: int, month: int, on: int) -> tuple[int, int]:
    """A month so many months on.

    Examples
    --------
    >>> monthly(2026, 1, -1), monthly(2026, 11, 2)
    ((2025, 12), (2027, 1))
    """
    count = 12 * year + month - 1 + on
    return count // 12, count % 12 + 1
