"""The picture of the battery's worst week read back: every hour at its power, every charge at its share."""

import numpy as np
import pytest

from calc.physics.storage_time import Hours
from journal.publish.figures import storage
from tests.journal.pictures import Seen, on_the_sheet, over_each_other

DARK, MIDDLE = "#16365c", "#c07a12"
HOUR = np.arange(3 * 168)
#: Hours of the second week in which the loads go short: all of them lie in no other seven whole days.
SHORT = [2, *range(30, 41), 162]


class Told:
    """A machine of which only the year is known."""

    ref = "r7"

    def __init__(self, year):
        self.year = year


def year(short=SHORT, gust=100, peak=60):
    """Three weeks: 30 W but for a gust of 300 W, 40 W asked for but for an evening of 100 W, a battery of 1 kWh."""
    came, asked, unmet = np.full(504, 30.0), np.full(504, 40.0), np.zeros(504)
    came[168 + gust], asked[168 + peak] = 300.0, 100.0
    unmet[[168 + h for h in short]] = 20.0
    # Falls evenly from full to a quarter in the middle of the second week, and rises again.
    share = 0.25 + 0.75 * np.abs(np.arange(505) - 252) / 252
    return Hours(np.full(504, 5.0), came, asked, unmet, 3.6e6 * share, 3.6e6)


@pytest.fixture(scope="module")
def seen():
    """A week in which the loads go short."""
    return Seen(storage.week(Told(year())))


def test_the_week_in_words():
    """Means of that week, the battery at its beginning and at its lowest, hours in which the loads go short."""
    told = storage.week(Told(year()))
    assert (told.name, told.title) == ("week-r7", "The worst week of a made-up year, r7")
    # 30 W and (300 - 30) / 168 more; 40 W and (100 - 40) / 168 more; a third of the way up from a quarter to full.
    assert told.alt == (
        "The worst week of a year of made-up weather at r7: 32 W come from the wind on average and 40 W are asked for. "
        "The usable part of the battery, 1000 Wh, is 50 % full at the beginning and 25 % at its lowest; for 13 hours "
        "the loads get less than they need."
    )
    assert storage.week(Told(year(short=[]))).alt.endswith("; the loads lack nothing.")


def test_without_a_year_or_a_battery_there_is_no_picture():
    """Nothing to show."""
    whole = year()
    empty = Hours(whole.wind, whole.generated, whole.demanded, whole.unmet, 0 * whole.stored, 0.0)
    assert [storage.week(Told(y)) for y in (None, empty)] == [None, None]


def test_powers_are_drawn_hour_by_hour(seen):
    """What the wind gives as an area, what is asked for as a line over it, in watts over days."""
    above = seen.axes
    (came,) = seen.bands(above)
    gust = came[(came[:, 0] > 99.5 / 24) & (came[:, 0] < 101.5 / 24)]
    assert gust[:, 1].max() == 300.0
    assert {0.0, 30.0, 300.0} == set(came[:, 1])
    assert sorted(came[came[:, 1] == 300.0][:, 0])[::-1][0] == pytest.approx(101 / 24)
    assert min(came[came[:, 1] == 300.0][:, 0]) == pytest.approx(100 / 24)
    (asked,) = [x for x in above.lines if x.get_color() == MIDDLE]
    assert asked.get_drawstyle() == "steps-post"
    assert asked.get_ydata()[60] == 100.0
    assert asked.get_xdata() == pytest.approx(np.arange(169) / 24)
    assert above.get_title(loc="left") == "power, W"
    assert above.get_ylim() == (0, 375.0)


def test_powers_are_named_where_they_are_seen(seen):
    """The wind above its strongest hour, the loads where they stand out most."""
    assert seen.word("wind").xy == (pytest.approx(100 / 24), 300.0)
    assert seen.word("loads").xy == (pytest.approx(60 / 24), 100.0)
    assert seen.word("wind").get_color() == DARK
    assert (seen.word("wind").get_ha(), seen.word("loads").get_ha()) == ("center", "left")
    assert seen.box("wind")[1] > 300.0
    assert seen.box("loads")[1] > 100.0


@pytest.mark.parametrize(("gust", "where"), [(1, "left"), (20, "center"), (150, "center"), (167, "left")])
def test_a_gust_near_the_edge_is_named_inside(gust, where):
    """As the words are wide."""
    seen = Seen(storage.week(Told(year(gust=gust))))
    assert seen.word("wind").get_ha() == where
    assert on_the_sheet(seen) == []


@pytest.mark.parametrize(("peak", "where"), [(0, "left"), (130, "left"), (150, "right")])
def test_an_evening_near_the_edge_is_named_inside(peak, where):
    """On the side with more room."""
    assert Seen(storage.week(Told(year(peak=peak)))).word("loads").get_ha() == where


def test_the_charge_is_drawn_as_a_share(seen):
    """In hundredths over the same days, from empty to full."""
    below = seen.all_axes[1]
    charge = seen.bands(below)[0]
    for hour, share in ((0, 50.0), (84, 25.0), (168, 50.0)):
        assert charge[np.isclose(charge[:, 0], hour / 24)][:, 1].max() == pytest.approx(share)
    assert charge[:, 1].min() == 0.0
    assert [t.get_text() for t in below.get_yticklabels()] == ["0", "50", "100 %"]
    assert list(below.get_yticks()) == [0, 50, 100]
    assert below.get_title(loc="left") == "in the usable part of the battery"
    assert below.get_xlim() == (0, 7)
    assert below.get_ylim()[1] == 105


def test_hours_in_which_the_loads_go_short_are_dark(seen):
    """Under the charge, as long as they last, also one that stands alone; named at the first of them."""
    below = seen.all_axes[1]
    points = np.vstack(seen.bands(below)[1:])
    assert points[:, 1].max() < 0
    assert below.get_ylim()[0] < points[:, 1].min()
    dark = {h for h in range(168) if np.any((points[:, 0] > (h - 0.1) / 24) & (points[:, 0] < (h + 0.1) / 24))}
    assert dark == {h for hour in SHORT for h in (hour, hour + 1)}
    assert points[:, 0].max() == pytest.approx(163 / 24)
    words = seen.word("loads go short", below)
    assert words.xy == (pytest.approx(2 / 24), 0)
    assert words.get_ha() == "left"
    late = Seen(storage.week(Told(year(short=[162]))))
    assert late.word("loads go short", late.all_axes[1]).get_ha() == "right"
    assert on_the_sheet(late) == []


def test_where_the_loads_lack_nothing_nothing_is_dark():
    """And no room is kept for it."""
    seen = Seen(storage.week(Told(year(short=[]))))
    below = seen.all_axes[1]
    assert len(seen.bands(below)) == 1
    assert below.get_ylim()[0] == 0
    assert [t.get_text() for t in below.texts] == []


def test_the_days_are_counted_and_parted(seen):
    """Named in their middles, a line between each two, in both halves."""
    below = seen.all_axes[1]
    assert list(below.get_xticks()) == [0.5, 1.5, 2.5, 3.5, 4.5, 5.5, 6.5]
    assert [t.get_text() for t in below.get_xticklabels()] == [f"day {i}" for i in range(1, 8)]
    for axes in seen.all_axes:
        parts = [x for x in axes.lines if len(x.get_xdata()) == 2]
        assert [x.get_xdata()[0] for x in parts] == [1, 2, 3, 4, 5, 6]
        assert max(x.get_zorder() for x in parts) < 1
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []
