"""Plots for a terminal: small, plain, and true to the numbers."""

import io

import pytest

from journal.book import store
from journal.review import verdict
from journal.screens import power_plots


@pytest.fixture(scope="module")
def reviews(told):
    """Both revisions of the demo."""
    with store.journal(told / "demo.db") as s:
        yield {ref: verdict.check(s, ref) for ref in ("r1", "r2")}


BOTH = [power_plots.plot_power, power_plots.plot_torques]


@pytest.mark.parametrize("blocks", [True, False])
@pytest.mark.parametrize("ref", ["r1", "r2"])
@pytest.mark.parametrize("draw", BOTH)
def test_it_fits(reviews, draw, ref, blocks):
    """At most 12 rows of 60 columns, nothing trailing; ASCII alone where blocks cannot be shown."""
    lines = draw(reviews[ref], blocks=blocks)
    assert len(lines) <= 12
    assert max(map(len, lines)) <= 60
    assert lines == [line.rstrip() for line in lines]
    assert all(line.isascii() for line in lines) != blocks
    assert ref in lines[0]


def area(lines):
    """Rows of the plotting area, without the numbers left of it."""
    return [line[8:].ljust(52) for line in lines[1:9]]


def top(lines):
    """What the axis says of its upper end."""
    return float(lines[1].split()[0])


def test_the_curve_is_as_high_as_the_power(reviews):
    """The tallest column of r2 lies where its curve is highest, about 9 m/s of 25."""
    rows = area(power_plots.plot_power(reviews["r2"]))
    heights = [sum(row[c] == "█" for row in rows) for c in range(52)]
    assert heights.index(max(heights)) / 51 * 25 == pytest.approx(8.5, abs=1.0)
    # The axis says its top; 269 W of it are so many of the 8 rows.
    assert max(heights) == int(269 / top(power_plots.plot_power(reviews["r2"])) * 8)
    assert heights[:6] == [0] * 6


def test_readings_stand_where_they_were_read(reviews):
    """M8: about 90 W in 5.2 to 7.6 m/s, in its row of the eight."""
    lines = power_plots.plot_power(reviews["r2"])
    row = area(lines)[8 - 1 - int(90 / top(lines) * 8)]
    assert row.index("●") / 51 * 25 == pytest.approx(6.4, abs=0.4)
    assert row.count("─") == 5
    assert lines[-1].endswith("read: M8")


def test_never_charging_is_seen_at_once(reviews):
    """r1 charges in none of the lesser winds, r2 in each."""
    r1, r2 = ("".join(area(power_plots.plot_torques(reviews[ref]))) for ref in ("r1", "r2"))
    assert (r1.count("○"), r1.count("●")) == (2, 1)
    assert r2.count("○") == 0


@pytest.mark.parametrize("draw", BOTH)
def test_an_empty_sheet_gives_none(path, draw):
    """Nothing to draw, and nothing raises."""
    with store.journal(path) as s:
        assert draw(verdict.check(s, "r1")) is None


@pytest.mark.parametrize(
    ("encoding", "can"), [("utf-8", True), ("ascii", False), ("cp1252", False), ("latin-1", False), ("cp437", False)]
)
def test_where_blocks_can_be_shown(encoding, can):
    """Where the encoding has all of them."""
    assert power_plots.can_show_blocks(io.TextIOWrapper(io.BytesIO(), encoding=encoding)) is can


def test_a_stream_without_encoding_gets_ascii():
    """As when output is caught."""
    assert not power_plots.can_show_blocks(io.StringIO())


@pytest.mark.parametrize(("value", "end"), [(0.0, 1.0), (1.0, 1.0), (1.01, 1.2), (218.0, 240.0), (999.0, 1000.0)])
def test_axes_end_at_round_numbers(value, end):
    """Never below what is drawn."""
    assert power_plots._round_up(value) == pytest.approx(end)
