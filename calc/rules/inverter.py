"""The inverter: what it draws from the battery, and its fuse."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import battery_source, cells
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import MOTOR, WAVES
from calc.machine.currents import (
    Capacity,
    Current,
    greatest_of,
    inverter_current,
    inverter_lowest,
    inverter_run,
    run_capacity,
)
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import running_and_starting
from calc.machine.runs import run_resistance
from calc.physics import inverter, wiring
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least
from calc.rules.sizing import (
    capacity_known,
    capacity_words,
    continuous_level,
    fuse_fate,
    fuse_level,
    fuse_ways,
    thicker_cable,
)
from calc.rules.sources import (
    FAULT_SOURCE,
    HARD_STARTS,
    IEC_AMPACITY,
    LITHIUM_OHMS,
    NEC_AMPACITY,
    NEC_CONTINUOUS,
    NEC_SMALL,
)
from calc.rules.ways import Way, act
from calc.units import Num, show, show_down, show_up

#: Share of the inverter's limit that a start should leave, for starts are seldom known better. Common practice, no
#: source.
START_RESERVE = 0.2
#: Reserve above the inverter's lowest voltage. Common practice, no source.
SAG_RESERVE = 0.05

NEC_INPUT = Source("NEC 2017", "694.12(A)(3): current at rated power and lowest input voltage", "reproduction")
NO_RUN = "No cable on the sheet carries battery to inverter"


def _both(x: Inputs) -> tuple[str, Current, Capacity] | Unknown:
    found, label = inverter_current(x), inverter_run(x)
    if isinstance(found, Unknown):
        return found
    if label is None:
        return Unknown(NO_RUN, (Sheet.cable.carries["inverter"], Sheet.cable.area["inverter"]))
    if x.maybe(Sheet.cable.area[label]) is None:
        return Unknown("", (Sheet.cable.area[label],))
    capacity = run_capacity(x, label)
    return capacity if isinstance(capacity, Unknown) else (label, found, capacity)


def _current(x: Inputs) -> Judgement | Unknown:
    both = _both(x)
    if isinstance(both, Unknown):
        return both
    label, found, capacity = both
    I, A = found.amps, x.cable[label].area
    level, margin, limit = continuous_level(I, capacity)

    def says() -> str:
        return f"At full load the inverter draws {found.said(3)}. {capacity_words(I, A, capacity)}"

    def ways() -> list[Way]:
        less = show_down(x.inverter.power * capacity.continuous / I, "W", 2)
        keep = act(Act.DO, f"Or never load the inverter with more than {less}.")
        return [thicker_cable(x, label), keep]

    return Judgement(level, says, ways, I, limit, "A", margin, lambda: capacity_known(I, capacity))


def _fuse(x: Inputs) -> Judgement | Unknown:
    both = _both(x)
    if isinstance(both, Unknown):
        return both
    label, found, capacity = both
    I = found.amps

    def ways() -> list[Way]:
        return fuse_ways(x, label, float(I), Sheet.cable.fuse[label] if own is None else Sheet.inverter.fuse)

    own = x.maybe(Sheet.inverter.fuse)
    fuse: Num | None = x.maybe(Sheet.cable.fuse[label]) if own is None else own
    bare = own is None and x.maybe(Sheet.cable.fused[label]) is False
    if bare:
        fuse = x.maybe(Sheet.protection.main_fuse_rating)
    if bare and fuse is None:
        return Judgement(
            DANGER,
            lambda: (
                f"Nothing protects the cable to the inverter, which may carry {show(capacity.amps, 'A')}. A short "
                "circuit in it or in the inverter draws all the battery can give, and sets it on fire."
            ),
            ways,
        )
    if fuse is None:
        return Unknown("", (Sheet.inverter.fuse,))
    level, margin = fuse_level(I, fuse, capacity)

    def says() -> str:
        return (
            f"A fuse of {show(fuse, 'A')} {fuse_fate(I, fuse, capacity)}: at full load the inverter draws "
            f"{found.said(3)}, so it should be {show_up(wiring.CONTINUOUS * I, 'A')} or more, and "
            f"{show_down(capacity.fuse, 'A')} at most to suit its cable."
        )

    return Judgement(level, says, ways, fuse, capacity.fuse, "A", margin, lambda: capacity_known(I, capacity))


@dataclass(frozen=True, slots=True)
class _Starts:
    """What the loads draw from the inverter, and what it gives, in [W].

    Parameters
    ----------
    total, start : float or array, shape (...,)
        All loads together, and that while the one with the hardest start starts.
    alone : float or array, shape (...,)
        The greatest single start.
    rated, most : float or array, shape (...,)
        What the inverter gives for hours, and for a moment.
    stated : bool
        Whether the latter is stated; else it is the former.
    single, together, close : array of bool, shape (...,)
        Whether a single load is too much, all together are, and a start leaves no reserve.
    """

    total: Num
    start: Num
    alone: Num
    rated: Num
    most: Num
    stated: bool
    single: NDArray[np.bool_]
    together: NDArray[np.bool_]
    close: NDArray[np.bool_]


def _started(x: Inputs) -> _Starts | Unknown:
    found = running_and_starting(x)
    if isinstance(found, Unknown):
        return found
    running, starting = found
    P, top = x.inverter.power, x.maybe(Sheet.inverter.surge_power)
    start, total = inverter.worst_start(running, starting), sum(running[1:], running[0])
    alone, one = greatest_of(starting), greatest_of(running)
    if top is None and np.any(np.asarray(start) > P):
        return Unknown("", (Sheet.inverter.surge_power,))
    most = P if top is None else top
    return _Starts(
        total,
        start,
        alone,
        P,
        most,
        top is not None,
        single=(np.asarray(alone) > most) | (np.asarray(one) > P),
        together=(np.asarray(start) > most) | (np.asarray(total) > P),
        close=(np.asarray(start) > (1.0 - START_RESERVE) * np.asarray(most)) & (np.asarray(start) > total),
    )


def _surge(x: Inputs) -> Judgement | Unknown:
    """Judge starts against the surge rating, and continuous power against the rated one.

    A single load that is too much fails. Loads that are too much only together are marginal, for they need not
    run together; so is a start that leaves no reserve, for what a load draws at that moment is seldom known.
    Without a surge rating the rated power is taken for it where that is enough already.
    """
    found = _started(x)
    if isinstance(found, Unknown):
        return found
    level = np.where(found.single, FAIL, np.where(found.together | found.close, MARGINAL, OK))
    start, most = found.start, found.most

    def says() -> str:
        rating = "its surge rating" if found.stated else "its rated power, for no surge rating is stated"
        return (
            f"All loads together draw {show(found.total, 'W', 2)}, and the inverter gives {show(found.rated, 'W')} for "
            f"hours. When the one with the hardest start starts while the others run, it is {show(start, 'W', 2)} for "
            f"a moment, against {show(most, 'W')} ({rating}). The greatest single start is {show(found.alone, 'W')}."
        )

    return Judgement(level, says, lambda: _surge_remedy(found), start, most, "W", (most - start) / most)


def _surge_remedy(found: _Starts) -> str:
    rated = show(max(float(found.total), float(found.rated)), "W")
    if found.single:
        return (
            f"Use an inverter of {rated} or more that gives {show_up(found.start, 'W', 2)} for a few seconds, or "
            f"a soft start that holds the start below {show_down(found.most, 'W')}."
        )
    if not found.together:
        return (
            f"Use an inverter that gives {show_up(found.start / (1.0 - START_RESERVE), 'W', 2)} for a few seconds, "
            "which leaves a fifth for a start harder than stated; or measure what the load draws as it starts, or give "
            "it a soft start."
        )
    return (
        f"Start the heavy load only while the others are off, or use an inverter of {rated} that gives "
        f"{show(found.start, 'W', 2)} for a few seconds."
    )


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
    """

    rest: Num
    left: Num
    cut: Num
    power: Num
    own: Num
    cable: Num
    how: str
    note: str


def _sagging(x: Inputs) -> _Sag | Unknown:
    source, found, label, lowest = battery_source(x), running_and_starting(x), inverter_run(x), inverter_lowest(x)
    if isinstance(source, Unknown):
        return source
    if isinstance(found, Unknown):
        return found
    if isinstance(lowest, Unknown):
        return lowest
    if label is None:
        return Unknown(
            NO_RUN, (Sheet.cable.carries["inverter"], Sheet.cable.length["inverter"], Sheet.cable.area["inverter"])
        )
    if missing := x.lacks(Sheet.cable.length[label], Sheet.cable.area[label]):
        return Unknown("", missing)
    cable, R_b = run_resistance(x, label), source.resistance.most
    (n, one), (cut, note) = cells(x), lowest
    V = n * one.nominal
    P = inverter.worst_start(*found) / x.inverter.efficiency
    return _Sag(V, inverter.sagged(V, R_b + cable, P), cut, P, R_b, cable, source.how, note)


def _sag(x: Inputs) -> Judgement | Unknown:
    """Judge the voltage at the inverter's input while the hardest load starts, from a half-full battery.

    The highest resistance usual for such a bank is taken, so that the sag is rather over- than understated.
    """
    sag = _sagging(x)
    if isinstance(sag, Unknown):
        return sag
    level, margin = at_least(sag.left, sag.cut, marginal=SAG_RESERVE)

    def says() -> str:
        fall = (
            f"sags to {show(sag.left, 'V')}"
            if sag.left > 0
            else "collapses, for battery and cable cannot supply such a power"
        )
        return (
            f"A start draws {show(sag.power, 'W', 2)} from the battery. Half full, it has {show(sag.rest, 'V')}; "
            f"behind {show(sag.own, 'mohm', 2)} of its own ({sag.how}) and {show(sag.cable, 'mohm', 2)} of cable the "
            f"voltage at the inverter {fall}. The inverter cuts out below {show(sag.cut, 'V')}{sag.note}."
        )

    return Judgement(level, says, lambda: _sag_remedy(sag), sag.left, sag.cut, "V", margin)


def _sag_remedy(sag: _Sag) -> str:
    # From P = V (V0 - V) / R at the lowest voltage with some reserve.
    want, V, P = float(sag.cut) * (1.0 + SAG_RESERVE), float(sag.rest), float(sag.power)
    if want >= V:
        return (
            f"Set the inverter's lowest voltage to {show_down(V * 0.9, 'V')} or less, if the battery's maker "
            "permits; a half-full battery hardly reaches the present one."
        )
    R = want * (V - want) / P
    less = R * P / float(sag.own + sag.cable)
    return (
        f"Battery and cable together may have {show_down(R, 'mohm', 2)}: a bigger bank or one of less resistance, a "
        f"thicker and shorter cable, or starts that draw less than {show_down(less, 'W', 2)}."
    )


def _wave(x: Inputs) -> Judgement | Unknown:
    """Judge a stepped output: a motor on it runs hot and hums."""
    if x.inverter.wave == WAVES[0]:
        return Judgement(OK, lambda: "The output is a sine, as the sheet states.")
    kinds = {label: x.maybe(Sheet.load.kind[label]) for label in x.labels(Sheet.load)}
    motors = [label for label, kind in kinds.items() if kind == MOTOR]
    unsaid = tuple(Sheet.load.kind[label] for label, kind in kinds.items() if kind is None)
    if unsaid and not motors:
        return Unknown("", unsaid)

    def says() -> str:
        if not motors:
            return "The output is stepped (modified sine), and none of the loads on the sheet is a motor."
        return (
            f"The output is stepped (modified sine), and {' and '.join(motors)} has a motor: its harmonics heat the "
            "motor by a fifth to a third more, and it starts harder."
        )

    def remedy() -> str:
        return (
            f"Use an inverter of {show(x.inverter.power, 'W')} or more with a sine output for {' and '.join(motors)}."
        )

    return Judgement(FAIL if motors else OK, says, remedy)


def _has_inverter(x: Inputs) -> bool:
    return any(
        x.given(e)
        for e in (
            Sheet.inverter.power,
            Sheet.inverter.input_voltage_min,
            Sheet.inverter.efficiency,
            Sheet.inverter.fuse,
        )
    )


RULES = (
    Rule(
        "inverter.current",
        "Current the inverter draws",
        "inverter",
        (Sheet.inverter.power, Sheet.inverter.efficiency),
        _current,
        (NEC_INPUT, NEC_CONTINUOUS, *IEC_AMPACITY, *NEC_AMPACITY),
        "The cable from battery to inverter carries more current than any other, and overheats first.",
        applies=_has_inverter,
    ),
    Rule(
        "inverter.fuse",
        "Fuse of the inverter",
        "inverter",
        (Sheet.inverter.power, Sheet.inverter.efficiency),
        _fuse,
        (
            NEC_INPUT,
            NEC_CONTINUOUS,
            Source(
                "NEC 2017",
                "706.21(F): fuse at the battery, a duty above 60 V DC (706.1), below it good practice",
                "reproduction",
            ),
            NEC_SMALL,
            *IEC_AMPACITY,
            *NEC_AMPACITY,
        ),
        "A battery drives thousands of amperes into a short circuit. The fuse must be able to break such a "
        "current and sit close to the battery's terminal.",
        applies=_has_inverter,
    ),
    Rule(
        "inverter.surge",
        "Starting the loads",
        "inverter",
        (Sheet.inverter.power,),
        _surge,
        (HARD_STARTS, COMMON_PRACTICE),
        applies=lambda x: _has_inverter(x) and bool(x.labels(Sheet.load)),
    ),
    Rule(
        "inverter.sag",
        "Battery voltage while a load starts",
        "inverter",
        (Sheet.inverter.efficiency, Sheet.storage.chemistry, Sheet.storage.voltage),
        _sag,
        (FAULT_SOURCE, LITHIUM_OHMS, Source("IEC 60228", "maximum resistance", "reproduction"), COMMON_PRACTICE),
        applies=lambda x: (
            _has_inverter(x) and bool(x.labels(Sheet.load)) and x.maybe(Sheet.storage.chemistry) != "none"
        ),
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
