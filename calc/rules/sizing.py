"""What rules of different subjects say alike of the size of a cable and of its fuse."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.machine.battery import bus_voltage
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import FROM_GENERATOR, TO_DUMP, TO_LOADS
from calc.machine.currents import Capacity, fuse_window, wiring_practice
from calc.machine.inputs import Inputs, Unknown
from calc.physics import wiring
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, at_most
from calc.units import Num, show, show_down, show_up


def size_for_drop(x: Inputs, label: str, I: Num) -> float | None:
    """Smallest size [m2] with which a run loses no more than the usual limit at a current; None where not known."""
    V, L = bus_voltage(x), x.maybe(Sheet.cable.length[label])
    if isinstance(V, Unknown) or L is None or x.maybe(Sheet.cable.carries[label]) == TO_DUMP:
        return None
    material = x.cable[label].material
    run = CableRun(I, V, L, 1.0, material, x.cable[label].temperature, x.cable[label].strands, x.cable[label].joints)
    return run.size_for(
        float(wiring.drop_limit(L, lighting=x.maybe(Sheet.cable.carries[label]) == TO_LOADS)), wiring_practice(x)
    )


def thicker_for_voltage(x: Inputs, label: str, I: Num, size: float | None) -> str:
    """A sentence that names the thicker cable that keeps the voltage; empty where none is needed."""
    wanted = size_for_drop(x, label, I)
    if size is None or wanted is None or wanted <= size * 1.001:
        return ""
    return f" To keep the voltage it takes more, {wiring.size_name(wanted)}."


def continuous_level(I: Num, capacity: Capacity) -> tuple[NDArray[np.int_], Num, Num]:
    """Level, margin and limit of a current that flows for hours: the quarter is a duty in NEC practice only."""
    if capacity.strict:
        return *at_most(I, capacity.continuous), capacity.continuous
    return *at_most(I, capacity.amps, marginal=1.0 - 1.0 / wiring.CONTINUOUS), capacity.amps


def capacity_words(I: Num, A: Num, capacity: Capacity, where: str) -> str:
    """How a current compares with what a cable may carry, in words."""
    size = wiring.size_name(float(A))
    if capacity.strict:
        verdict = "enough" if capacity.continuous >= I else "too little"
        return (
            f"NEC practice, which adds a quarter, lets {size}{where} carry {show(capacity.continuous, 'A')} "
            f"continuously ({capacity.standing()}): {verdict}."
        )
    need = I * wiring.CONTINUOUS
    verdict = "enough" if need <= capacity.amps else ("too little" if capacity.amps < I else "enough without that")
    return (
        f"With a quarter added for continuous current that is {show(need, 'A')}. {size}{where} may carry "
        f"{show(capacity.amps, 'A')} ({capacity.standing()}): {verdict}."
    )


def fuse_level(I: Num, fuse: Num, capacity: Capacity) -> tuple[NDArray[np.int_], Num]:
    """Level and margin of a fuse that must lie between 1.25 times the current and the largest for the cable.

    Above the largest the cable burns before the fuse opens: danger. Below the current the fuse opens in normal
    running, and fails. Between the current and 1.25 times the current it ages and may open: marginal in IEC
    practice, against the rules in NEC practice.
    """
    low = np.asarray(fuse) / I
    short = np.where(low < wiring.CONTINUOUS, FAIL if capacity.strict else MARGINAL, OK)
    level = np.where(np.asarray(fuse) > capacity.fuse, DANGER, np.where(low < 1.0, FAIL, short))
    return level, np.minimum((np.asarray(capacity.fuse) - fuse) / capacity.fuse, low - 1.0)


def fuse_remedy(x: Inputs, label: str, I: float, capacity: Capacity) -> str:
    """What would put the fuse right, or the cable if no fuse can."""
    low, high = I * wiring.CONTINUOUS, float(capacity.fuse)
    if low <= high:
        frees = x.maybe(Sheet.cable.carries[label]) in FROM_GENERATOR
        window = fuse_window(low, high, "NEC" if capacity.strict else "IEC", largest=frees)
        why = " The largest: when it opens, nothing loads the rotor." if frees else ""
        return f"Fit {window}, close to the battery, rated for DC at its voltage.{why}"
    size = capacity.smallest_for(I)
    lack = f"No fuse fits: {show_up(low, 'A')} is needed and the cable allows {show_down(high, 'A')} at most. "
    if size is None:
        return f"{lack}Use several cables, each with its own fuse."
    more = thicker_for_voltage(x, label, I, size)
    return f"{lack}Use {wiring.size_name(size)} or more first, then a fuse of at least {show_up(low, 'A')}.{more}"


def fuse_fate(I: Num, fuse: Num, capacity: Capacity) -> str:
    """What a fuse does, in words."""
    if fuse > capacity.fuse:
        return "lets the cable burn before it opens"
    if fuse < I:
        return "opens in normal running"
    if fuse < wiring.CONTINUOUS * I:
        return "carries the current but leaves no quarter in reserve"
    return "lies between the two"


@dataclass(frozen=True, slots=True)
class CableRun:
    """One run as the voltage drop sees it: current, voltage, length, size, wires, joints, and price of a metre."""

    I: Num
    V: Num
    L: Num
    A: Num
    material: str
    T: Num
    strands: str
    joints: Num
    price: Num | None = None
    wires: int = 2
    #: Share of the voltage that a run of no length may lose.
    short: float = wiring.DROP_OTHER

    def lost(self, A: Num) -> Num:
        """Voltage lost in the run and its joints if its wires had a cross-section [m2], in [V]."""
        r = wiring.resistance(A, self.material, self.T, self.strands)
        return wiring.voltage_drop_dc(self.I, self.L, r, self.joints)

    def size_for(self, limit: float, series: str) -> float | None:
        """Smallest size of a series [m2] that loses no more than a share of the voltage."""
        areas, _ = wiring.sizes(self.material, self.strands, series)
        fits = areas[np.asarray(self.lost(areas) <= limit * self.V)]
        return float(fits[0]) if len(fits) else None

    def bought(self, A: float, wires: int) -> str:
        """Metal in the run at a size, and its cost where a metre's price is known, in words.

        The cost goes with the metal, so that of another size is a rough one.
        """
        text = show(wiring.metal_mass(A, self.L, wires, self.material), "kg", 2)
        if self.price is None:
            return text
        cost = self.price * self.L * (A * wires) / (self.A * self.wires)
        return f"{text} for about {show(cost, '', 2)}"
