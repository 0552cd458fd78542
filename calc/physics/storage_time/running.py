"""The hours of a battery, one after the other, and their tallies.

Only the charge of the battery goes from hour to hour. Everything else is worked out for some days at once, variants
side by side in memory, in arrays that are made once and stay in the processor's cache: with 1,000 variants a pass
over them then costs a quarter of a nanosecond a variant and hour, of which there are 175 million in 20 years.
What cannot happen in an hour, to no variant, is not looked for in it.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from calc.physics.arrays import Array, Flags, Index
from calc.physics.calendar import HOUR, HOURS
from calc.physics.storage_time.bank import TENTHS, Bank, Outcome
from calc.units import Num

T = TypeVar("T", bound=np.generic)

#: Most variants that so many hours are worked out at once for; a year is a whole number of each.
_CHUNKS = ((2, HOURS), (13, 1752), (200, 120))
_DAY = 24
#: Up to so many variants the hours are taken one variant after the other, which costs less than many short arrays.
_FEW = 6
#: From so many variants on, a running greatest goes faster row by row than by numpy's own accumulate.
_WIDE = 128
#: A shortfall below this share of the demand is rounding, and so is this share of what is in the battery.
_ROUNDING, _LAST_DIGITS = 1e-9, 1e-15
_TALLIES = ("generated", "demanded", "met", "charged", "drawn", "dumped", "refused", "unmet", "dark", "lost")


def _spans(possible: Flags, hours: int) -> list[slice]:
    """For each chunk the hours from the first to the last in which something is possible; none where it never is."""
    padded = np.zeros(-(-possible.size // hours) * hours, dtype=bool)
    padded[: possible.size] = possible
    chunks = padded.reshape(-1, hours)
    first, last = chunks.argmax(axis=1), hours - chunks[:, ::-1].argmax(axis=1)
    ever = chunks.any(axis=1)
    return [slice(*ends) for ends in zip((first * ever).tolist(), (last * ever).tolist(), strict=True)]


class Run:
    """The tallies of one run, with variants along the last axis."""

    def __init__(
        self, n: int, V: Array, V_grid: Array, P: Array, load: Array, bank: Bank, hours: int | None = None
    ) -> None:
        def wide(x: Num) -> Array:
            return np.array(np.broadcast_to(np.asarray(x, dtype=float), (n,)))

        #: Hours worked out at once.
        self.hours = hours or min(next((many for most, many in _CHUNKS if n <= most), _DAY), V.size)
        self.energy, self.efficiency = wide(bank.energy), wide(bank.efficiency)
        # What one hour can add to the battery, and take from it. [J]
        self.most_in = wide(bank.charge_power) * self.efficiency * HOUR
        self.most_out = -wide(bank.discharge_power) * HOUR
        self.dump = wide(bank.dump_power) * HOUR
        self.stored = wide(bank.start) * self.energy
        self.first = self.stored.copy()
        self._set_wind(V, V_grid, np.broadcast_to(P, (n, V_grid.size)).T * HOUR)
        self._set_load(np.broadcast_to(load, (n, _DAY)).T * HOUR)
        self._set_spans(V_grid, V)
        years = -(-V.size // HOURS)
        self.tally = {name: np.zeros((years, n)) for name in _TALLIES}
        self.depth = np.zeros((years, TENTHS, n))
        self._make_room(n)

    def _set_wind(self, V: Array, V_grid: Array, P: Array) -> None:
        """Where in the power curve each hour lies: the point below it, and the share of the way to the next."""
        self.below = np.clip(np.searchsorted(V_grid, V, side="right"), 1, V_grid.size - 1) - 1
        self.share = ((V - V_grid[self.below]) / np.diff(V_grid)[self.below])[:, None]
        self.P = np.ascontiguousarray(P)
        self.rise = np.diff(self.P, axis=0)

    def _set_load(self, load: Array) -> None:
        def through_chunk(of_day: NDArray[T]) -> NDArray[T]:
            return np.tile(of_day, (self.hours // _DAY, 1))

        asked = load > 0
        # Hour in which something is asked for next, counted from midnight before; none is the day after.
        coming = np.where(np.tile(asked, (2, 1)), np.arange(2 * _DAY)[:, None], 2 * _DAY)
        coming = np.minimum.accumulate(coming[::-1], axis=0)[::-1].astype(np.int32)
        self.day, self.load, self.asked = load, through_chunk(load), through_chunk(asked)
        # For each hour of the chunk the next in which something is asked for.
        day = _DAY * np.arange(self.hours // _DAY, dtype=np.int32)[:, None, None]
        self.next_asked = (coming[1 : _DAY + 1] + day).reshape(self.hours, -1)
        #: First hour of a day in which something is asked for; and the hour in which a spell begins if the demand is
        #: not met then: that of the first demand since it was last met.
        self.opening, self.spell = coming[0], coming[0].copy()
        # A shortfall below this is rounding; without demand nothing can be short.
        rounding = np.where(asked, _ROUNDING * load + _LAST_DIGITS * self.energy, np.inf)
        self.rounding = through_chunk(rounding)

    def _set_spans(self, V_grid: Array, V: Array) -> None:
        """In which hours any variant can have too little or too much, or run into a limit."""
        least, most = (np.interp(V, V_grid, end) for end in (self.P.min(axis=1), self.P.max(axis=1)))
        lightest, heaviest = (np.tile(end, V.size // _DAY) for end in (self.day.min(axis=1), self.day.max(axis=1)))
        spans = {
            "over": most > lightest,
            "lacking": least < heaviest,
            "full_in": (most - lightest) * self.efficiency.max() > self.most_in.min(),
            "full_out": heaviest - least > -self.most_out.max(),
            "refused": most - lightest > self.dump.min(),
        }
        self.spans = {name: _spans(possible, self.hours) for name, possible in spans.items()}

    def _make_room(self, n: int) -> None:
        """Arrays that all chunks use, so that none is ever made anew."""
        shape = (self.hours, n)
        self.net, self.work, self.rest, self.nothing = (np.zeros(shape) for _ in range(4))
        self.level = np.empty((self.hours + 1, n))
        self.dark = np.empty(shape, dtype=bool)
        self.rows = list(zip(self.level[:-1], self.level[1:], self.work, strict=True))
        self.lowest = np.empty((HOURS // _DAY, n))

    def through(self, begin: int, end: int) -> None:
        """Take the hours from ``begin`` to ``end`` further: one chunk, all in one year."""
        year, hours, chunk = begin // HOURS, end - begin, begin // self.hours
        before = self.stored
        self.flow(begin, end)
        net, moved = self.net[:hours], self.work[:hours]
        np.subtract(self.level[1 : hours + 1], self.level[:hours], out=moved)
        count = self._short(year, hours, self.spans["lacking"][chunk])
        over, refused = self.spans["over"][chunk], self.spans["refused"][chunk]
        tally = self.tally
        kept = moved[over]
        put = self._total(kept)
        tally["charged"][year] += put
        # The battery gave what it took in less what it holds more; rounding must not make that negative.
        tally["drawn"][year] += np.maximum(put - (self.stored - before), 0.0)
        kept /= self.efficiency
        spare = np.subtract(net[over], kept, out=kept)
        # A surplus that the battery did not take is spare; a deficit leaves less than nothing here.
        tally["dumped"][year] += self._total(spare)
        if refused.stop:
            spare = moved[refused]
            spare -= self.dump
            tally["refused"][year] += self._total(spare)
        self._darkness(year, begin, end, count)
        self._lowest(begin, end)
        if end % HOURS == 0 or end == self.below.size:
            self._close(year, end)

    def flow(self, begin: int, end: int) -> None:
        """Set ``net`` to the energy that comes less what is asked for in each hour, and take ``level`` along."""
        hours, chunk = end - begin, begin // self.hours
        net, work = self.net[:hours], self.work[:hours]
        below = self.below[begin:end]
        self.P.take(below, axis=0, out=net, mode="clip")
        self.rise.take(below, axis=0, out=work, mode="clip")
        work *= self.share[begin:end]
        net += work
        net -= self.load[:hours]
        # A surplus loses some on its way into the battery, a deficit comes out as it is.
        np.multiply(net, self.efficiency, out=work)
        np.minimum(work, net, out=work)
        full_in, full_out = work[self.spans["full_in"][chunk]], work[self.spans["full_out"][chunk]]
        np.minimum(full_in, self.most_in, out=full_in)
        np.maximum(full_out, self.most_out, out=full_out)
        if work.shape[1] <= _FEW:
            self._one_by_one(hours)
        else:
            self.level[0] = self.stored
            nothing = self.nothing[0]
            for before, after, step in self.rows[:hours]:
                np.add(before, step, out=after)
                np.maximum(after, nothing, out=after)
                np.minimum(after, self.energy, out=after)
        self.stored = self.level[hours].copy()

    def _one_by_one(self, hours: int) -> None:
        for i, (stored, energy) in enumerate(zip(self.stored.tolist(), self.energy.tolist(), strict=True)):
            levels = [stored]
            for step in self.work[:hours, i].tolist():
                stored += step
                stored = 0.0 if stored < 0.0 else energy if stored > energy else stored
                levels.append(stored)
            self.level[: hours + 1, i] = levels

    def _total(self, x: Array) -> Array:
        """Sum over the hours of what is above zero, which is all that is left in ``x``."""
        # Nothing as an array: a plain number is compared three times more slowly.
        np.maximum(x, self.nothing[: len(x)], out=x)
        return np.asarray(np.add.reduce(x, axis=0))

    def _short(self, year: int, hours: int, rows: slice) -> NDArray[np.unsignedinteger]:
        """How many hours of each variant leave some demand unmet; ``dark`` says which."""
        self.dark[:hours] = False
        # Where there is a deficit, the battery moved down by what it gave; a surplus leaves less than nothing here.
        rest = np.subtract(self.work[rows], self.net[rows], out=self.rest[rows])
        dark = np.greater(rest, self.rounding[rows], out=self.dark[rows])
        kind = np.uint8 if hours < 256 else np.uint16
        count: NDArray[np.unsignedinteger] = np.add.reduce(dark.view(np.uint8), axis=0, dtype=kind)
        if count.any():
            self.tally["met"][year] -= self._total(rest) * (count > 0)
            self.tally["unmet"][year] += count * HOUR
        return count

    def _darkness(self, year: int, begin: int, end: int, count: NDArray[np.unsignedinteger]) -> None:
        """Lengthen or end the spells in which the demand is not met; hours without demand do neither."""
        who = np.flatnonzero(count)
        if not len(who):
            np.add(self.opening, end, out=self.spell)
            return
        some = who if len(who) < count.size // 4 else slice(None)
        dark = self.dark[: end - begin, some]
        met = self.asked[: end - begin, some] > dark
        # Whenever the demand is met, a spell can only begin with the demand that follows.
        since = self.next_asked[: end - begin, some] + np.int32(begin)
        since *= met
        np.maximum(since[0], self.spell[some], out=since[0])
        if since.shape[1] < _WIDE:
            np.maximum.accumulate(since, axis=0, out=since)
        else:
            for before, after in pairwise(since):
                np.maximum(before, after, out=after)
        last = since[-1].copy()
        np.subtract(np.arange(begin + 1, end + 1, dtype=np.int32)[:, None], since, out=since)
        since *= dark
        longest = self.tally["dark"][year]
        longest[some] = np.maximum(longest[some], since.max(axis=0) * HOUR)
        np.add(self.opening, end, out=self.spell)
        self.spell[some] = last

    def _lowest(self, begin: int, end: int) -> None:
        """Keep the lowest charge of each day."""
        first = begin % HOURS // _DAY
        level = self.level[1 : end - begin + 1].reshape(-1, _DAY, self.energy.size)
        np.minimum.reduce(level, axis=1, out=self.lowest[first : first + len(level)])

    def _close(self, year: int, end: int) -> None:
        """Work out what a year's sums tell: what came and was asked for, and the days by how deep they went."""
        hours = slice(year * HOURS, end)
        below, share, points = self.below[hours], self.share[hours, 0], len(self.P)
        weight = np.bincount(below, 1.0 - share, points) + np.bincount(below + 1, share, points)
        days, tally = (end - year * HOURS) // _DAY, self.tally
        tally["generated"][year] = weight @ self.P
        tally["demanded"][year] = self.day.sum(axis=0) * days
        tally["met"][year] += tally["demanded"][year]
        put = tally["charged"][year].copy()
        tally["charged"][year] /= self.efficiency
        tally["lost"][year] = tally["charged"][year] - put
        tally["dumped"][year] -= tally["refused"][year]
        self.depth[year] = self._tenths(self.lowest[:days])

    def _tenths(self, lowest: Array) -> Index:
        """How many days leave the battery lowest in each tenth, counted from full; ``lowest`` is overwritten."""
        n = self.energy.size
        np.divide(lowest, self.energy, out=lowest, where=self.energy > 0)
        lowest *= -TENTHS
        lowest += TENTHS
        # Empty is the last tenth, and so is every day without a battery, in which nothing is ever stored.
        tenth: Index = lowest.astype(np.intp)
        np.minimum(tenth, TENTHS - 1, out=tenth)
        tenth *= n
        tenth += np.arange(n)
        return np.bincount(tenth.ravel(), minlength=TENTHS * n).reshape(TENTHS, n)

    def hourly_unmet(self) -> Array:
        """Energy that was asked for and not given in each hour, after :meth:`flow` over the whole series."""
        unmet = np.diff(self.level, axis=0) - self.net
        return np.where(unmet > self.rounding, unmet, 0.0)

    def outcome(self, shape: tuple[int, ...]) -> Outcome:
        """Give the tallies with variants first again, or without that axis if there was none."""

        def turned(x: Array) -> Array:
            x = np.moveaxis(x, -1, 0)
            return x if shape else x[0]

        drawn = self.tally["drawn"]
        cycles = np.divide(drawn, self.energy, out=np.zeros_like(drawn), where=self.energy > 0)
        return Outcome(
            depth=turned(self.depth),
            cycles=turned(cycles),
            stored=turned(np.stack([self.first, self.stored])),
            **{name: turned(x) for name, x in self.tally.items()},
        )
