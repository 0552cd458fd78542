"""Minutes of a logger brought to the rotor and to the air of the site, and the curve that the rules see of them."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from sqlmodel import Session

from calc.curve import bins as by_bins
from calc.curve import uncertainty
from calc.curve.bins import Bins
from calc.curve.events import Burnt, burnt
from calc.curve.shape import CurvePoint, points_of
from calc.curve.uncertainty import Doubt, Instruments
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.site import AIR_NEEDS, HUB_NEEDS, air_density, at_hub
from calc.physics import air
from calc.physics.arrays import Array
from journal.book.sheet import RevisionSheet
from journal.book.tables import LoggerFile, Revision
from journal.logger.means import logger_files, minute_means, stated_doubts
from journal.logger.stated import StatedDoubt
from journal.review import kept

if TYPE_CHECKING:
    from calc.curve.base import MinuteMeans


@dataclass(frozen=True)
class AtSite:
    """Minutes brought to the rotor and to the air of the site."""

    wind: Array
    power: Array
    rho: float
    instruments: Instruments
    kelvin: float
    pascal: float
    temperature: bool
    pressure: bool
    carried: bool
    held: float = 1.0
    typed: dict[str, str] = field(default_factory=dict)


def brought_to_site(x: Inputs, means: MinuteMeans, stated: dict[str, StatedDoubt]) -> AtSite:
    """Wind at the rotor, power in the air of the sheet, and what of the air was recorded.

    Parameters
    ----------
    x : Inputs
        The sheet.
    means : MinuteMeans
        What loggers wrote.
    stated : dict of str to StatedDoubt
        What somebody said of their instruments, by channel; it counts in place of what is assumed.
    """
    kelvin, pascal = float(x.site.air_temperature), float(air.pressure(x.site.altitude))
    rho, temperature, pressure = by_bins.density(means, kelvin, pascal)
    height = None if np.isnan(means.height) else means.height
    wind = at_hub(x, means.wind, height)
    carried = not isinstance(wind, Unknown) and height is not None
    at_site = float(air_density(x))
    by = Instruments()
    if not temperature:
        by = replace(by, temperature=uncertainty.ASSUMED_TEMPERATURE)
    if not pressure:
        by = replace(by, pressure=uncertainty.ASSUMED_PRESSURE)
    by, typed = as_stated(by, means, stated)
    at_rotor = means.wind if isinstance(wind, Unknown) else np.asarray(wind)
    return AtSite(
        at_rotor,
        by_bins.at_density(means.power, rho, at_site),
        at_site,
        by,
        kelvin,
        pascal,
        temperature,
        pressure,
        carried,
        held=max(1.0, float(np.nan_to_num(means.step, nan=60.0)) / 60.0),
        typed=typed,
    )


def as_stated(
    by: Instruments, means: MinuteMeans, stated: dict[str, StatedDoubt]
) -> tuple[Instruments, dict[str, str]]:
    """Instruments with what was stated of them, and what was typed, by what it is of.

    Notes
    -----
    What is typed of a cup says nothing of its place, whose doubt comes on top. A power that was worked out from volts
    and amperes has the doubt of both: their shares add in squares, and amounts count at the middle voltage.
    """
    typed: dict[str, str] = {}
    if "wind" in stated:
        share, amount = stated["wind"].deviation
        share = float(np.hypot(share, uncertainty.MOUNTED))
        by, typed["wind"] = replace(by, wind_share=share, wind_least=amount), stated["wind"].typed
    if "power" in stated:
        share, amount = stated["power"].deviation
        by, typed["power"] = replace(by, power_share=share, power_least=amount), stated["power"].typed
    elif {"volts", "amps"} <= set(stated) and np.isfinite(means.volts).any():
        (volts, volt), (amps, amp) = stated["volts"].deviation, stated["amps"].deviation
        middle = float(np.nanmedian(np.abs(means.volts)))
        share = float(np.hypot(volts + volt / middle, amps))
        by = replace(by, power_share=share, power_least=amp * middle)
        typed["power"] = f"{stated['volts'].typed} of the volts, {stated['amps'].typed} of the amperes"
    if "temperature" in stated and np.isfinite(means.temperature).any():
        by = replace(by, temperature=stated["temperature"].deviation[1])
        typed["temperature"] = stated["temperature"].typed
    if "pressure" in stated and np.isfinite(means.pressure).any():
        share, amount = stated["pressure"].deviation
        by = replace(by, pressure=share * float(np.nanmean(means.pressure)) + amount)
        typed["pressure"] = stated["pressure"].typed
    return by, typed


def curve_at_site(x: Inputs, brought: AtSite) -> tuple[Bins, Doubt]:
    """The minutes in bins, with the doubt of each."""
    across = x.maybe(Sheet.rotor.diameter)
    area = None if across is None else np.pi * float(across) ** 2 / 4.0
    found = by_bins.binned(brought.wind, brought.power, brought.rho, area, brought.held)
    return found, uncertainty.doubt(found, brought.instruments, brought.kelvin, brought.pascal)


def points(
    session: Session, of: Revision, values: RevisionSheet, files: Sequence[LoggerFile]
) -> tuple[CurvePoint, ...]:
    """The measured curve as the rules see it, worked out once for the same files and the same place."""
    x = values.system.inputs()
    place: tuple[Hashable, ...] = tuple(str(x.maybe(e)) for e in (*HUB_NEEDS[1:], *AIR_NEEDS, Sheet.rotor.diameter))
    key = ("measured curve", _written(session, files), place)

    stated = stated_doubts(files, logger_files(session))

    def work() -> tuple[CurvePoint, ...]:
        return points_of(*curve_at_site(x, brought_to_site(x, minute_means(session, of), stated)))

    return kept.once(tuple[CurvePoint, ...], key, work)


def burnt_by(session: Session, of: Revision, files: Sequence[LoggerFile]) -> Burnt | None:
    """What went into the dump load by these files, worked out once for them."""
    key = ("into the dump load", _written(session, files))
    found = kept.once(tuple[Burnt, ...], key, lambda: tuple(filter(None, [burnt(minute_means(session, of))])))
    return found[0] if found else None


def _written(session: Session, files: Sequence[LoggerFile]) -> Hashable:
    """By what files are known again; what one of the place alone wrote fills what one of the machine did not tell."""
    return tuple((f.number, f.sha256, f.mapping, f.zone) for f in (*files, *logger_files(session)))
