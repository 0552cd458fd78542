"""What opens when something is shorted: the battery's main fuse, and place and kind of the fuse of each run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from calc.finding import Source
from calc.machine.battery import charge_top, fault_currents, has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import (
    AC_BREAKER,
    AFTER_RECTIFIER,
    BEFORE_RECTIFIER,
    FUSED_BY_RUN,
    NO_MAIN_FUSE,
)
from calc.machine.currents import Current, generator_current, inverter_current, inverter_run, run_capacity
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.machine.storm import unloaded_in_storm
from calc.physics.protection import fuse_kind
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.phrases import ELECTRICIAN
from calc.rules.sources import FAULT_SOURCE, LITHIUM_OHMS
from calc.units import Num, show, show_down, show_up

#: Cable between battery and fuse: as short as boats have it (7 in), and where the NEC wants the fuse at the
#: battery (5 ft). [m]
FUSE_NEAR, FUSE_FAR = 7 * 0.0254, 5 * 0.3048
#: Cable thinner than the main fuse ahead protects may be so long before its own fuse, out of harm's way. [m]
TAP = 3.0
TAPPED = Source(
    "IEC 60364-4-43, 434.2",
    "behind a fuse, 3 m of thinner cable before its own; as the Electrician's Guide, 3.7.4, has it",
    "reproduction",
)
BRANCH = Source("ABYC E-11, table V.A", "behind the main breaker one that breaks half as much", "reproduction")
KINDS = Source("DC voltage and breaking capacity of fuses by kind", "trade pages; partly from memory", "reproduction")
ARC = Source("Deringer-Ney brief 049, 2023", "a DC arc lasts above about 12 V and 0.5 A", "reproduction")
AT_BATTERY = Source(
    "NEC 2017",
    "706.21(C), (D), (F): DC rating, at the battery beyond 5 ft; a duty above 60 V DC (706.1), below it good practice",
    "reproduction",
)


@dataclass(frozen=True, slots=True)
class _Asked:
    """The inputs that describe one fuse."""

    kind: Entry[str]
    distance: Entry[Num]
    voltage: Entry[Num]
    breaking: Entry[Num]


OF_RUN = _Asked(Sheet.cable.fuse_kind, Sheet.cable.fuse_distance, Sheet.cable.fuse_voltage, Sheet.cable.fuse_breaking)
MAIN = _Asked(
    Sheet.protection.main_fuse,
    Sheet.protection.main_fuse_distance,
    Sheet.protection.main_fuse_voltage,
    Sheet.protection.main_fuse_breaking,
)


@dataclass(frozen=True, slots=True)
class _Ahead:
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
class _FuseCase:
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
    ahead : _Ahead or None
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
    ahead: _Ahead | None = None

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

    def lacking(self, asked: _Asked) -> tuple[Entry[Any], ...]:
        """What is not stated of it."""
        facts = ((asked.distance, self.far), (asked.voltage, self.rated), (asked.breaking, self.breaks))
        return () if self.kind == AC_BREAKER else tuple(entry for entry, value in facts if value is None)


def _rated(x: Inputs, asked: _Asked) -> tuple[Num | None, Num | None]:
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


def _fuse_case(x: Inputs, asked: _Asked) -> _FuseCase | Unknown:
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
    return _FuseCase(x.maybe(asked.kind), far, rated, breaks, x.storage.voltage, V, opened, *found, ahead)


def _main_ahead(x: Inputs) -> _Ahead | None:
    """The main fuse ahead of the fuse of a run; None where there is none that opens on direct current."""
    kind, rating = x.maybe(Sheet.protection.main_fuse), x.maybe(Sheet.protection.main_fuse_rating)
    if kind in (None, NO_MAIN_FUSE, FUSED_BY_RUN, AC_BREAKER):
        return None
    capacity = run_capacity(x, str(x.label)) if x.maybe(Sheet.cable.area) is not None else Unknown("")
    covers = False if rating is None or isinstance(capacity, Unknown) else np.asarray(capacity.fuse) >= rating
    return _Ahead(_rated(x, MAIN)[1], covers)


def _judged(x: Inputs, asked: _Asked, case: _FuseCase, more: _Rating | None = None) -> Judgement | Unknown:
    """What is known to be wrong is said even if something else is not stated."""
    missing = x.lacks(*case.lacking(asked), *(more.missing if more else ()))
    level = case.level if more is None else np.maximum(case.level, more.level)
    if missing and not np.any(level >= FAIL):
        return Unknown("", missing)
    level = np.where((level == OK) & bool(missing), MARGINAL, level)
    return Judgement(level, lambda: _says(case) + ("" if more is None else more.says()), lambda: _remedy(x, case, more))


def _fuse(x: Inputs) -> Judgement | Unknown:
    """Judge where the fuse of a run sits, its kind, its direct voltage, and the current it can break."""
    case = _fuse_case(x, OF_RUN)
    return case if isinstance(case, Unknown) else _judged(x, OF_RUN, case)


def _says(case: _FuseCase) -> str:
    breaks, rated = case.breaks, case.rated
    short = f"A short circuit at the fuse draws up to {show(case.most, 'A', 2)} ({case.how})"
    if case.kind == AC_BREAKER:
        return (
            f"{short}. A breaker for AC counts on a current that passes through zero a hundred times a second. Direct "
            "current does not: the arc goes on, and the breaker burns."
        )
    broken = "what it can break is not stated" if breaks is None else f"it can break {show(breaks, 'A')}"
    marked = "its DC voltage is not stated" if rated is None else f"the fuse is rated for {show(rated, 'V')} DC"
    text = f"{short}; {broken}. The battery reaches {show(case.top, 'V', 4)}; {marked}."
    if case.open is not None and case.worst > case.top:
        text += f" If it opens in a storm's gust the generator can put {show(case.open, 'V', 2)} across it."
    if case.far is not None:
        text += f" {show(case.far, 'm')} of cable lies before it."
    return text


def _remedy(x: Inputs, case: _FuseCase, more: _Rating | None = None) -> str:
    close = fault_currents(x, 0.0)
    breaking = case.most if isinstance(close, Unknown) else close[1]
    size = "" if more is None else more.wanted()
    return (
        f"Use a fuse{size} rated for {show_up(case.worst, 'V', 4)} DC or more that can break "
        f"{show_up(breaking, 'A', 2)}. Put it within {show_down(FUSE_NEAR, 'mm')} of the battery's terminal, never "
        f"further than {show_down(FUSE_FAR, 'm', 2)} nor on the far side of a wall."
    )


# --- the battery's main fuse ------------------------------------------------------------------------------------------


def _fed(x: Inputs) -> tuple[str, ...]:
    """Runs that the battery feeds, by label."""
    carried = ((label, x.maybe(Sheet.cable.carries[label])) for label in x.labels(Sheet.cable))
    return tuple(label for label, carries in carried if carries not in (None, BEFORE_RECTIFIER))


def _own_fuse(x: Inputs, label: str) -> bool | None:
    """Whether a run has a fuse of its own; None where the sheet does not say."""
    fused = x.maybe(Sheet.cable.fused[label])
    rated = x.maybe(Sheet.cable.fuse[label]) is not None
    rated = rated or (label == inverter_run(x) and x.maybe(Sheet.inverter.fuse) is not None)
    return True if fused is None and rated else fused


@dataclass(frozen=True, slots=True)
class _Rating:
    """The rating of the main fuse [A], against what passes it, and the weakest cable that it alone protects."""

    rating: Num | None
    through: Current | Unknown
    weakest: Num | None
    label: str

    @property
    def missing(self) -> tuple[Entry[Any], ...]:
        """The rating, where it is not stated."""
        return (Sheet.protection.main_fuse_rating,) if self.rating is None else ()

    @property
    def level(self) -> NDArray[np.int_]:
        """Beyond what a cable behind it takes: danger. Below the current that passes it: it opens, and fails."""
        if self.rating is None:
            return np.asarray(OK)
        I = np.asarray(self.rating)
        small = OK if isinstance(self.through, Unknown) else np.where(self.through.amps > I, FAIL, OK)
        burns = OK if self.weakest is None else np.where(self.weakest < I, DANGER, OK)
        return np.asarray(np.maximum(small, burns))

    def says(self) -> str:
        """How the rating compares, in words."""
        if self.rating is None:
            return " Its rating is not stated."
        text = ""
        if not isinstance(self.through, Unknown) and self.through.amps > self.rating:
            text = f" {show(self.rating, 'A')} is less than the {self.through.said()} that pass it, so it opens."
        if self.weakest is not None and self.weakest < self.rating:
            text += (
                f" Cable {self.label} has no fuse of its own, allows {show(self.weakest, 'A')} at most, and burns "
                f"before {show(self.rating, 'A')} opens."
            )
        return text

    def wanted(self) -> str:
        """The rating asked for, where it can be told."""
        if self.weakest is not None and self.rating is not None and self.weakest < self.rating:
            return f" of {show(self.weakest, 'A')} at most (or give cable {self.label} its own),"
        if not isinstance(self.through, Unknown) and self.rating is not None and self.through.amps > self.rating:
            return f" of {show_up(1.25 * self.through.amps, 'A', 2)} or more"
        return ""


def _rating(x: Inputs) -> _Rating:
    I, V = inverter_current(x), generator_current(x)
    known = [c for c in (I, V) if not isinstance(c, Unknown)]
    through: Current | Unknown = known[0] if known else V
    for other in known[1:]:
        through = other if np.all(np.asarray(other.amps) > cast(Current, through).amps) else through
    weakest, weakest_label = None, ""
    for label in _fed(x):
        if _own_fuse(x, label) is False and x.maybe(Sheet.cable.area[label]) is not None:
            capacity = run_capacity(x, label)
            if isinstance(capacity, Unknown):
                continue
            if weakest is None or np.all(np.asarray(capacity.fuse) < weakest):
                weakest, weakest_label = capacity.fuse, label
    return _Rating(x.maybe(Sheet.protection.main_fuse_rating), through, weakest, weakest_label)


def _by_run(x: Inputs) -> Judgement | Unknown:
    """No main fuse: each run that the battery feeds must have its own."""
    fed = _fed(x)
    if not fed:
        return Unknown("No cable of the battery is on the sheet, so its fuse cannot be looked at", _FIRST_RUN)
    own = {label: _own_fuse(x, label) for label in fed}
    bare = [label for label, fused in own.items() if fused is False]
    unsaid = tuple(Sheet.cable.fused[label] for label, fused in own.items() if fused is None)
    if bare:
        return _unfused(x, lambda: f"The battery feeds cable {' and '.join(bare)} and no fuse protects it.")
    if unsaid:
        return Unknown("", unsaid)
    return Judgement(
        OK,
        lambda: (
            f"The sheet says that each cable has its own fuse at the battery; of the {len(fed)} on it that is so. What "
            "is not on the sheet was not checked."
        ),
    )


_FIRST_RUN = (Sheet.cable.carries["main"], Sheet.cable.fused["main"])


def _unfused(x: Inputs, first: Callable[[], str]) -> Judgement:
    found = fault_currents(x, 0.0)

    def says() -> str:
        drives = "hundreds to thousands of amperes"
        drives = drives if isinstance(found, Unknown) else f"up to {show(found[1], 'A', 2)} ({found[2]})"
        return f"{first()} Into a short circuit it drives {drives} until the cable burns."

    def remedy() -> str:
        breaks = "" if isinstance(found, Unknown) else f" that can break {show_up(found[1], 'A', 2)}"
        return (
            f"Fit a fuse for direct current{breaks}, such as class T, within {show_down(FUSE_NEAR, 'mm')} of the "
            "battery's terminal."
        )

    return Judgement(DANGER, says, remedy)


def _main(x: Inputs) -> Judgement | Unknown:
    """Judge the main fuse: none at all, its kind, place, direct voltage, breaking capacity and rating."""
    kind = x.protection.main_fuse
    if kind == NO_MAIN_FUSE:
        return _unfused(x, lambda: "Nothing at the battery opens.")
    if kind == FUSED_BY_RUN:
        return _by_run(x)
    case = _fuse_case(x, MAIN)
    return case if isinstance(case, Unknown) else _judged(x, MAIN, case, _rating(x))


def _fused(x: Inputs) -> bool:
    return (
        has_battery(x) and x.maybe(Sheet.cable.carries) != BEFORE_RECTIFIER and x.maybe(Sheet.cable.fused) is not False
    )


NOTHING_OPENS = (
    "A fuse that cannot break the battery's current burns on as an arc or bursts. The cable before the fuse is not "
    "protected at all: keep it short and away from metal."
)

RULES = (
    Rule(
        "protection.main-fuse",
        "Main fuse of the battery",
        "protection",
        (Sheet.storage.chemistry, Sheet.storage.voltage, Sheet.protection.main_fuse),
        _main,
        (
            AT_BATTERY,
            ARC,
            KINDS,
            FAULT_SOURCE,
            LITHIUM_OHMS,
            Source("Main fuse: lead 5 kA, large banks 10 kA, lithium 20 kA", "boathowto, after Calder", "reproduction"),
        ),
        f"A battery drives thousands of amperes into a short circuit and sets on fire what carries them. {ELECTRICIAN}",
        applies=has_battery,
        deadly=True,
    ),
    Rule(
        "protection.fuse",
        "Place and kind of the fuse",
        "cable",
        (Sheet.cable.carries, Sheet.storage.chemistry, Sheet.storage.voltage),
        _fuse,
        (
            AT_BATTERY,
            Source("ABYC E-11, 7 in from the battery", "as quoted by an inverter maker's manual", "reproduction"),
            TAPPED,
            BRANCH,
            ARC,
            KINDS,
            FAULT_SOURCE,
            LITHIUM_OHMS,
            Source(
                "Fuse in the generator's cable: battery and open-circuit generator voltage across it", "", "from memory"
            ),
        ),
        NOTHING_OPENS,
        each=True,
        applies=_fused,
    ),
)
