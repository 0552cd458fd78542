"""What loggers wrote of a revision: its measured power curve beside the computed one, and what happened meanwhile."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from sqlmodel import Session

from calc.curve import bins as by_bins
from calc.curve import energy, events
from calc.curve.bins import Bins, Completeness
from calc.curve.energy import YearAt
from calc.curve.shape import CurveShape, points_of, shape_of
from calc.curve.uncertainty import Doubt, Instruments
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.site import HUB_NEEDS, hub_wind
from calc.machine.system import CurveWithBand
from calc.physics.arrays import Array, Flags
from calc.physics.wind import BETZ
from calc.units import digits, show
from calc.wording import number_of
from journal.book.loggerfiles import found_in
from journal.book.records import find_revision, records_on
from journal.book.sheet import RevisionSheet
from journal.book.tables import LoggerFile, Revision
from journal.errors import Refused
from journal.logger.channels import CHANNELS
from journal.logger.means import logger_files, minute_means, stated_doubts
from journal.review import verdict
from journal.review.at_site import AtSite, brought_to_site, curve_at_site

if TYPE_CHECKING:
    from calc.curve.base import MinuteMeans

#: Mean winds for which a year is told beside that of the site. [m/s]
MEANS = (3.0, 4.0, 5.0, 6.0, 7.0)
#: Spread of the battery's voltage over its middle beyond which the curve is one of several states. Own choice.
WIDE_BATTERY = 0.1
#: Doubts told are about nine in ten: so many standard deviations. [1]
NINE_TENTHS = 1.645


@dataclass(frozen=True)
class ClaimMeasured:
    """A claim beside what was measured in its wind, in [W] and [m/s]; not a number where it was not measured."""

    ref: str
    who: str
    power: float
    wind: float
    measured: float
    doubt: float


@dataclass(frozen=True)
class YearTold:
    """Energy of a year in one mean wind: measured, and computed in the same winds and in all, in [J]."""

    measured: YearAt
    computed: float
    whole: float
    site: bool = False


@dataclass(frozen=True)
class Happened:
    """What happened while it was recorded.

    Parameters
    ----------
    energy : float
        That was recorded. [J]
    starting, charging : float
        Winds in which it began to turn, and to give power; not a number where that was not seen. [m/s]
    starts, stopped : int
        Starts seen; minutes in which it stood in a wind that should have driven it.
    storms : tuple of Spell
        The strongest first.
    calm : Spell or None
        The longest.
    furling : FurlingSeen or None
        Whether power falls beyond its top.
    days : tuple of BatteryDay
        Days of the battery, by UTC.
    dumped : float
        Energy into the dump load [J]; where ``read`` is false the most it can have been.
    read : bool
        Whether that was recorded.
    full : float or None
        Voltage at which the battery counts as full. [V]
    """

    energy: float
    starting: float
    charging: float
    starts: int
    stopped: int
    storms: tuple[events.Spell, ...]
    calm: events.Spell | None
    furling: events.FurlingSeen | None
    days: tuple[events.BatteryDay, ...]
    dumped: float
    read: bool
    full: float | None


@dataclass(frozen=True)
class Measured:
    """The measured power curve of a revision.

    Parameters
    ----------
    revision, sheet : Revision, RevisionSheet
        Whose.
    first, last : float
        Beginning and end of the record, seconds since 1970 UTC.
    hours : float
        Hours in it, gaps left out.
    bins, doubt, complete : Bins, Doubt, Completeness
        The curve, in the air of the site.
    computed : CurveWithBand or None
        The computed one; None where the sheet says too little.
    shape : CurveShape or None
        How the two stand to each other.
    years : tuple of YearTold
        For several mean winds and that of the site.
    claims : tuple of ClaimMeasured
        What was said it would do.
    happened : Happened
        Starts, storms, calms, the battery.
    cannot : tuple of str
        What the data cannot tell.
    instruments : Instruments
        Doubt of what was read, one standard deviation each.
    typed : dict of str to str
        What somebody stated of it, by what it is of: wind, power, temperature, pressure.
    """

    revision: Revision
    sheet: RevisionSheet
    first: float
    last: float
    hours: float
    bins: Bins
    doubt: Doubt
    complete: Completeness
    computed: CurveWithBand | None
    shape: CurveShape | None
    years: tuple[YearTold, ...]
    claims: tuple[ClaimMeasured, ...]
    happened: Happened
    cannot: tuple[str, ...]
    instruments: Instruments = field(default_factory=Instruments)
    typed: dict[str, str] = field(default_factory=dict)

    @cached_property
    def computed_power(self) -> Array:
        """The computed curve in the winds of the bins, in [W]; not a number where there is none."""
        c = self.computed
        return np.full(len(self.bins.wind), np.nan) if c is None else np.interp(self.bins.wind, c.winds, c.power)

    @cached_property
    def band(self) -> tuple[Array, Array]:
        """Between what nine tenths of its doubts put it, in the winds of the bins, in [W]."""
        c = self.computed
        if c is None or not len(c.band_winds):
            nothing = np.full(len(self.bins.wind), np.nan)
            return nothing, nothing
        return np.interp(self.bins.wind, c.band_winds, c.low), np.interp(self.bins.wind, c.band_winds, c.high)


def curve(session: Session, ref: str | None) -> Measured:
    """The measured power curve of a revision, with all that stands beside it.

    Raises
    ------
    Refused
        If no logger wrote of it, or not of wind and power together.
    """
    of = find_revision(session, ref)
    files = records_on(session, LoggerFile, of)
    if not files:
        raise Refused(f"No logger wrote of {of.ref}", f"Take its files in with: galebook logger FILE --on {of.ref}")
    means = minute_means(session, of)
    if not np.any(np.isfinite(means.wind) & np.isfinite(means.power)):
        raise Refused(
            f"The logger of {of.ref} wrote wind and power in no same minute, so there is no curve",
            "See the wind alone with: galebook wind",
        )
    values = verdict.opened(session, of)
    x = values.system.inputs()
    brought = brought_to_site(x, means, stated_doubts(files, logger_files(session)))
    found, u = curve_at_site(x, brought)
    computed = values.system.curve
    machine = None if isinstance(computed, Unknown) else computed
    happened = _happened(x, means, brought, found)
    begins = happened.charging if np.isfinite(happened.charging) else _computed_charging(values, found)
    return Measured(
        revision=of,
        sheet=values,
        first=float(means.time[0]),
        last=float(means.time[-1]) + 60.0,
        hours=len(means) / 60.0,
        bins=found,
        doubt=u,
        complete=by_bins.completeness(found, begins),
        computed=machine,
        shape=None if machine is None else shape_of(points_of(found, u), machine.winds, machine.power),
        years=_years(x, found, u, machine),
        claims=_claims(values, found, u),
        happened=happened,
        instruments=brought.instruments,
        typed=brought.typed,
        cannot=(*_limits(files), *_cannot(x, means, brought, found, happened)),
    )


def _computed_charging(values: RevisionSheet, found: Bins) -> float:
    figure = values.system.figures.get("charging_wind")
    first = float(found.centre[0]) + by_bins.BELOW if len(found.centre) else 3.0
    return figure.value if figure is not None and np.isfinite(figure.value) else first


def _years(x: Inputs, found: Bins, u: Doubt, machine: CurveWithBand | None) -> tuple[YearTold, ...]:
    if not found.enough.any():
        return ()
    site = Unknown("") if x.lacks(*HUB_NEEDS) else hub_wind(x)
    asked = [(mean, 2.0, False) for mean in MEANS]
    if not isinstance(site, Unknown):
        asked.append((float(np.asarray(site)), float(x.site.wind_spread), True))
    winds = found.wind[found.enough]
    told = []
    for mean, k, own in sorted(asked):
        same = whole = float("nan")
        if machine is not None:
            same = energy.year_sum(winds, np.interp(winds, machine.winds, machine.power), mean, k)
            whole = energy.year_sum(machine.winds, machine.power, mean, k)
        told.append(YearTold(energy.year_at(found, u, mean, k), same, whole, own))
    return tuple(told)


def _claims(values: RevisionSheet, found: Bins, u: Doubt) -> tuple[ClaimMeasured, ...]:
    enough = found.enough
    winds, power, off = found.wind[enough], found.power[enough], u.total[enough]
    told = []
    for c in values.claims:
        if c.power is None or c.wind_speed is None:
            continue
        within = winds.size > 1 and winds[0] <= c.wind_speed <= winds[-1]
        value, doubt = (float(np.interp(c.wind_speed, winds, y)) if within else float("nan") for y in (power, off))
        told.append(ClaimMeasured(c.ref, c.who, c.power, c.wind_speed, value, doubt))
    return tuple(told)


def _happened(x: Inputs, means: MinuteMeans, brought: AtSite, found: Bins) -> Happened:
    charging = events.charging_wind(found)
    starting, starts = events.starting_wind(means, brought.wind)
    light = charging if np.isfinite(charging) else 3.0
    full = x.maybe(Sheet.storage.charge_voltage)
    at = None if full is None else float(full)
    dumped, read = events.dumped(means, at)
    return Happened(
        energy=float(np.nansum(means.power)) * events.MINUTE,
        starting=starting,
        charging=charging,
        starts=starts,
        stopped=int(np.sum(events.stopped(means, brought.wind, charging))) if np.isfinite(charging) else 0,
        storms=tuple(events.storms(means, brought.wind)),
        calm=events.longest_calm(means, brought.wind, light),
        furling=events.furling(found),
        days=tuple(events.battery_days(means)),
        dumped=dumped,
        read=read,
        full=at,
    )


def _limits(files: Sequence[LoggerFile]) -> Iterator[str]:
    """What held the power at a limit, where something did."""
    lasted: dict[tuple[str, float], int] = {}
    for limit in (limit for file in files for limit in found_in(file).get("held", [])):
        of = (str(limit["channel"]), float(limit["value"]))
        lasted[of] = lasted.get(of, 0) + int(limit["minutes"])
    for (name, value), minutes in lasted.items():
        if name != "volts":
            held = (
                f"{CHANNELS[name].meaning} was held at {CHANNELS[name].told(value)} for {show(minutes * 60.0, 'h', 2)}"
            )
            yield (
                f"The {held}, by a controller, an inverter, or where its sensor's range ends: there the curve is that "
                "of the limit, not of the rotor."
            )


def _cannot(x: Inputs, means: MinuteMeans, brought: AtSite, found: Bins, happened: Happened) -> list[str]:
    """What the data cannot tell, what weighs most first."""
    told = [*_of_the_cup(x, means, brought, found), *_of_the_air(brought), *_of_the_bins(found)]
    volts = means.volts[np.isfinite(means.volts)]
    if volts.size:
        low, middle, high = (float(v) for v in np.percentile(volts, (5.0, 50.0, 95.0)))
        if high - low > WIDE_BATTERY * middle:
            ends = f"{show(low, 'V', 3)} to {show(high, 'V', 3)}"
            told.append(f"The battery stood at {ends}: the curve mixes them, and that of one voltage lies elsewhere.")
    else:
        told.append("The battery's voltage was not recorded: at another one the curve lies elsewhere.")
    if happened.stopped:
        hours = show(happened.stopped / 60.0 * 3600.0, "h", 2)
        told.append(f"For {hours} it stood in good wind; these minutes are in the curve and pull it down.")
    if means.step >= 60.0:
        told.append("The logger wrote a row a minute or less: single rows stand for means, and scatter more than they.")
    return told


def _of_the_cup(x: Inputs, means: MinuteMeans, brought: AtSite, found: Bins) -> list[str]:
    hub, across = x.maybe(Sheet.mast.height), x.maybe(Sheet.rotor.diameter)
    told = []
    if np.isnan(means.height):
        told.append("At what height the wind was measured is not on record; it is taken to be that at the rotor.")
    elif hub is not None and across is not None:
        apart, where = float(hub) - means.height, show(means.height, "m")
        if not brought.carried:
            told.append(f"The cup at {where} hangs too low for any rule of how the wind grows; it is taken as it is.")
        elif abs(apart) > float(across) / 2.0:
            told.append(f"The cup hangs at {where}, the rotor at {show(float(hub), 'm')}: the wind is carried by rule.")
    if found.cp.size and np.any(found.enough & (found.cp > 0.75 * BETZ)):
        most = show(float(np.nanmax(np.where(found.enough, found.cp, np.nan))), "%", 2)
        told.append(f"It seems to take {most} of the wind, more than such machines can: the wind was read too low.")
    told.append(
        "Which directions are disturbed is not on record, so none was left out."
        if np.isfinite(means.direction).any()
        else "Where the wind came from was not recorded. Behind rotor, mast or tree a cup reads too little, "
        "and the curve looks too good."
    )
    return told


def _of_the_air(brought: AtSite) -> list[str]:
    recorded = {"temperature": brought.temperature, "pressure": brought.pressure}
    missing = [what for what, there in recorded.items() if not there]
    if not missing:
        return []
    rho = f"{digits(brought.rho, 3)} kg/m3"
    return [f"No air {' or '.join(missing)} was recorded: the density is assumed, about {rho}, and is in the doubt."]


def _of_the_bins(found: Bins) -> list[str]:
    thin: Flags = (found.count > 0) & ~found.enough
    if not thin.any():
        return []
    top, many = show(float(found.centre[thin].max()), "m/s"), int(thin.sum())
    return [
        f"{number_of(many, 'bin holds', 'bins hold')} less than ten minutes, the last at {top}: that does not count."
    ]
