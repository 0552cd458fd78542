"""Drawings measured on paper: vectors of the PDF, its picture at 300 dpi, sheets that join, SVG and DXF read back."""

import io
import itertools
import re
import xml.etree.ElementTree as ET

import ezdxf
import numpy as np
import pypdfium2
import pytest
from ezdxf import units
from matplotlib.path import Path

from calc.machine.catalogue.tail import FIXED
from journal.drawing import sheets
from journal.drawing.blade import drawings as blade
from journal.drawing.catalogue import DRAWN
from journal.drawing.dxf import dxf_of
from journal.drawing.letters import width_of
from journal.drawing.model import Circle, Drawing, Line, Pen, Words
from journal.drawing.subject import drawn
from journal.drawing.svg import svg_of
from tests.drawn import FIRST, SECOND, papers, pdf_of, subject, tiles

PAPERS = ("a4", "letter", "a3")
MAKES = {name: make for name, make in DRAWN.items() if name in ("blade", "hub", "tail", "angle", "balance")}
SIZES = {"a4": (210.0, 297.0), "letter": (8.5 * 25.4, 11 * 25.4), "a3": (297.0, 420.0)}
#: A dot of a picture at 300 dpi. [mm]
DOT = 25.4 / 300
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def pdfs():
    """PDFs made once, by what and paper."""
    made = {}

    def of(what, paper):
        if (what, paper) not in made:
            made[what, paper] = pdf_of(MAKES[what], subject(), paper)
        return made[what, paper]

    return of


def ruler(page):
    """Lines of the ruler: its long one and its ticks."""
    base = next(
        line for line in page.lines
        if len(line.points) == 2 and abs(np.ptp(line.points[:, 0]) - 101.6) < 0.01 and np.ptp(line.points[:, 1]) == 0
    )  # fmt: skip
    foot = base.points[0, 1]
    upright = [line.points for line in page.lines if len(line.points) == 2 and np.ptp(line.points[:, 0]) < 1e-6]
    ticks = [p for p in upright if abs(p[:, 1].min() - foot) < 1e-6 or abs(p[:, 1].max() - foot) < 1e-6]
    up = sorted(p[0, 0] for p in ticks if p[:, 1].max() > foot + 0.5)
    down = sorted(p[0, 0] for p in ticks if p[:, 1].min() < foot - 0.5)
    return base, up, down


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("what", MAKES)
def test_every_sheet_at_true_size_has_a_ruler_of_100_mm_and_4_inches(pdfs, what, paper):
    """By the lines themselves; what is fitted on a sheet has none, so that nobody measures from it."""
    pages = papers(pdfs(what, paper))
    assert pages
    fitted = 1 if what == "blade" else 0
    for page in pages[fitted:]:
        _, up, down = ruler(page)
        assert len(up) == 101
        assert np.diff(up) == pytest.approx(1.0, abs=1e-3)
        assert up[-1] - up[0] == pytest.approx(100.0, abs=1e-3)
        assert len(down) == 33
        assert down[-1] - down[0] == pytest.approx(4 * 25.4, abs=1e-3)
    for page in pages[:fitted]:
        with pytest.raises(StopIteration):
            ruler(page)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("what", MAKES)
def test_pages_have_the_size_of_the_paper_and_nothing_on_the_edge_that_printers_leave(pdfs, what, paper):
    """Upright or lying; 6 mm are left by most printers, 9 mm here."""
    for page in papers(pdfs(what, paper)):
        assert sorted((page.width, page.height)) == pytest.approx(sorted(SIZES[paper]), abs=0.01)
        for line in page.lines:
            low, high = line.points.min(axis=0), line.points.max(axis=0)
            if line.window is not None:
                low, high = np.maximum(low, line.window[:2]), np.minimum(high, line.window[2:])
            if np.all(low <= high):
                assert low.min() > 9.0
                assert high[0] < page.width - 9.0
                assert high[1] < page.height - 9.0


def picture(data, page, dpi=300):
    """A page as dots, dark ones true."""
    document = pypdfium2.PdfDocument(io.BytesIO(data))
    found = document[page].render(scale=dpi / 72, grayscale=True).to_numpy()
    document.close()
    return found.reshape(found.shape[:2]) < 140


def longest_run(row):
    """First and last dark dot of the longest dark piece of a row."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
    begin, end = edges[::2], edges[1::2]
    if not len(begin):
        return 0, 0
    best = np.argmax(end - begin)
    return begin[best], end[best] - 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_ruler_and_the_root_measure_right_on_a_picture_at_300_dpi(pdfs, paper):
    """As a scanner sees the print: 4 in are 1200 dots; the root of the second machine's blade is 165.7 mm of paper."""
    data = pdfs("blade", paper)
    last = max(i for i, page in enumerate(papers(data)) if page.window is not None)
    dots = picture(data, last)
    foot = dots[int(dots.shape[0] - 30 / DOT) :]
    lengths = [np.subtract(*longest_run(row)[::-1]) for row in foot]
    assert max(lengths) * DOT == pytest.approx(101.6, abs=0.2)
    row = int(np.argmax(lengths))
    # The text beside it begins behind its end.
    ticks = foot[row - int(1.0 / DOT)][: longest_run(foot[row])[1] + 2]
    at = np.flatnonzero(np.diff(np.concatenate([[0], ticks.astype(int)])) == 1)
    assert len(at) == 101
    assert (at[-1] - at[0]) * DOT == pytest.approx(100.0, abs=0.1)
    drawn_part = dots[: int(dots.shape[0] - 35 / DOT)]
    root = max(np.subtract(*longest_run(row)[::-1]) + 1 for row in drawn_part)
    # D beta = 250 mm times arcsin(150 / 243.8), and the line's own width.
    assert root * DOT == pytest.approx(250 * np.arcsin(150 / 243.8) + 0.35, abs=0.2)


# --- sheets that join -------------------------------------------------------------------------------------------------


def shifts(pages):
    """Where each sheet comes to lie beside the first, found by crosses and letters alone, as one does with tape."""
    found = {0: np.zeros(2)}
    joins = [page.joins() for page in pages]
    while len(found) < len(pages):
        before = len(found)
        for i, j in itertools.permutations(range(len(pages)), 2):
            for letter in set(joins[i]) & set(joins[j]) if i in found and j not in found else ():
                apart = joins[i][letter] - joins[j][letter]
                assert np.ptp(apart, axis=0) == pytest.approx(0.0, abs=0.005), "three crosses, one place"
                found[j] = found[i] + apart[0]
                break
        assert len(found) > before, "a sheet joins none of the others"
    return found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("what", ["blade", "hub", "tail"])
def test_sheets_joined_by_their_crosses_give_one_drawing(pdfs, what, paper):
    """Every line that two sheets show lies at one place, and every piece of what is cut is on some sheet."""
    parts = tiles(papers(pdfs(what, paper)))
    assert len(parts) >= 2
    moved = shifts(parts)
    outlines = [
        max(
            (line.points + moved[i] for line in page.lines if line.thick and line.closed), key=lambda p: np.ptp(p).max()
        )
        for i, page in enumerate(parts)
    ]
    for outline in outlines[1:]:
        assert outline == pytest.approx(outlines[0], abs=0.01)
    closed = np.concatenate([outlines[0], outlines[0][:1]])
    along = np.concatenate([np.linspace(p, q, 200) for p, q in itertools.pairwise(closed)])
    seen = np.zeros(len(along), dtype=bool)
    for i, page in enumerate(parts):
        low, high = np.array(page.window[:2]) + moved[i], np.array(page.window[2:]) + moved[i]
        seen |= np.all((along >= low - 1e-6) & (along <= high + 1e-6), axis=1)
    assert seen.all()


@pytest.mark.parametrize("what", ["blade", "hub", "tail"])
def test_each_join_has_a_letter_of_its_own_on_both_sheets(pdfs, what):
    """Three crosses on each; neighbours share 10 mm."""
    joins = [page.joins() for page in tiles(papers(pdfs(what, "a4")))]
    letters = [letter for one in joins for letter in one]
    assert all(letters.count(letter) == 2 for letter in letters)
    assert all(len(places) == 3 for one in joins for places in one.values())


def test_each_sheet_says_which_it_is_and_to_measure_first(pdfs):
    """Number, place on the map, and the words beside the ruler."""
    parts = tiles(papers(pdfs("blade", "a4")))
    assert len(parts) == 4
    for i, page in enumerate(parts):
        words = " ".join(page.words.split())
        assert f"Sheet {i + 1} of 4, row {i + 1}, column 1" in words
        assert "Measure this: 100 mm, and 4 in below it. If it is not, do not cut" in words


@pytest.mark.parametrize("size", [(50.0, 60.0), (400.0, 30.0), (30.0, 900.0), (700.0, 700.0)])
def test_any_drawing_is_shown_whole(size):
    """Of any proportion, its corners lie on some sheet; words are not parted from it."""
    w, h = size
    corners = ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))
    drawing = Drawing("Plain", ("A note.",), (Line(corners, closed=True), Circle((w / 2, h / 2), 10.0)), name="plain")
    pages = sheets.pages(drawing, "a4")
    shown = [layer for page in pages for layer in page.layers if layer.window is not None]
    if len(pages) == 1:
        assert not shown
    else:
        assert len(shown) == len(pages) - 1


@pytest.mark.parametrize("true_size", [True, False])
@pytest.mark.parametrize("sentences", [1, 40, 400])
def test_however_much_is_to_be_read_all_of_it_stands_on_some_sheet(true_size, sentences):
    """In order, within the edges, the drawing behind it and never turned over or shrunk to nothing."""
    corners = ((0.0, 0.0), (500.0, 0.0), (500.0, 300.0), (0.0, 300.0))
    notes = tuple(f"Sentence {i} says what the one before it left unsaid of this drawing." for i in range(sentences))
    drawing = Drawing("Plain", notes, (Line(corners, closed=True),), name="plain", true_size=true_size)
    pages = sheets.pages(drawing, "a4")
    words = [part for page in pages for layer in page.layers for part in layer.parts if isinstance(part, Words)]
    told = " ".join(word.text for word in words)
    assert [int(n) for n in re.findall(r"Sentence (\d+) says", told)] == list(range(sentences))
    assert all(word.at[1] > 8.0 for word in words)
    if not true_size:
        (line,) = [part for layer in pages[-1].layers for part in layer.parts if isinstance(part, Line)]
        wide, high = np.ptp(np.array(line.points), axis=0)
        assert wide / high == pytest.approx(5 / 3)
        assert wide > 120.0


def test_a_hole_in_the_middle_of_a_plate_is_not_left_out():
    """A sheet within what is cut out is shown, though no line passes through it: it holds the others together."""
    corners = ((0.0, 0.0), (900.0, 0.0), (900.0, 900.0), (0.0, 900.0))
    pages = sheets.pages(Drawing("Plain", (), (Line(corners, closed=True),), name="plain"), "a4")
    assert len(pages) - 1 == 5 * 4


# --- other forms ------------------------------------------------------------------------------------------------------


def test_the_dxf_is_in_mm_and_has_a_layer_for_each_pen():
    """Read back by its library, which finds no fault in it; the outline's corners are those of the drawing."""
    (_, template) = drawn(blade, subject())
    document = ezdxf.read(io.StringIO(dxf_of(template)))
    assert not document.audit().has_errors
    assert document.units == units.MM
    assert document.header["$INSUNITS"] == 4
    assert {str(pen).upper() for pen in Pen} | {"WORDS"} <= {layer.dxf.name for layer in document.layers}
    space = document.modelspace()
    (outline,) = [e for e in space.query("LWPOLYLINE") if e.dxf.layer == "CUT"]
    expected = next(part for part in template.parts if isinstance(part, Line) and part.pen is Pen.CUT)
    assert outline.closed
    assert np.array(outline.get_points("xy")) == pytest.approx(np.array(expected.points))
    holes = [e for e in space.query("CIRCLE") if e.dxf.layer == "CUT"]
    assert [e.dxf.radius for e in holes] == pytest.approx([4.5] * 3)
    assert np.ptp([p[1] for p in outline.get_points("xy")]) == pytest.approx(1100 - 132, abs=1e-6)
    assert any("chord 150 mm" in e.dxf.text for e in space.query("TEXT"))


@pytest.mark.parametrize("what", MAKES)
def test_every_drawing_can_be_read_back_as_dxf_and_svg(what):
    """With as many lines as it has."""
    for drawing in drawn(MAKES[what], subject()):
        document = ezdxf.read(io.StringIO(dxf_of(drawing)))
        assert not document.audit().has_errors
        lines = [part for part in drawing.parts if isinstance(part, Line)]
        assert len(document.modelspace().query("LWPOLYLINE")) == len(lines)
        ET.fromstring(svg_of(drawing))


def test_the_svg_is_as_large_as_it_says():
    """Its width in mm is that of its box, so a unit of it is a millimetre; the outline is as wide as the template."""
    (_, template) = drawn(blade, subject())
    root = ET.fromstring(svg_of(template))
    box = [float(n) for n in root.get("viewBox").split()]
    for side, name in zip(box[2:], ("width", "height"), strict=True):
        size = re.fullmatch(r"([\d.]+)mm", root.get(name))
        assert float(size[1]) == pytest.approx(side, abs=0.001)
    (outline,) = [e for e in root.iter(f"{SVG}path") if e.get("class") == "cut" and "Z" in e.get("d")]
    numbers = np.array([float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", outline.get("d"))]).reshape(-1, 2)
    expected = next(part for part in template.parts if isinstance(part, Line) and part.pen is Pen.CUT)
    # Its y runs downwards.
    assert numbers[: len(expected.points)] == pytest.approx(np.array(expected.points) * [1, -1], abs=1e-3)


# --- what is read -----------------------------------------------------------------------------------------------------


def boxes(words):
    """Four corners of each line of words, by how wide its letters are."""
    found = []
    for word in words:
        wide = width_of(word.text, word.height)
        left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[word.anchor]
        box = np.array([[left, 0.0], [left + wide, 0.0], [left + wide, word.height], [left, word.height]])
        c, s = np.cos(np.radians(word.turn)), np.sin(np.radians(word.turn))
        found.append(box @ np.array([[c, s], [-s, c]]) + word.at)
    return found


def overlap(one, other):
    """Whether two boxes cover a common piece: no edge of either parts them."""
    for box in (one, other):
        for p, q in itertools.pairwise((*box, box[0])):
            across = np.array([p[1] - q[1], q[0] - p[0]])
            a, b = one @ across, other @ across
            if a.max() <= b.min() + 1e-9 or b.max() <= a.min() + 1e-9:
                return False
    return True


@pytest.mark.parametrize("values", [FIRST, SECOND], ids=["first", "second"])
@pytest.mark.parametrize("what", MAKES)
def test_no_words_cover_others_and_all_can_be_read(what, values):
    """On the demo's machines; the smallest letters are those of newspapers' small print, 1.7 mm high."""
    for drawing in drawn(MAKES[what], subject(values)):
        words = [part for part in drawing.parts if isinstance(part, Words)]
        placed = boxes(words)
        for (i, one), (j, other) in itertools.combinations(enumerate(placed), 2):
            assert not overlap(one, other), (drawing.title, words[i].text, words[j].text)
        assert min(word.height for word in words) >= 1.7


@pytest.mark.parametrize("what", MAKES)
def test_every_drawing_says_what_was_not_checked(what):
    """And where that is looked at."""
    for drawing in drawn(MAKES[what], subject()):
        told = " ".join(drawing.notes)
        assert "Not checked here" in told
        assert "safe" not in re.findall(r"[a-z]+", told.lower())


# --- what would be built wrong by it ----------------------------------------------------------------------------------


def told(drawing):
    """All words of a drawing as one text."""
    return " ".join(part.text for part in drawing.parts if isinstance(part, Words))


def closed(drawing):
    """Points of all that is cut out along lines."""
    return [np.array(p.points) for p in drawing.parts if isinstance(p, Line) and p.closed and p.pen is Pen.CUT]


@pytest.mark.parametrize("values", [FIRST, SECOND], ids=["first", "second"])
def test_packers_fit_the_pipe_and_lie_flat_on_the_plate(values):
    """Their round sides lie on circles of the pipe's outside and of its bore, found by three points each."""
    _, packers = drawn(MAKES["hub"], subject(values))
    D, t = values["blade.pipe_diameter"] * 1e3, values["blade.pipe_wall"] * 1e3
    saddle, moon, above = closed(packers)
    for section, radius in ((saddle, D / 2), (moon, D / 2 - t)):
        low = section[:, 1].min()
        assert np.sum(np.isclose(section[:, 1], low)) == 2, "one flat side"
        assert np.ptp(section[:, 0]) == pytest.approx(values["hub.plate_width"] * 1e3)
        a, b, c = section[2], section[len(section) // 2 + 1], section[-1]
        sides = [np.hypot(*(p - q)) for p, q in ((a, b), (b, c), (c, a))]
        (x1, y1), (x2, y2) = b - a, c - a
        assert np.prod(sides) / (2 * abs(x1 * y2 - x2 * y1)) == pytest.approx(radius, rel=1e-6)
    # Hollow the one, round the other: thinnest in the middle, and thickest there.
    assert saddle[2:, 1].argmin() == moon[2:, 1].argmax() == len(saddle[2:]) // 2
    holes = [p for p in packers.parts if isinstance(p, Circle)]
    assert len(holes) == values["hub.bolts"]
    assert np.diff([h.centre[1] for h in holes]) == pytest.approx(values["hub.bolt_spacing"] * 1e3)
    assert holes[0].centre[1] - above[:, 1].min() == pytest.approx(values["hub.end_distance"] * 1e3)
    assert len(sheets.pages(packers, "a4")) == 1


@pytest.mark.parametrize("what", ["blade", "hub"])
def test_that_a_round_root_rocks_on_a_flat_plate_is_said_with_how_far_it_stands_off(what):
    """125 - sqrt(125^2 - 45^2) = 8.4 mm at the edges of a plate 90 mm wide."""
    notes = " ".join(note for drawing in drawn(MAKES[what], subject()) for note in drawing.notes)
    assert "packers" in notes
    assert re.search(r"stands 8(\.4)? mm off", notes)
    assert "lie flat on it" not in notes


def test_angles_of_the_hinge_are_told_from_both_lines_and_each_has_its_arc():
    """Rest 12 degrees, stop 95 from there: 83 from straight behind, and the hinge's top 57."""
    drawing = drawn(MAKES["tail"], subject())[2]
    assert "83° from straight behind (95° from rest)" in told(drawing)
    assert "57° from straight behind (45° from rest)" in told(drawing)
    swept = set()
    for part in drawing.parts:
        if isinstance(part, Line) and len(part.points) > 4:
            ends = [np.degrees(np.arctan2(y, x)) for x, y in (part.points[0], part.points[-1])]
            swept.add(round(abs(ends[1] - ends[0])))
    assert swept == {12, 45, 83, 95}


@pytest.mark.parametrize(("rest", "lean", "said"), [
    (12.0, 45.0, "back, towards the vane and away from the wind, and 57° from straight behind, to the side away from"),
    (0.0, 2.0, "straight back, towards the vane"), (0.0, 90.0, "90° from straight behind, to the side away from the"),
    (10.0, 120.0, "forwards, into the wind, and 130° from"), (-30.0, 10.0, "20° from straight behind, to the side of"),
])  # fmt: skip
def test_where_the_top_of_the_hinge_leans_is_said_in_words_and_drawn(rest, lean, said):
    """On the gauge, beside an arrow to the side to which its slanted edge leans, and on the sheet of directions."""
    of = subject(tail__rest_angle=np.radians(rest), tail__hinge_direction=np.radians(lean))
    gauge, directions = drawn(MAKES["tail"], of)[1:3]
    assert said in " ".join(gauge.notes)
    assert said in " ".join(directions.notes)
    assert "TOP leans" in told(gauge)
    (outline,) = closed(gauge)
    shaft = next(p for p in gauge.parts if isinstance(p, Line) and p.pen is Pen.THIN and len(p.points) == 2)
    assert shaft.points[1][0] > shaft.points[0][0], "to the right, as the gauge leans"
    assert outline[:, 0].max() > 0.0


def test_rotor_yaw_axis_and_hinge_are_drawn_where_they_lie():
    """At a quarter: the pin 120 mm straight behind the yaw axis, the rotor 310 mm ahead and 90 mm aside."""
    made = drawn(MAKES["tail"], subject())[3]
    assert "1:4" in made.notes[0]
    circles = [p.centre for p in made.parts if isinstance(p, Circle)]
    assert circles == [(0.0, 0.0), (pytest.approx(30.0), 0.0)]
    rotor, boom = (p.points for p in made.parts if isinstance(p, Line) and p.pen is Pen.CUT)
    assert [x for x, _ in rotor] == pytest.approx([-77.5, -77.5])
    shaft = [p.points for p in made.parts if isinstance(p, Line) and p.pen is Pen.CENTRE][1]
    assert [y for _, y in shaft] == pytest.approx([22.5, 22.5])
    # The boom at rest stands off away from the side of the fold, and of the shaft.
    assert boom[1][1] < 0.0 < shaft[0][1]
    for words in ("YAW AXIS", "hinge's PIN", "90 mm", "310 mm", "120 mm", "the tail folds"):
        assert words in told(made)


def test_what_the_head_needs_is_named_where_the_sheet_does_not_say_it():
    """Nothing is drawn by a guess; a rotor behind its mast is another machine."""
    made = drawn(MAKES["tail"], subject(rotor__offset=None))
    assert len(made) == 3
    assert "does not say rotor.offset" in " ".join(made[2].notes)
    behind = drawn(MAKES["tail"], subject(yaw__rotor_side="behind the mast, as the wind sees it"))
    assert len(behind) == 3


def test_the_lean_gauge_names_its_edges_by_words_on_it():
    """By no edge's length: the slanted one is the longest."""
    gauge = drawn(MAKES["tail"], subject())[1]
    assert "long edge" not in " ".join(gauge.notes)
    for word in ("UPRIGHT", "PIN"):
        assert word in told(gauge)
        assert word in " ".join(gauge.notes)


def test_the_gauges_angle_is_written_at_the_corner_that_has_it():
    """Beside the square corner above it would be read as that corner's."""
    gauge = drawn(MAKES["tail"], subject())[1]
    (corners,) = closed(gauge)
    (words,) = (p for p in gauge.parts if isinstance(p, Words) and "20.0°" in p.text)
    away = np.hypot(*(corners - words.at).T)
    sides = np.roll(corners, 1, axis=0) - corners, np.roll(corners, -1, axis=0) - corners
    cosine = np.sum(sides[0] * sides[1], axis=1) / np.prod(np.hypot(*np.moveaxis(sides, -1, 0)), axis=0)
    assert np.degrees(np.arccos(cosine))[away.argmin()] == pytest.approx(20.0)


@pytest.mark.parametrize("values", [SECOND, SECOND | {"rotor.blades": 4, "hub.plate_width": 0.08}])
def test_arms_of_the_hub_are_numbered_as_the_places_of_the_balance_sheet(values):
    """Told by where the words stand around either middle: else a weight is bolted below another blade."""
    of = subject(values)
    plate, balance = drawn(MAKES["hub"], of)[0], drawn(MAKES["balance"], of)[0]
    middle = next(p.centre for p in balance.parts if isinstance(p, Circle))

    def directions(drawing, pattern, about):
        found = {}
        for part in drawing.parts:
            if isinstance(part, Words) and (number := re.match(pattern, part.text)):
                found[number[1]] = np.sign(np.round(np.subtract(part.at, about) / 20.0))
        return found

    arms, places = directions(plate, r"blade (\d)$", (0.0, 0.0)), directions(balance, r"(\d): ", middle)
    assert len(arms) == of.blades
    assert {k: v.tolist() for k, v in arms.items()} == {k: v.tolist() for k, v in places.items()}


def test_a_material_that_nobody_stated_is_told_as_assumed():
    """The vane alone: its thickness and its material are bought by this line."""
    said = SECOND | {"tail.vane_material": "plywood"}
    assert "tail.vane_material" not in SECOND
    assert "plywood (assumed: not on the sheet)" in " ".join(drawn(MAKES["tail"], subject())[0].notes)
    assert "assumed" not in " ".join(drawn(MAKES["tail"], subject(said))[0].notes)


def test_the_stock_that_a_part_is_cut_from_is_told():
    """By the outlines themselves: the plate, the blocks of its packers, and 1400 mm and half of 601 mm of boom."""
    plate, packers = drawn(MAKES["hub"], subject())
    wide, high = np.ptp(max(closed(plate), key=lambda points: np.ptp(points[:, 0])), axis=0)
    assert f"a piece of {wide:.0f} mm x {high:.0f} mm" in " ".join(plate.notes)
    thick = max(np.ptp(points[:, 1]) for points in closed(packers)[:2])
    assert f"{thick:.1f} mm thick or more" in packers.notes[0]
    assert "both plates of 8 mm" in " ".join(packers.notes)
    assert "1701 mm from the hinge's pin to the far end" in drawn(MAKES["tail"], subject())[0].notes[0]


def test_where_the_vane_sits_is_told_from_the_hinge():
    """1400 mm to its middle, half of 601 mm less to its end."""
    vane = drawn(MAKES["tail"], subject())[0]
    assert "1400 mm" in vane.notes[0]
    assert "NEAR END: 1099 mm" in vane.notes[0]
    assert "NEAR END" in told(vane)
    (fixed,) = drawn(MAKES["tail"], subject(tail__hinge=FIXED))
    assert not re.search(r"hinge|fold", " ".join([*fixed.notes, told(fixed)]))


def test_the_wedge_is_longer_than_the_root_is_wide_and_is_held_to_a_rule():
    """Its slope against the root over its outer corners, 153.8 mm; nothing is held to both edges at once."""
    (gauges,) = drawn(MAKES["angle"], subject())
    wedge = next(points for points in closed(gauges) if len(points) == 3)
    assert np.hypot(*(wedge[2] - wedge[0])) > 250 * 150 / 243.8
    assert np.degrees(np.arctan2(*(wedge[2] - wedge[0])[::-1])) == pytest.approx(22.0)
    notes = " ".join(gauges.notes)
    assert "rule over both edges" in notes
    assert "edges at once" not in notes


def test_what_leads_from_a_ray_to_its_words_is_dashed_and_no_part_of_the_ray():
    """Whole lines run from the corner at their own angle; a kinked one would be taken for the angle."""
    (gauges,) = drawn(MAKES["angle"], subject())
    rays = [p for p in gauges.parts if isinstance(p, Line) and p.pen is Pen.THIN]
    assert len(rays) == 11
    assert {p.points[0] for p in rays} == {rays[0].points[0]}
    assert sum(isinstance(p, Line) and p.pen is Pen.FOLD for p in gauges.parts) == 11


def test_the_wall_stays_whole_in_the_clamp_and_the_hollow_side_is_named():
    """No edge is worked nearer to the shaft than the end of the plate, 18 mm beyond the last bolt."""
    pipe, template = drawn(MAKES["blade"], subject())
    last = 132 + 25 + 2 * 35
    along = [p.points for p in template.parts if isinstance(p, Line) and p.pen is Pen.FOLD
             and abs(p.points[0][1] - p.points[1][1]) > 1.0]  # fmt: skip
    assert len(along) == 2
    assert min(y for points in along for _, y in points) > last + 18
    assert template.notes[0].startswith("HOLLOW SIDE TO THE WIND")
    assert "HOLLOW SIDE" in told(template)
    assert pipe.notes[0].startswith("On one pipe of")
    assert not re.search(r"\d\.\d mm", told(template)), "no rule shows a tenth of a millimetre of plastic"


def test_weights_are_bolted_and_their_pull_is_told():
    """(594 - 571) g m; nothing is strapped on, any order of three is the same, and nothing is left to be filled in."""
    (sheet,) = drawn(MAKES["balance"], subject())
    notes = " ".join(sheet.notes)
    assert "Nothing strapped" in notes
    assert "Any order leaves the same" in notes
    assert "Fill in" not in notes
    assert "+ 101 g" in told(sheet), "0.02296 kg m at 0.227 m"
    assert "1042.0" not in told(sheet)
    (blank,) = drawn(MAKES["balance"], subject(weighed__a__mass=None))
    assert "Fill in what is blank" in " ".join(blank.notes)


# --- what the eye saw -------------------------------------------------------------------------------------------------


def crosses(page):
    """Middles of the crosses by which a sheet is joined."""
    return np.concatenate([*page.joins().values()]) if page.joins() else np.zeros((0, 2))


@pytest.mark.parametrize("paper", PAPERS)
def test_no_cross_that_joins_sheets_lies_near_a_hole(pdfs, paper):
    """It would be drilled, too."""
    met = 0
    for page in tiles(papers(pdfs("hub", paper))):
        round_ones = [line.points for line in page.lines if line.thick and len(line.points) >= 4]
        # A hole of 9 mm is 9 mm wide and high, by the ends of the curves that it is drawn by or by their handles.
        holes = [p.mean(axis=0) for p in round_ones if np.ptp(p, axis=0) == pytest.approx(9.0, abs=0.05)]
        for hole, at in itertools.product(holes, crosses(page)):
            met += 1
            assert np.hypot(*(at - hole)) > 4.5 + 4.5
    assert met


@pytest.mark.parametrize("paper", PAPERS)
def test_holes_of_the_hub_are_whole_on_one_sheet(paper):
    """None lies in what two sheets share."""
    made = drawn(MAKES["hub"], subject())[0]
    holes = [p for p in made.parts if isinstance(p, Circle) and p.pen is Pen.CUT]
    assert len(holes) == 9
    grid, laid = sheets.laid_out(made, paper)
    for hole in holes:
        seen = [t for t in laid if t.window.left < hole.centre[0] < t.window.right
                and t.window.bottom < hole.centre[1] < t.window.top]  # fmt: skip
        assert len(seen) == 1
        window = seen[0].window
        assert min(hole.centre[0] - window.left, window.right - hole.centre[0], hole.centre[1] - window.bottom,
                   window.top - hole.centre[1]) > hole.radius  # fmt: skip
    assert grid.columns * grid.rows >= len(laid)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("what", ["blade", "hub", "tail"])
def test_letters_of_joints_are_seen_whole(pdfs, what, paper):
    """On both sheets, within the frame along which one of them is cut."""
    pages = tiles(papers(pdfs(what, paper)))
    letters = sorted({letter for page in pages for letter in page.joins()})
    assert letters
    assert not {"I", "O", "Q"} & set(letters)
    for page in pages:
        left, bottom, right, top = page.window
        for letter, (x, y) in page.letters:
            if letter in page.joins():
                assert left < x < right - 1.8
                assert bottom < y < top - 2.4


def test_words_on_the_vane_stand_within_its_outline():
    """The words at its two ends used to cross the rounded corners."""
    parts = drawn(MAKES["tail"], subject())[0].parts
    outline = next(p for p in parts if isinstance(p, Line) and p.closed)
    inside = Path(np.array(outline.points))
    words = [p for p in parts if isinstance(p, Words)]
    assert len(words) >= 4
    for word in words:
        assert inside.contains_points(np.array(word.corners)).all(), word.text


def test_a_cross_makes_way_for_a_hole():
    """A strip over the whole width of a plate as wide as the paper, with a hole where its first cross would stand."""
    outline = Line(((0.0, 0.0), (190.0, 0.0), (190.0, 502.0), (0.0, 502.0)), closed=True)
    plain = Drawing("Plate", (), (outline,))

    def crosses_of(made):
        page = next(page for page in sheets.pages(made, "a4") if page.layers[0].window is not None)
        return [p.centre for p in page.layers[0].parts if isinstance(p, Circle) and p.pen is Pen.MARK]

    (tile, *_), at = sheets.laid_out(plain, "a4")[1], crosses_of(plain)[0]
    x = at[0] - sheets.MARGIN + tile.window.left
    y = at[1] - sheets.MARGIN - sheets.FOOT + tile.window.bottom
    drilled = Drawing("Plate", (), (outline, Circle((x, y), 4.0)))
    assert len(sheets.laid_out(drilled, "a4")[1]) == 2
    assert min(abs(at[0] - other[0]) for other in crosses_of(drilled)) > 4.0 + 2.5


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("what", ["blade", "hub", "tail"])
def test_no_cross_stands_in_words_and_all_of_a_strip_stand_apart(what, paper):
    """On either paper: what is written there can be read, and three places hold two sheets."""
    for made in drawn(MAKES[what], subject()):
        for page in (page for page in sheets.pages(made, paper) if page.layers[0].window is not None):
            parts = page.layers[0].parts
            crosses = [p.centre for p in parts if isinstance(p, Circle) and p.pen is Pen.MARK and p.radius == 2.5]
            for one, other in itertools.combinations(crosses, 2):
                assert np.hypot(one[0] - other[0], one[1] - other[1]) > 9.0
            words = [written(p) for p in parts if isinstance(p, Words) and len(p.text) > 2]
            for x, y in crosses:
                ring = np.array([(x - 2.5, y - 2.5), (x + 2.5, y - 2.5), (x + 2.5, y + 2.5), (x - 2.5, y + 2.5)])
                assert not any(meet(ring, box) for box in words), (made.title, x, y)


#: Machines unlike the demo's: a very small one, a very long one, more and fewer blades, a blade as wide at its tip.
TINY = {
    "rotor.diameter": 0.6, "blade.pipe_diameter": 0.09, "blade.pipe_wall": 0.0027, "blade.chord_root": 0.05,
    "blade.chord_tip": 0.03, "hub.bolts": 2, "hub.bolt_diameter": 0.004, "hub.bolt_spacing": 0.015,
    "hub.end_distance": 0.008, "hub.side_distance": 0.012, "hub.plate_width": 0.03, "hub.shaft_diameter": 0.010,
    "tail.area": 0.02, "tail.vane_height": 0.15, "tail.arm": 0.35, "tail.boom_diameter": 0.02,
}  # fmt: skip
LONG = {
    "rotor.diameter": 3.9, "blade.pipe_diameter": 0.315, "blade.pipe_wall": 0.0092, "blade.chord_root": 0.22,
    "blade.chord_tip": 0.09,
}  # fmt: skip
OTHERS = {
    "second": SECOND, "first": FIRST, "tiny": SECOND | TINY, "long": SECOND | LONG,
    "two": SECOND | {"rotor.blades": 2}, "five": SECOND | {"rotor.blades": 5},
    "six": SECOND | {"rotor.blades": 6, "blade.root_radius": 0.15},
    "untapered": SECOND | {"blade.chord_tip": 0.150},
    "little offset": SECOND | {"rotor.offset": 0.01, "tail.hinge_behind": 0.02, "rotor.overhang": 0.12},
    "no offset": SECOND | {"rotor.offset": 0.0, "tail.hinge_behind": 0.0},
    "long head": SECOND | {"rotor.offset": 0.2, "tail.hinge_behind": 0.6, "rotor.overhang": 0.5},
    "boom aside": SECOND | {"tail.rest_angle": np.radians(-20.0)},
    "straight tail": SECOND | {"tail.rest_angle": 0.0}, "nearly": SECOND | {"tail.rest_angle": np.radians(2.0)},
}  # fmt: skip


def written(word):
    """Corners of the box in which words stand, by the font itself, half of a descender's depth left out, in [mm]."""
    wide = width_of(word.text, word.height)
    left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[word.anchor]
    turn = np.radians(word.turn)
    box = np.array([(left, -0.1), (left + wide, -0.1), (left + wide, 0.95), (left, 0.95)]) * (1.0, word.height)
    return box @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) + word.at


def meet(a, b):
    """Whether two convex shapes meet: no line parts them that lies along a side of either."""
    for shape in (a, b):
        for side in np.roll(shape, -1, axis=0) - shape:
            across = np.array([-side[1], side[0]])
            p, q = a @ across, b @ across
            if p.max() <= q.min() + 1e-9 or q.max() <= p.min() + 1e-9:
                return False
    return True


@pytest.mark.parametrize("what", MAKES)
@pytest.mark.parametrize("machine", OTHERS)
def test_no_words_stand_on_others_or_across_what_is_cut(machine, what):
    """On any of the drawings of any of these machines."""
    for made in drawn(MAKES[what], subject(OTHERS[machine])):
        boxes = [(p.text, written(p)) for p in made.parts if isinstance(p, Words)]
        for (one, a), (other, b) in itertools.combinations(boxes, 2):
            assert not meet(a, b), (made.title, one, other)
        for line in (p for p in made.parts if isinstance(p, Line) and p.pen is Pen.CUT):
            points = np.array((*line.points, line.points[0]) if line.closed else line.points)
            for piece in itertools.pairwise(points):
                struck = [text for text, a in boxes if meet(a, np.array(piece))]
                assert not struck, (made.title, struck)
