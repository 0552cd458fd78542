"""Events in minute means that were made up with known ones in them."""

from dataclasses import replace

import numpy as np
import pytest

from calc.curve import bins, events
from tests.outside.test_power_curve import minutes

HOUR, DAY = 3600.0, 86400.0


def test_charging_begins_where_the_curve_leaves_nought():
    """No power at 3.5 m/s, 10 W at 4, 100 W the most: a hundredth of it, 1 W, is passed a tenth of the way."""
    b = bins.binned(np.repeat([3.0, 3.5, 4.0, 6.0], 20), np.repeat([0.0, 0.0, 10.0, 100.0], 20))
    assert events.charging_wind(b) == pytest.approx(3.55)
    assert np.isnan(events.charging_wind(bins.binned(np.repeat([6.0, 7.0], 20), np.repeat([50.0, 60.0], 20))))


def test_starts_are_counted_by_the_wind_in_which_they_came():
    """Six starts in 3.0 to 4.0 m/s, and one over a gap that does not count."""
    V, rpm = [], []
    for wind in (3.0, 3.2, 3.4, 3.6, 3.8, 4.0):
        V += [2.0, wind, 5.0]
        rpm += [0.0, 60.0, 200.0]
    m = minutes(np.array([*V, 2.0, 9.0]), rpm=np.array([*rpm, 0.0, 300.0]))
    time = m.time.copy()
    time[-1] += 3600
    assert events.starting_wind(replace(m, time=time), m.wind) == (pytest.approx(3.5), 6)
    few, count = events.starting_wind(m.take(np.arange(6)), m.wind[:6])
    assert np.isnan(few)
    assert count == 2


def test_standing_in_a_good_wind_is_a_stop():
    """By its speed where that was recorded, else by its power; a light wind stops nothing."""
    nan = np.nan
    m = minutes(np.array([8.0, 8.0, 3.0, 8.0]), rpm=np.array([0.0, 200.0, 0.0, nan]), power=np.array([0, 90, 0, 0.0]))
    assert events.stopped(m, m.wind, 3.5).tolist() == [True, False, False, True]


def test_storms_an_hour_apart_are_two():
    """Two strong spells, the later one stronger; told with what was the most in them."""
    V = np.full(600, 8.0)
    V[100:120], V[110], V[400:410] = 15.0, 17.0, 19.0
    m = minutes(V, power=10.0 * V)
    first, second = events.storms(m, V)
    assert (first.wind, first.power, first.lasted) == (19.0, 190.0, 600.0)
    assert (second.wind, second.began - m.time[0], second.lasted) == (17.0, 6000.0, 1200.0)


def test_the_longest_calm_is_of_whole_hours_and_ends_at_a_gap():
    """Five light hours, then seven, of which a gap takes the fourth."""
    start = 500_000 * 3600
    V = np.concatenate([np.full(n * 60, v) for n, v in ((2, 6.0), (5, 2.0), (1, 6.0), (7, 2.0), (1, 6.0))])
    m = minutes(V, time=start + 60 * np.arange(V.size))
    assert events.longest_calm(m, V, 3.0).lasted == 7 * HOUR
    kept = (np.arange(V.size) < 11 * 60) | (np.arange(V.size) >= 12 * 60)
    gapped = m.take(kept)
    calm = events.longest_calm(gapped, gapped.wind, 3.0)
    assert (calm.lasted, calm.began) == (5 * HOUR, start + 2 * HOUR)
    assert events.longest_calm(m, V, 1.0) is None


@pytest.mark.parametrize(("beyond", "seen"), [(60.0, True), (95.0, False)])
def test_furling_is_a_fall_beyond_the_top(beyond, seen):
    """From 100 W at 10 m/s to 60 W at 11: seen. To 95 W: not by so much that it could not be chance or holding."""
    P = np.concatenate([np.tile([p - 3.0, p + 3.0], 20) for p in (50.0, 100.0, beyond)])
    found = events.furling(bins.binned(np.repeat([8.0, 10.0, 11.0], 40), P))
    assert (found.top_wind, found.wind, found.seen) == (10.0, 11.0, seen)
    assert events.furling(bins.binned(np.repeat([8.0, 10.0], 40), P[:80])) is None


def test_days_of_the_battery_begin_at_the_places_midnight():
    """Two days by the clock of a place an hour ahead."""
    time = 20_000 * 86400 - 3600 + 60 * np.arange(2 * 1440)
    volts = np.concatenate([np.linspace(24.0, 26.0, 1440), np.linspace(25.0, 28.8, 1440)])
    found = events.battery_days(minutes(np.ones(2880), time=time, volts=volts, power=np.full(2880, 60.0)), 3600.0)
    assert [(d.low, d.high) for d in found] == [(24.0, 26.0), (25.0, 28.8)]
    assert found[0].energy == pytest.approx(60.0 * DAY)
    assert found[0].began == time[0]


def test_what_was_dumped_is_read_or_at_most_what_came_when_full():
    """Recorded: its own sum. Not recorded: the power while the battery stood at the set point."""
    volts, power = np.array([26.0, 28.8, 28.9]), np.array([50.0, 60.0, 70.0])
    m = minutes(np.ones(3), volts=volts, power=power)
    assert events.dumped(m, 28.8) == (pytest.approx(130.0 * 60), False)
    assert events.dumped(replace(m, dump=np.array([0.0, 10.0, 20.0])), 28.8) == (pytest.approx(1800.0), True)
    assert np.isnan(events.dumped(m, None)[0])


def test_a_bin_reaches_a_quarter_each_side_and_a_curve_without_minutes_is_empty():
    """5.75 belongs to 6, 6.25 to 6.5; a minute without wind or power to none."""
    V = np.array([5.75, 6.2499, 6.25, np.nan, 6.0])
    b = bins.binned(V, np.array([1.0, 3.0, 5.0, 7.0, np.nan]))
    assert b.centre.tolist() == [6.0, 6.5]
    assert b.count.tolist() == [2, 1]
    assert b.power.tolist() == [2.0, 5.0]
    assert bins.binned(V[3:], np.array([1.0, np.nan])).count.size == 0


def test_a_whole_curve_needs_every_bin_and_sixty_hours():
    """From 1 m/s below charging to 14 m/s; one bin with nine minutes is named."""
    V = np.repeat(np.arange(2.5, 14.1, 0.5), 160)
    assert bins.completeness(bins.binned(V, V), 3.7).whole
    short = bins.completeness(bins.binned(V[151:], V[151:]), 3.7)
    assert short.short == ((2.5, 9),)
    assert not bins.completeness(bins.binned(V[::3], V[::3]), 3.7).whole
