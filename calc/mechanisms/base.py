"""How a mechanism of failure is stated, and what its indicator is given.

A mechanism is one small object: what it looks like (symptoms), how the numbers speak for or against it, which
measurements would tell, and what answers it. Its indicator works on arrays with a leading axis of variants: it is
called once with the values on the sheet, for its sentence, and once with several hundred samples of all that is
doubtful (sheet, wind of the attempt, limits of the readings), for its verdict.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, TypeAlias

import numpy as np

from calc.finding import Source
from calc.machine.catalogue import Sheet
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.machine.site import HUB_NEEDS, at_hub, hub_wind
from calc.machine.solving import Solved, solve_machine
from calc.mechanisms.instruments import INSTRUMENT_FOR, INSTRUMENTS
from calc.mechanisms.look import CaseLook
from calc.quantities import WINDY
from calc.rules.engine import Text
from calc.units import Num, show

LOADED, OPEN = ("battery", "battery and loads"), ("nothing connected",)


class Verdict(StrEnum):
    """What the numbers say of a mechanism. None of them is a proof."""

    SUPPORTED = "supported"
    CANNOT_TELL = "cannot tell"
    CONTRADICTED = "contradicted"


#: Share of all samples that must agree before the numbers are said to support or contradict.
ENOUGH = 0.8
#: Readings that show a sound generator.
EMF_SOUND = ("generator.emf", "generator.resistance")
#: Symptoms that several families of mechanisms share.
HARDLY = "turns but hardly charges"
LESS, SHAKING, NO_VOLTAGE = "less power than promised", "noise or shaking", "burning smell or no voltage"
FLAT, DAMAGED, CUTS, FUSE = "battery flat", "battery damaged", "inverter cuts out", "fuse blown"


@dataclass(frozen=True, slots=True)
class Note:
    """How a reading was taken, beside its number.

    Parameters
    ----------
    label : str
        Its reference.
    visit : str
        Reference of the attempt in which it was taken: readings of one visit share its wind, or the speed of its drill.
    bench : bool
        Whether nothing but a hand or a drill turned it.
    where : str
        Where it was read, in the builder's words.
    inverter : bool
        Whether the inverter was at work.
    """

    label: str
    visit: str = ""
    bench: bool = False
    where: str = ""
    inverter: bool = False


@dataclass(frozen=True, slots=True)
class Circumstances:
    """In what the failure happened.

    Parameters
    ----------
    wind_low, wind_high : float or None
        Limits of the wind at the rotor. [m/s]
    load : str
        What was connected, one of :data:`calc.quantities.LOAD_STATES`.
    symptoms : tuple of str
        Words of :data:`calc.mechanisms.words.SYMPTOMS`.
    hours : float or None
        How long it went on. [h]
    earlier : tuple of str
        References of readings taken before it happened; they say nothing of what it left behind.
    looks : tuple of CaseLook
        What was found by looking, the newest answer of each look.
    notes : tuple of Note
        How readings were taken, as far as more is known than the number.
    told : str
        What was seen and done, in the builder's words.
    """

    wind_low: float | None = None
    wind_high: float | None = None
    load: str = "not known"
    symptoms: tuple[str, ...] = ()
    hours: float | None = None
    earlier: tuple[str, ...] = ()
    looks: tuple[CaseLook, ...] = ()
    notes: tuple[Note, ...] = ()
    told: str = ""


@dataclass(frozen=True, slots=True)
class CaseReading:
    """One reading of the failed revision.

    Parameters
    ----------
    label : str
        Its reference, such as ``"M6"``.
    value, low, high : float or array, shape (...,)
        The value, or samples between its limits; and the limits themselves. [SI]
    load : str
        What was connected.
    wind_low, wind_high : float or None
        Wind at the rotor at that time. [m/s]
    count : int
        Of how many readings it is the middle.
    """

    label: str
    value: Num
    low: float
    high: float
    load: str
    wind_low: float | None
    wind_high: float | None
    count: int = 1


def wind_at_rotor(x: Inputs, V: float, height: float | None) -> float | None:
    """Wind at the rotor from the wind at another height, in [m/s]; None where nothing is known of it."""
    carried = at_hub(x, V, height)
    return None if isinstance(carried, Unknown) else float(np.mean(carried))


def mean_wind(x: Inputs, *also: Entry[Any]) -> Num | Unknown:
    """Mean wind at the rotor, in [m/s], or all that the sheet lacks for it and for what else is needed."""
    missing = x.lacks(*HUB_NEEDS, *also)
    return Unknown("", missing) if missing else hub_wind(x)


class Case:
    """What an indicator sees: the sheet (or samples of it), the readings, and the circumstances."""

    def __init__(self, x: Inputs, c: Circumstances) -> None:
        self.x = x
        self.c = c

    def but(self, *, wind_low: float | None, wind_high: float | None, load: str) -> Case:
        """The same machine in other circumstances."""
        return type(self)(self.x, replace(self.c, wind_low=wind_low, wind_high=wind_high, load=load))

    def between(self, low: float, high: float, name: str) -> Num:
        """A number known between two limits: the middle, or samples drawn evenly."""
        if self.x.drawn is None or low == high:
            return (low + high) / 2.0
        return low + self.x.drawn.shares(name) * (high - low)

    @property
    def wind(self) -> Num | None:
        """Wind at the rotor in the attempt, in [m/s]; None where it is not on record."""
        low, high = self.c.wind_low, self.c.wind_high
        return None if low is None or high is None else self.between(max(low, 0.3), max(high, 0.3), "attempt.wind")

    def wind_text(self) -> str:
        """The same in words."""
        low, high = self.c.wind_low, self.c.wind_high
        if low is None or high is None:
            return "in a wind that is not on record"
        ends = [show(v, "m/s", 2) for v in (low, high)]
        if ends[0] == ends[1]:
            return f"in {ends[0]} at the rotor"
        return f"in {ends[0].removesuffix(' m/s')} to {ends[1]} at the rotor"

    def solved(self) -> Solved | Unknown:
        """The machine of the sheet, solved."""
        return solve_machine(self.x)

    @property
    def loaded(self) -> bool:
        """Whether the battery held the rotor, as far as is on record."""
        return self.c.load in (*LOADED, "not known")

    def readings(self, quantity: str, loads: tuple[str, ...] = (), *, since: bool = False) -> list[CaseReading]:
        """Readings of a quantity on this revision that say something of the failure, oldest first.

        Those that move with the wind count only if taken in a wind like that of the failure.

        Parameters
        ----------
        quantity : str
            Name in :mod:`calc.quantities`.
        loads : tuple of str
            Only readings under one of these; all where empty.
        since : bool
            Only readings taken when it had happened.
        """
        found = self.all_readings(quantity, loads)
        if since:
            found = [r for r in found if r.label not in self.c.earlier]
        return [r for r in found if quantity not in WINDY or self._alike(r)]

    def _alike(self, r: CaseReading) -> bool:
        low, high = self.c.wind_low, self.c.wind_high
        if r.wind_low is None or r.wind_high is None or low is None or high is None:
            return r.wind_low is not None or r.load in LOADED
        return r.wind_low <= high and low <= r.wind_high

    def all_readings(self, quantity: str, loads: tuple[str, ...] = ()) -> list[CaseReading]:
        """Readings of a quantity on this revision, taken under one of some loads."""
        return self.x.shared(f"readings of {quantity}, {loads}", lambda x: Case(x, self.c)._all(quantity, loads))

    def _all(self, quantity: str, loads: tuple[str, ...]) -> list[CaseReading]:
        found = []
        for label in self.x.labels(Sheet.measured):
            at = Sheet.measured
            if self.x.maybe(at.quantity[label]) != quantity or self.x.maybe(at.value[label]) is None:
                continue
            load = str(self.x.maybe(at.load[label]) or "not known")
            if loads and load not in loads:
                continue
            low, high = self._limits(label)
            height = self.x.maybe(at.wind_height[label])
            winds = [
                None
                if V is None
                else wind_at_rotor(self.x, float(np.mean(V)), None if height is None else float(height))
                for V in (self.x.maybe(at.wind_low[label]), self.x.maybe(at.wind_high[label]))
            ]
            sampled = self.between(low, high, at.value[label].full)
            value = sampled if self.x.drawn is not None else self.x.measured[label].value
            count = int(self.x.design.get(at.count[label]) or 1)
            found.append(CaseReading(label, value, low, high, load, winds[0], winds[1], count))
        return found

    def _limits(self, label: str) -> tuple[float, float]:
        value = self.x.measured[label].value
        low, high = (self.x.maybe(end[label]) for end in (Sheet.measured.low, Sheet.measured.high))
        return float(value if low is None else low), float(value if high is None else high)


class Unread(Case):
    """The same with no reading looked at: what the sheet alone says."""

    def all_readings(self, quantity: str, loads: tuple[str, ...] = ()) -> list[CaseReading]:
        """None of them."""
        return []


@dataclass(frozen=True, slots=True)
class Indication:
    """How the numbers speak of a mechanism.

    Parameters
    ----------
    speaks : float or array, shape (...,)
        From -1, clearly against, to 1, clearly for; 0 where a value lies between both limits.
    says : callable giving str
        One sentence with figures.
    value, limit : float or array, shape (...,), optional
        What was judged, and from where on it speaks for the mechanism. [SI]
    unit : str
        The unit in which both are shown.
    what : str
        What the value is, for its range over all doubts.
    """

    speaks: Num
    says: Text
    value: Num | None = None
    limit: Num | None = None
    unit: str = ""
    what: str = ""


def grade(value: Num, supports: Num, contradicts: Num) -> Num:
    """How strongly a value speaks, between two limits of which one supports and the other contradicts.

    Parameters
    ----------
    value : float or array, shape (...,)
        Not negative.
    supports, contradicts : float or array, shape (...,)
        Positive limits; whichever is the greater tells which way the value must go.

    Returns
    -------
    speaks : float or array, shape (...,)
        Half at the limit that supports, 1 at twice as far; as much below zero on the other side; 0 between them.

    Examples
    --------
    >>> grade(0.2, 0.1, 0.03), grade(0.1, 0.1, 0.03), grade(0.05, 0.1, 0.03), grade(0.015, 0.1, 0.03)
    (1.0, 0.5, 0.0, -1.0)
    >>> bool(grade(0.5, 0.6, 0.85) > 0.5), bool(grade(0.9, 0.6, 0.85) < 0)
    (True, True)
    """
    v = np.clip(np.asarray(value, dtype=float), 1e-12, 1e12)
    rising = np.asarray(supports) >= contradicts
    past, short = np.log2(v / supports), np.log2(contradicts / v)
    past, short = np.where(rising, past, -past), np.where(rising, short, -short)
    for_, against = (0.5 + 0.5 * np.minimum(np.maximum(a, 0.0), 1.0) for a in (past, short))
    speaks = np.select([past >= 0, short >= 0], [for_, -against], 0.0)
    return float(speaks) if speaks.ndim == 0 else speaks


Indicator: TypeAlias = Callable[[Case], Indication | Unknown]
Expected: TypeAlias = "tuple[Num, Num] | None"
Expect: TypeAlias = Callable[[Case], Expected]


@dataclass(frozen=True, slots=True)
class Telling:
    """A measurement that tells.

    Parameters
    ----------
    quantity : str
        Name in :mod:`calc.quantities`; its instrument is that of :data:`INSTRUMENT_FOR`.
    supports, contradicts : str
        What value would speak for the mechanism, and what against it.
    loads : tuple of str
        What must be connected for it; empty where it does not matter.
    expects : callable, optional
        Least and greatest value if the mechanism is at work. [SI]
    since : bool
        Whether only a reading taken afterwards counts, for what it looks at is what the failure left behind.
    """

    quantity: str
    supports: str
    contradicts: str
    loads: tuple[str, ...] = ()
    expects: Expect | None = None
    since: bool = False

    @property
    def key(self) -> tuple[str, tuple[str, ...]]:
        """What is read under which load."""
        return self.quantity, self.loads

    @property
    def cost(self) -> int:
        """Rank of its instrument, the cheapest first."""
        return INSTRUMENTS.index(INSTRUMENT_FOR[self.quantity])


@dataclass(frozen=True, slots=True)
class Correction:
    """What answers a mechanism, and the names on the sheet that it would change."""

    what: str
    changes: tuple[Entry[Any], ...] = ()


@dataclass(frozen=True, slots=True)
class Mechanism:
    """One known way in which such machines fail.

    Parameters
    ----------
    id : str
        Family and name, such as ``"charging.never-reached"``. Never reused.
    title : str
        In plain words.
    symptoms : tuple of str
        Words of :data:`calc.mechanisms.words.SYMPTOMS` that it explains.
    indicate : callable
        How the numbers speak.
    sources : tuple of Source
        Where the limits come from, or that they are common practice.
    corrections : tuple of Correction
        What answers it.
    tells : tuple of Telling
        Measurements that speak for or against it.
    leaves : tuple of str
        Quantities that it leaves as the machine was designed, so that a reading as designed fits it.
    applies : callable
        Share of machines with such a sheet to which it can happen: nought where the design rules it out, one where the
        design has what fails, between where the sheet does not say.
    look : str
        What the eye can find, where no number tells.
    alters : tuple of callable
        What it alters in the solved machine, each a function of :mod:`calc.mechanisms.altering`; several where it shows
        in more than one way. Empty where it leaves the machine as it is on the sheet, for it is a fault of the design
        or of the day.
    designed : bool
        Whether its indicator speaks by the sheet alone.
    kin : str
        Mechanisms with the same word here look alike in every reading, and the same answers them.
    harmless : bool
        Whether it never fails anything, and is here so that it can be said.
    """

    id: str
    title: str
    symptoms: tuple[str, ...]
    indicate: Indicator
    sources: tuple[Source, ...]
    corrections: tuple[Correction, ...]
    tells: tuple[Telling, ...] = ()
    leaves: tuple[str, ...] = ()
    applies: Callable[[Inputs], float] = field(default=lambda x: 1.0)
    look: str = ""
    alters: tuple[Callable[[Any], Any], ...] = ()
    designed: bool = False
    kin: str = ""
    harmless: bool = False


def by_eye(why: str) -> Indicator:
    """An indicator for what no number on record tells."""

    def indicate(case: Case) -> Indication | Unknown:
        return Unknown(why)

    return indicate
