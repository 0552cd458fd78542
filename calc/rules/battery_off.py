"""What meets the generator's own voltage when the battery comes off while the rotor turns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from calc.finding import Source
from calc.machine.battery import charge_top, has_battery, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import RESISTANCES
from calc.machine.catalogue.storage import DUMP_PLACES, DUMPS
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import solve_machine
from calc.machine.storm import unloaded_in_storm
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule
from calc.units import Num, show, show_up

#: A lamp or heater is given up for lost beyond this share of the voltage it is made for: there a lamp lives a tenth as
#: long ("Lamp rerating", r^-12), and its law ends.
OVERRUN = 1.2
RISES = Source(
    "Battery cut off while charging: the rail rises to the open-circuit voltage within ms", "", "from memory"
)
OPEN_CIRCUIT = Source("NEC 2017", "694.2: maximum voltage includes open circuit", "reproduction")
LAMPS = Source("Lamp rerating, after the Standard Handbook for Electrical Engineers", "life r^-12", "reproduction")
BURST = (
    "Capacitors and transistors beyond their voltage burst and burn, and what has burnt no longer loads the rotor. "
    "Stop the rotor before the battery is disconnected."
)


@dataclass(frozen=True, slots=True)
class _Meets:
    """A voltage that something withstands, and what it may meet, in [V].

    Parameters
    ----------
    what, rated : str and float or array, shape (...,)
        The thing, and the highest voltage it withstands.
    full, open : float or array, shape (...,)
        At the end of charge, and of the unloaded generator in a storm.
    held : bool
        Whether a dump load on the rectifier's side stays on the rotor.
    """

    what: str
    rated: Num
    full: Num
    open: Num
    held: bool

    @property
    def level(self) -> NDArray[np.int_]:
        """Less than a full battery gives fails; less than a storm gives too, unless a dump load stays on the rotor."""
        rated = np.asarray(self.rated)
        return np.where(rated < self.full, FAIL, np.where(rated < self.open, MARGINAL if self.held else FAIL, OK))


def _meets(x: Inputs, what: str, rated: Num) -> _Meets | Unknown:
    full, free = charge_top(x), unloaded_in_storm(x)
    if full is None:
        return Unknown("", (Sheet.storage.charge_voltage,))
    if free is None:
        missing = x.lacks(Sheet.generator.emf_constant, Sheet.rotor.diameter)
        return Unknown("" if missing else "The generator's voltage in a storm cannot be told from the sheet", missing)
    held = x.maybe(Sheet.dump.kind) not in (None, "none") and x.maybe(Sheet.dump.place) == DUMP_PLACES[0]
    return _Meets(what, rated, full, free.peak, held)


def _judged(x: Inputs, meets: _Meets | Unknown) -> Judgement | Unknown:
    if isinstance(meets, Unknown):
        return meets
    limit = cast(Num, np.maximum(meets.full, meets.open))

    def says() -> str:
        verdict = "more than that" if meets.rated >= limit else "less than that"
        if meets.rated < meets.full:
            verdict = f"less than even the {show(meets.full, 'V', 4)} of the full battery"
        held = " The dump load on the rectifier's side holds it lower, as long as it works." if meets.held else ""
        return (
            "If the battery comes off while the rotor turns, the voltage rises to that of the generator: up to "
            f"{show_up(meets.open, 'V', 2)} in a storm. {meets.what} withstands {show(meets.rated, 'V')}, "
            f"{verdict}.{held}"
        )

    def remedy() -> str:
        return (
            f"Use one that withstands {show_up(limit, 'V', 2)}, or a dump load on the rectifier's side with a clamp "
            f"that acts below {show(meets.rated, 'V')}, and stop the rotor before the battery is disconnected."
        )

    return Judgement(meets.level, says, remedy, meets.rated, limit, "V", (meets.rated - limit) / limit)


def _controller(x: Inputs) -> Judgement | Unknown:
    return _judged(x, _meets(x, "The charge controller", x.dump.controller_voltage))


def _electronics(x: Inputs) -> Judgement | Unknown:
    return _judged(x, _meets(x, "The battery's cell monitor", x.storage.monitor_voltage))


def _inverter(x: Inputs) -> Judgement | Unknown:
    return _judged(x, _meets(x, "The inverter", x.inverter.input_voltage_max))


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
    if has_battery(x):
        return _judged(x, _meets(x, "This load", rated))
    return _without_battery(x, rated)


def _without_battery(x: Inputs, rated: Num) -> Judgement | Unknown:
    """Judge a load straight at the rectifier against the voltage that the machine gives it in its strongest wind."""
    solved = solve_machine(x)
    if isinstance(solved, Unknown):
        return solved
    V, storm = np.max(solved.operation.running.voltage, axis=-1), solved.at(solved.storm).voltage
    top = np.maximum(V, storm)
    level, margin = np.where(np.asarray(rated) < top, FAIL, OK), (rated - top) / top

    def says() -> str:
        return (
            f"Without a battery nothing holds the voltage. With all loads on it rises to {show(top, 'V', 2)} in the "
            f"strongest wind the rotor works in; this load withstands {show(rated, 'V')}."
        )

    def remedy() -> str:
        along, fits = solved.operation.running.voltage, ""
        below = solved.winds[along <= rated]
        if len(below):
            fits = f", and take it off the machine above {show(below[-1], 'm/s', 2)} with the rotor stopped first"
        share = float(np.asarray(top) / np.asarray(rated))
        return f"Put {int(np.ceil(share))} such lamps or heaters in series, or more beside each other{fits}."

    return Judgement(level, says, remedy, rated, top, "V", margin)


def _direct(x: Inputs) -> bool:
    """Whether a load hangs on direct current: its voltage is stated, or no inverter is there to feed it."""
    stated = x.given(Sheet.load.voltage) or x.given(Sheet.load.voltage_max)
    return stated or not x.given(Sheet.inverter.power)


RULES = (
    Rule(
        "dump.controller-voltage",
        "Charge controller when the battery comes off",
        "dump",
        (Sheet.dump.controller_voltage,),
        _controller,
        (OPEN_CIRCUIT, RISES),
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
            OPEN_CIRCUIT,
            RISES,
            Source("Transistors and capacitors for 60 to 100 V fail first", "", "from memory"),
        ),
        BURST,
        applies=lambda x: has_lithium(x) and x.maybe(Sheet.storage.cell_monitor) is True,
    ),
    Rule(
        "inverter.input-voltage",
        "Inverter when the battery comes off",
        "inverter",
        (Sheet.inverter.input_voltage_max,),
        _inverter,
        (OPEN_CIRCUIT, RISES),
        BURST,
        applies=lambda x: has_battery(x) and x.given(Sheet.inverter.power),
    ),
    Rule(
        "loads.over-voltage",
        "Loads on direct current when the battery comes off",
        "load",
        (),
        _load,
        (OPEN_CIRCUIT, RISES, LAMPS),
        "A lamp that bursts throws hot glass, and electronics beyond their voltage burn.",
        each=True,
        applies=_direct,
    ),
)
