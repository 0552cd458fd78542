"""Hourly means out of minutes, whole days of them, and what stands in where an hour was not recorded."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.physics.arrays import Array, Flags
from calc.physics.calendar import DAY, HOUR

#: Share of an hour's minutes that must have been recorded for their mean to stand for it. Own choice.
LEAST_OF_HOUR = 0.5
#: Hours of a day.
HOURS_OF_DAY = 24


@dataclass(frozen=True, slots=True)
class HourlyMeans:
    """Means of whole hours, in order of time, of whole days from midnight on.

    Parameters
    ----------
    first : float
        Beginning of the first day by the clock of the place, seconds since 1970.
    wind : array, shape (24 days,)
        Mean wind; not a number where too little of the hour was recorded. [m/s]
    ends : int
        Hours that were left out at both ends, as their days are not whole.
    """

    first: float
    wind: Array
    ends: int = 0

    @property
    def known(self) -> Flags:
        """Which hours were recorded."""
        return np.isfinite(self.wind)

    @property
    def longest_gap(self) -> tuple[float, int]:
        """Beginning [s] and length in hours of the longest run of hours that were not recorded; 0 where there is none.

        Examples
        --------
        >>> HourlyMeans(0.0, np.array([1.0, np.nan, np.nan, 2.0])).longest_gap
        (3600.0, 2)
        """
        gone = np.concatenate(([False], ~self.known, [False])).astype(int)
        begins, ends = np.flatnonzero(np.diff(gone) > 0), np.flatnonzero(np.diff(gone) < 0)
        if not len(begins):
            return self.first, 0
        at = int(np.argmax(ends - begins))
        return self.first + float(begins[at]) * HOUR, int((ends - begins)[at])

    def newest(self, days: int) -> HourlyMeans:
        """The last so many days of them."""
        gone = len(self.wind) - days * HOURS_OF_DAY
        return HourlyMeans(self.first + gone * HOUR, self.wind[gone:], self.ends + gone)


def hourly_means(time: NDArray[np.int64], V: Array, step: float, ahead: float = 0.0) -> HourlyMeans:
    """Means of whole hours.

    Parameters
    ----------
    time : array of int, shape (n,)
        Beginnings of minutes, rising, seconds since 1970 UTC. [s]
    V : array, shape (n,)
        Mean wind of each; not a number where there is none. [m/s]
    step : float
        Time from one row to the next; rows farther apart than a minute stand for the time until the next. [s]
    ahead : float
        By how much the clock of the place is ahead of UTC. [s]

    Returns
    -------
    means : HourlyMeans
        Whole days from the first to the last hour that was recorded; none where they hold no whole day.

    Notes
    -----
    A row for each hour (or day) is the mean of the hour (or day) in which its time lies, whatever its minute.

    Examples
    --------
    A day with a row every half hour, of which the fifth hour is missing:

    >>> t = np.arange(0, 86400, 1800)
    >>> gone = (t >= 4 * 3600) & (t < 5 * 3600)
    >>> hourly_means(t, np.where(gone, np.nan, t / 3600), 1800.0).wind[2:6]
    array([2.25, 3.25,  nan, 5.25])
    """
    told = np.isfinite(V)
    at, V = np.asarray(time[told], float) + ahead, V[told]
    if not V.size:
        return HourlyMeans(0.0, np.zeros(0))
    each = max(1, round(step / 60.0))
    for whole in (DAY, HOUR):
        if each % (whole / 60.0) == 0:
            at = np.floor(at / whole) * whole
            break
    minutes = (np.floor(at / 60.0).astype(np.int64)[:, None] + np.arange(each)).ravel()
    # A row that came early cuts short the one before it.
    minutes, last = np.unique(minutes[::-1], return_index=True)
    winds = np.repeat(V, each)[::-1][last]
    hour = minutes // 60
    first, size = int(hour[0]), int(hour[-1] - hour[0]) + 1
    count = np.bincount(hour - first, minlength=size)
    total = np.bincount(hour - first, winds, size)
    enough = count >= LEAST_OF_HOUR * 60
    return _whole_days(first, np.where(enough, total / np.maximum(count, 1), np.nan))


def _whole_days(first: int, wind: Array) -> HourlyMeans:
    known = np.flatnonzero(np.isfinite(wind))
    if not known.size:
        return HourlyMeans(0.0, np.zeros(0))
    begin, end = first + int(known[0]), first + int(known[-1]) + 1
    midnight, last = -(-begin // HOURS_OF_DAY) * HOURS_OF_DAY, end // HOURS_OF_DAY * HOURS_OF_DAY
    if last <= midnight:
        return HourlyMeans(midnight * HOUR, np.zeros(0), end - begin)
    kept = wind[midnight - first : last - first]
    return HourlyMeans(midnight * HOUR, kept, end - begin - len(kept))


def stood_in(wind: Array) -> Array:
    """Hours with the missing ones taken from the same hour of the nearest day that has it, the earlier of two as near.

    Parameters
    ----------
    wind : array, shape (24 days,)
        Mean wind of each hour; not a number where it is missing. [m/s]

    Returns
    -------
    whole : array, shape (24 days,)
        Without gaps; not a number only in hours of the day that no day has.

    Notes
    -----
    Own choice: calms and storms keep their length better than on a straight line, and the swing of the day stays.

    Examples
    --------
    >>> days = np.repeat([3.0, np.nan, np.nan, 6.0], 24)
    >>> stood_in(days)[[24, 48]]
    array([3., 6.])
    """
    days = wind.reshape(-1, HOURS_OF_DAY).copy()
    number = np.arange(len(days))
    for hour in days.T:
        known = np.flatnonzero(np.isfinite(hour))
        if known.size:
            after = np.minimum(np.searchsorted(known, number), known.size - 1)
            before = np.maximum(after - 1, 0)
            nearer = np.abs(known[before] - number) <= np.abs(known[after] - number)
            near = np.where(nearer, known[before], known[after])
            hour[:] = np.where(np.isfinite(hour), hour, hour[near])
    return np.asarray(days.ravel())
