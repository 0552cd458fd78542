"""What all pictures share: letters, places of labels, lean SVG, and which picture is made for whom."""

import io
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from journal.book import store, tables
from journal.publish import figures, redact
from journal.publish import story as story_of
from journal.publish.figures import canvas
from tests.journal.pictures import Seen

SVG = "{http://www.w3.org/2000/svg}"


def empty(**how):
    """A picture of one line with a label on it."""

    def draw():
        figure, (axes,) = canvas.sheet(2.0)
        axes.plot([0, 1], [0.5, 0.5], color="black")
        canvas.label(axes, 0.5, 0.5, "words", **how)
        axes.set_xlabel("across")
        return figure

    return canvas.Picture("empty", "A <title>", 'Says "so" & more', draw)


@pytest.mark.parametrize(
    ("text", "longest", "drawn"),
    [
        ("a" * 40, 40, "a" * 40),
        ("a" * 41, 40, "a" * 39 + "…"),
        ("a" * 20 + " " + "b" * 30, 22, "a" * 20 + "…"),
        ("two\nlines  and\ttabs", 40, "two lines and tabs"),
        ("tea 茶\u202e", 40, "tea ??"),
        ("", 40, ""),
    ],
)
def test_a_text_is_drawn_on_one_short_line(text, longest, drawn):
    """As long as it may be; what our font lacks is a question mark."""
    assert canvas.plain(text, longest) == drawn


def test_a_text_is_forty_letters_long_at_most():
    """Unless somebody asks for another length."""
    assert [len(canvas.plain("x" * n)) for n in (39, 40, 41, 400)] == [39, 40, 40, 40]


@pytest.mark.parametrize(
    ("wanted", "apart", "got"),
    [
        ([10, 10, 10], 5, [5, 10, 15]),
        ([0, 1], 9, [2, 11]),
        ([98, 97], 9, [98, 89]),
        ([-50.0, 500.0], 9, [2, 98]),
        ([30, 60, 33], 3, [30, 60, 33]),
        # Five do not fit so far apart: they share the room.
        ([50] * 5, 40, [2, 26, 50, 74, 98]),
        ([1.0], 9, [2.0]),
    ],
)
def test_labels_move_no_further_than_they_must(wanted, apart, got):
    """Evenly to both sides, back from the ends; those that have room stay."""
    assert canvas.spread([float(x) for x in wanted], float(apart), 2.0, 98.0) == pytest.approx(got, abs=0.02)


@given(st.lists(st.floats(-20, 120), min_size=1, max_size=9), st.floats(1, 9))
def test_labels_never_touch(wanted, apart):
    """Whatever is asked for: at least so far apart, in the same order, within the ends."""
    got = canvas.spread(wanted, apart, 2.0, 98.0)
    placed = sorted(got)
    assert np.all(np.diff(placed) >= apart - 1e-6)
    assert placed[0] >= 2 - 1e-6
    assert placed[-1] <= 98 + 0.5
    assert [got[i] for i in sorted(range(len(wanted)), key=lambda i: wanted[i])] == placed


def test_svg_is_lean():
    """No number has more than two digits behind the point, and what its words hold is no markup."""
    svg = empty().svg
    assert 'role="img"' in svg.partition(">\n")[0] + svg[:400]
    root = ET.fromstring(svg)
    assert (root[0].tag, root[1].tag, root[2].tag) == (f"{SVG}title", f"{SVG}desc", f"{SVG}defs")
    assert (root[0].text, root[1].text) == ("A <title>", 'Says "so" & more')
    for one in root.iter():
        numbers = [n for key in ("d", "x", "y") for n in one.get(key, "").replace("M", " ").replace("L", " ").split()]
        assert [n for n in numbers if "." in n and len(n.partition(".")[2]) > 2] == []
    whole = [one.get("d") for one in root.iter() if one.get("d")]
    assert [d for d in whole if "\n" in d or d != d.strip()] == []


@pytest.mark.parametrize(
    ("long", "short"),
    [("12.3456", "12.35"), ("-0.5000", "-0.5"), ("7.000", "7"), ("100.000", "100"), ("0.125", "0.12")],
)
def test_coordinates_are_rounded(long, short):
    """To a hundredth of a point."""
    assert canvas._NUMBER.sub(canvas._rounded, f"M {long} 1.5") == f"M {short} 1.5"


def test_a_line_does_not_run_through_a_label():
    """White around its letters."""
    with Image.open(io.BytesIO(empty(ha="center").png)) as image:
        grey = np.asarray(image.convert("L"))
    row = int(np.argmax((grey < 10).sum(axis=1)))
    left, right = np.flatnonzero(grey[row] < 10)[[0, -1]]
    middle = (left + right) // 2
    assert np.count_nonzero(grey[row, middle - 12 : middle + 12] > 240) > 4


@pytest.mark.parametrize(("how", "side"), [({}, 1), ({"ha": "right"}, -1), ({"xytext": (20, 0)}, 1)])
def test_a_label_stands_where_it_is_put(how, side):
    """Right of its place unless it is asked for elsewhere, and level with it."""
    left, bottom, right, top = Seen(empty(**how)).box("words")
    assert (left + right - 1) * side > 0
    assert bottom < 0.5 < top
    if not how:
        assert left == pytest.approx(0.5, abs=0.01)
    if "xytext" in how:
        assert left > 0.51


def test_letters_are_large_enough_for_a_telephone():
    """Eleven pixels where a telephone shows the sheet 360 pixels wide; axes without a box around them."""
    seen = Seen(empty())
    assert {seen.word("words").get_fontsize(), seen.axes.xaxis.label.get_fontsize()} == {16.0}
    assert seen.axes.title.get_fontsize() == 16.0
    assert 16.0 * 360 / (7.2 * 72) > 11.0
    assert {name for name, s in seen.axes.spines.items() if s.get_visible()} == {"left", "bottom"}
    assert [len(canvas.sheet(3.0, *rows)[1]) for rows in ((), (2,))] == [1, 2]
    assert tuple(seen.figure.get_size_inches()) == (7.2, 2.0)


# --- which pictures ---------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def raw(told):
    """The demo's tale with all that is private."""
    with store.journal(told / "demo.db") as s:
        yield story_of.tell(s)


@pytest.fixture(scope="module")
def tale(raw):
    """The same, as somebody may have it who may have nothing private."""
    return redact.for_reader(raw, frozenset())


def test_every_revision_can_be_shown(raw, tale):
    """All of three, or the one that is asked about; where only what was built may be seen, what stands."""
    r1, r2 = raw.story.chapters
    draft = replace(
        r2, revision=tables.Revision(**r2.revision.model_dump() | {"id": 3, "number": 3, "frozen_at": None})
    )

    def among(*chapters):
        told = replace(raw.story, chapters=list(chapters))
        return redact.for_reader(
            replace(raw, story=told, machines={**raw.machines, "r3": replace(raw.machines["r2"], ref="r3")}),
            frozenset(),
        )

    def refs(told, **how):
        return [c.revision.ref for c in figures.sight(told, **how).chapters]

    three, unbuilt = among(r1, r2, draft), among(draft)
    assert refs(tale) == ["r1", "r2"]
    assert refs(three) == ["r1", "r2", "r3"]
    assert refs(three, about="r2") == ["r2"]
    assert refs(three, built_only=True) == ["r2"]
    assert refs(unbuilt, built_only=True) == []
    assert figures.pictures_named(unbuilt, "elevation", built_only=True) == []
    assert len(figures.pictures_named(unbuilt, "elevation")) == 1
    assert [p.title for p in figures.pictures_named(three, "elevation")] == ["The machine to scale, r3"]


def test_a_picture_is_drawn_once_and_tells_nothing_private(tale):
    """The same one again as long as its words are the same; other words where something in them is hidden."""
    (first,), (second,) = (figures.pictures_named(tale, "findings") for _ in range(2))
    assert first is second
    hiding = replace(tale, scrub=lambda text: text.replace("What", "[...]"))
    (hidden,) = figures.pictures_named(hiding, "findings")
    assert hidden is not first
    assert hidden.title == first.title.replace("What", "[...]")
    assert hidden.alt == first.alt
    assert hidden.svg != first.svg
