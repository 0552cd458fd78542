"""Winds of loggers, worked out once more with pandas."""

import numpy as np
import pandas as pd
import pytest

from calc.curve.hours import hourly_means, stood_in

DAY = 86400


def minutes(days=20, seed=3):
    """Minutes of wind from noon on, with spans of which nothing was recorded."""
    rng = np.random.default_rng(seed)
    time = 1_750_000_000 // DAY * DAY + 43200 + 60 * np.arange(days * 1440)
    V = 5.0 * rng.weibull(2.0, time.size)
    for begin, many in ((3000, 25), (7000, 40), (9000, 4000)):
        V[begin : begin + many] = np.nan
    return time, V


def test_hours_are_those_of_pandas():
    """Means of hours in which half the minutes are there, by a clock two hours ahead, from midnight on."""
    time, V = minutes()
    found = hourly_means(time, V, 10.0, 7200.0)
    by = pd.Series(V, index=pd.to_datetime(time + 7200, unit="s")).resample("1h")
    wanted = by.mean().where(by.count() >= 30)
    wanted = wanted[pd.to_datetime(found.first, unit="s") :][: len(found.wind)]
    assert found.first % DAY == 0
    assert found.wind == pytest.approx(wanted.to_numpy(), nan_ok=True)
    assert np.isnan(found.wind).any()


def test_what_stands_in_is_the_same_hour_of_the_nearest_day():
    """As pandas finds it by its nearest neighbour, hour by hour."""
    time, V = minutes()
    found = hourly_means(time, V, 10.0)
    table = pd.DataFrame(found.wind.reshape(-1, 24))
    wanted = np.column_stack([table[h].dropna().reindex(table.index, method="nearest") for h in range(24)])
    whole = stood_in(found.wind).reshape(-1, 24)
    # Of two days as near either is right.
    other = np.column_stack(
        [table[h][::-1].dropna().set_axis(-table[h][::-1].dropna().index).sort_index()
         .reindex(-table.index, method="nearest") for h in range(24)]
    )  # fmt: skip
    assert np.all(np.isclose(whole, wanted) | np.isclose(whole, other))
