"""What happened, as minute means tell it: starting, charging, stops, storms, calms, furling, days of the battery."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.curve.base import MinuteMeans
from calc.curve.bins import Bins
from calc.physics.arrays import Array, Flags
from calc.physics.calendar import DAY, HOUR

MINUTE = 60.0
#: Beaufort 7 begins here; a storm ends when it was calmer for an hour. Own choice of what counts as one. [m/s]
STORM = 13.9
#: Below this a rotor counts as standing. Own choice. [rpm]
STANDING = 5.0
#: Power from which it counts as charging, over the greatest of any bin. Own choice.
CHARGING = 0.01
#: Starts that must have been seen before a starting wind is told. Own choice.
FEW = 5
#: A curve that falls below so much of its greatest bin, beyond it, has furled or was held. Own choice.
FALLEN = 0.85
#: From this share of what comes the dump load counts as acting. Own choice.
TAKES = 0.5


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of time: when it began [s since 1970], how long it was [s], the greatest of its minutes in SI."""

    began: float
    lasted: float
    wind: float
    power: float
    rpm: float


@dataclass(frozen=True, slots=True)
class FurlingSeen:
    """Where a curve has its top, and what it falls to beyond.

    Parameters
    ----------
    top_wind, top : float
        The bin of the greatest mean power. [m/s], [W]
    wind, falls_to : float
        The bin beyond it with the least. [m/s], [W]
    seen : bool
        Whether it falls by more than chance; False where bins beyond the top hold enough and do not fall.
    """

    top_wind: float
    top: float
    wind: float
    falls_to: float
    seen: bool


@dataclass(frozen=True, slots=True)
class BatteryDay:
    """A day of the battery, from midnight of the zone that was asked for: least and greatest voltage, energy in [J]."""

    began: float
    low: float
    high: float
    energy: float
    hours: float


@dataclass(frozen=True, slots=True)
class Burnt:
    """What went into the dump load: its energy [J], its share of all that came, and the battery's voltage then [V].

    The voltage is None where it was not recorded, or where the load never took :data:`TAKES` of what came.
    """

    energy: float
    share: float
    volts: float | None


def charging_wind(bins: Bins) -> float:
    """Wind in which power begins to flow: where the curve passes :data:`CHARGING` of its greatest bin, in [m/s].

    Not a number where it never does in the bins with enough, or does in the lowest of them already.
    """
    kept = bins.enough
    V, P = bins.wind[kept], bins.power[kept]
    if not V.size or P.max() <= 0:
        return float("nan")
    limit = CHARGING * P.max()
    first = int(np.argmax(limit < P))
    if first == 0:
        return float("nan")
    share = (limit - P[first - 1]) / (P[first] - P[first - 1])
    return float(V[first - 1] + share * (V[first] - V[first - 1]))


def starting_wind(means: MinuteMeans, wind: Array) -> tuple[float, int]:
    """Median wind of the minutes in which it began to turn, in [m/s], and how many such were seen.

    Parameters
    ----------
    means : MinuteMeans
        With the speed of the rotor.
    wind : array, shape (minutes,)
        Wind at the rotor. [m/s]

    Returns
    -------
    wind, starts : float, int
        Not a number where fewer than :data:`FEW` starts were seen.
    """
    told = np.isfinite(means.rpm) & np.isfinite(wind)
    time, rpm, V = means.time[told], means.rpm[told], wind[told]
    if len(rpm) < 2:
        return float("nan"), 0
    begins = (rpm[:-1] < STANDING) & (rpm[1:] >= STANDING) & (np.diff(time) <= 2 * MINUTE)
    count = int(begins.sum())
    return (float(np.median(V[1:][begins])) if count >= FEW else float("nan")), count


def stopped(means: MinuteMeans, wind: Array, charging: float) -> Flags:
    """Minutes in which it stood, or gave nothing, in a wind that should have driven it well, shape (minutes,).

    A wind half again as strong as that in which power begins to flow, and no speed where the speed was recorded, or
    else no power. Own choice.
    """
    still = np.where(np.isfinite(means.rpm), means.rpm < STANDING, means.power <= 0)
    return np.asarray(still & (wind > 1.5 * charging) & (np.isfinite(means.rpm) | np.isfinite(means.power)))


def storms(means: MinuteMeans, wind: Array, from_: float = STORM) -> list[Spell]:
    """Stretches in which it blew at least so hard, an hour without such a minute between them; the strongest first."""
    strong = np.flatnonzero(wind >= from_)
    if not strong.size:
        return []
    breaks = np.flatnonzero(np.diff(means.time[strong]) > HOUR) + 1
    found = [_spell(means, wind, int(s[0]), int(s[-1])) for s in np.split(strong, breaks)]
    return sorted(found, key=lambda s: -s.wind)


def longest_calm(means: MinuteMeans, wind: Array, below: float) -> Spell | None:
    """Longest stretch in which no whole hour had a mean wind of so much; gaps break it. None without such an hour."""
    hour = np.floor(means.time / HOUR).astype(np.int64)
    told = np.isfinite(wind)
    if not told.any():
        return None
    hours, at = np.unique(hour[told], return_inverse=True)
    count = np.bincount(at)
    mean = np.bincount(at, wind[told]) / count
    light = (mean < below) & (count >= 30)
    best, length, began = 0, 0, 0
    for i, calm in enumerate(light):
        follows = i > 0 and light[i - 1] and hours[i] - hours[i - 1] == 1
        length = (length + 1 if follows else 1) if calm else 0
        if length > best:
            best, began = length, i - length + 1
    if not best:
        return None
    within = np.flatnonzero((hour >= hours[began]) & (hour <= hours[began + best - 1]))
    spell = _spell(means, wind, int(within[0]), int(within[-1]))
    return Spell(float(hours[began] * HOUR), best * HOUR, spell.wind, spell.power, spell.rpm)


def furling(bins: Bins) -> FurlingSeen | None:
    """Whether power falls beyond the greatest bin; None where no bin beyond it holds enough to tell."""
    kept = np.flatnonzero(bins.enough)
    if kept.size < 2:
        return None
    top = kept[int(np.argmax(bins.power[kept]))]
    beyond = kept[kept > top]
    if not beyond.size:
        return None
    least = beyond[int(np.argmin(bins.power[beyond]))]
    error = np.hypot(*(bins.scatter[i] / np.sqrt(bins.count[i]) for i in (top, least)))
    fell = bins.power[top] - bins.power[least]
    seen = bool(bins.power[least] < FALLEN * bins.power[top] and fell > 3.0 * error)
    top_wind, power, wind, falls_to = (float(x[i]) for i in (top, least) for x in (bins.wind, bins.power))
    return FurlingSeen(top_wind, power, wind, falls_to, seen)


def battery_days(means: MinuteMeans, ahead: float = 0.0) -> list[BatteryDay]:
    """Each day of the battery with anything recorded.

    Parameters
    ----------
    means : MinuteMeans
        With volts, and power for the energy.
    ahead : float
        How far the clock of the place is ahead of UTC. [s]
    """
    told = np.isfinite(means.volts)
    if not told.any():
        return []
    day = np.floor((means.time[told] + ahead) / DAY)
    volts, power = means.volts[told], np.nan_to_num(means.power[told])
    days, first = np.unique(day, return_index=True)
    ends = [*first[1:], len(day)]
    return [
        BatteryDay(
            float(d * DAY - ahead), float(volts[a:b].min()), float(volts[a:b].max()),
            float(power[a:b].sum() * MINUTE), float((b - a) / 60.0),
        )
        for d, a, b in zip(days, first, ends, strict=True)
    ]  # fmt: skip


def dumped(means: MinuteMeans, full: float | None) -> tuple[float, bool]:
    """Energy that went into the dump load, in [J], and whether its power was recorded.

    Where it was not, all that came while the battery stood at ``full`` volts or more is taken: the most it can be.
    Not a number where neither is known.
    """
    if np.isfinite(means.dump).any():
        return float(np.nansum(means.dump) * MINUTE), True
    if full is None or not np.isfinite(means.volts).any():
        return float("nan"), False
    return float(np.nansum(np.where(means.volts >= full, means.power, 0.0)) * MINUTE), False


def burnt(means: MinuteMeans) -> Burnt | None:
    """What went into the dump load where its power was recorded, and at what voltage it acts; None where it was not."""
    told = np.isfinite(means.dump) & np.isfinite(means.power)
    came, went = means.power[told], means.dump[told]
    if not told.any() or came.sum() <= 0:
        return None
    volts = means.volts[told][(went > TAKES * came) & (came > 0)]
    volts = volts[np.isfinite(volts)]
    middle = float(np.median(volts)) if volts.size else None
    return Burnt(float(went.sum() * MINUTE), float(went.sum() / came.sum()), middle)


def _spell(means: MinuteMeans, wind: Array, first: int, last: int) -> Spell:
    def most(x: Array) -> float:
        some = x[first : last + 1]
        return float(np.nanmax(some)) if np.isfinite(some).any() else float("nan")

    lasted = float(means.time[last] - means.time[first]) + MINUTE
    return Spell(float(means.time[first]), lasted, most(wind), most(means.power), most(means.rpm))
