"""The inverter against what hangs on it: starts, how far the battery sags then, and the shape of its output."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import battery_source, cells
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import MOTOR, SINE
from calc.machine.currents import (
    LOWEST_SHARE,
    greatest_of,
    has_inverter,
    inverter_lowest,
    inverter_run,
)
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import running_and_starting
from calc.machine.runs import run_resistance
from calc.physics import inverter
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule, at_least
from calc.rules.kits import INVERTERS, larger_banks, other_bank, supplied_inverter, supply_words
from calc.rules.limits import BANKS
from calc.rules.sizing import thicker_cable
from calc.rules.sources import FAULT_SOURCE, HARD_STARTS, LITHIUM_OHMS
from calc.rules.ways import Try, Way, act, change, ladder, shown
from calc.units import Num, show

#: Share of the inverter's limit that a start should leave, for starts are seldom known better. Common practice, no
#: source.
START_RESERVE = 0.2
#: Reserve above the inverter's lowest voltage. Common practice, no source.
SAG_RESERVE = 0.05

#: Power for the seconds of a start over the rated one: usual, and of the heaviest. Common practice, no source.
USUAL_SURGE, STRONG_SURGE = 2.0, 3.0
#: Powers for a start that makers state. Common practice, no source. [W]
SURGES = (
    300.0, 600.0, 800.0, 1000.0, 1200.0, 1600.0, 2000.0, 2400.0, 3000.0, 4000.0, 6000.0, 8000.0, 10000.0, 12000.0,
    16000.0, 20000.0,
)  # fmt: skip
#: Start of a motor behind a soft start, over what it draws while it runs. From memory. [-]
SOFT_STARTS = (3.0, 2.5, 2.0)
#: Voltages at which inverters can be set to cut out, over the nominal voltage: 10.5 and 10 V at 12 V. From memory.
CUT_OUTS = (LOWEST_SHARE, 10.0 / 12.0)
#: Lengths of cable between battery and inverter. Own choice. [m]
NEAR = (2.0, 1.5, 1.0, 0.75, 0.5)


@dataclass(frozen=True, slots=True)
class _Starts:
    """What the loads draw from the inverter, and what it gives, in [W].

    Parameters
    ----------
    total, start : float or array, shape (...,)
        All loads together, and that while the one with the hardest start starts.
    one, alone : float or array, shape (...,)
        The greatest single load while it runs, and the greatest single start.
    rated, most : float or array, shape (...,)
        What the inverter gives for hours, and for a moment.
    stated : bool
        Whether the latter is stated; else it is the former.
    """

    total: Num
    start: Num
    one: Num
    alone: Num
    rated: Num
    most: Num
    stated: bool

    @property
    def single(self) -> NDArray[np.bool_]:
        """Whether a single load is too much."""
        return (np.asarray(self.alone) > self.most) | (np.asarray(self.one) > self.rated)

    @property
    def together(self) -> NDArray[np.bool_]:
        """Whether all of them together are."""
        return (np.asarray(self.start) > self.most) | (np.asarray(self.total) > self.rated)

    @property
    def close(self) -> NDArray[np.bool_]:
        """Whether a start leaves no reserve."""
        short = np.asarray(self.start) > (1.0 - START_RESERVE) * np.asarray(self.most)
        return short & (np.asarray(self.start) > self.total)

    @property
    def level(self) -> NDArray[np.int_]:
        """A single load that is too much fails; what is too much only together, or leaves no reserve, is marginal."""
        return np.where(self.single, FAIL, np.where(self.together | self.close, MARGINAL, OK))


def _started(x: Inputs) -> _Starts | Unknown:
    found = running_and_starting(x)
    if isinstance(found, Unknown):
        return found
    running, starting = found
    P, top = x.inverter.power, x.maybe(Sheet.inverter.surge_power)
    start, total = inverter.worst_start(running, starting), sum(running[1:], running[0])
    if top is None and np.any(np.asarray(start) > P):
        return Unknown("", (Sheet.inverter.surge_power,))
    most = P if top is None else top
    return _Starts(total, start, greatest_of(running), greatest_of(starting), P, most, top is not None)


def _surge(x: Inputs) -> Judgement | Unknown:
    """Judge starts against the surge rating, and continuous power against the rated one.

    A single load that is too much fails. Loads that are too much only together are marginal, for they need not
    run together; so is a start that leaves no reserve, for what a load draws at that moment is seldom known.
    Without a surge rating the rated power is taken for it where that is enough already.
    """
    found = _started(x)
    if isinstance(found, Unknown):
        return found
    start, most = found.start, found.most

    def more() -> str:
        return (
            f"All loads together draw {show(found.total, 'W', 2)}, and the inverter gives {show(found.rated, 'W')} for "
            f"hours. The greatest single start is {show(found.alone, 'W', 2)}."
        )

    left = (most - start) / most
    return Judgement(
        found.level, lambda: _surge_says(found), lambda: _surge_ways(x, found), start, most, "W", left, more
    )


def _surge_says(found: _Starts) -> str:
    most, rated = show(found.most, "W"), show(found.rated, "W")
    unsaid = "" if found.stated else " That is its rated power, for no surge rating is stated."
    if found.alone > found.most:
        return (
            f"One load takes {show(found.alone, 'W', 2)} to start, more than the {most} that the inverter gives for a "
            f"moment.{unsaid}"
        )
    if found.one > found.rated:
        return f"One load draws {show(found.one, 'W', 2)}, more than the {rated} that the inverter gives for hours."
    if found.start > found.most:
        return (
            f"The hardest start takes {show(found.start, 'W', 2)} while the others run, and the inverter gives {most} "
            f"for a moment: too little for all at once.{unsaid}"
        )
    if found.total > found.rated:
        return (
            f"All loads together draw {show(found.total, 'W', 2)}, more than the {rated} that the inverter gives for "
            "hours."
        )
    left = f": less than {show(START_RESERVE, '%')} to spare" if found.close else ""
    return (
        f"The hardest start takes {show(found.start, 'W', 2)} while the others run, and the inverter gives {most} for "
        f"a moment{left}.{unsaid}"
    )


def _surge_ways(x: Inputs, found: _Starts) -> list[Way]:
    label = _hardest(x)
    # With the reserve, for nobody buys an inverter twice.
    least, most = float(found.start) / (1.0 - START_RESERVE), STRONG_SURGE * float(found.rated)
    stronger = [P for P in SURGES if max(least, float(found.most)) <= P <= most]
    if stronger and found.total <= found.rated:
        says = "Use an inverter that gives {0} or more for a few seconds."
        ways = [change(says, *ladder(Sheet.inverter.surge_power, stronger))]
    else:
        V = x.maybe(Sheet.storage.voltage)
        banks = [] if V is None else [float(V), *(U for U in BANKS if float(V) < U)]
        ways = [change(_larger_words, *(tried for U in banks for tried in _larger(x, found, U)))]
    ways += _softer(x, label)
    if found.together and not found.single:
        ways.insert(0, act(Act.DO, f"Start {label} only while the other loads are off."))
    elif not found.single:
        ways.append(act(Act.MEASURE, f"Measure what {label} draws as it starts."))
    return ways


def _hardest(x: Inputs) -> str:
    """Label of the load whose start adds most."""

    def added(label: str) -> float:
        surge, P = x.maybe(Sheet.load.surge[label]), float(x.need(Sheet.load.power[label]))
        return max(0.0 if surge is None else float(surge) - P, 0.0)

    return max(x.labels(Sheet.load), key=added)


def _softer(x: Inputs, label: str) -> Iterator[Way]:
    """A soft start for a load, where its start is harder than what that leaves."""
    P, surge = float(x.need(Sheet.load.power[label])), x.maybe(Sheet.load.surge[label])
    softer = [] if surge is None else [share * P for share in SOFT_STARTS if share * P < float(surge)]
    if softer:
        says = f"Fit a soft start that holds the start of {label} at {{0}}."
        yield change(says, *ladder(Sheet.load.surge[label], softer))


def _larger(x: Inputs, found: _Starts, bank: float) -> list[Try]:
    """Larger inverters on a bank of a voltage [V], each with the cable and the fuse that it needs."""
    least = float(found.start) / (1.0 - START_RESERVE) / USUAL_SURGE
    larger = [P for P in INVERTERS if max(float(found.rated), float(found.total), least) <= P]
    supplied = [(P, supplied_inverter(x, P, bank)) for P in larger[:4]]
    return [
        {**supply, Sheet.inverter.power: P, Sheet.inverter.surge_power: USUAL_SURGE * P}
        for P, supply in supplied
        if supply is not None
    ]


def _larger_words(tried: Try) -> str:
    P, top = (shown(e, tried[e]) for e in (Sheet.inverter.power, Sheet.inverter.surge_power))
    return supply_words(f"Use an inverter of {P} ({top} to start)", tried)


@dataclass(frozen=True, slots=True)
class _Sag:
    """The hardest start from a half-full battery.

    Parameters
    ----------
    rest, left, cut : float or array, shape (...,)
        Voltage before, at the inverter's input while the load starts, and below which it cuts out. [V]
    power : float or array, shape (...,)
        What the start draws from the battery. [W]
    own, cable : float or array, shape (...,)
        Resistance of the bank and of its cable. [ohm]
    how, note : str
        How the former is known, and where the lowest voltage is taken from.
    label : str
        The run to the inverter.
    """

    rest: Num
    left: Num
    cut: Num
    power: Num
    own: Num
    cable: Num
    how: str
    note: str
    label: str


def _sagging(x: Inputs) -> _Sag | Unknown:
    source, found, label, lowest = battery_source(x), running_and_starting(x), inverter_run(x), inverter_lowest(x)
    if isinstance(source, Unknown):
        return source
    if isinstance(found, Unknown):
        return found
    if isinstance(lowest, Unknown):
        return lowest
    if label is None:
        named = (Sheet.cable.carries["inverter"], Sheet.cable.length["inverter"], Sheet.cable.area["inverter"])
        return Unknown("No cable on the sheet carries battery to inverter", named)
    if missing := x.lacks(Sheet.cable.length[label], Sheet.cable.area[label]):
        return Unknown("", missing)
    cable, R_b = run_resistance(x, label), source.resistance.most
    (n, one), (cut, note) = cells(x), lowest
    V = n * one.nominal
    P = inverter.worst_start(*found) / x.inverter.efficiency
    return _Sag(V, inverter.sagged(V, R_b + cable, P), cut, P, R_b, cable, source.how, note, label)


def _sag(x: Inputs) -> Judgement | Unknown:
    """Judge the voltage at the inverter's input while the hardest load starts, from a half-full battery.

    The highest resistance usual for such a bank is taken, so that the sag is rather over- than understated.
    """
    sag = _sagging(x)
    if isinstance(sag, Unknown):
        return sag
    level, margin = at_least(sag.left, sag.cut, marginal=SAG_RESERVE)

    def more() -> str:
        return f"The battery's resistance is {sag.how}. The inverter cuts out below {show(sag.cut, 'V')}{sag.note}."

    return Judgement(level, lambda: _sag_says(sag), lambda: _sag_ways(x, sag), sag.left, sag.cut, "V", margin, more)


def _sag_says(sag: _Sag) -> str:
    drawn = (
        f"Half full, the battery has {show(sag.rest, 'V')}, behind {show(sag.own, 'mohm', 2)} of its own and "
        f"{show(sag.cable, 'mohm', 2)} of cable."
    )
    power, cut = show(sag.power, "W", 2), show(sag.cut, "V")
    if sag.left <= 0:
        return f"Battery and cable cannot supply a start of {power}: the voltage collapses. {drawn}"
    verdict = f"less than the {cut} at which it cuts out"
    if sag.left >= sag.cut:
        near = sag.left < (1.0 + SAG_RESERVE) * sag.cut
        verdict = f"{'only just' if near else 'well'} above the {cut} at which it cuts out"
    return (
        f"While a load starts, the inverter gets {show(sag.left, 'V')}, {verdict}. The start draws {power} from the "
        f"battery. {drawn}"
    )


def _sag_ways(x: Inputs, sag: _Sag) -> list[Way]:
    V, L = float(x.storage.voltage), float(x.need(Sheet.cable.length[sag.label]))
    lower = [share * V for share in CUT_OUTS if share * V < float(sag.cut)]
    banks = [other_bank(x, U) for U in BANKS if U > V]
    larger = larger_banks(x) if x.given(Sheet.storage.capacity) else []
    return [
        change(
            "Set the inverter to cut out at {0}, if the battery's maker permits.",
            *ladder(Sheet.inverter.input_voltage_min, lower),
        ),
        thicker_cable(x, sag.label),
        change(
            "Put the inverter nearer to the battery, {0} of cable at most.",
            *ladder(Sheet.cable.length[sag.label], [short for short in NEAR if short < L]),
        ),
        *_softer(x, _hardest(x)),
        change("Use a bank of {0} or more.", *larger),
        change("Make up a bank of {0}, with an inverter for that voltage.", *banks),
    ]


def _wave(x: Inputs) -> Judgement | Unknown:
    """Judge a stepped output: a motor on it runs hot and hums."""
    if x.inverter.wave == SINE:
        return Judgement(OK, lambda: "The output is a sine, by the sheet.")
    kinds = {label: x.maybe(Sheet.load.kind[label]) for label in x.labels(Sheet.load)}
    motors = [label for label, kind in kinds.items() if kind == MOTOR]
    unsaid = tuple(Sheet.load.kind[label] for label, kind in kinds.items() if kind is None)
    if unsaid and not motors:
        return Unknown("", unsaid)

    def says() -> str:
        if not motors:
            return "The output is stepped (modified sine), and none of the loads on the sheet is a motor."
        return (
            f"The output is stepped (modified sine), and {' and '.join(motors)} has a motor: it runs hotter by a fifth "
            "to a third, and starts harder."
        )

    def ways() -> list[Way]:
        size = show(x.inverter.power, "W")
        return [
            change(
                f"Use an inverter of {size} or more with a {{0}} output for {' and '.join(motors)}.",
                {Sheet.inverter.wave: SINE},
            )
        ]

    return Judgement(FAIL if motors else OK, says, ways)


RULES = (
    Rule(
        "inverter.surge",
        "Starting the loads",
        "inverter",
        (Sheet.inverter.power,),
        _surge,
        (HARD_STARTS, COMMON_PRACTICE),
        applies=lambda x: has_inverter(x) and bool(x.labels(Sheet.load)),
    ),
    Rule(
        "inverter.sag",
        "Battery voltage while a load starts",
        "inverter",
        (Sheet.inverter.efficiency, Sheet.storage.chemistry, Sheet.storage.voltage),
        _sag,
        (FAULT_SOURCE, LITHIUM_OHMS, Source("IEC 60228", "maximum resistance", "reproduction"), COMMON_PRACTICE),
        applies=lambda x: has_inverter(x) and bool(x.labels(Sheet.load)) and x.maybe(Sheet.storage.chemistry) != "none",
    ),
    Rule(
        "inverter.wave",
        "Shape of the output",
        "inverter",
        (Sheet.inverter.wave,),
        _wave,
        (Source("Motors on a stepped voltage run a fifth to a third hotter", "", "from memory"), COMMON_PRACTICE),
        "A motor that overheats can catch fire when nobody is there.",
        applies=lambda x: x.given(Sheet.inverter.power) and bool(x.labels(Sheet.load)),
    ),
)
