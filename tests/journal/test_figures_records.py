"""The picture of the findings read back: every finding in its row, each status told apart."""

import pytest

from calc.finding import WORST_FIRST, Status
from journal.publish.figures import records
from journal.publish.figures.records import StatusMarks
from tests.journal.pictures import Seen, on_the_sheet, over_each_other

INK, LIGHT, MIDDLE = "#1c1c1c", "#b9cbd9", "#c07a12"


R1 = StatusMarks(
    "r1",
    (
        *[("mast", Status.OK)] * 2, ("mast", Status.DANGER), ("claim", Status.UNKNOWN), ("claim", Status.FAIL),
        *[("storage", Status.OK)] * 20, ("storage", Status.MARGINAL),
    ),
    ("the mast stands on a gable",),
)  # fmt: skip
R2 = StatusMarks("r2", (("mast", Status.OK), ("storage", Status.FAIL), *[("dump", Status.OK)] * 3), ())
#: Rows of the picture from the top, and how they are called.
ROWS = ["mast", "claims", "battery", "dump load"]


@pytest.fixture(scope="module")
def checked():
    """The picture of the findings of two revisions."""
    return Seen(records._checked((R1, R2)))


def row(seen, y):
    """StatusMarks of a row, from the left: place, marker, fill."""
    return sorted(
        (float(x), line.get_marker(), line.get_markerfacecolor())
        for line in seen.axes.lines
        if line.get_marker() != "None"
        for x, up in line.get_xydata()
        if up == y
    )


def test_the_findings_in_words():
    """Counted, worst first; the dangers of the newest named."""
    assert records._checked((R1, R2)).alt == (
        "One mark for each finding, by what it is about. r1: 1 danger, 1 fail, 1 marginal, 1 unknown, 22 ok. "
        "r2: 1 fail, 4 ok."
    )
    assert records._checked((R2, R1)).alt.endswith("Danger in r1: the mast stands on a gable.")
    assert records._checked((R1, R2)).title == "What the checks say, r1 and r2"


def queries(seen, y):
    """Where question marks stand in a row."""
    return sorted(t.xy[0] for t in seen.axes.texts if t.get_text() == "?" and t.xy[1] == y)


def test_each_finding_has_one_mark_in_its_row(checked):
    """Worst first, one beside the other; of more than twelve the rest are counted; the newer to the right."""
    ticks = checked.axes.get_yticklabels()
    assert [(t.get_position()[1], t.get_text()) for t in ticks] == [(-i, name) for i, name in enumerate(ROWS)]
    danger, fail, marginal, ok = ("X", INK), ("s", MIDDLE), ("^", LIGHT), (".", INK)
    drawn = [row(checked, -y) for y in range(4)]
    start = drawn[3][0][0]
    # As wide as the longest row of r1, which is one of twelve places.
    assert 12 < start < 15
    assert [[m[0] for m in r] for r in drawn] == [
        [0, 1, 2, start], [0], [*range(9), start], [start, start + 1, start + 2],
    ]  # fmt: skip
    assert queries(checked, -1) == [1]
    assert [[m[1:] for m in r] for r in drawn] == [
        [danger, ok, ok, ok], [fail], [marginal, *[ok] * 8, fail], [ok, ok, ok],
    ]  # fmt: skip
    (more,) = [t for t in checked.axes.texts if t.get_text().startswith("+")]
    assert more.get_text() == "+12"
    x0, y0, x1, y1 = checked.box("+12")
    assert 8.2 < x0 < x1 < start - 0.5
    assert y0 < -2 < y1


def test_twelve_fit_in_a_row():
    """And are drawn, each."""
    seen = Seen(records._checked((StatusMarks("r1", tuple([("mast", Status.OK)] * 12), ()),)))
    assert [m[0] for m in row(seen, 0)] == list(range(12))
    assert [t for t in seen.axes.texts if t.get_text().startswith("+")] == []


def test_revisions_stand_side_by_side_under_their_names_and_dangers(checked):
    """A line between them; a line along each row."""
    start = row(checked, -3)[0][0]
    for name, begins in (("r1: 1 danger", 0.0), ("r2: no dangers", start)):
        left, bottom, _, top = checked.box(name)
        assert left == pytest.approx(begins, abs=0.5)
        assert 0.5 < bottom < top < 1.6
    ((between, top), (_, bottom)) = next(x for x in checked.lines() if x[0, 0] == x[1, 0])
    assert 11.5 < between < start - 0.5
    assert (top, bottom) == pytest.approx((1.4, -3.4))
    assert [x[0, 1] for x in checked.lines() if list(x[:, 0]) == [0, 1]] == [0, -1, -2, -3]
    alone = Seen(records._checked((R2,)))
    assert [x for x in alone.lines() if x[0, 0] == x[1, 0]] == []


@pytest.mark.parametrize("which", [(R1, R2), (R2,)], ids=["two", "one"])
def test_each_mark_is_explained_below(which):
    """The word beside its mark, in two rows; that what is stated was not checked is said."""
    seen = Seen(records._checked(which))
    rows = len({group for r in which for group, _ in r.each})
    key = {y: row(seen, y) for y in {float(y) for line in seen.axes.lines for y in line.get_ydata()} if y < 0.1 - rows}
    assert sorted((m, fill) for r in key.values() for _, m, fill in r) == sorted(
        records.MARKS[s][:2] for s in WORST_FIRST if s is not Status.UNKNOWN
    )
    said = {"danger": Status.DANGER, "fail": Status.FAIL, "marginal": Status.MARGINAL, "ok": Status.OK,
            "stated, not checked": Status.STATED}  # fmt: skip
    for words, status in said.items():
        left, bottom, right, top = seen.box(words)
        ((x, y),) = [(x, y) for y, r in key.items() for x, m, fill in r if (m, fill) == records.MARKS[status][:2]]
        assert x < left < right
        assert bottom < y < top
        assert left - x < 1.5
    # The question mark of the key beside its word, and one for each of the findings.
    assert len([t for t in seen.axes.texts if t.get_text() == "?"]) == 1 + sum(
        status is Status.UNKNOWN for r in which for _, status in r.each
    )
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []


def test_dangers_and_what_is_stated_are_unlike_all_others():
    """By shape and by fill, also without colour: no two statuses share both."""
    looks = [records.MARKS[s][:2] for s in WORST_FIRST]
    assert len(set(looks)) == len(looks)
    assert len({marker for marker, _ in looks}) == len(looks)
    assert records.MARKS[Status.DANGER][2] == max(size for *_, size in records.MARKS.values())


def test_every_mark_is_within_the_picture(checked):
    """None cut by the edge, no row lost; the sheet grows with the rows."""
    (left, right), (bottom, top) = checked.axes.get_xlim(), checked.axes.get_ylim()
    marks = checked.marks()
    assert left + 0.4 < min(x for x, *_ in marks)
    assert max(x for x, *_ in marks) < right - 0.4
    assert bottom + 0.4 < min(y for _, y, _ in marks)
    assert top > 1.4
    assert right - left < 24
    few = Seen(records._checked((R2,)))
    assert few.figure.get_figheight() < checked.figure.get_figheight()
    assert not any(s.get_visible() for s in checked.axes.spines.values())
    assert list(checked.axes.get_xticks()) == []
