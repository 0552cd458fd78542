"""What meets the generator's own voltage when the battery comes off while the rotor turns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from calc.finding import Act, Source
from calc.machine.battery import charge_top, has_battery, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import RESISTANCES
from calc.machine.catalogue.storage import DUMP_PLACES, DUMPS
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import solve_machine
from calc.machine.storm import unloaded_held, unloaded_in_storm
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.kits import HELD_FROM
from calc.rules.sources import IN_OPERATION
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import Num, show, show_down, show_up

#: A lamp or heater is given up for lost beyond this share of the voltage it is made for: there a lamp lives a tenth as
#: long ("Lamp rerating", r^-12), and its law ends.
OVERRUN = 1.2
#: Voltages that things are made to withstand: charge controllers; electronics that watch cells, the higher ones those
#: that work a contactor; inputs of inverters over the nominal voltage; converters ahead of a load. From memory. [V]
CONTROLLERS = (60.0, 75.0, 100.0, 150.0, 200.0, 250.0, 450.0, 600.0)
MONITORS = (30.0, 40.0, 60.0, 80.0, 100.0, 150.0, 250.0, 500.0, 750.0, 1000.0)
INVERTER_INPUTS = (15.0 / 12.0, 16.0 / 12.0, 17.0 / 12.0, 20.0 / 12.0)
LOAD_INPUTS = (30.0, 36.0, 60.0, 75.0, 110.0, 160.0)
#: How many like lamps or heaters may hang together.
LAMPS_TOGETHER = (2, 3, 4, 5, 6, 8)
RISES = Source(
    "Battery cut off while charging: the rail rises to the open-circuit voltage within ms", "", "from memory"
)
LAMPS = Source("Lamp rerating, after the Standard Handbook for Electrical Engineers", "life r^-12", "reproduction")
BURST = (
    "Capacitors and transistors beyond their voltage burst and burn, and what has burnt no longer loads the rotor. "
    "Stop the rotor before what loads it is disconnected."
)
STOP_FIRST = "Stop the rotor before the battery is disconnected."


@dataclass(frozen=True, slots=True)
class _Thing:
    """Something that stands on the battery's voltage.

    Parameters
    ----------
    name, better : str
        What it is, at the head of a sentence; one that withstands more.
    entry : Entry
        Where the sheet has the voltage it withstands.
    sizes : tuple of float
        Voltages for which such things are sold. [V]
    each_time : str
        What else helps.
    """

    name: str
    better: str
    entry: Entry[Num]
    sizes: tuple[float, ...]
    each_time: str = STOP_FIRST


@dataclass(frozen=True, slots=True)
class _Meets:
    """A voltage that something withstands, and what it may meet, in [V].

    Parameters
    ----------
    thing, rated : _Thing and float or array, shape (...,)
        The thing, and the highest voltage it withstands.
    full, open : float or array, shape (...,)
        At the end of charge, and of the unloaded generator where the rotor is held back, or in a storm's gust where
        nothing does that.
    held : bool
        Whether a dump load on the rectifier's side stays on the rotor.
    storm : float or array, shape (...,), or None
        Of the unloaded generator in a storm's gust, should the means that holds the rotor back fail.
    stored : bool
        Whether a battery holds the voltage; else it is the grid.
    """

    thing: _Thing
    rated: Num
    full: Num
    open: Num
    held: bool
    storm: Num | None
    stored: bool

    @property
    def lost(self) -> str:
        """What happens when nothing holds the voltage any more."""
        return "the battery comes off" if self.stored else "the grid fails, or it lets go by itself,"

    @property
    def level(self) -> NDArray[np.int_]:
        """Less than a full battery gives fails; less than the free generator too, unless a dump load stays on it."""
        rated = np.asarray(self.rated)
        return np.where(rated < self.full, FAIL, np.where(rated < self.open, MARGINAL if self.held else FAIL, OK))

    def says(self) -> str:
        """What it withstands against what comes."""
        rated, full, free = show(self.rated, "V"), show(self.full, "V", 4), show_up(self.open, "V", 2)
        comes = f"if {self.lost} {'in a storm' if self.storm is None else 'while the rotor turns fast'}"
        if self.rated < self.full:
            return (
                f"{self.thing.name} withstands {rated}, less than even the {full} of the full battery. Up to {free} "
                f"come {comes}."
            )
        than = "more" if self.rated >= self.open else "less"
        text = f"{self.thing.name} withstands {rated}, {than} than the {free} that come {comes}."
        held = "The dump load on the rectifier's side holds it lower, as long as it works."
        return f"{text} {held}" if self.held and than == "less" else text

    def more(self) -> str:
        """How fast it rises, and how far where what holds the rotor back fails."""
        soon = "While the rotor turns, the voltage rises to that of the generator within milliseconds."
        if self.storm is None:
            return soon
        return f"{soon} If what holds the rotor back fails in a storm, {show_up(self.storm, 'V', 2)} may come."

    def ways(self, x: Inputs) -> list[Way]:
        """One that withstands more, a dump load that stays on the rotor, a clamp, and what helps each time."""
        larger = [V for V in self.thing.sizes if float(self.rated) < V]
        ways = [change(f"Use {self.thing.better} that withstands {{0}} or more.", *ladder(self.thing.entry, larger))]
        clamp = f"a clamp that acts below {show(self.rated, 'V')}"
        if self.held:
            ways.append(act(Act.DO, f"Fit beside the dump load {clamp} and takes the rotor's whole power."))
        elif not self.stored:
            ways.append(
                act(Act.DO, f"Connect a dump load at the rectifier itself that takes all it gives, and {clamp}.")
            )
        else:
            ways.append(_dump_beside(x, f"Connect the dump load {{0}}, and {clamp}."))
        return [*ways, act(Act.DO, self.thing.each_time)]


def _dump_beside(x: Inputs, says: str) -> Way:
    kit: dict[Entry[Any], Value] = {Sheet.dump.place: DUMP_PLACES[0]}
    if x.maybe(Sheet.dump.kind) in (None, "none"):
        kit[Sheet.dump.kind] = DUMPS[2]
    return change(says, kit)


def _meets(x: Inputs, thing: _Thing, rated: Num) -> Judgement | Unknown:
    stored, free = has_battery(x), unloaded_in_storm(x)
    # Without a battery there is none that could be full.
    full = charge_top(x) if stored else 0.0
    if full is None:
        return Unknown("", (Sheet.storage.charge_voltage,))
    if free is None:
        missing = x.lacks(Sheet.generator.emf_constant, Sheet.rotor.diameter)
        return Unknown("" if missing else "The generator's voltage in a storm cannot be told from the sheet", missing)
    held = x.maybe(Sheet.dump.kind) not in (None, "none") and x.maybe(Sheet.dump.place) == DUMP_PLACES[0]
    # A means that acts by itself keeps what comes in operation to what the rotor gives where it begins.
    works = unloaded_held(x)
    open_, storm = (free.peak, None) if works is None else (works.peak, free.peak)
    meets = _Meets(thing, rated, full, open_, held, storm, stored)
    limit = cast(Num, np.maximum(full, open_))
    margin = (rated - limit) / limit
    return Judgement(meets.level, meets.says, lambda: meets.ways(x), rated, limit, "V", margin, meets.more)


def _controller(x: Inputs) -> Judgement | Unknown:
    entry = Sheet.dump.controller_voltage
    return _meets(
        x, _Thing("The charge controller", "a charge controller", entry, CONTROLLERS), x.dump.controller_voltage
    )


def _electronics(x: Inputs) -> Judgement | Unknown:
    thing = _Thing(
        "The battery's cell monitor",
        "a cell monitor, or one that works a contactor,",
        Sheet.storage.monitor_voltage,
        MONITORS,
        "Set charging to end well below the voltage at which it disconnects.",
    )
    return _meets(x, thing, x.storage.monitor_voltage)


def _inverter(x: Inputs) -> Judgement | Unknown:
    V = x.maybe(Sheet.storage.voltage)
    sizes: tuple[float, ...] = LOAD_INPUTS if not has_battery(x) else ()
    if has_battery(x) and V is not None and not np.ndim(V):
        sizes = tuple(share * float(V) for share in INVERTER_INPUTS)
    first = STOP_FIRST if has_battery(x) else "Stop the rotor before you switch the inverter or the grid off."
    thing = _Thing("The inverter's input", "an inverter", Sheet.inverter.input_voltage_max, sizes, first)
    return _meets(x, thing, x.inverter.input_voltage_max)


def _withstands(x: Inputs) -> Num | Unknown:
    """Highest voltage that a load withstands, in [V]: as stated, or of a lamp or heater by what it is made for."""
    stated, made = x.maybe(Sheet.load.voltage_max), x.maybe(Sheet.load.voltage)
    if stated is not None:
        return stated
    if made is not None and x.maybe(Sheet.load.kind) in RESISTANCES:
        return OVERRUN * made
    return Unknown("", x.lacks(Sheet.load.voltage_max))


def _load(x: Inputs) -> Judgement | Unknown:
    rated = _withstands(x)
    if isinstance(rated, Unknown):
        return rated
    if not has_battery(x):
        return _without_battery(x, rated)
    entry = Sheet.load.voltage_max[str(x.label)]
    return _meets(x, _Thing("This load", "a load, or a converter ahead of it,", entry, LOAD_INPUTS), rated)


def _without_battery(x: Inputs, rated: Num) -> Judgement | Unknown:
    """Judge a load straight at the rectifier against the voltage that the machine gives it in its strongest wind."""
    solved = solve_machine(x)
    if isinstance(solved, Unknown):
        return solved
    along = solved.operation.running.voltage
    top = np.maximum(np.max(along, axis=-1), solved.at(solved.storm).voltage)
    level, margin = np.where(np.asarray(rated) < top, FAIL, OK), (rated - top) / top

    def says() -> str:
        fits = "more" if rated >= top else "less"
        return (
            f"This load withstands {show(rated, 'V')}, {fits} than the {show(top, 'V', 2)} that come with all loads on "
            "in the strongest wind. Without a battery nothing holds the voltage."
        )

    def ways() -> list[Way]:
        ways = [*_more_lamps(x), _held_earlier(x)]
        below = solved.winds[along <= rated]
        if len(below):
            ways.append(act(Act.DO, f"Stop the rotor and take it off above {show_down(below[-1], 'm/s', 2)}."))
        return ways

    return Judgement(level, says, ways, rated, top, "V", margin)


def _more_lamps(x: Inputs) -> list[Way]:
    """More of the same lamp or heater: in series they share the voltage, beside each other they load it down."""
    label = str(x.label)
    P, given = Sheet.load.power[label], (Sheet.load.voltage[label], Sheet.load.voltage_max[label])
    volts = [(e, float(x.need(e))) for e in given if x.given(e)]
    watts = float(x.load[label].power)
    series: list[Try] = [{P: n * watts, **{e: n * v for e, v in volts}} for n in LAMPS_TOGETHER]
    beside = ladder(P, [n * watts for n in LAMPS_TOGETHER])
    return [
        change("Put several such lamps or heaters in series, {0} together.", *series),
        change("Put more of them beside each other, {0} together.", *beside),
    ]


def _held_earlier(x: Inputs) -> Way:
    slower = [V for V in HELD_FROM if x.given(Sheet.rotor.limit_wind) and x.rotor.limit_wind > V]
    return change("Set the tail to hold the rotor back from {0}.", *ladder(Sheet.rotor.limit_wind, slower))


def _direct(x: Inputs) -> bool:
    """Whether a load hangs on direct current: its voltage is stated, or no inverter is there to feed it."""
    stated = any(x.given(e) for e in (Sheet.load.voltage, Sheet.load.voltage_max, Sheet.load.hangs_on))
    return stated or not x.given(Sheet.inverter.power)


RULES = (
    Rule(
        "dump.controller-voltage",
        "Charge controller when the battery comes off",
        "dump",
        (Sheet.dump.controller_voltage,),
        _controller,
        (IN_OPERATION, RISES),
        BURST,
        applies=lambda x: has_battery(x) and x.maybe(Sheet.dump.kind) == DUMPS[1],
    ),
    Rule(
        "storage.monitor-voltage",
        "Electronics of the battery when they disconnect it",
        "storage",
        (Sheet.storage.monitor_voltage,),
        _electronics,
        (
            IN_OPERATION,
            RISES,
            Source("Transistors and capacitors for 60 to 100 V fail first", "", "from memory"),
        ),
        BURST,
        applies=lambda x: has_lithium(x) and x.maybe(Sheet.storage.cell_monitor) is True,
    ),
    Rule(
        "inverter.input-voltage",
        "Inverter when nothing holds the voltage",
        "inverter",
        (Sheet.inverter.input_voltage_max,),
        _inverter,
        (IN_OPERATION, RISES),
        BURST,
        applies=lambda x: x.given(Sheet.inverter.power),
    ),
    Rule(
        "loads.over-voltage",
        "Loads on direct current when the voltage rises",
        "load",
        (),
        _load,
        (IN_OPERATION, RISES, LAMPS),
        "A lamp that bursts throws hot glass, and electronics beyond their voltage burn.",
        each=True,
        applies=_direct,
    ),
)
