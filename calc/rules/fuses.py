"""What opens when something is shorted: the battery's main fuse, and place and kind of the fuse of each run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from calc.finding import Act, Source
from calc.machine.battery import charge_top, fault_currents, has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import BEFORE_RECTIFIER, CLASS_T, FUSED_BY_RUN, NO_MAIN_FUSE
from calc.machine.currents import (
    Current,
    generator_current,
    inverter_current,
    inverter_run,
    run_capacity,
    wiring_practice,
)
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.physics import wiring
from calc.physics.protection import fuse_ratings
from calc.rules.engine import CANNOT_TELL, DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.fusing import CLOSE, FUSE_NEAR, MAIN, OF_KIND, OF_RUN, Fault, FuseCase, FuseInputs, fuse_case, made
from calc.rules.phrases import ELECTRICIAN
from calc.rules.sources import FAULT_SOURCE, LITHIUM_OHMS
from calc.rules.ways import Try, Way, act, change, ladder, shown
from calc.units import Num, show, show_down, show_up

#: Words that a finding has room for on the short screen.
MOST_WORDS = 60
KINDS = Source("DC voltage and breaking capacity of fuses by kind", "trade pages; partly from memory", "reproduction")
ARC = Source("Deringer-Ney brief 049, 2023", "a DC arc lasts above about 12 V and 0.5 A", "reproduction")
TAPPED = Source(
    "IEC 60364-4-43, 434.2",
    "behind a fuse, 3 m of thinner cable before its own; as the Electrician's Guide, 3.7.4, has it",
    "reproduction",
)
BRANCH = Source("ABYC E-11, table V.A", "behind the main breaker one that breaks half as much", "reproduction")
AT_BATTERY = Source(
    "NEC 2017",
    "706.21(C), (D), (F): DC rating, at the battery beyond 5 ft; a duty above 60 V DC (706.1), below it good practice",
    "reproduction",
)


def _judged(x: Inputs, asked: FuseInputs, case: FuseCase, more: _Rating | None = None) -> Judgement | Unknown:
    """What is known to be wrong is said even if something else is not stated."""
    missing = x.lacks(*case.lacking(asked), *(more.missing if more else ()))
    level = case.level if more is None else np.maximum(case.level, more.level)
    if missing:
        if not np.any(level >= FAIL):
            return Unknown("", missing)
        level = np.where(level >= FAIL, level, CANNOT_TELL)

    def texts() -> tuple[str, str]:
        """What is said, and what is left for those who want everything."""
        faults = [*case.faults(), *(() if more is None else more.faults())]
        told = [text for _, text in sorted(faults, key=lambda f: -f[0])] or [case.fine()]
        short = 1
        while short < len(told) and len(" ".join(told[: short + 1]).split()) <= MOST_WORDS:
            short += 1
        return " ".join(told[:short]), " ".join([*told[short:], *case.facts(), *(() if more is None else more.facts())])

    return Judgement(
        level,
        lambda: texts()[0],
        lambda: _ways(x, asked, case, more),
        case.breaks,
        None if case.breaks is None else case.most,
        "A",
        case.margin(() if more is None else more.margin),
        lambda: texts()[1],
    )


def _fuse(x: Inputs) -> Judgement | Unknown:
    """Judge where the fuse of a run sits, its kind, its direct voltage, and the current it can break."""
    case = fuse_case(x, OF_RUN)
    return case if isinstance(case, Unknown) else _judged(x, OF_RUN, case)


def _ways(x: Inputs, asked: FuseInputs, case: FuseCase, more: _Rating | None) -> list[Way]:
    wrong, rated_wrong = case.faults(), [] if more is None else more.faults()
    ways: list[Way] = []
    if case.badly_placed and len(wrong) == 1:
        nearer: Try = {x.here(asked.distance): CLOSE}
        ways.append(
            change("Put the fuse so close that {0} of cable lies before it, and no wall.", nearer, kind=Act.MOVE)
        )
    if more is not None:
        return [*ways, *_main_ways(x, float(case.worst), more, whole=bool(wrong) or not rated_wrong)]
    rating = x.maybe(Sheet.cable.fuse)
    rating = x.maybe(Sheet.inverter.fuse) if rating is None and x.label == inverter_run(x) else rating
    whole = made(x, asked, float(case.worst), None if rating is None else float(rating))
    return ways or [change(f"Use a fuse {OF_KIND}.", *whole)]


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
    def alone(self) -> _Rating:
        """The same without the name of the cable that it protects."""
        return replace(self, label="")

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

    def faults(self) -> list[Fault]:
        """What is wrong with it, each with how bad that is; of scalars."""
        if self.rating is None:
            return [(MARGINAL, "Its rating is not stated.")]
        rating, found = show(self.rating, "A"), []
        if self.weakest is not None and self.weakest < self.rating:
            allows = f"Cable {self.label} has no fuse of its own and allows {show(self.weakest, 'A')}"
            found.append((DANGER, f"{allows}: it burns before the main fuse of {rating} opens."))
        if not isinstance(self.through, Unknown) and self.through.amps > self.rating:
            passes = show(self.through.amps, "A", self.through.figures)
            found.append((FAIL, f"The main fuse of {rating} opens in normal running: {passes} pass it."))
        return found

    def facts(self) -> list[str]:
        """What passes it, and where that comes from."""
        return [] if isinstance(self.through, Unknown) else [f"Up to {self.through.said()} pass it."]

    @property
    def margin(self) -> list[Num]:
        """What is left of its limits, as shares of them."""
        left: list[Num] = []
        if self.rating is not None and not isinstance(self.through, Unknown):
            left.append((self.rating - self.through.amps) / self.through.amps)
        if self.rating is not None and self.weakest is not None:
            left.append((self.weakest - self.rating) / self.weakest)
        return left


def _greater(one: Current, other: Current) -> Current:
    """The greater of two currents, variant by variant; in words, of scalars."""
    amps = cast(Num, np.maximum(one.amps, other.amps))
    return Current(amps, lambda: (one if one.amps >= other.amps else other).how(), max(one.figures, other.figures))


def _rating(x: Inputs) -> _Rating:
    I, V = inverter_current(x), generator_current(x)
    through = V if isinstance(I, Unknown) else I if isinstance(V, Unknown) else _greater(I, V)
    weakest: Num | None = None
    weakest_label = ""
    for label in _fed(x):
        if _own_fuse(x, label) is False and x.maybe(Sheet.cable.area[label]) is not None:
            capacity = run_capacity(x, label)
            if isinstance(capacity, Unknown):
                continue
            if weakest is None or np.all(np.asarray(capacity.fuse) < weakest):
                weakest_label = label
            weakest = capacity.fuse if weakest is None else cast(Num, np.minimum(weakest, capacity.fuse))
    return _Rating(x.maybe(Sheet.protection.main_fuse_rating), through, weakest, weakest_label)


def _main_ways(x: Inputs, V: float, rating: _Rating, *, whole: bool) -> list[Way]:
    """Another rating, or a whole other fuse; or one for the cable that this one leaves bare."""
    through, own = rating.through, _own_fuses(x, [rating.label] if rating.label else [])
    if isinstance(through, Unknown):
        return own
    # What lies behind it opens first, so it is no smaller than the largest of those.
    behind = [float(I) for label in _fed(x) if (I := x.maybe(Sheet.cable.fuse[label])) is not None]
    least = max([wiring.CONTINUOUS * float(through.amps), *behind])
    most = np.inf if rating.weakest is None else float(rating.weakest)
    fits = [r for r in fuse_ratings(wiring_practice(x)) if least * (1 - 1e-9) <= r <= most * (1 + 1e-9)]
    rated = Sheet.protection.main_fuse_rating
    if not whole:
        return [change("Use a main fuse of {0}.", *ladder(rated, fits[:8])), *own]
    fuses = [one for r in fits[:2] for one in made(x, MAIN, V, r, {rated: r})]
    return [change(f"Fit a main fuse of {{4}} {OF_KIND}.", *fuses), *own]


def _own_fuses(x: Inputs, labels: Sequence[str]) -> list[Way]:
    """A fuse of its own for each of some cables, the largest that it bears."""
    fused: dict[Entry[Any], Value] = {}
    for label in labels:
        sized = x.maybe(Sheet.cable.area[label]) is not None
        capacity = run_capacity(x, label) if sized else Unknown("")
        fits = [r for r in fuse_ratings(wiring_practice(x)) if not isinstance(capacity, Unknown) and r <= capacity.fuse]
        if not fits:
            return []
        fused[Sheet.cable.fuse[label]] = fits[-1]
        fused[Sheet.cable.fuse_kind[label]] = CLASS_T
        fused[Sheet.cable.fuse_distance[label]] = CLOSE
        fused[Sheet.cable.fused[label]] = True

    def says(tried: Try) -> str:
        each = [f"{shown(e, v)} for cable {e.label}" for e, v in tried.items() if e.path == Sheet.cable.fuse.path]
        return f"Fit a DC fuse of its own close to the battery: {', '.join(each)}."

    return [change(says, fused)] if fused else []


def _by_run(x: Inputs) -> Judgement | Unknown:
    """No main fuse: each run that the battery feeds must have its own."""
    fed = _fed(x)
    if not fed:
        return Unknown("No cable of the battery is on the sheet, so its fuse cannot be looked at", _FIRST_RUN)
    own = {label: _own_fuse(x, label) for label in fed}
    bare = [label for label, fused in own.items() if fused is False]
    unsaid = tuple(Sheet.cable.fused[label] for label, fused in own.items() if fused is None)
    if bare:
        return _unfused(x, f"no fuse protects cable {' and '.join(bare)}", bare)
    if unsaid:
        return Unknown("", unsaid)
    each = "The one cable" if len(fed) == 1 else f"Each of the {len(fed)} cables"
    return Judgement(
        OK,
        lambda: (
            f"{each} that the battery feeds has its own fuse, by the sheet. What is not on the sheet was not checked."
        ),
    )


_FIRST_RUN = (Sheet.cable.carries["main"], Sheet.cable.fused["main"])


def _unfused(x: Inputs, what: str, bare: Sequence[str] = ()) -> Judgement:
    found = fault_currents(x, 0.0)

    def says() -> str:
        drives = "hundreds to thousands of amperes"
        drives = drives if isinstance(found, Unknown) else f"up to {show(found[1], 'A', 2)}"
        return f"The battery drives {drives} into a short circuit, and {what}: the cable burns."

    def ways() -> list[Way]:
        top = charge_top(x)
        # Where each bare cable gets a fuse of its own that is not said twice.
        own, rating = _own_fuses(x, bare), _rating(x)
        ways = [
            *own,
            *_main_ways(x, 0.0 if top is None else float(top), rating if not own else rating.alone, whole=True),
        ]
        if ways:
            return ways
        breaks = "" if isinstance(found, Unknown) else f" that can break {show_up(found[1], 'A', 2)}"
        return [
            act(Act.DO, f"Fit a DC fuse{breaks}, such as class T, within {show_down(FUSE_NEAR, 'mm')} of the battery.")
        ]

    known = "" if isinstance(found, Unknown) else f"The current follows from the resistance inside it: {found[2]}."
    return Judgement(DANGER, says, ways, more=lambda: known)


def _main(x: Inputs) -> Judgement | Unknown:
    """Judge the main fuse: none at all, its kind, place, direct voltage, breaking capacity and rating."""
    kind = x.protection.main_fuse
    if kind == NO_MAIN_FUSE:
        return _unfused(x, "nothing at it opens")
    if kind == FUSED_BY_RUN:
        return _by_run(x)
    case = fuse_case(x, MAIN)
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
