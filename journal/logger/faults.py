"""Faults of a logger's rows and minutes, found by plain numbers: spikes, a clock that goes back, gaps, a stuck sensor.

The limits of what counts are in ``channels.py``; they are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from journal.logger.channels import CHANNELS, Channel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
#: So many of each kind are kept with their time; all are counted.
KEPT = 50
#: Rows of one value before it can be a stuck one, however slowly they follow each other.
_LEAST_ROWS = 10
#: A machine that gives this share of its most is turning, so that its wind is not calm.
_TURNING = 0.05
_CALM = 3.0
#: What a controller holds at a limit; how near to it counts as it, as a share; in how many minutes besides it must be
#: reached; and in which share of the minutes it may be passed for a moment. Own choice.
_LIMITED, _SAME, _REACHED, _BEYOND = ("power", "amps", "rpm", "volts"), 0.01, 5, 0.01
#: The wind in which half of a limit is hardly reached is the lightest of so many per cent of those in which it is; and
#: in which share of the minutes of a limit the wind may be lighter, for a cup stands apart from the rotor. Own choice.
_LIGHTEST, _TOO_LIGHT = 5, 0.2


@dataclass
class Tally:
    """One kind of fault: how many there were, and some of them with where or when."""

    count: int = 0
    some: list[dict[str, Any]] = field(default_factory=list)

    def add(self, count: int, some: list[dict[str, Any]]) -> None:
        """Count some more, and keep the first of them."""
        self.count += count
        self.some += some[: max(0, KEPT - len(self.some))]


def impossible(values: Floats, channel: Channel) -> Bools:
    """Which values are beyond what such a quantity can be."""
    return (values < channel.low - 1e-9) | (values > channel.high * (1 + 1e-6))


def spikes(values: Floats, near: Bools, channel: Channel, usual: float) -> Bools:
    """Which rows leap away from the row before and straight back in the row after.

    Parameters
    ----------
    values : array, shape (n,)
        Readings in order; NaN where there is none.
    near : array of bool, shape (n,)
        Whether a row follows the one before it without a gap.
    channel : Channel
        Of what.
    usual : float
        What is high in this file, and no rarity.

    Returns
    -------
    found : array of bool, shape (n,)
        Never the first or the last row.
    """
    found = np.zeros(len(values), bool)
    least = max(channel.jump, channel.share * usual)
    if len(values) < 3 or not np.isfinite(least):
        return found
    with np.errstate(invalid="ignore"):
        if not (np.abs(np.diff(values)) > least).any():
            return found
    # What a broken logger wrote, without end or beyond all bounds, is no leap but no reading.
    step = np.diff(np.where(np.isfinite(values), values, np.nan))
    up, down = step[:-1], step[1:]
    turns = np.sign(up) * np.sign(down) < 0
    leaps = (np.minimum(np.abs(up), np.abs(down)) > least) & turns & near[1:-1] & near[2:]
    found[1:-1] = leaps
    return found


@dataclass
class Order:
    """Whether time goes on from row to row; kept from block to block.

    Parameters
    ----------
    step : float
        Time from one row to the next, as most are. [ms]
    backwards : bool
        Whether the newest row stands first.
    """

    step: float
    backwards: bool = False
    last: int | None = None
    furthest: int | None = None
    gaps: Tally = field(default_factory=Tally)
    resets: Tally = field(default_factory=Tally)
    twice: int = 0
    aside: int = 0
    missing: float = 0.0

    def rows(self, time: Ints) -> Bools:
        """Which rows go on in time; the others stand before what was read already.

        Parameters
        ----------
        time : array, shape (n,)
            UTC, in the order of the file. [ms]
        """
        if not len(time):
            return np.zeros(0, bool)
        sense = -1 if self.backwards else 1
        along = sense * time
        first = along[0] - 1 if self.last is None else sense * self.last
        steps = np.diff(along, prepend=first)
        furthest = along[0] - 1 if self.furthest is None else sense * self.furthest
        if along[0] > furthest and steps.min() > 0 and steps.max() <= 1.5 * self.step:
            self.last = self.furthest = int(time[-1])
            return np.ones(len(time), bool)
        most = np.maximum.accumulate(np.concatenate(([furthest], along)))[:-1]
        # A second row at a time goes on with the first only where it follows it.
        before = np.concatenate(([first], along[:-1]))
        ahead: Bools = (along > most) | ((along == most) & (before == along))
        self._note(time, along, steps, most, ahead)
        self.last = int(time[-1])
        self.furthest = int(sense * max(most[-1], along[-1]))
        return ahead

    def _note(self, time: Ints, along: Ints, steps: Ints, most: Ints, ahead: Bools) -> None:
        back = np.flatnonzero(steps < 0)
        was = np.concatenate(([self.last if self.last is not None else time[0]], time[:-1]))
        self.resets.add(len(back), [{"what": "clock went back", "from": int(was[i]), "to": int(time[i])}
                                    for i in back[:KEPT]])  # fmt: skip
        self.aside += int((~ahead).sum())
        self.twice += int((steps[1:] == 0).sum()) + int(self.last is not None and steps[0] == 0)
        after = along - most
        holes = np.flatnonzero(ahead & (after > 1.5 * self.step)) if self.step > 0 else np.zeros(0, np.int64)
        if self.last is None:
            holes = holes[holes > 0]
        sense = -1 if self.backwards else 1
        spans = [tuple(sorted((int(sense * most[i]), int(along[i] * sense)))) for i in holes[:2000]]
        self.missing += float((after[holes] - self.step).sum()) / 1000
        self.gaps.count += len(holes)
        longest = sorted([*self.gaps.some, *({"from": a, "to": b} for a, b in spans)], key=_shorter)
        self.gaps.some = longest[:KEPT]


def _shorter(gap: dict[str, Any]) -> int:
    return int(gap["from"]) - int(gap["to"])


@dataclass(frozen=True)
class Still:
    """A span in which a sensor stood still, or what it reads was held at a limit."""

    channel: str
    first: int
    last: int
    value: float
    held: bool = False


#: Ends of the rows of each minute, by channel: lowest and highest.
Ends = dict[str, tuple[Floats, Floats]]


def stuck_spans(
    name: str, time: Ints, ends: Ends, step: float, wind: Floats | None, power: Floats | None
) -> tuple[Bools, list[Still]]:
    """In which minutes a sensor stood still, though nothing is still for so long.

    Parameters
    ----------
    name : str
        The channel.
    time : array, shape (n,)
        Beginning of each minute. [s]
    ends : dict of str to (array, array), shape (n,)
        Lowest and highest row of each minute, of all channels.
    step : float
        Time from row to row. [s]
    wind, power : array or None, shape (n,)
        Means of those channels, where they are read.

    Returns
    -------
    flags : array of bool, shape (n,)
        Minutes whose value is none.
    spans : list of Still
        From when to when, at what; with those in which it was held at a limit, whose minutes are not flagged.

    Notes
    -----
    A controller or an inverter that limits holds power, current, speed or voltage at one value. That is told from a
    stuck sensor by five signs, all of them needed (own choice): nothing but moments lies above that value; at other
    times it is reached, too; something else moves meanwhile, the wind where it is read; the wind is then no lighter
    than it mostly is where half of that is reached; and it seldom drops meanwhile to where hardly half is reached.
    """
    channel = CHANNELS[name]
    least, most = ends[name]
    flags = np.zeros(len(time), bool)
    level = (least == most) & np.isfinite(least)
    if not level.any() or step > 600:
        return flags, []
    same = level[1:] & level[:-1] & (least[1:] == least[:-1]) & (np.diff(time) <= max(90.0, 1.6 * step))
    starts = np.flatnonzero(level & ~np.concatenate(([False], same)))
    lasts = np.flatnonzero(level & ~np.concatenate((same, [False])))
    spans = []
    floor = np.nanmin(least)
    for a, b in zip(starts, lasts, strict=True):
        lasted = time[b] - time[a] + max(60.0, step)
        if lasted < channel.still or lasted < _LEAST_ROWS * step:
            continue
        if not _odd(name, slice(a, b + 1), least[a], floor, wind, power):
            continue
        held = name in _LIMITED and _at_limit(name, slice(a, b + 1), ends, wind)
        flags[a : b + 1] = not held
        spans.append(Still(name, int(time[a]), int(time[b]), float(least[a]), held))
    return flags, spans


def _at_limit(name: str, span: slice, ends: Ends, wind: Floats | None) -> bool:
    """Whether a value that stands still is one at which it is held."""
    least, most = ends[name]
    value = float(least[span.start])
    if value <= 0 or np.mean(most > value * (1 + _SAME)) > _BEYOND:
        return False
    outside = np.ones(len(most), bool)
    outside[span] = False
    if np.sum(most[outside] >= value * (1 - _SAME)) < _REACHED:
        return False
    others = [n for n in ends if n != name and n not in ("direction", "temperature", "pressure", "energy")]
    moving = ["wind"] if "wind" in ends else others
    if not any(np.fmax.reduce(ends[n][1][span]) > np.fmin.reduce(ends[n][0][span]) for n in moving):
        return False
    if wind is None:
        return True
    # A battery is never at half its voltage: its top is reached only where the wind charges it.
    reached = value * (1 - _SAME) if name == "volts" else value / 2
    there = outside & (most >= reached) & np.isfinite(wind)
    blew = wind[span][np.isfinite(wind[span])]
    if not there.any() or not blew.size or np.median(blew) < np.median(wind[there]):
        return False
    return bool(np.mean(blew < np.percentile(wind[there], _LIGHTEST)) < _TOO_LIGHT)


def _odd(name: str, span: slice, value: float, floor: float, wind: Floats | None, power: Floats | None) -> bool:
    """Whether it is odd that it stands still there: not in a calm, not where nothing is charged."""
    if name in ("wind", "wind_low") and value <= max(floor, 0.0) + 1e-9:
        if power is None or not np.isfinite(power[span]).any():
            return False
        return bool(np.nanmean(power[span]) > _TURNING * np.nanmax(power) > 0)
    if name in ("power", "amps", "rpm"):
        return abs(value) > 1e-6
    if name == "direction" and wind is not None and np.isfinite(wind[span]).any():
        return bool(np.nanmean(wind[span]) > _CALM)
    return True
