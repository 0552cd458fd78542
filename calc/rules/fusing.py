"""One fuse: what may come to it, what is wrong with it, and how such are sold."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

from calc.machine.battery import charge_top, fault_currents
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import (
    AC_BREAKER,
    AFTER_RECTIFIER,
    CARTRIDGE,
    CLASS_T,
    FUSED_BY_RUN,
    NO_MAIN_FUSE,
)
from calc.machine.currents import run_capacity
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.machine.storm import unloaded_in_storm
from calc.physics.protection import fuse_kind
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK
from calc.rules.ways import Try
from calc.units import Num, show, show_down

#: Cable between battery and fuse: as short as boats have it (7 in), and where the NEC wants the fuse at the
#: battery (5 ft). [m]
FUSE_NEAR, FUSE_FAR = 7 * 0.0254, 5 * 0.3048
#: Cable thinner than the main fuse ahead protects may be so long before its own fuse, out of harm's way. [m]
TAP = 3.0
#: Cable ahead of a fuse that sits as close as it should. [m]
CLOSE = 0.15

#: How bad something about a fuse is, and what to say of it.
Fault: TypeAlias = "tuple[int, str]"


@dataclass(frozen=True, slots=True)
class Sold:
    """Fuses as they are sold: kind, direct voltage [V], breaking capacity [A], least and largest rating [A]."""

    kind: str
    volts: float
    breaks: float
    least: float
    largest: float


#: Series from which to take one, cheapest first. Voltages and breaking capacities as in the table of kinds; ratings,
#: and cartridges for solar power, from memory.
SOLD = (
    Sold("terminal fuse, MRBF", 58.0, 2000.0, 30.0, 300.0),
    Sold("ANL", 32.0, 6000.0, 35.0, 750.0),
    Sold(CLASS_T, 125.0, 20000.0, 1.0, 800.0),
    Sold(CARTRIDGE, 250.0, 25000.0, 2.0, 1250.0),
    Sold(CARTRIDGE, 1000.0, 30000.0, 2.0, 630.0),
    Sold(CARTRIDGE, 1500.0, 30000.0, 2.0, 400.0),
)
#: A fuse of :func:`made`, in words.
OF_KIND = "({2}, {0} DC, breaks {1}) with {3} of cable before it"


@dataclass(frozen=True, slots=True)
class FuseInputs:
    """The inputs that describe one fuse."""

    kind: Entry[str]
    distance: Entry[Num]
    voltage: Entry[Num]
    breaking: Entry[Num]


OF_RUN = FuseInputs(
    Sheet.cable.fuse_kind, Sheet.cable.fuse_distance, Sheet.cable.fuse_voltage, Sheet.cable.fuse_breaking
)
MAIN = FuseInputs(
    Sheet.protection.main_fuse,
    Sheet.protection.main_fuse_distance,
    Sheet.protection.main_fuse_voltage,
    Sheet.protection.main_fuse_breaking,
)


@dataclass(frozen=True, slots=True)
class Ahead:
    """The battery's main fuse, ahead of the fuse of a run.

    Parameters
    ----------
    breaks : float or array, shape (...,), or None
        Current it can break. [A]
    covers : bool or array of bool, shape (...,)
        Whether it protects a cable as thin as that of the run.
    """

    breaks: Num | None
    covers: bool | NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class FuseCase:
    """A fuse and what may come to it.

    Parameters
    ----------
    kind : str or None
        What it is.
    far, rated, breaks : float or array, shape (...,), or None
        Cable between battery and fuse [m], its direct voltage [V], and the current it can break [A], as stated or as
        usual for its kind.
    bank, top : float or array, shape (...,)
        Nominal and highest voltage of the battery. [V]
    open : float or array, shape (...,), or None
        Voltage of a generator on its other side that runs free in a storm, where there is one. [V]
    least, most : float or array, shape (...,)
        Weakest and strongest short circuit at it. [A]
    how : str
        How these are known.
    ahead : Ahead or None
        The main fuse between battery and a run's own fuse, where there is one.
    """

    kind: str | None
    far: Num | None
    rated: Num | None
    breaks: Num | None
    bank: Num
    top: Num
    open: Num | None
    least: Num
    most: Num
    how: str
    ahead: Ahead | None = None

    @property
    def worst(self) -> Num:
        """Greatest voltage across it once it has opened."""
        return self.top if self.open is None else cast(Num, np.maximum(self.top, self.open))

    @property
    def reach(self) -> tuple[Num, Num]:
        """Cable that may lie before it, as is good and at most, in [m].

        Behind a main fuse it is no longer the battery's: without end where that protects it, else as long as a tap.
        """
        if self.ahead is None:
            return FUSE_NEAR, FUSE_FAR
        end = cast(Num, np.where(self.ahead.covers, np.inf, TAP))
        return end, end

    @property
    def backed(self) -> bool | NDArray[np.bool_]:
        """Whether a main fuse ahead breaks what it cannot."""
        breaks = None if self.ahead is None else self.ahead.breaks
        return False if breaks is None else np.asarray(breaks) >= self.most

    @property
    def level(self) -> NDArray[np.int_]:
        """How bad it is, as far as it is stated.

        What cannot break the battery's current burns on: danger. So does one for less than the nominal voltage, and the
        cable ahead of one that is too far away is a cable without a fuse. For less than the voltage at the end of
        charge, fails. Behind a main fuse that can break the current, whether the two suit each other is all that is
        left to ask.
        """
        if self.kind == AC_BREAKER:
            return np.full(np.shape(self.top), DANGER)
        levels: list[Any] = [OK]
        if self.far is not None:
            far, (near, end) = np.asarray(self.far), self.reach
            levels.append(np.where(far > end, DANGER, np.where(far > near, MARGINAL, OK)))
        if self.rated is not None:
            V = np.asarray(self.rated)
            low = np.where(self.bank > V, DANGER, np.where(self.top > V, FAIL, OK))
            levels.append(np.maximum(low, np.where(self.worst > V, MARGINAL, OK)))
        if self.breaks is not None:
            I = np.asarray(self.breaks)
            burns = np.where(self.backed, MARGINAL, DANGER)
            levels.append(np.where(self.least > I, burns, np.where(self.most > I, MARGINAL, OK)))
        return np.asarray(np.maximum.reduce(np.broadcast_arrays(*levels)))

    def margin(self, others: Iterable[Num] = ()) -> Num | None:
        """What is left of the nearest limit, or of others, as a share of it; beyond what is good it is negative."""
        if self.kind == AC_BREAKER:
            return None
        left: list[Any] = list(others)
        if self.far is not None:
            near = np.asarray(self.reach[0])
            left.append(np.where(np.isfinite(near), 1.0 - self.far / near, 1.0))
        if self.rated is not None:
            left.append((self.rated - self.worst) / self.worst)
        if self.breaks is not None:
            left.append((self.breaks - self.most) / self.most)
        return cast(Num, np.minimum.reduce(np.broadcast_arrays(*left))) if left else None

    @property
    def badly_placed(self) -> bool:
        """Whether more cable lies before it than is usual; of scalars."""
        return self.kind != AC_BREAKER and self.far is not None and bool(self.far > self.reach[0])

    def faults(self) -> list[Fault]:
        """What is wrong with it, each with how bad that is; of scalars."""
        if self.kind == AC_BREAKER:
            drives = f"The battery drives up to {show(self.most, 'A', 2)} into a short circuit"
            return [
                (DANGER, f"{drives}, and a breaker for AC does not stop it: the arc goes on, and the breaker burns.")
            ]
        return [*self._of_breaking(), *self._of_voltage(), *self._of_place()]

    def _of_breaking(self) -> list[Fault]:
        if self.breaks is None or self.most <= self.breaks:
            return []
        burns = bool(self.least > self.breaks) and not self.backed
        draws = f"a short circuit at it draws up to {show(self.most, 'A', 2)}{', so it arcs on' if burns else ''}"
        return [(DANGER if burns else MARGINAL, f"The fuse can break {show(self.breaks, 'A')}, and {draws}.")]

    def _of_voltage(self) -> list[Fault]:
        if self.rated is None or self.worst <= self.rated:
            return []
        start = f"The fuse is rated for {show(self.rated, 'V')} DC, and"
        if self.top > self.rated:
            bad = DANGER if self.bank > self.rated else FAIL
            return [(bad, f"{start} the battery reaches {show(self.top, 'V', 4)}: when it opens, the arc may go on.")]
        across = f"puts up to {show(self.worst, 'V', 2)} across it"
        return [(MARGINAL, f"{start} if it opens in a storm's gust the generator {across}.")]

    def _of_place(self) -> list[Fault]:
        if self.far is None or not self.badly_placed:
            return []
        near, end = self.reach
        beyond = self.far > end
        most = f", {show_down(end, 'm', 2)} the most" if beyond else ""
        usual = f"{show_down(near, 'mm')} is usual{most}"
        if self.ahead is not None:
            between = (
                f"{show(self.far, 'm')} of cable lies between the main fuse and this one, thinner than that protects"
            )
            return [(DANGER, f"{between}; {show_down(end, 'm', 2)} is the most.")]
        lies = f"{show(self.far, 'm')} of cable lies between battery and fuse with nothing to protect it"
        return [(DANGER if beyond else MARGINAL, f"{lies}; {usual}.")]

    def fine(self) -> str:
        """That nothing is wrong, in words."""
        breaks, rated = cast(Num, self.breaks), cast(Num, self.rated)
        return (
            f"The fuse can break {show(breaks, 'A')}, and a short circuit draws up to {show(self.most, 'A', 2)}; it is "
            f"rated for {show(rated, 'V')} DC, and the battery reaches {show(self.top, 'V', 4)}."
        )

    def facts(self) -> list[str]:
        """How it is known, and what is not stated."""
        least = f", at least {show(self.least, 'A', 2)}" if self.least < self.most else ""
        facts = [f"A short circuit at the fuse draws up to {show(self.most, 'A', 2)}{least} ({self.how})."]
        if self.kind == AC_BREAKER:
            return [*facts, "Such a breaker counts on a current that passes through zero a hundred times a second."]
        known = {"place": self.far, "DC voltage": self.rated, "breaking capacity": self.breaks}
        lacking = [name for name, value in known.items() if value is None]
        if lacking:
            facts.append(f"Not stated of the fuse: {', '.join(lacking)}.")
        if self.far is not None:
            facts.append(f"{show(self.far, 'm')} of cable lies before it.")
        if self.open is not None and self.worst > self.top:
            across = f"the generator can put {show(self.open, 'V', 2)} across it"
            facts.append(f"If it opens in a storm's gust {across}.")
        return facts

    def lacking(self, asked: FuseInputs) -> tuple[Entry[Any], ...]:
        """What is not stated of it."""
        facts = ((asked.distance, self.far), (asked.voltage, self.rated), (asked.breaking, self.breaks))
        return () if self.kind == AC_BREAKER else tuple(entry for entry, value in facts if value is None)


def _rated(x: Inputs, asked: FuseInputs) -> tuple[Num | None, Num | None]:
    """Direct voltage [V] and breaking capacity [A]: as stated, else as usual for the kind, else None."""
    volts, breaks, kind = x.maybe(asked.voltage), x.maybe(asked.breaking), x.maybe(asked.kind)
    usual = None if kind in (None, NO_MAIN_FUSE, FUSED_BY_RUN) else fuse_kind(kind)
    if usual is None:
        return volts, breaks
    why = f"usual for its kind, {kind}" + (", from memory" if usual.standing == "from memory" else "")
    if volts is None and usual.volts is not None:
        volts = x.else_assume(asked.voltage, usual.volts, why)
    if breaks is None and usual.breaks is not None:
        breaks = x.else_assume(asked.breaking, usual.breaks, why)
    return volts, breaks


def fuse_case(x: Inputs, asked: FuseInputs) -> FuseCase | Unknown:
    """One fuse of a sheet, or why nothing can be told of it."""
    far, (rated, breaks) = x.maybe(asked.distance), _rated(x, asked)
    V = charge_top(x)
    if V is None:
        return Unknown("", (Sheet.storage.charge_voltage,))
    found = fault_currents(x, 0.0 if far is None else far)
    if isinstance(found, Unknown):
        return found
    # An open fuse in the generator's run has the battery on one side and the runaway generator on the other.
    free = unloaded_in_storm(x) if x.label and x.maybe(Sheet.cable.carries) == AFTER_RECTIFIER else None
    opened = None if free is None else free.peak
    ahead = _main_ahead(x) if x.label else None
    return FuseCase(x.maybe(asked.kind), far, rated, breaks, x.storage.voltage, V, opened, *found, ahead)


def _main_ahead(x: Inputs) -> Ahead | None:
    """The main fuse ahead of the fuse of a run; None where there is none that opens on direct current."""
    kind, rating = x.maybe(Sheet.protection.main_fuse), x.maybe(Sheet.protection.main_fuse_rating)
    if kind in (None, NO_MAIN_FUSE, FUSED_BY_RUN, AC_BREAKER):
        return None
    capacity = run_capacity(x, str(x.label)) if x.maybe(Sheet.cable.area) is not None else Unknown("")
    covers = False if rating is None or isinstance(capacity, Unknown) else np.asarray(capacity.fuse) >= rating
    return Ahead(_rated(x, MAIN)[1], covers)


def made(x: Inputs, asked: FuseInputs, V: float, rating: float | None, rest: Try | None = None) -> list[Try]:
    """Whole fuses as they are sold, cheapest first.

    Parameters
    ----------
    x : Inputs
        The sheet, with the label of the run where it is the fuse of one.
    asked : Asked
        Which fuse.
    V : float
        Greatest voltage across it. [V]
    rating : float or None
        Its rating, where it is known. [A]
    rest : mapping of Entry to value, optional
        What else is set with it.

    Returns
    -------
    tries : list of mapping of Entry to value
        Those that break the battery's current at that voltage, or all where none does; voltage, breaking capacity,
        kind and distance, then the rest.
    """
    close = fault_currents(x, 0.0)
    need = 0.0 if isinstance(close, Unknown) else float(close[1])
    sold = [one for one in SOLD if rating is None or one.least <= rating <= one.largest]
    fits = [one for one in sold if one.volts >= V and one.breaks >= need]
    kind, distance, volts, breaks = (x.here(e) for e in (asked.kind, asked.distance, asked.voltage, asked.breaking))
    return [
        {volts: one.volts, breaks: one.breaks, kind: one.kind, distance: CLOSE, **(rest or {})} for one in fits or sold
    ]
