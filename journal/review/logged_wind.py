"""The wind alone, as a logger wrote it, and how it comes onto the sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from sqlmodel import Session, col, select

from calc.curve import wind as winds
from calc.curve.sectors import Sectors, by_sector
from calc.curve.wind import Shear, Spread, Turbulence, Weibull
from calc.machine.catalogue import Sheet, catalogue
from calc.machine.catalogue.site import MONTH_NAMES
from calc.machine.inputs import Unknown
from calc.machine.site import hub_wind
from calc.physics.arrays import Array
from calc.units import digits, show
from calc.wording import number_of
from journal.book import sheet
from journal.book.quantity import parse
from journal.book.records import current_build, find_revision, records_on
from journal.book.tables import LoggerFile, Revision
from journal.errors import BadInput, NotFound, Refused
from journal.logger.keeping import SITE
from journal.logger.means import minute_means
from journal.review import verdict

if TYPE_CHECKING:
    from calc.curve.base import MinuteMeans

#: Days from which on a mean may stand for a year's; a month that is seen in less of it than that is not put on the
#: sheet. Own choice.
DAYS, OF_MONTH = 28.0, 0.8
#: How far the fitted distribution may lie from the winds before it is said not to fit. Own choice.
FITS = 0.05
#: Winds without which no distribution is laid through them; and as many as tell all of it, for minutes that follow each
#: other are alike: of more, every second or third serves. Own choice.
FEWEST, MOST_FITTED = 50, 100_000
#: Where the search for a shape begins: that of Rayleigh.
SHAPE_BEGUN = 2.0
#: A share of one standard deviation to what is told, about nine in ten. [1]
NINE_TENTHS = 1.645


class NothingLogged(Refused):
    """No logger wrote any wind."""


@dataclass(frozen=True)
class WindFound:
    """The wind that a logger wrote.

    Parameters
    ----------
    revision : Revision or None
        Whose files; None for those of the place alone.
    first, last : float
        Beginning and end, seconds since 1970 UTC.
    days : float
        Days of minutes in it.
    height, height_low : float
        Of the cups above ground; not a number where not on record. [m]
    mean, most, gust : float
        Mean wind, the strongest minute, and the strongest row. [m/s]
    share : float
        Share of the minutes between first and last that were recorded.
    cube : float
        Mean of the cube over the cube of the mean.
    spread : Spread
        How often it blew how hard.
    weibull : Weibull or None
        The distribution; None where there is too little.
    hours, months, months_seen : array
        Mean by hour of the day (UTC), by month, and the share of each month recorded. [m/s]
    turbulence : Turbulence or None
        Over ten minutes.
    shear : Shear or None
        Growth with height.
    no_shear : str
        Why there is none.
    station : float or None
        Mean of many years by a station, over that of the same days; None where no station was given.
    doubt : float
        How far the mean may be off that of many years, nine in ten, as a share.
    on_sheet : float or None
        Mean wind on the sheet of that revision or the newest, at the height of the cup. [m/s]
    sheet_of : str
        Which revision that is.
    others : list of str
        Whose loggers wrote other wind, and how many days of it.
    sectors : Sectors or None
        From where it came; None where that was not recorded.
    """

    revision: Revision | None
    first: float
    last: float
    days: float
    height: float
    height_low: float
    mean: float
    most: float
    gust: float
    share: float
    cube: float
    spread: Spread
    weibull: Weibull | None
    hours: Array
    months: Array
    months_seen: Array
    turbulence: Turbulence | None
    shear: Shear | None
    no_shear: str
    station: float | None
    doubt: float
    on_sheet: float | None
    sheet_of: str
    others: list[str]
    sectors: Sectors | None = None

    @property
    def long_term(self) -> float:
        """Mean wind of many years, as far as it is known: the mean itself where no station told. [m/s]."""
        return self.mean if self.station is None else winds.long_term(self.mean, self.station, 1.0)

    @property
    def months_whole(self) -> int:
        """Months of the year of which enough was recorded."""
        return int(np.sum(self.months_seen >= OF_MONTH))


def wind(
    session: Session,
    ref: str | None,
    *,
    height: str | None = None,
    station: str | None = None,
    then: str | None = None,
) -> WindFound:
    """The wind that loggers wrote: of a revision, else of that revision, or the place alone, of which most was written.

    Parameters
    ----------
    height : str, optional
        Height of the cup, where the logger has none.
    station, then : str, optional
        Mean wind of a station over many years, and over the same days.

    Raises
    ------
    Refused
        If no logger wrote any wind.
    BadInput
        If only one of the station's means is given, or one cannot be read.
    """
    of, means, others = most_logged(session, ref)
    if not np.nanmax(means.wind) >= winds.STANDS:
        raise Refused(
            f"The cup of {of.ref if of else 'the place'} never turned: no minute reached {show(winds.STANDS, 'm/s')}",
            "Look whether it is wired, and what its column was taken to be: galebook logger",
        )
    return _found(session, of, means, _height(means, height), _station(station, then), others)


def _found(
    session: Session, of: Revision | None, means: MinuteMeans, given: float, ratio: float | None, others: list[str]
) -> WindFound:
    """All that is told of these minutes, the cup at that height."""
    told = np.isfinite(means.wind)
    blew, time = means.wind[told], means.time[told]
    span = float(time[-1] - time[0]) + 60.0
    shear, no_shear = _shear(means, given)
    months, seen = winds.by_month(means)
    on, held = _on_sheet(session, of, given)
    days = len(blew) / 1440.0
    return WindFound(
        revision=of,
        first=float(time[0]),
        last=float(time[-1]) + 60.0,
        days=days,
        height=given,
        height_low=means.height_low,
        mean=float(blew.mean()),
        most=float(blew.max()),
        gust=float(np.nanmax(means.gust)) if np.isfinite(means.gust).any() else float("nan"),
        share=len(blew) * 60.0 / span,
        cube=float(np.mean(blew**3) / blew.mean() ** 3),
        spread=winds.spread(blew),
        weibull=fitted_weibull(blew),
        hours=winds.by_hour(means),
        months=months,
        months_seen=seen,
        turbulence=winds.turbulence(means),
        shear=shear,
        no_shear=no_shear,
        station=ratio,
        doubt=NINE_TENTHS * winds.mean_doubt(days / 30.4, corrected=ratio is not None),
        on_sheet=held,
        sheet_of=on,
        others=others,
        sectors=by_sector(means.wind, means.direction),
    )


def _height(means: MinuteMeans, typed: str | None) -> float:
    """Height of the cup, by the logger or as typed where it has none; not a number where nobody says."""
    if typed is None:
        return means.height
    given = parse(typed, catalogue()["site.wind_height"], "Height").value
    if not math.isnan(means.height) and not math.isclose(given, means.height, rel_tol=0.01):
        raise BadInput(
            f"The logger's cup hangs at {show(means.height, 'm')} by its record, not at {show(given, 'm')}",
            "Correct the record of the file, or leave --height out",
        )
    return given


def fitted_weibull(blew: Array) -> Weibull | None:
    """The Weibull distribution of greatest likelihood; none where winds are too few, or too much alike."""
    above = blew[blew >= winds.STANDS]
    if above.size < FEWEST or np.ptp(above) < winds.STANDS:
        return None
    # A second of waiting is felt, and is spent only where a distribution can be laid.
    from scipy import stats

    some = blew[:: 1 + blew.size // MOST_FITTED]
    up = some[some >= winds.STANDS]
    # Of winds in which the cup stands it is only known how many there are.
    told = stats.CensoredData(uncensored=up, left=np.full(some.size - up.size, winds.STANDS))
    k, _, c = stats.weibull_min.fit(told, SHAPE_BEGUN, floc=0.0, scale=float(up.mean()))
    return winds.laid_through(blew, float(c), float(k))


def most_logged(session: Session, ref: str | None) -> tuple[Revision | None, MinuteMeans, list[str]]:
    """Minute means with any wind: of the revision or place named, else of where most was; and who else has some.

    Raises
    ------
    NothingLogged
        If no logger wrote any.
    Refused
        If what was kept of a file is missing.
    """
    named = ref and ref.strip().casefold() != SITE
    asked: list[Revision | None] = [find_revision(session, ref)] if named else [None]
    if not ref:
        build = current_build(session)
        newest = select(Revision).where(
            Revision.build_id == build.id, col(Revision.withdrawn_because).is_(None)
        ).order_by(col(Revision.number).desc())  # fmt: skip
        asked += [r for r in session.exec(newest) if records_on(session, LoggerFile, r)]
    found = [(of, minute_means(session, of)) for of in asked]
    told = {of.ref if of else SITE: int(np.isfinite(means.wind).sum()) for of, means in found}
    if not any(told.values()):
        raise NothingLogged(
            f"No logger wrote any wind{f' of {asked[0].ref}' if asked[0] else ''}",
            "Take its files in with: galebook logger FILE",
        )
    # Of two that recorded alike, the place's own: nothing turned before its cup.
    best = max(told, key=lambda name: told[name])
    of, means = next((of, means) for of, means in found if (of.ref if of else SITE) == best)
    others = [f"{name} ({_lasted(n)})" for name, n in told.items() if n and name != best]
    return of, means, others


def _lasted(minutes: int) -> str:
    return f"{digits(minutes / 1440.0, 2)} days" if minutes >= 2880 else f"{minutes} min"


def _station(station: str | None, then: str | None) -> float | None:
    if station is None and then is None:
        return None
    if station is None or then is None:
        raise BadInput("A station tells by two means", "Give both --station and --then, from the same mast")
    entry = catalogue()["site.mean_wind"]
    many, same = (parse(typed, entry, what).value for typed, what in ((station, "--station"), (then, "--then")))
    return float(many / same)


def _shear(means: MinuteMeans, height: float) -> tuple[Shear | None, str]:
    if not np.isfinite(means.wind_low).any():
        return None, "only one height was measured"
    if math.isnan(height) or math.isnan(means.height_low):
        return None, "the heights of the cups are not on record"
    try:
        return winds.shear(means.wind, height, means.wind_low, means.height_low), ""
    except ValueError as e:
        return None, str(e)


def _on_sheet(session: Session, of: Revision | None, height: float) -> tuple[str, float | None]:
    """The mean wind of a sheet at the height of the cup, and whose sheet."""
    try:
        about = of or find_revision(session, None)
    except NotFound:
        return "", None
    x = verdict.opened(session, about).system.inputs()
    if math.isnan(height) or x.maybe(Sheet.site.mean_wind) is None:
        return about.ref, None
    from calc.machine.site import at_hub

    hub = x.maybe(Sheet.mast.height)
    if hub is None:
        return about.ref, None
    at_rotor, up = hub_wind(x), at_hub(x, 1.0, height)
    if isinstance(at_rotor, Unknown) or isinstance(up, Unknown):
        return about.ref, None
    return about.ref, float(np.asarray(at_rotor) / np.asarray(up))


def use(session: Session, found: WindFound, on: str | None = None, correct: str | None = None) -> str:
    """Put the mean wind, its height and its spread on a sheet, as measured; say so in a sentence.

    Raises
    ------
    Refused
        If too little was recorded to stand for a year, or the height of the cup is not known.
    """
    if found.days < DAYS:
        raise Refused(
            f"{number_of(float(digits(found.days, 2)), 'day')} of wind cannot stand for a year",
            f"{digits(DAYS)} days are the least; let the logger run on",
        )
    if math.isnan(found.height):
        raise Refused("At what height the cup hangs is not on record", 'Say it: --height "8 m"')
    of = find_revision(session, on or (found.revision.ref if found.revision else None))
    note = f"logger, {digits(found.days, 3)} days" + (", corrected by a station" if found.station else "")
    mean = f"{digits(found.long_term, 3)} m/s"
    items = {
        "site.mean_wind": {"typed": mean, "provenance": "measured", "doubt": f"{digits(100 * found.doubt, 2)} %",
                           "note": note},
        "site.wind_height": {"typed": f"{digits(found.height, 3)} m", "provenance": "measured", "note": note},
    }  # fmt: skip
    if found.weibull is not None and found.weibull.apart <= FITS and 1.0 <= found.weibull.k <= 4.0:
        items["site.wind_spread"] = {"typed": digits(found.weibull.k, 3), "provenance": "measured", "note": note}
    if found.months_whole == len(MONTH_NAMES) and found.station is None:
        for number, value in enumerate(found.months, 1):
            items[f"site.month_{number:02d}"] = {"typed": f"{digits(float(value), 3)} m/s", "provenance": "measured",
                                                 "note": note}  # fmt: skip
    sheet.set_values(session, of, items, correct)
    off = digits(100 * found.doubt, 2)
    return f"{of.ref}: site.mean_wind = {mean} at {show(found.height, 'm')}, measured (± {off} %)."
