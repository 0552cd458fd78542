"""Values that change together, because whoever buys one of them gets the others with it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import numpy as np

from calc.finding import Act
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import DIRECT, TOOTHED
from calc.machine.catalogue.rotor import FURLING
from calc.machine.converter import has_converter
from calc.machine.currents import inverter_lowest, inverter_run, run_capacity, wiring_practice
from calc.machine.entry import AH, DEG, Entry, Value
from calc.machine.furling import furls_as_described, is_computed
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import limit_wind, nothing_limits
from calc.physics import loads, wiring
from calc.physics.protection import fuse_ratings
from calc.rules.limits import BANKS
from calc.rules.ways import Try, Way, change, ladder, shown
from calc.units import Num, as_shown

#: Winds from which a rotor may be held back, the usual ones first. Common practice, no source. [m/s]
HELD_FROM = (11.0, 10.0, 9.0, 8.0, 7.0, 6.0)
#: Later ones, to which a tail that folds late may be set, so that no more is given away than must be. Own choice. [m/s]
HELD_LATER = (18.0, 16.0, 14.0, 13.0, 12.0)
#: Shares of its mass that a lighter tail might have, and angles at which hinges are set, in degrees. Own choice.
LIGHTER, LEANS = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3), (25.0, 22.0, 20.0, 18.0, 15.0, 12.0, 10.0, 8.0, 6.0, 4.0)
#: Offsets of rotors whose tails fold, as shares of the diameter, the usual one first; and the least with which a head
#: turns out of the wind at all. Common practice, no source.
OFFSETS, LEAST_OFFSET = (0.04, 0.05, 0.06, 0.03), 0.015
#: Turns of another generator of the same size as a share of the present one's, the least change first. Own choice.
MORE_TURNS = (1.1, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
FEWER_TURNS = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.33, 0.25, 0.2, 0.15)
#: Sizes of another generator of the same rpm/V, by the current that its winding carries, as a share. Own choice.
LARGER = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0)
#: Steps of a toothed belt, as a share of the present ratio, and the ratio beyond which nobody gears up a rotor of one's
#: own making. Own choice.
GEARS, MOST_GEARED = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0), 12.0
#: Share by which a rotor may grow or shrink and still be the same machine. Own choice.
MOST_GROWN = 1.5
#: Greatest height to which a mast of one's own making is raised. Common practice, no source. [m]
TALLEST = 18.0

#: What no rule looks at, whatever is put up higher.
NOT_CARRIED = "Its tube, guys and base are not checked here: ask somebody who builds masts."

#: Direct voltages for which fuses are sold. Common practice, no source. [V]
FUSE_VOLTAGES = (32.0, 58.0, 80.0, 125.0, 170.0, 250.0, 500.0, 1000.0)
#: Capacities in which batteries are sold and banks are made up. Common practice, no source. [A s]
CAPACITIES = tuple(
    AH * Q for Q in (7, 12, 20, 40, 60, 80, 100, 120, 150, 200, 280, 400, 560, 800, 1000, 1500, 2000, 3000, 5000)
)
#: Rated powers in which inverters are sold. Common practice, no source. [W]
INVERTERS = (
    150.0, 300.0, 500.0, 800.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 5000.0, 6000.0, 8000.0, 10000.0, 15000.0,
)  # fmt: skip
#: Shares of the hours that loads run now, to which they might be cut down. Own choice.
SHORTER = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.33, 0.25, 0.2, 0.15, 0.1, 0.05)

#: Of a bank made up of as many cells in another way: the power of the ratio of voltages with which each value goes.
_WITH_BANK: tuple[tuple[Entry[Any], int], ...] = (
    (Sheet.storage.capacity, -1),
    (Sheet.storage.cells, 1),
    (Sheet.storage.voltage_charging, 1),
    (Sheet.storage.charge_voltage, 1),
    (Sheet.storage.charge_current_limit, -1),
    (Sheet.storage.discharge_current_limit, -1),
    (Sheet.storage.internal_resistance, 2),
    (Sheet.storage.monitor_voltage, 1),
    (Sheet.dump.resistance, 2),
    (Sheet.dump.voltage, 1),
    (Sheet.inverter.input_voltage_min, 1),
    (Sheet.inverter.input_voltage_max, 1),
)
#: Of a load that hangs on the battery without an inverter.
_WITH_LOADS = (Sheet.load.voltage, Sheet.load.voltage_max)
#: Of a bank of the same voltage made up of larger cells: the power of the ratio of capacities.
_WITH_CAPACITY: tuple[tuple[Entry[Any], int], ...] = (
    (Sheet.storage.charge_current_limit, 1),
    (Sheet.storage.discharge_current_limit, 1),
    (Sheet.storage.internal_resistance, -1),
)
#: Of a generator of the same size with more or fewer turns: the power of the ratio of turns.
_WITH_TURNS: tuple[tuple[Entry[Any], int], ...] = (
    (Sheet.generator.emf_constant, 1),
    (Sheet.generator.winding_resistance, 2),
    (Sheet.generator.inductance, 2),
    (Sheet.generator.rated_current, -1),
)
#: Of a larger generator with as many volts per speed: the power of the ratio of currents. Its heat leaves through a
#: surface that goes with two thirds of the power of its mass, and its torque with its mass. Own estimate.
_WITH_SIZE: tuple[tuple[Entry[Any], float], ...] = (
    (Sheet.generator.rated_current, 1),
    (Sheet.generator.winding_resistance, -4 / 3),
    (Sheet.generator.inductance, -1),
    (Sheet.generator.thermal_resistance, -2 / 3),
    (Sheet.generator.rated_torque, 1),
    (Sheet.generator.drag_torque, 1),
    (Sheet.generator.cogging_torque, 1),
)
#: Of a rotor with blades of the same shape: the power of the ratio of diameters; a pipe keeps its wall.
_WITH_ROTOR: tuple[tuple[Entry[Any], int], ...] = (
    (Sheet.blade.chord_root, 1),
    (Sheet.blade.chord_tip, 1),
    (Sheet.blade.root_radius, 1),
    (Sheet.blade.thickness_root, 1),
    (Sheet.blade.laminate, 1),
)


def _scaled(x: Inputs, entries: Iterable[tuple[Entry[Any], float]], ratio: float) -> dict[Entry[Any], Value]:
    return {e: float(x.need(e)) * ratio**power for e, power in entries if x.given(e)}


def _round(tried: Try, figures: int = 2) -> Try:
    """The same in round figures, as people would ask for it in a shop."""
    return {e: as_shown(float(v), e.shown, figures) for e, v in tried.items() if not isinstance(v, str | bool)}


def other_bank(x: Inputs, V: float) -> Try:
    """The same cells made up to another nominal voltage [V]; inverter, dump load and loads follow it."""
    ratio = V / float(x.storage.voltage)
    loads = tuple((e[label], 1) for label in x.labels(Sheet.load) for e in _WITH_LOADS)
    return {Sheet.storage.voltage: V, **_scaled(x, (*_WITH_BANK, *loads), ratio), **_fuses_for(x, ratio)}


def _fuses_for(x: Inputs, ratio: float) -> Try:
    """Fuses of a voltage rating that is so many times as high, as they are sold; none where it need not be higher."""
    entries = (
        Sheet.protection.main_fuse_voltage,
        *(Sheet.cable.fuse_voltage[label] for label in x.labels(Sheet.cable)),
    )
    wanted = [(e, ratio * float(x.need(e))) for e in entries if ratio > 1.0 and x.given(e)]
    sold = [(e, next((V for V in FUSE_VOLTAGES if least <= V), None)) for e, least in wanted]
    return {e: V for e, V in sold if V is not None}


def supplied_inverter(x: Inputs, P: float, V: float) -> Try | None:
    """Bank of a voltage [V], cable and fuse for an inverter of a power [W], where those on the sheet do not suit it.

    None where no single cable and fuse of the series carry its current.
    """
    bank = {} if x.maybe(Sheet.storage.voltage) == V else other_bank(x, V)
    label, lowest = inverter_run(x), inverter_lowest(x)
    if label is None or isinstance(lowest, Unknown) or x.lacks(Sheet.cable.area[label]):
        return bank
    amps = float(loads.battery_current(P, lowest[0] * V / x.storage.voltage, x.inverter.efficiency))
    fuse = next((r for r in fuse_ratings(wiring_practice(x)) if r >= wiring.CONTINUOUS * amps), None)
    capacity = run_capacity(x, label)
    area = None if fuse is None or isinstance(capacity, Unknown) else capacity.smallest_for(fuse / wiring.CONTINUOUS)
    if fuse is None or area is None:
        return None
    fuses = (Sheet.inverter.fuse, Sheet.cable.fuse[label])
    thin: Try = {Sheet.cable.area[label]: area} if float(x.cable[label].area) < area else {}
    return {**bank, **thin, **{e: fuse for e in fuses if x.given(e) and float(x.need(e)) < fuse}}


def supply_words(head: str, tried: Try, *, bank: bool = True) -> str:
    """What to do, with the bank, cable and fuse of :func:`supplied_inverter`."""
    said = {entry.path: shown(entry, value) for entry, value in tried.items()}
    fuse = said.get(Sheet.inverter.fuse.path) or said.get(Sheet.cable.fuse.path)
    V, area = said.get(Sheet.storage.voltage.path) if bank else None, said.get(Sheet.cable.area.path)
    parts = [V and f"a bank of {V}", area and f"{area} of cable", fuse and f"a fuse of {fuse}"]
    also = [part for part in parts if part]
    return f"{head}, with {' and '.join(also)}." if also else f"{head}."


def larger_bank(x: Inputs, Q: float) -> Try:
    """A bank of the same kind and voltage with another capacity [A s]."""
    return {Sheet.storage.capacity: Q, **_scaled(x, _WITH_CAPACITY, Q / float(x.storage.capacity))}


def other_turns(x: Inputs, ratio: float) -> Try:
    """A generator of the same size with so many times the turns, of thinner wire; its first value is the constant."""
    return _round(_scaled(x, _WITH_TURNS, ratio))


def geared(ratio: float) -> Try:
    """A toothed belt, which does not slip, between rotor and generator; its first value is the ratio."""
    return {Sheet.generator.ratio: ratio, Sheet.generator.drive: TOOTHED}


def holding(means: str) -> list[Try]:
    """A means that holds the rotor back by itself, set to the winds in which it may be."""
    return [{Sheet.rotor.overspeed: means, Sheet.rotor.limit_wind: V} for V in HELD_FROM]


def banks(x: Inputs, *, higher: bool) -> list[Way]:
    """A bank of more or fewer volts, the next first; none without one, or with a converter ahead of it."""
    if not has_battery(x):
        return []
    now = float(x.storage.voltage)
    steps = [V for V in BANKS if 1.001 * now < V] if higher else [V for V in reversed(BANKS) if now > 1.001 * V]
    if has_converter(x) or not steps:
        return []
    return [change("Make up a bank of {0}, and what hangs on it for that voltage.", *(other_bank(x, V) for V in steps))]


def covered(x: Inputs, says: Callable[[Try], str], tries: Sequence[Try]) -> Way:
    """What makes more volts, at first as it is and then with every bare part behind a cover."""
    cover: Try = {} if x.maybe(Sheet.generator.enclosed) is True else {Sheet.generator.enclosed: True}

    def with_cover(tried: Try) -> str:
        text = says({e: v for e, v in tried.items() if e not in cover})
        return f"{text[:-1]}; cover every bare part." if any(e in cover for e in tried) else text

    return change(with_cover, *tries, *({**tried, **cover} for tried in tries if cover))


def rewound(x: Inputs, ratios: Sequence[float]) -> Way:
    """Another generator of the same size, with more or fewer turns; those that make more volts also covered."""

    def says(tried: Try) -> str:
        k, R = Sheet.generator.emf_constant, Sheet.generator.winding_resistance
        ohms = f" and {shown(R, tried[R])}" if R in tried else ""
        turns = "more" if ratios[0] > 1.0 else "fewer"
        speed = "slower" if ratios[0] > 1.0 else "faster"
        made = f"this one rewound with {turns} turns, or another motor"
        return f"Use a {speed} generator of about {shown(k, tried[k])}{ohms}: {made}."

    tries = [other_turns(x, ratio) for ratio in ratios]
    return covered(x, says, tries) if ratios[0] > 1.0 else change(says, *tries)


def larger_generator(x: Inputs) -> list[Way]:
    """A larger generator of the same speed per volt; none where the sheet does not tell how large this one is."""
    I, R = Sheet.generator.rated_current, Sheet.generator.winding_resistance
    if not (x.given(I) and x.given(R)):
        return []
    says = "Use a larger generator of the same rpm/V, for {0} continuously and with {1} between leads."
    return [change(says, *(_round(_scaled(x, _WITH_SIZE, ratio)) for ratio in LARGER))]


def geared_up(x: Inputs) -> list[Way]:
    """A toothed belt that turns the generator faster than the rotor, or a greater ratio of what there is."""
    drive = x.maybe(Sheet.generator.drive)
    now = float(x.generator.ratio) if x.given(Sheet.generator.ratio) and drive != DIRECT else 1.0
    steps = [now * times for times in GEARS if now * times <= MOST_GEARED]
    if not steps:
        return []
    own = now != 1.0 and drive not in (None, DIRECT)

    def says(tried: Try) -> str:
        ratio = shown(Sheet.generator.ratio, tried[Sheet.generator.ratio])
        return f"Gear the generator up {ratio} to 1 {f'by the {drive}' if own else f'with a {TOOTHED}'}."

    tries = [{Sheet.generator.ratio: ratio} if own else geared(ratio) for ratio in steps]
    return [covered(x, says, tries)]


def held_earlier(x: Inputs) -> list[Way]:
    """A means that holds the rotor back, or the present one set to a lesser wind, the greatest first."""
    if is_computed(x) or (furls_as_described(x) and nothing_limits(x)):
        return folds_earlier(x)
    if nothing_limits(x):
        return [change("Fit a {0} that holds the rotor back from {1} of wind, loaded or not.", *holding(FURLING))]
    now, means = float(limit_wind(x)), x.rotor.overspeed
    steps = [V for V in (*HELD_LATER, *HELD_FROM) if now > V]
    if not steps:
        return []
    earlier = ladder(Sheet.rotor.limit_wind, steps)
    return [change(f"Set the {means} to hold the rotor back from {{0}} already.", *earlier)]


def folds_earlier(x: Inputs) -> list[Way]:
    """A described tail that folds in less wind: lighter, or its hinge nearer to upright, the least change first.

    Where the rotor stands too near the yaw axis to turn the head, no tail would fold: it must be set aside.
    """
    mass, lean = float(x.tail.mass), float(x.tail.inclination)
    lighter = [as_shown(mass * share, "kg", 2) for share in LIGHTER]
    upright = [angle * DEG for angle in LEANS if lean > 1.05 * angle * DEG]
    if no_offset(x):
        return _aside(x)
    return [
        change(
            "Make the tail lighter, {0} in all, so that it folds earlier.",
            *ladder(Sheet.tail.mass, lighter),
        ),
        change("Lean the tail's hinge by {0} only, to fold earlier.", *ladder(Sheet.tail.inclination, upright)),
    ]


def no_offset(x: Inputs) -> bool:
    """Whether the rotor stands so near the yaw axis that its thrust turns no head to speak of."""
    return bool(np.all(np.less(x.rotor.offset, LEAST_OFFSET * x.rotor.diameter)))


def _aside(x: Inputs) -> list[Way]:
    steps = [round(float(x.rotor.diameter) * share / 0.005) * 0.005 for share in OFFSETS]
    return [change("Set the rotor {0} beside the yaw axis, so that the wind on it folds the tail.",
                   *ladder(Sheet.rotor.offset, steps))]  # fmt: skip


def folds_later(x: Inputs) -> list[Way]:
    """A described tail that folds in more wind: heavier, or with its hinge leaning further."""
    mass, lean = float(x.tail.mass), float(x.tail.inclination)
    heavier = [as_shown(mass / share, "kg", 2) for share in LIGHTER]
    further = [angle * DEG for angle in reversed(LEANS) if lean < 0.95 * angle * DEG]
    return [
        change("Make the tail heavier, {0} in all.", *ladder(Sheet.tail.mass, heavier)),
        change("Lean the tail's hinge by {0}.", *ladder(Sheet.tail.inclination, further)),
    ]


def other_rotor(x: Inputs, D: float) -> Try:
    """A rotor of another diameter [m] with blades of the same shape, of the same pipe where they are cut from one."""
    ratio = D / float(x.rotor.diameter)
    stations = ((e[label], 1) for label in x.labels(Sheet.station) for e in (Sheet.station.radius, Sheet.station.chord))
    mass = ((Sheet.blade.mass, 2 if x.given(Sheet.blade.pipe_wall) else 3),)
    blades = _scaled(x, (*_WITH_ROTOR, *stations, *mass), ratio)
    return {Sheet.rotor.diameter: D, **{e: in_whole_mm(e, v) for e, v in blades.items()}}


def in_whole_mm(entry: Entry[Any], value: Value) -> Value:
    """A length that is shown in millimetres as a saw can follow it."""
    return round(float(value), 3) if entry.shown == "mm" and float(value) >= 0.01 else value


def rotors(x: Inputs, *, larger: bool) -> Way:
    """A larger or smaller rotor, in steps of 0.1 m below 2 m and 0.2 m above, the least change first."""
    now = float(x.rotor.diameter)
    step = 0.1 if now < 2.0 else 0.2
    low, high = (now, MOST_GROWN * now) if larger else (now / MOST_GROWN, now)
    steps = [step * i for i in range(math.ceil(low / step), math.floor(high / step) + 1) if step * i != now]
    order = steps if larger else list(reversed(steps))
    kind = "larger" if larger else "smaller"
    return change(f"Use a {kind} rotor of {{0}}, its blades scaled with it.", *(other_rotor(x, D) for D in order))


def larger_banks(x: Inputs, least: Num = 0.0) -> list[Try]:
    """The same kind of bank with a greater capacity, best at least so much [A s]; what its maker permits follows it."""
    Q = float(x.storage.capacity)
    greater = [size for size in CAPACITIES if size > 1.001 * Q]
    enough = [size for size in greater if size >= float(least) * (1 - 1e-9)]
    # What is short of it comes after, the nearest first: it may still be better than what there is.
    sizes = [*enough[:9], *reversed(greater[: len(greater) - len(enough)][-5:])]
    return [larger_bank(x, size) for size in sizes]


def shorter_use(x: Inputs, most: Num = 1.0) -> list[Way]:
    """Loads that run fewer hours, best at most such a share of what they do: the one that takes most, or all alike."""
    daily = {
        label: float(x.need(Sheet.load.power[label]) * x.need(Sheet.load.hours[label]))
        for label in x.labels(Sheet.load)
        if not x.lacks(Sheet.load.power[label], Sheet.load.hours[label])
    }
    hours = {label: Sheet.load.hours[label] for label, E in daily.items() if E > 0}
    if not hours:
        return []
    first = hours[max(hours, key=lambda label: daily[label])]
    now = {e: float(x.need(e)) for e in hours.values()}
    enough = [share for share in SHORTER if share <= float(most)]
    shares = [*enough, *reversed(SHORTER[: len(SHORTER) - len(enough)])]
    cut = [{e: as_shown(v * share, e.shown, 2) for e, v in now.items()} for share in shares]
    ways = [change(f"Run {first.label} for {{0}} at most.", *({first: less[first]} for less in cut), kind=Act.EXPECT)]
    if len(hours) > 1:

        def says(tried: Try) -> str:
            return f"Run the loads less: {', '.join(f'{e.label} {shown(e, v)}' for e, v in tried.items())}."

        ways.append(change(says, *cut, kind=Act.EXPECT))
    return ways
