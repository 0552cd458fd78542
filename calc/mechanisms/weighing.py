"""How evidence adds up: shares of belief over all ways of failing, from the sheet, words, looks and every reading.

Each mechanism gets a weight: how often it is behind what was seen, what was told and looked at, how far the sheet's own
numbers speak for it, and how well the machine that it leaves behind explains all that was read together. The solved
machine predicts; Student's t with a share of blunders judges; whatever nobody here knows of keeps a share of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations

import numpy as np

from calc.evidence.likelihood import log_mean, normalised
from calc.machine.catalogue import Sheet
from calc.machine.inputs import CannotTellError, Unknown
from calc.mechanisms import logged
from calc.mechanisms.base import Case, CaseReading, Indication, Mechanism, Unread
from calc.mechanisms.judge import FailedMachine
from calc.mechanisms.looks import LOOKS
from calc.mechanisms.priors import NOTHING_READ, SOMETHING_ELSE, by_circumstances, prior
from calc.mechanisms.sayings import tells_reading, told_odds
from calc.mechanisms.showing import SHOWS, reading_fit, slots_of
from calc.mechanisms.shown import Slot
from calc.mechanisms.usual import completed
from calc.mechanisms.world import World, world_of
from calc.physics.arrays import Array
from calc.quantities import LookAnswer

#: How strongly an indicator of the sheet speaks, as a power of e at full strength. Own choice.
BY_SHEET = 2.3
#: How likely a second cause is beside a first. Own estimate, no source.
SECOND = 0.04
#: By how much two causes must explain what was read better than each alone before they are believed. Own choice.
BETTER = math.log(12.0)
#: Leaders of which pairs are tried.
PAIRED = 5
#: Winds apart from that of the failure in which readings are held against the machine. Own choice, for time.
OTHER_WINDS = 2

#: How far readings alone may speak for what does not explain what was seen, as a logarithm. Own choice.
BESIDES = 1.5


@dataclass(frozen=True)
class Weighed:
    """One mechanism with all that speaks of it.

    Parameters
    ----------
    mechanism : Mechanism
        Which.
    prior, told, looked, sheet, read : float
        Logarithms of the weights: how often, words, looks, the sheet's own numbers, readings. ``read`` is beside the
        machine with nothing wrong about it.
    each : mapping of str to float
        The same for each reading by itself, by its reference.
    seen : mapping of str to float
        The same for each look.
    tested : bool
        Whether anything was read or looked at that it predicts otherwise than the sound machine.
    designed : float
        Share of the samples that the readings leave in which the sheet's own numbers speak for it.
    weights : array, shape (n,)
        How well each sample of its world explains the readings; adds up to one.
    """

    mechanism: Mechanism
    prior: float
    told: float
    looked: float
    sheet: float
    read: float
    each: Mapping[str, float] = field(default_factory=dict)
    seen: Mapping[str, float] = field(default_factory=dict)
    tested: bool = False
    weights: Array = field(default_factory=lambda: np.empty(0))
    designed: float = 0.0
    worlds: tuple[World, ...] = ()

    @property
    def total(self) -> float:
        """All of it together."""
        return self.prior + self.told + self.looked + self.sheet + self.read

    @property
    def evidence(self) -> float:
        """What was found out: without how often it is so, and without words."""
        return self.looked + self.sheet + self.read


@dataclass(frozen=True)
class Beliefs:
    """Shares of belief over mechanisms, and over pairs of the leading ones."""

    rows: tuple[Weighed, ...]
    share: Mapping[str, float]
    pairs: tuple[tuple[tuple[str, str], float], ...] = ()
    slots: tuple[Slot, ...] = ()
    sound: World | None = None
    put_in: tuple[str, ...] = ()

    def group(self, m: Mechanism) -> float:
        """Share of a mechanism and of all that look like it in every reading."""
        if not m.kin:
            return self.share.get(m.id, 0.0)
        return sum(self.share.get(w.mechanism.id, 0.0) for w in self.rows if w.mechanism.kin == m.kin)

    @cached_property
    def best(self) -> float:
        """Greatest evidence of any mechanism that may be at work."""
        return max((w.looked + w.read for w in self.rows if self.share.get(w.mechanism.id, 0) > 0.02), default=0.0)


class Bench:
    """One failed machine laid out so that mechanisms can be weighed: its sound world, its readings, its looks."""

    def __init__(self, failed: FailedMachine) -> None:
        self.failed = failed
        self.many = failed.many
        found = world_of(self.many)
        #: Names of what the sheet lacked, and was taken as usual.
        self.put_in: tuple[str, ...] = ()
        if isinstance(found, Unknown):
            whole = completed(failed.system)
            found = world_of(FailedMachine(whole.system, failed.circumstances).many) if whole.names else found
            self.put_in = whole.names
        curve = () if logged.LABEL in self.many.c.earlier else logged.picked(failed.plain.x)
        self.sound: World | None = None if isinstance(found, Unknown) else logged.with_curve(found, curve)
        notes = {n.label: n for n in self.many.c.notes}
        ohms = failed.plain.x.maybe(Sheet.generator.winding_resistance)
        read = slots_of(_readings(failed.plain), notes, 0.0 if ohms is None else float(np.mean(ohms)))
        self.slots = [*read, *logged.logged_slots(curve)]
        self.odds = told_odds(self.many.c.told)

    @cached_property
    def winds(self) -> list[tuple[float | None, float | None]]:
        """Winds of the readings, that of the failure first; each with the readings in it."""
        c = self.many.c
        own = (c.wind_low, c.wind_high)
        found = [own]
        for s in self.slots:
            at = (s.reading.wind_low, s.reading.wind_high)
            if (
                s.quantity in SHOWS
                and not s.note.bench
                and at not in (*found, (None, None))
                and self.place(s, found) != 0
            ):
                found.append(at)
        return found[: 1 + OTHER_WINDS]

    def place(self, s: Slot, winds: Sequence[tuple[float | None, float | None]] | None = None) -> int | None:
        """Which wind a reading belongs to; None where it is one too many."""
        at = (s.reading.wind_low, s.reading.wind_high)
        if at == (None, None) or _calm(s) or s.note.bench or s.quantity == "wind.speed":
            return 0
        among = list(self.winds if winds is None else winds)
        return among.index(at) if at in among else None

    @cached_property
    def worlds(self) -> tuple[World, ...]:
        """The sound machine in each of these winds."""
        if self.sound is None:
            return ()
        return tuple(self._in_wind(*at) for at in self.winds)

    def _in_wind(self, low: float | None, high: float | None) -> World:
        assert self.sound is not None
        c, w = self.many.c, self.sound
        if (low, high) == (c.wind_low, c.wind_high) or low is None or high is None:
            return w
        middle = 0.5 * ((c.wind_low or 2.5) + (c.wind_high or 12.0))
        # A wind that was misjudged in the one is misjudged in the other.
        return w.but(wind=np.maximum(w.wind * 0.5 * (low + high) / max(middle, 0.5), 0.4), known=True)

    def altered(self, alters: Sequence[Callable[[World], World]]) -> tuple[World, ...]:
        """The worlds with something wrong about them."""
        made = self.worlds
        for alter in alters:
            made = tuple(alter(w) for w in made)
        return made

    def explained(self, worlds: tuple[World, ...]) -> tuple[Array, dict[str, Array]]:
        """How well each sample of a world explains all readings, and each of them: logarithms, shape (n,)."""
        n = worlds[0].n if worlds else 1
        total, each = np.zeros(n), {}
        for s in self.slots:
            place = self.place(s)
            if not worlds or place is None:
                continue
            found = reading_fit(worlds[place], s)
            if found is not None:
                each[s.name] = found * s.weight
                total = total + found * s.weight
        return total, each


def _calm(s: Slot) -> bool:
    return s.reading.wind_high is not None and s.reading.wind_high < 0.6


def _readings(plain: Case) -> list[tuple[str, CaseReading]]:
    """All readings that say something of the failure, with their quantity; those from before it are left out."""
    names: dict[str, None] = {}
    for label in plain.x.labels(Sheet.measured):
        q = plain.x.maybe(Sheet.measured.quantity[label])
        if q is not None:
            names[str(q)] = None
    return [(q, r) for q in names for r in plain.all_readings(q) if r.label not in plain.c.earlier]


def weigh_mechanisms(failed: FailedMachine, mechanisms: Iterable[Mechanism]) -> Beliefs:
    """Weigh mechanisms beside each other.

    Parameters
    ----------
    failed : FailedMachine
        The failed machine.
    mechanisms : iterable of Mechanism
        Which; those that cannot happen to this design are left out.

    Returns
    -------
    beliefs : Beliefs
        Shares that add up to one less what is kept for a cause that none of them is.
    """
    bench = Bench(failed)
    x = failed.system.inputs()
    applying = [m for m in mechanisms if m.applies(x)]
    base, base_each = bench.explained(bench.worlds)
    base_log = log_mean(base)
    rows = [_weighed(bench, m, base_log, base_each) for m in applying]
    pairs = _pairs(bench, rows, base_log) if bench.slots and bench.worlds else []
    logs = [w.total for w in rows] + [p for _, p in pairs]
    else_ = math.log(SOMETHING_ELSE) + min(0.0, max((w.read for w in rows), default=0.0) - 2.0)
    shares = normalised(np.asarray([*logs, else_]))
    share = {w.mechanism.id: float(s) for w, s in zip(rows, shares, strict=False)}
    told = []
    for ((a, b), _), s in zip(pairs, shares[len(rows) :], strict=False):
        told.append(((a, b), float(s)))
        # Each of two that are both at work is at work.
        share[a] += float(s)
        share[b] += float(s)
    return Beliefs(
        tuple(rows), share, tuple(sorted(told, key=lambda p: -p[1])), tuple(bench.slots), bench.sound, bench.put_in
    )


def _weighed(bench: Bench, m: Mechanism, base_log: float, base_each: Mapping[str, Array]) -> Weighed:
    c = bench.many.c
    explained = tuple(s for s in c.symptoms if s in m.symptoms)
    ways = [bench.altered((a,)) for a in m.alters] if m.alters and bench.worlds else [bench.worlds]
    found = [bench.explained(w) for w in ways] if bench.slots else [(np.zeros(1), {})]
    together = np.concatenate([f[0] for f in found])
    read = log_mean(together) - base_log if bench.slots and bench.worlds else 0.0
    each = {
        label: log_mean(np.concatenate([f[1].get(label, np.zeros(1)) for f in found])) - log_mean(base)
        for label, base in base_each.items()
    }
    if not explained and c.symptoms:
        # What cannot make what was seen may be at work besides, and its readings be those of another failure.
        read = min(read, BESIDES)
    weights = normalised(together)
    sheet, designed = _by_sheet(bench, m, weights)
    has_it = m.applies(bench.failed.system.inputs())
    often = prior(m.id, explained, c.symptoms) * by_circumstances(m.id, c) * has_it
    if not bench.slots and m.id.startswith("reading.") and not tells_reading(c.told):
        often *= NOTHING_READ
    seen = {k.name: _look(k.name, k.answer, m.id) for k in c.looks}
    return Weighed(
        m,
        math.log(often),
        math.log(bench.odds.get(m.id, 1.0)),
        sum(seen.values()),
        sheet,
        0.0 if m.harmless else read if bench.worlds else _by_itself(bench, m),
        each,
        seen,
        any(abs(v) > 0.25 for v in (*each.values(), *seen.values())) or abs(read) > 0.5,
        weights,
        designed,
        ways[int(np.argmax([log_mean(f[0]) for f in found]))] if bench.worlds else (),
    )


def _look(name: str, answer: str, mechanism: str) -> float:
    look = LOOKS.get(name)
    if look is None or answer == LookAnswer.CANNOT_TELL:
        return 0.0
    return math.log(look.likelihood(answer, mechanism) / look.likelihood(answer, None))


def _by_sheet(bench: Bench, m: Mechanism, weights: Array) -> tuple[float, float]:
    """How far the sheet's own numbers speak for a fault of the design, on the samples that the readings leave.

    Returns
    -------
    log_odds, share : float
        The weight of what they say, and in what share of the samples they speak for it.
    """
    if not m.designed:
        return 0.0, 0.0
    try:
        found = m.indicate(Unread(bench.many.x, bench.many.c))
    except CannotTellError:
        return 0.0, 0.0
    if not isinstance(found, Indication):
        return 0.0, 0.0
    speaks = np.atleast_1d(np.asarray(found.speaks, dtype=float))
    ways = np.ones(speaks.size) / speaks.size
    if speaks.size > 1 and bench.worlds and weights.size % bench.worlds[0].n == 0:
        left = weights.reshape(-1, bench.worlds[0].n).sum(axis=0)
        speaks, ways = (speaks[: left.size], left) if speaks.size >= left.size else (speaks, ways)
    return math.log(float(np.sum(ways * np.exp(BY_SHEET * speaks)))), float(np.sum(ways * (speaks > 0)))


def _by_itself(bench: Bench, m: Mechanism) -> float:
    """What the indicator says of readings where the machine cannot be solved; what the sheet says counts elsewhere."""
    if m.designed:
        return 0.0
    try:
        found = m.indicate(bench.many)
    except CannotTellError:
        return 0.0
    if not isinstance(found, Indication):
        return 0.0
    return math.log(float(np.mean(np.exp(BY_SHEET * np.asarray(found.speaks, dtype=float)))))


def _both(a: float, b: float) -> float:
    """What a look says of two at once: what speaks for either speaks for both, else what speaks against both."""
    return max(a, b) if max(a, b) > 0 else min(a, b)


def _pairs(bench: Bench, rows: Sequence[Weighed], base_log: float) -> list[tuple[tuple[str, str], float]]:
    """Pairs of the leaders that alter the machine, with the logarithm of their weight."""
    leaders = sorted((w for w in rows if w.mechanism.alters and not w.mechanism.harmless), key=lambda w: -w.total)[
        :PAIRED
    ]
    found = []
    for a, b in combinations(leaders, 2):
        if a.mechanism.kin and a.mechanism.kin == b.mechanism.kin:
            continue
        worlds = bench.altered((a.mechanism.alters[0], b.mechanism.alters[0]))
        read = log_mean(bench.explained(worlds)[0]) - base_log
        looked = sum(_both(a.seen.get(k, 0.0), b.seen.get(k, 0.0)) for k in {*a.seen, *b.seen})
        if read + looked < max(a.read + a.looked, b.read + b.looked) + BETTER:
            continue
        words = max(a.told, b.told) + 0.5 * min(a.told, b.told)
        total = math.log(SECOND) + a.prior + b.prior + words + looked + a.sheet + b.sheet + read
        found.append(((a.mechanism.id, b.mechanism.id), total))
    return found
