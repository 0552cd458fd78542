"""The pictures of the records read back: every event at its day in its lane, every finding in its row."""

from datetime import date

import numpy as np
import pytest

from calc.finding import WORST_FIRST, Status
from journal.publish.figures import records
from journal.publish.figures.records import Event, Marks
from tests.journal.pictures import Seen, on_the_sheet, over_each_other

DARK, INK, LIGHT, MIDDLE = "#16365c", "#1c1c1c", "#b9cbd9", "#c07a12"


def day(text):
    """A day as the axis counts it: days since 1970."""
    return (date.fromisoformat(text) - date(1970, 1, 1)).days


def event(lane, ref, first, last=None, marker="o", fill=DARK):
    """One event, on one day unless it has a last one."""
    return Event(lane, ref, date.fromisoformat(first), date.fromisoformat(last or first), marker, fill)


BARS = (event(0, "r1", "2025-10-01", "2026-01-10"), event(0, "r2", "2026-03-01", "2026-09-01"))
EVENTS = (
    event(1, "A1", "2025-10-01"),
    event(1, "A2", "2025-11-10", "2025-12-01", "o half"),
    event(1, "A3", "2026-01-10", marker="X"),
    event(1, "A4", "2026-05-01", "2026-09-01", fill="white"),
    event(2, "F1", "2026-01-08", marker="v"),
    event(2, "F2", "2026-01-10", marker="v", fill="white"),
    event(2, "F3", "2026-01-10", marker="v", fill="white"),
    event(3, "D1", "2026-02-01", marker="D"),
    event(3, "D2", "2026-02-03", marker="D"),
    event(3, "D3", "2026-08-01", marker="D", fill="white"),
)


@pytest.fixture(scope="module")
def history():
    """The timeline, drawn once."""
    return Seen(records._history(BARS, EVENTS, 2))


def test_the_timeline_in_words():
    """First and last day, each revision, and how many of each."""
    told = records._history(BARS, EVENTS, 2)
    assert told.alt == (
        "From 2025-10-01 to 2026-09-01: 2 revisions (r1 from 2025-10-01, r2 from 2026-03-01), 4 attempts, 3 failures, "
        "2 of them still open, 3 decisions."
    )
    one = records._history((), EVENTS[:1], 0)
    assert one.alt == "From 2025-10-01 to 2025-10-01: 0 revisions (), 1 attempt, 0 failures, 0 of them still open, " + (
        "0 decisions."
    )


def test_each_event_is_marked_at_its_last_day_in_its_lane(history):
    """With the mark of how it went, each lane named beside it; revisions above, decisions below."""
    found = sorted((x, y, fill) for x, y, fill in history.marks())
    assert found == sorted((day(e.last.isoformat()), -e.lane, e.fill) for e in EVENTS)
    kinds = {line.get_marker() for line in history.axes.lines if line.get_marker() != "None"}
    assert kinds == {"o", "X", "v", "D"}
    (half,) = [x for x in history.axes.lines if x.get_fillstyle() == "left"]
    assert half.get_xdata() == [day("2025-12-01")]
    assert half.get_markerfacecoloralt() == "white"
    lanes = dict(zip(history.axes.get_yticks(), (t.get_text() for t in history.axes.get_yticklabels()), strict=True))
    assert lanes == {0: "revisions", -1: "tried", -2: "went wrong", -3: "decided"}


def test_what_took_long_is_drawn_as_long(history):
    """A line from its first day to its last; a line under each lane; none for what took a day."""
    spans = sorted((*x[:, 0], *x[:, 1]) for x in history.lines() if x[0, 0] > 1 and len(x) == 2)
    assert spans == [
        (day("2025-11-10"), day("2025-12-01"), -1, -1),
        (day("2026-05-01"), day("2026-09-01"), -1, -1),
    ]
    lanes = [x[0, 1] for x in history.lines() if list(x[:, 0]) == [0, 1]]
    assert lanes == [0, -1, -2, -3]


def test_revisions_are_bars_from_first_to_last_day(history):
    """With their names in their middles, light and dark in turn."""
    drawn = [(left, left + width, (bottom + bottom + high) / 2) for left, bottom, width, high in history.bars]
    assert drawn == [
        pytest.approx((day("2025-10-01"), day("2026-01-10"), 0)),
        pytest.approx((day("2026-03-01"), day("2026-09-01"), 0)),
    ]
    fills = [p.get_facecolor()[:3] for p in history.axes.patches]
    assert fills[0] == (1.0, 1.0, 1.0) != fills[1]
    for ref, (left, right, _) in zip(("r1", "r2"), drawn, strict=True):
        x0, y0, x1, y1 = history.box(ref)
        assert (x0 + x1) / 2 == pytest.approx((left + right) / 2, abs=2)
        assert y0 < 0 < y1


def test_events_are_named_close_to_their_marks(history):
    """One name for those that stand close together; above the lane, or below where there is no room."""
    x = {text: history.word(text).xy for text in ("A1", "A2", "A3", "A4", "F1 to F3", "D1, D2", "D3")}
    assert [x[a][0] for a in ("A1", "A2", "A3", "A4")] == [
        day("2025-10-01"), day("2025-12-01"), day("2026-01-10"), day("2026-09-01"),
    ]  # fmt: skip
    assert x["F1 to F3"][0] == (day("2026-01-08") + day("2026-01-10")) / 2
    assert x["D1, D2"][0] == day("2026-02-02")
    assert {text: round(y) for text, (_, y) in x.items()} == {
        "A1": -1, "A2": -1, "A3": -1, "A4": -1, "F1 to F3": -2, "D1, D2": -3, "D3": -3,
    }  # fmt: skip
    assert all(y - round(y) > 0.1 for _, y in x.values())


def test_the_timeline_can_be_read(history):
    """Nothing cut off, nothing over anything; a little room at both ends; only the marks that are there explained."""
    assert on_the_sheet(history) == []
    assert over_each_other(history) == []
    low, high = history.axes.get_xlim()
    edge = 0.05 * (day("2026-09-01") - day("2025-10-01"))
    assert (low, high) == pytest.approx((day("2025-10-01") - edge, day("2026-09-01") + edge))
    bottom, top = history.axes.get_ylim()
    assert bottom < -3.5
    assert top > 0.2
    rows = history.axes.get_xlabel().split("\n")
    assert [row.split("   ") for row in rows] == [
        ["● worked", "◐ partly", "✖ failed", "○ still running"],
        ["▼ closed", "▽ open", "◆ decided", "◇ accepted"],
    ]
    assert 3 <= len([t for t in history.axes.get_xticks() if low <= t <= high]) <= 8


def test_few_marks_are_explained_in_one_row():
    """Six fit."""
    six = Seen(records._history((), (*EVENTS[:3], *EVENTS[4:8]), 1))
    assert six.axes.get_xlabel() == "● worked   ◐ partly   ✖ failed   ▼ closed   ▽ open   ◆ decided"
    assert on_the_sheet(six) == []


def test_where_much_happened_names_stay_readable():
    """Names go below the lane where those above would touch, and what has no room there either stays a mark."""
    first, days = date(2024, 1, 1).toordinal(), (0, 5, 6, 66, 70, 72, 131, 136, 138, 215, 219, 221, 909)
    many = [event(1, f"A{i}", date.fromordinal(first + n).isoformat()) for i, n in enumerate(days, start=1)]
    seen = Seen(records._history((), tuple(many), 0))
    assert over_each_other(seen) == []
    assert {t.get_text(): t.xy[1] > -1 for t in seen.axes.texts} == {
        "A1 to A3": True, "A4 to A6": False, "A10 to A12": True, "A13": True,
    }  # fmt: skip
    assert len(seen.marks()) == 13


def test_one_day_is_a_timeline_too():
    """A bar as wide as can be seen, three days of room on both sides."""
    seen = Seen(records._history((event(0, "r1", "2026-01-10"),), (event(1, "A1", "2026-01-10"),), 0))
    at = day("2026-01-10")
    assert seen.axes.get_xlim() == (at - 3, at + 3)
    ((left, _, width, _),) = seen.bars
    assert (left, width) == (at, 1.5)
    assert on_the_sheet(seen) == []


def test_close_is_close_for_the_eye():
    """Of events a year apart, two in one month share a name, and two in two months do not."""
    far = event(1, "A9", "2026-12-31")

    def names(second):
        seen = Seen(records._history((), (event(1, "A1", "2026-01-01"), event(1, "A2", second), far), 0))
        return [t.get_text() for t in seen.axes.texts]

    assert names("2026-01-12") == ["A1, A2", "A9"]
    assert names("2026-03-10") == ["A1", "A2", "A9"]


R1 = Marks(
    "r1",
    (
        *[("mast", Status.OK)] * 2, ("mast", Status.DANGER), ("claim", Status.UNKNOWN), ("claim", Status.FAIL),
        *[("storage", Status.OK)] * 20, ("storage", Status.MARGINAL),
    ),
    ("the mast stands on a gable",),
)  # fmt: skip
R2 = Marks("r2", (("mast", Status.OK), ("storage", Status.FAIL), *[("dump", Status.OK)] * 3), ())
#: Rows of the picture from the top, and how they are called.
ROWS = ["mast", "claims", "battery", "dump load"]


@pytest.fixture(scope="module")
def checked():
    """The picture of the findings of two revisions."""
    return Seen(records._checked((R1, R2)))


def row(seen, y):
    """Marks of a row, from the left: place, marker, fill."""
    return sorted(
        (float(x.get_xdata()[0]), x.get_marker(), x.get_markerfacecolor())
        for x in seen.axes.lines
        if x.get_marker() != "None" and x.get_ydata()[0] == y
    )


def test_the_findings_in_words():
    """Counted, worst first; the dangers of the newest named."""
    assert records._checked((R1, R2)).alt == (
        "One mark for each finding, by what it is about. r1: 1 danger, 1 fail, 1 marginal, 1 unknown, 22 ok. "
        "r2: 1 fail, 4 ok."
    )
    assert records._checked((R2, R1)).alt.endswith("Danger in r1: the mast stands on a gable.")
    assert records._checked((R1, R2)).title == "What the checks say, r1 and r2"


def test_each_finding_has_one_mark_in_its_row(checked):
    """Worst first, one beside the other; of more than fourteen the rest are counted; the newer to the right."""
    ticks = checked.axes.get_yticklabels()
    assert [(t.get_position()[1], t.get_text()) for t in ticks] == [(-i, name) for i, name in enumerate(ROWS)]
    danger, fail, marginal = ("X", INK), ("s", MIDDLE), ("^", LIGHT)
    unknown, ok = ("o", "white"), (".", INK)
    drawn = [row(checked, -y) for y in range(4)]
    start = drawn[3][0][0]
    # As wide as the longest row of r1, which is one of fourteen places.
    assert 14 < start < 17
    assert [[m[0] for m in r] for r in drawn] == [
        [0, 1, 2, start], [0, 1], [*range(11), start], [start, start + 1, start + 2],
    ]  # fmt: skip
    assert [[m[1:] for m in r] for r in drawn] == [
        [danger, ok, ok, ok], [fail, unknown], [marginal, *[ok] * 10, fail], [ok, ok, ok],
    ]  # fmt: skip
    (more,) = [t for t in checked.axes.texts if t.get_text().startswith("+")]
    assert more.get_text() == "+10"
    x0, y0, x1, y1 = checked.box("+10")
    assert 10.2 < x0 < x1 < start - 0.5
    assert y0 < -2 < y1


def test_fourteen_fit_in_a_row():
    """And are drawn, each."""
    seen = Seen(records._checked((Marks("r1", tuple([("mast", Status.OK)] * 14), ()),)))
    assert [m[0] for m in row(seen, 0)] == list(range(14))
    assert [t for t in seen.axes.texts if t.get_text().startswith("+")] == []


def test_revisions_stand_side_by_side_under_their_names(checked):
    """A line between them; a line along each row."""
    start = row(checked, -3)[0][0]
    for ref, begins in (("r1", 0.0), ("r2", start)):
        left, bottom, _, top = checked.box(ref)
        assert left == pytest.approx(begins, abs=0.5)
        assert 0.5 < bottom < top < 1.6
    ((between, top), (_, bottom)) = next(x for x in checked.lines() if x[0, 0] == x[1, 0])
    assert 13.5 < between < start - 0.5
    assert (top, bottom) == pytest.approx((1.4, -3.4))
    assert [x[0, 1] for x in checked.lines() if list(x[:, 0]) == [0, 1]] == [0, -1, -2, -3]
    alone = Seen(records._checked((R2,)))
    assert [x for x in alone.lines() if x[0, 0] == x[1, 0]] == []


@pytest.mark.parametrize("which", [(R1, R2), (R2,)], ids=["two", "one"])
def test_each_mark_is_explained_below(which):
    """Worst first, from the left, the word beside its mark; a question mark in what is unknown."""
    seen = Seen(records._checked(which))
    rows = len({group for r in which for group, _ in r.each})
    (y,) = {line.get_ydata()[0] for line in seen.axes.lines if line.get_marker() != "None"} - {-i for i in range(rows)}
    assert -rows - 0.5 < y < -rows + 0.5
    key = row(seen, y)
    assert [(m, fill) for _, m, fill in key] == [records.MARKS[s][:2] for s in WORST_FIRST]
    assert key[0][0] == pytest.approx(-0.3)
    assert np.ptp(np.diff([x for x, *_ in key])) == pytest.approx(0.0)
    for (x, *_), status in zip(key, WORST_FIRST, strict=True):
        left, bottom, right, top = seen.box(str(status))
        assert x < left < right
        assert bottom < y < top
    queries = sorted(t.xy for t in seen.axes.texts if t.get_text() == "?")
    assert queries == sorted((x, y) for x, y, fill in seen.marks("o"))
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []


def test_every_mark_is_within_the_picture(checked):
    """None cut by the edge, no row lost; the sheet grows with the rows."""
    (left, right), (bottom, top) = checked.axes.get_xlim(), checked.axes.get_ylim()
    marks = checked.marks()
    assert left + 0.4 < min(x for x, *_ in marks)
    assert max(x for x, *_ in marks) < right - 0.4
    assert bottom + 0.4 < min(y for _, y, _ in marks)
    assert top > 1.4
    assert right - left < 22
    few = Seen(records._checked((R2,)))
    assert few.figure.get_figheight() < checked.figure.get_figheight()
    assert not any(s.get_visible() for s in checked.axes.spines.values())
    assert list(checked.axes.get_xticks()) == []
