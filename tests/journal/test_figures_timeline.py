"""The timeline read back: every event at its day in its lane, failures in words, legible with sixty attempts."""

from datetime import date, timedelta

import pytest

from journal.publish.figures import history as timeline
from journal.publish.figures.history import Event
from tests.journal.pictures import Seen, on_the_sheet, over_each_other

DARK = "#16365c"


def event(lane, ref, first, last=None, marker="o", fill=DARK, **more):
    """One event, on one day unless it has a last one."""
    return Event(lane, ref, date.fromisoformat(first), date.fromisoformat(last or first), marker, fill, **more)


BARS = (event(0, "r1", "2025-10-01", "2026-01-10"), event(0, "r2", "2026-03-01", "2026-09-01"))
EVENTS = (
    event(1, "A1", "2025-10-01"),
    event(1, "A2", "2025-11-10", "2025-12-01", "o half"),
    event(1, "A3", "2026-01-10", marker="X"),
    event(1, "A4", "2026-05-01", "2026-09-01", fill="white"),
    event(2, "D1", "2026-02-01", marker="D"),
    event(2, "D2", "2026-02-03", marker="D"),
    event(2, "D3", "2026-08-01", marker="D", fill="white"),
    event(3, "F1", "2026-01-08", marker="v", words="It hardly charged"),
    event(3, "F2", "2026-01-10", marker="v", fill="white", words="The fuse was found blown"),
    event(3, "F3", "2026-01-10", marker="v", fill="white", words="A blade flew", severity=1),
)


@pytest.fixture(scope="module")
def history():
    """The timeline, drawn once."""
    return Seen(timeline._history(BARS, EVENTS, 2))


def marks(seen, marker):
    """Where marks of a kind stand, from the left: across, up, and their fill."""
    return sorted(seen.marks(marker))


def test_the_timeline_in_words():
    """First and last day, each revision, how many of each, and the failures as they were told."""
    assert timeline._history(BARS, EVENTS, 2).alt == (
        "From 2025-10-01 to 2026-09-01: 2 revisions (r1 from 2025-10-01, r2 from 2026-03-01), 4 attempts, 3 failures, "
        "2 of them still open, 3 decisions. F1, 2026-01-08: It hardly charged. F2, 2026-01-10: The fuse was found "
        "blown. F3, 2026-01-10: A blade flew."
    )


def test_each_event_is_marked_at_its_last_day_in_its_lane(history):
    """Even in days from edge to edge; those of one day one above the other; below each other tried, decided, wrong."""
    days = (date(2026, 9, 1) - date(2025, 10, 1)).days
    place = timeline._Days(date(2025, 10, 1), date(2026, 9, 1))
    assert (place(date(2025, 10, 1)), place(date(2026, 9, 1))) == (timeline._BEGIN, timeline._END)
    assert place(date(2025, 10, 11)) - timeline._BEGIN == pytest.approx(10 / days * (timeline._END - timeline._BEGIN))
    failed = marks(history, "v")
    assert [round(x - place(date(2026, 1, 8)), 1) for x, *_ in failed] == pytest.approx([0.0, 2.4, 2.4], abs=0.2)
    assert [fill for *_, fill in failed] == [DARK, "white", "white"]
    assert len({y for _, y, _ in failed}) == 3
    ((_, tried, _),), ((_, first, _), *_) = marks(history, "X"), marks(history, "D")
    assert tried < first < max(y for _, y, _ in failed)
    (half,) = [x for x in history.axes.lines if x.get_fillstyle() == "left"]
    assert half.get_xdata() == pytest.approx([place(date(2025, 12, 1))])


def test_failures_stand_in_words(history):
    """Below the days, in their order, an open one with an open mark."""
    said = [t.get_text() for t in history.axes.texts if t.get_text()[:1] in "▼▽" and "F" in t.get_text()]
    assert said == ["▼ F1 It hardly charged", "▽ F2 The fuse was found blown", "▽ F3 A blade flew"]
    tops = [history.box(words)[3] for words in said]
    assert tops == sorted(tops)
    assert min(tops) > max(y for _, y, _ in marks(history, "v"))


def test_the_timeline_can_be_read(history):
    """Nothing cut off, nothing over anything; each kind of mark that is there explained, and no other."""
    assert on_the_sheet(history) == []
    assert over_each_other(history) == []
    words = " ".join(t.get_text() for t in history.axes.texts)
    for key in ("● worked", "◐ partly", "✖ failed", "○ still running", "◆ decided", "◇ accepted", "▼ closed", "▽ open"):
        assert key in words
    assert "not said" not in words


def test_sixty_attempts_are_legible():
    """In two years: every mark there, none over another, none named; nothing over anything."""
    first = date(2024, 1, 1)
    some = [
        Event(1, f"A{i}", first + timedelta(days=(i * i * 7) % 700), first + timedelta(days=(i * i * 7) % 700))
        for i in range(1, 61)
    ]
    bad = [event(3, f"F{i}", f"2024-{i:02d}-05", marker="v", words=f"Something went wrong, number {i}",
                 severity=1 if i > 9 else 4) for i in range(1, 13)]  # fmt: skip
    seen = Seen(timeline._history(BARS[:0], (*some, *bad), 12))
    assert len(marks(seen, "o")) == 60
    places = [(round(x, 1), round(y, 1)) for x, y, _ in seen.marks("o")]
    assert len(set(places)) == 60
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []
    assert not any(t.get_text().startswith("A") and t.get_text()[1:2].isdigit() for t in seen.axes.texts)
    words = [t.get_text() for t in seen.axes.texts]
    # The eight worst in words, the others counted.
    assert sum(w.startswith("▼ F") for w in words) == 8
    assert {"▼ F10 Something went wrong, number 10", "▼ F12 Something went wrong, number 12"} <= set(words)
    assert "and 4 more failures" in words


def test_one_week_of_sixty_attempts_is_a_heap_that_stays_in_its_lane():
    """As high as six marks, whatever their number."""
    some = [event(1, f"A{i}", "2026-01-10") for i in range(1, 60)] + [event(1, "A60", "2026-12-10")]
    seen = Seen(timeline._history((), tuple(some), 0))
    ys = [y for _, y, _ in seen.marks("o")]
    assert max(ys) - min(ys) <= timeline._HEAP
    assert on_the_sheet(seen) == []


@pytest.mark.parametrize(
    ("low", "high", "count"),
    [("2026-01-10", "2026-01-10", 1), ("2026-01-10", "2026-02-20", 2), ("2025-10-01", "2026-09-01", 6),
     ("2019-03-01", "2026-09-01", 6), ("1990-01-01", "2026-09-01", 6)],
)  # fmt: skip
def test_days_are_marked_by_even_months(low, high, count):
    """At most six; the ends where hardly any month lies between."""
    ticks = timeline._ticks(date.fromisoformat(low), date.fromisoformat(high))
    assert len(ticks) <= count
    assert ticks == sorted(set(ticks))
    assert all(date.fromisoformat(low) <= t <= date.fromisoformat(high) for t in ticks)


def test_fewer_than_three_events_have_no_picture(path):
    """Two attempts need no timeline, three do."""
    from journal.book import attempts, store
    from journal.publish import redact
    from journal.publish import story as story_of

    for i, there in enumerate((False, False, True), start=1):
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped("ran it", began=f"2026-01-0{i}"))
        with store.journal(path) as s:
            told = redact.for_reader(story_of.tell(s), frozenset())
            assert (timeline.timeline(told.story) is not None) == there
