"""Winds hour by hour for the years, out of a file: by its times where it has them, or row by row."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from sqlmodel import Session

from calc.curve.hours import HOURS_OF_DAY, HourlyMeans, hourly_means, stood_in
from calc.machine import over_time
from calc.physics.calendar import DAY
from calc.units import show
from calc.wording import number_of
from journal.errors import BadInput, GalebookError
from journal.logger import mapping, text, times
from journal.logger.reading import LoggerRead, read
from journal.logger.text import Layout
from journal.logger.ways import way_of
from journal.review.wind_rows import read_winds

Array = NDArray[np.float64]
#: Share of the hours that may be missing, others standing in for them. Own choice.
MOST_MISSING = 0.1
#: Days from which on a series is taken to have all seasons. Own choice.
SEASONS = 330
#: Share of rows at the time of the row before from which on the times tell no hour. Own choice.
_SAME_TIME = 0.01
#: A column of times that no cell shows to be one.
_CLOCK_HEAD = re.compile(r"time|epoch|unix|elapsed|uptime|runtime|millis|seconds|timestamp|zeit", re.IGNORECASE)
_ACCEPTED = "Accepted: a row for each hour (or day, with --daily) without times, or with times such as 2026-06-01 12:00"


@dataclass(frozen=True)
class WindFileTyped:
    """What a person typed of a file of winds: its columns, the zone and order of its times, when its clock began."""

    mapped: list[str] = field(default_factory=list)
    zone: str | None = None
    days: str | None = None
    began: tuple[str, ...] = ()
    daily: bool = False

    @property
    def of_times(self) -> bool:
        """Whether anything was said that only a file with times has."""
        return bool(self.mapped or self.zone or self.days or self.began)


@dataclass(frozen=True)
class HourlyWinds:
    """Whole days of hours, none missing [m/s], and in sentences what is to be known of them."""

    winds: Array
    notes: tuple[str, ...] = ()
    #: At which they were measured, where the file says so or somebody said of its column. [m]
    height: float | None = None


def file_winds(session: Session | None, path: Path, typed: WindFileTyped | None = None) -> HourlyWinds:
    """Winds of a file, hour by hour: by its times where it has them, as loggers' files are read, else row by row.

    Parameters
    ----------
    session : Session or None
        The journal, which remembers what the columns of such a file were said to be.
    path : Path
        The file.
    typed : WindFileTyped, optional
        What was said of it.

    Raises
    ------
    BadInput
        With what cannot be used.
    """
    typed = typed or WindFileTyped()
    found = _layout(path)
    said = mapping.read_said(typed.mapped)
    if found is None or not (said or _timed(*found)):
        if typed.of_times:
            raise BadInput(f"{path.name} has no times to which --map, --zone, --days or --began could apply", _ACCEPTED)
        winds = read_winds(path, daily=typed.daily)
        return HourlyWinds(winds, _seasons(len(winds)))
    sample, layout = found
    kept = mapping.remembered(session, layout) if session is not None else None
    meant = _only_wind(path, mapping.propose(layout, said, kept, typed.zone, typed.days))
    made = read(way_of(path, sample, layout, meant, typed.began))
    _hold_times(made, daily=typed.daily)
    columns, way = (made.minutes.columns if made.minutes else {}), made.way
    hours = hourly_means(
        np.asarray(columns["time"], np.int64), np.asarray(columns["wind"], float), way.step / 1000,
        times.standard_ahead(way.zone, made.first),
    )  # fmt: skip
    whole, notes = without_gaps(hours, path.name)
    if (most := float(whole.max())) > over_time.GRID[-1]:
        raise BadInput(f"{path.name} has an hour of {show(most, 'm/s', 3)}, which is no mean wind", "Name its unit")
    height = way.mapping.height("wind")
    return HourlyWinds(whole, (*_of_reading(made, typed), *notes, *_seasons(len(whole))), height)


def _layout(path: Path) -> tuple[list[str], Layout] | None:
    """The first lines of a file, and how it is written; None where it is no table, which rows alone are not."""
    try:
        sample = text.sample_of(path)
        return sample, text.layout_of(sample, path.name)
    except GalebookError:
        return None


def _timed(sample: list[str], layout: Layout) -> bool:
    """Whether a column holds times: days in its cells, or numbers of a clock below a head that says so."""
    rows = [layout.cells(line) for line in sample[layout.first - 1 : layout.first + 200]]
    rows = [r for r in rows if len(r) == len(layout.heads)]
    for i, head in enumerate(layout.heads):
        cells = [r[i] for r in rows if r[i]]
        if not cells:
            continue
        if sum(times.is_moment(c) and not c.isdigit() for c in cells) * 2 > len(cells):
            return True
        if _CLOCK_HEAD.search(head):
            try:
                form = times.form_of(cells, head, "day-first")
            except BadInput:
                continue
            if form.kind != "elapsed" or re.search(r"elapsed|millis|sec|uptime|runtime|[\[(_ ]m?s\b", head.casefold()):
                return True
    return False


def _only_wind(path: Path, meant: mapping.Mapping) -> mapping.Mapping:
    """Times and wind alone: whatever else is odd in the file does not matter here."""
    if "wind" not in meant.channels:
        others = ", ".join(c.head for c in meant.columns if c.what not in (mapping.TIME, mapping.DATE))
        raise BadInput(f"No column of {path.name} is known to be the wind",
                       f"Say which: --map 'HEAD=wind'. Columns: {others}")  # fmt: skip
    wanted = (mapping.TIME, mapping.DATE, "wind")
    columns = tuple(c if c.what in wanted else replace(c, what=mapping.LEFT_OUT) for c in meant.columns)
    return replace(meant, columns=columns)


def _hold_times(made: LoggerRead, *, daily: bool) -> None:
    """Refuse times that do not tell which hour a row is of."""
    name, step = made.way.file.name, made.way.step / 1000
    if not step or made.order.twice > _SAME_TIME * made.rows:
        raise BadInput(
            f"{made.order.twice:,} of {made.rows:,} rows of {name} stand at the time of the row before, so they tell "
            "no hour", "Accepted: times with their hour, or the column of winds alone",
        )  # fmt: skip
    if daily and step % DAY:
        raise BadInput(f"The rows of {name} are {show(step, 's' if step < 3600 else 'h', 3)} apart, no days",
                       "Leave --daily out: its times tell")  # fmt: skip


def without_gaps(hours: HourlyMeans, name: str) -> tuple[Array, list[str]]:
    """Hours in which others stand in for those that are missing, and what is to be said of that.

    Raises
    ------
    BadInput
        If they hold no whole day, or too many of them are missing.
    """
    if not len(hours.wind):
        raise BadInput(
            f"{name} holds {hours.ends} hours of wind and no whole day, from midnight to midnight", _ACCEPTED
        )
    gone = int(np.sum(~hours.known))
    began, lasted = hours.longest_gap
    told = (
        f"{gone:,} of {len(hours.wind):,} hours {'is' if gone == 1 else 'are'} missing, "
        f"the longest gap {_lasting(lasted)} from "
        f"{times.as_text(round(began * 1000))[:16].replace('T', ' ')}"
    )
    whole = stood_in(hours.wind)
    if gone > MOST_MISSING * len(hours.wind) or not np.isfinite(whole).all():
        raise BadInput(
            f"{name}: {told}",
            f"Accepted: at most {show(MOST_MISSING, '%')} missing; cut the file where it has no gap, "
            "or leave --wind out for made-up weather",
        )
    notes = [f"{told}; the same hours of the nearest days stand in."] if gone else []
    if hours.ends:
        notes.append(f"{hours.ends} hours of days that are not whole are left out.")
    return whole, notes


def _lasting(hours: int) -> str:
    return show(hours * 3600.0, "days", 2) if hours >= 2 * HOURS_OF_DAY else f"{hours} h"


def _of_reading(made: LoggerRead, typed: WindFileTyped) -> list[str]:
    """What was taken of the file, and what of it could not be used."""
    way, column = made.way, made.way.mapping.channels["wind"]
    told = []
    if column.why == "unit assumed":
        told.append(f"The head {column.head!r} names no unit: m/s is assumed.")
    if way.step and way.step % (DAY * 1000) == 0:
        told.append("A row stands for a day: each hour has the mean of its day.")
    elif not way.form.local and way.form.kind != "elapsed" and typed.zone is None:
        told.append("Days begin at midnight UTC; --zone, like Europe/Dublin, has them begin at yours.")
    odd = [(made.bad.count, "line or cell that cannot be read", "lines or cells that cannot be read"),
           (made.spikes.count, "spike", "spikes"), (made.unset + made.skipped, "row at no time", "rows at no time"),
           (made.order.aside, "row after the clock went back", "rows after the clock went back"),
           (made.minutes.flagged if made.minutes else 0, "minute of a stuck cup", "minutes of a stuck cup"),
           ]  # fmt: skip
    if some := [number_of(many, one, more) for many, one, more in odd if many]:
        told.append(f"Left out: {', '.join(some)}.")
    return told


def _seasons(hours: int) -> tuple[str, ...]:
    days = hours // HOURS_OF_DAY
    if days >= SEASONS:
        return ()
    whose = f"These {days} days are" if days > 1 else "This one day is"
    return (f"{whose} taken alone: what other seasons bring is not in it.",)
