"""Verdicts from shares of belief: plain words, and what was read that speaks for or against each way of failing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np

from calc.mechanisms.base import ENOUGH, Mechanism, Verdict
from calc.mechanisms.judge import FailedMachine, JudgedMechanism, judge_mechanisms, value_span
from calc.mechanisms.logged import SHOWN as LOGGED
from calc.mechanisms.look import CaseLook
from calc.mechanisms.looks import LOOKS
from calc.mechanisms.showing import predicted
from calc.mechanisms.shown import Predicted, Slot
from calc.mechanisms.weighing import Beliefs, Weighed, weigh_mechanisms
from calc.mechanisms.world import World
from calc.physics.arrays import Array
from calc.quantities import QUANTITIES
from calc.rules.phrases import inside
from calc.units import Num, show

#: Share of belief from which on a way of failing is called supported, where something was found out that speaks for it
#: so many times. Own choice.
BELIEVED, FOUND = 0.7, math.log(6.0)
#: Share of belief that one of several that look alike must have by itself. Own choice.
OF_KIN = 0.25
#: Share of belief from which on a fault of the design that leads is called supported, where nearly all samples of the
#: sheet bring it about. Own choice.
LEADS = 0.3
#: How many times better another explains what was read and seen before one is called contradicted. Own choice.
REFUTED = math.log(30.0)
#: How much a reading must shift the odds to be named, and how many are named.
NAMED, MOST_NAMED = math.log(1.6), 3


def judged_causes(failed: FailedMachine, mechanisms: Iterable[Mechanism]) -> tuple[list[JudgedMechanism], Beliefs]:
    """Mechanisms with their verdicts and shares of belief, the likeliest first and contradicted ones last.

    Parameters
    ----------
    failed : FailedMachine
        The failed machine.
    mechanisms : iterable of Mechanism
        Which; those that cannot happen to this design are left out.
    """
    mechanisms = list(mechanisms)
    beliefs = weigh_mechanisms(failed, mechanisms)
    by_id = {w.mechanism.id: w for w in beliefs.rows}
    rows = [
        replace(
            row,
            verdict=row.verdict if beliefs.sound is None else verdict_by_belief(by_id[row.id], beliefs),
            belief=round(beliefs.share[row.id], 4),
            because=tuple(_because(by_id[row.id], beliefs, failed.many.c.looks)),
        )
        for row in judge_mechanisms(failed, mechanisms)
    ]
    return sorted(rows, key=lambda r: (r.verdict is Verdict.CONTRADICTED, -(r.belief or 0.0))), beliefs


def verdict_by_belief(w: Weighed, beliefs: Beliefs) -> Verdict:
    """What the evidence says of one: belief alone supports nothing, and only readings or looks contradict."""
    m = w.mechanism
    if m.harmless:
        return Verdict.CANNOT_TELL
    found = w.looked + w.read
    if w.tested and found <= beliefs.best - REFUTED and found < 0.0 and beliefs.share[m.id] < 0.03:
        return Verdict.CONTRADICTED
    if beliefs.group(m) >= BELIEVED and beliefs.share[m.id] >= OF_KIN and w.evidence >= FOUND:
        return Verdict.SUPPORTED
    # What the sheet's own numbers bring about in nearly all ways of the doubts needs no other fault to explain it.
    leads = beliefs.share[m.id] >= max(LEADS, *beliefs.share.values())
    if w.designed >= ENOUGH and leads and w.evidence >= FOUND:
        return Verdict.SUPPORTED
    return Verdict.CANNOT_TELL


def _because(w: Weighed, beliefs: Beliefs, looks: Iterable[CaseLook]) -> list[str]:
    """Readings and looks that speak most, in words."""
    said = []
    speaking = sorted(w.each.items(), key=lambda e: -abs(e[1]))
    slots = {s.name: s for s in beliefs.slots}
    for label, shift in speaking[:MOST_NAMED]:
        if abs(shift) < NAMED or label not in slots:
            continue
        said.append(_sentence(slots[label], shift, w, beliefs.sound))
    for look in looks:
        if look.name in LOOKS and abs(shift := w.seen.get(look.name, 0.0)) >= NAMED:
            way = "for" if shift > 0 else "against"
            said.append(f"{look.label}, {way} it: {LOOKS[look.name].question} {look.answer.capitalize()}.")
    return said


def _sentence(s: Slot, shift: float, w: Weighed, sound: World | None) -> str:
    q = _telling(s)
    way = "for" if shift > 0 else "against"
    text = (
        f"{s.reading.label}, {way} it: {q.meaning} {show(float(q.back(float(np.mean(s.reading.value)))), q.shown, 3)}"
    )
    bands = {
        words: _middle(shown, q.back)
        for words, worlds in (("if it were so", w.worlds[:1]), ("if nothing were wrong", (sound,)))
        for world in worlds
        if world is not None and (shown := predicted(world, s)) is not None
    }
    for digits in (2, 3):
        spans = [f"{value_span(band, q.shown, digits)} {words}" for words, band in bands.items()]
        if len({span.split(" if ")[0] for span in spans}) == len(spans):
            break
    return f"{text}; {', '.join(spans)}." if spans else f"{text}."


def _middle(shown: Predicted, back: Callable[[Num], Num]) -> tuple[float, float]:
    low, high = (float(back(v)) for v in np.percentile(_spread(shown), [10, 90]))
    return low, high


@dataclass(frozen=True)
class _Telling:
    """How what was compared is told: meaning, unit, and the way back from what was compared."""

    meaning: str
    shown: str
    back: Callable[[Num], Num] = np.asarray


def _telling(s: Slot) -> _Telling:
    if s.quantity in LOGGED:
        return _Telling(f"power of the measured curve in {show(float(s.reading.wind_low or 0.0), 'm/s', 2)}", "W")
    name, _, of = s.quantity.partition("/")
    q = QUANTITIES[name]
    if of == "ohms":
        return _Telling("resistance from generator to battery, by volts lost over amps,", "ohm")
    if of in ("apart", "unlike"):
        return _Telling(f"{inside(q.meaning)}, how far those read lie apart,", "%")
    if of == "least":
        return _Telling(f"{inside(q.meaning)}, the least of them over that of the sheet,", "")
    if of == "turns":
        return _Telling(f"{inside(q.meaning)}, in shakes a turn of the rotor,", "")
    if of == "most":
        return _Telling(f"{inside(q.meaning)}, per speed,", "rpm/V")
    return _Telling(inside(q.meaning), q.shown, (lambda v: 10.0**v) if of == "log" else np.asarray)


def _spread(shown: Predicted) -> Array:
    """Samples of a prediction with its doubt."""
    scale = np.sqrt((shown.share * shown.value) ** 2 + np.asarray(shown.least) ** 2)
    return np.concatenate([shown.value - scale, shown.value, shown.value + scale])
