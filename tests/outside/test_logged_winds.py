"""Winds of loggers, worked out once more with pandas."""

import numpy as np
import pandas as pd
import pytest

from calc.curve.hours import hourly_means, stood_in
from calc.curve.sectors import SECTORS, by_sector

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


def test_sectors_are_those_of_pandas():
    """Cut by pandas into eighths about their points: share of the time, mean, share of the cube; calms apart."""
    made = np.random.default_rng(5)
    V, degrees = 5.0 * made.weibull(2.0, 5000), made.uniform(0.0, 360.0, 5000)
    V[:300] = 0.2
    V[300:400], degrees[400:600] = np.nan, np.nan
    found = by_sector(V, np.radians(degrees))
    frame = pd.DataFrame({"V": V, "degrees": degrees})
    told = frame.dropna()
    blew = told[told.V >= 0.5]
    of = pd.cut((blew.degrees + 22.5) % 360, np.arange(0, 361, 45), labels=list(SECTORS), right=False)
    by = blew.V.groupby(of, observed=False)
    assert found.share == pytest.approx((by.size() / len(told)).to_numpy())
    assert found.mean == pytest.approx(by.mean().to_numpy())
    assert found.energy == pytest.approx((by.apply(lambda v: (v**3).sum()) / (blew.V**3).sum()).to_numpy())
    assert found.calm == pytest.approx(1 - len(blew) / len(told))
    assert found.told == pytest.approx(len(told) / frame.V.count())


@pytest.mark.parametrize(
    ("degrees", "name"), [(0, "N"), (359.9, "N"), (22.4, "N"), (22.6, "NE"), (180, "S"), (270, "W"), (337.4, "NW")]
)
def test_where_a_wind_is_from_has_its_point_of_the_compass(degrees, name):
    """As any chart has it: clockwise from north, each eighth about its point."""
    found = by_sector(np.array([4.0]), np.radians([float(degrees)]))
    assert SECTORS[int(np.argmax(found.share))] == name


def test_without_a_vane_or_in_a_calm_there_are_no_sectors():
    """A vane that no wind turns tells nothing."""
    assert by_sector(np.array([4.0]), np.array([np.nan])) is None
    assert by_sector(np.array([0.1]), np.array([1.0])) is None
