"""The day of a record is the builder's own, in texts and in pictures; a moment is kept in UTC."""

import time

import pytest

from journal.book.days import earliest
from journal.book.written import in_order
from journal.errors import BadInput
from journal.review.wording import day_text
from tests.conftest import rows

#: A zone, a moment kept in UTC, and the day on which the people there say that it was (tz database: no summer time).
MOMENTS = [
    ("Asia/Kolkata", "2026-01-11T19:00:00Z", "2026-01-12"),
    ("Asia/Kolkata", "2026-01-11T18:29Z", "2026-01-11"),
    ("America/Phoenix", "2026-01-12T06:30:00Z", "2026-01-11"),
    ("UTC", "2026-01-12T00:30:00Z", "2026-01-12"),
    ("Asia/Kolkata", "2026-01-12", "2026-01-12"),
]


@pytest.fixture
def zone(monkeypatch):
    """Live in some zone."""

    def live(name):
        monkeypatch.setenv("TZ", name)
        time.tzset()

    return live


@pytest.mark.parametrize(("where", "moment", "day"), MOMENTS)
def test_text_and_picture_tell_one_day(zone, where, moment, day):
    """Half past midnight in a zone ahead of UTC is the new day in both."""
    zone(where)
    assert earliest(moment) == day
    assert day_text(moment)[:10] == day


def test_it_may_end_half_an_hour_after_midnight(zone, run, path):
    """On the day on which it began, where UTC still has the day before; but not the day before."""
    zone("Asia/Kolkata")
    began = ("--when", "2026-01-12")
    done = run("attempt", "watched the gale", *began, "--until", "2026-01-12 00:30")
    assert done.code == 0, done.err
    assert rows(path, "SELECT began, ended FROM attempt") == [("2026-01-12", "2026-01-11T19:00Z")]
    assert "2026-01-12 to 2026-01-12 00:30" in run("show", "A1").out
    assert run("attempt", "watched", *began, "--until", "2026-01-11 23:30").code == 2


def test_two_moments_are_held_in_order_to_the_minute():
    """Whatever the day."""
    in_order("2026-01-12T00:30Z", "2026-01-12T00:30Z")
    in_order("2026-01-12", None)
    with pytest.raises(BadInput):
        in_order("2026-01-12T00:30Z", "2026-01-12T00:29Z")


def test_no_screen_shows_a_moment_as_it_is_kept(zone, run, path):
    """A decision, a cause and what is looked at again: in the builder's time."""
    zone("Asia/Kolkata")
    moment = "2026-01-12 00:30"
    for call in (
        ["decide", "Which rope?"], ["option", "D1", "hemp"],
        ["choose", "D1", "hemp", "--because", "x", "--expect", "it holds", "--review", "2026-11-26 00:30",
         "--when", moment],
        ["fail", "it broke"], ["cause", "F1", "too thin", "--when", moment],
    ):  # fmt: skip
        done = run(*call)
        assert done.code == 0, done.err
    screens = [run(*call).out for call in (["show", "D1"], ["list", "decisions"], ["show", "F1"], ["predictions"])]
    assert [s for s in screens if "T19:00Z" in s] == []
    assert all(moment in s for s in screens[:3])
    assert "2026-11-26 00:30" in screens[3]
