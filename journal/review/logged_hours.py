"""The wind that loggers wrote, hour by hour at the rotor, for the years of a machine."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from sqlmodel import Session

from calc.curve.hours import HOURS_OF_DAY, HourlyMeans, hourly_means
from calc.machine import over_time
from calc.machine.inputs import Inputs, Unknown
from calc.machine.site import at_hub
from calc.units import show
from journal.errors import Refused
from journal.logger import times
from journal.logger.means import logger_files
from journal.review.hourly_winds import MOST_MISSING, HourlyWinds, without_gaps
from journal.review.logged_wind import NothingLogged, most_logged

#: Days of a year.
_YEAR = 365


@dataclass(frozen=True)
class LoggedHours:
    """Logged hours that stand for the wind of whole years, or why there are none; neither where nothing was logged.

    Parameters
    ----------
    hours : HourlyWinds or None
        At the rotor. [m/s]
    told : str
        Where they are from, as a part of a sentence.
    why_not : str
        Why they are not taken, in a sentence.
    """

    hours: HourlyWinds | None = None
    told: str = ""
    why_not: str = ""


def logged_hours(session: Session, x: Inputs) -> LoggedHours:
    """The newest whole years of wind that loggers wrote, where at most a tenth of their hours is missing.

    Parameters
    ----------
    session : Session
        The journal: of all revisions and the place that is taken of which most was logged.
    x : Inputs
        The sheet of the machine, to whose rotor the wind is brought.
    """
    try:
        of, means, _ = most_logged(session, None)
    except NothingLogged:
        # There is nothing to be said of it.
        return LoggedHours()
    except Refused as e:
        return LoggedHours(why_not=f"Logged wind is not taken: {e.what}.")
    whose = f"of {of.ref}" if of else "of the place"
    zone = times.zone_named(logger_files(session, of)[0].zone)
    ahead = times.standard_ahead(zone, int(means.time[0]) * 1000) if zone else 0.0
    whole = hourly_means(means.time, means.wind, 60.0, ahead)
    years = _years(whole)
    if years is None:
        most, days = show(MOST_MISSING, "%"), show(float(np.isfinite(means.wind).sum()) * 60.0, "days", 2)
        return LoggedHours(
            why_not=f"The logger {whose} has {days} of wind; its hours are taken themselves from a whole year on, with "
            f"at most {most} missing."
        )
    if math.isnan(means.height):
        return LoggedHours(why_not=f"The logged hours {whose} are not taken: the height of their cup is not on record.")
    up = at_hub(x, 1.0, means.height)
    if isinstance(up, Unknown):
        return LoggedHours(why_not=f"The logged hours {whose} are not taken: {up.why}.")
    winds, notes = without_gaps(years, f"The logger {whose}")
    at_rotor = winds * float(np.asarray(up))
    if at_rotor.max() > over_time.GRID[-1]:
        return LoggedHours(why_not=f"The logged hours {whose} are not taken: {show(at_rotor.max(), 'm/s')} is no mean.")
    ends = (years.first, years.first + len(years.wind) * 3600.0 - 1.0)
    first, last = (times.as_text(round(at * 1000))[:10] for at in ends)
    # What was cut off to have whole years is no gap.
    notes = [n for n in notes if not n.endswith("left out.")]
    return LoggedHours(HourlyWinds(at_rotor, tuple(notes)), f"as the logger {whose} wrote it, {first} to {last}")


def _years(hours: HourlyMeans) -> HourlyMeans | None:
    """The newest whole years of which enough was recorded, as many as there are."""
    for many in range(len(hours.wind) // (HOURS_OF_DAY * _YEAR), 0, -1):
        some = hours.newest(many * _YEAR)
        if some.known.mean() >= 1.0 - MOST_MISSING:
            return some
    return None
