"""What rules of different subjects say alike of the size of a cable and of its fuse."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import FROM_GENERATOR
from calc.machine.currents import Capacity, wiring_practice
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs
from calc.machine.rotor_curves import is_vertical
from calc.machine.solving import nothing_limits
from calc.physics import wiring
from calc.physics.protection import fuse_ratings
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, at_most
from calc.rules.kits import held_earlier
from calc.rules.ways import Try, Way, change, ladder
from calc.units import Num, show


def thicker(x: Inputs, label: str) -> list[float]:
    """Sizes in which cable of its kind is sold that are thicker than that of a run [m2], rising."""
    at = x.cable[label]
    areas, _ = wiring.sizes(at.material, at.strands, wiring_practice(x))
    return [float(A) for A in areas if 1.001 * float(at.area) < A]


def thicker_cable(x: Inputs, label: str) -> Way:
    """A thicker cable, the thinnest that will do."""
    return change("Use cable of {0} or more.", *ladder(Sheet.cable.area[label], thicker(x, label)))


def held_first(x: Inputs, label: str) -> list[Way]:
    """Of a run of the generator that nothing holds back: what does that, before any thicker cable for a storm."""
    stormy = x.maybe(Sheet.cable.carries[label]) in FROM_GENERATOR and nothing_limits(x) and not is_vertical(x)
    return held_earlier(x) if stormy else []


def fuse_ways(x: Inputs, label: str, I: float, rating: Entry[Num] | None = None) -> list[Way]:
    """Another fuse, or a thicker cable and a fuse for it.

    Parameters
    ----------
    x : Inputs
        The sheet.
    label : str
        The run.
    I : float
        Greatest continuous current in it. [A]
    rating : Entry, optional
        Where the sheet has the fuse's rating; with the run if left out.
    """
    entry = Sheet.cable.fuse[label] if rating is None else rating
    bare: Try = {Sheet.cable.fused[label]: True} if x.maybe(Sheet.cable.fused[label]) is False else {}
    frees = x.maybe(Sheet.cable.carries[label]) in FROM_GENERATOR
    fits = [r for r in fuse_ratings(wiring_practice(x)) if r >= wiring.CONTINUOUS * I * (1 - 1e-9)]
    largest = ", the largest for the cable: when it opens, nothing loads the rotor" if frees else ""
    fuse = f"a DC fuse of {{0}} close to the battery{largest}"
    ways = held_first(x, label)
    ways.append(change(f"Fit {fuse}.", *({entry: r, **bare} for r in (reversed(fits) if frees else fits))))
    if fits:
        both = [{entry: fits[0], Sheet.cable.area[label]: A, **bare} for A in thicker(x, label)]
        ways.append(change("Fit a DC fuse of {0} close to the battery and cable of {1} or more behind it.", *both))
    return ways


def continuous_level(I: Num, capacity: Capacity) -> tuple[NDArray[np.int_], Num, Num]:
    """Level, margin and limit of a current that flows for hours: the quarter is a duty in NEC practice only."""
    if capacity.strict:
        return *at_most(I, capacity.continuous), capacity.continuous
    return *at_most(I, capacity.amps, marginal=1.0 - 1.0 / wiring.CONTINUOUS), capacity.amps


def capacity_words(I: Num, A: Num, capacity: Capacity) -> str:
    """What a cable may carry beside what it carries, in words that follow its subject."""
    size = wiring.size_name(float(A))
    if capacity.strict:
        verdict = "enough" if capacity.continuous >= I else "too little"
        return f"{size} may carry {show(capacity.continuous, 'A')} for hours: {verdict}."
    need = I * wiring.CONTINUOUS
    verdict = "enough" if need <= capacity.amps else ("too little" if capacity.amps < I else "too little to spare")
    return f"{size} may carry {show(capacity.amps, 'A')}: {verdict}."


def capacity_known(I: Num, capacity: Capacity) -> str:
    """How what a cable may carry is known, and what is added for current that flows for hours."""
    if capacity.strict:
        return f"By NEC practice, which adds a quarter where it flows continuously ({capacity.standing()})."
    return (
        f"With a quarter added, because it flows continuously, that is {show(I * wiring.CONTINUOUS, 'A')} "
        f"({capacity.standing()})."
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
    """One run as the voltage drop sees it: current, voltage, length, size, and joints."""

    I: Num
    V: Num
    L: Num
    A: Num
    material: str
    T: Num
    strands: str
    joints: Num

    def lost(self, A: Num) -> Num:
        """Voltage lost in the run and its joints if its wires had a cross-section [m2], in [V]."""
        r = wiring.resistance(A, self.material, self.T, self.strands)
        return wiring.voltage_drop_dc(self.I, self.L, r, self.joints)
