"""Dates as people write them: what is read, what is asked about, and what stays vague."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.book import days, written
from journal.book.days import Span
from journal.book.spoken_days import TwoDays, read
from journal.errors import BadInput

#: The day of the tests is Wednesday, 25 November 2026 (ISO 8601: ``date.isoweekday`` is 3).
READ = [
    ("2023-03-14", "2023-03-14"), ("14.03.2023", "2023-03-14"), ("14.3.23", "2023-03-14"),
    ("14 March 2023", "2023-03-14"), ("March 14, 2023", "2023-03-14"), ("14th of March, 2023", "2023-03-14"),
    ("mar 14 2023", "2023-03-14"), ("Sept. 3, 2023", "2023-09-03"), ("2023/03/14", "2023-03-14"),
    ("Tuesday, 14 March 2023", "2023-03-14"), ("14/03/2023", "2023-03-14"), ("03/14/2023", "2023-03-14"),
    ("5/5/2023", "2023-05-05"), ("14-03-2023", "2023-03-14"),
    # Without a year the latest that has been.
    ("14 Mar", "2026-03-14"), ("Mar 14", "2026-03-14"), ("14.3.", "2026-03-14"), ("14 Dec", "2025-12-14"),
    ("25 November", "2026-11-25"), ("29 Feb", "2024-02-29"),
    # From today.
    ("today", "2026-11-25"), ("yesterday", "2026-11-24"), ("this morning", "2026-11-25"),
    ("the day before yesterday", "2026-11-23"), ("3 days ago", "2026-11-22"), ("three days ago", "2026-11-22"),
    ("Sunday", "2026-11-22"), ("last Sunday", "2026-11-22"), ("on Monday", "2026-11-23"),
    ("Wednesday", "2026-11-25"), ("last Wednesday", "2026-11-18"),
    # Moments, in the builder's time.
    ("9:30", "2026-11-25T09:30Z"), ("yesterday 9:30", "2026-11-24T09:30Z"), ("9:30 yesterday", "2026-11-24T09:30Z"),
    ("yesterday at 9:30 pm", "2026-11-24T21:30Z"), ("14 March 2023 9:30", "2023-03-14T09:30Z"),
    ("14.03.2023 21:40", "2023-03-14T21:40Z"), ("9 am", "2026-11-25T09:00Z"), ("12 am", "2026-11-25T00:00Z"),
    ("yesterday noon", "2026-11-24T12:00Z"), ("2026-01-12T21:40:10+02:00", "2026-01-12T19:40Z"),
    # Vague.
    ("March 2023", "2023-03-01/2023-03-31"), ("2023-03", "2023-03-01/2023-03-31"), ("03/2023", "2023-03-01/2023-03-31"),
    ("March", "2026-03-01/2026-03-31"), ("last December", "2025-12-01/2025-12-31"), ("2019", "2019-01-01/2019-12-31"),
    ("spring 2023", "2023-03-01/2023-05-31"), ("summer of 2023", "2023-06-01/2023-08-31"),
    ("fall 2023", "2023-09-01/2023-11-30"), ("winter 2022-23", "2022-12-01/2023-02-28"),
    ("winter 2023/2024", "2023-12-01/2024-02-29"), ("last winter", "2025-12-01/2026-02-28"),
    ("spring", "2026-03-01/2026-05-31"), ("early March 2023", "2023-03-01/2023-03-10"),
    ("mid-March 2023", "2023-03-11/2023-03-20"), ("late February 2024", "2024-02-21/2024-02-29"),
    ("early 2023", "2023-01-01/2023-04-30"), ("about 2019", "2018-07-01/2020-06-30"),
    ("ca. 2019", "2018-07-01/2020-06-30"), ("~ March 2023", "2023-02-16/2023-04-15"),
    ("around 14 March 2023", "2023-03-10/2023-03-18"), ("two weeks ago", "2026-11-07/2026-11-15"),
    ("a year ago", "2024-07-01/2026-06-30"), ("last night", "2026-11-24/2026-11-25"),
    ("14 to 16 March 2023", "2023-03-14/2023-03-16"), ("March to May 2023", "2023-03-01/2023-05-31"),
    ("between 3 May and 20 June 2023", "2023-05-03/2023-06-20"), ("2023-03-14/2023-03-20", "2023-03-14/2023-03-20"),
    ("last week", "2026-11-16/2026-11-22"), ("last month", "2026-10-01/2026-10-31"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "kept"), READ)
def test_what_people_write(clock, typed, kept):
    """Small or capital, with spaces around."""
    assert read(typed) == kept
    assert read(f"  {typed.upper()} ") == kept


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("03/04/2023", r"03/04/2023: 3 April or 4 March\? Type 2023-04-03 or 2023-03-04\."),
        ("3-4-2023", r"3 April or 4 March\? Type 2023-04-03 or 2023-03-04"),
        ("3/4", r"Type 2026-04-03 or 2026-03-04"),
        # One of them is yet to come, and is named all the same: the year may be the slip.
        ("03/12/2026", r"Type 2026-12-03 or 2026-03-12"),
        ("winter 2022", r"Type winter 2021-22 or winter 2022-23"),
    ],
)
def test_what_can_be_two_days_is_never_guessed(clock, typed, said):
    """Both are named as they can be typed."""
    with pytest.raises(TwoDays, match=said) as caught:
        read(typed)
    for chosen in caught.value.readings.values():
        assert read(f"{typed} = {chosen}") == read(chosen)
    with pytest.raises(BadInput):
        read(f"{typed} = 2001-01-01")


@pytest.mark.parametrize(
    "typed",
    ["", "soon", "31 November 2023", "29.2.2023", "3.14.2023", "14", "1/2/3", "25:00", "9:75", "13 pm", "2023-13",
     "99.99.9999", "Monday 14 March 2023", "March 2023 9:30", "spring 2023 to winter 2022-23", "a few weeks ago",
     "about", "14 March to", "0001-01-01", "x" * 10_000, "9" * 400, "yesterday yesterday", "winter 2022-24"],
)  # fmt: skip
def test_what_is_no_date(clock, typed):
    """In one line; nothing but that error comes out."""
    with pytest.raises(BadInput):
        read(typed)


@pytest.mark.parametrize(
    "typed", ["2026-11-26", "tomorrow", "12:01", "spring 2027", "2027", "14.3.2027", "December 2026"]
)
def test_the_future_is_refused(clock, typed):
    """Also what is yet to come today; it is 12:00."""
    with pytest.raises(BadInput, match=r"yet to come|not a date"):
        written.past(typed)


@pytest.mark.parametrize("typed", ["14 March", "March", "Monday", "spring", "9.5."])
def test_a_day_that_may_be_to_come_needs_its_year(clock, typed):
    """The next or the last would be a guess."""
    with pytest.raises(BadInput, match="Add the year"):
        written.when(typed)
    assert written.when("tomorrow") == "2026-11-26"
    assert written.when("March 2031") == "2031-03-01/2031-03-31"


DAYS = st.dates(date(1901, 1, 1), date(2998, 12, 31))
LABELLED = st.one_of(
    st.builds(days.year_span, st.integers(1901, 2998)),
    st.builds(days.about_year, st.integers(1902, 2997)),
    st.builds(days.month_span, st.integers(1901, 2998), st.integers(1, 12)),
    st.builds(days.about_month, st.integers(1902, 2997), st.integers(1, 12)),
    st.builds(days.season_span, st.sampled_from(sorted(days.SEASONS)), st.integers(1901, 2997)),
    st.builds(
        lambda part, y, m: days.part_of(part, days.month_span(y, m)),
        st.sampled_from(["early", "mid", "late"]), st.integers(1901, 2998), st.integers(1, 12),
    ),
    st.builds(
        lambda part, y: days.part_of(part, days.year_span(y)),
        st.sampled_from(["early", "mid", "late"]), st.integers(1901, 2998),
    ),
    st.builds(lambda d: Span(d - days.ABOUT, d + days.ABOUT), st.dates(date(1902, 1, 1), date(2998, 1, 1))),
    st.builds(lambda a, b: Span(min(a, b), max(a, b)), DAYS, DAYS),
)  # fmt: skip


@given(LABELLED)
def test_what_is_shown_is_read_as_the_same_days(span):
    """Every vague day goes through its words and back."""
    kept = days.kept_as(span)
    assert read(days.day_text(kept), ahead=True) == kept
    assert read(kept, ahead=True) == kept


@given(LABELLED, LABELLED)
def test_days_are_ordered_and_compared_on_the_side_that_claims_less(one, other):
    """The middle lies within; sure is only what holds for every day of both."""
    a, b = days.kept_as(one), days.kept_as(other)
    assert days.earliest(a) <= days.middle(a) <= days.latest(a)
    assert days.surely_before(a, b) == (one.last < other.first)
    assert not (days.surely_before(a, b) and days.surely_before(b, a))
    if days.surely_before(a, b):
        assert days.order(a) < days.order(b)


@given(DAYS, st.sampled_from(["{0.day}.{0.month}.{0.year}", "{0.day} {0:%B} {0.year}", "{0:%b} {0.day}, {0.year}",
                              "{0:%A}, {0.day} {0:%B} {0.year}", "{0.year}/{0.month}/{0.day}"]))  # fmt: skip
def test_every_day_is_read_in_every_form(day, form):
    """The same day, however it is written."""
    assert read(form.format(day), ahead=True) == day.isoformat()


@given(st.dates(date(1990, 1, 1), date(2090, 12, 31)), DAYS)
def test_without_its_year_it_is_the_latest_that_has_been(now, day):
    """Never one to come, and no later one would do."""
    with days.told_on(now):
        found = date.fromisoformat(read(f"{day.day} {day:%B}"))
    assert (found.day, found.month) == (day.day, day.month)
    assert found <= now
    if (day.month, day.day) != (2, 29):
        assert found.replace(year=found.year + 1) > now


@given(st.text(max_size=60))
def test_nothing_else_comes_out(text):
    """A day that can be shown, or one line."""
    try:
        kept = read(text)
    except BadInput:
        return
    assert days.day_text(kept)
    assert days.latest(kept) >= days.earliest(kept)


def test_the_builders_own_day_decides_what_is_to_come(monkeypatch):
    """A moment of the evening is today, whatever day it is in UTC."""
    import time

    monkeypatch.setenv("TZ", "Asia/Kolkata")
    time.tzset()
    assert read("2023-03-14 00:30") == "2023-03-13T19:00Z"
    assert days.earliest("2023-03-13T19:00Z") == "2023-03-14"
    now = days.today()
    assert read("today") == now.isoformat()
    assert days.is_to_come((now + timedelta(days=1)).isoformat())
    assert not days.is_to_come(now.isoformat())


@pytest.mark.parametrize(
    ("typed", "share"), [("60", 0.6), ("60 %", 0.6), ("60%", 0.6), ("60 percent", 0.6), ("0.6", 0.6), ("1", 1.0),
                         ("0,6", 0.6), ("100", 1.0), ("2", 0.02), (0.7, 0.7)],
)  # fmt: skip
def test_how_sure_in_numbers(typed, share):
    """A whole number above 1 is of a hundred."""
    assert written.share(typed, "How sure") == pytest.approx(share)


@pytest.mark.parametrize("typed", ["pretty sure", "101", "1.5", "-5", "60 per mille", "nan", "inf", "%"])
def test_how_sure_in_words_is_refused(typed):
    """With what would be accepted."""
    with pytest.raises(BadInput, match=r"not a share\. Accepted: 60 %, 60 or 0\.6"):
        written.share(typed, "How sure")
