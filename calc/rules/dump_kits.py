"""Dump loads as they are bought: an element, what switches it, where it is put, its wire and fuse."""

from __future__ import annotations

from typing import Any

from calc.finding import Act
from calc.machine.battery import charge_top
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.storage import DUMP_PLACES, DUMPS, MOUNTS, SECOND_MEANS
from calc.machine.catalogue.wiring import TO_DUMP
from calc.machine.currents import charging_current, run_capacity, wiring_practice
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.physics import dump, wiring
from calc.physics.dump import DIVERSION
from calc.physics.protection import fuse_ratings
from calc.rules.ways import Try, Way, act, change
from calc.units import show

#: Powers in which heaters and large resistors are sold. Common practice, no source. [W]
DUMP_POWERS = (
    50.0, 100.0, 150.0, 200.0, 300.0, 400.0, 500.0, 600.0, 800.0, 1000.0, 1200.0, 1500.0, 2000.0, 3000.0, 4500.0,
    6000.0, 9000.0, 12000.0,
)  # fmt: skip
#: Currents of the controllers and relays that switch them, and voltages for which elements are made. Common practice,
#: no source. [A], [V]
CONTROLLERS = (10.0, 15.0, 20.0, 30.0, 40.0, 60.0, 80.0, 100.0, 150.0, 200.0, 300.0, 400.0, 600.0)
ELEMENTS = (12.0, 24.0, 36.0, 48.0, 72.0, 110.0, 230.0, 400.0, 690.0, 1000.0)


def dump_loads(x: Inputs) -> list[Try]:
    """Dump loads that take all that the generator gives, with half as much again in hand; power and ohms first.

    Where the sheet has none, it comes with its place, its mount, its controller, and a second means beside it; wire and
    fuse follow where the sheet has them.
    """
    V, top, source = x.maybe(Sheet.storage.voltage), charge_top(x), charging_current(x)
    if V is None or top is None or isinstance(source, Unknown):
        return []
    I, full = float(source.amps), float(top)
    tries: list[Try] = []
    for P in (size for size in DUMP_POWERS if size >= DIVERSION * I * float(V) * (1 - 1e-9)):
        # The least that its rating allows: it is then content with more than comes today.
        fits = dump.preferred_between(float(dump.resistance_for(full, P)), full / I)
        if fits:
            tries.append({Sheet.dump.power: P, Sheet.dump.resistance: fits[0], **_switching(x, full, full / fits[0])})
    return tries[:6]


def _switching(x: Inputs, top: float, I: float) -> Try:
    """What switches a dump load that draws a current [A] at a voltage [V], and where it is put."""
    bare = x.maybe(Sheet.dump.kind) in (None, "none")
    kit: dict[Entry[Any], Value] = {}
    rating, made = x.maybe(Sheet.dump.controller_current), x.maybe(Sheet.dump.voltage)
    if bare or (rating is not None and rating < I):
        kit |= controller(x, I)
    if bare or (made is not None and made < top):
        kit[Sheet.dump.voltage] = element_voltage(top)
    if x.maybe(Sheet.dump.kind) not in DUMPS[1:3]:
        kit[Sheet.dump.kind] = DUMPS[1]
    if bare:
        kit |= {Sheet.dump.place: DUMP_PLACES[0], Sheet.dump.mounted: MOUNTS[0]}
        kit[Sheet.dump.second_means] = SECOND_MEANS[2]
    return kit


def element_voltage(top: float) -> float:
    """The voltage for which an element is made that a bank of so many volts [V] does not pass."""
    return next((V for V in ELEMENTS if top < V), top)


def controller(x: Inputs, I: float) -> Try:
    """A controller or relay for a dump load that draws a current [A], its first value, with the circuit for it."""
    rating = next((size for size in CONTROLLERS if size >= I * (1 - 1e-9)), None)
    if rating is None:
        return {}
    runs = [label for label in x.labels(Sheet.cable) if x.maybe(Sheet.cable.carries[label]) == TO_DUMP]
    circuits = (dump_circuit(x, label, rating) for label in runs)
    return {Sheet.dump.controller_current: rating, **{e: v for kit in circuits for e, v in kit.items()}}


def dump_circuit(x: Inputs, label: str, rating: float) -> Try:
    """Wire and fuse of a dump load, both for half as much again as its controller's rating [A]; none where they are."""
    if x.lacks(Sheet.cable.area[label], Sheet.cable.laid[label]):
        return {}
    capacity, need, fuse = run_capacity(x, label), DIVERSION * rating, x.maybe(Sheet.cable.fuse[label])
    fits = [r for r in fuse_ratings(wiring_practice(x)) if r >= need * (1 - 1e-9)]
    if isinstance(capacity, Unknown) or not fits:
        return {}
    kit: dict[Entry[Any], Value] = {}
    bare = x.maybe(Sheet.cable.fused[label]) is False
    if fuse is None or fuse < need or bare:
        kit = {Sheet.cable.fuse[label]: fits[0], **({Sheet.cable.fused[label]: True} if bare else {})}
        fuse = fits[0]
    if capacity.amps < need or capacity.fuse < fuse:
        A = capacity.smallest_for(max(need, float(fuse)) / wiring.CONTINUOUS)
        kit |= {} if A is None else {Sheet.cable.area[label]: A}
    return kit


def dump_words(x: Inputs, tried: Try) -> str:
    """What to fit, in words made from what was tried."""
    P, R = (show(float(tried[e]), e.shown) for e in (Sheet.dump.power, Sheet.dump.resistance))
    if x.maybe(Sheet.dump.kind) not in (None, "none"):
        return f"Fit a dump load of {P} and {R}."
    rating = tried.get(Sheet.dump.controller_current)
    switched = "" if rating is None else f" switched by a controller for {show(float(rating), 'A')},"
    return (
        f"Fit a dump load of {P} and {R} on the rectifier's side,{switched} on stone or metal. "
        "Beside it fit a second one with a control of its own, set a little higher."
    )


def dump_ways(x: Inputs) -> list[Way]:
    """A dump load for all that the generator gives, with what it needs beside it."""
    if tries := dump_loads(x):
        return [change(lambda tried: dump_words(x, tried), *tries)]
    least = "Fit a dump load for at least 1.5 times the generator's greatest power"
    return [act(Act.DO, f"{least}, on the rectifier's side of whatever disconnects the battery.")]
