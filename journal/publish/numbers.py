"""Every number that pages and pictures show of a machine beside its records and findings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calc.curve.events import Burnt
from calc.curve.shape import CurvePoint
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.logged import measured_points
from calc.machine.site import HUB_NEEDS, hub_wind
from calc.machine.solving import Solved
from calc.machine.swinging import Campbell, campbell
from calc.machine.system import BAND, CurveWithBand, System, Throw
from calc.machine.year import yearly_energy
from calc.physics.calendar import HOUR, YEAR
from calc.physics.storage_time import Array, Hours
from calc.physics.wind import weibull_cdf, weibull_scale
from calc.units import show, show_up
from journal.book.readings import Taken
from journal.book.sheet import limits_of
from journal.book.shown import unit_told
from journal.book.tables import Claim

#: What is told of what nobody can know.
NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Reading:
    """A power that was read in a wind, each between two limits, in SI."""

    ref: str
    wind: tuple[float, float]
    power: tuple[float, float]
    value: float

    @property
    def middle(self) -> float:
        """Middle of the wind's limits."""
        return sum(self.wind) / 2


@dataclass(frozen=True)
class Claimed:
    """A power that somebody said it would give in a wind, in SI."""

    ref: str
    wind: float
    power: float


@dataclass(frozen=True)
class Blowing:
    """How often which wind blows at the rotor, by its Weibull scale [m/s] and shape."""

    scale: float
    shape: float

    def hours(self, winds: Array) -> Array:
        """Hours of a year between each wind [m/s] and the next, shape (winds - 1,)."""
        return np.diff(weibull_cdf(winds, self.scale, self.shape)) * YEAR / HOUR

    def beyond(self, share: float) -> float:
        """The wind that blows harder for only that share of the time, in [m/s]."""
        return float(self.scale * (-np.log(share)) ** (1.0 / self.shape))


@dataclass(frozen=True, eq=False)
class MachineTold:
    """One revision as pictures and pages compute with it: its system, what was read and what was claimed.

    Parameters
    ----------
    ref : str
        The revision.
    system : System
        Its design with its doubts.
    read, said : tuple
        Measurements and claims of it.
    landed : float, optional
        How far away a thrown piece of any revision was found. [m]
    burnt : Burnt or None
        What loggers saw go into the dump load.
    """

    ref: str
    system: System
    read: tuple[Taken, ...] = ()
    said: tuple[Claim, ...] = ()
    landed: float | None = None
    burnt: Burnt | None = None

    @cached_property
    def solved(self) -> Solved | None:
        """See :func:`solved_machine`."""
        return solved_machine(self.system)

    @cached_property
    def curve(self) -> CurveWithBand | None:
        """Power over wind, or None where it cannot be solved."""
        if self.solved is None:
            return None
        found = self.system.curve
        return None if isinstance(found, Unknown) else found

    @cached_property
    def logged(self) -> tuple[CurvePoint, ...]:
        """The power curve that loggers measured, bin by bin; nothing where none wrote of it."""
        return measured_points(self.system.design)

    @cached_property
    def charging(self) -> float | None:
        """Wind from which it charges [m/s], infinite where it never does; None where that cannot be computed."""
        return None if self.solved is None else float(np.asarray(self.solved.charging))

    @cached_property
    def yearly(self) -> float | None:
        """Energy into the battery in a year [J]; None where that cannot be computed."""
        if self.solved is None:
            return None
        found = yearly_energy(self.system.inputs())
        return None if isinstance(found, Unknown) else float(np.asarray(found))

    @property
    def held(self) -> str:
        """What holds the rotor back in a storm, in words."""
        kind = self.system.design.get(Sheet.rotor.overspeed)
        return NOT_KNOWN if kind is None else "nothing" if kind == "none" else str(kind)

    @cached_property
    def swinging(self) -> tuple[Campbell, float, float] | None:
        """How the mast swings and the rotor shakes it, with the range of its frequency in doubt [Hz]; or None."""
        found, many = campbell(self.system.inputs()), self.system.drawn()
        if isinstance(found, Unknown) or not np.isfinite(found.mast):
            return None
        drawn = campbell(many) if many is not None else found
        mast = found.mast if isinstance(drawn, Unknown) else drawn.mast
        low, high = np.nanpercentile(mast, BAND)
        return found, float(min(low, found.mast)), float(max(high, found.mast))

    @cached_property
    def throw(self) -> Throw | None:
        """How far a piece of a blade could fly, never less than the record; None where that cannot be computed."""
        return None if self.solved is None else self.system.throw(self.landed)

    @cached_property
    def year(self) -> Hours | None:
        """A year hour by hour in made-up wind, or None where the sheet does not say enough or names no loads."""
        if self.solved is None or not self.system.design.labels(Sheet.load.group):
            return None
        found = self.system.year
        return None if isinstance(found, Unknown) else found

    @cached_property
    def blowing(self) -> Blowing | None:
        """How often which wind blows at the rotor; None where the sheet does not say."""
        x = self.system.inputs()
        if x.lacks(Sheet.site.wind_spread, *HUB_NEEDS):
            return None
        mean, spread = hub_wind(x), float(np.asarray(x.site.wind_spread))
        if isinstance(mean, Unknown):
            return None
        return Blowing(float(np.asarray(weibull_scale(mean, spread))), spread)

    @cached_property
    def readings(self) -> list[Reading]:
        """See :func:`power_readings`."""
        return power_readings(self.system, self.read)

    @cached_property
    def claims(self) -> list[Claimed]:
        """Powers that were claimed for a wind."""
        stated = ((c.ref, c.wind_speed, c.power) for c in self.said)
        return [Claimed(ref, wind, power) for ref, wind, power in stated if wind is not None and power is not None]


def solved_machine(system: System) -> Solved | None:
    """The solved machine of a sheet, or None where it does not say enough or has no battery."""
    if system.design.get(Sheet.storage.chemistry) == "none":
        return None
    found = system.solved
    return None if isinstance(found, Unknown) else found


def charging_speed(found: Solved) -> float:
    """Speed from which the generator gives the voltage of the battery and the rectifier's own, in [rad/s]."""
    return float(np.asarray(found.machine.begins))


def power_readings(system: System, read: tuple[Taken, ...]) -> list[Reading]:
    """Powers read on a revision while it charged: as such, or as current times the voltage of the same attempt."""
    found = []
    blown: dict[tuple[float | None, ...], tuple[float, float] | None] = {}
    volts_read: dict[int | None, Taken] = {}
    for m in read:
        if m.quantity == "battery.voltage" and m.attempt_id is not None and m.value is not None:
            volts_read.setdefault(m.attempt_id, m)
    for m in read:
        if m.value is None or m.load_state not in ("battery", "battery and loads"):
            continue
        wind = (m.wind_low, m.wind_high, m.wind_height)
        if wind not in blown:
            blown[wind] = _wind_at_rotor(system, m)
        blew, limits = blown[wind], limits_of(m)
        if blew is None:
            continue
        if m.quantity == "charge.power":
            found.append(Reading(m.ref, blew, limits, m.value))
        elif m.quantity == "charge.current":
            volts = _voltage_beside(system, volts_read.get(m.attempt_id))
            if volts is not None:
                low, value, high = volts
                ends = [i * v for i in limits for v in (low, high)]
                found.append(Reading(m.ref, blew, (min(ends), max(ends)), m.value * value))
    return found


def _voltage_beside(system: System, read: Taken | None) -> tuple[float, float, float] | None:
    """Low, middle and high of the voltage that goes with a current: read in the same attempt, else the bank's."""
    if read is not None and read.value is not None:
        low, high = limits_of(read)
        return low, read.value, high
    bank = system.design.get(Sheet.storage.voltage)
    # A bank under charge stands above its nominal voltage, up to a fifth.
    return None if bank is None else (float(bank), 1.1 * float(bank), 1.2 * float(bank))


def _wind_at_rotor(system: System, m: Taken) -> tuple[float, float] | None:
    """Wind of a reading at the rotor, carried there from the height at which it blew, where that is known."""
    if m.wind_low is None or m.wind_high is None:
        return None
    low, high = (system.at_rotor(V, m.wind_height) for V in (m.wind_low, m.wind_high))
    return None if isinstance(low, Unknown) or isinstance(high, Unknown) else (float(low), float(high))


def thrown_to(of: Throw) -> str:
    """How far a piece of a blade can fly, as page, picture and sheet tell it; what was found as on record."""
    return show_up(of.distance, unit_told("m")) if of.found else show(of.distance, "m", 2)


def throw_words(of: Throw) -> str:
    """How far a piece of a blade can fly, in words that a neighbour can read."""
    far = thrown_to(of)
    if of.found:
        return f"a piece lay {far} away, and the next can fly further"
    if not of.held:
        return f"{far}, and further, for nothing on record limits how fast the rotor turns"
    return f"up to {far} with its load lost but the rotor held back; if the rotor runs away it is more"
