"""Times as loggers write them: many forms, with a zone or without, by a clock that may change in summer."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta, timezone, tzinfo
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from journal.book.days import today
from journal.errors import BadInput, nearest

if TYPE_CHECKING:
    import polars as pl

Ints = NDArray[np.int64]
#: Instead of a time that cannot be read. [ms]
NO_TIME = np.iinfo(np.int64).min
#: A clock that shows less was never set. 2000-01-02 UTC. [ms]
EARLIEST = 946_771_200_000
_DATE = (
    r"(?P<date>\d{4}(?P<a>[-/.])\d{1,2}(?P=a)\d{1,2}|\d{1,2}(?P<b>[-/.])\d{1,2}(?P=b)\d{4}"
    r"|\d{1,2}(?P<c>[-/.])\d{1,2}(?P=c)\d{2}|\d{8}|\d{1,2}(?P<d>[- ])[A-Za-z]{3}(?P=d)\d{4})"
)
_CLOCK = r"(?P<clock>\d{1,2}:\d{2}:\d{2}(?P<part>\.\d+)?|\d{1,2}:\d{2}|\d{6})(?P<noon> ?[AaPp][Mm])?"
_TIME = re.compile(rf"{_DATE}(?:(?P<between>T|, | +|)(?:{_CLOCK})(?P<zone>Z| ?UTC| ?GMT| ?[+-]\d{{2}}:?\d{{2}})?)?")
_OFFSET = re.compile(r"(?:UTC|GMT)?([+-])(\d{1,2})(?::?(\d{2}))?", re.IGNORECASE)

#: A counter of milliseconds in 32 bits begins at zero again after this, 49.7 days, never having been off. [ms]
FULL = 1 << 32
#: Clocks that count from 1970: milliseconds of one unit.
_SINCE_1970 = {"seconds": 1e3, "milliseconds": 1.0, "microseconds": 1e-3, "nanoseconds": 1e-6}


@dataclass(frozen=True)
class TimeForm:
    """How times stand in a file.

    Parameters
    ----------
    kind : {"text", "seconds", "milliseconds", "microseconds", "nanoseconds", "days", "elapsed"}
        As text; since 1970, by the unit named; days as a spreadsheet counts them; or since the logger was switched on.
    pattern : str
        Of a text, as Polars takes it.
    zoned : bool
        Whether each time tells its own zone.
    scale : float
        Of time that has passed since it was switched on, milliseconds of one unit.
    """

    kind: str
    pattern: str = ""
    zoned: bool = False
    scale: float = 1.0

    @property
    def local(self) -> bool:
        """Whether a zone must be known to tell when it was."""
        return self.kind in ("text", "days") and not self.zoned


def form_of(cells: list[str], head: str, order: str | None) -> TimeForm:
    """How times are written, from the first of a file.

    Parameters
    ----------
    cells : list of str
        What stands in the column of time.
    head : str
        Its head.
    order : {"day-first", "month-first"} or None
        How 03/04/2026 is meant, if somebody said.

    Raises
    ------
    BadInput
        If they are no times, or could be meant in two ways.
    """
    told = [c.strip() for c in cells if c.strip()]
    numbers = [_number(c) for c in told]
    if told and sum(n is not None for n in numbers) > 0.8 * len(told) and not all(_compact(c) for c in told[:5]):
        return _of_numbers([n for n in numbers if n is not None], head)
    matches = [m for c in told if (m := _TIME.fullmatch(c))]
    if len(matches) < max(1, len(told) // 2):
        shown = next((c for c in told if not _TIME.fullmatch(c)), "")
        if re.fullmatch(r"\d{1,4}:\d{2}(:\d{2}(\.\d+)?)?", shown):
            raise BadInput(
                f"The column {head!r} holds hours without their day, like {shown!r}",
                "Say which column has the day: --map 'HEAD=date'; a clock that counts from zero must count seconds, "
                "with --began",
            )
        raise BadInput(
            f"The column {head!r} holds no times that are known: {shown!r}",
            "Accepted: 2026-06-01 12:00:00, 01.06.2026 12:00, 2026-06-01T12:00Z, Unix seconds; "
            "another column with --map 'HEAD=time'",
        )
    return TimeForm("text", _pattern(matches, order, head), any(m["zone"] for m in matches))


def _number(cell: str) -> float | None:
    try:
        return float(cell.replace(",", "."))
    except ValueError:
        return None


def _compact(cell: str) -> bool:
    """Whether it is 20260601 or 20260601120000, which is a number too."""
    return bool(re.fullmatch(r"(19|20)\d\d(0[1-9]|1[0-2])([0-2]\d|3[01])(\d{6})?", cell))


def _of_numbers(numbers: list[float], head: str) -> TimeForm:
    middle = float(np.median(numbers))
    milli = re.search(r"milli|\bms\b|_ms", head.casefold()) is not None
    if milli and middle < FULL:
        # After a few days such a counter looks like seconds since 1970.
        return TimeForm("elapsed")
    # Since 1970, from 1980 to about 2286.
    for kind, unit in _SINCE_1970.items():
        if 3e11 < middle * unit < 1e13:
            return TimeForm(kind)
    if 3e4 < middle < 6e4 and (max(numbers) - min(numbers) < 400 or any(n % 1 for n in numbers)):
        return TimeForm("days")
    return TimeForm("elapsed", scale=1.0 if milli else 1000.0)


def _pattern(matches: list[re.Match[str]], order: str | None, head: str) -> str:
    first = matches[0]
    date = _date_pattern(matches, order, head)
    if not first["clock"]:
        return date
    clock = "%H%M%S" if ":" not in first["clock"] else "%H:%M:%S" if first["clock"].count(":") == 2 else "%H:%M"
    if any(m["part"] for m in matches):
        clock += "%.f"
    if first["noon"]:
        clock = clock.replace("%H", "%I") + (" %p" if first["noon"].startswith(" ") else "%p")
    zone = first["zone"] or ""
    zone = zone if zone.strip() in ("Z", "UTC", "GMT", "") else (" " if zone.startswith(" ") else "") + "%z"
    return f"{date}{first['between']}{clock}{zone}"


def _date_pattern(matches: list[re.Match[str]], order: str | None, head: str) -> str:
    first = matches[0]
    if first["a"]:
        return first["a"].join(("%Y", "%m", "%d"))
    if first["d"]:
        return first["d"].join(("%d", "%b", "%Y"))
    mark = first["b"] or first["c"]
    if not mark:
        return "%Y%m%d"
    year = "%Y" if first["b"] else "%y"
    parts = [[int(p) for p in m["date"].split(mark)[:2]] for m in matches if m["date"].count(mark) == 2]
    if order is None and mark == ".":
        order = "day-first"
    if order is None:
        order = _order(parts, head)
    return mark.join(("%d", "%m", year) if order == "day-first" else ("%m", "%d", year))


def _order(parts: list[list[int]], head: str) -> str:
    """Whether the day stands first: by what no month can be, or by which of both goes on while the other stays."""
    one, two = ({p[i] for p in parts} for i in (0, 1))
    if max(one) > 12 or (len(one) > 2 and len(two) == 1):
        return "day-first"
    if max(two) > 12 or (len(two) > 2 and len(one) == 1):
        return "month-first"
    raise BadInput(
        f"The dates in {head!r} can be meant in two ways, like {parts[0][0]}/{parts[0][1]}",
        "Say which: --days day-first, or --days month-first",
    )


def zone_named(typed: str | None) -> tzinfo | None:
    """The zone that somebody named.

    Raises
    ------
    BadInput
        If there is none of that name.
    """
    if typed is None:
        return None
    plain = typed.strip()
    if plain.upper() in ("UTC", "GMT", "Z"):
        return UTC
    if found := _OFFSET.fullmatch(plain):
        away = timedelta(hours=int(found[2]), minutes=int(found[3] or 0))
        if away <= timedelta(hours=14):
            return timezone(away if found[1] == "+" else -away)
    try:
        return ZoneInfo(plain)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        from zoneinfo import available_timezones

        close = nearest(plain, sorted(available_timezones()))
        raise BadInput(
            f"There is no zone called {typed!r}",
            f"Did you mean {close}?"
            if close
            else "Accepted: names such as Europe/Dublin, or UTC+1 for a clock without summer time",
        ) from None


@functools.cache
def _changes(zone: tzinfo) -> tuple[Ints, Ints]:
    """When a zone's clock is changed, and what it is ahead by before the first and after each, in milliseconds."""
    at = datetime(1999, 1, 1, tzinfo=UTC)
    ahead, when, offsets = _ahead(zone, at), [], [_ahead(zone, at)]
    while at.year < 2061:
        later = at + timedelta(days=7)
        if _ahead(zone, later) != ahead:
            low, high = at, later
            while high - low > timedelta(seconds=1):
                middle = low + (high - low) / 2
                low, high = (middle, high) if _ahead(zone, middle) == ahead else (low, middle)
            ahead = _ahead(zone, later)
            when.append(round(high.timestamp()) * 1000)
            offsets.append(ahead)
        at = later
    return np.array(when, np.int64), np.array(offsets, np.int64)


def _ahead(zone: tzinfo, at: datetime) -> int:
    offset = at.astimezone(zone).utcoffset() or timedelta(0)
    return round(offset.total_seconds()) * 1000


@dataclass
class Clock:
    """Turns times of the logger's clock into UTC, one block after the other.

    An hour that is shown twice in autumn is told apart by the order of the rows.

    Parameters
    ----------
    zone : tzinfo
        Of the clock.
    hourly : bool
        Whether its rows are an hour apart or more, so that the second of two at one time is an hour later.
    """

    zone: tzinfo
    hourly: bool = False
    #: Times that no clock of the zone ever shows.
    skipped: int = 0
    _twice: dict[int, tuple[int, bool]] = field(default_factory=dict)

    def utc(self, local: Ints) -> Ints:
        """UTC of local times, in their order; ``NO_TIME`` where no such clock shows them. In milliseconds."""
        when, ahead = _changes(self.zone)
        known = local != NO_TIME
        if not known.any() or not (len(when) or ahead[0]):
            return local
        before, after = ahead[:-1], ahead[1:]
        utc = np.where(known, local - ahead[np.searchsorted(when + before, local, "right")], NO_TIME)
        low, high = int(local[known].min()), int(local[known].max())
        near = np.flatnonzero((when + np.maximum(before, after) > low) & (when + np.minimum(before, after) <= high))
        for i in near:
            start, end = when[i] + min(before[i], after[i]), when[i] + max(before[i], after[i])
            rows = np.flatnonzero((local >= start) & (local < end) & known)
            if not rows.size:
                continue
            if after[i] > before[i]:
                self.skipped += rows.size
                utc[rows] = NO_TIME
            else:
                utc[rows] = self._apart(int(i), local[rows], int(before[i]), int(after[i]))
        return utc

    def _apart(self, change: int, local: Ints, before: int, after: int) -> Ints:
        last, second = self._twice.get(change, (int(local[0]) - 1, False))
        # A row for each hour stands at the same time again where others go back.
        back = np.diff(local, prepend=last) < (1 if self.hourly else 0)
        again = second | (np.cumsum(back) > 0)
        self._twice[change] = (int(local[-1]), bool(again[-1]))
        return local - np.where(again, after, before)


def milliseconds(column: pl.Series, form: TimeForm) -> Ints:
    """Times of a column by the logger's clock; ``NO_TIME`` where there is none.

    In milliseconds since 1970, or since the logger was switched on where it counts from there.

    Parameters
    ----------
    column : Series
        Text, or numbers where they are written so.
    form : TimeForm
        How they are written.
    """
    if form.kind == "text":
        read = _of_text(column, form.pattern)
        return read.fill_null(NO_TIME).to_numpy()
    value = column.to_numpy().astype(np.float64)
    if form.kind == "days":
        scaled = (value - 25569.0) * 86_400_000
    elif form.kind == "elapsed":
        scaled = value * form.scale
    else:
        scaled = value * _SINCE_1970[form.kind]
    good = np.isfinite(scaled) & (np.abs(scaled) < 1e14)
    return np.where(good, np.round(np.where(good, scaled, 0.0)), NO_TIME).astype(np.int64)


def _of_text(column: pl.Series, pattern: str) -> pl.Series:
    import polars as pl

    if "%H" in pattern or "%I" in pattern:
        # No time stands there twice: to look each up among those before takes longer than to read it.
        read = column.str.to_datetime(pattern, time_unit="ms", strict=False, cache=False)
    else:
        read = column.str.to_date(pattern, strict=False).cast(pl.Datetime("ms"))
    return read.cast(pl.Int64)


def other_forms(column: pl.Series, found: Ints, form: TimeForm) -> Ints:
    """Times that the usual form did not give, by its near relations: with parts of seconds, without seconds."""
    import polars as pl

    made = found.copy()
    for pattern in (
        form.pattern.replace("%S", "%S%.f") if "%.f" not in form.pattern else form.pattern.replace("%.f", ""),
        form.pattern.replace(":%S%.f", "").replace(":%S", ""),
        " ".join(form.pattern.split("T")) if "T" in form.pattern else form.pattern.replace(" ", "T", 1),
    ):
        rows = np.flatnonzero(made == NO_TIME)
        if not rows.size:
            break
        some = column.gather(pl.Series(rows)).str.strip_chars()
        if pattern and pattern != form.pattern:
            made[rows] = _of_text(some, pattern).fill_null(NO_TIME).to_numpy()
    return made


def never_forward(zone: tzinfo, near: int) -> str:
    """How to name the zone of a clock at such a place that nobody puts forward in summer.

    Examples
    --------
    >>> never_forward(ZoneInfo("Europe/Paris"), 1780272000000)
    'UTC+1, or UTC+2 if it was set in summer'
    """
    year = datetime.fromtimestamp(near / 1000, UTC).year
    told = sorted({_ahead(zone, datetime(year, month, 1, tzinfo=UTC)) for month in (1, 7)})
    names = []
    for ms in told:
        hours, minutes = divmod(abs(ms) // 60_000, 60)
        names.append(f"UTC{'-' if ms < 0 else '+'}{hours}" + (f":{minutes:02d}" if minutes else ""))
    return ", or ".join(names) + (" if it was set in summer" if len(names) > 1 else "")


def standard_ahead(zone: tzinfo, near: int) -> float:
    """By how much a clock that nobody puts forward in summer is ahead of UTC there, in seconds.

    Examples
    --------
    >>> standard_ahead(ZoneInfo("Europe/Paris"), 1780272000000)
    3600.0
    """
    year = datetime.fromtimestamp(near / 1000, UTC).year
    return min(_ahead(zone, datetime(year, month, 1, tzinfo=UTC)) for month in (1, 7)) / 1000


def is_moment(cell: str) -> bool:
    """Whether a cell holds a day, with or without a clock, as loggers write it.

    Examples
    --------
    >>> is_moment("2026-06-01 12:00"), is_moment("01.06.2026"), is_moment("12:00"), is_moment("5.6")
    (True, True, False, False)
    """
    return _TIME.fullmatch(cell.strip()) is not None


def as_text(ms: int) -> str:
    """A time as people and the record have it: UTC, whole seconds."""
    return datetime.fromtimestamp(ms / 1000, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def past_limit() -> int:
    """A clock that shows more goes wrong: two days from now, in milliseconds."""
    return round((datetime.combine(today(), time(), UTC) + timedelta(days=2)).timestamp() * 1000)


def began_at(typed: str, clock: Clock) -> int:
    """When a clock that counts from zero was switched on, as somebody said it, in milliseconds UTC.

    Raises
    ------
    BadInput
        If it is no time.
    """
    try:
        at = datetime.fromisoformat(typed.strip())
    except ValueError:
        raise BadInput(f"--began {typed!r} is no time", "Accepted: 2026-06-01 12:00") from None
    if at.tzinfo is not None:
        return round(at.timestamp() * 1000)
    local = np.array([round(at.replace(tzinfo=UTC).timestamp() * 1000)], np.int64)
    return int(clock.utc(local)[0])
