"""Whether what comes is enough for what is asked for: the sentence in which power and years end."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.need import battery_need
from calc.machine.site import YEAR_NEEDS, hub_wind
from calc.physics.calendar import YEAR
from calc.units import show
from journal.errors import stopped
from journal.review.wording import range_text

if TYPE_CHECKING:
    from calc.machine.system import KeyFigure, System

#: Times the demand from which the year's energy has something to spare for calm weeks, as the rule of it has it.
SPARE = 1.5


class Enough(StrEnum):
    """How what comes stands to what is asked for."""

    TOO_LITTLE = "too little"
    OPEN = "open"
    JUST = "just enough"
    ENOUGH = "enough"
    HALF_WOULD_DO = "half would do"
    NOTHING_ASKED = "nothing asked for"
    NOT_STORED = "nothing stored"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Conclusion:
    """How what comes stands to what is asked for, in a word and in a sentence."""

    enough: Enough
    says: str


def judged(come: float, low: float, high: float, asked: float) -> Enough:
    """How an energy between two limits stands to what is asked for; the limits are the energy itself without doubt.

    Examples
    --------
    >>> [str(judged(v, v / 2, 2 * v, 81.0)) for v in (30.0, 81.0, 180.0, 560.0)]
    ['too little', 'open', 'enough', 'half would do']
    """
    if math.isnan(low) or math.isnan(high):
        low = high = come
    if high < asked:
        return Enough.TOO_LITTLE
    if low < asked:
        return Enough.OPEN
    if come >= 2.0 * SPARE * asked and low >= 2.0 * asked:
        return Enough.HALF_WOULD_DO
    return Enough.ENOUGH if come >= SPARE * asked else Enough.JUST


def times(come: float, asked: float) -> str:
    """What comes as a multiple or a share of what is asked for."""
    ratio = come / asked
    if ratio >= SPARE:
        return f"{show(ratio, '', 2)} times what the loads need"
    return f"{show(ratio, '%', 2)} of what the loads need"


def of_year(system: System) -> Conclusion:
    """What the year's energy comes to, with its doubt, beside what the loads on the sheet ask for."""
    x, figure = system.inputs(), system.figures.get("yearly_energy")
    if figure is None:
        lacks = [Unknown("", missing)] if (missing := x.lacks(*YEAR_NEEDS)) else [hub_wind(x)]
        why = next((_why(u) for u in (system.solved, *lacks) if isinstance(u, Unknown)), "it is not known")
        return Conclusion(Enough.CANNOT_TELL, f"What a year brings cannot be told: {stopped(why)}")
    if not has_battery(x):
        brings = f"{_energy(figure)} while it blows, and nothing is stored for the hours when it does not."
        return Conclusion(Enough.NOT_STORED, brings)
    if not x.labels(Sheet.load):
        return Conclusion(
            Enough.NOTHING_ASKED, f"{_energy(figure)}, and nothing is asked for: no load is on the sheet."
        )
    need = battery_need(x)
    if isinstance(need, Unknown):
        unsaid = f"{_energy(figure)}; what is asked for cannot be told: {stopped(_why(need))}"
        return Conclusion(Enough.CANNOT_TELL, unsaid)
    return _beside(figure, float(need.mean) * YEAR)


def _why(found: Unknown) -> str:
    return f"missing {', '.join(found.names)}" if found.missing else found.why


def _energy(f: KeyFigure) -> str:
    ends = "" if math.isnan(f.low) else f" ({_bare(f.low)} to {_bare(f.high)})"
    return f"{show(f.value, 'kWh', 2)} a year come{ends}"


def _bare(energy: float) -> str:
    """An energy beside another in the same unit."""
    return show(energy, "kWh", 2).removesuffix(" kWh")


def _beside(f: KeyFigure, asked: float) -> Conclusion:
    found = judged(f.value, f.low, f.high, asked)
    known = not math.isnan(f.low)
    much, likely = times(f.value, asked), "enough" if f.value >= asked else "too little"
    sentence = {
        Enough.TOO_LITTLE: f"{much}, too little{' whatever the doubts' if known else ''}",
        Enough.OPEN: f"{much}, likely {likely}, but the doubts reach from "
        f"{range_text(f.low / asked, f.high / asked, '%')}; galebook doubts tells what to find out",
        Enough.JUST: f"{much}, with little to spare for calm weeks",
        Enough.ENOUGH: f"{much}, enough{' whatever the doubts' if known else ''}",
        Enough.HALF_WOULD_DO: f"{much}; half would do",
    }[found]
    return Conclusion(found, f"{_energy(f)}, {_bare(asked)} are asked for: {sentence}.")


@dataclass(frozen=True, slots=True)
class Supply:
    """What years bring: energy that came and was asked for in a usual year [J], the share met, its worst spell [s].

    ``met_low`` is the share that was met in a poor year, one of ten.
    """

    come: float
    asked: float
    met: float
    met_low: float
    dark: float

    @property
    def whole(self) -> bool:
        """Whether nothing went short, in poor years either, to the figures that are shown."""
        return self.met_low >= 0.9995

    @property
    def short(self) -> float:
        """Share that went short in a usual year."""
        return 1.0 - self.met


def of_years(as_it_is: Supply, changed: Supply | None, days: int | None = None) -> Conclusion:
    """What years of wind come to, with what was tried: half the machine where it makes plenty, else twice the battery.

    Parameters
    ----------
    as_it_is : Supply
        As the sheet has it.
    changed : Supply or None
        The same winds with the change that :func:`tries` names; None where it names none.
    days : int, optional
        Days that were taken, where they are no whole year: of a year nothing is concluded then.
    """
    s = as_it_is
    if days is not None:
        return _of_days(s, days)
    head = f"{show(s.come, 'kWh', 2)} come in a usual year, {_bare(s.asked)} are asked for: "
    much = times(s.come, s.asked)
    if s.come < s.asked:
        return Conclusion(Enough.TOO_LITTLE, f"{head}{much}, too little; the loads get {_share(s.met)} of it.")
    if s.whole:
        if changed is None:
            return Conclusion(Enough.ENOUGH, f"{head}{much}, and they never go short.")
        if changed.whole:
            return Conclusion(Enough.HALF_WOULD_DO, f"{head}{much}, and they never go short; half would do.")
        left = f"half would leave them short of {_share(1.0 - changed.met_low)} in a poor year"
        return Conclusion(Enough.ENOUGH, f"{head}{much}, and they never go short; {left}.")
    went = f"yet {_share(max(s.short, 0.0))} of it does not come when it is wanted" if s.short >= 5e-4 else (
        f"yet in a poor year {_share(1.0 - s.met_low)} of it does not come when it is wanted"
    )  # fmt: skip
    spell = f", up to {show(s.dark, 'days', 2)} in a row" if s.dark >= 86400.0 else ""
    return Conclusion(Enough.JUST, f"{head}{much}, {went}{spell}; {_battery(s, changed)}.")


def _of_days(s: Supply, days: int) -> Conclusion:
    """What less than a year of wind came to; what other seasons bring is not in it, so no verdict is given."""
    these, them = (f"these {days} days", "them") if days > 1 else ("this one day", "it")
    went = "and they never went short" if s.whole else f"and got {_share(s.met)} of it"
    return Conclusion(
        Enough.CANNOT_TELL,
        f"{show(s.come, 'kWh', 2)} came in {these}, {_bare(s.asked)} were asked for: {times(s.come, s.asked)}, "
        f"{went}. What a year brings cannot be told from {them}.",
    )


class OtherYears(NamedTuple):
    """Other years: a machine that gives so many times as much, a battery of so many times the size."""

    power: float = 1.0
    storage: float = 1.0


def tries(s: Supply) -> OtherYears | None:
    """What is tried beside years as they are; None where it would tell nothing."""
    if s.come < s.asked:
        return None
    if s.whole:
        return OtherYears(power=0.5) if s.come >= 2.0 * s.asked else None
    return OtherYears(storage=2.0)


def _battery(s: Supply, changed: Supply | None) -> str:
    if changed is None:
        return "a bigger battery was not tried"
    if changed.whole:
        return "twice the battery would bring them all"
    before, after = 1.0 - s.met_low, 1.0 - changed.met_low
    if after <= 0.5 * before:
        return f"twice the battery would leave {_share(after)} short in a poor year"
    return "twice the battery would change little, so more has to come in the calm months, or less be asked for"


def _share(value: float) -> str:
    return show(value, "%", 3 if value > 0.9 else 2)
