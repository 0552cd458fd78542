"""The electrical side as a whole: its one-line diagram, and the battery through years of wind. Nothing is recorded."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray
from sqlmodel import Session

from calc.machine import diagram as drawing
from calc.machine import over_time
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import monthly_means
from calc.physics import storage_time, wind
from calc.units import show
from journal.book import sheet
from journal.book.plain_quantity import Wanted
from journal.book.quantity import parse
from journal.book.records import find_revision
from journal.book.tables import Revision
from journal.errors import BadInput, Refused
from journal.review import enough, verdict
from journal.review.hourly_winds import HourlyWinds, WindFileTyped, file_winds
from journal.review.logged_hours import logged_hours

Array = NDArray[np.float64]
T = TypeVar("T")

#: Most years of weather that one run takes.
MOST_YEARS = 200
#: Years that are made up where nobody says how many.
YEARS = 20
_HEIGHT = Wanted("m", "m", 0.5, 200.0, "10 m")


@dataclass(frozen=True)
class Diagram:
    """The one-line diagram of a revision."""

    revision: Revision
    lines: list[str]


def diagram(session: Session, ref: str | None) -> Diagram:
    """Draw the chain from generator to house as the sheet has it."""
    of = find_revision(session, ref)
    return Diagram(of, drawing.lines(sheet.load_sheet(session, of).design, of.ref))


@dataclass(frozen=True)
class Range:
    """A yearly result: a tenth, half and nine tenths of the years lie below; SI."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Years:
    """What became of the energy through years of wind.

    Parameters
    ----------
    revision : Revision
        Whose machine and battery.
    weather : str
        Where the wind comes from.
    mean_wind : float
        At the rotor. [m/s]
    years : int
        Years begun.
    days : int or None
        Days that were taken where they are less than a year: then every sum is that of these days.
    met : Range
        Share of the demand that was met.
    dark : Range
        Longest spell in the year without full supply. [s]
    unmet : Range
        Time in the year in which some of the demand was not met. [s]
    generated, demanded, dumped, refused : Range
        Energy in the year. [J]
    cycles : Range
        Full cycles of the usable part in the year.
    depth : list of float
        Days of a year in which the battery was discharged into each tenth of its usable part.
    met_by_year, dark_by_year : list of float
        Year by year.
    ready : float
        Share of the year in which the sheet has the machine ready to run; here it always is.
    conclusion : Conclusion
        What it comes to.
    notes : tuple of str
        What is to be known of the wind that was taken.
    """

    revision: Revision
    weather: str
    mean_wind: float
    years: int
    met: Range
    dark: Range
    unmet: Range
    generated: Range
    demanded: Range
    dumped: Range
    refused: Range
    cycles: Range
    depth: list[float]
    met_by_year: list[float]
    dark_by_year: list[float]
    ready: float
    conclusion: enough.Conclusion
    days: int | None = None
    notes: tuple[str, ...] = ()


def years(
    session: Session,
    ref: str | None,
    count: int | None = None,
    series: Path | None = None,
    *,
    typed: WindFileTyped | None = None,
    height: str | None = None,
    tell: Callable[[float], None] | None = None,
) -> Years:
    """Take the machine of a revision and its battery through years of wind, hour by hour.

    Parameters
    ----------
    count : int, optional
        Years of made-up weather; not used with a measured series. Left out, the hours that loggers wrote are taken
        where they make a year, else :data:`YEARS` are made up.
    series : Path, optional
        A file of measured winds, see :func:`journal.review.hourly_winds.file_winds`.
    typed : WindFileTyped, optional
        What was said of it.
    height : str, optional
        Height above ground at which they were measured; where left out that of the file's head or ``--map``, else the
        rotor's.
    tell : callable, optional
        Called now and then with the share that is done.

    Raises
    ------
    Refused
        If the sheet does not say enough, naming what is missing.
    BadInput
        If the series or the height cannot be used.
    """
    of = find_revision(session, ref)
    if count is not None and not 1 <= count <= MOST_YEARS:
        raise BadInput(f"{count} years", f"Accepted: 1 to {MOST_YEARS}")
    typed = typed or WindFileTyped()
    if series is None and (typed.daily or typed.of_times or height is not None):
        raise BadInput("No file of winds is given", "Add --wind FILE, or leave out what is said of one, as --height")
    measured = None if series is None else (series.name, file_winds(session, series, typed))
    system = verdict.opened(session, of).system
    x = system.inputs()
    if x.maybe(Sheet.storage.chemistry) == "none" or not x.load:
        what, then = ("battery", "Nothing stores its energy") if x.load else ("loads", "Set some first")
        raise Refused(f"{of.ref} has no {what} on its sheet", then)
    missing = x.lacks(*over_time.YEARS_NEEDS)
    _known(of, Unknown("", missing) if missing else system.solved)
    weather = _weather(session, x, count, measured, height)
    many = count or YEARS
    out = _known(of, system.through_years(many, weather.winds, tell))
    hub = float(_known(of, over_time.climate(x)).mean if weather.winds is None else np.mean(weather.winds))
    told = _summary(of, weather.told, hub, out)
    as_it_is = _supply(told)
    tried = None
    if told.days is None and (other := enough.tries(as_it_is)) is not None:
        changed = system.through_years(many, weather.winds, power=other.power, storage=other.storage)
        tried = _supply(_summary(of, "", hub, _known(of, changed)))
    ready, conclusion = float(x.site.availability), enough.of_years(as_it_is, tried, told.days)
    return replace(told, ready=ready, conclusion=conclusion, notes=weather.notes)


class _Weather(NamedTuple):
    """Whence the wind of the years is, its hours at the rotor [m/s] unless it is made up, and what to know of it."""

    told: str
    winds: Array | None = None
    notes: tuple[str, ...] = ()


def _weather(
    session: Session, x: Inputs, count: int | None, measured: tuple[str, HourlyWinds] | None, height: str | None
) -> _Weather:
    """The hours of a file, with its name; else those that loggers wrote, unless somebody asked for made-up years."""
    if measured is None:
        return _logged(session, x) if count is None else _Weather(_made_up(x))
    name, hours = measured
    at = parse(height, _HEIGHT, "Height").value if height is not None else hours.height
    if at is None:
        return _Weather(name, hours.winds, hours.notes)
    brought = f"Brought from {show(at, 'm')}, where it was measured, to the rotor."
    return _Weather(name, _from_height(x, at) * hours.winds, (*hours.notes, brought))


def _made_up(x: Inputs) -> str:
    return f"made up from the sheet's mean{' and spread' if monthly_means(x) is None else ', spread and months'}"


def _logged(session: Session, x: Inputs) -> _Weather:
    """The hours that loggers wrote, and how they stand to the sheet; else made-up ones, and why."""
    found, weather = logged_hours(session, x), over_time.climate(x)
    if found.hours is None or isinstance(weather, Unknown):
        return _Weather(_made_up(x), notes=(found.why_not,) if found.why_not else ())
    mean = float(np.mean(found.hours.winds))
    beside = (
        f"The sheet has {show(weather.mean, 'm/s', 2)} at the rotor, these hours {show(mean, 'm/s', 2)}; other years "
        f"differ: --years {YEARS} makes up weather from the sheet."
    )
    return _Weather(found.told, found.hours.winds, (*found.hours.notes, beside))


def _supply(told: Years) -> enough.Supply:
    return enough.Supply(
        told.generated.middle, told.demanded.middle, told.met.middle, told.met.low, told.dark.high
    )  # fmt: skip


def _known(of: Revision, found: T | Unknown) -> T:
    if not isinstance(found, Unknown):
        return found
    if found.missing:
        raise Refused(
            f"{of.ref} cannot be taken through the years: missing {', '.join(found.names)}", "See: galebook missing"
        )
    raise Refused(f"{of.ref} cannot be taken through the years: {found.why}", "See: galebook check")


def _from_height(x: Inputs, measured_at: float) -> float:
    z0, hub = wind.roughness_length(x.site.ground), float(x.mast.height)
    if min(measured_at, hub) < wind.lowest_height(z0):
        raise BadInput(
            f"Over this kind of ground the wind at {measured_at:g} m says nothing of that at {hub:g} m",
            "Measure higher, or leave --height out if it was measured at the rotor",
        )
    return float(wind.log_profile(1.0, measured_at, hub, z0))


def _range(values: Array) -> Range:
    return Range(*(float(v) for v in storage_time.over_years(values)))


def _summary(of: Revision, weather: str, hub: float, out: storage_time.Outcome) -> Years:
    # A last year that is not whole would stand beside whole ones as if it were; alone it has to do.
    days = out.depth.sum(axis=-1)
    whole = days >= 365 if np.any(days >= 365) else np.ones(days.shape, dtype=bool)

    def ranged(values: Array) -> Range:
        return _range(values[whole])

    depth = out.depth[whole].sum(axis=0) / days[whole].sum() * 365.0
    part = int(days[whole].sum())
    return Years(
        revision=of,
        weather=weather,
        mean_wind=hub,
        years=int(whole.sum()),
        met=ranged(out.share_met),
        dark=ranged(out.dark),
        unmet=ranged(out.unmet),
        generated=ranged(out.generated),
        demanded=ranged(out.demanded),
        dumped=ranged(out.dumped),
        refused=ranged(out.refused),
        cycles=ranged(out.cycles),
        depth=[float(d) for d in depth],
        met_by_year=[float(v) for v in out.share_met[whole]],
        dark_by_year=[float(v) for v in out.dark[whole]],
        ready=1.0,
        days=part if part < 365 else None,
        conclusion=enough.Conclusion(enough.Enough.CANNOT_TELL, ""),
    )
