"""What to look at or read next: what tells most in a minute and for a euro, danger counted as cost.

The literature calls it decision-theoretic troubleshooting (Heckerman, Breese and Rommelse, Communications of the ACM
38/3, 1995): of all that can be observed the next is what is expected to tell most for what it costs. What a caution
forbids is never asked for: no rotor is unloaded or shorted in the wind to read something, and nobody climbs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from calc.machine.inputs import Inputs
from calc.mechanisms import having
from calc.mechanisms.base import LOADED, SHAKING, CaseReading, Note
from calc.mechanisms.instruments import INSTRUMENT_FOR
from calc.mechanisms.judge import value_span
from calc.mechanisms.look import BEFORE, DANGER, LEAST_OF_BEST, LookPlace, worth
from calc.mechanisms.looks import AT_WORK, LOOKS
from calc.mechanisms.showing import predicted
from calc.mechanisms.shown import Predicted, Slot
from calc.mechanisms.weighing import Beliefs, Weighed
from calc.physics.arrays import Array
from calc.quantities import QUANTITIES
from calc.rules.phrases import inside
from calc.wording import with_article

#: What a euro counts in minutes, of an instrument that is not in every shed. Own estimate.
EURO = 0.5
PRICE: dict[str, float] = {"hydrometer": 8.0, "anemometer": 40.0, "clamp meter": 30.0}
#: Fewer bits change nothing that anybody would do; so few are still worth it where only words were told, for words are
#: cheap. Own choice.
WORTH, WORTH_OF_WORDS = 0.02, 0.001
#: Ways of failing among which a step is to tell, and how many steps are named.
AMONG, STEPS = 14, 8
#: Outcomes of a reading that are told apart, and the share of readings that are blunders.
BINS, SLIPS = 8, 0.04

#: How many bits it is worth to be surely right of what leads in place of wrong; and what a reading is worth where the
#: machine is taken as usual for want of a sheet. Both did best on the stories that may be looked at.
GAIN, OF_A_USUAL_MACHINE = 6.0, 0.4
#: Doubt of a prediction in five steps: how many standard deviations off, and with what share.
KERNEL = {-2.0: 0.06, -1.0: 0.24, 0.0: 0.40, 1.0: 0.24, 2.0: 0.06}
#: By how much of the spread of all samples a prediction is doubtful where a single one is left of them. Own choice.
FEW_LEFT = 0.7

_I, _G, _B, _S, _L = LookPlace.INDOORS, LookPlace.GROUND, LookPlace.BATTERY, LookPlace.STOPPED, LookPlace.LOWERED
#: Readings that may be asked for: what is connected, minutes there, and where. Own estimates. What would unload or
#: short a rotor in the wind is not among them.
READINGS: tuple[tuple[str, str, float, LookPlace], ...] = (
    ("battery.voltage", "battery", 2.0, _B),
    ("charge.current", "battery", 5.0, _B),
    ("rotor.speed", "battery", 5.0, _G),
    ("cable.drop", "battery", 12.0, _B),
    ("generator.loaded_voltage", "battery", 5.0, _B),
    ("wind.speed", "battery", 30.0, _G),
    ("load.power", "battery and loads", 5.0, _B),
    ("load.daily_energy", "battery and loads", 20.0, _B),
    ("battery.night_current", "battery", 6.0, _B),
    ("battery.density", "nothing connected", 15.0, _B),
    ("battery.temperature", "battery", 3.0, _B),
    ("battery.string_difference", "battery", 8.0, _B),
    ("battery.tested_capacity", "nothing connected", 180.0, _B),
    ("controller.set_voltage", "battery", 10.0, _B),
    ("controller.dump_current", "battery", 5.0, _B),
    ("inverter.input_voltage", "battery and loads", 6.0, _B),
    ("generator.shaft_speed", "battery", 8.0, _G),
    ("generator.resistance", "nothing connected", 10.0, _S),
    ("generator.frame_resistance/log", "nothing connected", 8.0, _S),
    ("generator.field_current", "battery", 8.0, _S),
    ("brake.loop_resistance", "nothing connected", 8.0, _S),
    ("generator.emf", "nothing connected", 25.0, _L),
    ("generator.ac_voltage/apart", "nothing connected", 25.0, _L),
    ("generator.turning_torque", "nothing connected", 10.0, _L),
    ("blade.gauge_angle", "nothing connected", 20.0, _L),
    ("tail.fold_angle", "battery", 5.0, _G),
    ("yaw.off_wind", "battery", 6.0, _G),
    ("vibration.frequency", "battery", 6.0, _G),
    ("mast.own_frequency", "nothing connected", 15.0, _S),
)
EVERYWHERE = frozenset(LookPlace)
#: What a machine must have for a reading to be taken on it.
NEEDED: dict[str, Callable[[Inputs], float]] = {
    "generator.shaft_speed": having.belt,
    "generator.field_current": having.coil,
    "inverter.input_voltage": having.inverter,
    "controller.dump_current": having.dump,
    "controller.set_voltage": having.dump,
    "brake.loop_resistance": having.shorting_switch,
    "tail.fold_angle": having.tail,
}
_ARRIVING = {_I: 0.0, _G: 0.0, _B: 2.0, _S: 10.0, _L: 90.0}
#: Seen after these nothing runs any more that could be read running.
OVER = frozenset({"blade lost or broken", "mast or guy failed", "rotor ran away"})


@dataclass(frozen=True, slots=True)
class Inquiry:
    """One thing to look at or to read.

    Parameters
    ----------
    kind : str
        ``look`` or ``reading``.
    name : str
        Of the look, or of the quantity.
    says : str
        What to find out.
    how : str
        How, and with what.
    before : str
        What must be done before anybody does it.
    means : tuple of str
        What each result would mean.
    minutes : float
        How long it takes, the way there among it.
    bits : float
        What it is expected to tell.
    """

    kind: str
    name: str
    says: str
    how: str
    before: str
    means: tuple[str, ...]
    minutes: float
    bits: float


def next_steps(
    beliefs: Beliefs, x: Inputs, symptoms: Sequence[str], answered: Sequence[str] = (), *, stands: bool = True,
    places: frozenset[LookPlace] = EVERYWHERE,
) -> list[Inquiry]:  # fmt: skip
    """What to look at or read next, the best first; none where nothing more would tell anything.

    Parameters
    ----------
    beliefs : Beliefs
        Shares of belief, and the worlds behind them.
    x : Inputs
        The design.
    symptoms : sequence of str
        What was seen; what has broken is not run again to be read.
    answered : sequence of str
        Names of looks that were answered.
    stands : bool
        Whether the machine still stands, so that it can be watched and read at work.
    places : frozenset of LookPlace
        Where somebody may go: where what was told is a danger not everywhere, and nothing is read that needs it to go
        on.
    """
    rows = [w for w in beliefs.rows if not w.mechanism.harmless]
    rows = sorted(rows, key=lambda w: -beliefs.share[w.mechanism.id])[:AMONG]
    share = np.asarray([max(beliefs.share[w.mechanism.id], 1e-6) for w in rows])
    if not len(rows) or not share.sum():
        return []
    share = share / share.sum()
    over = not stands or places != EVERYWHERE or bool(OVER & set(symptoms))
    around = _Around(rows, share, x, over, places, SHAKING in symptoms)
    found = around.steps(beliefs, answered, WORTH)
    if not found and not beliefs.slots and not answered:
        found = around.steps(beliefs, answered, WORTH_OF_WORDS)
    best = sorted(found, key=lambda f: -f[0])[:STEPS]
    return [step for value, step in best if value >= LEAST_OF_BEST * best[0][0]]


@dataclass(frozen=True)
class _Around:
    """What may be looked at and read: of which machine, among which ways of failing, and what may not be asked."""

    rows: Sequence[Weighed]
    share: Array
    x: Inputs
    over: bool
    places: frozenset[LookPlace]
    shakes: bool

    def steps(self, beliefs: Beliefs, answered: Sequence[str], least: float) -> list[tuple[float, Inquiry]]:
        """All that tells so many bits, with what it is worth."""
        near = [k.name for k in LOOKS.values() if not k.may_be(self.places)]
        skipped = [*answered, *(AT_WORK if self.over else ()), *near]
        found = _looks(self.rows, self.share, self.x, skipped, least)
        read = {(s.quantity, s.reading.load) for s in beliefs.slots}
        for quantity, load, minutes, place in READINGS:
            has_it = NEEDED.get(quantity, _always)(self.x)
            if not has_it or (quantity, load) in read or not self._may(quantity, load, place):
                continue
            made = _reading(self.rows, self.share, quantity, load, minutes, place, least)
            if made is not None:
                found.append((has_it * (OF_A_USUAL_MACHINE if beliefs.put_in else 1.0) * made[0], made[1]))
        return found

    def _may(self, quantity: str, load: str, place: LookPlace) -> bool:
        """Whether it can be read as things stand, and nobody is sent where the danger goes on."""
        running = load in LOADED and place in (_G, _B) and not quantity.startswith("battery.")
        shakes = quantity in ("vibration.frequency", "mast.own_frequency")
        return place in self.places and not (self.over and running) and (self.shakes or not shakes)


def _always(x: Inputs) -> float:
    return 1.0


def _looks(
    rows: Sequence[Weighed], share: Array, x: Inputs, answered: Sequence[str], least: float
) -> list[tuple[float, Inquiry]]:
    """Looks that tell something, with what they tell for their cost."""
    found = []
    for look in LOOKS.values():
        if look.name in answered or not look.applies(x):
            continue
        yes = np.asarray([look.yes.get(w.mechanism.id, look.usual) for w in rows])
        told = np.stack([yes, 1.0 - yes], axis=-1)
        bits = _bits(share, told)
        if bits >= least:
            means = tuple(_after(rows, share, told[:, i], word) for i, word in enumerate(("yes", "no")))
            step = Inquiry("look", look.name, look.question, look.how, look.before, means, look.cost, bits)
            found.append((look.applies(x) * worth(_value(share, told, bits), look.cost, look.danger), step))
    return found


def _reading(
    rows: Sequence[Weighed], share: Array, quantity: str, load: str, minutes: float, place: LookPlace, least: float
) -> tuple[float, Inquiry] | None:
    name = quantity.split("/")[0]
    slot = Slot(CaseReading("", 0.0, 0.0, 0.0, load, None, None), quantity, Note("", bench=place in (_S, _L)))
    values = [_values(w, slot) for w in rows]
    if any(v is None for v in values):
        return None
    known = [v for v in values if v is not None]
    told = _binned(known, share)
    bits = _bits(share, told)
    if bits < least:
        return None
    instrument, q = INSTRUMENT_FOR.get(name, "multimeter"), QUANTITIES[name]
    there = minutes + _ARRIVING[place]
    with_ = "" if place in (_S, _L) else f", {load} connected"
    means = tuple(_spans(rows, share, known, quantity)) if "/" not in quantity else ()
    step = Inquiry(
        "reading", name, f"{q.meaning}{with_}",
        f"with {with_article(instrument)}{f'; {q.note}' if q.note else ''}", BEFORE[place],
        means or tuple(_after(rows, share, told[:, i], word) for i, word in ((0, "low"), (BINS - 1, "high"))),
        there, bits,
    )  # fmt: skip
    return worth(_value(share, told, bits), there + EURO * PRICE.get(instrument, 0.0), DANGER[place]), step


def _values(w: Weighed, slot: Slot) -> tuple[Array, Array] | None:
    """Samples of what a mechanism would have a meter show, with its doubt, and their weights."""
    if not w.worlds:
        return None
    world = w.worlds[0]
    shown = predicted(world, slot)
    if shown is None:
        return None
    weights = (
        w.weights.reshape(-1, world.n).sum(axis=0) if w.weights.size % world.n == 0 else np.ones(world.n) / world.n
    )
    return _spread(shown, weights), np.concatenate([share * weights for share in KERNEL.values()])


def _spread(shown: Predicted, weights: Array) -> Array:
    """Samples of a prediction with its doubt; where few samples are left, what lies between these is likely too."""
    left = 1.0 / float(np.sum((weights / weights.sum()) ** 2))
    value = np.nan_to_num(shown.value)
    between = FEW_LEFT * float(np.std(value)) / np.sqrt(left)
    scale = np.sqrt((shown.share * value) ** 2 + np.asarray(shown.least) ** 2 + between**2)
    return np.concatenate([value + off * scale for off in KERNEL])


def _binned(values: Sequence[tuple[Array, Array]], share: Array) -> Array:
    """Probability of each outcome under each mechanism, shape (mechanisms, bins)."""
    pooled = np.concatenate([v for v, _ in values])
    weights = np.concatenate([s * w for (_, w), s in zip(values, share, strict=True)])
    order = np.argsort(pooled)
    along = np.cumsum(weights[order]) / np.sum(weights)
    edges = pooled[order][np.searchsorted(along, np.arange(1, BINS) / BINS).clip(max=len(pooled) - 1)]
    rows = [np.bincount(np.searchsorted(edges, v), weights=w, minlength=BINS) for v, w in values]
    told = np.stack(rows) / np.sum(rows, axis=-1, keepdims=True)
    return np.asarray((1.0 - SLIPS) * told + SLIPS / BINS)


def _bits(share: Array, told: Array) -> float:
    """Mutual information of outcome and mechanism, in bits."""
    p = np.clip(told, 1e-12, 1.0)
    whole = np.clip(share @ p, 1e-12, 1.0)
    return max(0.0, float(np.sum(share @ (p * np.log2(p))) - np.sum(whole * np.log2(whole))))


def _gain(share: Array, told: Array) -> float:
    """By how much it is expected to raise the chance that what then leads is so."""
    return max(0.0, float(np.sum(np.max(share[:, None] * told, axis=0)) - np.max(share)))


def _value(share: Array, told: Array, bits: float) -> float:
    """What an answer is worth: what it tells, and how often it leads to the right one."""
    return bits + GAIN * _gain(share, told)


def _after(rows: Sequence[Weighed], share: Array, likely: Array, word: str) -> str:
    """What leads after an outcome."""
    then = share * likely
    then = then / then.sum()
    best = int(np.argmax(then))
    return f"{word}: then {100 * then[best]:.0f} % “{inside(rows[best].mechanism.title)}”"


def _spans(rows: Sequence[Weighed], share: Array, values: Sequence[tuple[Array, Array]], quantity: str) -> list[str]:
    """What the leaders would have it show."""
    said: dict[str, str] = {}
    for i in np.argsort(-share)[:6]:
        v, w = values[int(i)]
        order = np.argsort(v)
        along = np.cumsum(w[order]) / w.sum()
        low, high = (float(v[order][min(int(np.searchsorted(along, p)), len(v) - 1)]) for p in (0.15, 0.85))
        span = value_span((low, high), QUANTITIES[quantity].shown)
        said.setdefault(span, f"{span}: “{inside(rows[int(i)].mechanism.title)}”")
    return list(said.values())[:3]
