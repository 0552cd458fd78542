"""The inverter: what it draws from the battery, and its fuse."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import bank, cells
from calc.machine.catalogue import Sheet
from calc.machine.currents import (
    Capacity,
    Current,
    greatest,
    inverter_current,
    inverter_lowest,
    inverter_run,
    run_capacity,
)
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import starts
from calc.machine.runs import run_resistance
from calc.physics import inverter, wiring
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule, at_least
from calc.rules.sizing import and_for_voltage, carried, hours_level, window_fate, window_level, window_remedy
from calc.rules.sources import (
    FAULT_SOURCE,
    HARD_STARTS,
    IEC_AMPACITY,
    LITHIUM_OHMS,
    NEC_AMPACITY,
    NEC_CONTINUOUS,
    NEC_SMALL,
)
from calc.units import Num, show

#: Share of the inverter's limit that a start should leave, for starts are seldom known better. Common practice, no
#: source.
START_RESERVE = 0.2
#: Reserve above the inverter's lowest voltage. Common practice, no source.
SAG_RESERVE = 0.05

NEC_INPUT = Source("NEC 2017", "694.12(A)(3): current at rated power and lowest input voltage", "reproduction")
NO_RUN = "No cable run on the sheet carries battery to inverter"


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
    level, margin, limit = hours_level(I, capacity)

    def says() -> str:
        return f"At full load the inverter draws {found.said()}. {carried(I, A, capacity, ', the cable to it,')}"

    def remedy() -> str:
        size = capacity.smallest_for(float(I))
        power = show(x.inverter.power * capacity.lasting / I, "W", 2)
        bigger = (
            f"Take {wiring.size_name(size)} or more" if size else "No size in the table will do; double the voltage"
        )
        more = and_for_voltage(x, label, I, size)
        return f"{bigger}, or keep the inverter's load below {power}.{more}"

    return Judgement(level, says, remedy, I, limit, "A", margin)


def _fuse(x: Inputs) -> Judgement | Unknown:
    both = _both(x)
    if isinstance(both, Unknown):
        return both
    label, found, capacity = both
    I = found.amps

    def remedy() -> str:
        return window_remedy(x, label, float(I), capacity)

    own = x.maybe(Sheet.inverter.fuse)
    fuse: Num | None = x.maybe(Sheet.cable.fuse[label]) if own is None else own
    if own is None and x.maybe(Sheet.cable.fused[label]) is False:
        return Judgement(
            FAIL,
            lambda: (
                f"Nothing protects the cable to the inverter, which may carry {show(capacity.amps, 'A')}. A short "
                "circuit in it or in the inverter draws all the battery can give, and sets it on fire."
            ),
            remedy,
        )
    if fuse is None:
        return Unknown("", (Sheet.inverter.fuse,))
    level, margin = window_level(I, fuse, capacity)

    def says() -> str:
        return (
            f"At full load the inverter draws {found.said()}, so its fuse should be "
            f"{show(wiring.CONTINUOUS * I, 'A')} or more, and {show(capacity.fuse, 'A')} at most to suit its cable "
            f"({capacity.standing()}). A fuse of {show(fuse, 'A')} {window_fate(I, fuse, capacity)}."
        )

    return Judgement(level, says, remedy, fuse, capacity.fuse, "A", margin)


def _surge(x: Inputs) -> Judgement | Unknown:
    """Judge starts against the surge rating, and lasting power against the rated one.

    A single load that is too much fails. Loads that are too much only together are marginal, for they need not
    run together; so is a start that leaves no reserve, for what a load draws at that moment is seldom known.
    Without a surge rating the rated power stands in where that is enough already.
    """
    found = starts(x)
    if isinstance(found, Unknown):
        return found
    running, starting = found
    P, top = x.inverter.power, x.maybe(Sheet.inverter.surge_power)
    start, total = inverter.worst_start(running, starting), sum(running[1:], running[0])
    alone, one = greatest(starting), greatest(running)
    if top is None and np.any(np.asarray(start) > P):
        return Unknown("", (Sheet.inverter.surge_power,))
    most = P if top is None else top
    together = (np.asarray(start) > most) | (np.asarray(total) > P)
    single = (np.asarray(alone) > most) | (np.asarray(one) > P)
    close = (np.asarray(start) > (1.0 - START_RESERVE) * np.asarray(most)) & (np.asarray(start) > total)
    level = np.where(single, FAIL, np.where(together | close, MARGINAL, OK))

    def says() -> str:
        rating = "its rated power, for no surge rating is stated" if top is None else "its surge rating"
        return (
            f"All loads together draw {show(total, 'W', 2)}, and the inverter gives {show(P, 'W')} for hours. When "
            f"the one with the hardest start starts while the others run, it is {show(start, 'W', 2)} for a moment, "
            f"against {show(most, 'W')} ({rating}). The greatest single start is {show(alone, 'W')}."
        )

    def remedy() -> str:
        rated = show(max(float(total), float(P)), "W")
        if single:
            return (
                f"Take an inverter of {rated} or more that bears {show(start, 'W', 2)} for a few seconds, or "
                f"a soft start that holds the start below {show(most, 'W')}."
            )
        if not together:
            return (
                f"Take an inverter that bears {show(start / (1.0 - START_RESERVE), 'W', 2)} for a few seconds, which "
                "leaves a fifth for a start harder than stated; or measure what the load draws as it starts, or give "
                "it a soft start."
            )
        return (
            f"Start the heavy load only while the others are off, or take an inverter of {rated} that bears "
            f"{show(start, 'W', 2)} for a few seconds."
        )

    return Judgement(level, says, remedy, start, most, "W", (most - start) / most)


def _sag(x: Inputs) -> Judgement | Unknown:
    """Judge the voltage at the inverter's input while the hardest load starts, from a half-full battery.

    The highest resistance usual for such a bank is taken, so that the sag is rather over- than understated.
    """
    source, found, label, lowest = bank(x), starts(x), inverter_run(x), inverter_lowest(x)
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
    L, A = x.maybe(Sheet.cable.length[label]), x.maybe(Sheet.cable.area[label])
    if L is None or A is None:
        names = ((Sheet.cable.length[label], L), (Sheet.cable.area[label], A))
        return Unknown("", tuple(n for n, v in names if v is None))
    cable, R_b = run_resistance(x, label), source.resistance.most
    (n, one), (cut, note) = cells(x), lowest
    V = n * one.nominal
    P = inverter.worst_start(*found) / x.inverter.efficiency
    left = inverter.sagged(V, R_b + cable, P)
    level, margin = at_least(left, cut, marginal=SAG_RESERVE)

    def says() -> str:
        fall = (
            f"sags to {show(left, 'V')}" if left > 0 else "breaks down, for battery and cable cannot bring such a power"
        )
        return (
            f"A start draws {show(P, 'W', 2)} from the battery. Half full, it has {show(V, 'V')}; behind "
            f"{show(R_b, 'mohm', 2)} of its own ({source.how}) and {show(cable, 'mohm', 2)} of cable the "
            f"voltage at the inverter {fall}. The inverter cuts out below {show(cut, 'V')}{note}."
        )

    def remedy() -> str:
        # From P = V (V0 - V) / R at the lowest voltage with some reserve.
        want = float(cut) * (1.0 + SAG_RESERVE)
        if want >= V:
            return (
                f"Set the inverter's lowest voltage to {show(float(V) * 0.9, 'V')} or less, if the battery's maker "
                "permits; a half-full battery hardly reaches the present one."
            )
        R = want * (float(V) - want) / float(P)
        less = R * float(P) / float(R_b + cable)
        return (
            f"Battery and cable together may have {show(R, 'mohm', 2)}: a bigger bank or one of less resistance, a "
            f"thicker and shorter cable, or starts that draw less than {show(less, 'W', 2)}."
        )

    return Judgement(level, says, remedy, left, cut, "V", margin)


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
            Source("NEC 2017", "706.21(F): fuse at the battery", "reproduction"),
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
)
