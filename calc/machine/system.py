"""One design with its doubts: everything that is computed from it, lazily and once.

Every rule, mechanism, screen and page takes what it tells of a machine from one of these, so that no two of them can
disagree, and no machine is solved twice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np

from calc.machine import over_time, spread
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.design import Design
from calc.machine.falling import fall_reach, flying, nearest_line
from calc.machine.inputs import Cache, Inputs, Unknown
from calc.machine.meter import meter_values
from calc.machine.site import HUB_NEEDS, at_hub, hub_wind
from calc.machine.solving import Solved, solve_machine
from calc.machine.year import likely, year_of_wind
from calc.physics import energy, generator
from calc.physics.arrays import Array
from calc.physics.balance import Points
from calc.physics.calendar import YEAR
from calc.physics.storage_time import Hours, Outcome
from calc.units import Num, rounded_up

T = TypeVar("T")

#: The share of samples that lie between the ends of a band or range, as percentiles. [%]
BAND = (5.0, 95.0)
#: The same for the middle half of them. [%]
HALF = (25.0, 75.0)
#: Share of the samples that must be able to exist, for a range to be told from them. Own choice, no source.
LEAST_LEFT = 1 / 3


@dataclass(frozen=True, slots=True)
class Sampling:
    """How far the samples of a machine's doubts carry.

    Parameters
    ----------
    drawn, left : int
        How many were drawn, and how many of them can exist.
    why : str
        Why the others cannot; empty where all can.
    """

    drawn: int
    left: int
    why: str = ""

    @property
    def enough(self) -> bool:
        """Whether a range can be told from those that are left."""
        return self.left >= LEAST_LEFT * self.drawn


@dataclass(frozen=True, slots=True)
class KeyFigure:
    """One figure of the solved machine, with the range in which 90 of 100 samples of the doubts put it, in SI.

    Both ends are not numbers where there is no such range: without samples, or where no doubt moves the figure.
    A wind that never comes is infinite.
    """

    name: str
    meaning: str
    value: float
    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True)
class CurveWithBand:
    """Power out of the cable over the wind, with its doubt.

    Parameters
    ----------
    winds, power : array, shape (winds,)
        Wind at the rotor [m/s], and power into battery and dump load [W].
    band_winds, low, high : array, shape (few,)
        Between ``low`` and ``high`` lie nine tenths of the samples; empty where nothing is doubtful. [m/s], [W]
    limit : float
        Wind from which the rotor is held back; infinite where nothing holds it. [m/s]
    half : tuple of array
        Between its two lies the middle half of the samples, at the same winds; empty where there is no band. [W]
    """

    winds: Array
    power: Array
    band_winds: Array
    low: Array
    high: Array
    limit: float
    half: tuple[Array, ...] = ()


@dataclass(frozen=True, slots=True)
class Throw:
    """How far a piece of a blade could fly, as far as computation and record tell.

    Parameters
    ----------
    distance : float
        How far a piece flies edge first, as the checks tell it, rounded up; or how far away one was found, if that is
        more. [m]
    held : bool
        Whether anything holds the rotor back by itself; where nothing does, no distance is the greatest.
    found : bool
        Whether a piece was found so far away, further than is computed.
    """

    distance: float
    held: bool = True
    found: bool = False


class System:
    """A design and its samples.

    Parameters
    ----------
    design : Design
        The values on the sheet.
    doubts : mapping of str to (low, high), optional
        Limits of its doubtful numbers by full name. [SI] Without it there are no samples.
    n : int, optional
        Number of samples; :data:`calc.machine.spread.SAMPLES` if left out.
    """

    def __init__(
        self, design: Design, doubts: Mapping[str, tuple[float, float]] | None = None, n: int | None = None
    ) -> None:
        self.design, self.doubts = design, doubts
        self._n = spread.SAMPLES if n is None else n
        self._plain: Cache = {}

    @property
    def samples(self) -> int:
        """How many samples were asked for."""
        return self._n

    @cached_property
    def _sampled(self) -> tuple[Inputs | None, Sampling | None]:
        """The samples that can exist, and how many those are.

        Blades wider than their pipe, or a section of which no table tells, do not make the whole range unknown:
        only those samples go.
        """
        if self.doubts is None:
            return None, None
        drawing, why = spread.Draws(self._n), ""
        while True:
            x = Inputs(spread.sample(self.design, self.doubts, drawing), None, {}, drawing)
            got = solve_machine(x)
            gone = got.stands_in_the_way(len(drawing)) if isinstance(got, Unknown) else None
            if gone is None or isinstance(self.solved, Unknown):
                if isinstance(got, Unknown) and isinstance(self.solved, Solved):
                    return x, Sampling(self._n, 0, got.why)
                return x, Sampling(self._n, len(drawing), why)
            drawing, why = drawing.without(gone), got.why if isinstance(got, Unknown) else ""
            if not Sampling(self._n, len(drawing)).enough:
                return None, Sampling(self._n, len(drawing), why)

    def forget(self) -> None:
        """Let go of all that was computed; who asks again has it computed again."""
        self._plain.clear()
        for name in ("_sampled", "curve", "figures", "power_on_grid", "year"):
            vars(self).pop(name, None)

    @property
    def sampling(self) -> Sampling | None:
        """How many samples were drawn and can exist; None where nothing is sampled."""
        return self._sampled[1]

    def inputs(self, label: str | None = None) -> Inputs:
        """The sheet for somebody who computes with it, what was computed before at hand."""
        return Inputs(self.design, label, self._plain)

    def drawn(self, label: str | None = None) -> Inputs | None:
        """The same for the samples; None where there are none."""
        many = self._sampled[0]
        return None if many is None else many.again(label)

    @property
    def solved(self) -> Solved | Unknown:
        """The machine as the sheet has it, or why it cannot be solved."""
        return solve_machine(self.inputs())

    @property
    def sampled(self) -> Solved | Unknown:
        """The machine of the samples, or why it cannot be solved."""
        many, sampling = self._sampled
        if many is not None:
            return solve_machine(many)
        if sampling is None:
            return Unknown("Nothing is sampled")
        return Unknown(f"Only {sampling.left} of {sampling.drawn} ways of the doubts can exist ({sampling.why})")

    @cached_property
    def curve(self) -> CurveWithBand | Unknown:
        """The power curve with its band."""
        one, many = self.solved, self.sampled
        if isinstance(one, Unknown):
            return one
        empty = np.empty(0)
        band = (empty, empty, empty)
        half: tuple[Array, ...] = ()
        if isinstance(many, Solved) and many.operation.running.charge.ndim > 1:
            found = np.percentile(many.operation.running.charge, (*BAND, *HALF), axis=0)
            band, half = (many.winds, found[0], found[1]), (found[2], found[3])
        limit = float(np.asarray(one.limit))
        return CurveWithBand(one.winds, one.operation.running.charge, *band, limit=limit, half=half)

    @cached_property
    def figures(self) -> dict[str, KeyFigure]:
        """Key figures by name, those that are known; empty where the machine cannot be solved."""
        one, many = self.solved, self.sampled
        if isinstance(one, Unknown):
            return {}
        plain = _figures(self.inputs(), one)
        x = self.drawn()
        spreads = {} if x is None or isinstance(many, Unknown) else _figures(x, many)
        found = {}
        for name, (meaning, value, unit) in plain.items():
            if not np.isnan(float(np.asarray(value))):
                now = float(np.asarray(value))
                low, high = _range(spreads[name][1] if name in spreads else np.nan)
                # Where a stalled rotor has a second, faster balance in one wind only, few samples meet it: what the
                # sheet itself gives belongs to its range all the same. Comparing with no number leaves none.
                found[name] = KeyFigure(
                    name, meaning, now, now if now < low else low, now if now > high else high, unit
                )
        return found

    @cached_property
    def power_on_grid(self) -> Array | Unknown:
        """Power into battery and dump load at each wind of :data:`calc.machine.over_time.GRID`, in [W]."""
        one = self.solved
        if isinstance(one, Unknown):
            return one
        x, winds = self.inputs(), over_time.GRID[1:]
        mean = Unknown("") if x.lacks(*HUB_NEEDS) else hub_wind(x)
        if isinstance(mean, Unknown):
            return np.concatenate([[0.0], np.maximum(one.running(winds).charge, 0.0)])
        # Where a field coil takes more than the generator gives, it is taken to be cut off.
        charge = likely(x, one, winds, one.operating(winds), mean, lambda p: p.charge)
        return np.concatenate([[0.0], np.maximum(charge, 0.0)])

    @cached_property
    def year(self) -> Hours | Unknown:
        """A year of the machine hour by hour in made-up wind."""
        return self._over_time(lambda x, P: over_time.every_hour(x, over_time.GRID, P))

    def through_years(
        self,
        years: int,
        wind: Array | None = None,
        tell: Callable[[float], None] | None = None,
        *,
        power: float = 1.0,
        storage: float = 1.0,
    ) -> Outcome | Unknown:
        """The machine through years of made-up or measured wind; see :func:`calc.machine.over_time.through_years`.

        With ``power`` a machine that gives so many times as much in each wind, with ``storage`` a battery of so many
        times the size.
        """
        return self._over_time(
            lambda x, P: over_time.through_years(
                x, over_time.GRID, power * P, years, wind=wind, tell=tell, storage=storage
            )
        )

    def _over_time(self, run: Callable[[Inputs, Array], T | Unknown]) -> T | Unknown:
        x, power = self.inputs(), self.power_on_grid
        if missing := x.lacks(*over_time.YEARS_NEEDS):
            return Unknown("", missing)
        if isinstance(power, Unknown):
            return power
        try:
            return run(x, power)
        except ValueError as e:
            return Unknown(str(e))

    def at_rotor(self, V: Num, height: float | None) -> Num | Unknown:
        """A wind known at a height, carried to the rotor's centre; see :func:`calc.machine.site.at_hub`."""
        return at_hub(self.inputs(), V, height)

    def shows(self, quantity: str, load: str, winds: Array) -> Array | Unknown:
        """What a meter would show on the samples; see :func:`calc.machine.meter.meter_values`."""
        many = self.sampled
        return many if isinstance(many, Unknown) else meter_values(many, quantity, load, winds)

    @property
    def fall_radius(self) -> float | None:
        """How far the mast would reach if it fell: the rotor's highest point, a tenth to spare, rounded up, in [m]."""
        h, across = self.design.get(Sheet.mast.height), self.design.get(Sheet.rotor.diameter)
        return None if h is None or across is None else rounded_up(float(fall_reach(float(h) + float(across) / 2.0)))

    @property
    def line_distance(self) -> float | None:
        """How far the nearest overhead line is, of all that the sheet states or names, in [m]."""
        line = nearest_line(self.inputs())
        return None if isinstance(line, Unknown) else float(line.away)

    def throw(self, landed: float | None = None) -> Throw | None:
        """How far a piece of a blade could fly; None where the sheet says too little.

        Parameters
        ----------
        landed : float, optional
            How far away a thrown piece was found, whichever machine it came from. [m]
        """
        if self.design.get(Sheet.mast.height) is None or self.design.get(Sheet.rotor.diameter) is None:
            return None
        flown = flying(self.inputs())
        if isinstance(flown, Unknown):
            return None
        flies, lay = rounded_up(float(np.asarray(flown.edge_first))), max(landed or 0.0, flown.found)
        return Throw(max(flies, lay), flown.held, lay > flies)


def _greatest(points: Points) -> Array:
    """Most that comes out of the cable before the winding burns, in [W]."""
    whole = ~np.logical_or.accumulate(points.winding > generator.BURNT_WINDING, axis=-1)
    return np.asarray(np.max(np.where(whole, points.charge, 0.0), axis=-1))


def _range(values: Num) -> tuple[float, float]:
    """Ends of the range of some samples; not numbers where they are unknown or all the same."""
    known = np.asarray(values, dtype=float)
    known = known[~np.isnan(known)]
    if known.size == 0 or known.min() == known.max():
        return np.nan, np.nan
    # What never comes is infinite, and nothing lies between it and another sample.
    method = "linear" if np.all(np.isfinite(known)) else "inverted_cdf"
    low, high = np.percentile(known, BAND, method=method)  # type: ignore[call-overload]
    return float(low), float(high)


def _figures(x: Inputs, solved: Solved) -> dict[str, tuple[str, Num, str]]:
    """Key figures by name: meaning, value in SI, shown unit."""
    tsr, cp = solved.rotor.best()
    points = solved.operation.running
    begins = "charging begins" if has_battery(x) else "current begins to flow"
    found: dict[str, tuple[str, Num, str]] = {
        "best_tip_speed_ratio": ("Best tip-speed ratio of the rotor", tsr, ""),
        "best_power_coefficient": ("Share of the wind's power it takes there", cp, "%"),
        "starting_wind": ("Wind in which it starts from rest", solved.starting, "m/s"),
        "charging_wind": (f"Wind in which {begins}", solved.charging, "m/s"),
        "greatest_power": ("Most that comes out of the cable", _greatest(points), "W"),
        "greatest_current": ("Current in the strongest wind it works in", solved.greatest_current, "A"),
        "free_speed": ("Speed in a storm's gust with nothing connected", solved.omega_free, "rpm"),
        "free_voltage": ("Rectified voltage then", solved.V_free, "V"),
    }
    mean = Unknown("") if x.lacks(*HUB_NEEDS) else hub_wind(x)
    if isinstance(mean, Unknown):
        return found
    year, top = year_of_wind(x, solved, mean, lambda p: p.charge), _greatest(points)
    lost = year_of_wind(x, solved, mean, lambda p: p.cable)
    share = energy.capacity_factor(year.likely / YEAR, np.maximum(top, 1e-9))
    return found | {
        "hub_wind": ("Mean wind at the rotor", mean, "m/s"),
        "yearly_energy": ("Energy in a year", year.likely, "kWh"),
        **(
            {}
            if x.drawn is None and not year.differs
            else {
                "yearly_energy_running": ("The same, if gusts always keep it running", year.running, "kWh"),
                "yearly_energy_from_rest": (
                    "The same, if it starts from rest in every wind",
                    year.from_rest,
                    "kWh",
                ),
            }
        ),
        "capacity_factor": ("Mean power over the greatest", share, "%"),
        "cable_energy": ("Lost in the cable in a year", lost.likely, "kWh"),
    }
